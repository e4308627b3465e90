/* SPDX-License-Identifier: GPL-3.0-or-later */
/* HTML text. Used by report/ only. */
#ifndef NR_REPORT_HTML_H
#define NR_REPORT_HTML_H

#include "analyze/tell/display.h"

#include <stdio.h>

/* Escaped for text and for attributes in double quotes; cleaned (logger/base/text.h). */
void nr_html_text(FILE *to, const char *text);

/* The same, and the ASCII of our own sentences set properly: "W/(m2 K)" -> "W/(m² K)", "degC" ->
 * "°C", "eta0" -> η with a subscript, "+-" -> "±", "->" an arrow. */
void nr_html_words(FILE *to, const char *text);

/* <p class="...">words</p>; nothing for an empty text. class may be NULL. */
void nr_html_paragraph(FILE *to, const char *class_name, const char *text);

/* Table of quantities: opening with its heading, rows, closing. label is our own words. */
void nr_html_quantities(FILE *to, const char *caption);
void nr_html_quantity(FILE *to, const char *label, nr_shown what, nr_units units,
                      const nr_quantity *q);
void nr_html_quantities_group(FILE *to, const char *label);
void nr_html_quantities_end(FILE *to);

/* A section with its heading, folded away until it is tapped; id is where the contents lead. */
void nr_html_fold(FILE *to, const char *id, const char *heading);
void nr_html_fold_end(FILE *to);

/* The few large numbers on top: opening, one value with its 95 % half-width, closing. */
void nr_html_card(FILE *to);
void nr_html_card_value(FILE *to, const char *label, nr_shown what, nr_units units,
                        const nr_quantity *q);
void nr_html_card_end(FILE *to);

/* Document up to the heading: title and h1 are text from files. And its end. */
void nr_html_begin(FILE *to, const char *title);
void nr_html_end(FILE *to);

#endif
