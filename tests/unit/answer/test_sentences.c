/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every computed number that stands before a unit in a sentence is marked (answer/figure.h), so
 * that whoever shows it can convert it to the last digit. Checked on all answers about the sample
 * runs: with the marked numbers taken out, nothing is left that a reader of US units would see
 * converted but numbers that are exact as written, which are listed here. And no sentence fills
 * its room, where it would be cut. */
#include "analyze/answer/compare.h"
#include "analyze/answer/figure.h"
#include "analyze/answer/inspect.h"
#include "analyze/answer/plan.h"
#include "analyze/answer/pump.h"
#include "analyze/answer/size.h"
#include "analyze/show/display.h"
#include "logger/run/folder.h"
#include "tests/unit/answer/simulated.h"

/* Constants of the texts: the reference irradiance, hot storage, what an improvement would do. */
static const char *const exact[] = {"1000 W/m2",      "60 degC",        "water 8 K colder",
                                    "starts 25 K",    "to 0.05 K",      "probes (0.15 K)",
                                    "20 and 45 degC", "from 40 degC on"};

static size_t figures;

static void without_figures(char *to, const char *text)
{
    nr_figure_mark mark;
    while (*text) {
        if (nr_figure_at(text, &mark)) {
            figures++;
            text = mark.read;
            text += strspn(text, "+-0123456789.e");
            *to++ = 'N';
            /* The full stop that ended the sentence. */
            if (text[-1] == '.')
                *to++ = '.';
        } else {
            *to++ = *text++;
        }
    }
    *to = '\0';
}

static void take_out(char *text, const char *words)
{
    char *at;
    while ((at = strstr(text, words)))
        memmove(at, at + strlen(words), strlen(at + strlen(words)) + 1);
}

static void look(const char *text, size_t room)
{
    char plain[2000], us[4000];
    ck_assert_msg(strlen(text) + 1 < room, "cut: %s", text);
    without_figures(plain, text);
    for (size_t i = 0; i < sizeof exact / sizeof *exact; i++)
        take_out(plain, exact[i]);
    nr_display_text(us, sizeof us, plain, NR_UNITS_US);
    /* The display normalises blanks; so does this. */
    char si[4000];
    size_t n = 0;
    for (const char *p = plain; *p; p++)
        if (!(*p == ' ' && (n == 0 || si[n - 1] == ' ')))
            si[n++] = *p;
    si[n] = '\0';
    if (n && si[n - 1] == ' ')
        si[n - 1] = '\0';
    ck_assert_msg(strcmp(us, si) == 0, "a number without a mark: %s", text);
}
#define LOOK(member) look(member, sizeof member)

static void look_at_warnings(const nr_warnings *w)
{
    for (size_t i = 0; i < w->count; i++)
        LOOK(w->item[i].text);
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
        if (nr_run_open(path_of(names[i]), &run[i], NULL, &err)) {
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
    LOOK(p->sentence);
    LOOK(p->remedy);
    look_at_warnings(&p->cautions);
    look_at_warnings(&p->fit->warnings);
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
    ck_assert_uint_gt(figures, 100);
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
        LOOK(z->sentence);
        LOOK(z->ways);
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
        LOOK(p->sentence);
        LOOK(p->faster);
        LOOK(p->panel);
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
    LOOK(p->sentence);
    LOOK(p->limits);
    for (size_t s = 0; s < p->steps; s++)
        LOOK(p->step[s].text);
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
        LOOK(x->sentence);
        for (size_t f = 0; f < x->findings; f++) {
            LOOK(x->finding[f].text);
            LOOK(x->finding[f].advice);
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
        LOOK(out->verdict);
        look_at_warnings(&out->warnings);
        nr_compare_free(out);
    }
}
END_TEST

/* The check itself sees what it looks for. */
START_TEST(forgotten_mark_is_seen)
{
    char plain[200], us[200];
    without_figures(plain, "goes from 12 K to 14 K");
    nr_display_text(us, sizeof us, plain, NR_UNITS_US);
    ck_assert_str_ne(us, plain);
}
END_TEST

int main(void)
{
    open_all();
    const TTest *const tests[] = {
        predictions, sizes, pumps, plans, inspections, comparisons, forgotten_mark_is_seen, NULL};
    return run_tests("sentences", tests);
}
