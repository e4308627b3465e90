/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables that look like one and are none: read on, they would give wrong readings. */
#ifndef NR_IMPORT_TABLE_DOUBTS_H
#define NR_IMPORT_TABLE_DOUBTS_H

#include "logger/import/table.h"

/* NR_BAD: another head in the middle (other units, other order), rows with more readings than the
 * head has names (decimal commas among commas), rows that each say whose reading they are. */
nr_code nr_table_doubts(const nr_table *table, nr_err *err);

#endif
