/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog: records heat-up tests. Picks the command; everything else is in cmd_*.c. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"

#include <locale.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const nr_command commands[] = {
    {"ports", "[--json]", "serial ports there are, with their USB names", nr_cmd_ports},
    {"draft", "PORT [FILE]", "a rig file to begin with, from what the adapter sends", nr_cmd_draft},
    {"listen", "RIG [--for D] [--json]", "10 s of live parsing: what arrives and what is wrong",
     nr_cmd_listen},
    {"record", "RIG RUN [--for D] [--background] [--wait] | --resume RUN",
     "record a test until it is stopped", nr_cmd_record},
    {"watch", "RUN [--target 43C] [--once]", "live view of a recording, or of a finished run",
     nr_cmd_watch},
    {"note", "RUN TEXT [--pump on|off]", "stamp a note into a run", nr_cmd_note},
    {"status", "RUN [--json]", "is it recording, and how is it going", nr_cmd_status},
    {"stop", "RUN", "end a recording", nr_cmd_stop},
    {"bath", "RIG [--reference CHANNEL | --at T | --ice | --boiling] [--write FILE]",
     "all thermometers in one bath: offsets as rig keys", nr_cmd_bath},
    {"rebuild", "RUN [--rig RIG]", "readings.csv again from adapter.log", nr_cmd_rebuild},
    {"keys", "", "what a rig file may say: every key with unit, range and default", nr_cmd_keys},
};
#define COMMANDS (sizeof commands / sizeof commands[0])

int nr_cmd_failed(const nr_err *err)
{
    nr_err_print(stderr, NR_PROGRAM, err);
    return (int)err->code;
}

int nr_cmd_usage(const char *command, const char *format, ...)
{
    va_list args;
    fprintf(stderr, NR_PROGRAM " %s: ", command);
    va_start(args, format);
    vfprintf(stderr, format, args);
    va_end(args);
    fprintf(stderr, "; `" NR_PROGRAM " %s --help` tells more\n", command);
    return NR_BAD;
}

static void help(FILE *to)
{
    fprintf(to, "noonlog records heat-up tests of solar water heaters.\n\n");
    for (size_t i = 0; i < COMMANDS; i++)
        fprintf(to, "  noonlog %s %s\n      %s\n", commands[i].name, commands[i].arguments,
                commands[i].summary);
    fprintf(to, "\n`noonlog COMMAND --help` tells more about one. Water of 49 degC (120 degF) and "
                "above scalds.\n");
}

int main(int argc, char **argv)
{
    setlocale(LC_CTYPE, "");
    if (argc < 2) {
        help(stderr);
        return NR_BAD;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 ||
        strcmp(argv[1], "help") == 0) {
        help(stdout);
        return NR_OK;
    }
    if (strcmp(argv[1], "--version") == 0) {
        printf("noonlog %s\n", NOONRUN_VERSION);
        return NR_OK;
    }
    static char long_form[] = "--help", name[64], shown[64];
    if (argc == 3 && strcmp(argv[2], "-h") == 0)
        argv[2] = long_form;
    for (size_t i = 0; i < COMMANDS; i++)
        if (strcmp(argv[1], commands[i].name) == 0) {
            /* getopt begins its messages with it. */
            snprintf(name, sizeof name, NR_PROGRAM " %s", commands[i].name);
            argv[1] = name;
            return commands[i].run(argc - 1, argv + 1);
        }
    nr_clean(shown, sizeof shown, argv[1], strlen(argv[1]));
    fprintf(stderr, NR_PROGRAM ": no command \"%s\"; `" NR_PROGRAM " --help` lists them\n", shown);
    return NR_BAD;
}
