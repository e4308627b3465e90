/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/letters.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Advance widths of ' ' to '~' in thousandths of the text size, from the font's own table. */
static const short advance[95] = {
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361,  318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635,  611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352,  635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592,  525, 636, 337, 636, 838};
/* Of any other letter: most are narrower. A wide one takes a whole em. */
#define OTHER 0.70
#define WIDE 1.02

static size_t bytes_of(const char *text)
{
    size_t n = 1;
    while (((unsigned char)text[n] & 0xC0) == 0x80)
        n++;
    return n;
}

/* Width of the character there, over the text size. */
static double width_of(const char *text, size_t bytes)
{
    unsigned char c = (unsigned char)text[0];
    if (bytes == 1)
        return c >= ' ' && c <= '~' ? advance[c - ' '] / 1000.0 : OTHER;
    int columns = nr_columns(text, bytes);
    return columns == 0 ? 0 : columns > 1 || strncmp(text, "\u2026", bytes) == 0 ? WIDE : OTHER;
}

double nr_text_px(const char *text, double px)
{
    double wide = 0;
    for (size_t n; *text != '\0'; text += n) {
        n = bytes_of(text);
        wide += width_of(text, n);
    }
    return wide * px;
}

/* How many bytes of text, in whole characters, are at most so wide. */
static size_t px_fit(const char *text, double px, double room_px)
{
    size_t at = 0;
    double wide = 0;
    while (text[at] != '\0') {
        size_t n = bytes_of(text + at);
        wide += width_of(text + at, n) * px;
        if (wide > room_px)
            break;
        at += n;
    }
    return at;
}

/* Room for a text without control characters. */
#define CLEAN_BYTES 1024

/* The text cleaned, into to as well where it needs no cut. */
static bool fits_clean(char *to, size_t size, const char *text, double px, double room_px,
                       char clean[CLEAN_BYTES])
{
    nr_clean(clean, CLEAN_BYTES, text, strlen(text));
    if (nr_text_px(clean, px) > room_px)
        return false;
    (void)nr_copy(to, size, clean);
    return true;
}

char *nr_text_cut(char *to, size_t size, const char *text, double px, double room_px)
{
    char clean[CLEAN_BYTES];
    if (fits_clean(to, size, text, px, room_px, clean))
        return to;
    size_t cut = px_fit(clean, px, room_px - WIDE * px);
    while (cut > 0 && clean[cut - 1] == ' ')
        cut--;
    (void)snprintf(to, size, "%.*s\u2026", (int)cut, clean);
    return to;
}

char *nr_text_cut_front(char *to, size_t size, const char *text, double px, double room_px)
{
    char clean[CLEAN_BYTES];
    if (fits_clean(to, size, text, px, room_px, clean))
        return to;
    size_t from = 0;
    while (clean[from] != '\0' && nr_text_px(clean + from, px) > room_px - WIDE * px)
        from += bytes_of(clean + from);
    (void)snprintf(to, size, "\u2026%s", clean + from);
    return to;
}

char *nr_text_cut_middle(char *to, size_t size, const char *text, double px, double room_px)
{
    char clean[CLEAN_BYTES];
    if (fits_clean(to, size, text, px, room_px, clean))
        return to;
    double half = (room_px - WIDE * px) / 2;
    size_t head = px_fit(clean, px, half), from = head;
    while (clean[from] != '\0' && nr_text_px(clean + from, px) > half)
        from += bytes_of(clean + from);
    (void)snprintf(to, size, "%.*s\u2026%s", (int)head, clean, clean + from);
    return to;
}

size_t nr_text_differs_at(const char *text, const char *other)
{
    size_t same = 0;
    while (text[same] != '\0' && text[same] == other[same])
        same++;
    if (text[same] == other[same])
        return 0;
    /* Back to where the character that differs begins. */
    while (same > 0 && ((unsigned char)text[same] & 0xC0) == 0x80)
        same--;
    return same;
}

char *nr_text_cut_apart(char *to, size_t size, const char *text, double px, double room_px,
                        size_t at)
{
    char clean[CLEAN_BYTES], end[CLEAN_BYTES];
    if (fits_clean(to, size, text, px, room_px, clean))
        return to;
    size_t plain = px_fit(clean, px, room_px - WIDE * px), head = px_fit(clean, px, room_px / 3);
    while (head > 0 && clean[head - 1] == ' ')
        head--;
    (void)snprintf(end, sizeof end, "%.*s", (int)head, clean);
    double room = room_px - nr_text_px(end, px) - WIDE * px;
    /* As much of the end as fits, or from the letter before the one that differs. */
    size_t from = 0;
    while (clean[from] != '\0' && nr_text_px(clean + from, px) > room)
        from += bytes_of(clean + from);
    /* Rather a whole word than its last letters. */
    const char *blank = strchr(clean + from, ' ');
    if (blank != NULL && blank <= clean + from + 3 && (size_t)(blank - clean) < at)
        from = (size_t)(blank - clean) + 1;
    if (at < from && at > 0)
        for (from = at - 1; from > 0 && ((unsigned char)clean[from] & 0xC0) == 0x80;)
            from--;
    /* What the plain cut keeps tells it already, or there is nothing between. */
    if (at < plain || from <= head)
        return nr_text_cut(to, size, clean, px, room_px);
    (void)nr_text_cut(end, sizeof end, clean + from, px, room);
    (void)snprintf(to, size, "%.*s\u2026%s", (int)head, clean, end);
    return to;
}

/* A blank between a number and a short word, which is likely its unit ("20 °C", "6 min", "0.9 W/(m²
 * K)"), within such a unit, behind a sign or a degree's. */
static bool binds(const char *text, size_t blank)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    bool number = blank > 0 && text[blank - 1] >= '0' && text[blank - 1] <= '9';
    bool sign = blank > 1 && strncmp(text + blank - 2, "\u00b1", 2) == 0;
    bool degree = blank > 2 && strncmp(text + blank - 2, "\u00b0", 2) == 0 &&
                  text[blank - 3] >= '0' && text[blank - 3] <= '9'; /* "46.18\u00b0 N" */
    size_t open = blank;                                            /* "Btu/(h ft\u00b2 \u00b0F)" */
    while (open > 0 && text[open] != '(' && text[open] != ')')
        open--;
    bool within = open > 0 && text[open] == '(' && text[open - 1] == '/';
    return sign || degree || within || (number && strspn(text + blank + 1, letters) <= 3);
}

size_t nr_text_line(const char *text, double px, double room_px)
{
    size_t fits = px_fit(text, px, room_px), blank = fits;
    if (text[fits] == '\0')
        return fits;
    while (blank > 0 && (text[blank] != ' ' || binds(text, blank)))
        blank--;
    if (blank > 0)
        return blank;
    return fits > 0 ? fits : bytes_of(text);
}
