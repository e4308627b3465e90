/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sampler decides: each limit of sampler.h and of the manual from both sides, and rows of
 * two adapters worked out a second time on drawn arrivals. */
#include "logger/record/sampler.h"

#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#define UTC 1780000000.0

static nr_rig rig;
static char events[8192];

static void hear(void *context, nr_note_kind kind, const char *text)
{
    (void)context;
    size_t used = strlen(events);
    snprintf(events + used, sizeof events - used, "%s: %s\n", nr_note_kind_name(kind), text);
}

static nr_sampler *make_from(const char *text, double last_elapsed_s)
{
    nr_err err;
    events[0] = '\0';
    nr_code code = nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    nr_sampler *s = nr_sampler_new(&rig, last_elapsed_s, hear, NULL);
    ck_assert_ptr_nonnull(s);
    return s;
}

static nr_sample row;

/* True: it made a row. */
static bool feed_at(nr_sampler *s, size_t adapter, double at_s, double utc_s, const char *text,
                    nr_line_fault wanted)
{
    nr_wire_line line = {.text = text, .length = strlen(text)};
    bool is_row = false;
    nr_line_fault fault =
        nr_sampler_line(s, adapter, (nr_stamp){utc_s, at_s}, &line, &row, &is_row);
    ck_assert_msg(fault == wanted, "\"%s\" is %d", text, (int)fault);
    return is_row;
}

static bool feed(nr_sampler *s, size_t adapter, double at_s, const char *text)
{
    return feed_at(s, adapter, at_s, UTC + at_s, text, NR_LINE_GOOD);
}

#define ONE "[adapter]\nport = /dev/x\ninterval_s = %g\n[channel store]\nunit = degC\n"

static nr_sampler *one(double interval_s)
{
    char text[200];
    snprintf(text, sizeof text, ONE, interval_s);
    return make_from(text, -1);
}

/* Two and a half intervals, and two seconds at least. */
START_TEST(gaps)
{
    static const struct {
        double interval_s, pause_s;
        bool told;
    } of[] = {{1, 2.5, false},     {1, 2.501, true},   {0.1, 2, false}, {0.1, 2.001, true},
              {0.8, 2, false},     {0.8, 2.001, true}, {10, 25, false}, {10, 25.001, true},
              {0.82, 2.05, false}, {0.82, 2.051, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_sampler *s = one(of[i].interval_s);
        char wanted[200];
        ck_assert(feed(s, 0, 4, "store=20")); /* nothing was before it: no gap */
        ck_assert(feed(s, 0, 4 + of[i].pause_s, "store=20"));
        snprintf(wanted, sizeof wanted, "gap: no readings for %.1f s, from 4.000 to %.3f\n",
                 of[i].pause_s, 4 + of[i].pause_s);
        ck_assert_str_eq(events, of[i].told ? wanted : "");
        nr_sampler_free(s);
    }
    nr_sampler *s = one(1); /* the first row is one, at the very start too */
    ck_assert(feed(s, 0, 0, "store=20") && feed(s, 0, 5, "store=20"));
    ck_assert_str_eq(events, "gap: no readings for 5.0 s, from 0.000 to 5.000\n");
    nr_sampler_free(s);
}
END_TEST

/* A run that is taken up again goes on behind its last row. */
START_TEST(taken_up_again)
{
    static const double last_s[] = {-1, 0, 0.5, 100};
    for (size_t i = 0; i < sizeof last_s / sizeof *last_s; i++) {
        char text[200];
        snprintf(text, sizeof text, ONE, 1.0);
        nr_sampler *s = make_from(text, last_s[i]);
        NEAR(nr_sampler_now(s, 107), 107, 0);
        NEAR(nr_sampler_now(s, 0.25), last_s[i] < 0.25 ? 0.25 : last_s[i], 0);
        double at_s = last_s[i] > 1 ? last_s[i] - 0.8 : 0.2; /* a clock that lags a little */
        ck_assert(feed(s, 0, at_s, "store=20"));
        NEAR(row.elapsed_s, fmax(at_s, last_s[i] + 0.001), 1e-9);
        nr_sampler_free(s);
    }
    char text[200];
    snprintf(text, sizeof text, ONE, 1.0);
    nr_sampler *s = make_from(text, 100);
    ck_assert(feed(s, 0, 103, "store=20"));
    ck_assert_str_eq(events, "gap: no readings for 3.0 s, from 100.000 to 103.000\n");
    NEAR(nr_sampler_now(s, 104.5), 104.5, 1e-9);
    NEAR(nr_sampler_now(s, 90), 103, 1e-9);
    nr_sampler_free(s);
}
END_TEST

/* Rows a millisecond apart, up to a second ahead of the time at which the lines came. */
START_TEST(bunches)
{
    nr_sampler *s = one(1);
    unsigned rows = 0, crowded = 0;
    for (int i = 0; i < 1010; i++) {
        bool is_row = feed(s, 0, 5, "store=20");
        ck_assert(is_row == (i <= 1000));
        rows += is_row;
        crowded += !is_row;
        if (is_row)
            NEAR(row.elapsed_s, 5 + 0.001 * i, 1e-9);
    }
    ck_assert(feed(s, 0, 5.001, "store=20")); /* a millisecond later there is room again */
    NEAR(row.elapsed_s, 6.001, 1e-9);
    NEAR(row.utc_s, UTC + 5.001, 1e-6);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->rows, rows + 1);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->crowded, crowded);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->fault[NR_LINE_GOOD], 1011);
    nr_sampler_free(s);
}
END_TEST

/* The pace is judged once, by thirty steps and five seconds at least, and spoken of where it is
 * below 0.67 or above 1.5 of the rig's. */
START_TEST(pace)
{
    static const struct {
        double interval_s, every_s;
        int judged_at; /* line, from 0 */
        bool told;
    } of[] = {{1, 1, 30, false},         {1, 0.672, 30, false}, {1, 0.668, 30, true},
              {1, 1.498, 30, false},     {1, 1.502, 30, true},  {0.125, 0.125, 40, false},
              {0.125, 0.0625, 80, true}, {4, 6.25, 30, true},   {4, 5.75, 30, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_sampler *s = one(of[i].interval_s);
        for (int k = 0; k < 200; k++) {
            ck_assert(feed(s, 0, 3 + of[i].every_s * k, "store=20"));
            char *port = strstr(events, "port: ");
            ck_assert_msg((port != NULL) == (of[i].told && k >= of[i].judged_at), "row %zu line %d",
                          i, k);
            ck_assert(!port || !strstr(port + 1, "port: "));
        }
        char wanted[120];
        snprintf(wanted, sizeof wanted,
                 "port: lines come every %.3g s; the rig says interval_s = %g\n", of[i].every_s,
                 of[i].interval_s);
        ck_assert(!of[i].told || strstr(events, wanted));
        nr_sampler_free(s);
    }
}
END_TEST

#define CLOCK                                                                                      \
    "[adapter]\nport = /dev/x\nclock = adapter\nclock_field = t\n[channel store]\nunit = degC\n"

/* More than half a second of the wall clock against the steady one is a clock that was set: labels
 * move by it. Less is not. */
START_TEST(a_wall_clock_that_is_set)
{
    static const double step_s[] = {0.49, 0.51, -0.49, -0.51, 3600};
    for (size_t i = 0; i < sizeof step_s / sizeof *step_s; i++) {
        nr_sampler *s = make_from(CLOCK, -1);
        double moved = fabs(step_s[i]) > 0.5 ? step_s[i] : 0;
        feed_at(s, 0, 10, UTC + 10, "t=1000,store=20", NR_LINE_GOOD);
        NEAR(row.utc_s, UTC + 10, 1e-6);
        for (int k = 1; k < 4; k++) { /* once, and not once more with every line behind it */
            char text[60];
            snprintf(text, sizeof text, "t=%d,store=20", 1000 + 1000 * k);
            feed_at(s, 0, 10 + k, UTC + 10 + k + step_s[i], text, NR_LINE_GOOD);
            NEAR(row.elapsed_s, 10 + k, 1e-9);
            NEAR(row.utc_s, UTC + 10 + k + moved, 1e-6);
        }
        nr_sampler_free(s);
    }
}
END_TEST

/* A count that leaps is not believed until the next one goes on from it. */
START_TEST(a_count_that_leaps)
{
    nr_sampler *s = make_from(CLOCK, -1);
    feed_at(s, 0, 10, UTC + 10, "t=1000,store=20", NR_LINE_GOOD);
    feed_at(s, 0, 11, UTC + 11, "t=900000000,store=21", NR_LINE_NO_CLOCK);
    feed_at(s, 0, 12, UTC + 12, "t=3000,store=22", NR_LINE_GOOD);
    NEAR(row.elapsed_s, 12, 1e-9);
    NEAR(row.value[0], 22, 0);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->fault[NR_LINE_NO_CLOCK], 1);
    ck_assert_uint_eq(nr_sampler_channel(s, 0)->good, 2);
    nr_sampler_free(s);
}
END_TEST

/* A thermocouple's junction by another channel: the last reading of it, up to ten of its adapter's
 * intervals old, or five seconds where that is longer. */
START_TEST(reference_junctions)
{
    static const struct {
        double interval_s, age_s;
        bool fresh;
    } of[] = {{1, 10, true},      {1, 10.01, false}, {0.2, 5, true},
              {0.2, 5.01, false}, {2, 20, true},     {2, 20.01, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[400];
        snprintf(text, sizeof text,
                 "[adapter]\nport = /dev/x\ninterval_s = %g\n"
                 "[channel hot]\nunit = degC\nconvert = thermocouple_k\ncold_channel = board\n"
                 "[channel board]\nunit = degC\n",
                 of[i].interval_s);
        nr_sampler *s = make_from(text, -1);
        feed(s, 0, 1, "hot=0,board=25"); /* of the same line, though it stands behind */
        NEAR(row.value[0], 25, 0.01);    /* no voltage: as warm as the junction */
        feed(s, 0, 1 + of[i].age_s, "hot=0");
        ck_assert(isnan(row.value[1]));
        ck_assert_msg(isnan(row.value[0]) == !of[i].fresh, "row %zu", i);
        ck_assert_uint_eq(nr_sampler_channel(s, 0)->outside, !of[i].fresh);
        ck_assert_uint_eq(nr_sampler_channel(s, 0)->good, 1 + of[i].fresh);
        nr_sampler_free(s);
    }
}
END_TEST

/* --- three adapters, a second time ------------------------------------------------------------ */

#define ADAPTERS 3
#define LINES 600
static const double interval_s[ADAPTERS] = {1, 2, 0.5};

typedef struct arrival {
    double at_s, value;
    size_t adapter;
} arrival;

static arrival came[LINES];
static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

/* Steps of 1/64 s, which a double has exactly; each adapter is silent for a while now and then. */
static void draw_arrivals(void)
{
    double at_s = 0;
    for (int i = 0; i < LINES; i++) {
        at_s += (1 + draw(40)) / 64.0;
        size_t silent = (size_t)(i / 40) % 4;
        came[i] = (arrival){at_s, draw(8) ? 20 + draw(100) / 8.0 : NAN, draw(ADAPTERS)};
        if (came[i].adapter == silent)
            came[i].adapter = (silent + 1) % ADAPTERS;
    }
}

/* Whether line i makes a row: no adapter before its own sent a line in two of its intervals and a
 * tenth of a second; all count as heard at the start. */
static bool leads(int i)
{
    for (size_t a = 0; a < came[i].adapter; a++) {
        double last_s = 0;
        for (int k = 0; k <= i; k++)
            last_s = came[k].adapter == a ? came[k].at_s : last_s;
        if (came[i].at_s - last_s <= 2 * interval_s[a] + 0.1)
            return false;
    }
    return true;
}

/* What stands in row i of an adapter's channel: its last line since the row before, of another
 * adapter only up to one and a half of the slower interval old. */
static double cell(int i, int row_before, size_t adapter)
{
    double slower_s = fmax(interval_s[adapter], interval_s[came[i].adapter]);
    for (int k = i; k > row_before; k--)
        if (came[k].adapter == adapter)
            return k == i || came[i].at_s - came[k].at_s <= 1.5 * slower_s ? came[k].value : NAN;
    return NAN;
}

START_TEST(drawn_arrivals_of_three)
{
    state = 9;
    for (int round = 0; round < 4; round++) {
        nr_sampler *s = make_from("[adapter a]\nport = /dev/x\ninterval_s = 1\n"
                                  "[adapter b]\nport = /dev/y\ninterval_s = 2\n"
                                  "[adapter c]\nport = /dev/z\ninterval_s = 0.5\n"
                                  "[channel store]\nunit = degC\nadapter = a\n"
                                  "[channel air]\nunit = degC\nadapter = b\n"
                                  "[channel sun]\nunit = W_m2\nadapter = c\n",
                                  -1);
        static const char *const keys[] = {"store", "air", "sun"};
        int before = -1, rows = 0, of_others = 0;
        unsigned long good[ADAPTERS] = {0}, none[ADAPTERS] = {0};
        draw_arrivals();
        for (int i = 0; i < LINES; i++) {
            char text[60];
            size_t a = came[i].adapter;
            snprintf(text, sizeof text, isnan(came[i].value) ? "%s=?" : "%s=%.9g", keys[a],
                     came[i].value);
            good[a] += isnan(came[i].value) ? 0 : 1;
            none[a] += isnan(came[i].value) ? 1 : 0;
            bool is_row = feed(s, a, came[i].at_s, text);
            ck_assert_msg(is_row == leads(i), "line %d", i);
            if (!is_row)
                continue;
            NEAR(row.elapsed_s, came[i].at_s, 0.00051);
            NEAR(row.utc_s, UTC + came[i].at_s, 1e-6);
            for (size_t c = 0; c < ADAPTERS; c++) {
                double wanted = cell(i, before, c);
                ck_assert_msg(isnan(wanted) ? isnan(row.value[c]) : row.value[c] == wanted,
                              "line %d channel %zu: %g, not %g", i, c, row.value[c], wanted);
                ck_assert(isnan(wanted) || row.raw[c] == wanted);
                of_others += c != a && !isnan(wanted);
            }
            before = i;
            rows++;
        }
        ck_assert(rows > LINES / 4 && of_others > LINES / 8);
        for (size_t a = 0; a < ADAPTERS; a++) {
            ck_assert_uint_eq(nr_sampler_channel(s, a)->good, good[a]);
            ck_assert_uint_eq(nr_sampler_channel(s, a)->unreadable, none[a]);
            ck_assert_uint_eq(nr_sampler_counted(s, a)->fault[NR_LINE_GOOD], good[a] + none[a]);
        }
        nr_sampler_free(s);
    }
}
END_TEST

/* --- whose line is it? ------------------------------------------------------------------------ */

START_TEST(counts_of_fields)
{
    nr_sampler *s = make_from("[adapter]\nport = /dev/x\nline = values\n"
                              "[channel store]\nunit = degC\nfield = 2\n"
                              "[channel air]\nunit = degC\nfield = 3\n",
                              -1);
    feed_at(s, 0, 1, UTC, "1,2", NR_LINE_TOO_SHORT); /* one less than is wanted */
    feed_at(s, 0, 2, UTC, "1,2", NR_LINE_TOO_SHORT);
    feed_at(s, 0, 3, UTC, "1,2,3", NR_LINE_TOO_SHORT); /* enough, but another count than before */
    feed_at(s, 0, 4, UTC, "1,2,3", NR_LINE_GOOD);
    NEAR(row.value[0], 2, 0);
    NEAR(row.value[1], 3, 0);
    feed_at(s, 0, 5, UTC, "1,2,3,4", NR_LINE_TOO_SHORT);
    feed_at(s, 0, 6, UTC, "1,2,3,4", NR_LINE_GOOD);
    nr_sampler_free(s);
    s = make_from("[adapter]\nport = /dev/x\nline = values\n[channel store]\nunit = degC\n"
                  "field = 3\n",
                  -1);
    feed_at(s, 0, 1, UTC, "1,2,3", NR_LINE_GOOD); /* the first line is believed */
    nr_sampler_free(s);
}
END_TEST

START_TEST(first_lines_and_names)
{
    nr_wire_line first = {.text = "store=20", .length = 8, .first = true};
    static const struct {
        const char *more;
        nr_line_fault fault;
    } of[] = {{"", NR_LINE_HALF}, {"checksum = xor8\n", NR_LINE_GOOD}};
    for (size_t i = 0; i < 2; i++) {
        char text[300], line[40] = "store=20";
        bool is_row;
        unsigned sum = 0;
        snprintf(text, sizeof text, "[adapter]\nport = /dev/x\n%s[channel store]\nunit = degC\n",
                 of[i].more);
        nr_sampler *s = make_from(text, -1);
        for (const char *p = line; *p; p++)
            sum ^= (unsigned char)*p;
        if (i == 1)
            snprintf(line, sizeof line, "store=20*%02X", sum);
        first.text = line;
        first.length = strlen(line);
        ck_assert_int_eq(nr_sampler_line(s, 0, (nr_stamp){UTC, 1}, &first, &row, &is_row),
                         of[i].fault);
        nr_sampler_free(s);
    }
    nr_sampler *s = make_from("[adapter]\nport = /dev/x\n[channel st]\nunit = degC\n"
                              "[channel sto]\nunit = degC\n",
                              -1);
    feed_at(s, 0, 1, UTC, "sto=1,st=2", NR_LINE_GOOD); /* one begins as the other does */
    NEAR(row.value[0], 2, 0);
    NEAR(row.value[1], 1, 0);
    feed_at(s, 0, 2, UTC, "stop=1,s=2", NR_LINE_UNKNOWN);
    feed_at(s, 0, 3, UTC, "st=1,x=2,st=3", NR_LINE_GARBAGE);
    feed_at(s, 0, 4, UTC, "x=1,x=2,st=3", NR_LINE_GOOD);
    ck_assert_uint_eq(nr_sampler_channel(s, 1)->missing, 1);
    nr_sampler_free(s);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {gaps,
                                  taken_up_again,
                                  bunches,
                                  pace,
                                  a_wall_clock_that_is_set,
                                  a_count_that_leaps,
                                  reference_junctions,
                                  drawn_arrivals_of_three,
                                  counts_of_fields,
                                  first_lines_and_names,
                                  NULL};
    return run_tests("sampler_limits", tests);
}
