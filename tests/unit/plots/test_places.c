/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where things lie in a picture, read back from the SVG that gnuplot left: words on the canvas and
 * apart from each other, round numbers at axes, curves, bars and marks where their numbers belong
 * by the axis beside them, names at what they name. */
#include "plots/picture.h"
#include "plots/plots.h"
#include "plots/tally.h"
#include "tests/unit/plots/fixture.h"
#include "tests/unit/plots/svg.h"

static char folder[64], path[128];
static nr_plot_style style;
static fixture x;
static nr_err err;

static void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-places-XXXXXX")));
    (void)snprintf(path, sizeof path, "%s/picture.svg", folder);
    style = (nr_plot_style){0};
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0);
    x = (fixture){.seed = 1};
}

static void tear_down(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
    fixture_done(&x);
}

/* What lies where; what holds for every picture is looked at here. */
static svg *drawn(const char *name, nr_code code)
{
    ck_assert_msg(code == NR_OK, "%s: %s", name, err.text);
    svg *s = svg_read(path);
    svg_holds(s, name);
    return s;
}

START_TEST(every_picture)
{
    nr_run *run;
    for (int us = 0; us < 2; us++)
        for (int portrait = 0; portrait < 2; portrait++) {
            style.us_units = us;
            style.portrait = portrait;
            nr_fit *f = fixture_fit(&x, &fixture_glazed, us ? 8 : 1);
            nr_inspect *i = fixture_inspect(&x, 9, &run);
            free(drawn("fit", nr_plot_fit(f, path, &style, &err)));
            free(drawn("energy", nr_plot_energy(f, path, &style, &err)));
            free(drawn("budget", nr_plot_budget(f, path, &style, &err)));
            free(drawn("inspect", nr_plot_inspect(i, run, path, &style, &err)));
        }
    style.portrait = false;
    free(drawn("card",
               nr_plot_card(&(nr_card){fixture_fit(&x, &fixture_glazed, 1), 0, 1, "0123abcd"}, path,
                            &style, &err)));
    const fixture_build b[4] = {fixture_glazed, fixture_bare, fixture_glazed, fixture_bare};
    for (size_t n = 1; n <= 4; n++) {
        nr_compare *c = fixture_compare(&x, b, n);
        free(drawn("compare", nr_plot_compare(c, path, &style, &err)));
        free(drawn("ranking", nr_plot_ranking(c, "900 W/m2", path, &style, &err)));
    }
}
END_TEST

/* A round axis holds its numbers, and little beyond: a step at each end, or all down to zero. */
static void fits_its_numbers(const svg_axis *a, double lo, double hi, bool from_zero)
{
    ck_assert_msg(a->lo <= lo && a->hi >= hi, "%g to %g on an axis from %g to %g", lo, hi, a->lo,
                  a->hi);
    ck_assert_msg(a->hi < hi + 1.01 * a->step, "up to %g for %g", a->hi, hi);
    if (from_zero)
        NEAR(a->lo, 0, 1e-9);
    else
        ck_assert_msg(a->lo > lo - 1.01 * a->step, "from %g for %g", a->lo, lo);
}

/* The line of that colour with most points inside a part of the canvas. */
static const svg_shape *longest_line(const svg *s, const char *colour, double top, double bottom)
{
    const svg_shape *best = NULL;
    for (size_t i = 0; i < s->shapes; i++) {
        const svg_shape *l = &s->shape[i];
        if (l->kind == SVG_LINE && strcmp(l->colour, colour + 1) == 0 && s->y[l->first] >= top &&
            s->y[l->first] <= bottom && (!best || l->count > best->count))
            best = l;
    }
    ck_assert_msg(best != NULL, "no line of %s", colour);
    return best;
}

static void range_of(const double *v, size_t n, double *lo, double *hi)
{
    for (size_t i = 0; i < n; i++) {
        *lo = v[i] < *lo || isnan(*lo) ? v[i] : *lo;
        *hi = v[i] > *hi || isnan(*hi) ? v[i] : *hi;
    }
}

/* --- fit: upper right the temperatures, below them sun and what is left over --------------------
 */

START_TEST(temperatures_where_they_are_said_to_be)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    const nr_fit_run *r = &f->run[0];
    svg *s = drawn("fit", nr_plot_fit(f, path, &style, &err));
    const svg_axis y = svg_axis_at(s, 'e', 640, 708, 150, 380);
    const svg_axis t = svg_axis_at(s, 'm', 700, 1120, 735, 765);
    double lo = NAN, hi = NAN, before = INFINITY;
    static const char *const name[] = {"outlet", "inlet", "store", "air"};
    for (size_t c = 0; c < 3; c++)
        range_of(r->channel[c].measured, r->blocks, &lo, &hi);
    fits_its_numbers(&y, lo, hi, false);
    NEAR(t.lo, 0, 1e-9);
    for (size_t c = 0; c < 3; c++) {
        const svg_shape *l = longest_line(s, nr_channel_colour(r->channel[c].name, c), 150, 380);
        ck_assert_uint_gt(l->count, 300);
        for (size_t i = 0; i < l->count; i++) {
            double minute = (s->x[l->first + i] - t.at) / t.per;
            size_t b = (size_t)lround(minute * 60 / r->block_s - 0.5);
            NEAR(minute * 60, r->t_s[b], 3);
            NEAR_AT(r->channel[c].name, s->y[l->first + i], svg_px(&y, r->channel[c].modelled[b]),
                    0.8);
        }
    }
    /* Names at the ends of their lines, in the lines' order, moved apart by a line of letters. */
    for (int k = 0; k < 4; k++) {
        double end =
            k == 3 ? r->air_degC[r->blocks - 1] : r->channel[2 - k].modelled[r->blocks - 1];
        const svg_words *w = NULL;
        for (size_t i = 0; i < s->words_count; i++)
            if (strcmp(s->words[i].text, name[k]) == 0 && s->words[i].x > 1095 &&
                s->words[i].y < 400)
                w = &s->words[i];
        ck_assert_msg(w != NULL, "no %s beside its line", name[k]);
        NEAR_AT(name[k], w->y - 0.325 * w->px, svg_px(&y, end), 25);
        ck_assert_msg(k == 0 || w->y > before, "%s above", name[k]);
        before = w->y;
    }
    free(s);
}
END_TEST

/* --- energy: a band as wide as the sun, what is lost turning off upwards ------------------------
 */

static const svg_shape *area_of(const svg *s, const char *colour)
{
    for (size_t i = 0; i < s->shapes; i++)
        if (s->shape[i].kind == SVG_AREA && strcmp(s->shape[i].colour, colour) == 0)
            return &s->shape[i];
    ck_abort_msg("no area of %s", colour);
    return NULL;
}

/* The head of an arrow is symmetrical about the band that it ends, and its words stand over it. */
static void arrow_stands_on_its_band(const svg *s, const char *colour, const char *name,
                                     double wide)
{
    const svg_shape *a = area_of(s, colour);
    const double *px = s->x + a->first, *py = s->y + a->first;
    double tip_y = INFINITY, tip_x = NAN, base_y = INFINITY, at[4] = {NAN, NAN, NAN, NAN};
    for (size_t i = 0; i < a->count; i++)
        if (py[i] < tip_y) {
            tip_y = py[i];
            tip_x = px[i];
        }
    for (size_t i = 0; i < a->count; i++)
        base_y = py[i] > tip_y + 1 && py[i] < base_y ? py[i] : base_y;
    int n = 0;
    for (size_t i = 0; i < a->count && n < 4; i++)
        if (fabs(py[i] - base_y) < 0.1)
            at[n++] = px[i];
    ck_assert_int_eq(n, 4); /* right edge, both ends of the head, left edge */
    NEAR_AT(name, (at[0] + at[3]) / 2, tip_x, 0.3);
    NEAR_AT(name, (at[1] + at[2]) / 2, tip_x, 0.3);
    NEAR_AT(name, fabs(at[0] - at[3]), fmax(wide, 1.5), 0.3);
    ck_assert_msg(fabs(at[1] - at[2]) > fabs(at[0] - at[3]) + 5, "%s: no head", name);
    for (size_t i = 0; i < s->words_count; i++)
        if (strcmp(s->words[i].text, name) == 0 && s->words[i].anchor == 'm')
            NEAR_AT(name, s->words[i].x, tip_x, 0.3);
}

START_TEST(energy_flows_level_and_in_proportion)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    for (size_t i = 0; i < f->run[0].blocks; i++)
        f->run[0].absorbed_W[i] += 60; /* that warm the collector */
    svg *s = drawn("energy", nr_plot_energy(f, path, &style, &err));
    const svg_shape *kept = area_of(s, "0072B2"), *sun = area_of(s, "F8D66D");
    double share[6] = {0}, kept_J = f->run_efficiency.value * f->sun_J, sum_J = 0;
    const nr_fit_run *r = &f->run[0];
    for (size_t i = 0; i < r->blocks; i++) { /* container, collector, not absorbed */
        share[1] += r->store_loss_W[i];
        share[2] += r->collector_loss_W[i];
        share[3] += r->absorbed_W[i] - r->to_water_W[i] - r->collector_loss_W[i];
        share[4] += r->sun_W_m2[i] * f->gross_area_m2 - r->absorbed_W[i];
    }
    for (int k = 1; k < 5; k++)
        sum_J += share[k] = fmax(share[k], 0);
    double high = fabs(s->y[sun->first + 2] - s->y[sun->first]); /* the sun's band: all of it */
    for (int k = 1; k < 5; k++)
        share[k] *= (1 - kept_J / f->sun_J) / sum_J * high;
    arrow_stands_on_its_band(s, "F3E9B5", "not absorbed", share[4]);
    arrow_stands_on_its_band(s, "D55E00", "collector\u2019s loss", share[2]);
    arrow_stands_on_its_band(s, "56B4E9", "container\u2019s loss", share[1]);
    /* The water is as high as its share, its surface level, its foot level in the bucket. */
    const double *px = s->x + kept->first, *py = s->y + kept->first;
    double left_x = INFINITY, top = INFINITY, foot = -INFINITY;
    int at_top = 0, at_foot = 0;
    double band = -INFINITY;
    for (size_t i = 0; i < kept->count; i++) {
        left_x = fmin(left_x, px[i]);
        top = fmin(top, py[i]);
        foot = fmax(foot, py[i]);
    }
    for (size_t i = 0; i < kept->count; i++) {
        at_top += fabs(py[i] - top) < 0.1;
        at_foot += fabs(py[i] - foot) < 0.1;
        band = px[i] < left_x + 0.1 ? fmax(band, py[i]) : band;
    }
    ck_assert(at_top == 2 && at_foot == 2);
    NEAR(band - top, high * kept_J / f->sun_J, 0.3);
    const svg_words *warming = NULL; /* named in the flow, too */
    for (size_t i = 0; i < s->words_count; i++)
        if (strcmp(s->words[i].text, "warming the collector") == 0 && s->words[i].anchor == 'e')
            warming = &s->words[i];
    ck_assert_ptr_nonnull(warming);
    free(s);
}
END_TEST

/* On a telephone: one bar, the parts' names and numbers in one column beside it. */
START_TEST(energy_as_a_bar)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    style.portrait = true;
    svg *s = drawn("bar", nr_plot_energy(f, path, &style, &err));
    static const char *const name[] = {"kept in the water", "collector\u2019s loss",
                                       "not absorbed"};
    for (int k = 0; k < 3; k++) {
        const svg_words *w = svg_find(s, name[k]), *below = NULL;
        for (size_t i = 0; i < s->words_count; i++) {
            const svg_words *v = &s->words[i];
            if (strstr(v->text, " %, ") && v->y > w->y && (!below || v->y < below->y))
                below = v;
        }
        ck_assert_msg(below && below->y - w->y < 60, "no number under %s", name[k]);
        NEAR_AT(name[k], below->x, w->x, 0.1);
        NEAR_AT(name[k], w->x, svg_find(s, name[0])->x, 0.1);
    }
    free(s);
}
END_TEST

/* --- inspect: a panel a dimension ---------------------------------------------------------------
 */

static const char *const heading[] = {"Temperature, \u00b0C", "Irradiance, W/m\u00b2",
                                      "Flow, L/min",          "Wind, m/s",
                                      "Voltage, V",           "minutes from the start"};

START_TEST(panels_and_their_axes)
{
    /* One channel each: what it holds, whether its axis begins at zero (what can be none does). */
    static const struct {
        const char *channel;
        bool zero;
    } panel[] = {{"store", false}, {"sun", true}, {"flow", true}, {"wind", true}, {"pump", false}};
    for (int portrait = 0; portrait < 2; portrait++) {
        nr_run *run;
        style.portrait = portrait;
        nr_inspect *in = fixture_inspect(&x, 9, &run);
        svg *s = drawn("inspect", nr_plot_inspect(in, run, path, &style, &err));
        double high[5], edge = portrait ? 0.125 * 1080 : 0.065 * 1200;
        for (int k = 0; k < 5; k++) {
            double top = svg_find(s, heading[k])->y, bottom = svg_find(s, heading[k + 1])->y;
            const svg_axis y = svg_axis_at(s, 'e', 0, edge, top, bottom);
            double lo = NAN, hi = NAN;
            for (size_t c = 0; c < in->channels; c++) {
                bool same = k == 0 ? strcmp(in->channel[c].unit, "degC") == 0
                                   : strcmp(in->channel[c].name, panel[k].channel) == 0;
                lo = same && !(in->channel[c].min >= lo) ? in->channel[c].min : lo;
                hi = same && !(in->channel[c].max <= hi) ? in->channel[c].max : hi;
            }
            fits_its_numbers(&y, lo, hi, panel[k].zero || lo < y.step);
            high[k] = fabs(y.per) * (y.hi - y.lo);
        }
        for (int k = 1; k < 5; k++)
            NEAR_AT(panel[k].channel, high[0] / high[k], 2.2, 0.03);
        /* Minutes: the recorded 90, and a line that stops where readings do. */
        const svg_axis t = svg_axis_at(s, 'm', edge - 20, s->wide, svg_find(s, heading[4])->y,
                                       svg_find(s, heading[5])->y);
        NEAR(t.hi, 90, 1e-9);
        const svg_shape *l = longest_line(s, nr_channel_colour("pump", 0),
                                          svg_find(s, heading[4])->y, svg_find(s, heading[5])->y);
        NEAR(svg_lowest_x(s, l), svg_px(&t, 0), 1);
        NEAR(svg_highest_x(s, l), svg_px(&t, 52), 1); /* up to the gap */
        free(s);
    }
}
END_TEST

/* --- compare -------------------------------------------------------------------------------------
 */

static const svg_shape *mark_of(const svg *s, const char *colour, double top, double bottom)
{
    for (size_t i = 0; i < s->shapes; i++) {
        const svg_shape *m = &s->shape[i];
        if (m->kind == SVG_MARK && strcmp(m->colour, colour + 1) == 0 && s->y[m->first] > top &&
            s->y[m->first] < bottom)
            return m;
    }
    ck_abort_msg("no mark of %s", colour);
    return NULL;
}

/* Dots lie on the target's line, at their minutes; where their intervals overlap, one above it and
 * one below. */
START_TEST(dots_at_the_target)
{
    fixture_build b[2] = {fixture_glazed, fixture_bare};
    for (int apart = 0; apart < 2; apart++) {
        b[1].eta0 = apart ? 0.74 : 0.80;
        nr_compare *c = fixture_compare(&x, b, 2);
        const nr_quantity *q[2] = {&c->heat_up[0].time_s, &c->heat_up[1].time_s};
        ck_assert((q[0]->hi95 < q[1]->lo95) == (apart == 1));
        svg *s = drawn("compare", nr_plot_compare(c, path, &style, &err));
        double axis_y = svg_find(s, "minutes")->y;
        const svg_axis y = svg_axis_at(s, 'e', 0, 120, 100, axis_y);
        const svg_axis t = svg_axis_at(s, 'm', 0, 700, axis_y - 40, axis_y - 5);
        for (size_t k = 0; k < 2; k++) {
            const svg_shape *m = mark_of(s, nr_build_colour(k), 90, axis_y);
            double off = s->y[m->first] - svg_px(&y, c->day.to_degC);
            NEAR(s->x[m->first], svg_px(&t, q[k]->value / 60), 0.6);
            if (apart)
                NEAR(off, 0, 0.6);
            else /* upwards is less */
                ck_assert_msg(k == 0 ? off < -2 && off > -12 : off > 2 && off < 12, "%g px", off);
        }
        free(s);
    }
}
END_TEST

/* More builds than two: each has a dot at its minutes and a line over its interval, on an axis that
 * holds them. */
START_TEST(builds_in_their_order)
{
    fixture_build b[4] = {fixture_glazed, fixture_glazed, fixture_bare, fixture_bare};
    for (int i = 0; i < 4; i++)
        b[i].eta0 -= 0.01 * i;
    nr_compare *c = fixture_compare(&x, b, 4);
    svg *s = drawn("order", nr_plot_compare(c, path, &style, &err));
    double axis_y = svg_find(s, "minutes to the target on the reference day")->y;
    const svg_axis t = svg_axis_at(s, 'm', 200, 1150, axis_y - 40, axis_y - 5);
    double lo = INFINITY, hi = 0;
    for (size_t i = 0; i < 4; i++) {
        const nr_quantity *q = &c->heat_up[i].time_s;
        bool dot = false, line = false;
        ck_assert(q->known);
        for (size_t k = 0; k < s->shapes; k++) {
            const svg_shape *g = &s->shape[k];
            dot = dot || (g->kind == SVG_MARK && g->scale > 1 &&
                          fabs(s->x[g->first] - svg_px(&t, q->value / 60)) < 0.6);
            line = line || (g->kind == SVG_LINE && g->count == 2 &&
                            fabs(svg_lowest_x(s, g) - svg_px(&t, q->lo95 / 60)) < 0.6 &&
                            fabs(svg_highest_x(s, g) - svg_px(&t, q->hi95 / 60)) < 0.6);
        }
        ck_assert_msg(dot && line, "build %zu: dot %d, line %d", i, dot, line);
        lo = fmin(lo, q->lo95 / 60);
        hi = fmax(hi, q->hi95 / 60);
    }
    fits_its_numbers(&t, lo, hi, false);
    free(s);
}
END_TEST

/* Three numbers with half their 95 % interval, which has two digits (JCGM 100:2008, 7.2.6), the
 * number as many places: 1.96 hypot(0.004, 0.0221) is 0.0440, 1.96 hypot(0.5, 0.4) 1.26, 1.96
 * hypot(0.003, 0.018) 0.0358. */
START_TEST(numbers_of_a_card)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    svg *s = drawn("card", nr_plot_card(&(nr_card){f, 0, 0, ""}, path, &style, &err));
    static const char *const words[3][2] = {
        {"71.2", "\u00b1 4.4 %"}, {"8.1", "\u00b1 1.3 W/(m\u00b2 K)"}, {"61.2", "\u00b1 3.6 %"}};
    for (int k = 0; k < 3; k++) {
        const svg_words *number = svg_find(s, words[k][0]), *half = svg_find(s, words[k][1]);
        NEAR_AT(words[k][0], half->x, number->x, 0.1);
        ck_assert(half->y > number->y && number->px > 1.5 * half->px);
    }
    free(s);
}
END_TEST

/* Lines of a paragraph are one and a quarter of their letters apart. */
START_TEST(lines_of_a_title)
{
    fixture_build b = fixture_glazed;
    b.name = "Wash stand behind the seedling tunnel, with the panes of the old greenhouse, twice";
    style.portrait = true;
    svg *s = drawn("title", nr_plot_fit(fixture_fit(&x, &b, 1), path, &style, &err));
    double largest = 0, first = NAN, second = NAN;
    for (size_t i = 0; i < s->words_count; i++)
        largest = fmax(largest, s->words[i].px);
    for (size_t i = 0; i < s->words_count; i++)
        if (s->words[i].px == largest) {
            second = isnan(first) ? NAN : s->words[i].y;
            first = isnan(first) ? s->words[i].y : first;
        }
    NEAR(second - first, 1.25 * largest, 0.5);
    free(s);
}
END_TEST

/* A card of builds: each mark nearer to its own name than to the next one; what is said below it
 * reads downwards. */
START_TEST(marks_under_their_names)
{
    static const char *const names[] = {"one",  "two", "three", "four",
                                        "five", "six", "seven", "eight"};
    fixture_build b[8];
    for (size_t n = 2; n <= 8; n += 3) {
        for (size_t i = 0; i < n; i++) {
            b[i] = fixture_glazed;
            b[i].name = names[i];
            b[i].eta0 -= 0.004 * (double)i;
        }
        nr_compare *c = fixture_compare(&x, b, n);
        svg *s = drawn("ranking", nr_plot_ranking(c, "900 W/m2", path, &style, &err));
        double axis_y = svg_find(s, "minutes on the reference day; lines are 95 % intervals")->y;
        const svg_axis t = svg_axis_at(s, 'm', 0, 1080, axis_y - 60, axis_y - 5);
        double own[9];
        for (size_t i = 0; i < n; i++) {
            char text[32];
            (void)snprintf(text, sizeof text, "%zu. %s", i + 1, names[i]);
            own[i] = svg_find(s, text)->y;
        }
        own[n] = 2 * own[n - 1] - own[n - 2];
        for (size_t i = 0; i < n; i++) {
            const svg_shape *m = mark_of(s, nr_build_colour(i), own[i], own[i + 1]);
            NEAR(s->x[m->first], svg_px(&t, c->heat_up[i].time_s.value / 60), 0.6);
            ck_assert_msg(s->y[m->first] - own[i] < own[i + 1] - s->y[m->first], "%zu of %zu", i,
                          n);
        }
        double lower = svg_find(s, "sensors. noonfit compare tells the differences with their own "
                                   "intervals.")
                           ->y,
               upper = svg_find(s, "Intervals that overlap may still differ for sure, or not: the "
                                   "builds share")
                           ->y;
        ck_assert_msg(lower - upper > 20 && lower - upper < 60, "%g px down", lower - upper);
        free(s);
    }
}
END_TEST

/* --- months, tally -------------------------------------------------------------------------------
 */

START_TEST(a_year_of_bars)
{
    static const double swept[NR_MONTHS] = {0.37, 0.38, 0.39, 0.40, 0.41, 0.42,
                                            0.43, 0.44, 0.45, 0.46, 0.47, 0.80};
    static const double cold_january[NR_MONTHS] = {0.0, 0.2, 0.2, 0.2, 0.2, 0.2,
                                                   0.2, 0.2, 0.2, 0.2, 0.2, 0.2};
    for (int k = 0; k < 2; k++) {
        nr_size *z = fixture_size(&x, true, true);
        fixture_months(z, k ? cold_january : swept);
        for (int m = 0; k && m < NR_MONTHS; m++)
            z->month[m].from_degC = 25;
        svg *s = drawn("months", nr_plot_size(z, path, &style, &err));
        const svg_axis y = svg_axis_at(s, 'e', 0, 150, 230, 560);
        double lo = z->asked.day.to_degC, hi = lo;
        for (int m = 0; m < NR_MONTHS; m++) {
            lo = fmin(lo, fmin(z->month[m].from_degC, z->month[m].warmest_degC.lo95));
            hi = fmax(hi, z->month[m].warmest_degC.hi95);
        }
        ck_assert_msg(y.lo <= lo && y.hi >= hi && y.lo > lo - 1.01 * y.step, "%g to %g", y.lo,
                      y.hi);
        /* A number over its interval, and no line of a level through it. */
        for (int m = 0; m < NR_MONTHS; m++) {
            char text[16];
            double at_x = 1200 * (0.125 + 0.765 * (m + 0.5) / NR_MONTHS);
            const svg_words *w = NULL;
            (void)snprintf(text, sizeof text, "%.0f", z->month[m].warmest_degC.value);
            for (size_t i = 0; i < s->words_count; i++)
                if (strcmp(s->words[i].text, text) == 0 && fabs(s->words[i].x - at_x) < 1 &&
                    s->words[i].y < 560)
                    w = &s->words[i];
            ck_assert_msg(w != NULL, "no %s in month %d", text, m + 1);
            ck_assert_msg(w->bottom <= svg_px(&y, z->month[m].warmest_degC.hi95) + 1,
                          "month %d: over its line", m + 1);
            for (size_t i = 0; i < s->shapes; i++) {
                const svg_shape *l = &s->shape[i];
                double level = s->y[l->first];
                bool grid = strcmp(l->colour, "E3E3E3") == 0;
                if (l->kind == SVG_LINE && l->count == 2 && !grid && s->y[l->first + 1] == level &&
                    svg_lowest_x(s, l) < w->left && svg_highest_x(s, l) > w->right)
                    ck_assert_msg(level <= w->top || level >= w->bottom,
                                  "month %d: a line through %s", m + 1, text);
            }
        }
        free(s);
    }
}
END_TEST

/* The words at what was asked are not those of the borders, wherever the point lies below them. */
START_TEST(words_on_the_map_of_sizes)
{
    for (int k = 0; k < 12; k++) {
        nr_size *z = fixture_size(&x, k % 2 == 0, true);
        style.us_units = k % 3 == 0;
        z->asked.day.water_kg = 24 + 2.0 * k; /* of 55 that are sure */
        z->area_m2.best = 0.0175 * z->asked.day.water_kg;
        z->area_m2.sure = 1.15 * z->area_m2.best;
        if (k > 9)
            z->map[NR_SIZE_MAP - 1].area_m2 = 1.2; /* no room to the right */
        free(drawn(k % 2 ? "size, steady sun" : "size", nr_plot_size(z, path, &style, &err)));
    }
}
END_TEST

START_TEST(two_bars_of_energy)
{
    for (int k = 0; k < 2; k++) {
        nr_tally_question q = nr_tally_open();
        nr_tally t;
        const double value[] = {20, 0.7, 20, 45, 6000, k ? 450 : 800};
        for (int i = 0; i < NR_TALLY_INPUTS; i++)
            q.input[i] = (nr_stated){value[i], 0.02 * value[i]};
        ck_assert(nr_tally_make(&q, &t, &err) == NR_OK);
        svg *s = drawn("tally", nr_plot_tally(&t, path, &style, &err));
        double foot = svg_find(s, "in the water")->y;
        const svg_axis a = svg_axis_at(s, 'm', 0, 1200, foot, foot + 110);
        const nr_quantity *heat = &t.result[NR_TALLY_HEAT];
        double most = fmax(heat->hi95, t.sun_J) / 1e6;
        NEAR(a.lo, 0, 1e-9);
        ck_assert_msg(a.hi >= most && a.hi <= 1.25 * most + a.step, "up to %g for %g", a.hi, most);
        double end[2] = {NAN, NAN};
        for (size_t i = 0; i < s->shapes; i++) {
            bool is_sun = strcmp(s->shape[i].colour, "F0E442") == 0;
            if (s->shape[i].kind == SVG_AREA &&
                (is_sun || strcmp(s->shape[i].colour, "0072B2") == 0) && isnan(end[is_sun]))
                end[is_sun] = svg_highest_x(s, &s->shape[i]);
        }
        NEAR(end[1], svg_px(&a, t.sun_J / 1e6), 1);
        NEAR(end[0], svg_px(&a, heat->value / 1e6), 1);
        free(s);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_picture,
                                  temperatures_where_they_are_said_to_be,
                                  energy_flows_level_and_in_proportion,
                                  energy_as_a_bar,
                                  panels_and_their_axes,
                                  dots_at_the_target,
                                  numbers_of_a_card,
                                  builds_in_their_order,
                                  lines_of_a_title,
                                  marks_under_their_names,
                                  a_year_of_bars,
                                  words_on_the_map_of_sizes,
                                  two_bars_of_energy,
                                  NULL};
    return run_tests_in("places", tests, set_up, tear_down);
}
