/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keys that a bath gives: put into the rig file and read back, they must make every thermometer
 * show the true temperature; whatever its law and unit, and whatever correction it had before. */
#include "logger/bath/bath_keys.h"
#include "logger/record/reading.h"
#include "logger/run/rig_edit.h"
#include "tests/unit/near.h"

#define ROWS 60

static const char rig_text[] = "[site]\nelevation_m = 1000\n"
                               "[adapter]\nport = /dev/null\nline = values\n"
                               "[channel store]\nunit = degC\nfield = 1\n"
                               "[channel inlet]\nunit = degF\nfield = 2\noffset = 0.9\n"
                               "[channel outlet]\nunit = degC\nfield = 3\nconvert = linear\n"
                               "gain = 0.5\noffset = -3\n"
                               "[channel air]\nunit = degC\nfield = 4\nconvert = pt1000\n"
                               "[channel cold]\nunit = degC\nfield = 5\n"
                               "[channel box]\nunit = degC\nfield = 6\nconvert = thermocouple_k\n"
                               "cold_channel = cold\n"
                               "[channel sun]\nunit = W_m2\nfield = 7\n";

static nr_rig rig, again;

static void read_rig(const char *text, nr_rig *to)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_RECORD, to, NULL, &err) ==
                      NR_OK,
                  "%s", err.text);
}

/* What channel c puts on the wire at a true temperature: faulty in gain and offset. */
static double wire(size_t c, double degC)
{
    switch (c) {
    case 0:
        return 0.98 * degC + 0.4;
    case 1: /* degF */
        return 1.8 * (1.01 * degC - 0.7) + 32.0;
    case 2: /* linear, gain 0.5 */
        return 2.0 * degC + 7.0;
    default: /* pt1000 with a bad lead: 0.3 K high, about */
        return 1000.0 + 3.9083 * degC - 5.775e-4 * degC * degC + 1.2;
    }
}

static void fill(nr_bath_rows *rows, const nr_rig *with, double degC)
{
    for (int i = 0; i < ROWS; i++) {
        double value[NR_RIG_CHANNELS];
        for (size_t c = 0; c < with->channels; c++)
            value[c] = NAN;
        for (size_t c = 0; c < 4; c++) /* a little scatter, mean zero over the rows */
            value[c] = nr_reading_convert(&with->channel[c], wire(c, degC), NAN) +
                       0.01 * ((i * 7 + (int)c) % 5 - 2);
        nr_bath_rows_add(rows, with, i, value);
    }
}

/* The rig with the report's keys in it. */
static void apply(const nr_bath_report *report, nr_rig *to)
{
    nr_bath_entry entry[NR_RIG_CHANNELS][NR_BATH_KEYS_MOST];
    nr_rig_change change[NR_RIG_CHANNELS * NR_BATH_KEYS_MOST];
    char section[NR_RIG_CHANNELS][NR_NAME + 16];
    size_t changes = 0, length;
    char *text;
    for (size_t i = 0; i < report->probes; i++) {
        size_t n = nr_bath_entries(&report->set[i], entry[i]);
        snprintf(section[i], sizeof section[i], "channel %s",
                 rig.channel[report->set[i].channel].name);
        for (size_t k = 0; k < n; k++)
            change[changes++] =
                (nr_rig_change){section[i], entry[i][k].key, entry[i][k].value, NULL};
    }
    ck_assert_int_eq(nr_rig_edit(rig_text, strlen(rig_text), change, changes, &text, &length, NULL),
                     NR_OK);
    read_rig(text, to);
    free(text);
}

START_TEST(one_bath)
{
    nr_bath_rows rows = {0};
    nr_bath_report report;
    const size_t probe[] = {0, 1, 2, 3};
    nr_bath_plan plan = {.kind = NR_BATH_STATED, .degC = 30.0, .u_K = 0.2, .u_place_K = 0.01};
    read_rig(rig_text, &rig);
    fill(&rows, &rig, 30.0);
    ck_assert_int_eq(nr_bath_keys(&rig, &plan, &rows, 1, probe, 4, &report, NULL), NR_OK);
    ck_assert(!report.whole); /* box was not in the bath: its error is not shared */
    apply(&report, &again);
    for (size_t c = 0; c < 4; c++) {
        NEAR_AT(rig.channel[c].name, nr_reading_convert(&again.channel[c], wire(c, 30.0), NAN),
                30.0, 0.006);                       /* written to the second digit of u */
        NEAR(again.channel[c].u_offset, 0.2, 0.01); /* the reference dominates */
    }
    nr_bath_rows_free(&rows);
}
END_TEST

START_TEST(what_is_common_is_left_out)
{
    nr_bath_rows rows = {0};
    nr_bath_report report;
    size_t probe[NR_RIG_CHANNELS];
    nr_bath_plan plan = {.kind = NR_BATH_STATED, .degC = 30.0, .u_K = 0.2, .u_place_K = 0.01};
    read_rig(rig_text, &rig);
    rig.channels = 5; /* without box and sun; cold then is a thermometer like any other */
    fill(&rows, &rig, 30.0);
    for (int i = 0; i < ROWS; i++)
        rows.value[4][i] = 30.1 + 0.01 * (i % 3);
    size_t n = nr_bath_default_probes(&rig, &plan, probe);
    ck_assert_uint_eq(n, 5);
    ck_assert_int_eq(nr_bath_keys(&rig, &plan, &rows, 1, probe, n, &report, NULL), NR_OK);
    ck_assert(report.whole);
    for (size_t i = 0; i < n; i++)
        ck_assert_double_le(report.set[i].u_offset, 1.8 * 0.03);
    NEAR(report.bath[0].u_common_K, 0.2, 0);
    nr_bath_rows_free(&rows);
}
END_TEST

START_TEST(two_baths)
{
    nr_bath_rows rows[2] = {{0}, {0}};
    nr_bath_report report;
    const size_t probe[] = {0, 1, 2, 3};
    nr_bath_plan plan[2] = {{.kind = NR_BATH_ICE, .degC = 0.0, .u_K = 0.01, .u_place_K = 0.001},
                            {.kind = NR_BATH_BOILING, .u_K = 0.01, .u_place_K = 0.001}};
    double u;
    ck_assert(nr_bath_boiling(NAN, 1000, &plan[1].degC, &u));
    NEAR(plan[1].degC, 96.649, 0.02); /* ISO 2533 and IAPWS-IF97 */
    read_rig(rig_text, &rig);
    fill(&rows[0], &rig, plan[0].degC);
    fill(&rows[1], &rig, plan[1].degC);
    ck_assert_int_eq(nr_bath_keys(&rig, plan, rows, 2, probe, 4, &report, NULL), NR_OK);
    apply(&report, &again);
    for (size_t c = 0; c < 3; c++) { /* gain and offset: right everywhere */
        ck_assert_str_eq(again.channel[c].law->name, "linear");
        for (double t = 0; t < 97; t += 16)
            NEAR_AT(rig.channel[c].name, nr_reading_convert(&again.channel[c], wire(c, t), NAN), t,
                    0.02);
    }
    /* a law of its own: right half way, and the rest is said and is in u_offset */
    ck_assert_str_eq(again.channel[3].law->name, "pt1000");
    ck_assert(!report.set[3].has_line);
    NEAR(nr_reading_convert(&again.channel[3], wire(3, 0), NAN) - 0.0, report.set[3].rest_K, 0.02);
    /* of the mean of two corrections, of what both baths share (the worse), and a rectangle of
     * +-rest (JCGM 100:2008, 4.3.7) */
    const nr_bath_key_set *last = &report.set[3];
    double own = hypot(last->probe[0].u_own_K, last->probe[1].u_own_K) / 2;
    double shared = report.whole ? 0 : 0.01;
    NEAR_RELATIVE(last->u_offset,
                  sqrt(own * own + shared * shared + last->rest_K * last->rest_K / 3), 1e-9);
    nr_bath_rows_free(&rows[0]);
    nr_bath_rows_free(&rows[1]);
}
END_TEST

START_TEST(boiling_point)
{
    double degC, u;
    ck_assert(nr_bath_boiling(101325, NAN, &degC, &u));
    NEAR(degC, 99.974, 0.001);                    /* IAPWS-IF97 */
    NEAR(u, hypot(0.0276, NR_BOILING_U_K), 1e-3); /* 1 hPa at 0.0276 K/hPa */
    ck_assert(nr_bath_boiling(NAN, 0, &degC, &u));
    NEAR(u, hypot(8 * 0.0276, NR_BOILING_U_K), 1e-3);
    ck_assert(!nr_bath_boiling(NAN, NAN, &degC, &u));
}
END_TEST

START_TEST(choices_and_refusals)
{
    nr_bath_rows rows = {0};
    nr_bath_report report;
    nr_err err = {0};
    size_t probe[NR_RIG_CHANNELS];
    nr_bath_plan plan = {.kind = NR_BATH_RELATIVE, .degC = NAN, .u_K = NAN};
    read_rig(rig_text, &rig);
    /* a thermocouple's reference junction stays at the adapter; sun is no thermometer */
    ck_assert_uint_eq(nr_bath_default_probes(&rig, &plan, probe), 5);
    plan.kind = NR_BATH_CHANNEL;
    plan.reference = 0;
    ck_assert_uint_eq(nr_bath_default_probes(&rig, &plan, probe), 4);
    plan.kind = NR_BATH_RELATIVE;
    fill(&rows, &rig, 30.0);
    ck_assert_int_eq(nr_bath_keys(&rig, &plan, &rows, 1, probe, 1, &report, &err), NR_CANNOT);
    const size_t dead[] = {0, 5};
    ck_assert_int_eq(nr_bath_keys(&rig, &plan, &rows, 1, dead, 2, &report, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "box gave 0 readings"));
    nr_bath_rows_free(&rows);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {one_bath,      what_is_common_is_left_out, two_baths,
                                  boiling_point, choices_and_refusals,       NULL};
    return run_tests("bath_keys", tests);
}
