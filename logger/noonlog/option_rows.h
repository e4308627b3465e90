/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of option tables that several commands have, each with its own struct behind it: said the
 * same everywhere. */
#ifndef NR_NOONLOG_OPTION_ROWS_H
#define NR_NOONLOG_OPTION_ROWS_H

#include "logger/command/command.h"

#define NR_ROW_JSON(type, member)                                                                  \
    {                                                                                              \
        .kind = NR_OPTION_ON, .name = "json", .offset = offsetof(type, member),                    \
        .help = "the result as JSON"                                                               \
    }
/* Of an int: 1 si, 2 us (nr_cmd_units). */
#define NR_ROW_UNITS(type, member)                                                                 \
    {                                                                                              \
        .kind = NR_OPTION_CHOICE, .name = "units", .value = "si|us",                               \
        .offset = offsetof(type, member),                                                          \
        .help = "units shown and read (default: as the rig says, else the locale)"                 \
    }
#define NR_ROW_PORT(type, member)                                                                  \
    {                                                                                              \
        .kind = NR_OPTION_TEXT, .name = "port", .value = "P", .offset = offsetof(type, member),    \
        .help = "instead of the rig's port; see `noonlog ports`"                                   \
    }

#endif
