/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a page says about one fit: numbers, pictures, stated inputs. */
#include "analyze/report/html.h"
#include "analyze/report/sections.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

#define WORDS 1200

void nr_page_numbers(nr_page *page, const nr_fit *fit)
{
    FILE *to = page->to;
    char text[WORDS];
    nr_html_quantities(to, "Values with their 95 % intervals; u is the standard uncertainty, from "
                           "the noise of the record and from the sensors");
    nr_html_quantity(to, "zero-loss efficiency, eta0", NR_SHOWN_NUMBER, page->units, &fit->eta0);
    if (fit->eta0_normal.known)
        nr_html_quantity(to, "the same in perpendicular sun", NR_SHOWN_NUMBER, page->units,
                         &fit->eta0_normal);
    nr_html_quantity(to, "loss coefficient, a1", NR_SHOWN_COLLECTOR_LOSS, page->units, &fit->a1);
    if (fit->a2.known)
        nr_html_quantity(to, "its growth with temperature, a2", NR_SHOWN_LOSS_SLOPE, page->units,
                         &fit->a2);
    nr_html_quantity(to, "effective heat capacity, a5", NR_SHOWN_CAPACITY, page->units, &fit->a5);
    nr_html_quantity(to, "loss of the container", NR_SHOWN_STORE_LOSS, page->units,
                     &fit->store_loss);
    nr_html_quantity(to, "efficiency of the run", NR_SHOWN_NUMBER, page->units,
                     &fit->run_efficiency);
    nr_html_quantity(to, "stagnation above the air, at least", NR_SHOWN_DIFFERENCE, page->units,
                     &fit->stagnation_K);
    nr_html_quantity(to, "time constant", NR_SHOWN_MINUTES, page->units, &fit->time_constant_s);
    nr_html_quantities_end(to);
    nr_tell_fit_basis(text, sizeof text, fit, page->units);
    nr_html_paragraph(to, "fine", text);
    nr_tell_fit_limits(text, sizeof text, fit, page->units);
    nr_html_paragraph(to, NULL, text);
    nr_tell_fit_range(text, sizeof text, fit, page->units);
    nr_html_paragraph(to, NULL, text);
    nr_tell_fit_incidence(text, sizeof text, fit);
    nr_html_paragraph(to, NULL, text);
    nr_tell_fit_energy(text, sizeof text, fit, page->units);
    nr_html_paragraph(to, NULL, text);
    nr_tell_fit_second_opinion(text, sizeof text, fit, page->units);
    nr_html_paragraph(to, NULL, text);
}

typedef nr_code (*picture_fn)(const nr_fit *, const char *, const nr_plot_style *, nr_err *);

/* A picture twice: its main panel in portrait for a telephone, and the whole. */
static nr_code both(nr_page *page, picture_fn draw, const nr_fit *fit, const char *alternative,
                    const char *phone_caption, const char *caption)
{
    char path[128];
    nr_plot_style style = nr_page_style(page);
    style.portrait = true;
    (void)nr_page_picture(page, path, sizeof path);
    nr_code code =
        nr_page_phone_figure(page, draw(fit, path, &style, page->err), alternative, phone_caption);
    style.portrait = false;
    if (code == NR_OK)
        code = nr_page_figure(page, draw(fit, path, &style, page->err), alternative, caption);
    return code;
}

nr_code nr_page_fit_picture(nr_page *page, const nr_fit *fit)
{
    char alternative[2 * WORDS], range[WORDS];
    nr_tell_fit_result(alternative, sizeof alternative, fit, page->units);
    nr_tell_fit_range(range, sizeof range, fit, page->units);
    size_t used = strlen(alternative);
    (void)snprintf(
        alternative + used, sizeof alternative - used,
        " The picture: the efficiency falls as the collector gets warmer than the air. %s", range);
    return both(
        page, nr_plot_fit, fit, alternative,
        "The efficiency curve with its 95 % band, solid where it was tested.",
        "Left: the efficiency curve with its 95 % band, solid where it was tested; means over "
        "a few minutes as points, which lie a little low while heat still goes into warming "
        "the collector itself. Right: what was measured (marks) and what the fitted model "
        "says, the sun and the flow, and what is left over.");
}

nr_code nr_page_more_pictures(nr_page *page, const nr_fit *fit)
{
    char alternative[2 * WORDS], title[256];
    nr_code code = NR_OK;
    if (fit->budget_items > 0) {
        nr_tell_fit_limits(alternative, sizeof alternative, fit, page->units);
        code =
            both(page, nr_plot_budget, fit, alternative,
                 "Which input is to blame for how much of the uncertainty, and what would help.",
                 "Which input is to blame for how much of the uncertainty, and what would help.");
    }
    if (code == NR_OK) {
        nr_tell_energy_title(title, sizeof title, fit);
        nr_tell_fit_energy(alternative, sizeof alternative, fit, page->units);
        size_t used = strlen(alternative);
        (void)snprintf(alternative + used, sizeof alternative - used, "%s%s.", used > 0 ? " " : "",
                       title);
        code = both(page, nr_plot_energy, fit, alternative,
                    "Where the sun's energy went, by the fitted model.",
                    "Where the sun's energy went, by the fitted model: over the whole test as a "
                    "flow, and over time.");
    }
    return code;
}

void nr_page_learned(nr_page *page, const nr_fit *fit)
{
    FILE *to = page->to;
    bool begun = false;
    for (size_t i = 0; i < fit->learned_items; i++) {
        char text[WORDS];
        bool check = nr_learned_judge(&fit->learned[i]) == NR_LEARNED_CHECK_IT;
        nr_tell_fit_learned(text, sizeof text, &fit->learned[i], page->units);
        if (text[0] == '\0')
            continue;
        if (!begun)
            fputs("<h3>What the record says about its inputs, stated or assumed</h3>\n"
                  "<div class=\"wide\"><table><thead><tr><th scope=\"col\">input</th>"
                  "<th scope=\"col\">stated \u2192 found, with standard uncertainties</th></tr>"
                  "</thead><tbody>\n",
                  to);
        begun = true;
        fputs("<tr><th scope=\"row\">", to);
        nr_html_text(to, fit->learned[i].label);
        fputs("</th><td>", to);
        nr_html_words(to, text);
        fputs(check ? " <strong>check it</strong></td></tr>\n" : "</td></tr>\n", to);
    }
    if (begun)
        fputs("</tbody></table></div>\n", to);
}

/* The tested range has its sentence under the numbers. */
static bool said_above(const nr_warning *w)
{
    return w->code == NR_WARN_TESTED_RANGE;
}

void nr_page_trust(nr_page *page, const nr_trust *trust)
{
    if (trust->count == 0)
        return;
    fputs("<h2>Doubtful</h2>\n<ul>\n", page->to);
    for (size_t i = 0; i < trust->count; i++) {
        char text[NR_TELL];
        nr_tell_trust(text, sizeof text, &trust->reason[i], page->units);
        fputs("<li>", page->to);
        nr_html_words(page->to, text);
        fputs("</li>\n", page->to);
    }
    fputs("</ul>\n", page->to);
}

void nr_page_warnings(nr_page *page, const char *heading, const nr_warnings *warnings)
{
    FILE *to = page->to;
    size_t left = 0;
    for (size_t i = 0; i < warnings->count; i++)
        left += !said_above(&warnings->item[i]);
    if (left == 0)
        return;
    fputs("<h2>", to);
    nr_html_text(to, heading);
    fputs("</h2>\n<ul>\n", to);
    for (size_t i = 0; i < warnings->count; i++) {
        char text[WORDS];
        if (said_above(&warnings->item[i]))
            continue;
        nr_tell_warning(text, sizeof text, &warnings->item[i], warnings, page->units);
        fputs("<li>", to);
        nr_html_words(to, text);
        fputs("</li>\n", to);
    }
    fputs("</ul>\n", to);
}
