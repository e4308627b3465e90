/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells to a table: which rows are head, units, readings, and which are neither; what the columns
 * are called and hold; which sign is the decimal sign. */
#ifndef NR_IMPORT_TABLE_H
#define NR_IMPORT_TABLE_H

#include "logger/import/cells.h"
#include "logger/import/fold.h"
#include "logger/import/unit_words.h"

#include <stdbool.h>

#define NR_HEAD 120

typedef struct nr_table_column {
    char head[NR_HEAD];              /* as it stands, cleaned; "": the table has no head */
    char name[NR_FOLDED];            /* folded, without the unit */
    nr_terms terms;                  /* of name */
    nr_terms all;                    /* of the whole head */
    nr_stated_unit unit;             /* from the head, the row of units, or every cell */
    size_t filled, numbers, moments; /* cells of the data rows; the rest of filled is text */
    bool dotted; /* times of day, written with points ("10.15", "10.15.00") under a word for it */
} nr_table_column;

typedef struct nr_table {
    nr_cells grid;
    char path[NR_ERR_FILE];
    char decimal;
    size_t columns;
    nr_table_column *column; /* [columns] */
    size_t rows;
    size_t *row; /* [rows] the data rows, as rows of grid */
    bool headed;
    size_t head_row; /* with the names, in grid; where headed */
    size_t before, repeated,
        strange;        /* rows that are no data: above the head, heads again, others */
    long first_strange; /* line of the first of the last kind, 0: none */
} nr_table;

/* text: from nr_decode. Errors name path; nr_table_free also after an error. */
nr_code nr_table_read(const char *text, size_t length, const char *path, long skip, nr_table *out,
                      nr_err *err);
void nr_table_free(nr_table *table);

/* Cell of a data row. */
const char *nr_table_cell(const nr_table *table, size_t row, size_t column);
bool nr_table_number(const nr_table *table, size_t row, size_t column, double *value);
long nr_table_line(const nr_table *table, size_t row);

/* By its head (whole, or without its unit; small and capital letters are the same) or its number
 * from 1. Returns the number of columns that it names, the first in *column. */
size_t nr_table_find(const nr_table *table, const char *name, size_t *column);

/* What a person calls the column: its head, or "column 3". */
void nr_table_name(const nr_table *table, size_t column, char *out, size_t size);

#endif
