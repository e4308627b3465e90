/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_quality: one check a file, each a function of arrays. */
#ifndef NR_QUALITY_CHECKS_H
#define NR_QUALITY_CHECKS_H

#include "analyze/quality/marks.h"

/* Work space of one check, allocated once. */
typedef struct nr_quality_work {
    nr_dense dense;
    nr_cursor t_s, value; /* of dense: the channel at hand */
    double *scratch;      /* [room]: NR_PASSES_KEPT, and a number for each 100 rows */
    unsigned char *equal; /* [rows] the whole row repeats the one before */
} nr_quality_work;

/* Chance that one reading of a channel equals the next, at most, by its noise in quiet times and
 * its resolution. 1: cannot tell. */
double nr_stay_chance(const nr_quality_channel *channel);

/* After nr_check_timing. */
void nr_count_busy(nr_quality *quality);
void nr_check_timing(nr_quality *quality, const nr_quality_source *source, double *scratch);
void nr_check_duplicates(nr_quality *quality, nr_quality_work *work);
/* Counts a channel's readings, too. */
void nr_check_range(nr_quality *quality, const nr_quality_source *source, nr_cursor *value,
                    nr_role role);
void nr_check_noise(nr_quality *quality, const nr_dense *dense, double *scratch);
void nr_check_spikes(nr_quality *quality, const nr_dense *dense);
void nr_check_pump(nr_quality *quality, const nr_quality_source *source, double *scratch);
void nr_check_stuck(nr_quality *quality, const nr_dense *dense);

#endif
