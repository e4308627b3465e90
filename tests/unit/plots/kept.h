/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole pictures that a person has looked at: the script of each lies in kept/, and
 * what is drawn now from the same stated inputs has to say the same, line by line, word by word,
 * numbers alike. For what is only drawn; no estimate of ours is in them.
 *
 * After a wanted change: NOONRUN_RENEW_SCRIPTS=1 build/dev/tests/test_kept writes those that differ
 * anew, each "not looked at yet", which fails. Then, for each,
 *     cd tests/unit/plots/kept; gnuplot NAME.gp > /tmp/NAME.png
 * look at it, and put "looked at YYYY-MM-DD" into its first line. For the tests of plots/. */
#ifndef TESTS_KEPT_H
#define TESTS_KEPT_H

#include "tests/unit/plots/script.h"

#include <ctype.h>

#define KEPT TEST_DATA "/../unit/plots/kept/"
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
            if (!(fabs(a - b) <= kept_room(kept, behind, b)))
                return got;
            got = after;
            kept = behind;
        } else if (*got++ != *kept++) {
            return got - 1;
        }
    }
    return NULL;
}

/* What every picture and every panel begins with is in files of its own: each time it is drawn, it
 * is taken for a load of that file. */
static inline void kept_fold(const char *name)
{
    char file[512], load[40];
    (void)snprintf(file, sizeof file, KEPT "%s", name);
    (void)snprintf(load, sizeof load, "load '%s'\n", name);
    char *text = kept_text(file);
    ck_assert_msg(text != NULL && text[0] != '\0', "no %s", file);
    size_t length = strlen(text), instead = strlen(load);
    ck_assert(instead < length);
    for (char *at = script; (at = strstr(at, text)) != NULL;) {
        memcpy(at, load, instead);
        memmove(at + instead, at + length, strlen(at + length) + 1);
    }
    free(text);
}

static inline void kept_renew(const char *file, const char *name, const char *shows)
{
    FILE *f = fopen(file, "wb");
    ck_assert_msg(f != NULL, "cannot write %s", file);
    fprintf(f, "# %s: %s; " NOT_LOOKED_AT "\n%s", name, shows, script);
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
        fprintf(stderr,
                "%s.gp, line %d, is drawn otherwise from \"%.40s\" on:\n%s\ninstead of\n%s\n", name,
                number, at, now, then);
    bool differs = at != NULL;
    free(now);
    free(then);
    return differs;
}

static inline bool kept_same(const char *name, const char *kept)
{
    const char *got = script;
    for (int number = 2; *got != '\0' || *kept != '\0'; number++) {
        size_t length = strcspn(got, "\n"), kept_length = strcspn(kept, "\n");
        if (kept_line_differs(name, number, got, length, kept, kept_length))
            return false;
        got += length + (got[length] == '\n');
        kept += kept_length + (kept[kept_length] == '\n');
    }
    return true;
}

/* What was drawn last is what is kept under that name. Drawn as a PNG ("picture.png"). */
static inline void as_kept(const char *name, const char *shows)
{
    char file[512], head[300];
    const bool renew = getenv("NOONRUN_RENEW_SCRIPTS") != NULL;
    (void)snprintf(file, sizeof file, KEPT "%s.gp", name);
    (void)snprintf(head, sizeof head, "# %s: %s; ", name, shows);
    kept_fold("head.gp");
    kept_fold("panel.gp");
    char *kept = kept_text(file);
    ck_assert_msg(kept != NULL || renew, "no %s (kept.h says how it is made)", file);
    bool same = kept != NULL && strncmp(kept, head, strlen(head)) == 0 &&
                kept_same(name, kept + strcspn(kept, "\n") + 1);
    if (!same && renew) {
        kept_renew(file, name, shows);
        free(kept);
        return;
    }
    ck_assert_msg(same, "%s.gp is not what is drawn (if that is wanted: kept.h)", name);
    char *end = strchr(kept, '\n');
    *end = '\0';
    ck_assert_msg(renew || strstr(kept, "; looked at 20") != NULL, "%s: " NOT_LOOKED_AT, file);
    free(kept);
}

#endif
