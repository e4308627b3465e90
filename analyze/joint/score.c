/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/score.h"

#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"
#include "analyze/joint/score_inside.h"
#include "analyze/joint/score_parts.h"
#include "logger/base/wide.h"

#include <gsl/gsl_errno.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NO_PIECE ((size_t)-1)

static void raw_free(nr_scorer_raw *r, const nr_joint *j)
{
    if (!r)
        return;
    for (size_t i = 0; r->whitener && i < j->pieces * NR_OUTS; i++)
        nr_whitener_free(&r->whitener[i]);
    free(r->residual);
    free(r->jacobian);
    free(r->whitener);
    free(r->white);
    free(r->column);
    free(r);
}

void nr_scorer_free(nr_scorer *s)
{
    if (!s)
        return;
    for (size_t i = 0; i < s->usuals && !s->shares; i++) {
        free(s->usual[i].row);
        free(s->usual[i].raw);
    }
    raw_free(s->raw, s->joint);
    if (!s->shares) {
        nr_arrow_free(s->factor);
        free(s->rest);
    }
    free(s->now.which);
    free(s->now.residual);
    free(s->now.jacobian);
    free(s->now.usual);
    free(s->now.covariance);
    free(s->now.slope);
    free(s->now.spread);
    free(s->signature);
    free(s);
}

/* Room for the current piece. */
static bool make_room(nr_scorer *s)
{
    const nr_joint *j = s->joint;
    size_t blocks = 1, rows = 1, most = NR_TERMS + NR_SCORER_USUAL;
    for (size_t i = 0; i < j->pieces; i++) {
        blocks = j->piece[i].part->blocks > blocks ? j->piece[i].part->blocks : blocks;
        rows = nr_joint_piece_height(j, i) > rows ? nr_joint_piece_height(j, i) : rows;
    }
    s->now = (nr_scorer_current){.piece = NO_PIECE,
                                 .residual = malloc(rows * sizeof(double)),
                                 .jacobian = malloc(rows * NR_TERMS * sizeof(double)),
                                 .which = malloc(most * sizeof(size_t)),
                                 .slope = malloc(most * sizeof(double)),
                                 .spread = malloc(most * sizeof(double))};
    s->signature = malloc(NR_OUTS * blocks * sizeof(double));
    return s->now.residual && s->now.jacobian && s->now.which && s->now.slope && s->now.spread &&
           s->signature;
}

nr_code nr_scorer_open(const nr_joint *j, nr_scorer **out, nr_err *err)
{
    nr_scorer *s = calloc(1, sizeof *s);
    *out = s;
    if (!s)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    s->joint = j;
    bool room = make_room(s);
    if (room && nr_joint_in_domain(j, j->x)) {
        nr_joint_slopes(j);
        return NR_OK;
    }
    nr_scorer_free(s);
    *out = NULL;
    return nr_fail(err, NR_BAD, NULL, 0,
                   room ? "the solution cannot be looked at" : "out of memory");
}

/* Most signatures begin somewhere: the first that is not zero. */
static size_t first_of(const double *v, size_t n)
{
    size_t i = 0;
    while (i < n && v[i] == 0)
        i++;
    return i;
}

/* Whitens a signature into to[NR_OUTS * blocks], zero where nothing is fitted. */
static void whiten(const nr_scorer *s, size_t piece, const double *const added[NR_OUTS], double *to)
{
    const nr_piece *p = &s->joint->piece[piece];
    size_t blocks = p->part->blocks;
    memset(to, 0, NR_OUTS * blocks * sizeof(double));
    for (size_t c = 0; c < NR_OUTS; c++)
        if (p->fits[c] && added[c]) {
            nr_whitener w = p->whitener[c];
            size_t from = first_of(added[c], blocks);
            memcpy(to + c * blocks + from, added[c] + from, (blocks - from) * sizeof(double));
            w.n -= from; /* it has seen nothing before */
            w.gain += from;
            w.gain2 += from;
            w.weight += from;
            nr_whiten(&w, to + c * blocks + from, 1, 1);
        }
}

nr_code nr_scorer_allow(nr_scorer *s, size_t piece, const double *const added[NR_OUTS], double sd,
                        nr_err *err)
{
    if (s->usuals == NR_SCORER_USUAL || s->factor || !(sd > 0))
        return NR_OK; /* what is not allowed for only makes the tests sharper */
    nr_scorer_usual *u = &s->usual[s->usuals];
    size_t blocks = s->joint->piece[piece].part->blocks;
    *u = (nr_scorer_usual){piece, sd, calloc(NR_OUTS * blocks, sizeof(double)),
                           calloc(NR_OUTS * blocks, sizeof(double))};
    s->usuals++;
    if (!u->row || !u->raw)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    whiten(s, piece, added, u->row);
    for (size_t c = 0; c < NR_OUTS; c++)
        if (added[c])
            memcpy(u->raw + c * blocks, added[c], blocks * sizeof(double));
    return NR_OK;
}

/* The usual departures of the piece as columns beside each other, of what is fitted. */
static bool lay_out_usual(nr_scorer *s)
{
    nr_scorer_current *now = &s->now;
    const nr_piece *p = &s->joint->piece[now->piece];
    size_t blocks = p->part->blocks, q = now->known - now->parameters, at = 0;
    free(now->usual);
    now->usual = malloc((nr_joint_piece_height(s->joint, now->piece) * q + 1) * sizeof(double));
    for (size_t c = 0; now->usual && c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < blocks; b++, at++)
            for (size_t i = 0; i < q; i++) {
                size_t which = now->which[now->parameters + i] - s->joint->parameters;
                now->usual[at * q + i] = s->usual[which].row[c * blocks + b];
            }
    return now->usual != NULL;
}

/* Turns to a piece: its rows, and who has a part in them. False: out of memory. */
static bool turn_to(nr_scorer *s, size_t piece)
{
    nr_scorer_current *c = &s->now;
    int column[NR_TERMS];
    if (c->piece == piece)
        return true;
    free(c->covariance);
    c->covariance = NULL;
    c->piece = piece;
    c->parameters = c->known = nr_joint_piece_columns(s->joint, piece, c->parameter, column);
    memcpy(c->which, c->parameter, c->parameters * sizeof *c->which);
    for (size_t i = 0; i < s->usuals; i++)
        if (s->usual[i].piece == piece)
            c->which[c->known++] = s->joint->parameters + i;
    nr_joint_piece_rows(s->joint, piece, s->joint->x, column, c->parameters, NR_SLOPES_KEPT,
                        c->residual, c->jacobian);
    if (lay_out_usual(s))
        return true;
    c->piece = NO_PIECE;
    return false;
}

/* Sums of rows with weights, one row after the other; four at a time, for each sum is taken from
 * memory and put back once. */
static NR_WIDE_LOOP void add_weighted_loop(double *restrict sum, const double *restrict row,
                                           const double *restrict weight, size_t rows, size_t n)
{
    size_t at = 0;
    for (; at + 4 <= rows; at += 4) {
        const double *restrict r = row + at * n, *restrict v = weight + at;
        for (size_t k = 0; k < n; k++)
            sum[k] =
                sum[k] + v[0] * r[k] + v[1] * r[n + k] + v[2] * r[2 * n + k] + v[3] * r[3 * n + k];
    }
    for (; at < rows; at++)
        for (size_t k = 0; k < n; k++)
            sum[k] += weight[at] * row[at * n + k];
}

NR_WIDE(add_weighted,
        (double *restrict sum, const double *restrict row, const double *restrict weight,
         size_t rows, size_t n),
        (sum, row, weight, rows, n))

/* Product of a whitened signature with the rows of the current piece: itself, the residuals, every
 * column of the Jacobian and every usual departure (into its slope). */
static void multiply(nr_scorer *s, const double *row, double *self, double *with)
{
    nr_scorer_current *now = &s->now;
    const nr_piece *p = &s->joint->piece[now->piece];
    size_t blocks = p->part->blocks, m = now->parameters, q = now->known - m, at = 0;
    *self = *with = 0;
    memset(now->slope, 0, now->known * sizeof *now->slope);
    for (size_t c = 0; c < NR_OUTS; c++) {
        const double *v = row + c * blocks;
        if (!p->fits[c])
            continue;
        size_t from = first_of(v, blocks);
        for (size_t b = from; b < blocks; b++) {
            *self += v[b] * v[b];
            *with -= v[b] * now->residual[at + b];
        }
        size_t first = at + from, left = blocks - from;
        add_weighted(now->slope, now->jacobian + first * m, v + from, left, m);
        add_weighted(now->slope + m, now->usual + first * q, v + from, left, q);
        at += blocks;
    }
}

/* A piece's part of the information of parameters and usual departures, and of where they rest. */
static bool fill_piece(nr_scorer *s, size_t piece)
{
    if (!turn_to(s, piece))
        return false;
    const nr_scorer_current *c = &s->now;
    size_t m = s->joint->parameters, n = c->parameters,
           rows = nr_joint_piece_height(s->joint, piece);
    double sum[NR_TERMS][NR_TERMS] = {{0}}, self, with;
    for (size_t k = 0; k < rows; k++) {
        const double *restrict row = c->jacobian + k * n;
        for (size_t a = 0; a < n; a++) {
            double *restrict to = sum[a], v = row[a];
            for (size_t b = 0; v != 0 && b <= a; b++)
                to[b] += v * row[b];
            /* Zero at an exact minimum. The search stops when steps are a few hundredths of a
             * standard uncertainty, and a signature that parameters can nearly imitate makes much
             * of that. */
            s->rest[c->parameter[a]] -= v * c->residual[k];
        }
    }
    for (size_t a = 0; a < n; a++)
        for (size_t b = 0; b <= a; b++)
            nr_arrow_add(s->factor, c->parameter[a], c->parameter[b], sum[a][b]);
    for (size_t i = n; i < c->known; i++) {
        const nr_scorer_usual *u = &s->usual[c->which[i] - m];
        multiply(s, u->row, &self, &with);
        for (size_t k = 0; k < i; k++)
            nr_arrow_add(s->factor, c->which[i], c->which[k], c->slope[k]);
        nr_arrow_add(s->factor, c->which[i], c->which[i], self + 1 / (u->sd * u->sd));
        s->rest[c->which[i]] += with;
    }
    return true;
}

static bool fill(nr_scorer *s)
{
    const nr_joint *j = s->joint;
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *p = &j->parameter[i];
        for (size_t k = 0; p->has_prior && k < j->parameters; k++) {
            const nr_parameter *q = &j->parameter[k];
            double information = nr_like_information(j, i, k) / p->prior_u;
            if (information == 0)
                continue;
            s->rest[i] -= information * (j->x[k] - q->prior) / q->prior_u;
            if (k <= i)
                nr_arrow_add(s->factor, i, k, information / q->prior_u);
        }
    }
    for (size_t i = 0; i < j->pieces; i++)
        if (!fill_piece(s, i))
            return false;
    return nr_arrow_factor(s->factor, 0) && nr_arrow_invert(s->factor);
}

/* False: nothing can be said. */
static bool ready(nr_scorer *s)
{
    if (s->factor || s->shares)
        return s->factored;
    const nr_joint *j = s->joint;
    size_t m = j->parameters, *group = malloc((m + s->usuals) * sizeof *group);
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    if (group) {
        nr_joint_groups(j, group);
        for (size_t i = 0; i < s->usuals; i++)
            group[m + i] = j->piece[s->usual[i].piece].run;
        s->factor = nr_arrow_new(m + s->usuals, group, j->runs);
        s->now.piece = NO_PIECE; /* usual departures may have come since */
    }
    s->rest = calloc(m + s->usuals, sizeof *s->rest);
    s->factored = s->factor && s->rest && fill(s);
    if (s->factored)
        nr_arrow_solve(s->factor, s->rest);
    gsl_set_error_handler(before);
    free(group);
    return s->factored;
}

nr_scorer *nr_scorer_share(nr_scorer *of)
{
    (void)ready(of); /* that is what is shared */
    nr_scorer *s = malloc(sizeof *s);
    if (!s)
        return NULL;
    *s = *of;
    s->shares = true;
    s->raw = NULL;
    if (make_room(s))
        return s;
    nr_scorer_free(s);
    return NULL;
}

/* The covariance of what has a part in the current piece. */
static bool know(nr_scorer *s)
{
    nr_scorer_current *c = &s->now;
    if (c->covariance)
        return true;
    c->covariance = malloc(c->known * c->known * sizeof(double));
    for (size_t i = 0; c->covariance && i < c->known; i++)
        for (size_t k = 0; k <= i; k++)
            c->covariance[i * c->known + k] = c->covariance[k * c->known + i] =
                nr_arrow_inverse(s->factor, c->which[i], c->which[k]);
    return c->covariance != NULL;
}

/* to = C slope, of the current piece. */
static void spread(const nr_scorer_current *c, const double *slope, double *to)
{
    for (size_t i = 0; i < c->known; i++) {
        const double *restrict row = c->covariance + i * c->known;
        to[i] = 0;
        for (size_t k = 0; k < c->known; k++)
            to[i] += row[k] * slope[k];
    }
}

static double product(const double *restrict a, const double *restrict b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

nr_score nr_scorer_try(nr_scorer *s, size_t piece, const double *const added[NR_OUTS])
{
    nr_score nothing = {0, INFINITY, 0};
    if (!ready(s))
        return nothing;
    if (!turn_to(s, piece) || !know(s))
        return nothing;
    const nr_scorer_current *c = &s->now;
    double self, with;
    whiten(s, piece, added, s->signature);
    multiply(s, s->signature, &self, &with);
    spread(c, c->slope, c->spread);
    for (size_t i = 0; i < c->known; i++)
        with -= c->slope[i] * s->rest[c->which[i]];
    return nr_score_from(self, self - product(c->slope, c->spread, c->known), with);
}

double nr_scorer_moves(nr_scorer *s, size_t piece, const double *const added[NR_OUTS],
                       const double *gradient)
{
    double self, with, sum = 0;
    if (!ready(s))
        return 0;
    if (!turn_to(s, piece) || !know(s))
        return 0;
    const nr_scorer_current *c = &s->now;
    whiten(s, piece, added, s->signature);
    multiply(s, s->signature, &self, &with);
    spread(c, c->slope, c->spread);
    for (size_t i = 0; i < c->parameters; i++)
        sum += gradient[c->parameter[i]] * c->spread[i];
    return sum;
}

static void fill_parts(nr_scorer *s, const double *const *part, nr_score_parts *p, double *row,
                       double *slope)
{
    const nr_scorer_current *c = &s->now;
    size_t n = p->count, height = NR_OUTS * s->joint->piece[c->piece].part->blocks;
    for (size_t k = 0; k < n; k++) {
        double self, *mine = slope + k * c->known;
        whiten(s, c->piece, part + k * NR_OUTS, row + k * height);
        multiply(s, row + k * height, &self, &p->with[k]);
        memcpy(mine, c->slope, c->known * sizeof *mine);
        spread(c, mine, c->spread);
        for (size_t i = 0; i < c->known; i++)
            p->with[k] -= mine[i] * s->rest[c->which[i]];
        for (size_t l = 0; l <= k; l++) {
            double of_both = product(row + k * height, row + l * height, height);
            p->self[k * n + l] = p->self[l * n + k] = of_both;
            p->own[k * n + l] = p->own[l * n + k] =
                of_both - product(c->spread, slope + l * c->known, c->known);
        }
    }
}

nr_score_parts *nr_scorer_parts(nr_scorer *s, size_t piece, const double *const *part, size_t count)
{
    nr_score_parts *p = ready(s) ? calloc(1, sizeof *p) : NULL;
    if (!p)
        return NULL;
    if (!turn_to(s, piece)) {
        nr_score_parts_free(p);
        return NULL;
    }
    size_t height = NR_OUTS * s->joint->piece[piece].part->blocks;
    p->count = count;
    p->self = malloc(count * count * sizeof(double));
    p->own = malloc(count * count * sizeof(double));
    p->with = malloc(count * sizeof(double));
    double *row = malloc(count * height * sizeof(double));
    double *slope = malloc(count * s->now.known * sizeof(double));
    bool good = p->self && p->own && p->with && row && slope && know(s);
    if (good)
        fill_parts(s, part, p, row, slope);
    free(row);
    free(slope);
    if (good)
        return p;
    nr_score_parts_free(p);
    return NULL;
}

nr_score nr_scorer_leaning(nr_scorer *s, size_t i)
{
    nr_score nothing = {0, INFINITY, 0};
    if (i >= s->usuals || !ready(s))
        return nothing;
    size_t at = s->joint->parameters + i;
    double variance = nr_arrow_inverse(s->factor, at, at), sd = s->usual[i].sd;
    double size = s->rest[at];
    return (nr_score){size, sqrt(variance), size / sqrt(fmax(sd * sd - variance, 1e-6 * sd * sd))};
}

bool nr_scorer_rest(nr_scorer *s, size_t parameter, size_t other, double *value, double *covariance)
{
    if (!ready(s))
        return false;
    *value = s->joint->x[parameter] + s->rest[parameter];
    *covariance = nr_arrow_inverse(s->factor, parameter, other);
    return true;
}

static nr_loop_output wanted(double *const reading[NR_OUTS])
{
    nr_loop_output out = {0};
    for (int c = 0; c < NR_OUTS; c++)
        out.reading[c] = reading[c];
    return out;
}

void nr_scorer_predict(const nr_scorer *s, size_t piece, const nr_loop_input *input,
                       double *const reading[NR_OUTS], nr_loop_stand *stand)
{
    nr_loop_params params = nr_joint_params(s->joint, piece, s->joint->x);
    nr_loop_output out = wanted(reading);
    out.stand = stand;
    nr_loop_run(input, &params, &out);
}

void nr_scorer_predict_from(const nr_scorer *s, size_t piece, const nr_loop_input *input,
                            double *const reading[NR_OUTS], size_t from, const nr_loop_stand *stand)
{
    nr_loop_params params = nr_joint_params(s->joint, piece, s->joint->x);
    nr_loop_output out = wanted(reading);
    if (from) /* the very beginning depends on the weather, too */
        nr_loop_run_from(input, &params, &out, from, stand);
    else
        nr_loop_run(input, &params, &out);
}
