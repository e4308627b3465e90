/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A page of lines and words in millimetres from its upper left corner, and its two forms. */
#ifndef NR_SHEET_PAPER_H
#define NR_SHEET_PAPER_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stdio.h>

typedef struct nr_mark {
    bool words;                 /* else a line */
    double x, y, x2, y2, width; /* line: width in mm; words: y of their base line */
    double size_mm;             /* of the letters */
    bool bold;
    char text[200];
} nr_mark;

#define NR_MARKS 700

typedef struct nr_paper {
    double width_mm, height_mm;
    size_t count;
    nr_mark mark[NR_MARKS]; /* what does not fit is left out: a page has room for less */
} nr_paper;

void nr_paper_line(nr_paper *page, double x, double y, double x2, double y2, double width);
void nr_paper_words(nr_paper *page, double x, double y, double size_mm, bool bold,
                    const char *format, ...) __attribute__((format(printf, 6, 7)));

/* Words wrapped to a width; returns the y below them. */
double nr_paper_paragraph(nr_paper *page, double x, double y, double width, double size_mm,
                          const char *text);

void nr_paper_svg(const nr_paper *page, FILE *to);
/* page[pages], all of one size. */
nr_code nr_paper_pdf(const nr_paper *page, size_t pages, FILE *to, const char *path, nr_err *err);

#endif
