/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that grows by any number of bytes, followed: what is known of each channel worked out
 * again from the rows; what is kept of a long run; rows nobody can read, a file that was made
 * again; and how long a path may be. */
#include "logger/watch/tail.h"
#include "tests/unit/near.h"

#include <sys/stat.h>
#include <unistd.h>

#define ROWS 8000

static char folder[64], path[128];
static nr_tail *t;
static nr_err err;
static unsigned seed = 760104;

static double value_of(int channel, int row)
{
    if ((row * 7 + channel) % 11 == 0)
        return NAN;
    return 20 + channel + (double)(row / 5 * (channel + 3) % 97) / 10;
}

static size_t put_row(char *to, size_t size, int row)
{
    char cell[3][20];
    for (int c = 0; c < 3; c++)
        snprintf(cell[c], sizeof cell[c], "%.4f", value_of(c, row));
    for (int c = 0; c < 3; c++)
        if (isnan(value_of(c, row)))
            cell[c][0] = '\0';
    return (size_t)snprintf(to, size, "2026-05-04T%02d:%02d:%02d.000Z,%d.000,%s,%s,%s\n",
                            10 + row / 3600, row / 60 % 60, row % 60, row, cell[0], cell[1],
                            cell[2]);
}

static void add(const char *text, size_t length)
{
    FILE *file = fopen(path, "a");
    ck_assert_ptr_nonnull(file);
    fwrite(text, 1, length, file);
    fclose(file);
}

static void add_rows(int from, int to)
{
    static char text[ROWS * 80];
    size_t used = 0;
    for (; from < to; from++)
        used += put_row(text + used, sizeof text - used, from);
    add(text, used);
}

static const char head[] = "time_utc,elapsed_s,store_degC,sun_W_m2,odd_furlong\n";

static void begin(const char *first)
{
    snprintf(folder, sizeof folder, "/tmp/test_tail.XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/readings.csv", folder);
    add(first, strlen(first));
    ck_assert_msg(nr_tail_open(folder, &t, &err) == NR_OK, "%s", err.text);
}

static void end(void)
{
    nr_tail_free(t);
    unlink(path);
    rmdir(folder);
}

/* All of it from the first `rows` rows, of which those from `kept` on are still there. */
static void same(int rows, int kept)
{
    ck_assert_uint_eq(t->all_rows, (unsigned long)rows);
    ck_assert_uint_eq(t->rows, (size_t)(rows - kept));
    for (int i = kept; i < rows; i += i < kept + 5 || i > rows - 9 ? 1 : 61) {
        ck_assert(t->time_s[i - kept] == i && t->utc_s[i - kept] == 1777888800.0 + i);
        for (int c = 0; c < 3; c++) {
            double expected = value_of(c, i), found = t->channel[c].value[i - kept];
            if (isnan(expected) != isnan(found) || fabs(expected - found) > 1e-9)
                ck_abort_msg("row %d, channel %d: %g", i, c, found);
        }
    }
    for (int c = 0; c < 3; c++) {
        double low = INFINITY, high = -INFINITY, last = NAN, last_s = NAN, changed_s = NAN;
        for (int i = 0; i < rows; i++) {
            double value = value_of(c, i);
            if (isnan(value))
                continue;
            low = value < low ? value : low;
            high = value > high ? value : high;
            changed_s = value == last ? changed_s : i;
            last = value;
            last_s = i;
        }
        const nr_tail_channel *of = &t->channel[c];
        NEAR(of->low, low, 1e-9);
        NEAR(of->high, high, 1e-9);
        NEAR(of->last, last, 1e-9);
        NEAR(of->last_s, last_s, 0);
        NEAR(of->changed_s, changed_s, 0);
    }
}

START_TEST(in_pieces)
{
    char text[120 * 80];
    size_t used = 0, at = 0;
    begin("");
    used += (size_t)snprintf(text, sizeof text, "%s", head);
    for (int i = 0; i < 100; i++)
        used += put_row(text + used, sizeof text - used, i);
    while (at < used) {
        size_t n = 1 + (size_t)rand_r(&seed) % 190;
        n = n < used - at ? n : used - at;
        add(text + at, n);
        at += n;
        nr_tail_update(t);
        ck_assert_str_eq(t->trouble, "");
        unsigned long lines = 0;
        for (size_t i = 0; i < at; i++)
            lines += text[i] == '\n';
        ck_assert_uint_eq(t->all_rows, lines > 0 ? lines - 1 : 0);
    }
    same(100, 0);
    ck_assert_uint_eq(t->channels, 3);
    static const char *const names[] = {"store", "sun", "odd"}, *const labels[] = {"degC", "W_m2",
                                                                                   "furlong"};
    for (int c = 0; c < 3; c++) {
        ck_assert_str_eq(t->channel[c].name, names[c]);
        ck_assert_str_eq(t->channel[c].label, labels[c]);
        ck_assert_int_eq(t->channel[c].unit != NULL, c < 2);
        for (size_t i = 0; i < 100; i++) { /* a span a second: the history is the rows */
            double found = nr_history_value(&t->history, (size_t)c, i), is = value_of(c, (int)i);
            ck_assert(isnan(is) ? isnan(found) : fabs(found - is) < 1e-9);
        }
    }
    NEAR(nr_tail_now_s(t), 99, 0);
    end();
}
END_TEST

/* Two hours at a row a second; then the older half goes. */
START_TEST(a_long_run)
{
    static const int rows[] = {7199, 7200, 7201, 7999};
    begin(head);
    for (int i = 0; i < 4; i++) {
        add_rows(i ? rows[i - 1] : 0, rows[i]);
        nr_tail_update(t);
        same(rows[i], i < 2 ? 0 : 3600);
    }
    end();
}
END_TEST

/* Said once, and passed over the next time; what is whole behind it is not lost. */
START_TEST(what_nobody_can_read)
{
    static const char bad[] = "2026-05-04T10:00:03.000Z,3.000,warm,1,1\n";
    begin(head);
    add_rows(0, 3);
    nr_tail_update(t);
    add(bad, sizeof bad - 1);
    nr_tail_update(t);
    ck_assert_ptr_nonnull(strstr(t->trouble, "warm"));
    same(3, 0);
    nr_tail_update(t); /* over it */
    ck_assert_str_eq(t->trouble, "");
    same(3, 0);
    add_rows(3, 9);
    nr_tail_update(t);
    ck_assert_str_eq(t->trouble, "");
    same(9, 0);
    ck_assert_int_eq(truncate(path, (off_t)sizeof head - 1), 0); /* shorter: from the beginning */
    add_rows(0, 2);
    nr_tail_update(t);
    same(2, 0);
    unlink(path);
    nr_tail_update(t);
    ck_assert(strncmp(t->trouble, "readings.csv: ", 14) == 0);
    add(head, sizeof head - 1); /* another file */
    add_rows(0, 60);
    nr_tail_update(t);
    ck_assert_str_eq(t->trouble, "");
    same(60, 0);
    end();
}
END_TEST

/* The last row, or what a recorder says that has written since. */
START_TEST(now)
{
    begin(head);
    NEAR(nr_tail_now_s(t), 0, 0);
    add_rows(0, 10);
    nr_tail_update(t);
    for (int i = 0; i < 4; i++) {
        t->recording = i & 1;
        t->has_state = i & 2;
        t->state.elapsed_s = 12;
        t->state_age_s = 0.5;
        NEAR(nr_tail_now_s(t), i == 3 ? 12.5 : 9, 0);
    }
    t->state.elapsed_s = 3;
    NEAR(nr_tail_now_s(t), 9, 0);
    end();
}
END_TEST

/* A rig file is looked through for what it can be: enough to record by, to name readings by, or to
 * analyze by; one that is none of them is passed over. */
START_TEST(rigs)
{
    static const struct {
        const char *rig, *store; /* the column that is the store */
        bool is;
    } of[] = {
        {"[adapter]\nport = /dev/null\n[channel odd]\nunit = degC\nrole = store\n", "odd", true},
        {"[channel odd]\nunit = degC\nrole = store\n", "odd", true},
        {"[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 40\n", "store", true},
        {"[channel]\n", "store", false},
        {"nonsense\n", "store", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char rig[128];
        begin(head);
        nr_tail_free(t);
        snprintf(rig, sizeof rig, "%s/rig.ini", folder);
        FILE *file = fopen(rig, "w");
        ck_assert_ptr_nonnull(file);
        fputs(of[i].rig, file);
        fclose(file);
        add_rows(0, 3);
        ck_assert_int_eq(nr_tail_open(folder, &t, &err), NR_OK);
        ck_assert_msg(t->has_rig == of[i].is, "%s", of[i].rig);
        ck_assert_ptr_nonnull(nr_tail_find(t, "store"));
        ck_assert_str_eq(nr_tail_find(t, "store")->name, of[i].store);
        ck_assert_ptr_null(nr_tail_find(t, "moon"));
        unlink(rig);
        end();
    }
}
END_TEST

START_TEST(long_paths)
{
    char longest[NR_ERR_FILE];
    for (size_t n = sizeof t->folder - 3; n < sizeof t->folder + 2; n++) {
        snprintf(longest, sizeof longest, "%0*d", (int)n, 0);
        ck_assert_int_eq(nr_tail_open(longest, &t, &err), NR_BAD);
        ck_assert_int_eq(strstr(err.text, "the path is too long") != NULL, n >= sizeof t->folder);
        ck_assert_ptr_null(t);
    }
    nr_tail_free(NULL);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {in_pieces,  a_long_run, what_nobody_can_read, now, rigs,
                                  long_paths, NULL};
    return run_tests("tail", tests);
}
