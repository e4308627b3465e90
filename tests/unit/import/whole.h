/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of import: a table and a rig as text, all of the way to readings. */
#ifndef NR_TESTS_WHOLE_H
#define NR_TESTS_WHOLE_H

#include "logger/import/import.h"
#include "tests/unit/near.h"

#include <stdarg.h>

/* Too large for a stack. */
typedef struct whole {
    nr_rig rig;
    nr_imported im;
    nr_err err;
    nr_code code;
} whole;

static inline bool whole_read(whole *w, const char *text, const char *rig,
                              const nr_import_stated *stated)
{
    memset(w, 0, sizeof *w);
    ck_assert_msg(nr_rig_parse(rig, strlen(rig), "rig.ini", NR_RIG_FOR_READINGS, &w->rig, NULL,
                               &w->err) == NR_OK,
                  "%s", w->err.text);
    w->code = nr_import_read(text, strlen(text), "table.csv", &w->rig, stated, &w->im, &w->err);
    return w->code == NR_OK;
}

static inline void whole_forget(whole *w)
{
    nr_imported_free(&w->im);
}

/* Is this whole sentence among what was said? */
static inline bool whole_said(const whole *w, const char *sentence)
{
    for (size_t i = 0; i < w->im.said.count; i++)
        if (strcmp(w->im.said.text[i], sentence) == 0)
            return true;
    return false;
}

/* For messages of a failed check: all that was said. */
static inline const char *whole_all(const whole *w)
{
    static char all[8000];
    size_t used = 0;
    all[0] = '\0';
    for (size_t i = 0; i < w->im.said.count && used + NR_SAID_TEXT + 2 < sizeof all; i++)
        used += (size_t)snprintf(all + used, sizeof all - used, "\n%s", w->im.said.text[i]);
    return all;
}

/* The reading of a row and a channel, both from 0. */
static inline double whole_at(const whole *w, size_t row, size_t channel)
{
    ck_assert(row < w->im.rows.count && channel < w->rig.channels);
    return w->im.value[row * w->rig.channels + channel];
}

/* Appends to text, as printf. */
__attribute__((format(printf, 3, 4))) static inline void whole_add(char *text, size_t size,
                                                                   const char *format, ...)
{
    size_t used = strlen(text);
    va_list args;
    va_start(args, format);
    ck_assert(vsnprintf(text + used, size - used, format, args) < (int)(size - used));
    va_end(args);
}

#endif
