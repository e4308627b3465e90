/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file of a test's own, and the plan for it. */
#ifndef NR_TESTS_PLANNED_H
#define NR_TESTS_PLANNED_H

#include "analyze/plan/plan.h"
#include "tests/unit/fit/simulated.h"

#include <unistd.h>

static char rig_file[] = "/tmp/noonrun-plan-XXXXXX";

static void write_rig(const char *text)
{
    FILE *f = fopen(rig_file, "wb");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

static nr_plan *plan_with(const nr_plan_test *test)
{
    nr_plan *plan = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_plan_rig(rig_file, test, &plan, &err) == NR_OK, "%s", err.text);
    return plan;
}

#endif
