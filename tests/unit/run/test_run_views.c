/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record of two collectors opened as runs: whose column is seen under which name, parts of a run
 * row by row, columns of a run's own, and where notes are placed. */
#include "logger/run/folder.h"
#include "tests/unit/near.h"

#include <unistd.h>

static char folder[] = "/tmp/nr-views-XXXXXX";
static nr_err err;

static void put(const char *name, const char *text)
{
    char path[100];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *to = fopen(path, "w");
    ck_assert_ptr_nonnull(to);
    fputs(text, to);
    ck_assert_int_eq(fclose(to), 0);
}

#define RIG                                                                                        \
    "[collector left]\ngross_area_m2 = 1\n[collector right]\ngross_area_m2 = 2\n"                  \
    "[store left]\nwater_kg = 10\n[store right]\nwater_kg = 20\n"                                  \
    "[channel tank1]\nunit = degC\nrole = store\nof = left\n"                                      \
    "[channel tank2]\nunit = degC\nrole = store\nof = right\n"                                     \
    "[channel sun]\nunit = W_m2\n[channel sun2]\nunit = W_m2\nrole = sun\nof = right\n"            \
    "[channel room]\nunit = degC\nof = left\n"
#define HEAD "time_utc,elapsed_s,tank1_degC,tank2_degC,sun_W_m2,sun2_W_m2,room_degC,odd_rpm\n"
#define ROWS 12

static void set_up(void)
{
    char text[2000] = HEAD;
    strcpy(folder, "/tmp/nr-views-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(NR_RIG_FILE, RIG);
    for (int i = 0; i < ROWS; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used,
                 "2026-05-04T11:22:%02dZ,%d,1%d,2%d,3%d,4%d,5%d,6%d\n", 20 + i, i * 10, i, i, i, i,
                 i, i);
    }
    put(NR_READINGS_FILE, text);
}

static void tear_down(void)
{
    char command[100];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static size_t open_all(nr_run *run[NR_RIG_BUILDS], const char *collector)
{
    size_t count;
    ck_assert_msg(nr_run_open_builds(folder, collector, run, &count, NULL, &err) == NR_OK, "%s",
                  err.text);
    return count;
}

/* What a column begins with tells which it is: 10 is tank1's first number, 20 tank2's ... */
static void column_is(const nr_run *run, const char *channel, int tens)
{
    nr_values v = nr_readings_values(run->readings, channel);
    ck_assert_msg(nr_values_there(&v) == (tens > 0), "%s", channel);
    if (tens > 0)
        NEAR_AT(channel, nr_number(&v, 0), 10 * tens, 0);
}

START_TEST(whose_column)
{
    nr_run *run[NR_RIG_BUILDS];
    ck_assert_uint_eq(open_all(run, NULL), 2);
    static const struct {
        const char *channel;
        int left, right;
    } of[] = {{"store", 1, 2}, {"sun", 3, 4},   {"room", 5, 0}, {"odd", 6, 6},
              {"tank1", 0, 0}, {"tank2", 0, 0}, {"sun2", 0, 0}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        column_is(run[0], of[i].channel, of[i].left);
        column_is(run[1], of[i].channel, of[i].right);
    }
    ck_assert(run[0]->readings->columns == 4 && run[1]->readings->columns == 3);
    ck_assert_str_eq(run[0]->rig.collector.name, "left");
    ck_assert_str_eq(run[1]->rig.collector.name, "right");
    NEAR(run[1]->rig.store.water_kg.value, 20, 0);
    ck_assert(run[0]->collector == 0 && run[1]->collector == 1);
    nr_run *again;
    ck_assert_int_eq(nr_run_again(run[1], &again, &err), NR_OK);
    column_is(again, "store", 2);
    ck_assert(nr_run_same_record(run[0], run[1]) && nr_run_same_record(run[0], again));
    ck_assert(!nr_run_same_collector(run[0], run[1]) && nr_run_same_collector(run[1], again) &&
              nr_run_same_collector(run[0], run[0]));
    nr_run_free(run[1]); /* in any order: the last one frees the record */
    column_is(again, "store", 2);
    nr_run_free(run[0]);
    column_is(again, "sun", 4);
    nr_run *other[NR_RIG_BUILDS];
    ck_assert_uint_eq(open_all(other, "right"), 1);
    column_is(other[0], "store", 2);
    ck_assert(!nr_run_same_record(again, other[0]) && !nr_run_same_collector(again, other[0]));
    nr_run_free(again);
    nr_run_free(other[0]);
    size_t count = 9;
    ck_assert_int_eq(nr_run_open_builds(folder, "middle", run, &count, NULL, &err), NR_BAD);
    ck_assert_uint_eq(count, 0);
    ck_assert_ptr_nonnull(strstr(err.text,
                                 "no collector \"middle\" in this record; there is: left, "
                                 "right"));
}
END_TEST

/* A part: rows from <= t <= to, of drawn ends on, between and beyond the rows; as arrays and
 * packed. */
static void check_part(nr_run *run, double from_s, double to_s)
{
    size_t first = 0, count = 0;
    for (size_t i = 0; i < ROWS; i++) {
        double t = 10 * (double)i;
        if ((isnan(from_s) || t >= from_s) && (isnan(to_s) || t <= to_s)) {
            first = count++ ? first : i;
        }
    }
    nr_readings *r = run->readings;
    nr_code code = nr_run_use(run, from_s, to_s, &err);
    ck_assert_msg(code == (count ? NR_OK : NR_CANNOT), "%g to %g", from_s, to_s);
    if (!count) {
        ck_assert_ptr_nonnull(strstr(err.text,
                                     "from 2026-05-04T11:22Z to 2026-05-04T11:22Z, 0.0 to "
                                     "1.8 min"));
        ck_assert_uint_eq(r->rows, ROWS);
        return;
    }
    ck_assert_uint_eq(r->rows, count);
    nr_values elapsed = nr_readings_elapsed(r), utc = nr_readings_utc(r);
    nr_values store = nr_readings_values(r, "store");
    for (size_t i = 0; i < count; i++) {
        NEAR(nr_number(&elapsed, i), 10 * (double)(first + i), 0);
        NEAR(nr_number(&utc, i), 1777893740 + (double)(first + i), 1e-6); /* date -u +%s */
        NEAR(nr_number(&store, i),
             first + i < 10 ? 10 + (double)(first + i) : 100 + (double)(first + i), 0);
    }
}

START_TEST(parts)
{
    static const double ends_s[] = {NAN, -5, 0, 0.5, 10, 55, 60, 109.5, 110, 200};
    nr_run *run[NR_RIG_BUILDS];
    ck_assert_uint_eq(open_all(run, NULL), 2);
    for (size_t a = 0; a < 10; a++)
        for (size_t b = 0; b < 10; b++) {
            nr_run *part;
            ck_assert_int_eq(nr_run_again(run[0], &part, &err), NR_OK);
            check_part(part, ends_s[a], ends_s[b]);
            nr_run_free(part);
            ck_assert_uint_eq(run[0]->readings->rows, ROWS); /* others see all of it */
            nr_run packed = {.readings = nr_readings_new()};
            ck_assert_int_eq(nr_readings_add_column(packed.readings, "store", "degC", &err), NR_OK);
            nr_values store = nr_readings_values(run[0]->readings, "store");
            for (size_t i = 0; i < ROWS; i++) {
                double value = nr_number(&store, i);
                ck_assert_int_eq(nr_readings_append(packed.readings, 1777893740 + (double)i,
                                                    10 * (double)i, &value, &err),
                                 NR_OK);
            }
            ck_assert_int_eq(nr_readings_pack(packed.readings, &err), NR_OK);
            check_part(&packed, ends_s[a], ends_s[b]);
            nr_readings_free(packed.readings);
        }
    nr_run_free(run[0]);
    nr_run_free(run[1]);
}
END_TEST

/* A part of a part, and a column of its own that begins with the readings as they were. */
START_TEST(own_columns)
{
    nr_run *run[NR_RIG_BUILDS];
    double *value, *more;
    ck_assert_uint_eq(open_all(run, NULL), 2);
    ck_assert_int_eq(nr_run_use(run[0], 20, 90, &err), NR_OK);
    ck_assert_int_eq(nr_run_use(run[0], 40, NAN, &err), NR_OK);
    ck_assert_uint_eq(run[0]->readings->rows, 6);
    ck_assert_int_eq(nr_run_own_column(run[0], "store", "degC", &value, &err), NR_OK);
    for (int i = 0; i < 6; i++)
        NEAR(value[i], 14 + i, 0);
    value[0] = 77;
    column_is(run[1], "store", 2);
    nr_values store = nr_readings_values(run[0]->readings, "store");
    NEAR(nr_number(&store, 0), 77, 0);
    size_t columns = run[0]->readings->columns;
    ck_assert_int_eq(nr_run_own_column(run[0], "flow", "gal_min", &more, &err), NR_OK);
    ck_assert_uint_eq(run[0]->readings->columns, columns + 1);
    for (int i = 0; i < 6; i++)
        ck_assert(isnan(more[i]));
    const nr_column *flow = nr_readings_column(run[0]->readings, "flow");
    ck_assert(flow && flow->value == more && strcmp(flow->unit, "gal_min") == 0 && flow->known);
    nr_run *again[NR_RIG_BUILDS];
    ck_assert_uint_eq(open_all(again, "left"), 1);
    column_is(again[0], "store", 1); /* what others open is not changed */
    size_t count = 2;
    while (nr_run_own_column(run[1], "store", "degC", &value, &err) == NR_OK)
        count++;
    ck_assert_uint_eq(count, NR_RUN_OWN); /* of both views of the record */
    ck_assert_ptr_nonnull(strstr(err.text, "no room for another column"));
    nr_run_free(again[0]);
    nr_run_free(run[0]);
    nr_run_free(run[1]);
}
END_TEST

/* A note more than a week behind the last row has a wall clock's time in it: it is where its label
 * says, and never before the start. */
START_TEST(notes_behind_the_end)
{
    static const struct {
        const char *utc, *elapsed;
        double is_s;
    } of[] = {{"2026-05-04T11:22:25Z", "5.000", 5},
              {"2026-05-11T11:22:25Z", "604910.000", 604910}, /* a week behind the last row */
              {"2026-05-04T11:22:41Z", "604910.001", 120},
              {"2026-05-04T11:22:21Z", "1777893741.000", 100},
              {"2026-05-04T10:00:00Z", "1777893741.000", 0}};
    char text[600] = NR_NOTES_HEADER;
    nr_run *run[NR_RIG_BUILDS];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s,%s,note,\"x\"\n", of[i].utc, of[i].elapsed);
    }
    put(NR_NOTES_FILE, text);
    ck_assert_uint_eq(open_all(run, NULL), 2);
    ck_assert_uint_eq(run[1]->notes->count, sizeof of / sizeof *of);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        NEAR(run[1]->notes->note[i].elapsed_s, of[i].is_s, 1e-5);
    nr_run_free(run[0]);
    nr_run_free(run[1]);
}
END_TEST

/* A column whose unit its role cannot have. */
START_TEST(a_role_in_another_unit)
{
    nr_run *run[NR_RIG_BUILDS];
    size_t count;
    put(NR_READINGS_FILE, "time_utc,elapsed_s,tank1_degC,tank2_V\n2026-05-04T11:22:20Z,0,1,2\n");
    ck_assert_int_eq(nr_run_open_builds(folder, NULL, run, &count, NULL, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, "[channel tank2] has the role store, but its column of "
                                   "readings.csv is in \"V\""),
                  "%s", err.text);
    ck_assert_uint_eq(open_all(run, "left"), 1);
    nr_run_free(run[0]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {whose_column,           parts, own_columns, notes_behind_the_end,
                                  a_role_in_another_unit, NULL};
    return run_tests_in("run_views", tests, set_up, tear_down);
}
