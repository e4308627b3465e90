/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a bath said, as text and as JSON. */
#ifndef NR_NOONLOG_BATH_SHOW_H
#define NR_NOONLOG_BATH_SHOW_H

#include "logger/bath/bath_keys.h"

#include <stdio.h>

void nr_bath_show(FILE *to, const nr_rig *rig, const nr_bath_report *report, bool fahrenheit);

/* Exit status. */
int nr_bath_show_json(FILE *to, const nr_rig *rig, const nr_bath_report *report);

#endif
