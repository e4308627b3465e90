/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/score.h"

#include "analyze/estimate/arrow.h"
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "analyze/joint/like.h"
#include "analyze/joint/score_parts.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A usual departure, whitened, on the rows of its piece. */
typedef struct usual {
    size_t piece;
    double sd;
    double *row; /* [NR_OUTS * blocks] */
    double *raw; /* the same as it was named */
} usual;

/* For likelihoods: everything before it was whitened. */
typedef struct raw {
    double *residual, *jacobian; /* [rows], [rows * parameters]; prior rows included */
    nr_whitener *whitener;       /* [pieces * NR_OUTS] */
    double *white, *column;      /* work: [rows * parameters], [rows * (NR_SCORER_USUAL + 1)] */
    double nothing;              /* logarithm of the likelihood without any trouble */
} raw;

/* The piece that is looked at: its whitened rows, one fitted channel behind the other, and the
 * covariance of what has a part in them. */
typedef struct current {
    size_t piece, known; /* parameters, then usual departures of the piece */
    size_t parameters, parameter[NR_TERMS];
    size_t *which;          /* [known] of all unknowns; room for all usual ones */
    double *residual;       /* [most rows] modelled - measured */
    double *jacobian;       /* [most rows * parameters] */
    double *covariance;     /* [known * known]; NULL: not yet */
    double *slope, *spread; /* [known] of a signature; C slope */
} current;

struct nr_scorer {
    const nr_joint *joint;
    size_t usuals;
    usual usual[NR_SCORER_USUAL];
    current now;
    /* Once the first is tried: factor of the information of parameters and usual departures, and
     * where they come to rest together. */
    nr_arrow *factor;
    bool factored;
    bool shares; /* usual departures, factor and rest are another's */
    double *rest;
    double *signature; /* [NR_OUTS * most blocks] */
    raw *raw;          /* made by the first that confirms */
};

#define NO_PIECE ((size_t)-1)

/* Records longer than this are judged by scores alone: forty days would take minutes. */
#define MOST_ROWS 6000

static void raw_free(raw *r, const nr_joint *j)
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
    s->now = (current){.piece = NO_PIECE,
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

/* Whitens a signature into to[NR_OUTS * blocks], zero where nothing is fitted. */
static void whiten(const nr_scorer *s, size_t piece, const double *const added[NR_OUTS], double *to)
{
    const nr_piece *p = &s->joint->piece[piece];
    size_t blocks = p->part->blocks;
    memset(to, 0, NR_OUTS * blocks * sizeof(double));
    for (size_t c = 0; c < NR_OUTS; c++)
        if (p->fits[c] && added[c]) {
            memcpy(to + c * blocks, added[c], blocks * sizeof(double));
            nr_whiten(&p->whitener[c], to + c * blocks, 1, 1);
        }
}

nr_code nr_scorer_allow(nr_scorer *s, size_t piece, const double *const added[NR_OUTS], double sd,
                        nr_err *err)
{
    if (s->usuals == NR_SCORER_USUAL || s->factor || !(sd > 0))
        return NR_OK; /* what is not allowed for only makes the tests sharper */
    usual *u = &s->usual[s->usuals];
    size_t blocks = s->joint->piece[piece].part->blocks;
    *u = (usual){piece, sd, calloc(NR_OUTS * blocks, sizeof(double)),
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

/* Turns to a piece: its rows, and who has a part in them. */
static void turn_to(nr_scorer *s, size_t piece)
{
    current *c = &s->now;
    int column[NR_TERMS];
    if (c->piece == piece)
        return;
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
}

/* Products with four usual departures (or as many as there are): side by side, for each sum waits
 * for itself. */
static void four_usuals(nr_scorer *s, size_t from, const double *row, size_t n)
{
    const current *now = &s->now;
    size_t some = now->known - from < 4 ? now->known - from : 4;
    const double *other[4];
    double sum[4] = {0};
    for (size_t i = 0; i < 4; i++)
        other[i] = s->usual[now->which[from + (i < some ? i : 0)] - s->joint->parameters].row;
    for (size_t k = 0; k < n; k++)
        for (size_t i = 0; i < 4; i++)
            sum[i] += row[k] * other[i][k];
    memcpy(now->slope + from, sum, some * sizeof *sum);
}

/* Product of a whitened signature with the rows of the current piece: itself, the residuals, every
 * column of the Jacobian and every usual departure (into its slope). */
static void multiply(nr_scorer *s, const double *row, double *self, double *with)
{
    current *now = &s->now;
    const nr_piece *p = &s->joint->piece[now->piece];
    size_t blocks = p->part->blocks, m = now->parameters, at = 0;
    double *restrict slope = now->slope;
    *self = *with = 0;
    memset(slope, 0, now->known * sizeof *slope);
    for (size_t c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < blocks; b++, at++) {
            double v = row[c * blocks + b];
            const double *restrict of = now->jacobian + at * m;
            *self += v * v;
            *with -= v * now->residual[at];
            for (size_t k = 0; v != 0 && k < m; k++)
                slope[k] += v * of[k];
        }
    for (size_t i = m; i < now->known; i += 4)
        four_usuals(s, i, row, NR_OUTS * blocks);
}

/* The lower triangle's row i grows by v times the beginning of a row. */
static void add_row(gsl_matrix *to, size_t i, double v, const double *restrict row)
{
    double *restrict at = to->data + i * to->tda;
    for (size_t k = 0; v != 0 && k <= i; k++)
        at[k] += v * row[k];
}

/* A piece's part of the information of parameters and usual departures, and of where they rest. */
static void fill_piece(nr_scorer *s, size_t piece)
{
    turn_to(s, piece);
    const current *c = &s->now;
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
        const usual *u = &s->usual[c->which[i] - m];
        multiply(s, u->row, &self, &with);
        for (size_t k = 0; k < i; k++)
            nr_arrow_add(s->factor, c->which[i], c->which[k], c->slope[k]);
        nr_arrow_add(s->factor, c->which[i], c->which[i], self + 1 / (u->sd * u->sd));
        s->rest[c->which[i]] += with;
    }
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
        fill_piece(s, i);
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
    current *c = &s->now;
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
static void spread(const current *c, const double *slope, double *to)
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
    turn_to(s, piece);
    if (!know(s))
        return nothing;
    const current *c = &s->now;
    double self, with;
    whiten(s, piece, added, s->signature);
    multiply(s, s->signature, &self, &with);
    spread(c, c->slope, c->spread);
    for (size_t i = 0; i < c->known; i++)
        with -= c->slope[i] * s->rest[c->which[i]];
    return nr_score_from(self, self - product(c->slope, c->spread, c->known), with);
}

static void fill_parts(nr_scorer *s, const double *const *part, nr_score_parts *p, double *row,
                       double *slope)
{
    const current *c = &s->now;
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
    turn_to(s, piece);
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

/* ---- likelihoods ---- */

/* No block of a field thermometer is believed better than this; as in the fit. */
#define FLOOR_K 0.002
#define PASSES 2

/* A channel with a filter that leaves everything as it is, and a work space of its own: other
 * threads read what the joint's holds. */
static bool plain_channel(nr_piece *p, size_t c, nr_whitener *w)
{
    size_t blocks = p->part->blocks;
    p->reading[c] = malloc(blocks * sizeof(double));
    p->tangent[c] = malloc(blocks * NR_DYN_COUNT * sizeof(double));
    bool good = nr_whitener_init(w, blocks) && p->reading[c] && p->tangent[c];
    for (size_t b = 0; good && b < blocks; b++) {
        w->gain[b] = 0;
        w->weight[b] = p->used[c][b] ? 1 : 0;
    }
    p->whitener[c] = *w;
    return good;
}

/* Residuals and slopes once more, not whitened. */
static bool unwhitened(const nr_joint *j, raw *r)
{
    nr_joint plain = *j;
    plain.piece = calloc(j->pieces, sizeof *plain.piece);
    bool good = plain.piece != NULL;
    if (good)
        memcpy(plain.piece, j->piece, j->pieces * sizeof *plain.piece);
    for (size_t i = 0; plain.piece && i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (plain.piece[i].fits[c])
                good = plain_channel(&plain.piece[i], c, &r->whitener[i * NR_OUTS + c]) && good;
    good = good && !nr_joint_residuals(j->x, &plain, r->residual) &&
           !nr_joint_jacobian(j->x, &plain, r->jacobian);
    for (size_t i = 0; plain.piece && i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (plain.piece[i].fits[c]) {
                free(plain.piece[i].reading[c]);
                free(plain.piece[i].tangent[c]);
            }
    free(plain.piece);
    return good;
}

/* Adds a signature, as named, to a column of all rows. */
static void spread_out(const nr_joint *j, size_t piece, const double *named, double *column)
{
    const nr_piece *p = &j->piece[piece];
    memset(column, 0, j->rows * sizeof(double));
    for (size_t c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
            column[p->row[c] + b] = p->used[c][b] ? named[c * p->part->blocks + b] : 0;
}

static void set_whiteners(const nr_joint *j, const raw *r, const double *rest)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++) {
            const nr_piece *p = &j->piece[i];
            if (!p->fits[c])
                continue;
            nr_noise noise =
                rest ? nr_noise_estimate(rest + p->row[c], p->used[c], p->part->blocks, FLOOR_K)
                     : p->noise[c];
            nr_whitener_set(&r->whitener[i * NR_OUTS + c], &noise, p->used[c]);
        }
}

static void whiten_rows(const nr_joint *j, const raw *r, double *rows, size_t columns)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whiten(&r->whitener[i * NR_OUTS + c], rows + j->piece[i].row[c] * columns,
                          columns, columns);
}

/* Best parameters, usual departures and, with_trouble, size of the trouble (the column behind the
 * usual ones) for the whiteners as they are. */
static bool settle(const nr_scorer *s, bool with_trouble, gsl_matrix *a, gsl_vector *best)
{
    const nr_joint *j = s->joint;
    const raw *r = s->raw;
    size_t m = j->parameters, q = s->usuals, n = m + q + with_trouble, rows = j->rows;
    double *white = malloc(rows * sizeof(double)), *others = malloc(rows * n * sizeof(double));
    if (!white || !others) {
        free(white);
        free(others);
        return false;
    }
    memcpy(r->white, r->jacobian, rows * m * sizeof(double));
    whiten_rows(j, r, r->white, m);
    for (size_t k = 0; k < rows; k++)
        memcpy(others + k * n, r->white + k * m, m * sizeof(double));
    for (size_t i = 0; i < q + with_trouble; i++) {
        memcpy(white, r->column + i * rows, rows * sizeof(double));
        whiten_rows(j, r, white, 1);
        for (size_t k = 0; k < rows; k++)
            others[k * n + m + i] = white[k];
    }
    memcpy(white, r->residual, rows * sizeof(double));
    whiten_rows(j, r, white, 1);
    gsl_matrix_set_zero(a);
    gsl_vector_set_zero(best);
    for (size_t k = 0; k < rows; k++)
        for (size_t i = 0; i < n; i++) {
            double v = others[k * n + i];
            add_row(a, i, v, others + k * n);
            best->data[i] -= v * white[k];
        }
    for (size_t i = 0; i < q; i++)
        *gsl_matrix_ptr(a, m + i, m + i) += 1 / (s->usual[i].sd * s->usual[i].sd);
    free(white);
    free(others);
    if (gsl_linalg_cholesky_decomp1(a) != GSL_SUCCESS)
        return false;
    gsl_linalg_cholesky_svx(a, best);
    return true;
}

/* What is left at `best`, into rest[rows]; prior rows too. */
static void leave(const nr_scorer *s, bool with_trouble, const gsl_vector *best, double *rest)
{
    const nr_joint *j = s->joint;
    size_t m = j->parameters, rows = j->rows;
    for (size_t k = 0; k < rows; k++) {
        double v = s->raw->residual[k];
        for (size_t i = 0; i < m; i++)
            v += s->raw->jacobian[k * m + i] * best->data[i];
        for (size_t i = 0; i < s->usuals + with_trouble; i++)
            v += s->raw->column[i * rows + k] * best->data[m + i];
        rest[k] = v;
    }
}

static double likelihood(const nr_scorer *s, const gsl_vector *best, double *rest)
{
    const nr_joint *j = s->joint;
    double sum = 0;
    whiten_rows(j, s->raw, rest, 1);
    for (size_t k = 0; k < j->rows; k++)
        sum -= 0.5 * rest[k] * rest[k];
    for (size_t i = 0; i < s->usuals; i++)
        sum -= 0.5 * pow(best->data[j->parameters + i] / s->usual[i].sd, 2);
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++) {
            const nr_whitener *w = &s->raw->whitener[i * NR_OUTS + c];
            for (size_t b = 0; j->piece[i].fits[c] && b < w->n; b++)
                sum += w->weight[b] > 0 ? log(w->weight[b]) : 0;
        }
    return sum;
}

/* The logarithm of the likelihood, NAN when it cannot be had; *size of the trouble. */
static double explain(const nr_scorer *s, bool with_trouble, double *size)
{
    const nr_joint *j = s->joint;
    size_t n = j->parameters + s->usuals + with_trouble;
    gsl_matrix *a = gsl_matrix_alloc(n, n);
    gsl_vector *best = gsl_vector_alloc(n);
    double *rest = malloc(j->rows * sizeof(double)), result = NAN;
    bool good = a && best && rest;
    if (good)
        set_whiteners(j, s->raw, NULL);
    for (int pass = 0; good && pass < PASSES; pass++) {
        good = settle(s, with_trouble, a, best);
        if (!good)
            break;
        leave(s, with_trouble, best, rest);
        set_whiteners(j, s->raw, rest);
    }
    if (good) {
        result = likelihood(s, best, rest);
        *size = gsl_vector_get(best, n - 1);
    }
    gsl_matrix_free(a);
    gsl_vector_free(best);
    free(rest);
    return result;
}

static bool make_raw(nr_scorer *s)
{
    const nr_joint *j = s->joint;
    if (s->raw)
        return isfinite(s->raw->nothing);
    raw *r = s->raw = calloc(1, sizeof *r);
    if (!r)
        return false;
    r->nothing = NAN;
    r->residual = malloc(j->rows * sizeof(double));
    r->jacobian = malloc(j->rows * j->parameters * sizeof(double));
    r->white = malloc(j->rows * j->parameters * sizeof(double));
    r->whitener = calloc(j->pieces * NR_OUTS, sizeof *r->whitener);
    r->column = malloc(j->rows * (s->usuals + 1) * sizeof(double));
    if (!r->residual || !r->jacobian || !r->white || !r->whitener || !r->column ||
        !unwhitened(j, r))
        return false;
    for (size_t i = 0; i < s->usuals; i++)
        spread_out(j, s->usual[i].piece, s->usual[i].raw, r->column + i * j->rows);
    double none;
    r->nothing = explain(s, false, &none);
    return isfinite(r->nothing);
}

nr_score nr_scorer_confirm(nr_scorer *s, size_t piece, const double *const added[NR_OUTS])
{
    const nr_joint *j = s->joint;
    nr_score before = nr_scorer_try(s, piece, added);
    if (j->rows > MOST_ROWS || isinf(before.u))
        return before;
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    size_t blocks = j->piece[piece].part->blocks;
    double size = NAN, with = NAN;
    if (make_raw(s)) {
        memset(s->signature, 0, NR_OUTS * blocks * sizeof(double));
        for (size_t c = 0; c < NR_OUTS; c++)
            if (added[c])
                memcpy(s->signature + c * blocks, added[c], blocks * sizeof(double));
        spread_out(j, piece, s->signature, s->raw->column + s->usuals * j->rows);
        with = explain(s, true, &size);
    }
    gsl_set_error_handler(handler);
    if (!isfinite(with))
        return before;
    double z = sqrt(fmax(2 * (with - s->raw->nothing), 0));
    if (z <= fabs(before.z))
        return before;
    return (nr_score){size, z > 0 ? fabs(size) / z : INFINITY, size < 0 ? -z : z};
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
