/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/report/svg.h"

#include "analyze/report/html.h"

#include <string.h>

/* What gnuplot never writes into a picture of ours; if it stands there, text got through that
 * should not have. Texts are escaped, so that "<script" cannot be text. */
static bool harmless(const char *svg)
{
    static const char *const forbidden[] = {"<script", "<foreignObject", "<iframe", "<a ",
                                            "<image",  "javascript:",    "<!ENTITY"};
    for (size_t i = 0; i < sizeof forbidden / sizeof *forbidden; i++)
        if (strcasestr(svg, forbidden[i]) != NULL)
            return false;
    return true;
}

typedef struct marker {
    const char *text; /* a prefix goes behind it */
} marker;

static const marker markers[] = {{" id='"},    {" id=\""}, {"href='#"},
                                 {"href=\"#"}, {"url(#"},  {"clip-path=\"url(#"}};

/* Is p at an attribute inside a tag? Only there are markers looked for. */
static size_t marker_at(const char *p)
{
    for (size_t i = 0; i < sizeof markers / sizeof *markers; i++) {
        size_t n = strlen(markers[i].text);
        if (strncmp(p, markers[i].text, n) == 0)
            return n;
    }
    return 0;
}

/* End of an element that is left out whole, or p. */
static const char *skip(const char *p, const char *open, const char *close)
{
    if (strncmp(p, open, strlen(open)) != 0)
        return p;
    const char *end = strstr(p, close);
    return end == NULL ? p : end + strlen(close);
}

static void body(FILE *to, const char *p, const char *end, const char *prefix)
{
    bool in_tag = false;
    while (p < end) {
        const char *after = skip(skip(p, "<title>", "</title>"), "<desc>", "</desc>");
        if (after != p) {
            p = after;
            continue;
        }
        if (*p == '<')
            in_tag = true;
        else if (*p == '>')
            in_tag = false;
        size_t n = in_tag ? marker_at(p) : 0;
        if (n > 0) {
            fprintf(to, "%.*s%s-", (int)n, p, prefix);
            p += n;
        } else {
            fputc(*p++, to);
        }
    }
}

bool nr_svg_inline(FILE *to, const char *svg, const char *prefix, const char *alternative)
{
    const char *start = strstr(svg, "<svg");
    const char *end = start == NULL ? NULL : strstr(start, "</svg>");
    const char *open_end = start == NULL ? NULL : strchr(start, '>');
    if (end == NULL || open_end == NULL || !harmless(svg))
        return false;
    bool portrait = memmem(start, (size_t)(open_end - start), "0 0 1080 1350", 13) != NULL;
    fprintf(to, "<svg viewBox=\"0 0 %d %d\" ", portrait ? 1080 : 1200, portrait ? 1350 : 800);
    fputs("xmlns=\"http://www.w3.org/2000/svg\" "
          "xmlns:xlink=\"http://www.w3.org/1999/xlink\" role=\"img\" aria-label=\"",
          to);
    nr_html_text(to, alternative);
    fputs("\">\n", to);
    body(to, open_end + 1, end, prefix);
    fputs("</svg>\n", to);
    return true;
}
