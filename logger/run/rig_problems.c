/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_problems.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define MOST_PROBLEMS 100u /* kept; a file that is no rig file would have thousands */
#define LONGEST_WORD 64

static bool grow(nr_rig_problems *problems)
{
    if (problems->kept < problems->room)
        return true;
    size_t room = problems->room ? 2 * problems->room : 32;
    struct nr_rig_found *found = realloc(problems->found, room * sizeof *found);
    if (!found)
        return false;
    problems->found = found;
    problems->room = room;
    return true;
}

void nr_rig_problem(nr_rig_problems *problems, long line, const char *format, ...)
{
    char text[NR_ERR_TEXT];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    problems->count++;
    if (problems->kept == MOST_PROBLEMS || !grow(problems))
        return;
    struct nr_rig_found *found = &problems->found[problems->kept];
    *found = (struct nr_rig_found){line, strdup(text)};
    problems->kept += found->text != NULL;
}

static bool later(long a, long b)
{
    return b > 0 && (a > b || a == 0); /* what has no line comes last */
}

/* By line; what was found first stays first (the array is short, and qsort is not stable). */
static void sort(nr_rig_problems *problems)
{
    for (size_t i = 1; i < problems->kept; i++) {
        struct nr_rig_found now = problems->found[i];
        size_t j = i;
        for (; j > 0 && later(problems->found[j - 1].line, now.line); j--)
            problems->found[j] = problems->found[j - 1];
        problems->found[j] = now;
    }
}

nr_code nr_rig_problems_tell(nr_rig_problems *problems, const char *path, const nr_sink *sink,
                             nr_err *err)
{
    nr_code code = problems->count > 0 ? NR_BAD : NR_OK;
    sort(problems);
    if (code != NR_OK)
        nr_fail(err, code, path, problems->kept > 0 ? problems->found[0].line : 0, "%s",
                problems->kept > 0 ? problems->found[0].text : "not enough memory");
    for (size_t i = 0; i < problems->kept; i++) {
        const struct nr_rig_found *found = &problems->found[i];
        if (found->line > 0)
            nr_say(sink, "%s:%ld: %s", path, found->line, found->text);
        else
            nr_say(sink, "%s: %s", path, found->text);
        free(found->text);
    }
    if (problems->count > problems->kept)
        nr_say(sink, "%s: and %zu problems more", path, problems->count - problems->kept);
    free(problems->found);
    *problems = (nr_rig_problems){0};
    return code;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edit distance with swapped neighbours as one edit; words longer than a key count as far away. */
static size_t distance(const char *a, const char *b)
{
    size_t n = strlen(a), m = strlen(b);
    size_t row[3][LONGEST_WORD + 1];
    if (n > LONGEST_WORD || m > LONGEST_WORD)
        return SIZE_MAX;
    for (size_t j = 0; j <= m; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *now = row[i % 3], *before = row[(i + 2) % 3], *two_before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= m; j++) {
            now[j] =
                least(least(before[j], now[j - 1]) + 1, before[j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], two_before[j - 2] + 1);
        }
    }
    return row[n % 3][m];
}

const char *nr_rig_nearest(const char *word, const char *const *list, size_t count)
{
    const char *best = NULL;
    size_t best_distance = strlen(word) / 3 + 1; /* more edits than that is another word */
    for (size_t i = 0; i < count; i++) {
        size_t d = distance(word, list[i]);
        if (d < best_distance || (d == best_distance && !best)) {
            best = list[i];
            best_distance = d;
        }
    }
    return best;
}
