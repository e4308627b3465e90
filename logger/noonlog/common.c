/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/commands.h"

#include <stdarg.h>
#include <stdio.h>

int nr_cmd_failed(const nr_err *err)
{
    nr_err_print(stderr, NR_PROGRAM, err);
    return (int)err->code;
}

int nr_cmd_usage(const nr_command *command, const char *format, ...)
{
    char what[400];
    nr_err err;
    va_list args;
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    nr_usage(&err, command, "%s", what);
    return nr_cmd_failed(&err);
}

const char *nr_cmd_units(int given, const char *otherwise)
{
    return given == 2 ? "us" : given == 1 ? "si" : otherwise;
}
