/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/lines.h"

#include "analyze/show/round.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#define TEXT 2048
#define LABEL_COLUMNS 26 /* with these, a row in SI units fits the width */

void nr_sentence(FILE *to, nr_units units, const char *first, const char *format, ...)
{
    char text[TEXT], shown[TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    nr_display_text(shown, sizeof shown, text, units);
    nr_paragraph(to, first, shown);
}

void nr_padded(FILE *to, const char *label, int columns)
{
    char clean[256];
    nr_clean(clean, sizeof clean, label, strlen(label));
    int wide = nr_columns(clean, strlen(clean));
    if (wide <= columns) {
        fprintf(to, "%s%*s", clean, columns - wide, "");
        return;
    }
    size_t bytes = 0;
    for (int n = 0; clean[bytes] != '\0'; bytes++) {
        n += ((unsigned char)clean[bytes] & 0xC0) != 0x80;
        if (n == columns)
            break;
    }
    fprintf(to, "%.*s~", (int)bytes, clean);
}

void nr_quantity_heading(FILE *to)
{
    fprintf(to, "  %*s %7s  %-18s %-6s %s\n", LABEL_COLUMNS, "", "value", "95 % interval", "random",
            "sensors");
}

void nr_quantity_row(FILE *to, const char *label, nr_shown what, nr_units units,
                     const nr_quantity *q)
{
    fputs("  ", to);
    if (nr_columns(label, strlen(label)) > LABEL_COLUMNS) {
        /* A line of its own rather than cut. */
        fprintf(to, "%*s", (int)strspn(label, " "), "");
        nr_paragraph(to, "", label);
        fputs("  ", to);
        label = "";
    }
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
    fprintf(to, " %7s  %-18s %-6s ", nr_round_text(d.value, place, value), interval,
            nr_round_text(d.u_random, place, a));
    if (d.unit[0] != '\0')
        fprintf(to, "%-6s %s\n", nr_round_text(d.u_systematic, place, b), d.unit);
    else
        fprintf(to, "%s\n", nr_round_text(d.u_systematic, place, b));
}

char *nr_interval_text(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q,
                       int digits, const char *sign, bool with_unit)
{
    if (!q->known) {
        (void)snprintf(text, size, "not determined");
        return text;
    }
    nr_quantity d = nr_display_quantity(what, units, q);
    int place = nr_round_place(d.u, digits);
    char value[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    (void)nr_round_text(d.value, place, value);
    (void)snprintf(text, size, "%s%s%s%s (95 %%: %s to %s)", d.value > 0 ? sign : "", value,
                   with_unit && d.unit[0] != '\0' ? " " : "", with_unit ? d.unit : "",
                   nr_round_text(d.lo95, place, lo), nr_round_text(d.hi95, place, hi));
    return text;
}

void nr_warning_lines(FILE *to, const char *heading, const nr_warnings *warnings, nr_units units,
                      const char *left_out)
{
    bool headed = false;
    for (size_t i = 0; i < warnings->count; i++) {
        const nr_warning *w = &warnings->item[i];
        if (left_out != NULL && strcmp(w->code, left_out) == 0)
            continue;
        if (!headed)
            fprintf(to, "\n%s\n", heading);
        headed = true;
        nr_sentence(to, units, "  - ", "%s", w->text);
    }
}
