/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors on one adapter: whose a field is, by its key. */
#ifndef NR_DRAFT_BUILDS_H
#define NR_DRAFT_BUILDS_H

#include "logger/draft/draft.h"

/* "store_left", "left-store", "store2": the fields of collectors side by side, where two keys
 * differ in nothing but whose they are. Fills role and of of such fields, and the guess's builds;
 * nothing where there are no two. Two heights of one container ("store_top") are not two
 * collectors. */
void nr_draft_find_builds(nr_draft_guess *guess);

/* Adds a collector that the person names. NR_BAD: no name for a rig file, named twice, one too
 * many. */
nr_code nr_draft_add_build(nr_draft_guess *guess, const char *name, nr_err *err);

#endif
