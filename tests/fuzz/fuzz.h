/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the fuzzers: what holds of every reader, whatever it is given. A broken promise aborts. */
#ifndef NR_TESTS_FUZZ_H
#define NR_TESTS_FUZZ_H

#include "logger/base/err.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define PROMISE(condition)                                                                         \
    do {                                                                                           \
        if (!(condition)) {                                                                        \
            fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #condition);                \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

/* Nothing in it moves a cursor or ends a line. */
static inline void promise_clean(const char *text)
{
    for (const unsigned char *p = (const unsigned char *)text; *p; p++)
        PROMISE(*p >= 0x20 && *p != 0x7f);
}

/* A refusal says why, on one clean line, and knows the file. */
static inline void promise_error(nr_code code, const nr_err *err)
{
    PROMISE(code == NR_BAD && err->code == NR_BAD);
    PROMISE(err->text[0] && err->file[0] && err->line >= 0);
    promise_clean(err->text);
}

#endif
