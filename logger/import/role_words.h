/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words by which heads of tables speak of a role, in several languages, folded and small. */
#ifndef NR_IMPORT_ROLE_WORDS_H
#define NR_IMPORT_ROLE_WORDS_H

#include "logger/base/units.h"
#include "logger/import/table.h"

/* Points that a column's words give a role; 0: nothing speaks for it; below 0: something speaks
 * against it. *word: the word that speaks most (a literal's piece; NULL: none), *length its
 * length. */
int nr_role_points(const char *role, const nr_terms *terms, const char **word, int *length);

/* Words that say what kind of quantity it is ("temp", "voltage"): NR_DIM_NONE where none does. */
nr_dimension nr_words_dimension(const nr_terms *terms);

/* Is a word among them that speaks of supply (1) or return (-1)? Those two change sides between
 * trades; 0: none. */
int nr_words_supply(const nr_terms *terms);

/* Nothing in the words but "temperature", "probe", "channel" and numbers. */
bool nr_words_are_plain(const nr_terms *terms);

#endif
