/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Links of a page made by the test itself, by the words of packed.h, RFC 4648 (base64) and RFC 1952
 * (gzip, with stored blocks of RFC 1951): what is taken, to the byte, and what is not. */
#include "logger/packed/packed.h"
#include "tests/unit/near.h"

#include <stdbool.h>
#include <stdint.h>
#include <sys/stat.h>
#include <unistd.h>

#define MOST 300000

static unsigned char gz[MOST + 100];
static char page[MOST * 2], content[MOST];
static nr_err err;

/* CRC of RFC 1952, section 8, bit by bit. */
static uint32_t crc_of(const char *bytes, size_t count)
{
    uint32_t crc = 0xffffffffu;
    for (size_t i = 0; i < count; i++) {
        crc ^= (unsigned char)bytes[i];
        for (int bit = 0; bit < 8; bit++)
            crc = crc & 1u ? crc >> 1 ^ 0xedb88320u : crc >> 1;
    }
    return ~crc;
}

static size_t put_32(unsigned char *to, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> 8 * i);
    return 4;
}

/* A member of stored blocks; returns its length. */
static size_t member(const char *bytes, size_t count)
{
    static const unsigned char head[10] = {0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 255};
    size_t n = sizeof head, at = 0;
    memcpy(gz, head, sizeof head);
    do {
        size_t some = count - at < 60000 ? count - at : 60000;
        gz[n++] = at + some == count; /* the last block */
        gz[n++] = (unsigned char)(some & 255);
        gz[n++] = (unsigned char)(some >> 8);
        gz[n++] = (unsigned char)(~some & 255);
        gz[n++] = (unsigned char)(~some >> 8 & 255);
        memcpy(gz + n, bytes + at, some);
        n += some;
        at += some;
    } while (at < count);
    n += put_32(gz + n, crc_of(bytes, count));
    return n + put_32(gz + n, (uint32_t)count);
}

/* RFC 4648, section 4. */
static char *base64(char *to, const unsigned char *bytes, size_t count)
{
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < count; i += 3) {
        uint32_t three = (uint32_t)bytes[i] << 16;
        three |= i + 1 < count ? (uint32_t)bytes[i + 1] << 8 : 0;
        three |= i + 2 < count ? bytes[i + 2] : 0;
        *to++ = letters[three >> 18];
        *to++ = letters[three >> 12 & 63];
        *to++ = i + 1 < count ? letters[three >> 6 & 63] : '=';
        *to++ = i + 2 < count ? letters[three & 63] : '=';
    }
    return to;
}

typedef struct packed_link {
    const char *run, *folder, *file, *bytes, *sum; /* NULL: what is right */
    size_t length;                                 /* of content */
    size_t more;                                   /* bytes behind the member */
} packed_link;

/* Behind what the page holds. */
static void add_link(const packed_link *l)
{
    char sum[NR_PACKED_DIGEST], count[30], *to = page + strlen(page);
    nr_packed_digest(content, l->length, sum);
    snprintf(count, sizeof count, "%zu", l->length);
    to += sprintf(to,
                  "<a class=\"record\" data-run=\"%s\" data-folder=\"%s\" data-file=\"%s\" "
                  "data-bytes=\"%s\" data-sha256=\"%s\" download=\"x\" "
                  "href=\"data:application/gzip;base64,",
                  l->run ? l->run : "1", l->folder ? l->folder : "f", l->file ? l->file : "rig.ini",
                  l->bytes ? l->bytes : count, l->sum ? l->sum : sum);
    to = base64(to, gz, member(content, l->length) + l->more);
    strcpy(to, "\">x</a>\n");
}

static nr_packed *parsed(void)
{
    nr_packed *p = NULL;
    err.text[0] = '\0';
    return nr_packed_parse(page, strlen(page), "p.html", &p, &err) == NR_OK ? p : NULL;
}

static void begin(void)
{
    strcpy(page, "<!DOCTYPE html>\n");
    for (size_t i = 0; i < sizeof content; i++)
        content[i] = (char)(i * 31 + i / 251);
}

/* A run of both of its files, the first of which is this link. */
static nr_packed *taken(const packed_link *first)
{
    packed_link second = {.run = first->run, .file = "readings.csv", .length = 5};
    begin();
    add_link(first);
    add_link(&second);
    return parsed();
}

/* Around every size at which room for it grows. */
START_TEST(sizes)
{
    static const size_t of[] = {0,      1,      2,      3,      100,    59999,  60000,  60001,
                                65533,  65534,  65535,  65536,  65537,  65538,  131071, 131072,
                                131073, 196606, 196607, 196608, 196609, 196610, 262144};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_packed *p = taken(&(packed_link){.length = of[i]});
        ck_assert_msg(p, "%zu: %s", of[i], err.text);
        const nr_packed_file *f = nr_packed_find(p, 1, "rig.ini");
        ck_assert_uint_eq(f->length, of[i]);
        ck_assert(memcmp(f->bytes, content, of[i]) == 0 && f->bytes[of[i]] == '\0');
        ck_assert(p->runs == 1 && p->files == 2);
        nr_packed_free(p);
    }
}
END_TEST

/* A byte more or less than is said, a member with something behind it, another sum. */
START_TEST(not_what_was_said)
{
    static const size_t of[] = {1, 7, 65535, 65536, 70000};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int by = -1; by < 2; by++) {
            char said[30];
            snprintf(said, sizeof said, "%zu", of[i] + (size_t)by);
            nr_packed *p = taken(&(packed_link){.length = of[i], .bytes = said});
            ck_assert_msg((p != NULL) == (by == 0), "%zu by %d", of[i], by);
            ck_assert(p || strstr(err.text, "rig.ini of run 1 is damaged"));
            ck_assert(p || err.line == 2);
            nr_packed_free(p);
        }
    for (size_t more = 1; more < 4; more++)
        ck_assert_ptr_null(taken(&(packed_link){.length = 10, .more = more}));
    ck_assert_ptr_null(taken(&(packed_link){.length = 10, .sum = ""}));
    ck_assert_ptr_null(taken(&(packed_link){.length = 10, .sum = "00"}));
}
END_TEST

/* FIPS 180-4, examples of the standard: SHA-256 of "abc", and of nothing (from memory). */
START_TEST(digests)
{
    char hex[NR_PACKED_DIGEST];
    nr_packed_digest("abc", 3, hex);
    ck_assert_str_eq(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    nr_packed_digest("", 0, hex);
    ck_assert_str_eq(hex, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}
END_TEST

/* Runs from 1 to 64, files of a run folder, sizes up to the most; names without a path. */
START_TEST(heads)
{
    static char longest[500];
    static const struct {
        const char *run, *folder, *file, *bytes, *is; /* is: the folder's name; NULL: refused */
    } of[] = {
        {"1", "a", "rig.ini", NULL, "a"},
        {"0", "a", "rig.ini", NULL, NULL},
        {"65", "a", "rig.ini", NULL, NULL},
        {"1x", "a", "rig.ini", NULL, NULL},
        {"", "a", "rig.ini", NULL, NULL},
        {"1", "/x/y/z/", "rig.ini", NULL, "z"},
        {"1", "..", "rig.ini", NULL, "run"},
        {"1", "a&amp;b&lt;c&gt;d&quot;e", "rig.ini", NULL, "a&b<c>d\"e"},
        {"1", "&amp;amp;&am&", "rig.ini", NULL, "&amp;&am&"},
        {"1", "", "rig.ini", NULL, "run"},
        {"1", "a", "rig.in", NULL, NULL},
        {"1", "a", "rig.ini2", NULL, NULL},
        {"1", "a", "../rig.ini", NULL, NULL},
        {"1", "a", "", NULL, NULL},
        {"1", "a", "rig.ini", "-1", NULL},
        {"1", "a", "rig.ini", "268435457", NULL},
        {"1", "a", "rig.ini", "x", NULL},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_packed *p = taken(&(packed_link){.run = of[i].run,
                                            .folder = of[i].folder,
                                            .file = of[i].file,
                                            .bytes = of[i].bytes,
                                            .length = 3});
        ck_assert_msg((p != NULL) == (of[i].is != NULL), "row %zu: %s", i, err.text);
        if (p)
            ck_assert_str_eq(p->file[0].folder, of[i].is);
        else
            ck_assert_msg(strstr(err.text, "did not write") && err.line == 2, "row %zu: %s", i,
                          err.text);
        nr_packed_free(p);
    }
    /* the most is a size like any other: only what is there is not so much */
    ck_assert_ptr_null(taken(&(packed_link){.bytes = "268435456", .length = 3}));
    ck_assert_ptr_nonnull(strstr(err.text, "damaged"));
    for (size_t length = 398; length < 402; length++) { /* an attribute is below 400 letters */
        memset(longest, 'x', length);
        longest[length] = '\0';
        nr_packed *p = taken(&(packed_link){.folder = longest, .length = 3});
        ck_assert_msg((p != NULL) == (length < 400), "%zu", length);
        nr_packed_free(p);
    }
    begin(); /* each attribute has to be there */
    add_link(&(packed_link){.length = 3});
    static const char *const needed[] = {"data-run",   "data-folder", "data-file",
                                         "data-bytes", "data-sha256", "href"};
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        char *at = strstr(page, needed[i]);
        *at = 'X';
        ck_assert_ptr_null(parsed());
        ck_assert_msg(strstr(err.text, "did not write"), "%s: %s", needed[i], err.text);
        *at = needed[i][0];
    }
}
END_TEST

/* Every run up to the last has its rig and its readings; none has a file twice. */
START_TEST(whole_runs)
{
    static const char *const runs[] = {"1", "2", "3"}, *const files[] = {"rig.ini", "readings.csv"};
    for (unsigned has = 0; has < 64; has++) {
        char wanted[80] = "";
        unsigned last = 0;
        begin();
        for (unsigned bit = 6; bit-- > 0;) /* the last run comes first */
            if (has >> bit & 1) {
                add_link(
                    &(packed_link){.run = runs[bit / 2], .file = files[bit % 2], .length = bit});
                last = last > bit / 2 + 1 ? last : bit / 2 + 1;
            }
        for (unsigned bit = 0; bit < 2 * last && !wanted[0]; bit++)
            if (!(has >> bit & 1))
                snprintf(wanted, sizeof wanted, "run %u of the page has no %s", bit / 2 + 1,
                         files[bit % 2]);
        nr_packed *p = parsed();
        ck_assert_msg((p != NULL) == (has > 0 && !wanted[0]), "%x: %s", has, err.text);
        ck_assert(p || strstr(err.text, has ? wanted : "holds no record"));
        if (p) {
            ck_assert_uint_eq(p->runs, last);
            for (unsigned bit = 0; bit < 6; bit++) {
                const nr_packed_file *f = nr_packed_find(p, bit / 2 + 1, files[bit % 2]);
                ck_assert((f != NULL) == (has >> bit & 1) && (!f || f->length == bit));
            }
        }
        nr_packed_free(p);
    }
    begin();
    add_link(&(packed_link){.length = 3});
    add_link(&(packed_link){.length = 4});
    ck_assert_ptr_null(parsed());
    ck_assert_ptr_nonnull(strstr(err.text, "run 1 has rig.ini twice"));
    ck_assert_int_eq(err.line, 3);
}
END_TEST

/* --- a folder again ------------------------------------------------------------------------------
 */

static char top[] = "/tmp/noonrun-packed-XXXXXX", folder[64];

static long size_of(const char *name)
{
    char path[150];
    struct stat about;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return stat(path, &about) == 0 ? (long)about.st_size : -1;
}

static void add_how(const char *how)
{
    strcpy(content, how);
    add_link(&(packed_link){.file = "imported/how.ini", .length = strlen(how)});
}

/* Files of the run that is asked for, but for the results; with the table of an import under its
 * own name; nothing where something fails. */
START_TEST(unpacked)
{
    static const struct {
        const char *how;
        nr_code code;
    } of[] = {{"table = my.csv\n", NR_OK}, {"table = ../my.csv\n", NR_BAD}, {NULL, NR_OK}};
    strcpy(top, "/tmp/noonrun-packed-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    for (size_t i = 0; i < 3; i++) {
        static const char *const files[] = {"rig.ini",     "readings.csv", "notes.csv",
                                            "adapter.log", "results.json", "imported/table"};
        snprintf(folder, sizeof folder, "%s/run%zu", top, i);
        begin();
        for (size_t k = 0; k < 6; k++)
            add_link(&(packed_link){.file = files[k], .length = 10 + k});
        if (of[i].how)
            add_how(of[i].how);
        nr_packed *p = parsed();
        ck_assert_msg(p, "%s", err.text);
        nr_code code = nr_packed_unpack(p, 1, folder, &err);
        ck_assert_int_eq(code, of[i].code);
        for (size_t k = 0; k < 4; k++)
            ck_assert_int_eq(size_of(files[k]), code == NR_OK ? 10 + (long)k : -1);
        ck_assert_int_eq(size_of("results.json"), -1);
        ck_assert_int_eq(size_of("imported/my.csv"), i == 0 ? 15 : -1);
        ck_assert_int_eq(size_of("imported/how.ini"), i == 0 ? (long)strlen(of[i].how) : -1);
        ck_assert((size_of(".") >= 0) == (code == NR_OK));
        if (code == NR_OK) { /* never over one that is there */
            ck_assert_int_eq(nr_packed_unpack(p, 1, folder, &err), NR_BAD);
            ck_assert_int_eq(size_of("rig.ini"), 10);
        }
        nr_packed_free(p);
    }
    char command[100];
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {sizes,      not_what_was_said, digests, heads,
                                  whole_runs, unpacked,          NULL};
    return run_tests("packed_made", tests);
}
