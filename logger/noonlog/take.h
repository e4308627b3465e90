/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `noonlog take` does with a reading: understood, doubted, written. */
#ifndef NR_NOONLOG_TAKE_H
#define NR_NOONLOG_TAKE_H

#include "logger/base/err.h"
#include "logger/run/rig.h"

/* The newest reading of each channel, canonical; NAN: none. */
typedef struct nr_take_last {
    double value[NR_RIG_CHANNELS];
    double utc_s; /* of the run's last row or reading; NAN: it has none */
} nr_take_last;

typedef struct nr_taken {
    char channel[NR_NAME], unit[NR_NAME];
    double value;    /* in unit */
    double before;   /* last one, in the same unit; NAN */
    bool again;      /* set by nr_take_write: it corrects one of the same time */
    char doubt[300]; /* "" or what is odd about it */
} nr_taken;

typedef struct nr_take_result {
    bool recording; /* a recorder is at work: rows come when it ends */
} nr_take_result;

/* "store=64F", "sun = 850 W/m2", "air=21,5". NR_BAD with what is wrong. */
nr_code nr_take_parse(const char *text, const nr_rig *rig, const nr_take_last *last, nr_taken *out,
                      nr_err *err);

/* "11:05", "11:05:30 pm", "2026-05-16 11:05" by this computer's clock and zone; a time of day is
 * the last one that was before now. */
nr_code nr_take_time(const char *text, double now_utc_s, double *utc_s, nr_err *err);

/* Is it of the run? A reading more than a pause that is believed (NR_PAUSE_MOST_S) from the last
 * one is not; of a time of day alone the day is asked where it is not the last reading's or the
 * next. text: that of --at, or NULL. */
nr_code nr_take_belongs(const char *folder, const char *text, double at_utc_s, double last_utc_s,
                        nr_err *err);

/* A run folder without rows, for the first reading. */
nr_code nr_take_begin(const char *folder, const nr_rig *rig, const char *rig_text, size_t length,
                      double at_utc_s, nr_err *err);

/* From readings.csv and by-hand.csv, as far as there are any. */
nr_code nr_take_last_read(const char *folder, const nr_rig *rig, nr_take_last *out, nr_err *err);

/* Into by-hand.csv, synced; then the readings are made again, unless a recorder is at work. note
 * may be NULL. */
nr_code nr_take_write(const char *folder, const nr_rig *rig, nr_taken *taken, size_t count,
                      double at_utc_s, const char *note, nr_take_result *out, nr_err *err);

/* readings.csv again, with what was taken by hand, from whatever the run is made of. Nothing to do:
 * NR_OK. */
nr_code nr_take_settle(const char *folder, const nr_rig *rig, nr_err *err);

/* Wall clock, seconds since 1970; and as local time of day, with its date where that is not
 * today's. */
double nr_take_now(void);
void nr_take_clock(double utc_s, char *out, size_t size);

#endif
