/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells drawn, written as a table with each separator, and read back: each cell in its place, each
 * row with its line. Quotes as RFC 4180 has them (2.5 to 2.7). */
#include "logger/import/cells.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>
#include <stdint.h>

#define ROWS 12
#define COLUMNS 6

static uint64_t state = 8302;
static nr_cells got;
static nr_err err;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

static nr_code reads(const char *text, long skip)
{
    err = (nr_err){.text = ""};
    return nr_cells_read(text, strlen(text), "table", skip, &got, &err);
}

typedef struct grid {
    char text[8000], cell[ROWS][COLUMNS][40];
    size_t rows, columns;
    long line[ROWS];
} grid;

static void put(grid *g, const char *words)
{
    ck_assert(strlen(g->text) + strlen(words) + 1 < sizeof g->text);
    strcat(g->text, words);
}

/* A time, then numbers, and now and then a word (which may hold the separator, a quote or, but
 * among blanks, the end of a line) or nothing. */
static void draw_cell(grid *g, size_t r, size_t c, char separator, long *line)
{
    char *cell = g->cell[r][c], written[100];
    unsigned kind = c == 0 ? 0 : drawn(8);
    bool blanks = separator == ' ';
    snprintf(written, sizeof written, c == 0 ? "10:%02u" : "%u.5", 10 + (unsigned)r);
    strcpy(cell, written);
    if (c > 0 && kind == 0) {
        snprintf(cell, 40, "lid%coff", separator);
        snprintf(written, sizeof written, "\"%s\"", cell);
    } else if (c > 0 && kind == 1 && !blanks) {
        strcpy(cell, "a 2\" pipe");
        strcpy(written, "\"a 2\"\" pipe\"");
    } else if (c > 0 && kind == 2 && !blanks) {
        strcpy(cell, "two lines");
        strcpy(written, "\"two\nlines\"");
        ++*line;
    } else if (c > 0 && kind == 3 && !blanks) {
        cell[0] = written[0] = '\0';
    }
    bool padded = !blanks && separator != '\t' && drawn(3) == 0;
    if (c > 0 || separator == '|')
        put(g, (char[]){separator, '\0'});
    put(g, padded || (blanks && c > 0 && drawn(2)) ? "  " : "");
    put(g, written);
    put(g, padded ? " " : "");
}

static void draw_grid(grid *g, char separator, long first_line)
{
    memset(g, 0, sizeof *g);
    g->rows = 4 + drawn(ROWS - 3);
    g->columns = 3 + drawn(COLUMNS - 2);
    long line = first_line;
    for (size_t r = 0; r < g->rows; r++, line++) {
        if (drawn(4) == 0) { /* a line of nothing, or drawn for the eye */
            static const char *const idle[] = {"\n", "+----+---+\n", "=====\n", "  \n", "|---:|\n"};
            put(g, idle[drawn(5)]);
            line++;
        }
        g->line[r] = line;
        for (size_t c = 0; c < g->columns; c++)
            draw_cell(g, r, c, separator, &line);
        put(g, separator == '|' ? "|\n" : "\n");
    }
}

static void compare(const grid *g, char separator)
{
    bool bars = separator == '|'; /* the frame's second bar leaves an empty cell behind it */
    ck_assert_msg(got.separator == separator, "'%c' for '%c' in\n%s", got.separator, separator,
                  g->text);
    ck_assert_msg(got.rows == g->rows, "%zu of %zu rows of\n%s", got.rows, g->rows, g->text);
    for (size_t r = 0; r < g->rows; r++) {
        ck_assert_msg(got.row[r].line == g->line[r], "line %ld for %ld in\n%s", got.row[r].line,
                      g->line[r], g->text);
        ck_assert_uint_eq(got.row[r].count, g->columns + bars);
        for (size_t c = 0; c < g->columns; c++)
            ck_assert_msg(strcmp(nr_cells_at(&got, r, c), g->cell[r][c]) == 0,
                          "%zu, %zu: \"%s\" for \"%s\" in\n%s", r, c, nr_cells_at(&got, r, c),
                          g->cell[r][c], g->text);
        ck_assert_str_eq(nr_cells_at(&got, r, g->columns), "");
        ck_assert_str_eq(nr_cells_at(&got, r, g->columns + 1), "");
    }
}

START_TEST(written_and_read)
{
    static const char separators[] = "\t;,| ";
    static grid g;
    for (int pass = 0; pass < 150; pass++) {
        char separator = separators[pass % 5];
        draw_grid(&g, separator, 1);
        ck_assert_msg(reads(g.text, 0) == NR_OK, "%s in\n%s", err.text, g.text);
        compare(&g, separator);
        nr_cells_free(&got);
        ck_assert(got.rows == 0 && !got.text && !got.row && !got.start);
    }
}
END_TEST

/* Lines skipped count, and what stands in them says nothing. */
START_TEST(lines_at_the_top)
{
    static grid g;
    for (long skip = 0; skip < 4; skip++) {
        char text[9000] = "";
        draw_grid(&g, ';', skip + 1);
        for (long k = 0; k < skip; k++)
            strcat(text, "1,2,3,4,5,6,7,8,9,10\n");
        strcat(text, g.text);
        ck_assert(reads(text, skip) == NR_OK);
        compare(&g, ';');
        nr_cells_free(&got);
    }
    ck_assert(reads("1,2\n3,4", 9) == NR_BAD);
    nr_cells_free(&got);
}
END_TEST

/* A first line "sep=" counts as skipped; whatever sign it states. Not longer, not shorter. */
START_TEST(a_stated_separator)
{
    static const struct {
        const char *text;
        char separator;
        size_t rows;
        long line;
    } of[] = {
        {"sep=;\n10:15;1,5\n", ';', 1, 2},       {"sep=:\n10.15:1,5\n", ':', 1, 2},
        {"sep=,\"\n10:15,1.5\n", ',', 1, 2},     {"sep=,x\n10:15;1\n10:16;2\n", ';', 3, 1},
        {"sep,\n10:15;1\n10:16;2\n", ';', 3, 1}, {"Sep=,\n10:15;1\n10:16;2\n", ';', 3, 1},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_msg(reads(of[i].text, 0) == NR_OK, "%s%s", of[i].text, err.text);
        ck_assert_msg(got.separator == of[i].separator && got.rows == of[i].rows &&
                          got.row[0].line == of[i].line,
                      "%s'%c', %zu rows, line %ld", of[i].text, got.separator, got.rows,
                      got.row[0].line);
        nr_cells_free(&got);
    }
    ck_assert(reads("sep=;\n10:15;1,5\n10:16;2,5\n", 1) == NR_OK); /* it is one of those skipped */
    ck_assert(got.separator == ';' && got.rows == 2 && got.row[0].line == 2);
    nr_cells_free(&got);
    ck_assert(reads("sep=;", 0) == NR_BAD);
    nr_cells_free(&got);
}
END_TEST

/* A quote that opens and never closes (an inch) swallows no lines; one over a few lines does. */
START_TEST(quotes_that_are_none)
{
    for (size_t lines = 1; lines < 8; lines++) {
        char text[400] = "10:15,1,\"x";
        for (size_t k = 0; k < lines; k++) {
            size_t used = strlen(text);
            (void)snprintf(text + used, sizeof text - used, "\n10:%zu,2,y", 16 + k);
        }
        strcat(text, "\"\n11:00,3,z\n11:01,4,z\n11:02,5,z\n");
        ck_assert(reads(text, 0) == NR_OK);
        bool swallows = lines <= 3;
        ck_assert_msg(got.rows == (swallows ? 4 : lines + 4), "%zu: %zu rows", lines, got.rows);
        ck_assert_int_eq(got.row[1].line, swallows ? (long)lines + 2 : 2);
        ck_assert_str_eq(nr_cells_at(&got, got.rows - 1, 2), "z");
        nr_cells_free(&got);
    }
}
END_TEST

/* Three signs are a line for the eye, two may be what somebody wrote. */
START_TEST(lines_for_the_eye)
{
    static const struct {
        const char *line;
        size_t rows;
    } of[] = {{"---", 4},  {"--", 5}, {"-,-", 5}, {"-,--", 4}, {"-,+=", 4},
              {"---x", 5}, {",,", 4}, {"_:|", 4}, {"*****", 5}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[200];
        snprintf(text, sizeof text, "10:15,1\n10:16,2\n%s\n10:17,3\n10:18,4\n", of[i].line);
        ck_assert(reads(text, 0) == NR_OK);
        ck_assert_msg(got.rows == of[i].rows, "%s: %zu rows", of[i].line, got.rows);
        nr_cells_free(&got);
    }
}
END_TEST

/* Bars only in the middle are no frame: the first cell stays. */
START_TEST(frames)
{
    ck_assert(reads("10:15|1.5\n10:16|2.5\n", 0) == NR_OK);
    ck_assert(got.separator == '|' && got.row[1].count == 2);
    ck_assert_str_eq(nr_cells_at(&got, 1, 0), "10:16");
    nr_cells_free(&got);
    ck_assert(reads("of my stand\n|10:15|1.5|\n|10:16|2.5|\n", 0) == NR_OK);
    ck_assert(got.rows == 3 && got.row[0].count == 1 && got.row[1].count == 3);
    ck_assert_str_eq(nr_cells_at(&got, 0, 0), "of my stand");
    ck_assert_str_eq(nr_cells_at(&got, 2, 1), "2.5");
    nr_cells_free(&got);
    ck_assert(reads("|10:15|1.5|\n10:16|2.5|\n|10:17|2.5|\n", 0) == NR_OK);
    ck_assert_str_eq(nr_cells_at(&got, 0, 0), ""); /* one row has none: nobody's has */
    nr_cells_free(&got);
}
END_TEST

/* What gives no columns of numbers is refused; so wide a table as the limit is read. */
START_TEST(no_columns)
{
    static const char *const none[] = {"",         "\n\n",      "lid\noff\n", "lid off\non top\n",
                                       "17\n18\n", "a,b\nc,d\n"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        ck_assert_msg(reads(none[i], 0) == NR_BAD, "%s", none[i]);
        ck_assert_ptr_nonnull(strstr(err.text, "has no columns of numbers"));
        nr_cells_free(&got);
    }
    for (size_t width = NR_CELLS_COLUMNS - 1; width < NR_CELLS_COLUMNS + 2; width++) {
        static char text[4000];
        text[0] = '\0';
        for (size_t k = 0; k < 2 * width; k++)
            strcat(text, (k + 1) % width ? "1," : "1\n");
        ck_assert_msg(reads(text, 0) == (width <= NR_CELLS_COLUMNS ? NR_OK : NR_BAD), "%zu", width);
        nr_cells_free(&got);
    }
}
END_TEST

/* The sign that makes most cells numbers in most rows; blanks have to be better than others. */
START_TEST(which_separator)
{
    static const struct {
        const char *text;
        char separator;
    } of[] = {{"10:15;1,5\n10:16;2,5\n", ';'},
              {"2026-05-16 10:15,1.5\n2026-05-16 10:16,2.5\n", ','},
              {"10:15 1.5\n10:16 2.5\n", ' '},
              {"10:15, 1.5, 2\n10:16, 2.5, 2\n", ','},
              {"10:15\t1,5\t2\n10:16\t2,5\t2\n", '\t'},
              {"a b c,10:15,1\nd e f,10:16,2\n", ','},
              {"lid;off;on,1\nlid;off;on,2\n", ','}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_msg(reads(of[i].text, 0) == NR_OK, "%s%s", of[i].text, err.text);
        ck_assert_msg(got.separator == of[i].separator, "%s'%c'", of[i].text, got.separator);
        nr_cells_free(&got);
    }
    static const struct {
        char sign;
        const char *word;
    } words[] = {{'\t', "tab"}, {';', "semicolon"}, {',', "comma"},
                 {'|', "bar"},  {' ', "blanks"},    {':', "sign of its own"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        ck_assert_str_eq(nr_separator_word(words[i].sign), words[i].word);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {written_and_read,     lines_at_the_top,  a_stated_separator,
                                  quotes_that_are_none, lines_for_the_eye, frames,
                                  no_columns,           which_separator,   NULL};
    return run_tests("cells_drawn", tests);
}
