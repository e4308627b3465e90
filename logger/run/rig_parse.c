/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_parse.h"
#include "logger/base/text.h"
#include "logger/run/meaning.h"

#include <math.h>
#include <string.h>

#define MOST_KEYS 40 /* of a section */

_Static_assert(sizeof(nr_lid) == sizeof(int) && sizeof(nr_line_format) == sizeof(int) &&
                   sizeof(nr_checksum) == sizeof(int) && sizeof(nr_clock_kind) == sizeof(int) &&
                   sizeof(nr_adapter_kind) == sizeof(int) && sizeof(nr_rows) == sizeof(int) &&
                   sizeof(nr_aim) == sizeof(int) && sizeof(nr_plane) == sizeof(int) &&
                   sizeof(nr_dew) == sizeof(int) && sizeof(nr_shaded) == sizeof(int) &&
                   sizeof(nr_glazing) == sizeof(int),
               "choices are stored as int");

/* One section being filled. */
typedef struct filler {
    const nr_rig_section *section;
    const nr_rig_entry *entry; /* the current one */
    nr_rig_problems *problems;
    char *base; /* the struct that the keys' offsets are into */
    nr_rig_channel *channel;
    const nr_rig_key *keys;
    size_t count;
    long line[MOST_KEYS], u_line[MOST_KEYS]; /* where a key was given, 0: not yet */
} filler;

/* "[channel store] low = "abc": " and the reason. */
static void bad_value(filler *f, const char *reason, const char *right)
{
    char heading[NR_RIG_SHOWN], shown[NR_RIG_SHOWN];
    nr_rig_heading(f->section, heading);
    nr_clean(shown, sizeof shown, f->entry->value, strlen(f->entry->value));
    nr_rig_problem(f->problems, f->entry->line, "[%s] %s = \"%s\": %s%s%s", heading, f->entry->key,
                   shown, reason, right[0] ? "; " : "", right);
}

static void fill_text(filler *f, const nr_rig_key *key)
{
    char right[60];
    const char *value = f->entry->value;
    if (strlen(value) >= key->size) {
        snprintf(right, sizeof right, "keep it below %zu bytes", key->size);
        bad_value(f, "too long", right);
        return;
    }
    nr_clean(f->base + key->offset, key->size, value, strlen(value));
}

static void list_choices(const nr_rig_choice *choice, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (; choice->word && used < size; choice++) {
        int more = snprintf(out + used, size - used, "%s%s",
                            used > 0 ? ", " : "use one of: ", choice->word);
        used += more > 0 ? (size_t)more : 0;
    }
}

static void fill_choice(filler *f, const nr_rig_key *key)
{
    char *to = f->base + key->offset;
    for (const nr_rig_choice *c = key->choice; c->word; c++) {
        if (strcmp(c->word, f->entry->value) != 0)
            continue;
        if (key->size == sizeof(int))
            memcpy(to, &c->value, sizeof(int));
        else if (key->size == 1)
            *to = (char)c->value;
        else
            nr_copy(to, key->size, c->word);
        return;
    }
    char right[300];
    list_choices(key->choice, right, sizeof right);
    bad_value(f, f->entry->value[0] ? "not a choice here" : "there is no value", right);
}

/* A number from the value; problems are reported. "3 # twice" is a common slip: '#' starts a
 * comment only at the start of a line. */
static bool number(filler *f, double *out)
{
    const char *value = f->entry->value;
    if (nr_parse_double(value, out))
        return true;
    if (!value[0])
        bad_value(f, "there is no value", "leave the key out where the value is not known");
    else if (strchr(value, '#'))
        bad_value(f, "not a number", "a comment behind a value starts with ;");
    else if (strchr(value, ','))
        bad_value(f, "not a number", "write a decimal point, and no other separators");
    else
        bad_value(f, "not a number", "write it as in 21.5, without a unit (the key names it)");
    return false;
}

static bool believable(filler *f, const nr_rig_key *key, double value)
{
    bool fine = value <= key->high && (key->above ? value > key->low : value >= key->low);
    if (fine)
        return true;
    char right[120];
    const char *unit = key->unit ? key->unit : "";
    double low = nr_rig_key_written(key, key->low), high = nr_rig_key_written(key, key->high);
    if (high >= 1e9)
        snprintf(right, sizeof right, "it must be %g or more", low);
    else
        snprintf(right, sizeof right, "it must be %s %.6g and at most %.6g%s%s",
                 key->above ? "above" : "at least", low, high, unit[0] ? " " : "", unit);
    bad_value(f, "not believable", right);
    return false;
}

static void fill_number(filler *f, const nr_rig_key *key)
{
    double value;
    if (!number(f, &value) || !believable(f, key, value))
        return;
    memcpy(f->base + key->offset, &value, sizeof value);
}

static void fill_integer(filler *f, const nr_rig_key *key)
{
    long value;
    if (!nr_parse_long(f->entry->value, (long)key->low, (long)key->high, &value)) {
        char right[80];
        snprintf(right, sizeof right, "it must be a whole number from %.0f to %.0f", key->low,
                 key->high);
        bad_value(f, "not accepted", right);
        return;
    }
    int stored = (int)value;
    memcpy(f->base + key->offset, &stored, sizeof stored);
}

static void fill_quantity(filler *f, const nr_rig_key *key, bool uncertainty)
{
    double written;
    nr_value *to = (nr_value *)(void *)(f->base + key->offset);
    if (!uncertainty)
        to->line = f->entry->line; /* there, if only to be refused */
    if (!number(f, &written))
        return;
    double value = nr_rig_key_value(key, written);
    if (!uncertainty && believable(f, key, value)) {
        to->given = true;
        to->value = value;
    } else if (uncertainty && value >= 0) {
        to->u_given = true;
        to->u = value;
    } else if (uncertainty)
        bad_value(f, "a standard uncertainty is not negative", "write 0 or more");
}

static void fill_law(filler *f)
{
    f->channel->law = nr_law_find(f->entry->value);
    if (f->channel->law)
        return;
    const char *names[64];
    size_t count = 0, used = 0;
    char right[500] = "";
    for (; count < 64 && nr_laws[count].name; count++)
        names[count] = nr_laws[count].name;
    const char *near = nr_rig_nearest(f->entry->value, names, count);
    if (near)
        used = (size_t)snprintf(right, sizeof right, "did you mean %s? ", near);
    for (size_t i = 0; i < count && used < sizeof right; i++) {
        int more = snprintf(right + used, sizeof right - used, "%s%s",
                            i > 0  ? ", "
                            : near ? "All: "
                                   : "use one of: ",
                            names[i]);
        used += more > 0 ? (size_t)more : 0;
    }
    bad_value(f, "not a conversion I know", right);
}

static bool own_unit(nr_rig_channel *channel, const char *name)
{
    static const char good[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789%/.-";
    size_t length = strlen(name);
    if (length == 0 || length >= 32 || strspn(name, good) != length)
        return false;
    nr_copy(channel->own_unit_name, sizeof channel->own_unit_name, name);
    channel->own_unit =
        (nr_unit){channel->own_unit_name, channel->own_unit_name, NR_DIM_NONE, 1, 0};
    channel->unit = &channel->own_unit;
    return true;
}

static void fill_unit(filler *f)
{
    const char *name = f->entry->value;
    const nr_unit *unit = nr_unit_find(name);
    const nr_meaning *meaning = nr_meaning_find(f->section->name);
    if (meaning && !(unit && nr_meaning_accepts(meaning, unit->dimension))) {
        char units[200], right[300];
        nr_meaning_units(meaning, units, sizeof units);
        snprintf(right, sizeof right, "%s is %s: use %s", meaning->channel, meaning->text, units);
        bad_value(f, unit ? "the wrong kind of unit" : "not a unit I know", right);
        /* A stand-in, so that the other keys are still looked at. */
        f->channel->unit = nr_unit_canonical(meaning->dimension[0]);
    } else if (unit)
        f->channel->unit = unit;
    else if (!own_unit(f->channel, name)) {
        f->channel->unit = nr_unit_canonical(NR_DIM_TEMPERATURE); /* a stand-in again */
        bad_value(
            f, "not usable as a unit",
            "write a unit I know (degC, W_m2, L_min, V ...) or a word of your own of letters, "
            "digits and %/.-");
    }
}

/* Which of the kind's rows holds depends on the unit, which may come later. */
static void fill_instrument(filler *f)
{
    f->channel->kind = nr_instrument_find(f->entry->value, NR_DIM_NONE);
    if (!f->channel->kind)
        bad_value(f, "not a kind of instrument I know", "use one of: " NR_INSTRUMENT_LIST);
}

/* "6 mm", "0.25 in", "1/2 in" -> metres. The unit has to be there. */
static bool take_thickness(const char *text, double *metres)
{
    char number[16], unit[32];
    double over, under = 1;
    size_t length = strspn(text, "0123456789./");
    if (length == 0 || length >= sizeof number)
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    char *slash = strchr(number, '/');
    if (slash)
        *slash++ = '\0';
    if (!nr_parse_double(number, &over) || (slash && !nr_parse_double(slash, &under)) ||
        !nr_copy(unit, sizeof unit, text + length))
        return false;
    const nr_unit *in = nr_unit_find(nr_trim(unit));
    if (!in || in->dimension != NR_DIM_LENGTH || !(under > 0))
        return false;
    *metres = nr_unit_to_canonical(in, over / under);
    return true;
}

/* "plywood 6 mm"; false: it is not of that form. */
static bool take_board(const char *text, nr_back *back)
{
    char word[40];
    size_t length = strcspn(text, " \t");
    if (length >= sizeof word)
        return false;
    memcpy(word, text, length);
    word[length] = '\0';
    back->material = nr_material_find(word);
    text += length + strspn(text + length, " \t");
    return back->material && take_thickness(text, &back->thickness_m);
}

static void fill_back(filler *f, const nr_rig_key *key)
{
    nr_back *back = (nr_back *)(void *)(f->base + key->offset);
    const char *value = f->entry->value;
    char right[500], names[300];
    *back = (nr_back){.thickness_m = NAN, .line = f->entry->line};
    if (strcmp(value, "usual") == 0)
        return;
    if (strcmp(value, "none") == 0) {
        back->kind = NR_BACK_NONE;
        return;
    }
    back->kind = NR_BACK_STATED;
    if (take_board(value, back)) {
        if (back->thickness_m >= 0.0001 && back->thickness_m <= 0.3)
            return;
        bad_value(f, "not believable", "its thickness is from 0.1 to 300 mm");
    } else {
        nr_material_names(names, sizeof names);
        snprintf(right, sizeof right,
                 "write none, usual, or a material and its thickness as in plywood 6 mm (or 0.25 "
                 "in); materials: %s",
                 names);
        bad_value(f, "not a back I know", right);
    }
    *back = (nr_back){.thickness_m = NAN, .line = f->entry->line};
}

/* One "30:0.99" of the table, which it is taken off. */
static bool take_point(char **rest, double *angle_deg, double *factor)
{
    char *item = strsep(rest, ","), *factor_text = strchr(item, ':');
    if (!factor_text)
        return false;
    *factor_text++ = '\0';
    return nr_parse_double(item, angle_deg) && nr_parse_double(factor_text, factor);
}

static const char *read_iam(const char *text, nr_iam_table *table)
{
    char copy[400], *rest = copy;
    if (!nr_copy(copy, sizeof copy, text))
        return "too long";
    while (rest) {
        double angle_deg, factor;
        if (!take_point(&rest, &angle_deg, &factor))
            return "not a table of the incidence angle modifier";
        if (angle_deg < 0 || angle_deg > 90 || factor < 0 || factor > 1.5)
            return "angles are from 0 to 90 degrees and factors from 0 to 1.5";
        if (table->points == 0 && angle_deg > 0) {
            table->factor[0] = 1; /* by definition */
            table->points = 1;
        }
        if (table->points > 0 && angle_deg <= table->angle_deg[table->points - 1])
            return "the angles must grow";
        if (angle_deg == 0 && factor != 1)
            return "the factor of perpendicular sun is 1";
        if (table->points == NR_IAM_POINTS)
            return "too many points; 16 will do";
        table->angle_deg[table->points] = angle_deg;
        table->factor[table->points++] = factor;
    }
    return table->points > 1 ? NULL : "one point is no table";
}

static void fill_iam(filler *f, const nr_rig_key *key)
{
    nr_iam_table *table = (nr_iam_table *)(void *)(f->base + key->offset);
    *table = (nr_iam_table){.line = f->entry->line};
    const char *wrong = read_iam(f->entry->value, table);
    if (!wrong)
        return;
    bad_value(f, wrong, "write degrees:factor, as in 0:1, 30:0.99, 60:0.9");
    table->points = 0;
}

static void fill_entry(filler *f, const nr_rig_key *key, bool uncertainty)
{
    switch (key->kind) {
    case NR_KEY_TEXT:
        fill_text(f, key);
        break;
    case NR_KEY_QUANTITY:
        fill_quantity(f, key, uncertainty);
        break;
    case NR_KEY_NUMBER:
        fill_number(f, key);
        break;
    case NR_KEY_INTEGER:
        fill_integer(f, key);
        break;
    case NR_KEY_CHOICE:
        fill_choice(f, key);
        break;
    case NR_KEY_UNIT:
        fill_unit(f);
        break;
    case NR_KEY_LAW:
        fill_law(f);
        break;
    case NR_KEY_INSTRUMENT:
        fill_instrument(f);
        break;
    case NR_KEY_BACK:
        fill_back(f, key);
        break;
    case NR_KEY_IAM:
        fill_iam(f, key);
        break;
    }
}

/* The same key, or its twin in another unit, given before? */
static bool doubled(filler *f, const nr_rig_key *key, bool uncertainty)
{
    char heading[NR_RIG_SHOWN];
    long *line = uncertainty ? f->u_line : f->line;
    size_t index = (size_t)(key - f->keys);
    for (size_t i = 0; i < f->count; i++) {
        if (line[i] == 0 || f->keys[i].offset != key->offset)
            continue;
        nr_rig_heading(f->section, heading);
        if (i == index)
            nr_rig_problem(f->problems, f->entry->line,
                           "[%s] %s: already given on line %ld; keep one of them", heading,
                           f->entry->key, line[i]);
        else
            nr_rig_problem(f->problems, f->entry->line,
                           "[%s] %s: the same is given on line %ld as %s%s; keep one of them",
                           heading, f->entry->key, line[i], uncertainty ? "u_" : "",
                           f->keys[i].name);
        return true;
    }
    line[index] = f->entry->line;
    return false;
}

static bool is_law_key(const char *name)
{
    for (const nr_law *law = nr_laws; law->name; law++)
        if (nr_law_key_index(law, name) >= 0)
            return true;
    return false;
}

/* An uncertainty without its value, or larger than it. */
static void check_uncertainties(filler *f)
{
    char heading[NR_RIG_SHOWN];
    nr_rig_heading(f->section, heading);
    for (size_t i = 0; i < f->count; i++) {
        const nr_rig_key *key = &f->keys[i];
        if (key->kind != NR_KEY_QUANTITY || f->u_line[i] == 0)
            continue;
        const nr_value *v = (const nr_value *)(void *)(f->base + key->offset);
        if (v->line == 0)
            nr_rig_problem(f->problems, f->u_line[i],
                           "[%s] u_%s: an uncertainty without its value; give %s as well", heading,
                           key->name, key->name);
        else if (key->above && v->given && v->u_given && v->u > v->value)
            nr_rig_problem(f->problems, f->u_line[i],
                           "[%s] u_%s: larger than the value itself; it is a standard uncertainty "
                           "in the key's unit, not in percent",
                           heading, key->name);
    }
}

static void fill_section(filler *f, const nr_rig_lines *lines)
{
    const nr_rig_section *section = f->section;
    f->keys = nr_rig_keys(section->kind, &f->count);
    for (size_t i = 0; i < section->entries; i++) {
        bool uncertainty;
        f->entry = &lines->entry[section->first + i];
        const nr_rig_key *key = nr_rig_key_find(section->kind, f->entry->key, &uncertainty);
        if (key && !doubled(f, key, uncertainty))
            fill_entry(f, key, uncertainty);
        else if (!key && !(f->channel && is_law_key(f->entry->key)))
            nr_rig_unknown_key(section, f->entry, f->channel ? f->channel->law : NULL, f->problems);
    }
    check_uncertainties(f);
    if (f->channel)
        nr_rig_finish_channel(f->channel, section, lines, f->problems);
}

static void start_adapter(nr_rig_adapter *a, const nr_rig_section *section)
{
    *a = (nr_rig_adapter){.kind = NR_ADAPTER_LINES,
                          .baud = 115200,
                          .line = NR_LINE_PAIRS,
                          .separator = ',',
                          .checksum = NR_CHECKSUM_NONE,
                          .clock = NR_CLOCK_HOST,
                          .interval_s = 1,
                          .parity = 'E',
                          .line_number = section->line};
    nr_copy(a->name, sizeof a->name, section->name);
}

static void start_channel(nr_rig_channel *c, const nr_rig_section *section)
{
    *c = (nr_rig_channel){.law = nr_law_find("none"),
                          .u_offset = NAN,
                          .u_gain = NAN,
                          .u_drift = NAN,
                          .low = NAN,
                          .high = NAN,
                          .resolution = NAN,
                          .lag_s = NAN,
                          .emissivity = NAN,
                          .emissivity_set = NAN,
                          .surroundings = NAN,
                          .instrument = NAN,
                          .modbus_unit = -1,
                          .modbus_register = -1,
                          .modbus_scale = -1,
                          .line_number = section->line};
    nr_copy(c->name, sizeof c->name, section->name);
    nr_copy(c->column, sizeof c->column, section->name);
}

/* The plain sections go to the rig itself and are joined with the builds when all is read. */
static bool place_build(filler *f, nr_rig *rig)
{
    const nr_rig_section *section = f->section;
    nr_rig_collector *collector = &rig->collector;
    nr_rig_store *store = &rig->store;
    if (section->name[0]) {
        size_t at = 0;
        while (at < rig->builds && strcmp(rig->build[at].name, section->name) != 0)
            at++;
        if (at == NR_RIG_BUILDS)
            return false;
        if (at == rig->builds) {
            nr_copy(rig->build[at].name, NR_NAME, section->name);
            nr_copy(rig->build[at].collector.name, NR_NAME, section->name);
            rig->builds++;
        }
        collector = &rig->build[at].collector;
        store = &rig->build[at].store;
    }
    if (section->kind == NR_SECTION_COLLECTOR) {
        collector->line_number = section->line;
        f->base = (char *)collector;
    } else {
        store->line_number = section->line;
        f->base = (char *)store;
    }
    return true;
}

/* Where the section's keys go; false when there is no room for another one. */
static bool place(filler *f, nr_rig *rig)
{
    const nr_rig_section *section = f->section;
    f->base = (char *)rig;
    f->channel = NULL;
    if (section->kind == NR_SECTION_COLLECTOR || section->kind == NR_SECTION_STORE)
        return place_build(f, rig);
    if (section->kind == NR_SECTION_ADAPTER) {
        if (rig->adapters == NR_RIG_ADAPTERS)
            return false;
        start_adapter(&rig->adapter[rig->adapters], section);
        f->base = (char *)&rig->adapter[rig->adapters++];
    } else if (section->kind == NR_SECTION_CHANNEL) {
        if (rig->channels == NR_RIG_CHANNELS)
            return false;
        start_channel(&rig->channel[rig->channels], section);
        f->channel = &rig->channel[rig->channels++];
        f->base = (char *)f->channel;
    }
    return true;
}

void nr_rig_fill(nr_rig *rig, const nr_rig_lines *lines, nr_rig_problems *problems)
{
    for (size_t i = 0; i < lines->sections; i++) {
        filler f = {.section = &lines->section[i], .problems = problems};
        if (f.section->kind == NR_SECTION_NONE)
            continue;
        if (place(&f, rig))
            fill_section(&f, lines);
        else
            nr_rig_problem(problems, f.section->line, "[%s %s]: more than %d %ss",
                           nr_rig_section_name(f.section->kind), f.section->name,
                           f.section->kind == NR_SECTION_CHANNEL   ? NR_RIG_CHANNELS
                           : f.section->kind == NR_SECTION_ADAPTER ? NR_RIG_ADAPTERS
                                                                   : NR_RIG_BUILDS,
                           nr_rig_section_name(f.section->kind));
    }
}
