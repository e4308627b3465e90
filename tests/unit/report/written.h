/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is written of a page, read from its start: each part has to follow the one before it. */
#ifndef TESTS_WRITTEN_H
#define TESTS_WRITTEN_H

#include "analyze/report/html.h"
#include "analyze/report/sections.h"
#include "analyze/tell/round.h"
#include "tests/unit/near.h"

#include <stdarg.h>

static char *written;
static size_t written_size;
static const char *at;

static inline FILE *written_begins(void)
{
    FILE *to = open_memstream(&written, &written_size);
    ck_assert_ptr_nonnull(to);
    return to;
}

static inline void written_ends(FILE *to)
{
    ck_assert_int_eq(fclose(to), 0);
    at = written;
}

static inline void nothing_more(void)
{
    ck_assert_msg(*at == '\0', "more than was due: %.200s", at);
    free(written);
    written = NULL;
}

/* The next part is this text and no other. */
__attribute__((format(printf, 1, 2))) static inline void next(const char *format, ...)
{
    static char due[20000];
    va_list arguments;
    va_start(arguments, format);
    int n = vsnprintf(due, sizeof due, format, arguments);
    va_end(arguments);
    ck_assert(n >= 0 && (size_t)n < sizeof due);
    ck_assert_msg(strncmp(at, due, (size_t)n) == 0, "\n%.300s\nand not\n%.300s", at, due);
    at += n;
}

/* What a text becomes in a page, as html.h has it; until eight more were asked for. */
static inline const char *set_by(void (*set)(FILE *, const char *), const char *text)
{
    static char room[8][6000];
    static unsigned turn;
    char *to = room[turn++ % 8];
    FILE *f = fmemopen(to, sizeof room[0], "w");
    ck_assert_ptr_nonnull(f);
    set(f, text);
    ck_assert_int_eq(fclose(f), 0);
    return to;
}

static inline const char *words(const char *text)
{
    return set_by(nr_html_words, text);
}

static inline const char *plain(const char *text)
{
    return set_by(nr_html_text, text);
}

/* A number to a place, or to so many figures. */
static inline const char *to_place(double value, int place)
{
    static char room[8][NR_ROUNDED];
    static unsigned turn;
    return nr_round_text(value, place, room[turn++ % 8]);
}

static inline const char *figures(double value, int count)
{
    static char room[8][NR_ROUNDED];
    static unsigned turn;
    return nr_plain_text(value, count, room[turn++ % 8]);
}

#endif
