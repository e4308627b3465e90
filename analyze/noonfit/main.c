/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonfit: what a recorded heat-up test says about a solar collector. */
#include "analyze/noonfit/commands.h"

#include <stdio.h>
#include <string.h>

static const nr_command commands[] = {
    {"inspect", "is this record good? gaps, stuck or jumping sensors, clock, sun angle",
     nr_cmd_inspect},
    {"fit", "efficiency curve and loss coefficient of one collector, from one or more runs",
     nr_cmd_fit},
    {"compare", "two to six builds against each other: which is better, by how much, how sure",
     nr_cmd_compare},
    {"predict", "heat-up time and temperatures on a stated or a clear-sky day", nr_cmd_predict},
    {"size", "how large, how much water, how late a start; which months; how many wash-ups",
     nr_cmd_size},
    {"pump", "what the loop's flow does, and what a smaller or bigger pump would change",
     nr_cmd_pump},
    {"plan", "what a test would tell, before it is done, and what would help most", nr_cmd_plan},
    {"report", "one self-contained page with everything, for others to check", nr_cmd_report},
};
#define COMMANDS (sizeof commands / sizeof commands[0])

static void help(FILE *to)
{
    fprintf(to,
            "noonfit %s - what a recorded heat-up test says about a solar collector\n\n"
            "Usage: noonfit COMMAND ...\n\n",
            NOONRUN_VERSION);
    for (size_t i = 0; i < COMMANDS; i++)
        fprintf(to, "  %-8s  %s\n", commands[i].name, commands[i].summary);
    fprintf(to, "\n`noonfit COMMAND --help` explains one command with an example.\n"
                "A RUN is the folder that `noonlog record` wrote.\n"
                "Exit status: 0 done; 1 the record cannot answer the question (the reason is "
                "said); 2 bad usage or input.\n");
}

static const nr_command *find(const char *name)
{
    for (size_t i = 0; i < COMMANDS; i++)
        if (!strcmp(commands[i].name, name))
            return &commands[i];
    return NULL;
}

/* An answer that misses a part of its question names the option; here it is said of which command,
 * and where options are explained, as nr_usage does for what a command sees itself. */
static void tell_where(const nr_command *command, nr_err *err)
{
    nr_err said = *err;
    if (err->code == NR_BAD && !err->file[0] && strstr(err->text, "--") &&
        !strstr(err->text, "--help"))
        nr_usage(err, command->name, "%s", said.text);
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        help(stderr);
        return NR_BAD;
    }
    if (!strcmp(argv[1], "--help") || !strcmp(argv[1], "-h") || !strcmp(argv[1], "help")) {
        help(stdout);
        return NR_OK;
    }
    if (!strcmp(argv[1], "--version")) {
        printf("noonfit %s\n", NOONRUN_VERSION);
        return NR_OK;
    }
    static char long_form[] = "--help";
    if (argc == 3 && !strcmp(argv[2], "-h"))
        argv[2] = long_form;
    nr_err err = {.code = NR_OK};
    const nr_command *command = find(argv[1]);
    nr_code code = command ? command->run(argc - 1, argv + 1, &err)
                           : nr_fail(&err, NR_BAD, NULL, 0,
                                     "no command \"%s\"; `noonfit --help` lists them", argv[1]);
    if (code && command)
        tell_where(command, &err);
    if (code)
        nr_err_print(stderr, "noonfit", &err);
    else if (fflush(stdout) || ferror(stdout)) {
        fprintf(stderr, "noonfit: the output could not be written\n");
        code = NR_BAD;
    }
    return (int)code;
}
