/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Letters without their accents against the Unicode Character Database (the base letter of the
 * canonical decomposition, U+00C0 to U+017F, as Python's unicodedata has it); drawn texts folded,
 * cut and parted into words a second time, character by character. */
#include "logger/import/fold.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <ctype.h>
#include <stdint.h>

static uint64_t state = 8301;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

/* '.': has none, and is among those below or no letter of one sign. */
static const char base[] = "AAAAAA.CEEEEIIII.NOOOOO..UUUUY..aaaaaa.ceeeeiiii.nooooo..uuuuy.y"
                           "AaAaAaCcCcCcCcDd..EeEeEeEeEeGgGgGgGgHh..IiIiIiIiI...JjKk.LlLlLl."
                           "...NnNnNn...OoOoOo..RrRrRrSsSsSsSsTtTt..UuUuUuUuUuUuWwYyYZzZzZz.";

static const struct {
    uint32_t sign;
    const char *as;
} others[] = {
    {0xc6, "Ae"},
    {0xd0, "D"},
    {0xd7, "x"},
    {0xd8, "O"},
    {0xde, "Th"},
    {0xdf, "ss"},
    {0xe6, "ae"},
    {0xf0, "d"},
    {0xf7, "/"},
    {0xf8, "o"},
    {0xfe, "th"},
    {0x110, "D"},
    {0x111, "d"},
    {0x126, "H"},
    {0x127, "h"},
    {0x131, "i"},
    {0x132, "IJ"},
    {0x133, "ij"},
    {0x138, "k"},
    {0x13f, "L"},
    {0x140, "l"},
    {0x141, "L"},
    {0x142, "l"},
    {0x149, "n"},
    {0x14a, "N"},
    {0x14b, "n"},
    {0x152, "Oe"},
    {0x153, "oe"},
    {0x166, "T"},
    {0x167, "t"},
    {0x17f, "s"},
    {0xa0, " "},
    {0xad, ""},
    {0xb0, "deg"},
    {0xb2, "2"},
    {0xb3, "3"},
    {0xb5, "u"},
    {0xb7, "."},
    {0xb9, "1"},
    {0xba, "deg"},
    {0x2da, "deg"},
    {0x394, "delta "},
    {0x3a9, "ohm"},
    {0x3bc, "u"},
    {0x60c, ","},
    {0x2002, " "},
    {0x2003, " "},
    {0x2007, " "},
    {0x2009, " "},
    {0x200a, " "},
    {0x200b, ""},
    {0x200e, ""},
    {0x2013, "-"},
    {0x2014, "-"},
    {0x2018, "'"},
    {0x2019, "'"},
    {0x201c, "\""},
    {0x201d, "\""},
    {0x202f, " "},
    {0x2032, "'"},
    {0x2044, "/"},
    {0x207b, "-"},
    {0x2103, "degC"},
    {0x2109, "degF"},
    {0x2126, "ohm"},
    {0x2212, "-"},
    {0x2215, "/"},
    {0x22c5, "."},
    {0x33a1, "m2"},
    {0xfeff, ""},
    {0xfffd, "deg"},
    /* No ASCII form: the ends of UTF-8's lengths, and neighbours of the letters. */
    {0x80, "?"},
    {0xa3, "?"},
    {0xbf, "?"},
    {0x180, "?"},
    {0x7ff, "?"},
    {0x800, "?"},
    {0x416, "?"},
    {0x6c34, "?"},
    {0xffff, "?"},
    {0x10000, "?"},
    {0x1f321, "?"},
    {0x10ffff, "?"},
    {0x7f, "?"},
    {0x1f, " "},
    {'\t', " "},
    {'\n', " "},
};
#define OTHERS (sizeof others / sizeof *others)

/* The form of UTF-8 that RFC 3629 gives, section 3. */
static size_t encode(uint32_t c, char *out)
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    size_t bytes = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    for (size_t i = bytes; i-- > 1; c /= 64)
        out[i] = (char)(unsigned char)(128 + c % 64);
    out[0] = (char)(unsigned char)((bytes == 2 ? 192 : bytes == 3 ? 224 : 240) + c);
    return bytes;
}

/* One drawn character: its code and what it becomes. */
static uint32_t draw(char as[8])
{
    unsigned kind = drawn(3);
    uint32_t c = kind == 0 ? 0x20 + drawn(0x5f) : 0xc0 + drawn(0xc0);
    const char *shown = NULL;
    if (kind == 2) {
        unsigned k = drawn(OTHERS);
        c = others[k].sign;
        shown = others[k].as;
    }
    for (size_t i = 0; i < OTHERS && !shown; i++)
        shown = others[i].sign == c ? others[i].as : NULL;
    if (shown)
        snprintf(as, 8, "%s", shown);
    else
        snprintf(as, 8, "%c", kind == 0 ? (char)c : base[c - 0xc0]);
    return c;
}

START_TEST(every_letter)
{
    for (uint32_t c = 0xc0; c < 0x180; c++) {
        char text[8] = "", out[16], wanted[8];
        text[encode(c, text)] = '\0';
        nr_fold(text, out, sizeof out);
        snprintf(wanted, sizeof wanted, "%c", base[c - 0xc0]);
        for (size_t i = 0; i < OTHERS; i++)
            if (others[i].sign == c)
                snprintf(wanted, sizeof wanted, "%s", others[i].as);
        ck_assert_msg(strcmp(out, wanted) == 0, "U+%04X: %s, not %s", (unsigned)c, out, wanted);
    }
    for (size_t i = 0; i < OTHERS; i++) {
        char text[8] = "", out[16];
        text[encode(others[i].sign, text)] = '\0';
        nr_fold(text, out, sizeof out);
        ck_assert_msg(strcmp(out, others[i].as) == 0, "U+%04X: %s", (unsigned)others[i].sign, out);
    }
}
END_TEST

/* As many whole characters as there is room for. */
START_TEST(drawn_texts)
{
    for (int pass = 0; pass < 300; pass++) {
        char text[200] = "", as[8], wanted[300] = "", out[80];
        size_t count = drawn(30), used = 0, size = 1 + drawn(sizeof out);
        bool full = false;
        for (size_t i = 0; i < count; i++) {
            uint32_t c = draw(as);
            if (c == 0xb0 && drawn(2)) { /* encoded twice: its own first byte before it */
                memcpy(text + used, "\xc3\x82", 2);
                used += 2;
            }
            used += encode(c, text + used);
            full = full || strlen(wanted) + strlen(as) + 1 > size;
            if (!full)
                strcat(wanted, as);
        }
        text[used] = '\0';
        memset(out, '#', sizeof out);
        nr_fold(text, out, size);
        ck_assert_msg(strcmp(out, wanted) == 0, "%s\n%s\n%s in %zu", text, out, wanted, size);
        ck_assert(size == sizeof out || out[size] == '#');
    }
    char none = '#';
    nr_fold("x", &none, 0);
    ck_assert_int_eq(none, '#');
}
END_TEST

/* 0: neither; 1 small, 2 large letter, 3 figure */
static int class_of(char c)
{
    return c >= 'a' && c <= 'z' ? 1 : c >= 'A' && c <= 'Z' ? 2 : c >= '0' && c <= '9' ? 3 : 0;
}

START_TEST(parted_into_words)
{
    static const char signs[] = "abzAZ059 _(/";
    for (int pass = 0; pass < 300; pass++) {
        char text[120] = "", want[NR_TERMS][NR_TERM] = {""};
        size_t length = drawn(110), words = 0, inside = 0;
        unsigned stays = 1 + drawn(60); /* of one kind for so long */
        for (size_t i = 0; i < length; i++)
            text[i] = i > 0 && drawn(stays) > 0 ? text[i - 1] : signs[drawn(sizeof signs - 1)];
        for (size_t i = 0; i < length; i++) {
            int is = class_of(text[i]), was = i > 0 ? class_of(text[i - 1]) : 0;
            bool begins = is && (was == 0 || (is == 3) != (was == 3) || (was == 1 && is == 2));
            inside = begins ? 0 : inside;
            words += begins;
            if (is && words <= NR_TERMS && inside + 1 < NR_TERM)
                want[words - 1][inside++] = (char)(is == 2 ? text[i] - 'A' + 'a' : text[i]);
        }
        nr_terms got;
        nr_terms_of(text, &got);
        words = words < NR_TERMS ? words : NR_TERMS;
        ck_assert_msg(got.count == words, "%s: %zu of %zu", text, got.count, words);
        for (size_t i = 0; i < words; i++) {
            ck_assert_msg(strcmp(got.term[i], want[i]) == 0, "%s: %s", text, got.term[i]);
            ck_assert(nr_terms_have(&got, want[i]));
        }
        ck_assert(!nr_terms_have(&got, "q") && !nr_terms_have(&got, ""));
    }
}
END_TEST

static bool ends_with(const char *text, const char *end)
{
    size_t a = strlen(text), b = strlen(end);
    return a >= b && strcmp(text + a - b, end) == 0;
}

/* As fold.h says it. */
static bool is_word(const char *term, const char *word)
{
    size_t n = strlen(word);
    bool begins = strstr(term, word) == term;
    if (strcmp(term, word) == 0)
        return true;
    return (n >= 5 && (begins || ends_with(term, word))) ||
           (n == 4 && begins && strstr(term + n, "temp") == term + n);
}

START_TEST(words_of_a_list)
{
    static const char *const piece[] = {"temp", "tank", "water", "in", "luft", "sonne", "e", "air"};
    for (int pass = 0; pass < 600; pass++) {
        nr_terms terms = {.count = drawn(4)};
        char list[100] = "", copy[100], *rest = copy;
        for (size_t i = 0; i < terms.count; i++)
            for (unsigned k = 1 + drawn(3); k > 0; k--)
                strcat(terms.term[i], piece[drawn(8)]);
        for (unsigned k = drawn(5); k > 0; k--) {
            strcat(list, piece[drawn(8)]);
            strcat(list, drawn(2) ? piece[drawn(8)] : "");
            strcat(list, k > 1 ? " " : "");
        }
        strcpy(copy, list);
        const char *wanted = NULL;
        for (char *word; (word = strsep(&rest, " ")) != NULL && !wanted;)
            for (size_t i = 0; i < terms.count && *word; i++)
                wanted = is_word(terms.term[i], word) ? list + (word - copy) : wanted;
        ck_assert_msg(nr_terms_any(&terms, list) == wanted, "%s: %s", list, terms.term[0]);
    }
}
END_TEST

START_TEST(small)
{
    char text[] = "AZaz09[@`{";
    nr_small(text);
    ck_assert_str_eq(text, "azaz09[@`{");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_letter,    drawn_texts, parted_into_words,
                                  words_of_a_list, small,       NULL};
    return run_tests("fold_drawn", tests);
}
