/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the sections share. */
#include "analyze/report/page.h"

#include "analyze/report/html.h"
#include "analyze/report/svg.h"

#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

const char *nr_page_picture(nr_page *page, char *path, size_t size)
{
    (void)snprintf(path, size, "%s/picture.svg", page->folder);
    return path;
}

nr_plot_style nr_page_style(const nr_page *page)
{
    return (nr_plot_style){.us_units = page->units == NR_UNITS_US, .gnuplot = page->style->gnuplot};
}

static char *slurp(const char *path)
{
    FILE *f = fopen(path, "rbe");
    char *text = NULL;
    long size = -1;
    if (f != NULL && fseek(f, 0, SEEK_END) == 0)
        size = ftell(f);
    if (size >= 0 && (text = malloc((size_t)size + 1)) != NULL) {
        rewind(f);
        text[fread(text, 1, (size_t)size, f)] = '\0';
    }
    if (f != NULL)
        (void)fclose(f);
    return text;
}

static nr_code figure(nr_page *page, nr_code drawn, bool phone, const char *alternative,
                      const char *caption)
{
    char path[128], prefix[16];
    if (drawn != NR_OK)
        return drawn;
    char *svg = slurp(nr_page_picture(page, path, sizeof path));
    (void)unlink(path);
    (void)snprintf(prefix, sizeof prefix, "p%d", ++page->pictures);
    fputs(phone ? "<figure class=\"phone\">\n<div"
                : "<figure class=\"desk\">\n<div class=\"wide\" tabindex=\"0\" role=\"region\"",
          page->to);
    if (!phone) {
        fputs(" aria-label=\"", page->to);
        nr_html_text(page->to, caption);
        fputs("\"", page->to);
    }
    fputs(">", page->to);
    bool good = svg != NULL && nr_svg_inline(page->to, svg, prefix, alternative);
    free(svg);
    if (!good)
        return nr_fail(page->err, NR_BAD, NULL, 0, "gnuplot's picture cannot be put into the page");
    fputs("</div>\n<figcaption>", page->to);
    nr_html_words(page->to, caption);
    fputs("</figcaption>\n</figure>\n", page->to);
    return NR_OK;
}

nr_code nr_page_figure(nr_page *page, nr_code drawn, const char *alternative, const char *caption)
{
    return figure(page, drawn, false, alternative, caption);
}

nr_code nr_page_phone_figure(nr_page *page, nr_code drawn, const char *alternative,
                             const char *caption)
{
    return figure(page, drawn, true, alternative, caption);
}
