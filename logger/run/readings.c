/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading: one pass through libcsv, line by line so that errors know their line, into one block of
 * memory whose size the file's length bounds. */
#include "logger/run/readings.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/file.h"
#include "logger/run/meaning.h"

#include <csv.h>
#include <errno.h>
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MOST_BYTES 2000000000u /* a year at 1 Hz is 3 GB; a test is one day */
#define MOST_COLUMNS NR_READINGS_COLUMNS
#define SHAPE "time_utc,elapsed_s,store_degC,... on the first line"
#define LOOKED_AT 65536 /* bytes whose lines say how long lines are */
#define ROOM_MORE 16    /* a sixteenth */
/* Of a file, so many bytes are there at once, and so many of them ahead of what is read; more only
 * where a line is longer. */
#define WINDOW 1048576
#define AHEAD 262144
#define SHOWN 64 /* bytes of a bad cell that a message quotes */

#define MINUTE 17 /* letters of a time before its seconds */

enum { TIME_UTC = -1, ELAPSED_S = -2 };

typedef struct reader {
    nr_readings *out;
    const char *path;
    long line; /* where the current row starts */
    size_t cell;
    bool header_ended, have_header;
    bool unterminated;            /* the row has no line break behind it */
    int target[MOST_COLUMNS + 2]; /* file column -> TIME_UTC, ELAPSED_S or index in out->column */
    double value[MOST_COLUMNS];   /* of this row, as written */
    size_t cells;                 /* in the header */
    double utc_s, elapsed_s;
    int decimals;        /* in the last cell of this row; -1: it is empty */
    int decimals_before; /* in the last such cell that was not empty; -1: none yet */
    char minute[MINUTE]; /* the date, hour and minute of a plain time, with its separators */
    long long minute_s;  /* that minute, since 1970 */
    const char *text;    /* [held] of [length], behind [dropped] */
    size_t held, dropped, length;
    size_t nothing; /* and behind all of it so many NUL bytes */
    int fd;         /* where the rest of it comes from */
    char *ours;     /* text, where it is a window into a file: [room + 1]; else NULL */
    size_t room;
    nr_code code; /* of the row being read */
    nr_err problem;
} reader;

static void quote(char out[SHOWN], const char *text, size_t length)
{
    nr_clean(out, SHOWN, text, length);
    if (length >= SHOWN)
        memcpy(out + strlen(out) - 3, "...", 3);
}

static bool name_taken(const reader *r, int target)
{
    for (size_t i = 0; i < r->cells; i++)
        if (r->target[i] == target)
            return true;
    return false;
}

/* Another tool's "tank_top" and "tank_bottom" are not two readings of one channel "tank": what
 * looks like a unit but is none is then part of the name. */
static const nr_column *same_channel(nr_readings *out, nr_column *added)
{
    for (size_t i = 0; i < out->columns; i++) {
        nr_column *other = &out->column[i];
        if (strcmp(other->channel, added->channel) != 0)
            continue;
        if (strcmp(other->unit, added->unit) == 0 || (other->known && added->known))
            return other;
        nr_column *loose = added->known ? other : added;
        char name[2 * NR_NAME + 2];
        snprintf(name, sizeof name, "%s_%s", loose->channel, loose->unit);
        if (!loose->unit[0] || strlen(name) >= sizeof loose->channel)
            return other;
        nr_copy(loose->channel, sizeof loose->channel, name);
        loose->unit[0] = '\0';
        return loose == added ? same_channel(out, added) : NULL;
    }
    return NULL;
}

static nr_code check_meaning(const reader *r, const nr_column *column, const char *shown,
                             nr_err *err)
{
    const nr_meaning *meaning = nr_meaning_find(column->channel);
    if (!meaning ||
        nr_meaning_accepts(meaning, column->known ? column->known->dimension : NR_DIM_NONE))
        return NR_OK;
    char units[200];
    nr_meaning_units(meaning, units, sizeof units);
    return nr_fail(err, NR_BAD, r->path, r->line,
                   "column %s: \"%s\" is no unit for %s (%s); name it %s_UNIT with one of: %s",
                   shown, column->unit, meaning->channel, meaning->text, meaning->channel, units);
}

static nr_code add_channel(reader *r, const char *name, const char *shown, nr_err *err)
{
    nr_readings *out = r->out;
    nr_column *column = &out->column[out->columns];
    char unit[NR_NAME];
    memset(column, 0, sizeof *column);
    if (!nr_column_split(name, column->channel, unit, NR_NAME))
        return nr_fail(err, NR_BAD, r->path, r->line,
                       "column %s: the name is too long; use less than %d characters", shown,
                       NR_NAME);
    nr_copy(column->unit, sizeof column->unit, unit);
    const nr_unit *known = nr_unit_find(unit);
    column->given = known;
    column->known = known ? nr_unit_canonical(known->dimension) : NULL;
    nr_code code = check_meaning(r, column, shown, err);
    if (code != NR_OK)
        return code;
    const nr_column *other = same_channel(out, column);
    if (other)
        return nr_fail(err, NR_BAD, r->path, r->line,
                       "column %s: channel %s already has a column (%s%s%s); keep one of them",
                       shown, other->channel, other->channel, other->unit[0] ? "_" : "",
                       other->unit);
    r->target[r->cells++] = (int)out->columns++;
    return NR_OK;
}

static nr_code add_column(reader *r, const char *text, size_t length, nr_err *err)
{
    char name[2 * NR_NAME], shown[SHOWN];
    quote(shown, text, length);
    nr_clean(name, sizeof name, text, length);
    if (r->out->columns == MOST_COLUMNS)
        return nr_fail(err, NR_BAD, r->path, r->line, "more than %d columns", MOST_COLUMNS);
    if (length == 0)
        return nr_fail(err, NR_BAD, r->path, r->line,
                       "column %zu has no name; the header needs a name for every column",
                       r->cells + 1);
    if (strchr(name, ';'))
        return nr_fail(err, NR_BAD, r->path, r->line,
                       "the columns are separated by semicolons; use commas, and decimal points "
                       "in the numbers");
    if (length >= 2 * NR_NAME)
        return nr_fail(err, NR_BAD, r->path, r->line, "column %s...: the name is too long", shown);
    int target = strcmp(name, "time_utc") == 0    ? TIME_UTC
                 : strcmp(name, "elapsed_s") == 0 ? ELAPSED_S
                                                  : 0;
    if (target == 0)
        return add_channel(r, name, shown, err);
    if (name_taken(r, target))
        return nr_fail(err, NR_BAD, r->path, r->line, "column %s is there twice; keep one", shown);
    r->target[r->cells++] = target;
    return NR_OK;
}

static const char *column_name(const reader *r, size_t cell, char out[2 * NR_NAME + 2])
{
    int target = r->target[cell];
    if (target == TIME_UTC || target == ELAPSED_S)
        return target == TIME_UTC ? "time_utc" : "elapsed_s";
    const nr_column *column = &r->out->column[target];
    snprintf(out, 2 * NR_NAME + 2, "%s%s%s", column->channel, column->unit[0] ? "_" : "",
             column->unit);
    return out;
}

static nr_code bad_cell(reader *r, const char *text, size_t length, const char *wanted)
{
    char shown[SHOWN], name[2 * NR_NAME + 2];
    quote(shown, text, length);
    return nr_fail(&r->problem, NR_BAD, r->path, r->line, "column %s: \"%s\" is not %s",
                   column_name(r, r->cell, name), shown, wanted);
}

static nr_code read_number(reader *r, const char *text, size_t length)
{
    int target = r->target[r->cell];
    double value = NAN;
    if (length > 0 && (strlen(text) != length || !nr_parse_double(text, &value)))
        return bad_cell(r, text, length,
                        "a number; write a decimal number such as 21.5, or leave the cell empty "
                        "where there is no reading");
    if (target == ELAPSED_S) {
        r->elapsed_s = value;
        return fabs(value) <= NR_ELAPSED_READ_S
                   ? NR_OK
                   : bad_cell(r, text, length, "a number of seconds since the start");
    }
    r->value[target] = value;
    return NR_OK;
}

static nr_code read_cell(reader *r, const char *text, size_t length)
{
    if (r->target[r->cell] != TIME_UTC)
        return read_number(r, text, length);
    if (strlen(text) != length || !nr_utc_parse(text, &r->utc_s))
        return bad_cell(r, text, length, "a time; write UTC as 2026-05-04T11:22:33.456Z");
    return NR_OK;
}

static int decimals(const char *text)
{
    if (!*text)
        return -1;
    const char *point = strchr(text, '.');
    return point ? (int)strspn(point + 1, "0123456789") : 0;
}

static void on_cell(void *field, size_t length, void *context)
{
    reader *r = context;
    const char *text = field ? field : "";
    if (r->code == NR_OK && r->header_ended && !r->have_header)
        r->code = nr_fail(&r->problem, NR_BAD, r->path, r->line,
                          "the header ends in a bare carriage return; end lines with LF or CRLF");
    else if (r->code == NR_OK && !r->have_header)
        r->code = add_column(r, text, length, &r->problem);
    else if (r->code == NR_OK && r->cell < r->cells) {
        r->code = read_cell(r, text, length);
        if (r->cell + 1 == r->cells)
            r->decimals = decimals(text);
    }
    r->cell++;
}

/* Room for as many rows as the first lines say (of what is there of the text), and a little more;
 * should others be shorter, it grows with them. Every row needs at least a byte a cell, so that
 * memory stays in proportion to the file whatever it holds. */
static nr_code finish_header(reader *r, const char *text, size_t there, size_t length)
{
    if (!name_taken(r, TIME_UTC) || !name_taken(r, ELAPSED_S))
        return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                       "there is no column %s; readings need " SHAPE,
                       name_taken(r, TIME_UTC) ? "elapsed_s" : "time_utc");
    size_t lines = 1, seen = there < LOOKED_AT ? there : LOOKED_AT;
    for (const char *p = text, *end = text + seen; (p = memchr(p, '\n', (size_t)(end - p))); p++)
        lines++;
    size_t by_cells = length / r->cells + 1, each = seen / lines + 1;
    size_t by_lines = length / each + length / each / ROOM_MORE + lines;
    size_t rows = by_lines < by_cells ? by_lines : by_cells;
    rows = rows < NR_READINGS_PACK_FROM ? rows : NR_READINGS_PACK_FROM;
    r->out->packs = true;
    if (nr_readings_reserve(r->out, rows, NULL) != NR_OK)
        return nr_fail(&r->problem, NR_BAD, r->path, 0, "not enough memory for %zu rows", rows);
    r->have_header = true;
    return NR_OK;
}

/* The row on the record's axis. */
static nr_code place(reader *r)
{
    nr_readings *out = r->out;
    if (out->jumps >
        0) /* to the millisecond again, as it was written: billions have fewer digits */
        r->elapsed_s = round(1000 * (r->elapsed_s - out->jumped_s)) / 1000;
    if (out->rows == 0)
        return NR_OK;
    double after_s = out->last_elapsed_s;
    double beyond_s = r->elapsed_s - (after_s + 1);
    if (!(beyond_s + 1 > NR_PAUSE_MOST_S))
        return NR_OK;
    r->elapsed_s = round(1000 * (after_s + 1)) / 1000;
    out->jumped_s += beyond_s;
    out->jump_at_s = out->jumps++ == 0 ? r->elapsed_s : out->jump_at_s;
    double labels_s = r->utc_s - 1 - out->last_utc_s;
    return labels_s > 0 ? nr_readings_move_labels(out, labels_s, &r->problem) : NR_OK;
}

static nr_code finish_row(reader *r)
{
    nr_readings *out = r->out;
    if (r->cell != r->cells)
        return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                       "this row has %zu cells but the header has %zu columns; leave a cell empty "
                       "where there is no reading, and put no comma into a number",
                       r->cell, r->cells);
    if (place(r) != NR_OK)
        return NR_BAD;
    if (out->rows > 0 && !(r->elapsed_s > out->last_elapsed_s))
        return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                       "column elapsed_s: %.3f does not come after %.3f of the row before; "
                       "seconds since the start must grow from row to row",
                       r->elapsed_s, out->last_elapsed_s);
    bool whole = r->decimals >= 0 && r->decimals_before >= 0 && r->decimals >= r->decimals_before;
    if (r->unterminated && !whole)
        return nr_fail(&r->problem, NR_BAD, r->path, r->line, "the last line is incomplete");
    if (r->decimals >= 0)
        r->decimals_before = r->decimals;
    return nr_readings_append(out, r->utc_s, r->elapsed_s, r->value, &r->problem);
}

static void on_row(int end, void *context)
{
    (void)end;
    reader *r = context;
    if (r->code == NR_OK && r->have_header)
        r->code = finish_row(r);
    r->header_ended = true;
    r->cell = 0;
}

static nr_code broken_quote(reader *r)
{
    return nr_fail(&r->problem, NR_BAD, r->path, r->line,
                   "a quote is out of place; a quoted cell is \"...\" with quotes inside doubled");
}

/* What is wrong with the text behind the last line break is forgiven: a crash leaves it behind. */
static nr_code read_tail(reader *r, struct csv_parser *csv, const char *tail, size_t length)
{
    r->unterminated = true;
    if (csv_parse(csv, tail, length, on_cell, on_row, r) != length)
        r->code = broken_quote(r);
    else if (csv_fini(csv, on_cell, on_row, r) != 0 && r->code == NR_OK)
        r->code = broken_quote(r);
    return r->code;
}

/* --- rows as noonlog writes them
 * ------------------------------------------------------------------
 */

/* A plain decimal up to a comma or the line's end; an empty cell is NAN. The same double as
 * nr_parse_double gives, by the same exact division. NULL: anything else. */
static const char *plain_number(const char *p, const char *end, double *out, int *places)
{
    static const double power[] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                   1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    uint64_t mantissa = 0;
    const char *first = p, *point = NULL;
    bool negative = p < end && *p == '-';
    for (p += negative; p < end; p++) {
        if (*p >= '0' && *p <= '9')
            mantissa = mantissa * 10 + (uint64_t)(*p - '0');
        else if (*p == '.' && !point)
            point = p;
        else
            break;
    }
    ptrdiff_t digits = p - first - negative - (point != NULL);
    if (p == end || digits > 15 || (digits == 0 && p != first))
        return NULL;
    *places = p == first ? -1 : point ? (int)(p - point - 1) : 0;
    double value = p == first ? NAN : (double)mantissa / power[*places > 0 ? *places : 0];
    *out = negative ? -value : value;
    return p;
}

#define PLAIN_TIME "2026-05-04T11:22:33.456Z"
#define PLAIN_TIME_LENGTH (sizeof PLAIN_TIME - 1)

/* The seconds of a time in the same minute as the last; NULL: it is in another, or written
 * otherwise. */
static const char *time_in_minute(const reader *r, const char *p, double *utc_s)
{
    static const unsigned char digit[] = {17, 18, 20, 21, 22};
    if (memcmp(p, r->minute, MINUTE) != 0 || p[19] != '.' || p[23] != 'Z' || p[17] > '5')
        return NULL;
    for (size_t i = 0; i < sizeof digit; i++)
        if (p[digit[i]] < '0' || p[digit[i]] > '9')
            return NULL;
    int second = 10 * (p[17] - '0') + p[18] - '0';
    int ms = 100 * (p[20] - '0') + 10 * (p[21] - '0') + p[22] - '0';
    *utc_s = (double)(r->minute_s + second) + (double)ms / 1000;
    return p + PLAIN_TIME_LENGTH;
}

static const char *plain_time(reader *r, const char *p, const char *end, double *utc_s)
{
    char text[NR_UTC_SIZE];
    size_t n = 0;
    bool may_be = (size_t)(end - p) > PLAIN_TIME_LENGTH && p[PLAIN_TIME_LENGTH] == ',';
    const char *next = may_be ? time_in_minute(r, p, utc_s) : NULL;
    if (next)
        return next;
    for (; p < end && *p != ',' && *p != '\r' && *p != '\n' && n + 1 < sizeof text; p++)
        text[n++] = *p;
    text[n] = '\0';
    if (p == end || !nr_utc_parse(text, utc_s))
        return NULL;
    if (n == PLAIN_TIME_LENGTH) {
        memcpy(r->minute, text, MINUTE);
        r->minute_s = 60 * (long long)floor(*utc_s / 60);
    }
    return p;
}

/* A row without quotes, blanks, exponents and other things that a spreadsheet might put into it,
 * read straight from the text: several times as fast as through libcsv. NULL: it is none, and
 * nothing has been read; then libcsv does it, and says what is wrong with it. Else where the next
 * row begins, with r->code of this one. */
static const char *plain_row(reader *r, const char *p, const char *end)
{
    double utc_s = NAN, elapsed_s = NAN;
    int places = -1;
    for (size_t i = 0; i < r->cells; i++) {
        int target = r->target[i];
        double *to = target == ELAPSED_S ? &elapsed_s : &r->value[target < 0 ? 0 : target];
        p = target == TIME_UTC ? plain_time(r, p, end, &utc_s) : plain_number(p, end, to, &places);
        if (!p || (i + 1 < r->cells && *p++ != ','))
            return NULL;
        if (target == TIME_UTC && i + 1 == r->cells)
            return NULL; /* what torn rows are told by is another cell's */
    }
    p += *p == '\r' && p + 1 < end;
    if (*p != '\n' || !(fabs(elapsed_s) <= NR_ELAPSED_MOST_S) || isnan(utc_s))
        return NULL;
    r->utc_s = utc_s;
    r->elapsed_s = elapsed_s;
    r->decimals = places;
    r->cell = r->cells;
    r->code = finish_row(r);
    r->cell = 0;
    return p + 1;
}

static size_t left_of(const reader *r, const char *p)
{
    return r->length - r->dropped - (size_t)(p - r->text);
}

/* Room for so much from *p on, which moves to the front where there is none behind. */
static bool make_room(reader *r, const char **p, size_t enough)
{
    size_t read = (size_t)(*p - r->text);
    if (r->room - read < enough && read > 0) {
        memmove(r->ours, r->ours + read, r->held - read + 1);
        r->held -= read;
        r->dropped += read;
        read = 0;
    }
    if (r->room - read < enough) {
        char *more = realloc(r->ours, read + enough + 1);
        if (!more)
            return false;
        r->ours = more;
        r->room = read + enough;
    }
    r->text = r->ours;
    *p = r->text + read;
    return true;
}

/* More of a file, until there is enough from *p on, or all of it; *p moves with it. */
static nr_code fill(reader *r, const char **p, size_t enough)
{
    size_t left = left_of(r, *p);
    enough = enough < left ? enough : left;
    if (r->held - (size_t)(*p - r->text) >= enough)
        return NR_OK;
    if (!make_room(r, p, enough))
        return r->code = nr_fail(&r->problem, NR_BAD, r->path, r->line, "not enough memory");
    while (r->held - (size_t)(*p - r->text) < enough) {
        size_t behind = r->length - r->dropped - r->held, room = r->room - r->held;
        ssize_t got = read(r->fd, r->ours + r->held, behind < room ? behind : room);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return r->code = nr_fail_errno(&r->problem, NR_BAD, r->path, errno, "cannot be read");
        r->held += (size_t)got;
        r->ours[r->held] = '\0';
        if (got == 0) { /* it has become shorter */
            r->length = r->dropped + r->held;
            break;
        }
    }
    return NR_OK;
}

static nr_code read_lines(reader *r, struct csv_parser *csv, const char *text)
{
    const char *p = text, *end = r->text + r->held;
    long line = 1;
    bool inside = false; /* a quoted cell goes on over the line break */
    while (left_of(r, p) > 0) {
        if (end - p < AHEAD / 2 && fill(r, &p, AHEAD) != NR_OK)
            return r->code;
        end = r->text + r->held;
        if (!inside)
            r->line = line;
        const char *next = r->have_header && !inside ? plain_row(r, p, end) : NULL;
        if (next) {
            if (r->code != NR_OK)
                return r->code;
            line++;
            p = next;
            continue;
        }
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        if (!stop && (size_t)(end - p) < left_of(r, p)) { /* a very long line */
            if (fill(r, &p, 2 * (size_t)(end - p)) != NR_OK)
                return r->code;
            end = r->text + r->held;
            continue;
        }
        if (!stop)
            break;
        size_t size = (size_t)(stop + 1 - p);
        if (r->have_header && !inside && memchr(p, '\0', size)) {
            r->out->first_damaged = r->out->damaged++ == 0 ? line : r->out->first_damaged;
            line++;
            p = stop + 1;
            continue;
        }
        if (csv_parse(csv, p, size, on_cell, on_row, r) != size)
            return broken_quote(r);
        if (r->code != NR_OK)
            return r->code;
        inside = csv->pstate != 0; /* libcsv: 0 is "between rows" */
        if (!r->have_header && !inside && r->cells > 0 &&
            finish_header(r, stop + 1, (size_t)(end - stop - 1), left_of(r, stop + 1)) != NR_OK)
            return NR_BAD;
        line++;
        p = stop + 1;
    }
    if (p == end && !inside)
        return NR_OK;
    if (inside || !r->have_header)
        return r->have_header ? broken_quote(r) : NR_OK;
    if (read_tail(r, csv, p, (size_t)(end - p)) != NR_OK) {
        r->out->torn = true;
        r->code = NR_OK;
    }
    return r->code;
}

static nr_code parse_into(reader *r, nr_err *err)
{
    const char *text = r->text;
    if (r->length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0)
        text += 3;
    if (left_of(r, text) == 0)
        return nr_fail(err, NR_BAD, r->path, 0, "is empty; readings need " SHAPE);
    struct csv_parser csv;
    if (csv_init(&csv, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL) != 0)
        return nr_fail(err, NR_BAD, r->path, 0, "not enough memory");
    csv_set_blk_size(&csv, NR_CSV_GROWS);
    nr_code code = read_lines(r, &csv, text);
    csv_free(&csv);
    if (code != NR_OK) {
        if (err)
            *err = r->problem;
        return code;
    }
    if (r->out->rows == 0)
        return nr_fail(err, NR_BAD, r->path, 0,
                       "there are no readings: no complete row follows the header");
    return NR_OK;
}

/* r: where its text is. */
static nr_code parse(reader *r, const char *path, nr_readings **out, nr_err *err)
{
    *out = NULL;
    nr_readings *readings = nr_readings_new();
    if (!readings)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    r->out = readings;
    r->path = path;
    r->decimals_before = -1;
    readings->torn = r->nothing > 0;
    nr_code code = parse_into(r, err);
    if (code != NR_OK) {
        nr_readings_free(readings);
        return code;
    }
    *out = readings;
    return NR_OK;
}

nr_code nr_readings_parse(const char *text, size_t length, const char *path, nr_readings **out,
                          nr_err *err)
{
    *out = NULL;
    reader *r = calloc(1, sizeof *r);
    if (!r)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    r->text = text;
    while (length > r->nothing && text[length - 1 - r->nothing] == '\0')
        r->nothing++;
    r->length = r->held = length - r->nothing;
    nr_code code = parse(r, path, out, err);
    free(r);
    return code;
}

/* NUL bytes at the end of a file. */
static size_t nothing_behind(int fd, size_t size)
{
    char block[4096];
    size_t count = 0;
    while (count < size) {
        size_t some = size - count < sizeof block ? size - count : sizeof block;
        ssize_t got = pread(fd, block, some, (off_t)(size - count - some));
        size_t n = got == (ssize_t)some ? some : 0; /* what cannot be read is said when it is */
        while (n > 0 && block[n - 1] == '\0')
            n--;
        count += got == (ssize_t)some ? some - n : 0;
        if (n > 0 || got != (ssize_t)some)
            break;
    }
    return count;
}

nr_code nr_readings_read(const char *path, nr_readings **out, nr_err *err)
{
    size_t size;
    *out = NULL;
    int fd = nr_file_begin(path, MOST_BYTES, &size, err);
    if (fd < 0)
        return NR_BAD;
    reader *r = calloc(1, sizeof *r);
    size_t room = size < WINDOW ? size : WINDOW;
    char *window = r ? malloc(room + 1) : NULL;
    nr_code code = NR_OK;
    if (window) {
        r->fd = fd;
        r->text = r->ours = window;
        r->room = room;
        r->nothing = nothing_behind(fd, size);
        r->length = size - r->nothing;
        window[0] = '\0';
        const char *begin = r->text;
        code = fill(r, &begin, room);
        if (code && err)
            *err = r->problem;
        if (!code)
            code = parse(r, path, out, err);
        free(r->ours);
    } else {
        code = nr_fail(err, NR_BAD, path, 0, "not enough memory");
    }
    free(r);
    close(fd);
    return code;
}
