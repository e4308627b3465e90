/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/readings.h"
#include "tests/unit/near.h"

#include <unistd.h>

#define HEAD "time_utc,elapsed_s,store_degC,sun_W_m2\n"
#define ROW0 "2026-05-04T11:22:33.000Z,0.000,21.5000,812.00\n"
#define ROW1 "2026-05-04T11:22:34.000Z,1.000,21.5625,813.50\n"

static nr_readings *good(const char *text, size_t length)
{
    nr_readings *r = NULL;
    nr_err err = {0};
    nr_code code = nr_readings_parse(text, length, "r.csv", &r, &err);
    ck_assert_msg(code == NR_OK, "%ld: %s", err.line, err.text);
    ck_assert_ptr_nonnull(r);
    return r;
}
#define GOOD(text) good(text, sizeof(text) - 1)

/* words: all must be in the message. */
static void bad(const char *text, size_t length, long line, const char *const *words)
{
    nr_readings *r = (nr_readings *)1;
    nr_err err = {0};
    ck_assert_msg(nr_readings_parse(text, length, "r.csv", &r, &err) == NR_BAD, "accepted: %s",
                  text);
    ck_assert_ptr_null(r);
    ck_assert_str_eq(err.file, "r.csv");
    ck_assert_msg(err.line == line, "line %ld, not %ld: %s", err.line, line, err.text);
    for (; *words; words++)
        ck_assert_msg(strstr(err.text, *words), "no \"%s\" in \"%s\"", *words, err.text);
}
#define BAD(text, line, ...)                                                                       \
    bad(text, sizeof(text) - 1, line, (const char *const[]){__VA_ARGS__, NULL})

START_TEST(plain_file)
{
    nr_readings *r = GOOD(HEAD ROW0 ROW1);
    ck_assert_uint_eq(r->rows, 2);
    ck_assert_uint_eq(r->columns, 2);
    ck_assert(!r->torn);
    ck_assert_str_eq(r->column[0].channel, "store");
    ck_assert_str_eq(r->column[0].unit, "degC");
    ck_assert_str_eq(r->column[1].channel, "sun");
    ck_assert_str_eq(r->column[1].unit, "W_m2");
    NEAR(r->utc_s[1] - r->utc_s[0], 1, 0);
    NEAR(r->elapsed_s[1], 1, 0);
    NEAR(nr_readings_channel(r, "store")[1], 21.5625, 0);
    NEAR(nr_readings_channel(r, "sun")[0], 812, 0);
    ck_assert_ptr_null(nr_readings_channel(r, "air"));
    nr_readings_free(r);
    nr_readings_free(NULL);
}
END_TEST

START_TEST(empty_cells_are_unknown)
{
    nr_readings *r = GOOD(HEAD "2026-05-04T11:22:33Z,0,,812\n2026-05-04T11:22:34Z,1,21,\n");
    ck_assert(isnan(r->column[0].value[0]) && r->column[1].value[0] == 812);
    ck_assert(r->column[0].value[1] == 21 && isnan(r->column[1].value[1]));
    nr_readings_free(r);
}
END_TEST

START_TEST(known_units_become_canonical)
{
    nr_readings *r = GOOD("elapsed_s,store_degF,flow_gal_min,pump_mV,time_utc,tank_K,fan_rpm\n"
                          "0,212,1,5000,2026-05-04T11:22:33Z,300,1200\n");
    NEAR(nr_readings_channel(r, "store")[0], 100, 1e-13);
    NEAR(nr_readings_channel(r, "flow")[0], 3.785411784, 0);
    NEAR(nr_readings_channel(r, "pump")[0], 5, 0);
    NEAR(nr_readings_channel(r, "tank")[0], 26.85, 1e-12);
    NEAR(nr_readings_channel(r, "fan")[0], 1200, 0);
    ck_assert_str_eq(nr_readings_column(r, "store")->unit, "degF");
    ck_assert_str_eq(nr_readings_column(r, "store")->known->name, "degC");
    ck_assert_ptr_null(nr_readings_column(r, "fan")->known);
    NEAR(r->utc_s[0], 1777893753, 0);
    nr_readings_free(r);
}
END_TEST

/* RFC 4180, section 2: CRLF (rule 1), the last line break is optional (2), header (3), quoted cells
 * (5), line breaks, quotes and commas in them (6), doubled quotes (7). */
START_TEST(rfc4180)
{
    nr_readings *r = GOOD("\"time_utc\",\"elapsed_s\",\"store_degC\"\r\n"
                          "\"2026-05-04T11:22:33Z\",\"0\",\"21.5\"\r\n"
                          "2026-05-04T11:22:34Z,1,\"\"\r\n"
                          "2026-05-04T11:22:35Z,2,22.5");
    ck_assert_uint_eq(r->rows, 3);
    ck_assert(!r->torn);
    NEAR(r->column[0].value[0], 21.5, 0);
    ck_assert(isnan(r->column[0].value[1]));
    NEAR(r->column[0].value[2], 22.5, 0);
    nr_readings_free(r);
    /* Commas, quotes and a CRLF inside quotes belong to the cell: here all within a column's name.
     */
    r = GOOD("time_utc,elapsed_s,\"a \"\"b\"\" c, d\r\ne_rpm\"\r\n2026-05-04T11:22:33Z,0,7\r\n");
    ck_assert_uint_eq(r->columns, 1);
    ck_assert_str_eq(r->column[0].channel, "a \"b\" c, d??e");
    NEAR(r->column[0].value[0], 7, 0);
    nr_readings_free(r);
    /* The line number counts the line breaks inside quotes. */
    BAD("time_utc,elapsed_s,\"a\nb_x\"\n2026-05-04T11:22:33Z,0,7\n2026-05-04T11:22:33Z,1,q\n", 4,
        "\"q\" is not a number");
}
END_TEST

START_TEST(marks_and_blank_lines)
{
    nr_readings *r = GOOD("\xef\xbb\xbf" HEAD "\n" ROW0 "  \n\r\n" ROW1 "\n\n");
    ck_assert_uint_eq(r->rows, 2);
    nr_readings_free(r);
    r = GOOD("time_utc , elapsed_s, store_degC \n 2026-05-04T11:22:33Z, 0 , 21.5 \n");
    NEAR(nr_readings_channel(r, "store")[0], 21.5, 0);
    nr_readings_free(r);
}
END_TEST

START_TEST(wall_clock_may_step_back)
{
    nr_readings *r = GOOD(HEAD ROW0 "2026-05-04T10:00:00.000Z,1.000,21,812\n");
    ck_assert(r->utc_s[1] < r->utc_s[0]);
    nr_readings_free(r);
}
END_TEST

/* Any cut of a file that noonlog wrote reads as the rows before the cut, and never as a wrong
 * number: a crash can cut anywhere. */
START_TEST(every_cut_reads_cleanly)
{
    static const char whole[] = HEAD ROW0 ROW1 "2026-05-04T11:22:35.000Z,2.000,,814.00\n"
                                               "2026-05-04T11:22:36.000Z,3.000,21.6250,\n"
                                               "2026-05-04T11:22:36.500Z,3.500,,\n"
                                               "2026-05-04T11:22:37.000Z,4.000,21.6875,9.25\n";
    size_t size = sizeof whole - 1, head = strlen(HEAD), first = head + strlen(ROW0);
    nr_readings *all = good(whole, size);
    for (size_t cut = first; cut <= size; cut++) {
        nr_readings *r = good(whole, cut);
        size_t lines = 0;
        for (size_t i = head; i < cut; i++)
            lines += whole[i] == '\n';
        bool at_end = whole[cut - 1] == '\n', only_newline = whole[cut] == '\n';
        ck_assert_msg(r->rows == lines || (only_newline && r->rows == lines + 1), "cut %zu: %zu",
                      cut, r->rows);
        ck_assert_msg(r->torn == !(at_end || r->rows == lines + 1), "cut %zu torn %d", cut,
                      r->torn);
        for (size_t i = 0; i < r->rows; i++)
            for (size_t c = 0; c < 2; c++) {
                double a = r->column[c].value[i], b = all->column[c].value[i];
                ck_assert_msg((isnan(a) && isnan(b)) || a == b, "cut %zu row %zu: %g not %g", cut,
                              i, a, b);
            }
        nr_readings_free(r);
    }
    for (size_t cut = 0; cut < first - 1; cut++) {
        nr_readings *r = NULL;
        ck_assert_msg(nr_readings_parse(whole, cut, "r.csv", &r, NULL) == NR_BAD, "cut %zu", cut);
        ck_assert_ptr_null(r);
    }
    nr_readings_free(all);
}
END_TEST

START_TEST(a_tail_of_zeros_is_a_power_cut)
{
    nr_readings *r = GOOD(HEAD ROW0 ROW1 "\0\0\0\0\0\0\0\0");
    ck_assert(r->torn && r->rows == 2);
    nr_readings_free(r);
    r = GOOD(HEAD ROW0 "2026-05-04T11:2\0\0\0\0");
    ck_assert(r->torn && r->rows == 1);
    nr_readings_free(r);
    /* In the middle: pages that reached the disk in another order. Left out, counted, never read as
     * a number with a hole in it. */
    r = GOOD(HEAD ROW0 "\0\0\0\0\n" ROW1);
    ck_assert(!r->torn && r->rows == 2 && r->damaged == 1 && r->first_damaged == 3);
    nr_readings_free(r);
    r = GOOD(HEAD "2026-05-04T11:22:33Z,0,2\0"
                  "1,812\n" ROW1 "\0\n");
    ck_assert(r->rows == 1 && r->damaged == 2 && r->first_damaged == 2);
    nr_readings_free(r);
    BAD(HEAD "\0\n", 0, "no readings");
}
END_TEST

START_TEST(torn_only_at_the_end)
{
    BAD(HEAD ROW0 "2026-05-04T11:22:34.000Z,1.000,21.5\n", 3, "3 cells", "4 columns");
    BAD(HEAD ROW0 "2026-05-04T11:22:34.000Z,1.0\n" ROW1, 3, "2 cells");
    nr_readings *r = GOOD(HEAD ROW0 "2026-05-04T11:22:34.000Z,1.000,21.5x,3");
    ck_assert(r->torn && r->rows == 1);
    nr_readings_free(r);
    r = GOOD(HEAD ROW0 "2026-05-04T11:22:34.000Z,1.000,\"21.5");
    ck_assert(r->torn && r->rows == 1);
    nr_readings_free(r);
    BAD(HEAD ROW0 "2026-05-04T11:22:34.000Z,1.000,\"21.5\n" ROW1, 3, "quote");
}
END_TEST

START_TEST(bad_rows)
{
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,abc,812\n", 3, "store_degC", "\"abc\"", "number");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,21,8 12\n", 3, "sun_W_m2", "\"8 12\"");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,nan,812\n", 3, "store_degC", "leave the cell empty");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,\"21,5\",812\n", 3, "store_degC", "\"21,5\"");
    BAD(HEAD ROW0 "4 May 2026,1,21,812\n", 3, "time_utc", "4 May 2026", "11:22:33.456Z");
    BAD(HEAD ROW0 ",1,21,812\n", 3, "time_utc");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,,21,812\n", 3, "elapsed_s");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,x,21,812\n", 3, "elapsed_s", "\"x\"");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1e10,21,812\n", 3, "elapsed_s", "\"1e10\"");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,21,812,5\n", 3, "5 cells", "4 columns");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,2\"1,812\n", 3, "quote");
    BAD(HEAD ROW0 "2026-05-04T11:22:34Z,1,\x1b[2J,812\n", 3, "?[2J");
}
END_TEST

START_TEST(time_must_go_on)
{
    BAD(HEAD ROW0 ROW1 "2026-05-04T11:22:35Z,0.500,21,812\n", 4, "elapsed_s", "0.500", "1.000");
    BAD(HEAD ROW0 ROW1 "2026-05-04T11:22:35Z,1.000,21,812\n" ROW1, 4, "elapsed_s");
}
END_TEST

START_TEST(bad_headers)
{
    BAD("", 0, "empty", "time_utc,elapsed_s");
    BAD("\0\0\0", 0, "empty");
    BAD("\xef\xbb\xbf", 0, "empty");
    BAD("\n\n", 0, "no readings");
    BAD(HEAD, 0, "no readings");
    BAD(HEAD "2026-05-04T11", 0, "no readings");
    BAD("elapsed_s,store_degC\n0,21\n", 1, "no column time_utc");
    BAD("time_utc,store_degC\n2026-05-04T11:22:34Z,21\n", 1, "no column elapsed_s");
    BAD("time_utc,elapsed_s,time_utc\n" ROW0, 1, "time_utc", "twice");
    BAD("time_utc,elapsed_s,store_degC,store_degC\n" ROW0, 1, "store_degC", "already");
    BAD("time_utc,elapsed_s,store_degC,store_degF\n" ROW0, 1, "store_degF", "already");
    BAD("time_utc,elapsed_s,fan_rpm,fan_rpm\n" ROW0, 1, "fan_rpm");
    BAD("time_utc,elapsed_s,level,level\n" ROW0, 1, "level", "already");
    BAD("time_utc,elapsed_s,tank_top,tank_top\n" ROW0, 1, "tank_top", "already");
    BAD("time_utc,elapsed_s,tank_top,tank\n" ROW0, 1, "tank", "already"); /* whose unit is "top"? */
    BAD("time_utc,elapsed_s,,sun_W_m2\n" ROW0, 1, "column 3 has no name");
    BAD("time_utc;elapsed_s;store_degC\n2026-05-04T11:22:34Z;0;21\n", 1, "semicolons", "commas");
    BAD("time_utc,elapsed_s\r2026-05-04T11:22:34Z,0\n", 1, "carriage return");
    BAD("2026-05-04T11:22:34Z,0,21,812\n" ROW0, 1, "no column time_utc");
}
END_TEST

START_TEST(meaningful_channels_need_their_unit)
{
    BAD("time_utc,elapsed_s,store_V\n" ROW0, 1, "store", "\"V\"", "degC, degF, K");
    BAD("time_utc,elapsed_s,sun_degC\n" ROW0, 1, "irradiance", "W_m2");
    BAD("time_utc,elapsed_s,air_C\n" ROW0, 1, "\"C\"", "degC");
    BAD("time_utc,elapsed_s,wind\n" ROW0, 1, "wind", "m_s");
    BAD("time_utc,elapsed_s,flow_m_s\n" ROW0, 1, "flow", "L_min");
    BAD("time_utc,elapsed_s,pump_degC\n" ROW0, 1, "pump", "V, mV, A, mA, W");
    nr_readings *r = GOOD("time_utc,elapsed_s,pump_W,store_top_degC,level,tank_a,tank_b\n"
                          "2026-05-04T11:22:34Z,0,3,21,4,5,6\n");
    ck_assert_ptr_nonnull(nr_readings_channel(r, "store_top"));
    NEAR(nr_readings_channel(r, "level")[0], 4, 0);
    ck_assert_str_eq(nr_readings_column(r, "level")->unit, "");
    NEAR(nr_readings_channel(r, "tank")[0], 5, 0);   /* taken for a unit "a" of its own ... */
    NEAR(nr_readings_channel(r, "tank_b")[0], 6, 0); /* ... until a second one shows it is none */
    nr_readings_free(r);
}
END_TEST

START_TEST(sizes)
{
    char text[6000] = "time_utc,elapsed_s";
    size_t used = strlen(text);
    for (int i = 0; i < 300; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, ",c%d_x", i);
    snprintf(text + used, sizeof text - used, "\n");
    bad(text, strlen(text), 1, (const char *const[]){"256 columns", NULL});
    char longer[400] = "time_utc,elapsed_s,";
    memset(longer + strlen(longer), 'n', 300);
    bad(longer, strlen(longer), 0, (const char *const[]){"no readings", NULL});
    strcat(longer, "\n");
    bad(longer, strlen(longer), 1, (const char *const[]){"too long", NULL});
}
END_TEST

START_TEST(files)
{
    nr_readings *r = NULL;
    nr_err err;
    char path[] = "/tmp/nr-readings-XXXXXX";
    ck_assert_int_eq(nr_readings_read("/nonexistent/r.csv", &r, &err), NR_BAD);
    ck_assert_str_eq(err.file, "/nonexistent/r.csv");
    ck_assert_int_eq(nr_readings_read("/tmp", &r, &err), NR_BAD);
    ck_assert(strstr(err.text, "plain file"));
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, HEAD ROW0, strlen(HEAD ROW0)), (ssize_t)strlen(HEAD ROW0));
    close(fd);
    nr_code code = nr_readings_read(path, &r, &err);
    unlink(path);
    ck_assert_int_eq(code, NR_OK);
    ck_assert_uint_eq(r->rows, 1);
    nr_readings_free(r);
}
END_TEST

static const char rig_text[] = "[adapter]\n"
                               "[channel store]\nunit = degF\n"
                               "[channel sun]\nunit = W_m2\n"
                               "[channel flow]\nunit = gal_min\n"
                               "[channel pump]\nunit = mA\n"
                               "[channel fan]\nunit = rpm\n";

/* A file is read a megabyte at a time: what it gives is what the same text gives in memory, to the
 * end and in its errors, whatever lies across the borders: rows, quoted cells (every 97th row), and
 * one line of two megabytes. */
static void large_file(int k)
{
    enum { ROWS = 60000, LONG = 2097152, MOST = ROWS * 64 + LONG };
    static const char *const end[] = {"", "2026-05-04T11:22", "\0\0\0", "nothing\n"};
    static const size_t end_size[] = {0, 16, 3, 8};
    char *text = malloc(MOST);
    size_t n = 0;
    n += (size_t)sprintf(text, "%s", HEAD);
    for (int i = 0; i < ROWS; i++) {
        bool quoted = i % 97 == 0;
        n += (size_t)sprintf(text + n, "2026-05-04T%02d:%02d:%02d.000Z,%d.000,%s%d.%04d%s,",
                             i / 3600, i / 60 % 60, i % 60, i, quoted ? "\"" : "", 20 + i % 30,
                             i % 10000, quoted ? "\"" : "");
        if (i == ROWS / 2) {
            memset(text + n, ' ', LONG);
            n += LONG;
        }
        n += (size_t)sprintf(text + n, "%d.5\n", i % 1000);
    }
    memcpy(text + n, end[k], end_size[k]);
    n += end_size[k];
    char path[] = "/tmp/readings-XXXXXX";
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, n), (ssize_t)n);
    close(fd);
    nr_readings *whole = NULL, *pieces = NULL;
    nr_err err = {0}, same = {0};
    nr_code code = nr_readings_parse(text, n, path, &whole, &err);
    ck_assert_int_eq(nr_readings_read(path, &pieces, &same), code);
    ck_assert_int_eq(code, k == 3 ? NR_BAD : NR_OK);
    ck_assert_int_eq(err.line, same.line);
    ck_assert_str_eq(err.text, same.text);
    ck_assert_int_eq(err.line, k == 3 ? ROWS + 2 : 0);
    if (!code) {
        ck_assert_uint_eq(pieces->rows, ROWS);
        ck_assert(pieces->torn == whole->torn && pieces->torn == (k > 0));
        size_t size = ROWS * sizeof(double);
        ck_assert(!memcmp(pieces->elapsed_s, whole->elapsed_s, size));
        ck_assert(!memcmp(pieces->utc_s, whole->utc_s, size));
        for (size_t c = 0; c < whole->columns; c++)
            ck_assert(!memcmp(pieces->column[c].value, whole->column[c].value, size));
        NEAR(nr_readings_channel(pieces, "store")[ROWS - 1], 49.9999, 0);
    }
    unlink(path);
    nr_readings_free(whole);
    nr_readings_free(pieces);
    free(text);
}

START_TEST(a_large_file_is_read_in_pieces)
{
    for (int k = 0; k < 4; k++)
        large_file(k);
}
END_TEST

START_TEST(what_is_written_reads_back)
{
    static nr_rig rig;
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL,
                               &err) == NR_OK,
                  "%s", err.text);
    static const double rows[3][5] = {
        {21.0625, 812.25, 1.25, 0.35, 1200}, {NAN, NAN, NAN, NAN, NAN}, {-5.5, 0, 0.0, 1e-5, 1e-3}};
    char text[2000];
    size_t used = nr_readings_header(&rig, text, sizeof text);
    ck_assert_str_eq(text, "time_utc,elapsed_s,store_degC,sun_W_m2,flow_L_min,pump_A,fan_rpm\n");
    for (int i = 0; i < 3; i++) {
        size_t row = nr_readings_row(&rig, 1777893753.456 + i, 0.25 + i, rows[i], text + used,
                                     sizeof text - used);
        ck_assert_uint_gt(row, 0);
        ck_assert_uint_eq(row, strlen(text + used));
        if (i == 0)
            ck_assert_str_eq(text + used, "2026-05-04T11:22:33.456Z,0.250,21.0625,812.25,1.2500,"
                                          "0.35000,1200\n");
        if (i == 1)
            ck_assert_str_eq(text + used, "2026-05-04T11:22:34.456Z,1.250,,,,,\n");
        used += row;
    }
    nr_readings *r = good(text, used);
    ck_assert_uint_eq(r->rows, 3);
    for (size_t i = 0; i < 3; i++)
        for (size_t c = 0; c < 5; c++) {
            double a = r->column[c].value[i], b = rows[i][c];
            ck_assert_msg((isnan(a) && isnan(b)) || a == b, "%zu %zu: %g", i, c, a);
        }
    NEAR(r->utc_s[2], 1777893755.456, 1e-6);
    NEAR(r->elapsed_s[2], 2.25, 0);
    nr_readings_free(r);
}
END_TEST

START_TEST(what_does_not_fit_is_not_written)
{
    static nr_rig rig;
    char text[200];
    static const double values[5] = {1, 2, 3, 4, 5};
    ck_assert_int_eq(
        nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, NULL),
        NR_OK);
    size_t row = nr_readings_row(&rig, 0, 0, values, text, sizeof text);
    size_t header = nr_readings_header(&rig, text, sizeof text);
    for (size_t size = 0; size < sizeof text; size++) {
        text[size] = 'x';
        ck_assert_uint_eq(nr_readings_row(&rig, 0, 0, values, text, size), size > row ? row : 0);
        ck_assert_uint_eq(nr_readings_header(&rig, text, size), size > header ? header : 0);
        ck_assert_int_eq(text[size], 'x'); /* nothing behind the end was touched */
    }
}
END_TEST

/* Rows as noonlog writes them take a short way past libcsv; the same rows with a quoted cell go
 * through it: both give the same doubles, bit for bit, and refuse the same. */
static size_t one_cell(char *to, unsigned *state)
{
    static const char *const odd[] = {"",
                                      "-0.0",
                                      "5.",
                                      ".5",
                                      "-.25",
                                      "007.50",
                                      "1e3",
                                      "+2",
                                      "123456789012345",
                                      "0.000000000000001",
                                      "99999999999999999999",
                                      "0.1",
                                      "2.675"};
    *state = *state * 1664525u + 1013904223u;
    unsigned draw = *state >> 16;
    if (draw % 3 == 0)
        return (size_t)sprintf(to, "%s", odd[(draw / 3) % (sizeof odd / sizeof odd[0])]);
    return (size_t)sprintf(to, "%.*f", (int)(draw % 5), ((double)draw - 32768) / 7);
}

static nr_code both_ways(const char *plain, const char *quoted)
{
    nr_readings *a = NULL, *b = NULL;
    nr_code code = nr_readings_parse(plain, strlen(plain), "r.csv", &a, NULL);
    ck_assert_int_eq(code, nr_readings_parse(quoted, strlen(quoted), "r.csv", &b, NULL));
    if (code)
        return code;
    ck_assert_uint_eq(a->rows, b->rows);
    ck_assert(a->torn == b->torn);
    ck_assert(!memcmp(a->utc_s, b->utc_s, a->rows * sizeof(double)));
    ck_assert(!memcmp(a->elapsed_s, b->elapsed_s, a->rows * sizeof(double)));
    for (size_t c = 0; c < a->columns; c++)
        for (size_t i = 0; i < a->rows; i++) {
            double x = a->column[c].value[i], y = b->column[c].value[i];
            ck_assert(isnan(x) ? isnan(y) : x == y && signbit(x) == signbit(y));
        }
    nr_readings_free(a);
    nr_readings_free(b);
    return NR_OK;
}

START_TEST(the_short_way_is_the_same)
{
    static char plain[400000], quoted[400000];
    unsigned state = 1;
    for (int file = 0; file < 20; file++) {
        const char *end = file % 2 ? "\r\n" : "\n";
        size_t n = (size_t)sprintf(plain, HEAD), m = (size_t)sprintf(quoted, HEAD);
        for (int row = 0; row < 200; row++) {
            char store[64], sun[64];
            one_cell(store, &state);
            one_cell(sun, &state);
            n += (size_t)sprintf(plain + n, "2026-05-04T11:%02d:%02d.%03dZ,%d.%03d,%s,%s%s",
                                 row / 60, row % 60, row, row, row, store, sun, end);
            m += (size_t)sprintf(quoted + m, "2026-05-04T11:%02d:%02d.%03dZ,\"%d.%03d\",%s,%s%s",
                                 row / 60, row % 60, row, row, row, store, sun, end);
        }
        ck_assert_int_eq(both_ways(plain, quoted), NR_OK);
    }
    static const char *const refused[] = {"1.2.3", "-",    ".",   "--1", "1-2", "abc",
                                          "1 2",   "0x10", "1,2", "1e",  "nan"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        sprintf(plain, HEAD ROW0 "2026-05-04T11:22:34.000Z,1.000,%s,5\n" ROW1, refused[i]);
        sprintf(quoted, HEAD ROW0 "2026-05-04T11:22:34.000Z,\"1.000\",%s,5\n" ROW1, refused[i]);
        ck_assert_msg(both_ways(plain, quoted) == NR_BAD, "accepted: %s", refused[i]);
    }
}
END_TEST

/* Both sides of the longest pause that is believed, and labels of a clock that was told the time.
 */
START_TEST(a_pause_too_long_to_be_one)
{
    nr_readings *r = GOOD(HEAD ROW0 "2026-05-11T11:22:33.000Z,604800.000,22,800\n");
    ck_assert_uint_eq(r->jumps, 0);
    ck_assert_double_eq(r->elapsed_s[1], 604800);
    nr_readings_free(r);
    r = GOOD(HEAD "1970-01-01T00:00:10.000Z,0.000,21,800\n1970-01-01T00:00:12.000Z,2.000,21,800\n"
                  "2026-05-04T11:22:33.000Z,1777893752.000,22,800\n"
                  "2026-05-04T11:22:35.500Z,1777893754.500,22,800\n"
                  "2026-06-04T11:22:35.500Z,1780572154.500,23,800\n");
    ck_assert_uint_eq(r->rows, 5);
    ck_assert_uint_eq(r->jumps, 2);
    static const double elapsed_s[] = {0, 2, 3, 5.5, 6.5};
    for (size_t i = 0; i < 5; i++) {
        NEAR(r->elapsed_s[i], elapsed_s[i], 1e-6);
        /* 2026-06-04T11:22:35.500Z is 1780572155.5 (date -u +%s) */
        NEAR(r->utc_s[i], 1780572155.5 - 6.5 + elapsed_s[i], 1e-6);
    }
    NEAR(r->jump_at_s, 3, 1e-6);
    NEAR(r->jumped_s, 1777893749.0 + 2678399.0, 1e-6);
    nr_readings_free(r);
    /* a week and a millisecond */
    r = GOOD(HEAD ROW0 "2026-05-11T11:22:33.001Z,604800.001,22,800\n");
    ck_assert_uint_eq(r->jumps, 1);
    NEAR(r->elapsed_s[1], 1, 1e-6);
    nr_readings_free(r);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {plain_file,
                                  empty_cells_are_unknown,
                                  known_units_become_canonical,
                                  rfc4180,
                                  marks_and_blank_lines,
                                  wall_clock_may_step_back,
                                  every_cut_reads_cleanly,
                                  a_tail_of_zeros_is_a_power_cut,
                                  torn_only_at_the_end,
                                  bad_rows,
                                  time_must_go_on,
                                  a_pause_too_long_to_be_one,
                                  bad_headers,
                                  meaningful_channels_need_their_unit,
                                  sizes,
                                  the_short_way_is_the_same,
                                  files,
                                  a_large_file_is_read_in_pieces,
                                  what_is_written_reads_back,
                                  what_does_not_fit_is_not_written,
                                  NULL};
    return run_tests("readings", tests);
}
