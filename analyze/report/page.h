/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A page in the making and the sections both kinds of page share. Used by report/ only. */
#ifndef NR_REPORT_PAGE_H
#define NR_REPORT_PAGE_H

#include "analyze/report/report.h"
#include "plots/plots.h"

#include <stdio.h>

typedef struct nr_page {
    FILE *to;
    const nr_report_style *style;
    nr_units units;
    char folder[64]; /* where pictures are drawn before they enter the page */
    int pictures;
    nr_err *err;
} nr_page;

/* Figure with its caption. drawn: what drawing the SVG at nr_page_picture's path returned. */
const char *nr_page_picture(nr_page *page, char *path, size_t size);
nr_code nr_page_figure(nr_page *page, nr_code drawn, const char *alternative, const char *caption);

/* Sections; each writes its own heading. */
void nr_page_numbers(nr_page *page, const nr_fit *fit);
nr_code nr_page_fit_pictures(nr_page *page, const nr_fit *fit);
void nr_page_learned(nr_page *page, const nr_fit *fit);
nr_code nr_page_quality(nr_page *page, const nr_report_runs *builds, size_t count);
void nr_page_rig(nr_page *page, const nr_report_runs *builds, size_t count);
void nr_page_method(nr_page *page, bool comparison);
void nr_page_warnings(nr_page *page, const char *heading, const nr_warnings *warnings);
void nr_page_cautions(nr_page *page);
void nr_page_checks(nr_page *page, const nr_report_runs *builds, size_t count);

#endif
