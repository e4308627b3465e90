/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A page in the making. Used by report/ only. */
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

/* Units and program of this page's pictures. */
nr_plot_style nr_page_style(const nr_page *page);
/* Figure with its caption. drawn: what drawing the SVG at nr_page_picture's path returned. */
const char *nr_page_picture(nr_page *page, char *path, size_t size);
nr_code nr_page_figure(nr_page *page, nr_code drawn, const char *alternative, const char *caption);
/* A portrait one that a telephone shows instead of the next figure. */
nr_code nr_page_phone_figure(nr_page *page, nr_code drawn, const char *alternative,
                             const char *caption);

#endif
