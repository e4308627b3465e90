/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.csv made again from adapter.log and by-hand.csv in a folder of the test's: what the new
 * file holds, what is counted, what is kept of the old one, and what stays as it was when it cannot
 * be. */
#include "logger/record/rebuild.h"
#include "tests/unit/run/rig_fixture.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#define CHANNELS                                                                                   \
    "[channel store]\nunit = degC\nadapter = a\n[channel sun]\nunit = W_m2\nadapter = b\n"
#define RIG "[adapter a]\nport = /dev/x\n[adapter b]\nport = /dev/y\n" CHANNELS
#define HEAD "time_utc,elapsed_s,store_degC,sun_W_m2\n"
#define LOG "# adapter log\n"
#define AT(s, elapsed, adapter, line)                                                              \
    "2026-05-04T11:22:" s "Z\t" elapsed "\t" adapter "\t" line "\n"

static int links_left = -1; /* before one fails; -1: none does */

int link(const char *from, const char *to)
{
    if (links_left >= 0 && links_left-- == 0) {
        errno = EDQUOT;
        return -1;
    }
    return linkat(AT_FDCWD, from, AT_FDCWD, to, 0);
}

static nr_rig rig;
static nr_rebuilt out;
static nr_err err;
static char top[] = "/tmp/noonlog-rebuild-XXXXXX", folder[64];

static const char *path_of(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void put(const char *name, const char *text)
{
    FILE *f = fopen(path_of(name), "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    ck_assert_int_eq(fclose(f), 0);
}

static const char *got(const char *name)
{
    static char text[6000];
    FILE *f = fopen(path_of(name), "r");
    if (!f)
        return "(none)";
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    fclose(f);
    return text;
}

static void set_up(void)
{
    strcpy(top, "/tmp/noonlog-rebuild-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    snprintf(folder, sizeof folder, "%s/run", top);
    ck_assert_int_eq(mkdir(folder, 0777), 0);
    accept(&rig, RIG, NR_RIG_FOR_RECORD);
    put("rig.ini", RIG);
}

static void tear_down(void)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}

static void rebuilt(const char *log, const char *wanted)
{
    put("adapter.log", log);
    nr_code code = nr_rebuild(folder, &rig, NULL, 0, &out, &err);
    ck_assert_msg(code == NR_OK, "%s: %s", err.file, err.text);
    ck_assert_str_eq(got("readings.csv"), wanted);
}

#define ROW(s, elapsed, store, sun) "2026-05-04T11:22:" s "Z," elapsed "," store "," sun "\n"

START_TEST(lines_become_rows)
{
    put("readings.csv", HEAD "old\nolder\n");
    rebuilt(LOG AT("30.000", "1.000", "b", "sun=800") AT("30.500", "1.500", "a", "store=20")
                AT("31.000", "2.000", "c", "store=99") /* an adapter that the rig has not */
            "rubbish\n# a remark\n"                    /* one is damage, the other none */
            AT("31.500", "2.500", "a", "# comment") AT("31.600", "2.600", "a", "nonsense")
                AT("32.500", "3.500", "a", "store=21") "more rubbish\n",
            HEAD ROW("30.500", "1.500", "20.0000", "800.00") ROW("32.500", "3.500", "21.0000", ""));
    ck_assert_uint_eq(out.lines, 5);
    ck_assert_uint_eq(out.rejected, 1); /* what gives no reading; a comment is none to give */
    ck_assert_uint_eq(out.foreign, 1);
    ck_assert_str_eq(out.stranger, "c");
    ck_assert_uint_eq(out.damaged, 2);
    ck_assert_int_eq(out.first_damaged, 5);
    ck_assert_uint_eq(out.rows, 2);
    ck_assert_uint_eq(out.rows_before, 2);
    ck_assert_uint_eq(out.by_hand, 0);
    ck_assert(out.changed);
    NEAR(out.last_elapsed_s, 3.5, 0);
    NEAR(out.last_utc_s, 1777893752.5, 1e-6); /* date -u +%s */
    ck_assert_str_eq(got(".noonlog/readings.csv.before"), HEAD "old\nolder\n");
    /* once more: nothing new, and the old one stays what it was */
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_OK);
    ck_assert(!out.changed && out.rows == 2 && out.rows_before == 2);
    ck_assert_str_eq(got(".noonlog/readings.csv.before"), HEAD "old\nolder\n");
    ck_assert_str_eq(got(".noonlog/rig.ini.before"), "(none)");
    /* longer and shorter by a row than what is there */
    static const char *const others[] = {HEAD ROW("30.500", "1.500", "20.0000", "800.00"),
                                         HEAD ROW("30.500", "1.500", "20.0000", "800.00")
                                             ROW("32.500", "3.500", "21.0000", "")
                                                 ROW("33.500", "4.500", "21.0000", "")};
    for (int i = 0; i < 2; i++) {
        put("readings.csv", others[i]);
        ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_OK);
        ck_assert(out.changed && out.rows == 2 && out.rows_before == (i ? 3 : 1));
        ck_assert_str_eq(got(".noonlog/readings.csv.before"), others[i]);
    }
}
END_TEST

/* A rig that is used from now on, byte for byte; the one before is kept. */
START_TEST(another_rig)
{
    static const char other[] = "; mended\n" RIG "offset = 10\n";
    put("readings.csv", HEAD);
    put("adapter.log",
        LOG AT("30.000", "1.000", "b", "sun=800") AT("30.500", "1.500", "a", "store=2"));
    accept(&rig, other, NR_RIG_FOR_RECORD);
    ck_assert_int_eq(nr_rebuild(folder, &rig, other, strlen(other), &out, &err), NR_OK);
    ck_assert_str_eq(got("readings.csv"), HEAD ROW("30.500", "1.500", "2.0000", "810.00"));
    ck_assert_str_eq(got("rig.ini"), other);
    ck_assert_str_eq(got(".noonlog/rig.ini.before"), RIG);
    ck_assert_uint_eq(out.rows_before, 0);
}
END_TEST

/* Taken up again: a pause of a week is one, a longer one becomes a second; without the mark it is
 * what the log says. */
START_TEST(pauses)
{
    static const struct {
        const char *mark, *at, *more, *wanted, *wanted_more;
    } of[] = {{"# resume\n", "604801.000", "604803.000", "604801.000", "604803.000"},
              {"# resume\n", "604801.001", "604803.001", "2.000", "4.000"},
              {"", "604801.001", "604803.001", "604801.001", "604803.001"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char log[900], wanted[600];
        snprintf(log, sizeof log,
                 LOG AT("30.000", "1.000", "a",
                        "store=20") "%s2026-05-11T11:22:30.000Z\t%s\ta\tstore=21\n"
                                    "2026-05-11T11:22:32.000Z\t%s\ta\tstore=22\n",
                 of[i].mark, of[i].at, of[i].more);
        snprintf(
            wanted, sizeof wanted,
            HEAD ROW(
                "30.000", "1.000", "20.0000",
                "") "2026-05-11T11:22:30.000Z,%s,21.0000,\n2026-05-11T11:22:32.000Z,%s,22.0000,\n",
            of[i].wanted, of[i].wanted_more);
        rebuilt(log, wanted);
    }
    /* what was heard before the mark is not of the time behind it */
    rebuilt(LOG AT("29.000", "0.000", "a", "store=20")
                AT("29.500", "0.500", "b", "sun=700") "# resume\n" AT("30.000", "1.000", "a",
                                                                      "store=21"),
            HEAD ROW("29.000", "0.000", "20.0000", "") ROW("30.000", "1.000", "21.0000", ""));
    /* of a record that begins with the mark, the first line is where it says */
    rebuilt(LOG "# resume\n" AT("30.000", "604800.000", "a", "store=21"),
            HEAD ROW("30.000", "604800.000", "21.0000", ""));
    rebuilt(LOG "# resume\n" AT("30.000", "604800.001", "a", "store=21"),
            HEAD ROW("30.000", "1.000", "21.0000", ""));
}
END_TEST

#define BY_HAND "time_utc,taken_utc,channel,value,unit\n"

/* Readings by hand among those of an adapter; alone; and where the adapter's lines give nothing. */
START_TEST(by_hand)
{
    static const char hand[] =
        BY_HAND "2026-05-04T11:22:31.000Z,2026-05-04T11:22:31.000Z,store,77,degF\n";
    put("by-hand.csv", hand);
    rebuilt(LOG AT("30.000", "1.000", "a", "store=20") AT("32.000", "3.000", "a", "store=22"),
            HEAD ROW("30.000", "1.000", "20.0000", "") ROW("31.000", "2.000", "25.0000", "")
                ROW("32.000", "3.000", "22.0000", ""));
    ck_assert(out.by_hand == 1 && out.rows == 3 && out.lines == 2);
    NEAR(out.last_elapsed_s, 3, 0);
    rebuilt(LOG AT("30.000", "1.000", "c", "store=20"), HEAD ROW("31.000", "0.000", "25.0000", ""));
    ck_assert(out.by_hand == 1 && out.rows == 1);
    ck_assert_int_eq(unlink(path_of("adapter.log")), 0);
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_OK);
    ck_assert_str_eq(got("readings.csv"), HEAD ROW("31.000", "0.000", "25.0000", ""));
    ck_assert(out.rows == 1 && out.rows_before == 1 && !out.changed);
    NEAR(out.last_utc_s, 1777893751, 1e-6);
}
END_TEST

static nr_code rows_come(void *context, FILE *to, nr_rebuilt *counted, nr_err *e)
{
    (void)e;
    const nr_code *code = context;
    fputs(ROW("30.000", "1.000", "20.0000", "700.00"), to);
    counted->rows = counted->lines = 1;
    return *code;
}

/* Rows from elsewhere; where they fail, nothing is changed. */
START_TEST(from_elsewhere)
{
    nr_code code = NR_CANNOT;
    put("readings.csv", HEAD "old\n");
    ck_assert_int_eq(nr_rebuild_from(folder, &rig, NULL, 0, rows_come, &code, &out, &err),
                     NR_CANNOT);
    ck_assert_str_eq(got("readings.csv"), HEAD "old\n");
    code = NR_OK;
    ck_assert_int_eq(nr_rebuild_from(folder, &rig, NULL, 0, rows_come, &code, &out, &err), NR_OK);
    ck_assert_str_eq(got("readings.csv"), HEAD ROW("30.000", "1.000", "20.0000", "700.00"));
    ck_assert(out.changed && out.rows == 1 && out.rows_before == 1);
    ck_assert_str_eq(got(".noonlog/readings.csv.before"), HEAD "old\n");
}
END_TEST

/* What cannot be done leaves the readings as they were, and says why. */
START_TEST(as_it_was)
{
    put("readings.csv", HEAD "old\n");
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "without the adapter's own lines"));
    put("adapter.log",
        LOG AT("30.000", "1.000", "a", "nonsense") AT("30.000", "1.000", "b", "x=1"));
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "none of the 2 lines"));
    put("adapter.log", LOG AT("30.000", "1.000", "roof", "store=1"));
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "are of [adapter roof]"));
    put("adapter.log", LOG AT("30.000", "1.000", "c", "store=1"));
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "are of [adapter c]"));
    put("adapter.log", LOG AT("30.000", "1.000", "-", "store=1"));
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "are of [adapter]"));
    ck_assert_int_eq(unlink(path_of("adapter.log")), 0);
    ck_assert_int_eq(mkfifo(path_of("adapter.log"), 0600), 0);
    ck_assert_int_eq(nr_rebuild(folder, &rig, NULL, 0, &out, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "plain file"));
    ck_assert_str_eq(got("readings.csv"), HEAD "old\n");
    ck_assert_str_eq(got(".noonlog/readings.csv.before"), "(none)");
}
END_TEST

/* The old files cannot be kept: then neither has a new one in its place, whichever it is. */
START_TEST(old_ones_not_kept)
{
    static const char other[] = RIG "offset = 10\n";
    put("adapter.log",
        LOG AT("30.000", "1.000", "b", "sun=800") AT("30.500", "1.500", "a", "store=2"));
    accept(&rig, other, NR_RIG_FOR_RECORD);
    for (int n = 0; n < 3; n++) {
        put("readings.csv", HEAD "old\n");
        put("rig.ini", RIG);
        links_left = n;
        nr_code code = nr_rebuild(folder, &rig, other, strlen(other), &out, &err);
        ck_assert_int_eq(links_left, n < 2 ? -1 : 0); /* two are made */
        links_left = -1;
        if (n == 2)
            break;
        ck_assert_int_eq(code, NR_BAD);
        ck_assert_ptr_nonnull(strstr(err.text, "cannot keep the old file: "));
        ck_assert_str_eq(got("readings.csv"), HEAD "old\n");
        ck_assert_str_eq(got("rig.ini"), RIG);
    }
    ck_assert_str_eq(got("rig.ini"), other);
    ck_assert_str_eq(got(".noonlog/rig.ini.before"), RIG);
    ck_assert_str_eq(got(".noonlog/readings.csv.before"), HEAD "old\n");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        lines_become_rows, another_rig,       pauses, by_hand, from_elsewhere,
        as_it_was,         old_ones_not_kept, NULL};
    return run_tests_in("rebuild", tests, set_up, tear_down);
}
