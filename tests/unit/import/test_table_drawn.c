/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables drawn with what may stand around readings (titles, groups, units, kinds of value, the head
 * again, remarks), read and compared with what was put there; and each sign by which a table is not
 * what it seems, from both sides. */
#include "logger/import/table_doubts.h"
#include "tests/unit/chance.h"
#include "tests/unit/import/tables.h"

#include <stdint.h>

#define COLUMNS 5
#define ROWS 20

static uint64_t state = 8307;
static nr_table sheet;
static nr_err err;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

static nr_code reads(const char *text)
{
    err = (nr_err){.text = ""};
    return nr_table_read(text, strlen(text), "table", 0, &sheet, &err);
}

static const char *const names[COLUMNS] = {"Time", "Tank", "Outlet", "Air", "Lid"};
static const char *const units[] = {"degC", "degF", "K", "mph"};

typedef struct drawn_table {
    char text[4000];
    size_t columns, rows, before, repeated, strange;
    long line, first_strange, row_line[ROWS];
    double value[ROWS][COLUMNS]; /* NAN: empty */
    size_t unit[COLUMNS];        /* 4: none */
    bool headed, grouped;
    char decimal;
} drawn_table;

static void put(drawn_table *t, const char *words)
{
    ck_assert(strlen(t->text) + strlen(words) + 1 < sizeof t->text);
    strcat(t->text, words);
}

static void end_line(drawn_table *t)
{
    put(t, "\n");
    t->line++;
}

static void put_names(drawn_table *t)
{
    for (size_t c = 0; c < t->columns; c++) {
        put(t, c > 0 ? ";" : "");
        put(t, c > 0 && t->grouped ? "Temp" : names[c]);
    }
    end_line(t);
}

static void draw_head(drawn_table *t)
{
    bool below = drawn(2), kinds = drawn(3) == 0;
    for (t->before = drawn(3); (size_t)t->line <= t->before;) { /* titles */
        put(t, "my stand in May");
        end_line(t);
    }
    if (t->grouped) { /* the tell-apart names above "Temp" */
        for (size_t c = 1; c < t->columns; c++) {
            put(t, ";");
            put(t, names[c]);
        }
        end_line(t);
    }
    put_names(t);
    for (size_t c = 0; c < t->columns && below; c++) {
        t->unit[c] = c > 0 ? drawn(4) : 4;
        put(t, c > 0 ? ";" : "");
        put(t, c > 0 ? units[t->unit[c]] : "");
    }
    if (below)
        end_line(t);
    for (size_t c = 0; c < t->columns && kinds; c++)
        put(t, c > 0 ? ";Avg" : "");
    if (kinds)
        end_line(t);
}

static void draw_rows(drawn_table *t)
{
    for (size_t r = 0; r < t->rows; r++) {
        char cell[40];
        if (t->headed && r > 0 && drawn(9) == 0) {
            put_names(t);
            t->repeated++;
        }
        if (r > 0 && drawn(9) == 0) {
            t->first_strange = t->strange++ ? t->first_strange : t->line;
            put(t, "lid off");
            end_line(t);
        }
        t->row_line[r] = t->line;
        snprintf(cell, sizeof cell, "2026-05-16 10:%02zu", 10 + r);
        put(t, cell);
        for (size_t c = 1; c < t->columns; c++) {
            bool empty = c > 1 && drawn(6) == 0;
            unsigned whole = 11 + drawn(80), tenth = drawn(10);
            t->value[r][c] = empty ? NAN : whole + 0.1 * tenth;
            snprintf(cell, sizeof cell, ";%u%c%u", whole, t->decimal, tenth);
            put(t, empty ? ";" : cell);
        }
        end_line(t);
    }
}

static void draw_table(drawn_table *t)
{
    memset(t, 0, sizeof *t);
    t->line = 1;
    t->columns = 3 + drawn(COLUMNS - 2);
    t->rows = 5 + drawn(ROWS - 5);
    t->headed = drawn(4) > 0;
    t->grouped = t->headed && drawn(3) == 0;
    t->decimal = drawn(2) ? ',' : '.';
    for (size_t c = 0; c < COLUMNS; c++)
        t->unit[c] = 4;
    if (t->headed)
        draw_head(t);
    draw_rows(t);
}

static void compare_columns(const drawn_table *t)
{
    for (size_t c = 0; c < t->columns; c++) {
        const nr_table_column *column = &sheet.column[c];
        char head[40];
        size_t filled = 0;
        snprintf(head, sizeof head, "%s%s", t->headed ? names[c] : "",
                 c > 0 && t->grouped ? " Temp" : "");
        ck_assert_msg(strcmp(column->head, head) == 0, "%s for %s in\n%s", column->head, head,
                      t->text);
        for (size_t r = 0; r < t->rows; r++)
            filled += isnan(t->value[r][c]) ? 0 : 1;
        ck_assert_uint_eq(column->filled, filled);
        ck_assert_uint_eq(column->numbers, c > 0 ? filled : 0);
        ck_assert_uint_eq(column->moments, c > 0 ? 0 : filled);
        ck_assert(!column->dotted);
        if (t->unit[c] == 4)
            ck_assert_int_eq(column->unit.measure, NR_MEASURE_NONE);
        else
            ck_assert_str_eq(column->unit.unit->name, units[t->unit[c]]);
    }
}

START_TEST(what_was_put_there)
{
    static drawn_table t;
    for (int pass = 0; pass < 120; pass++) {
        draw_table(&t);
        ck_assert_msg(reads(t.text) == NR_OK, "%s\n%s", err.text, t.text);
        ck_assert_msg(sheet.rows == t.rows && sheet.columns == t.columns, "%zu x %zu:\n%s",
                      sheet.rows, sheet.columns, t.text);
        ck_assert_msg(sheet.headed == t.headed && sheet.before == t.before, "%d, %zu:\n%s",
                      sheet.headed, sheet.before, t.text);
        ck_assert_msg(sheet.repeated == t.repeated && sheet.strange == t.strange &&
                          sheet.first_strange == t.first_strange,
                      "%zu %zu %ld:\n%s", sheet.repeated, sheet.strange, sheet.first_strange,
                      t.text);
        ck_assert_int_eq(sheet.decimal, t.decimal);
        compare_columns(&t);
        for (size_t r = 0; r < t.rows; r++) {
            ck_assert_int_eq(nr_table_line(&sheet, r), t.row_line[r]);
            for (size_t c = 1; c < t.columns; c++) {
                double v = NAN;
                bool is = nr_table_number(&sheet, r, c, &v);
                ck_assert(is == !isnan(t.value[r][c]));
                if (is)
                    NEAR(v, t.value[r][c], 1e-9);
            }
        }
        ck_assert_msg(nr_table_doubts(&sheet, &err) == NR_OK, "%s\n%s", err.text, t.text);
        nr_table_free(&sheet);
    }
}
END_TEST

/* --- doubts ----------------------------------------------------------------------------------- */

static const struct {
    const char *text, *words; /* "": no doubt */
    long line;
} doubtful[] = {
    /* another head: two of the names and more, in another order or with other units */
    {"time,Tank,Air\n10:15,1.5,2\n10:16,1.5,2\ntime,Air,Tank\n10:17,1.5,2\n",
     "here begins another table: its head is not that of line 1 (other units, names or order). "
     "Split the file there",
     4},
    {"time,Tank (C),Air\n10:15,1.5,2\ntime,Tank (F),Air\n10:17,1.5,2\n", "here begins", 3},
    {"time,Tank,Air\n10:15,1.5,2\ntime,Mug,Pan\n10:17,1.5,2\n", "", 0},
    {"time,Tank,Air\n10:15,1.5,2\ntime,Tank,Pan\n10:17,1.5,2\n", "here begins", 3},
    {"time,Tank,Air\n10:15,1.5,2\ntime,Air,7\n10:17,1.5,2\n", "", 0},
    {"time,Tank,Air\n10:15,1.5,2\ntime,Tank,Air\n10:17,1.5,2\n", "", 0},
    {"time,Tank,Air\n10:15,1.5,2\nTIME,TANK,AIR\n10:17,1.5,2\n", "here begins", 3},
    {"time,T,A\n10:15,1.5,2\nt,A,T\n10:17,1.5,2\n", "here begins", 3}, /* of one letter */
    {"time,T,A\n10:15,1.5,2\nt,A,b\n10:17,1.5,2\n", "", 0},
    /* one cell more than names */
    {"time,Tank\n10:15,18,5\n10:16,18,6\n",
     "the rows have 3 cells and the head 2: are there decimal commas among the commas? Export it "
     "with semicolons, with quotes, or with decimal points",
     2},
    {"time;Tank\n10:15;18;5\n10:16;18;6\n", "", 0},
    {"time,Tank\n10:15,18.5,a\n10:16,18.6,b\n", "", 0},
    {"time,Tank\n1,10:15,18.5\n2,10:16,18.6\n",
     "the rows have one column more than the head has names, probably the first, of row numbers: "
     "give it a name in the head",
     1},
    {"time;Tank\n1;10:15;18.5\n2;10:16;18.6\n", "the rows have one column more", 1},
    {"time;Tank\n1;10:15;18.5\n2;10:16;18.6\n3;10:17;\n4;10:18;\n", "", 0},
    {"time;Tank\n1;10:15;18.5\n2;10:16;18.6\n3;10:17;18.6\n4;10:18;\n", "the rows have one", 1},
    {"no;time;Tank\n1;10:15;18.5\n2;10:16;18.6\n", "", 0},
    /* whose reading a row is */
    {"time,Sensor,Value\n10:15,tank,1.5\n10:15,air,2\n",
     "\"Sensor\" says whose reading each row is (tank, air): a column for each of them is wanted, "
     "as a spreadsheet's pivot table makes it; or leave one sensor's rows in the file",
     2},
    {"time,Sensor,Value\n10:15,tank,1.5\n10:16,tank,2\n", "", 0},
    {"time,Remark,Value\n10:15,tank,1.5\n10:15,air,2\n", "", 0},
    {"time,Sensor,Value\n10:15,tank,1.5\n10:15,air,2\n10:16,,2\n", "", 0},
    {"time,Sensor,Value\n10:15,1,1.5\n10:15,2,2\n", "", 0},
    {"time,Variable,Value\n10:15,tank,1.5\n10:16,tank,2\n10:17,air,2\n10:18,pan,2\n", "(tank, air)",
     2},
};

START_TEST(doubts)
{
    for (size_t i = 0; i < sizeof doubtful / sizeof *doubtful; i++) {
        const char *text = doubtful[i].text, *words = doubtful[i].words;
        ck_assert_msg(reads(text) == NR_OK, "%s\n%s", err.text, text);
        nr_code code = nr_table_doubts(&sheet, &err);
        ck_assert_msg(code == (words[0] ? NR_BAD : NR_OK), "%s\n%s", err.text, text);
        ck_assert_msg(strstr(err.text, words) && err.line == doubtful[i].line, "line %ld: %s\n%s",
                      err.line, err.text, text);
        if (strlen(words) > 60)
            ck_assert_str_eq(err.text, words);
        nr_table_free(&sheet);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_was_put_there, doubts, NULL};
    return run_tests("table_drawn", tests);
}
