/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/trend.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NORMAL_95 1.96
/* A rate below this many of its standard uncertainties is not told from standing still. */
#define RATE_SIGNIFICANT 3.0

nr_trend nr_trend_of(const double *time_s, const double *value, size_t count)
{
    nr_trend trend = {.known = false, .now = NAN, .rate_s = NAN, .u_rate_s = NAN, .u_now = NAN};
    size_t first = count, n = 0;
    while (first > 0 && time_s[first - 1] > time_s[count - 1] - NR_TREND_WINDOW_S)
        first--;
    double *room = malloc(3 * (count - first + 1) * sizeof *room);
    if (!room)
        return trend;
    double *t = room, *y = room + (count - first), *left = y + (count - first);
    for (size_t i = first; i < count; i++) {
        if (isnan(value[i]))
            continue;
        t[n] = time_s[i];
        y[n++] = value[i];
    }
    nr_straight_line line;
    if (n >= NR_TREND_ROWS_MIN && t[n - 1] - t[0] >= NR_TREND_SPAN_MIN_S &&
        nr_straight_line_through(t, y, n, left, &line)) {
        trend.known = true;
        trend.at_s = t[n - 1];
        trend.now = nr_straight_line_at(&line, t[n - 1], &trend.u_now);
        trend.rate_s = line.slope;
        trend.u_rate_s = line.u_slope;
        trend.age_s = t[n - 1] - line.mean_time_s;
    }
    free(room);
    return trend;
}

/* Loss coefficients by kind of collector, W/(m2 K): low, usual, high. Common practice, no source.
 */
static const struct {
    double low, mid, high;
} losses[] = {[NR_GLAZING_NONE] = {12.0, 18.0, 25.0},
              [NR_GLAZING_SINGLE] = {3.5, 7.0, 10.0},
              [NR_GLAZING_DOUBLE] = {3.0, 4.5, 7.0},
              [NR_GLAZING_UNKNOWN] = {3.5, 9.0, 25.0}};

nr_slowing nr_slowing_of(nr_glazing glazing, double area_m2, double capacity_J_K)
{
    if (!(area_m2 > 0.0) || !(capacity_J_K > 0.0))
        return (nr_slowing){0.0, 0.0, 0.0};
    double per_loss = area_m2 / capacity_J_K;
    return (nr_slowing){losses[glazing].low * per_loss, losses[glazing].mid * per_loss,
                        losses[glazing].high * per_loss};
}

/* Time for a rise at a rate that was measured age_s ago and slows by k of it a kelvin: the
 * exponential approach. */
static double time_for(double rise, double rate, double age_s, double k)
{
    if (rate <= 0.0)
        return INFINITY;
    rate *= exp(-k * age_s);
    if (k * rise < 1e-9 * rate)
        return rise / rate;
    double part = k * rise / rate;
    return part < 1.0 ? -log1p(-part) / k : INFINITY;
}

nr_time_to nr_trend_time_to(const nr_trend *trend, double target, nr_slowing slowing)
{
    nr_time_to eta = {NR_TIME_TO_UNKNOWN, NAN, NAN, NAN};
    if (!trend->known || isnan(target))
        return eta;
    double missing = target - trend->now;
    if (missing <= 0.0) {
        eta.kind = NR_TIME_TO_REACHED;
        return eta;
    }
    if (fabs(trend->rate_s) < RATE_SIGNIFICANT * trend->u_rate_s)
        return eta;
    if (trend->rate_s <= 0.0) {
        eta.kind = NR_TIME_TO_AWAY;
        return eta;
    }
    double spread = NORMAL_95 * trend->u_rate_s, more = NORMAL_95 * trend->u_now;
    eta.kind = NR_TIME_TO_COMING;
    double age = trend->age_s;
    eta.seconds = time_for(missing, trend->rate_s, age, slowing.mid_1_s);
    eta.lo95_s = time_for(fmax(0.0, missing - more), trend->rate_s + spread, age, slowing.lo_1_s);
    eta.hi95_s = time_for(missing + more, trend->rate_s - spread, age, slowing.hi_1_s);
    return eta;
}

/* The rise after some time: the exponential approach, as in time_for. */
static double rise_in(double seconds, double rate, double age_s, double k)
{
    rate *= exp(-k * age_s);
    return k * seconds < 1e-9 ? rate * seconds : rate * -expm1(-k * seconds) / k;
}

double nr_trend_ahead(const nr_trend *trend, nr_slowing slowing, double seconds, double *lo95,
                      double *hi95)
{
    double spread = NORMAL_95 * trend->u_rate_s, more = NORMAL_95 * trend->u_now;
    double slow = rise_in(seconds, trend->rate_s - spread, trend->age_s, slowing.hi_1_s);
    double fast = rise_in(seconds, trend->rate_s + spread, trend->age_s, slowing.lo_1_s);
    *lo95 = trend->now - more + fmin(slow, fast);
    *hi95 = trend->now + more + fmax(slow, fast);
    return trend->now + rise_in(seconds, trend->rate_s, trend->age_s, slowing.mid_1_s);
}
