/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What reading and checking a rig file share. */
#include "logger/run/rig_parse.h"

#include <stdio.h>
#include <string.h>

const nr_rig_channel *nr_rig_channel_find(const nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, name) == 0)
            return &rig->channel[i];
    return NULL;
}

const nr_unit *nr_rig_column_unit(const nr_rig_channel *channel)
{
    const nr_unit *canonical = nr_unit_canonical(channel->unit->dimension);
    return canonical ? canonical : channel->unit;
}

void nr_rig_column_name(const nr_rig_channel *channel, char *out, size_t size)
{
    snprintf(out, size, "%s_%s", channel->name, nr_rig_column_unit(channel)->name);
}

void nr_rig_heading(const nr_rig_section *section, char out[NR_RIG_SHOWN])
{
    snprintf(out, NR_RIG_SHOWN, "%s%s%s", nr_rig_section_name(section->kind),
             section->name[0] ? " " : "", section->name);
}
