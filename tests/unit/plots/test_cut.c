/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names and sentences cut to their room: on drawn texts of narrow, wide, combined and foreign
 * characters, each cut is found again by trying every number of characters. Widths of single
 * characters are taken as they are: test_axes has them from the font's table. */
#include "plots/letters.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define ELLIPSIS "\u2026"
#define MOST 60

/* A text, character by character. */
typedef struct letters {
    size_t count;
    size_t at[MOST + 1]; /* the byte of each; behind the last, the length */
    double wide[MOST];   /* px */
    char text[5 * MOST];
} letters;

static double em; /* of an ellipsis */
static uint64_t seed;
static unsigned draw(unsigned below)
{
    return chance_below(&seed, below);
}

static void add(letters *t, const char *character, double px)
{
    t->at[t->count] = strlen(t->text);
    t->wide[t->count++] = nr_text_px(character, px);
    strcat(t->text, character);
    t->at[t->count] = strlen(t->text);
}

static const char *any_character(void)
{
    static const char *const others[] = {"\u00e9", "\u00df", "\u65e5", "\u20ac", "\u0416"};
    static char one[2];
    unsigned kind = draw(60); /* few foreign ones: their widths are dear */
    if (kind == 0)
        return others[draw(5)];
    one[0] = kind < 15 ? ' ' : (char)('!' + draw('~' - '!' + 1));
    return one;
}

static letters text_of(unsigned count, double px)
{
    letters t = {0};
    for (unsigned i = 0; i < count; i++)
        add(&t, any_character(), px);
    return t;
}

static double wide(const letters *t, size_t from, size_t to)
{
    double sum = 0;
    for (size_t i = from; i < to; i++)
        sum += t->wide[i];
    return sum;
}

/* How many characters of the beginning, from which one on the end, are at most so wide. */
static size_t most(const letters *t, double room)
{
    size_t n = t->count;
    while (n > 0 && wide(t, 0, n) > room)
        n--;
    return n;
}
static size_t from_where(const letters *t, double room)
{
    size_t from = 0;
    while (from < t->count && wide(t, from, t->count) > room)
        from++;
    return from;
}

/* Without blanks before an ellipsis. */
static size_t trimmed(const letters *t, size_t n)
{
    while (n > 0 && t->text[t->at[n - 1]] == ' ')
        n--;
    return n;
}

/* The characters before one, an ellipsis, those from another on. */
static const char *joined(const letters *t, size_t n, size_t from)
{
    static char to[6 * MOST];
    (void)snprintf(to, sizeof to, "%.*s" ELLIPSIS "%s", (int)t->at[n], t->text,
                   t->text + t->at[from]);
    return to;
}

static void is(const char *what, const char *got, const char *expected, const letters *t,
               double room)
{
    if (strcmp(got, expected) != 0) /* what says nothing when it holds costs nothing */
        ck_abort_msg("%s of \"%s\" (%g of %g px):\n\"%s\" for\n\"%s\"", what, t->text, room,
                     wide(t, 0, t->count), got, expected);
}

/* Where the cut itself changes, rooms a thousandth of a pixel apart: from both sides. */
static double room_for(const letters *t, double px)
{
    double room = draw(1000) * 0.0012 * wide(t, 0, t->count);
    if (draw(3) == 0 && t->count > 0)
        room = wide(t, 0, draw((unsigned)t->count) + 1) + (draw(2) ? em * px : 0) +
               (draw(2) ? 0.001 : -0.001);
    return room;
}

START_TEST(cut_at_one_place)
{
    for (int k = 0; k < 200; k++) {
        double px = 8 + draw(30);
        letters t = text_of(draw(40), px);
        double all = wide(&t, 0, t.count), ellipsis = em * px;
        double room = room_for(&t, px), half = (room - ellipsis) / 2;
        char to[300];
        if (k < 100)
            NEAR(nr_text_px(t.text, px), all, 1e-9 * (1 + all));
        if (fabs(all - room) < 1e-6)
            continue;
        bool fits = all < room;
        (void)nr_text_cut(to, sizeof to, t.text, px, room);
        is("cut", to, fits ? t.text : joined(&t, trimmed(&t, most(&t, room - ellipsis)), t.count),
           &t, room);
        (void)nr_text_cut_front(to, sizeof to, t.text, px, room);
        is("front", to, fits ? t.text : joined(&t, 0, from_where(&t, room - ellipsis)), &t, room);
        (void)nr_text_cut_middle(to, sizeof to, t.text, px, room);
        is("middle", to, fits ? t.text : joined(&t, most(&t, half), from_where(&t, half)), &t,
           room);
    }
}
END_TEST

/* Just as wide as the room is not too wide. */
START_TEST(whole_in_its_own_width)
{
    for (int k = 0; k < 60; k++) {
        letters t = text_of(1 + draw(30), 16);
        double all = nr_text_px(t.text, 16);
        char to[300], small[8];
        is("cut", nr_text_cut(to, sizeof to, t.text, 16, all), t.text, &t, all);
        is("front", nr_text_cut_front(to, sizeof to, t.text, 16, all), t.text, &t, all);
        is("middle", nr_text_cut_middle(to, sizeof to, t.text, 16, all), t.text, &t, all);
        is("apart", nr_text_cut_apart(to, sizeof to, t.text, 16, all, 3), t.text, &t, all);
        ck_assert_uint_eq(nr_text_line(t.text, 16, all * (1 + 1e-9)), strlen(t.text));
        (void)nr_text_cut(small, sizeof small, t.text, 16, all); /* never beyond its end */
        ck_assert_uint_lt(strlen(small), sizeof small);
    }
}
END_TEST

START_TEST(where_two_differ)
{
    for (int k = 0; k < 400; k++) {
        letters a = text_of(draw(20), 10), b = {0};
        size_t same = a.count > 0 ? draw((unsigned)a.count + 1) : 0;
        b = a;
        b.count = same;
        b.text[b.at[same]] = '\0';
        for (unsigned more = draw(6); more > 0; more--)
            add(&b, any_character(), 10);
        /* The first character that is not the same, by its bytes. */
        size_t i = 0;
        while (i < a.count && i < b.count && a.at[i + 1] == b.at[i + 1] &&
               memcmp(a.text + a.at[i], b.text + b.at[i], a.at[i + 1] - a.at[i]) == 0)
            i++;
        size_t expected = i == a.count && i == b.count ? 0 : a.at[i];
        ck_assert_msg(nr_text_differs_at(a.text, b.text) == expected, "\"%s\", \"%s\": %zu for %zu",
                      a.text, b.text, nr_text_differs_at(a.text, b.text), expected);
    }
    /* Within a character: \u00e9 and \u00e8 share their first byte. */
    ck_assert_uint_eq(nr_text_differs_at("caf\u00e9 1", "caf\u00e8 1"), 3);
}
END_TEST

/* The beginning to a third of the room; the end, as much as fits behind it or from the character
 * before the one that differs (a whole word rather than its last three letters); nothing of that
 * where the plain cut tells it as well. */
static void apart_is(const letters *t, double px, double room, size_t differs)
{
    double ellipsis = em * px;
    size_t plain = most(t, room - ellipsis), head = trimmed(t, most(t, room / 3));
    double rest = room - wide(t, 0, head) - ellipsis;
    size_t from = from_where(t, rest), word = from;
    while (word < t->count && t->text[t->at[word]] != ' ')
        word++;
    if (word < t->count && t->at[word] <= t->at[from] + 3 && word < differs)
        from = word + 1;
    if (differs < from && differs > 0)
        from = differs - 1;
    char to[300], end[300], expected[700];
    (void)nr_text_cut_apart(to, sizeof to, t->text, px, room, t->at[differs]);
    if (differs < plain || from <= head) {
        is("plain", to, nr_text_cut(expected, sizeof expected, t->text, px, room), t, room);
        return;
    }
    (void)nr_text_cut(end, sizeof end, t->text + t->at[from], px, rest);
    (void)snprintf(expected, sizeof expected, "%.*s" ELLIPSIS "%s", (int)t->at[head], t->text, end);
    is("apart", to, expected, t, room);
}

START_TEST(names_stay_apart)
{
    for (int k = 0; k < 250; k++) {
        double px = 8 + draw(20);
        letters t = text_of(2 + draw(38), px);
        double room = wide(&t, 0, t.count) * (0.15 + 0.0008 * draw(1000));
        if (draw(4) == 0) /* a third of it just at a character's end */
            room = 3 * (wide(&t, 0, 1 + draw((unsigned)t.count)) + (draw(2) ? 0.001 : -0.001));
        if (room < wide(&t, 0, t.count) - 1e-6)
            apart_is(&t, px, room, draw((unsigned)t.count));
    }
}
END_TEST

/* What may not be parted from what stands before the blank: a word of up to three letters from a
 * number, anything within the brackets of a unit, behind \u00b1, behind the degrees of a number. */
static const struct {
    const char *first, *second;
    bool bound;
} pairs[] = {{"20", "\u00b0C", true},
             {"6", "min", true},
             {"20", "mins", false},
             {"at", "min", false},
             {"0", "kPa", true},
             {"9", "K", true},
             {"\u00b1", "4", true},
             {"46.18\u00b0", "N", true},
             {"x\u00b0", "North", false},
             {"W/(m\u00b2", "Kelvin)", true},
             {"(m\u00b2", "Kelvin)", false},
             {"W/(m)", "Kelvin", false},
             {"1\u00b0", "North", true},
             {"a", "b", false},
             {"5", "", true},
             {"/(ab", "abcd", true},
             {":", "abc", false},
             {"0", "zzz", true},
             {"/", "ZZZ", false},
             {"3", "ZaA", true},
             {"3", "abcd", false},
             {"3", "ab5d", true},
             {"3", "abc5", true}};

START_TEST(lines_end_at_blanks)
{
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        char text[100];
        (void)snprintf(text, sizeof text, "words %s %s nnnnnnnn", pairs[i].first, pairs[i].second);
        char kept[100];
        (void)snprintf(kept, sizeof kept, "words %s %s", pairs[i].first, pairs[i].second);
        /* Room for all but the last letter of the second word: it goes to the next line. */
        if (pairs[i].second[0] == '\0')
            continue;
        double room = nr_text_px(kept, 10) - 0.5;
        size_t got = nr_text_line(text, 10, room);
        size_t expected = strlen("words") + (pairs[i].bound ? 0 : 1 + strlen(pairs[i].first));
        ck_assert_msg(got == expected, "\"%s\": %zu for %zu", text, got, expected);
    }
}
END_TEST

/* Words of letters only: the last blank that fits; a word longer than a line is cut anywhere, but
 * not before its first character. */
START_TEST(lines_of_drawn_words)
{
    for (int k = 0; k < 500; k++) {
        letters t = {0};
        for (unsigned i = 0, n = 1 + draw(30); i < n; i++) {
            const char one[] = {draw(5) ? (char)('a' + draw(26)) : ' ', '\0'};
            add(&t, i == 0 && one[0] == ' ' ? "\u65e5" : one, 12);
        }
        double room = 0.001 * draw(1000) * wide(&t, 0, t.count);
        size_t n = most(&t, room), blank = n;
        while (blank > 0 && t.text[t.at[blank]] != ' ')
            blank--;
        size_t expected = n == t.count ? n : blank > 0 ? blank : n > 0 ? n : 1;
        ck_assert_msg(nr_text_line(t.text, 12, room) == t.at[expected], "\"%s\" in %g: %zu for %zu",
                      t.text, room, nr_text_line(t.text, 12, room), t.at[expected]);
    }
}
END_TEST

static void set_up(void)
{
    seed = 7101;
    em = nr_text_px(ELLIPSIS, 1);
}
static void tear_down(void)
{
}

int main(void)
{
    const TTest *const tests[] = {cut_at_one_place,
                                  whole_in_its_own_width,
                                  where_two_differ,
                                  names_stay_apart,
                                  lines_end_at_blanks,
                                  lines_of_drawn_words,
                                  NULL};
    return run_tests_in("cut", tests, set_up, tear_down);
}
