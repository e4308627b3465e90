/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/live/draft.h"

#include "logger/base/text.h"
#include "logger/run/meaning.h"
#include "logger/wire/fields.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* A counter of milliseconds advances by 1000 a second, give or take an adapter's poor clock. */
#define COUNTER_LOW 900.0
#define COUNTER_HIGH 1100.0

/* --- collecting ---------------------------------------------------------------------------- */

/* Text as adapters write it: printable ASCII, in places something else (a degree sign). */
static bool is_text(const nr_line *line)
{
    size_t odd = 0;
    for (size_t i = 0; i < line->length; i++) {
        unsigned char c = (unsigned char)line->text[i];
        if (c < 0x20 && c != '\t')
            return false;
        odd += c >= 0x7f;
    }
    return line->length > 0 && odd * 5 <= line->length;
}

void nr_draft_line(nr_draft *d, const nr_line *line, double at_s)
{
    if (!is_text(line))
        d->garbled++;
    else if (!line->first && !line->cut && !line->open && line->text[0] != '#' &&
             d->lines < NR_DRAFT_LINES) {
        d->line[d->lines].at_s = at_s;
        d->line[d->lines].length = line->length;
        memcpy(d->line[d->lines].text, line->text, line->length);
        d->lines++;
    }
}

bool nr_draft_readable(const nr_draft *d)
{
    return d->lines >= 3 && d->lines > d->garbled;
}

/* --- guessing ------------------------------------------------------------------------------ */

typedef struct separator {
    char c;
    const char *word;
} separator;

static const separator separators[] = {
    {',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {' ', "space"}};
#define SEPARATORS (sizeof separators / sizeof *separators)

static nr_line_fault split(const nr_draft *d, size_t i, const nr_rig_adapter *format,
                           nr_fields *out)
{
    return nr_fields_split(format, d->line[i].text, d->line[i].length, out);
}

/* How many numbers are read when the lines are taken for this format. */
static size_t numbers_in(const nr_draft *d, const nr_rig_adapter *format)
{
    nr_fields fields;
    size_t numbers = 0;
    double value;
    for (size_t i = 0; i < d->lines; i++)
        for (size_t f = 0; split(d, i, format, &fields) == NR_LINE_GOOD && f < fields.count; f++)
            numbers += nr_field_number(&fields.field[f], &value);
    return numbers;
}

/* Lines that all end in a right *HH but for damage on the way. */
static nr_checksum checksum_of(const nr_draft *d)
{
    const nr_rig_adapter strict = {
        .line = NR_LINE_VALUES, .separator = ',', .checksum = NR_CHECKSUM_XOR8};
    nr_fields fields;
    size_t right = 0;
    for (size_t i = 0; i < d->lines; i++)
        right += split(d, i, &strict, &fields) == NR_LINE_GOOD;
    return right * 10 >= d->lines * 9 ? NR_CHECKSUM_XOR8 : NR_CHECKSUM_NONE;
}

static nr_draft_field *field_of(nr_draft_guess *g, const char *name)
{
    for (size_t i = 0; i < g->fields; i++)
        if (strcmp(g->field[i].name, name) == 0)
            return &g->field[i];
    if (g->fields == NR_DRAFT_FIELDS)
        return NULL;
    nr_draft_field *f = &g->field[g->fields++];
    *f = (nr_draft_field){.first = NAN, .last = NAN, .each_one = true};
    nr_copy(f->name, sizeof f->name, name);
    return f;
}

static void take_field(nr_draft_guess *g, const nr_field *field, size_t index)
{
    char name[NR_NAME];
    double number;
    if (field->key)
        nr_clean(name, sizeof name, field->key, field->key_length);
    else
        snprintf(name, sizeof name, "%zu", index + 1);
    nr_draft_field *f = field_of(g, name);
    if (!f || !nr_field_number(field, &number))
        return;
    f->each_one =
        f->each_one && number == floor(number) && (f->numbers == 0 || number == f->last + 1);
    f->first = f->numbers == 0 ? number : f->first;
    f->last = number;
    f->numbers++;
}

/* Between the first and the last line; robust enough, since half lines are not among them. */
static double spacing_s(const nr_draft *d)
{
    double mean = (d->line[d->lines - 1].at_s - d->line[0].at_s) / (double)(d->lines - 1);
    char text[32];
    snprintf(text, sizeof text, "%.2g", mean);
    return nr_parse_double(text, &mean) && mean > 0 ? mean : 1;
}

static void give_roles(const nr_draft *d, nr_draft_guess *g)
{
    double elapsed_s = d->line[d->lines - 1].at_s - d->line[0].at_s;
    for (size_t i = 0; i < g->fields; i++) {
        nr_draft_field *f = &g->field[i];
        double rate = (f->last - f->first) / elapsed_s; /* NAN or infinite: no counter */
        bool named = g->kind == NR_LINE_VALUES ? i == 0 : strcmp(f->name, "ms") == 0;
        if (f->numbers < 3 || nr_meaning_find(f->name))
            continue;
        if (f->each_one)
            f->role = NR_DRAFT_COUNT;
        else if (named && rate > COUNTER_LOW && rate < COUNTER_HIGH)
            f->role = NR_DRAFT_CLOCK;
    }
}

nr_code nr_draft_guess_of(const nr_draft *d, nr_draft_guess *g, nr_err *err)
{
    nr_rig_adapter format = {.checksum = checksum_of(d)}, best = format;
    size_t most = 0;
    memset(g, 0, sizeof *g);
    for (int kind = 0; kind < 2; kind++)
        for (size_t s = 0; s < SEPARATORS; s++) {
            format.line = kind == 0 ? NR_LINE_PAIRS : NR_LINE_VALUES;
            format.separator = separators[s].c;
            size_t numbers = numbers_in(d, &format);
            if (numbers <= most)
                continue;
            most = numbers;
            best = format;
            g->separator = separators[s].word;
        }
    if (most == 0) {
        char example[80];
        nr_clean(example, sizeof example, d->line[0].text, d->line[0].length);
        return nr_fail(
            err, NR_CANNOT, NULL, 0,
            "lines come, but no number stands in them by itself or behind a key=: \"%s\"", example);
    }
    g->kind = best.line;
    g->checksum = best.checksum;
    g->interval_s = spacing_s(d);
    nr_clean(g->example, sizeof g->example, d->line[d->lines - 1].text,
             d->line[d->lines - 1].length);
    nr_fields fields;
    for (size_t i = 0; i < d->lines; i++)
        for (size_t f = 0; split(d, i, &best, &fields) == NR_LINE_GOOD && f < fields.count; f++)
            take_field(g, &fields.field[f], f);
    give_roles(d, g);
    return NR_OK;
}

/* Can the key stand behind `field =`: whole, and nothing in it that a rig file takes otherwise? */
static bool can_be_named(const nr_draft_field *f)
{
    size_t length = strlen(f->name);
    for (size_t i = 0; i < length; i++)
        if (!isascii((unsigned char)f->name[i]) || !isgraph((unsigned char)f->name[i]) ||
            strchr(";#=:[]\"'", f->name[i]))
            return false;
    return length > 0 && length + 1 < NR_NAME;
}

static bool is_channel(const nr_draft_field *f)
{
    return f->role == NR_DRAFT_READING && f->numbers > 0 && can_be_named(f);
}

size_t nr_draft_channels(const nr_draft_guess *g, size_t *known)
{
    size_t channels = 0;
    *known = 0;
    for (size_t i = 0; i < g->fields; i++) {
        channels += is_channel(&g->field[i]);
        *known += is_channel(&g->field[i]) && nr_meaning_find(g->field[i].name) != NULL;
    }
    return channels;
}

/* --- writing ------------------------------------------------------------------------------- */

#define SHORT_NAME 32 /* rig files take names a little longer */

/* A name the rig file takes: what of the key can stand there, behind a letter. */
static void plain_name(const nr_draft_field *f, char out[SHORT_NAME])
{
    snprintf(out, SHORT_NAME, "%s%.26s", isalpha((unsigned char)f->name[0]) ? "" : "field",
             f->name);
    for (char *p = out; *p; p++)
        *p = isalnum((unsigned char)*p) || *p == '-' ? *p : '_';
}

/* The same, unlike any other: numbered from its place where two come out alike. */
static void channel_name(const nr_draft_guess *g, size_t index, char out[SHORT_NAME])
{
    char other[SHORT_NAME];
    plain_name(&g->field[index], out);
    for (size_t i = 0; i < g->fields; i++) {
        plain_name(&g->field[i], other);
        if (i != index && strcmp(other, out) == 0)
            snprintf(out, SHORT_NAME, "number-%u-in-line", (unsigned)(index + 1) % 1000u);
    }
}

static void write_channel(FILE *to, const nr_draft_guess *g, size_t index)
{
    const nr_draft_field *f = &g->field[index];
    char name[SHORT_NAME];
    const nr_meaning *meaning = nr_meaning_find(f->name);
    channel_name(g, index, name);
    fprintf(to, "\n[channel %s]%s%s\n", name, meaning ? "  ; " : "", meaning ? meaning->text : "");
    if (g->kind == NR_LINE_VALUES || strcmp(name, f->name) != 0)
        fprintf(to, "field = %s\n", f->name);
    if (meaning)
        fprintf(to, "unit = %s  ; it said %.6g; other units: ",
                nr_unit_canonical(meaning->dimension[0])->name, f->last);
    else
        fprintf(to,
                "unit = raw  ; it said %.6g; name the channel by what it is, then give its unit\n",
                f->last);
    if (meaning) {
        char units[160];
        nr_meaning_units(meaning, units, sizeof units);
        fprintf(to, "%s\n", units);
    }
    fputs(";convert =      ; if the adapter sends volts, counts or ohms: `noonlog keys`\n"
          ";sensor =       ; a word for this very sensor: the same in the rig of the next build\n",
          to);
}

static void write_meanings(FILE *to)
{
    fputs("\n; Channels that noonfit knows by name (others are recorded and drawn):\n", to);
    const nr_meaning *m;
    for (size_t i = 0; (m = nr_meaning_at(i)) != NULL; i++)
        fprintf(to, ";   %-7s %s\n", m->channel, m->text);
}

static void write_head(FILE *to, const char *device, bool us)
{
    char clean[256];
    nr_clean(clean, sizeof clean, device, strlen(device));
    fprintf(
        to,
        "; Drafted from what %s sent. Lines that begin with ; are comments: take the ; away and\n"
        "; fill in. `noonlog listen` with this file shows what arrives, `noonlog keys` explains\n"
        "; every key.\n\n"
        "[test]\n;title =\n%s\n"
        "[site]          ; where it stands: from any map; for the sun's angle\n"
        ";latitude_deg =      ; north is positive\n;longitude_deg =     ; east is positive\n\n"
        "[collector]\n;name =\n;%s =    ; outer length times outer width; noonfit needs it\n"
        ";tilt_deg =          ; 0 lies flat, 90 stands upright\n"
        ";azimuth_deg =       ; where it faces, clockwise from north: 180 is south\n"
        ";glazing =           ; none, single or double\n\n"
        "[store]\n;%s =         ; water in the container; noonfit needs it\n"
        ";lid =               ; yes or no\n\n",
        clean, us ? "units = us\n" : "", us ? "gross_area_ft2" : "gross_area_m2",
        us ? "water_gal" : "water_L");
}

static void write_adapter(FILE *to, const nr_draft_guess *g, const char *port, int baud)
{
    char clean[256];
    nr_clean(clean, sizeof clean, port, strlen(port));
    fprintf(to, "[adapter]\nport = %s\nbaud = %d\nline = %s\n", clean, baud,
            g->kind == NR_LINE_PAIRS ? "pairs" : "values");
    if (strcmp(g->separator, "comma") != 0)
        fprintf(to, "separator = %s\n", g->separator);
    if (g->checksum == NR_CHECKSUM_XOR8)
        fputs("checksum = xor8\n", to);
    for (size_t i = 0; i < g->fields; i++)
        if (g->field[i].role == NR_DRAFT_CLOCK)
            fputs("clock = adapter  ; the lines count milliseconds\n", to);
    fprintf(to, "interval_s = %.10g\n; such as: %s\n", g->interval_s, g->example);
}

void nr_draft_write(FILE *to, const nr_draft_guess *g, const char *port, const char *device,
                    int baud, bool us)
{
    write_head(to, device, us);
    write_adapter(to, g, port, baud);
    write_meanings(to);
    for (size_t i = 0; i < g->fields; i++)
        if (is_channel(&g->field[i]))
            write_channel(to, g, i);
}
