/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/lines.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/text.h"

#include <string.h>

#define LABEL_COLUMNS 26 /* with these, a row in SI units fits the width */

void nr_padded(FILE *to, const char *label, int columns)
{
    char clean[256];
    nr_clean(clean, sizeof clean, label, strlen(label));
    int wide = nr_columns(clean, strlen(clean));
    if (wide <= columns) {
        fprintf(to, "%s%*s", clean, columns - wide, "");
        return;
    }
    size_t bytes = nr_columns_fit(clean, columns - 1);
    fprintf(to, "%.*s~%*s", (int)bytes, clean, columns - 1 - nr_columns(clean, bytes), "");
}

void nr_quantity_heading(FILE *to)
{
    nr_quantity_heading_as(to, "95 % interval");
}

void nr_quantity_heading_as(FILE *to, const char *interval)
{
    fprintf(to, "  %*s %7s  %-18s %-6s %s\n", LABEL_COLUMNS, "", "value", interval, "random",
            "sensors");
}

void nr_quantity_row(FILE *to, const char *label, nr_shown what, nr_units units,
                     const nr_quantity *q)
{
    if (nr_columns(label, strlen(label)) > LABEL_COLUMNS) {
        /* A line of its own rather than cut. */
        char indent[16];
        size_t spaces = strspn(label, " ");
        (void)snprintf(indent, sizeof indent, "%*s", (int)(2 + (spaces < 8 ? spaces : 8)), "");
        nr_paragraph(to, indent, label + spaces);
        label = "";
    }
    fputs("  ", to);
    nr_padded(to, label, LABEL_COLUMNS);
    if (!q->known) {
        fputs("       -  not determined\n", to);
        return;
    }
    nr_quantity d = nr_display_quantity(what, units, q);
    int place = nr_round_place(d.u, 2);
    char value[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED], a[NR_ROUNDED], b[NR_ROUNDED];
    char interval[2 * NR_ROUNDED + 8];
    (void)snprintf(interval, sizeof interval, "%s .. %s", nr_round_text(d.lo95, place, lo),
                   nr_round_text(d.hi95, place, hi));
    int wide = 2 + LABEL_COLUMNS +
               fprintf(to, " %7s  %-18s %-6s ", nr_round_text(d.value, place, value), interval,
                       nr_round_text(d.u_random, place, a));
    (void)nr_round_text(d.u_systematic, place, b);
    const char *unit = nr_display_of(what, units)->plain;
    if (unit[0] == '\0')
        fprintf(to, "%s\n", b);
    else if (wide + 7 + (int)strlen(unit) <= NR_LINE_WIDTH)
        fprintf(to, "%-6s %s\n", b, unit);
    else /* a long unit of the US system has the next line */
        fprintf(to, "%s\n%*s\n", b, NR_LINE_WIDTH, unit);
}

void nr_trust_lines(FILE *to, const nr_trust *trust, nr_units units)
{
    for (size_t i = 0; i < trust->count; i++) {
        char text[NR_TELL];
        nr_tell_trust(text, sizeof text, &trust->reason[i], units);
        nr_paragraph(to, i ? "  also: " : "Doubtful. ", text);
    }
    if (trust->count)
        fputc('\n', to);
}

void nr_warning_lines(FILE *to, const char *heading, const nr_warnings *warnings, nr_units units,
                      nr_warning_code left_out)
{
    bool headed = false;
    for (size_t i = 0; i < warnings->count; i++) {
        char text[NR_TELL];
        if (warnings->item[i].code == left_out)
            continue;
        if (!headed)
            fprintf(to, "\n%s\n", heading);
        headed = true;
        nr_tell_warning(text, sizeof text, &warnings->item[i], warnings, units);
        nr_paragraph(to, "  - ", text);
    }
}
