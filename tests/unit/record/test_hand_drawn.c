/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings by hand, drawn: which stand for which, what is left out, and where their rows come among
 * those of an adapter; by the rules of hand_rows.h said here once more, in whole milliseconds. */
#include "logger/record/hand_rows.h"

#include "tests/unit/chance.h"
#include "tests/unit/run/rig_fixture.h"

#define RIG                                                                                        \
    "[channel store]\nunit = degC\nlow = 0\nhigh = 95\n[channel air]\nunit = degC\noffset = 0.5\n" \
    "[channel fan]\nunit = rpm\n[channel set]\nunit = degC\nconvert = stated\nvalue = 50\n"
#define ZERO 1777888800 /* 2026-05-04T10:00:00Z (date -u +%s) */
#define MOST 30
enum { STORE, AIR, FAN, SET, CHANNELS };

static nr_rig rig;
static nr_err err;
static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

typedef struct taken {
    int channel; /* -1: a stranger */
    long ms;
    double kept;  /* in the canonical unit, NAN: not believed */
    bool strange; /* in a unit of something else */
} taken;

static taken came[MOST];
static nr_by_hand given[MOST];

static void draw_reading(int i)
{
    static const char *const names[] = {"store", "air", "fan", "pond"};
    static const struct {
        const char *unit;
        double factor, zero;
    } units[] = {{"degC", 1, 0}, {"degF", 5.0 / 9, -160.0 / 9}, {"K", 1, -273.15}};
    unsigned name = draw(12) ? draw(3) : 3, unit = draw(3);
    nr_by_hand *g = &given[i];
    taken *t = &came[i];
    long tens = (long)draw(9), tenths = (long)draw(3);
    *t = (taken){.channel = name < 3 ? (int)name : -1, .ms = tens * 10000 + tenths * 100};
    if (draw(6) == 0)
        t->ms += 29999 + (long)draw(3); /* about the half minute within which one is meant */
    *g = (nr_by_hand){.value = draw(1600) / 8.0 - 10};
    g->utc_s = g->taken_utc_s = ZERO + (double)t->ms / 1000;
    snprintf(g->channel, sizeof g->channel, "%s", names[name]);
    snprintf(g->unit, sizeof g->unit, "%s", name == FAN ? "rpm" : units[unit].unit);
    t->kept = name == FAN ? g->value : g->value * units[unit].factor + units[unit].zero;
    if (draw(10) == 0) {
        t->strange = true;
        snprintf(g->unit, sizeof g->unit, "%s", name == FAN ? "degC" : "V");
    }
    if (name == AIR)
        t->kept += 0.5;
    if (name == STORE && (t->kept < 0 || t->kept > 95))
        t->kept = NAN;
}

static bool rival(int a, int b)
{
    return came[a].channel == came[b].channel && labs(came[a].ms - came[b].ms) < 30000;
}

/* Where reading i stands, in ms; -1: a later one of its half minute stands for it. */
static long stands_at(int i, int count)
{
    for (int k = i + 1; k < count; k++)
        if (rival(i, k))
            return -1;
    for (int k = 0; k < i; k++)
        if (rival(i, k))
            return came[k].ms;
    return came[i].ms;
}

/* The same; -1 also of a stranger. */
static long standing_at(int i, int count)
{
    return came[i].channel < 0 || came[i].strange ? -1 : stands_at(i, count);
}

/* The first millisecond behind this one at which something stands; -1: none. */
static long next_at(long ms, int count)
{
    long next = -1;
    for (int i = 0; i < count; i++) {
        long at = standing_at(i, count);
        if (at > ms && (next < 0 || at < next))
            next = at;
    }
    return next;
}

typedef struct expected {
    int rows;
    long ms[MOST];
    double value[MOST][CHANNELS];
} expected;

/* Rows by time: of every millisecond at which something stands, all that does. */
static void expect(int count, expected *e, unsigned long *strangers, unsigned long *replaced,
                   unsigned long *unbelieved)
{
    *strangers = *replaced = *unbelieved = 0;
    e->rows = 0;
    for (long ms = next_at(-1, count); ms >= 0; ms = next_at(ms, count)) {
        bool any = false;
        for (int i = 0; i < count; i++) {
            if (standing_at(i, count) != ms)
                continue;
            double *row = e->value[e->rows];
            if (!any)
                for (int c = 0; c < CHANNELS; c++)
                    row[c] = c == SET ? 50 : NAN;
            any = true;
            e->ms[e->rows] = ms;
            if (!isnan(came[i].kept))
                row[came[i].channel] = came[i].kept;
            *unbelieved += isnan(came[i].kept) ? 1 : 0;
        }
        e->rows += any;
    }
    for (int i = 0; i < count; i++) {
        bool strange = came[i].channel < 0 || came[i].strange;
        *strangers += strange ? 1 : 0;
        *replaced += !strange && stands_at(i, count) < 0 ? 1 : 0;
    }
}

static void check_rows(const nr_hand_rows *r, const expected *e)
{
    ck_assert_uint_eq(r->count, (size_t)e->rows);
    for (int i = 0; i < e->rows; i++) {
        NEAR(r->row[i].utc_s, ZERO + (double)e->ms[i] / 1000, 1e-5);
        for (int c = 0; c < CHANNELS; c++) {
            double is = r->row[i].value[c], wanted = e->value[i][c];
            ck_assert_msg(isnan(wanted) ? isnan(is) : fabs(is - wanted) < 1e-9,
                          "row %d channel %d: %g, not %g", i, c, is, wanted);
        }
    }
}

/* Rows of an adapter every so often from base_ms on, of which a hand's row comes before those that
 * are more than a millisecond later, and a millisecond behind the row before at least. */
static void check_merge(const nr_hand_rows *r, const expected *e, long base_ms, long every_ms,
                        int rows)
{
    char base[3000] = "time_utc,elapsed_s,store_degC,air_degC,fan_rpm,set_degC\n", *text;
    char wanted[9000] = "";
    size_t size;
    nr_merged m;
    unsigned long early = 0, count = 0;
    long last_ms = -1;
    int next = 0;
    for (int i = 0; i < rows; i++) {
        size_t used = strlen(base);
        long ms = base_ms + i * every_ms;
        snprintf(base + used, sizeof base - used,
                 "2026-05-04T10:%02ld:%02ld.%03ldZ,%ld.%03ld,,,%d,\n", ms / 60000, ms / 1000 % 60,
                 ms % 1000, i * every_ms / 1000, i * every_ms % 1000, i);
    }
    while (next < e->rows && rows > 0 && e->ms[next] < base_ms - 1) {
        next++;
        early++;
    }
    long zero_ms = rows > 0 ? base_ms : e->rows > 0 ? e->ms[0] : 0;
    for (int i = 0; i <= rows; i++) {
        long at_ms = i * every_ms;
        for (; next < e->rows && (i == rows || e->ms[next] - zero_ms < at_ms - 1); next++) {
            long ms = e->ms[next] - zero_ms;
            char cell[CHANNELS][40] = {"", "", "", ""};
            if (count > 0 && ms < last_ms + 1)
                ms = last_ms + 1;
            for (int c = 0; c < CHANNELS; c++)
                if (!isnan(e->value[next][c]))
                    snprintf(cell[c], sizeof cell[c], c == FAN ? "%.10g" : "%.4f",
                             e->value[next][c] + 0.0);
            size_t used = strlen(wanted);
            snprintf(wanted + used, sizeof wanted - used,
                     "2026-05-04T10:%02ld:%02ld.%03ldZ,%s%ld.%03ld,%s,%s,%s,%s\n",
                     e->ms[next] / 60000, e->ms[next] / 1000 % 60, e->ms[next] % 1000,
                     ms < 0 ? "-" : "", labs(ms) / 1000, labs(ms) % 1000, cell[0], cell[1], cell[2],
                     cell[3]);
            last_ms = ms;
            count++;
        }
        if (i == rows)
            break;
        size_t used = strlen(wanted);
        const char *line = base;
        for (int k = 0; k <= i; k++)
            line = strchr(line, '\n') + 1;
        snprintf(wanted + used, sizeof wanted - used, "%.*s", (int)strcspn(line, "\n") + 1, line);
        last_ms = at_ms;
        count++;
    }
    FILE *to = open_memstream(&text, &size);
    ck_assert_int_eq(nr_hand_merge(base, strlen(base), r, &rig, to, &m, &err), NR_OK);
    fclose(to);
    ck_assert_str_eq(text, wanted);
    ck_assert_uint_eq(m.rows, count);
    ck_assert_uint_eq(m.too_early, early);
    if (count > 0)
        NEAR(m.last_elapsed_s, (double)last_ms / 1000, 1e-6);
    free(text);
}

START_TEST(drawn)
{
    static expected e;
    state = 31;
    accept(&rig, RIG, NR_RIG_FOR_READINGS);
    for (int round = 0; round < 25; round++) {
        nr_hand_rows r;
        unsigned long strangers, replaced, unbelieved;
        int count = (int)draw(MOST);
        for (int i = 0; i < count; i++)
            draw_reading(i);
        nr_by_hand_list list = {.count = (size_t)count, .reading = given};
        ck_assert_int_eq(nr_hand_rows_of(&list, &rig, &r, &err), NR_OK);
        expect(count, &e, &strangers, &replaced, &unbelieved);
        check_rows(&r, &e);
        ck_assert_uint_eq(r.strangers, strangers);
        ck_assert_uint_eq(r.replaced, replaced);
        ck_assert_uint_eq(r.unbelieved, unbelieved);
        check_merge(&r, &e, 0, 10000, 0);
        check_merge(&r, &e, 20000, 10000, 6);
        check_merge(&r, &e, 10000, 7001, 9);
        check_merge(&r, &e, 30001, 100, 20);
        nr_hand_rows_free(&r);
        ck_assert(r.count == 0 && !r.row);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn, NULL};
    return run_tests("hand_drawn", tests);
}
