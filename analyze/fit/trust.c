/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/trust.h"

#include "analyze/fit/derive.h"
#include "analyze/inspect/inspect.h"
#include "analyze/misfit/misfit.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What no collector turns into heat, of the sun on its gross area: a clear pane lets 0.92 through
 * at best, black paint takes 0.96 of it (common practice, no source). */
#define MOST_GLAZED 0.88
#define MOST_BARE 0.96
/* Beyond it there is nothing to doubt, the input is wrong. */
#define IMPOSSIBLE_GAIN 0.95
/* Losses of home-made collectors, W/(m2 K): a bare plate radiates 4 to 5 and loses 3 and more to
 * still air; one pane halves that at least; a gale on a bare plate makes 40. */
#define LEAST_LOSS_GLAZED 1.5
#define LEAST_LOSS_BARE 4.0
#define MOST_LOSS_GLAZED 30.0
#define MOST_LOSS_BARE 60.0
/* Worse collectors exist, but nobody tests them. */
#define LEAST_GAIN 0.15
/* Known no better than this, of the sun, nothing is known. */
#define UNDETERMINED 0.25
/* Of the efficiency: a wider one must not make every trouble look small. */
#define WIDEST_U 0.08
/* What an unstated board may move the efficiency by. Usual ones moved good records by 0.03 at most
 * (DEVELOPERS.md has the measurement), and the answer's own u has room for those. */
#define BACK_MOVES 0.04
#define BACK_MOVES_U 1.5
/* Weights of what is not measured against a limit of chance. */
#define WEIGHT_FAULT 10.0
#define WEIGHT_DOUBT 1.5

const char *nr_trust_grade(const nr_trust *trust)
{
    return trust->count ? "doubtful" : "good";
}

bool nr_trust_withholds(const nr_trust *trust)
{
    return trust->count > 0 && trust->reason[0].withholds;
}

const char *nr_trust_name(const nr_trust_reason *reason)
{
    static const char *const names[NR_TRUST_CODES] = {
        [NR_TRUST_GAIN_IMPOSSIBLE] = "impossible-gain",
        [NR_TRUST_GAIN_LITTLE] = "little-gain",
        [NR_TRUST_UNDETERMINED] = "undetermined",
        [NR_TRUST_LOSS_IMPOSSIBLE] = "impossible-loss",
        [NR_TRUST_TOO_MUCH_HEAT] = "too-much-heat",
        [NR_TRUST_GAIN_STEP] = "gain-step",
        [NR_TRUST_GAIN_PULSE] = "gain-pulse",
        [NR_TRUST_SUN_DRIFT] = "sun-drift",
        [NR_TRUST_SUN_COURSE] = "sun-course",
        [NR_TRUST_HALVES] = "halves",
        [NR_TRUST_PROBE_JUMP] = "probe-jump",
        [NR_TRUST_PROBE_DRIFT] = "probe-drift",
        [NR_TRUST_STORE_MASS] = "store-mass",
        [NR_TRUST_STORE_STEP] = "store-step",
        [NR_TRUST_LOOP_STORE] = "loop-store",
        [NR_TRUST_SLOW_START] = "slow-start",
        [NR_TRUST_INLET_STEP] = "inlet-step",
        [NR_TRUST_INLET_STORE] = "inlet-store",
        [NR_TRUST_INLET_LEAVES] = "inlet-leaves",
        [NR_TRUST_BACK] = "back",
        [NR_TRUST_STATED_VALUE] = "stated-value",
        [NR_TRUST_STATED_VALUES] = "stated-values",
    };
    return reason->code == NR_TRUST_FINDING ? nr_finding_name(reason->finding.code)
                                            : names[reason->code];
}

/* What withholds, then what happened at some minute, then what may be its shadow: a step somewhere
 * also pulls stated values and looks a little like a drift. */
static int rank(const nr_trust_reason *r)
{
    if (r->withholds)
        return 0;
    switch (r->code) {
    case NR_TRUST_GAIN_STEP:
    case NR_TRUST_GAIN_PULSE:
    case NR_TRUST_PROBE_JUMP:
    case NR_TRUST_STORE_MASS:
    case NR_TRUST_STORE_STEP:
    case NR_TRUST_GAIN_IMPOSSIBLE:
        return 1;
    default:
        return 2;
    }
}

static int by_weight(const void *a, const void *b)
{
    const nr_trust_reason *x = a, *y = b;
    if (rank(x) != rank(y))
        return rank(x) - rank(y);
    if (x->weight < y->weight || x->weight > y->weight)
        return x->weight < y->weight ? 1 : -1;
    return (x->code > y->code) - (x->code < y->code);
}

static void sort(nr_trust *t)
{
    qsort(t->reason, t->count, sizeof *t->reason, by_weight);
}

static nr_trust_reason *add(nr_trust *t, const nr_trust_reason *like)
{
    for (size_t i = 0; i < t->count; i++)
        if (!strcmp(nr_trust_name(&t->reason[i]), nr_trust_name(like)) &&
            !strcmp(t->reason[i].whose, like->whose) && !strcmp(t->reason[i].name, like->name))
            return NULL; /* once is enough */
    if (t->count == NR_TRUST_REASONS)
        return NULL;
    t->reason[t->count] = *like;
    return &t->reason[t->count++];
}

void nr_trust_inherit(nr_trust *to, const nr_trust *from, const char *whose)
{
    for (size_t i = 0; i < from->count && to->count < NR_TRUST_REASONS; i++) {
        nr_trust_reason *r = &to->reason[to->count++];
        *r = from->reason[i];
        if (!r->whose[0])
            nr_copy(r->whose, sizeof r->whose, whose);
    }
    sort(to);
}

/* ---- what inspect finds ---- */

/* Doubts that are about the answer, not about the convenience of the record. Air may stand still
 * for a sensor of coarse steps; an irradiance that never moves is at the end of its scale or dead.
 */
static bool doubt_counts(const nr_finding *f)
{
    nr_finding_code code = f->code;
    if (code == NR_FIND_NEVER_CHANGES)
        return strcmp(f->channel, "sun") == 0;
    return code == NR_FIND_SUN_TOO_HIGH || code == NR_FIND_PROBES_DISAGREE ||
           code == NR_FIND_SUN_BELOW_HORIZON || code == NR_FIND_SUN_BEHIND ||
           code == NR_FIND_SUN_BEYOND_SKY || code == NR_FIND_HEAT_BALANCE_OPEN ||
           code == NR_FIND_CLOUDS;
}

/* Where sun and clock contradict each other the fit does without the sun's angle: that is to be
 * doubted, not to be thrown away. */
static bool only_doubts(nr_finding_code code)
{
    return code == NR_FIND_SUN_BELOW_HORIZON || code == NR_FIND_SUN_BEHIND;
}

/* What the fit finds out by itself, and refuses or does without. */
static bool fit_knows(nr_finding_code code)
{
    return code == NR_FIND_TOO_SHORT || code == NR_FIND_MISSING_CHANNEL ||
           code == NR_FIND_EMPTY_CHANNEL || code == NR_FIND_FLOW_DEAD;
}

static bool always_needed(const char *channel)
{
    return !channel[0] || !strcmp(channel, "sun") || !strcmp(channel, "air");
}

static bool needs(nr_fit_model model, const char *channel)
{
    if (always_needed(channel))
        return true;
    bool loop = model != NR_MODEL_STORE, store = model != NR_MODEL_LOOP;
    if (!strcmp(channel, "store"))
        return store;
    return loop &&
           (!strcmp(channel, "inlet") || !strcmp(channel, "outlet") || !strcmp(channel, "flow"));
}

static bool finding_withholds(const nr_finding *f)
{
    return f->severity == NR_SEVERITY_FAULT && !only_doubts(f->code) && !fit_knows(f->code);
}

static nr_trust_reason reason_of(const nr_finding *f)
{
    bool withholds = finding_withholds(f);
    nr_trust_reason r = {.code = NR_TRUST_FINDING,
                         .withholds = withholds,
                         .weight = withholds ? WEIGHT_FAULT : WEIGHT_DOUBT,
                         .finding = *f};
    nr_copy(r.name, sizeof r.name, f->channel);
    return r;
}

static void take_findings(const nr_inspect *x, const char *whose, nr_fit *fit)
{
    for (size_t i = 0; i < x->findings; i++) {
        const nr_finding *f = &x->finding[i];
        if (f->severity == NR_SEVERITY_NOTE || !needs(fit->model, f->channel) ||
            fit_knows(f->code) || (f->severity != NR_SEVERITY_FAULT && !doubt_counts(f)))
            continue;
        nr_trust_reason r = reason_of(f);
        nr_copy(r.whose, sizeof r.whose, whose);
        add(&fit->trust, &r);
    }
}

static nr_code ask_inspect(const nr_series *series, const nr_judged *judged, nr_fit *fit,
                           nr_err *err)
{
    nr_inspect *own = NULL;
    nr_code code = judged ? NR_OK : nr_inspect_judged(series->run, series->quality, &own, err);
    if (!code)
        take_findings(own ? own : judged->inspect, fit->runs > 1 ? series->run->folder : "", fit);
    nr_inspect_free(own);
    return code;
}

bool nr_trust_foresee(const nr_inspect *inspect, int set_up, nr_trust_reason *out)
{
    for (size_t i = 0; i < inspect->findings; i++) {
        const nr_finding *f = &inspect->finding[i];
        if (!finding_withholds(f))
            continue;
        if (set_up < 0 && !always_needed(f->channel))
            return false;
        if (set_up >= 0 && !needs((nr_fit_model)set_up, f->channel))
            continue;
        if (set_up == NR_MODEL_BOTH && !strcmp(f->channel, "store"))
            return false;
        *out = reason_of(f);
        return true;
    }
    return false;
}

/* ---- what cannot be ---- */

/* Of all runs, where they are few; else 0. */
static size_t few_rows(const nr_fit *f)
{
    size_t rows = 0;
    for (size_t r = 0; r < f->runs; r++)
        rows += f->run[r].rows;
    return rows < NR_FEW_ROWS ? rows : 0;
}

/* A dozen readings by hand do not tell the curve, but what the water kept of the sun: some of it,
 * and not all. */
static bool tells_the_run(const nr_fit *f)
{
    const nr_quantity *q = &f->run_efficiency;
    return few_rows(f) > 0 && q->known && q->lo95 > 0 && q->hi95 < 1;
}

static void judge_gain(nr_fit *f, bool glazed)
{
    const nr_quantity *q = f->eta0_normal.known ? &f->eta0_normal : &f->eta0;
    double most = glazed ? MOST_GLAZED : MOST_BARE;
    nr_trust_reason r = {.code = NR_TRUST_GAIN_IMPOSSIBLE,
                         .weight = WEIGHT_FAULT,
                         .number = {q->value, q->lo95, q->hi95, most}};
    if (!q->known)
        return;
    if (f->eta0.u > UNDETERMINED) {
        r.code = NR_TRUST_UNDETERMINED;
        r.withholds = !tells_the_run(f);
        r.number[0] = f->eta0.u;
        r.number[1] = (double)few_rows(f);
    } else if (f->eta0.lo95 > IMPOSSIBLE_GAIN || q->lo95 > IMPOSSIBLE_GAIN || f->eta0.hi95 < 0) {
        r.withholds = true;
    } else if (q->value > most) {
        r.weight = 1 + (q->value - most) / q->u;
    } else if (q->value < LEAST_GAIN) {
        r.code = NR_TRUST_GAIN_LITTLE;
        r.weight = WEIGHT_DOUBT;
    } else {
        return;
    }
    add(&f->trust, &r);
}

static void judge_loss(nr_fit *f, bool glazed)
{
    double least = glazed ? LEAST_LOSS_GLAZED : LEAST_LOSS_BARE;
    double most = glazed ? MOST_LOSS_GLAZED : MOST_LOSS_BARE;
    if (!f->a1.known || (f->a1.hi95 >= least && f->a1.lo95 <= most))
        return;
    add(&f->trust, &(nr_trust_reason){.code = NR_TRUST_LOSS_IMPOSSIBLE,
                                      .weight = WEIGHT_DOUBT,
                                      .number = {f->a1.value, f->a1.hi95 < least ? least : most}});
}

static void judge_energy(nr_fit *f)
{
    if (!f->run_efficiency.known || f->run_efficiency.lo95 <= 1)
        return;
    add(&f->trust, &(nr_trust_reason){.code = NR_TRUST_TOO_MUCH_HEAT,
                                      .withholds = true,
                                      .weight = WEIGHT_FAULT,
                                      .number = {f->run_efficiency.value}});
}

/* ---- tests of misfit ---- */

static const char *channel_name(int channel)
{
    static const char *const names[] = {"store", "inlet", "outlet"};
    return channel >= 0 && channel < 3 ? names[channel] : "";
}

static void take_finding(const nr_joint *joint, const nr_misfit_finding *f, nr_fit *fit)
{
    static const nr_trust_code codes[NR_MISFIT_KINDS] = {
        [NR_MISFIT_GAIN_STEP] = NR_TRUST_GAIN_STEP,
        [NR_MISFIT_GAIN_PULSE] = NR_TRUST_GAIN_PULSE,
        [NR_MISFIT_PROBE_JUMP] = NR_TRUST_PROBE_JUMP,
        [NR_MISFIT_PROBE_DRIFT] = NR_TRUST_PROBE_DRIFT,
        [NR_MISFIT_SUN_DRIFT] = NR_TRUST_SUN_DRIFT,
        [NR_MISFIT_SUN_COURSE] = NR_TRUST_SUN_COURSE,
        [NR_MISFIT_HALVES] = NR_TRUST_HALVES,
        [NR_MISFIT_STORE_MASS] = NR_TRUST_STORE_MASS,
        [NR_MISFIT_STORE_STEP] = NR_TRUST_STORE_STEP,
        [NR_MISFIT_LOOP_STORE] = NR_TRUST_LOOP_STORE,
        [NR_MISFIT_PRIOR] = NR_TRUST_STATED_VALUE,
        [NR_MISFIT_PRIORS] = NR_TRUST_STATED_VALUES,
        [NR_MISFIT_SLOW_START] = NR_TRUST_SLOW_START,
        [NR_MISFIT_INLET_STEP] = NR_TRUST_INLET_STEP,
        [NR_MISFIT_INLET_STORE] = NR_TRUST_INLET_STORE,
        [NR_MISFIT_INLET_LEAVES] = NR_TRUST_INLET_LEAVES,
    };
    nr_trust_reason r = {.code = codes[f->kind],
                         .weight = f->strength,
                         .number = {f->size, f->at_s, f->size > 0, f->until_s}};
    bool probe = f->kind == NR_MISFIT_PROBE_JUMP || f->kind == NR_MISFIT_PROBE_DRIFT;
    if (f->kind == NR_MISFIT_PRIOR) {
        nr_parameter_view p = nr_joint_parameter(joint, f->parameter);
        nr_copy(r.name, sizeof r.name, p.label);
        r.number[3] = p.ask[0] != '\0';
    } else if (f->kind == NR_MISFIT_PRIORS)
        r.number[0] = sqrt(f->size);
    else if (probe)
        nr_copy(r.name, sizeof r.name, channel_name(f->channel));
    bool of_a_run = f->kind != NR_MISFIT_PRIOR && f->kind != NR_MISFIT_PRIORS;
    if (fit->runs > 1 && of_a_run)
        nr_copy(r.whose, sizeof r.whose, nr_joint_series(joint, f->run)->run->folder);
    add(&fit->trust, &r);
}

static void judge_back(const nr_joint *joint, size_t build, nr_fit *fit)
{
    double with[2], without;
    if (!nr_fit_back_matters(joint, build, fit, with, &without))
        return;
    double move = fabs(without - with[0]);
    double weight = fmin(move / BACK_MOVES, move / (BACK_MOVES_U * with[1]));
    if (weight >= 1)
        add(&fit->trust, &(nr_trust_reason){.code = NR_TRUST_BACK,
                                            .weight = weight,
                                            .number = {with[0], without}});
}

/* Relative standard uncertainty of the efficiency in the middle of the tested range. */
static nr_misfit_scale scale_of(const nr_fit *fit)
{
    double eta = 0, u = 0;
    size_t n = 0;
    for (size_t i = 0; i < fit->curve_points; i++)
        n += fit->curve[i].tested;
    size_t middle = n / 2;
    for (size_t i = 0; i < fit->curve_points; i++)
        if (fit->curve[i].tested && middle-- == 0) {
            eta = fit->curve[i].eta;
            u = (fit->curve[i].hi95 - fit->curve[i].lo95) / (2 * 1.96);
        }
    return (nr_misfit_scale){.efficiency_u = fmin(u / fmax(fabs(eta), 0.1), WIDEST_U)};
}

/* The low end, the middle and the high end of the tested range. A point without a gradient is not
 * told. gradient [NR_MISFIT_POINTS * parameters]. */
static void tell_points(const nr_joint *joint, size_t build, const nr_fit *fit, double *gradient,
                        nr_misfit_scale *scale)
{
    nr_curve_at at = nr_derive_conditions(joint, build, fit->reference == NR_REFERENCE_MEAN);
    for (int k = 0; k < NR_MISFIT_POINTS; k++) {
        double *of = gradient + (size_t)k * nr_joint_parameters(joint), share = 0.5 * k;
        at.x = fit->x_range[0] + share * (fit->x_range[1] - fit->x_range[0]);
        nr_quantity q = nr_result_quantity(joint, nr_result_efficiency, &at, 0, NR_UNIT_ONE, NULL);
        if (!q.known || !nr_result_gradient(joint, nr_result_efficiency, &at, of))
            continue;
        scale->gradient[k] = of;
        scale->point_u[k] = fmin(q.u, WIDEST_U * fmax(fabs(q.value), 0.1));
    }
}

static nr_code test_misfit(const nr_joint *joint, size_t build, nr_fit *fit, nr_err *err)
{
    nr_misfit *m = malloc(sizeof *m);
    if (!m)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_misfit_scale scale = scale_of(fit);
    double *gradient = calloc(NR_MISFIT_POINTS * nr_joint_parameters(joint), sizeof *gradient);
    if (gradient)
        tell_points(joint, build, fit, gradient, &scale);
    nr_code code = nr_misfit_find(joint, build, &scale, m, err);
    for (size_t i = 0; !code && i < m->count; i++)
        take_finding(joint, &m->finding[i], fit);
    free(gradient);
    free(m);
    return code;
}

nr_code nr_trust_judge(const nr_joint *joint, size_t build, const nr_trust_options *options,
                       nr_fit *fit, nr_err *err)
{
    static const nr_trust_options none;
    const nr_trust_options *o = options ? options : &none;
    nr_code code = NR_OK;
    const nr_run *first = NULL;
    for (size_t r = 0; r < nr_joint_runs(joint) && !code; r++) {
        if (nr_joint_build_of(joint, r) != build)
            continue;
        const nr_series *series = nr_joint_series(joint, r);
        first = first ? first : series->run;
        code = ask_inspect(series, o->judged ? &o->judged[r] : NULL, fit, err);
    }
    bool glazed = first && nr_series_glazed(&first->rig);
    judge_gain(fit, glazed);
    judge_energy(fit);
    judge_loss(fit, glazed);
    if (!code && !o->withholds_only) {
        judge_back(joint, build, fit);
        code = test_misfit(joint, build, fit, err);
    }
    sort(&fit->trust);
    return code;
}
