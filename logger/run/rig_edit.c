/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_edit.h"
#include "logger/run/rig_text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HEADING 128

typedef struct row {
    nr_rig_text_line line;
    long section; /* index of its heading's row; -1 before the first */
} row;

static bool has_key(const row *r, const char *key)
{
    return r->line.kind == NR_RIG_TEXT_PAIR && nr_span_is(r->line.name, key);
}

static row *split(const char *text, size_t length, size_t *count)
{
    size_t lines = 1;
    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    row *rows = calloc(lines, sizeof *rows);
    nr_rig_text at = nr_rig_text_of(text, length);
    long section = -1;
    *count = 0;
    while (rows && nr_rig_text_next(&at, &rows[*count].line)) {
        row *r = &rows[*count];
        if (r->line.kind == NR_RIG_TEXT_HEADING)
            section = (long)*count;
        r->section = section;
        (*count)++;
    }
    return rows;
}

static long find_section(const row *rows, size_t count, const char *name)
{
    char heading[HEADING];
    for (size_t i = 0; i < count; i++) {
        if (rows[i].line.kind != NR_RIG_TEXT_HEADING || !rows[i].line.closed)
            continue;
        nr_rig_text_heading(&rows[i].line, heading, sizeof heading);
        if (strcmp(heading, name) == 0)
            return (long)i;
    }
    return -1;
}

/* Where each change applies: the row it replaces, or the one it goes behind. */
typedef struct place {
    size_t row;
    bool replaces;
} place;

static nr_code find_place(const row *rows, size_t count, const nr_rig_change *change, place *out,
                          nr_err *err)
{
    long section = find_section(rows, count, change->section);
    if (section < 0)
        return nr_fail(err, NR_CANNOT, NULL, 0, "there is no section [%s]", change->section);
    *out = (place){.row = (size_t)section};
    for (size_t i = 0; i < count; i++) {
        if (rows[i].section != section || rows[i].line.kind != NR_RIG_TEXT_PAIR)
            continue;
        bool same = has_key(&rows[i], change->key);
        if (same && out->replaces)
            return nr_fail(err, NR_CANNOT, NULL, (long)i + 1, "[%s] has the key %s twice",
                           change->section, change->key);
        if (same || !out->replaces)
            out->row = i;
        out->replaces = out->replaces || same;
    }
    return NR_OK;
}

static void write_change(FILE *to, const nr_rig_change *c, const char *line_end)
{
    if (!c->value)
        return;
    fprintf(to, "%s = %s%s%s%s", c->key, c->value, c->remark ? "  ; " : "",
            c->remark ? c->remark : "", line_end);
}

static const char *line_end_of(const row *r)
{
    return r->line.crlf ? "\r\n" : "\n";
}

static void write_row(FILE *to, const row *r, size_t index, const nr_rig_change *change,
                      const place *places, size_t changes)
{
    bool replaced = false;
    for (size_t i = 0; i < changes; i++) {
        if (places[i].row != index || !places[i].replaces)
            continue;
        write_change(to, &change[i], line_end_of(r));
        replaced = true;
    }
    if (!replaced) {
        fwrite(r->line.whole.at, 1, r->line.whole.length, to);
        if (!r->line.line_break)
            fputs("\n", to); /* the last line had no line break */
    }
    for (size_t i = 0; i < changes; i++)
        if (places[i].row == index && !places[i].replaces)
            write_change(to, &change[i], line_end_of(r));
}

static nr_code write_all(const row *rows, size_t count, const nr_rig_change *change,
                         const place *places, size_t changes, char **out, size_t *out_length,
                         nr_err *err)
{
    FILE *to = open_memstream(out, out_length);
    if (!to)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    for (size_t i = 0; i < count; i++)
        write_row(to, &rows[i], i, change, places, changes);
    if (fclose(to) == 0)
        return NR_OK;
    free(*out);
    *out = NULL;
    return nr_fail_errno(err, NR_BAD, NULL, errno, "cannot put the rig file together");
}

nr_code nr_rig_edit(const char *text, size_t length, const nr_rig_change *change, size_t changes,
                    char **out, size_t *out_length, nr_err *err)
{
    size_t count = 0;
    row *rows = split(text, length, &count);
    place *places = calloc(changes + 1, sizeof *places);
    *out = NULL;
    if (!rows || !places) {
        free(rows);
        free(places);
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    }
    nr_code code = NR_OK;
    for (size_t i = 0; code == NR_OK && i < changes; i++)
        code = find_place(rows, count, &change[i], &places[i], err);
    if (code == NR_OK)
        code = write_all(rows, count, change, places, changes, out, out_length, err);
    free(rows);
    free(places);
    return code;
}
