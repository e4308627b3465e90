/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit fit` of a lone cool-down, as text for people and as JSON for programs. */
#ifndef NR_SHOW_COOLDOWN_H
#define NR_SHOW_COOLDOWN_H

#include "analyze/cooldown/cooldown.h"
#include "analyze/tell/display.h"

#include <stdio.h>

void nr_show_cooldown(FILE *to, const nr_cooldown *cooldown, nr_units units);
/* With the keys of a fit document, null where a cool-down tells nothing of it. */
nr_code nr_json_cooldown(FILE *to, const nr_cooldown *cooldown, nr_err *err);

#endif
