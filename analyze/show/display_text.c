/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sentences of answers in the units wanted.
 *
 * Answers word their sentences in SI, with computed numbers marked (answer/figure.h) so that they
 * still have all their digits. Instead of a second wording of every sentence, numbers that carry a
 * known unit are converted where they stand. Works on words: a unit word (or two, "m2
 * K/W") converts the number before it and, across "to", "and", "..", brackets and confidence
 * levels, the numbers of the same list.
 */
#include "analyze/answer/figure.h"
#include "analyze/show/display.h"
#include "analyze/show/round.h"
#include "logger/base/text.h"
#include "logger/base/units.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WORDS 480 /* more than the longest sentence of an answer has */

typedef struct unit_word {
    const char *text;
    nr_shown what;
    double si; /* the answers' unit for this kind, in one of these */
} unit_word;

typedef struct word {
    const char *start;
    size_t length;
    /* inside the word: opening punctuation, a mark, the number, closing punctuation */
    size_t head, number, number_length;
    bool is_number;
    bool marked;
    nr_figure_mark mark;
    bool convert;
    const struct unit_word *unit; /* it is one, or the one that speaks for this number */
    size_t unit_length;           /* 0: not a unit word itself */
} word;

/* Longer ones first where one begins with another. */
static const unit_word unit_words[] = {
    {"W/(m2 K2)", NR_SHOWN_LOSS_SLOPE, 1},
    {"J/(m3 K)", NR_SHOWN_WIND_LOSS, 1},
    {"W/(m2 K)", NR_SHOWN_COLLECTOR_LOSS, 1},
    {"kJ/(m2 K)", NR_SHOWN_CAPACITY, 1e3},
    {"J/(m2 K)", NR_SHOWN_CAPACITY, 1},
    {"m2 K/W", NR_SHOWN_REDUCED, 1},
    {"W/m2", NR_SHOWN_IRRADIANCE, 1},
    {"W/K", NR_SHOWN_STORE_LOSS, 1},
    {"L/(min m2)", NR_SHOWN_AREA_FLOW, 1},
    {"L/min", NR_SHOWN_FLOW, 1},
    {"degC", NR_SHOWN_TEMPERATURE, 1},
    {"m/s", NR_SHOWN_SPEED, 1},
    {"kPa", NR_SHOWN_PRESSURE, 1e3},
    {"MJ", NR_SHOWN_ENERGY, 1e6},
    {"kJ", NR_SHOWN_ENERGY, 1e3},
    {"kg", NR_SHOWN_WATER, 1},
    {"m2", NR_SHOWN_AREA, 1},
    {"K", NR_SHOWN_DIFFERENCE, 1},
    {"L", NR_SHOWN_WATER, NR_WATER_KG_L},
    {"W", NR_SHOWN_POWER, 1},
    {"m", NR_SHOWN_LENGTH, 1},
};

nr_shown nr_shown_of_unit(const char *unit, double *scale)
{
    *scale = 1;
    if (unit[0] == '\0')
        return NR_SHOWN_PERCENT;
    for (size_t i = 0; i < sizeof unit_words / sizeof *unit_words; i++) {
        if (strcmp(unit_words[i].text, unit) == 0) {
            *scale = unit_words[i].si;
            return unit_words[i].what;
        }
    }
    return NR_SHOWN_NUMBER;
}

static bool ends_word(char c)
{
    return c == '\0' || strchr(" ,.;:)!?", c) != NULL;
}

static const unit_word *unit_at(const char *text)
{
    for (size_t i = 0; i < sizeof unit_words / sizeof *unit_words; i++) {
        size_t n = strlen(unit_words[i].text);
        if (strncmp(text, unit_words[i].text, n) == 0 && ends_word(text[n]))
            return &unit_words[i];
    }
    return NULL;
}

static void read_number(word *w)
{
    const char *s = w->start;
    size_t head = 0;
    while (head < w->length && s[head] == '(')
        head++;
    const char *mark = memchr(s, NR_FIGURE_OPEN, w->length); /* "+-" may stand before one */
    w->marked = mark != NULL && nr_figure_at(mark, &w->mark);
    if (w->marked)
        head = (size_t)(mark - s);
    size_t number = w->marked ? (size_t)(w->mark.read - s) : head, i = number;
    if (i < w->length && (s[i] == '-' || s[i] == '+'))
        i++;
    size_t digits = i;
    while (i < w->length && (isdigit((unsigned char)s[i]) || (s[i] == '.' && i + 1 < w->length &&
                                                              isdigit((unsigned char)s[i + 1]))))
        i++;
    size_t tail = i;
    while (tail < w->length && strchr("),;:", s[tail]) != NULL)
        tail++;
    w->head = head;
    w->number = number;
    w->number_length = i - number;
    w->is_number = i > digits && tail == w->length;
}

static size_t split(const char *text, word *words)
{
    size_t n = 0;
    const char *p = text;
    while (*p != '\0' && n < WORDS) {
        while (*p == ' ')
            p++;
        if (*p == '\0')
            break;
        word *w = &words[n++];
        *w = (word){.start = p};
        const unit_word *unit = unit_at(p);
        if (unit != NULL) {
            w->unit = unit;
            w->unit_length = strlen(unit->text);
            p += w->unit_length;
        }
        while (*p != ' ' && *p != '\0')
            p++;
        w->length = (size_t)(p - w->start);
        read_number(w);
    }
    return n;
}

static bool is(const word *w, const char *text)
{
    return w->length == strlen(text) && strncmp(w->start, text, w->length) == 0;
}

/* Does word i continue a list or an interval? "and" does only in "between 5 and 10 K". */
static bool joins(const word *words, size_t i)
{
    static const char *const joining[] = {"to", "..", "+-", "(95", "%:", "%"};
    for (size_t k = 0; k < sizeof joining / sizeof *joining; k++)
        if (is(&words[i], joining[k]))
            return true;
    return is(&words[i], "and") && i >= 2 && is(&words[i - 2], "between");
}

/* Marks the numbers a unit word speaks for; false when there is none, and then it is no unit
 * ("class K"). */
static bool mark_numbers(word *words, size_t unit)
{
    bool any = false, gap = false;
    for (size_t i = unit; i-- > 0;) {
        bool level = is(&words[i], "(95");
        if (!level && words[i].is_number && !words[i].convert) {
            /* Two bare numbers side by side are no list; a bracket or a joining word makes one. */
            bool bracket = words[i + 1].start[0] == '(';
            if (any && !gap && !bracket)
                break;
            words[i].convert = any = true;
            words[i].unit = words[unit].unit;
            gap = false;
        } else if (any && joins(words, i)) {
            gap = true;
        } else {
            break;
        }
    }
    return any;
}

static int decimals_of(const char *number)
{
    const char *point = strchr(number, '.');
    return point == NULL ? 0 : (int)strlen(point + 1);
}

/* As fine as it was written, to the nearest decade: 40 kg is 10.6 gal, 1000 W/m2 317. */
static int place_of(int decimals, double factor)
{
    return -(int)floor(log10(pow(10.0, -decimals) * factor) + 0.5);
}

#define NUMBER (NR_ROUNDED + 1) /* with a sign before it */

static void put_marked(char to[NUMBER], const nr_figure_mark *mark, double shown, double factor)
{
    char text[NR_ROUNDED];
    if (mark->significant)
        (void)nr_plain_text(shown, mark->digits, text);
    else
        (void)nr_round_text(shown, place_of(mark->digits, factor), text);
    (void)snprintf(to, NUMBER, "%s%s", mark->plus && text[0] != '-' ? "+" : "", text);
}

static void put_number(char to[NUMBER], const word *w, nr_units units)
{
    const nr_display *d = nr_display_of(w->unit->what, units);
    double factor = w->unit->si * d->factor, written = 0.0;
    if (w->marked) {
        put_marked(to, &w->mark, w->mark.value * factor + d->offset, factor);
        return;
    }
    char digits[64];
    size_t n = w->number_length < sizeof digits - 1 ? w->number_length : sizeof digits - 1;
    memcpy(digits, w->start + w->number, n);
    digits[n] = '\0';
    (void)nr_parse_double(digits, &written); /* read_number let only a number through */
    (void)nr_round_text(written * factor + d->offset, place_of(decimals_of(digits), factor), to);
}

static int put_word(char *to, size_t size, const word *w, nr_units units)
{
    if (w->convert && w->unit_length > 0)
        return snprintf(to, size, "%s%.*s", nr_display_of(w->unit->what, units)->plain,
                        (int)(w->length - w->unit_length), w->start + w->unit_length);
    size_t tail = w->convert ? w->number + w->number_length : w->number;
    char number[NUMBER] = "";
    if (w->convert)
        put_number(number, w, units);
    return snprintf(to, size, "%.*s%s%.*s", (int)w->head, w->start, number, (int)(w->length - tail),
                    w->start + tail);
}

void nr_display_text(char *to, size_t size, const char *text, nr_units units)
{
    if (size == 0)
        return;
    word *words = units == NR_UNITS_US ? calloc(WORDS, sizeof *words) : NULL;
    if (words == NULL) {
        nr_figure_strip(to, size, text);
        return;
    }
    size_t n = split(text, words), used = 0;
    for (size_t i = 0; i < n; i++)
        if (words[i].unit_length > 0)
            words[i].convert = mark_numbers(words, i);
    to[0] = '\0';
    for (size_t i = 0; i < n && used + 2 < size; i++) {
        if (i > 0)
            to[used++] = ' ';
        int wrote = put_word(to + used, size - used, &words[i], units);
        used += wrote > 0 ? (size_t)wrote : 0;
    }
    nr_figure_strip(to, size, to); /* what may be left of a mark that was cut off */
    free(words);
}
