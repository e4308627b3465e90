/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/err.h"

#include <stdarg.h>
#include <string.h>

static void replace_controls(char *text)
{
    for (unsigned char *p = (unsigned char *)text; *p; p++)
        if (*p < 0x20 || *p == 0x7f)
            *p = '?';
}

static void fill(nr_err *e, nr_code code, const char *file, long line, const char *format,
                 va_list args)
{
    e->code = code;
    snprintf(e->file, sizeof e->file, "%s", file ? file : "");
    replace_controls(e->file);
    e->line = line;
    e->asked[0] = '\0';
    vsnprintf(e->text, sizeof e->text, format, args);
    replace_controls(e->text);
}

nr_code nr_fail(nr_err *e, nr_code code, const char *file, long line, const char *format, ...)
{
    if (e) {
        va_list args;
        va_start(args, format);
        fill(e, code, file, line, format, args);
        va_end(args);
    }
    return code;
}

nr_code nr_fail_asked(nr_err *e, const char *asked, const char *format, ...)
{
    if (e) {
        va_list args;
        va_start(args, format);
        fill(e, NR_BAD, NULL, 0, format, args);
        va_end(args);
        nr_err_asks(e, asked);
    }
    return NR_BAD;
}

void nr_err_asks(nr_err *e, const char *asked)
{
    if (e)
        snprintf(e->asked, sizeof e->asked, "%s", asked);
}

nr_code nr_fail_errno(nr_err *e, nr_code code, const char *file, int errnum, const char *format,
                      ...)
{
    if (e) {
        va_list args;
        va_start(args, format);
        fill(e, code, file, 0, format, args);
        va_end(args);
        size_t used = strlen(e->text);
        snprintf(e->text + used, sizeof e->text - used, ": %s", strerror(errnum));
    }
    return code;
}

void nr_err_print(FILE *to, const char *program, const nr_err *e)
{
    fprintf(to, "%s: ", program);
    if (e->file[0] && e->line > 0)
        fprintf(to, "%s:%ld: ", e->file, e->line);
    else if (e->file[0])
        fprintf(to, "%s: ", e->file);
    fprintf(to, "%s\n", e->text);
}

void nr_say(const nr_sink *sink, const char *format, ...)
{
    if (!sink || !sink->write)
        return;
    char line[NR_ERR_TEXT + NR_ERR_FILE];
    va_list args;
    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    replace_controls(line);
    sink->write(sink->context, line);
}
