/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wrong with a rig file, in the order of its lines, and the word that was meant: both
 * worked out a second time, on drawn lines and words. */
#include "logger/run/rig_problems.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>

#define KEPT 100   /* problems that are told one by one */
#define LONGEST 64 /* a longer word is no key */

static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

typedef struct heard {
    size_t count;
    char line[KEPT + 2][NR_ERR_TEXT + 60];
} heard;

static heard told;

static void hear(void *context, const char *line)
{
    heard *h = context;
    ck_assert_uint_lt(h->count, KEPT + 2);
    snprintf(h->line[h->count++], sizeof h->line[0], "%s", line);
}

/* Of so many problems on drawn lines (0: of no line), the first hundred by line and then in the
 * order in which they were found, those of no line behind all others. */
static void tell(size_t count, unsigned lines)
{
    static unsigned line[300];
    nr_rig_problems problems = {0};
    nr_err err = {0};
    nr_sink sink = {hear, &told};
    told.count = 0;
    for (size_t i = 0; i < count; i++) {
        line[i] = draw(lines);
        nr_rig_problem(&problems, (long)line[i], "problem %zu of %s", i, "many");
    }
    ck_assert_uint_eq(problems.count, count);
    ck_assert_int_eq(nr_rig_problems_tell(&problems, "a.ini", &sink, &err), count ? NR_BAD : NR_OK);
    ck_assert(problems.count == 0 && problems.kept == 0 && problems.room == 0 && !problems.found);
    size_t kept = count < KEPT ? count : KEPT, at = 0;
    for (unsigned k = 1; k <= lines; k++) {
        unsigned of = k % lines; /* 1, 2, ... and 0 at the end */
        for (size_t i = 0; i < kept; i++) {
            char wanted[100], text[60];
            if (line[i] != of)
                continue;
            snprintf(text, sizeof text, "problem %zu of many", i);
            if (of > 0)
                snprintf(wanted, sizeof wanted, "a.ini:%u: %s", of, text);
            else
                snprintf(wanted, sizeof wanted, "a.ini: %s", text);
            ck_assert_str_eq(told.line[at], wanted);
            if (at++ == 0) {
                ck_assert_str_eq(err.text, text);
                ck_assert_int_eq(err.line, (long)of);
                ck_assert_str_eq(err.file, "a.ini");
            }
        }
    }
    ck_assert_uint_eq(at, kept);
    ck_assert_uint_eq(told.count, kept + (count > KEPT));
    if (count > KEPT) {
        char more[60];
        snprintf(more, sizeof more, "a.ini: and %zu problems more", count - KEPT);
        ck_assert_str_eq(told.line[kept], more);
    }
}

START_TEST(by_line_and_then_as_found)
{
    static const size_t counts[] = {0, 1, 2, 31, 32, 33, 64, 65, 99, 100, 101, 102, 250};
    state = 5;
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        for (unsigned lines = 1; lines < 60; lines = lines * 4 + 1)
            tell(counts[i], lines);
}
END_TEST

START_TEST(a_long_one_is_cut)
{
    static char longer[2 * NR_ERR_TEXT];
    nr_rig_problems problems = {0};
    nr_err err = {0};
    memset(longer, 'x', sizeof longer - 1);
    nr_rig_problem(&problems, 3, "%s", longer);
    ck_assert_int_eq(nr_rig_problems_tell(&problems, "a.ini", NULL, &err), NR_BAD);
    ck_assert_uint_eq(strlen(err.text), NR_ERR_TEXT - 1);
}
END_TEST

/* The least number of edits (a letter more, less or another, two neighbours exchanged) as the
 * shortest way through the pairs of places, each handing on what it costs to come from it. */
static size_t edits(const char *a, const char *b)
{
    static size_t cost[80][80];
    size_t n = strlen(a), m = strlen(b);
    for (size_t i = 0; i <= n + 2; i++)
        for (size_t j = 0; j <= m + 2; j++)
            cost[i][j] = i + j;
#define REACH(i_, j_, by)                                                                          \
    do {                                                                                           \
        size_t *to = &cost[i_][j_];                                                                \
        *to = *to < cost[i][j] + (by) ? *to : cost[i][j] + (by);                                   \
    } while (0)
    for (size_t i = 0; i <= n; i++)
        for (size_t j = 0; j <= m; j++) {
            REACH(i + 1, j, 1u);
            REACH(i, j + 1, 1u);
            if (i < n && j < m)
                REACH(i + 1, j + 1, a[i] == b[j] ? 0u : 1u);
            if (i + 1 < n && j + 1 < m && a[i] == b[j + 1] && a[i + 1] == b[j])
                REACH(i + 2, j + 2, 1u);
        }
    return cost[n][m];
}

/* The first of the nearest; none where more than a third of the word and one would have to change,
 * or where a word is too long to be a key. */
static const char *meant(const char *word, const char *const *list, size_t count)
{
    for (size_t by = 0; by <= strlen(word) / 3 + 1; by++)
        for (size_t i = 0; i < count; i++)
            if (strlen(word) <= LONGEST && strlen(list[i]) <= LONGEST && edits(word, list[i]) == by)
                return list[i];
    return NULL;
}

static void draw_word(char *to, size_t most)
{
    size_t n = draw((unsigned)most + 1);
    for (size_t i = 0; i < n; i++)
        to[i] = (char)('a' + draw(3));
    to[n] = '\0';
}

START_TEST(the_word_that_was_meant)
{
    unsigned found = 0, none = 0;
    state = 3;
    for (int round = 0; round < 800; round++) {
        char word[16], of[5][16];
        const char *list[5];
        for (int i = 0; i < 5; i++) {
            draw_word(of[i], 9);
            list[i] = of[i];
        }
        draw_word(word, 9);
        size_t count = draw(6);
        const char *is = nr_rig_nearest(word, list, count), *wanted = meant(word, list, count);
        ck_assert_msg(is == wanted, "%s: %s, not %s", word, is ? is : "none",
                      wanted ? wanted : "none");
        found += is != NULL;
        none += is == NULL;
    }
    ck_assert_uint_gt(found, 200);
    ck_assert_uint_gt(none, 200);
}
END_TEST

/* Longer words than keys are: 64 letters are compared, 65 are not. */
START_TEST(long_words)
{
    for (size_t n = 60; n < 68; n++)
        for (size_t m = 60; m < 68; m++) {
            char word[80], other[80];
            memset(word, 'x', sizeof word);
            memset(other, 'x', sizeof other);
            word[n] = other[m] = '\0';
            const char *const list[] = {other};
            ck_assert_ptr_eq(nr_rig_nearest(word, list, 1), n > 64 || m > 64 ? NULL : other);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {by_line_and_then_as_found, a_long_one_is_cut,
                                  the_word_that_was_meant, long_words, NULL};
    return run_tests("problems_told", tests);
}
