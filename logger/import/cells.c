/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/cells.h"

#include "logger/base/text.h"
#include "logger/import/moment.h"
#include "logger/import/number.h"
#include "logger/run/file.h"

#include <csv.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The separator is judged by so many rows at the beginning. */
#define LOOKED_AT 400

static const struct {
    char sign;
    const char *word;
} separators[] = {{'\t', "tab"}, {';', "semicolon"}, {',', "comma"}, {'|', "bar"}, {' ', "blanks"}};
#define SEPARATORS (sizeof separators / sizeof *separators)

const char *nr_separator_word(char separator)
{
    for (size_t i = 0; i < SEPARATORS; i++)
        if (separators[i].sign == separator)
            return separators[i].word;
    return "sign of its own";
}

/* --- cells --------------------------------------------------------------------------------- */

typedef struct building {
    nr_cells *grid;
    size_t cell_room, row_room, text_used, text_room, most_rows;
    long line, row_line;
    size_t row_first;
    bool failed, long_cell;
} building;

static void *grow(void *old, size_t *room, size_t size)
{
    size_t more = *room ? *room * 2 : 1024;
    void *p = more > SIZE_MAX / size ? NULL : realloc(old, more * size);
    if (p)
        *room = more;
    return p;
}

static void add_cell(void *bytes, size_t length, void *context)
{
    building *b = context;
    nr_cells *g = b->grid;
    while (!b->failed && b->text_used + length + 1 > b->text_room) {
        char *text = grow(g->text, &b->text_room, 1);
        b->failed = text == NULL;
        g->text = text ? text : g->text;
    }
    if (!b->failed && g->cells == b->cell_room) {
        void *start = grow(g->start, &b->cell_room, sizeof *g->start);
        b->failed = start == NULL;
        g->start = start ? start : g->start;
    }
    if (b->failed)
        return;
    char *to = g->text + b->text_used;
    if (length > 0)
        memcpy(to, bytes, length);
    to[length] = '\0';
    size_t breaks = 0;
    for (char *p = to; (p = strchr(p, '\n')) != NULL; breaks++)
        *p = ' ';
    b->long_cell = b->long_cell || breaks > 3;
    g->start[g->cells++] = b->text_used;
    b->text_used += length + 1;
}

/* A line drawn for the eye: "+------+", "=====", "|---:|". */
static bool is_ruler(const nr_cells *g, size_t first)
{
    size_t marks = 0;
    for (size_t i = first; i < g->cells; i++) {
        const char *cell = g->text + g->start[i];
        if (cell[strspn(cell, "-+=_|: ")])
            return false;
        marks += strlen(cell);
    }
    return marks >= 3;
}

static void end_row(int c, void *context)
{
    building *b = context;
    nr_cells *g = b->grid;
    (void)c;
    bool any = false;
    for (size_t i = b->row_first; i < g->cells && !any; i++)
        any = g->text[g->start[i]] != '\0';
    any = any && !is_ruler(g, b->row_first);
    if (any && !b->failed && g->rows == b->row_room) {
        void *row = grow(g->row, &b->row_room, sizeof *g->row);
        b->failed = row == NULL;
        g->row = row ? row : g->row;
    }
    if (any && !b->failed)
        g->row[g->rows++] = (nr_cells_row){b->row_first, g->cells - b->row_first, b->row_line};
    else
        g->cells = b->row_first;
    b->row_first = g->cells;
}

/* Blanks between cells, any number; quotes hold a cell together. */
static void split_blanks(building *b, const char *line, size_t length)
{
    const char *p = line, *end = line + length;
    while (p < end) {
        while (p < end && (*p == ' ' || *p == '\t'))
            p++;
        const char *start = p;
        if (p < end && *p == '"') {
            const char *close = memchr(p + 1, '"', (size_t)(end - p - 1));
            if (close) {
                add_cell((char *)(size_t)(p + 1), (size_t)(close - p - 1), b);
                p = close + 1;
                continue;
            }
        }
        while (p < end && *p != ' ' && *p != '\t')
            p++;
        if (p > start)
            add_cell((char *)(size_t)start, (size_t)(p - start), b);
    }
    end_row(0, b);
}

static bool split_all(building *b, const char *text, size_t length, char separator, char quote)
{
    struct csv_parser parser;
    bool blanks = separator == ' ';
    if (!blanks && csv_init(&parser, CSV_APPEND_NULL) != 0)
        return false;
    if (!blanks) {
        csv_set_blk_size(&parser, NR_CSV_GROWS);
        csv_set_delim(&parser, (unsigned char)separator);
        csv_set_quote(&parser, (unsigned char)quote);
    }
    const char *end = text + length;
    for (const char *p = text; p < end && !b->failed && b->grid->rows < b->most_rows;) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        size_t n = (size_t)((stop ? stop + 1 : end) - p);
        b->line++;
        if (blanks || parser.pstate == 0) /* 0: between rows */
            b->row_line = b->line;
        if (blanks)
            split_blanks(b, p, n - (stop != NULL));
        else if (csv_parse(&parser, p, n, add_cell, end_row, b) != n)
            b->failed = true;
        p += n;
    }
    if (!blanks) {
        csv_fini(&parser, add_cell, end_row, b);
        csv_free(&parser);
    }
    return !b->failed;
}

/* Bars around a table are its frame: the empty cell before the first is no column. */
static void drop_frame(nr_cells *g)
{
    for (size_t r = 0; r < g->rows; r++)
        if (g->row[r].count >= 2 && nr_cells_at(g, r, 0)[0])
            return;
    for (size_t r = 0; r < g->rows; r++)
        if (g->row[r].count >= 2) {
            g->row[r].first++;
            g->row[r].count--;
        }
}

static bool split(const char *text, size_t length, long first_line, char separator,
                  size_t most_rows, nr_cells *out)
{
    for (int pass = 0; pass < 2; pass++) {
        building b = {.grid = out, .line = first_line - 1, .most_rows = most_rows};
        *out = (nr_cells){.separator = separator};
        if (!split_all(&b, text, length, separator, pass == 0 ? '"' : '\0')) {
            nr_cells_free(out);
            return false;
        }
        /* A quote that is none (5" pipe) has swallowed lines: quotes mean nothing here. */
        if (!b.long_cell || pass == 1)
            break;
        nr_cells_free(out);
    }
    for (size_t i = 0; i < out->cells; i++)
        out->start[i] = (size_t)(nr_trim(out->text + out->start[i]) - out->text);
    if (separator == '|')
        drop_frame(out);
    return true;
}

void nr_cells_free(nr_cells *grid)
{
    free(grid->text);
    free(grid->start);
    free(grid->row);
    *grid = (nr_cells){0};
}

const char *nr_cells_at(const nr_cells *grid, size_t row, size_t column)
{
    const nr_cells_row *r = &grid->row[row];
    return column < r->count ? grid->text + grid->start[r->first + column] : "";
}

/* --- which separator ------------------------------------------------------------------------ */

static bool says_something(const char *cell)
{
    double value;
    nr_moment moment;
    return nr_number_of(cell, '.', &value, NULL) || nr_number_of(cell, ',', &value, NULL) ||
           nr_moment_read(cell, &moment);
}

/* Share of cells that are numbers or times, in rows as wide as most, times the share of such rows.
 * Below 0: this separator gives no columns. */
static double judge(const nr_cells *g)
{
    size_t wide[NR_CELLS_COLUMNS + 1] = {0}, width = 0;
    for (size_t r = 0; r < g->rows; r++)
        wide[g->row[r].count <= NR_CELLS_COLUMNS ? g->row[r].count : 0]++;
    for (size_t n = 2; n <= NR_CELLS_COLUMNS; n++)
        if (wide[n] * n > wide[width] * width)
            width = n;
    if (width < 2)
        return -1;
    double told = 0, cells = 0;
    for (size_t r = 0; r < g->rows; r++)
        for (size_t c = 0; g->row[r].count == width && c < width; c++) {
            const char *cell = nr_cells_at(g, r, c);
            cells += cell[0] != '\0';
            told += cell[0] && says_something(cell);
        }
    if (told < 1 || cells < 1)
        return -1;
    double share = told / cells * (double)wide[width] / (double)g->rows;
    return g->separator == ' ' ? 0.9 * share : share;
}

/* A first line "sep=;" as some spreadsheets write it. */
static char stated_separator(const char *text, size_t length)
{
    bool stated = length > 5 && strncmp(text, "sep=", 4) == 0 &&
                  (text[5] == '\n' || (text[5] == '"' && length > 6 && text[6] == '\n'));
    return stated ? text[4] : '\0';
}

nr_code nr_cells_read(const char *text, size_t length, const char *path, long skip, nr_cells *out,
                      nr_err *err)
{
    const char *p = text, *end = text + length;
    long line = 1;
    char separator = stated_separator(text, length);
    double best = -1;
    *out = (nr_cells){0};
    for (long left = skip + (separator != '\0' && skip == 0); left > 0 && p < end; left--, line++) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        p = stop ? stop + 1 : end;
    }
    for (size_t i = 0; i < SEPARATORS && separator == '\0'; i++) {
        nr_cells sample;
        if (!split(p, (size_t)(end - p), line, separators[i].sign, LOOKED_AT, &sample))
            return nr_fail(err, NR_BAD, path, 0, "not enough memory for this table");
        double score = judge(&sample);
        nr_cells_free(&sample);
        if (score > best + 1e-9) {
            best = score;
            out->separator = separators[i].sign;
        }
    }
    if (separator == '\0' && best < 0)
        return nr_fail(err, NR_BAD, path, 0,
                       "has no columns of numbers: neither commas, semicolons, tabs, bars nor "
                       "blanks part its lines into a time and at least one reading");
    separator = separator ? separator : out->separator;
    if (!split(p, (size_t)(end - p), line, separator, SIZE_MAX, out))
        return nr_fail(err, NR_BAD, path, 0, "not enough memory for this table");
    return NR_OK;
}
