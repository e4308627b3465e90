/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of answers, drawn by gnuplot through a pipe.
 *
 * The file's ending chooses the form: .png, .svg or .pdf. A picture is written beside its place
 * and renamed, so nothing is ever half-written. Text from files reaches gnuplot only through
 * nr_gp_quote (gnuplot runs backquotes and system() in double-quoted strings).
 */
#ifndef NR_PLOTS_PLOTS_H
#define NR_PLOTS_PLOTS_H

#include "analyze/compare/compare.h"
#include "analyze/fit/fit.h"
#include "analyze/forecast/predict.h"
#include "analyze/forecast/size.h"
#include "analyze/inspect/inspect.h"
#include "analyze/plan/plan.h"
#include "analyze/pump/pump.h"

#include <stdbool.h>

/* Something about a picture that is no error: one sentence, told once however many are drawn. */
typedef struct nr_plot_remark {
    void (*say)(const char *sentence);
    bool said;
} nr_plot_remark;

typedef struct nr_plot_style {
    bool us_units;
    const char *gnuplot; /* program to run; NULL: "gnuplot" from PATH */
    /* For a telephone: the main panel alone on a portrait canvas. Of fit, budget, energy, inspect;
     * other pictures do not look at it. */
    bool portrait;
    nr_plot_remark *remark; /* NULL: nobody listens */
} nr_plot_style;

nr_code nr_plot_fit(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err);
nr_code nr_plot_budget(const nr_fit *fit, const char *path, const nr_plot_style *style,
                       nr_err *err);
nr_code nr_plot_energy(const nr_fit *fit, const char *path, const nr_plot_style *style,
                       nr_err *err);
/* A card to post: portrait, one picture with everything that matters (card.c). */
typedef struct nr_card {
    const nr_fit *fit;
    size_t faults, doubts; /* that inspection found in its records */
    const char *sha256;    /* of readings.csv, "" not told */
} nr_card;

nr_code nr_plot_card(const nr_card *card, const char *path, const nr_plot_style *style,
                     nr_err *err);
/* The card of several builds: who heats up first; day: the reference day in words. */
nr_code nr_plot_ranking(const nr_compare *compare, const char *day, const char *path,
                        const nr_plot_style *style, nr_err *err);
nr_code nr_plot_compare(const nr_compare *compare, const char *path, const nr_plot_style *style,
                        nr_err *err);
nr_code nr_plot_predict(const nr_predict *predict, const char *path, const nr_plot_style *style,
                        nr_err *err);
/* The store's warmest against area and water; or, where months were asked for, over the year. */
nr_code nr_plot_size(const nr_size *size, const char *path, const nr_plot_style *style,
                     nr_err *err);
/* Heat, FR, outlet and friction against flow; a panel pump's start and stall. */
nr_code nr_plot_pump(const nr_pump *pump, const char *path, const nr_plot_style *style,
                     nr_err *err);
/* What the test and each improvement would tell, what limits it, what range it would cover. */
nr_code nr_plot_plan(const nr_plan *plan, const char *path, const nr_plot_style *style,
                     nr_err *err);
nr_code nr_plot_inspect(const nr_inspect *inspect, const nr_run *run, const char *path,
                        const nr_plot_style *style, nr_err *err);

#endif
