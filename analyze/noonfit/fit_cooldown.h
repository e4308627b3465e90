/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit fit` of a lone cool-down: what it tells is the container's loss. */
#ifndef NR_NOONFIT_FIT_COOLDOWN_H
#define NR_NOONFIT_FIT_COOLDOWN_H

#include "analyze/noonfit/commands.h"

/* Answers and shows; `rig`: the rig file to put the loss into, or NULL. */
nr_code nr_fit_cooldown(const nr_run *run, const nr_common *common, const char *rig, nr_units units,
                        nr_err *err);

#endif
