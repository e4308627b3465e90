/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One time axis for one run or for several, one after another: minutes from each run's start
 * below, the clock (one run) or the runs' names (several) on top. */
#ifndef NR_PLOTS_TIMELINE_H
#define NR_PLOTS_TIMELINE_H

#include "plots/picture.h"

#define NR_TIMELINE_RUNS 6

typedef struct nr_timeline {
    size_t count; /* runs shown */
    double offset_min[NR_TIMELINE_RUNS], length_min[NR_TIMELINE_RUNS];
    double start_utc_s[NR_TIMELINE_RUNS];
    const char *name[NR_TIMELINE_RUNS]; /* borrowed from the fit */
    double total_min;
    /* Of a day that was asked about: its own clock instead of this machine's. */
    double clock_s;      /* what it shows at the start, seconds after midnight; NAN: none */
    char clock_name[64]; /* "solar time", "clock, UTC+02:00" */
} nr_timeline;

/* Lays out up to NR_TIMELINE_RUNS runs; the rest is not shown (say so). */
nr_timeline nr_timeline_of(const nr_fit *fit);
nr_timeline nr_timeline_single(double length_s, double start_utc_s);
/* A day of the calendar with a clock of its own; clock_s NAN: a day without a clock. */
nr_timeline nr_timeline_day(double length_s, double clock_s, const char *clock_name);

/* The x axis of a panel. labelled: numbers and words below; otherwise grid only. */
void nr_timeline_axis(nr_picture *p, const nr_timeline *t, bool labelled, double box_width);
/* The same by the day's clock, where it has one (else as above): round times, and whose clock. */
void nr_timeline_clock_axis(nr_picture *p, const nr_timeline *t, bool labelled, double box_width);
/* Clock or run names above the current panel. */
void nr_timeline_top(nr_picture *p, const nr_timeline *t, const nr_box *box);
/* Thin vertical lines between runs. */
void nr_timeline_separators(nr_picture *p, const nr_timeline *t);

/* "wash-stand-glazed (Glazed build), 4 May 2026, 52.10 N 4.30 E" */
void nr_subtitle_fit(char *text, size_t size, const nr_fit *fit);
/* The same with the collector's name before it, where it does not begin with that anyway. */
void nr_subtitle_named(char *text, size_t size, const nr_fit *fit);
/* Puts "Doubtful: " before a title where the answer is. */
void nr_title_trust(char *title, size_t size, const nr_trust *trust);
/* A finding of tell's as a picture's title: set in signs, the collector's name before it (as much
 * of it as leaves room for the finding), and where the answer is doubtful, that. */
void nr_title_of(char *title, size_t size, const nr_fit *fit);

/* The collector's name (its run's, where it has none) and then rest, ", 4 May 2026; in full sun";
 * the name gives way when both do not fit the canvas. */
void nr_subtitle_of(char *text, size_t size, const nr_fit *fit, const char *rest);
/* "4 May 2026" of the local clock; nothing when unknown. */
void nr_date_text(char *text, size_t size, double utc_s);
/* The same of a date as such, given by its midnight in UTC: no clock moves it to the day before. */
void nr_calendar_text(char *text, size_t size, double midnight_utc_s);
/* Last part of a path. */
const char *nr_base_name(const char *path);

#endif
