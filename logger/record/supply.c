/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/supply.h"

#include "logger/base/text.h"

#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/statvfs.h>
#include <unistd.h>

#define LEVELS 3
static const double disk_level_MB[LEVELS] = {500, 100, 20};
static const double battery_level[LEVELS] = {20, 10, 5};
static const double again = 1.5;

static bool read_word(int folder, const char *battery, const char *name, char *out, size_t size)
{
    char path[300];
    out[0] = '\0';
    if (snprintf(path, sizeof path, "%s/%s", battery, name) >= (int)sizeof path)
        return false;
    int fd = openat(folder, path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    ssize_t n = fd < 0 ? -1 : read(fd, out, size - 1);
    if (fd >= 0)
        close(fd);
    out[n > 0 ? n : 0] = '\0';
    out[strcspn(out, "\n")] = '\0';
    return n > 0;
}

/* NAN: it is no battery of this computer, or it is not being discharged. The names and words are
 * those of the kernel's sysfs-class-power. */
static double percent_left(int folder, const char *name)
{
    char type[32], status[32], capacity[32], scope[32];
    double percent = NAN;
    if (name[0] == '.' || !read_word(folder, name, "type", type, sizeof type) ||
        strcmp(type, "Battery") != 0)
        return NAN;
    /* Of a mouse or a pen: not ours. */
    if (read_word(folder, name, "scope", scope, sizeof scope) && strcmp(scope, "Device") == 0)
        return NAN;
    if (!read_word(folder, name, "status", status, sizeof status) ||
        strcmp(status, "Discharging") != 0 ||
        !read_word(folder, name, "capacity", capacity, sizeof capacity))
        return NAN;
    return nr_parse_double(capacity, &percent) ? percent : NAN;
}

/* Not readdir: it allocates, and a recorder that runs does not. */
static double battery_left(const char *power_folder)
{
    _Alignas(struct dirent64) char list[4096];
    double left = NAN;
    int fd = open(power_folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    ssize_t n = 0;
    while (fd >= 0 && (n = getdents64(fd, list, sizeof list)) > 0)
        for (ssize_t at = 0; at < n;) {
            const struct dirent64 *e = (const struct dirent64 *)(const void *)(list + at);
            double percent = percent_left(fd, e->d_name);
            if (!isnan(percent))
                left = fmax(isnan(left) ? percent : left, percent);
            at += e->d_reclen;
        }
    if (fd >= 0)
        close(fd);
    return left;
}

void nr_supply_look(int fd, const char *power_folder, nr_supply *out)
{
    struct statvfs disk;
    *out = (nr_supply){.free_bytes = NAN};
    if (fstatvfs(fd, &disk) == 0)
        out->free_bytes = (double)disk.f_bavail * (double)disk.f_frsize;
    out->battery_percent = battery_left(power_folder);
}

/* True when a further level was passed; *told is then the number of those passed. */
static bool passed(unsigned *told, double value, const double *level)
{
    unsigned below = 0;
    if (isnan(value))
        return false;
    while (*told > 0 && value > again * level[*told - 1])
        --*told;
    while (below < LEVELS && value < level[below])
        below++;
    bool more = below > *told;
    *told = more ? below : *told;
    return more;
}

static int say_disk(const nr_supply *now, char *text, size_t size)
{
    return snprintf(text, size, "the disk is filling up: %.0f MB are free", now->free_bytes / 1e6);
}

static int say_battery(const nr_supply *now, char *text, size_t size)
{
    return snprintf(text, size, "the battery is at %.0f %%: plug the computer in",
                    now->battery_percent);
}

bool nr_supply_warn(nr_supply_told *told, const nr_supply *now, char *text, size_t size)
{
    if (passed(&told->disk, now->free_bytes / 1e6, disk_level_MB)) {
        say_disk(now, text, size);
        return true;
    }
    if (passed(&told->battery, now->battery_percent, battery_level)) {
        say_battery(now, text, size);
        return true;
    }
    return false;
}

void nr_supply_short(const nr_supply *now, char *text, size_t size)
{
    char disk[80] = "", battery[80] = "";
    if (now->free_bytes / 1e6 < disk_level_MB[0]) /* false where it is not known */
        say_disk(now, disk, sizeof disk);
    if (now->battery_percent < battery_level[0])
        say_battery(now, battery, sizeof battery);
    snprintf(text, size, "%s%s%s", disk, disk[0] && battery[0] ? "; " : "", battery);
}
