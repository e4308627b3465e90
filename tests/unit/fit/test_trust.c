/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an answer is doubted for and what withholds it, each limit of trust.c from both sides:
 * made-up answers and findings, judged with the record of a simulated run. The limits are what
 * trust.c says of panes, paint and home-made collectors (common practice, no source). */
#include "analyze/fit/derive.h"
#include "analyze/fit/trust.h"
#include "analyze/joint/inside.h"
#include "analyze/misfit/misfit.h"
#include "tests/unit/quality/records.h"

static nr_virtual_run *run;
static nr_series *series;
static nr_joint *joint;
static nr_fit fit;
static nr_fit_run of_run[2];
static nr_inspect looked;
static nr_judged judged;

static void set_up_with(bool glazed)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = glazed ? nr_virtual_glazed() : nr_virtual_bare();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    p.duration_s = 900;
    p.interval_s = 10;
    run = simulate(&p);
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *one = series;
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &joint, &err), "%s", err.text);
    looked = (nr_inspect){.rows = 0};
    judged = (nr_judged){.inspect = &looked};
    fit = (nr_fit){.runs = 1, .run = of_run, .model = NR_MODEL_BOTH};
    of_run[0].rows = 5000;
}

static void set_up(void)
{
    set_up_with(true);
}

static void tear_down(void)
{
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
}

static const nr_trust *judge(void)
{
    nr_trust_options options = {.judged = &judged, .withholds_only = true};
    nr_err err = {.text = ""};
    memset(&fit.trust, 0, sizeof fit.trust);
    ck_assert_msg(!nr_trust_judge(joint, 0, &options, &fit, &err), "%s", err.text);
    return &fit.trust;
}

/* The reason of that code, or NULL. */
static const nr_trust_reason *doubts(nr_trust_code code)
{
    const nr_trust *t = judge();
    for (size_t i = 0; i < t->count; i++)
        if (t->reason[i].code == code)
            return &t->reason[i];
    return NULL;
}

static nr_quantity known(double value, double u)
{
    return (nr_quantity){true, value, u, u, 0, value - 1.96 * u, value + 1.96 * u, NR_UNIT_ONE};
}

static nr_quantity between(double value, double lo95, double hi95)
{
    return (nr_quantity){true, value, (hi95 - lo95) / 3.92, 0, 0, lo95, hi95, NR_UNIT_ONE};
}

/* --- what cannot be ------------------------------------------------------------------------- */

static void gains(double most)
{
    const nr_trust_reason *r;
    fit.eta0 = fit.eta0_normal = known(most - 0.001, 0.02);
    ck_assert_uint_eq(judge()->count, 0);
    ck_assert_str_eq(nr_trust_grade(&fit.trust), "good");
    ck_assert(!nr_trust_withholds(&fit.trust));
    fit.eta0 = fit.eta0_normal = known(most + 0.03, 0.03);
    r = doubts(NR_TRUST_GAIN_IMPOSSIBLE);
    ck_assert(r && !r->withholds && r->number[0] == most + 0.03 && r->number[3] == most);
    NEAR(r->number[1], most + 0.03 - 0.0588, 1e-12);
    NEAR(r->number[2], most + 0.03 + 0.0588, 1e-12);
    NEAR(r->weight, 2, 1e-9); /* 1 and 0.03 in u of 0.03 */
    ck_assert_str_eq(nr_trust_grade(&fit.trust), "doubtful");
}

START_TEST(gains_that_cannot_be)
{
    gains(0.88);
    /* At normal incidence where that is known, else as fitted. */
    fit.eta0 = known(0.87, 0.01);
    fit.eta0_normal = known(0.89, 0.01);
    ck_assert_ptr_nonnull(doubts(NR_TRUST_GAIN_IMPOSSIBLE));
    fit.eta0_normal.known = false;
    ck_assert_ptr_null(doubts(NR_TRUST_GAIN_IMPOSSIBLE));
    fit.eta0.known = false;
    ck_assert_uint_eq(judge()->count, 0);
    /* Certainly above 0.95, or below nothing: the input is wrong. */
    fit.eta0_normal = fit.eta0 = between(1.1, 0.949, 1.25);
    ck_assert(!doubts(NR_TRUST_GAIN_IMPOSSIBLE)->withholds);
    fit.eta0 = between(1.1, 0.951, 1.25);
    ck_assert(doubts(NR_TRUST_GAIN_IMPOSSIBLE)->withholds && nr_trust_withholds(&fit.trust));
    NEAR(fit.trust.reason[0].weight, 10, 1e-12);
    fit.eta0 = between(0.9, 0.8, 1.0);
    fit.eta0_normal = between(1.1, 0.951, 1.25);
    ck_assert(doubts(NR_TRUST_GAIN_IMPOSSIBLE)->withholds);
    fit.eta0 = fit.eta0_normal = between(-0.1, -0.2, 0.001);
    ck_assert(doubts(NR_TRUST_GAIN_LITTLE) && !fit.trust.reason[0].withholds);
    fit.eta0 = between(-0.1, -0.2, -0.001);
    ck_assert(doubts(NR_TRUST_GAIN_IMPOSSIBLE)->withholds);
    fit.eta0 = fit.eta0_normal = known(0.151, 0.01);
    ck_assert_uint_eq(judge()->count, 0);
    fit.eta0 = fit.eta0_normal = known(0.149, 0.01);
    ck_assert_double_eq_tol(doubts(NR_TRUST_GAIN_LITTLE)->weight, 1.5, 1e-12);
}
END_TEST

START_TEST(known_to_nothing)
{
    fit.eta0 = fit.eta0_normal = known(0.6, 0.249);
    ck_assert_uint_eq(judge()->count, 0);
    fit.eta0 = fit.eta0_normal = known(0.6, 0.251);
    const nr_trust_reason *r = doubts(NR_TRUST_UNDETERMINED);
    ck_assert(r && r->withholds && r->number[0] == 0.251 && r->number[1] == 0);
    /* A dozen readings by hand tell what the water kept, where that is some and not all. */
    of_run[0].rows = NR_FEW_ROWS - 1;
    fit.run_efficiency = between(0.5, 0.01, 0.99);
    r = doubts(NR_TRUST_UNDETERMINED);
    ck_assert(r && !r->withholds && r->number[1] == NR_FEW_ROWS - 1);
    fit.run_efficiency = between(0.5, -0.01, 0.99);
    ck_assert(doubts(NR_TRUST_UNDETERMINED)->withholds);
    fit.run_efficiency = between(0.5, 0.01, 1.01);
    ck_assert(doubts(NR_TRUST_UNDETERMINED)->withholds);
    fit.run_efficiency = between(0.5, 0.01, 0.99);
    of_run[0].rows = NR_FEW_ROWS;
    ck_assert(doubts(NR_TRUST_UNDETERMINED)->withholds);
    fit.runs = 2; /* of both runs together */
    of_run[0].rows = NR_FEW_ROWS / 2;
    of_run[1].rows = NR_FEW_ROWS / 2 - 1;
    ck_assert(!doubts(NR_TRUST_UNDETERMINED)->withholds);
    of_run[1].rows = NR_FEW_ROWS / 2 + 1;
    ck_assert(doubts(NR_TRUST_UNDETERMINED)->withholds);
    fit.runs = 1;
}
END_TEST

static void losses(double least, double most)
{
    fit.a1 = between(least, 0, least + 0.01);
    ck_assert_ptr_null(doubts(NR_TRUST_LOSS_IMPOSSIBLE));
    fit.a1 = between(least - 0.5, 0, least - 0.01);
    const nr_trust_reason *r = doubts(NR_TRUST_LOSS_IMPOSSIBLE);
    ck_assert(r && !r->withholds && r->number[0] == least - 0.5 && r->number[1] == least);
    NEAR(r->weight, 1.5, 1e-12);
    fit.a1 = between(most, most - 0.01, most + 3);
    ck_assert_ptr_null(doubts(NR_TRUST_LOSS_IMPOSSIBLE));
    fit.a1 = between(most + 1, most + 0.01, most + 3);
    r = doubts(NR_TRUST_LOSS_IMPOSSIBLE);
    ck_assert(r && r->number[1] == most);
    fit.a1.known = false;
    ck_assert_ptr_null(doubts(NR_TRUST_LOSS_IMPOSSIBLE));
}

START_TEST(losses_that_cannot_be)
{
    losses(1.5, 30);
    fit.run_efficiency = between(1.1, 0.999, 1.2);
    ck_assert_ptr_null(doubts(NR_TRUST_TOO_MUCH_HEAT));
    fit.run_efficiency = between(1.1, 1.001, 1.2);
    const nr_trust_reason *r = doubts(NR_TRUST_TOO_MUCH_HEAT);
    ck_assert(r && r->withholds && r->number[0] == 1.1);
    fit.run_efficiency.known = false;
    ck_assert_ptr_null(doubts(NR_TRUST_TOO_MUCH_HEAT));
    tear_down();
    set_up_with(false);
    gains(0.96);
    losses(4, 60);
}
END_TEST

/* --- what inspection found ------------------------------------------------------------------ */

static void found(nr_finding_code code, nr_severity severity, const char *channel)
{
    looked.findings = 1;
    looked.finding[0] = (nr_finding){.code = code, .severity = severity};
    (void)snprintf(looked.finding[0].channel, sizeof looked.finding[0].channel, "%s", channel);
}

START_TEST(findings_that_count)
{
    static const struct {
        nr_finding_code code;
        nr_severity severity;
        const char *channel;
        bool counts, withholds;
    } of[] = {
        {NR_FIND_STUCK, NR_SEVERITY_FAULT, "sun", true, true},
        {NR_FIND_STUCK, NR_SEVERITY_FAULT, "", true, true},
        {NR_FIND_STUCK, NR_SEVERITY_FAULT, "box", false, false},
        {NR_FIND_STUCK, NR_SEVERITY_DOUBT, "sun", false, false},
        {NR_FIND_STUCK, NR_SEVERITY_NOTE, "sun", false, false},
        {NR_FIND_NEVER_CHANGES, NR_SEVERITY_DOUBT, "sun", true, false},
        {NR_FIND_NEVER_CHANGES, NR_SEVERITY_DOUBT, "air", false, false},
        {NR_FIND_SUN_TOO_HIGH, NR_SEVERITY_DOUBT, "sun", true, false},
        {NR_FIND_PROBES_DISAGREE, NR_SEVERITY_DOUBT, "outlet", true, false},
        {NR_FIND_SUN_BELOW_HORIZON, NR_SEVERITY_DOUBT, "sun", true, false},
        {NR_FIND_SUN_BELOW_HORIZON, NR_SEVERITY_FAULT, "sun", true, false},
        {NR_FIND_SUN_BEHIND, NR_SEVERITY_FAULT, "sun", true, false},
        {NR_FIND_SUN_BEYOND_SKY, NR_SEVERITY_DOUBT, "sun", true, false},
        {NR_FIND_HEAT_BALANCE_OPEN, NR_SEVERITY_DOUBT, "store", true, false},
        {NR_FIND_CLOUDS, NR_SEVERITY_DOUBT, "sun", true, false},
        {NR_FIND_CLOUDS, NR_SEVERITY_NOTE, "sun", false, false},
        {NR_FIND_TOO_SHORT, NR_SEVERITY_FAULT, "", false, false},
        {NR_FIND_MISSING_CHANNEL, NR_SEVERITY_FAULT, "sun", false, false},
        {NR_FIND_EMPTY_CHANNEL, NR_SEVERITY_FAULT, "air", false, false},
        {NR_FIND_FLOW_DEAD, NR_SEVERITY_FAULT, "flow", false, false},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        found(of[i].code, of[i].severity, of[i].channel);
        const nr_trust_reason *r = doubts(NR_TRUST_FINDING);
        const char *name = nr_finding_name(of[i].code);
        ck_assert_msg((r != NULL) == of[i].counts, "%s of \"%s\"", name, of[i].channel);
        ck_assert_msg(!r || r->withholds == of[i].withholds, "%s of \"%s\"", name, of[i].channel);
        ck_assert(!r || r->weight == (of[i].withholds ? 10 : 1.5));
        ck_assert(!r || (strcmp(nr_trust_name(r), name) == 0 &&
                         strcmp(r->name, of[i].channel) == 0 && r->whose[0] == '\0'));
        nr_trust_reason early;
        bool foreseen = nr_trust_foresee(&looked, -1, &early);
        bool always =
            !of[i].channel[0] || !strcmp(of[i].channel, "sun") || !strcmp(of[i].channel, "air");
        ck_assert_msg(foreseen == (of[i].withholds && always), "%s of \"%s\"", name, of[i].channel);
    }
    fit.runs = 2; /* whose it is, where there are several */
    found(NR_FIND_STUCK, NR_SEVERITY_FAULT, "sun");
    ck_assert_str_eq(doubts(NR_TRUST_FINDING)->whose, run->run.folder);
}
END_TEST

/* Which channels the three ways to fit stand on. */
START_TEST(channels_that_are_needed)
{
    static const struct {
        const char *channel;
        bool both, loop, store;
    } of[] = {{"sun", true, true, true},     {"air", true, true, true},
              {"store", true, false, true},  {"inlet", true, true, false},
              {"outlet", true, true, false}, {"flow", true, true, false},
              {"wind", false, false, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const char *channel = of[i].channel;
        nr_trust_reason r;
        found(NR_FIND_STUCK, NR_SEVERITY_FAULT, channel);
        fit.model = NR_MODEL_BOTH;
        ck_assert_msg((doubts(NR_TRUST_FINDING) != NULL) == of[i].both, "%s", channel);
        fit.model = NR_MODEL_LOOP;
        ck_assert_msg((doubts(NR_TRUST_FINDING) != NULL) == of[i].loop, "%s", channel);
        fit.model = NR_MODEL_STORE;
        ck_assert_msg((doubts(NR_TRUST_FINDING) != NULL) == of[i].store, "%s", channel);
        /* A container that contradicts the loop may still be left out. */
        bool left_out = strcmp(channel, "store") == 0;
        ck_assert(nr_trust_foresee(&looked, NR_MODEL_BOTH, &r) == (of[i].both && !left_out));
        ck_assert(nr_trust_foresee(&looked, NR_MODEL_LOOP, &r) == of[i].loop);
        ck_assert(nr_trust_foresee(&looked, NR_MODEL_STORE, &r) == of[i].store);
    }
    /* Passed over: a doubt, and what the set-up does not need; then the one behind it counts. */
    nr_trust_reason r;
    found(NR_FIND_STUCK, NR_SEVERITY_DOUBT, "sun");
    looked.finding[1] = looked.finding[2] = looked.finding[0];
    looked.finding[1].severity = looked.finding[2].severity = NR_SEVERITY_FAULT;
    (void)snprintf(looked.finding[1].channel, sizeof looked.finding[1].channel, "wind");
    looked.findings = 2;
    ck_assert(!nr_trust_foresee(&looked, NR_MODEL_BOTH, &r));
    ck_assert(!nr_trust_foresee(&looked, -1, &r));
    looked.findings = 3;
    ck_assert(nr_trust_foresee(&looked, NR_MODEL_BOTH, &r) && strcmp(r.name, "sun") == 0);
    ck_assert(!nr_trust_foresee(&looked, -1, &r)); /* who knows whether the first is needed */
}
END_TEST

/* --- tests of misfit, and the board --------------------------------------------------------- */

/* In place of the library's own: what trust.c makes of what they find is asked here. */
static nr_misfit handed;
static nr_misfit_scale asked;
static double asked_gradient[NR_MISFIT_POINTS][NR_TERMS * 4];
static struct {
    bool matters;
    double with, u, without;
} board;

nr_code nr_misfit_find(const nr_joint *j, size_t build, const nr_misfit_scale *scale,
                       nr_misfit *out, nr_err *err)
{
    ck_assert_ptr_eq(j, joint);
    ck_assert(build == 0 && err != NULL);
    asked = *scale;
    ck_assert_uint_le(j->parameters, NR_TERMS * 4);
    for (int k = 0; k < NR_MISFIT_POINTS; k++)
        if (scale->gradient[k])
            memcpy(asked_gradient[k], scale->gradient[k], j->parameters * sizeof(double));
    *out = handed;
    return NR_OK;
}

bool nr_fit_back_matters(const nr_joint *j, size_t build, const nr_fit *of, double with[2],
                         double *without)
{
    ck_assert(j == joint && build == 0 && of == &fit);
    with[0] = board.with;
    with[1] = board.u;
    *without = board.without;
    return board.matters;
}

/* As an estimate leaves it: at the priors, and known to a tenth of them. */
static void estimated(void)
{
    for (size_t i = 0; i < joint->parameters; i++) {
        joint->x[i] = joint->parameter[i].prior;
        joint->covariance[i * (joint->parameters + 1)] = pow(0.1 * joint->parameter[i].prior_u, 2);
    }
    handed.count = 0;
    board.matters = false;
    fit.reference = NR_REFERENCE_INLET;
    fit.x_range[0] = 0.01;
    fit.x_range[1] = 0.07;
}

static const nr_trust *judge_all(void)
{
    nr_trust_options options = {.judged = &judged};
    nr_err err = {.text = ""};
    memset(&fit.trust, 0, sizeof fit.trust);
    ck_assert_msg(!nr_trust_judge(joint, 0, &options, &fit, &err), "%s", err.text);
    return &fit.trust;
}

/* Each kind by its own name; of what and whose, where that is said. */
START_TEST(what_misfit_found)
{
    static const struct {
        nr_misfit_kind kind;
        const char *name;
    } of[] = {{NR_MISFIT_GAIN_STEP, "gain-step"},       {NR_MISFIT_GAIN_PULSE, "gain-pulse"},
              {NR_MISFIT_PROBE_JUMP, "probe-jump"},     {NR_MISFIT_PROBE_DRIFT, "probe-drift"},
              {NR_MISFIT_SUN_DRIFT, "sun-drift"},       {NR_MISFIT_STORE_MASS, "store-mass"},
              {NR_MISFIT_STORE_STEP, "store-step"},     {NR_MISFIT_LOOP_STORE, "loop-store"},
              {NR_MISFIT_PRIOR, "stated-value"},        {NR_MISFIT_PRIORS, "stated-values"},
              {NR_MISFIT_SUN_COURSE, "sun-course"},     {NR_MISFIT_HALVES, "halves"},
              {NR_MISFIT_INLET_STEP, "inlet-step"},     {NR_MISFIT_INLET_STORE, "inlet-store"},
              {NR_MISFIT_INLET_LEAVES, "inlet-leaves"}, {NR_MISFIT_SLOW_START, "slow-start"}};
    static const char *const channel[NR_OUTS] = {"store", "inlet", "outlet"};
    ck_assert_uint_eq(sizeof of / sizeof of[0], NR_MISFIT_KINDS);
    estimated();
    for (int k = 0; k < 6 * NR_MISFIT_KINDS; k++) {
        nr_misfit_kind kind = of[k / 6].kind;
        int out = k % 4 - 1;
        bool is_prior = kind == NR_MISFIT_PRIOR, of_all = kind == NR_MISFIT_PRIORS;
        bool probe = kind == NR_MISFIT_PROBE_JUMP || kind == NR_MISFIT_PROBE_DRIFT;
        size_t parameter = (size_t)k % joint->parameters;
        double size = (of_all || k % 2 ? 1 : -1) * (0.3 + k);
        joint->parameter[parameter].ask = k % 3 ? "" : "u_probe";
        handed.count = 1;
        handed.finding[0] = (nr_misfit_finding){.kind = kind,
                                                .strength = 1.2 + k,
                                                .at_s = 300 + k,
                                                .until_s = 400 + k,
                                                .channel = out,
                                                .parameter = parameter,
                                                .size = size};
        fit.runs = 1 + (size_t)k % 2;
        const nr_trust *t = judge_all();
        ck_assert_uint_eq(t->count, 1);
        const nr_trust_reason *r = &t->reason[0];
        ck_assert_str_eq(nr_trust_name(r), of[k / 6].name);
        ck_assert(!r->withholds);
        NEAR(r->weight, 1.2 + k, 0);
        NEAR(r->number[0], of_all ? sqrt(size) : size, 1e-12 * fabs(size));
        NEAR(r->number[1], 300 + k, 0);
        NEAR(r->number[2], size > 0, 0);
        NEAR(r->number[3], is_prior ? k % 3 == 0 : 400 + k, 0);
        ck_assert_str_eq(r->name, is_prior            ? nr_joint_parameter(joint, parameter).label
                                  : probe && out >= 0 ? channel[out]
                                                      : "");
        ck_assert_str_eq(r->whose, fit.runs > 1 && !is_prior && !of_all ? run->run.folder : "");
    }
}
END_TEST

/* What misfit is told: the relative u of the efficiency in the middle of what was tested, of at
 * least a tenth, and no wider than 0.08; and the efficiency at both ends and in the middle. */
START_TEST(what_matters)
{
    static nr_curve_point curve[9];
    static double gradient[NR_TERMS * 4];
    estimated();
    fit.curve = curve;
    fit.curve_points = 9;
    for (int k = 0; k < 40; k++) {
        size_t first = (size_t)k % 4, tested = 1 + (size_t)k % 5;
        for (size_t i = 0; i < 9; i++) {
            double eta = 0.9 - 0.11 * (double)i, half = 0.001 * (double)((i + 1) * (size_t)(k + 1));
            curve[i] = (nr_curve_point){.eta = eta, .lo95 = eta - half, .hi95 = eta + half};
            curve[i].tested = i >= first && i < first + tested;
        }
        const nr_curve_point *middle = &curve[first + tested / 2];
        (void)judge_all();
        NEAR(asked.efficiency_u,
             fmin((middle->hi95 - middle->lo95) / 3.92 / fmax(fabs(middle->eta), 0.1), 0.08),
             1e-12);
    }
    for (int k = 0; k < 6; k++) {
        fit.reference = k % 2 ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
        for (size_t i = 0; i < joint->parameters; i++) /* and far better known */
            joint->covariance[i * (joint->parameters + 1)] =
                pow(0.1 / (1 + k * k) * joint->parameter[i].prior_u, 2);
        (void)judge_all();
        for (int point = 0; point < NR_MISFIT_POINTS; point++) {
            nr_curve_at at = nr_derive_conditions(joint, 0, k % 2);
            at.x = 0.01 + 0.03 * point;
            ck_assert(nr_result_gradient(joint, nr_result_efficiency, &at, gradient));
            double eta = nr_result_efficiency(joint, joint->x, &at), u = 0;
            for (size_t i = 0; i < joint->parameters; i++) {
                NEAR(asked_gradient[point][i], gradient[i], 1e-6 * (1e-3 + fabs(gradient[i])));
                u += pow(gradient[i], 2) * joint->covariance[i * (joint->parameters + 1)];
            }
            NEAR_RELATIVE(asked.point_u[point], fmin(sqrt(u), 0.08 * fmax(fabs(eta), 0.1)), 1e-9);
        }
    }
}
END_TEST

/* A board that nobody told of: where it moves the efficiency by 0.04, and by half as much again as
 * its u. */
START_TEST(a_board_that_matters)
{
    static const struct {
        double with, u, without;
        double weight; /* 0: none */
    } of[] = {{0.7, 0.01, 0.739, 0}, {0.7, 0.01, 0.741, 1.025}, {0.7, 0.01, 0.659, 1.025},
              {0.7, 0.04, 0.759, 0}, {0.7, 0.04, 0.6394, 1.01}, {0.7, 0.02, 0.9, 5},
              {0.7, 0.05, 0.85, 2.0}};
    estimated();
    for (size_t i = 0; i < sizeof of / sizeof of[0]; i++)
        for (int matters = 0; matters < 2; matters++) {
            board.matters = matters;
            board.with = of[i].with;
            board.u = of[i].u;
            board.without = of[i].without;
            const nr_trust *t = judge_all();
            ck_assert_msg(t->count == (matters && of[i].weight > 0), "row %zu", i);
            if (!t->count)
                continue;
            ck_assert_int_eq(t->reason[0].code, NR_TRUST_BACK);
            NEAR(t->reason[0].weight, of[i].weight, 1e-9);
            NEAR(t->reason[0].number[0], of[i].with, 0);
            NEAR(t->reason[0].number[1], of[i].without, 0);
        }
}
END_TEST

/* --- several reasons ------------------------------------------------------------------------ */

START_TEST(the_likeliest_first)
{
    /* What withholds, before what happened at some minute, before the rest, each by weight. */
    const nr_trust from = {
        .count = 5,
        .reason = {{.code = NR_TRUST_STATED_VALUE, .weight = 9, .name = "area"},
                   {.code = NR_TRUST_GAIN_STEP, .weight = 2},
                   {.code = NR_TRUST_PROBE_JUMP, .weight = 3, .name = "outlet"},
                   {.code = NR_TRUST_TOO_MUCH_HEAT, .weight = 1, .withholds = true},
                   {.code = NR_TRUST_SUN_DRIFT, .weight = 9.5, .whose = "own"}}};
    nr_trust to = {0};
    nr_trust_inherit(&to, &from, "north");
    static const nr_trust_code order[] = {NR_TRUST_TOO_MUCH_HEAT, NR_TRUST_PROBE_JUMP,
                                          NR_TRUST_GAIN_STEP, NR_TRUST_SUN_DRIFT,
                                          NR_TRUST_STATED_VALUE};
    ck_assert_uint_eq(to.count, 5);
    for (size_t i = 0; i < 5; i++) {
        ck_assert_int_eq(to.reason[i].code, order[i]);
        ck_assert_str_eq(to.reason[i].whose, order[i] == NR_TRUST_SUN_DRIFT ? "own" : "north");
    }
    ck_assert(nr_trust_withholds(&to) && !nr_trust_withholds(&from));
    nr_trust_inherit(&to, &from, "south");
    nr_trust_inherit(&to, &from, "west"); /* twelve and no more */
    ck_assert_uint_eq(to.count, NR_TRUST_REASONS);
    /* The same about the same once; about another channel twice. */
    looked.findings = 3;
    for (size_t i = 0; i < 3; i++) {
        looked.finding[i] = (nr_finding){.code = NR_FIND_STUCK, .severity = NR_SEVERITY_FAULT};
        (void)snprintf(looked.finding[i].channel, sizeof looked.finding[i].channel, "%s",
                       i == 1 ? "air" : "sun");
    }
    ck_assert_uint_eq(judge()->count, 2);
    for (int code = 1; code < NR_TRUST_CODES; code++)
        for (int other = 1; other < code; other++)
            ck_assert_str_ne(nr_trust_name(&(nr_trust_reason){.code = (nr_trust_code)code}),
                             nr_trust_name(&(nr_trust_reason){.code = (nr_trust_code)other}));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {gains_that_cannot_be,
                                  known_to_nothing,
                                  losses_that_cannot_be,
                                  findings_that_count,
                                  channels_that_are_needed,
                                  what_misfit_found,
                                  what_matters,
                                  a_board_that_matters,
                                  the_likeliest_first,
                                  NULL};
    return run_tests_in("trust", tests, set_up, tear_down);
}
