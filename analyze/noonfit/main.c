/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonfit: what a recorded heat-up test says about a solar collector. */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/repeat.h"

#include <string.h>

static const nr_command *const commands[] = {
    &nr_cmd_inspect, &nr_cmd_fit,  &nr_cmd_compare, &nr_cmd_predict, &nr_cmd_size,
    &nr_cmd_season,  &nr_cmd_pump, &nr_cmd_plan,    &nr_cmd_sheet,   &nr_cmd_report,
    &nr_cmd_card,    &nr_cmd_list, &nr_cmd_budget,  &nr_cmd_check,   &nr_cmd_tally,
};

static const nr_program noonfit = {
    .name = "noonfit",
    .everywhere = &nr_manifest_option,
    .around = nr_manifest_run,
    .purpose = "what a recorded heat-up test says about a solar collector",
    .epilogue =
        "A RUN is the folder that `noonlog record` wrote. Exit status: 0 done; 1 the record "
        "cannot answer the question (the reason is said); 2 bad usage or input.",
    .command = commands,
    .commands = sizeof commands / sizeof commands[0]};

const nr_command *nr_noonfit_command(const char *name)
{
    for (size_t i = 0; i < noonfit.commands; i++)
        if (!strcmp(commands[i]->name, name))
            return commands[i];
    return NULL;
}

int main(int argc, char **argv)
{
    return nr_program_main(&noonfit, argc, argv);
}
