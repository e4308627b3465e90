/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bath and two-point calibration; see calibrate.h. */
#include "logger/convert/calibrate.h"

#include "logger/convert/straight_line.h"

#include <math.h>
#include <stdlib.h>

/* A step or a drift is a rectangle of this width: its standard uncertainty, JCGM 100 4.3.7. */
#define RECTANGLE(width) ((width) / sqrt(12.0))
#define DRIFT_SIGNIFICANT 3.0
#define TWO_POINT_SPAN_MIN_K 20.0

/* Pairs of time and difference of one probe, without the gaps. */
typedef struct pairs {
    double *time_s, *difference, *reading, *left;
    size_t count;
} pairs;

static double mean_of_probes(const nr_bath *bath, size_t row)
{
    double sum = 0.0;
    for (size_t p = 0; p < bath->probes; p++)
        sum += bath->value[p][row];
    return sum / (double)bath->probes; /* NAN as soon as one is missing */
}

static double reference_at(const nr_bath *bath, size_t row)
{
    if (bath->reference)
        return bath->reference[row];
    return isnan(bath->reference_degC) ? mean_of_probes(bath, row) : bath->reference_degC;
}

static void collect(const nr_bath *bath, size_t probe, pairs *to)
{
    to->count = 0;
    for (size_t row = 0; row < bath->rows; row++) {
        double reading = bath->value[probe][row];
        double difference = reading - reference_at(bath, row);
        if (isnan(difference))
            continue;
        to->time_s[to->count] = bath->time_s[row];
        to->reading[to->count] = reading;
        to->difference[to->count++] = difference;
    }
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Smallest distance between two different readings; 0 when all are the same. Sorts in place.
 * Rounding of a conversion makes equal readings differ in the last digits. */
static double smallest_step(double *reading, size_t count)
{
    double step = INFINITY;
    qsort(reading, count, sizeof *reading, by_size);
    for (size_t i = 1; i < count; i++) {
        double gap = reading[i] - reading[i - 1];
        if (gap > 1e-6)
            step = fmin(step, gap);
    }
    return isinf(step) ? 0.0 : step;
}

/* Straight line through the differences; what is left of them tells the scatter. */
static void analyse(pairs *p, double u_place_K, nr_bath_probe *out)
{
    size_t n = p->count;
    nr_straight_line line;
    double span_s = p->time_s[n - 1] - p->time_s[0];
    nr_straight_line_through(p->time_s, p->difference, n, p->left, &line);
    out->count = n;
    out->difference_K = line.mean;
    out->correction_K = -line.mean;
    out->drift_K = line.slope * span_s;
    out->u_drift_K = line.u_slope * span_s;
    out->sd_K = line.sd;
    out->lag1 = line.lag1;
    out->effective = line.effective;
    double step = smallest_step(p->reading, n);
    out->constant = step == 0.0;
    out->step_K = out->constant ? NR_BATH_STEP_UNKNOWN_K : step;
    out->drifts =
        fabs(out->drift_K) > DRIFT_SIGNIFICANT * out->u_drift_K && fabs(out->drift_K) > out->step_K;
    double drift = out->drifts ? RECTANGLE(out->drift_K) : 0.0;
    /* Scatter well above the step already contains the step's error and averages it away. */
    double coarse = out->sd_K < out->step_K ? RECTANGLE(out->step_K) : 0.0;
    out->u_own_K =
        sqrt(line.u_mean * line.u_mean + coarse * coarse + drift * drift + u_place_K * u_place_K);
}

static bool pairs_alloc(pairs *p, size_t rows)
{
    *p = (pairs){.time_s = malloc(rows * sizeof(double)),
                 .difference = malloc(rows * sizeof(double)),
                 .reading = malloc(rows * sizeof(double)),
                 .left = malloc(rows * sizeof(double))};
    return p->time_s && p->difference && p->reading && p->left;
}

static void pairs_free(pairs *p)
{
    free(p->time_s);
    free(p->difference);
    free(p->reading);
    free(p->left);
}

/* The bath's own temperature and trend. */
static void analyse_bath(const nr_bath *bath, pairs *p, nr_bath_result *result)
{
    size_t n = 0;
    bool read_off = bath->reference || isnan(bath->reference_degC);
    for (size_t row = 0; row < bath->rows; row++) {
        double at = read_off ? reference_at(bath, row) : mean_of_probes(bath, row);
        if (isnan(at))
            continue;
        p->time_s[n] = bath->time_s[row];
        p->reading[n++] = at;
    }
    nr_straight_line line;
    result->bath_rate_K_min = NAN;
    result->bath_degC = NAN;
    if (!nr_straight_line_through(p->time_s, p->reading, n, p->left, &line))
        return;
    result->bath_rate_K_min = 60.0 * line.slope;
    result->bath_degC = read_off ? line.mean : bath->reference_degC;
}

nr_code nr_bath_solve(const nr_bath *bath, nr_bath_probe *out, nr_bath_result *result, nr_err *err)
{
    if (bath->probes == 0 || bath->rows < NR_BATH_ROWS_MIN)
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "%zu rows of %zu probes: at least %d rows are needed to see the scatter",
                       bath->rows, bath->probes, NR_BATH_ROWS_MIN);
    if (!(bath->time_s[bath->rows - 1] > bath->time_s[0]))
        return nr_fail(err, NR_CANNOT, NULL, 0, "the readings have no time between them");
    pairs p;
    nr_code code = NR_OK;
    if (!pairs_alloc(&p, bath->rows))
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; code == NR_OK && i < bath->probes; i++) {
        collect(bath, i, &p);
        if (p.count < NR_BATH_ROWS_MIN || !(p.time_s[p.count - 1] > p.time_s[0]))
            code = nr_fail(err, NR_CANNOT, NULL, 0,
                           "probe %zu has %zu readings beside the reference; %d are needed", i + 1,
                           p.count, NR_BATH_ROWS_MIN);
        else
            analyse(&p, bath->u_place_K, &out[i]);
    }
    if (code == NR_OK) {
        result->relative = !bath->reference && isnan(bath->reference_degC);
        result->u_common_K = result->relative ? NAN : bath->u_reference_K;
        analyse_bath(bath, &p, result);
    }
    pairs_free(&p);
    return code;
}

double nr_bath_u_K(const nr_bath_probe *probe, const nr_bath_result *result)
{
    return hypot(probe->u_own_K, result->u_common_K);
}

double nr_bath_u_difference_K(const nr_bath_probe *a, const nr_bath_probe *b)
{
    return hypot(a->u_own_K, b->u_own_K);
}

nr_code nr_two_point_solve(const nr_two_point_in *in, nr_two_point *out, nr_err *err)
{
    double m1 = in->reading_degC[0], m2 = in->reading_degC[1];
    double span = m2 - m1;
    if (!(fabs(span) >= TWO_POINT_SPAN_MIN_K) ||
        !(fabs(in->true_degC[1] - in->true_degC[0]) >= TWO_POINT_SPAN_MIN_K))
        return nr_fail(
            err, NR_CANNOT, NULL, 0,
            "the two points are less than %.0f K apart; that gives an offset, but no gain",
            TWO_POINT_SPAN_MIN_K);
    double gain = (in->true_degC[1] - in->true_degC[0]) / span;
    out->gain = gain;
    out->offset_K = in->true_degC[0] - gain * m1;
    /* The error of either point, seen on the true axis, moves the line there by e and leaves the
     * other point where it is: gain by -+e/span, offset by e times the weight of the other end. */
    double variance[2];
    for (int i = 0; i < 2; i++)
        variance[i] = in->u_true_K[i] * in->u_true_K[i] +
                      gain * gain * in->u_reading_K[i] * in->u_reading_K[i];
    double dg[2] = {-1.0 / span, 1.0 / span}, doff[2] = {m2 / span, -m1 / span};
    out->u_gain = sqrt(dg[0] * dg[0] * variance[0] + dg[1] * dg[1] * variance[1]);
    out->u_offset_K = sqrt(doff[0] * doff[0] * variance[0] + doff[1] * doff[1] * variance[1]);
    out->covariance = dg[0] * doff[0] * variance[0] + dg[1] * doff[1] * variance[1];
    return NR_OK;
}

double nr_two_point_at(const nr_two_point *line, double reading_degC, double *u_K)
{
    if (u_K) {
        double variance = line->u_gain * line->u_gain * reading_degC * reading_degC +
                          2.0 * line->covariance * reading_degC +
                          line->u_offset_K * line->u_offset_K;
        *u_K = sqrt(fmax(0.0, variance));
    }
    return line->gain * reading_degC + line->offset_K;
}
