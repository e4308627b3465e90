/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of documents: what a function writes to a file, and numbers of a JSON document by
 * their paths. */
#ifndef NR_TESTS_DOCUMENT_H
#define NR_TESTS_DOCUMENT_H

#include "analyze/result/quantity.h"
#include "analyze/tell/display.h"
#include "tests/unit/near.h"

#include <jansson.h>

static char *text;

static inline FILE *write_to(void)
{
    static size_t size;
    free(text);
    text = NULL;
    return open_memstream(&text, &size);
}

static inline json_t *document(void)
{
    json_error_t why;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &why);
    ck_assert_msg(root != NULL, "%s", why.text);
    return root;
}

/* "a.2.c": keys and places in arrays. */
static inline json_t *at(json_t *root, const char *path)
{
    char key[64];
    json_t *j = root;
    for (const char *p = path; *p != '\0';) {
        size_t n = strcspn(p, ".");
        snprintf(key, sizeof key, "%.*s", (int)n, p);
        j = json_is_array(j) ? json_array_get(j, strtoul(key, NULL, 10)) : json_object_get(j, key);
        ck_assert_msg(j != NULL, "no %s in %s", key, path);
        p += n + (p[n] == '.');
    }
    return j;
}

/* NAN stands for null. */
static inline void number_is(json_t *root, const char *path, double value)
{
    json_t *j = at(root, path);
    if (isnan(value))
        ck_assert_msg(json_is_null(j), "%s is not null", path);
    else
        ck_assert_msg(json_is_number(j) && json_number_value(j) == value, "%s: %.17g is not %.17g",
                      path, json_number_value(j), value);
}

static inline void text_is(json_t *root, const char *path, const char *words)
{
    const char *is = json_string_value(at(root, path));
    ck_assert_msg(is != NULL && strcmp(is, words) == 0, "%s: %s is not %s", path, is, words);
}

static inline void bool_is(json_t *root, const char *path, bool value)
{
    json_t *j = at(root, path);
    ck_assert_msg(json_is_boolean(j) && json_is_true(j) == value, "%s is not %d", path, value);
}

static inline void length_is(json_t *root, const char *path, size_t length)
{
    json_t *j = at(root, path);
    size_t is = json_is_array(j) ? json_array_size(j) : json_object_size(j);
    ck_assert_msg(is == length, "%s: %zu things, not %zu", path, is, length);
}

/* A quantity whose six numbers are told apart. */
static inline nr_quantity six(double value, nr_quantity_unit unit)
{
    return (nr_quantity){.known = true,
                         .value = value,
                         .u = value / 16,
                         .u_random = value / 32,
                         .u_systematic = value / 64,
                         .lo95 = value * 0.75,
                         .hi95 = value * 1.5,
                         .unit = unit};
}

static inline void quantity_is(json_t *root, const char *path, double value, const char *unit)
{
    json_t *j = at(root, path);
    number_is(j, "value", value);
    number_is(j, "u", value / 16);
    number_is(j, "u_random", value / 32);
    number_is(j, "u_systematic", value / 64);
    number_is(j, "lo95", value * 0.75);
    number_is(j, "hi95", value * 1.5);
    text_is(j, "unit", unit);
    length_is(j, "", 7);
}

#endif
