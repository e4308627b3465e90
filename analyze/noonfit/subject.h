/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The runs a page or a card is about, inspected, and sorted by the build they are of. */
#ifndef NR_NOONFIT_SUBJECT_H
#define NR_NOONFIT_SUBJECT_H

#include "analyze/compare/compare.h"
#include "analyze/inspect/inspect.h"
#include "analyze/noonfit/records.h"

/* All runs by collector, each inspected. */
typedef struct nr_subject {
    size_t count; /* runs */
    nr_run **opened;
    nr_groups groups;
    nr_inspect **inspects; /* [count] beside groups.run */
} nr_subject;

/* Opens and inspects them. NR_BAD for more builds than can be compared; command: for the message.
 * nr_subject_free whatever happens. */
nr_code nr_subject_open(nr_subject *m, const nr_command *command, char *const *names, size_t count,
                        const nr_records *which, nr_err *err);
void nr_subject_free(nr_subject *m);

#endif
