/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file with some keys changed and everything else as it was written: remarks, order, blank
 * lines, line ends.
 */
#ifndef NR_RUN_RIG_EDIT_H
#define NR_RUN_RIG_EDIT_H

#include "logger/base/err.h"

#include <stddef.h>

typedef struct nr_rig_change {
    const char *section; /* "channel store" */
    const char *key;     /* "offset" */
    const char *value;   /* as it is to stand there; no line break. NULL: remove the key */
    const char *remark;  /* put behind the value as "  ; remark"; NULL: none */
} nr_rig_change;

/* A key that is there gets the new value in its place (its old remark goes, as it spoke of the old
 * value); one that is not is added behind the section's last key. NR_CANNOT when a section is not
 * there or the key stands in it twice. *out is to be freed; it ends in a line break. */
nr_code nr_rig_edit(const char *text, size_t length, const nr_rig_change *change, size_t changes,
                    char **out, size_t *out_length, nr_err *err);

#endif
