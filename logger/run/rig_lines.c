/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_lines.h"
#include "logger/base/text.h"
#include "logger/run/rig_text.h"

#include <stdlib.h>
#include <string.h>

#define SHOWN 64

typedef struct source {
    long line;
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
    else if (strlen(name) >= NR_SECTION_NAME)
        nr_rig_problem(s->problems, s->line, "[%s]: the name is longer than %d characters", heading,
                       NR_SECTION_NAME - 1);
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

static void judge_heading(source *s, const nr_rig_text_line *line, nr_rig_section *section)
{
    char heading[SHOWN], word[SHOWN];
    nr_rig_text_heading(line, heading, sizeof heading);
    size_t end = strcspn(heading, " ");
    memcpy(word, heading, end);
    word[end] = '\0';
    section->kind = section_kind(s, word, heading);
    if (section->kind != NR_SECTION_NONE)
        check_name(s, section, heading[end] ? heading + end + 1 : "", heading);
    check_doubled(s, section, heading);
}

static void open_section(source *s, const nr_rig_text_line *line)
{
    char heading[SHOWN];
    nr_rig_section section = {.kind = NR_SECTION_NONE, .line = s->line, .first = s->lines->entries};
    const nr_span after = line->value;
    nr_rig_text_heading(line, heading, sizeof heading);
    if (!line->closed)
        nr_rig_problem(s->problems, s->line, "[%s: the closing ] of the section is missing",
                       heading);
    else if (after.length > 0 && *after.at != ';' && *after.at != '#')
        nr_rig_problem(s->problems, s->line,
                       "[%s]: something follows the ]; keys go on lines of their own", heading);
    else
        judge_heading(s, line, &section);
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

static bool append_notes(nr_rig_entry *entry, nr_span more)
{
    size_t old = strlen(entry->value), size = old + more.length + 2;
    char *longer = realloc(entry->value, size);
    if (!longer)
        return false;
    entry->value = longer;
    snprintf(longer + old, size - old, "%s%.*s", old > 0 ? " " : "", (int)more.length, more.at);
    return true;
}

static bool add_entry(source *s, nr_span key, nr_span value)
{
    nr_rig_lines *lines = s->lines;
    if (!grow((void **)&lines->entry, &s->entry_room, lines->entries, sizeof *lines->entry))
        return false;
    nr_rig_entry *entry = &lines->entry[lines->entries];
    *entry = (nr_rig_entry){strndup(key.at, key.length), strndup(value.at, value.length), s->line};
    if (!entry->key || !entry->value) {
        free(entry->key), free(entry->value);
        return false;
    }
    lines->entries++;
    lines->section[lines->sections - 1].entries++;
    return true;
}

static void take_line(source *s, const nr_rig_text_line *line)
{
    char shown[SHOWN];
    switch (line->kind) {
    case NR_RIG_TEXT_NOTHING:
        break;
    case NR_RIG_TEXT_HEADING:
        open_section(s, line);
        break;
    case NR_RIG_TEXT_PAIR:
        if (s->lines->sections == 0)
            nr_rig_problem(s->problems, s->line,
                           "a key before the first section; start with a section: " SECTION_LIST);
        else
            s->out_of_memory = !add_entry(s, line->name, line->value);
        break;
    case NR_RIG_TEXT_MORE:
        if (last_entry(s))
            s->out_of_memory = !append_notes(last_entry(s), line->value);
        break;
    case NR_RIG_TEXT_OTHER:
        nr_clean(shown, sizeof shown, line->text.at, line->text.length);
        nr_rig_problem(s->problems, s->line,
                       "\"%s\" is neither a [section] nor key = value; a comment starts with ;",
                       shown);
        break;
    }
}

bool nr_rig_lines_read(const char *text, size_t length, nr_rig_lines *lines,
                       nr_rig_problems *problems)
{
    *lines = (nr_rig_lines){0};
    source s = {.lines = lines, .problems = problems};
    nr_rig_text at = nr_rig_text_of(text, length);
    const char *nul = length > 0 ? memchr(text, '\0', length) : NULL;
    for (nr_rig_text_line line; !s.out_of_memory && nr_rig_text_next(&at, &line);) {
        s.line = line.number;
        if (nul && nul < line.whole.at + line.whole.length) {
            nr_rig_lines_free(lines);
            nr_rig_problem(problems, line.number, "a zero byte: this is not a text file");
            return true;
        }
        if (!nul)
            take_line(&s, &line);
    }
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
