/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/manifest/manifest.h"

#include "logger/base/replace.h"

#include <jansson.h>

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static void free_pairs(nr_manifest_pair *pairs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        free(pairs[i].name);
        free(pairs[i].value);
    }
}

static void free_files(nr_manifest_file *files, size_t count)
{
    for (size_t i = 0; files && i < count; i++) {
        free(files[i].path);
        free(files[i].text);
        free(files[i].before);
    }
    free(files);
}

void nr_manifest_free(nr_manifest *m)
{
    free(m->program);
    free(m->version);
    free(m->made_utc);
    free(m->run_in);
    free(m->answer);
    free_pairs(m->library, m->libraries);
    free_pairs(m->variable, m->environment);
    for (size_t i = 0; i < m->arguments; i++)
        free(m->argument[i]);
    free_files(m->input, m->inputs);
    free_files(m->output, m->outputs);
    memset(m, 0, sizeof *m);
}

bool nr_manifest_add_pair(nr_manifest_pair *pairs, size_t *count, size_t most, const char *name,
                          const char *value)
{
    if (*count == most)
        return false;
    nr_manifest_pair *p = &pairs[*count];
    *p = (nr_manifest_pair){strdup(name), value ? strdup(value) : NULL};
    ++*count;
    return p->name && (!value || p->value);
}

/* ---- writing ---- */

static json_t *text_or_null(const char *text)
{
    json_t *j = text ? json_string(text) : NULL; /* no UTF-8: not kept as text */
    return j ? j : json_null();
}

static json_t *pairs_object(const nr_manifest_pair *pairs, size_t count)
{
    json_t *o = json_object();
    for (size_t i = 0; i < count; i++)
        json_object_set_new(o, pairs[i].name, text_or_null(pairs[i].value));
    return o;
}

static json_t *files_array(const nr_manifest_file *file, size_t count, bool outputs)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++) {
        json_t *o = json_pack("{s:o, s:I, s:s}", "path", text_or_null(file[i].path), "bytes",
                              (json_int_t)file[i].bytes, "sha256", file[i].sha256);
        if (outputs) {
            json_object_set_new(o, "argument", json_integer(file[i].argument));
            json_object_set_new(o, "text", text_or_null(file[i].text));
            json_object_set_new(o, "before", text_or_null(file[i].before));
        }
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *document(const nr_manifest *m)
{
    char digest[NR_PACKED_DIGEST];
    json_t *root = json_object(), *arguments = json_array();
    for (size_t i = 0; i < m->arguments; i++)
        json_array_append_new(arguments, text_or_null(m->argument[i]));
    nr_packed_digest(m->answer, m->answer_bytes, digest);
    json_object_set_new(root, "manifest", json_integer(1));
    json_object_set_new(root, "program", text_or_null(m->program));
    json_object_set_new(root, "version", text_or_null(m->version));
    json_object_set_new(root, "made_utc", text_or_null(m->made_utc));
    json_object_set_new(root, "libraries", pairs_object(m->library, m->libraries));
    json_object_set_new(root, "run_in", text_or_null(m->run_in));
    json_object_set_new(root, "arguments", arguments);
    json_object_set_new(root, "seed", m->has_seed ? json_integer(m->seed) : json_null());
    json_object_set_new(root, "environment", pairs_object(m->variable, m->environment));
    json_object_set_new(root, "inputs", files_array(m->input, m->inputs, false));
    json_object_set_new(root, "outputs", files_array(m->output, m->outputs, true));
    json_object_set_new(root, "exit_status", json_integer(m->exit_status));
    json_object_set_new(root, "answer",
                        json_pack("{s:s, s:o}", "sha256", digest, "text", text_or_null(m->answer)));
    return root;
}

nr_code nr_manifest_write(const char *path, const nr_manifest *m, nr_err *err)
{
    json_t *root = document(m);
    char *text = root ? json_dumps(root, JSON_INDENT(2)) : NULL;
    json_decref(root);
    if (!text)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    size_t length = strlen(text);
    text[length] = '\n'; /* in the place of the terminating zero: the length is given */
    nr_code code = nr_replace_file(path, text, length + 1, 0644, err);
    free(text);
    return code;
}

/* ---- reading ---- */

static char *text_of(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));
    return s ? strdup(s) : NULL;
}

static bool read_pairs(const json_t *o, nr_manifest_pair *pairs, size_t *count, size_t most)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)o, key, value)
    {
        if (!(json_is_string(value) || json_is_null(value)) ||
            !nr_manifest_add_pair(pairs, count, most, key, json_string_value(value)))
            return false;
    }
    return true;
}

/* A whole number from lowest to highest; absent or null: fallback. A long may have 32 bits, where
 * JSON's integers have 64: cut off, a number from outside would be another one. */
static bool whole_of(const json_t *o, const char *key, json_int_t lowest, json_int_t highest,
                     json_int_t fallback, json_int_t *out)
{
    const json_t *value = json_object_get(o, key);
    *out = json_is_integer(value) ? json_integer_value(value) : fallback;
    return (!value || json_is_null(value) || json_is_integer(value)) && *out >= lowest &&
           *out <= highest;
}

static bool read_file(const json_t *o, nr_manifest_file *f, size_t arguments)
{
    const char *sha = json_string_value(json_object_get(o, "sha256"));
    json_int_t bytes, argument;
    f->path = text_of(o, "path");
    f->text = text_of(o, "text");
    f->before = text_of(o, "before");
    if (!f->path || !sha || strlen(sha) != sizeof f->sha256 - 1 ||
        !whole_of(o, "bytes", 0, (json_int_t)NR_PACKED_MOST, 0, &bytes) ||
        !whole_of(o, "argument", -1, (json_int_t)arguments - 1, -1, &argument))
        return false;
    f->bytes = (size_t)bytes;
    f->argument = (long)argument;
    memcpy(f->sha256, sha, sizeof f->sha256);
    return true;
}

static bool read_files(const json_t *list, nr_manifest_file **file, size_t *count, size_t arguments)
{
    size_t n = json_array_size(list);
    if (!json_is_array(list) || n > NR_MANIFEST_FILES)
        return false;
    *file = calloc(NR_MANIFEST_FILES, sizeof **file);
    for (*count = 0; *file && *count < n;)
        if (++*count, !read_file(json_array_get(list, *count - 1), &(*file)[*count - 1], arguments))
            return false;
    return *file != NULL;
}

static bool read_arguments(const json_t *list, nr_manifest *m)
{
    size_t n = json_array_size(list);
    if (!json_is_array(list) || n == 0 || n > NR_MANIFEST_ARGUMENTS)
        return false;
    for (size_t i = 0; i < n; i++) {
        const char *s = json_string_value(json_array_get(list, i));
        if (!s || !(m->argument[m->arguments] = strdup(s)))
            return false;
        m->arguments++;
    }
    return true;
}

static bool read_document(const json_t *root, nr_manifest *m)
{
    const json_t *answer = json_object_get(root, "answer");
    json_int_t seed, status;
    if (json_integer_value(json_object_get(root, "manifest")) != 1)
        return false;
    m->program = text_of(root, "program");
    m->version = text_of(root, "version");
    m->made_utc = text_of(root, "made_utc");
    m->run_in = text_of(root, "run_in");
    m->answer = text_of(answer, "text");
    m->answer_bytes = m->answer ? strlen(m->answer) : 0;
    if (!whole_of(root, "seed", -1, INT32_MAX, -1, &seed) ||
        !whole_of(root, "exit_status", 0, UINT8_MAX, 0, &status))
        return false;
    m->has_seed = seed >= 0;
    m->seed = m->has_seed ? (long)seed : 0;
    m->exit_status = (int)status;
    return m->program && m->version && m->run_in && m->answer &&
           read_pairs(json_object_get(root, "libraries"), m->library, &m->libraries,
                      NR_MANIFEST_LIBRARIES) &&
           read_pairs(json_object_get(root, "environment"), m->variable, &m->environment,
                      NR_MANIFEST_ENVIRONMENT) &&
           read_arguments(json_object_get(root, "arguments"), m) &&
           read_files(json_object_get(root, "inputs"), &m->input, &m->inputs, m->arguments) &&
           read_files(json_object_get(root, "outputs"), &m->output, &m->outputs, m->arguments);
}

nr_code nr_manifest_parse(const char *text, size_t length, const char *path, nr_manifest *out,
                          nr_err *err)
{
    json_error_t why;
    memset(out, 0, sizeof *out);
    if (length > NR_MANIFEST_MOST)
        return nr_fail(err, NR_BAD, path, 0, "too long for a manifest");
    json_t *root = json_loadb(text, length, JSON_REJECT_DUPLICATES, &why);
    if (!root)
        return nr_fail(err, NR_BAD, path, why.line, "no manifest: %s", why.text);
    bool good = read_document(root, out);
    json_decref(root);
    if (good)
        return NR_OK;
    nr_manifest_free(out);
    return nr_fail(
        err, NR_BAD, path, 0,
        "no manifest, or one that is not whole; name a file that --manifest has written");
}

nr_code nr_manifest_read(const char *path, nr_manifest *out, nr_err *err)
{
    char *bytes;
    size_t length;
    memset(out, 0, sizeof *out);
    nr_code code = nr_manifest_load(path, &bytes, &length, err);
    if (!code)
        code = nr_manifest_parse(bytes, length, path, out, err);
    free(bytes);
    return code;
}
