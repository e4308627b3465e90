/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one run of a program read, was asked and said, so that it can be repeated and held against
 * it: a JSON file beside the results.
 *
 *   {"manifest": 1, "program", "version", "made_utc", "libraries": {name: version},
 *    "run_in": folder the names are relative to, seen from the manifest's own,
 *    "arguments": [...], "seed": number|null, "environment": {name: value|null},
 *    "inputs": [{"path", "bytes", "sha256"}],
 *    "outputs": [{"argument": index, "path", "bytes", "sha256", "text": what it says, or null,
 *                  "before": what it was where it was changed in place, or null}],
 *    "exit_status", "answer": {"sha256", "text"}}
 *
 * A manifest comes from anybody: sizes are limited, and nothing in it is believed before the
 * repeat.
 */
#ifndef NR_MANIFEST_MANIFEST_H
#define NR_MANIFEST_MANIFEST_H

#include "logger/base/err.h"
#include "logger/packed/packed.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_MANIFEST_FILES 512
#define NR_MANIFEST_ARGUMENTS 512
#define NR_MANIFEST_LIBRARIES 8
#define NR_MANIFEST_ENVIRONMENT 8
#define NR_MANIFEST_TEXT 524288     /* bytes of an output that is kept as text */
#define NR_MANIFEST_MOST 67108864UL /* bytes of a manifest, and of an answer in it */

typedef struct nr_manifest_file {
    char *path; /* as named */
    size_t bytes;
    char sha256[NR_PACKED_DIGEST];
    long argument; /* of an output: place in arguments; else -1 */
    char *text;    /* of an output that is text: its content; NULL: not kept */
    char *before;  /* of an output that was changed in place: what it was; NULL: there was none */
} nr_manifest_file;

typedef struct nr_manifest_pair {
    char *name, *value; /* value NULL: not set */
} nr_manifest_pair;

typedef struct nr_manifest {
    char *program, *version, *made_utc, *run_in;
    size_t libraries;
    nr_manifest_pair library[NR_MANIFEST_LIBRARIES];
    size_t arguments; /* without the program's name; the command first */
    char *argument[NR_MANIFEST_ARGUMENTS];
    bool has_seed;
    long seed;
    size_t environment;
    nr_manifest_pair variable[NR_MANIFEST_ENVIRONMENT];
    size_t inputs, outputs;
    nr_manifest_file *input, *output; /* [NR_MANIFEST_FILES], or NULL while there are none */
    int exit_status;
    char *answer; /* standard output */
    size_t answer_bytes;
} nr_manifest;

/* All owned; free with nr_manifest_free, also after an error. */
nr_code nr_manifest_read(const char *path, nr_manifest *out, nr_err *err);
nr_code nr_manifest_parse(const char *text, size_t length, const char *path, nr_manifest *out,
                          nr_err *err);
nr_code nr_manifest_write(const char *path, const nr_manifest *manifest, nr_err *err);
void nr_manifest_free(nr_manifest *manifest);

/* Copies; false: out of memory or no room. */
bool nr_manifest_add_pair(nr_manifest_pair *pairs, size_t *count, size_t most, const char *name,
                          const char *value);

/* ---- files ---- */

/* A whole file, with a zero behind; at most NR_PACKED_MOST bytes. Free *bytes. */
nr_code nr_manifest_load(const char *path, char **bytes, size_t *length, nr_err *err);

/* SHA-256 of a file's bytes; of a PDF without its date of creation (pdf.h), which is the only thing
 * that two pictures of the same may differ in. */
void nr_manifest_digest(const char *path, char *bytes, size_t length, char hex[NR_PACKED_DIGEST]);

/* Adds the file, or the files of the run folder that the name stands for ("FOLDER", "PAGE.html#2",
 * a folder of run folders), with their checksums. What is no file is left out: *added 0. */
nr_code nr_manifest_add_inputs(nr_manifest *manifest, const char *name, size_t *added, nr_err *err);

/* Adds one file the run has written; keeps its text where `text` and it is not long. */
nr_code nr_manifest_add_output(nr_manifest *manifest, const char *path, long argument, bool text,
                               nr_err *err);

/* How to get from folder `from` to folder `to`, both absolute and resolved; "." for the same. */
char *nr_manifest_way(const char *from, const char *to);

#endif
