/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/notes.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/file.h"
#include "logger/run/readings.h"

#include <csv.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define MOST_BYTES 100000000u
#define COLUMNS 4
#define SHOWN 64
#define HEADER "time_utc,elapsed_s,kind,text"

static const char *const kinds[] = {"note", "gap",    "port",  "clock",
                                    "pump", "target", "start", "stop"};
#define KINDS (sizeof kinds / sizeof kinds[0])

const char *nr_note_kind_name(nr_note_kind kind)
{
    return (size_t)kind < KINDS ? kinds[kind] : "note";
}

typedef struct reader {
    nr_notes *out;
    const char *path;
    long line;
    size_t cell, capacity;
    bool have_header;
    nr_note note; /* the row being read */
    nr_code code;
    nr_err problem;
} reader;

/* What a spreadsheet takes for the start of a formula, behind any apostrophes that protect it. */
static bool formula(const char *text)
{
    text += strspn(text, "'");
    return *text == '=' || *text == '+' || *text == '-' || *text == '@';
}

static nr_code bad_cell(reader *r, const char *name, const char *text, size_t length,
                        const char *wanted)
{
    char shown[SHOWN];
    nr_clean(shown, sizeof shown, text, length);
    return nr_fail(&r->problem, NR_BAD, r->path, r->line, "column %s: \"%s\" is not %s", name,
                   shown, wanted);
}

static nr_code read_kind(reader *r, const char *text, size_t length)
{
    for (size_t i = 0; i < KINDS; i++)
        if (strcmp(kinds[i], text) == 0) {
            r->note.kind = (nr_note_kind)i;
            return NR_OK;
        }
    return bad_cell(r, "kind", text, length,
                    "a kind of note; use note, gap, port, clock, pump, target, start or stop");
}

static nr_code read_cell(reader *r, const char *text, size_t length)
{
    switch (r->cell) {
    case 0:
        return nr_utc_parse(text, &r->note.utc_s)
                   ? NR_OK
                   : bad_cell(r, "time_utc", text, length,
                              "a time; write UTC as 2026-05-04T11:22:33.456Z");
    case 1:
        return nr_parse_double(text, &r->note.elapsed_s) &&
                       fabs(r->note.elapsed_s) <= NR_ELAPSED_READ_S
                   ? NR_OK
                   : bad_cell(r, "elapsed_s", text, length,
                              "a number of seconds since the start, such as 61.25");
    case 2:
        return read_kind(r, text, length);
    case 3:
        if (text[0] == '\'' && formula(text)) {
            text++;
            length--;
        }
        nr_clean(r->note.text, sizeof r->note.text, text, length);
        return NR_OK;
    default:
        return NR_OK; /* counted at the row's end */
    }
}

static nr_code read_header_cell(reader *r, const char *text)
{
    static const char *const names[COLUMNS] = {"time_utc", "elapsed_s", "kind", "text"};
    if (r->cell < COLUMNS && strcmp(text, names[r->cell]) == 0)
        return NR_OK;
    return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                   "the first line is not the header of notes; it must be " HEADER);
}

static void on_cell(void *field, size_t length, void *context)
{
    reader *r = context;
    const char *text = field ? field : "";
    if (r->code == NR_OK)
        r->code = r->have_header ? read_cell(r, text, length) : read_header_cell(r, text);
    r->cell++;
}

static nr_code add_note(reader *r)
{
    nr_notes *out = r->out;
    if (r->cell != COLUMNS)
        return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                       "this row has %zu cells instead of %d (" HEADER
                       "); put a text with commas into quotes",
                       r->cell, COLUMNS);
    if (!r->have_header) {
        r->have_header = true;
        return NR_OK;
    }
    if (out->count == r->capacity) {
        size_t capacity = r->capacity ? 2 * r->capacity : 16;
        nr_note *grown = realloc(out->note, capacity * sizeof *grown);
        if (!grown)
            return nr_fail(&r->problem, NR_BAD, r->path, r->line, "not enough memory");
        out->note = grown;
        r->capacity = capacity;
    }
    out->note[out->count++] = r->note;
    return NR_OK;
}

static void on_row(int end, void *context)
{
    (void)end;
    reader *r = context;
    if (r->code == NR_OK)
        r->code = add_note(r);
    r->cell = 0;
}

static nr_code broken_quote(reader *r)
{
    return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                   "a quote is out of place; a quoted cell is \"...\" with quotes inside doubled");
}

/* As in readings.c: only what a crash leaves behind the last line break is forgiven. A note's text
 * may hold line breaks when someone else wrote the file, so an open quote counts as such a tail
 * too, and whatever it swallowed with it: the record itself is in readings.csv. */
static nr_code read_tail(reader *r, struct csv_parser *csv, const char *tail, size_t length)
{
    if (tail[length - 1] == ',') /* the text was to come */
        return NR_BAD;
    if (csv_parse(csv, tail, length, on_cell, on_row, r) != length)
        return broken_quote(r);
    if (csv_fini(csv, on_cell, on_row, r) != 0 && r->code == NR_OK)
        return broken_quote(r);
    return r->code;
}

static nr_code read_lines(reader *r, struct csv_parser *csv, const char *text, size_t length)
{
    const char *p = text, *end = text + length;
    bool inside = false;
    for (long line = 1; p < end; line++) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        if (!inside)
            r->line = line;
        if (!stop)
            break;
        size_t size = (size_t)(stop + 1 - p);
        if (line > 1 && !inside && memchr(p, '\0', size)) {
            r->out->torn = true; /* as in readings.c */
            p = stop + 1;
            continue;
        }
        if (csv_parse(csv, p, size, on_cell, on_row, r) != size)
            return broken_quote(r);
        if (r->code != NR_OK)
            return r->code;
        inside = csv->pstate != 0;
        p = stop + 1;
    }
    if (p == end && inside)
        return broken_quote(r);
    if (p < end && read_tail(r, csv, p, (size_t)(end - p)) != NR_OK)
        r->out->torn = true;
    return NR_OK;
}

static nr_code parse_into(reader *r, const char *text, size_t length, nr_err *err)
{
    size_t whole = length;
    while (length > 0 && text[length - 1] == '\0')
        length--;
    r->out->torn = length < whole;
    if (length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0) {
        text += 3;
        length -= 3;
    }
    struct csv_parser csv;
    if (csv_init(&csv, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL) != 0)
        return nr_fail(err, NR_BAD, r->path, 0, "not enough memory");
    csv_set_blk_size(&csv, NR_CSV_GROWS);
    nr_code code = read_lines(r, &csv, text, length);
    csv_free(&csv);
    if (code != NR_OK && err)
        *err = r->problem;
    return code;
}

nr_code nr_notes_parse(const char *text, size_t length, const char *path, nr_notes **out,
                       nr_err *err)
{
    *out = NULL;
    nr_notes *notes = calloc(1, sizeof *notes);
    if (!notes)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    reader r = {.out = notes, .path = path};
    nr_code code = parse_into(&r, text, length, err);
    if (code != NR_OK) {
        nr_notes_free(notes);
        return code;
    }
    *out = notes;
    return NR_OK;
}

nr_code nr_notes_read(const char *path, nr_notes **out, nr_err *err)
{
    struct stat about;
    char *text;
    size_t length;
    *out = NULL;
    if (stat(path, &about) != 0 && errno == ENOENT)
        return nr_notes_parse("", 0, path, out, err);
    nr_code code = nr_file_read(path, MOST_BYTES, &text, &length, err);
    if (code != NR_OK)
        return code;
    code = nr_notes_parse(text, length, path, out, err);
    free(text);
    return code;
}

void nr_notes_free(nr_notes *notes)
{
    if (!notes)
        return;
    free(notes->note);
    free(notes);
}

size_t nr_notes_row(const nr_note *note, char *out, size_t size)
{
    char time[NR_UTC_SIZE], elapsed[64], text[sizeof note->text + 1];
    char quoted[2 * sizeof text + 2];
    nr_utc_format(note->utc_s, time);
    nr_format_number(elapsed, sizeof elapsed, note->elapsed_s, 3);
    text[0] = '\'';
    char *clean = formula(note->text) ? text + 1 : text;
    nr_clean(clean, sizeof text - 1, note->text, strnlen(note->text, sizeof note->text));
    size_t length = csv_write(quoted, sizeof quoted - 1, text, strlen(text));
    quoted[length] = '\0';
    int used =
        snprintf(out, size, "%s,%s,%s,%s\n", time, elapsed, nr_note_kind_name(note->kind), quoted);
    if (used < 0 || (size_t)used >= size) {
        if (size > 0)
            out[0] = '\0';
        return 0;
    }
    return (size_t)used;
}
