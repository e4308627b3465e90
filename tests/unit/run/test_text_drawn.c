/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grammar of rig.ini read a second time, by the words of rig_text.h and with the C library's
 * own string functions, on drawn files: every member of every line. */
#include "logger/run/rig_text.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#define FILES 400
#define BLANKS " \t\r"

static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

/* Pieces that lines are made of; those that mean something are the most. */
static void draw_file(char *to, size_t size)
{
    static const char *const pieces[] = {" ",
                                         "  ",
                                         "\t",
                                         "\r",
                                         "\n",
                                         "\n",
                                         "\n ",
                                         "\n  ",
                                         ";",
                                         " ; ",
                                         "#",
                                         "[",
                                         "]",
                                         "=",
                                         ":",
                                         "notes",
                                         "\nnotes=",
                                         "\n[a b]\n",
                                         "\r\n",
                                         "ab",
                                         "x",
                                         "\"",
                                         "\n \t notes :",
                                         "[ c \t\t d ]",
                                         "\xef\xbb\xbf"};
    unsigned count = draw(40);
    to[0] = '\0';
    if (draw(4) == 0)
        strcat(to, "\xef\xbb\xbf");
    while (count-- > 0) {
        const char *piece = pieces[draw(sizeof pieces / sizeof *pieces)];
        ck_assert_uint_lt(strlen(to) + strlen(piece), size);
        strcat(to, piece);
    }
}

/* Without blanks at both ends, in place. */
static char *stripped(char *text)
{
    text += strspn(text, BLANKS);
    size_t n = strlen(text);
    while (n > 0 && strchr(BLANKS, text[n - 1]))
        text[--n] = '\0';
    return text;
}

/* A comment behind something begins at a ; that a blank stands before: cut off there. */
static void uncomment(char *text)
{
    for (char *p = text; (p = strchr(p, ';')) != NULL; p++)
        if (p > text && strchr(BLANKS, p[-1])) {
            *p = '\0';
            return;
        }
}

typedef struct reading {
    bool section, notes;
    size_t indent;
} reading;

typedef struct expected {
    nr_rig_text_kind kind;
    char *text, *name, *value; /* name and value: NULL: none */
    bool closed;
} expected;

static void expect_heading(expected *e, char *text)
{
    char *end = strchr(text, ']');
    e->kind = NR_RIG_TEXT_HEADING;
    e->closed = end != NULL;
    if (end) {
        *end = '\0';
        e->value = stripped(end + 1);
    }
    e->name = stripped(text + 1);
}

static void expect_pair(expected *e, char *text)
{
    char head[600];
    snprintf(head, sizeof head, "%s", text);
    uncomment(head);
    size_t key = strcspn(head, "=:");
    if (head[key] == '\0') {
        e->kind = NR_RIG_TEXT_OTHER;
        return;
    }
    e->kind = NR_RIG_TEXT_PAIR;
    text[key] = '\0';
    e->name = stripped(text);
    uncomment(text + key + 1);
    e->value = stripped(text + key + 1);
}

/* line: without its line break and mark; room: the same again, for name and value. */
static void expect(reading *r, char *line, char *room, expected *e)
{
    size_t indent = strspn(line, BLANKS);
    *e = (expected){.kind = NR_RIG_TEXT_NOTHING};
    e->text = stripped(line);
    char *own = strcpy(room, e->text);
    if (!*own || strchr(";#", *own))
        return;
    if (r->notes && indent > r->indent) {
        e->kind = NR_RIG_TEXT_MORE;
        uncomment(own);
        e->value = stripped(own);
    } else if (*own == '[') {
        expect_heading(e, own);
        r->section = true;
        r->notes = false;
    } else {
        expect_pair(e, own);
        if (e->kind == NR_RIG_TEXT_PAIR) {
            r->notes = r->section && strcmp(e->name, "notes") == 0;
            r->indent = indent;
        }
    }
}

static void same(nr_span span, const char *text, const char *what, const char *file)
{
    bool is = text ? span.length == strlen(text) && strncmp(span.at, text, span.length) == 0
                   : span.length == 0;
    ck_assert_msg(is, "%s is \"%.*s\", not \"%s\", in:\n%s", what, (int)span.length,
                  span.length ? span.at : "", text ? text : "", file);
    ck_assert(nr_span_is(span, text ? text : "") && !nr_span_is(span, "notes and more"));
}

START_TEST(every_line_of_drawn_files)
{
    unsigned seen[NR_RIG_TEXT_OTHER + 1] = {0};
    state = 11;
    for (int i = 0; i < FILES; i++) {
        char file[600], copy[600], own[600];
        draw_file(file, sizeof file);
        size_t length = strlen(file);
        char *exact = malloc(length + !length); /* so that what reads behind it is seen */
        memcpy(exact, file, length);
        nr_rig_text t = nr_rig_text_of(exact, length);
        reading r = {0};
        nr_rig_text_line line;
        long number = 0;
        for (const char *at = file; *at; number++) {
            size_t size = strcspn(at, "\n"), mark = 0;
            bool stop = at[size] == '\n';
            ck_assert(nr_rig_text_next(&t, &line));
            ck_assert_int_eq(line.number, number + 1);
            ck_assert_ptr_eq(line.whole.at, exact + (at - file));
            ck_assert_uint_eq(line.whole.length, size + stop);
            ck_assert(line.line_break == stop);
            ck_assert(line.crlf == (stop && size > 0 && at[size - 1] == '\r'));
            if (number == 0 && strncmp(at, "\xef\xbb\xbf", 3) == 0)
                mark = 3;
            snprintf(copy, sizeof copy, "%.*s", (int)(size - mark), at + mark);
            expected e;
            expect(&r, copy, own, &e);
            ck_assert_msg(line.kind == e.kind, "line %ld is %d in:\n%s", number + 1, line.kind,
                          file);
            same(line.text, e.text, "text", file);
            same(line.name, e.name, "name", file);
            same(line.value, e.value, "value", file);
            ck_assert(line.closed == e.closed);
            seen[e.kind]++;
            at += size + stop;
        }
        ck_assert(!nr_rig_text_next(&t, &line) && !nr_rig_text_next(&t, &line));
        free(exact);
    }
    for (int kind = 0; kind <= NR_RIG_TEXT_OTHER; kind++)
        ck_assert_uint_gt(seen[kind], 50);
}
END_TEST

/* Words with one blank between them, cut to whatever room there is. */
START_TEST(headings_in_any_room)
{
    static const char *const names[] = {"",
                                        "a",
                                        "channel store",
                                        " channel \t store ",
                                        "a b",
                                        ("a\x01"
                                         "b c"),
                                        "a  b\r c   d",
                                        "\t"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char copy[64], joined[64] = "", *rest = copy;
        snprintf(copy, sizeof copy, "%s", names[i]);
        for (char *word; (word = strsep(&rest, BLANKS)) != NULL;)
            if (*word) {
                strcat(joined, joined[0] ? " " : "");
                strcat(joined, word);
            }
        for (char *p = joined; *p; p++)
            *p = *p == '\x01' ? '?' : *p;
        nr_span name = {names[i], strlen(names[i])};
        name.at += strspn(name.at, BLANKS); /* a heading's name is handed over without blanks */
        name.length -= (size_t)(name.at - names[i]);
        while (name.length > 0 && strchr(BLANKS, name.at[name.length - 1]))
            name.length--;
        nr_rig_text_line line = {.name = name};
        for (size_t size = 1; size <= strlen(joined) + 2; size++) {
            char *out = malloc(size), wanted[64];
            snprintf(wanted, sizeof wanted, "%.*s", (int)size - 1, joined);
            nr_rig_text_heading(&line, out, size);
            ck_assert_str_eq(out, wanted);
            free(out);
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_line_of_drawn_files, headings_in_any_room, NULL};
    return run_tests("text_drawn", tests);
}
