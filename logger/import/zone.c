/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/zone.h"

#include "logger/base/text.h"
#include "logger/import/fold.h"
#include "logger/import/moment_pieces.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define DATABASE "/usr/share/zoneinfo"
#define DAY_S 86400.0

/* Offset of the zone at a time: by the C library, which reads the tz database. */
static double offset_at(const nr_zone *zone, double utc_s)
{
    char kept[NR_ERR_FILE];
    const char *before = getenv("TZ");
    bool had = before != NULL && nr_copy(kept, sizeof kept, before);
    char tz[NR_ZONE + 2];
    snprintf(tz, sizeof tz, ":%s", zone->name);
    setenv("TZ", tz, 1);
    tzset();
    time_t at = (time_t)floor(utc_s);
    struct tm local;
    double offset = localtime_r(&at, &local) ? (double)local.tm_gmtoff : 0;
    if (had)
        setenv("TZ", kept, 1);
    else
        unsetenv("TZ");
    tzset();
    return offset;
}

size_t nr_zone_utc(const nr_zone *zone, double local_s, double utc_s[2])
{
    size_t found = 0;
    if (zone->fixed) {
        utc_s[0] = local_s - zone->offset_s;
        return 1;
    }
    /* Whatever the clocks do, they do it once within two days. */
    double offset[2] = {offset_at(zone, local_s - DAY_S), offset_at(zone, local_s + DAY_S)};
    for (int i = 0; i < 2; i++) {
        double utc = local_s - offset[i];
        if (i == 1 && offset[1] == offset[0])
            break;
        if (offset_at(zone, utc) == offset[i])
            utc_s[found++] = utc;
    }
    if (found == 2 && utc_s[0] > utc_s[1]) {
        double late = utc_s[0];
        utc_s[0] = utc_s[1];
        utc_s[1] = late;
    }
    return found;
}

/* "UTC", "Z", "+02:00", "GMT-7". */
static bool fixed_zone(const char *text, nr_zone *out)
{
    char room[NR_ZONE];
    nr_moment m = {0};
    nr_fold(text, room, sizeof room);
    nr_small(nr_trim(room));
    const char *end = nr_moment_zone(room, &m);
    if (!m.has_offset || *end)
        return false;
    /* Of the names only UTC's: "EST" is a zone of the data base too, and may mean another. */
    if (isalpha((unsigned char)room[0]) && strncmp(room, "utc", 3) != 0 &&
        strncmp(room, "gmt", 3) != 0 && strcmp(room, "z") != 0)
        return false;
    out->fixed = true;
    out->offset_s = m.offset_s;
    int minutes = (int)(fabs(m.offset_s) / 60);
    if (minutes == 0)
        nr_copy(out->name, sizeof out->name, "UTC");
    else
        snprintf(out->name, sizeof out->name, "UTC%c%02d:%02d", m.offset_s < 0 ? '-' : '+',
                 minutes / 60, minutes % 60);
    return true;
}

/* What this computer is set to: TZ, /etc/timezone, or where /etc/localtime leads. */
static void own_zone(char out[NR_ZONE])
{
    const char *tz = getenv("TZ");
    char link[256];
    out[0] = '\0';
    if (tz && tz[0]) {
        nr_copy(out, NR_ZONE, tz + (tz[0] == ':'));
        return;
    }
    ssize_t n = readlink("/etc/localtime", link, sizeof link - 1);
    if (n > 0) {
        link[n] = '\0';
        const char *at = strstr(link, "zoneinfo/");
        if (at)
            nr_copy(out, NR_ZONE, at + strlen("zoneinfo/"));
    }
    FILE *file = out[0] ? NULL : fopen("/etc/timezone", "re");
    if (file) {
        if (fgets(out, NR_ZONE, file))
            nr_trim(out);
        fclose(file);
    }
    if (!out[0])
        nr_copy(out, NR_ZONE, "UTC");
}

static bool in_database(const char *name)
{
    char path[NR_ZONE + sizeof DATABASE + 2];
    for (const char *p = name; *p; p++)
        if (!isalnum((unsigned char)*p) && !strchr("/_+-", *p))
            return false;
    snprintf(path, sizeof path, "%s/%s", DATABASE, name);
    FILE *file = name[0] && name[0] != '/' ? fopen(path, "re") : NULL;
    char magic[4] = {0};
    bool good = file && fread(magic, 1, 4, file) == 4 && memcmp(magic, "TZif", 4) == 0;
    if (file)
        fclose(file);
    return good;
}

nr_code nr_zone_find(const char *text, nr_zone *out, nr_err *err)
{
    char own[NR_ZONE], shown[NR_ZONE];
    bool stated = text && text[0];
    *out = (nr_zone){.fixed = false};
    if (!stated) {
        own_zone(own);
        text = own;
    }
    if (fixed_zone(text, out))
        return NR_OK;
    if (nr_copy(out->name, sizeof out->name, text) && in_database(text))
        return NR_OK;
    nr_clean(shown, sizeof shown, text, strlen(text));
    if (access(DATABASE, R_OK) != 0)
        return nr_fail(err, NR_BAD, NULL, 0,
                       "this system has no time zones (" DATABASE "; Debian's package tzdata), so "
                       "\"%s\" cannot be looked up; give --zone +02:00",
                       shown);
    return nr_fail(err, NR_BAD, NULL, 0,
                   "there is no time zone \"%s\"%s; --zone wants one like Europe/Paris, "
                   "America/Denver, UTC or +02:00",
                   shown, stated ? "" : " (it is this computer's TZ)");
}
