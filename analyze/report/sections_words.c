/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every page says: method and cautions. */
#include "analyze/physics/cautions.h"
#include "analyze/report/html.h"
#include "analyze/report/sections.h"

void nr_page_method(nr_page *page, bool comparison)
{
    FILE *to = page->to;
    nr_html_fold(to, "method", "How it was worked out");
    fputs(
        "<p>A model of the collector and its container is run through the recorded sun, air and "
        "flow, and its free values are moved until the temperatures it predicts agree with the "
        "measured ones as well as they can. The collector is cut into pieces along its tube, "
        "each with an absorber and the fluid in it; the container is one well-mixed body; the "
        "slowness of the sensors is part of the model. Neighbouring readings are alike, so the "
        "fit weighs them by how much they really tell.</p>\n"
        "<p>What rig.ini states with an uncertainty (sensor offsets and gains, area, masses, heat "
        "capacities) enters as knowledge with that uncertainty: the record may correct it, and "
        "what it cannot correct stays in the interval of every result. An error that stays "
        "through a test, such as a pyranometer that reads 3&nbsp;% high, does not average away; "
        "it makes up most of the column &ldquo;u, sensors&rdquo;.</p>\n",
        to);
    if (comparison)
        fputs("<p>All builds are fitted together. A sensor that served several of them has one and "
              "the same error in all, so that it cancels from their differences; the intervals of "
              "the differences are therefore narrower than those of the builds.</p>\n",
              to);
    fputs(
        "<p>The efficiency curve is the steady state of the fitted model at the mean conditions "
        "of the record, per gross area. Intervals cover the true value in 95 of 100 tests, if the "
        "stated uncertainties are honest (terms of JCGM&nbsp;100).</p>\n",
        to);
    nr_html_fold_end(to);
}

void nr_page_cautions(nr_page *page)
{
    FILE *to = page->to;
    char text[600];
    bool fahrenheit = page->units == NR_UNITS_US;
    fputs("<h2 id=\"cautions\">Cautions</h2>\n<div class=\"care\"><ul>\n", to);
    if (nr_caution_scald(60, fahrenheit, text, sizeof text)) {
        fputs("<li>", to);
        nr_html_words(to, text);
        fputs("</li>\n", to);
    }
    if (nr_caution_legionella(38, fahrenheit, text, sizeof text)) {
        fputs("<li>", to);
        nr_html_words(to, text);
        fputs("</li>\n", to);
    }
    for (int i = 0; i < NR_CAUTIONS; i++) {
        fputs("<li>", to);
        nr_html_words(to, nr_caution_text((nr_caution)i));
        fputs("</li>\n", to);
    }
    fputs("</ul></div>\n", to);
}
