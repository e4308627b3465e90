/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/wire/fields.h"

#include "logger/base/text.h"

#include <math.h>
#include <string.h>

static const char *const fault_text[NR_LINE_FAULTS] = {
    [NR_LINE_GOOD] = "good",
    [NR_LINE_EMPTY] = "empty",
    [NR_LINE_COMMENT] = "comment",
    [NR_LINE_GARBAGE] = "garbled",
    [NR_LINE_NO_CHECKSUM] = "checksum missing",
    [NR_LINE_BAD_CHECKSUM] = "checksum wrong",
    [NR_LINE_NOT_PAIRS] = "no key=value in it",
    [NR_LINE_TOO_MANY] = "too many fields",
    [NR_LINE_TOO_SHORT] = "wrong number of fields",
    [NR_LINE_UNKNOWN] = "no key that the rig names",
    [NR_LINE_NO_CLOCK] = "adapter clock missing or not believable",
    [NR_LINE_HALF] = "half a line",
    [NR_LINE_OVERLONG] = "over-long",
};

const char *nr_line_fault_text(nr_line_fault fault)
{
    return fault < NR_LINE_FAULTS ? fault_text[fault] : "?";
}

unsigned char nr_xor8(const char *text, size_t length)
{
    unsigned char x = 0;
    for (size_t i = 0; i < length; i++)
        x = (unsigned char)(x ^ (unsigned char)text[i]);
    return x;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool has_controls(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        if ((c < 0x20 && c != '\t') || c == 0x7f)
            return true;
    }
    return false;
}

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    if (c >= 'A' && c <= 'F')
        return c - 'A' + 10;
    if (c >= 'a' && c <= 'f')
        return c - 'a' + 10;
    return -1;
}

/* Checks "*HH" at the end and shortens *length to what stands before it. */
static nr_line_fault take_checksum(const char *line, size_t *length)
{
    size_t n = *length;
    while (n > 0 && is_blank(line[n - 1]))
        n--;
    if (n < 3 || line[n - 3] != '*')
        return NR_LINE_NO_CHECKSUM;
    int high = hex_digit(line[n - 2]);
    int low = hex_digit(line[n - 1]);
    if (high < 0 || low < 0)
        return NR_LINE_NO_CHECKSUM;
    if (nr_xor8(line, n - 3) != (unsigned char)(high * 16 + low))
        return NR_LINE_BAD_CHECKSUM;
    *length = n - 3;
    return NR_LINE_GOOD;
}

static void trim(const char **text, size_t *length)
{
    while (*length > 0 && is_blank(**text)) {
        (*text)++;
        (*length)--;
    }
    while (*length > 0 && is_blank((*text)[*length - 1]))
        (*length)--;
}

static void unquote(const char **text, size_t *length)
{
    if (*length >= 2 && (*text)[0] == '"' && (*text)[*length - 1] == '"') {
        (*text)++;
        *length -= 2;
    }
}

/* One piece between separators. False: the line has too many fields. */
static bool add_field(nr_line_format kind, const char *text, size_t length, nr_fields *out)
{
    nr_field field = {.value = text, .value_length = length};
    if (kind == NR_LINE_PAIRS) {
        const char *equals = length > 0 ? memchr(text, '=', length) : NULL;
        if (!equals)
            return true;
        field.key = text;
        field.key_length = (size_t)(equals - text);
        field.value = equals + 1;
        field.value_length = length - field.key_length - 1;
        trim(&field.key, &field.key_length);
    }
    trim(&field.value, &field.value_length);
    if (out->count == NR_FIELDS_MAX)
        return false;
    out->field[out->count++] = field;
    return true;
}

/* One member of a JSON object; quotes come off, what is no plain value is no number later on. */
static bool add_member(const char *text, size_t length, nr_fields *out)
{
    bool quoted = false;
    size_t colon = 0;
    while (colon < length && (quoted || text[colon] != ':'))
        quoted = text[colon++] == '"' ? !quoted : quoted;
    if (colon == length)
        return true;
    nr_field field = {.key = text,
                      .key_length = colon,
                      .value = text + colon + 1,
                      .value_length = length - colon - 1};
    trim(&field.key, &field.key_length);
    trim(&field.value, &field.value_length);
    unquote(&field.key, &field.key_length);
    unquote(&field.value, &field.value_length);
    if (out->count == NR_FIELDS_MAX)
        return false;
    out->field[out->count++] = field;
    return true;
}

/* {"store": 21.5, "air": 19.8}, of one level: commas inside quotes and deeper brackets part
 * nothing. */
static nr_line_fault split_object(const char *line, size_t length, nr_fields *out)
{
    bool quoted = false;
    int depth = 0;
    size_t start = 1;
    out->count = 0;
    for (size_t i = 1; i < length; i++) {
        char c = line[i];
        quoted = c == '"' ? !quoted : quoted;
        if (quoted)
            continue;
        bool ends = depth == 0 && (c == ',' || i == length - 1);
        depth += (c == '{' || c == '[') - (c == '}' || c == ']');
        if (!ends)
            continue;
        if (!add_member(line + start, i - start, out))
            return NR_LINE_TOO_MANY;
        start = i + 1;
    }
    return NR_LINE_GOOD;
}

static nr_line_fault split(const nr_rig_adapter *adapter, const char *line, size_t length,
                           nr_fields *out)
{
    bool runs = adapter->separator == ' ';
    size_t start = 0;
    out->count = 0;
    for (size_t i = 0; i <= length; i++) {
        bool ends = i == length || line[i] == adapter->separator || (runs && is_blank(line[i]));
        if (!ends)
            continue;
        bool skip = runs && i == start;
        if (!skip && !add_field(adapter->line, line + start, i - start, out))
            return NR_LINE_TOO_MANY;
        start = i + 1;
    }
    return NR_LINE_GOOD;
}

nr_line_fault nr_fields_split(const nr_rig_adapter *adapter, const char *line, size_t length,
                              nr_fields *out)
{
    trim(&line, &length);
    if (length == 0)
        return NR_LINE_EMPTY;
    if (has_controls(line, length))
        return NR_LINE_GARBAGE;
    if (line[0] == '#')
        return NR_LINE_COMMENT;
    if (adapter->checksum == NR_CHECKSUM_XOR8) {
        nr_line_fault fault = take_checksum(line, &length);
        if (fault != NR_LINE_GOOD)
            return fault;
    }
    bool object =
        adapter->line == NR_LINE_PAIRS && length >= 2 && line[0] == '{' && line[length - 1] == '}';
    nr_line_fault fault =
        object ? split_object(line, length, out) : split(adapter, line, length, out);
    if (fault == NR_LINE_GOOD && out->count == 0)
        return adapter->line == NR_LINE_PAIRS ? NR_LINE_NOT_PAIRS : NR_LINE_EMPTY;
    return fault;
}

/* Units that adapters write behind a number; the longer before what they end in. */
static const struct {
    const char *word, *unit;
} suffixes[] = {{"degC", "degC"},
                {"degF", "degF"},
                {"\xc2\xb0"
                 "C",
                 "degC"},
                {"\xc2\xb0"
                 "F",
                 "degF"},
                {"W/m2", "W_m2"},
                {"W/m\xc2\xb2", "W_m2"},
                {"L/min", "L_min"},
                {"l/min", "L_min"},
                {"m/s", "m_s"},
                {"mV", "mV"},
                {"mA", "mA"},
                {"C", "degC"},
                {"F", "degF"},
                {"V", "V"},
                {"A", "A"},
                {"W", "W"},
                {"%", "percent"}};

/* The number's text without its unit; which unit, or NULL. */
static const nr_unit *cut_unit(char *text)
{
    size_t length = strlen(text);
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        size_t n = strlen(suffixes[i].word);
        if (length > n && strcmp(text + length - n, suffixes[i].word) == 0) {
            text[length - n] = '\0';
            return nr_unit_find(suffixes[i].unit);
        }
    }
    return NULL;
}

bool nr_field_reading(const nr_field *field, double *out, const nr_unit **unit)
{
    char text[64];
    *out = NAN;
    *unit = NULL;
    if (field->value_length == 0 || field->value_length >= sizeof text)
        return false;
    memcpy(text, field->value, field->value_length);
    text[field->value_length] = '\0';
    if (nr_parse_double(text, out))
        return true;
    *unit = cut_unit(text);
    return *unit && nr_parse_double(text, out);
}

bool nr_field_number(const nr_field *field, double *out)
{
    const nr_unit *unit;
    return nr_field_reading(field, out, &unit);
}

const nr_field *nr_fields_find(const nr_fields *fields, nr_line_format kind, const char *name)
{
    if (kind == NR_LINE_VALUES) {
        long index = 0;
        if (!nr_parse_long(name, 1, NR_FIELDS_MAX, &index) || (size_t)index > fields->count)
            return NULL;
        return &fields->field[index - 1];
    }
    size_t length = strlen(name);
    for (size_t i = 0; i < fields->count; i++) {
        const nr_field *f = &fields->field[i];
        if (f->key_length == length && memcmp(f->key, name, length) == 0)
            return f;
    }
    return NULL;
}
