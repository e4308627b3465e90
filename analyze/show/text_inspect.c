/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit inspect` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/units.h"

#include <math.h>
#include <stdio.h>

/* "12 to 31 min" of the record, or nothing for all of it. */
static void when(char *text, size_t size, const nr_finding *f)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    text[0] = '\0';
    if (isfinite(f->from_s) && isfinite(f->to_s))
        (void)snprintf(text, size, ", minute %s to %s", nr_round_text(f->from_s / 60, 1, a),
                       nr_round_text(f->to_s / 60, 1, b));
}

static void findings(FILE *to, const nr_inspect *x, nr_units units)
{
    if (x->findings == 0)
        return;
    fputs("\nFindings, the worst first\n", to);
    for (int severity = NR_SEVERITY_FAULT; severity >= NR_SEVERITY_NOTE; severity--) {
        for (size_t i = 0; i < x->findings; i++) {
            const nr_finding *f = &x->finding[i];
            char part[80], text[NR_TELL], line[NR_TELL + 256];
            if ((int)f->severity != severity)
                continue;
            when(part, sizeof part, f);
            nr_tell_finding(text, sizeof text, f, units);
            (void)snprintf(line, sizeof line, "%s%s%s%s: %s",
                           f->severity == NR_SEVERITY_FAULT ? "FAULT"
                                                            : nr_severity_word(f->severity),
                           f->channel[0] != '\0' ? ", " : "", f->channel, part, text);
            nr_paragraph(to, "  ", line);
            nr_tell_finding_advice(text, sizeof text, f, units);
            nr_paragraph(to, "      -> ", text);
        }
    }
}

/* The shown kind of a channel's unit, when it is one that has a US twin. */
static nr_shown shown_of(const char *unit, bool difference)
{
    const nr_unit *u = nr_unit_find(unit);
    switch (u == NULL ? NR_DIM_NONE : u->dimension) {
    case NR_DIM_TEMPERATURE:
        return difference ? NR_SHOWN_DIFFERENCE : NR_SHOWN_TEMPERATURE;
    case NR_DIM_IRRADIANCE:
        return NR_SHOWN_IRRADIANCE;
    case NR_DIM_FLOW:
        return NR_SHOWN_FLOW;
    case NR_DIM_SPEED:
        return NR_SHOWN_SPEED;
    default:
        return NR_SHOWN_NUMBER;
    }
}

static void channels(FILE *to, const nr_inspect *x, nr_units units)
{
    fprintf(to, "\n  %-12s %6s %7s %7s %7s %6s %7s %6s\n", "channel", "valid", "min", "mean", "max",
            "noise", "stuck s", "spikes");
    for (size_t i = 0; i < x->channels; i++) {
        const nr_channel_summary *c = &x->channel[i];
        nr_shown what = shown_of(c->unit, false);
        const nr_unit *unit = nr_unit_find(c->unit);
        const char *label = what == NR_SHOWN_NUMBER ? (unit != NULL ? unit->name : c->unit)
                                                    : nr_display_of(what, units)->plain;
        char lo[NR_ROUNDED], mean[NR_ROUNDED], hi[NR_ROUNDED], noise[NR_ROUNDED];
        char stuck[NR_ROUNDED];
        int place = nr_round_place(nr_display_difference(what, units, c->noise), 2);
        place = place == NR_NO_PLACE || place > 2 ? 2 : place < 0 ? 0 : place;
        fputs("  ", to);
        nr_padded(to, c->name, 12);
        fprintf(to, " %6zu %7s %7s %7s %6s %7s %6zu  ", c->valid,
                nr_round_text(nr_display_value(what, units, c->min), place, lo),
                nr_round_text(nr_display_value(what, units, c->mean), place, mean),
                nr_round_text(nr_display_value(what, units, c->max), place, hi),
                nr_round_text(nr_display_difference(what, units, c->noise), place + 1, noise),
                nr_round_text(c->stuck_s, 0, stuck), c->spikes);
        nr_paragraph(to, "", label);
    }
}

static void record(FILE *to, const nr_inspect *x)
{
    char text[NR_TELL];
    nr_tell_inspect_record(text, sizeof text, x);
    nr_paragraph(to, "", text);
    nr_tell_inspect_angle(text, sizeof text, x);
    nr_paragraph(to, "", text);
    nr_tell_inspect_use(text, sizeof text, x);
    nr_paragraph(to, "", text);
}

void nr_show_inspect(FILE *to, const nr_inspect *x, nr_units units)
{
    char text[NR_TELL];
    nr_tell_inspect(text, sizeof text, x, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    record(to, x);
    findings(to, x, units);
    channels(to, x, units);
    if (x->gaps > 0)
        fputs("\n  gaps: start min, length s\n", to);
    for (size_t i = 0; i < x->gaps; i++)
        fprintf(to, "  %9.1f %9.1f\n", x->gap[i].start_s / 60, x->gap[i].length_s);
}
