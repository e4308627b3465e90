/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors in one table: whose a column is, by its head. */
#ifndef NR_IMPORT_OWNERS_H
#define NR_IMPORT_OWNERS_H

#include "logger/import/table.h"
#include "logger/run/rig.h"

#include <stdio.h>

/* The collectors that a table tells apart; 0: one, without a name. */
typedef struct nr_owners {
    size_t builds;
    char build[NR_RIG_BUILDS][NR_NAME];
} nr_owners;

/* "Tank left", "Tank right": heads that differ in nothing but whose they are, a container for each.
 * Two heights of one container ("Tank top"), or two numbered probes in it beside one inlet or
 * outlet, are not two collectors. role[columns]: a meaning's name, NULL where the column is no
 * reading or nobody knows what it is. */
void nr_owners_find(const nr_table_column *column, const char *const *role, size_t columns,
                    nr_owners *out);

/* Whose a column of that role is, from 1; 0: nobody's, or shared. */
size_t nr_owners_of(const nr_owners *owners, const nr_table_column *column, const char *role);

/* Two places in one container, or in one loop, are not two collectors. */
bool nr_owner_is_place(const char *word);

/* A drafted rig file's collector and its container, to be filled in. name: NULL for the only one;
 * us: in US units. */
void nr_owners_write(FILE *to, const char *name, bool us);

#endif
