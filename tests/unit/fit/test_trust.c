/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an answer is doubted for and what withholds it, each limit of trust.c from both sides:
 * made-up answers and findings, judged with the record of a simulated run. The limits are what
 * trust.c says of panes, paint and home-made collectors (common practice, no source). */
#include "analyze/fit/derive.h"
#include "analyze/fit/trust.h"
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
                                  the_likeliest_first,
                                  NULL};
    return run_tests_in("trust", tests, set_up, tear_down);
}
