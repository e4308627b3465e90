/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rig.ini as text: sections and key = value lines, each with its line number. What they mean is
 * rig_keys.h's and rig_parse.c's. Internal to the rig reader.
 */
#ifndef NR_RUN_RIG_LINES_H
#define NR_RUN_RIG_LINES_H

#include "logger/run/rig.h"
#include "logger/run/rig_problems.h"

typedef enum nr_rig_section_kind {
    NR_SECTION_TEST,
    NR_SECTION_SITE,
    NR_SECTION_COLLECTOR,
    NR_SECTION_STORE,
    NR_SECTION_ADAPTER,
    NR_SECTION_CHANNEL,
    NR_SECTION_KINDS,
    NR_SECTION_NONE = NR_SECTION_KINDS /* unknown, already reported: its keys are skipped */
} nr_rig_section_kind;

const char *nr_rig_section_name(nr_rig_section_kind kind);

typedef struct nr_rig_section {
    nr_rig_section_kind kind;
    char name[NR_NAME]; /* [channel NAME], [adapter NAME]; "" otherwise */
    long line;
    size_t first, entries; /* its entries lie together */
} nr_rig_section;

typedef struct nr_rig_entry {
    char *key, *value;
    long line;
} nr_rig_entry;

typedef struct nr_rig_lines {
    size_t sections, entries;
    nr_rig_section *section;
    nr_rig_entry *entry;
} nr_rig_lines;

/* Takes the text apart; what is not INI, unknown and doubled sections become problems. False when
 * memory ran out. Free with nr_rig_lines_free in any case. */
bool nr_rig_lines_read(const char *text, size_t length, nr_rig_lines *lines,
                       nr_rig_problems *problems);
void nr_rig_lines_free(nr_rig_lines *lines);

#endif
