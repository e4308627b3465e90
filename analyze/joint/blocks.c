/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/blocks.h"

#include "analyze/estimate/arrow.h"
#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"
#include "logger/base/wide.h"

#include <gsl/gsl_errno.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_STEPS 60
#define HALVINGS 4
/* Parts of a step that a parabola may ask for, and how far from one it is worth a simulation. */
#define NEAREST 0.1
#define FURTHEST 4.0
#define FAR_FROM_ONE 0.15
/* Done when a full step would move the solution by less than a 300th of its standard errors all
 * together (a thirtieth, where the noise is estimated again anyway); a minimum when by less than a
 * hundredth of each (root mean square; a tenth, where the noise is). */
#define DONE 1e-5
#define NEARLY_DONE 1e-3
#define OFFSET_LIMIT 0.01
#define NEAR_OFFSET_LIMIT 0.1
/* Slopes of where a full step foretold no more than this (a tenth of all standard errors together)
 * are as good as those of the minimum. */
#define NEAR 1e-2
/* A step that did as foretold within this share of its fall was through linear country: the slopes
 * are good for the next one, too (chord steps, at a fifth of the cost). */
#define AS_FORETOLD 0.1
/* One that fell by less than this share of what was foretold was too long: the next are shorter. */
#define SHORT_OF 0.3
/* Damping, as part of the diagonal. */
#define FIRST_DAMPING 1e-3
#define LEAST_DAMPING 1e-4
#define MOST_DAMPING 1e6
/* Slopes cost as many evaluations of the residuals. */
#define SLOPES_COST 3

/* One piece's own: J'J (lower triangle) and J'r to the parameters that it knows. */
typedef struct own {
    size_t n, parameter[NR_TERMS];
    int column[NR_TERMS];
    double squares, slope[NR_TERMS], normal[NR_TERMS][NR_TERMS];
} own;

typedef struct blocks {
    nr_joint *j;
    const double *scale;
    size_t m, rows, most;     /* rows: of all channels and priors; most: of a piece */
    size_t spent, budget;     /* evaluations of all residuals */
    nr_arrow *normal;         /* of the scaled parameters */
    own *own;                 /* [pieces] */
    double *slope, *step;     /* [m] */
    double *x, *trial, *best; /* [m] */
    bool best_is_last;        /* the pieces are as they were looked at there */
    double *room;             /* of the workers: residuals and slopes of a piece each */
    const double *at;         /* where pieces are looked at ... */
    nr_slopes slopes;         /* ... and whether with slopes */
} blocks;

static void blocks_free(blocks *w)
{
    nr_arrow_free(w->normal);
    free(w->own);
    free(w->slope);
    free(w->step);
    free(w->x);
    free(w->trial);
    free(w->best);
    free(w->room);
}

static bool blocks_init(blocks *w, nr_joint *j, const double *scale, size_t budget)
{
    *w = (blocks){.j = j, .scale = scale, .m = j->parameters, .most = 1, .budget = budget};
    for (size_t i = 0; i < j->pieces; i++) {
        size_t rows = nr_joint_piece_height(j, i);
        w->most = rows > w->most ? rows : w->most;
        for (int c = 0; c < NR_OUTS; c++)
            w->rows += j->piece[i].fits[c] ? j->piece[i].used_count[c] : 0;
    }
    for (size_t i = 0; i < w->m; i++)
        w->rows += j->parameter[i].has_prior;
    size_t *group = malloc(w->m * sizeof *group);
    if (group) {
        nr_joint_groups(j, group);
        w->normal = nr_arrow_new(w->m, group, j->runs);
    }
    free(group);
    w->own = calloc(j->pieces, sizeof *w->own);
    for (size_t i = 0; w->own && i < j->pieces; i++)
        w->own[i].n = nr_joint_piece_columns(j, i, w->own[i].parameter, w->own[i].column);
    w->slope = calloc(w->m, sizeof(double));
    w->step = calloc(w->m, sizeof(double));
    w->x = malloc(w->m * sizeof(double));
    w->trial = malloc(w->m * sizeof(double));
    w->best = malloc(w->m * sizeof(double));
    w->room = malloc(nr_joint_workers(j) * w->most * (NR_TERMS + 1) * sizeof(double));
    return w->normal && w->own && w->slope && w->step && w->x && w->trial && w->best && w->room;
}

static NR_WIDE_LOOP void add_row(own *o, const double *restrict row, double residual)
{
    for (size_t a = 0; a < o->n; a++) {
        double *restrict to = o->normal[a], v = row[a];
        o->slope[a] += v * residual;
        for (size_t b = 0; b <= a; b++)
            to[b] += v * row[b];
    }
}

/* Four rows one after the other: each sum is taken from memory and put back once. */
static NR_WIDE_LOOP void add_four(own *o, const double *restrict row, const double *residual)
{
    const size_t n = o->n;
    const double *restrict r1 = row + n, *restrict r2 = row + 2 * n, *restrict r3 = row + 3 * n;
    for (size_t a = 0; a < n; a++) {
        double *restrict to = o->normal[a], v0 = row[a], v1 = r1[a], v2 = r2[a], v3 = r3[a];
        o->slope[a] =
            o->slope[a] + v0 * residual[0] + v1 * residual[1] + v2 * residual[2] + v3 * residual[3];
        for (size_t b = 0; b <= a; b++)
            to[b] = to[b] + v0 * row[b] + v1 * r1[b] + v2 * r2[b] + v3 * r3[b];
    }
}

static NR_WIDE_LOOP void add_rows_loop(own *o, const double *jacobian, const double *residual,
                                       size_t rows)
{
    size_t k = 0;
    for (; k + 4 <= rows; k += 4)
        add_four(o, jacobian + k * o->n, residual + k);
    for (; k < rows; k++)
        add_row(o, jacobian + k * o->n, residual[k]);
}

NR_WIDE(add_rows, (own * o, const double *jacobian, const double *residual, size_t rows),
        (o, jacobian, residual, rows))

/* Sum of squares, J'J and J'r of one piece. */
static void look_at_piece(void *context, size_t worker, size_t piece)
{
    blocks *w = context;
    own *o = &w->own[piece];
    size_t rows = nr_joint_piece_height(w->j, piece), n = o->n;
    double *residual = w->room + worker * w->most * (NR_TERMS + 1);
    double *jacobian = residual + w->most;
    nr_joint_piece_rows(w->j, piece, w->at, o->column, n, w->slopes, residual, jacobian);
    o->squares = 0;
    for (size_t k = 0; k < rows; k++)
        o->squares += residual[k] * residual[k];
    if (w->slopes == NR_SLOPES_NONE)
        return;
    memset(o->slope, 0, sizeof o->slope);
    memset(o->normal, 0, sizeof o->normal);
    add_rows(o, jacobian, residual, rows);
}

/* Sum of squares at x, of the channels and of all; INFINITY where nothing can be computed. Pieces
 * are summed in their order, whichever thread looked at them. */
static double look(blocks *w, const double *x, nr_slopes slopes, double *data)
{
    double sum = 0;
    *data = INFINITY;
    if (!nr_joint_in_domain(w->j, x))
        return INFINITY;
    w->at = x;
    w->slopes = slopes;
    w->spent += slopes == NR_SLOPES_HERE ? SLOPES_COST : slopes == NR_SLOPES_NONE;
    nr_joint_each_piece(w->j, look_at_piece, w);
    for (size_t i = 0; i < w->j->pieces; i++)
        sum += w->own[i].squares;
    *data = sum;
    for (size_t i = 0; i < w->m; i++)
        sum += w->j->parameter[i].has_prior ? pow(nr_like_residual(w->j, x, i), 2) : 0;
    return isfinite(sum) ? sum : INFINITY;
}

/* A unit of a scaled parameter in its prior's standard uncertainties. */
static double scaled_u(const blocks *w, size_t i)
{
    return w->scale[i] / w->j->parameter[i].prior_u;
}

/* Where those begin and end whose priors may lean on this one's; nowhere without a prior. */
static size_t first_like(const blocks *w, size_t i)
{
    return w->j->parameter[i].group ? 0 : i;
}
static size_t last_like(const blocks *w, size_t i)
{
    const nr_parameter *p = &w->j->parameter[i];
    return !p->has_prior ? 0 : p->group ? w->m : i + 1;
}

/* J'r of all pieces as they were looked at last, at x, with the priors'. */
static void add_slopes(const blocks *w, const double *x, double *slope)
{
    for (size_t i = 0; i < w->j->pieces; i++) {
        const own *o = &w->own[i];
        for (size_t a = 0; a < o->n; a++)
            slope[o->parameter[a]] += w->scale[o->parameter[a]] * o->slope[a];
    }
    for (size_t i = 0; i < w->m; i++)
        for (size_t k = first_like(w, i); k < last_like(w, i); k++) {
            const nr_parameter *q = &w->j->parameter[k];
            double information = nr_like_information(w->j, i, k);
            if (information != 0)
                slope[i] += scaled_u(w, i) * information * (x[k] - q->prior) / q->prior_u;
        }
}

/* J'J and J'r of all pieces into their places, with the priors. */
static void gather(blocks *w)
{
    nr_arrow_clear(w->normal);
    for (size_t i = 0; i < w->j->pieces; i++) {
        const own *o = &w->own[i];
        for (size_t a = 0; a < o->n; a++)
            for (size_t b = 0; b <= a; b++)
                nr_arrow_add(w->normal, o->parameter[a], o->parameter[b],
                             w->scale[o->parameter[a]] * w->scale[o->parameter[b]] *
                                 o->normal[a][b]);
    }
    for (size_t i = 0; i < w->m; i++)
        for (size_t k = first_like(w, i); k < last_like(w, i) && k <= i; k++) {
            double information = nr_like_information(w->j, i, k);
            if (information != 0)
                nr_arrow_add(w->normal, i, k, scaled_u(w, i) * scaled_u(w, k) * information);
        }
    memset(w->slope, 0, w->m * sizeof(double));
    add_slopes(w, w->x, w->slope);
}

/* The step for the damping, and how far the squares fall by it if all is linear. */
static bool find_step(blocks *w, double damping, double *fall)
{
    if (!nr_arrow_factor(w->normal, damping))
        return false;
    memcpy(w->step, w->slope, w->m * sizeof(double));
    nr_arrow_solve(w->normal, w->step);
    *fall = 0;
    for (size_t i = 0; i < w->m; i++)
        *fall += w->step[i] * w->slope[i];
    return isfinite(*fall);
}

static bool overspent(const blocks *w)
{
    return w->spent >= w->budget;
}

/* Where a part of the step leads; to may be w->x. */
static void step_by(blocks *w, double part, double *to)
{
    for (size_t i = 0; i < w->m; i++)
        w->trial[i] = part * w->step[i] * w->scale[i];
    nr_joint_straight_step(w->j, w->x, w->trial);
    if (to != w->trial)
        memcpy(to, w->trial, w->m * sizeof *to);
}

/* Sum of squares at a part of the step; where it is the least so far, it is kept as best. */
static double try_part(blocks *w, double part, double *chi2, double *data)
{
    double now_data;
    step_by(w, part, w->trial);
    double now = look(w, w->trial, NR_SLOPES_NONE, &now_data);
    if (now < *chi2) {
        *chi2 = now;
        *data = now_data;
        memcpy(w->best, w->trial, w->m * sizeof(double));
        w->best_is_last = true;
    } else {
        w->best_is_last = false;
    }
    return now;
}

/* Walks down the step as far as it goes down. Where the residuals are large beside their noise the
 * valley bends up (or down) more than the slopes foretell, and full steps go past the floor and
 * back: the parabola through both sums and the slope between says how far is right. */
static bool walk(blocks *w, double fall, double *chi2, double *data)
{
    double before = *chi2, part = 1, now = try_part(w, part, chi2, data);
    double bend = now - before + 2 * fall; /* of before - 2 fall part + bend part^2 */
    double best = bend > fall / FURTHEST ? fall / bend : FURTHEST;
    if (isfinite(now) && best > NEAREST && fabs(best - 1) > FAR_FROM_ONE)
        (void)try_part(w, best, chi2, data);
    for (int i = 1; i < HALVINGS && !(*chi2 < before) && !overspent(w); i++) {
        part /= 2;
        (void)try_part(w, part, chi2, data);
    }
    if (!(*chi2 < before))
        return false;
    memcpy(w->x, w->best, w->m * sizeof(double));
    return true;
}

/* Whether the point where the search ended is a minimum; the last factor is its undamped one. */
static bool is_minimum(const blocks *w, nr_closeness close, double chi2, double fall)
{
    double limit = close == NR_CLOSE_FOR_NOISE ? NEAR_OFFSET_LIMIT : OFFSET_LIMIT;
    double inside = fall / (double)w->m;
    double outside = fmax(chi2 - fall, 0) / (double)(w->rows > w->m ? w->rows - w->m : 1);
    return inside <= limit * limit * outside;
}

/* Slopes of here, or those that are kept (the pieces were simulated here last), gathered. */
static double stand(blocks *w, bool here, double *data)
{
    double chi2 = look(w, w->x, here ? NR_SLOPES_HERE : NR_SLOPES_KEPT, data);
    w->j->has_slopes = isfinite(chi2);
    if (isfinite(chi2))
        gather(w);
    return chi2;
}

/* Goes down by one step, with slopes of here damped until it does, and says whether it fell as
 * foretold. False: no way down. */
static bool go(blocks *w, bool here, double *damping, double *chi2, double *data, bool *as_foretold)
{
    bool down = false;
    double expected = 0, before = *chi2;
    while (!down && *damping <= MOST_DAMPING && !overspent(w)) {
        if (!find_step(w, *damping, &expected))
            return false;
        down = walk(w, expected, chi2, data);
        if (!down && !here)
            return false;
        if (!down)
            *damping = fmax(10 * *damping, FIRST_DAMPING);
    }
    double share = (before - *chi2) / expected;
    *as_foretold = down && w->best_is_last && *damping == 0 && fabs(share - 1) < AS_FORETOLD;
    if (share < SHORT_OF)
        *damping = fmax(10 * *damping, FIRST_DAMPING);
    else
        *damping = *damping / 10 < LEAST_DAMPING ? 0 : *damping / 10;
    return down;
}

static bool search(blocks *w, nr_closeness close, double *data)
{
    double damping = 0, fall = INFINITY, chi2 = INFINITY;
    bool here = !w->j->has_slopes, stands = w->j->stands, near = false;
    w->j->stands = false;
    if (!here && !stands && !isfinite(look(w, w->x, NR_SLOPES_NONE, data)))
        return false;
    for (int i = 0; i < MOST_STEPS; i++) {
        chi2 = stand(w, here, data);
        if (!isfinite(chi2) || !find_step(w, 0, &fall))
            return false;
        near = here ? fall < NEAR : near;
        bool enough = fall < (close == NR_CLOSE_EXACTLY ? DONE : NEARLY_DONE);
        if (enough && (near || close == NR_CLOSE_FOR_NOISE)) {
            if (close == NR_CLOSE_ONE_MORE)
                step_by(w, 1, w->x);
            return true;
        }
        if (enough || fall < DONE) { /* as far as slopes of nearby lead */
            here = true;
            continue;
        }
        bool as_foretold = false;
        bool down = go(w, here, &damping, &chi2, data, &as_foretold);
        if (overspent(w))
            return false;
        if (!down && here) /* rounding: no way down from here */
            break;
        here = !as_foretold;
    }
    chi2 = stand(w, true, data);
    return isfinite(chi2) && find_step(w, 0, &fall) && is_minimum(w, close, chi2, fall);
}

/* False: it does not go down. */
static bool one_step(blocks *w, double *data)
{
    double fall, chi2 = stand(w, !w->j->has_slopes, data);
    return isfinite(chi2) && find_step(w, 0, &fall) &&
           (fall < NEARLY_DONE || walk(w, fall, &chi2, data));
}

static nr_code refuse(const blocks *w, nr_err *err)
{
    if (overspent(w))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the search does not converge and was given up after %zu evaluations: the "
                       "readings contradict each other or the model",
                       w->spent);
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "the least-squares iteration found no minimum: the gradient does not vanish "
                   "where it stopped");
}

/* Of a thousand parameters and more it takes as long as an evaluation. */
typedef struct covariance_work {
    const blocks *w;
    double *to;
} covariance_work;

static void covariance_row(void *context, size_t worker, size_t i)
{
    const covariance_work *c = context;
    const blocks *w = c->w;
    (void)worker;
    for (size_t k = 0; k <= i; k++)
        c->to[i * w->m + k] = c->to[k * w->m + i] =
            nr_arrow_inverse(w->normal, i, k) * w->scale[i] * w->scale[k];
}

nr_code nr_blocks_solve(nr_joint *j, const double *scale, nr_closeness close, size_t budget,
                        double *x, double *covariance, double *chi2_data, nr_err *err)
{
    blocks w;
    nr_code code = NR_OK;
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    if (!blocks_init(&w, j, scale, budget)) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    } else {
        memcpy(w.x, j->x, w.m * sizeof(double));
        bool found =
            close == NR_CLOSE_ONE_STEP ? one_step(&w, chi2_data) : search(&w, close, chi2_data);
        if (!found || !nr_arrow_invert(w.normal))
            code = refuse(&w, err);
    }
    j->spent += w.spent;
    if (!code) {
        memcpy(x, w.x, w.m * sizeof *x);
        nr_joint_each(j, w.m, covariance_row, &(covariance_work){&w, covariance});
    }
    blocks_free(&w);
    gsl_set_error_handler(before);
    return code;
}
