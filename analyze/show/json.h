/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small parts of the JSON documents. Used by show/ only. jansson owns everything. */
#ifndef NR_SHOW_JSON_H
#define NR_SHOW_JSON_H

#include "analyze/fit/fit.h"

#include <jansson.h>
#include <stdio.h>

/* null for NAN and infinities: JSON has neither. */
json_t *nr_json_number(double value);
json_t *nr_json_text(const char *text); /* what is not UTF-8 becomes '?' */
json_t *nr_json_pair(const double pair[2]);
json_t *nr_json_quantity(const nr_quantity *q); /* null when not known */
json_t *nr_json_trust(const nr_trust *trust);
json_t *nr_json_warnings(const nr_warnings *warnings);
json_t *nr_json_fit_object(const nr_fit *fit);
json_t *nr_json_standard(const nr_standard *standard);

/* Writes and frees root (NULL: out of memory). */
nr_code nr_json_write(FILE *to, json_t *root, nr_err *err);

#endif
