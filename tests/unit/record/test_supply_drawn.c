/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is left of disk and battery, drawn as it goes down and up, told a second time by rule; of
 * several batteries the fullest that is being discharged. */
#include "logger/record/supply.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <fcntl.h>
#include <stdint.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

static uint64_t state = 8304;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

/* The levels that are told of, each a flag of its own: told once below it, and again only after
 * there was more than half as much again. */
typedef struct levels {
    double level[3];
    bool told[3];
} levels;

/* Whether there is news of this value. */
static bool news(levels *l, double value)
{
    bool fresh = false;
    for (int i = 0; i < 3; i++) {
        if (value > 1.5 * l->level[i])
            l->told[i] = false;
        if (value < l->level[i] && !l->told[i])
            fresh = l->told[i] = true;
    }
    return fresh;
}

/* Mostly a little up or down, often on a level itself or half above it. */
static double next(const levels *l, double now)
{
    unsigned kind = drawn(8);
    double of = l->level[drawn(3)];
    if (kind < 3)
        return of * (kind == 0 ? 1 : 1.5);
    if (kind < 5)
        return of * (kind == 3 ? 0.998 : 1.502);
    if (kind == 5)
        return NAN;
    return (isnan(now) ? of : now) * (0.5 + 0.125 * drawn(9));
}

START_TEST(up_and_down)
{
    levels disk = {{500, 100, 20}, {false}}, battery = {{20, 10, 5}, {false}};
    nr_supply_told told = {0, 0};
    double free_MB = 2000, percent = 90;
    unsigned said = 0;
    for (int pass = 0; pass < 3000; pass++) {
        free_MB = next(&disk, free_MB);
        percent = next(&battery, percent);
        nr_supply now = {.free_bytes = free_MB * 1e6, .battery_percent = percent};
        char text[200], want[2][200];
        size_t n = 0, k = 0;
        if (news(&disk, free_MB))
            snprintf(want[n++], 200, "the disk is filling up: %.0f MB are free", free_MB);
        if (news(&battery, percent))
            snprintf(want[n++], 200, "the battery is at %.0f %%: plug the computer in", percent);
        while (nr_supply_warn(&told, &now, text, sizeof text)) {
            ck_assert_msg(k < n && strcmp(text, want[k]) == 0, "pass %d: %s", pass, text);
            k++;
        }
        ck_assert_msg(k == n, "pass %d: %zu of %zu", pass, k, n);
        said += (unsigned)n;
    }
    ck_assert_uint_gt(said, 300);
}
END_TEST

/* All that is below the first level, in one line. */
START_TEST(what_is_short)
{
    static const double of_disk[] = {499.9, 500, 500.1, 3, NAN}, of_battery[] = {19.9, 20, 20.1, 4};
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 4; k++) {
            char text[200], disk[80] = "", battery[80] = "", want[200];
            nr_supply now = {of_disk[i] * 1e6, of_battery[k]};
            if (i == 0 || i == 3)
                snprintf(disk, sizeof disk, "the disk is filling up: %.0f MB are free", of_disk[i]);
            if (k == 0 || k == 3)
                snprintf(battery, sizeof battery, "the battery is at %.0f %%: plug the computer in",
                         of_battery[k]);
            snprintf(want, sizeof want, "%s%s%s", disk, *disk && *battery ? "; " : "", battery);
            nr_supply_short(&now, text, sizeof text);
            ck_assert_str_eq(text, want);
        }
}
END_TEST

/* --- batteries -------------------------------------------------------------------------------- */

static char top[64];

static void path_of(char *path, size_t size, int battery, const char *name)
{
    snprintf(path, size, "%s/B%d%s%s", top, battery, name ? "/" : "", name ? name : "");
}

static void put(int battery, const char *name, const char *text)
{
    char path[128];
    path_of(path, sizeof path, battery, name);
    unlink(path);
    if (!text)
        return;
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL, 0644);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
}

static const char *const names[] = {"type", "status", "capacity", "scope"};
#define BATTERIES 3

/* Each file as a kernel could write it, or missing; returns the percent, NAN where it counts for
 * nothing. (Names and words: the kernel's Documentation/ABI/testing/sysfs-class-power.) */
static double draw_battery(int battery)
{
    static const char *const types[] = {"Battery\n", "Battery\n", "Battery", "Mains\n", "UPS\n"};
    static const char *const status[] = {"Discharging\n", "Discharging\n", "Discharging",
                                         "Charging\n", "Not charging\n"};
    static const char *const scopes[] = {NULL, "System\n", "Device\n"};
    unsigned t = drawn(7), s = drawn(7), c = drawn(9), o = drawn(3), percent = 1 + drawn(100);
    char capacity[20];
    snprintf(capacity, sizeof capacity, "%u\n", percent);
    put(battery, "type", t < 5 ? types[t] : t == 5 ? types[0] : NULL);
    put(battery, "status", s < 5 ? status[s] : s == 5 ? status[0] : NULL);
    put(battery, "capacity", c == 0 ? NULL : c == 1 ? "\n" : c == 2 ? "low\n" : capacity);
    put(battery, "scope", scopes[o]);
    bool ours = (t < 3 || t == 5) && (s < 3 || s == 5) && c > 2 && o < 2;
    return ours ? (double)percent : (double)NAN;
}

START_TEST(the_fullest_of_several)
{
    unsigned known = 0;
    char path[128];
    strcpy(top, "/tmp/noonlog-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    int fd = open(top, O_RDONLY);
    for (int i = 0; i < BATTERIES; i++) {
        path_of(path, sizeof path, i, NULL);
        ck_assert_int_eq(mkdir(path, 0755), 0);
    }
    for (int pass = 0; pass < 60; pass++) {
        double most = NAN;
        for (int i = 0; i < BATTERIES; i++)
            most = fmax(most, draw_battery(i)); /* of a number and NAN the number */
        nr_supply now;
        struct statvfs disk;
        nr_supply_look(fd, top, &now);
        ck_assert_msg(isnan(most) ? isnan(now.battery_percent) : now.battery_percent == most,
                      "pass %d: %g, not %g", pass, now.battery_percent, most);
        ck_assert_int_eq(fstatvfs(fd, &disk), 0);
        double free_bytes = (double)disk.f_bavail * (double)disk.f_frsize; /* others write too */
        NEAR(now.free_bytes, free_bytes, 1e6 + 0.5 * free_bytes);
        known += isnan(most) ? 0 : 1;
    }
    ck_assert(known > 10 && known < 55);
    for (int i = 0; i < BATTERIES; i++) {
        for (int k = 0; k < 4; k++)
            put(i, names[k], NULL);
        path_of(path, sizeof path, i, NULL);
        rmdir(path);
    }
    close(fd);
    rmdir(top);
    nr_supply now;
    nr_supply_look(-1, top, &now); /* nothing is there any more */
    ck_assert(isnan(now.free_bytes) && isnan(now.battery_percent));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {up_and_down, what_is_short, the_fullest_of_several, NULL};
    return run_tests("supply_drawn", tests);
}
