/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A container's loss in words. */
#ifndef NR_TELL_COOLDOWN_H
#define NR_TELL_COOLDOWN_H

#include "analyze/cooldown/cooldown.h"
#include "analyze/tell/display.h"

void nr_tell_cooldown(char *text, size_t size, const nr_cooldown *cooldown, nr_units units);
/* In a few words, for a title. */
void nr_tell_cooldown_finding(char *text, size_t size, const nr_cooldown *cooldown, nr_units units);
/* In a list of records, of the loss alone. */
void nr_tell_cooldown_listed(char *text, size_t size, const nr_quantity *loss, nr_units units);
/* What limits it. */
void nr_tell_cooldown_limits(char *text, size_t size, const nr_cooldown *cooldown);
/* The two keys of [store], as they are written into a rig file: numbers in SI. */
#define NR_COOLDOWN_KEY 32
void nr_tell_cooldown_keys(char value[NR_COOLDOWN_KEY], char u[NR_COOLDOWN_KEY],
                           const nr_cooldown *cooldown);

#endif
