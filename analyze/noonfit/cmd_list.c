/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/listing/listing.h"
#include "analyze/noonfit/commands.h"
#include "analyze/show/listing.h"

#include <stddef.h>

typedef struct arguments {
    nr_common common;
} arguments;

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_csv_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_list = {
    .program = "noonfit",
    .name = "list",
    .arguments = "FOLDER [FOLDER ...]",
    .summary = "all records below a folder: when, of what, how good, efficiency and loss",
    .about = "Looks for records in these folders and all below them, fits each by itself and lists "
             "them: when it begins, how long it is, what the answer is worth, its efficiency and "
             "loss with their standard uncertainties; of a cool-down the container's loss. What "
             "cannot be read or fitted is listed with "
             "the reason.",
    .examples = "  noonfit list sample-runs\n  noonfit list tests/2026 --csv >records.csv\n",
    .groups = groups,
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .run = run};

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.common = {.json = false}};
    nr_words words;
    nr_listing *listing = NULL;
    nr_progress_line progress = {.what = "record"};
    nr_sink sink = {nr_progress_line_say, &progress};
    nr_code code = nr_command_read(&nr_cmd_list, argc, argv, &a, &words, err);
    if (!code)
        code = nr_one_form(&nr_cmd_list, &a.common, err);
    if (!code)
        code = nr_listing_make((const char *const *)words.word, words.count, &sink, &listing, err);
    nr_progress_line_end(&progress);
    if (!code && a.common.json)
        code = nr_json_listing(stdout, listing, err);
    else if (!code && a.common.csv)
        code = nr_csv_listing(stdout, listing, err);
    else if (!code)
        nr_show_listing(stdout, listing, nr_common_units(&a.common, NULL));
    nr_listing_free(listing);
    return code;
}
