/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole pictures that a person has looked at (tests/unit/kept.h): the script of each lies in kept/.
 * To look at one:
 *     cd tests/unit/plots/kept; gnuplot NAME.gp > /tmp/NAME.png
 * For the tests of plots/. */
#ifndef TESTS_PLOTS_KEPT_H
#define TESTS_PLOTS_KEPT_H

#include "tests/unit/kept.h"
#include "tests/unit/plots/script.h"

#define KEPT TEST_DATA "/../unit/plots/kept/"

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

/* What was drawn last is what is kept under that name. Drawn as a PNG ("picture.png"). */
static inline void as_kept(const char *name, const char *shows)
{
    char file[512], head[300];
    (void)snprintf(file, sizeof file, KEPT "%s.gp", name);
    (void)snprintf(head, sizeof head, "# %s: %s; ", name, shows);
    kept_fold("head.gp");
    kept_fold("panel.gp");
    kept_as(file, head, "", script);
}

#endif
