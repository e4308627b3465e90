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

/* One piece between separators. False: the line has too many fields. */
static bool add_field(nr_line_kind kind, const char *text, size_t length, nr_fields *out)
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
    nr_line_fault fault = split(adapter, line, length, out);
    if (fault == NR_LINE_GOOD && out->count == 0)
        return adapter->line == NR_LINE_PAIRS ? NR_LINE_NOT_PAIRS : NR_LINE_EMPTY;
    return fault;
}

bool nr_field_number(const nr_field *field, double *out)
{
    char text[64];
    *out = NAN;
    if (field->value_length == 0 || field->value_length >= sizeof text)
        return false;
    memcpy(text, field->value, field->value_length);
    text[field->value_length] = '\0';
    return nr_parse_double(text, out);
}

const nr_field *nr_fields_find(const nr_fields *fields, nr_line_kind kind, const char *name)
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
