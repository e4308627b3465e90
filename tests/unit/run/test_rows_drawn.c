/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.csv written by the test in many ways and read: every cell of every row, rows that a
 * crash left behind, pauses that are not believed, and where it says that something is wrong. */
#include "logger/run/readings.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <time.h>

#define DAY 1777852800 /* 2026-05-04T00:00:00Z (date -u +%s) */
#define MOST_ROWS 40
#define COLUMNS 3

static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

static nr_readings *parsed(const char *text)
{
    nr_readings *r = NULL;
    nr_err err = {.text = ""};
    char *exact = malloc(strlen(text)); /* what reads behind it is seen */
    memcpy(exact, text, strlen(text));
    nr_code code = nr_readings_parse(exact, strlen(text), "r.csv", &r, &err);
    free(exact);
    ck_assert_msg(code == NR_OK, "line %ld: %s in:\n%s", err.line, err.text, text);
    return r;
}

static nr_err refused(const char *text)
{
    nr_readings *r = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_readings_parse(text, strlen(text), "r.csv", &r, &err) == NR_BAD,
                  "accepted:\n%s", text);
    ck_assert_ptr_null(r);
    return err;
}

/* --- every cell ------------------------------------------------------------------------------- */

typedef struct made {
    int rows;
    double utc_s[MOST_ROWS], elapsed_s[MOST_ROWS], value[MOST_ROWS][COLUMNS];
    char text[20000];
} made;

/* What a column's number is in the unit that is kept (NIST SP 811, appendix B). */
static const struct {
    const char *name, *channel;
    double factor, zero;
} columns[COLUMNS] = {{"store_degF", "store", 5.0 / 9, -160.0 / 9},
                      {"sun_W_m2", "sun", 1, 0},
                      {"flow_mL_min", "flow", 0.001, 0}};

static void write_time(char *to, size_t size, long ms)
{
    long s = ms / 1000;
    int n = snprintf(to, size, "2026-05-%02ldT%02ld:%02ld:%02ld", 4 + s / 86400, s / 3600 % 24,
                     s / 60 % 60, s % 60);
    if (ms % 1000 || draw(3))
        snprintf(to + n, size - (size_t)n, ".%03ldZ", ms % 1000);
    else
        snprintf(to + n, size - (size_t)n, "Z");
}

/* A number as it may be written; returns what it is. */
static double write_number(char *to, size_t size)
{
    static const char *const odd[] = {"5.",     ".5",   "-.25",   "007.50", "1e2", "+2",
                                      "-0.000", "1E-2", "12.5e1", "0",      "-7"};
    if (draw(4) == 0)
        snprintf(to, size, "%s", odd[draw(sizeof odd / sizeof *odd)]);
    else if (draw(12) == 0) /* as many digits as are exact, and some more */
        snprintf(to, size, "%u%06u%06u%.*s", 1 + draw(9), draw(60000), draw(60000), (int)draw(4),
                 "77.");
    else
        snprintf(to, size, "%s%u.%0*u", draw(3) ? "" : "-", draw(2000), 1 + (int)draw(6), draw(10));
    return strtod(to, NULL);
}

/* Columns: 0 time_utc, 1 elapsed_s, 2 and on those above. */
static void write_row(made *m, const int *order, long utc_ms, long elapsed_ms, const char *end)
{
    char *to = m->text + strlen(m->text);
    m->utc_s[m->rows] = DAY + (double)utc_ms / 1000;
    m->elapsed_s[m->rows] = (double)elapsed_ms / 1000;
    for (int i = 0; i < COLUMNS + 2; i++) {
        char cell[80] = "";
        int c = order[i] - 2;
        const char *quote = draw(20) ? "" : "\"";
        if (order[i] == 0)
            write_time(cell, sizeof cell, utc_ms);
        else if (order[i] == 1)
            snprintf(cell, sizeof cell, elapsed_ms % 1000 ? "%ld.%03ld" : "%ld.%.0ld",
                     elapsed_ms / 1000, elapsed_ms % 1000);
        else if (draw(6) == 0)
            m->value[m->rows][c] = NAN;
        else
            m->value[m->rows][c] =
                write_number(cell, sizeof cell) * columns[c].factor + columns[c].zero;
        to += sprintf(to, "%s%s%s%s", i ? "," : "", quote, cell, quote);
    }
    strcpy(to, end);
    m->rows++;
}

static void draw_file(made *m)
{
    int order[COLUMNS + 2] = {0, 1, 2, 3, 4};
    const char *end = draw(2) ? "\n" : "\r\n";
    for (int i = COLUMNS + 1; i > 0 && draw(2); i--) {
        int k = (int)draw((unsigned)i + 1), other = order[k];
        order[k] = order[i];
        order[i] = other;
    }
    m->rows = 0;
    m->text[0] = '\0';
    for (int i = 0; i < COLUMNS + 2; i++) {
        strcat(m->text, i ? "," : "");
        strcat(m->text, order[i] == 0   ? "time_utc"
                        : order[i] == 1 ? "elapsed_s"
                                        : columns[order[i] - 2].name);
    }
    strcat(m->text, end);
    long utc_ms = (long)draw(60000) * 1000, elapsed_ms = 0;
    for (int row = 0; row < MOST_ROWS; row++) {
        write_row(m, order, utc_ms, elapsed_ms, end);
        if (draw(10) == 0)
            strcat(m->text, end); /* a blank line is none */
        long by_ms = draw(4) ? 1000 : 1 + (long)draw(50000) * (draw(6) ? 1 : 50);
        elapsed_ms += by_ms;
        utc_ms += draw(15) ? by_ms : (long)draw(7200000) - 3600000 + by_ms;
        utc_ms = utc_ms < 0 ? by_ms : utc_ms;
    }
}

START_TEST(every_cell)
{
    static made m;
    state = 21;
    for (int file = 0; file < 60; file++) {
        draw_file(&m);
        nr_readings *r = parsed(m.text);
        ck_assert_uint_eq(r->rows, (size_t)m.rows);
        ck_assert(!r->torn && r->jumps == 0 && r->columns == COLUMNS);
        for (int row = 0; row < m.rows; row++) {
            NEAR_AT(m.text, r->utc_s[row], m.utc_s[row], 1e-6);
            NEAR_AT(m.text, r->elapsed_s[row], m.elapsed_s[row], 0);
            for (int c = 0; c < COLUMNS; c++) {
                double is = nr_readings_channel(r, columns[c].channel)[row];
                double wanted = m.value[row][c];
                ck_assert_msg(
                    isnan(wanted) ? isnan(is) : fabs(is - wanted) <= 1e-12 * fmax(fabs(wanted), 30),
                    "row %d %s: %.17g, not %.17g in\n%s", row, columns[c].name, is, wanted, m.text);
                if (columns[c].factor == 1 && !isnan(wanted))
                    ck_assert(is == wanted); /* the very double */
            }
        }
        nr_readings_free(r);
    }
}
END_TEST

/* --- a last line without its end ----------------------------------------------------------------
 */

/* It counts when its last cell has as many decimals as the last one before that was not empty. */
START_TEST(last_lines)
{
    static const char *const cells[] = {"", "1", "2.", "1.5", "-2.25", "3.125", "4e1", "5.0e1"};
    static const int decimals[] = {-1, 0, 0, 1, 2, 3, 0, 1};
    for (size_t a = 0; a < 8; a++)
        for (size_t b = 0; b < 8; b++)
            for (size_t last = 0; last < 8; last++)
                for (int quick = 0; quick < 2; quick++) {
                    char text[300];
                    const char *quote = quick ? "" : "\"";
                    snprintf(text, sizeof text,
                             "time_utc,elapsed_s,sun_W_m2\n2026-05-04T00:00:00.000Z,0.5,%s\n"
                             "2026-05-04T00:00:01.000Z,%s1.5%s,%s\n"
                             "2026-05-04T00:00:02.000Z,%s2.5%s,%s",
                             cells[a], quote, quote, cells[b], quote, quote, cells[last]);
                    int before = decimals[b] >= 0 ? decimals[b] : decimals[a];
                    bool whole = decimals[last] >= 0 && before >= 0 && decimals[last] >= before;
                    nr_readings *r = parsed(text);
                    ck_assert_msg(r->rows == (whole ? 3u : 2u) && r->torn == !whole, "%s", text);
                    ck_assert(!whole || r->column[0].value[2] == strtod(cells[last], NULL));
                    nr_readings_free(r);
                }
}
END_TEST

/* --- pauses --------------------------------------------------------------------------------------
 */

#define WEEK_MS 604800000LL

/* In whole milliseconds: what is more than a week becomes a second, and labels before it move to
 * where the label behind it says they were (never back). */
START_TEST(pauses)
{
    state = 8;
    for (int file = 0; file < 60; file++) {
        char text[3000] = "time_utc,elapsed_s,sun_W_m2\n";
        long long utc_ms[12], out_ms[12], written_ms = 0, gone_ms = 0, label_ms = 1000LL * DAY;
        size_t jumps = 0;
        double jump_at_s = NAN;
        int rows = 2 + (int)draw(10);
        for (int i = 0; i < rows; i++) {
            long long by_ms = 1 + draw(60000);
            if (draw(3) == 0)
                by_ms = WEEK_MS + (draw(2) ? 1 : -1);
            else if (draw(4) == 0)
                by_ms = WEEK_MS * (1 + (long long)draw(30)) + draw(60000);
            written_ms += i ? by_ms : (long long)draw(5000);
            label_ms += i ? (draw(3) ? by_ms : (long long)draw(2000) - 1000) : 0;
            utc_ms[i] = label_ms;
            out_ms[i] = written_ms - gone_ms;
            if (i > 0 && out_ms[i] - out_ms[i - 1] > WEEK_MS) {
                gone_ms += out_ms[i] - out_ms[i - 1] - 1000;
                out_ms[i] = out_ms[i - 1] + 1000;
                jump_at_s = jumps++ ? jump_at_s : (double)out_ms[i] / 1000;
                long long later_ms = label_ms - 1000 - utc_ms[i - 1];
                for (int k = 0; k < i && later_ms > 0; k++)
                    utc_ms[k] += later_ms;
            }
            time_t s = (time_t)(label_ms / 1000);
            char utc[40];
            strftime(utc, sizeof utc, "%Y-%m-%dT%H:%M:%S", gmtime(&s));
            size_t used = strlen(text);
            snprintf(text + used, sizeof text - used, "%s.%03dZ,%lld.%03d,%d.5\n", utc,
                     (int)(label_ms % 1000), written_ms / 1000, (int)(written_ms % 1000), i);
        }
        nr_readings *r = parsed(text);
        ck_assert_uint_eq(r->rows, (size_t)rows);
        ck_assert_uint_eq(r->jumps, jumps);
        NEAR_AT(text, r->jumped_s, (double)gone_ms / 1000, 1e-5);
        ck_assert(jumps == 0 || fabs(r->jump_at_s - jump_at_s) < 1e-6);
        for (int i = 0; i < rows; i++) {
            NEAR_AT(text, r->elapsed_s[i], (double)out_ms[i] / 1000, 1e-6);
            NEAR_AT(text, r->utc_s[i], (double)utc_ms[i] / 1000, 1e-5);
        }
        nr_readings_free(r);
    }
}
END_TEST

/* --- what is wrong, and where
 * --------------------------------------------------------------------- */

#define HEAD "time_utc,elapsed_s,store_degC,fan\n"

static void row_of(char *to, int row, int bad, const char *with)
{
    char time[40], elapsed[20], store[20] = "21.5", fan[20] = "9";
    snprintf(time, sizeof time, "2026-05-04T00:00:%02d.000Z", row);
    snprintf(elapsed, sizeof elapsed, "%d.0", row);
    char *cell[] = {time, elapsed, store, fan};
    if (bad >= 0)
        strcpy(cell[bad], with);
    sprintf(to, "%s,%s,%s,%s\n", time, elapsed, store, fan);
}

START_TEST(names_line_and_column)
{
    static const char *const names[] = {"time_utc", "elapsed_s", "store_degC", "fan"};
    static const char *const wrong[] = {"x", "2.x", "--1", "0x1", "nan", "1 2"};
    for (int line = 0; line < 6; line++)
        for (int column = 0; column < 4; column++)
            for (size_t w = 0; w < sizeof wrong / sizeof *wrong; w++) {
                char text[600] = HEAD, quoted[80];
                for (int row = 0; row < 6; row++)
                    row_of(text + strlen(text), row, row == line ? column : -1, wrong[w]);
                nr_err err = refused(text);
                ck_assert_int_eq(err.line, line + 2);
                snprintf(quoted, sizeof quoted, "column %s: \"%s\"", names[column], wrong[w]);
                ck_assert_msg(strstr(err.text, quoted), "%s", err.text);
            }
}
END_TEST

/* Seconds since the start: to both ends of what a file may hold. */
START_TEST(ends_of_time)
{
    static const struct {
        const char *elapsed;
        bool good;
    } of[] = {{"1000000000", true},      {"-1000000000", true},
              {"1000000000.001", false}, {"4100000000", false},
              {"-1000000000.01", false}, {"4100000001", false},
              {"-4100000001", false},    {"", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int quick = 0; quick < 2; quick++) {
            char text[200];
            const char *quote = quick ? "" : "\"";
            snprintf(text, sizeof text, HEAD "2026-05-04T00:00:00.000Z,%s%s%s,21.5,9\n", quote,
                     of[i].elapsed, quote);
            if (of[i].good) {
                nr_readings *r = parsed(text);
                NEAR(r->elapsed_s[0], strtod(of[i].elapsed, NULL), 0);
                nr_readings_free(r);
            } else {
                (void)refused(text);
            }
        }
}
END_TEST

/* As many columns as there may be, and one more; names as long as they may be. */
START_TEST(many_columns_and_long_names)
{
    static char text[20000];
    for (int more = 0; more < 2; more++) {
        strcpy(text, "time_utc,elapsed_s");
        for (int i = 0; i < NR_READINGS_COLUMNS + more; i++)
            sprintf(text + strlen(text), ",c%d", i);
        strcat(text, "\n2026-05-04T00:00:00.000Z,0");
        for (int i = 0; i < NR_READINGS_COLUMNS + more; i++)
            sprintf(text + strlen(text), ",%d", 1000 + i);
        strcat(text, "\n");
        if (more) {
            ck_assert_ptr_nonnull(strstr(refused(text).text, "more than 256 columns"));
            continue;
        }
        nr_readings *r = parsed(text);
        for (int i = 0; i < NR_READINGS_COLUMNS; i++)
            NEAR(r->column[i].value[0], 1000 + i, 0);
        nr_readings_free(r);
    }
    for (int length = 60; length < 68; length++) {
        snprintf(text, sizeof text, "time_utc,elapsed_s,%0*d\n2026-05-04T00:00:00.000Z,0,1\n",
                 length, 0);
        if (length < NR_NAME) {
            nr_readings *r = parsed(text);
            ck_assert_uint_eq(strlen(r->column[0].channel), (size_t)length);
            nr_readings_free(r);
        } else {
            ck_assert_ptr_nonnull(strstr(refused(text).text, "too long"));
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_cell,   last_lines,
                                  pauses,       names_line_and_column,
                                  ends_of_time, many_columns_and_long_names,
                                  NULL};
    return run_tests("rows_drawn", tests);
}
