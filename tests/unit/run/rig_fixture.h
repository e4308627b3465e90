/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the rig tests: parse from memory, and collect the problems told. */
#ifndef NR_TESTS_RIG_FIXTURE_H
#define NR_TESTS_RIG_FIXTURE_H

#include "logger/run/rig.h"
#include "tests/unit/near.h"

typedef struct told {
    int count;
    char line[200][NR_ERR_TEXT + 100];
} told;

static inline void tell(void *context, const char *line)
{
    told *t = context;
    ck_assert_int_lt(t->count, 200);
    snprintf(t->line[t->count++], sizeof t->line[0], "%s", line);
}

/* A rig that analysis accepts; tests add lines behind it. Its last section is [store]. */
#define MINIMAL "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"
#define MINIMAL_LINES 4

static inline void accept(nr_rig *rig, const char *text, nr_rig_need need)
{
    nr_err err = {0};
    nr_code code = nr_rig_parse(text, strlen(text), "rig.ini", need, rig, NULL, &err);
    ck_assert_msg(code == NR_OK, "%ld: %s", err.line, err.text);
}

/* Exactly one problem, on this line, with these words (separated by '|'). */
static inline void refuse(const char *text, nr_rig_need need, long line, const char *words)
{
    static nr_rig rig;
    static told t;
    nr_err err = {0};
    char place[60], copy[400], *rest = copy;
    t.count = 0;
    nr_sink sink = {tell, &t};
    ck_assert_msg(nr_rig_parse(text, strlen(text), "rig.ini", need, &rig, &sink, &err) == NR_BAD,
                  "accepted:\n%s", text);
    ck_assert_msg(t.count == 1, "%d problems, the first two:\n%s\n%s\nin:\n%s", t.count, t.line[0],
                  t.line[1], text);
    snprintf(place, sizeof place, line > 0 ? "rig.ini:%ld: " : "rig.ini: ", line);
    ck_assert_msg(strncmp(t.line[0], place, strlen(place)) == 0, "not %s but %s", place, t.line[0]);
    ck_assert_str_eq(t.line[0] + strlen(place), err.text);
    ck_assert_int_eq(err.line, line);
    snprintf(copy, sizeof copy, "%s", words);
    for (char *word; (word = strsep(&rest, "|")) != NULL;)
        ck_assert_msg(strstr(err.text, word), "no \"%s\" in: %s", word, err.text);
}

#endif
