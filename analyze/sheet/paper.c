/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/sheet/paper.h"

#include "logger/base/text.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <fontconfig/fontconfig.h>
#include <stdarg.h>
#include <string.h>

#define POINTS_MM (72 / 25.4)
/* Width of an average letter against its size; wide enough for the widest usual sans serif. */
#define LETTER 0.53

static nr_mark *next(nr_paper *page)
{
    _Thread_local static nr_mark spill; /* never read */
    return page->count < NR_MARKS ? &page->mark[page->count++] : &spill;
}

void nr_paper_line(nr_paper *page, double x, double y, double x2, double y2, double width)
{
    *next(page) = (nr_mark){.x = x, .y = y, .x2 = x2, .y2 = y2, .width = width};
}

void nr_paper_words(nr_paper *page, double x, double y, double size_mm, bool bold,
                    const char *format, ...)
{
    char text[2 * sizeof((nr_mark *)0)->text];
    nr_mark *m = next(page);
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    *m = (nr_mark){.words = true, .x = x, .y = y, .size_mm = size_mm, .bold = bold};
    nr_clean(m->text, sizeof m->text, text, strlen(text));
}

double nr_paper_paragraph(nr_paper *page, double x, double y, double width, double size_mm,
                          const char *text)
{
    size_t most = (size_t)(width / (LETTER * size_mm));
    for (const char *p = text; *p;) {
        size_t n = strlen(p);
        if (n > most) {
            n = most;
            while (n > 0 && p[n] != ' ')
                n--;
            n = n > 0 ? n : most;
        }
        nr_paper_words(page, x, y, size_mm, false, "%.*s", (int)n, p);
        y += 1.3 * size_mm;
        p += n + strspn(p + n, " ");
    }
    return y;
}

/* --- SVG ----------------------------------------------------------------------------------------
 */

static void escaped(const char *text, FILE *to)
{
    for (; *text; text++)
        if (*text == '&')
            fputs("&amp;", to);
        else if (*text == '<')
            fputs("&lt;", to);
        else if (*text == '>')
            fputs("&gt;", to);
        else
            fputc(*text, to);
}

static void number(double value, FILE *to)
{
    char text[40];
    nr_format_number(text, sizeof text, value, 2);
    fputs(text, to);
}

static void attribute(const char *name, double value, FILE *to)
{
    fprintf(to, " %s=\"", name);
    number(value, to);
    fputc('"', to);
}

void nr_paper_svg(const nr_paper *page, FILE *to)
{
    fputs("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"", to);
    number(page->width_mm, to);
    fputs("mm\" height=\"", to);
    number(page->height_mm, to);
    fputs("mm\" viewBox=\"0 0 ", to);
    number(page->width_mm, to);
    fputc(' ', to);
    number(page->height_mm, to);
    fputs("\" font-family=\"sans-serif\">\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
          to);
    for (size_t i = 0; i < page->count; i++) {
        const nr_mark *m = &page->mark[i];
        fputs(m->words ? "<text" : "<line stroke=\"#000\"", to);
        attribute(m->words ? "x" : "x1", m->x, to);
        attribute(m->words ? "y" : "y1", m->y, to);
        if (m->words) {
            attribute("font-size", m->size_mm, to);
            fputs(m->bold ? " font-weight=\"bold\">" : ">", to);
            escaped(m->text, to);
            fputs("</text>\n", to);
        } else {
            attribute("x2", m->x2, to);
            attribute("y2", m->y2, to);
            attribute("stroke-width", m->width, to);
            fputs("/>\n", to);
        }
    }
    fputs("</svg>\n", to);
}

/* --- PDF ----------------------------------------------------------------------------------------
 */

static cairo_status_t write_bytes(void *file, const unsigned char *bytes, unsigned length)
{
    return fwrite(bytes, 1, length, file) == length ? CAIRO_STATUS_SUCCESS
                                                    : CAIRO_STATUS_WRITE_ERROR;
}

/* The family that a reader of the SVG would get for these words: one that has their letters. */
static void family_of(const char *words, char *family, size_t size)
{
    FcChar32 letter;
    FcCharSet *letters = FcCharSetCreate();
    FcPattern *wanted = FcPatternCreate(), *found = NULL;
    FcChar8 *name = NULL;
    FcResult result;
    const char *at = words, *end = words + strlen(words);
    (void)snprintf(family, size, "sans-serif");
    for (int n; at < end && (n = FcUtf8ToUcs4((const FcChar8 *)at, &letter, (int)(end - at))) > 0;
         at += n)
        FcCharSetAddChar(letters, letter);
    FcPatternAddString(wanted, FC_FAMILY, (const FcChar8 *)"sans-serif");
    FcPatternAddCharSet(wanted, FC_CHARSET, letters);
    FcConfigSubstitute(NULL, wanted, FcMatchPattern);
    FcDefaultSubstitute(wanted);
    found = FcFontMatch(NULL, wanted, &result);
    if (found != NULL && FcPatternGetString(found, FC_FAMILY, 0, &name) == FcResultMatch)
        (void)snprintf(family, size, "%s", (const char *)name);
    if (found != NULL)
        FcPatternDestroy(found);
    FcPatternDestroy(wanted);
    FcCharSetDestroy(letters);
}

static bool is_ascii(const char *text)
{
    while (*text != '\0' && (unsigned char)*text < 0x80)
        text++;
    return *text == '\0';
}

static void draw(cairo_t *c, const nr_mark *m)
{
    if (m->words) {
        char family[128] = "sans-serif";
        if (!is_ascii(m->text))
            family_of(m->text, family, sizeof family);
        cairo_select_font_face(c, family, CAIRO_FONT_SLANT_NORMAL,
                               m->bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
        cairo_set_font_size(c, m->size_mm * POINTS_MM);
        cairo_move_to(c, m->x * POINTS_MM, m->y * POINTS_MM);
        cairo_show_text(c, m->text);
        return;
    }
    cairo_set_line_width(c, m->width * POINTS_MM);
    cairo_move_to(c, m->x * POINTS_MM, m->y * POINTS_MM);
    cairo_line_to(c, m->x2 * POINTS_MM, m->y2 * POINTS_MM);
    cairo_stroke(c);
}

nr_code nr_paper_pdf(const nr_paper *page, size_t pages, FILE *to, const char *path, nr_err *err)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        write_bytes, to, page->width_mm * POINTS_MM, page->height_mm * POINTS_MM);
    /* The oldest there is; 1.5, cairo's own choice, not every printer knows. */
    cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_4);
    cairo_t *c = cairo_create(surface);
    for (size_t p = 0; p < pages; p++) {
        for (size_t i = 0; i < page[p].count; i++)
            draw(c, &page[p].mark[i]);
        cairo_show_page(c);
    }
    cairo_status_t status = cairo_status(c);
    cairo_destroy(c);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        return NR_OK;
    return nr_fail(err, NR_BAD, path, 0, "cannot be drawn: %s", cairo_status_to_string(status));
}
