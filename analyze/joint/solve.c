/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/lsq.h"
#include "analyze/joint/allow.h"
#include "analyze/joint/blocks.h"
#include "analyze/joint/evaluate.h"
#include "analyze/joint/far.h"
#include "analyze/joint/found.h"
#include "analyze/joint/like.h"
#include "analyze/joint/misreading.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Before anything is known of the residuals: a twentieth of a kelvin, mostly slow. */
static const nr_noise first_noise = {.sigma = 0.05, .slow = 0.8, .phi = 0.95};
/* Readings that come seldom have not seen the clouds between them: where a search from the first
 * noise finds no minimum, it begins at these, K, where the valley is wide. */
static const double rougher_K[] = {0.5, 3.0};
/* Few values do not tell how they scatter: this many at the first noise are counted with them, and
 * with fewer than ENOUGH nothing is said of their memory (it is that of wind and mixing). */
#define COUNTED_WITH 2.0
#define ENOUGH 12
#define MEMORY_S 600.0
/* Readings of all channels that a person could have written down. */
#define FEW_ROWS 1000
/* No block mean of a field thermometer is believed better than this. */
#define NOISE_FLOOR_K 0.002
/* Where the search for the loss begins again, W/(m2 K): single glass has about this. */
#define SECOND_LOSS 5.0
/* And for the cover, square root of J/(m2 K): a film; and how many standard uncertainties from its
 * prior a heat capacity is astray. */
#define SECOND_COVER 15.0
#define THIRD_COVER 40.0
#define ASTRAY 4.0
/* A pane that seems heavier than usual may be a false minimum: then it is held against what is
 * found from a cover without heat. Beginning at a film's own (15 to 20) the search still falls back
 * into most of them. */
#define NO_COVER 5.0
/* Refits until the parameters move by less than this fraction of their standard uncertainty. */
#define SETTLED 0.03
#define MAX_PASSES 8
/* Of records that were simulated: steps of one search, and slopes of so near are as good. */
#define EXPECTED_STEPS 12
#define NEARBY 0.1
/* A long record says where its minimum is within few steps, or has none: then seconds are enough.
 */
#define MANY_ROWS 10000
#define FEW_ITERATIONS 25
/* Evaluations of all residuals that such a record gets for one search, and how many times that for
 * all of them; one that converges takes some 30 a search. A shorter one, whose evaluations cost as
 * much less, gets more: clouds can bend a valley so that a thousand and more are needed. */
#define SEARCH_BUDGET 120
#define ALL_BUDGET 5

static void set_whiteners(nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whitener_set(&j->piece[i].whitener[c], &j->piece[i].noise[c],
                                j->piece[i].used[c]);
}

/* Parameters that the record determines, one more exactly than its prior each: the trace of what
 * the readings took from the priors' variances. */
static double determined(const nr_joint *j)
{
    double sum = 0;
    for (size_t i = 0; i < j->parameters; i++) {
        double u = j->parameter[i].prior_u;
        sum += fmax(1 - j->covariance[i * (j->parameters + 1)] / (u * u), 0);
    }
    return sum;
}

/* The noise of a few readings, of which `taken` parameters have taken their share. */
static nr_noise noise_of_few(const nr_piece *p, int c, const double *residual, double taken)
{
    /* As stated: readings far apart differ by more than the smallest step. */
    const nr_rig_channel *channel =
        nr_rig_channel_find(&p->series->run->rig, nr_role_name((nr_role)(NR_ROLE_STORE + c)));
    double step = channel && channel->resolution > 0 ? channel->resolution / sqrt(12) : 0;
    double n = (double)p->used_count[c], floor = fmax(NOISE_FLOOR_K, step);
    nr_noise noise = nr_noise_estimate(residual, p->used[c], p->part->blocks, floor);
    if (p->used_count[c] < ENOUGH) {
        double sum = 0;
        for (size_t b = 0; b < p->part->blocks; b++)
            sum += p->used[c][b] ? residual[b] * residual[b] : 0;
        noise = (nr_noise){.sigma = sqrt(sum / n),
                           .slow = first_noise.slow,
                           .phi = exp(-p->series->block_s / MEMORY_S)};
    }
    double first = first_noise.sigma * first_noise.sigma * COUNTED_WITH;
    double left = fmax(n - taken, 0) + COUNTED_WITH;
    noise.sigma = fmax(sqrt((n * noise.sigma * noise.sigma + first) / left), floor);
    return noise;
}

typedef struct estimating {
    nr_joint *j;
    double taken;
} estimating;

static void estimate_piece(void *context, size_t worker, size_t piece)
{
    const estimating *e = context;
    nr_piece *p = &e->j->piece[piece];
    (void)worker;
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        const double *residual = e->j->residual + p->row[c];
        p->noise[c] =
            p->series->sparse
                ? noise_of_few(p, c, residual, e->taken * (double)p->used_count[c])
                : nr_noise_estimate(residual, nr_piece_tells(p, c), p->part->blocks, NOISE_FLOOR_K);
        if (p->driven)
            p->noise[c] = nr_misreading_noise(p, c, p->noise[c]);
    }
}

static void estimate_noise(nr_joint *j)
{
    estimating e = {j, determined(j) / fmax((double)j->used_rows, 1)};
    nr_joint_raw(j, j->x, j->residual);
    j->stands = true;
    nr_joint_each_piece(j, estimate_piece, &e);
}

/* Largest move of a parameter in units of its standard uncertainty. */
static double moved(const nr_joint *j, const double *x)
{
    double most = 0;
    for (size_t i = 0; i < j->parameters; i++) {
        double u = sqrt(j->covariance[i * j->parameters + i]);
        most = fmax(most, fabs(x[i] - j->x[i]) / u);
    }
    return most;
}

/* Many runs are solved piece by piece (blocks.h): where the dense way begins to take seconds. It
 * stays where it does not, for it judges rank by singular values. */
#define MANY_PARAMETERS 80
#define MANY_RUNS 3

/* Evaluations there, for one search and how many times that for all; one that converges takes some
 * 10 to 50 a search. Many pieces begin beside their minimum (begin_from_few), and each evaluation
 * takes its time. */
static size_t blocks_budget(const nr_joint *j)
{
    return 120 + 1200 / j->pieces;
}
#define ALL_SEARCHES 3

bool nr_joint_is_large(const nr_joint *j)
{
    return j->near || j->parameters > MANY_PARAMETERS || j->runs > MANY_RUNS;
}

static nr_code given_up(const nr_joint *j, nr_err *err)
{
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "the search does not converge and was given up after %zu evaluations: the "
                   "readings contradict each other or the model",
                   j->spent);
}

static nr_code blocks_pass(nr_joint *j, const double *scale, nr_closeness close, double *move,
                           nr_err *err)
{
    if (j->spent >= ALL_SEARCHES * blocks_budget(j))
        return given_up(j, err);
    double *x = malloc(j->parameters * sizeof *x);
    nr_code code =
        x ? nr_blocks_solve(j, scale, close, blocks_budget(j), x, j->covariance, &j->chi2_data, err)
          : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        *move = moved(j, x);
        memcpy(j->x, x, j->parameters * sizeof *x);
    }
    free(x);
    return code;
}

static size_t search_budget(const nr_joint *j)
{
    return (size_t)(SEARCH_BUDGET * pow(fmax((double)MANY_ROWS / (double)(j->rows + 1), 1), 1.5));
}

/* exactly: the last of several. */
static nr_code solve_pass(nr_joint *j, const double *scale, bool exactly, double *move, nr_err *err)
{
    if (nr_joint_is_large(j))
        return blocks_pass(j, scale, exactly ? NR_CLOSE_EXACTLY : NR_CLOSE_FOR_NOISE, move, err);
    if (j->spent >= ALL_BUDGET * search_budget(j))
        return given_up(j, err);
    size_t spent = 0, budget = search_budget(j);
    nr_lsq_problem problem = {.n = j->rows,
                              .p = j->parameters,
                              .residuals = nr_joint_residuals,
                              .jacobian = nr_joint_jacobian,
                              .context = j,
                              .scale = scale,
                              .max_iterations = j->rows > MANY_ROWS ? FEW_ITERATIONS : 60,
                              .budget = budget,
                              .spent = &spent,
                              .quick = true};
    nr_lsq_result *r = NULL;
    nr_code code = nr_lsq_solve(&problem, j->x, 1, &r, err);
    j->spent += spent;
    /* Along a bent valley it creeps, and stops for the slope that is left; the other way steps
     * straight there (straight.c). */
    if (code == NR_CANNOT && spent < budget)
        return blocks_pass(j, scale, exactly ? NR_CLOSE_EXACTLY : NR_CLOSE_FOR_NOISE, move, err);
    if (code)
        return code;
    memcpy(j->covariance, r->covariance, j->parameters * j->parameters * sizeof(double));
    *move = moved(j, r->x);
    memcpy(j->x, r->x, j->parameters * sizeof(double));
    size_t priors = 0;
    j->chi2_data = 0;
    for (size_t i = 0; i < j->parameters; i++)
        priors += j->parameter[i].has_prior;
    for (size_t i = 0; i < j->rows - priors; i++)
        j->chi2_data += r->residual[i] * r->residual[i];
    nr_lsq_free(r);
    return NR_OK;
}

/* Raw and whitened, for whoever looks at them. */
static void keep_residuals(nr_joint *j)
{
    nr_joint_raw(j, j->x, j->residual);
    memcpy(j->whitened, j->residual, j->rows * sizeof(double));
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            nr_whiten(&p->whitener[c], j->whitened + p->row[c], 1, 1);
            for (size_t b = 0; b < p->part->blocks; b++)
                if (!p->used[c][b])
                    j->whitened[p->row[c] + b] = NAN;
        }
    }
}

nr_code nr_joint_refit(nr_joint *j, bool near, nr_err *err)
{
    double *scale = malloc(j->parameters * sizeof(double)), move;
    if (!scale)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; i < j->parameters; i++)
        scale[i] = j->parameter[i].scale;
    j->spent = 0;
    j->has_slopes = false;
    nr_code code = near ? blocks_pass(j, scale, NR_CLOSE_ONE_MORE, &move, err)
                        : solve_pass(j, scale, true, &move, err);
    free(scale);
    return code;
}

/* Where a search begins when not at the parameters' own starts; NAN: there. */
typedef struct beginning {
    double loss, root_cover;
} beginning;

static const beginning usual = {NAN, NAN}, nearer = {SECOND_LOSS, NAN}, bare = {NAN, NO_COVER};
static const beginning elsewhere[] = {
    {NAN, SECOND_COVER}, {SECOND_LOSS, SECOND_COVER}, {SECOND_LOSS, THIRD_COVER}};

static bool readings_are_few(const nr_joint *j)
{
    bool few = true;
    for (size_t r = 0; r < j->runs; r++)
        few = few && j->series[r]->sparse;
    return few && j->used_rows < FEW_ROWS;
}

/* The noise under which a minimum was found is kept (or taken again) while another is tried. */
static void keep_noise(nr_joint *j, bool keep)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &j->piece[i];
            if (keep)
                p->noise_before[c] = p->noise[c];
            else
                p->noise[c] = p->noise_before[c];
        }
}

static void set_noise(nr_joint *j, double sigma_K)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            j->piece[i].noise[c] = first_noise;
            j->piece[i].noise[c].sigma = sigma_K;
        }
    set_whiteners(j);
}

/* As begin_from_few found it. */
static void take_noise(nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c] && j->piece[i].noise_begins[c].sigma > 0)
                j->piece[i].noise[c] = j->piece[i].noise_begins[c];
    set_whiteners(j);
}

/* Nothing is known of the noise yet, or what a few of the records say. */
static nr_code first_pass(nr_joint *j, const double *scale, nr_err *err)
{
    double move;
    set_noise(j, first_noise.sigma);
    take_noise(j);
    nr_code code = solve_pass(j, scale, false, &move, err);
    for (size_t k = 0;
         code == NR_CANNOT && readings_are_few(j) && k < sizeof rougher_K / sizeof rougher_K[0];
         k++) {
        set_noise(j, rougher_K[k]);
        code = solve_pass(j, scale, false, &move, err);
    }
    return code;
}

static void begin_at(nr_joint *j, beginning at)
{
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *p = &j->parameter[i];
        j->x[i] = p->term == NR_TERM_LOSS && !isnan(at.loss)               ? at.loss
                  : p->term == NR_TERM_ROOT_COVER && !isnan(at.root_cover) ? at.root_cover
                                                                           : p->start;
    }
    j->used_rows = 0;
    j->has_slopes = false;
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            j->used_rows += j->piece[i].fits[c] ? j->piece[i].used_count[c] : 0;
}

/* All passes; none after the first where another search came down there (*known). found: NULL for a
 * search of its own. */
static nr_code search_from(nr_joint *j, const double *scale, beginning at, nr_found *found,
                           bool *known, nr_err *err)
{
    begin_at(j, at);
    nr_code code = first_pass(j, scale, err);
    /* Few readings may come down under other noises. */
    *known = !code && found && !readings_are_few(j) && nr_found_landed(found, j, SETTLED);
    if (*known)
        return NR_OK;
    double move = INFINITY;
    for (int pass = 1; pass < MAX_PASSES && !code && move > SETTLED; pass++) {
        keep_noise(j, true);
        estimate_noise(j);
        set_whiteners(j);
        code = solve_pass(j, scale, false, &move, err);
        if (code && readings_are_few(j)) { /* what was found under the noise before is an answer */
            keep_noise(j, false);
            set_whiteners(j);
            return solve_pass(j, scale, true, &move, err);
        }
    }
    return code || !nr_joint_is_large(j) ? code : solve_pass(j, scale, true, &move, err);
}

static nr_code solve_from(nr_joint *j, const double *scale, beginning at, nr_err *err)
{
    bool known;
    return search_from(j, scale, at, NULL, &known, err);
}

/* A cover through which heat flows towards the warmer side runs away by itself, and can imitate
 * anything. */
static bool runs_away(const nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++)
        if (j->piece[i].index[NR_TERM_ROOT_COVER] >= 0 &&
            nr_joint_term(j, i, NR_TERM_LOSS, j->x) < 0)
            return true;
    return false;
}

/* A heat capacity of the collector that nothing built has: the search went astray. */
static bool strays(const nr_joint *j)
{
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *p = &j->parameter[i];
        if ((p->term == NR_TERM_ROOT_COVER || p->term == NR_TERM_LN_CAPACITY) &&
            fabs(j->x[i] - p->prior) > ASTRAY * p->prior_u)
            return true;
    }
    return false;
}

/* Minus the logarithm of the posterior, up to a constant, each channel's noise by its size. */
static double badness(nr_joint *j)
{
    double sum = 0;
    nr_joint_raw(j, j->x, j->residual);
    for (size_t i = 0; i < j->parameters; i++)
        sum += pow(nr_like_residual(j, j->x, i), 2) / 2;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            double squares = 0;
            for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
                squares += p->used[c][b] ? pow(j->residual[p->row[c] + b], 2) : 0;
            double n = (double)p->used_count[c];
            if (p->fits[c]) /* as many values as their memory leaves independent */
                sum += nr_noise_effective(&p->noise[c], p->used_count[c]) *
                       log(squares / n + 1e-12) / 2;
        }
    }
    return sum;
}

static void take(nr_joint *j, const nr_found *found)
{
    nr_found_take(found, j);
    set_whiteners(j);
}

/* From other beginnings, until one does not stray; else the best of all. */
static void solve_elsewhere(nr_joint *j, const double *scale, nr_found *found)
{
    double least = badness(j);
    for (size_t i = 0; i < sizeof elsewhere / sizeof elsewhere[0]; i++) {
        nr_err ignored = {.text = ""};
        bool known;
        if (search_from(j, scale, elsewhere[i], found, &known, &ignored) || known)
            continue;
        double now = badness(j);
        if (!strays(j))
            return;
        if (now < least)
            nr_found_keep(found, j);
        least = fmin(now, least);
    }
    take(j, found);
}

/* Many records together begin where a few of them, which were held against it, ended. */
static bool heavy_cover(const nr_joint *j)
{
    bool begun = nr_joint_is_large(j) && j->runs > 1;
    for (size_t i = 0; !begun && i < j->parameters; i++)
        if (j->parameter[i].term == NR_TERM_ROOT_COVER && j->x[i] > j->parameter[i].prior)
            return true;
    return false;
}

/* After stops and clouds a pane's heat comes out for minutes, as that of a low loss does: where the
 * truth is a film, the search from a usual pane can rest at a heavy one with half of the loss gone
 * and the noise twice as large. The better of both is kept. */
static void solve_without_cover(nr_joint *j, const double *scale, nr_found *found)
{
    nr_err ignored = {.text = ""};
    bool known;
    double with = badness(j);
    if (search_from(j, scale, bare, found, &known, &ignored) || known || runs_away(j) ||
        strays(j) || badness(j) >= with)
        take(j, found);
}

/* Below a loss of zero, and at covers and absorbers far from what anybody builds, lie false minima
 * into which the search can fall: then it begins again elsewhere, and only what cannot be had
 * otherwise is left there. */
static nr_code solve_twice(nr_joint *j, const double *scale, nr_err *err)
{
    nr_err second = {.text = ""};
    nr_found *found = nr_found_new(j);
    if (!found)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    bool known = false;
    nr_code code = search_from(j, scale, usual, found, &known, err);
    if (!code) {
        nr_found_keep(found, j);
        if (runs_away(j)) {
            if (search_from(j, scale, nearer, found, &known, &second) || known || runs_away(j))
                take(j, found);
        } else if (strays(j)) {
            solve_elsewhere(j, scale, found);
        } else if (heavy_cover(j)) {
            solve_without_cover(j, scale, found);
        }
    }
    nr_found_free(found);
    return code;
}

/* Records of a build that are solved by themselves before all together are: all of them where there
 * are many builds, else every seventh, which are found in a seventh of the time and say what
 * the collector is. */
#define EVERY 7

static size_t beginners(const nr_joint *j, size_t build, const nr_series **series, size_t *run)
{
    size_t own[NR_JOINT_RUNS], runs = 0, count = 0;
    for (size_t r = 0; r < j->runs; r++)
        if (j->build_of[r] == build)
            own[runs++] = r;
    size_t every = j->builds > 2 ? 1 : runs <= EVERY ? runs : EVERY;
    for (size_t k = 0; k < runs; k += every) {
        run[count] = own[k];
        series[count++] = j->series[own[k]];
    }
    return count < j->runs ? count : 0; /* all: nothing would be won */
}

/* What a channel's residuals were like in a part that was solved, in another piece's blocks: taken
 * for the first guess, many records would be believed too well, and drawn along a narrow valley to
 * where nothing built is. */
static nr_noise noise_there(const nr_joint *alone, const nr_piece *p, int channel)
{
    double sigma = 0;
    nr_noise most = {.sigma = 0};
    for (size_t i = 0; i < alone->pieces; i++) {
        const nr_piece *from = &alone->piece[i];
        if (!from->fits[channel] || !(from->noise[channel].sigma > sigma))
            continue;
        sigma = from->noise[channel].sigma;
        most = from->noise[channel];
        double blocks = p->series->block_s / from->series->block_s;
        most.phi = pow(most.phi, blocks);
        most.phi2 = pow(most.phi2, blocks);
    }
    return most;
}

/* Where the part's search ended, the whole's begins. run [runs of the part]: of the whole. */
static void begin_there(nr_joint *j, size_t build, const nr_joint *alone, const size_t *run)
{
    size_t at = 0;
    for (size_t i = 0; i < j->pieces; i++) {
        nr_piece *p = &j->piece[i];
        const nr_piece *from = at < alone->pieces ? &alone->piece[at] : NULL;
        bool same = from && run[from->run] == p->run;
        for (int t = 0; same && t < NR_TERMS; t++)
            if (from->index[t] >= 0 && p->index[t] >= 0)
                j->parameter[p->index[t]].start = alone->x[from->index[t]];
        for (int c = 0; c < NR_OUTS; c++)
            if (p->build == build && p->fits[c])
                p->noise_begins[c] =
                    same && from->fits[c] ? from->noise[c] : noise_there(alone, p, c);
        at += same;
    }
}

/* Where a search strays, it does so with few records; all together then begin beside their minimum.
 * A build that has no solution of its own begins as usual. */
static nr_code begin_from_few(nr_joint *j, nr_err *err)
{
    for (size_t b = 0; b < j->builds; b++) {
        const nr_series *series[NR_JOINT_RUNS];
        size_t build_of[NR_JOINT_RUNS] = {0}, run[NR_JOINT_RUNS];
        size_t runs = beginners(j, b, series, run);
        nr_joint_options options = j->options;
        nr_joint *alone = NULL;
        if (!runs)
            continue;
        nr_far_options_of(&j->options, b, run, runs, &options);
        nr_code code = nr_joint_setup(series, build_of, runs, 1, &options, &alone, err);
        if (!code) {
            alone->threads = j->threads;
            code = nr_joint_solve(alone, err);
        }
        if (!code)
            begin_there(j, b, alone, run);
        nr_joint_free(alone);
        if (code == NR_BAD)
            return code;
    }
    return NR_OK;
}

/* Records that are simulated from about that solution: one step, the noise of what it leaves, and
 * so on, instead of a search at each noise. It ends where those would. That noise may make a heat
 * capacity look astray is no reason to begin elsewhere: the truth is near. False: as from any
 * other solution then. */
static bool solve_expected(nr_joint *j, const double *scale)
{
    double move = INFINITY;
    nr_err ignored;
    j->threads = 1; /* one of many that are looked at side by side */
    begin_at(j, usual);
    set_noise(j, first_noise.sigma);
    take_noise(j);
    for (int step = 0; step < 2 || (move > SETTLED && step < EXPECTED_STEPS); step++) {
        if (step > 0) {
            estimate_noise(j);
            set_whiteners(j);
            j->has_slopes = move < NEARBY;
        }
        if (blocks_pass(j, scale, NR_CLOSE_ONE_STEP, &move, &ignored))
            return false;
    }
    return move <= SETTLED && !runs_away(j);
}

/* From the solution of another, which is near where it is much the same. False: as usual then. */
static bool solve_near(nr_joint *j, const double *scale)
{
    nr_err ignored = {.text = ""};
    nr_joint_begin_from(j, j->options.begin);
    j->near = true;
    if (j->options.expected && solve_expected(j, scale))
        return true;
    if (!solve_from(j, scale, usual, &ignored) && !runs_away(j) && !strays(j))
        return true;
    j->near = false;
    j->spent = 0;
    for (size_t i = 0; i < j->parameters; i++)
        j->parameter[i].start = j->parameter[i].prior;
    for (size_t i = 0; i < j->pieces; i++)
        memset(j->piece[i].noise_begins, 0, sizeof j->piece[i].noise_begins);
    return false;
}

nr_code nr_joint_solve(nr_joint *j, nr_err *err)
{
    double *scale = malloc(j->parameters * sizeof(double));
    if (!scale)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; i < j->parameters; i++)
        scale[i] = j->parameter[i].scale;
    bool done = j->options.begin && solve_near(j, scale);
    nr_code code = !done && nr_joint_is_large(j) ? begin_from_few(j, err) : NR_OK;
    if (!code && !done)
        code = j->builds > 2 && nr_joint_is_large(j) ? solve_from(j, scale, usual, err)
                                                     : solve_twice(j, scale, err);
    if (!code) {
        keep_residuals(j);
        nr_joint_allow_for_hidden_stops(j);
        nr_joint_allow_for_unseen_sun(j);
    }
    free(scale);
    return code;
}
