/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures whose program copies its input, so that what they hand to gnuplot is read back: data
 * blocks, numbers behind words. For the tests of plots/. */
#ifndef TESTS_SCRIPT_H
#define TESTS_SCRIPT_H

#include "plots/picture.h"
#include "plots/plots.h"
#include "tests/unit/near.h"
#include "tests/unit/plots/fixture.h"

#include <sys/stat.h>
#include <unistd.h>

static char folder[64], path[96], cat[96];
static nr_plot_style style;
static fixture x;
static nr_err err;
static char *script;

static inline void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-script-XXXXXX")));
    (void)snprintf(path, sizeof path, "%s/picture.svg", folder);
    (void)snprintf(cat, sizeof cat, "%s/copy", folder);
    FILE *f = fopen(cat, "w");
    ck_assert_ptr_nonnull(f);
    fputs("#!/bin/sh\nexec cat\n", f);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_int_eq(chmod(cat, 0700), 0);
    style = (nr_plot_style){.gnuplot = cat};
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0);
    x = (fixture){.seed = 1};
    script = NULL;
}

static inline void tear_down(void)
{
    free(script);
    (void)unlink(path);
    (void)unlink(cat);
    (void)rmdir(folder);
    fixture_done(&x);
}

/* The script of a picture that was just drawn. */
static inline void drawn(nr_code code)
{
    ck_assert_msg(code == NR_OK, "%s", err.text);
    FILE *f = fopen(path, "rb");
    ck_assert_ptr_nonnull(f);
    fseek(f, 0, SEEK_END);
    size_t size = (size_t)ftell(f);
    rewind(f);
    free(script);
    script = calloc(1, size + 1);
    ck_assert(script && fread(script, 1, size, f) == size);
    (void)fclose(f);
}

/* A drawing inside a picture, without its title. */
static nr_picture inner;
static inline void begin(void)
{
    inner = (nr_picture){.form = NR_FORM_PNG, .scale = 1, .panel = {0.1, 0.9, 0.2, 0.8}};
    inner.script = open_memstream(&inner.text, &inner.length);
}
static inline void end(void)
{
    ck_assert_int_eq(fclose(inner.script), 0);
    free(script);
    script = inner.text;
}

#define COLUMNS 8
typedef struct block {
    size_t rows;
    double v[6000][COLUMNS];
} block;
static block data;

/* The rows of $name, up to its last, which is of no numbers; the n-th of that name. */
static inline const block *rows_of(const char *name, size_t columns, int nth)
{
    char start[60];
    (void)snprintf(start, sizeof start, "$%s << EOD\n", name);
    const char *at = script;
    for (int i = 0; i <= nth; i++) {
        at = strstr(at, start);
        ck_assert_msg(at != NULL, "no $%s", name);
        at += strlen(start);
    }
    data.rows = 0;
    while (strncmp(at, "EOD\n", 4) != 0) {
        char *next;
        if (*at == '\n') {
            at++;
            continue;
        }
        ck_assert_uint_lt(data.rows, 6000);
        for (size_t c = 0; c < columns; c++, at = next)
            data.v[data.rows][c] = strtod(at, &next);
        ck_assert_msg(*at == '\n', "$%s has more than %zu columns", name, columns);
        at++;
        data.rows++;
    }
    ck_assert_uint_gt(data.rows, 0);
    data.rows--;
    for (size_t c = 0; c < columns; c++)
        ck_assert_msg(isnan(data.v[data.rows][c]), "the last row of $%s", name);
    return &data;
}

static inline void same(const char *what, double got, double expected)
{
    if (isnan(expected))
        ck_assert_msg(isnan(got), "%s: %g for nothing", what, got);
    else
        NEAR_AT(what, got, expected, 1e-7 * fmax(fabs(expected), 1));
}

/* The numbers behind words, the n-th time. */
static inline void numbers_of(const char *words, int nth, int count, double out[])
{
    const char *at = script;
    for (int i = 0; i <= nth; i++) {
        at = strstr(at, words);
        ck_assert_msg(at != NULL, "no \"%s\" (%d)", words, nth);
        at += strlen(words);
    }
    for (int i = 0; i < count; i++) {
        at += strcspn(at, "-0123456789\n");
        char *next;
        out[i] = strtod(at, &next);
        ck_assert_msg(next != at, "no number %d behind \"%s\"", i, words);
        at = next;
    }
}

#endif
