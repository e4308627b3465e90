/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is heard of a rig of which nothing is amiss: 100 good lines from each adapter, one a
 * second. */
#ifndef TESTS_UNIT_LISTEN_HEARD_WELL_H
#define TESTS_UNIT_LISTEN_HEARD_WELL_H

#include "logger/listen/judge.h"
#include "tests/unit/near.h"

static inline void hear_well(const char *rig_text, nr_rig *rig, nr_heard *heard)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, rig, NULL,
                               &err) == NR_OK,
                  "%s", err.text);
    nr_heard_begin(heard, rig);
    heard->seconds = 100;
    for (size_t i = 0; i < rig->adapters; i++) {
        nr_heard_adapter *a = &heard->adapter[i];
        snprintf(a->path, sizeof a->path, "/dev/tty%zu", i);
        a->bytes = 2400;
        a->lines = a->fault[NR_LINE_GOOD] = 100;
        a->first_good_s = 1;
        a->last_good_s = 100;
    }
}

#endif
