/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/packed/inside.h"

#include <nettle/base64.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#define GZIP (MAX_WBITS + 16) /* zlib: with the head and tail of gzip */
#define MEMORY 8
#define CHUNK 3000 /* of base64 at once: a multiple of three bytes */

/* gzip without name and time: the same bytes give the same page. */
static unsigned char *compress_bytes(const void *bytes, size_t length, size_t *packed)
{
    z_stream z = {0};
    if (length > NR_PACKED_MOST ||
        deflateInit2(&z, Z_BEST_COMPRESSION, Z_DEFLATED, GZIP, MEMORY, Z_DEFAULT_STRATEGY) != Z_OK)
        return NULL;
    unsigned long room = deflateBound(&z, (unsigned long)length);
    unsigned char *out = malloc(room);
    z.next_in = (Bytef *)(uintptr_t)bytes;
    z.avail_in = (uInt)length;
    z.next_out = out;
    z.avail_out = (uInt)room;
    bool whole = out && deflate(&z, Z_FINISH) == Z_STREAM_END;
    *packed = z.total_out;
    deflateEnd(&z);
    if (whole)
        return out;
    free(out);
    return NULL;
}

static void write_base64(FILE *to, const unsigned char *bytes, size_t length)
{
    char text[BASE64_ENCODE_RAW_LENGTH(CHUNK)];
    for (size_t at = 0; at < length; at += CHUNK) {
        size_t n = length - at < CHUNK ? length - at : CHUNK;
        base64_encode_raw(text, n, bytes + at);
        (void)fwrite(text, 1, BASE64_ENCODE_RAW_LENGTH(n), to);
    }
}

/* An attribute's value: what ends it or begins something else is escaped. */
static void write_value(FILE *to, const char *text)
{
    for (; *text; text++) {
        if (*text == '&')
            fputs("&amp;", to);
        else if (*text == '<')
            fputs("&lt;", to);
        else if (*text == '>')
            fputs("&gt;", to);
        else if (*text == '"')
            fputs("&quot;", to);
        else
            fputc(*text, to);
    }
}

nr_code nr_packed_write(FILE *to, unsigned run, const char *folder, const char *name,
                        const void *bytes, size_t length, nr_err *err)
{
    char hex[NR_PACKED_DIGEST];
    size_t packed = 0;
    unsigned char *gz = compress_bytes(bytes, length, &packed);
    if (!gz)
        return nr_fail(err, NR_BAD, name, 0, "is too large to go into a page");
    nr_packed_digest(bytes, length, hex);
    fprintf(to, "<a class=\"record\" data-run=\"%u\" data-folder=\"", run);
    write_value(to, folder);
    fprintf(to, "\" data-file=\"%s\" data-bytes=\"%zu\" data-sha256=\"%s\" download=\"", name,
            length, hex);
    write_value(to, folder);
    fprintf(to, "-%s.gz\" href=\"data:application/gzip;base64,", name);
    write_base64(to, gz, packed);
    fprintf(to, "\">%s</a>", name);
    free(gz);
    return NR_OK;
}
