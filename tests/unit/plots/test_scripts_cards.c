/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cards, sizes and months as they go to gnuplot: data against the answer, stretches and bars as
 * long as their numbers, words where they belong. Expected numbers are worked out here from the
 * answer's own and NIST SP 811's factors. */
#include "plots/energy.h"
#include "tests/unit/plots/script.h"

static double shown(double degC)
{
    return style.us_units ? 32 + 1.8 * degC : degC;
}

/* --- the card -------------------------------------------------------------------------------- */

START_TEST(a_card)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
        const nr_fit_run *r = &f->run[0];
        nr_card card = {f, 0, 0, "0123456789abcdef0123456789abcdef"};
        drawn(nr_plot_card(&card, path, &style, &err));
        const block *b = rows_of("water", 3, 0);
        ck_assert_uint_eq(b->rows, 270); /* 540 blocks: at most some 400 points, so every second */
        double lo = INFINITY, hi = -INFINITY, axis[2];
        for (size_t i = 0; i < b->rows; i++) {
            same("minutes", b->v[i][0], r->t_s[2 * i] / 60);
            same("water", b->v[i][1], shown(r->channel[0].measured[2 * i]));
            same("air", b->v[i][2], shown(r->air_degC[2 * i]));
            lo = fmin(lo, fmin(b->v[i][1], b->v[i][2]));
            hi = fmax(hi, fmax(b->v[i][1], b->v[i][2]));
        }
        numbers_of("\nset yrange [", 1, 2, axis);
        ck_assert(axis[0] <= lo && axis[1] >= hi && axis[1] - axis[0] < 1.8 * (hi - lo));
        /* 71.2 % +- 1.96 * 2.25; 8.1 +- 1.96 * 0.64 W/(m2 K). */
        ck_assert_ptr_nonnull(strstr(script, "'71.2' at screen 0.0500,"));
        ck_assert_ptr_nonnull(strstr(script, "'\u00b1 4.4 %' at screen 0.0500,"));
        ck_assert_ptr_nonnull(
            strstr(script, us ? "'1.43' at screen 0.3700," : "'8.1' at screen 0.3700,"));
        ck_assert_ptr_nonnull(strstr(script, us ? "'\u00b1 0.22 Btu/(h ft\u00b2 \u00b0F)'"
                                                : "'\u00b1 1.3 W/(m\u00b2 K)'"));
        ck_assert_ptr_nonnull(strstr(script, "at screen 0.6900,"));
        ck_assert_ptr_nonnull(
            strstr(script, us ? "'mean sun 279 Btu/(h ft\u00b2), air 67.1 \u00b0F'"
                              : "'mean sun 880 W/m\u00b2, air 19.5 \u00b0C'"));
        ck_assert_ptr_nonnull(strstr(script, us ? "'flow 0.277 gal/min, area 11.8 ft\u00b2'"
                                                : "'flow 1.05 L/min, area 1.1 m\u00b2'"));
        ck_assert_ptr_nonnull(strstr(script, "'Grade: good'"));
        ck_assert_ptr_nonnull(strstr(script, "SHA-256 0123456789abcdef01234567\u2026'"));
    }
}
END_TEST

/* The parts of the bar follow each other from edge to edge, each as wide as its share. */
START_TEST(bar_of_a_card)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    nr_card card = {f, 1, 2, "0123abcd"};
    double share[NR_ENERGY_PARTS], at = 0.05, box[4], legend[4];
    ck_assert(nr_energy_shares(f, share));
    drawn(nr_plot_card(&card, path, &style, &err));
    for (int k = 0; k < NR_ENERGY_PARTS; k++) {
        numbers_of("set object rectangle from screen ", 2 * k, 4, box);
        numbers_of("set object rectangle from screen ", 2 * k + 1, 4, legend);
        NEAR(box[0], at, 2e-4);
        NEAR(box[2] - box[0], 0.895 * share[k], 2e-4);
        NEAR(box[1], 0.278, 1e-4);
        NEAR(box[3], 0.314, 1e-4);
        NEAR(legend[0], k % 2 ? 0.51 : 0.05, 1e-4); /* two columns, a line each 40 px */
        NEAR((legend[1] + legend[3]) / 2, 1 - (1008 + 40 * (k / 2)) / 1350.0, 2e-4);
        char words[60];
        if (share[k] < 0.005)
            (void)snprintf(words, sizeof words, " under 1 %%'");
        else
            (void)snprintf(words, sizeof words, " %.0f %%' at screen", 100 * share[k]);
        ck_assert_msg(strstr(script, words) != NULL, "%s", words);
        at = box[2];
    }
    NEAR(at, 0.945, 3e-4);
    ck_assert_ptr_nonnull(strstr(script, "'Grade: good; inspection: 1 fault, 2 doubts'"));
    ck_assert_ptr_nonnull(strstr(script, "SHA-256 0123abcd' at"));
    card = (nr_card){f, 2, 1, ""};
    f->loss_includes_store = true;
    f->a1 = fixture_unknown(NR_UNIT_W_M2K);
    drawn(nr_plot_card(&card, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, "inspection: 2 faults, 1 doubt'"));
    ck_assert_ptr_null(strstr(script, "SHA-256"));
    ck_assert_ptr_null(strstr(script, "container's loss"));
    ck_assert(strstr(script, "'warmer, with bucket'") && strstr(script, "'?' at screen 0.3700"));
    f->runs = 0;
    ck_assert_int_eq(nr_plot_card(&card, path, &style, &err), NR_BAD);
}
END_TEST

START_TEST(ranking_of_a_card)
{
    const fixture_build builds[2] = {fixture_bare, fixture_glazed};
    fixture_build many[9];
    nr_compare *c = fixture_compare(&x, builds, 2);
    double axis[2], at[2], next[2], hi = 0;
    drawn(nr_plot_ranking(c, "900 W/m2", path, &style, &err));
    for (int place = 0; place < 2; place++) {
        const nr_quantity *t = &c->heat_up[c->rank[place].build].time_s;
        const block *b = rows_of(place ? "build1" : "build0", 4, 0);
        same("time", b->v[0][0], t->value / 60);
        same("from", b->v[0][2], t->lo95 / 60);
        same("to", b->v[0][3], t->hi95 / 60);
        hi = fmax(hi, t->hi95 / 60);
        /* Rows of 0.135 of 1350 px; the dot stands 78 px under its row's upper edge. */
        NEAR(b->v[0][1], 2 - place - 78 / (0.135 * 1350), 1e-4);
        char words[80];
        (void)snprintf(words, sizeof words, "'%d. %s' at screen", place + 1,
                       c->label[c->rank[place].build]);
        numbers_of(words, 0, 2, place ? next : at);
        /* u of the fixture: hypot(60, 140) s; half of 95 % is 5.0 min */
        (void)snprintf(words, sizeof words, "'%.1f \u00b1 5.0 min' at screen", t->value / 60);
        ck_assert_msg(strstr(script, words) != NULL, "%s", words);
    }
    NEAR(at[1] - next[1], 0.135, 2e-4);
    NEAR(at[1], 0.84 - 0.03, 2e-4);
    numbers_of("\nset xrange [", 1, 2, axis);
    ck_assert(axis[0] == 0 && axis[1] >= hi && axis[1] < 1.6 * hi);
    numbers_of("\nset yrange [", 1, 2, axis);
    ck_assert(axis[0] == 0 && axis[1] == 2);
    ck_assert_ptr_nonnull(strstr(script, "'900 W/m\u00b2'"));
    for (int n = 8; n < 10; n++) { /* dots for eight, a list for nine */
        for (int i = 0; i < n; i++)
            many[i] = fixture_glazed;
        c = fixture_compare(&x, many, (size_t)n);
        drawn(nr_plot_ranking(c, "900 W/m2", path, &style, &err));
        ck_assert((strstr(script, "$build7") != NULL) == (n == 8));
        ck_assert((strstr(script, "'all pairs together at 95 %.'") != NULL) == (n == 9));
    }
    numbers_of("'Glazed wash stand' at screen", 0, 2, at); /* nine rows between 0.24 and 0.84 */
    numbers_of("'Glazed wash stand' at screen", 8, 2, next);
    NEAR(at[1], 0.84 - 0.6 / 18, 2e-4);
    NEAR(next[1], 0.24 + 0.6 / 18, 2e-4);
}
END_TEST

/* --- sizes ----------------------------------------------------------------------------------- */

START_TEST(map_of_sizes)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        /* 1 ft2 = 0.09290304 m2; a gallon of water of 3.785412 L. */
        double ft2 = us ? 0.09290304 : 1, axis[2], at[4];
        nr_size *z = fixture_size(&x, false, true);
        drawn(nr_plot_size(z, path, &style, &err));
        const block *b = rows_of("borders", 5, 0);
        ck_assert_uint_eq(b->rows, NR_SIZE_MAP);
        double water = 0;
        for (size_t i = 0; i < b->rows; i++) {
            NEAR(b->v[i][0], z->map[i].area_m2 / ft2, 1e-6);
            NEAR(b->v[i][1], b->v[i][3], 1e-9);
            NEAR(b->v[i][1] / b->v[i][4], 1.15, 1e-6); /* as the fixture has it */
            NEAR(b->v[i][2], b->v[i][4], 1e-9);
            water = z->map[i].water_kg.best / b->v[i][1];
        }
        NEAR(water, us ? 3.785412 : 1, us ? 0.02 : 1e-6); /* kg: of the water's density */
        /* A quarter of air beyond what has to be seen. */
        numbers_of("\nset xrange [", 1, 2, axis);
        NEAR(axis[1], 1.25 * 1.1 / ft2, 1e-5);
        numbers_of("\nset yrange [", 1, 2, axis);
        NEAR(axis[1], 1.25 * fmax(40, z->water_kg.best) / water, 1e-3);
        numbers_of("set arrow from first 0, first ", 0, 3,
                   at); /* across at the water asked about */
        NEAR(at[0], 40 / water, 1e-3);
        NEAR(at[1], 1.25 * 1.1 / ft2, 1e-5);
        char words[60];
        (void)snprintf(words, sizeof words,
                       us ? "'just %.1f ft\u00b2' at first" : "'just %.2f m\u00b2' at first",
                       z->area_m2.best / ft2);
        numbers_of(words, 0, 2, at);
        NEAR(at[0], z->area_m2.best / ft2, 1e-5);
        NEAR(at[1], 40 / water, 1e-3);
        (void)snprintf(words, sizeof words,
                       us ? "'sure %.1f ft\u00b2' at first" : "'sure %.2f m\u00b2' at first",
                       z->area_m2.sure / ft2);
        numbers_of(words, 0, 2, at);
        NEAR(at[0], z->area_m2.sure / ft2, 1e-5);
        ck_assert_ptr_null(strstr(script, "none is 95 % sure"));
        z->water_kg.sure = NAN;
        drawn(nr_plot_size(z, path, &style, &err));
        ck_assert_ptr_nonnull(strstr(script, "'none is 95 % sure'"));
    }
    style.us_units = false;
    nr_size *z = fixture_size(&x, false, false);
    drawn(nr_plot_size(z, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, "'no size and no amount reaches it'"));
    z->asked.day.to_degC = z->warmest_degC.value;
    drawn(nr_plot_size(z, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, "'any of these reaches it'"));
}
END_TEST

/* Starts from 5:00 to 15:00 of a clock two hours ahead of UTC: sure until 9000 s before, likely
 * until 7200 s. */
START_TEST(starts_of_a_day)
{
    nr_size *z = fixture_size(&x, true, true);
    const double by = z->asked.by_s, from = 5 * 3600;
    double at[4], tic;
    drawn(nr_plot_size(z, path, &style, &err));
    static const char *const fill[] = {"#7FB8D8", "#CFE3F0", "#EEEEEE"};
    const double end[4] = {from, by - 9000, by - 7200, by};
    for (int k = 0; k < 3; k++) {
        numbers_of("set object rectangle from first ", k, 3, at);
        NEAR(at[0], end[k], 1e-3);
        NEAR(at[2], end[k + 1], 1e-3);
        ck_assert_ptr_nonnull(strstr(script, fill[k]));
    }
    /* Ten hours and a half: an hour is the least step that gives at most twelve. */
    numbers_of("'13:00' ", 0, 1, &tic);
    NEAR(tic, 13 * 3600 - z->asked.day.clock_ahead_s, 1e-3);
    ck_assert_ptr_null(strstr(script, "'13:30' "));
    ck_assert_ptr_nonnull(strstr(script, "'12:00' "));
    numbers_of("set arrow from first ", 2, 1, at);
    NEAR(at[0], z->asked.day.start_s, 1e-6);
    z->latest_s.sure = NAN; /* none is sure: likely from the beginning */
    drawn(nr_plot_size(z, path, &style, &err));
    numbers_of("set object rectangle from first ", 0, 3, at);
    NEAR(at[0], from, 1e-3);
    NEAR(at[2], by - 7200, 1e-3);
    ck_assert_ptr_null(strstr(script, "'95 % sure'"));
    z->latest_s.best = NAN;
    drawn(nr_plot_size(z, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, "'not reached, whenever it starts'"));
    ck_assert_ptr_nonnull(strstr(script, "none is early enough"));
}
END_TEST

/* --- months ---------------------------------------------------------------------------------- */

START_TEST(a_year)
{
    static const double chance[NR_MONTHS] = {0.02, 0.3,  0.499, 0.5,  0.949, 0.95,
                                             0.99, 0.99, 0.97,  0.60, 0.2,   -1};
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_size *z = fixture_size(&x, true, true);
        fixture_months(z, chance);
        drawn(nr_plot_size(z, path, &style, &err));
        size_t seen = 0;
        double lo = z->asked.day.to_degC, hi = lo + 2, axis[2];
        for (int g = 0; g < 3; g++) { /* sure, likely, not */
            static const char *const name[] = {"bars0", "bars1", "bars2"};
            const block *b = rows_of(name[g], 7, 0);
            for (size_t i = 0; i < b->rows; i++) {
                const nr_size_month *m = &z->month[(int)b->v[i][0] - 1];
                double p = chance[(int)b->v[i][0] - 1];
                ck_assert_int_eq(g, p >= 0.95 ? 0 : p >= 0.5 ? 1 : 2);
                same("warmest", b->v[i][1], shown(m->warmest_degC.value));
                NEAR(b->v[i][3] - b->v[i][2], 0.64, 1e-6);
                NEAR(b->v[i][3] + b->v[i][2], 2 * b->v[i][0], 1e-6);
                same("from", b->v[i][4], shown(m->from_degC));
                same("low", b->v[i][5], shown(m->warmest_degC.lo95));
                same("high", b->v[i][6], shown(m->warmest_degC.hi95));
                lo = fmin(lo, fmin(m->from_degC, m->warmest_degC.lo95));
                hi = fmax(hi, m->warmest_degC.hi95);
                seen++;
            }
        }
        ck_assert_uint_eq(seen, 11); /* in December the sun does not rise */
        numbers_of("\nset yrange [", 1, 2, axis);
        ck_assert(axis[0] <= shown(lo) && axis[1] >= shown(hi + 0.07 * (hi - lo)));
        ck_assert(axis[1] - axis[0] < 1.6 * (shown(hi) - shown(lo)));
        /* The strip: twelve cells side by side, each in its colour. */
        double cell[4], left = 0.125;
        for (int m = 0; m < NR_MONTHS; m++) {
            numbers_of("set object rectangle from screen ", m, 4, cell);
            NEAR(cell[0], left, 2e-4);
            NEAR(cell[2] - cell[0], 0.765 / 12, 2e-4);
            left = cell[2];
        }
        char words[40];
        (void)snprintf(words, sizeof words, "'%.0f' at first 7, first",
                       shown(z->month[6].warmest_degC.value));
        numbers_of(words, 0, 1, axis);
        ck_assert(axis[0] > shown(z->month[6].warmest_degC.hi95)); /* over its interval */
        ck_assert_ptr_nonnull(strstr(script, "'no sun' at first 12, first"));
        ck_assert_ptr_null(strstr(script, "'uses' at screen"));
        z->asked.tap_degC = 10;
        fixture_months(z, chance);
        drawn(nr_plot_size(z, path, &style, &err));
        double row[2], next[2];
        numbers_of("'latest start' at screen", 0, 2, row);
        numbers_of("'uses' at screen", 0, 2, next);
        NEAR(row[1] - next[1], 0.092, 2e-4); /* the third row, 0.046 each */
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        a_card, bar_of_a_card, ranking_of_a_card, map_of_sizes, starts_of_a_day, a_year, NULL};
    fixture_all_used();
    return run_tests_in("scripts of cards", tests, set_up, tear_down);
}
