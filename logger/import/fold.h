/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of a table's heads as plain ASCII: what people and programs write in many ways. */
#ifndef NR_IMPORT_FOLD_H
#define NR_IMPORT_FOLD_H

#include <stdbool.h>
#include <stddef.h>

#define NR_FOLDED 160

/* UTF-8 to ASCII: accents off, "ß" to ss, degree signs to "deg", raised figures to figures, all
 * kinds of blanks to one blank; what has no ASCII form becomes '?'. Case stays. Cut to size. */
void nr_fold(const char *text, char *out, size_t size);

/* ASCII letters to small ones, in place. */
void nr_small(char *text);

#define NR_TERMS 24
#define NR_TERM 32

/* A head's words in small letters: parted at everything that is neither letter nor digit, between a
 * small letter and a capital, and between letters and digits ("TankTemp2": tank temp 2). */
typedef struct nr_terms {
    size_t count;
    char term[NR_TERMS][NR_TERM];
} nr_terms;

void nr_terms_of(const char *folded, nr_terms *out);
bool nr_terms_have(const nr_terms *terms, const char *term);

/* Does one of the words of `list` (parted by blanks) stand among the terms? Words of five letters
 * and more also as the beginning or end of a longer one ("speichertemperatur"); of four, only
 * before "temp". Returns the word's place in list, or NULL. */
const char *nr_terms_any(const nr_terms *terms, const char *list);

#endif
