/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `budget` and `tally` as text, as CSV and as JSON: every number in its place, each another one,
 * rounded by hand, in both systems of units. */
#include "analyze/show/budget.h"
#include "analyze/show/tally.h"
#include "tests/unit/near.h"

#include <jansson.h>

static char *text;

/* As it stands, or in a paragraph, wherever its lines end. */
static void said(const char *words)
{
    char *flat = strdup(text), *to = flat;
    for (const char *from = text; *from; from++) {
        *to++ = *from == '\n' ? ' ' : *from;
        if (*from == '\n')
            from += strspn(from + 1, " ");
    }
    *to = '\0';
    bool there = strstr(text, words) != NULL || strstr(flat, words) != NULL;
    free(flat);
    if (!there)
        fputs(text, stderr);
    ck_assert_msg(there, "not said: %s", words);
}

static void not_said(const char *words)
{
    ck_assert_msg(strstr(text, words) == NULL, "said: %s", words);
}

static FILE *write_to(void)
{
    static size_t size;
    free(text);
    text = NULL;
    return open_memstream(&text, &size);
}

static double number(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);
    ck_assert_msg(json_is_number(v), "%s is no number", key);
    return json_number_value(v);
}

static json_t *document(void)
{
    json_error_t why;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &why);
    ck_assert_msg(root != NULL, "%s", why.text);
    return root;
}

/* ---- budget ---- */

static nr_budget_row row[5];
static nr_gum_budget budget[2];
static nr_monte_carlo check;

static void a_row(size_t i, const char *label, double estimate, double u, const char *unit,
                  double dof, double contribution, double share)
{
    row[i] = (nr_budget_row){.estimate = estimate,
                             .u = u,
                             .degrees_of_freedom = dof,
                             .sensitivity = 0.5 + (double)i,
                             .contribution = contribution,
                             .share = share};
    snprintf(row[i].label, sizeof row[i].label, "%s", label);
    snprintf(row[i].channel, sizeof row[i].channel, "channel %zu", i);
    snprintf(row[i].key, sizeof row[i].key, "key %zu", i);
    snprintf(row[i].unit, sizeof row[i].unit, "%s", unit);
}

static void make_budget(void)
{
    a_row(0, "irradiance sensor, gain", 0.012, 0.03, "", INFINITY, 0.0231, 0.6124);
    a_row(1, "store noise", NAN, 0.1, "", 37.4, 0.0117, 0.2531);
    a_row(2, "collector heat capacity", 9, 0.45, "kJ/(m2 K)", 8, 0.0082, 0.1331);
    a_row(3, "small one", 1, 0.1, "", 8, 0.0003, 0.0004);
    a_row(4, "smaller one", 1, 0.1, "", 8, 0.0004, 0.0003);
    row[0].stated = true;
    row[1].type_a = true;
    budget[0] = (nr_gum_budget){.of = NR_BUDGET_ETA0,
                                .result = {.known = true,
                                           .value = 0.7312,
                                           .u = 0.0271,
                                           .u_random = 0.01,
                                           .u_systematic = 0.025,
                                           .lo95 = 0.68,
                                           .hi95 = 0.78,
                                           .unit = NR_UNIT_ONE},
                                .degrees_of_freedom = 41.6,
                                .k95 = 2.018,
                                .expanded = 0.0547,
                                .rows = 5,
                                .row = row};
    budget[1] = budget[0];
    budget[1].of = NR_BUDGET_A1;
    budget[1].result = (nr_quantity){.known = true,
                                     .value = 6.21,
                                     .u = 0.34,
                                     .u_random = 0.1,
                                     .u_systematic = 0.3,
                                     .lo95 = 5.5,
                                     .hi95 = 6.9,
                                     .unit = NR_UNIT_W_M2K};
    budget[1].degrees_of_freedom = INFINITY;
    budget[1].k95 = 1.96;
    budget[1].expanded = 0.67;
    check = (nr_monte_carlo){.trials = 200,
                             .failed = 3,
                             .seed = 9,
                             .eta0 = {.u = 0.0285, .u_error = 0.0014},
                             .a1 = {.u = 0.25, .u_error = 0.02}};
}

START_TEST(budget_as_text)
{
    make_budget();
    FILE *to = write_to();
    nr_show_budget(to, budget, 2, &check, NR_UNITS_SI);
    fclose(to);
    said("Zero-loss efficiency eta0: 0.731, combined standard uncertainty 0.027; 42");
    said("k = 2.02");
    said("U = 0.055 for 95 %");
    said("Loss coefficient a1: 6.21 W/(m2 K), combined standard uncertainty 0.34;");
    said("without limit, so k = 1.96");
    said("U = 0.67 W/(m2 K) for 95 %");
    /* An input with its estimate; of the noise none; what is assumed has a star. */
    said("irradiance sensor, gain          B   inf    0.023   61.2  1.2 +- 3.0 %\n");
    said("store noise                      A    37    0.012   25.3  (in the result)\n");
    /* Longer than what is left of a line: right below, to its end. */
    said("collector heat capacity          B*    8   0.0082   13.3\n"
         "                                                          9.00 +- 0.45 kJ/(m2 K)\n");
    /* sqrt(3^2 + 4^2) = 5 ten-thousandths, and 7 ten-thousandths of the variance. */
    said("2 more, together                           0.0005    0.1\n");
    not_said("smaller one");
    said("(197 records simulated and fitted)");
    said("u(eta0) = 0.0285 +- 0.0014");
    said("1.0 of its own sampling errors apart, in agreement");
    said("4.5 of its own sampling errors apart, no agreement");
    to = write_to();
    nr_show_budget(to, budget + 1, 1, NULL, NR_UNITS_US);
    fclose(to);
    /* 1 W/(m2 K) = 0.17611 Btu/(h ft2 degF) (NIST SP 811, B.8). */
    said("Loss coefficient a1: 1.094 ");
    said("combined standard uncertainty 0.060;");
    not_said("simulated and fitted");
}
END_TEST

/* The share that is worth a line: half a thousandth, from both sides. */
START_TEST(budget_sums_up_small_ones)
{
    make_budget();
    for (int more = 0; more < 2; more++) {
        row[3].share = more ? 0.00051 : 0.00049;
        FILE *to = write_to();
        nr_show_budget(to, budget, 1, NULL, NR_UNITS_SI);
        fclose(to);
        (more ? said : not_said)("small one  ");
        said(more ? "1 more, together" : "2 more, together");
    }
    row[3].share = row[4].share = 0.1;
    FILE *to = write_to();
    nr_show_budget(to, budget, 1, NULL, NR_UNITS_SI);
    fclose(to);
    not_said("together");
}
END_TEST

START_TEST(budget_for_machines)
{
    make_budget();
    FILE *to = write_to();
    nr_csv_budget(to, budget, 2);
    fclose(to);
    said("share\r\n\"eta0\",\"irradiance sensor, gain\",\"channel 0\",\"key 0\",0.012,0.03,\"\","
         "\"normal\",\"B\",\"stated\",inf,0.5,0.0231,0.6124\r\n");
    said("\"store noise\",\"channel 1\",\"key 1\",,,\"\",\"t\",\"A\",\"\",37.4,,0.0117,0.2531\r\n");
    said("\"kJ/(m2 K)\",\"normal\",\"B\",\"assumed\",8,2.5,0.0082,0.1331\r\n");
    said("\"eta0\",\"combined\",\"\",\"\",0.7312,0.0271,");
    said(",\"t\",\"\",\"\",41.6,1,0.0271,1\r\n\"a1\",");
    said(",inf,1,0.34,1\r\n");
    nr_err err;
    to = write_to();
    ck_assert(nr_json_budget(to, budget, 2, &check, &err) == NR_OK);
    fclose(to);
    json_t *root = document(), *list = json_object_get(root, "budgets");
    ck_assert_uint_eq(json_array_size(list), 2);
    json_t *one = json_array_get(list, 0), *inputs = json_object_get(one, "inputs");
    ck_assert_str_eq(json_string_value(json_object_get(one, "of")), "eta0");
    NEAR(number(one, "degrees_of_freedom"), 41.6, 0);
    NEAR(number(one, "coverage_factor"), 2.018, 0);
    NEAR(number(one, "expanded_u"), 0.0547, 0);
    ck_assert_uint_eq(json_array_size(inputs), 5);
    for (size_t i = 0; i < 5; i++) {
        json_t *in = json_array_get(inputs, i);
        ck_assert_str_eq(json_string_value(json_object_get(in, "input")), row[i].label);
        ck_assert_str_eq(json_string_value(json_object_get(in, "channel")), row[i].channel);
        ck_assert_str_eq(json_string_value(json_object_get(in, "belongs_to")), row[i].key);
        NEAR(number(in, "contribution"), row[i].contribution, 0);
        NEAR(number(in, "share"), row[i].share, 0);
        ck_assert_str_eq(json_string_value(json_object_get(in, "type")), i == 1 ? "A" : "B");
        if (i == 1) {
            ck_assert(json_is_null(json_object_get(in, "u")) &&
                      json_is_null(json_object_get(in, "sensitivity")) &&
                      json_is_null(json_object_get(in, "stated")));
            continue;
        }
        NEAR(number(in, "u"), row[i].u, 0);
        NEAR(number(in, "sensitivity"), row[i].sensitivity, 0);
        ck_assert(json_is_true(json_object_get(in, "stated")) == (i == 0));
    }
    json_t *mc = json_object_get(root, "monte_carlo");
    NEAR(number(mc, "trials"), 200, 0);
    NEAR(number(mc, "failed"), 3, 0);
    NEAR(number(mc, "seed"), 9, 0);
    NEAR(number(json_object_get(mc, "eta0"), "u"), 0.0285, 0);
    NEAR(number(json_object_get(mc, "a1"), "u_error"), 0.02, 0);
    json_decref(root);
}
END_TEST

/* ---- tally ---- */

static nr_tally tally;

static nr_quantity quantity(double value, double half, nr_quantity_unit unit)
{
    return (nr_quantity){.known = true,
                         .value = value,
                         .u = half / 1.96,
                         .u_random = half / 4,
                         .u_systematic = half / 3,
                         .lo95 = value - half,
                         .hi95 = value + half,
                         .unit = unit};
}

static void make_tally(void)
{
    static const double value[] = {40, 1.2, 18, 31, 5400, 820},
                        u[] = {0.4, 0.012, 0.3, 0.31, 42, 41};
    tally = (nr_tally){.sun_known = true,
                       .sun_J = 5313600,
                       .incidence_deg = 23.4,
                       .over_air_K = -3.26,
                       .supposed_loss_W_m2K = 6,
                       .supposed_container_W_K = 2};
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        tally.asked.input[i] = (nr_stated){value[i], u[i]};
        tally.u_stated[i] = i != NR_TALLY_SUN;
        for (int r = 0; r < NR_TALLY_RESULTS; r++)
            tally.share[r][i] = 0.01 * (10 * r + i + 3);
    }
    tally.asked.draws = 20000;
    tally.asked.seed = 5;
    tally.dominates = NR_TALLY_SUN;
    tally.share[NR_TALLY_EFFICIENCY][NR_TALLY_SUN] = 0.634;
    tally.result[NR_TALLY_HEAT] = quantity(2.174e6, 0.21e6, NR_UNIT_J);
    tally.result[NR_TALLY_POWER] = quantity(402.6, 39, NR_UNIT_W);
    tally.result[NR_TALLY_EFFICIENCY] = quantity(0.409, 0.061, NR_UNIT_ONE);
    tally.more_u[NR_TALLY_BETWEEN] = 1.6;  /* 1.96 of it is more than half of 6 */
    tally.more_u[NR_TALLY_LATER] = 1.5;    /* and that is less */
    tally.more_u[NR_TALLY_COOLING] = 0.25; /* of 2 */
}

static void show_tally(nr_units units)
{
    FILE *to = write_to();
    nr_show_tally(to, &tally, units);
    fclose(to);
}

START_TEST(tally_as_text)
{
    make_tally();
    show_tally(NR_UNITS_SI);
    said("Of the sun on the collector 41 % went into the water (95 %: 35 to 47 %).");
    said("2.17 MJ (95 %: 1.96 to 2.38 MJ)");
    said("403 W");
    said("364 to 442 W");
    said("the irradiance, 63 % of the variance");
    said("3.3 K colder than the air");
    not_said("count as independent");
    not_said("cloudless");
    /* Value and u to the same place, share of the efficiency's variance. */
    said("  the water's mass           40.00 +- 0.40   kg ");
    said(" 23 %  stated\n");
    said("  the irradiance               820 +- 41     W/m2 ");
    said(" 63 %  usual\n");
    said("Three in between, at even times: the loss of collector and container together");
    said("+- 3.1 W/(m2 K)");
    said("+- 2.9 W/(m2 K)");
    said("+- 0.49 W/K");
    said("little to go by");
    said("worth having");
    tally.over_air_K = 3.26;
    tally.u_stated[NR_TALLY_FROM] = false;
    tally.asked.clear_sky = true;
    show_tally(NR_UNITS_SI);
    said("3.3 K warmer than the air");
    said("count as independent");
    said("23 degrees from straight on");
    said("  the temperature before: ");
    not_said("both temperatures");
    tally.u_stated[NR_TALLY_TO] = false;
    tally.over_air_K = NAN;
    show_tally(NR_UNITS_SI);
    said("  both temperatures: ");
    not_said("  the temperature after: ");
    not_said("than the air");
    /* Without the sun it is a power and no share. */
    tally.sun_known = false;
    tally.result[NR_TALLY_EFFICIENCY].known = false;
    tally.asked.input[NR_TALLY_SUN].value = NAN;
    tally.asked.clear_sky = false;
    tally.dominates = NR_TALLY_TO;
    tally.more_u[NR_TALLY_LATER] = NAN;
    show_tally(NR_UNITS_SI);
    said("needs the irradiance");
    said("the temperature after, 16 % of the variance");
    not_said("  the irradiance  ");
    not_said("Three afterwards");
    said(" 13 %  stated\n"); /* the water's, of the power */
    show_tally(NR_UNITS_US);
    said("  the water's mass           10.5"); /* 40 kg at 0.998 kg/L, 3.7854 L a gallon: 10.6 or
                                                   so */
}
END_TEST

START_TEST(tally_as_json)
{
    static const char *const name[] = {"water", "area", "from", "to", "in", "sun"};
    nr_err err;
    for (int sun = 1; sun >= 0; sun--) {
        make_tally();
        tally.sun_known = sun;
        FILE *to = write_to();
        ck_assert(nr_json_tally(to, &tally, &err) == NR_OK);
        fclose(to);
        json_t *root = document(), *inputs = json_object_get(root, "inputs");
        NEAR(number(json_object_get(root, "heat_J"), "value"), 2.174e6, 0);
        NEAR(number(json_object_get(root, "power_W"), "value"), 402.6, 0);
        NEAR(number(json_object_get(root, "run_efficiency"), "value"), 0.409, 0);
        NEAR(number(root, "sun_J"), 5313600, 0);
        NEAR(number(root, "irradiance_W_m2"), 820, 0);
        NEAR(number(root, "incidence_deg"), 23.4, 0);
        NEAR(number(root, "over_air_K"), -3.26, 0);
        NEAR(number(root, "draws"), 20000, 0);
        NEAR(number(root, "seed"), 5, 0);
        ck_assert(json_is_false(json_object_get(root, "clear_sky")));
        ck_assert_str_eq(json_string_value(json_object_get(root, "dominates")), "sun");
        ck_assert_uint_eq(json_array_size(inputs), 6);
        for (size_t i = 0; i < 6; i++) {
            json_t *in = json_array_get(inputs, i);
            ck_assert_str_eq(json_string_value(json_object_get(in, "input")), name[i]);
            NEAR(number(in, "value"), tally.asked.input[i].value, 0);
            NEAR(number(in, "u"), tally.asked.input[i].u, 0);
            NEAR(number(in, "share_heat"), tally.share[NR_TALLY_HEAT][i], 0);
            NEAR(number(in, "share_power"), tally.share[NR_TALLY_POWER][i], 0);
            ck_assert(json_is_true(json_object_get(in, "stated")) == (i != 5));
            ck_assert((json_string_value(json_object_get(in, "source"))[0] == '\0') == (i != 5));
            if (sun)
                NEAR(number(in, "share_run_efficiency"), tally.share[NR_TALLY_EFFICIENCY][i], 0);
            else
                ck_assert(json_is_null(json_object_get(in, "share_run_efficiency")));
        }
        json_t *further = json_object_get(root, "further");
        static const char *const code[] = {"between", "later", "cooling"};
        ck_assert_uint_eq(json_array_size(further), 3);
        for (size_t m = 0; m < 3; m++) {
            json_t *more = json_array_get(further, m);
            ck_assert_str_eq(json_string_value(json_object_get(more, "code")), code[m]);
            ck_assert_str_eq(json_string_value(json_object_get(more, "unit")),
                             m == 2 ? "W/K" : "W/(m2 K)");
            NEAR(number(more, "u_loss"), tally.more_u[m], 0);
        }
        json_decref(root);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {budget_as_text,      budget_sums_up_small_ones,
                                  budget_for_machines, tally_as_text,
                                  tally_as_json,       NULL};
    return run_tests("budget and tally, shown", tests);
}
