/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences about the sample runs, in both systems of units: every blank is filled, a reader of
 * US units meets no number in SI, and none fills its room, where it would be cut. */
#include "logger/run/folder.h"
#include "tests/unit/fit/simulated.h"
#include "tests/unit/one_run.h"
#include "tests/unit/tell/said.h"

static size_t sentences;

/* SAID(nr_tell_predict, p): in both units. */
#define SAID(tell, ...)                                                                            \
    do {                                                                                           \
        char sentence[NR_TELL];                                                                    \
        for (nr_units units = NR_UNITS_SI; units <= NR_UNITS_US; units++) {                        \
            tell(sentence, sizeof sentence, __VA_ARGS__, units);                                   \
            is_said(sentence, units);                                                              \
            sentences += sentence[0] != '\0';                                                      \
        }                                                                                          \
    } while (0)

static void look_at_warnings(const nr_warnings *w)
{
    for (size_t i = 0; i < w->count; i++)
        SAID(nr_tell_warning, &w->item[i], w);
}

static void look_at_fit(const nr_fit *f)
{
    SAID(nr_tell_fit_result, f);
    SAID(nr_tell_fit_basis, f);
    SAID(nr_tell_fit_correlation, f);
    SAID(nr_tell_fit_standstill, f);
    SAID(nr_tell_fit_bend, f);
    SAID(nr_tell_fit_limits, f);
    SAID(nr_tell_fit_range, f);
    SAID(nr_tell_fit_energy, f);
    SAID(nr_tell_fit_second_opinion, f);
    for (size_t i = 0; i < f->learned_items; i++)
        SAID(nr_tell_fit_learned, &f->learned[i]);
    look_at_warnings(&f->warnings);
}

static const char *const names[] = {"wash-stand-glazed",          "wash-stand-bare",
                                    "wash-stand-bare-store-only", "wash-stand-glazed-cool-down",
                                    "wash-stand-glazed-hot",      "wash-stand-glazed-panel-pump"};
#define RUNS (sizeof names / sizeof *names)
static nr_run *run[RUNS];

static const char *path_of(const char *name)
{
    static char path[600];
    snprintf(path, sizeof path, "%s/../../sample-runs/%s", TEST_DATA, name);
    return path;
}

static void open_all(void)
{
    nr_err err = {.text = ""};
    for (size_t i = 0; i < RUNS; i++)
        if (one_run(path_of(names[i]), &run[i], &err)) {
            fprintf(stderr, "%s\n", err.text);
            exit(EXIT_FAILURE);
        }
}

static void look_at_predict(const nr_run *const *runs, size_t count, const nr_day *day)
{
    nr_predict *p = NULL;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(nr_predict_runs(runs, count, day, &options, &p, &err) == NR_OK, "%s", err.text);
    SAID(nr_tell_predict, p);
    SAID(nr_tell_predict_remedy, p);
    SAID(nr_tell_predict_water, &p->day);
    SAID(nr_tell_predict_day, &p->day);
    SAID(nr_tell_predict_shares, p);
    look_at_warnings(&p->cautions);
    look_at_fit(p->fit);
    nr_predict_free(p);
}

START_TEST(predictions)
{
    /* Reached, out of reach in steady sun, a clear day, both ways; the panel's pump starved. With
     * all channels and with the store alone. */
    for (size_t i = 0; i < RUNS; i += 2) {
        if (i == 4) /* the hot start: with the sunny run only */
            continue;
        const nr_run *one[] = {run[i]};
        nr_day day = steady_day(870.3, 19.7, 14.2, 41.6);
        look_at_predict(one, 1, &day);
        day = steady_day(310, 9.3, 8.1, 90);
        day.wind_m_s = 2.2;
        look_at_predict(one, 1, &day);
        day = clear_day(9, 21.7, 12.3, 44.4);
        look_at_predict(one, 1, &day);
        day = clear_day(14, 11, 10, 95);
        look_at_predict(one, 1, &day);
    }
    const nr_run *both[] = {run[0], run[4]};
    nr_day day = steady_day(905, 22, 15, 60);
    day.same_meter = true;
    look_at_predict(both, 2, &day);
    day = steady_day(140, 22, 15, 60);
    const nr_run *panel[] = {run[5]};
    look_at_predict(panel, 1, &day);
    ck_assert_uint_gt(sentences, 200);
}
END_TEST

START_TEST(sizes)
{
    const nr_run *one[] = {run[0]};
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    for (int k = 0; k < 3; k++) {
        nr_size_question q = nr_size_open();
        q.day = k == 0 ? steady_day(800, 20, 15, 45) : clear_day(9, 21.3, 14.4, k == 1 ? 43.3 : 95);
        if (k)
            q.by_s = 15 * 3600;
        else
            q.day.limit_s = 5400;
        q.tap_degC = 11.5;
        q.use_degC = 38.2;
        q.use_L = 4;
        nr_size *z = NULL;
        ck_assert_msg(nr_size_runs(one, 1, &q, &options, &z, &err) == NR_OK, "%s", err.text);
        SAID(nr_tell_size, z);
        SAID(nr_tell_size_bounds, z);
        SAID(nr_tell_size_uses, z);
        look_at_warnings(&z->cautions);
        nr_size_free(z);
    }
}
END_TEST

START_TEST(pumps)
{
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    for (size_t i = 0; i < RUNS; i += 5) {
        const nr_run *one[] = {run[i]};
        nr_pump *p = NULL;
        ck_assert_msg(nr_pump_runs(one, 1, NAN, &options, &p, &err) == NR_OK, "%s", err.text);
        SAID(nr_tell_pump, p);
        SAID(nr_tell_pump_faster, p);
        SAID(nr_tell_pump_panel, p);
        SAID(nr_tell_pump_basis, p);
        look_at_warnings(&p->cautions);
        nr_pump_free(p);
    }
}
END_TEST

START_TEST(plans)
{
    nr_err err = {.text = ""};
    nr_plan_test test = nr_plan_test_open();
    nr_plan *p = NULL;
    char rig[700];
    snprintf(rig, sizeof rig, "%s/rig.ini", path_of("wash-stand-bare-store-only"));
    ck_assert_msg(nr_plan_rig(rig, &test, &p, &err) == NR_OK, "%s", err.text);
    SAID(nr_tell_plan, p);
    SAID(nr_tell_plan_limits, p);
    SAID(nr_tell_plan_supposed, p);
    for (size_t s = 0; s < p->steps; s++)
        SAID(nr_tell_plan_step, &p->step[s]);
    look_at_warnings(&p->warnings);
    nr_plan_free(p);
}
END_TEST

START_TEST(inspections)
{
    nr_err err = {.text = ""};
    for (size_t i = 0; i < RUNS; i++) {
        nr_inspect *x = NULL;
        ck_assert_msg(nr_inspect_run(run[i], &x, &err) == NR_OK, "%s", err.text);
        SAID(nr_tell_inspect, x);
        for (size_t f = 0; f < x->findings; f++) {
            SAID(nr_tell_finding, &x->finding[f]);
            SAID(nr_tell_finding_advice, &x->finding[f]);
        }
        nr_inspect_free(x);
    }
}
END_TEST

START_TEST(comparisons)
{
    const nr_run *a[] = {run[0]}, *b[] = {run[1]}, *c[] = {run[5]};
    const nr_run *const *groups[] = {a, b, c};
    const size_t counts[] = {1, 1, 1};
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    for (size_t builds = 2; builds <= 3; builds++) {
        nr_compare *out = NULL;
        ck_assert_msg(nr_compare_builds(groups, counts, builds, NULL, &options, &out, &err) ==
                          NR_OK,
                      "%s", err.text);
        SAID(nr_tell_compare_verdict, out);
        SAID(nr_tell_compare_day, &out->day);
        for (size_t d = 0; d < out->differences; d++)
            SAID(nr_tell_compare_pair, out, &out->difference[d]);
        look_at_warnings(&out->warnings);
        nr_compare_free(out);
    }
}
END_TEST

/* Few readings are no fault of the record's. */
START_TEST(undetermined)
{
    char why[NR_TELL];
    nr_trust_reason r = {.code = NR_TRUST_UNDETERMINED, .number = {0.35, 5}};
    SAID(nr_tell_trust, &r);
    nr_tell_trust(why, sizeof why, &r, NR_UNITS_SI);
    ck_assert_msg(strstr(why, "(standard uncertainty 35 % of the sun). What the sun") &&
                      strstr(why, "between its 5 readings") && !strstr(why, "what changed"),
                  "%s", why);
    r.number[1] = 0;
    nr_tell_trust(why, sizeof why, &r, NR_UNITS_SI);
    ck_assert_msg(strstr(why, "Check what changed") && !strstr(why, "readings is"), "%s", why);
}
END_TEST

int main(void)
{
    open_all();
    const TTest *const tests[] = {predictions, sizes,       pumps,        plans,
                                  inspections, comparisons, undetermined, NULL};
    return run_tests("sentences", tests);
}
