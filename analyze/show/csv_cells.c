/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/csv_cells.h"

#include "analyze/tell/display.h"
#include "logger/base/text.h"

#include <csv.h>
#include <math.h>
#include <string.h>

void nr_csv_text(FILE *to, bool first, const char *text)
{
    char quoted[4 * 1024] = "'", *clean = quoted + 1;
    nr_clean(clean, sizeof quoted - 1, text, strlen(text));
    if (!first)
        fputc(',', to);
    /* A spreadsheet would take a name from a stranger's file for a formula and compute it. */
    const char *cell = clean[0] != '\0' && strchr("=+-@", clean[0]) != NULL ? quoted : clean;
    if (cell[strcspn(cell, ",\"; ")] != '\0')
        (void)csv_fwrite(to, cell, strlen(cell)); /* in quotes */
    else
        fputs(cell, to);
}

void nr_csv_number(FILE *to, double value)
{
    if (isfinite(value))
        fprintf(to, ",%.17g", value);
    else
        fputc(',', to);
}

void nr_csv_quantity(FILE *to, const nr_quantity *q)
{
    nr_csv_number(to, q->known ? q->value : NAN);
    nr_csv_number(to, q->u);
    nr_csv_number(to, q->u_random);
    nr_csv_number(to, q->u_systematic);
    nr_csv_number(to, q->lo95);
    nr_csv_number(to, q->hi95);
    nr_csv_text(to, false, nr_unit_word(q->unit));
}

nr_code nr_csv_done(FILE *to, nr_err *err)
{
    if (fflush(to) != 0 || ferror(to))
        return nr_fail(err, NR_BAD, NULL, 0, "could not write the table");
    return NR_OK;
}
