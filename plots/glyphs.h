/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Letters for which no font is installed. gnuplot's cairo terminals draw the number of such a
 * letter in a box, at a size that belongs to no text: digits that cover the picture. */
#ifndef NR_PLOTS_GLYPHS_H
#define NR_PLOTS_GLYPHS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Ranges of characters, in no order. */
typedef struct nr_glyphs {
    uint32_t (*range)[2]; /* first, last */
    size_t count;
} nr_glyphs;

/* What the installed fonts have: "20-7e a0-1a9 1c0 ...", as fontconfig's fc-list writes it, added
 * to what is there. What is no number is passed over. False where memory ends. */
bool nr_glyphs_read(nr_glyphs *glyphs, const char *text);
/* The same asked of fc-list, which comes with gnuplot's terminals. False where it is not there or
 * tells nothing; then nothing is known. */
bool nr_glyphs_installed(nr_glyphs *glyphs);
void nr_glyphs_free(nr_glyphs *glyphs);

/* Whether a text has letters beyond those that pictures write themselves and every font has. */
bool nr_glyphs_wanted(const char *text);
/* Puts an empty square (or ?) in the place of each letter that no font has; the text gets no
 * longer. Returns how many. */
size_t nr_glyphs_replace(const nr_glyphs *glyphs, char *text);

#endif
