/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors side by side, worked out a second time on drawn runs: each cell, how wide the
 * columns are and how many have room, and who leads; and the limits of what is said, both sides. */
#include "logger/watch/heat.h"
#include "logger/watch/view_words.h"
#include "tests/unit/near.h"
#include "tests/unit/run/rig_fixture.h"

#define MOST 6

static nr_tail t;
static nr_view_options o;
static nr_view_line line[8];
static unsigned seed = 760101;

static double drawn(double lo, double hi)
{
    return lo + (hi - lo) * (double)(rand_r(&seed) % 10000) / 9999;
}

/* A rig of n collectors with names of any length; every second one states its water. */
static void rig_of(size_t n, bool water)
{
    static const char *const names[MOST] = {"east",  "w", "the_long_one_at_the_wall",
                                            "north", "b", "south_side"};
    static char text[4000];
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        used +=
            (size_t)snprintf(text + used, sizeof text - used,
                             "[collector %s]\ngross_area_m2 = 1.%zu\nglazing = %s\n[store %s]\n",
                             names[i], i, i % 2 ? "single" : "none", names[i]);
        if (water && i % 3 != 2)
            used += (size_t)snprintf(text + used, sizeof text - used,
                                     "water_kg = %zu\nu_water_kg = 1\n", 30 + 10 * i);
        used +=
            (size_t)snprintf(text + used, sizeof text - used,
                             "[channel s%zu]\nunit = degC\nrole = store\nof = %s\n", i, names[i]);
    }
    memset(&t, 0, sizeof t);
    accept(&t.file, text, NR_RIG_FOR_READINGS);
    t.has_rig = true;
    t.rows = 400;
    for (size_t i = 0; i < t.rows; i++)
        t.time_s[i] = (double)i;
    t.channels = n;
    for (size_t c = 0; c < n; c++) {
        snprintf(t.channel[c].name, NR_NAME, "s%zu", c);
        t.channel[c].unit = nr_unit_find("degC");
    }
    nr_tail_choose(&t, 0);
}

static void rise(size_t c, double last, double rate_s, double scatter)
{
    nr_tail_channel *ch = &t.channel[c];
    for (size_t i = 0; i < t.rows; i++)
        ch->value[i] = last + rate_s * (t.time_s[i] - 399) + drawn(-scatter, scatter);
    ch->value[399] = ch->last = ch->high = last;
}

/* --- the same once more ----------------------------------------------------------------------- */

typedef struct expected {
    char name[NR_NAME], water[40], rate[40], heat[40], target[40];
    double degC, eta_s; /* NAN: not known */
} expected;

static expected of_build(size_t i)
{
    const nr_tail_channel *ch = &t.channel[i];
    const char *unit = o.fahrenheit ? "degF" : "degC";
    double each = o.fahrenheit ? 1.8 : 1;
    expected e = {.water = "-", .rate = "-", .heat = "-", .target = "-", .degC = NAN, .eta_s = NAN};
    nr_tail_choose(&t, i);
    snprintf(e.name, sizeof e.name, "%s", t.file.build[i].name);
    if (isnan(ch->last))
        return e;
    nr_trend trend = nr_trend_of(t.time_s, ch->value, t.rows);
    e.degC = ch->last;
    snprintf(e.water, sizeof e.water, "%.1f %s", e.degC * each + (o.fahrenheit ? 32 : 0), unit);
    if (trend.known)
        snprintf(e.rate, sizeof e.rate, "%+.2f %s", trend.rate_s * 60 * each, unit);
    if (trend.known && t.rig.store.water_kg.given) /* 4181 J/(kg K), IAPWS at 40 degC */
        snprintf(e.heat, sizeof e.heat, "%+.0f W",
                 trend.rate_s * t.rig.store.water_kg.value * 4181);
    if (isnan(o.target_degC))
        return e;
    nr_time_to eta = nr_trend_time_to(&trend, o.target_degC, nr_heat_slowing(&t.rig));
    bool coming = eta.kind == NR_TIME_TO_COMING, ever = coming && eta.seconds < INFINITY;
    const char *words = NULL;
    if (!t.recording)
        words = ch->high >= o.target_degC ? "reached" : "not reached";
    else if (e.degC >= o.target_degC)
        words = "reached", e.eta_s = 0;
    else if (eta.kind == NR_TIME_TO_AWAY)
        words = "cooling";
    else if (!ever)
        words = coming ? "hardly" : "-";
    else
        e.eta_s = eta.seconds;
    if (words)
        snprintf(e.target, sizeof e.target, "%s", words);
    else if (eta.hi95_s < 10 * 3600)
        snprintf(e.target, sizeof e.target, "%.0f-%.0f min", eta.lo95_s / 60, eta.hi95_s / 60);
    else
        snprintf(e.target, sizeof e.target, "%.0f min", eta.seconds / 60);
    return e;
}

/* The place of the k-th when put in order, NAN left out; n: there are not so many. */
static size_t ranked(const expected *e, size_t n, bool by_time, int k)
{
    for (size_t i = 0; i < n; i++) {
        double value = by_time ? -e[i].eta_s : e[i].degC;
        int before = 0;
        for (size_t j = 0; j < n; j++) {
            double other = by_time ? -e[j].eta_s : e[j].degC;
            before += other > value || (other == value && j < i);
        }
        if (!isnan(value) && before == k)
            return i;
    }
    return n;
}

static void leader(const expected *e, size_t n, char *out, size_t size)
{
    size_t a = ranked(e, n, true, 0), b = ranked(e, n, true, 1);
    out[0] = '\0';
    if (b < n && e[a].eta_s > 0) {
        double minutes = (e[b].eta_s - e[a].eta_s) / 60;
        if (minutes < 1)
            snprintf(out, size, "%s and %s get there together in this sun", e[a].name, e[b].name);
        else
            snprintf(out, size, "%s leads: there %.0f min before %s in this sun", e[a].name,
                     minutes, e[b].name);
        return;
    }
    a = ranked(e, n, false, 0), b = ranked(e, n, false, 1);
    if (b == n)
        return;
    double ahead = (e[a].degC - e[b].degC) * (o.fahrenheit ? 1.8 : 1);
    if (ahead < 0.05)
        snprintf(out, size, "%s and %s %s level", e[a].name, e[b].name,
                 t.recording ? "are" : "ended");
    else
        snprintf(out, size, "%s %s warmest, %.1f %s above %s", e[a].name,
                 t.recording ? "is" : "ended", ahead, o.fahrenheit ? "°F" : "K", e[b].name);
}

/* Appended, cut to leave a blank, and filled. */
static void fill(char *to, const char *text, int columns)
{
    int room = columns - 1, wide = nr_view_width(text);
    strcat(to, "");
    snprintf(to + strlen(to), 200, "%.*s%*s", wide > room ? room : (int)strlen(text), text,
             wide > room ? 1 : columns - wide, "");
}

static void same_lines(size_t n, int columns, size_t most)
{
    expected e[MOST];
    char lines[8][700], said[300], target[60] = "";
    size_t count = 0, shown = columns > 12 ? (size_t)(columns - 12) / 9 : 0;
    shown = shown < n ? shown : n;
    int each = shown ? (columns - 12) / (int)shown : 0;
    each = each > 24 ? 24 : each;
    for (size_t i = 0; i < n; i++)
        e[i] = of_build(i);
    nr_tail_choose(&t, 0);
    size_t found = nr_view_builds(&t, &o, columns, line, most);
    ck_assert(t.build == 0);
    if (!isnan(o.target_degC))
        snprintf(target, sizeof target, o.fahrenheit ? "to %.1f °F" : "to %.1f °C",
                 o.fahrenheit ? o.target_degC * 1.8 + 32 : o.target_degC);
    const char *const label[] = {"", "water", "a minute", "heat", target};
    for (int row = 0; row < 5 && shown && count < most; row++) {
        if (row == 4 && !target[0])
            continue;
        lines[count][0] = '\0';
        fill(lines[count], label[row], 12);
        for (size_t i = 0; i < shown; i++) {
            const char *const cell[] = {e[i].name, e[i].water, e[i].rate, e[i].heat, e[i].target};
            fill(lines[count], cell[row], each);
        }
        count++;
    }
    size_t cells = count;
    leader(e, n, said, sizeof said);
    if (said[0] && count < most)
        snprintf(lines[count++], sizeof lines[0], "%s", said);
    ck_assert_uint_eq(found, count);
    for (size_t i = 0; i < count; i++) {
        ck_assert_str_eq(line[i].text, lines[i]);
        ck_assert_int_eq(line[i].style, i < 2 || i >= cells ? NR_STYLE_STRONG : NR_STYLE_PLAIN);
    }
}

START_TEST(drawn_runs)
{
    for (int k = 0; k < 60; k++) {
        size_t n = 2 + (size_t)k % (MOST - 1);
        rig_of(n, k % 4 != 0);
        for (size_t c = 0; c < n; c++)
            rise(c, drawn(20, 50), drawn(-0.004, 0.012), k % 3 ? 0.05 : 0.5);
        if (k % 5 == 0)
            t.channel[(size_t)rand_r(&seed) % n].last = NAN;
        t.recording = k % 7 != 3;
        o = (nr_view_options){.target_degC = k % 6 == 5 ? NAN : drawn(35, 60), .fahrenheit = k % 2};
        same_lines(n, k % 9 == 8 ? 11 + k / 9 * 3 : 40 + rand_r(&seed) % 121,
                   k % 8 ? 8 : (size_t)k / 8);
    }
}
END_TEST

/* Each width at which one more has room, and each number of lines. */
START_TEST(little_room)
{
    rig_of(4, true);
    for (size_t c = 0; c < 4; c++)
        rise(c, 40 + (double)c, 0.01, 0.01);
    t.recording = true;
    o = (nr_view_options){.target_degC = 50};
    for (int columns = -2; columns <= 125; columns += columns < 60 ? 1 : 4)
        same_lines(4, columns, 8);
    for (size_t most = 0; most < 7; most++)
        same_lines(4, 80, most);
}
END_TEST

static void says(const char *words, double first, double second, double rate_s, double target)
{
    rise(0, first, rate_s, 0);
    rise(1, second, rate_s, 0);
    o.target_degC = target;
    size_t n = nr_view_builds(&t, &o, 80, line, 8);
    for (size_t i = 0; i < n; i++)
        if (strstr(line[i].text, words))
            return;
    ck_abort_msg("\"%s\" is not said: %s", words, line[n - 1].text);
}

/* Together: less than a minute apart. Level: what shows as 0.0. Ten hours: no interval. */
START_TEST(limits)
{
    rig_of(2, false); /* nothing known of its heat: it rises straight on */
    t.recording = true;
    o = (nr_view_options){.target_degC = NAN};
    says("east and w get there together in this sun", 40, 39.401, 0.01, 50);
    says("east leads: there 1 min before w in this sun", 40, 39.399, 0.01, 50);
    says("w leads: there 2 min before east in this sun", 40, 41.2, 0.01, 50);
    says("w and east get there together in this sun", 40, 40.2, 0.01, 50);
    says("to 50.0 °C  600-600 min ", 14.001, 14, 0.001, 50);
    says("to 50.0 °C  600 min ", 13.999, 13.999, 0.001, 50);
    says("east is warmest, 0.1 K above w", 40.051, 40, 0, NAN);
    says("east and w are level", 40.049, 40, 0, NAN);
    says("east is warmest, 10.0 K above w", 50, 40, 0.01, 45); /* one is there */
    says("reached", 45, 40, 0.01, 45);
    says("cooling", 44.9, 40, -0.01, 45);
    t.recording = false;
    says("east ended warmest, 10.0 K above w", 50, 40, 0.01, 45);
    says("w and east ended level", 40, 40.01, 0.01, 45);
    says("not reached", 44.99, 40, 0.01, 45);
    o.fahrenheit = true;
    says("east ended warmest, 0.1 °F above w", 40.0279, 40, 0, NAN); /* 0.0502 degF */
    says("east and w ended level", 40.0277, 40, 0, NAN);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_runs, little_room, limits, NULL};
    return run_tests("view_builds", tests);
}
