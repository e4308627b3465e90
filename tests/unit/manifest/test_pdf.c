/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two PDFs of the same drawing have one checksum, whenever they were written; of nothing else is
 * that so. The files are as ISO 32000-1 has them, 7.5.7 and 7.5.8, in the order in which cairo 1.18
 * writes its own. */
#include "analyze/manifest/manifest.h"
#include "tests/unit/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#define FILE_MOST 4096

typedef struct pdf {
    char bytes[FILE_MOST];
    size_t length;
} pdf;

static void add(pdf *p, const void *bytes, size_t length)
{
    ck_assert_uint_le(p->length + length, sizeof p->bytes);
    memcpy(p->bytes + p->length, bytes, length);
    p->length += length;
}

static void add_text(pdf *p, const char *text)
{
    add(p, text, strlen(text));
}

/* PDF 1.5: what says the date is in a stream of objects, packed at one of zlib's. */
static pdf packed_pdf(const char *drawing, const char *title, const char *date, int level)
{
    pdf p = {.length = 0};
    char inside[500], line[200];
    unsigned char stream[600], index[40];
    uLongf length = sizeof stream, index_length = sizeof index;
    (void)snprintf(inside, sizeof inside,
                   "1 0 2 30\n<< /Type /Font /Name (%s) /Widths [ 636.2 0 317.8 0 0 636.2 950.1 0 "
                   "317.8 0 636.2 "
                   "0 317.8 950.1 0 636.2 0 0 317.8 636.2 0 317.8 0 950.1 0 ] >>\n<< /Producer "
                   "(cairo)\n   /CreationDate (%s)\n>>\n",
                   title, date);
    ck_assert_int_eq(compress2(stream, &length, (unsigned char *)inside, strlen(inside), level),
                     Z_OK);
    (void)snprintf(line, sizeof line, "places %lu", length);
    ck_assert_int_eq(compress(index, &index_length, (unsigned char *)line, strlen(line)), Z_OK);
    add_text(&p, "%PDF-1.5\n4 0 obj\n");
    add_text(&p, drawing);
    add_text(
        &p,
        "\nendobj\n10 0 obj\n<< /Type /ObjStm\n   /Length 18 0 R\n   /N 2\n   /First 9\n   /Filter "
        "/FlateDecode\n>>\nstream\n");
    add(&p, stream, length);
    (void)snprintf(
        line, sizeof line,
        "\nendstream\nendobj\n18 0 obj\n   %lu\nendobj\n19 0 obj\n<< /Type /XRef\n>>\nstream\n",
        length);
    add_text(&p, line);
    add(&p, index, index_length);
    (void)snprintf(line, sizeof line, "\nendstream\nendobj\nstartxref\n%lu\n%%%%EOF\n",
                   200 + length);
    add_text(&p, line);
    return p;
}

static pdf open_pdf(const char *drawing, const char *date)
{
    pdf p = {.length = 0};
    add_text(&p, "%PDF-1.4\n4 0 obj\n");
    add_text(&p, drawing);
    add_text(&p, "\nendobj\n5 0 obj\n<< /Producer (cairo)\n   /CreationDate (");
    add_text(&p, date);
    add_text(&p, ")\n>>\nendobj\nstartxref\n99\n%%EOF\n");
    return p;
}

/* With a copy of just that length: what reads beyond its end is seen by the sanitizer. */
static const char *digest(const char *name, pdf p)
{
    static char hex[2][NR_PACKED_DIGEST]; /* two at a time are held against each other */
    static int next = 0;
    char *copy = malloc(p.length);
    ck_assert_ptr_nonnull(copy);
    memcpy(copy, p.bytes, p.length);
    next = !next;
    nr_manifest_digest(name, copy, p.length, hex[next]);
    free(copy);
    return hex[next];
}

#define MORNING "D:20261127081500Z"
#define EVENING "D:20261127201533Z"

START_TEST(the_date_does_not_count)
{
    pdf morning = packed_pdf("0 0 m 1 1 l", "DejaVu", MORNING, 9),
        evening = packed_pdf("0 0 m 1 1 l", "DejaVu", EVENING, 1);
    ck_assert_uint_ne(morning.length, evening.length); /* as it comes with the packing */
    ck_assert_str_eq(digest("e.pdf", morning), digest("E.PDF", evening));
    pdf stored = packed_pdf("0 0 m 1 1 l", "DejaVu", EVENING, 0); /* its words in the open */
    ck_assert_str_eq(digest("e.pdf", morning), digest("e.pdf", stored));
    ck_assert_str_ne(digest("e.txt", morning), digest("e.txt", evening)); /* of a PDF only */
    ck_assert_str_eq(digest("e.pdf", open_pdf("0 0 m", MORNING)),
                     digest("e.pdf", open_pdf("0 0 m", EVENING)));
}
END_TEST

START_TEST(all_else_does)
{
    pdf whole = packed_pdf("0 0 m 1 1 l", "DejaVu", MORNING, 9);
    char was[NR_PACKED_DIGEST];
    strcpy(was, digest("e.pdf", whole));
    ck_assert_str_ne(was, digest("e.pdf", packed_pdf("0 0 m 1 2 l", "DejaVu", MORNING, 9)));
    ck_assert_str_ne(was, digest("e.pdf", packed_pdf("0 0 m 1 1 l", "DejaVv", MORNING, 9)));
    ck_assert_str_ne(digest("e.pdf", open_pdf("0 0 m", MORNING)),
                     digest("e.pdf", open_pdf("1 0 m", MORNING)));
    pdf more = whole; /* something added behind, as a later change of a PDF is */
    add_text(&more, "4 0 obj\n9 9 m\nendobj\nstartxref\n300\n%%EOF\n");
    ck_assert_str_ne(was, digest("e.pdf", more));
    pdf between = whole; /* and with the old end taken away */
    between.length -= strlen("%%EOF\n");
    add_text(&between, "4 0 obj\n9 9 m\nendobj\nstartxref\n300\n%%EOF\n");
    ck_assert_str_ne(was, digest("e.pdf", between));
}
END_TEST

/* Cut anywhere, or with a byte of it changed behind the drawing: nobody's but its own. */
START_TEST(cut_and_garbled)
{
    pdf whole = packed_pdf("0 0 m 1 1 l", "DejaVu", MORNING, 9);
    char was[NR_PACKED_DIGEST];
    strcpy(was, digest("e.pdf", whole));
    for (size_t length = 1; length < whole.length; length++) {
        pdf cut = whole;
        cut.length = length;
        ck_assert_str_ne(was, digest("e.pdf", cut));
    }
    const char *stream = memmem(whole.bytes, whole.length, "stream\n", 7);
    for (size_t at = (size_t)(stream + 7 - whole.bytes), n = 0; n < 40; n++, at++) {
        pdf garbled = whole;
        garbled.bytes[at] = (char)(garbled.bytes[at] ^ 0x55);
        ck_assert_str_ne(was, digest("e.pdf", garbled));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_date_does_not_count, all_else_does, cut_and_garbled, NULL};
    return run_tests("pdf", tests);
}
