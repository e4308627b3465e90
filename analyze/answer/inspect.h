/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit inspect`: is this record good, what is wrong, what to do about it. */
#ifndef NR_ANSWER_INSPECT_H
#define NR_ANSWER_INSPECT_H

#include "analyze/answer/quantity.h"
#include "logger/base/err.h"
#include "logger/run/folder.h"

typedef enum nr_severity { NR_SEVERITY_NOTE, NR_SEVERITY_DOUBT, NR_SEVERITY_FAULT } nr_severity;

typedef struct nr_finding {
    char code[32];
    nr_severity severity;
    char channel[NR_NAME]; /* "" when about the whole record */
    double from_s, to_s;   /* part of the record it is about; NAN: all of it */
    char text[640];        /* what was seen */
    char advice[512];      /* what to do about it */
} nr_finding;

typedef struct nr_channel_summary {
    char name[NR_NAME], unit[NR_NAME];
    size_t valid, spikes;
    double min, max, mean, stuck_s, noise; /* noise: standard deviation of fast changes */
} nr_channel_summary;

typedef struct nr_gap {
    double start_s, length_s;
} nr_gap;

#define NR_FINDINGS 64
#define NR_GAPS 64

typedef struct nr_inspect {
    char folder[NR_ERR_FILE];
    char title[256];
    size_t rows;
    double duration_s, interval_s, start_utc_s;
    size_t channels;
    nr_channel_summary channel[NR_RIG_CHANNELS];
    size_t gaps;
    nr_gap gap[NR_GAPS];
    size_t findings;
    nr_finding finding[NR_FINDINGS];
    bool usable_for_store, usable_for_loop;
    size_t steady_windows;
    double incidence_lo_deg, incidence_hi_deg; /* NAN unknown */
    char sentence[900];
} nr_inspect;

/* Looks at a record; never fails for a bad record (that is a finding). */
nr_code nr_inspect_run(const nr_run *run, nr_inspect **out, nr_err *err);
void nr_inspect_free(nr_inspect *inspect);

#endif
