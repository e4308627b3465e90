/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_text.h"
#include "logger/base/text.h"

#include <string.h>

#define BYTE_ORDER_MARK "\xef\xbb\xbf"

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static nr_span trim(nr_span s)
{
    while (s.length > 0 && blank(*s.at))
        s.at++, s.length--;
    while (s.length > 0 && blank(s.at[s.length - 1]))
        s.length--;
    return s;
}

bool nr_span_is(nr_span span, const char *word)
{
    return strlen(word) == span.length &&
           (span.length == 0 || memcmp(span.at, word, span.length) == 0);
}

nr_rig_text nr_rig_text_of(const char *text, size_t length)
{
    return (nr_rig_text){.next = text, .end = text + length};
}

/* Where a comment behind something begins: at a ; with a blank before it. */
static size_t before_comment(nr_span s)
{
    for (size_t i = 1; i < s.length; i++)
        if (s.at[i] == ';' && blank(s.at[i - 1]))
            return i;
    return s.length;
}

static void take_heading(nr_rig_text_line *line)
{
    nr_span s = line->text;
    const char *close = memchr(s.at, ']', s.length);
    line->kind = NR_RIG_TEXT_HEADING;
    line->closed = close != NULL;
    size_t inside = close ? (size_t)(close - s.at) - 1 : s.length - 1;
    line->name = trim((nr_span){s.at + 1, inside});
    if (close)
        line->value = trim((nr_span){close + 1, s.length - inside - 2});
}

static void take_pair(nr_rig_text_line *line)
{
    nr_span s = line->text;
    size_t key = 0, most = before_comment(s);
    while (key < most && s.at[key] != '=' && s.at[key] != ':')
        key++;
    if (key == most) {
        line->kind = NR_RIG_TEXT_OTHER;
        return;
    }
    nr_span value = {s.at + key + 1, s.length - key - 1};
    value.length = before_comment(value);
    line->kind = NR_RIG_TEXT_PAIR;
    line->name = trim((nr_span){s.at, key});
    line->value = trim(value);
}

static void judge(nr_rig_text *t, nr_rig_text_line *line, size_t indent)
{
    nr_span s = line->text;
    if (s.length == 0 || *s.at == ';' || *s.at == '#')
        return;
    if (t->in_notes && indent > t->indent) {
        line->kind = NR_RIG_TEXT_MORE;
        s.length = before_comment(s);
        line->value = trim(s);
    } else if (*s.at == '[') {
        take_heading(line);
        t->in_section = true;
        t->in_notes = false;
    } else {
        take_pair(line);
        if (line->kind == NR_RIG_TEXT_PAIR) {
            t->in_notes = t->in_section && nr_span_is(line->name, "notes");
            t->indent = indent;
        }
    }
}

bool nr_rig_text_next(nr_rig_text *t, nr_rig_text_line *line)
{
    if (t->next >= t->end)
        return false;
    size_t left = (size_t)(t->end - t->next);
    const char *stop = memchr(t->next, '\n', left);
    nr_span whole = {t->next, stop ? (size_t)(stop + 1 - t->next) : left};
    nr_span text = {whole.at, whole.length - (stop != NULL)};
    *line = (nr_rig_text_line){.number = ++t->number, .whole = whole, .line_break = stop != NULL};
    line->crlf = stop && text.length > 0 && text.at[text.length - 1] == '\r';
    t->next += whole.length;
    if (t->number == 1 && text.length >= 3 && memcmp(text.at, BYTE_ORDER_MARK, 3) == 0)
        text = (nr_span){text.at + 3, text.length - 3};
    line->text = trim(text);
    judge(t, line, (size_t)(line->text.at - text.at));
    return true;
}

void nr_rig_text_heading(const nr_rig_text_line *line, char *out, size_t size)
{
    size_t used = 0, at = 0;
    nr_span s = line->name;
    out[0] = '\0';
    while (at < s.length && used + 1 < size) {
        size_t from = at;
        while (at < s.length && !blank(s.at[at]))
            at++;
        nr_clean(out + used, size - used, s.at + from, at - from);
        used += strlen(out + used);
        while (at < s.length && blank(s.at[at]))
            at++;
        if (at < s.length && used + 1 < size)
            nr_copy(out + used++, 2, " ");
    }
}
