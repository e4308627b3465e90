/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The commands of noonfit, one file each, and what they share. */
#ifndef NR_NOONFIT_COMMANDS_H
#define NR_NOONFIT_COMMANDS_H

#include "analyze/show/show.h"
#include "logger/base/err.h"
#include "logger/run/folder.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_command {
    const char *name;
    const char *summary; /* one line for `noonfit --help` */
    /* argv[0] is the command's name. Returns the exit status; fills *err unless it is 0. */
    nr_code (*run)(int argc, char **argv, nr_err *err);
} nr_command;

/* Options every command with a result understands. */
typedef struct nr_common {
    bool json;
    bool units_given;
    nr_units units;   /* as given; else nr_common_units */
    const char *plot; /* file, or NULL */
} nr_common;

/* getopt_long's table rows and values for them; commands add their own. */
enum { NR_OPT_JSON = 1000, NR_OPT_UNITS, NR_OPT_PLOT, NR_OPT_HELP, NR_OPT_OWN };
#define NR_COMMON_OPTIONS                                                                          \
    {"json", no_argument, NULL, NR_OPT_JSON}, {"units", required_argument, NULL, NR_OPT_UNITS},    \
        {"plot", required_argument, NULL, NR_OPT_PLOT}, {"help", no_argument, NULL, NR_OPT_HELP}

/* Takes one option of a command into its arguments. */
typedef nr_code (*nr_take_option)(void *arguments, int option, const char *value, nr_err *err);

/* Walks through the options of argv (argv[0]: the command's name, for messages); what follows them
 * begins at optind. *help: --help was among them, and the walk ended there. `shorts` as getopt
 * wants it, with a leading ':'. */
struct option;
nr_code nr_read_options(int argc, char **argv, const char *shorts, const struct option *options,
                        nr_take_option take, void *arguments, bool *help, nr_err *err);

/* Takes one of the options above. */
nr_code nr_common_option(nr_common *common, int option, const char *argument, nr_err *err);

/* Display units: what was asked for, else what the rig file says, else the locale's. */
nr_units nr_common_units(const nr_common *common, const nr_rig *rig);

/* Opens runs; a comma-separated argument is several. A folder named twice is an error: its readings
 * would count double. Free with nr_close_runs. */
nr_code nr_open_runs(char *const *names, size_t count, nr_run ***out, size_t *opened, nr_err *err);
void nr_close_runs(nr_run **runs, size_t count);

/* Whether two runs are the same folder, however it is called. */
bool nr_same_run(const nr_run *a, const nr_run *b);

/* A usage error: "noonfit fit: WHAT; see `noonfit fit --help`". */
nr_code nr_usage(nr_err *err, const char *command, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* For --help: how quantities are given. */
#define NR_QUANTITIES_HELP                                                                         \
    "Temperatures as 43C, 110F or a bare number in the units shown; other quantities as a bare\n"   \
    "number in the unit named or with a unit of their own: 10gal, 12ft2, 5mph, 280Btu_h_ft2.\n"

/* "--water 10gal": a number within low..high of `bare`, the unit a bare number is in (base/units.h), or
 * in another unit of its kind. */
nr_code nr_quantity_option(const char *command, const char *name, const char *text,
                           const char *bare, double low, double high, double *out, nr_err *err);

/* Progress on one line of stderr: only on a terminal, only when it takes more than a second. */
typedef struct nr_progress {
    const char *what;
    double began_s; /* 0: not yet */
    bool shown;
} nr_progress;

void nr_progress_say(void *progress, const char *line); /* for nr_sink */
void nr_progress_end(nr_progress *progress);

nr_code nr_cmd_fit(int argc, char **argv, nr_err *err);
nr_code nr_cmd_compare(int argc, char **argv, nr_err *err);
nr_code nr_cmd_predict(int argc, char **argv, nr_err *err);
nr_code nr_cmd_size(int argc, char **argv, nr_err *err);
nr_code nr_cmd_pump(int argc, char **argv, nr_err *err);
nr_code nr_cmd_inspect(int argc, char **argv, nr_err *err);
nr_code nr_cmd_plan(int argc, char **argv, nr_err *err);
nr_code nr_cmd_report(int argc, char **argv, nr_err *err);

#endif
