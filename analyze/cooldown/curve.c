/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/cooldown/curve.h"

#include "analyze/estimate/noise.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define CELLS_MOST 400
#define CELL_LEAST_S 60.0
/* With fewer means the noise's memory cannot be told from the readings. */
#define MEMORY_LEAST 20
/* No reading is better than this. */
#define FLOOR_K 0.02
#define ROUNDS 20

enum { START, RATE, OFFSET, UNKNOWNS };

static double between(const double *t, const double *y, size_t rows, double at, size_t *hint)
{
    /* The good reading before and the one after; beyond the ends the nearest. */
    size_t before = rows, after = rows;
    for (size_t k = *hint; k < rows; k++) {
        if (isnan(y[k]))
            continue;
        if (t[k] <= at) {
            before = k;
            *hint = k;
        } else {
            after = k;
            break;
        }
    }
    if (before == rows)
        return after == rows ? NAN : y[after];
    if (after == rows)
        return y[before];
    return y[before] + (y[after] - y[before]) * (at - t[before]) / (t[after] - t[before]);
}

nr_code nr_cool_curve_make(const double *elapsed_s, const double *store, const double *air,
                           size_t rows, double resolution_K, nr_cool_curve *c, nr_err *err)
{
    double whole = elapsed_s[rows - 1] - elapsed_s[0];
    *c = (nr_cool_curve){.resolution_K = isfinite(resolution_K) ? resolution_K : 0};
    c->block_s = fmax(CELL_LEAST_S, whole / CELLS_MOST);
    c->cells = (size_t)floor(whole / c->block_s) + 1;
    c->t = calloc(c->cells, sizeof *c->t);
    c->reading = calloc(c->cells, sizeof *c->reading);
    c->air = calloc(c->cells, sizeof *c->air);
    c->fitted = calloc(c->cells, sizeof *c->fitted);
    c->used_block = calloc(c->cells, 1);
    if (!c->t || !c->reading || !c->air || !c->fitted || !c->used_block) {
        nr_cool_curve_free(c);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    size_t hint = 0;
    for (size_t k = 0, cell = 0; cell < c->cells; cell++) {
        double t = 0, T = 0;
        size_t count = 0;
        for (; k < rows && (elapsed_s[k] - elapsed_s[0]) / c->block_s < (double)cell + 1; k++) {
            if (isnan(store[k]))
                continue;
            t += elapsed_s[k] - elapsed_s[0];
            T += store[k];
            count++;
        }
        if (count == 0)
            continue;
        c->used_block[cell] = 1;
        c->used += count;
        c->t[c->n] = elapsed_s[0] + t / (double)count;
        c->reading[c->n] = T / (double)count;
        c->air[c->n] = between(elapsed_s, air, rows, c->t[c->n], &hint);
        c->n++;
    }
    if (c->n >= 3)
        return NR_OK;
    nr_cool_curve_free(c);
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "a cool-down needs readings of the store at three times, a minute apart");
}

/* x' = -k (x - air - offset), air in straight lines between the means: exact from one to the next.
 * slope[n][UNKNOWNS] by the same steps. */
static void run_curve(const nr_cool_curve *c, const double p[UNKNOWNS], double *fitted,
                      double (*slope)[UNKNOWNS])
{
    double x = p[START], by[UNKNOWNS] = {1, 0, 0}, k = p[RATE];
    for (size_t i = 0; i < c->n; i++) {
        if (i > 0) {
            double dt = c->t[i] - c->t[i - 1], a0 = c->air[i - 1] + p[OFFSET],
                   g = (c->air[i] - c->air[i - 1]) / dt, e = exp(-k * dt);
            /* y = x - air: y' = -k y - g */
            double y = x - a0, f = fabs(k * dt) < 1e-8 ? dt : -expm1(-k * dt) / k;
            double f_k = fabs(k * dt) < 1e-4 ? -dt * dt / 2 : (dt * e - f) / k;
            by[START] *= e;
            by[RATE] = by[RATE] * e - dt * e * y - g * f_k;
            by[OFFSET] = by[OFFSET] * e + 1 - e;
            x = y * e - g * f + a0 + g * dt;
        }
        fitted[i] = x;
        if (slope)
            memcpy(slope[i], by, sizeof by);
    }
}

/* Solves the symmetric a x = b in place; false when it is not positive. inverse[3][3] of a. */
static bool invert(double a[UNKNOWNS][UNKNOWNS], double inverse[UNKNOWNS][UNKNOWNS])
{
    double scale[UNKNOWNS], m[UNKNOWNS][UNKNOWNS];
    for (int i = 0; i < UNKNOWNS; i++) {
        if (!(a[i][i] > 0))
            return false;
        scale[i] = 1 / sqrt(a[i][i]);
    }
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j < UNKNOWNS; j++)
            m[i][j] = a[i][j] * scale[i] * scale[j];
    double cofactor[UNKNOWNS][UNKNOWNS];
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j < UNKNOWNS; j++) {
            int i1 = (i + 1) % 3, i2 = (i + 2) % 3, j1 = (j + 1) % 3, j2 = (j + 2) % 3;
            cofactor[i][j] = m[i1][j1] * m[i2][j2] - m[i1][j2] * m[i2][j1];
        }
    double det = m[0][0] * cofactor[0][0] + m[0][1] * cofactor[0][1] + m[0][2] * cofactor[0][2];
    if (!(det > 1e-14))
        return false;
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j < UNKNOWNS; j++)
            inverse[i][j] = cofactor[j][i] / det * scale[i] * scale[j];
    return true;
}

typedef struct work {
    double (*slope)[UNKNOWNS]; /* [n] */
    double *residual;          /* [n] */
    double *grid;              /* [cells * (UNKNOWNS + 1)] residual and slopes, whitened */
    nr_whitener whitener;
} work;

/* Residuals and slopes on the grid, whitened. */
static void fill_grid(const nr_cool_curve *c, work *w)
{
    size_t i = 0;
    for (size_t cell = 0; cell < c->cells; cell++) {
        double *row = w->grid + cell * (UNKNOWNS + 1);
        for (int j = 0; j <= UNKNOWNS; j++)
            row[j] = 0;
        if (!c->used_block[cell])
            continue;
        row[0] = w->residual[i];
        for (int j = 0; j < UNKNOWNS; j++)
            row[1 + j] = w->slope[i][j];
        i++;
    }
    nr_whiten(&w->whitener, w->grid, UNKNOWNS + 1, UNKNOWNS + 1);
}

static bool step(const nr_cool_curve *c, work *w, const double p[UNKNOWNS], double u_offset,
                 double move[UNKNOWNS], double inverse[UNKNOWNS][UNKNOWNS])
{
    double a[UNKNOWNS][UNKNOWNS] = {{0}}, b[UNKNOWNS] = {0};
    fill_grid(c, w);
    for (size_t cell = 0; cell < c->cells; cell++) {
        const double *row = w->grid + cell * (UNKNOWNS + 1);
        for (int i = 0; i < UNKNOWNS; i++) {
            b[i] += row[1 + i] * row[0];
            for (int j = 0; j < UNKNOWNS; j++)
                a[i][j] += row[1 + i] * row[1 + j];
        }
    }
    a[OFFSET][OFFSET] += 1 / (u_offset * u_offset);
    b[OFFSET] -= p[OFFSET] / (u_offset * u_offset);
    if (!invert(a, inverse))
        return false;
    for (int i = 0; i < UNKNOWNS; i++) {
        move[i] = 0;
        for (int j = 0; j < UNKNOWNS; j++)
            move[i] += inverse[i][j] * b[j];
    }
    return true;
}

static void residuals(nr_cool_curve *c, work *w, const double p[UNKNOWNS])
{
    run_curve(c, p, c->fitted, w->slope);
    for (size_t i = 0; i < c->n; i++)
        w->residual[i] = c->reading[i] - c->fitted[i];
}

static nr_noise noise_of(const nr_cool_curve *c, work *w)
{
    double floor = fmax(FLOOR_K, c->resolution_K / sqrt(12)), sum = 0;
    size_t i = 0;
    for (size_t cell = 0; cell < c->cells; cell++)
        w->grid[cell] = c->used_block[cell] ? w->residual[i++] : NAN;
    if (c->n >= MEMORY_LEAST)
        return nr_noise_estimate(w->grid, c->used_block, c->cells, floor);
    for (i = 0; i < c->n; i++)
        sum += w->residual[i] * w->residual[i];
    double freedom = fmax((double)c->n - 2, 1);
    return (nr_noise){.sigma = fmax(floor, sqrt(sum / freedom)), .slow = 0, .phi = 0};
}

/* The largest change of a residual from one mean to the next, against the usual one. */
static void find_jump(nr_cool_curve *c, const double *residual)
{
    double sum = 0, most = 0;
    size_t at = 1;
    for (size_t i = 1; i < c->n; i++) {
        double d = residual[i] - residual[i - 1];
        sum += d * d;
        if (fabs(d) > fabs(most)) {
            most = d;
            at = i;
        }
    }
    /* Without the largest itself, which would hide behind its own size. */
    double usual = sqrt((sum - most * most) / fmax((double)c->n - 2, 1));
    usual = fmax(usual, fmax(FLOOR_K, c->resolution_K / sqrt(6)));
    c->jump_K = most;
    c->jump_z = most / usual;
    c->jump_at_s = c->t[at];
}

static bool search(nr_cool_curve *c, work *w, double u_offset, double p[UNKNOWNS],
                   double inverse[UNKNOWNS][UNKNOWNS])
{
    double move[UNKNOWNS];
    for (int pass = 0; pass < 3; pass++) {
        residuals(c, w, p);
        nr_noise noise = noise_of(c, w);
        nr_whitener_set(&w->whitener, &noise, c->used_block);
        for (int round = 0; round < ROUNDS; round++) {
            residuals(c, w, p);
            if (!step(c, w, p, u_offset, move, inverse))
                return false;
            for (int i = 0; i < UNKNOWNS; i++)
                p[i] += move[i];
            if (fabs(move[RATE]) < 1e-6 * sqrt(inverse[RATE][RATE]))
                break;
        }
    }
    residuals(c, w, p);
    return isfinite(p[RATE]);
}

nr_code nr_cool_curve_fit(nr_cool_curve *c, double u_probes_K, nr_err *err)
{
    work w = {.slope = calloc(c->n, sizeof *w.slope),
              .residual = calloc(c->n, sizeof *w.residual),
              .grid = calloc(c->cells * (UNKNOWNS + 1), sizeof *w.grid)};
    bool room = nr_whitener_init(&w.whitener, c->cells) && w.slope && w.residual && w.grid;
    double mean = 0, inverse[UNKNOWNS][UNKNOWNS];
    size_t last = c->n - 1;
    for (size_t i = 0; i < c->n; i++)
        mean += (c->reading[i] - c->air[i]) / (double)c->n;
    double p[UNKNOWNS] = {c->reading[0],
                          (c->reading[0] - c->reading[last]) / (c->t[last] - c->t[0]) / mean, 0};
    bool found = room && search(c, &w, fmax(u_probes_K, 1e-4), p, inverse);
    if (found) {
        /* What the thermometers' common error adds: all of the variance, less what is left when it
         * is known. */
        double all = inverse[RATE][RATE];
        double known =
            all - inverse[RATE][OFFSET] * inverse[RATE][OFFSET] / inverse[OFFSET][OFFSET];
        double sum = 0;
        for (size_t i = 0; i < c->n; i++)
            sum += w.residual[i] * w.residual[i];
        c->rate = p[RATE];
        c->u_rate_noise = sqrt(fmax(known, 0));
        c->u_rate_probes = sqrt(fmax(all - known, 0));
        c->rms_K = sqrt(sum / (double)c->n);
        c->degrees = c->n < MEMORY_LEAST ? fmax((double)c->n - 2, 1) : INFINITY;
        find_jump(c, w.residual);
    }
    free(w.slope);
    free(w.residual);
    free(w.grid);
    nr_whitener_free(&w.whitener);
    if (!room)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    return found ? NR_OK
                 : nr_fail(err, NR_CANNOT, NULL, 0,
                           "the readings do not follow a cooling: look at them with `noonfit "
                           "inspect --plot`");
}

void nr_cool_curve_free(nr_cool_curve *c)
{
    free(c->t);
    free(c->reading);
    free(c->air);
    free(c->fitted);
    free(c->used_block);
    *c = (nr_cool_curve){0};
}
