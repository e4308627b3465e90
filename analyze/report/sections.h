/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sections that both kinds of page share. Used by report/ only. */
#ifndef NR_REPORT_SECTIONS_H
#define NR_REPORT_SECTIONS_H

#include "analyze/report/page.h"

/* Sections; each writes its own heading. */
void nr_page_numbers(nr_page *page, const nr_fit *fit);
nr_code nr_page_fit_picture(nr_page *page, const nr_fit *fit);
nr_code nr_page_more_pictures(nr_page *page, const nr_fit *fit);
void nr_page_learned(nr_page *page, const nr_fit *fit);
/* Of more than two builds: one table, fastest first. */
void nr_page_ranking(nr_page *page, const nr_compare *compare);
nr_code nr_page_quality(nr_page *page, const nr_report_runs *builds, size_t count);
void nr_page_rig(nr_page *page, const nr_report_runs *builds, size_t count);
void nr_page_method(nr_page *page, bool comparison);
/* The verdict on the answer, right under the heading; nothing where it is good. */
void nr_page_trust(nr_page *page, const nr_trust *trust);
void nr_page_warnings(nr_page *page, const char *heading, const nr_warnings *warnings);
void nr_page_cautions(nr_page *page);
/* The files with their sums, and the files themselves; results: the answer as JSON. */
nr_code nr_page_checks(nr_page *page, const nr_report_runs *builds, size_t count,
                       const char *results, size_t size);

#endif
