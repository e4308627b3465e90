/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tally/more.h"

#include "analyze/physics/water.h"

#include <math.h>

/* One glass over black paint, and a bucket with a lid. Common practice, no source. */
#define COLLECTOR_LOSS_W_M2K 8.0
#define CONTAINER_LOSS_W_K 2.0
#define READINGS 5

enum { START, POWER, LOSS, UNKNOWNS };

/* T(t) of C dT/dt = P - U T, T measured from the air; U near 0 without dividing by it. */
static double warmed(const double p[UNKNOWNS], double C, double t)
{
    double x = p[LOSS] * t / C;
    double mean = fabs(x) < 1e-6 ? 1 - x / 2 : -expm1(-x) / x;
    return p[START] * exp(-x) + p[POWER] * t / C * mean;
}

/* Standard uncertainty of the loss from readings at times[count], each with u[]: one over what of
 * its column is at right angles to the other columns (Gram and Schmidt). cooling: the pump is off,
 * P is known to be 0. NAN: they do not tell. */
static double u_loss(const double p[UNKNOWNS], double C, const double *times, const double *u,
                     size_t count, bool cooling)
{
    double column[UNKNOWNS][READINGS], whole = 0, left = 0;
    size_t n = 0;
    for (size_t j = 0; j < UNKNOWNS; j++) {
        if (cooling && j == POWER)
            continue;
        double step = 1e-3 * fmax(fabs(p[j]), 1), up[UNKNOWNS], down[UNKNOWNS];
        for (size_t i = 0; i < UNKNOWNS; i++)
            up[i] = down[i] = p[i];
        up[j] += step;
        down[j] -= step;
        for (size_t k = 0; k < count; k++)
            column[n][k] =
                (warmed(up, C, times[k]) - warmed(down, C, times[k])) / (2 * step * u[k]);
        n++;
    }
    for (size_t k = 0; k < count; k++)
        whole += column[n - 1][k] * column[n - 1][k];
    for (size_t j = 0; j < n; j++)
        for (size_t i = 0; i < j; i++) {
            double along = 0, length = 0;
            for (size_t k = 0; k < count; k++) {
                along += column[i][k] * column[j][k];
                length += column[i][k] * column[i][k];
            }
            for (size_t k = 0; k < count; k++)
                column[j][k] -= along / length * column[i][k];
        }
    for (size_t k = 0; k < count; k++)
        left += column[n - 1][k] * column[n - 1][k];
    return left > 1e-10 * whole ? 1 / sqrt(left) : NAN;
}

void nr_tally_more_of(nr_tally *t, double air_u_K)
{
    const nr_stated *in = t->asked.input;
    double from = in[NR_TALLY_FROM].value, to = in[NR_TALLY_TO].value;
    double area = in[NR_TALLY_AREA].value, whole = in[NR_TALLY_DURATION].value;
    double air = isfinite(t->asked.air_degC) ? t->asked.air_degC : from;
    double C = in[NR_TALLY_WATER].value * nr_water_cp_J_kgK((from + to) / 2);
    double first = in[NR_TALLY_FROM].u, last = in[NR_TALLY_TO].u;
    t->supposed_loss_W_m2K = COLLECTOR_LOSS_W_M2K;
    t->supposed_container_W_K = CONTAINER_LOSS_W_K;
    double loss = COLLECTOR_LOSS_W_M2K * area + CONTAINER_LOSS_W_K;
    double p[UNKNOWNS] = {from - air, 0, loss};
    p[POWER] = t->result[NR_TALLY_POWER].value + loss * ((from + to) / 2 - air);
    double times[READINGS] = {0, whole / 4, whole / 2, whole * 3 / 4, whole};
    double u[READINGS] = {first, last, last, last, last};
    t->more_u[NR_TALLY_BETWEEN] = u_loss(p, C, times, u, READINGS, false) / area;
    double later[READINGS] = {0, whole, whole * 4 / 3, whole * 5 / 3, whole * 2};
    t->more_u[NR_TALLY_LATER] = u_loss(p, C, later, u, READINGS, false) / area;
    /* After the last reading: the water is at `to`, and what is measured is its rise over the air,
     * whose thermometer is read, too. */
    double cooling[UNKNOWNS] = {to - air, 0, CONTAINER_LOSS_W_K};
    double evening[READINGS - 1], both[READINGS - 1];
    for (int k = 0; k < READINGS - 1; k++) {
        evening[k] = NR_TALLY_COOLING_S * k / (READINGS - 2);
        both[k] = hypot(last, air_u_K);
    }
    t->more_u[NR_TALLY_COOLING] =
        to - air > 1 ? u_loss(cooling, C, evening, both, READINGS - 1, true) : NAN;
}

const char *nr_tally_more_name(nr_tally_more more)
{
    static const char *const name[NR_TALLY_MORES] = {"between", "later", "cooling"};
    return name[more];
}
