/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/draft/draft.h"

#include "logger/base/text.h"
#include "logger/draft/builds.h"
#include "logger/import/match.h"
#include "logger/import/owners.h"
#include "logger/run/meaning.h"
#include "logger/run/unstated.h"
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
static bool is_text(const nr_wire_line *line)
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

void nr_draft_line(nr_draft *d, const nr_wire_line *line, double at_s)
{
    nr_identity_line(&d->identity, line);
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

bool nr_draft_may_ask(const nr_draft *d)
{
    for (size_t i = 0; i < d->lines; i++) {
        const char *text = d->line[i].text;
        size_t length = d->line[i].length;
        if (length < 8 || memcmp(text, "ms=", 3) != 0 || text[length - 3] != '*')
            return false;
    }
    return d->lines > 0;
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
    nr_draft_field *there = nr_draft_field_find(g, name);
    if (there)
        return there;
    if (g->fields == NR_DRAFT_FIELDS)
        return NULL;
    nr_draft_field *f = &g->field[g->fields++];
    *f = (nr_draft_field){.seen = nr_seen_none()};
    nr_copy(f->name, sizeof f->name, name);
    f->probe = nr_identity_is_probe(name);
    return f;
}

nr_draft_field *nr_draft_field_find(nr_draft_guess *g, const char *name)
{
    for (size_t i = 0; i < g->fields; i++)
        if (strcmp(g->field[i].name, name) == 0)
            return &g->field[i];
    return NULL;
}

static void take_field(nr_draft_guess *g, const nr_field *field, size_t index, double at_s)
{
    char name[NR_NAME];
    double number;
    const nr_unit *unit;
    nr_field_name(field, index, name);
    nr_draft_field *f = field_of(g, name);
    if (!f || !nr_field_reading(field, &number, &unit))
        return;
    f->unit = unit ? unit : f->unit;
    nr_seen_number(&f->seen, number, at_s);
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
        double rate = (f->seen.last - f->seen.first) / elapsed_s; /* NAN or infinite: no counter */
        bool named = g->kind == NR_LINE_VALUES ? i == 0 : strcmp(f->name, "ms") == 0;
        if (f->seen.numbers < 3 || f->probe || f->role_name || nr_meaning_find(f->name))
            continue;
        if (f->seen.each_one)
            f->role = NR_DRAFT_COUNT;
        else if (named && ((rate > COUNTER_LOW && rate < COUNTER_HIGH) || g->version[0]))
            f->role =
                NR_DRAFT_CLOCK; /* the reference adapter may be a simulated one, that hurries */
    }
}

/* The adapter's own idea of its pace, where it counts milliseconds. */
static void count_interval(nr_draft_guess *g)
{
    for (size_t i = 0; i < g->fields; i++) {
        const nr_draft_field *f = &g->field[i];
        double mean = (f->seen.last - f->seen.first) / 1000 / (double)(f->seen.numbers - 1);
        char text[32];
        snprintf(text, sizeof text, "%.2g", mean);
        if (f->role == NR_DRAFT_CLOCK && mean > 0)
            (void)nr_parse_double(text, &g->interval_s);
    }
}

static void give_names(nr_draft_guess *g);

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
            g->separator_char = separators[s].c;
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
    if (d->identity.known)
        nr_copy(g->version, sizeof g->version, d->identity.version);
    nr_clean(g->example, sizeof g->example, d->line[d->lines - 1].text,
             d->line[d->lines - 1].length);
    nr_fields fields;
    for (size_t i = 0; i < d->lines; i++)
        for (size_t f = 0; split(d, i, &best, &fields) == NR_LINE_GOOD && f < fields.count; f++)
            take_field(g, &fields.field[f], f, d->line[i].at_s);
    nr_draft_find_builds(g);
    give_roles(d, g);
    if (g->version[0])
        count_interval(g);
    give_names(g);
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

/* What the reference adapter says of a field; NULL for any other adapter. */
static const nr_identity_field *known_field(const nr_draft_guess *g, const nr_draft_field *f)
{
    return g->version[0] ? nr_identity_field_find(f->name) : NULL;
}

static bool is_channel(const nr_draft_guess *g, const nr_draft_field *f)
{
    const nr_identity_field *known = known_field(g, f);
    return f->role == NR_DRAFT_READING && (f->seen.numbers > 0 || f->probe) && can_be_named(f) &&
           !(known && known->left_out);
}

static bool is_known(const nr_draft_field *f)
{
    return f->channel[0] || f->role_name || nr_meaning_find(f->name) != NULL;
}

/* "Tank", "outside_temp": words that import knows the roles by. The first to claim a role has it.
 */
static void give_names(nr_draft_guess *g)
{
    for (size_t i = 0; i < g->fields; i++) {
        nr_draft_field *f = &g->field[i];
        nr_table_column column = {.head = ""};
        if (f->role != NR_DRAFT_READING || f->probe || is_known(f) || known_field(g, f))
            continue;
        column.unit = nr_unit_of_head(f->name, column.name, sizeof column.name);
        nr_terms_of(column.name, &column.terms);
        if (f->unit)
            column.unit = (nr_stated_unit){.measure = NR_MEASURE_UNIT, .unit = f->unit, .word = ""};
        const char *role = nr_match_role(&column);
        bool taken = role == NULL;
        for (size_t k = 0; k < g->fields && !taken; k++)
            taken =
                strcmp(g->field[k].channel[0] ? g->field[k].channel : g->field[k].name, role) == 0;
        if (!taken)
            nr_copy(f->channel, sizeof f->channel, role);
        if (!f->unit && column.unit.measure == NR_MEASURE_UNIT)
            f->unit = column.unit.unit; /* tank_f */
    }
}

/* What the numbers are in: as they say themselves, or by their size. */
static const nr_unit *unit_of(const nr_draft_field *f, const nr_meaning *meaning, bool *by_size)
{
    const nr_unit *canonical = nr_unit_canonical(meaning->dimension[0]);
    double high = strcmp(meaning->channel, "air") == 0 ? 48 : 60;
    *by_size = false;
    if (f->unit && nr_meaning_accepts(meaning, f->unit->dimension))
        return f->unit;
    bool bath = strcmp(meaning->channel, "air") == 0 || strcmp(meaning->channel, "store") == 0 ||
                strcmp(meaning->channel, "inlet") == 0;
    *by_size = bath && f->seen.last > high && f->seen.last < 212;
    return *by_size ? nr_unit_find("degF") : canonical;
}

#define HAND_LOW_DEGC (-40.0)
#define HAND_HIGH_DEGC 125.0

bool nr_draft_touchable(const nr_draft_guess *g, const nr_draft_field *f)
{
    const nr_meaning *meaning = nr_meaning_find(f->name);
    bool probes = false;
    for (size_t i = 0; i < g->fields; i++)
        probes = probes || g->field[i].probe;
    if (probes)
        return f->probe;
    return f->role == NR_DRAFT_READING && f->seen.numbers > 0 && !known_field(g, f) &&
           !f->role_name && f->seen.last >= HAND_LOW_DEGC && f->seen.last <= HAND_HIGH_DEGC &&
           (!meaning || nr_meaning_accepts(meaning, NR_DIM_TEMPERATURE));
}

void nr_draft_touch(const nr_draft_guess *g, const nr_wire_line *line, nr_touch *touch)
{
    const nr_rig_adapter format = {
        .line = g->kind, .separator = g->separator_char, .checksum = g->checksum};
    nr_fields fields;
    if (nr_fields_split(&format, line->text, line->length, &fields) != NR_LINE_GOOD)
        return;
    for (size_t i = 0; i < g->fields; i++) {
        const nr_draft_field *f = &g->field[i];
        double degC;
        if (!nr_draft_touchable(g, f))
            continue;
        const nr_field *field = nr_fields_find(&fields, g->kind, f->name);
        if (field && nr_field_number(field, &degC))
            nr_touch_take(touch, f->name, degC);
    }
}

size_t nr_draft_channels(const nr_draft_guess *g, size_t *known)
{
    size_t channels = 0;
    *known = 0;
    for (size_t i = 0; i < g->fields; i++) {
        channels += is_channel(g, &g->field[i]);
        *known += is_channel(g, &g->field[i]) && is_known(&g->field[i]);
    }
    return channels;
}

/* --- writing ------------------------------------------------------------------------------- */

#define SHORT_NAME 32 /* rig files take names a little longer */

/* A name the rig file takes: what of the key can stand there, behind a letter. */
static void plain_name(const nr_draft_field *f, char out[SHORT_NAME])
{
    if (f->channel[0]) {
        snprintf(out, SHORT_NAME, "%.31s", f->channel);
        return;
    }
    const char *before = f->probe ? "probe-" : isalpha((unsigned char)f->name[0]) ? "" : "field";
    snprintf(out, SHORT_NAME, "%s%.25s", before, f->name);
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

/* A thermometer of which all is known but, perhaps, where it is. */
static void write_probe(FILE *to, const nr_draft_field *f)
{
    if (f->seen.numbers > 0)
        fprintf(to, "unit = degC  ; it said %.6g\n", f->seen.last);
    else
        fputs("unit = degC  ; it gave no reading: is it plugged in?\n", to);
    fprintf(to,
            "convert = onewire_degC\nsensor = %s\n"
            ";u_offset = 0.5    ; its maker's limit; `noonlog bath` finds what it is off by\n",
            f->name);
    if (!f->channel[0])
        fputs("; name the channel by what it is: `noonlog draft --touch` asks\n", to);
}

static void write_plain(FILE *to, const nr_draft_field *f, const nr_meaning *meaning)
{
    if (meaning) {
        char units[160];
        bool by_size;
        const nr_unit *unit = unit_of(f, meaning, &by_size);
        nr_meaning_units(meaning, units, sizeof units);
        fprintf(to, "unit = %s  ; it said %.6g%s; other units: %s\n", unit->name, f->seen.last,
                by_size ? ", which is hardly degC" : "", units);
    } else if (f->unit) {
        fprintf(to, "unit = %s  ; it said %.6g; name the channel by what it is\n", f->unit->name,
                f->seen.last);
    } else {
        fprintf(to,
                "unit = raw  ; it said %.6g; name the channel by what it is, then give its unit\n",
                f->seen.last);
    }
    fputs(";convert =      ; if the adapter sends volts, counts or ohms: `noonlog keys`\n"
          ";sensor =       ; a word for this very sensor: the same in the rig of the next build\n",
          to);
}

static void write_channel(FILE *to, const nr_draft_guess *g, size_t index)
{
    const nr_draft_field *f = &g->field[index];
    const nr_identity_field *known = known_field(g, f);
    char name[SHORT_NAME];
    channel_name(g, index, name);
    const nr_meaning *meaning = nr_meaning_find(f->role_name    ? f->role_name
                                                : f->channel[0] ? f->channel
                                                                : f->name);
    fprintf(to, "\n[channel %s]%s%s\n", name, meaning ? "  ; " : "", meaning ? meaning->text : "");
    if (f->of > 0)
        fprintf(to, "role = %s\nof = %s\n", f->role_name, g->build[f->of - 1]);
    else if (g->builds > 0 && meaning && meaning->own)
        fputs(";of =           ; NAME of the collector it belongs to\n", to);
    if (g->kind == NR_LINE_VALUES || strcmp(name, f->name) != 0)
        fprintf(to, "field = %s\n", f->name);
    if (f->probe)
        write_probe(to, f);
    else if (known)
        fprintf(to, "unit = %s  ; it said %.6g\n%s", known->unit, f->seen.last, known->lines);
    else
        write_plain(to, f, meaning);
}

static void write_meanings(FILE *to)
{
    fputs("\n; Channels that noonfit knows by name (others are recorded and drawn):\n", to);
    const nr_meaning *m;
    for (size_t i = 0; (m = nr_meaning_at(i)) != NULL; i++)
        fprintf(to, ";   %-7s %s\n", m->channel, m->text);
}

static void write_build(FILE *to, const char *name, bool us)
{
    nr_owners_write(to, name, us);
    fputs(";lid =               ; yes or no\n\n", to);
}

static void write_head(FILE *to, const nr_draft_guess *g, const char *device, bool us)
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
        ";latitude_deg =      ; north is positive\n;longitude_deg =     ; east is positive\n\n",
        clean, us ? "units = us\n" : "");
    for (size_t i = 0; i < g->builds; i++)
        write_build(to, g->build[i], us);
    if (g->builds == 0)
        write_build(to, NULL, us);
    fputs("; What no test can see, and what makes an answer wider while it is not known:\n", to);
    nr_unstated open[NR_UNSTATEDS];
    size_t count = nr_rig_unstated(NULL, open);
    for (size_t k = 0; k < count; k++)
        fprintf(to, ";   %s  (%s)\n", nr_unstated_question(open[k]), nr_unstated_answer(open[k]));
    fputc('\n', to);
}

static void write_adapter(FILE *to, const nr_draft_guess *g, const char *port, int baud)
{
    char clean[256];
    nr_clean(clean, sizeof clean, port, strlen(port));
    fprintf(to, "[adapter]\nport = %s\nbaud = %d\nline = %s\n", clean, baud,
            g->kind == NR_LINE_PAIRS ? "pairs" : "values");
    if (strcmp(g->separator, "comma") != 0)
        fprintf(to, "separator = %s\n", g->separator);
    if (g->version[0])
        fprintf(to, "; it is a reference adapter, version %s: logger/adapter/README.md\n",
                g->version);
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
    write_head(to, g, device, us);
    write_adapter(to, g, port, baud);
    write_meanings(to);
    for (size_t i = 0; i < g->fields; i++)
        if (is_channel(g, &g->field[i]))
            write_channel(to, g, i);
}
