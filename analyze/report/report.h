/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit report`: one self-contained page (HTML with inline SVG, no scripts, no network) that
 * others can check: the sentence, the numbers, the pictures, the quality of the record, the rig,
 * the method, the cautions, and the files with their SHA-256.
 *
 * Everything that comes from files is escaped. The page is written beside its place and renamed.
 */
#ifndef NR_REPORT_REPORT_H
#define NR_REPORT_REPORT_H

#include "analyze/compare/compare.h"
#include "analyze/fit/fit.h"
#include "analyze/inspect/inspect.h"
#include "analyze/tell/display.h"

typedef struct nr_report_style {
    nr_units units;
    double made_utc_s;   /* when the page is made, seconds since 1970; NAN: not said */
    const char *command; /* what a reader types to get the same, may be NULL */
    const char *gnuplot; /* program to run; NULL: "gnuplot" from PATH */
} nr_report_style;

/* The runs of one build with what inspection said of each; inspects may be NULL, as may any of
 * its entries. Nothing is owned. */
typedef struct nr_report_runs {
    size_t count;
    const nr_run *const *runs;         /* [count] */
    const nr_inspect *const *inspects; /* [count] or NULL */
} nr_report_runs;

/* path must end in .html. NR_BAD: it cannot be written, or gnuplot failed. */
nr_code nr_report_fit(const char *path, const nr_fit *fit, const nr_report_runs *runs,
                      const nr_report_style *style, nr_err *err);

/* builds[compare->builds], in the order of the comparison. */
nr_code nr_report_compare(const char *path, const nr_compare *compare, const nr_report_runs *builds,
                          const nr_report_style *style, nr_err *err);

#endif
