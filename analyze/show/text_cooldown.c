/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/cooldown.h"
#include "analyze/show/lines.h"
#include "analyze/tell/cooldown.h"
#include "analyze/tell/tell.h"

void nr_show_cooldown(FILE *to, const nr_cooldown *x, nr_units units)
{
    char text[NR_TELL], value[NR_COOLDOWN_KEY], u[NR_COOLDOWN_KEY];
    nr_trust_lines(to, &x->trust, units);
    nr_tell_cooldown(text, sizeof text, x, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    nr_quantity_heading(to);
    nr_quantity_row(to, "container's loss", NR_SHOWN_STORE_LOSS, units, &x->loss_W_K);
    fputc('\n', to);
    nr_tell_cooldown_limits(text, sizeof text, x);
    nr_paragraph(to, "", text);
    nr_paragraph(to, "",
                 "A cool-down tells nothing of the collector; stated in [store], its container's "
                 "loss lets a sunny record tell the collector's own:");
    nr_tell_cooldown_keys(value, u, x);
    fprintf(to, "\n  loss_W_K = %s\n  u_loss_W_K = %s\n", value, u);
    nr_warning_lines(to, "Warnings", &x->warnings, units, NR_WARN_COUNT);
    nr_warning_lines(to, "Cautions", &x->cautions, units, NR_WARN_COUNT);
}
