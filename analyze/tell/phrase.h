/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sentences with blanks: the one way from a number of an answer to words.
 *
 * A pattern is the sentence as it is read, with blanks in braces; a number in it is in SI and keeps
 * all its digits until it is written, in the units wanted, rounded once:
 *
 *   {0 temperature .1f}        number[0] as a temperature with one decimal, and its unit
 *   {0 temperature .1f bare}   the same without the unit
 *   {0 difference +.0f}        with a sign also when positive
 *   {0 water .3g}              three significant digits, no trailing zeros
 *   {0 minutes u2}             to two significant digits of its standard uncertainty number[2],
 *                              minutes to tenths at most
 *   {=1000 irradiance .0f}     a number that is exact as written, in SI
 *   {0 contact}                how long until hot water burns: "about 3 minutes", from seconds
 *   {0 span}                   a length of time: "71 minutes", from three hours on "3 h 25 min"
 *   {0#time|times}             one word for 1, another for any other number
 *   {1|none|some|many}         number[1] chooses: 0 the first, 1 the second
 *   {a} {b} {c}                names: of a channel, a build, a folder
 *
 * Kinds are those of nr_shown (nr_shown_word); decimals are those of the SI text and move by the
 * nearest power of ten of the factor in other units (nr_display_place). `own` is the kind that the
 * blanks bring with them. A choice holds no blanks. ASCII but for what names bring.
 */
#ifndef NR_TELL_PHRASE_H
#define NR_TELL_PHRASE_H

#include "analyze/tell/display.h"

#define NR_BLANK_NUMBERS 12
#define NR_BLANK_NAMES 3

typedef struct nr_blanks {
    double number[NR_BLANK_NUMBERS];
    const char *name[NR_BLANK_NAMES]; /* NULL: empty */
    nr_shown own;
} nr_blanks;

/* A text that grows by sentences; cuts what does not fit, always terminated. */
typedef struct nr_phrase {
    char *text;
    size_t size, used;
    nr_units units;
} nr_phrase;

/* Starts an empty text. */
nr_phrase nr_phrase_begin(char *text, size_t size, nr_units units);

/* Appends. What is no blank after all is written as "{?}", so that it is seen. */
void nr_phrase_say(nr_phrase *phrase, const char *pattern, const nr_blanks *blanks);

/* nr_phrase_say with its blanks in place: NR_SAY(&p, "{a}: {0 area .2f}", .name = {x}, .number =
 * {y}). */
#define NR_SAY(phrase, pattern, ...) nr_phrase_say(phrase, pattern, &(nr_blanks){__VA_ARGS__})

/* A number alone, as {0 KIND FORMAT bare} writes it; format as in a pattern: ".1f", "+.0f", ".3g".
 * NAN: "?". Returns room. */
#define NR_INTERIM 48
char *nr_interim(char room[NR_INTERIM], nr_shown what, nr_units units, const char *format,
                 double si);

#endif
