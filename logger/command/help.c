/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/command/command.h"

#include "logger/base/paragraph.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Where the explanations of options stand; what is longer has a line of its own. */
#define MARGIN 22

/* Paragraphs parted by empty lines. */
static void paragraphs(FILE *to, const char *text)
{
    while (*text) {
        const char *end = strstr(text, "\n\n");
        size_t length = end ? (size_t)(end - text) : strlen(text);
        char *one = strndup(text, length);
        if (one)
            nr_paragraph(to, "", one);
        free(one);
        text += length;
        if (end) {
            fputc('\n', to);
            text += 2;
        }
    }
}

/* "  -o, --output FILE" */
static size_t spelled(char *out, size_t size, const nr_option *o)
{
    char letter[8] = "";
    if (o->letter)
        snprintf(letter, sizeof letter, "-%c, ", o->letter);
    int n = snprintf(out, size, "  %s--%s%s%s", letter, o->name, o->value ? " " : "",
                     o->value ? o->value : "");
    return n < 0 ? 0 : (size_t)n;
}

static void option_line(FILE *to, const nr_option *o)
{
    char begin[120], blanks[MARGIN + 1];
    size_t length = spelled(begin, sizeof begin, o);
    snprintf(blanks, sizeof blanks, "%*s", MARGIN, "");
    if (!o->help) {
        fprintf(to, "%s\n", begin);
    } else if (length + 2 > MARGIN) {
        fprintf(to, "%s\n", begin);
        nr_paragraph(to, blanks, o->help);
    } else {
        snprintf(begin + length, sizeof begin - length, "%*s", (int)(MARGIN - length), "");
        nr_paragraph(to, begin, o->help);
    }
}

void nr_command_help(FILE *to, const nr_program *program, const nr_command *command)
{
    char usage[80];
    bool options =
        (command->groups && command->groups->option) || (program->everywhere && !command->alone);
    snprintf(usage, sizeof usage, "Usage: %s %s ", program->name, command->name);
    char rest[400];
    snprintf(rest, sizeof rest, "%s%s%s", command->arguments,
             options && *command->arguments ? " " : "", options ? "[options]" : "");
    if (*rest)
        nr_paragraph(to, usage, rest);
    else
        fprintf(to, "%.*s\n", (int)strlen(usage) - 1, usage);
    fputc('\n', to);
    paragraphs(to, command->about);
    if (options)
        fputc('\n', to);
    for (const nr_option_group *g = command->groups; g && g->option; g++)
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++)
            if (o->kind == NR_OPTION_HEADING)
                nr_paragraph(to, "", o->name);
            else
                option_line(to, o);
    if (program->everywhere && !command->alone)
        option_line(to, program->everywhere);
    if (command->more_help) {
        fputc('\n', to);
        command->more_help(to);
    }
    if (command->epilogue) {
        fputc('\n', to);
        paragraphs(to, command->epilogue);
    }
    if (command->examples)
        fprintf(to, "\nExample:\n%s", command->examples);
}

static const char *const word_name[] = {"", "run", "rig", "port", "file"};

void nr_command_complete(FILE *to, const nr_program *program, const nr_command *command)
{
    if (!command) {
        for (size_t i = 0; i < program->commands; i++)
            fprintf(to, "%s\n", program->command[i]->name);
        fprintf(to, "--help\n--version\n");
        return;
    }
    fprintf(to, "<1> %s\n<2> %s\n", word_name[command->word[0]], word_name[command->word[1]]);
    for (const nr_option_group *g = command->groups; g && g->option; g++)
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++) {
            if (o->kind == NR_OPTION_HEADING)
                continue;
            fprintf(to, "--%s %s\n", o->name, o->value ? o->value : "");
            if (o->letter)
                fprintf(to, "-%c %s\n", o->letter, o->value ? o->value : "");
        }
    if (program->everywhere && !command->alone)
        fprintf(to, "--%s %s\n", program->everywhere->name, program->everywhere->value);
    fprintf(to, "--help \n");
}

/* Hyphens of options as troff wants them. */
static void troff(FILE *to, const char *text)
{
    for (; *text; text++) {
        if (*text == '-')
            fputc('\\', to);
        fputc(*text, to);
    }
}

void nr_command_synopsis(FILE *to, const nr_program *program)
{
    for (size_t i = 0; i < program->commands; i++) {
        const nr_command *c = program->command[i];
        fprintf(to, "%s.B %s %s\n", i ? ".br\n" : "", program->name, c->name);
        if (*c->arguments) {
            troff(to, c->arguments);
            fputc('\n', to);
        }
        if (c->groups && c->groups->option)
            fprintf(to, "[options]\n");
    }
}
