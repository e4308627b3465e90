/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/table.h"

#include "logger/base/text.h"
#include "logger/import/moment.h"
#include "logger/import/number.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HEAD_ROWS 4 /* group, name, unit, kind of value */

typedef enum kind { KIND_EMPTY, KIND_NUMBER, KIND_MOMENT, KIND_TEXT } kind;

static kind kind_of(const char *cell)
{
    double value;
    nr_moment moment;
    if (!cell[0])
        return KIND_EMPTY;
    if (nr_number_of(cell, '.', &value, NULL) || nr_number_of(cell, ',', &value, NULL))
        return KIND_NUMBER;
    return nr_moment_read(cell, &moment) ? KIND_MOMENT : KIND_TEXT;
}

/* --- which rows are readings ---------------------------------------------------------------- */

typedef struct frame {
    const nr_cells *grid;
    size_t width;
    kind of[NR_CELLS_COLUMNS]; /* what most cells of a column are */
    bool moments;              /* some column holds times */
} frame;

static size_t told_in(const nr_cells *g, size_t row)
{
    size_t told = 0;
    for (size_t c = 0; c < g->row[row].count && c < NR_CELLS_COLUMNS; c++) {
        kind k = kind_of(nr_cells_at(g, row, c));
        told += k == KIND_NUMBER || k == KIND_MOMENT;
    }
    return told;
}

static bool may_be_data(const nr_cells *g, size_t row)
{
    return told_in(g, row) >= 2;
}

/* The commonest width of rows with numbers; wide rows count more. */
static size_t common_width(const nr_cells *g)
{
    size_t wide[NR_CELLS_COLUMNS + 1] = {0}, width = 0;
    for (size_t r = 0; r < g->rows; r++)
        if (g->row[r].count <= NR_CELLS_COLUMNS && may_be_data(g, r))
            wide[g->row[r].count]++;
    for (size_t n = 2; n <= NR_CELLS_COLUMNS; n++)
        if (wide[n] > 0 && wide[n] * n >= wide[width] * width)
            width = n;
    return width;
}

static void find_kinds(frame *f)
{
    const nr_cells *g = f->grid;
    for (size_t c = 0; c < f->width; c++) {
        size_t count[4] = {0};
        for (size_t r = 0; r < g->rows; r++)
            if (may_be_data(g, r))
                count[kind_of(nr_cells_at(g, r, c))]++;
        size_t filled = count[KIND_NUMBER] + count[KIND_MOMENT] + count[KIND_TEXT];
        f->of[c] = filled == 0                       ? KIND_EMPTY
                   : count[KIND_MOMENT] * 2 > filled ? KIND_MOMENT
                   : count[KIND_NUMBER] * 2 > filled ? KIND_NUMBER
                                                     : KIND_TEXT;
        f->moments = f->moments || f->of[c] == KIND_MOMENT;
    }
}

/* A reading's row: times where the others have times; without such columns, numbers where the
 * others have numbers, the first of them included. */
static bool is_data(const frame *f, size_t row)
{
    size_t good = 0, bad = 0;
    bool first_good = false, first = true;
    kind wanted = f->moments ? KIND_MOMENT : KIND_NUMBER;
    for (size_t c = 0; c < f->width; c++) {
        kind k = kind_of(nr_cells_at(f->grid, row, c));
        if (f->of[c] != wanted)
            continue;
        if (first)
            first_good = k == wanted;
        first = false;
        good += k == wanted;
        bad += k != wanted && k != KIND_EMPTY;
    }
    return f->moments ? good > 0 && bad == 0 : first_good && good >= bad;
}

/* --- the head ------------------------------------------------------------------------------- */

static void unbracketed(const char *cell, char out[NR_FOLDED])
{
    nr_fold(cell, out, NR_FOLDED);
    nr_trim(out);
    size_t n = strlen(out);
    if (n > 2 && strchr("([{", out[0]) && strchr(")]}", out[n - 1])) {
        out[n - 1] = '\0';
        memmove(out, out + 1, n - 1);
        nr_trim(out);
    }
}

static bool is_kind_of_value(const char *cell)
{
    static const char words[] =
        " avg smp tot min max std mean sample inst average mittelwert moyenne ";
    char folded[NR_FOLDED], word[NR_FOLDED + 2];
    unbracketed(cell, folded);
    nr_small(folded);
    snprintf(word, sizeof word, " %s ", folded);
    return folded[0] && strstr(words, word);
}

/* Which share of a row's filled cells a test holds for: at least half, and one. */
static bool most_are(const nr_cells *g, size_t row, bool (*test)(const char *cell))
{
    size_t filled = 0, held = 0;
    for (size_t c = 0; c < g->row[row].count; c++) {
        const char *cell = nr_cells_at(g, row, c);
        filled += cell[0] != '\0';
        held += cell[0] && test(cell);
    }
    return held > 0 && held * 2 >= filled;
}

static bool is_unit(const char *cell)
{
    char folded[NR_FOLDED];
    unbracketed(cell, folded);
    return nr_unit_of_words(folded).measure != NR_MEASURE_NONE;
}

typedef struct head {
    size_t first, end; /* rows of the grid */
    size_t names;      /* row with the names; end: none */
    size_t units;      /* row with the units; end: none */
} head;

/* Rows above the first data row that are as wide and hold no numbers. */
static head find_head(const frame *f, size_t data)
{
    const nr_cells *g = f->grid;
    head h = {.first = data, .end = data, .names = data, .units = data};
    while (h.first > 0 && data - h.first < HEAD_ROWS) {
        size_t row = h.first - 1, count = g->row[row].count, told = told_in(g, row);
        bool nearest = h.first == data;
        bool wide = count >= 2 && count * 2 > f->width && (count <= f->width + 1);
        if (g->separator == ' ' && count != f->width)
            break;
        if (!wide || (nearest ? told >= count : told > 0))
            break;
        h.first--;
    }
    size_t row = data;
    if (row > h.first && most_are(g, row - 1, is_kind_of_value))
        row--;
    if (row > h.first + 1 && most_are(g, row - 1, is_unit))
        h.units = --row;
    if (row > h.first)
        h.names = row - 1;
    return h;
}

static bool doubled_names(const nr_cells *g, size_t row)
{
    for (size_t a = 0; a < g->row[row].count; a++)
        for (size_t b = 0; b < a; b++)
            if (nr_cells_at(g, row, a)[0] &&
                strcmp(nr_cells_at(g, row, a), nr_cells_at(g, row, b)) == 0)
                return true;
    return false;
}

/* Joined cells above doubled names tell them apart: "Inlet | | Outlet" over "Temp | RH | Temp". */
static void write_names(nr_table *t, const head *h)
{
    const nr_cells *g = &t->grid;
    bool groups = h->names > h->first && doubled_names(g, h->names);
    const char *group = "";
    for (size_t c = 0; c < t->columns; c++) {
        char text[2 * NR_HEAD];
        const char *name = nr_cells_at(g, h->names, c);
        if (groups && nr_cells_at(g, h->names - 1, c)[0])
            group = nr_cells_at(g, h->names - 1, c);
        snprintf(text, sizeof text, "%.*s%s%.*s", NR_HEAD / 2, groups ? group : "",
                 groups && group[0] && name[0] ? " " : "", NR_HEAD, name);
        nr_clean(t->column[c].head, NR_HEAD, text, strlen(text));
    }
}

static void understand_heads(nr_table *t, const head *h)
{
    for (size_t c = 0; c < t->columns; c++) {
        nr_table_column *column = &t->column[c];
        char folded[NR_FOLDED];
        column->unit = nr_unit_of_head(column->head, column->name, sizeof column->name);
        if (h->units < h->end) {
            unbracketed(nr_cells_at(&t->grid, h->units, c), folded);
            nr_stated_unit below = nr_unit_of_words(folded);
            if (below.measure != NR_MEASURE_NONE) {
                column->unit = below;
                nr_fold(column->head, column->name, sizeof column->name);
            }
        }
        nr_terms_of(column->name, &column->terms);
        nr_fold(column->head, folded, sizeof folded);
        nr_terms_of(folded, &column->all);
    }
}

/* --- rows ----------------------------------------------------------------------------------- */

static bool same_rows(const nr_cells *g, size_t a, size_t b)
{
    size_t n = g->row[a].count > g->row[b].count ? g->row[a].count : g->row[b].count;
    for (size_t c = 0; c < n; c++)
        if (strcmp(nr_cells_at(g, a, c), nr_cells_at(g, b, c)) != 0)
            return false;
    return true;
}

static void sort_rows(nr_table *t, const frame *f, const head *h)
{
    t->before = h->first;
    for (size_t r = h->end; r < t->grid.rows; r++) {
        bool again = false;
        for (size_t i = h->first; i < h->end && !again; i++)
            again = same_rows(&t->grid, r, i);
        if (is_data(f, r)) {
            t->row[t->rows++] = r;
        } else if (again) {
            t->repeated++;
        } else {
            t->first_strange = t->strange == 0 ? t->grid.row[r].line : t->first_strange;
            t->strange++;
        }
    }
}

/* --- numbers -------------------------------------------------------------------------------- */

/* Three figures behind a lone sign: thousands where the same column also has bare whole numbers. */
static void weigh_open(const nr_decimal_evidence *e, nr_decimal_evidence *all)
{
    all->point += e->point;
    all->comma += e->comma;
    if (e->open_point > 0) {
        all->open_point += e->whole == 0 ? e->open_point : 0;
        all->open_comma += e->whole > 0 ? e->open_point : 0;
    }
    if (e->open_comma > 0) {
        all->open_comma += e->whole == 0 ? e->open_comma : 0;
        all->open_point += e->whole > 0 ? e->open_comma : 0;
    }
}

/* "10.15" below "Ora" is a quarter past ten, and says nothing of the decimal sign. */
static void find_dotted(nr_table *t)
{
    static const char words[] = "time zeit uhrzeit hora heure ora tijd tid klokkeslett klokkeslaet "
                                "kello aika clock";
    for (size_t c = 0; c < t->columns; c++) {
        size_t good = 0, bad = 0;
        if (!nr_terms_any(&t->column[c].all, words))
            continue;
        for (size_t r = 0; r < t->rows; r++) {
            const char *cell = nr_table_cell(t, r, c);
            good += nr_moment_dotted(cell);
            bad += cell[0] && !nr_moment_dotted(cell);
        }
        t->column[c].dotted = good > 0 && bad == 0;
    }
}

static nr_code find_decimal(nr_table *t, nr_err *err)
{
    nr_decimal_evidence all = {0};
    for (size_t c = 0; c < t->columns; c++) {
        nr_decimal_evidence e = {0};
        if (t->column[c].dotted)
            continue;
        for (size_t r = 0; r < t->rows; r++)
            nr_decimal_look(&e, nr_table_cell(t, r, c));
        weigh_open(&e, &all);
    }
    bool both = all.point > 0 && all.comma > 0;
    if (both && all.point < 10 * all.comma && all.comma < 10 * all.point)
        return nr_fail(err, NR_BAD, t->path, 0,
                       "has numbers with a decimal point (%zu) and with a decimal comma (%zu); "
                       "write them in one way",
                       all.point, all.comma);
    if (all.point != all.comma)
        t->decimal = all.comma > all.point ? ',' : '.';
    else
        t->decimal = all.open_comma > all.open_point && t->grid.separator != ',' ? ',' : '.';
    return NR_OK;
}

/* Units behind the numbers themselves count where the head has none and all agree. */
static void count_cells(nr_table *t)
{
    for (size_t c = 0; c < t->columns; c++) {
        nr_table_column *column = &t->column[c];
        nr_stated_unit all = {.word = ""};
        bool agree = true;
        for (size_t r = 0; r < t->rows; r++) {
            const char *cell = nr_table_cell(t, r, c);
            nr_stated_unit unit;
            nr_moment moment;
            double value;
            if (!cell[0])
                continue;
            column->filled++;
            if (nr_number_of(cell, t->decimal, &value, &unit)) {
                agree = agree && (column->numbers == 0 || unit.unit == all.unit);
                all = unit;
                column->numbers++;
            } else {
                column->moments += nr_moment_read(cell, &moment);
            }
        }
        if (column->unit.measure == NR_MEASURE_NONE && agree)
            column->unit = all;
    }
}

/* A column of units beside the numbers: "18.5 | °C | 22.1 | °C". */
static void units_beside(nr_table *t)
{
    for (size_t c = 0; c + 1 < t->columns; c++) {
        nr_stated_unit all = {.word = ""};
        bool agree = t->column[c].numbers > 0 && t->column[c + 1].numbers == 0;
        if (t->column[c].unit.measure != NR_MEASURE_NONE)
            continue;
        for (size_t r = 0; r < t->rows && agree; r++) {
            char folded[NR_FOLDED];
            nr_fold(nr_table_cell(t, r, c + 1), folded, sizeof folded);
            nr_stated_unit u = nr_unit_of_words(folded);
            agree = u.measure == NR_MEASURE_UNIT && (r == 0 || u.unit == all.unit);
            all = u;
        }
        if (agree && all.measure == NR_MEASURE_UNIT)
            t->column[c].unit = all;
    }
}

const char *nr_table_cell(const nr_table *t, size_t row, size_t column)
{
    return nr_cells_at(&t->grid, t->row[row], column);
}

long nr_table_line(const nr_table *t, size_t row)
{
    return t->grid.row[t->row[row]].line;
}

bool nr_table_number(const nr_table *t, size_t row, size_t column, double *value)
{
    return nr_number_of(nr_table_cell(t, row, column), t->decimal, value, NULL);
}

static bool same_name(const char *a, const char *b)
{
    char x[NR_FOLDED], y[NR_FOLDED];
    nr_fold(a, x, sizeof x);
    nr_fold(b, y, sizeof y);
    nr_small(nr_trim(x));
    nr_small(nr_trim(y));
    return x[0] && strcmp(x, y) == 0;
}

size_t nr_table_find(const nr_table *t, const char *name, size_t *column)
{
    size_t found = 0;
    for (int pass = 0; pass < 2 && found == 0; pass++)
        for (size_t c = 0; c < t->columns; c++)
            if (same_name(name, pass == 0 ? t->column[c].head : t->column[c].name)) {
                *column = found == 0 ? c : *column;
                found++;
            }
    long number;
    if (found == 0 && nr_parse_long(name, 1, (long)t->columns, &number)) {
        *column = (size_t)number - 1;
        found = 1;
    }
    return found;
}

void nr_table_name(const nr_table *t, size_t column, char *out, size_t size)
{
    if (t->column[column].head[0])
        snprintf(out, size, "%s", t->column[column].head);
    else
        snprintf(out, size, "column %zu", column + 1);
}

static nr_code no_data(const nr_table *t, nr_err *err)
{
    return nr_fail(err, NR_BAD, t->path, 0,
                   "has no row with a time and a reading (parted by %s); is it a table? Lines that "
                   "are none of it are left out with --skip",
                   nr_separator_word(t->grid.separator));
}

nr_code nr_table_read(const char *text, size_t length, const char *path, long skip, nr_table *t,
                      nr_err *err)
{
    memset(t, 0, sizeof *t);
    nr_copy(t->path, sizeof t->path, path);
    nr_code code = nr_cells_read(text, length, path, skip, &t->grid, err);
    if (code != NR_OK)
        return code;
    frame f = {.grid = &t->grid, .width = common_width(&t->grid)};
    if (f.width < 2)
        return no_data(t, err);
    find_kinds(&f);
    t->columns = f.width;
    t->column = calloc(f.width, sizeof *t->column);
    t->row = calloc(t->grid.rows, sizeof *t->row);
    if (!t->column || !t->row)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory for this table");
    size_t data = 0;
    while (data < t->grid.rows && !is_data(&f, data))
        data++;
    if (data == t->grid.rows)
        return no_data(t, err);
    head h = find_head(&f, data);
    t->headed = h.names < h.end;
    t->head_row = h.names;
    if (t->headed)
        write_names(t, &h);
    understand_heads(t, &h);
    sort_rows(t, &f, &h);
    find_dotted(t);
    code = find_decimal(t, err);
    if (code == NR_OK) {
        count_cells(t);
        units_beside(t);
    }
    return code;
}

void nr_table_free(nr_table *t)
{
    nr_cells_free(&t->grid);
    free(t->column);
    free(t->row);
    t->column = NULL;
    t->row = NULL;
}
