/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/packed/inside.h"

#include "logger/base/text.h"

#include <errno.h>
#include <nettle/base64.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <zlib.h>

#define PAGE_MOST 1073741824L
#define GZIP (MAX_WBITS + 16)
#define VALUE 400
#define FILES_MOST ((size_t)NR_PACKED_RUNS * NR_PACKED_NAMES)
static const char mark[] = "<a class=\"record\" ";
static const char data[] = " href=\"data:application/gzip;base64,";

/* --- the link --------------------------------------------------------------------------------- */

static const struct {
    const char *escaped;
    char plain;
} escapes[] = {{"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}};

static void unescape(char *text)
{
    char *to = text;
    while (*text) {
        size_t i = 0;
        while (i < 4 && strncmp(text, escapes[i].escaped, strlen(escapes[i].escaped)) != 0)
            i++;
        *to++ = i < 4 ? escapes[i].plain : *text;
        text += i < 4 ? strlen(escapes[i].escaped) : 1;
    }
    *to = '\0';
}

/* KEY="VALUE" of a tag whose text ends before `end`. */
static bool attribute(const char *tag, const char *end, const char *key, char out[VALUE])
{
    char start[40];
    int n = snprintf(start, sizeof start, "%s=\"", key);
    const char *from = memmem(tag, (size_t)(end - tag), start, (size_t)n);
    const char *to = from ? memchr(from + n, '"', (size_t)(end - from - n)) : NULL;
    if (!to || to - from - n >= VALUE)
        return false;
    memcpy(out, from + n, (size_t)(to - from - n));
    out[to - from - n] = '\0';
    unescape(out);
    return true;
}

static bool read_head(const char *tag, const char *end, nr_packed_file *f, char sha256[VALUE])
{
    char text[VALUE];
    long number;
    if (!attribute(tag, end, "data-run", text) || !nr_parse_long(text, 1, NR_PACKED_RUNS, &number))
        return false;
    f->run = (unsigned)number;
    if (!attribute(tag, end, "data-folder", text))
        return false;
    nr_packed_folder_name(text, f->folder); /* a page cannot name a path */
    if (!attribute(tag, end, "data-file", text))
        return false;
    for (int i = 0; i < NR_PACKED_NAMES; i++)
        if (strcmp(text, nr_packed_names[i]) == 0)
            f->name = nr_packed_names[i];
    if (!f->name || !attribute(tag, end, "data-bytes", text) ||
        !nr_parse_long(text, 0, (long)NR_PACKED_MOST, &number))
        return false;
    f->length = (size_t)number;
    return attribute(tag, end, "data-sha256", sha256);
}

/* --- its bytes -------------------------------------------------------------------------------- */

static unsigned char *decode(const char *text, size_t length, size_t *count)
{
    struct base64_decode_ctx context;
    unsigned char *out = malloc(BASE64_DECODE_LENGTH(length) + 1);
    *count = BASE64_DECODE_LENGTH(length);
    base64_decode_init(&context);
    if (out && base64_decode_update(&context, count, out, length, text) &&
        base64_decode_final(&context))
        return out;
    free(out);
    return NULL;
}

/* Exactly f->length bytes have to come out, and nothing may follow. The room grows with what really
 * comes: a page that promises much and holds little takes little. */
static bool inflate_bytes(nr_packed_file *f, const unsigned char *packed, size_t count)
{
    z_stream z = {.next_in = (Bytef *)(uintptr_t)packed, .avail_in = (uInt)count};
    size_t room = 0, used = 0;
    int state = Z_OK;
    if (count > NR_PACKED_MOST || inflateInit2(&z, GZIP) != Z_OK)
        return false;
    while (state == Z_OK && used <= f->length) {
        if (room - used < 2) {
            size_t more = room * 2 + 65536;
            room = more < f->length + 2 ? more : f->length + 2;
            char *grown = realloc(f->bytes, room);
            if (!grown)
                break;
            f->bytes = grown;
        }
        z.next_out = (Bytef *)f->bytes + used;
        z.avail_out = (uInt)(room - 1 - used);
        state = inflate(&z, Z_NO_FLUSH);
        used = z.total_out;
    }
    bool whole = state == Z_STREAM_END && used == f->length && z.avail_in == 0;
    inflateEnd(&z);
    if (whole)
        f->bytes[used] = '\0';
    return whole;
}

static bool read_bytes(nr_packed_file *f, const char *text, size_t length, const char *sha256)
{
    size_t count;
    unsigned char *packed = decode(text, length, &count);
    bool whole = packed && inflate_bytes(f, packed, count);
    free(packed);
    if (!whole)
        return false;
    nr_packed_digest(f->bytes, f->length, f->sha256);
    return strcmp(f->sha256, sha256) == 0;
}

/* --- all of it -------------------------------------------------------------------------------- */

static long line_of(const char *text, const char *at)
{
    long line = 1;
    for (; text < at; text++)
        line += *text == '\n';
    return line;
}

/* One link at `tag`; *next is where to look on. */
static nr_code read_link(const char *text, const char *tag, const char *stop, const char *path,
                         nr_packed *p, const char **next, nr_err *err)
{
    char sha256[VALUE];
    const char *href = memmem(tag, (size_t)(stop - tag), data, sizeof data - 1);
    const char *from = href ? href + sizeof data - 1 : NULL;
    const char *end = from ? memchr(from, '"', (size_t)(stop - from)) : NULL;
    nr_packed_file f = {0};
    if (!end || memchr(tag, '>', (size_t)(href - tag)) || !read_head(tag, href + 1, &f, sha256))
        return nr_fail(err, NR_BAD, path, line_of(text, tag),
                       "a record begins here that noonfit did not write");
    if (nr_packed_find(p, f.run, f.name))
        return nr_fail(err, NR_BAD, path, line_of(text, tag), "run %u has %s twice", f.run, f.name);
    if (!read_bytes(&f, from, (size_t)(end - from), sha256)) {
        free(f.bytes);
        return nr_fail(err, NR_BAD, path, line_of(text, tag),
                       "%s of run %u is damaged: it is not what its checksum says; get the page "
                       "again",
                       f.name, f.run);
    }
    p->file[p->files++] = f;
    p->runs = f.run > p->runs ? f.run : p->runs;
    *next = end;
    return NR_OK;
}

/* Every run up to the last has what a run is made of. */
static nr_code check_whole(const nr_packed *p, const char *path, nr_err *err)
{
    if (p->runs == 0)
        return nr_fail(err, NR_BAD, path, 0,
                       "holds no record: only a page of `noonfit report` has its runs inside");
    for (unsigned run = 1; run <= p->runs; run++)
        for (int i = 0; i < 2; i++)
            if (!nr_packed_find(p, run, nr_packed_names[i]))
                return nr_fail(err, NR_BAD, path, 0, "run %u of the page has no %s", run,
                               nr_packed_names[i]);
    return NR_OK;
}

nr_code nr_packed_parse(const char *text, size_t length, const char *path, nr_packed **out,
                        nr_err *err)
{
    const char *stop = text + length, *at = text;
    nr_code code = NR_OK;
    nr_packed *p = calloc(1, sizeof *p);
    *out = NULL;
    if (!p || !(p->file = calloc(FILES_MOST, sizeof *p->file))) {
        free(p);
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    }
    while (code == NR_OK && (at = memmem(at, (size_t)(stop - at), mark, sizeof mark - 1)) != NULL)
        code = read_link(text, at, stop, path, p, &at, err);
    if (code == NR_OK)
        code = check_whole(p, path, err);
    if (code != NR_OK) {
        nr_packed_free(p);
        return code;
    }
    *out = p;
    return NR_OK;
}

nr_code nr_packed_read(const char *path, nr_packed **out, nr_err *err)
{
    struct stat about;
    *out = NULL;
    FILE *f = fopen(path, "rbe");
    if (!f)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be read");
    char *text = NULL;
    size_t length = 0;
    nr_code code = NR_OK;
    if (fstat(fileno(f), &about) != 0 || !S_ISREG(about.st_mode) || about.st_size > PAGE_MOST)
        code = nr_fail(err, NR_BAD, path, 0, "is no page of a size that can be read");
    else if (!(text = malloc((size_t)about.st_size + 1)))
        code = nr_fail(err, NR_BAD, path, 0, "not enough memory");
    else if ((length = fread(text, 1, (size_t)about.st_size, f)) == 0 || ferror(f))
        code = nr_fail(err, NR_BAD, path, 0, "is empty or cannot be read");
    (void)fclose(f);
    if (code == NR_OK) {
        text[length] = '\0';
        code = nr_packed_parse(text, length, path, out, err);
    }
    free(text);
    return code;
}
