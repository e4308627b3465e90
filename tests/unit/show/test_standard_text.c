/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `fit --standard` as text: eighty columns, each number in its row and column, U as k times u, and
 * a unit that does not fit its line below it. Every number here is another one. */
#include "analyze/show/show.h"
#include "tests/unit/near.h"

static char *text;
static nr_fit fit;
static nr_standard standard;

static void said(const char *words)
{
    bool there = strstr(text, words) != NULL;
    if (!there)
        fputs(text, stderr);
    ck_assert_msg(there, "not said: %s", words);
}

static void show(nr_units units)
{
    size_t size;
    free(text);
    FILE *to = open_memstream(&text, &size);
    nr_show_standard(to, &fit, units);
    fclose(to);
}

static void set_up(void)
{
    text = NULL;
    memset(&fit, 0, sizeof fit);
    memset(&standard, 0, sizeof standard);
    fit.standard = &standard;
    for (int t = 0; t < NR_STD_TERMS; t++)
        standard.value[t] = (nr_standard_value){
            .q = {.known = true, .value = 3 + t, .u = 0.1}, .k95 = 2.5, .dof = 40 + t};
    standard.value[0].dof = INFINITY;
    for (int i = 0; i < 7; i++) {
        standard.angle_deg[i] = 10 * (i + 1);
        standard.modifier[i] = 1 - 0.05 * i;
        standard.u_modifier[i] = 0.001 * (i + 1);
    }
    standard.basis = NR_MODIFIER_FITTED;
    for (int i = 0; i < NR_SPANS; i++)
        standard.span[i] = (nr_standard_span){.mean = 20 + i, .lo = 10 + i, .hi = 30 + i};
    for (int g = 0; g < NR_STD_SUNS; g++)
        for (int d = 0; d < NR_STD_DIFFERENCES; d++)
            standard.power[g][d] = (nr_standard_power){
                .W = {.q = {.known = true, .value = 1000 * (g + 1) + 10 * d, .u = 8}, .k95 = 2},
                .tested = g == 0};
}

static void tear_down(void)
{
    free(text);
}

START_TEST(fits_its_columns)
{
    show(_i ? NR_UNITS_US : NR_UNITS_SI);
    for (const char *p = text; *p;) {
        size_t length = strcspn(p, "\n");
        ck_assert_msg(length <= 80, "%zu columns: %.*s", length, (int)length, p);
        p += length + (p[length] == '\n');
    }
}
END_TEST

START_TEST(each_in_its_column)
{
    show(NR_UNITS_SI);
    said("    0.10     0.25  2.50   inf"); /* U is 2.5 times u */
    said("    0.10     0.25  2.50    41 W/m2");
    said("0.25  2.50    45 W/(m2 K2)\n"); /* as wide as there is room for */
    said("  angle, degrees          10      20      30      40      50      60      70\n");
    said("1.000   0.950   0.900   0.850   0.800   0.750   0.700\n");
    said("  its u                0.001   0.002   0.003   0.004   0.005   0.006   0.007\n");
    said("  irradiance in the plane         20        10        30 W/m2\n");
    said("  wind                          27.0      17.0      37.0 m/s\n");
    said("1000 +- 16");
    said("2010 +- 16*"); /* beyond what was tested */
    ck_assert_ptr_null(strstr(text, "1010 +- 16*"));
    standard.value[1].q.known = false;
    standard.span[0].mean = NAN;
    standard.basis = NR_MODIFIER_NONE;
    show(NR_UNITS_SI);
    ck_assert_ptr_null(strstr(text, "2.50    41"));
    ck_assert_ptr_null(strstr(text, "its u"));
    said("  irradiance in the plane          -\n");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("standard as text");
    TCase *t = tcase_create("standard");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_loop_test(t, fits_its_columns, 0, 2);
    tcase_add_test(t, each_in_its_column);
    suite_add_tcase(s, t);
    return run_suite(s);
}
