/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The commands of noonfit, one file each, and what they share. */
#ifndef NR_NOONFIT_COMMANDS_H
#define NR_NOONFIT_COMMANDS_H

#include "analyze/noonfit/records.h"
#include "analyze/show/show.h"
#include "logger/base/err.h"
#include "logger/command/command.h"
#include "logger/run/folder.h"

#include <stdbool.h>
#include <stddef.h>

/* Options that many commands understand, as groups of their tables. */
typedef struct nr_common {
    bool json, csv;
    int units;        /* as given: 1 si, 2 us; see nr_common_units */
    bool anyway;      /* an answer that is withheld, too */
    const char *plot; /* file, or NULL; a row of the command's own, whose help says of what */
} nr_common;

extern const nr_option nr_json_option[], nr_csv_option[], nr_units_option[],
    nr_anyway_option[];                                               /* of an nr_common */
extern const nr_option nr_store_only_option[], nr_loop_only_option[]; /* of an nr_fit_options */

/* For the epilogue of --help: how quantities are given. */
#define NR_QUANTITIES_HELP                                                                         \
    "Temperatures as 43C, 110F or a bare number in the units shown; other quantities as a bare "   \
    "number in the unit named or with a unit of their own: 10gal, 12ft2, 5mph, 280Btu_h_ft2."

/* --json and --csv together are an error. */
nr_code nr_one_form(const nr_command *command, const nr_common *common, nr_err *err);

/* Display units: what was asked for, else what the rig file (NULL: none) says, else the locale's.
 */
nr_units nr_common_units(const nr_common *common, const nr_rig *rig);

/* NR_CANNOT with the reason where the answer is to be withheld and --anyway was not given; in the
 * units shown. */
nr_code nr_withhold(const nr_trust *trust, bool anyway, nr_units units, nr_err *err);
/* The same of a fit; of one record the error names it. */
nr_code nr_withhold_fit(const nr_fit *fit, bool anyway, nr_units units, nr_err *err);

/* Where no answer was found and inspect finds a fault in one of the runs, the error says that, and
 * of which run: it is the likely cause. */
bool nr_blame(const nr_run *const *runs, size_t count, nr_units units, nr_err *err);
/* The same of one record that was inspected. */
bool nr_blame_finding(const nr_inspect *inspect, nr_units units, nr_err *err);

/* A sentence about a picture that is no error, to stderr (nr_plot_remark). */
void nr_say_remark(const char *sentence);

/* How an answer leaves a command that has one picture, one document and one text of it: defines
 * static nr_code FUNCTION(const nr_common *, const TYPE *answer, nr_units, nr_err *) of
 * nr_plot_NAME, nr_json_NAME and nr_show_NAME. */
#define NR_SHOW_ANSWER(function, type, name)                                                       \
    static nr_code function(const nr_common *common, const type *answer, nr_units units,           \
                            nr_err *err)                                                           \
    {                                                                                              \
        nr_plot_remark remark = {.say = nr_say_remark};                                            \
        const nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};         \
        nr_code code = NR_OK;                                                                      \
        if (common->plot)                                                                          \
            code = nr_plot_##name(answer, common->plot, &style, err);                              \
        if (code)                                                                                  \
            return code;                                                                           \
        if (common->json)                                                                          \
            return nr_json_##name(stdout, answer, err);                                            \
        nr_show_##name(stdout, answer, units);                                                     \
        return NR_OK;                                                                              \
    }

/* Progress on one line of stderr: only on a terminal, only when it takes more than a second. */
typedef struct nr_progress_line {
    const char *what;
    double began_s; /* 0: not yet */
    bool shown;
} nr_progress_line;

void nr_progress_line_say(void *progress, const char *line); /* for nr_sink */
void nr_progress_line_end(nr_progress_line *progress);

extern const nr_command nr_cmd_fit;
extern const nr_command nr_cmd_compare;
extern const nr_command nr_cmd_list;
extern const nr_command nr_cmd_predict;
extern const nr_command nr_cmd_size;
extern const nr_command nr_cmd_season;
extern const nr_command nr_cmd_pump;
extern const nr_command nr_cmd_inspect;
extern const nr_command nr_cmd_plan;
extern const nr_command nr_cmd_sheet;
extern const nr_command nr_cmd_report;
extern const nr_command nr_cmd_card;
extern const nr_command nr_cmd_budget;
extern const nr_command nr_cmd_check;
extern const nr_command nr_cmd_tally;

#endif
