/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of packed: the names, and the link as it is written and read. */
#ifndef NR_PACKED_INSIDE_H
#define NR_PACKED_INSIDE_H

#include "logger/packed/packed.h"

#define NR_PACKED_NAMES 5
extern const char *const nr_packed_names[NR_PACKED_NAMES];

#endif
