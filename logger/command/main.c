/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/command/command.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <stdio.h>
#include <string.h>

static void help(FILE *to, const nr_program *program)
{
    size_t widest = 0;
    for (size_t i = 0; i < program->commands; i++) {
        size_t length = strlen(program->command[i]->name);
        widest = length > widest ? length : widest;
    }
    fprintf(to, "%s %s - %s\n\nUsage: %s COMMAND ...\n\n", program->name, NOONRUN_VERSION,
            program->purpose, program->name);
    for (size_t i = 0; i < program->commands; i++) {
        char begin[40];
        snprintf(begin, sizeof begin, "  %-*s  ", (int)widest, program->command[i]->name);
        nr_paragraph(to, begin, program->command[i]->summary);
    }
    fprintf(to, "\n`%s COMMAND --help` explains one command.\n", program->name);
    nr_paragraph(to, "", program->epilogue);
}

static const nr_command *find(const nr_program *program, const char *name)
{
    for (size_t i = 0; i < program->commands; i++)
        if (!strcmp(program->command[i]->name, name))
            return program->command[i];
    return NULL;
}

static bool is_help(const char *word)
{
    return !strcmp(word, "--help") || !strcmp(word, "-h");
}

/* Anywhere before "--": whoever asks for help in the middle of a line means it. */
static bool wants_help(int argc, char **argv)
{
    for (int i = 2; i < argc && strcmp(argv[i], "--"); i++)
        if (is_help(argv[i]))
            return true;
    return false;
}

static const nr_option *option_named(const nr_command *command, const char *name, size_t length)
{
    for (const nr_option_group *g = command->groups; g && g->option; g++)
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++)
            if (o->kind != NR_OPTION_HEADING && strlen(o->name) == length &&
                !strncmp(o->name, name, length))
                return o;
    return NULL;
}

/* An answer names what of its question is missing or wrong; here it is said how that is asked, of
 * which command, and where options are explained, as nr_usage does for what a command sees itself.
 */
static void tell_how(const nr_command *command, nr_err *err)
{
    nr_err said = *err;
    char how[200] = "";
    for (const char *word = said.asked; *word;) {
        size_t length = strcspn(word, ","), used = strlen(how);
        const nr_option *o = option_named(command, word, length);
        if (o)
            (void)snprintf(how + used, sizeof how - used, "%s--%s%s%s", used ? ", " : " (", o->name,
                           o->value ? " " : "", o->value ? o->value : "");
        word += length + (word[length] == ',');
    }
    if (how[0] && said.code == NR_BAD && !said.file[0])
        nr_usage(err, command, "%s%s)", said.text, how);
    else if (how[0])
        (void)snprintf(err->text + strlen(err->text), sizeof err->text - strlen(err->text), "%s)",
                       how);
}

/* Takes the program's own option off the line; its value, or NULL. */
static const char *take_everywhere(const nr_program *program, const nr_command *command, int *argc,
                                   char **argv, bool *missing)
{
    const char *value = NULL;
    *missing = false;
    if (!program->everywhere || command->alone)
        return NULL;
    size_t length = strlen(program->everywhere->name);
    for (int i = 2; i < *argc && strcmp(argv[i], "--"); i++) {
        if (strncmp(argv[i], "--", 2) || strncmp(argv[i] + 2, program->everywhere->name, length))
            continue;
        const char *rest = argv[i] + 2 + length;
        if (*rest && *rest != '=')
            continue;
        int taken = *rest ? 1 : 2;
        *missing = !*rest && i + 1 == *argc;
        if (*missing)
            return NULL;
        value = *rest ? rest + 1 : argv[i + 1];
        memmove(argv + i, argv + i + taken, (size_t)(*argc - i - taken + 1) * sizeof *argv);
        *argc -= taken;
        i--;
    }
    return value;
}

static nr_code run(const nr_program *program, const nr_command *command, int argc, char **argv)
{
    nr_err err = {.code = NR_OK};
    if (wants_help(argc, argv)) {
        nr_command_help(stdout, program, command);
        return NR_OK;
    }
    bool missing;
    const char *value = take_everywhere(program, command, &argc, argv, &missing);
    nr_code code =
        missing ? nr_usage(&err, command, "no value after \"--%s\"", program->everywhere->name)
        : value ? program->around(program, command, argc - 1, argv + 1, value, &err)
                : command->run(argc - 1, argv + 1, &err);
    if (code && err.text[0]) {
        tell_how(command, &err);
        nr_err_print(stderr, program->name, &err);
    }
    return code;
}

static nr_code first_word(const nr_program *program, int argc, char **argv)
{
    if (is_help(argv[1]) || !strcmp(argv[1], "help")) {
        help(stdout, program);
    } else if (!strcmp(argv[1], "--version")) {
        printf("%s %s\n", program->name, NOONRUN_VERSION);
    } else if (!strcmp(argv[1], "--synopsis")) {
        nr_command_synopsis(stdout, program);
    } else if (!strcmp(argv[1], "--complete")) {
        const nr_command *command = argc > 2 ? find(program, argv[2]) : NULL;
        if (argc == 2 || command)
            nr_command_complete(stdout, program, command);
    } else {
        char shown[64];
        nr_clean(shown, sizeof shown, argv[1], strlen(argv[1]));
        fprintf(stderr, "%s: no command \"%s\"; `%s --help` lists them\n", program->name, shown,
                program->name);
        return NR_BAD;
    }
    return NR_OK;
}

int nr_program_main(const nr_program *program, int argc, char **argv)
{
    if (argc < 2) {
        help(stderr, program);
        return NR_BAD;
    }
    const nr_command *command = find(program, argv[1]);
    nr_code code = command ? run(program, command, argc, argv) : first_word(program, argc, argv);
    if ((fflush(stdout) || ferror(stdout)) && !code) {
        fprintf(stderr, "%s: the output could not be written\n", program->name);
        code = NR_BAD;
    }
    return (int)code;
}
