/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `fit` and `compare` as tables, `list` as text, table and document, `plan` as text: every number
 * in its place, each another one. */
#include "analyze/show/listing.h"
#include "analyze/show/show.h"
#include "tests/unit/show/document.h"

static nr_err err;

static void said(const char *words)
{
    bool there = strstr(text, words) != NULL;
    if (!there)
        fputs(text, stderr);
    ck_assert_msg(there, "not said: %s", words);
}

static size_t lines(void)
{
    size_t n = 0;
    for (const char *p = text; *p; p++)
        n += *p == '\n';
    return n;
}

/* ---- fit and compare ---- */

static void make_fit(nr_fit *f, const char *name, double by)
{
    *f = (nr_fit){.eta0 = six(0.5 * by, NR_UNIT_ONE),
                  .eta0_normal = six(0.625 * by, NR_UNIT_ONE),
                  .a1 = six(5 * by, NR_UNIT_W_M2K),
                  .a2 = nr_quantity_unknown(NR_UNIT_W_M2K2),
                  .a5 = six(8000 * by, NR_UNIT_J_M2K),
                  .store_loss = six(2 * by, NR_UNIT_W_K),
                  .run_efficiency = six(0.375 * by, NR_UNIT_ONE),
                  .stagnation_K = six(90 * by, NR_UNIT_K),
                  .time_constant_s = six(150 * by, NR_UNIT_S)};
    snprintf(f->collector_name, sizeof f->collector_name, "%s", name);
}

/* A row of a quantity made by six(). */
static void row_is(const char *of, const char *against, const char *name, double v,
                   const char *unit)
{
    char line[512];
    snprintf(line, sizeof line, "%s,%s,%s,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%s\n", of, against,
             name, v, v / 16, v / 32, v / 64, v * 0.75, v * 1.5, unit);
    said(line);
}

static void fit_is(const char *name, double by)
{
    char line[128];
    row_is(name, "", "eta0", 0.5 * by, "");
    row_is(name, "", "eta0_normal", 0.625 * by, "");
    row_is(name, "", "a1", 5 * by, "\"W/(m2 K)\"");
    row_is(name, "", "a5", 8000 * by, "\"J/(m2 K)\"");
    row_is(name, "", "store_loss", 2 * by, "W/K");
    row_is(name, "", "run_efficiency", 0.375 * by, "");
    row_is(name, "", "stagnation_K", 90 * by, "K");
    row_is(name, "", "time_constant_s", 150 * by, "s");
    snprintf(line, sizeof line, "%s,,a2,,,,,,,", name);
    said(line);
}

START_TEST(fits)
{
    static nr_fit one, two;
    make_fit(&one, "first", 1);
    make_fit(&two, "=second", 1.25); /* no formula in a spreadsheet */
    nr_fit *both[] = {&one, &two};
    FILE *to = write_to();
    ck_assert_int_eq(nr_csv_fits(to, both, 2, &err), NR_OK);
    fclose(to);
    ck_assert_uint_eq(lines(), 1 + 2 * 9);
    said("collector,against,quantity,value,u,u_random,u_systematic,lo95,hi95,unit\n");
    fit_is("first", 1);
    fit_is("'=second", 1.25);
    FILE *full = fopen("/dev/full", "w");
    ck_assert_int_eq(nr_csv_fits(full, both, 2, &err), NR_BAD);
    fclose(full);
}
END_TEST

START_TEST(comparisons)
{
    static nr_fit one, two;
    static nr_compare c;
    make_fit(&one, "a", 1);
    make_fit(&two, "b", 1.5);
    c = (nr_compare){.builds = 2,
                     .build = {&one, &two},
                     .label = {"left", "right"},
                     .heat_up = {{.time_s = six(3600, NR_UNIT_S), .probability_reached = 0.75},
                                 {.time_s = six(4800, NR_UNIT_S), .probability_reached = 0.625}},
                     .differences = 1,
                     .difference = {{.of = 1,
                                     .against = 0,
                                     .eta0 = six(0.25, NR_UNIT_ONE),
                                     .a1 = six(2.5, NR_UNIT_W_M2K),
                                     .heat_up_s = six(1200, NR_UNIT_S),
                                     .probability_better = 0.875}}};
    FILE *to = write_to();
    ck_assert_int_eq(nr_csv_compare(to, &c, &err), NR_OK);
    fclose(to);
    ck_assert_uint_eq(lines(), 1 + 2 * 11 + 4);
    fit_is("left", 1);
    fit_is("right", 1.5);
    row_is("left", "", "heat_up_s", 3600, "s");
    row_is("right", "", "heat_up_s", 4800, "s");
    said("left,,probability_reached,0.75,,,,,,\n");
    said("right,,probability_reached,0.625,,,,,,\n");
    row_is("right", "left", "eta0", 0.25, "");
    row_is("right", "left", "a1", 2.5, "\"W/(m2 K)\"");
    row_is("right", "left", "heat_up_s", 1200, "s");
    said("right,left,probability_better,0.875,,,,,,\n");
}
END_TEST

/* ---- list ---- */

static nr_listed listed[4];
static const nr_listing listing = {.records = 3, .broken = 1, .count = 4, .item = listed};

static void make_listing(void)
{
    static const char *const folder[] = {"shed/one", "shed/one", "shed/two", "shed/three"};
    static const char *const collector[] = {"L", "a name of more than eighteen letters",
                                            "a tank of 18 signs", ""};
    for (int i = 0; i < 4; i++) {
        listed[i] = (nr_listed){.start_utc_s = i < 3 ? 1750501800 + 86400 * i : (double)NAN,
                                .duration_s = i < 3 ? 5400 + 600 * i : (double)NAN,
                                .eta0 = nr_quantity_unknown(NR_UNIT_ONE),
                                .a1 = nr_quantity_unknown(NR_UNIT_W_M2K),
                                .store_loss = nr_quantity_unknown(NR_UNIT_W_K)};
        snprintf(listed[i].folder, sizeof listed[i].folder, "%s", folder[i]);
        snprintf(listed[i].collector, sizeof listed[i].collector, "%s", collector[i]);
    }
    listed[0].eta0 = six(0.72, NR_UNIT_ONE);
    listed[0].a1 = six(5.6, NR_UNIT_W_M2K);
    listed[0].loss_includes_store = true;
    listed[1].grade = NR_LISTED_DOUBTFUL;
    listed[1].reason = (nr_trust_reason){.code = NR_TRUST_GAIN_LITTLE, .number = {0.12}};
    listed[1].eta0 = six(0.48, NR_UNIT_ONE);
    listed[1].a1 = six(8, NR_UNIT_W_M2K);
    listed[2].cool_down = true;
    listed[2].store_loss = six(2.4, NR_UNIT_W_K);
    listed[3].grade = NR_LISTED_BROKEN;
    snprintf(listed[3].trouble, sizeof listed[3].trouble, "rig.ini:3: no such key");
}

/* The record begins 2025-06-21 at 10:30 UTC. */
START_TEST(list_as_text)
{
    make_listing();
    FILE *to = write_to();
    nr_show_listing(to, &listing, NR_UNITS_SI);
    fclose(to);
    ck_assert_msg(strncmp(text, "  begins, UTC       min  grade", 30) == 0, "%s", text);
    /* u: a sixteenth */
    said("shed/one\n  2025-06-21 10:30   90  good       0.720 0.045   5.60 0.35 * L\n");
    said("  2025-06-22 10:30  100  doubtful   0.480 0.030   8.00 0.50   a name of more th~\n");
    said("shed/two\n  2025-06-23 10:30  110  good           -            -        a tank of 18 "
         "signs\n");
    said("shed/three\n    broken: rig.ini:3: no such key\n");
    said("container's loss only, 2.40 W/K (95 %: 1.80 to 3.60)");
    said("*: the container's loss is in it.");
    ck_assert_ptr_null(strstr(text, "eighteen"));
    ck_assert_ptr_null(strstr(strstr(text, "shed/one") + 1, "shed/one"));
    listed[0].loss_includes_store = false;
    to = write_to();
    nr_show_listing(to, &listing, NR_UNITS_US);
    fclose(to);
    ck_assert_ptr_null(strstr(text, "container's loss is in it"));
    said("0.986"); /* 5.6 W/(m2 K) of 0.17611 Btu/(h ft2 degF) (NIST SP 811, B.8) */
}
END_TEST

START_TEST(list_for_machines)
{
    make_listing();
    FILE *to = write_to();
    ck_assert_int_eq(nr_csv_listing(to, &listing, &err), NR_OK);
    fclose(to);
    ck_assert_uint_eq(lines(), 5);
    said("folder,collector,start_utc,duration_s,grade,eta0,u_eta0,a1_W_m2K,u_a1_W_m2K,"
         "loss_includes_store,reason,cool_down,store_loss_W_K,u_store_loss_W_K\n");
    char line[256];
    snprintf(line, sizeof line, ",5400,good,%.17g,%.17g,%.17g,%.17g,yes,,no,,\n", 0.72, 0.72 / 16,
             5.6, 5.6 / 16);
    said(line);
    said("shed/one,L,2025-06-21T10:30:00");
    snprintf(line, sizeof line, ",6600,good,,,,,no,,yes,%.17g,%.17g\n", 2.4, 2.4 / 16);
    said(line);
    said("shed/three,,,,broken,,,,,no,\"rig.ini:3: no such key\",no,,\n");
    said(",doubtful,");
    to = write_to();
    ck_assert_int_eq(nr_json_listing(to, &listing, &err), NR_OK);
    fclose(to);
    json_t *j = document();
    number_is(j, "records", 3);
    number_is(j, "broken", 1);
    length_is(j, "collectors", 4);
    text_is(j, "collectors.0.folder", "shed/one");
    text_is(j, "collectors.0.collector", "L");
    ck_assert_ptr_nonnull(
        strstr(json_string_value(at(j, "collectors.2.start_utc")), "2025-06-23T10:30:00"));
    number_is(j, "collectors.1.duration_s", 6000);
    text_is(j, "collectors.1.grade", "doubtful");
    quantity_is(j, "collectors.1.eta0", 0.48, "");
    quantity_is(j, "collectors.1.a1", 8, "W/(m2 K)");
    number_is(j, "collectors.1.store_loss", NAN);
    ck_assert_msg(strlen(json_string_value(at(j, "collectors.1.reason"))) > 20, "no reason");
    bool_is(j, "collectors.0.loss_includes_store", true);
    bool_is(j, "collectors.1.loss_includes_store", false);
    number_is(j, "collectors.0.reason", NAN);
    bool_is(j, "collectors.2.cool_down", true);
    bool_is(j, "collectors.0.cool_down", false);
    quantity_is(j, "collectors.2.store_loss", 2.4, "W/K");
    number_is(j, "collectors.2.eta0", NAN);
    text_is(j, "collectors.3.grade", "broken");
    text_is(j, "collectors.3.reason", "rig.ini:3: no such key");
    number_is(j, "collectors.3.collector", NAN);
    number_is(j, "collectors.3.start_utc", NAN);
    number_is(j, "collectors.3.duration_s", NAN);
    json_decref(j);
}
END_TEST

/* ---- plan ---- */

START_TEST(plan_as_text)
{
    static nr_fit fit;
    static nr_plan p;
    make_fit(&fit, "", 1);
    fit.eta0.u = 0.031;
    fit.a1.u = 0.42;
    p = (nr_plan){.fit = &fit,
                  .test = {.duration_s = 5400, .day = {.from_degC = 14.5, .air_degC = 20}},
                  .steps = 2,
                  .step = {{.action = NR_PLAN_WEIGH,
                            .cost = NR_COST_NOTHING,
                            .u_eta0 = 0.0234,
                            .u_a1 = 0.351},
                           {.action = NR_PLAN_COOL_DOWN,
                            .cost = NR_COST_AN_EVENING,
                            .u_eta0 = 0.0278,
                            .u_a1 = 0.311}},
                  .u_side_by_side = NAN,
                  .u_apart = NAN};
    FILE *to = write_to();
    nr_show_plan(to, &p, NR_UNITS_SI);
    fclose(to);
    said("                   u(eta0)     u(a1)\n");
    said("  as planned         0.031      0.42\n");
    said("  weigh              0.023      0.35   free\n"
         "  cool-down          0.028      0.31   an evening\n");
    said("cheapest first:\n");
    said("  weigh         Weigh the water to 0.2 %");
    ck_assert_ptr_null(strstr(text, "side by side"));
    p.steps = 0;
    p.u_side_by_side = 0.01;
    p.u_apart = 0.02;
    p.power_side_by_side = 0.42;
    to = write_to();
    nr_show_plan(to, &p, NR_UNITS_US);
    fclose(to);
    said("None of the usual improvements");
    said("  as planned         0.031     0.074\n"); /* 0.17611 of 0.42 */
    said("+-0.020 (95 %)");                         /* 1.96 of it */
    said("42 times");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {fits,         comparisons, list_as_text, list_for_machines,
                                  plan_as_text, NULL};
    return run_tests("tables", tests);
}
