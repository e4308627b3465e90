/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/report/html.h"

#include "analyze/tell/round.h"
#include "logger/base/text.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

static void escaped(FILE *to, char c)
{
    switch (c) {
    case '&':
        fputs("&amp;", to);
        break;
    case '<':
        fputs("&lt;", to);
        break;
    case '>':
        fputs("&gt;", to);
        break;
    case '"':
        fputs("&quot;", to);
        break;
    case '\'':
        fputs("&#39;", to);
        break;
    default:
        fputc(c, to);
    }
}

static char *cleaned(const char *text)
{
    size_t length = strlen(text), size = 4 * length + 1;
    char *clean = malloc(size);
    if (clean != NULL)
        nr_clean(clean, size, text, length);
    return clean;
}

void nr_html_text(FILE *to, const char *text)
{
    char *clean = cleaned(text);
    for (const char *p = clean; p != NULL && *p != '\0'; p++)
        escaped(to, *p);
    free(clean);
}

typedef struct setting {
    const char *ascii, *html;
} setting;

/* Longer ones first where one begins with another. */
static const setting settings[] = {
    {"degF2", "\u00b0F\u00b2"},
    {"degC", "\u00b0C"},
    {"degF", "\u00b0F"},
    {"ft2", "ft\u00b2"},
    {"m2", "m\u00b2"},
    {"m3", "m\u00b3"},
    {"K2", "K\u00b2"},
    {"+-", "\u00b1"},
    {"->", "\u2192"},
    {"..", "to"},
    {"eta0", "\u03b7<sub>0</sub>"},
    {"a1", "a<sub>1</sub>"},
    {"a2", "a<sub>2</sub>"},
    {"a5", "a<sub>5</sub>"},
};

static const setting *setting_at(const char *text, char before)
{
    if (before != '\0' && strchr(" (/", before) == NULL)
        return NULL;
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        size_t n = strlen(settings[i].ascii);
        if (strncmp(text, settings[i].ascii, n) == 0 &&
            (text[n] == '\0' || strchr(" )/,.;:", text[n]) != NULL))
            return &settings[i];
    }
    return NULL;
}

void nr_html_words(FILE *to, const char *text)
{
    char *clean = cleaned(text);
    char before = '\0';
    for (const char *p = clean; p != NULL && *p != '\0';) {
        const setting *s = setting_at(p, before);
        if (s != NULL) {
            fputs(s->html, to);
            p += strlen(s->ascii);
            before = 'x';
            continue;
        }
        before = *p;
        escaped(to, *p++);
    }
    free(clean);
}

void nr_html_paragraph(FILE *to, const char *class_name, const char *text)
{
    if (text[0] == '\0')
        return;
    if (class_name != NULL)
        fprintf(to, "<p class=\"%s\">", class_name);
    else
        fputs("<p>", to);
    nr_html_words(to, text);
    fputs("</p>\n", to);
}

void nr_html_quantities(FILE *to, const char *caption)
{
    nr_html_paragraph(to, "fine", caption);
    fputs("<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"", to);
    nr_html_text(to, caption);
    fputs(
        "\"><table class=\"numbers\">\n"
        "<thead><tr><th scope=\"col\">quantity</th><th scope=\"col\">value</th>"
        "<th scope=\"col\">95&nbsp;% interval</th>"
        "<th scope=\"col\">u, random</th><th scope=\"col\">u, sensors</th></tr></thead>\n<tbody>\n",
        to);
}

void nr_html_quantities_group(FILE *to, const char *label)
{
    fputs("<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"5\">", to);
    nr_html_words(to, label);
    fputs("</th></tr>\n", to);
}

void nr_html_quantity(FILE *to, const char *label, nr_shown what, nr_units units,
                      const nr_quantity *q)
{
    const char *unit = nr_display_of(what, units)->pretty;
    fputs("<tr><th scope=\"row\">", to);
    nr_html_words(to, label);
    if (unit[0] != '\0') {
        fputs(" <span class=\"unit\">", to);
        nr_html_text(to, unit);
        fputs("</span>", to);
    }
    if (!q->known) {
        fputs("</th><td colspan=\"4\" class=\"unknown\">not determined</td></tr>\n", to);
        return;
    }
    nr_quantity d = nr_display_quantity(what, units, q);
    int place = nr_round_place(d.u, 2);
    char v[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED], a[NR_ROUNDED], b[NR_ROUNDED];
    fprintf(to,
            "</th><td><strong>%s</strong></td><td>%s&nbsp;to&nbsp;%s</td><td>%s</td><td>%s</td>"
            "</tr>\n",
            nr_round_text(d.value, place, v), nr_round_text(d.lo95, place, lo),
            nr_round_text(d.hi95, place, hi), nr_round_text(d.u_random, place, a),
            nr_round_text(d.u_systematic, place, b));
}

void nr_html_quantities_end(FILE *to)
{
    fputs("</tbody></table></div>\n", to);
}

void nr_html_fold(FILE *to, const char *id, const char *heading)
{
    fprintf(to, "<details id=\"%s\"><summary><h2>", id);
    nr_html_text(to, heading);
    fputs("</h2></summary>\n", to);
}

void nr_html_fold_end(FILE *to)
{
    fputs("</details>\n", to);
}

void nr_html_card(FILE *to)
{
    fputs("<dl class=\"card\">\n", to);
}

void nr_html_card_value(FILE *to, const char *label, nr_shown what, nr_units units,
                        const nr_quantity *q)
{
    char v[NR_ROUNDED], half[NR_ROUNDED];
    fputs("<div><dt>", to);
    nr_html_words(to, label);
    fputs("</dt><dd>", to);
    if (q->known) {
        nr_quantity d = nr_display_quantity(what, units, q);
        double wide = (d.hi95 - d.lo95) / 2;
        int place = nr_round_place(wide, 2);
        fprintf(to, "<b>%s</b> \u00b1&nbsp;%s ", nr_round_text(d.value, place, v),
                nr_round_text(wide, place, half));
        nr_html_text(to, nr_display_of(what, units)->pretty);
    } else {
        fputs("not determined", to);
    }
    fputs("</dd></div>\n", to);
}

void nr_html_card_end(FILE *to)
{
    fputs("</dl>\n<p class=\"fine\">\u00b1 is half of the 95&nbsp;% interval.</p>\n", to);
}

/* One style of our own: the pictures' colours, one column, light and dark as the reader's device is
 * set; pictures stay on white. A phone gets narrow tables. The content policy forbids
 * scripts and every fetch, should anything ever slip through the escaping. */
static const char head[] =
    "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
    "<meta name=\"color-scheme\" content=\"light dark\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
    "style-src 'unsafe-inline'\">\n"
    "<meta name=\"generator\" content=\"noonfit " NOONRUN_VERSION "\">\n<title>";
static const char style[] =
    "</title>\n<style>\n"
    ":root{--paper:#fff;--ink:#111;--soft:#444;--rule:#ddd;--field:#f4f4f4;--link:#005a8c;"
    "--blue:#0072b2;--red:#d55e00}\n"
    "@media screen and (prefers-color-scheme:dark){:root{--paper:#111;--ink:#eee;--soft:#bbb;"
    "--rule:#444;--field:#222;--link:#7cc4f5;--blue:#56b4e9;--red:#ff8a3d}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;padding:1.2rem;max-width:62rem;background:var(--paper);color:var(--ink);"
    "font:1rem/1.5 system-ui,\"Liberation Sans\",\"DejaVu Sans\",sans-serif}\n"
    "h1{font-size:1.7rem;line-height:1.2;margin:.3rem 0 .2rem;overflow-wrap:anywhere}\n"
    "h2{font-size:1.25rem;margin:2.2rem 0 .5rem;padding-top:.6rem;"
    "border-top:2px solid var(--blue)}\n"
    "h3{font-size:1.05rem;margin:1.4rem 0 .3rem;overflow-wrap:anywhere}\n"
    "summary{cursor:pointer;border-top:2px solid var(--blue);margin-top:.6rem;padding:.5rem 0}\n"
    "summary h2{display:inline;border:0;margin:0;padding:0}\n"
    "p,ul,ol{max-width:44rem;margin:.5rem 0}\np,li{overflow-wrap:break-word}\n"
    "nav{margin:1rem 0}\nnav a{display:inline-block;margin:0 1rem .2rem 0;padding:.3rem 0}\n"
    ".lead{font-size:1.2rem;line-height:1.45}\n.fine{color:var(--soft);font-size:.92rem}\n"
    ".card{display:grid;grid-template-columns:repeat(auto-fit,minmax(13rem,1fr));gap:.6rem;"
    "margin:1rem 0 .3rem}\n.card div{background:var(--field);border-radius:.5rem;"
    "padding:.6rem .9rem}\n.card dt{color:var(--soft);font-size:.92rem}\n.card dd{margin:0}\n"
    ".card b{font-size:2rem;line-height:1.2}\n"
    ".wide{overflow-x:auto;max-width:100%}\n"
    "table{border-collapse:collapse;font-size:.95rem;margin:.6rem 0}\n"
    "th,td{text-align:left;padding:.25rem .8rem .25rem 0;vertical-align:top;font-weight:400;"
    "border-bottom:1px solid var(--rule)}\nthead th{color:var(--soft)}\n"
    ".group th{font-weight:600;padding-top:.7rem}\n"
    ".unit{color:var(--soft);white-space:nowrap}\n.numbers "
    "td{white-space:nowrap;font-variant-numeric:tabular-nums}\n.unknown{color:var(--soft)}\n"
    "figure{margin:1rem 0}\nfigure svg{display:block;width:100%;height:auto;"
    "background:#fff;border-radius:.4rem}\nfigure .wide svg{min-width:44rem}\n"
    "figcaption{color:var(--soft);font-size:.92rem;max-width:44rem}\n"
    ".phone{display:none}\n"
    "code,.hash{font-family:ui-monospace,\"Liberation Mono\",\"DejaVu Sans Mono\",monospace;"
    "font-size:.85rem;overflow-wrap:anywhere}\n.hash{word-break:break-all}\n"
    "pre{white-space:pre-wrap;background:var(--field);"
    "padding:.6rem;overflow-wrap:anywhere;max-width:44rem}\n"
    ".finding{border-left:.35rem solid #8a8a8a;padding:.1rem .7rem;margin:.5rem 0;"
    "list-style:none}\n.fault{border-color:#d55e00}\n.doubt{border-color:#e69f00}\n"
    ".plain{padding:0}\n.care{border:2px solid var(--red);padding:.2rem 1rem;max-width:46rem}\n"
    "a{color:var(--link)}\n"
    "@media screen and (max-width:600px){body{padding:.9rem}h1{font-size:1.4rem}"
    ".lead{font-size:1.1rem}"
    ".numbers thead{display:none}.numbers tr{display:grid;grid-template-columns:1fr 1fr;"
    "border-bottom:1px solid var(--rule);padding:.3rem 0}.numbers th{grid-column:1/-1}"
    ".numbers th,.numbers td{border:0;padding:.05rem 0}.numbers td:nth-child(n+4){display:none}"
    ".phone{display:block}.phone+.desk,.card,.card+.fine{display:none}}\n"
    "@media print{:root{--paper:#fff;--ink:#000;--soft:#333}html{font-size:8.5pt}"
    "body{padding:0;max-width:none;line-height:1.35}nav{display:none}"
    "h1{font-size:16pt}h2{margin:.8rem 0 .2rem}"
    "summary{list-style:none;padding:.3rem 0 .1rem}"
    "summary::-webkit-details-marker{display:none}"
    "figure{margin:.5rem 0}figure .wide svg{min-width:0;max-width:138mm}"
    "p,ul,ol,pre,figcaption,.care{max-width:none}p,ul,ol,table{margin:.3rem 0}"
    "th,td{padding-top:.1rem;padding-bottom:.1rem}.ranking{line-height:1.2}"
    "figure,tr,.finding,.care{break-inside:avoid}h2,h3,summary{break-after:avoid}"
    "details::details-content{content-visibility:visible;block-size:auto}"
    /* Many builds: one sheet with table and ranking, a sheet for each build, no rig of each. */
    "#ranking~#numbers,#ranking~[id^=build]{break-before:page}"
    "#ranking~#record,#ranking~#rig{display:none}"
    "#ranking.long~figure .wide svg{max-width:118mm}.long+div .ranking{line-height:1.05}"
    ".wide{overflow:visible}}\n@page{margin:12mm}\n"
    "</style>\n</head>\n<body>\n<main>\n";

void nr_html_begin(FILE *to, const char *title)
{
    fputs(head, to);
    nr_html_text(to, title);
    fputs(style, to);
}

void nr_html_end(FILE *to)
{
    fputs("</main>\n</body>\n</html>\n", to);
}
