/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_edit.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One line of the file, with its line end. */
typedef struct row {
    const char *text;
    size_t length; /* with line end */
    size_t end;    /* without */
    long section;  /* index of its heading's row; -1 before the first */
    bool heading;
    const char *key; /* NULL: no key = value line */
    size_t key_length;
} row;

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static void trim(const char **text, size_t *length)
{
    while (*length > 0 && blank(**text)) {
        (*text)++;
        (*length)--;
    }
    while (*length > 0 && blank((*text)[*length - 1]))
        (*length)--;
}

/* notes_indent: of the key `notes` above, whose text goes on in lines that are indented further;
 * -1: no such key. */
static void find_key(row *r, long notes_indent)
{
    const char *at = r->text;
    size_t length = r->end, key = 0;
    trim(&at, &length);
    if (notes_indent >= 0 && at - r->text > notes_indent)
        return;
    r->heading = length > 0 && *at == '[';
    if (length == 0 || r->heading || *at == ';' || *at == '#')
        return;
    while (key < length && at[key] != '=' && at[key] != ':')
        key++;
    if (key == length)
        return;
    r->key = at;
    r->key_length = key;
    trim(&r->key, &r->key_length);
}

static bool has_key(const row *r, const char *key)
{
    return r->key && strlen(key) == r->key_length && memcmp(r->key, key, r->key_length) == 0;
}

static row *split(const char *text, size_t length, size_t *count)
{
    size_t lines = 1;
    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    row *rows = calloc(lines, sizeof *rows);
    *count = 0;
    long section = -1, notes_indent = -1;
    for (const char *p = text; rows && p < text + length;) {
        const char *newline = memchr(p, '\n', (size_t)(text + length - p));
        row *r = &rows[*count];
        r->text = p;
        r->length = (size_t)((newline ? newline + 1 : text + length) - p);
        r->end = newline ? r->length - 1 : r->length;
        if (r->end > 0 && p[r->end - 1] == '\r')
            r->end--;
        find_key(r, notes_indent);
        if (r->heading)
            section = (long)*count;
        if (r->heading || r->key)
            notes_indent = has_key(r, "notes") ? r->key - r->text : -1;
        r->section = section;
        p += r->length;
        (*count)++;
    }
    return rows;
}

/* "[ channel  store ]  ; remark" against "channel store". */
static bool is_heading(const row *r, const char *name)
{
    const char *open = memchr(r->text, '[', r->end);
    const char *close = open ? memchr(open, ']', (size_t)(r->text + r->end - open)) : NULL;
    if (!close)
        return false;
    const char *p = open + 1;
    size_t left = (size_t)(close - p);
    trim(&p, &left);
    while (left > 0 && *name) {
        const char *word = p;
        while (left > 0 && blank(*p)) {
            p++;
            left--;
        }
        bool gap = p > word;
        if (gap != (*name == ' ') || (!gap && *p != *name))
            return false;
        name++;
        p += !gap;
        left -= !gap;
    }
    return left == 0 && *name == '\0';
}

static long find_section(const row *rows, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (rows[i].heading && is_heading(&rows[i], name))
            return (long)i;
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
        if (rows[i].section != section || !rows[i].key)
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
    return r->length >= 2 && r->text[r->length - 2] == '\r' ? "\r\n" : "\n";
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
        fwrite(r->text, 1, r->length, to);
        if (r->length == r->end)
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
