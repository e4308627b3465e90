/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of words, each with a bar and a number for eta0 and for a1: of a budget, of a plan. Used by
 * plots/. */
#ifndef NR_PLOTS_BAR_ROWS_H
#define NR_PLOTS_BAR_ROWS_H

#include "plots/picture.h"

typedef struct nr_bar_row {
    char words[400];  /* over two lines where needed */
    char more[160];   /* a second line of its own, grey; or "" */
    double value[2];  /* length of the bars, in the units shown; NAN: not determined */
    char less[2][24]; /* behind the number: "(\u221212 %)" */
    bool hollow[2];   /* another quantity than the rest of its column */
    bool total;       /* what the others are held against */
} nr_bar_row;

/* The headings of the two columns, at that height of the canvas, and of the words. */
void nr_bar_headings(nr_picture *p, double y, const char *words);
/* From top downwards, each row so high; the longest bar is that of `most`. line: what a dashed line
 * marks across all rows; NAN: none. */
void nr_bar_rows(nr_picture *p, const nr_bar_row *row, size_t count, double top, double high,
                 const double most[2], const double line[2]);
/* 95 % half-widths of eta0 and a1, in the units shown. */
void nr_bar_halves(const nr_picture *p, double eta0, double a1, double out[2]);

#endif
