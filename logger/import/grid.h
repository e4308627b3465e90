/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text to cells: the separator is found by what the cells then are. */
#ifndef NR_IMPORT_GRID_H
#define NR_IMPORT_GRID_H

#include "logger/base/err.h"

#include <stddef.h>

/* More columns than this are no table of a test's readings. */
#define NR_GRID_COLUMNS 256

typedef struct nr_grid_row {
    size_t first, count; /* cells */
    long line;           /* in the file, from 1 */
} nr_grid_row;

typedef struct nr_grid {
    char separator; /* ',', ';', '\t', '|' or ' ' for any blanks */
    size_t rows, cells;
    nr_grid_row *row; /* without those that are empty */
    size_t *start;    /* [cells] where in text each begins: trimmed, ended by a NUL */
    char *text;
} nr_grid;

/* skip: lines at the top that are left out. NR_BAD: no separator gives columns of numbers, or
 * there is no memory. */
nr_code nr_grid_read(const char *text, size_t length, const char *path, long skip, nr_grid *out,
                     nr_err *err);
void nr_grid_free(nr_grid *grid);

/* "" where the row is shorter. */
const char *nr_grid_cell(const nr_grid *grid, size_t row, size_t column);

/* "comma", "tab" ... */
const char *nr_separator_word(char separator);

#endif
