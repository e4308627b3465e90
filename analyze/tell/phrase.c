/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"

#include "analyze/tell/round.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* From here on a time in minutes is hard to read. */
#define LONG_S (180 * 60.0)
/* The tables of burns end at this many seconds. */
#define SHORTEST_CONTACT_S 2.0
#define LONG_CONTACT_S 90.0
#define WORD 24

nr_phrase nr_phrase_begin(char *text, size_t size, nr_units units)
{
    if (size > 0)
        text[0] = '\0';
    return (nr_phrase){.text = text, .size = size, .units = units};
}

static void put(nr_phrase *p, const char *text, size_t length)
{
    size_t room = p->used + 1 < p->size ? p->size - p->used - 1 : 0;
    size_t n = length < room ? length : room;
    if (n == 0)
        return;
    memcpy(p->text + p->used, text, n);
    p->used += n;
    p->text[p->used] = '\0';
}

static void put_text(nr_phrase *p, const char *text)
{
    put(p, text, strlen(text));
}

#define NUMBER_TEXT 48

/* A number alone, as {0 KIND FORMAT bare} writes it. NAN: "?". Returns room. */
static char *number_text(char room[NUMBER_TEXT], nr_shown what, nr_units units, const char *format,
                         double si)
{
    char text[NR_ROUNDED];
    bool plus = format[0] == '+';
    int digits = atoi(format + plus + 1);
    double shown = nr_display_value(what, units, si);
    if (format[strlen(format) - 1] == 'g')
        (void)nr_plain_text(shown, digits, text);
    else
        (void)nr_round_text(shown, nr_display_place(what, units, digits), text);
    (void)snprintf(room, NUMBER_TEXT, "%s%s", plus && text[0] != '-' && text[0] != '?' ? "+" : "",
                   text);
    return room;
}

/* -- one blank: {what is between} */

typedef struct blank {
    const char *at, *end; /* inside the braces */
    double value;
    const nr_blanks *blanks;
} blank;

/* The next word, "" at the end. */
static const char *next(blank *b, char word[WORD])
{
    size_t n = 0;
    while (b->at < b->end && *b->at == ' ')
        b->at++;
    for (; b->at < b->end && *b->at != ' '; b->at++)
        if (n + 1 < WORD)
            word[n++] = *b->at;
    word[n] = '\0';
    return word;
}

/* Part number `which` of "a|b|c"; the last one when there are not so many. */
static void choose(nr_phrase *p, const blank *b, size_t which)
{
    const char *from = b->at;
    for (;;) {
        const char *bar = memchr(from, '|', (size_t)(b->end - from));
        if (which == 0 || bar == NULL) {
            put(p, from, (size_t)((bar != NULL ? bar : b->end) - from));
            return;
        }
        from = bar + 1;
        which--;
    }
}

static void put_span(nr_phrase *p, double seconds)
{
    char text[NUMBER_TEXT];
    long minutes = isfinite(seconds) ? lround(seconds / 60) : 0;
    if (!isfinite(seconds))
        (void)snprintf(text, sizeof text, "never");
    else if (seconds < LONG_S)
        (void)snprintf(text, sizeof text, "%ld minutes", minutes);
    else if (minutes % 60 == 0)
        (void)snprintf(text, sizeof text, "%ld h", minutes / 60);
    else
        (void)snprintf(text, sizeof text, "%ld h %ld min", minutes / 60, minutes % 60);
    put_text(p, text);
}

static void put_contact(nr_phrase *p, double seconds)
{
    char text[NUMBER_TEXT], n[NR_ROUNDED];
    if (seconds < SHORTEST_CONTACT_S)
        (void)snprintf(text, sizeof text, "less than 2 seconds");
    else if (seconds >= LONG_CONTACT_S)
        (void)snprintf(text, sizeof text, "about %s minutes", nr_round_text(seconds / 60, 0, n));
    else
        (void)snprintf(text, sizeof text, "about %s seconds", nr_round_text(seconds, 0, n));
    put_text(p, text);
}

static bool is_format(const char *f)
{
    f += f[0] == '+';
    return f[0] == '.' && isdigit((unsigned char)f[1]) && (f[2] == 'f' || f[2] == 'g') &&
           f[3] == '\0';
}

/* {0 temperature .1f bare} behind the 0. */
static bool put_number(nr_phrase *p, blank *b)
{
    char kind[WORD], format[WORD], bare[WORD], text[NUMBER_TEXT];
    nr_shown what;
    next(b, kind);
    if (strcmp(kind, "span") == 0 || strcmp(kind, "contact") == 0) {
        (kind[0] == 's' ? put_span : put_contact)(p, b->value);
        return true;
    }
    if (strcmp(kind, "own") == 0)
        what = b->blanks->own;
    else if (!nr_shown_of_word(kind, &what))
        return false;
    next(b, format);
    next(b, bare);
    if (format[0] == 'u' && isdigit((unsigned char)format[1])) {
        double u = b->blanks->number[(format[1] - '0') % NR_BLANK_NUMBERS];
        int place = nr_round_place(nr_display_difference(what, p->units, u), 2);
        if (what == NR_SHOWN_MINUTES && place > 1) /* nobody's watch tells more */
            place = 1;
        (void)nr_round_text(nr_display_value(what, p->units, b->value), place, text);
    } else if (is_format(format)) {
        number_text(text, what, p->units, format, b->value);
    } else {
        return false;
    }
    put_text(p, text);
    const char *unit = nr_display_of(what, p->units)->plain;
    if (bare[0] == '\0' && unit[0] != '\0') {
        put_text(p, " ");
        put_text(p, unit);
    }
    return bare[0] == '\0' || strcmp(bare, "bare") == 0;
}

static bool put_blank(nr_phrase *p, blank *b)
{
    char c = *b->at, *rest;
    if (c >= 'a' && c < 'a' + NR_BLANK_NAMES && b->at + 1 == b->end) {
        const char *name = b->blanks->name[c - 'a'];
        put_text(p, name != NULL ? name : "");
        return true;
    }
    if (c == '=') {
        b->value = strtod(b->at + 1, &rest); /* of a pattern, not of a user */
        b->at = rest;
        return put_number(p, b);
    }
    if (!isdigit((unsigned char)c))
        return false;
    size_t index = (size_t)strtoul(b->at, &rest, 10);
    if (index >= NR_BLANK_NUMBERS)
        return false;
    b->value = b->blanks->number[index];
    b->at = rest;
    if (*b->at != '|' && *b->at != '#')
        return put_number(p, b);
    bool plural = *b->at++ == '#';
    double which = plural ? b->value != 1 : b->value;
    choose(p, b, which > 0 ? (size_t)which : 0);
    return true;
}

void nr_phrase_say(nr_phrase *p, const char *pattern, const nr_blanks *blanks)
{
    while (*pattern != '\0') {
        size_t plain = strcspn(pattern, "{");
        put(p, pattern, plain);
        pattern += plain;
        const char *end = *pattern != '\0' ? strchr(pattern, '}') : NULL;
        if (end == NULL) {
            put_text(p, *pattern != '\0' ? "{?}" : "");
            return;
        }
        blank b = {.at = pattern + 1, .end = end, .blanks = blanks};
        if (!put_blank(p, &b))
            put_text(p, "{?}");
        pattern = end + 1;
    }
}
