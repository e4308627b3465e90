/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Both sides of each level; batteries as the kernel's sysfs-class-power describes them, in a folder
 * of our own. */
#include "logger/record/supply.h"

#include "tests/unit/near.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

START_TEST(test_levels)
{
    static const struct {
        double free_MB, battery;
        const char *says; /* NULL: nothing */
    } steps[] = {{501, 21, NULL},    {499, 21, "the disk is filling up: 499 MB"},
                 {499, 21, NULL},    {499, 19, "the battery is at 19 %"},
                 {400, 11, NULL},    {99, 11, "99 MB"},
                 {120, 9, "at 9 %"}, {99, 9, NULL},    /* up and down a little is no news */
                 {151, 9, NULL},     {99, 9, "99 MB"}, /* but half as much again is */
                 {5, 9, "5 MB"},     {NAN, NAN, NULL},
                 {800, NAN, NULL},   {499, NAN, "499 MB"}};
    nr_supply_told told = {0, 0};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        char text[200] = "";
        nr_supply now = {.free_bytes = steps[i].free_MB * 1e6, .battery_percent = steps[i].battery};
        bool said = nr_supply_warn(&told, &now, text, sizeof text);
        ck_assert_msg(said == (steps[i].says != NULL), "step %zu: %s", i, text);
        ck_assert_msg(!said || strstr(text, steps[i].says), "step %zu: %s", i, text);
        ck_assert(!nr_supply_warn(&told, &now, text, sizeof text));
    }
}
END_TEST

START_TEST(test_short)
{
    static const struct {
        double free_MB, battery;
        const char *says;
    } now[] = {
        {500, 20, ""},
        {499, NAN, "the disk is filling up: 499 MB are free"},
        {NAN, 19, "the battery is at 19 %: plug the computer in"},
        {12, 7,
         "the disk is filling up: 12 MB are free; the battery is at 7 %: plug the computer in"},
        {NAN, NAN, ""}};
    for (size_t i = 0; i < sizeof now / sizeof *now; i++) {
        char text[200];
        nr_supply is = {.free_bytes = now[i].free_MB * 1e6, .battery_percent = now[i].battery};
        nr_supply_short(&is, text, sizeof text);
        ck_assert_str_eq(text, now[i].says);
    }
}
END_TEST

static char top[] = "/tmp/noonlog-test-XXXXXX";

static void put(const char *battery, const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", top, battery);
    mkdir(path, 0755);
    snprintf(path, sizeof path, "%s/%s/%s", top, battery, name);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

static double left(void)
{
    nr_supply now;
    int fd = open(top, O_RDONLY);
    nr_supply_look(fd, top, &now);
    close(fd);
    ck_assert(now.free_bytes >= 0);
    return now.battery_percent;
}

START_TEST(test_batteries)
{
    char command[128];
    strcpy(top, "/tmp/noonlog-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    ck_assert(isnan(left()));
    put("AC", "type", "Mains\n");
    put("AC", "capacity", "3\n");
    put("BAT0", "type", "Battery\n");
    put("BAT0", "capacity", "17\n");
    put("BAT0", "status", "Charging\n");
    ck_assert(isnan(left()));
    put("BAT0", "status", "Discharging\n");
    NEAR(left(), 17, 0);
    put("mouse", "type", "Battery\n");
    put("mouse", "status", "Discharging\n");
    put("mouse", "capacity", "90\n");
    put("mouse", "scope", "Device\n");
    NEAR(left(), 17, 0);
    put("BAT0", "capacity", "full\n");
    ck_assert(isnan(left()));
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_levels, test_short, test_batteries, NULL};
    return run_tests("supply", tests);
}
