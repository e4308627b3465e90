/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/derive.h"
#include "analyze/quality/steady.h"

#include <math.h>
#include <stdlib.h>

/* Length of a store-balance point, and how steady the sun must be in it. */
#define WINDOW_S 300.0
#define SUN_BAND 0.15

static bool add_point(nr_fit *f, nr_point p)
{
    if (!isfinite(p.x) || !isfinite(p.eta))
        return true;
    if (!(f->points & (f->points - 1)) || f->points == 0) {
        nr_point *grown = realloc(f->point, (f->points ? 2 * f->points : 1) * sizeof *grown);
        if (!grown)
            return false;
        f->point = grown;
    }
    f->point[f->points++] = p;
    return true;
}

/* Points from inlet, outlet and flow. */
static nr_code loop_points(const nr_series *s, size_t run, nr_fit *f, nr_err *err)
{
    nr_steady *steady = NULL;
    nr_code code = nr_steady_find(s->run, s->quality, &nr_steady_field,
                                  f->reference == NR_REFERENCE_MEAN, &steady, err);
    if (code)
        return code;
    for (size_t i = 0; !code && i < steady->count; i++) {
        const nr_steady_window *w = &steady->window[i];
        nr_point p = {.x = w->x,
                      .eta = w->eta,
                      .u = w->u,
                      .run = run,
                      .steady = w->strict,
                      .t_s = (w->from_s + w->to_s) / 2};
        if (!add_point(f, p))
            code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    nr_steady_free(steady);
    return code;
}

/* Mean and slope over blocks first .. first + n; NAN with a hole in them. */
static void line(const double *v, size_t first, size_t n, double *mean, double *slope)
{
    double sum = 0, moment = 0, centre = ((double)n - 1) / 2;
    for (size_t i = 0; i < n; i++) {
        sum += v[first + i];
        moment += v[first + i] * ((double)i - centre);
    }
    *mean = sum / (double)n;
    *slope = moment * 12 / ((double)n * ((double)n * (double)n - 1));
}

/* One window of the store's heat balance: eta = (Cs dT/dt + UA (T - Ta)) / A + a5 dT/dt over G. */
static nr_point store_point(const nr_joint *j, size_t piece, const nr_fit *f, const nr_fit_run *r,
                            const double *store, size_t b, size_t n)
{
    nr_loop_params q = nr_joint_params(j, piece, nr_joint_x(j));
    double T, rise, air, air_slope, sun = 0, low = INFINITY, high = 0;
    line(store, b, n, &T, &rise);
    line(r->air_degC, b, n, &air, &air_slope);
    rise /= r->block_s;
    nr_point p = {.x = NAN, .eta = NAN, .t_s = r->t_s[b] + r->block_s * (double)(n - 1) / 2};
    for (size_t i = 0; i < n; i++) {
        if (!r->pump_on[b + i])
            return p;
        sun += r->sun_W_m2[b + i] / (double)n;
        low = fmin(low, r->sun_W_m2[b + i]);
        high = fmax(high, r->sun_W_m2[b + i]);
    }
    if (low < (1 - SUN_BAND) * sun || high > (1 + SUN_BAND) * sun || sun < 100)
        return p;
    double kept = (q.store_J_K * rise + q.store_loss_W_K * (T - air)) / q.area_m2;
    double a5 = f->a5.known ? f->a5.value : 0;
    p.x = (T - air) / sun;
    p.eta = (kept + a5 * rise) / sun;
    /* A slope over n blocks with independent noise s: sqrt(12) s / (n^1.5 block). */
    nr_channel_view water;
    double sigma = nr_joint_channel(j, piece, NR_OUT_STORE, &water) ? water.noise.sigma : NAN;
    double u_rise = sqrt(12) * sigma / (pow((double)n, 1.5) * r->block_s);
    double random = q.store_J_K * u_rise / q.area_m2 / sun;
    double heating = f->a5.known ? f->a5.u * rise / sun : 0;
    p.u = hypot(hypot(random, heating), f->eta0.u_systematic);
    return p;
}

static bool store_points(const nr_joint *j, size_t run, const nr_fit_run *r, size_t run_of_build,
                         nr_fit *f)
{
    size_t at = 0;
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view piece = nr_joint_piece(j, i);
        if (piece.run != run)
            continue;
        size_t n = (size_t)fmax(WINDOW_S / r->block_s, 3);
        for (size_t b = 0; piece.fits[NR_OUT_STORE] && b + n <= piece.part->blocks; b += n) {
            nr_point p = store_point(j, i, f, r, r->channel[0].measured, at + b, n);
            p.run = run_of_build;
            if (!add_point(f, p))
                return false;
        }
        at += piece.part->blocks;
    }
    return true;
}

nr_code nr_derive_points(const nr_joint *j, size_t build, nr_fit *f, nr_err *err)
{
    size_t of_build = 0;
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        if (nr_joint_build_of(j, r) != build)
            continue;
        nr_code code = NR_OK;
        if (f->model == NR_MODEL_STORE) {
            if (!store_points(j, r, &f->run[of_build], of_build, f))
                code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        } else {
            code = loop_points(nr_joint_series(j, r), of_build, f, err);
        }
        if (code)
            return code;
        of_build++;
    }
    return NR_OK;
}
