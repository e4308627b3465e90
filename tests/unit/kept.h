/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Texts that a person has looked at, kept as files: what is written now from the same stated inputs
 * has to say the same, line by line, word by word, numbers alike. For what is only set or drawn; no
 * estimate of ours is in them.
 *
 * The first line of a file says what it shows and when it was looked at. After a wanted change:
 * NOONRUN_RENEW_KEPT=1 and the test writes those that differ anew, each "not looked at yet", which
 * fails until somebody has looked and put "looked at YYYY-MM-DD" there. */
#ifndef NR_TESTS_KEPT_H
#define NR_TESTS_KEPT_H

#include "tests/unit/near.h"

#include <ctype.h>
#include <stdbool.h>

#define NOT_LOOKED_AT "not looked at yet"

static inline char *kept_text(const char *file)
{
    FILE *f = fopen(file, "rb");
    if (f == NULL)
        return NULL;
    fseek(f, 0, SEEK_END);
    size_t size = (size_t)ftell(f);
    rewind(f);
    char *text = calloc(1, size + 1);
    ck_assert(text != NULL && fread(text, 1, size, f) == size);
    (void)fclose(f);
    return text;
}

/* How far two numbers may lie apart that are written alike: a step of the last of four decimals or
 * more (a place on the canvas), or a millionth. */
static inline double kept_room(const char *digits, const char *end, double value)
{
    const char *point = memchr(digits, '.', (size_t)(end - digits));
    long decimals = point == NULL ? 0 : (long)(end - point) - 1;
    return fmax(1e-6 * fabs(value), decimals == 4 ? 1.01e-4 : 1e-9);
}

/* Where two lines begin to differ, numbers by their value; NULL: nowhere. */
static inline const char *kept_differs(const char *got, const char *kept)
{
    while (*got != '\0' || *kept != '\0') {
        if (isdigit((unsigned char)*got) && isdigit((unsigned char)*kept)) {
            char *after, *behind;
            double a = strtod(got, &after), b = strtod(kept, &behind);
            if (a != b && !(fabs(a - b) <= kept_room(kept, behind, b)))
                return got;
            got = after;
            kept = behind;
        } else if (*got++ != *kept++) {
            return got - 1;
        }
    }
    return NULL;
}

static inline void kept_renew(const char *file, const char *head, const char *tail,
                              const char *text)
{
    FILE *f = fopen(file, "wb");
    ck_assert_msg(f != NULL, "cannot write %s", file);
    fprintf(f, "%s" NOT_LOOKED_AT "%s\n%s", head, tail, text);
    ck_assert_int_eq(fclose(f), 0);
}

/* The line that differs, told; false: none does. */
static inline bool kept_line_differs(const char *name, int number, const char *got, size_t length,
                                     const char *kept, size_t kept_length)
{
    char *now = strndup(got, length), *then = strndup(kept, kept_length);
    ck_assert(now != NULL && then != NULL);
    const char *at = kept_differs(now, then);
    if (at != NULL)
        fprintf(stderr, "%s, line %d, is otherwise from \"%.40s\" on:\n%s\ninstead of\n%s\n", name,
                number, at, now, then);
    bool differs = at != NULL;
    free(now);
    free(then);
    return differs;
}

static inline bool kept_same(const char *name, const char *got, const char *kept)
{
    for (int number = 2; *got != '\0' || *kept != '\0'; number++) {
        size_t length = strcspn(got, "\n"), kept_length = strcspn(kept, "\n");
        if (kept_line_differs(name, number, got, length, kept, kept_length))
            return false;
        got += length + (got[length] == '\n');
        kept += kept_length + (kept[kept_length] == '\n');
    }
    return true;
}

/* Whether the text is what is kept in the file under that head ("# fit: one run; "), and
 * behind it the tail ("", " -->"). */
static inline void kept_as(const char *file, const char *head, const char *tail, const char *text)
{
    const bool renew = getenv("NOONRUN_RENEW_KEPT") != NULL;
    char *kept = kept_text(file);
    ck_assert_msg(kept != NULL || renew, "no %s (tests/unit/kept.h says how it is made)", file);
    bool same = kept != NULL && strncmp(kept, head, strlen(head)) == 0 &&
                kept_same(file, text, kept + strcspn(kept, "\n") + 1);
    if (!same && renew)
        kept_renew(file, head, tail, text);
    ck_assert_msg(same || renew,
                  "%s is not what is said now (if that is wanted: tests/unit/kept.h)", file);
    if (same)
        kept[strcspn(kept, "\n")] = '\0';
    ck_assert_msg(renew || strstr(kept, "; looked at 20") != NULL, "%s: " NOT_LOOKED_AT, file);
    free(kept);
}

#endif
