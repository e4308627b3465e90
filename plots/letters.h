/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How wide a text is in a picture, before gnuplot draws it: so that names are wrapped or cut to the
 * room there is, not to a count of letters. Widths are those of DejaVu Sans, the widest of the
 * common sans-serif fonts and the one of a plain Debian; others leave a little air. */
#ifndef NR_PLOTS_LETTERS_H
#define NR_PLOTS_LETTERS_H

#include <stddef.h>

/* Width in px of text in letters of that many px. */
double nr_text_px(const char *text, double px);

/* Copies text cut to the room, cleaned, with an ellipsis where cut. Returns to. */
char *nr_text_cut(char *to, size_t size, const char *text, double px, double room_px);
/* The same, keeping the end: names of runs differ there. */
char *nr_text_cut_front(char *to, size_t size, const char *text, double px, double room_px);
/* The same, keeping both ends: names of builds differ anywhere. */
char *nr_text_cut_middle(char *to, size_t size, const char *text, double px, double room_px);

/* The same so that names which differ stay apart: what all of them begin with gives way first.
 * at: the byte from which text differs from the others (nr_text_differs_at). The beginning and what
 * stands from there on are kept, an ellipsis for what is between. */
char *nr_text_cut_apart(char *to, size_t size, const char *text, double px, double room_px,
                        size_t at);
/* The byte of the first character in which text differs from the other; 0 when they are the same.
 */
size_t nr_text_differs_at(const char *text, const char *other);

/* How many bytes of text make a line that fits the room: to the last blank in it, or all that fits
 * of a word longer than a line; at least one character. A number and its unit stay together. */
size_t nr_text_line(const char *text, double px, double room_px);

#endif
