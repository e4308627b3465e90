/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/manifest/pdf.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#define UNPACKED_MOST 1048576 /* a stream holds a hundred objects without pictures: some kB */

static const char objects[] = "/Type /ObjStm";

bool nr_pdf_blank_date(char *bytes, size_t length)
{
    static const char date[] = "/CreationDate (";
    char *at = memmem(bytes, length, date, strlen(date));
    for (char *p = at ? at + strlen(date) : NULL; p && p < bytes + length && *p != ')'; p++)
        *p = ' ';
    return at;
}

static const char *last_of(const char *bytes, const char *end, const char *word)
{
    const char *found = NULL, *next = bytes;
    while ((next = memmem(next, (size_t)(end - next), word, strlen(word))))
        found = next++;
    return found;
}

/* The data of the last stream of objects. */
static const char *last_stream(const char *bytes, const char *end)
{
    static const char begins[] = "stream\n";
    const char *head = last_of(bytes, end, objects);
    const char *data = head ? memmem(head, (size_t)(end - head), begins, strlen(begins)) : NULL;
    return data ? data + strlen(begins) : NULL;
}

/* What is behind that stream is the index and the end of the file, and nothing more. */
static bool is_index(const char *from, const char *end)
{
    static const char ends[] = "endstream", index[] = "/Type /XRef", place[] = "startxref",
                      eof[] = "%%EOF\n";
    size_t length = (size_t)(end - from);
    const char *at = memmem(from, length, place, strlen(place));
    if (!at || !memmem(from, length, index, strlen(index)))
        return false;
    const char *digit = at + strlen(place);
    while (digit < end && (*digit == '\n' || (*digit >= '0' && *digit <= '9')))
        digit++;
    const char *word = *from == '\n' ? from + 1 : from;
    return (size_t)(end - word) > strlen(ends) && !memcmp(word, ends, strlen(ends)) &&
           (size_t)(end - digit) == strlen(eof) && !memcmp(digit, eof, strlen(eof));
}

char *nr_pdf_without_date(const char *bytes, size_t length, size_t *kept)
{
    const char *end = bytes + length, *data = last_stream(bytes, end);
    size_t before = data ? (size_t)(data - bytes) : 0;
    char *same = data ? malloc(before + UNPACKED_MOST) : NULL;
    z_stream z = {.next_in = (Bytef *)(uintptr_t)data,
                  .avail_in = data ? (uInt)(end - data) : 0,
                  .avail_out = UNPACKED_MOST};
    if (!same || inflateInit(&z) != Z_OK) {
        free(same);
        return NULL;
    }
    memcpy(same, bytes, before);
    z.next_out = (Bytef *)same + before;
    bool whole = inflate(&z, Z_FINISH) == Z_STREAM_END;
    *kept = before + z.total_out;
    whole = whole && z.avail_in > 0 && is_index((const char *)z.next_in, end) &&
            nr_pdf_blank_date(same + before, z.total_out);
    inflateEnd(&z);
    if (!whole) {
        free(same);
        return NULL;
    }
    return same;
}
