/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/command/command.h"

#include <string.h>

/* The option that `name` of this length begins, as getopt_long takes it: its whole name, or a
 * beginning that no other option has. */
static const nr_option *named(const nr_command *command, const char *name, size_t length)
{
    const nr_option *only = NULL;
    size_t begins = 0;
    for (const nr_option_group *g = command->groups; g && g->option; g++) {
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++) {
            if (o->kind == NR_OPTION_HEADING || strncmp(o->name, name, length))
                continue;
            if (strlen(o->name) == length)
                return o;
            begins++;
            only = o;
        }
    }
    return begins == 1 ? only : NULL;
}

static const nr_option *lettered(const nr_command *command, char letter)
{
    for (const nr_option_group *g = command->groups; g && g->option; g++)
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++)
            if (o->kind != NR_OPTION_HEADING && o->letter == letter)
                return o;
    return NULL;
}

static bool takes_value(const nr_option *o)
{
    return o->kind != NR_OPTION_ON && o->kind != NR_OPTION_OFF;
}

/* argv[*i] begins with a dash: what it is, with *i moved to where its value stands. */
static nr_found option_at(const nr_command *command, int argc, char **argv, int *i)
{
    const char *text = argv[*i];
    bool is_long = text[1] == '-';
    size_t length = is_long ? strcspn(text + 2, "=") : 1;
    nr_found f = {.option = is_long ? named(command, text + 2, length) : lettered(command, text[1]),
                  .index = *i};
    if (!f.option || !takes_value(f.option))
        return f;
    size_t behind = is_long ? 2 + length : 2;
    if (text[behind]) {
        f.from = behind + is_long; /* past the "=" */
    } else if (*i + 1 < argc) {
        f.index = ++*i;
        f.from = 0;
    } else {
        f.option = NULL;
        return f;
    }
    f.value = argv[f.index] + f.from;
    return f;
}

void nr_command_scan(const nr_command *command, int argc, char **argv,
                     void (*found)(void *context, const nr_found *found), void *context)
{
    bool words_only = false;
    for (int i = 1; i < argc; i++) {
        nr_found f = {.index = i, .value = argv[i]};
        if (!words_only && !strcmp(argv[i], "--")) {
            words_only = true;
            continue;
        }
        if (!words_only && argv[i][0] == '-' && argv[i][1]) {
            f = option_at(command, argc, argv, &i);
            if (!f.option)
                continue;
        }
        found(context, &f);
    }
}
