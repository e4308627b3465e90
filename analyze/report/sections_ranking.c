/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ranking of a page about more than two builds. */
#include "analyze/report/html.h"
#include "analyze/report/sections.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <stdio.h>

/* "74.7 ± 4.6": half of the 95 % interval. */
static void cell(nr_page *page, nr_shown what, const nr_quantity *q, const char *unknown)
{
    char value[NR_ROUNDED], half[NR_ROUNDED];
    nr_quantity d = nr_display_quantity(what, page->units, q);
    double wide = (d.hi95 - d.lo95) / 2;
    int place = nr_round_place(wide, 2);
    if (q->known)
        fprintf(page->to, "<td><strong>%s</strong>&nbsp;\u00b1&nbsp;%s</td>",
                nr_round_text(d.value, place, value), nr_round_text(wide, place, half));
    else
        fprintf(page->to, "<td class=\"unknown\">%s</td>", unknown);
}

static void row(nr_page *page, const nr_compare *c, const nr_rank *r)
{
    char range[32];
    nr_tell_rank(range, sizeof range, r);
    fputs("<tr><th scope=\"row\">", page->to);
    nr_html_text(page->to, c->label[r->build]);
    fprintf(page->to, "</th><td>%s</td><td>%s</td>", range, r->letters[0] ? r->letters : "\u2013");
    cell(page, NR_SHOWN_MINUTES, &c->heat_up[r->build].time_s, "does not get there");
    cell(page, NR_SHOWN_NUMBER, &c->build[r->build]->eta0, "not determined");
    cell(page, NR_SHOWN_COLLECTOR_LOSS, &c->build[r->build]->a1, "not determined");
    fputs("</tr>\n", page->to);
}

void nr_page_ranking(nr_page *page, const nr_compare *c)
{
    char text[NR_TELL];
    nr_tell_ranking(text, sizeof text, c);
    /* A long table leaves less room for the picture on a printed sheet. */
    fprintf(page->to, "<h2 id=\"ranking\"%s>Who heats up first</h2>\n",
            c->builds > 12 ? " class=\"long\"" : "");
    fputs("<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Ranking\">"
          "<table class=\"ranking\"><thead><tr><th scope=\"col\">build</th>"
          "<th scope=\"col\">rank, 95&nbsp;%</th><th scope=\"col\">group</th>"
          "<th scope=\"col\">heat-up, min</th><th scope=\"col\">",
          page->to);
    nr_html_words(page->to, "eta0");
    fputs("</th><th scope=\"col\">", page->to);
    nr_html_words(page->to, "a1");
    fputs(", <span class=\"unit\">", page->to);
    nr_html_text(page->to, nr_display_of(NR_SHOWN_COLLECTOR_LOSS, page->units)->pretty);
    fputs("</span></th></tr></thead>\n<tbody>\n", page->to);
    for (size_t i = 0; i < c->builds; i++)
        row(page, c, &c->rank[i]);
    fputs("</tbody></table></div>\n", page->to);
    nr_html_paragraph(page->to, "fine", text);
    nr_tell_compare_day(text, sizeof text, &c->day, page->units);
    nr_html_paragraph(page->to, "fine", text);
}
