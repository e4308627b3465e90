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

/* An answer that misses a part of its question names the option; here it is said of which command,
 * and where options are explained, as nr_usage does for what a command sees itself. */
static void tell_where(const nr_command *command, nr_err *err)
{
    nr_err said = *err;
    if (err->code == NR_BAD && !err->file[0] && strstr(err->text, "--") &&
        !strstr(err->text, "--help"))
        nr_usage(err, command, "%s", said.text);
}

static nr_code run(const nr_program *program, const nr_command *command, int argc, char **argv)
{
    nr_err err = {.code = NR_OK};
    if (wants_help(argc, argv)) {
        nr_command_help(stdout, program, command);
        return NR_OK;
    }
    nr_code code = command->run(argc - 1, argv + 1, &err);
    if (code && err.text[0]) {
        tell_where(command, &err);
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
