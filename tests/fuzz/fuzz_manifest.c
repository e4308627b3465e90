/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A manifest from anybody, and the comparison of what it says was answered with something else. */
#include "analyze/manifest/manifest.h"
#include "analyze/manifest/numbers.h"
#include "tests/fuzz/fuzz.h"

static void promise_files(const nr_manifest_file *file, size_t count, size_t arguments)
{
    PROMISE(count <= NR_MANIFEST_FILES);
    for (size_t i = 0; i < count; i++) {
        PROMISE(file[i].path && strlen(file[i].sha256) == NR_PACKED_DIGEST - 1);
        PROMISE(file[i].argument >= -1 && file[i].argument < (long)arguments);
    }
}

/* Files are checked, too: a PDF is looked into. */
static void promise_digest(const uint8_t *data, size_t size)
{
    char hex[NR_PACKED_DIGEST], *copy = malloc(size + 1);
    memcpy(copy, data, size);
    nr_manifest_digest("x.pdf", copy, size, hex);
    PROMISE(strlen(hex) == NR_PACKED_DIGEST - 1);
    free(copy);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    promise_digest(data, size);
    nr_manifest m;
    nr_numbers n;
    nr_err err = {0};
    nr_code code = nr_manifest_parse((const char *)data, size, "fit.manifest", &m, &err);
    if (code != NR_OK) {
        promise_error(code, &err);
        nr_manifest_free(&m); /* also after an error */
        return 0;
    }
    PROMISE(m.program && m.version && m.run_in && m.answer && strlen(m.answer) == m.answer_bytes);
    PROMISE(m.arguments >= 1 && m.arguments <= NR_MANIFEST_ARGUMENTS);
    PROMISE(m.libraries <= NR_MANIFEST_LIBRARIES && m.environment <= NR_MANIFEST_ENVIRONMENT);
    for (size_t i = 0; i < m.arguments; i++)
        PROMISE(m.argument[i]);
    promise_files(m.input, m.inputs, m.arguments);
    promise_files(m.output, m.outputs, m.arguments);
    nr_numbers_compare(m.answer, m.answer, &n);
    PROMISE(n.different == 0 && !n.words);
    char *cut = strdup(m.answer);
    cut[m.answer_bytes / 2] = '\0';
    nr_numbers_compare(m.answer, cut, &n);
    PROMISE(n.kept <= NR_DIFFERENCES && n.kept <= n.different + n.words);
    free(cut);
    nr_manifest_free(&m);
    return 0;
}
