/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The clocks a recorder needs, as a function a test can replace. */
#ifndef NR_RECORD_CLOCK_H
#define NR_RECORD_CLOCK_H

/* Taken together on arrival. */
typedef struct nr_now {
    double utc_s;    /* wall clock, seconds since 1970: for labels; may be set by anybody */
    double steady_s; /* runs through suspend (CLOCK_BOOTTIME): the run's time */
    double awake_s;  /* stands still during suspend (CLOCK_MONOTONIC) */
} nr_now;

typedef struct nr_clock {
    void (*now)(void *context, nr_now *out);
    void *context;
} nr_clock;

extern const nr_clock nr_clock_system;

/* Watches the clocks against each other from call to call. */
typedef struct nr_clock_watch {
    nr_now last;
    int started;
} nr_clock_watch;

/* What happened between the last call and this one: seconds by which the wall clock was set
 * (0 when less than half a second: a slewed clock is no step), and seconds slept. */
void nr_clock_compare(nr_clock_watch *watch, const nr_now *now, double *step_s, double *slept_s);

#endif
