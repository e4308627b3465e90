/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/convert/straight_line.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

/* Lag-1 autocorrelation with its small-sample bias (Kendall 1954) taken out; 0..1 - 2/n. */
static double autocorrelation(const double *x, size_t n)
{
    double sd = gsl_stats_sd(x, 1, n);
    if (!(sd > 0.0))
        return 0.0;
    double r = gsl_stats_lag1_autocorrelation(x, 1, n);
    r += (1.0 + 4.0 * r) / (double)n;
    return fmax(0.0, fmin(r, 1.0 - 2.0 / (double)n));
}

bool nr_straight_line_through(const double *time_s, const double *value, size_t count,
                              double *residual, nr_straight_line *out)
{
    double c0, c1, cov00, cov01, cov11, sumsq;
    if (count < 3 || !(time_s[count - 1] > time_s[0]))
        return false;
    gsl_fit_linear(time_s, 1, value, 1, count, &c0, &c1, &cov00, &cov01, &cov11, &sumsq);
    out->count = count;
    out->mean_time_s = gsl_stats_mean(time_s, 1, count);
    out->mean = gsl_stats_mean(value, 1, count);
    out->slope = c1;
    for (size_t i = 0; i < count; i++)
        residual[i] = value[i] - out->mean - c1 * (time_s[i] - out->mean_time_s);
    out->sd = sqrt(sumsq / (double)(count - 2));
    out->lag1 = autocorrelation(residual, count);
    double inflation = (1.0 + out->lag1) / (1.0 - out->lag1);
    out->effective = (double)count / inflation;
    out->u_mean = out->sd / sqrt(out->effective);
    out->u_slope = sqrt(cov11 * inflation);
    return true;
}

double nr_straight_line_at(const nr_straight_line *line, double time_s, double *u)
{
    double ahead = time_s - line->mean_time_s;
    if (u)
        *u = hypot(line->u_mean, ahead * line->u_slope);
    return line->mean + line->slope * ahead;
}
