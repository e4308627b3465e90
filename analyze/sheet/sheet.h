/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A paper form to take outside, and the table to type it into.
 *
 * One page, A4 or US Letter; where the channels of several collectors are too many for it, a page
 * for each collector with its own and the shared ones: the rig, what to weigh and when, a row for
 * every time with a column for every channel, the cautions. `noonlog import` reads the table
 * without any option.
 */
#ifndef NR_SHEET_SHEET_H
#define NR_SHEET_SHEET_H

#include "logger/run/rig.h"

typedef struct nr_sheet_style {
    bool letter;    /* US Letter; else A4 */
    bool us;        /* gallons, square feet */
    double every_s; /* between the rows */
} nr_sheet_style;

/* More channels than this do not fit a page's width. */
#define NR_SHEET_CHANNELS 9

/* The ending of path chooses the form: .pdf, .svg or .html. Written beside its place and renamed.
 * *pages: how many (an .svg has one). NR_CANNOT: more channels than fit. */
nr_code nr_sheet_write(const nr_rig *rig, const char *path, const nr_sheet_style *style,
                       size_t *pages, nr_err *err);

/* The empty table as CSV. An existing file is never touched: NR_BAD. */
nr_code nr_sheet_table(const nr_rig *rig, const char *path, nr_err *err);

#endif
