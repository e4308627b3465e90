/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The zone of its clock that a table itself names: "Time (UTC)", "Date Time, GMT-07:00" over the
 * time's column, "Time zone: Europe/Paris" above the head. */
#ifndef NR_IMPORT_ZONE_TOLD_H
#define NR_IMPORT_ZONE_TOLD_H

#include "logger/import/table.h"
#include "logger/import/times.h"
#include "logger/import/zone.h"

/* Text that nr_zone_find takes, or "" where the table tells of none, or of several. The head of the
 * time's column counts before what stands above. */
void nr_zone_told(const nr_table *table, const nr_time_plan *plan, char out[NR_ZONE]);

#endif
