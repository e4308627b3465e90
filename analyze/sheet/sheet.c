/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/sheet/sheet.h"

#include "analyze/physics/cautions.h"
#include "analyze/sheet/paper.h"
#include "logger/base/paragraph.h"
#include "logger/base/replace.h"
#include "logger/base/text.h"
#include "logger/run/unstated.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MARGIN 13.0
#define SMALL 2.9 /* mm, size of letters */
#define LARGE 5.2
#define TITLE_COLUMNS 60
#define ROW 7.0
#define TABLE_ROWS 40

typedef struct layout {
    const nr_rig *rig; /* what this page is of: all, or one collector's view */
    nr_rig *view;      /* for the facts of each, where the page is of several; else NULL */
    const nr_sheet_style *style;
    nr_paper *page;
    size_t channel[NR_SHEET_CHANNELS], channels;
    double y, right;
} layout;

/* What is read: not what the rig file states. */
static size_t read_channels(const nr_rig *rig, size_t *out, size_t most)
{
    size_t n = 0;
    for (size_t i = 0; i < rig->channels; i++) {
        if (rig->channel[i].law->stated)
            continue;
        if (n < most)
            out[n] = i;
        n++;
    }
    return n;
}

/* --- the page -----------------------------------------------------------------------------------
 */

static void title(layout *l)
{
    const nr_rig *rig = l->rig;
    char names[NR_RIG_BUILDS * (NR_NAME + 2)];
    nr_rig_build_names(rig, names, sizeof names);
    const char *name = rig->title[0] ? rig->title : names;
    name = name[0] ? name : "Heat-up test";
    nr_paper_words(l->page, MARGIN, l->y, LARGE, true, "%.*s",
                   (int)nr_columns_fit(name, TITLE_COLUMNS), name);
    l->y += 8;
    nr_paper_words(l->page, MARGIN, l->y, SMALL, false,
                   "Date (as 2026-05-16) ____________________      Who read: "
                   "____________________      Sky: ____________________");
    l->y += 6;
}

static void fact(char *text, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void fact(char *text, size_t size, const char *format, ...)
{
    size_t used = strlen(text);
    va_list args;
    if (used > 0)
        used += (size_t)snprintf(text + used, size - used, "; ");
    va_start(args, format);
    if (used < size)
        (void)vsnprintf(text + used, size - used, format, args);
    va_end(args);
}

static double shown(double value, const char *si, const char *us, bool in_us)
{
    if (!in_us)
        return value;
    return nr_unit_from_canonical(nr_unit_find(us), nr_unit_to_canonical(nr_unit_find(si), value));
}

/* What the rig file says, or a line to write it on. */
static void facts(layout *l, const nr_rig *rig, const char *whose)
{
    char text[400] = "";
    const nr_rig_collector *c = &rig->collector;
    bool us = l->style->us;
    const char *area = us ? "ft²" : "m²", *water = us ? "gal" : "L";
    if (c->gross_area_m2.given)
        fact(text, sizeof text, "area %.3g %s", shown(c->gross_area_m2.value, "m2", "ft2", us),
             area);
    else
        fact(text, sizeof text, "area (outside) ______ × ______ = ________ %s", area);
    if (c->tilt_deg.given)
        fact(text, sizeof text, "tilt %.3g°", c->tilt_deg.value);
    else
        fact(text, sizeof text, "tilt ______°");
    if (c->azimuth_deg.given)
        fact(text, sizeof text, "faces %.3g° (180 is south)", c->azimuth_deg.value);
    else
        fact(text, sizeof text, "faces ______° (180 is south)");
    if (c->glazing != NR_GLAZING_UNKNOWN)
        fact(text, sizeof text, "glazing %s", nr_glazing_word(c->glazing));
    nr_paper_words(l->page, MARGIN, l->y, SMALL, false, "Collector%s%.40s: %s", whose[0] ? " " : "",
                   whose, text);
    l->y += 5.5;
    bool several = l->rig->builds > 1;
    char stated[80] = "";
    if (rig->store.water_kg.given)
        snprintf(stated, sizeof stated, " (rig file: %.3g %s)",
                 us ? rig->store.water_kg.value / NR_WATER_KG_L / 3.785411784
                    : rig->store.water_kg.value / NR_WATER_KG_L,
                 water);
    nr_paper_words(
        l->page, MARGIN, l->y, SMALL, false,
        "Water%s%.40s%s: container full ________ minus empty ________ = ________ %s;  at the end "
        "________",
        several ? " of " : "", several ? whose : "", stated, us ? "lb" : "kg");
    l->y += 6;
}

/* What no test can see: a line each, with room for the answer. */
static void questions(layout *l)
{
    nr_unstated open[NR_UNSTATEDS];
    size_t count = nr_rig_unstated(l->rig, open);
    for (size_t i = 0; i < count; i++) {
        if (open[i] == NR_UNSTATED_WATER || open[i] == NR_UNSTATED_WATER_END)
            continue; /* asked above */
        nr_paper_words(l->page, MARGIN, l->y, SMALL, false, "%s  ____________________",
                       nr_unstated_question(open[i]));
        l->y += 4.6;
    }
    l->y += 1;
}

static void steps(layout *l)
{
    static const char *const lines[] = {
        "1. Before: weigh the container empty and full. Hold all thermometers in one stirred "
        "bucket "
        "for two minutes and write what each says under notes: they should agree.",
        "2. Shade the air's thermometer, away from walls and from the collector. Stir the "
        "container "
        "before each reading, and read at half its depth.",
        "3. Write the time by the clock, as it is, not as it was meant to be. Notes: cloud, pump "
        "off, "
        "glass on, turned to the sun, water added.",
        "4. Read on for half an hour after the sun is gone, or cover the collector and stop the "
        "pump: "
        "that tells the container's loss. Weigh the water again.",
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        l->y = nr_paper_paragraph(l->page, MARGIN, l->y, l->right - MARGIN, SMALL, lines[i]) + 0.6;
    l->y += 1;
}

static void cautions(layout *l, double top)
{
    static const nr_caution which[] = {NR_CAUTION_STAGNATION, NR_CAUTION_CLOSED_LOOP,
                                       NR_CAUTION_ELECTRIC, NR_CAUTION_CODES};
    char text[900];
    size_t used = (size_t)snprintf(text, sizeof text, "Caution: water of %s and above scalds.",
                                   l->style->us ? "120 °F" : "49 °C");
    for (size_t i = 0; i < sizeof which / sizeof *which && used < sizeof text; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, " %s", nr_caution_text(which[i]));
    nr_paper_paragraph(l->page, MARGIN, top, l->right - MARGIN, 2.6, text);
}

static void row_time(const layout *l, size_t row, char out[16])
{
    double minutes = (double)row * l->style->every_s / 60;
    snprintf(out, 16, minutes == floor(minutes) ? "%.0f" : "%.1f", minutes);
}

/* Minutes as planned, the clock's time, a column for each channel, notes. */
static void table(layout *l, double bottom)
{
    double planned = 12, clock = 22, notes = 42, left = MARGIN, top = l->y;
    double width = (l->right - left - planned - clock - notes) / (double)l->channels;
    size_t rows = (size_t)((bottom - top - 2 * ROW) / ROW);
    double end = top + 1.5 * ROW + (double)rows * ROW, x = left;
    double heads = top + 4.2;
    nr_paper_words(l->page, x + 1, heads, SMALL, true, "min");
    nr_paper_words(l->page, x + planned + 1, heads, SMALL, true, "time");
    nr_paper_words(l->page, x + planned + 1, heads + 4, 2.4, false, "clock");
    for (size_t i = 0; i < l->channels; i++) {
        const nr_rig_channel *c = &l->rig->channel[l->channel[i]];
        double at = left + planned + clock + (double)i * width;
        size_t most = (size_t)(width / (0.6 * SMALL));
        bool whose = l->rig->builds > 1 && c->of[0] && c->role[0];
        int room =
            (int)(width / (0.55 * 2.4)) - nr_columns(c->unit->label, strlen(c->unit->label)) - 1;
        char unit[NR_NAME * 2 + 40];
        snprintf(unit, sizeof unit, "%s%s%.*s", c->unit->label, whose ? " " : "",
                 room > 0 ? room : 0, whose ? c->of : "");
        nr_paper_words(l->page, at + 1, heads, SMALL, true, "%.*s", (int)most,
                       whose ? c->role : c->name);
        nr_paper_words(l->page, at + 1, heads + 4, 2.4, false, "%s", unit);
        nr_paper_line(l->page, at, top, at, end, 0.15);
    }
    nr_paper_words(l->page, l->right - notes + 1, heads, SMALL, true, "notes");
    nr_paper_line(l->page, left, top, left, end, 0.3);
    nr_paper_line(l->page, left + planned, top, left + planned, end, 0.15);
    nr_paper_line(l->page, l->right - notes, top, l->right - notes, end, 0.15);
    nr_paper_line(l->page, l->right, top, l->right, end, 0.3);
    nr_paper_line(l->page, left, top, l->right, top, 0.3);
    for (size_t r = 0; r <= rows; r++) {
        double y = top + 1.5 * ROW + (double)r * ROW;
        char text[16];
        nr_paper_line(l->page, left, y, l->right, y, r == 0 || r == rows ? 0.3 : 0.15);
        row_time(l, r, text);
        if (r < rows)
            nr_paper_words(l->page, left + 1.5, y + 4.8, SMALL, false, "%s", text);
    }
    l->y = end;
}

static void compose(layout *l)
{
    double foot = l->page->height_mm - MARGIN - 14;
    l->y = MARGIN + 5;
    l->right = l->page->width_mm - MARGIN;
    title(l);
    for (size_t i = 0; i < l->rig->builds && l->rig->builds > 1; i++) {
        nr_rig_view(l->rig, i, l->view);
        facts(l, l->view, l->view->collector.name);
    }
    if (l->rig->builds <= 1)
        facts(l, l->rig, l->rig->collector.name);
    questions(l);
    steps(l);
    table(l, foot - 2);
    cautions(l, foot + 3);
}

/* --- files --------------------------------------------------------------------------------------
 */

typedef struct book {
    nr_paper *page;
    size_t pages;
    nr_rig *view; /* room for one collector */
} book;

static void html(const book *b, FILE *to)
{
    fprintf(to,
            "<!DOCTYPE html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>Test sheet</title>\n"
            "<style>@page{size:%s;margin:0}body{margin:0}svg{display:block}"
            "svg+svg{break-before:page}</style>\n",
            b->page[0].height_mm < 290 ? "letter" : "A4");
    for (size_t p = 0; p < b->pages; p++)
        nr_paper_svg(&b->page[p], to);
    fputs("</html>\n", to);
}

static nr_code write_form(const book *b, const char *form, FILE *to, const char *path, nr_err *err)
{
    if (strcmp(form, ".pdf") == 0)
        return nr_paper_pdf(b->page, b->pages, to, path, err);
    if (strcmp(form, ".svg") == 0)
        nr_paper_svg(&b->page[0], to);
    else
        html(b, to);
    return NR_OK;
}

/* Of a page for each collector one has too much, or an .svg cannot hold them. */
static nr_code too_many(const nr_rig *rig, size_t channels, bool in_svg, nr_err *err)
{
    nr_code code = nr_fail(err, NR_CANNOT, rig->path, 0,
                           in_svg ? "has %zu channels to read; an .svg is one page, with room for "
                                    "%d: a .pdf or .html has a page for each collector"
                                  : "has %zu channels to read; a page has room for 1 to %d",
                           channels, NR_SHEET_CHANNELS);
    if (rig->builds > 1)
        nr_err_asks(err, "collector");
    return code;
}

static bool fits(size_t channels)
{
    return channels > 0 && channels <= NR_SHEET_CHANNELS;
}

/* One page of all, or one for each collector. */
static nr_code plan_pages(const nr_rig *rig, bool svg, book *b, nr_err *err)
{
    size_t unused[NR_SHEET_CHANNELS], all = read_channels(rig, unused, NR_SHEET_CHANNELS);
    b->pages = 1;
    if (fits(all))
        return NR_OK;
    for (size_t i = 0; i < rig->builds && rig->builds > 1; i++) {
        nr_rig_view(rig, i, b->view);
        size_t own = read_channels(b->view, unused, NR_SHEET_CHANNELS);
        if (!fits(own))
            return too_many(b->view, own, false, err);
    }
    if (rig->builds <= 1 || svg)
        return too_many(rig, all, svg && rig->builds > 1, err);
    b->pages = rig->builds;
    return NR_OK;
}

static void compose_all(const nr_rig *rig, const nr_sheet_style *style, book *b)
{
    for (size_t p = 0; p < b->pages; p++) {
        layout l = {.rig = rig, .view = b->view, .style = style, .page = &b->page[p]};
        if (b->pages > 1) {
            nr_rig_view(rig, p, b->view);
            l.rig = b->view;
        }
        l.channels = read_channels(l.rig, l.channel, NR_SHEET_CHANNELS);
        l.page->width_mm = style->letter ? 215.9 : 210;
        l.page->height_mm = style->letter ? 279.4 : 297;
        compose(&l);
    }
}

static nr_code write_book(const book *b, const char *path, const char *form, nr_err *err)
{
    nr_replacement file;
    nr_code code = nr_replace_begin(&file, path, 0666, err);
    if (code != NR_OK)
        return code;
    FILE *to = nr_replace_stream(&file);
    if (!to) {
        nr_replace_abandon(&file);
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be written");
    }
    code = write_form(b, form, to, path, err);
    bool bad = ferror(to) != 0;
    bad = fclose(to) != 0 || bad;
    if (code == NR_OK && bad)
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot be written");
    if (code == NR_OK)
        return nr_replace_commit(&file, err);
    nr_replace_abandon(&file);
    return code;
}

nr_code nr_sheet_write(const nr_rig *rig, const char *path, const nr_sheet_style *style,
                       size_t *pages, nr_err *err)
{
    const char *form = strrchr(path, '.');
    if (!form ||
        (strcmp(form, ".pdf") != 0 && strcmp(form, ".svg") != 0 && strcmp(form, ".html") != 0))
        return nr_fail(err, NR_BAD, path, 0, "a sheet's name ends in .pdf, .svg or .html");
    book b = {.page = calloc(NR_RIG_BUILDS, sizeof *b.page), .view = malloc(sizeof *b.view)};
    nr_code code = b.page && b.view ? plan_pages(rig, strcmp(form, ".svg") == 0, &b, err)
                                    : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (code == NR_OK) {
        compose_all(rig, style, &b);
        code = write_book(&b, path, form, err);
    }
    *pages = b.pages;
    free(b.page);
    free(b.view);
    return code;
}

nr_code nr_sheet_table(const nr_rig *rig, const char *path, nr_err *err)
{
    size_t channel[NR_RIG_CHANNELS], n = read_channels(rig, channel, NR_RIG_CHANNELS);
    FILE *to = fopen(path, "wxe");
    if (!to && errno == EEXIST)
        return nr_fail(err, NR_BAD, path, 0,
                       "is there already and is left as it is (readings may stand in it)");
    if (!to)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be written");
    fputs("Date,", to);
    for (size_t i = 0; i < n; i++)
        fputc(',', to);
    fputs("\ntime", to);
    for (size_t i = 0; i < n; i++)
        fprintf(to, ",%s (%s)", rig->channel[channel[i]].name, rig->channel[channel[i]].unit->name);
    fputs(",notes\n", to);
    for (size_t r = 0; r < TABLE_ROWS; r++) {
        for (size_t i = 0; i <= n; i++)
            fputc(',', to);
        fputc('\n', to);
    }
    bool bad = ferror(to) != 0;
    if (fclose(to) == 0 && !bad)
        return NR_OK;
    int why = errno;
    unlink(path);
    return nr_fail_errno(err, NR_BAD, path, why, "cannot be written");
}
