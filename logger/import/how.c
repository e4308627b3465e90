/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/how.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void line(FILE *to, const char *key, const char *value)
{
    char clean[500];
    if (!value || !value[0])
        return;
    nr_clean(clean, sizeof clean, value, strlen(value));
    fprintf(to, "%s = %s\n", key, clean);
}

char *nr_import_how_write(const char *table, const nr_imported *im, const nr_rig *rig,
                          const nr_import_stated *stated, size_t *length)
{
    char *text = NULL;
    FILE *to = open_memstream(&text, length);
    if (!to)
        return NULL;
    fputs("; How the table beside this file was read. `noonlog rebuild` reads it again by these\n"
          "; lines; they may be changed (map: the column's number from 1 = channel, unit).\n\n",
          to);
    line(to, "table", table);
    if (stated->skip > 0)
        fprintf(to, "skip = %ld\n", stated->skip);
    line(to, "time", stated->time);
    line(to, "time_format", stated->format);
    line(to, "start", stated->start);
    if (im->times.zone_used || !(stated->zone == NULL || stated->zone[0] == '\0') || im->dated)
        line(to, "zone", im->zone.name);
    for (size_t i = 0; i < rig->channels; i++) {
        const nr_matched *m = &im->match.of[i];
        if (m->column == NR_NO_COLUMN)
            continue;
        const char *unit =
            m->by_law || m->unit.measure != NR_MEASURE_UNIT ? "" : m->unit.unit->name;
        fprintf(to, "map = %zu=%s%s%s\n", m->column + 1, rig->channel[i].name, unit[0] ? " " : "",
                unit);
    }
    /* Columns that were left out on purpose stay out. */
    for (size_t i = 0; i < stated->maps; i++) {
        size_t n = strlen(stated->map[i]);
        if (n > 0 && stated->map[i][n - 1] == '=')
            line(to, "map", stated->map[i]);
    }
    fputs("\n; What was found:\n", to);
    for (size_t i = 0; i < im->said.count; i++)
        fprintf(to, "; %s\n", im->said.text[i]);
    bool good = ferror(to) == 0;
    good = fclose(to) == 0 && good;
    if (good)
        return text;
    free(text);
    return NULL;
}

/* The channel that a map names is in the rig, or it names none. */
static bool map_holds(const char *map, const nr_rig *rig)
{
    char name[NR_NAME];
    const char *cut = strrchr(map, '=');
    if (!cut)
        return true; /* to be complained of */
    cut += 1 + strspn(cut + 1, " ");
    size_t n = strcspn(cut, " ");
    if (n == 0 || strcmp(cut, "-") == 0)
        return true;
    if (n >= sizeof name)
        return false;
    memcpy(name, cut, n);
    name[n] = '\0';
    return nr_rig_channel_find(rig, name) != NULL;
}

static nr_code take(nr_import_how *h, const char *key, const char *value, const nr_rig *rig,
                    const char *path, long number, nr_err *err)
{
    const struct {
        const char *key;
        char *to;
        size_t size;
    } texts[] = {{"table", h->table, sizeof h->table},
                 {"time", h->time, sizeof h->time},
                 {"time_format", h->format, sizeof h->format},
                 {"zone", h->zone, sizeof h->zone},
                 {"start", h->start, sizeof h->start}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (strcmp(key, texts[i].key) == 0)
            return nr_copy(texts[i].to, texts[i].size, value)
                       ? NR_OK
                       : nr_fail(err, NR_BAD, path, number, "%s is too long", key);
    if (strcmp(key, "skip") == 0)
        return nr_parse_long(value, 0, 1000000, &h->stated.skip)
                   ? NR_OK
                   : nr_fail(err, NR_BAD, path, number, "skip wants a number of lines");
    if (strcmp(key, "map") != 0)
        return nr_fail(err, NR_BAD, path, number,
                       "not a key of this file; it knows table, skip, time, time_format, zone, "
                       "start, map");
    if (!map_holds(value, rig))
        return NR_OK;
    if (h->stated.maps == NR_MAPS || !nr_copy(h->map[h->stated.maps], sizeof h->map[0], value))
        return nr_fail(err, NR_BAD, path, number, "too many maps, or too long a one");
    h->maps[h->stated.maps] = h->map[h->stated.maps];
    h->stated.maps++;
    return NR_OK;
}

nr_code nr_import_how_read(const char *text, size_t length, const char *path, const nr_rig *rig,
                           nr_import_how *h, nr_err *err)
{
    const char *end = text + length;
    long number = 0;
    memset(h, 0, sizeof *h);
    for (const char *p = text; p < end;) {
        char row[600];
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        size_t n = (size_t)((stop ? stop : end) - p);
        number++;
        if (n >= sizeof row && p[0] != ';')
            return nr_fail(err, NR_BAD, path, number, "the line is too long");
        n = n < sizeof row ? n : 0;
        memcpy(row, p, n);
        row[n] = '\0';
        p = stop ? stop + 1 : end;
        nr_trim(row);
        if (row[0] == '\0' || row[0] == ';')
            continue;
        char *cut = strchr(row, '=');
        if (!cut)
            return nr_fail(err, NR_BAD, path, number, "wants key = value");
        *cut++ = '\0';
        nr_code code = take(h, nr_trim(row), nr_trim(cut), rig, path, number, err);
        if (code != NR_OK)
            return code;
    }
    if (h->table[0] == '\0' || strchr(h->table, '/'))
        return nr_fail(err, NR_BAD, path, 0,
                       "does not name its table: table = FILE, in this folder");
    h->stated.time = h->time;
    h->stated.format = h->format;
    h->stated.zone = h->zone;
    h->stated.start = h->start;
    h->stated.map = h->maps;
    return NR_OK;
}
