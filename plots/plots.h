/* Pictures of answers, drawn by gnuplot through a pipe.
 *
 * The file's ending chooses the form: .png, .svg or .pdf. A picture is written beside its place
 * and renamed, so nothing is ever half-written. Text from files reaches gnuplot only through
 * nr_gp_quote (gnuplot runs backquotes and system() in double-quoted strings).
 */
#ifndef NR_PLOTS_PLOTS_H
#define NR_PLOTS_PLOTS_H

#include "analyze/answer/compare.h"
#include "analyze/answer/fit.h"
#include "analyze/answer/inspect.h"
#include "analyze/answer/predict.h"

#include <stdbool.h>

typedef struct nr_plot_style {
    bool us_units;
    const char *gnuplot; /* program to run; NULL: "gnuplot" from PATH */
} nr_plot_style;

nr_code nr_plot_fit(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err);
nr_code nr_plot_budget(const nr_fit *fit, const char *path, const nr_plot_style *style,
                       nr_err *err);
nr_code nr_plot_energy(const nr_fit *fit, const char *path, const nr_plot_style *style,
                       nr_err *err);
nr_code nr_plot_compare(const nr_compare *compare, const char *path, const nr_plot_style *style,
                        nr_err *err);
nr_code nr_plot_predict(const nr_predict *predict, const char *path, const nr_plot_style *style,
                        nr_err *err);
nr_code nr_plot_inspect(const nr_inspect *inspect, const nr_run *run, const char *path,
                        const nr_plot_style *style, nr_err *err);

#endif
