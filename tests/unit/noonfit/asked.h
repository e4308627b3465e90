/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For tests of what is asked of a command: the sample runs' first twenty minutes, and what the same
 * question's answer is as JSON beside what the command has said. */
#ifndef NR_TESTS_ASKED_H
#define NR_TESTS_ASKED_H

#include "analyze/noonfit/commands.h"
#include "tests/unit/command_run.h"

static nr_err err;
static nr_run **runs;
static size_t count;

static inline const char *sample(const char *name)
{
    static char path[4][300];
    static unsigned turn;
    char *to = path[turn++ % 4];
    snprintf(to, sizeof path[0], "%s/../../sample-runs/%s", TEST_DATA, name);
    return to;
}

static inline void set_up(void)
{
    setenv("TZ", "UTC", 1);
    scratch_make();
}

/* The first twenty minutes. */
#define PART "--use", "..20m"
static inline const nr_run *const *opened(const char *name)
{
    char path[300], *names[] = {path};
    const nr_records all = {.use = "..20m"};
    snprintf(path, sizeof path, "%s", sample(name));
    nr_close_runs(runs, count);
    ck_assert_msg(nr_open_runs(&nr_cmd_fit, names, 1, &all, &runs, &count, &err) == NR_OK, "%s",
                  err.text);
    return (const nr_run *const *)runs;
}

/* Both are long: where they part is said. Of what a command says only so much is kept. */
static inline void same_text(const char *is, const char *should)
{
    size_t same = 0;
    while (is[same] && is[same] == should[same])
        same++;
    if (same == COMMAND_SAID - 1)
        return;
    ck_assert_msg(is[same] == should[same], "%.60s for %.60s", is + same, should + same);
}

/* What is written to `to` in between is what the command has said. */
static char *due;
static size_t due_size;
#define DUE_BEGINS FILE *to = open_memstream(&due, &due_size)
#define DUE_ENDS                                                                                   \
    do {                                                                                           \
        fclose(to);                                                                                \
        same_text(said.out, due);                                                                  \
        free(due);                                                                                 \
    } while (0)

#endif
