/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/encoding.h"

#include <errno.h>
#include <iconv.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const struct {
    const char *bytes;
    size_t length;
    const char *encoding;
} marks[] = {
    {"\xef\xbb\xbf", 3, "UTF-8"}, {"\xff\xfe\0\0", 4, "UTF-32LE"}, {"\0\0\xfe\xff", 4, "UTF-32BE"},
    {"\xff\xfe", 2, "UTF-16LE"},  {"\xfe\xff", 2, "UTF-16BE"},
};

static const struct {
    const char *bytes;
    size_t length;
    const char *what;
} strangers[] = {
    {"PK\x03\x04", 4, "a workbook or an archive"},
    {"\xd0\xcf\x11\xe0", 4, "an old workbook"},
    {"%PDF", 4, "a PDF document"},
    {"\x89PNG", 4, "a picture"},
    {"\xff\xd8\xff", 3, "a picture"},
    {"\x1f\x8b", 2, "a compressed file"},
    {"SQLite format 3", 15, "a data base"},
};

static bool starts(const char *bytes, size_t length, const char *with, size_t with_length)
{
    return length >= with_length && memcmp(bytes, with, with_length) == 0;
}

/* UTF-16 without a mark: of Western text every other byte is NUL. */
static const char *sixteen_bits(const char *bytes, size_t length)
{
    size_t looked = length < 2000 ? length & ~(size_t)1 : 2000, even = 0, odd = 0;
    for (size_t i = 0; i + 1 < looked; i += 2) {
        even += bytes[i] == '\0';
        odd += bytes[i + 1] == '\0';
    }
    if (looked < 8 || length % 2 != 0)
        return NULL;
    if (odd * 10 > looked / 2 * 8 && even * 10 < looked / 2)
        return "UTF-16LE";
    if (even * 10 > looked / 2 * 8 && odd * 10 < looked / 2)
        return "UTF-16BE";
    return NULL;
}

/* iconv from one encoding to UTF-8. False: some byte is none of this encoding; errno. */
static bool convert(const char *encoding, const char *bytes, size_t length, nr_decoded *out)
{
    iconv_t how = iconv_open("UTF-8", encoding);
    if (how == (iconv_t)-1)
        return false;
    size_t room = length * 3 + 16, left = room;
    char *text = malloc(room + 1), *to = text;
    char *from = (char *)(size_t)bytes; /* iconv's prototype wants it, but only reads */
    size_t rest = length;
    bool good = text && iconv(how, &from, &rest, &to, &left) != (size_t)-1;
    int why = errno;
    iconv_close(how);
    if (!good) {
        free(text);
        errno = why;
        return false;
    }
    out->length = room - left;
    out->text = text;
    out->text[out->length] = '\0';
    out->encoding = encoding;
    return true;
}

/* Windows-1252 leaves five bytes open; there Latin-1 has controls, which nothing shows. */
static bool decode_as(const char *encoding, const char *bytes, size_t length, nr_decoded *out)
{
    if (encoding)
        return convert(encoding, bytes, length, out);
    return convert("UTF-8", bytes, length, out) ||
           (errno != ENOMEM && (convert("WINDOWS-1252", bytes, length, out) ||
                                convert("ISO-8859-1", bytes, length, out)));
}

/* "\r\n" and a lone "\r" to "\n", in place. */
static void plain_line_ends(nr_decoded *d)
{
    size_t to = 0;
    for (size_t i = 0; i < d->length; i++) {
        char c = d->text[i];
        if (c == '\r') {
            if (i + 1 < d->length && d->text[i + 1] == '\n')
                continue;
            c = '\n';
        }
        d->text[to++] = c;
    }
    d->length = to;
    d->text[to] = '\0';
}

static bool looks_like_a_page(const char *text)
{
    text += strspn(text, " \t\n");
    return strncasecmp(text, "<!doctype", 9) == 0 || strncasecmp(text, "<html", 5) == 0 ||
           strncasecmp(text, "<?xml", 5) == 0;
}

nr_code nr_decode(const char *bytes, size_t length, const char *path, nr_decoded *out, nr_err *err)
{
    const char *encoding = NULL;
    size_t skip = 0;
    *out = (nr_decoded){0};
    for (size_t i = 0; i < sizeof strangers / sizeof *strangers; i++)
        if (starts(bytes, length, strangers[i].bytes, strangers[i].length))
            return nr_fail(err, NR_BAD, path, 0,
                           "is %s, not a table in plain text; save or export it as CSV",
                           strangers[i].what);
    for (size_t i = 0; i < sizeof marks / sizeof *marks && !encoding; i++)
        if (starts(bytes, length, marks[i].bytes, marks[i].length)) {
            encoding = marks[i].encoding;
            skip = marks[i].length;
        }
    if (!encoding)
        encoding = sixteen_bits(bytes, length);
    /* A mark of UTF-8 before other bytes: files put together by hand. */
    const char *stated = encoding && strcmp(encoding, "UTF-8") == 0 ? NULL : encoding;
    if (!decode_as(stated, bytes + skip, length - skip, out))
        return nr_fail(err, NR_BAD, path, 0, "is no text that can be read%s%s; save it as UTF-8",
                       encoding ? " as " : "", encoding ? encoding : "");
    plain_line_ends(out);
    const char *problem = NULL;
    if (memchr(out->text, '\0', out->length))
        problem = "holds NUL bytes: it is no table in plain text; export it as CSV";
    else if (out->text[strspn(out->text, " \t\n")] == '\0')
        problem = "is empty";
    else if (looks_like_a_page(out->text))
        problem = "is a page, not a table in plain text; copy the table into a spreadsheet and "
                  "save it as CSV";
    if (!problem)
        return NR_OK;
    free(out->text);
    *out = (nr_decoded){0};
    return nr_fail(err, NR_BAD, path, 0, "%s", problem);
}
