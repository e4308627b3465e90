/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole pictures as a person has looked at them (kept.h): answers made up by fixture.h, thinned to
 * a few points with round numbers, in both systems of units, whole and with parts missing. */
#include "plots/cooldown.h"
#include "plots/season.h"
#include "plots/tally.h"
#include "tests/unit/plots/kept.h"

static fixture_build glazed_clouded; /* with clouds and a pump stop */

static void as_png(void)
{
    glazed_clouded = fixture_glazed;
    glazed_clouded.clouds = true;
    set_up();
    (void)snprintf(path, sizeof path, "%s/picture.png", folder);
}

static double rounded(double value)
{
    return isfinite(value) ? round(value * 100) / 100 : value;
}

/* Every step-th of a column, with two decimals. */
static void thin(double *column, size_t count, size_t step)
{
    for (size_t i = 0; i < count; i++)
        column[i] = rounded(column[i * step]);
}

/* So many blocks, evenly over the run. */
static void thin_run(nr_fit_run *r, size_t blocks)
{
    size_t step = r->blocks / blocks;
    double *column[] = {r->t_s,        r->sun_W_m2,         r->air_degC,   r->flow_L_min,
                        r->absorbed_W, r->collector_loss_W, r->to_water_W, r->store_loss_W};
    for (size_t k = 0; k < sizeof column / sizeof *column; k++)
        thin(column[k], blocks, step);
    for (size_t i = 0; i < blocks; i++)
        r->pump_on[i] = r->pump_on[i * step];
    for (size_t c = 0; c < r->channels; c++) {
        thin(r->channel[c].measured, blocks, step);
        thin(r->channel[c].modelled, blocks, step);
        thin(r->channel[c].residual, blocks, step);
    }
    r->blocks = blocks;
    r->block_s *= (double)step;
    for (size_t i = 0; i < blocks; i++)
        r->t_s[i] = 60 * round((double)i * r->block_s / 60 + 0.5);
}

static nr_fit *thinned(const fixture_build *b, size_t runs, size_t blocks)
{
    nr_fit *f = fixture_fit(&x, b, runs);
    for (size_t r = 0; r < runs; r++)
        thin_run(&f->run[r], blocks);
    f->curve_points = 6;
    for (size_t i = 0; i < f->curve_points; i++) {
        nr_curve_point *c = &f->curve[i];
        *c = f->curve[8 * i];
        c->eta = rounded(c->eta);
        c->lo95 = rounded(c->lo95);
        c->hi95 = rounded(c->hi95);
    }
    f->points = 4;
    for (size_t i = 0; i < f->points; i++) {
        f->point[i] = f->point[5 * i];
        f->point[i].eta = rounded(f->point[i].eta);
        f->point[i].x = round(f->point[i].x * 1e4) / 1e4;
        f->point[i].steady = i > 1;
    }
    return f;
}

/* --- fit ------------------------------------------------------------------------------------ */

START_TEST(fits)
{
    nr_fit *f = thinned(&glazed_clouded, 1, 6);
    drawn(nr_plot_fit(f, path, &style, &err));
    as_kept("fit", "one run, three channels fitted, clouds and a pump stop");
    style.portrait = style.us_units = true;
    drawn(nr_plot_fit(f, path, &style, &err));
    as_kept("fit-portrait", "the same for a telephone, US units");
}
END_TEST

/* Three runs: of the first the inlet drives, of the second there is a store alone, the third is as
 * short as can be. The longest residual sets the strips' limits. */
START_TEST(fit_of_three_runs)
{
    nr_fit *f = thinned(&glazed_clouded, 3, 4);
    for (size_t i = 0; i < 4; i++)
        f->run[0].channel[1].residual[i] = NAN;
    f->run[1].channels = 1;
    f->run[1].start_utc_s += 86400 * 3.0;
    f->run[1].channel[0].residual[3] = -0.6;
    f->run[2].blocks = 3;
    f->run[2].start_utc_s -= 86400.0;
    (void)snprintf(f->run[2].folder, sizeof f->run[2].folder, "sample-runs/%s",
                   "wash-stand-glazed-in-the-afternoon");
    for (size_t i = 0; i < 2; i++)
        f->run[2].channel[0].residual[i] = NAN;
    f->run[0].channel[2].residual[0] = NAN;
    style.us_units = true;
    drawn(nr_plot_fit(f, path, &style, &err));
    as_kept("fit-three", "three runs, one driven by its inlet, one of a store alone, US units");
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-three", "the energy of three runs, the third and the first run in, US units");
}
END_TEST

/* A store alone, hardly used: nothing known of the sun's axis, no band, a doubtful answer. */
START_TEST(fit_with_little)
{
    fixture_build b = glazed_clouded;
    b.loop = b.clouds = false;
    b.name = "";
    nr_fit *f = thinned(&b, 1, 3);
    f->a1 = f->stagnation_K = fixture_unknown(NR_UNIT_W_M2K);
    f->residual_rms_K = NAN;
    f->trust.count = 1;
    f->points = 2;
    f->curve_points = 0;
    f->point[0].u = NAN;
    f->run[0].latitude_deg = -33.9;
    f->run[0].longitude_deg = -70.4;
    f->run[0].title[0] = '\0';
    for (size_t i = 0; i < 3; i++) {
        f->run[0].channel[0].residual[i] = NAN;
        f->run[0].sun_W_m2[i] *= 0.1;
    }
    drawn(nr_plot_fit(f, path, &style, &err));
    as_kept("fit-little",
            "a store alone that was not used, two points, no curve, no loss, doubtful");
}
END_TEST

/* Lines that end close to each other, and long names. */
START_TEST(fit_of_long_names)
{
    fixture_build b = glazed_clouded;
    b.name = "Glazed wash stand with two panes, a painted coil and straw behind it, as rebuilt";
    b.folder = "sample-runs/wash-stand-glazed-with-two-panes-and-straw-on-a-long-morning";
    b.title = "Behind the seedling tunnel, with the lid left off until it was found in the grass";
    nr_fit *f = thinned(&b, 1, 6);
    (void)snprintf(f->run[0].channel[0].name, sizeof f->run[0].channel[0].name, "tank top");
    f->run[0].channels = 1;
    for (size_t i = 0; i < 6; i++) {
        f->run[0].air_degC[i] = f->run[0].channel[0].modelled[i] + 0.1;
        f->run[0].flow_L_min[i] *= 3.7;
    }
    f->run[0].duration_s = f->run[0].t_s[5] = 7 * 3600;
    drawn(nr_plot_fit(f, path, &style, &err));
    as_kept("fit-long", "long names cut, names at line ends moved apart, seven hours");
}
END_TEST

/* --- energy --------------------------------------------------------------------------------- */

START_TEST(energies)
{
    nr_fit *f = thinned(&glazed_clouded, 1, 6);
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy", "one run, clouds and a pump stop");
    style.portrait = style.us_units = true;
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-portrait", "the same for a telephone, US units");
    f->loss_includes_store = true;
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-both", "the same where the losses are not told apart");
}
END_TEST

/* Heat given back, a hole in the record, a model that runs in; the flow not known. */
START_TEST(energy_below_zero)
{
    nr_fit *f = thinned(&glazed_clouded, 1, 6);
    nr_fit_run *r = &f->run[0];
    for (size_t i = 3; i < 5; i++)
        r->to_water_W[i] = -180 - 10 * (double)i;
    r->absorbed_W[2] = NAN;
    for (size_t c = 0; c < r->channels; c++)
        for (size_t i = 0; i < 2; i++)
            r->channel[c].residual[i] = NAN;
    f->run_efficiency.known = false;
    f->trust.count = 1;
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-back", "heat given back, a hole, no shares, doubtful");
    f->run_efficiency = fixture_quantity(0.993, 0.01, 0.02, NR_UNIT_ONE);
    style.portrait = true;
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-little", "nearly all kept, for a telephone");
    f->run_efficiency.value = 0.004;
    drawn(nr_plot_energy(f, path, &style, &err));
    as_kept("energy-lost", "next to nothing kept, for a telephone");
}
END_TEST

/* --- budget --------------------------------------------------------------------------------- */

START_TEST(budgets)
{
    nr_fit *f = thinned(&glazed_clouded, 1, 6);
    drawn(nr_plot_budget(f, path, &style, &err));
    as_kept("budget", "seven inputs");
    f->a1 = fixture_unknown(NR_UNIT_W_M2K);
    f->trust.count = 1;
    style.us_units = true;
    for (int i = 0; i < 6; i++) {
        char label[40];
        (void)snprintf(label, sizeof label, "sensor %c, offset", 'a' + i);
        fixture_item(f, label, "store", 0.1, "K", 0.004 + 0.001 * i, 0.01 - 0.001 * i);
    }
    drawn(nr_plot_budget(f, path, &style, &err));
    as_kept("budget-us", "thirteen inputs, the least together; no loss known, doubtful, US units");
    f->a1 = fixture_quantity(8.1, 0.5, 0.4, NR_UNIT_W_M2K);
    style.portrait = true;
    drawn(nr_plot_budget(f, path, &style, &err));
    as_kept("budget-portrait", "thirteen inputs for a telephone, US units");
}
END_TEST

/* --- compare -------------------------------------------------------------------------------- */

static nr_compare *compared(const fixture_build *builds, size_t count)
{
    nr_compare *c = fixture_compare(&x, builds, count);
    for (size_t b = 0; b < count; b++) {
        nr_heat_up *h = &c->heat_up[b];
        h->count = 10;
        thin(h->t_s, h->count, 16);
        thin(h->store_degC, h->count, 16);
        thin(h->lo95, h->count, 16);
        thin(h->hi95, h->count, 16);
        c->build[b] = thinned(&builds[b], 1, 6);
    }
    return c;
}

START_TEST(comparisons)
{
    const fixture_build two[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = compared(two, 2);
    drawn(nr_plot_compare(c, path, &style, &err));
    as_kept("compare", "two builds, the first faster");
    const fixture_build turned[2] = {fixture_bare, fixture_glazed};
    c = compared(turned, 2);
    style.us_units = true;
    c->difference[0].crossing_K = -3;
    (void)snprintf(c->label[0], NR_NAME, "wash-stand-with-a-coil-of-black-hose-on-a-board");
    (void)snprintf(c->label[1], NR_NAME, "wash-stand-with-a-coil-of-black-hose-under-glass");
    c->build[1]->loss_includes_store = true;
    c->trust.count = 1;
    c->heat_up[1].time_s = fixture_quantity(60 * 59, 300, 200, NR_UNIT_S);
    c->heat_up[0].time_s = fixture_quantity(60 * 66, 300, 200, NR_UNIT_S);
    drawn(nr_plot_compare(c, path, &style, &err));
    as_kept("compare-us", "two of long names, times that overlap, doubtful, US units");
}
END_TEST

START_TEST(comparisons_that_fail)
{
    const fixture_build two[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = compared(two, 2);
    c->heat_up[1].time_s = c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
    c->difference[0].crossing_known = false;
    c->day.to_degC = 75;
    c->heat_up[0].time_s = fixture_unknown(NR_UNIT_S);
    c->difference[0].a1 = fixture_unknown(NR_UNIT_W_M2K);
    fixture_ranks(c);
    c->verdict = (nr_verdict){0};
    nr_verdict_judge(c);
    drawn(nr_plot_compare(c, path, &style, &err));
    as_kept("compare-none", "two builds, neither gets there");
}
END_TEST

/* --- predict -------------------------------------------------------------------------------- */

static nr_predict *predicted(bool reached, bool clear)
{
    nr_predict *q = fixture_predict(&x, reached, clear);
    q->count = 9;
    for (size_t i = 0; i < q->count; i++) {
        nr_trace_point *t = &q->trace[i];
        *t = q->trace[30 * i];
        t->sun_W_m2 = rounded(t->sun_W_m2);
        t->store_degC = rounded(t->store_degC);
        t->lo95 = rounded(t->lo95);
        t->hi95 = rounded(t->hi95);
    }
    return q;
}

START_TEST(predictions)
{
    nr_predict *q = predicted(true, true);
    drawn(nr_plot_predict(q, path, &style, &err));
    as_kept("predict", "a clear day, by the sun");
    q->day.clock_given = true;
    q->day.clock_ahead_s = 7200 - 0.63 * 240;
    q->time_s.hi95 = INFINITY;
    q->time_s.lo95 = -60;
    q->day.to_degC = 30;
    q->fit->trust.count = 1;
    style.us_units = true;
    drawn(nr_plot_predict(q, path, &style, &err));
    as_kept("predict-us", "a clear day by a clock, no latest end, doubtful, US units");
    q = predicted(true, false);
    q->time_s = fixture_quantity(60 * 200, 240, 420, NR_UNIT_S);
    style.us_units = false;
    drawn(nr_plot_predict(q, path, &style, &err));
    as_kept("predict-steady", "steady sun, reached late");
}
END_TEST

START_TEST(predictions_at_limits)
{
    nr_predict *q = predicted(false, false);
    q->day.water_kg = NAN;
    q->fit->collector_name[0] = '\0';
    drawn(nr_plot_predict(q, path, &style, &err));
    as_kept("predict-not", "little sun, not reached, no name, water not known");
    q = predicted(true, false);
    for (size_t i = 0; i < q->count; i++) {
        nr_trace_point *t = &q->trace[i];
        t->store_degC = 40 + 5 * (double)i;
        t->lo95 = t->store_degC - 1;
        t->hi95 = t->store_degC + 1;
    }
    q->trace[0].sun_W_m2 = 1100; /* the highest, and it alone */
    q->trace[q->count].sun_W_m2 = 4000;
    q->final_degC.known = false;
    q->day.to_degC = 52;
    q->time_s = fixture_quantity(60 * 48, 60, 80, NR_UNIT_S);
    drawn(nr_plot_predict(q, path, &style, &err));
    as_kept("predict-hot", "it boils; target above what scalds, the end as in the trace");
    /* Its words go below both lines while these are 1 to 5 K apart. */
    static const double target[] = {49.9, 50.1, 53.9, 54.1};
    for (size_t i = 0; i < 4; i++) {
        q->day.to_degC = target[i];
        drawn(nr_plot_predict(q, path, &style, &err));
        ck_assert_msg((strstr(script, "left offset 0.8,-2.4 ") != NULL) == (i == 1 || i == 2),
                      "%.1f degC", target[i]);
    }
}
END_TEST

/* --- size ----------------------------------------------------------------------------------- */

START_TEST(sizes)
{
    nr_size *z = fixture_size(&x, true, true);
    z->asked.tap_degC = 10;
    z->asked.use_degC = 38;
    z->asked.use_L = 5;
    z->use = (nr_size_use){60.5, 12.1, 10.2, 14.4};
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size", "a clear day, reached, mixed water counted");
    z->asked.tap_degC = NAN;
    z->area_m2.sure = z->water_kg.sure = z->latest_s.sure = NAN;
    z->asked.day.clock_given = z->best_start = false;
    z->asked.day.start_s = 8 * 3600;
    z->fit->trust.count = 1;
    for (int i = 0; i < NR_SIZE_MAP; i++)
        z->map[i].water_kg.sure = NAN;
    style.us_units = true;
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size-us", "the same, none sure, by the sun, doubtful, US units");
    drawn(nr_plot_size(fixture_size(&x, false, true), path, &style, &err));
    as_kept("size-steady", "steady sun, reached, US units");
}
END_TEST

START_TEST(sizes_at_limits)
{
    nr_size *z = fixture_size(&x, true, false);
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size-not", "no size and no amount reaches it");
    z->warmest_degC = fixture_unknown(NR_UNIT_DEGC);
    z->asked.day.area_m2 = 1.9;
    z->asked.by_s = 23 * 3600;
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size-unknown", "the warmest not known, another area asked, a long day");
    z = fixture_size(&x, true, true);
    z->area_m2.sure = z->fit->gross_area_m2 + 0.01;
    z->water_kg.sure = z->asked.day.water_kg - 0.5;
    z->latest_s.sure = z->warmest_start_s + 900;
    z->asked.by_s = z->latest_s.best + 1800;
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size-border", "asked on the border: its words are one, those below move down");
    z = fixture_size(&x, false, true);
    for (int i = 0; i < NR_SIZE_MAP; i++)
        z->map[i].water_kg = (nr_size_bound){NAN, NAN};
    z->area_m2 = z->water_kg = (nr_size_bound){NAN, NAN};
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("size-any", "any of these reaches it");
}
END_TEST

START_TEST(months_of_a_year)
{
    static const double season[NR_MONTHS] = {0.02, 0.3,  0.7,  0.97, 0.99, 0.99,
                                             0.99, 0.99, 0.97, 0.6,  0.2,  -1};
    nr_size *z = fixture_size(&x, true, true);
    fixture_months(z, season);
    z->months = 6;
    z->month[3].warmest_degC = fixture_quantity(42.2, 1, 0.5, NR_UNIT_DEGC);
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("months", "six months, the best start");
    z->asked.tap_degC = 10;
    z->asked.use_degC = 38;
    z->asked.use_L = 5;
    z->asked.day.to_degC = 46;
    z->best_start = false;
    z->asked.day.start_s = 8 * 3600;
    fixture_months(z, season);
    for (int m = 0; m < 11; m++)
        z->month[m].warmest_degC =
            fixture_quantity(z->month[m].warmest_degC.value - 16, 1, 2, NR_UNIT_DEGC);
    style.us_units = true;
    drawn(nr_plot_size(z, path, &style, &err));
    as_kept("months-us", "twelve months with uses, a stated start, nothing scalds, US units");
}
END_TEST

/* --- plan ----------------------------------------------------------------------------------- */

START_TEST(plans)
{
    nr_plan *q = fixture_plan(&x, false);
    drawn(nr_plot_plan(q, path, &style, &err));
    as_kept("plan", "steady sun, three improvements, one that tells the losses apart");
    q = fixture_plan(&x, true);
    style.us_units = true;
    while (q->steps < NR_PLAN_STEPS)
        fixture_step(q, NR_PLAN_COOL_DOWN, NR_COST_MONEY, 0.03 - 0.001 * (double)q->steps,
                     0.05 * (double)q->steps, false);
    drawn(nr_plot_plan(q, path, &style, &err));
    as_kept("plan-us", "a clear sky, as many improvements as there can be, US units");
    q->steps = 0;
    q->loss_includes_store = false;
    q->fit->a1 = fixture_unknown(NR_UNIT_W_M2K);
    q->fit->dT_range[0] = 0.1;
    q->fit->budget[0].share[0] = 0.0001;
    drawn(nr_plot_plan(q, path, &style, &err));
    as_kept("plan-none", "nothing would help, no loss told, US units");
    q->fit->budget_items = 0;
    q->fit->dT_range[0] = NAN;
    style.us_units = false;
    drawn(nr_plot_plan(q, path, &style, &err));
    as_kept("plan-bare", "nothing would help, nothing known of what limits it");
}
END_TEST

/* --- cool-down ------------------------------------------------------------------------------ */

#define COOLING 10
START_TEST(cooldowns)
{
    double t_s[COOLING], reading[COOLING], fitted[COOLING], air[COOLING];
    for (int k = 0; k < COOLING; k++) {
        t_s[k] = 120 + 2400.0 * k;
        air[k] = 14 - 0.5 * k;
        fitted[k] = 44 - 1.25 * k;
        reading[k] = fitted[k] + 0.02 * (k % 3) - 0.03 * (k % 2);
    }
    nr_cooldown c = {.folder = "sample-runs/evening",
                     .title = "Evening",
                     .collector = "Glazed wash stand",
                     .rows = 400,
                     .used = 400,
                     .duration_s = 21600,
                     .begin_utc_s = 1777917600.0, /* 4 May 2026, 18:00 UTC */
                     .loss_W_K = {true, 1.6, 0.1, 0.06, 0.08, 1.4, 1.8, NR_UNIT_W_K},
                     .time_constant_s = 105000,
                     .from_degC = 44,
                     .to_degC = 32.75,
                     .air_degC = 12,
                     .over_air_K = {22, 30},
                     .rms_K = 0.02,
                     .blocks = COOLING,
                     .t_s = t_s,
                     .reading_degC = reading,
                     .fitted_degC = fitted,
                     .air_at_degC = air};
    drawn(nr_plot_cooldown(&c, path, &style, &err));
    as_kept("cooldown", "six hours of an evening, 44 to 33 degC");
    style.us_units = true;
    c.trust.count = 1;
    c.blocks = 4;
    drawn(nr_plot_cooldown(&c, path, &style, &err));
    as_kept("cooldown-us", "two hours of it, doubtful, US units");
}
END_TEST

/* --- before and after ----------------------------------------------------------------------- */

static nr_tally tallied(void)
{
    nr_tally t = {.asked = nr_tally_open(),
                  .sun_known = true,
                  .sun_J = 3.4e6,
                  .incidence_deg = NAN,
                  .over_air_K = 12,
                  .supposed_loss_W_m2K = 8,
                  .supposed_container_W_K = 1.5,
                  .more_u = {3.2, 1.9, 0.4},
                  .dominates = NR_TALLY_SUN};
    static const double value[NR_TALLY_INPUTS] = {20, 0.7, 20, 45, 6000, 800};
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        t.asked.input[i] = (nr_stated){value[i], 0.02 * value[i]};
    t.asked.air_degC = 20;
    t.result[NR_TALLY_HEAT] = fixture_quantity(2.09e6, 4e4, 5e4, NR_UNIT_J);
    t.result[NR_TALLY_POWER] = fixture_quantity(348, 7, 9, NR_UNIT_W);
    t.result[NR_TALLY_EFFICIENCY] = fixture_quantity(0.62, 0.02, 0.05, NR_UNIT_ONE);
    static const double share[NR_TALLY_INPUTS] = {0.05, 0.02, 0.11, 0.118, 0.002, 0.7};
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        t.share[NR_TALLY_EFFICIENCY][i] = share[i];
    return t;
}

START_TEST(tallies)
{
    nr_tally t = tallied();
    drawn(nr_plot_tally(&t, path, &style, &err));
    as_kept("tally", "sun known");
    t.asked.clear_sky = true;
    t.trust.count = 1;
    t.sun_J = 1.9e6;
    style.us_units = true;
    drawn(nr_plot_tally(&t, path, &style, &err));
    as_kept("tally-us", "sun by a model, less of it than heat, doubtful, US units");
    t = tallied();
    t.sun_known = false;
    t.sun_J = NAN;
    t.asked.input[NR_TALLY_SUN].value = NAN;
    t.result[NR_TALLY_EFFICIENCY] = fixture_unknown(NR_UNIT_ONE);
    t.share[NR_TALLY_POWER][NR_TALLY_WATER] = 1;
    t.more_u[NR_TALLY_LATER] = NAN;
    style.us_units = false;
    drawn(nr_plot_tally(&t, path, &style, &err));
    as_kept("tally-dark", "sun not known, all of the uncertainty of the water");
}
END_TEST

/* --- a year of weather ---------------------------------------------------------------------- */

/* Days that hold every grade's limits from both sides, in two years. */
START_TEST(seasons)
{
    static const double chance[] = {0, 0.049, 0.05, 0.25, 0.499, 0.5, 0.7, 0.949, 0.95, 0.99, 1};
    enum { CHANCES = sizeof chance / sizeof *chance, DAYS = 12 * CHANCES + 2 };
    nr_season_day day[DAYS];
    nr_season s = {.fit = thinned(&glazed_clouded, 1, 6),
                   .asked = nr_season_open(),
                   .place = "Wash Hill",
                   .typical = true,
                   .years = 1,
                   .days = DAYS,
                   .day = day,
                   .reached = {71, 60, 78, 62, 80},
                   .uses = {1540, 1410, 1660, 1480, 1600},
                   .frost_nights = 40,
                   .heat_kWh = 610,
                   .heat_lo95 = 560,
                   .heat_hi95 = 650};
    for (int i = 0; i < DAYS; i++) {
        int m = i / CHANCES % 12, d = i % CHANCES;
        /* Months of 30.44 days from 1 January 2026; the third day on, every second one. */
        day[i] = (nr_season_day){.date_s = 1767225600.0 + 86400.0 * (floor(30.44 * m) + 3 + 2 * d),
                                 .probability = chance[d]};
    }
    day[DAYS - 2].date_s = 1767225600.0 + 86400.0 * 365 + 86400.0 * 3;
    day[DAYS - 2].probability = 0.2; /* with that of 2026, never: a mean of 0.1 */
    for (int m = 0; m < 12; m++)
        s.month[m] = (nr_season_month){m == 10 ? 0 : 30,
                                       {2.6 * m, 2.2 * m, 2.7 * m, 0, 0},
                                       {14.4 * m, 0, 0, 0, 0},
                                       40 + 11.3 * m,
                                       30 + m,
                                       5 + m};
    drawn(nr_plot_season(&s, path, &style, &err));
    as_kept("season", "a typical year, every grade from both sides, no November");
    s.place[0] = '\0';
    s.typical = false;
    s.years = 2;
    s.days = 24;
    s.reached = (nr_season_count){6, 5, 7, 4, 8};
    for (int m = 0; m < 9; m++)
        s.month[m].days = 0;
    style.us_units = true;
    drawn(nr_plot_season(&s, path, &style, &err));
    as_kept("season-us", "two years of a table, US units");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {fits,
                                  fit_of_three_runs,
                                  fit_with_little,
                                  fit_of_long_names,
                                  energies,
                                  energy_below_zero,
                                  budgets,
                                  comparisons,
                                  comparisons_that_fail,
                                  predictions,
                                  predictions_at_limits,
                                  sizes,
                                  sizes_at_limits,
                                  months_of_a_year,
                                  plans,
                                  cooldowns,
                                  tallies,
                                  seasons,
                                  NULL};
    fixture_all_used();
    return run_tests_in("kept pictures", tests, as_png, tear_down);
}
