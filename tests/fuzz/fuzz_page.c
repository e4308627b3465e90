/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A page with runs inside, from anybody. */
#include "logger/packed/packed.h"
#include "tests/fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    nr_packed *p = NULL;
    nr_err err = {0};
    nr_code code = nr_packed_parse((const char *)data, size, "page.html", &p, &err);
    if (code != NR_OK) {
        promise_error(code, &err);
        PROMISE(p == NULL);
        return 0;
    }
    PROMISE(p->runs > 0 && p->runs <= NR_PACKED_RUNS && p->files >= 2);
    for (size_t i = 0; i < p->files; i++) {
        char hex[NR_PACKED_DIGEST];
        const nr_packed_file *f = &p->file[i];
        PROMISE(f->run >= 1 && f->run <= p->runs && f->bytes[f->length] == '\0');
        PROMISE(f->folder[0] && !strchr(f->folder, '/'));
        promise_clean(f->folder);
        nr_packed_digest(f->bytes, f->length, hex);
        PROMISE(strcmp(hex, f->sha256) == 0);
    }
    nr_packed_free(p);
    return 0;
}
