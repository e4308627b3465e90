/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which troubles could any test see? For kinds of record of the adversity benchmark: the record
 * with the trouble less the one without, both without noise, is what the trouble does to the
 * readings and to what drives the model (its signature). The generalised likelihood ratio test for
 * one signature of known shape in Gaussian noise that is known, everything that the fit leaves free
 * fitted again beside it, is the most powerful there is that does not know the nuisances (S. M.
 * Kay, Fundamentals of Statistical Signal Processing, vol. 2, 1998, chapter 6 and 7: from memory);
 * its statistic is normal about z = size / u. A real test knows neither shape nor moment nor size
 * and has to leave room for what every model gets wrong, so it sees less.
 *
 *     power [--kind NAME]... [--seeds N] [--first SEED] [--each]
 *
 * *z*: tenth, middle and nine tenths of the records. *seen*: mean chance that such a test finds the
 * trouble, at odds of a false alarm of ODDS (ten such tests make 5 %); then the same where room is
 * left for smooth departures of a hundredth of the rise, which every model of a real heater has
 * (misfit/usual.c). *moves*: what the trouble
 * does to the efficiency if nobody sees it, at the low end, the middle, the high end of the tested
 * range, in the answer's own u (median of the sizes). Linear, at the fit of the record without.
 * Heater, day, sensors and trouble are those of adversity's record of the same number; the noise is not. */
#include "analyze/fit/results.h"
#include "analyze/fit/solved.h"
#include "analyze/joint/score.h"
#include "analyze/misfit/inside.h"
#include "analyze/plane/plane.h"
#include "logger/run/folder.h"
#include "tests/adversity/kinds.h"
#include "tests/bench/spread/spread.h"

#include <getopt.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define ODDS 0.005
#define CHOSEN 40
#define POINTS 3
#define MOST 400 /* parameters */

/* Those whose trouble a rig file can tell of, or whose size is a hand's or a wind's; of the others
 * a test sees all (adversity). */
static const char *const usual[] = {"water-wrong", "turned",      "lying-flat", "re-aimed",
                                    "leak",        "open-store",  "air-in-sun", "outlet-drift",
                                    "inlet-drift", "store-drift", "sun-fades",  "strapped",
                                    "strapped-in", "heavy-wood",  "dew",        "breeze"};

typedef struct outcome {
    bool known, loop;
    double z, apart, moves[POINTS]; /* apart: from what every model gets a little wrong, too */
} outcome;

typedef struct request {
    const ad_kind *kind[CHOSEN];
    size_t kinds, seeds;
    unsigned long first;
    bool each;
} request;

/* ---- three records of one heater and day ---- */

/* What the trouble record shows and says, but as it should be. */
static void without_trouble(const ad_case *base, const ad_case *bad, ad_case *to)
{
    *to = *base;
    for (int k = 0; k < AD_CHANNELS; k++)
        to->channel[k].recorded = bad->channel[k].recorded;
    to->day.seconds = bad->day.seconds;
    to->day.wind_m_s = bad->day.wind_m_s;
    to->water_degC = bad->water_degC;
    to->interval_s = bad->interval_s;
    to->jitter_s = bad->jitter_s;
    to->spread = bad->spread;
    to->lid_said = bad->lid_said;
    to->say_back = bad->say_back;
    to->say_plane = bad->say_plane;
    to->say_pump = bad->say_pump;
    to->say_shaded = bad->say_shaded;
    to->say_drift = bad->say_drift;
    to->say_weighed = bad->say_weighed;
    to->say_dew = bad->say_dew;
    to->say_dry = bad->say_dry;
    to->loss_said = bad->loss_said;
}

static void hush(ad_case *c)
{
    for (int k = 0; k < AD_CHANNELS; k++)
        c->channel[k].noise = c->channel[k].slow = c->channel[k].resolution = 0;
}

typedef struct record {
    nr_run *run;
    nr_series *series;
} record;

static void forget(record *r)
{
    nr_series_free(r->series);
    nr_run_free(r->run);
    *r = (record){NULL, NULL};
}

static void take_away(const char *folder)
{
    static const char *const names[] = {"rig.ini", "readings.csv", "notes.csv"};
    char path[MOST];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
}

static bool make(const ad_case *c, unsigned long seed, gsl_rng *rng, record *out)
{
    char parent[] = "/tmp/power-XXXXXX", folder[300];
    nr_err err = {0};
    ad_truth truth;
    nr_run *run[NR_RIG_BUILDS] = {NULL};
    size_t count = 0;
    if (!mkdtemp(parent))
        return false;
    snprintf(folder, sizeof folder, "%s/run", parent);
    gsl_rng_set(rng, seed);
    bool good = ad_record(c, rng, folder, false, &truth) &&
                nr_run_open_builds(folder, NULL, run, &count, NULL, &err) == NR_OK && count == 1 &&
                nr_plane_bring(run[0], &err) == NR_OK &&
                nr_series_build(run[0], &out->series, &err) == NR_OK;
    out->run = run[0];
    take_away(folder);
    rmdir(parent);
    return good;
}

/* ---- what the trouble does ---- */

/* Measured less modelled, at the solution of another joint of the same terms. */
static bool left_over(const nr_joint *solved, const nr_series *series, size_t piece,
                      double *const to[NR_OUTS])
{
    static const size_t first = 0;
    nr_container_view why;
    nr_joint_options options = {.use_store = true,
                                .use_loop = true,
                                .lump_store_loss = !nr_joint_store_loss_separate(solved, 0)};
    options.without_container[0] = nr_joint_container_left_out(solved, 0, &why);
    nr_joint *joint = NULL;
    nr_err err = {0};
    if (nr_joint_setup(&series, &first, 1, 1, &options, &joint, &err) != NR_OK)
        return false;
    const double *x = nr_joint_x(solved);
    nr_piece_view v = nr_joint_piece(solved, piece);
    bool same = nr_joint_parameters(joint) == nr_joint_parameters(solved) &&
                nr_joint_pieces(joint) == nr_joint_pieces(solved) &&
                nr_joint_piece(joint, piece).part->blocks == v.part->blocks;
    if (same) {
        nr_loop_output out = {.reading = {to[0], to[1], to[2]}};
        const nr_part *part = nr_joint_piece(joint, piece).part;
        nr_joint_simulate(joint, piece, x, &out);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < part->blocks; b++)
                to[c][b] = part->reading[c]
                               ? part->reading[c][b] - nr_joint_shown(joint, piece, c, x, to[c][b])
                               : 0;
    }
    nr_joint_free(joint);
    return same;
}

static void judge_piece(nr_scorer *scorer, nr_scorer *strict, size_t piece,
                        double *const signature[NR_OUTS], double gradient[POINTS][MOST], outcome *o)
{
    const double *added[NR_OUTS] = {signature[0], signature[1], signature[2]};
    nr_score score = nr_scorer_try(scorer, piece, added);
    if (isfinite(score.u))
        o->z = hypot(o->z, 1 / score.u);
    score = nr_scorer_try(strict, piece, added);
    if (isfinite(score.u))
        o->apart = hypot(o->apart, 1 / score.u);
    for (int k = 0; k < POINTS; k++)
        o->moves[k] += nr_scorer_moves(scorer, piece, added, gradient[k]);
}

/* A scorer that leaves room for the smooth departures of a hundredth that every model has
 * (misfit/usual.c), as the program's own tests do. */
static bool leave_room(const nr_joint *joint, const nr_misfit_scale *scale, nr_scorer *to)
{
    nr_err err = {0};
    bool good = true;
    for (size_t p = 0; good && p < nr_joint_pieces(joint); p++) {
        nr_misfit none = {0};
        nr_misfit_search s = {.joint = joint, .scorer = to, .scale = scale, .out = &none};
        s.piece = p;
        s.view = nr_joint_piece(joint, p);
        s.blocks = s.view.part->blocks;
        for (int c = 0; c < NR_OUTS; c++) {
            s.work[c] = calloc(s.blocks, sizeof(double));
            s.base[c] = calloc(s.blocks, sizeof(double));
            good = good && s.work[c] && s.base[c];
        }
        if (good) {
            nr_scorer_predict(to, p, &s.view.input, s.base, NULL);
            nr_misfit_rises(&s);
            double *shapes = nr_misfit_gain_shapes(&s);
            good = shapes && nr_misfit_allow(&s, shapes, &err) == NR_OK;
            free(shapes);
        }
        for (int c = 0; c < NR_OUTS; c++) {
            free(s.work[c]);
            free(s.base[c]);
        }
    }
    return good;
}

/* Signatures, and what they come to. */
static bool compare(const nr_solved *s, const nr_series *clean, const nr_series *bad, outcome *o)
{
    nr_scorer *scorer = NULL, *strict = NULL;
    nr_err err = {0};
    static double gradient[POINTS][MOST];
    double u[POINTS];
    nr_misfit_scale scale = {.efficiency_u = 0.03};
    nr_curve_at at = s->at;
    bool good =
        nr_joint_parameters(s->joint) <= MOST && nr_scorer_open(s->joint, &scorer, &err) == NR_OK &&
        nr_scorer_open(s->joint, &strict, &err) == NR_OK && leave_room(s->joint, &scale, strict);
    for (int k = 0; good && k < POINTS; k++) {
        at.x = s->fit->x_range[0] + 0.5 * k * (s->fit->x_range[1] - s->fit->x_range[0]);
        good = nr_result_gradient(s->joint, nr_result_efficiency, &at, gradient[k]);
        u[k] = nr_result_quantity(s->joint, nr_result_efficiency, &at, 0, NR_UNIT_ONE, NULL).u;
    }
    for (size_t p = 0; good && p < nr_joint_pieces(s->joint); p++) {
        size_t blocks = nr_joint_piece(s->joint, p).part->blocks;
        double *was[NR_OUTS], *now[NR_OUTS];
        for (int c = 0; c < NR_OUTS; c++) {
            was[c] = calloc(blocks, sizeof(double));
            now[c] = calloc(blocks, sizeof(double));
        }
        good = left_over(s->joint, clean, p, was) && left_over(s->joint, bad, p, now);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < blocks; b++) {
                double d = now[c][b] - was[c][b];
                now[c][b] = isfinite(d) ? d : 0;
            }
        if (good)
            judge_piece(scorer, strict, p, now, gradient, o);
        for (int c = 0; c < NR_OUTS; c++) {
            free(was[c]);
            free(now[c]);
        }
    }
    for (int k = 0; k < POINTS; k++)
        o->moves[k] = good ? o->moves[k] / u[k] : NAN;
    nr_scorer_free(scorer);
    nr_scorer_free(strict);
    return good;
}

static void one(const ad_kind *kind, unsigned long seed, gsl_rng *rng, outcome *o)
{
    ad_kind plain = *kind;
    ad_case bad, base, clean;
    plain.spoil = NULL;
    gsl_rng_set(rng, seed);
    ad_draw(kind, rng, &bad);
    gsl_rng_set(rng, seed);
    ad_draw(&plain, rng, &base);
    without_trouble(&base, &bad, &clean);
    record noisy = {0}, still = {0}, spoilt = {0};
    nr_solved s = {0};
    nr_err err = {0};
    bool good = make(&clean, seed + 1, rng, &noisy);
    hush(&clean);
    hush(&bad);
    good = good && make(&clean, seed + 1, rng, &still) && make(&bad, seed + 1, rng, &spoilt);
    nr_fit_options options = nr_fit_defaults();
    const nr_run *const runs[] = {noisy.run};
    o->loop = clean.channel[AD_FLOW].recorded;
    if (good && nr_solve_runs(runs, 1, &options, &s, &err) == NR_OK)
        o->known = compare(&s, still.series, spoilt.series, o);
    nr_solved_free(&s);
    forget(&noisy);
    forget(&still);
    forget(&spoilt);
}

static void trial(size_t index, const void *context, void *to)
{
    const request *q = context;
    gsl_set_error_handler_off();
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t k = index / q->seeds, i = index % q->seeds;
    if (rng)
        one(q->kind[k], ad_seed(q->kind[k], q->first + i), rng, to);
    gsl_rng_free(rng);
}

/* ---- the table ---- */

static double seen(double z)
{
    double limit = gsl_cdf_ugaussian_Qinv(ODDS / 2);
    return gsl_cdf_ugaussian_Q(limit - z) + gsl_cdf_ugaussian_Q(limit + z);
}

static double quantile(double *v, size_t n, double share)
{
    gsl_sort(v, 1, n);
    return n ? gsl_stats_quantile_from_sorted_data(v, 1, n, share) : NAN;
}

/* Of the records with a loop, or of those with the container alone. */
static void line(const ad_kind *kind, const outcome *o, size_t n, bool loop)
{
    double *z = calloc(n, sizeof *z), *m = calloc(n, sizeof *m), moved[POINTS];
    double chance = 0, apart = 0;
    size_t known = 0;
    for (size_t i = 0; z && i < n; i++)
        if (o[i].known && o[i].loop == loop) {
            z[known++] = o[i].z;
            chance += seen(o[i].z);
            apart += seen(o[i].apart);
        }
    for (int k = 0; m && k < POINTS; k++) {
        size_t count = 0;
        for (size_t i = 0; i < n; i++)
            if (o[i].known && o[i].loop == loop)
                m[count++] = fabs(o[i].moves[k]);
        moved[k] = quantile(m, count, 0.5);
    }
    if (z && m && known)
        printf("%-13s %-5s %3zu  %5.1f %5.1f %5.1f  %.2f %.2f  %4.1f %4.1f %4.1f\n", kind->name,
               loop ? "loop" : "store", known, quantile(z, known, 0.1), quantile(z, known, 0.5),
               quantile(z, known, 0.9), chance / (double)known, apart / (double)known, moved[0],
               moved[1], moved[2]);
    free(z);
    free(m);
}

static void choose(request *q, const char *name)
{
    for (size_t k = 0; k < ad_kind_count && q->kinds < CHOSEN; k++)
        if (!strcmp(name, ad_kinds[k].name))
            q->kind[q->kinds++] = &ad_kinds[k];
}

static int table(const request *q)
{
    size_t n = q->kinds * q->seeds;
    outcome *all = calloc(n, sizeof *all);
    if (!all || !nr_spread(n, sizeof *all, trial, q, "power", all))
        return 1;
    printf("seeds %lu to %lu\n%-13s %-5s %3s  %-17s  %-9s  %-14s\n", q->first,
           q->first + q->seeds - 1, "kind", "of", "N", "z", "seen", "moves, u");
    for (size_t k = 0; k < q->kinds; k++) {
        const outcome *o = all + k * q->seeds;
        line(q->kind[k], o, q->seeds, true);
        line(q->kind[k], o, q->seeds, false);
        for (size_t i = 0; q->each && i < q->seeds; i++)
            printf("    %lu  %d%d  %.2f %.2f  %+.2f %+.2f %+.2f\n", q->first + i, o[i].known,
                   o[i].loop, o[i].z, o[i].apart, o[i].moves[0], o[i].moves[1], o[i].moves[2]);
    }
    free(all);
    return 0;
}

int main(int argc, char **argv)
{
    static const struct option options[] = {{"seeds", required_argument, NULL, 'n'},
                                            {"first", required_argument, NULL, 'f'},
                                            {"kind", required_argument, NULL, 'k'},
                                            {"each", no_argument, NULL, 'E'},
                                            {NULL, 0, NULL, 0}};
    request q = {.seeds = 20, .first = 1};
    int o;
    while ((o = getopt_long(argc, argv, "", options, NULL)) != -1) {
        if (o == 'n')
            q.seeds = strtoul(optarg, NULL, 10);
        else if (o == 'f')
            q.first = strtoul(optarg, NULL, 10);
        else if (o == 'k')
            choose(&q, optarg);
        else if (o == 'E')
            q.each = true;
        else
            return 2;
    }
    bool all = !q.kinds;
    for (size_t i = 0; all && i < sizeof usual / sizeof *usual; i++)
        choose(&q, usual[i]);
    return optind != argc || !q.seeds || !q.kinds ? 2 : table(&q);
}
