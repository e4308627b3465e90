/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/table_doubts.h"

#include "logger/base/text.h"
#include "logger/import/moment.h"
#include "logger/import/number.h"

#include <stdio.h>
#include <string.h>

/* A head's words without its unit, folded and small. */
static void name_of(const char *head, char out[NR_FOLDED])
{
    (void)nr_unit_of_head(head, out, NR_FOLDED);
    nr_small(out);
}

static bool names_column(const nr_table *t, const char *cell)
{
    char a[NR_FOLDED], b[NR_FOLDED];
    name_of(cell, a);
    for (size_t c = 0; a[0] && c < t->columns; c++) {
        name_of(t->column[c].head, b);
        if (strcmp(a, b) == 0)
            return true;
    }
    return false;
}

/* Two and more of the names again, nothing that is a number, and yet not the same line. */
static bool is_other_head(const nr_table *t, size_t row)
{
    const nr_cells *g = &t->grid;
    size_t named = 0;
    bool same = true;
    for (size_t c = 0; c < g->row[row].count; c++) {
        const char *cell = nr_cells_at(g, row, c);
        double v;
        if (nr_number_of(cell, '.', &v, NULL) || nr_number_of(cell, ',', &v, NULL))
            return false;
        named += names_column(t, cell);
        same = same && strcmp(cell, nr_cells_at(g, t->head_row, c)) == 0;
    }
    return named >= 2 && !same;
}

static nr_code check_heads(const nr_table *t, nr_err *err)
{
    size_t next = 0; /* data row: no head */
    for (size_t r = t->rows > 0 ? t->row[0] : 0; t->headed && r < t->grid.rows; r++) {
        while (next < t->rows && t->row[next] < r)
            next++;
        bool data = next < t->rows && t->row[next] == r;
        if (!data && is_other_head(t, r))
            return nr_fail(err, NR_BAD, t->path, t->grid.row[r].line,
                           "here begins another table: its head is not that of line %ld (other "
                           "units, names or order). Split the file there",
                           t->grid.row[t->head_row].line);
    }
    return NR_OK;
}

/* "18,5,22,1" under "Tank,Air"; a first column of row numbers that the head knows nothing of. */
static nr_code check_width(const nr_table *t, nr_err *err)
{
    size_t names = t->headed ? t->grid.row[t->head_row].count : t->columns, numbers = 0;
    for (size_t c = names; c < t->columns; c++)
        numbers += t->column[c].numbers > 0;
    bool shifted = t->headed && t->columns == names + 1 && t->column[0].moments == 0 &&
                   t->column[1].moments > t->rows / 2 && t->column[names].filled > t->rows / 2;
    if (shifted)
        return nr_fail(err, NR_BAD, t->path, t->grid.row[t->head_row].line,
                       "the rows have one column more than the head has names, probably the first, "
                       "of row numbers: give it a name in the head");
    if (numbers == 0 || t->grid.separator != ',')
        return NR_OK;
    return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                   "the rows have %zu cells and the head %zu: are there decimal commas among the "
                   "commas? Export it with semicolons, with quotes, or with decimal points",
                   t->columns, names);
}

/* A column of words such as "Sensor" with several of them: one reading a row, of this and of that.
 */
static bool is_whose(const nr_table *t, size_t column, char shown[NR_HEAD])
{
    static const char words[] =
        "sensor probe channel kanal fuhler sonde sensore capteur sensorname "
        "name tag variable parameter measurement quantity groesse grosse";
    const nr_table_column *c = &t->column[column];
    const char *first = "", *other = "";
    size_t changes = 0;
    if (!nr_terms_any(&c->terms, words) || c->numbers > 0 || c->moments > 0 || c->filled < t->rows)
        return false;
    for (size_t r = 0; r < t->rows; r++) {
        const char *cell = nr_table_cell(t, r, column);
        first = first[0] ? first : cell;
        other = !other[0] && strcmp(cell, first) != 0 ? cell : other;
        changes += r > 0 && strcmp(cell, nr_table_cell(t, r - 1, column)) != 0;
    }
    char both[NR_HEAD];
    snprintf(both, sizeof both, "%.50s, %.50s", first, other);
    nr_clean(shown, NR_HEAD, both, strlen(both));
    return other[0] && changes > 0;
}

static nr_code check_long(const nr_table *t, nr_err *err)
{
    char shown[NR_HEAD], name[NR_HEAD];
    for (size_t c = 0; c < t->columns; c++)
        if (is_whose(t, c, shown)) {
            nr_table_name(t, c, name, sizeof name);
            return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                           "\"%s\" says whose reading each row is (%s): a column for each of them "
                           "is wanted, as a spreadsheet's pivot table makes it; or leave one "
                           "sensor's rows in the file",
                           name, shown);
        }
    return NR_OK;
}

nr_code nr_table_doubts(const nr_table *t, nr_err *err)
{
    nr_code code = check_heads(t, err);
    if (code == NR_OK)
        code = check_width(t, err);
    return code == NR_OK ? check_long(t, err) : code;
}
