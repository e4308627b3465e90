/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/paragraph.h"

#include "logger/base/text.h"

#include <stdarg.h>
#include <stdbool.h>
#include <string.h>

#define TEXT 2048

/* Bytes of the form 10xxxxxx continue one. */
int nr_columns(const char *text, size_t bytes)
{
    int n = 0;
    for (size_t i = 0; i < bytes; i++)
        n += ((unsigned char)text[i] & 0xC0) != 0x80;
    return n;
}

void nr_paragraph(FILE *to, const char *first, const char *text)
{
    char clean[TEXT];
    nr_clean(clean, sizeof clean, text, strlen(text));
    if (clean[0] == '\0')
        return;
    int indent = nr_columns(first, strlen(first)), column = indent;
    fputs(first, to);
    bool fresh = true;
    for (const char *p = clean; *p != '\0';) {
        p += strspn(p, " ");
        size_t length = strcspn(p, " ");
        if (length == 0)
            break;
        int wide = nr_columns(p, length);
        if (!fresh && column + 1 + wide > NR_LINE_WIDTH) {
            fprintf(to, "\n%*s", indent, "");
            column = indent;
            fresh = true;
        }
        fprintf(to, "%s%.*s", fresh ? "" : " ", (int)length, p);
        column += wide + (fresh ? 0 : 1);
        fresh = false;
        p += length;
    }
    fputc('\n', to);
}

void nr_paragraph_of(FILE *to, const char *first, const char *format, ...)
{
    char text[TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    nr_paragraph(to, first, text);
}
