/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From lines to the struct. Internal to the rig reader. */
#ifndef NR_RUN_RIG_PARSE_H
#define NR_RUN_RIG_PARSE_H

#include "logger/run/rig_keys.h"

#define NR_RIG_SHOWN 80 /* bytes of a value or heading that a message quotes */

/* "channel store" or "site". */
void nr_rig_heading(const nr_rig_section *section, char out[NR_RIG_SHOWN]);

/* Fills *rig, already set to its defaults, from the lines. */
void nr_rig_fill(nr_rig *rig, const nr_rig_lines *lines, nr_rig_problems *problems);

/* The keys of a conversion law, and the channel numbers whose unit is the channel's. */
void nr_rig_finish_channel(nr_rig_channel *channel, const nr_rig_section *section,
                           const nr_rig_lines *lines, nr_rig_problems *problems);

/* A key that the section does not have. law may be NULL. */
void nr_rig_unknown_key(const nr_rig_section *section, const nr_rig_entry *entry, const nr_law *law,
                        nr_rig_problems *problems);

/* Brings the plain sections and the named ones together: rig->build, and the first in view. */
void nr_rig_join_builds(nr_rig *rig, nr_rig_problems *problems);

/* Which channel stands for what in which build: roles, owners, sensors. */
void nr_rig_check_builds(const nr_rig *rig, nr_rig_problems *problems);

/* Turns the rig into the view of one build, in place. */
void nr_rig_choose(nr_rig *rig, size_t build);

/* What only shows when all is read: references between sections, what must be there. */
void nr_rig_check(nr_rig *rig, nr_rig_need need, const nr_rig_lines *lines,
                  nr_rig_problems *problems);

#endif
