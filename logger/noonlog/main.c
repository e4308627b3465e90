/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog: records heat-up tests. Picks the command; everything else is in cmd_*.c. */
#include "logger/noonlog/commands.h"

#include <locale.h>

static const nr_command *const commands[] = {
    &nr_cmd_ports,   &nr_cmd_draft, &nr_cmd_listen, &nr_cmd_record, &nr_cmd_watch,
    &nr_cmd_serve,   &nr_cmd_note,  &nr_cmd_status, &nr_cmd_stop,   &nr_cmd_bath,
    &nr_cmd_rebuild, &nr_cmd_take,  &nr_cmd_import, &nr_cmd_keys,
};

static const nr_program noonlog = {.name = NR_PROGRAM,
                                   .purpose = "records heat-up tests of solar water heaters",
                                   .epilogue = "Water of 49 degC (120 degF) and above scalds.",
                                   .command = commands,
                                   .commands = sizeof commands / sizeof commands[0]};

int main(int argc, char **argv)
{
    setlocale(LC_CTYPE, "");
    return nr_program_main(&noonlog, argc, argv);
}
