/* SPDX-License-Identifier: GPL-3.0-or-later */
/* inih splits lines into keys and values; which line it is at, it does not say (Debian builds it
 * without that), and it cuts long lines in two and long section names short. So the reader we hand
 * it counts the lines, keeps the section headings itself and holds back what inih would misread. */
#include "logger/run/rig_lines.h"
#include "logger/base/text.h"

#include <ini.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define MOST_PROBLEMS 100u /* kept; a file that is no rig file would have thousands */
#define SHOWN 64

typedef struct source {
    const char *next, *end;
    long line;
    size_t indent;     /* of the current line */
    size_t key_indent; /* of the last key's line */
    bool continuation; /* the line goes on with the notes above it */
    bool out_of_memory;
    size_t section_room, entry_room;
    nr_rig_lines *lines;
    nr_rig_problems *problems;
} source;

static bool grow(void **array, size_t *room, size_t used, size_t item)
{
    if (used < *room)
        return true;
    size_t more = *room ? 2 * *room : 32;
    void *grown = realloc(*array, more * item);
    if (!grown)
        return false;
    *array = grown;
    *room = more;
    return true;
}

void nr_rig_problem(nr_rig_problems *problems, long line, const char *format, ...)
{
    char text[NR_ERR_TEXT];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    problems->count++;
    if (problems->kept == MOST_PROBLEMS ||
        !grow((void **)&problems->found, &problems->room, problems->kept, sizeof *problems->found))
        return;
    struct nr_rig_found *found = &problems->found[problems->kept];
    *found = (struct nr_rig_found){line, strdup(text)};
    problems->kept += found->text != NULL;
}

static bool later(long a, long b)
{
    return b > 0 && (a > b || a == 0); /* what has no line comes last */
}

/* By line; what was found first stays first (the array is short, and qsort is not stable). */
static void sort(nr_rig_problems *problems)
{
    for (size_t i = 1; i < problems->kept; i++) {
        struct nr_rig_found now = problems->found[i];
        size_t j = i;
        for (; j > 0 && later(problems->found[j - 1].line, now.line); j--)
            problems->found[j] = problems->found[j - 1];
        problems->found[j] = now;
    }
}

nr_code nr_rig_problems_tell(nr_rig_problems *problems, const char *path, const nr_sink *sink,
                             nr_err *err)
{
    nr_code code = problems->count > 0 ? NR_BAD : NR_OK;
    sort(problems);
    if (code != NR_OK)
        nr_fail(err, code, path, problems->kept > 0 ? problems->found[0].line : 0, "%s",
                problems->kept > 0 ? problems->found[0].text : "not enough memory");
    for (size_t i = 0; i < problems->kept; i++) {
        const struct nr_rig_found *found = &problems->found[i];
        if (found->line > 0)
            nr_say(sink, "%s:%ld: %s", path, found->line, found->text);
        else
            nr_say(sink, "%s: %s", path, found->text);
        free(found->text);
    }
    if (problems->count > problems->kept)
        nr_say(sink, "%s: and %zu problems more", path, problems->count - problems->kept);
    free(problems->found);
    *problems = (nr_rig_problems){0};
    return code;
}

static const char *const section_names[] = {"test",  "site",    "collector",
                                            "store", "adapter", "channel"};
#define SECTION_LIST                                                                               \
    "[test], [site], [collector], [store], [adapter], [channel NAME], or [collector NAME], "       \
    "[store "                                                                                      \
    "NAME], [adapter NAME] where there are several"

const char *nr_rig_section_name(nr_rig_section_kind kind)
{
    return kind < NR_SECTION_KINDS ? section_names[kind] : "";
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edit distance with swapped neighbours as one edit; words longer than a key count as far away. */
static size_t distance(const char *a, const char *b)
{
    size_t n = strlen(a), m = strlen(b);
    size_t row[3][NR_NAME + 1];
    if (n > NR_NAME || m > NR_NAME)
        return SIZE_MAX;
    for (size_t j = 0; j <= m; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *now = row[i % 3], *before = row[(i + 2) % 3], *two_before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= m; j++) {
            now[j] =
                least(least(before[j], now[j - 1]) + 1, before[j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], two_before[j - 2] + 1);
        }
    }
    return row[n % 3][m];
}

const char *nr_rig_nearest(const char *word, const char *const *list, size_t count)
{
    const char *best = NULL;
    size_t best_distance = strlen(word) / 3 + 1; /* more edits than that is another word */
    for (size_t i = 0; i < count; i++) {
        size_t d = distance(word, list[i]);
        if (d < best_distance || (d == best_distance && !best)) {
            best = list[i];
            best_distance = d;
        }
    }
    return best;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static bool good_name(const char *name)
{
    if (!((name[0] >= 'a' && name[0] <= 'z') || (name[0] >= 'A' && name[0] <= 'Z')))
        return false;
    for (const char *p = name; *p; p++)
        if (!((*p >= 'a' && *p <= 'z') || (*p >= 'A' && *p <= 'Z') || (*p >= '0' && *p <= '9') ||
              *p == '_' || *p == '-'))
            return false;
    return true;
}

static nr_rig_section_kind section_kind(source *s, const char *word, const char *heading)
{
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++)
        if (strcmp(word, section_names[kind]) == 0)
            return (nr_rig_section_kind)kind;
    const char *near = nr_rig_nearest(word, section_names, NR_SECTION_KINDS);
    nr_rig_problem(s->problems, s->line, "[%s]: there is no such section%s%s%s; use %s", heading,
                   near ? ", did you mean [" : "", near ? near : "", near ? "]" : "", SECTION_LIST);
    return NR_SECTION_NONE;
}

static void check_name(source *s, nr_rig_section *section, const char *name, const char *heading)
{
    bool may = section->kind >= NR_SECTION_COLLECTOR && section->kind <= NR_SECTION_CHANNEL;
    const char *word = nr_rig_section_name(section->kind);
    if (name[0] && !may)
        nr_rig_problem(s->problems, s->line, "[%s]: this section takes no name; write [%s]",
                       heading, word);
    else if (!name[0] && section->kind == NR_SECTION_CHANNEL)
        nr_rig_problem(s->problems, s->line,
                       "[channel]: which channel? Write its name, as in [channel store]");
    else if (name[0] && !good_name(name))
        nr_rig_problem(
            s->problems, s->line,
            "[%s]: a name starts with a letter and goes on with letters, digits, _ and -", heading);
    else if (strlen(name) >= 40)
        nr_rig_problem(s->problems, s->line, "[%s]: the name is longer than 39 characters",
                       heading);
    else {
        nr_copy(section->name, sizeof section->name, name);
        return;
    }
    section->kind = NR_SECTION_NONE;
}

static void check_doubled(source *s, nr_rig_section *section, const char *heading)
{
    for (size_t i = 0; i < s->lines->sections; i++) {
        const nr_rig_section *other = &s->lines->section[i];
        if (section->kind == NR_SECTION_NONE || other->kind != section->kind ||
            strcmp(other->name, section->name) != 0)
            continue;
        nr_rig_problem(s->problems, s->line,
                       "[%s]: this section is already on line %ld; put all its keys there", heading,
                       other->line);
        section->kind = NR_SECTION_NONE;
    }
}

/* line: from its '[' on, without the line break. */
static void open_section(source *s, const char *line, size_t length)
{
    char heading[SHOWN];
    nr_rig_section section = {.kind = NR_SECTION_NONE, .line = s->line, .first = s->lines->entries};
    const char *close = memchr(line, ']', length);
    size_t inside = close ? (size_t)(close - line) - 1 : length - 1;
    nr_clean(heading, sizeof heading, line + 1, inside);
    nr_trim(heading);
    size_t after = close ? inside + 2 : length;
    while (after < length && is_blank(line[after]))
        after++;
    if (!close)
        nr_rig_problem(s->problems, s->line, "[%s: the closing ] of the section is missing",
                       heading);
    else if (after < length && line[after] != ';' && line[after] != '#')
        nr_rig_problem(s->problems, s->line,
                       "[%s]: something follows the ]; keys go on lines of their own", heading);
    else {
        char word[SHOWN];
        size_t end = strcspn(heading, " \t");
        memcpy(word, heading, end);
        word[end] = '\0';
        section.kind = section_kind(s, word, heading);
        if (section.kind != NR_SECTION_NONE)
            check_name(s, &section, heading + end + strspn(heading + end, " \t"), heading);
        check_doubled(s, &section, heading);
    }
    if (!grow((void **)&s->lines->section, &s->section_room, s->lines->sections, sizeof section)) {
        s->out_of_memory = true;
        return;
    }
    s->lines->section[s->lines->sections++] = section;
}

static nr_rig_entry *last_entry(const source *s)
{
    const nr_rig_lines *lines = s->lines;
    if (lines->sections == 0 || lines->section[lines->sections - 1].entries == 0)
        return NULL;
    return &lines->entry[lines->entries - 1];
}

/* Only notes go on over lines: elsewhere an indented line is a line like any other. */
static bool continues(const source *s)
{
    const nr_rig_entry *last = last_entry(s);
    return last && strcmp(last->key, "notes") == 0 && s->indent > s->key_indent;
}

/* True when inih may see the line; false: it was dealt with here. */
static bool examine(source *s, const char *line, size_t length, int room)
{
    s->continuation = false;
    if (length == 0 || *line == ';' || *line == '#')
        return false;
    if ((long)length + (long)s->indent + 2 >= room) {
        nr_rig_problem(s->problems, s->line,
                       "the line is too long; keep it below %d characters (long notes may go on "
                       "in further, indented lines)",
                       room - 3);
        return false;
    }
    if (continues(s)) {
        s->continuation = true;
        return true;
    }
    if (*line == '[') {
        open_section(s, line, length);
        return true;
    }
    if (!memchr(line, '=', length) && !memchr(line, ':', length)) {
        char shown[SHOWN];
        nr_clean(shown, sizeof shown, line, length);
        nr_rig_problem(s->problems, s->line,
                       "\"%s\" is neither a [section] nor key = value; a comment starts with ;",
                       shown);
        return false;
    }
    return true;
}

/* inih's fgets: one line without its indentation (but for notes that go on), or an empty line in
 * place of what inih is not to see. */
static char *next_line(char *out, int room, void *stream)
{
    source *s = stream;
    if (s->next >= s->end || s->out_of_memory || room < 4)
        return NULL;
    const char *start = s->next;
    const char *stop = memchr(start, '\n', (size_t)(s->end - start));
    s->next = stop ? stop + 1 : s->end;
    size_t length = (size_t)((stop ? stop : s->end) - start);
    s->line++;
    s->indent = 0;
    while (length > 0 && is_blank(*start))
        start++, length--, s->indent++;
    while (length > 0 && is_blank(start[length - 1]))
        length--;
    size_t used = 0;
    if (examine(s, start, length, room)) {
        if (s->continuation)
            out[used++] = ' ';
        memcpy(out + used, start, length);
        used += length;
    }
    out[used] = '\n';
    out[used + 1] = '\0';
    return out;
}

static bool append_notes(nr_rig_entry *entry, const char *value)
{
    size_t old = strlen(entry->value), size = old + strlen(value) + 2;
    char *longer = realloc(entry->value, size);
    if (!longer)
        return false;
    snprintf(longer + old, size - old, "%s%s", old > 0 ? " " : "", value);
    entry->value = longer;
    return true;
}

static bool add_entry(source *s, const char *key, const char *value)
{
    nr_rig_lines *lines = s->lines;
    if (!grow((void **)&lines->entry, &s->entry_room, lines->entries, sizeof *lines->entry))
        return false;
    nr_rig_entry *entry = &lines->entry[lines->entries];
    *entry = (nr_rig_entry){strdup(key), strdup(value), s->line};
    if (!entry->key || !entry->value) {
        free(entry->key), free(entry->value);
        return false;
    }
    lines->entries++;
    lines->section[lines->sections - 1].entries++;
    s->key_indent = s->indent;
    return true;
}

static int on_pair(void *user, const char *section, const char *key, const char *value
#if INI_HANDLER_LINENO
                   ,
                   int line
#endif
)
{
    source *s = user;
    (void)section;
#if INI_HANDLER_LINENO
    (void)line; /* ours is the same and is there in every build */
#endif
    if (s->out_of_memory)
        return 1;
    if (s->continuation && last_entry(s))
        s->out_of_memory = !append_notes(last_entry(s), value);
    else if (s->lines->sections == 0)
        nr_rig_problem(s->problems, s->line,
                       "a key before the first section; start with a section: " SECTION_LIST);
    else
        s->out_of_memory = !add_entry(s, key, value);
    return 1;
}

bool nr_rig_lines_read(const char *text, size_t length, nr_rig_lines *lines,
                       nr_rig_problems *problems)
{
    *lines = (nr_rig_lines){0};
    if (length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0) {
        text += 3;
        length -= 3;
    }
    source s = {.next = text, .end = text + length, .lines = lines, .problems = problems};
    const char *nul = length > 0 ? memchr(text, '\0', length) : NULL;
    if (nul) {
        long line = 1;
        for (const char *p = text; p < nul; p++)
            line += *p == '\n';
        nr_rig_problem(problems, line, "a zero byte: this is not a text file");
        return true;
    }
    int result = ini_parse_stream(next_line, &s, on_pair, &s);
    if (result < 0)
        s.out_of_memory = true;
    else if (result > 0 && problems->count == 0)
        nr_rig_problem(problems, result, "neither a [section] nor key = value");
    return !s.out_of_memory;
}

void nr_rig_lines_free(nr_rig_lines *lines)
{
    for (size_t i = 0; i < lines->entries; i++)
        free(lines->entry[i].key), free(lines->entry[i].value);
    free(lines->entry);
    free(lines->section);
    *lines = (nr_rig_lines){0};
}
