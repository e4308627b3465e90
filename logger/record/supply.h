/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a recording lives on and may run out of: room on the disk, the battery. Warned of in time,
 * each level once.
 *
 * Looking may take its time (a worn card, a slow battery controller): for the disk's thread.
 */
#ifndef NR_RECORD_SUPPLY_H
#define NR_RECORD_SUPPLY_H

#include <stdbool.h>
#include <stddef.h>

#define NR_SUPPLY_FOLDER "/sys/class/power_supply"

typedef struct nr_supply {
    double free_bytes;      /* that we may use; NAN: not known */
    double battery_percent; /* of the fullest battery while it is discharged; NAN: none is */
} nr_supply;

/* What was told of; all zero to begin with. */
typedef struct nr_supply_told {
    unsigned disk, battery; /* levels passed */
} nr_supply_told;

/* fd: a file of the run. power_folder: NR_SUPPLY_FOLDER. */
void nr_supply_look(int fd, const char *power_folder, nr_supply *out);

/* A sentence when a level was passed since the last call: 500, 100 and 20 MB; 20, 10 and 5 %. A
 * level counts anew when there is half as much again. False: nothing to say. Call until false. */
bool nr_supply_warn(nr_supply_told *told, const nr_supply *now, char *text, size_t size);

/* What is short now, of both, in one line; "" when nothing is. */
void nr_supply_short(const nr_supply *now, char *text, size_t size);

#endif
