/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/fold.h"

#include "logger/base/text.h"

#include <ctype.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* U+00C0 to U+017F, the letter without its accent; '*': in the table below. */
static const char latin[] =
    "AAAAAA*CEEEEIIIIDNOOOOO*OUUUUY**aaaaaa*ceeeeiiiidnooooo*ouuuuy*y"
    "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIi**JjKkkLlLlLlLlLlNnNnNnnNnOoOoOo**RrRrRr"
    "SsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

static const struct {
    uint32_t sign;
    const char *as;
} signs[] = {
    {0xa0, " "},
    {0xb0, "deg"},
    {0xba, "deg"},
    {0x2da, "deg"},
    {0xb2, "2"},
    {0xb3, "3"},
    {0xb9, "1"},
    {0x207b, "-"},
    {0x2212, "-"},
    {0x2013, "-"},
    {0x2014, "-"},
    {0xb7, "."},
    {0x22c5, "."},
    {0xd7, "x"},
    {0xf7, "/"},
    {0xb5, "u"},
    {0x3bc, "u"},
    {0x3a9, "ohm"},
    {0x2126, "ohm"},
    {0x394, "delta "},
    {0xc6, "Ae"},
    {0xe6, "ae"},
    {0xdf, "ss"},
    {0xde, "Th"},
    {0xfe, "th"},
    {0x132, "IJ"},
    {0x133, "ij"},
    {0x152, "Oe"},
    {0x153, "oe"},
    {0x202f, " "},
    {0x2009, " "},
    {0x2007, " "},
    {0x200a, " "},
    {0x2002, " "},
    {0x2003, " "},
    {0x33a1, "m2"},
    {0x2103, "degC"},
    {0x2109, "degF"},
    {0x2215, "/"},
    {0x2044, "/"},
    {0x2032, "'"},
    {0x2018, "'"},
    {0x2019, "'"},
    {0x201c, "\""},
    {0x201d, "\""},
    {0x200b, ""},
    {0x200e, ""},
    {0xad, ""},
    {0xfeff, ""},
    {0x60c, ","},
    /* A sign that was lost in an earlier conversion: before C or F it was the degree sign. */
    {0xfffd, "deg"},
};

/* One character; the text is UTF-8, made by nr_decode. */
static uint32_t next(const unsigned char **p)
{
    uint32_t c = *(*p)++;
    int more = c >= 0xf0 ? 3 : c >= 0xe0 ? 2 : c >= 0xc0 ? 1 : 0;
    if (more > 0)
        c &= 0x3fu >> more;
    for (; more > 0 && (**p & 0xc0) == 0x80; more--)
        c = c << 6 | (*(*p)++ & 0x3fu);
    return c;
}

static const char *ascii_of(uint32_t c, char one[2])
{
    for (size_t i = 0; c >= 0x80 && i < sizeof signs / sizeof *signs; i++)
        if (signs[i].sign == c)
            return signs[i].as;
    one[0] = c < 0x20 ? ' ' : c < 0x7f ? (char)c : '?';
    if (c >= 0xc0 && c < 0xc0 + sizeof latin - 1)
        one[0] = latin[c - 0xc0];
    one[1] = '\0';
    return one;
}

void nr_fold(const char *text, char *out, size_t size)
{
    size_t used = 0;
    char one[2];
    if (size == 0)
        return;
    for (const unsigned char *p = (const unsigned char *)text; *p;) {
        if (*p >= 0x20 && *p < 0x7f) { /* nearly all of any table */
            if (used + 1 >= size)
                break;
            out[used++] = (char)*p++;
            continue;
        }
        /* UTF-8 that was once taken for Latin-1: the degree sign behind its own first byte. */
        if (strncmp((const char *)p, "\xc3\x82\xc2", 3) == 0)
            p += 2;
        const char *as = ascii_of(next(&p), one);
        size_t length = strlen(as);
        if (used + length >= size)
            break;
        memcpy(out + used, as, length);
        used += length;
    }
    out[used] = '\0';
}

void nr_small(char *text)
{
    for (; *text; text++)
        *text = (char)tolower((unsigned char)*text);
}

static bool parts(char before, char here)
{
    bool letter = isalpha((unsigned char)here) != 0, was = isalpha((unsigned char)before) != 0;
    return letter != was || (islower((unsigned char)before) && isupper((unsigned char)here));
}

void nr_terms_of(const char *folded, nr_terms *out)
{
    out->count = 0;
    for (const char *p = folded; *p && out->count < NR_TERMS;) {
        if (!isalnum((unsigned char)*p)) {
            p++;
            continue;
        }
        char *to = out->term[out->count];
        size_t n = 0;
        do {
            if (n + 1 < NR_TERM)
                to[n++] = (char)tolower((unsigned char)*p);
            p++;
        } while (isalnum((unsigned char)*p) && !parts(p[-1], *p));
        to[n] = '\0';
        out->count++;
    }
}

bool nr_terms_have(const nr_terms *terms, const char *term)
{
    for (size_t i = 0; i < terms->count; i++)
        if (strcmp(terms->term[i], term) == 0)
            return true;
    return false;
}

static bool same_word(const char *term, const char *word, size_t length)
{
    size_t term_length = strlen(term);
    if (strncmp(term, word, length) == 0 &&
        (term_length == length || length >= 5 ||
         (length == 4 && strncmp(term + length, "temp", 4) == 0)))
        return true;
    return length >= 5 && term_length > length &&
           strncmp(term + term_length - length, word, length) == 0;
}

const char *nr_terms_any(const nr_terms *terms, const char *list)
{
    for (const char *word = list; *word; word += strspn(word, " ")) {
        size_t length = strcspn(word, " ");
        for (size_t i = 0; i < terms->count; i++)
            if (same_word(terms->term[i], word, length))
                return word;
        word += length;
    }
    return NULL;
}
