/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The adapter's own clock: a milliseconds counter of 32 bits.
 *
 * Turns counter readings into seconds on the run's time axis. The counter wraps every 49.7 days,
 * starts again from zero when the adapter is reset, and a damaged line may carry any number: the
 * series must survive all three, and time must never run backwards.
 *
 * Between two lines the counter's advance is believed when it is no more than a few times what
 * the host saw (or the expected interval, since lines arrive in bunches). An adapter may well run
 * at another rate than the host - a simulated rig runs faster than real time - so the rate is
 * learned from the lines.
 */
#ifndef NR_WIRE_COUNTER_H
#define NR_WIRE_COUNTER_H

#include <stdbool.h>
#include <stdint.h>

typedef enum nr_count {
    NR_COUNT_FIRST,     /* the first one: placed at the host's time */
    NR_COUNT_ON,        /* advanced as expected */
    NR_COUNT_WRAPPED,   /* went past 2^32 */
    NR_COUNT_RESTARTED, /* a reset: placed anew by the host's time */
    NR_COUNT_DOUBTED    /* not believable, no time given; the next one decides */
} nr_count;

/* Sums for the slope of counter against host, centred as they grow (Welford, Technometrics 4
 * (1962) 419). A restart begins a new segment; the segments' sums add up. */
typedef struct nr_counter_fit {
    double n, mean_x, mean_y;
    double sxx, sxy, syy; /* of this segment */
    double total_n, total_sxx, total_sxy, total_syy;
    unsigned segments;
} nr_counter_fit;

typedef struct nr_counter {
    double interval_s; /* expected time between lines */
    bool started, doubting;
    uint32_t last, doubted;
    double elapsed_s; /* of the last believed count, on the run's axis */
    double host_s;    /* host's time of the last believed count */
    nr_counter_fit fit;
} nr_counter;

void nr_counter_init(nr_counter *counter, double interval_s);

/* Takes one count (milliseconds; not a whole number in 0..2^32-1 is doubted) that arrived at
 * host_s on the run's axis. *elapsed_s is set except on NR_COUNT_DOUBTED. */
nr_count nr_counter_take(nr_counter *counter, double count_ms, double host_s, double *elapsed_s);

/* How much faster the adapter's clock runs than the host's, relative (1e-6 = 1 ppm), with its
 * standard uncertainty from the scatter of the arrivals. False before there are ten counts. */
bool nr_counter_drift(const nr_counter *counter, double *drift, double *u_drift);

#endif
