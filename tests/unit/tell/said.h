/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of tell: what holds for every sentence. */
#ifndef NR_TESTS_SAID_H
#define NR_TESTS_SAID_H

#include "analyze/tell/tell.h"
#include "tests/unit/near.h"

#include <ctype.h>

/* The SI unit that stands behind a digit in text; NULL when there is none. Bare W, V and s are
 * nobody's other units. */
static inline const char *si_unit_in(const char *text)
{
    static const char *const units[] = {"degC", "K",   "W/m2",  "W/(m2 K)",  "W/K",
                                        "kg",   "L",   "L/min", "m/s",       "m",
                                        "m2",   "kPa", "MJ",    "L/(min m2)"};
    for (const char *p = text; *p != '\0'; p++) {
        if (!isdigit((unsigned char)*p) || p[1] != ' ')
            continue;
        for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
            size_t n = strlen(units[i]);
            if (strncmp(p + 2, units[i], n) == 0 && strchr(" ,.;:)", p[2 + n]) != NULL)
                return units[i];
        }
    }
    return NULL;
}

/* Exact as written, in either system: a property of sensors. */
static inline bool is_exempt(const char *text)
{
    return strstr(text, "1/16 K is plenty") != NULL;
}

static inline void is_said(const char *text, nr_units units)
{
    ck_assert_msg(strstr(text, "{") == NULL, "a blank is left: %s", text);
    ck_assert_msg(strstr(text, "nan") == NULL && strstr(text, " ?") == NULL, "not known: %s", text);
    ck_assert_msg(strlen(text) + 1 < NR_TELL / 2, "near being cut: %s", text);
    ck_assert_msg(strstr(text, "  ") == NULL && strstr(text, " .") == NULL, "blanks: %s", text);
    if (units == NR_UNITS_US && !is_exempt(text))
        ck_assert_msg(si_unit_in(text) == NULL, "%s in US units: %s", si_unit_in(text), text);
}

#endif
