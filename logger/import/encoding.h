/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes of a table from anywhere to UTF-8 text.
 *
 * A byte order mark decides; without one, NUL bytes at every other place say UTF-16, and what is
 * not UTF-8 is taken for Windows-1252, which holds Latin-1's letters and the signs that Windows
 * programs put where Latin-1 has controls. Line ends become "\n".
 */
#ifndef NR_IMPORT_ENCODING_H
#define NR_IMPORT_ENCODING_H

#include "logger/base/err.h"

#include <stddef.h>

typedef struct nr_decoded {
    char *text; /* terminated by a NUL that length does not count; free it */
    size_t length;
    const char *encoding; /* "UTF-8", "UTF-16LE" ... as iconv names it; a literal */
} nr_decoded;

/* NR_BAD: empty, a program's own format (a workbook, a page, a picture), or no text. path is for
 * messages. */
nr_code nr_decode(const char *bytes, size_t length, const char *path, nr_decoded *out, nr_err *err);

#endif
