/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a page one by one: each word that is set otherwise, between all that may stand
 * before and behind it, rows of numbers, cards and pictures. */
#include "analyze/report/svg.h"
#include "tests/unit/report/written.h"

static const struct {
    const char *ascii, *set;
} settings[] = {
    {"degC", "\u00b0C"},
    {"degF", "\u00b0F"},
    {"degF2", "\u00b0F\u00b2"},
    {"m2", "m\u00b2"},
    {"m3", "m\u00b3"},
    {"ft2", "ft\u00b2"},
    {"K2", "K\u00b2"},
    {"+-", "\u00b1"},
    {"->", "\u2192"},
    {"..", "to"},
    {"eta0", "\u03b7<sub>0</sub>"},
    {"a1", "a<sub>1</sub>"},
    {"a2", "a<sub>2</sub>"},
    {"a5", "a<sub>5</sub>"},
};

static bool one_of(const char *set, char c)
{
    return c == '\0' || memchr(set, c, strlen(set)) != NULL;
}

/* "->" within its own text is written as any other. */
static void escape_into(char *to, size_t size, const char *text)
{
    *to = '\0';
    for (; *text != '\0'; text++) {
        size_t n = strlen(to);
        (void)snprintf(to + n, size - n, *text == '>' ? "&gt;" : "%c", *text);
    }
}

START_TEST(words_between)
{
    static const char before[] = {'\0', ' ', '(', '/', 'x', '-', ')', ',', '1'};
    static const char behind[] = {'\0', ' ', ')', '/', ',', '.', ';', ':', 'x', '-', '(', '3'};
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++)
        for (size_t b = 0; b < sizeof before; b++)
            for (size_t a = 0; a < sizeof behind; a++) {
                const char *of = settings[i].ascii;
                char text[40], want[80], as_it_is[40];
                if (strcmp(of, "..") == 0 && behind[a] == '.')
                    continue;
                (void)snprintf(text, sizeof text, "%.1s%s%.1s", &before[b], of, &behind[a]);
                if (before[b] == '\0')
                    (void)snprintf(text, sizeof text, "%s%.1s", of, &behind[a]);
                escape_into(as_it_is, sizeof as_it_is, of);
                bool set = one_of(" (/", before[b]) && one_of(" )/,.;:", behind[a]);
                size_t n = 0;
                if (before[b] != '\0')
                    want[n++] = before[b];
                n += (size_t)snprintf(want + n, sizeof want - n, "%s",
                                      set ? settings[i].set : as_it_is);
                want[n++] = behind[a];
                want[n] = '\0';
                ck_assert_str_eq(words(text), want);
            }
    /* One behind another: each by what stands beside it. */
    ck_assert_str_eq(words("W/m2/K2 a1..a2 m2.. m2 .. m3"),
                     "W/m\u00b2/K\u00b2 a<sub>1</sub>..a2 m\u00b2.. m\u00b2 to m\u00b3");
    ck_assert_str_eq(words("m m2 m23 5 K"), "m m\u00b2 m23 5 K");
}
END_TEST

START_TEST(every_character)
{
    for (char c = ' '; c <= '~'; c++) {
        const char text[] = {c, 'z', '\0'};
        char want[12] = {c, 'z', '\0'};
        const char *name = c == '&'    ? "&amp;z"
                           : c == '<'  ? "&lt;z"
                           : c == '>'  ? "&gt;z"
                           : c == '"'  ? "&quot;z"
                           : c == '\'' ? "&#39;z"
                                       : want;
        ck_assert_str_eq(plain(text), name);
        ck_assert_str_eq(words(text), name);
    }
    /* No room is lost where each byte becomes more: all of a long text of quotes. */
    char long_text[401];
    memset(long_text, '"', 400);
    long_text[400] = '\0';
    ck_assert_uint_eq(strlen(plain(long_text)), 400 * strlen("&quot;"));
}
END_TEST

START_TEST(paragraphs)
{
    FILE *to = written_begins();
    nr_html_paragraph(to, "fine", "40 degC & more");
    nr_html_paragraph(to, NULL, "m2");
    nr_html_paragraph(to, "fine", "");
    nr_html_fold(to, "numbers", "Numbers <1>");
    nr_html_fold_end(to);
    nr_html_quantities(to, "u of \"eta0\"");
    nr_html_quantities_group(to, "loss, a1");
    nr_html_quantities_end(to);
    written_ends(to);
    next("<p class=\"fine\">40 \u00b0C &amp; more</p>\n<p>m\u00b2</p>\n");
    next("<details id=\"numbers\"><summary><h2>Numbers &lt;1&gt;</h2></summary>\n</details>\n");
    next("<p class=\"fine\">u of &quot;eta0&quot;</p>\n<div class=\"wide\" tabindex=\"0\" "
         "role=\"region\" aria-label=\"u of &quot;eta0&quot;\"><table class=\"numbers\">\n<thead>"
         "<tr><th scope=\"col\">quantity</th><th scope=\"col\">value</th><th scope=\"col\">"
         "95&nbsp;%% interval</th><th scope=\"col\">u, random</th><th scope=\"col\">u, sensors</th>"
         "</tr></thead>\n<tbody>\n");
    next("<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"5\">loss, a<sub>1</sub></th></tr>\n"
         "</tbody></table></div>\n");
    nothing_more();
}
END_TEST

/* Each number differs from the others, so that none stands in another's column. */
static nr_quantity quantity(double scale)
{
    return (nr_quantity){true,
                         17.3456 * scale,
                         0.51234 * scale,
                         0.31234 * scale,
                         0.41234 * scale,
                         16.1234 * scale,
                         18.9876 * scale,
                         NR_UNIT_S};
}

START_TEST(rows_of_numbers)
{
    for (int kind = 0; kind < NR_SHOWN_COUNT; kind++)
        for (int us = 0; us < 2; us++) {
            nr_shown what = (nr_shown)kind;
            nr_units units = us ? NR_UNITS_US : NR_UNITS_SI;
            nr_quantity q = quantity(pow(10, kind % 5 - 2)), none = q;
            none.known = false;
            nr_quantity d = nr_display_quantity(what, units, &q);
            const char *unit = nr_display_of(what, units)->pretty;
            FILE *to = written_begins();
            nr_html_quantity(to, "of <it>, a1", what, units, &q);
            nr_html_quantity(to, "none", what, units, &none);
            written_ends(to);
            int place = nr_round_place(d.u, 2);
            next("<tr><th scope=\"row\">of &lt;it&gt;, a<sub>1</sub>%s%s%s</th>",
                 *unit ? " <span class=\"unit\">" : "", unit, *unit ? "</span>" : "");
            next("<td><strong>%s</strong></td><td>%s&nbsp;to&nbsp;%s</td><td>%s</td><td>%s</td>"
                 "</tr>\n",
                 to_place(d.value, place), to_place(d.lo95, place), to_place(d.hi95, place),
                 to_place(d.u_random, place), to_place(d.u_systematic, place));
            next("<tr><th scope=\"row\">none%s%s%s</th>", *unit ? " <span class=\"unit\">" : "",
                 unit, *unit ? "</span>" : "");
            next("<td colspan=\"4\" class=\"unknown\">not determined</td></tr>\n");
            nothing_more();
        }
}
END_TEST

START_TEST(cards)
{
    for (int us = 0; us < 2; us++) {
        nr_units units = us ? NR_UNITS_US : NR_UNITS_SI;
        nr_quantity q = quantity(1), none = {.known = false};
        nr_quantity d = nr_display_quantity(NR_SHOWN_COLLECTOR_LOSS, units, &q);
        FILE *to = written_begins();
        nr_html_card(to);
        nr_html_card_value(to, "lost & gone", NR_SHOWN_COLLECTOR_LOSS, units, &q);
        nr_html_card_value(to, "none", NR_SHOWN_MINUTES, units, &none);
        nr_html_card_end(to);
        written_ends(to);
        double half = (d.hi95 - d.lo95) / 2;
        int place = nr_round_place(half, 2);
        next(
            "<dl class=\"card\">\n<div><dt>lost &amp; gone</dt><dd><b>%s</b> \u00b1&nbsp;%s %s</dd>"
            "</div>\n",
            to_place(d.value, place), to_place(half, place),
            nr_display_of(NR_SHOWN_COLLECTOR_LOSS, units)->pretty);
        next("<div><dt>none</dt><dd>not determined</dd></div>\n</dl>\n"
             "<p class=\"fine\">\u00b1 is half of the 95&nbsp;%% interval.</p>\n");
        nothing_more();
    }
}
END_TEST

static void inlined(const char *svg)
{
    FILE *to = written_begins();
    ck_assert(nr_svg_inline(to, svg, "p7", "it"));
    written_ends(to);
}

#define SVG_HEAD(width, height)                                                                    \
    "<svg viewBox=\"0 0 " width " " height "\" xmlns=\"http://www.w3.org/2000/svg\" "              \
    "xmlns:xlink=\"http://www.w3.org/1999/xlink\" role=\"img\" aria-label=\"it\">\n"

START_TEST(pictures)
{
    /* Every way to name a part: prefixed within a tag, left alone without. */
    inlined("<svg viewBox=\"0 0 1200 800\"><a2 id='a'/><b id=\"a\"/><c href='#a'/><d href=\"#a\"/>"
            "<e fill='url(#a)'/><f clip-path=\"url(#a)\"/>"
            " id='a' id=\"a\" href='#a' href=\"#a\" url(#a)<g id='b'></g></svg> id='c'");
    next(SVG_HEAD("1200", "800"));
    next("<a2 id='p7-a'/><b id=\"p7-a\"/><c href='#p7-a'/><d href=\"#p7-a\"/>"
         "<e fill='url(#p7-a)'/><f clip-path=\"url(#p7-a)\"/>"
         " id='a' id=\"a\" href='#a' href=\"#a\" url(#a)<g id='p7-b'></g></svg>\n");
    nothing_more();
    inlined("<svg width=\"1080\" viewBox=\"0 0 1080 1350\"><title>t</title>x<desc>d</desc></svg>");
    next(SVG_HEAD("1080", "1350"));
    next("x</svg>\n");
    nothing_more();
    /* Only the picture's own tag tells its form; a title that does not end is kept. */
    inlined("<svg a=\"0 0 1080 135\"><g b=\"0 0 1080 1350\"/><title>t</svg>");
    next(SVG_HEAD("1200", "800"));
    next("<g b=\"0 0 1080 1350\"/><title>t</svg>\n");
    nothing_more();
    static const char *const harmful[] = {"<SCRIPT", "<foreignobject", "<iframe", "<a ",
                                          "<image",  "JavaScript:",    "<!entity"};
    for (size_t i = 0; i < sizeof harmful / sizeof *harmful; i++) {
        char svg[80];
        (void)snprintf(svg, sizeof svg, "<svg><g>%s</g></svg>", harmful[i]);
        FILE *to = written_begins();
        ck_assert_msg(!nr_svg_inline(to, svg, "p", "x"), "taken: %s", svg);
        written_ends(to);
        nothing_more();
    }
}
END_TEST

/* A figure of the page: what was drawn lies in the page's folder and is gone afterwards. */
START_TEST(figures_of_a_page)
{
    nr_err err = {.text = ""};
    nr_report_style style = {.gnuplot = "/somewhere/plot"};
    nr_page page = {.style = &style, .err = &err, .units = NR_UNITS_US};
    ck_assert_ptr_nonnull(mkdtemp(strcpy(page.folder, "/tmp/noonrun-figure-XXXXXX")));
    ck_assert(nr_page_style(&page).us_units);
    ck_assert_str_eq(nr_page_style(&page).gnuplot, "/somewhere/plot");
    page.units = NR_UNITS_SI;
    ck_assert(!nr_page_style(&page).us_units);
    page.to = written_begins();
    for (int phone = 0; phone < 2; phone++) {
        char path[128];
        FILE *f = fopen(nr_page_picture(&page, path, sizeof path), "w");
        ck_assert_ptr_nonnull(f);
        fputs("<svg><g id='a'/></svg>", f);
        ck_assert_int_eq(fclose(f), 0);
        ck_assert_int_eq(
            (phone ? nr_page_phone_figure : nr_page_figure)(&page, NR_OK, "it", "in m2 & \"K\""),
            NR_OK);
        ck_assert_msg(fopen(path, "r") == NULL, "left behind");
    }
    ck_assert_int_eq(nr_page_figure(&page, NR_CANNOT, "it", "x"), NR_CANNOT); /* says nothing */
    ck_assert_int_eq(page.pictures, 2);
    written_ends(page.to);
    next("<figure class=\"desk\">\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\""
         "in m2 &amp; &quot;K&quot;\">%s<g id='p1-a'/></svg>\n</div>\n<figcaption>in m\u00b2 &amp; "
         "&quot;K&quot;</figcaption>\n</figure>\n",
         SVG_HEAD("1200", "800"));
    next("<figure class=\"phone\">\n<div>%s<g id='p2-a'/></svg>\n</div>\n<figcaption>in m\u00b2 "
         "&amp; &quot;K&quot;</figcaption>\n</figure>\n",
         SVG_HEAD("1200", "800"));
    nothing_more();
    page.to = written_begins();
    ck_assert_int_eq(nr_page_figure(&page, NR_OK, "it", "x"), NR_BAD); /* nothing was drawn */
    written_ends(page.to);
    ck_assert_ptr_nonnull(strstr(err.text, "gnuplot"));
    free(written);
    ck_assert_int_eq(remove(page.folder), 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        words_between, every_character, paragraphs,        rows_of_numbers,
        cards,         pictures,        figures_of_a_page, NULL};
    return run_tests("page-html", tests);
}
