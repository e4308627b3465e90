/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/glyphs.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SQUARE 0x25A1
static const char square[] = "\u25a1";

bool nr_glyphs_read(nr_glyphs *g, const char *text)
{
    while (*text != '\0') {
        if (!isxdigit((unsigned char)*text)) {
            text++;
            continue;
        }
        char *end;
        unsigned long first = strtoul(text, &end, 16), last = first;
        if (*end == '-' && isxdigit((unsigned char)end[1]))
            last = strtoul(end + 1, &end, 16);
        text = end;
        if (last < first || last > 0x10FFFF)
            continue;
        /* Room is doubled at powers of two. */
        if ((g->count & (g->count - 1)) == 0) {
            size_t room = g->count > 0 ? 2 * g->count : 1;
            void *more = realloc(g->range, room * sizeof *g->range);
            if (more == NULL)
                return false;
            g->range = more;
        }
        g->range[g->count][0] = (uint32_t)first;
        g->range[g->count++][1] = (uint32_t)last;
    }
    return true;
}

bool nr_glyphs_installed(nr_glyphs *g)
{
    bool good = true;
    char *line = NULL;
    size_t size = 0;
    FILE *from = popen("fc-list -f '%{charset}\\n' 2>/dev/null", "re");
    if (from == NULL)
        return false;
    while (good && getline(&line, &size, from) > 0)
        good = nr_glyphs_read(g, line);
    free(line);
    good = pclose(from) == 0 && good;
    return good && g->count > 0;
}

void nr_glyphs_free(nr_glyphs *g)
{
    free(g->range);
    *g = (nr_glyphs){0};
}

/* The character there, and its bytes; text is UTF-8 (nr_clean has seen to what comes from outside).
 */
static uint32_t character(const char *text, size_t *bytes)
{
    unsigned char c = (unsigned char)text[0];
    size_t n = c < 0xC0 ? 1 : c < 0xE0 ? 2 : c < 0xF0 ? 3 : 4;
    uint32_t code = n == 1 ? c : c & (0x7FU >> n);
    for (*bytes = 1; *bytes < n && ((unsigned char)text[*bytes] & 0xC0) == 0x80; ++*bytes)
        code = code << 6 | ((unsigned char)text[*bytes] & 0x3F);
    return code;
}

/* Latin, the eta of an efficiency, and signs. */
static bool is_ours(uint32_t code)
{
    return code < 0x180 || code == 0x3B7 || (code >= 0x2000 && code < 0x2600);
}

bool nr_glyphs_wanted(const char *text)
{
    for (size_t n; *text != '\0'; text += n)
        if (!is_ours(character(text, &n)))
            return true;
    return false;
}

static bool has(const nr_glyphs *g, uint32_t code)
{
    for (size_t i = 0; i < g->count; i++)
        if (code >= g->range[i][0] && code <= g->range[i][1])
            return true;
    return false;
}

size_t nr_glyphs_replace(const nr_glyphs *g, char *text)
{
    size_t replaced = 0;
    const char *in = has(g, SQUARE) ? square : "?";
    char *to = text;
    for (size_t n; *text != '\0'; text += n) {
        uint32_t code = character(text, &n);
        bool keep = is_ours(code) || has(g, code);
        const char *from = keep ? text : strlen(in) <= n ? in : "?";
        size_t bytes = keep ? n : strlen(from);
        memmove(to, from, bytes);
        to += bytes;
        replaced += !keep;
    }
    *to = '\0';
    return replaced;
}
