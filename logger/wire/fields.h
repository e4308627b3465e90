/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One line of an adapter to its fields.
 *
 * Two shapes: `values` ("21.50,19.81,24.37") and `pairs` ("store=21.50,inlet=19.81", or a JSON
 * object of one level in a line: {"store": 21.50, "inlet": 19.81}). With the
 * xor8 checksum the line ends in *HH: two hexadecimal digits, the exclusive or of all characters
 * before the '*'. A line that starts with '#' is the adapter talking to people: kept in the log,
 * never a reading.
 *
 * Nothing is copied: fields point into the line.
 */
#ifndef NR_WIRE_FIELDS_H
#define NR_WIRE_FIELDS_H

#include "logger/run/rig.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_FIELDS_MAX 64

/* Why a line gave no reading. The order is that of nr_line_fault_text. */
typedef enum nr_line_fault {
    NR_LINE_GOOD,
    NR_LINE_EMPTY,
    NR_LINE_COMMENT,
    NR_LINE_GARBAGE,      /* control characters, or a known key twice: two lines run together */
    NR_LINE_NO_CHECKSUM,  /* xor8 expected and not there */
    NR_LINE_BAD_CHECKSUM, /* there and wrong */
    NR_LINE_NOT_PAIRS,    /* pairs expected, no field is key=value */
    NR_LINE_TOO_MANY,     /* more than NR_FIELDS_MAX fields */
    /* The next ones are found by those who know the rig. */
    NR_LINE_TOO_SHORT, /* values: fewer (or more) fields than this adapter's lines have */
    NR_LINE_UNKNOWN,   /* pairs: no key that the rig names */
    NR_LINE_NO_CLOCK,  /* the adapter's counter is missing or not believable */
    NR_LINE_HALF,      /* first after opening, or its end never came */
    NR_LINE_OVERLONG,
    NR_LINE_FAULTS
} nr_line_fault;

/* "checksum wrong" and so on, for people. */
const char *nr_line_fault_text(nr_line_fault fault);

typedef struct nr_field {
    const char *key; /* pairs only; NULL otherwise */
    size_t key_length;
    const char *value;
    size_t value_length;
} nr_field;

typedef struct nr_fields {
    size_t count;
    nr_field field[NR_FIELDS_MAX];
} nr_fields;

/* The exclusive or of all bytes. */
unsigned char nr_xor8(const char *text, size_t length);

/* Splits a line (no line end) as the adapter's section says. Keys and values come without blanks
 * around them; an empty value is a field with value_length 0. With the separator `space`, several
 * blanks count as one. In pairs, fields without '=' are skipped. out is valid on NR_LINE_GOOD. */
nr_line_fault nr_fields_split(const nr_rig_adapter *adapter, const char *line, size_t length,
                              nr_fields *out);

/* The number of a field. False: it is not a number (an open sensor may say "nan", "ERR" or
 * nothing); *out is then NAN. A unit behind it (68.2F, 21.5degC, 850W/m2) is passed over. */
bool nr_field_number(const nr_field *field, double *out);

/* The same, and the unit behind it; NULL: none. */
bool nr_field_reading(const nr_field *field, double *out, const nr_unit **unit);

/* The field a rig names: a key (pairs) or a 1-based index (values). NULL when not in the line. */
const nr_field *nr_fields_find(const nr_fields *fields, nr_line_format kind, const char *name);

#endif
