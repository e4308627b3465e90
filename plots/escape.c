/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/escape.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <math.h>
#include <string.h>

static void quote(FILE *to, const char *text, bool tic)
{
    char clean[1024];
    nr_clean(clean, sizeof clean, text, strlen(text));
    fputc('\'', to);
    for (const char *p = clean; *p != '\0'; p++) {
        if (*p == '\'')
            fputs("\u2019", to); /* the typographer's apostrophe */
        else if (*p == '`')
            fputs("\u2018", to);
        else if (*p == '@')
            fputs("(at)", to);
        else if (*p == '%' && tic)
            fputs("%%", to);
        else
            fputc(*p, to);
    }
    fputc('\'', to);
}

void nr_gp_quote(FILE *to, const char *text)
{
    quote(to, text, false);
}

void nr_gp_quote_tic(FILE *to, const char *text)
{
    quote(to, text, true);
}

void nr_gp_number(FILE *to, double value)
{
    char text[64];
    if (!isfinite(value) || snprintf(text, sizeof text, "%.9g", value) <= 0) {
        fputs("NaN", to);
        return;
    }
    for (char *p = text; *p != '\0'; p++)
        if (*p == ',')
            *p = '.';
    fputs(text, to);
}
