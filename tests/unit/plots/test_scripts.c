/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What pictures hand to gnuplot, read back instead of drawn (the program that is run copies its
 * input): each block of data against the answer it is of, in both systems of units; limits of axes
 * that hold what is drawn; bars as long as their numbers. Factors of units: NIST SP 811. */
#include "plots/bar_rows.h"
#include "plots/compare_ranking.h"
#include "plots/curve.h"
#include "plots/energy.h"
#include "plots/warm.h"
#include "tests/unit/plots/script.h"

/* --- fit ----------------------------------------------------------------------------------- */

static double shown(double degC)
{
    return style.us_units ? 32 + 1.8 * degC : degC;
}

static void rows_are(const char *name, const nr_fit_run *r,
                     double (*of)(const nr_fit_run *, size_t), size_t step)
{
    const block *b = rows_of(name, 2, 0);
    ck_assert_msg(b->rows == (r->blocks + step - 1) / step, "$%s: %zu rows", name, b->rows);
    for (size_t k = 0; k < b->rows; k++) {
        same(name, b->v[k][0], r->t_s[k * step] / 60);
        same(name, b->v[k][1], of(r, k * step));
    }
}

static double store_measured(const nr_fit_run *r, size_t i)
{
    return shown(r->channel[0].measured[i]);
}
static double outlet_modelled(const nr_fit_run *r, size_t i)
{
    return shown(r->channel[2].modelled[i]);
}
static double nothing(const nr_fit_run *r, size_t i)
{
    (void)r;
    (void)i;
    return NAN;
}
static double air(const nr_fit_run *r, size_t i)
{
    return shown(r->air_degC[i]);
}
/* 1 Btu = 1055.056 J, 1 ft = 0.3048 m; 1 gal = 3.785412 L. */
static double sun(const nr_fit_run *r, size_t i)
{
    return r->sun_W_m2[i] * (style.us_units ? 3600 * 0.3048 * 0.3048 / 1055.05585262 : 1);
}
static double flow(const nr_fit_run *r, size_t i)
{
    return r->flow_L_min[i] / (style.us_units ? 3.785411784 : 1);
}
static double outlet_residual(const nr_fit_run *r, size_t i)
{
    return r->channel[2].residual[i] * (style.us_units ? 1.8 : 1);
}

START_TEST(rows_of_a_fit)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
        const nr_fit_run *r = &f->run[0];
        ck_assert_uint_eq(r->blocks, 540);
        drawn(nr_plot_fit(f, path, &style, &err));
        /* 540 blocks: some 45 marks, so every thirteenth. */
        rows_are("measured0", r, store_measured, 13);
        rows_are("modelled2", r, outlet_modelled, 1);
        rows_are("driving0", r, nothing, 1);
        rows_are("air", r, air, 1);
        rows_are("sun", r, sun, 1);
        rows_are("flow", r, flow, 1);
        /* At most 300 points on a strip: every second. The strips are the channels in order. */
        const block *b = rows_of("residual", 2, 2);
        ck_assert_uint_eq(b->rows, 270);
        for (size_t k = 0; k < b->rows; k++)
            same("residual", b->v[k][1], outlet_residual(r, 2 * k));
        double band[2];
        numbers_of("set object rectangle from graph 0, first ", 0, 1, band);
        NEAR(band[0], -2 * f->residual_rms_K * (us ? 1.8 : 1), 1e-8);
    }
}
END_TEST

/* Two runs: the second's minutes begin behind the first and a gap of 3 % of both. */
START_TEST(rows_of_two_runs)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 2);
    drawn(nr_plot_fit(f, path, &style, &err));
    const block *b = rows_of("modelled0", 2, 0);
    ck_assert_uint_eq(b->rows, 1080);
    same("first", b->v[0][0], f->run[0].t_s[0] / 60);
    same("second", b->v[540][0], 90 + 0.03 * 180 + f->run[1].t_s[0] / 60);
    same("second", b->v[540][1], f->run[1].channel[0].modelled[0]);
    b = rows_of("measured0", 2, 0); /* 1080 blocks: every 25th */
    ck_assert_uint_eq(b->rows, 44);
    b = rows_of("residual", 2, 0); /* every fourth */
    ck_assert_uint_eq(b->rows, 270);
}
END_TEST

/* m2 K/W to ft2 h degF/Btu: 5.678263. */
START_TEST(rows_of_a_curve)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
        drawn(nr_plot_fit(f, path, &style, &err));
        const block *b = rows_of("curve", 6, 0);
        ck_assert_uint_eq(b->rows, 41);
        for (size_t i = 0; i < b->rows; i++) {
            const nr_curve_point *c = &f->curve[i];
            bool meets = (i > 0 && f->curve[i - 1].tested) || (i < 40 && f->curve[i + 1].tested);
            NEAR(b->v[i][0], c->x * (us ? 5.678263 : 1), 1e-6);
            same("eta", b->v[i][1], c->eta);
            same("low", b->v[i][2], c->lo95);
            same("high", b->v[i][3], c->hi95);
            same("tested", b->v[i][4], c->tested ? c->eta : NAN);
            /* The dashed one begins on the last of the solid one. */
            bool edge = c->tested && !(i > 0 && f->curve[i - 1].tested && f->curve[i + 1].tested);
            same("outside", b->v[i][5], !c->tested || edge ? c->eta : NAN);
            ck_assert(c->tested || meets || isnan(b->v[i][4]));
        }
        size_t steady = 0;
        for (size_t i = 0; i < f->points; i++)
            steady += f->point[i].steady;
        ck_assert_uint_eq(rows_of("steady", 3, 0)->rows, steady);
        ck_assert_uint_eq(rows_of("loose", 3, 0)->rows, f->points - steady);
        same("point", data.v[0][1], f->point[0].eta);
        same("point", data.v[0][2], f->point[0].u);
        ck_assert(strstr(script, "\u25cf steady, \u25cb other means"));
        for (size_t i = 0; i < f->points; i++)
            f->point[i].steady = false;
        f->point[0].u = NAN;
        drawn(nr_plot_fit(f, path, &style, &err));
        ck_assert(strstr(script, "none steady") && rows_of("loose", 3, 0)->v[0][2] == 0);
        f->points = 0;
        drawn(nr_plot_fit(f, path, &style, &err));
        ck_assert_ptr_null(strstr(script, "none steady"));
    }
}
END_TEST

/* Steps of 0.05 up to 0.35 between lowest and highest, of 0.1 up to 0.8, of 0.2 beyond; a band out
 * of reason does not shrink the curve (-0.4 to 1.2), a flat one has a tenth. */
START_TEST(limits_of_efficiency)
{
    static const struct {
        double lo, hi, at_lo, at_hi, step;
    } of[] = {{0.41, 0.74, 0.40, 0.75, 0.05}, {0.40, 0.75, 0.40, 0.75, 0.05},
              {0.39, 0.75, 0.3, 0.8, 0.1},    {0.01, 0.80, 0, 0.8, 0.1},
              {0.01, 0.82, 0, 1, 0.2},        {-3, 0.75, -0.4, 0.8, 0.2},
              {0.5, 7, 0.5, 1.2, 0.1},        {0.62, 0.62, 0.5, 0.65, 0.05},
              {-0.3, 0.02, -0.3, 0.1, 0.1},   {NAN, NAN, 0, 1, 0.2}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_curve_point point[2] = {{.x = 0, .eta = of[i].hi, .lo95 = NAN, .hi95 = NAN},
                                   {.x = 0.05, .eta = of[i].lo, .lo95 = NAN, .hi95 = NAN}};
        nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
        f->curve = point;
        f->curve_points = 2;
        f->points = 0;
        begin();
        nr_draw_fit_curve(&inner, f);
        end();
        char what[60];
        double got[3];
        (void)snprintf(what, sizeof what, "%g to %g", of[i].lo, of[i].hi);
        numbers_of("\nset yrange [", 1, 2, got);
        NEAR_AT(what, got[0], of[i].at_lo, 1e-6);
        NEAR_AT(what, got[1], of[i].at_hi, 1e-6);
        numbers_of("set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12'", 0, 3, got);
        NEAR_AT(what, got[1], of[i].step, 1e-6);
        NEAR_AT(what, got[2], of[i].at_hi, 1e-4);
    }
}
END_TEST

START_TEST(axes_of_a_curve)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1); /* x from -0.01 to 0.05 */
    begin();
    nr_draw_fit_curve(&inner, f);
    end();
    double got[3];
    numbers_of("\nset xrange [", 1, 2, got); /* 3 % of air */
    NEAR(got[0], -0.01 - 0.0018, 1e-8);
    NEAR(got[1], 0.05 + 0.0018, 1e-8);
    numbers_of("set x2range [", 0, 2, got); /* the same in 900 W/m2 of sun, K */
    NEAR(got[0], -0.0118 * 900, 1e-5);
    NEAR(got[1], 0.0518 * 900, 1e-5);
    numbers_of("set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12'", 0, 3, got);
    NEAR(got[0], -10, 1e-9); /* the first and the last of ten that lie within */
    NEAR(got[1], 10, 1e-9);
    NEAR(got[2], 40, 1e-4);
    ck_assert_ptr_nonnull(strstr(script, "K warmer than the air, in 900 W/m\u00b2 of sun"));
    f->curve_points = f->points = 0; /* none: an axis all the same */
    begin();
    nr_draw_fit_curve(&inner, f);
    end();
    numbers_of("\nset xrange [", 1, 2, got);
    NEAR(got[0], -0.0015, 1e-8);
    NEAR(got[1], 0.0515, 1e-8);
    ck_assert_ptr_null(strstr(script, "warmer than the air"));
}
END_TEST

START_TEST(numbers_below_a_curve)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    begin();
    nr_draw_fit_curve(&inner, f);
    end();
    /* u of eta0 is hypot(0.004, 0.0221) = 0.0225: two figures of it, so three decimals; 1.96 u. */
    ck_assert_ptr_nonnull(strstr(script, "'0.712' at screen"));
    ck_assert_ptr_nonnull(strstr(script, "'0.668 to 0.756' at screen"));
    ck_assert_ptr_nonnull(strstr(script, "'8.10' at screen"));
    ck_assert_ptr_nonnull(strstr(script, "collector at its mean temperature"));
    ck_assert_ptr_nonnull(strstr(script, "stagnation may well be higher"));
    /* Rows 0.034 apart, one below the other. */
    double row[2], next[2];
    numbers_of("'zero-loss efficiency \u03b7\u2080' at screen", 0, 2, row);
    numbers_of("'efficiency of the run' at screen", 0, 2, next);
    NEAR(row[0], next[0], 1e-9);
    NEAR(row[1] - next[1], 0.068, 1e-4);
    numbers_of("'0.712' at screen", 0, 2, next);
    NEAR(row[1], next[1], 1e-9);
    f->reference = NR_REFERENCE_INLET;
    f->loss_includes_store = true;
    f->a1 = fixture_unknown(NR_UNIT_W_M2K);
    begin();
    nr_draw_fit_curve(&inner, f);
    end();
    ck_assert_ptr_nonnull(strstr(script, "collector at its inlet temperature"));
    ck_assert_ptr_nonnull(strstr(script, "'the loss includes the container\u2019s'"));
    ck_assert_ptr_nonnull(strstr(script, "'not determined'"));
}
END_TEST

/* A crossing lies on both curves. */
START_TEST(curves_that_cross)
{
    const fixture_build builds[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, builds, 2);
    /* 0.712 - 8.1 x = 0.802 - 17.4 x at x = 0.09/9.3; 900 W/m2 of sun: 8.7 K */
    ck_assert(c->difference[0].crossing_known);
    NEAR(c->difference[0].crossing_K, 900 * 0.09 / 9.3, 1e-6);
    const nr_box box = {0.1, 0.9, 0.2, 0.8};
    double at[2];
    begin();
    nr_draw_compare_curves(&inner, c, &box);
    end();
    numbers_of("'cross at 9 K over air' at first", 0, 2, at);
    NEAR(at[0], 0.09 / 9.3, 1e-7);
    NEAR(at[1], 0.712 - 8.1 * 0.09 / 9.3, 1e-7);
    ck_assert_uint_eq(rows_of("curve1", 6, 0)->rows, 41);
    same("second", data.v[0][1], c->build[1]->curve[0].eta);
    c->difference[0].crossing_K = -4.6;
    begin();
    nr_draw_compare_curves(&inner, c, &box);
    end();
    numbers_of("'cross at 5 K below air' at first", 0, 2, at);
    NEAR(at[0], -4.6 / 900, 1e-8);
    static const double nowhere_K[] = {-10, 46}; /* beyond the curves */
    for (int i = 0; i < 2; i++) {
        c->difference[0].crossing_K = nowhere_K[i];
        begin();
        nr_draw_compare_curves(&inner, c, &box);
        end();
        ck_assert_ptr_null(strstr(script, "cross at"));
    }
}
END_TEST

/* --- rows ---------------------------------------------------------------------------------- */

START_TEST(rows_of_a_ranking)
{
    fixture_build builds[4] = {fixture_bare, fixture_glazed, fixture_glazed, fixture_glazed};
    builds[1].eta0 = 0.75;
    builds[2].eta0 = 0.40;
    builds[3].eta0 = 0.10; /* never gets there */
    for (size_t n = 2; n <= 4; n++) {
        nr_compare *c = fixture_compare(&x, builds, n);
        begin();
        nr_draw_compare_ranking(&inner, c);
        end();
        size_t known = 0, rows = rows_of("first", 4, 0)->rows;
        double lo = INFINITY, hi = -INFINITY;
        for (int slower = 0; slower < 2; slower++) {
            const block *b = rows_of(slower ? "slower" : "first", 4, 0);
            for (size_t k = 0; k < b->rows; k++) {
                size_t place = (size_t)-b->v[k][1];
                const nr_quantity *t = &c->heat_up[c->rank[place].build].time_s;
                same("minutes", b->v[k][0], t->value / 60);
                same("from", b->v[k][2], t->lo95 / 60);
                same("to", b->v[k][3], t->hi95 / 60);
                lo = fmin(lo, t->lo95 / 60);
                hi = fmax(hi, t->hi95 / 60);
                bool alike = place == 0 ||
                             c->verdict.against[c->rank[place].build].outcome == NR_AGAINST_ALIKE;
                ck_assert(alike == !slower);
            }
            known += slower ? b->rows : rows;
        }
        size_t there = 0;
        for (size_t i = 0; i < n; i++)
            there += c->heat_up[i].time_s.known;
        ck_assert_uint_eq(known, there);
        double range[2], first[2], second[2];
        numbers_of("\nset xrange [", 1, 2, range);
        ck_assert(range[0] <= lo && range[1] >= hi && range[1] - range[0] < 2 * (hi - lo));
        numbers_of("\nset yrange [", 1, 2, range);
        NEAR(range[0], 0.5 - (double)n, 1e-9);
        NEAR(range[1], 0.5, 1e-9);
        /* Rows: as high as fit between 0.175 and 0.835, at most 0.11 of the canvas. */
        const char *name[2] = {c->label[c->rank[0].build], c->label[c->rank[1].build]};
        char words[200];
        (void)snprintf(words, sizeof words, "'%s' at screen", name[0]);
        numbers_of(words, 0, 2, first);
        (void)snprintf(words, sizeof words, "'%s' at screen", name[1]);
        numbers_of(words, strcmp(name[0], name[1]) == 0, 2, second);
        NEAR(first[1], 0.835 - 0.055, 1e-4);
        NEAR(first[1] - second[1], 0.11, 2e-4);
        NEAR(first[0], second[0], 1e-9);
        ck_assert((strstr(script, "'does not get there'") != NULL) == (there < n));
    }
    /* Many: all between 0.175 and 0.835. */
    fixture_build many[12];
    for (int i = 0; i < 12; i++)
        many[i] = fixture_glazed;
    nr_compare *c = fixture_compare(&x, many, 12);
    begin();
    nr_draw_compare_ranking(&inner, c);
    end();
    double first[2], last[2];
    numbers_of("'Glazed wash stand' at screen", 0, 2, first);
    numbers_of("'Glazed wash stand' at screen", 11, 2, last);
    NEAR(first[1], 0.835 - 0.0275, 1e-4);
    NEAR(last[1], 0.175 + 0.0275, 1e-4);
}
END_TEST

START_TEST(bars_as_long_as_their_numbers)
{
    nr_bar_row row[3] = {{.words = "As planned", .value = {0.044, 1.3}, .total = true},
                         {.words = "Half", .value = {0.022, 2.6}, .less = {"(-50 %)", ""}},
                         {.words = "Nothing", .value = {0.0001, NAN}}};
    const double most[2] = {0.044, 1.3}, line[2] = {0.022, NAN};
    double first[4], second[4], got[4];
    begin();
    nr_bar_rows(&inner, row, 3, 0.8, 0.1, most, line);
    end();
    numbers_of("set object rectangle from screen", 0, 4, first);
    numbers_of("set object rectangle from screen", 2, 4, second);
    NEAR(second[2] - second[0], (first[2] - first[0]) / 2, 1e-4);
    NEAR(first[0], second[0], 1e-9);
    NEAR(first[3] - first[1], 0.06, 1e-4); /* 0.3 of a row up and down */
    NEAR((first[3] + first[1]) / 2, 0.75, 1e-4);
    NEAR((second[3] + second[1]) / 2, 0.65, 1e-4);
    numbers_of("set object rectangle from screen", 3, 4, got); /* longer than most: as long */
    NEAR(got[2] - got[0], first[2] - first[0], 1e-4);
    numbers_of("set arrow from screen", 0, 4, got); /* at the half, over all rows */
    NEAR(got[0], second[2], 1e-4);
    NEAR(got[1], 0.8, 1e-4);
    NEAR(got[3], 0.5, 1e-4);
    ck_assert_ptr_null(strstr(strstr(script, "set arrow") + 1, "set arrow"));
    ck_assert(strstr(script, "'0.044' at") && strstr(script, "'0.022 (-50 %)' at"));
    ck_assert(strstr(script, "'nearly none' at") && strstr(script, "'not determined' at"));
    numbers_of("'As planned' at screen", 0, 2, got);
    NEAR(got[1], 0.75, 1e-4);
    begin();
    nr_bar_halves(&inner, 0.044, 1.3, got);
    ck_assert(got[0] == 0.044 && got[1] == 1.3);
    inner.units = NR_UNITS_US; /* 1 W/(m2 K) = 0.1761102 Btu/(h ft2 degF) */
    nr_bar_halves(&inner, 0.044, 1.3, got);
    NEAR(got[1], 1.3 * 0.1761102, 1e-6);
    end();
}
END_TEST

/* --- energy -------------------------------------------------------------------------------- */

START_TEST(shares_of_the_sun)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 2);
    double share[NR_ENERGY_PARTS], part[NR_ENERGY_PARTS], sum = 0;
    const nr_fit_run *r = &f->run[1];
    ck_assert(nr_energy_parts(f, r, 9, part));
    NEAR(part[0] + part[1], r->to_water_W[9], 1e-9);
    NEAR(part[1], r->store_loss_W[9], 1e-9);
    NEAR(part[2], r->collector_loss_W[9], 1e-9);
    NEAR(part[0] + part[1] + part[2] + part[3], r->absorbed_W[9], 1e-9);
    NEAR(part[0] + part[1] + part[2] + part[3] + part[4], 1.1 * r->sun_W_m2[9], 1e-9);
    ck_assert(nr_energy_shares(f, share));
    double loss = 0, optical = 0, container = 0, warming = 0;
    for (int k = 0; k < 2; k++)
        for (size_t i = 0; i < r->blocks; i++) {
            const nr_fit_run *q = &f->run[k];
            loss += q->collector_loss_W[i];
            container += q->store_loss_W[i];
            optical += 1.1 * q->sun_W_m2[i] - q->absorbed_W[i];
            warming += q->absorbed_W[i] - q->to_water_W[i] - q->collector_loss_W[i];
        }
    warming = fmax(warming, 0);
    double rest = (1 - f->run_efficiency.value) / (loss + container + optical + warming);
    NEAR(share[0], f->run_efficiency.value, 1e-12);
    NEAR(share[1], container * rest, 1e-9);
    NEAR(share[2], loss * rest, 1e-9);
    NEAR(share[4], optical * rest, 1e-9);
    for (int k = 0; k < NR_ENERGY_PARTS; k++)
        sum += share[k];
    NEAR(sum, 1, 1e-12);
    char text[60];
    f->sun_J = 5.23e6;
    nr_energy_words(f, NR_UNITS_SI, 0.62, text, sizeof text);
    ck_assert_str_eq(text, "62 %, 3.24 MJ");
    nr_energy_words(f, NR_UNITS_SI, 0.005, text, sizeof text);
    ck_assert_ptr_null(strstr(text, "under"));
    nr_energy_words(f, NR_UNITS_SI, 0.0049, text, sizeof text);
    ck_assert_str_eq(text, "under 1 %");
    f->run_efficiency.value = 1.2; /* of a doubtful record: nothing is left for the others */
    ck_assert(nr_energy_shares(f, share) && share[0] == 1 && share[2] == 0);
    f->run_efficiency.value = -0.1;
    ck_assert(nr_energy_shares(f, share) && share[0] == 0);
    f->run_efficiency.known = false;
    ck_assert(!nr_energy_shares(f, share));
    f->run_efficiency.known = true;
    f->sun_J = 0;
    ck_assert(!nr_energy_shares(f, share));
    f->sun_J = 1;
    size_t runs = f->runs;
    f->runs = 0; /* none of the others is known */
    ck_assert(!nr_energy_shares(f, share));
    f->runs = runs;
    ck_assert(nr_energy_shares(f, share));
    ck_assert(nr_energy_told(f, NR_ENERGY_CONTAINER) && nr_energy_told(f, NR_ENERGY_COLLECTOR));
    ck_assert_str_eq(nr_energy_name(f, NR_ENERGY_COLLECTOR), "collector's loss");
    f->loss_includes_store = true;
    ck_assert(!nr_energy_told(f, NR_ENERGY_CONTAINER) && nr_energy_told(f, NR_ENERGY_COLLECTOR));
    ck_assert_str_eq(nr_energy_name(f, NR_ENERGY_COLLECTOR), "both losses");
    ck_assert_str_eq(nr_energy_name(f, NR_ENERGY_OPTICAL), "not absorbed");
    f->run[0].absorbed_W[3] = NAN;
    ck_assert(!nr_energy_parts(f, &f->run[0], 3, part));
    f->run[0].store_loss_W[4] = NAN; /* none: nothing is lost there */
    ck_assert(nr_energy_parts(f, &f->run[0], 4, part) && part[1] == 0);
}
END_TEST

/* Whether the words of a level stand below its line. */
static bool stands_below(const char *words)
{
    const char *at = strstr(script, words), *end;
    ck_assert_msg(at != NULL, "no %s", words);
    end = strchr(at, '\n');
    at = strstr(at, "offset 0.6,-0.7");
    return at != NULL && at < end;
}

/* 49 degC scalds (120 degF); its line where the picture goes so high and is not the target's. Of
 * two lines less than 9 K apart the lower one's words stand below it. */
START_TEST(lines_of_warm_water)
{
    static const struct {
        double highest, target;
        bool scalds, boils, below, scald_below;
    } of[] = {{49.1, 43, true, false, true, false},    {48.9, 43, false, false, true, false},
              {60, 49.9, false, false, false, false},  {60, 50.1, true, false, false, true},
              {60, 47.9, true, false, true, false},    {60, 48.1, false, false, true, false},
              {99.9, 39.9, true, false, false, false}, {100, 40.1, true, true, true, false},
              {60, 57.9, true, false, false, true},    {60, 58.1, true, false, false, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double got[1];
        begin();
        nr_draw_target(&inner, of[i].target, "left");
        nr_draw_scald(&inner, of[i].highest, of[i].target, "left");
        nr_draw_boils(&inner, of[i].highest, "left");
        end();
        numbers_of("set arrow from graph 0, first ", 0, 1, got);
        NEAR(got[0], of[i].target, 1e-9);
        ck_assert(stands_below("\u00b0C: target' at graph 0") == of[i].below);
        ck_assert((strstr(script, "'49 \u00b0C: scalds") != NULL) == of[i].scalds);
        ck_assert(!of[i].scalds || stands_below("\u00b0C: scalds") == of[i].scald_below);
        ck_assert((strstr(script, "'100 \u00b0C: boils'") != NULL) == of[i].boils);
    }
    begin();
    inner.units = NR_UNITS_US;
    nr_draw_scald(&inner, 60, 40, "right");
    nr_draw_target(&inner, 40, NULL);
    end();
    ck_assert_ptr_nonnull(
        strstr(script, "'120 \u00b0F: scalds from here on' at graph 1, first 120.2"));
    ck_assert_ptr_null(strstr(script, "target"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        rows_of_a_fit,        rows_of_two_runs,    rows_of_a_curve,
        limits_of_efficiency, axes_of_a_curve,     numbers_below_a_curve,
        curves_that_cross,    rows_of_a_ranking,   bars_as_long_as_their_numbers,
        shares_of_the_sun,    lines_of_warm_water, NULL};
    fixture_all_used();
    return run_tests_in("scripts", tests, set_up, tear_down);
}
