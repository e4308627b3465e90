/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to know before trusting a plan, each from both sides: made-up fits and rigs. */
#include "analyze/plan/warnings.h"
#include "tests/unit/near.h"

static nr_plan plan;
static nr_fit fit;
static nr_rig rig;

static void set_up(void)
{
    fit = (nr_fit){.dT_range = {-4, 12}};
    rig = (nr_rig){.channels = 1};
    ck_assert_ptr_nonnull(strcpy(rig.channel[0].name, "wind"));
}

static size_t warned(nr_warning_code code)
{
    plan = (nr_plan){.fit = &fit};
    nr_plan_warn(&plan, &rig);
    size_t n = 0;
    for (size_t i = 0; i < plan.warnings.count; i++)
        n += plan.warnings.item[i].code == code;
    return n;
}

START_TEST(each_where_it_applies)
{
    set_up();
    ck_assert_uint_eq(warned(NR_WARN_NO_WIND), 0);
    ck_assert_uint_eq(plan.warnings.count, 0);
    fit.dT_range[1] = 6; /* ten kelvins between coldest and hottest */
    ck_assert_uint_eq(warned(NR_WARN_NARROW_RANGE), 0);
    fit.dT_range[1] = 5.9;
    ck_assert_uint_eq(warned(NR_WARN_NARROW_RANGE), 1);
    ck_assert(plan.warnings.item[0].number[0] == -4 && plan.warnings.item[0].number[1] == 5.9);
    set_up();
    fit.loss_includes_store = true;
    ck_assert_uint_eq(warned(NR_WARN_PLAN_LOSS_INCLUDES_STORE), 1);
    set_up();
    rig.store.lid = NR_LID_NO;
    ck_assert_uint_eq(warned(NR_WARN_PLAN_NO_LID), 1);
    rig.store.lid = NR_LID_YES;
    ck_assert_uint_eq(warned(NR_WARN_PLAN_NO_LID), 0);
    ck_assert_ptr_nonnull(strcpy(rig.channel[0].name, "win"));
    ck_assert_uint_eq(warned(NR_WARN_NO_WIND), 1);
    set_up();
    nr_warning_add(&fit.warnings, NR_WARN_ASSUMED_UNCERTAINTY);
    fit.warnings.assumed_count = 3;
    ck_assert_uint_eq(warned(NR_WARN_ASSUMED_UNCERTAINTY), 1);
    ck_assert_uint_eq(plan.warnings.assumed_count, 3);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_where_it_applies, NULL};
    return run_tests("warnings of a plan", tests);
}
