/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of what is asked (another day, the pump, two builds) and of a record, as they go to
 * gnuplot: data against the answer, limits of axes, what is shaded and flagged, and where words
 * stand. Expected numbers are worked out here from the answers' own and NIST SP 811's factors. */
#include "plots/letters.h"
#include "plots/timeline.h"
#include "tests/unit/plots/script.h"

static double shown(double degC)
{
    return style.us_units ? 32 + 1.8 * degC : degC;
}

/* --- another day ----------------------------------------------------------------------------- */

START_TEST(trace_of_a_prediction)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_predict *q = fixture_predict(&x, true, false);
        drawn(nr_plot_predict(q, path, &style, &err));
        const block *b = rows_of("trace", 5, 0);
        ck_assert_uint_eq(b->rows, q->count);
        double lo = INFINITY, hi = q->day.to_degC + 4;
        for (size_t i = 0; i < q->count; i++) {
            const nr_trace_point *t = &q->trace[i];
            same("minutes", b->v[i][0], t->t_s / 60);
            same("store", b->v[i][1], shown(t->store_degC));
            same("low", b->v[i][2], shown(t->lo95));
            same("high", b->v[i][3], shown(t->hi95));
            same("sun", b->v[i][4], t->sun_W_m2 * (us ? 0.3169983306 : 1));
            lo = fmin(lo, t->lo95);
            hi = fmax(hi, t->hi95);
        }
        b = rows_of("arrival", 4, 0);
        same("arrives", b->v[0][0], q->time_s.value / 60);
        same("at", b->v[0][1], shown(q->day.to_degC));
        same("from", b->v[0][2], q->time_s.lo95 / 60);
        same("to", b->v[0][3], fmin(q->time_s.hi95 / 60, 240));
        double y[2];
        hi = hi > 43 ? fmax(hi, 51) : hi; /* what scalds is in the picture where it is near */
        numbers_of("\nset yrange [", 1, 2, y);
        ck_assert(y[0] <= shown(lo) && y[1] >= shown(hi) &&
                  y[1] - y[0] < 1.6 * (shown(hi) - shown(lo)));
        numbers_of("\nset xrange [", 1, 2, y);
        NEAR(y[1], 240, 1e-6);
        double line[3];
        numbers_of("set arrow from first ", 0, 1, line);
        NEAR(line[0], q->time_s.value / 60, 1e-6);
    }
}
END_TEST

START_TEST(words_of_an_arrival)
{
    nr_predict *q = fixture_predict(&x, true, false);
    double m = q->time_s.value / 60, at[2];
    char words[80];
    drawn(nr_plot_predict(q, path, &style, &err));
    (void)snprintf(words, sizeof words, "'%.0f min (%.0f to %.0f)' at first", m,
                   q->time_s.lo95 / 60, q->time_s.hi95 / 60);
    numbers_of(words, 0, 2, at);
    NEAR(at[0], m, 1e-6);
    NEAR(at[1], q->day.to_degC, 1e-6);
    ck_assert_ptr_nonnull(
        strstr(script, m > 0.7 * 240 ? "right offset -0.8,1" : "left offset 0.8,-1"));
    /* Late in the day the words stand left of it. */
    static const double late_min[] = {167, 169};
    for (int late = 0; late < 2; late++) {
        q->time_s = fixture_quantity(60 * late_min[late], 240, 420, NR_UNIT_S);
        drawn(nr_plot_predict(q, path, &style, &err));
        ck_assert((strstr(script, "right offset -0.8,1") != NULL) == (late == 1));
        ck_assert((strstr(script, "left offset 0.8,-1") != NULL) == (late == 0));
    }
    q->time_s.hi95 = INFINITY;
    drawn(nr_plot_predict(q, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, " at the earliest)'"));
    same("to", rows_of("arrival", 4, 0)->v[0][3], 240);
    q = fixture_predict(&x, false, false);
    drawn(nr_plot_predict(q, path, &style, &err));
    ck_assert_uint_eq(rows_of("arrival", 4, 0)->rows, 1);
    ck_assert(isnan(data.v[0][0]));
    q->count = 0;
    ck_assert_int_eq(nr_plot_predict(q, path, &style, &err), NR_BAD);
}
END_TEST

/* --- a size ---------------------------------------------------------------------------------- */

/* "as asked: 50 degC" stands right of its point while there is room up to the map's edge: the
 * words, and ten pixels on either side of them. The map is 0.735 of 1200 px wide. */
START_TEST(room_for_what_was_asked)
{
    nr_size *z = fixture_size(&x, true, true);
    double words = nr_text_px("as asked: 50 \u00b0C", 18), right = z->map[NR_SIZE_MAP - 1].area_m2;
    z->area_m2 = (nr_size_bound){1.9, 1.8}; /* so that the map ends with its borders */
    z->warmest_degC.value = 50;
    for (int more = -2; more <= 2; more++) {
        z->asked.day.area_m2 = right * (1 - (words + 20 + more) / (0.735 * 1200));
        if (more == 0)
            continue;
        drawn(nr_plot_size(z, path, &style, &err));
        double at[2];
        numbers_of("'as asked: 50 \u00b0C' at first ", 0, 2, at);
        NEAR(at[0], z->asked.day.area_m2, 1e-7);
        NEAR(at[1], 40, 1e-9);
        const char *side = strstr(script, "'as asked: 50 \u00b0C'");
        const char *due = strstr(side, more > 0 ? " left offset 1,-" : " right offset -1,-");
        ck_assert_msg(due != NULL && due < strchr(side, '\n'), "%d px of room: %.90s", more, side);
    }
}
END_TEST

/* What just suffices is marked where it lies on the map; words of two places that would meet are
 * one label: of what just suffices at the left and upper of both, of what surely does the other
 * way. */
START_TEST(crossings_of_a_map)
{
    nr_size *z = fixture_size(&x, true, true);
    double at[2], last = z->map[NR_SIZE_MAP - 1].area_m2;
    z->area_m2.best = last + 0.1; /* beyond the map's right end */
    drawn(nr_plot_size(z, path, &style, &err));
    ck_assert_ptr_null(strstr(script, "'just 2."));
    ck_assert_ptr_nonnull(strstr(script, "'just 62.9 kg'"));
    z->area_m2.best = last - 0.1;
    drawn(nr_plot_size(z, path, &style, &err));
    numbers_of("'just 1.95 m\u00b2' at first ", 0, 2, at);
    NEAR(at[0], last - 0.1, 1e-7);
    NEAR(at[1], 40, 1e-9);
    z->water_kg = (nr_size_bound){50, 64}; /* above the map's upper end, 1.25 times 50 */
    drawn(nr_plot_size(z, path, &style, &err));
    ck_assert_ptr_null(strstr(script, " kg' at first 1.1, first 64"));
    z = fixture_size(&x, true, true);
    for (int side = -1; side <= 1; side += 2) {
        double own = z->fit->gross_area_m2, area = own - 0.01 * side, kg = 40 + 0.5 * side;
        z->area_m2 = (nr_size_bound){area, area};
        z->water_kg = (nr_size_bound){kg, kg};
        drawn(nr_plot_size(z, path, &style, &err));
        char words[60];
        (void)snprintf(words, sizeof words, "'just %.2f m\u00b2, %.1f kg' at first ", area, kg);
        numbers_of(words, 0, 2, at);
        NEAR(at[0], fmin(own, area), 1e-7);
        NEAR(at[1], fmax(40, kg), 1e-7);
        memcpy(words, "'sure", 5);
        numbers_of(words, 0, 2, at);
        NEAR(at[0], fmax(own, area), 1e-7);
        NEAR(at[1], fmin(40, kg), 1e-7);
    }
}
END_TEST

/* --- the pump -------------------------------------------------------------------------------- */

START_TEST(rows_of_a_pump)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        nr_pump *q = fixture_pump(&x, false, true);
        drawn(nr_plot_pump(q, path, &style, &err));
        for (int rows = 0; rows < 2; rows++) {
            const block *b = rows_of(rows ? "rows" : "curve", 8, 0);
            ck_assert_uint_eq(b->rows, rows ? NR_PUMP_ROWS : NR_PUMP_CURVE);
            for (size_t i = 0; i < b->rows; i++) {
                const nr_pump_row *r = rows ? &q->row[i] : &q->curve[i];
                same("flow", b->v[i][0], r->flow_L_min / (us ? 3.785411784 : 1));
                same("change", b->v[i][1], 100 * r->change.value);
                same("low", b->v[i][2], 100 * r->change.lo95);
                same("high", b->v[i][3], 100 * r->change.hi95);
                same("FR", b->v[i][4], r->removal);
                same("outlet", b->v[i][5], shown(r->outlet_degC));
                /* 1 psi = 6894.757 Pa */
                NEAR(b->v[i][6], r->drop_Pa.low / (us ? 6894.757293 : 1000), 1e-5);
                NEAR(b->v[i][7], r->drop_Pa.high / (us ? 6894.757293 : 1000), 1e-5);
            }
        }
        double fr[4], axis[2], lo = 0, hi = 0;
        const block *b = rows_of("removal", 4, 0);
        same("now", b->v[0][0], 1.05 / (us ? 3.785411784 : 1));
        same("FR", b->v[0][1], q->removal.value);
        same("low", b->v[0][2], q->removal.lo95);
        same("high", b->v[0][3], q->removal.hi95);
        for (int i = 0; i < NR_PUMP_CURVE; i++) {
            lo = fmin(lo, 100 * q->curve[i].change.lo95);
            hi = fmax(hi, 100 * q->curve[i].change.hi95);
        }
        numbers_of("\nset yrange [", 1, 2, axis); /* heat: a tenth of air above */
        ck_assert(axis[0] <= lo && axis[1] >= hi + 0.0999 * (hi - lo));
        ck_assert(axis[1] - axis[0] < 1.7 * (hi - lo));
        /* Laminar below 0.5 L/min, who knows up to 0.65: grey between the curve's points there. */
        numbers_of("set object rectangle from first ", 0, 4, fr);
        double flow = us ? 1 / 3.785411784 : 1;
        ck_assert(fr[0] > 0.47 * flow && fr[0] < 0.53 * flow);
        ck_assert(fr[2] > 0.62 * flow && fr[2] < 0.68 * flow);
        numbers_of("set object rectangle from first ", 1, 4, fr); /* the record's interval */
        NEAR(fr[0], q->flow_L_min.lo95 * flow, 1e-6);
        NEAR(fr[2], q->flow_L_min.hi95 * flow, 1e-6);
        ck_assert(strstr(script, us ? "'flow, gal/min'" : "'flow, L/min'"));
    }
}
END_TEST

START_TEST(words_of_a_pump)
{
    nr_pump *q = fixture_pump(&x, false, true);
    double at[2];
    drawn(nr_plot_pump(q, path, &style, &err));
    numbers_of("'half: \u22129.3 %' at first", 0, 2, at);
    NEAR(at[0], 0.525, 1e-6);
    NEAR(at[1], 100 * q->row[1].change.value, 1e-5);
    numbers_of("'twice: +4.7 %' at first", 0, 2, at);
    NEAR(at[0], 2.1, 1e-6);
    /* Rises: 650 W * FR over the flow, K. */
    char words[60];
    (void)snprintf(words, sizeof words, "'half: +%.1f K' at first", q->row[1].outlet_degC - 20.5);
    numbers_of(words, 0, 2, at);
    NEAR(at[0], 0.525, 1e-6);
    NEAR(at[1], q->row[1].outlet_degC, 1e-5);
    numbers_of("'enters at 20.5 \u00b0C' at graph 0, first ", 0, 1, at);
    NEAR(at[0], 20.5, 1e-9);
    /* Power of the water: flow times drop. 1.05 L/min against 60 kPa is 1.05 W. */
    ck_assert_ptr_nonnull(strstr(script, "60 kPa' at first"));
    ck_assert_ptr_nonnull(strstr(script, "'1 W'"));
    q->row[1].change.known = false;
    drawn(nr_plot_pump(q, path, &style, &err));
    ck_assert_ptr_null(strstr(script, "'half: \u2212"));
}
END_TEST

/* --- two builds ------------------------------------------------------------------------------ */

START_TEST(heat_up_of_two)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        const fixture_build builds[2] = {fixture_glazed, fixture_bare};
        nr_compare *c = fixture_compare(&x, builds, 2);
        drawn(nr_plot_compare(c, path, &style, &err));
        double slowest = fmax(c->heat_up[0].time_s.hi95, c->heat_up[1].time_s.hi95) / 60;
        double lo = c->day.from_degC, hi = 1.1 * c->day.to_degC - 0.1 * c->day.from_degC, axis[2];
        for (int k = 0; k < 2; k++) {
            const nr_heat_up *h = &c->heat_up[k];
            const block *b = rows_of(k ? "heat1" : "heat0", 4, 0);
            ck_assert(b->rows == h->count || h->t_s[b->rows] / 60 > 1.25 * slowest);
            for (size_t i = 0; i < b->rows; i++) {
                same("minutes", b->v[i][0], h->t_s[i] / 60);
                same("store", b->v[i][1], shown(h->store_degC[i]));
                same("low", b->v[i][2], shown(h->lo95[i]));
                same("high", b->v[i][3], shown(h->hi95[i]));
                hi = fmax(hi, h->store_degC[i]);
                lo = fmin(lo, h->lo95[i]);
            }
            b = rows_of(k ? "time1" : "time0", 4, 0);
            same("meets", b->v[0][0], h->time_s.value / 60);
            same("from", b->v[0][2], h->time_s.lo95 / 60);
            same("to", b->v[0][3], h->time_s.hi95 / 60);
        }
        numbers_of("\nset xrange [", 1, 2, axis); /* a quarter beyond the slowest */
        NEAR(axis[1], 1.25 * slowest, 1e-5);
        numbers_of("\nset yrange [", 1, 2, axis);
        ck_assert(axis[0] <= shown(lo) && axis[1] >= shown(hi));
        ck_assert(axis[1] - axis[0] < 1.5 * (shown(hi) - shown(lo)));
        char words[60];
        (void)snprintf(words, sizeof words, "'target %.0f %s' at graph 0, first ",
                       shown(c->day.to_degC), us ? "\u00b0F" : "\u00b0C");
        numbers_of(words, 0, 1, axis);
        NEAR(axis[0], shown(c->day.to_degC), 1e-6);
        /* The differences, with their intervals, zero on each axis. */
        const nr_difference *d = &c->difference[0];
        const nr_quantity *q[3] = {&d->eta0, &d->a1, &d->heat_up_s};
        const double factor[3] = {1, us ? 0.1761101838 : 1, 1 / 60.0};
        for (int by = 0; by < 3; by++) {
            char name[24];
            (void)snprintf(name, sizeof name, "difference%d", by);
            const block *b = rows_of(name, 4, 0);
            NEAR_AT(name, b->v[0][0], q[by]->value * factor[by], 1e-5);
            ck_assert(b->v[0][1] == 0);
            NEAR_AT(name, b->v[0][2], q[by]->lo95 * factor[by], 1e-5);
            NEAR_AT(name, b->v[0][3], q[by]->hi95 * factor[by], 1e-5);
            numbers_of("\nset xrange [", 5 + 2 * by, 2, axis);
            ck_assert_msg(axis[0] < fmin(0, b->v[0][2]) && axis[1] > fmax(0, b->v[0][3]),
                          "%s: %g to %g", name, axis[0], axis[1]);
        }
    }
}
END_TEST

START_TEST(names_of_two)
{
    const fixture_build builds[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, builds, 2);
    ck_assert_ptr_nonnull(strcpy(c->label[0], "wash-stand-glazed"));
    ck_assert_ptr_nonnull(strcpy(c->label[1], "wash-stand-bare"));
    drawn(nr_plot_compare(c, path, &style, &err));
    ck_assert_ptr_nonnull(
        strstr(script, "'glazed \u2212 bare, 95 %' at screen 0.5550,0.3910 left"));
    ck_assert_ptr_nonnull(strstr(script, "'wash-stand-glazed' at first"));
    c->build[1]->loss_includes_store = true;
    c->heat_up[1].time_s = fixture_unknown(NR_UNIT_S);
    c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
    drawn(nr_plot_compare(c, path, &style, &err));
    ck_assert_ptr_nonnull(
        strstr(script, "'wash-stand-bare (loss with the container\u2019s): not reached' at first"));
    ck_assert_ptr_nonnull(strstr(script, "'heat-up time, min: not determined'"));
    ck_assert(isnan(rows_of("time1", 4, 0)->v[0][0]));
    c->builds = 0;
    ck_assert_int_eq(nr_plot_compare(c, path, &style, &err), NR_BAD);
}
END_TEST

/* --- a record -------------------------------------------------------------------------------- */

START_TEST(channels_of_a_record)
{
    nr_run *run;
    nr_inspect *in = fixture_inspect(&x, 9, &run);
    const nr_readings *r = run->readings;
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    /* 5400 rows: bins of thirteen, of each the least and the greatest in their order. */
    const block *b = rows_of("channel0", 2, 0);
    const double *v = r->column[0].value;
    size_t k = 0;
    for (size_t i = 0; i < 3120;) {
        size_t end = i + 13, low = i, high = i;
        for (size_t j = i; j < end && j < 3120; j++) {
            low = v[j] < v[low] ? j : low;
            high = v[j] > v[high] ? j : high;
        }
        size_t first = low < high ? low : high, second = low < high ? high : low;
        same("first", b->v[k][0], r->elapsed_s[first] / 60);
        same("first", b->v[k++][1], v[first]);
        if (second != first) {
            same("second", b->v[k][0], r->elapsed_s[second] / 60);
            same("second", b->v[k++][1], v[second]);
        }
        i = end;
    }
    /* A spike of one reading stays in the data. */
    b = rows_of("channel2", 2, 0);
    double most = -INFINITY;
    for (size_t i = 0; i < b->rows; i++)
        most = fmax(most, b->v[i][1]);
    same("spike", most, r->column[2].value[1500]);
}
END_TEST

START_TEST(what_is_shaded_and_flagged)
{
    nr_run *run;
    double at[4];
    nr_inspect *in = fixture_inspect(&x, 9, &run);
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    /* The gap (52 to 57 min) is all channels'; a doubt is orange. */
    numbers_of("set object rectangle from first ", 0, 4, at);
    NEAR(at[0], 52, 1e-6);
    NEAR(at[2], 57, 1e-6);
    ck_assert_ptr_nonnull(strstr(script, "fc rgb '#E69F00' fs transparent solid 0.40"));
    ck_assert_ptr_nonnull(strstr(script, "fc rgb '#D55E00' fs transparent solid 0.45"));
    ck_assert_ptr_nonnull(strstr(script, "fc rgb '#BDBDBD' fs transparent solid 0.30"));
    /* A spike of a second is two pixels wide all the same: 90 / 400 min. */
    numbers_of("set object rectangle from first 25", 0, 3, at);
    numbers_of("set object rectangle from first ", 2, 4, at);
    NEAR(at[0], 25, 1e-6);
    NEAR(at[2], 25.225, 1e-6);
    /* Notes at 20 and 40 min, not the recorder's own start. */
    numbers_of("'\u2460' at first ", 0, 1, at);
    NEAR(at[0], 20, 1e-6);
    numbers_of("'\u2461' at first ", 0, 1, at);
    NEAR(at[0], 40, 1e-6);
    ck_assert_ptr_null(strstr(script, "'\u2462' at first "));
    /* Near the end a flag's number stands left of it: 97 of a hundred. */
    run->notes->note[2].elapsed_s = 0.98 * 5400;
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    ck_assert_ptr_nonnull(
        strstr(strstr(script, "'\u2461' at first "), "graph 1 right offset -0.2"));
    run->notes->note[2].elapsed_s = 0.96 * 5400;
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    const char *flag = strstr(script, "'\u2461' at first ");
    ck_assert(strstr(flag, "graph 1 left offset 0.2") &&
              strstr(flag, "graph 1 left") < strchr(flag, '\n'));
    run->notes->note[2].elapsed_s = -30; /* before the first reading: at the start */
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    numbers_of("'\u2461' at first ", 0, 1, at);
    NEAR(at[0], 0, 1e-9);
    run->notes->note[2].elapsed_s = 6000; /* beyond the record: none */
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    ck_assert_ptr_null(strstr(script, "'\u2461' at first "));
}
END_TEST

START_TEST(panels_in_their_order)
{
    static const char *const words[] = {
        "'Temperature, \u00b0C' at screen", "'Irradiance, W/m\u00b2' at screen",
        "'Flow, L/min' at screen", "'Wind, m/s' at screen", "'Voltage, V' at screen"};
    nr_run *run;
    nr_inspect *in = fixture_inspect(&x, 9, &run);
    /* In whatever order they are recorded. */
    nr_column swap = run->readings->column[0];
    run->readings->column[0] = run->readings->column[8];
    run->readings->column[8] = swap;
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    double before = 2, at[2];
    for (int i = 0; i < 5; i++) {
        numbers_of(words[i], 0, 2, at);
        ck_assert_msg(at[1] < before, "%s at %g", words[i], at[1]);
        before = at[1];
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {trace_of_a_prediction, words_of_an_arrival,
                                  rows_of_a_pump,        words_of_a_pump,
                                  heat_up_of_two,        names_of_two,
                                  channels_of_a_record,  what_is_shaded_and_flagged,
                                  panels_in_their_order, room_for_what_was_asked,
                                  crossings_of_a_map,    NULL};
    fixture_all_used();
    return run_tests_in("scripts of what is asked", tests, set_up, tear_down);
}
