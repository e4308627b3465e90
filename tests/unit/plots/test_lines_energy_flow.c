/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The energy as a flow: every band as wide as its share of the sun's 190 px, one on the other,
 * every turn a quarter circle about the place the test works out, every word at its band. Places
 * are how the picture is laid out, in px from the lower left of its part of the canvas. */
#include "plots/energy.h"
#include "tests/unit/plots/lines.h"

#define SUN_WIDE 190
#define FOOT 66   /* the lower edge of the sun */
#define HEADS 356 /* where arrows end */
#define INSIDE 14 /* radius of a turn's inner edge */

static const nr_box part = {0.02, 0.98, 0.10, 0.60};
static nr_fit *fit;
static double share[NR_ENERGY_PARTS];

static double across(double px)
{
    return part.left + px / 1200;
}
static double up(double px)
{
    return part.bottom + px / 800;
}

/* --- polygons -------------------------------------------------------------------------------- */

typedef struct shape {
    int points;
    double x[60], y[60];
} shape;

static shape shape_of(int nth)
{
    char start[30];
    shape s = {0};
    (void)snprintf(start, sizeof start, "$flow%d << EOD\n", nth);
    const char *at = strstr(script, start);
    ck_assert_msg(at != NULL, "no %s", start);
    for (at += strlen(start); strncmp(at, "EOD\n", 4) != 0; s.points++) {
        char *next;
        ck_assert_int_lt(s.points, 60);
        s.x[s.points] = strtod(at, &next);
        s.y[s.points] = strtod(next, &next);
        ck_assert_int_eq(*next, '\n');
        at = next + 1;
    }
    return s;
}

/* Written with six figures: half of the last is at most 5 parts in a million. */
static void point_is(const shape *s, int i, double x_px, double y_px)
{
    char which[30];
    (void)snprintf(which, sizeof which, "point %d of %d", i, s->points);
    ck_assert_int_lt(i, s->points);
    NEAR_AT(which, s->x[i], x_px, 5.1e-6 * fabs(x_px));
    NEAR_AT(which, s->y[i], y_px, 5.1e-6 * fabs(y_px));
}

static void polygon_is(int nth, const double *xy, int points)
{
    shape s = shape_of(nth);
    ck_assert_int_eq(s.points, points);
    for (int i = 0; i < points; i++)
        point_is(&s, i, xy[2 * i], xy[2 * i + 1]);
}

static void box_is(int nth, double left, double right, double bottom, double top)
{
    const double xy[] = {left, bottom, right, bottom, right, top, left, top};
    polygon_is(nth, xy, 4);
}

/* In at `from`, along, a quarter circle upwards about (turn, y + width + 14), an arrow. */
static void branch_is(int nth, double from, double turn, double y, double width)
{
    shape s = shape_of(nth);
    double hub = y + width + INSIDE, outer = INSIDE + width, right = turn + outer;
    double middle = turn + INSIDE + width / 2, head = width / 2 + 5;
    ck_assert_int_eq(s.points, 1 + 15 + 5 + 15 + 1);
    point_is(&s, 0, from, y);
    for (int i = 0; i < 15; i++) {
        /* i fourteenths of 90 degrees, from straight down to straight right. */
        double angle = (-90 + 90.0 * i / 14) * 3.14159265358979323846 / 180;
        point_is(&s, 1 + i, turn + outer * cos(angle), hub + outer * sin(angle));
        point_is(&s, 35 - i, turn + INSIDE * cos(angle), hub + INSIDE * sin(angle));
    }
    point_is(&s, 16, right, HEADS - 16);
    point_is(&s, 17, middle + head, HEADS - 16);
    point_is(&s, 18, middle, HEADS);
    point_is(&s, 19, middle - head, HEADS - 16);
    point_is(&s, 20, right - width, HEADS - 16);
    point_is(&s, 36, from, y + width);
}

/* --- words --------------------------------------------------------------------------------------
 */

static void two_lines_are(const char *name, double portion, double x_px, double upper, double lower,
                          const char *align)
{
    char told[60];
    nr_energy_words(fit, inner.units, portion, told, sizeof told);
    words_at(name, across(x_px), up(upper), align, SMALL, BLACK);
    words_at(told, across(x_px), up(lower), align, SMALL, GREY);
}

static void frame_is(double right)
{
    says("set object rectangle from first 172, first 48 to first %g, first 272 front lw 1.5 fs "
         "empty border lc rgb '" GREY "'",
         right);
    words_at("collector", across((172 + right) / 2), up(31), "center", SMALL, GREY);
}

static void bucket_is(void)
{
    static const double corner[4][2] = {{790, 272}, {802, 48}, {973, 48}, {985, 272}};
    for (int i = 0; i < 3; i++)
        says("set arrow from first %g, first %g to first %g, first %g nohead front lw 2 lc rgb "
             "'" GREY "'",
             corner[i][0], corner[i][1], corner[i + 1][0], corner[i + 1][1]);
    words_at("container", across(887.5), up(31), "center", SMALL, GREY);
}

static void panel_is(void)
{
    panel_at(part.left, part.right, part.bottom, part.top);
    says("unset grid");
    says("set border 0");
    range_is("x", 0, 0.96 * 1200);
    range_is("y", 0, 0.50 * 800);
}

static double seen(double width)
{
    return width < 1.5 ? 1.5 : width;
}

static void flow_is(void)
{
    double w[NR_ENERGY_PARTS], top = FOOT + SUN_WIDE;
    int n = 0;
    bool told = !fit->loss_includes_store;
    const char *colour[8];
    for (int k = 0; k < NR_ENERGY_PARTS; k++)
        w[k] = SUN_WIDE * share[k];
    from_the_start();
    panel_is();
    /* From the top of the sun downwards: what is not absorbed turns up at 190 px. */
    top -= w[4];
    branch_is(n, 164, 190, top, seen(w[4]));
    colour[n++] = "#F3E9B5";
    two_lines_are("not absorbed", share[4], 190 + INSIDE + seen(w[4]) / 2, HEADS + 32, HEADS + 11,
                  "center");
    /* The losses: their words 185 px from those before, their band 10 px clear of the one before.
     */
    double turn = 190 + w[4] / 2 + 185 - w[2] / 2;
    turn = fmax(turn, 190 + INSIDE + w[4] + 10);
    top -= w[2];
    branch_is(n, 164, turn, top, seen(w[2]));
    colour[n++] = "#D55E00";
    two_lines_are(told ? "collector\u2019s loss" : "both losses", share[2],
                  turn + INSIDE + seen(w[2]) / 2, HEADS + 32, HEADS + 11, "center");
    double right = fmax(590, turn + INSIDE + w[2] + 200);
    top -= w[3];
    if (share[3] > 0) {
        box_is(n, 164, right - 12, top, top + seen(w[3]));
        colour[n++] = "#E8BFD6";
        two_lines_are("warming the collector", share[3], right - 18, top + w[3] + 32,
                      top + w[3] + 12, "right");
    }
    frame_is(right);
    if (told) {
        top -= w[1];
        branch_is(n, 164, 850, top, seen(w[1]));
        colour[n++] = "#56B4E9";
        two_lines_are("container\u2019s loss", share[1], 850 + INSIDE + seen(w[1]) / 2, HEADS + 32,
                      HEADS + 11, "center");
    }
    const double water[] = {164, FOOT,      798, FOOT,        802, FOOT - 17,
                            973, FOOT - 17, 981, FOOT + w[0], 164, FOOT + w[0]};
    polygon_is(n, water, 6);
    colour[n++] = "#0072B2";
    two_lines_are("kept in the water", share[0], 999, FOOT + w[0] / 2 + 11, FOOT + w[0] / 2 - 11,
                  "left");
    double pump = (right + 790) / 2, level = FOOT + w[0] / 2;
    says("set object circle at first %g, first %g size first 20 front fc rgb 'white' lw 1.5 fs "
         "solid 1.0 border lc rgb '" GREY "'",
         pump, level);
    words_at("P", across(pump), up(level), "center", SMALL, GREY);
    words_at("pump", across(pump), up(31), "center", SMALL, GREY);
    bucket_is();
    box_is(n, 22, 164, FOOT, FOOT + SUN_WIDE);
    colour[n++] = "#F8D66D";
    two_lines_are("sun on the collector", 1, 22, FOOT + SUN_WIDE + 36, FOOT + SUN_WIDE + 14,
                  "left");
    char expected[1500] = "plot";
    for (int i = 0; i < n; i++) {
        size_t used = strlen(expected);
        (void)snprintf(expected + used, sizeof expected - used,
                       "%s $flow%d using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb "
                       "'%s'",
                       i ? "," : "", i, colour[i]);
    }
    says("%s", expected);
    that_is_all();
}

static void draw(bool us)
{
    begin();
    inner.form = NR_FORM_SVG; /* letters of as many px as they are said to be */
    inner.units = us ? NR_UNITS_US : NR_UNITS_SI;
    nr_draw_energy_flow(&inner, fit, share, &part);
    end();
}

/* --- tests --------------------------------------------------------------------------------------
 */

START_TEST(drawn_shares)
{
    for (int n = 0; n < 40; n++) {
        double sum = 0;
        fit = fixture_fit(&x, &fixture_glazed, 1);
        fit->loss_includes_store = n % 2;
        fit->sun_J = 4e6 * (1.5 + fixture_noise(&x));
        for (int k = 0; k < NR_ENERGY_PARTS; k++) {
            share[k] = pow(0.5 + 0.5 * fixture_noise(&x), 1 + n % 4);
            if (k == NR_ENERGY_CONTAINER && n % 2)
                share[k] = 0;
            if (k == NR_ENERGY_WARMING && n % 5 == 0)
                share[k] = 0;
            sum += share[k];
        }
        for (int k = 0; k < NR_ENERGY_PARTS; k++)
            share[k] /= sum;
        draw(n % 3 == 0);
        flow_is();
    }
}
END_TEST

/* What is hardly any, or all: slim bands are still seen, wide ones go round each other. */
START_TEST(extreme_shares)
{
    static const double of[][NR_ENERGY_PARTS] = {
        {1, 0, 0, 0, 0},
        {0, 0, 0, 0, 1},
        {0, 0, 1, 0, 0},
        {0, 1, 0, 0, 0},
        {0, 0, 0, 1, 0},
        {0.98, 0.005, 0.005, 0.005, 0.005},
        {0.02, 0.02, 0.16, 0.02, 0.78}, /* the second turn close to the first */
        {0.972, 0.007, 0.007, 0.007, 0.007},
        {0.9, 0, 0, 0.1, 0},
        {0.064, 0.0078, 0.0079, 0.0203, 0.9}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        fit = fixture_fit(&x, &fixture_glazed, 1);
        memcpy(share, of[i], sizeof share);
        draw(i % 2);
        flow_is();
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_shares, extreme_shares, NULL};
    fixture_all_used();
    return run_tests_in("lines of the energy flow", tests, set_up, tear_down);
}
