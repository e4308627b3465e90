/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit pump` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>

static void drop_text(const nr_bounds *b, nr_units units, char *text, size_t size)
{
    char lo[NR_ROUNDED], hi[NR_ROUNDED];
    double factor = nr_display_of(NR_SHOWN_PRESSURE, units)->factor;
    if (!isfinite(b->low))
        (void)snprintf(text, size, "-");
    else if (b->high > 1.02 * b->low)
        (void)snprintf(text, size, "%s..%s", nr_plain_text(b->low * factor, 2, lo),
                       nr_plain_text(b->high * factor, 2, hi));
    else
        (void)snprintf(text, size, "%s", nr_plain_text(b->low * factor, 2, lo));
}

/* "-15.1 (-16.6 .. -13.6)", in percent. */
static void change_text(const nr_quantity *change, char *text, size_t size)
{
    nr_quantity d = nr_display_quantity(NR_SHOWN_PERCENT, NR_UNITS_SI, change);
    int place = nr_round_place(d.u, 2);
    char value[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    if (!d.known)
        (void)snprintf(text, size, "not determined");
    else
        (void)snprintf(text, size, "%s%s (%s .. %s)", d.value > 0 ? "+" : "",
                       nr_round_text(d.value, place, value), nr_round_text(d.lo95, place, lo),
                       nr_round_text(d.hi95, place, hi));
}

static void rows(FILE *to, const nr_pump *p, nr_units units)
{
    const nr_display *flow = nr_display_of(NR_SHOWN_FLOW, units);
    fprintf(to, "\n  %7s %6s %-9s %9s %6s %7s  %s\n", "flow", "Re", "", "friction", "FR", "outlet",
            "heat against now");
    fprintf(to, "  %7s %6s %-9s %9s %6s %7s  %s\n", flow->plain, "", "",
            p->tube_known ? nr_display_of(NR_SHOWN_PRESSURE, units)->plain : "", "",
            nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain, "% (95 %)");
    for (size_t i = 0; i < p->rows; i++) {
        const nr_pump_row *r = &p->row[i];
        char f[NR_ROUNDED], re[NR_ROUNDED], drop[2 * NR_ROUNDED], fr[NR_ROUNDED], out[NR_ROUNDED];
        char change[160] = "as it is";
        drop_text(&r->drop_Pa, units, drop, sizeof drop);
        if (r->times != 1)
            change_text(&r->change, change, sizeof change);
        fprintf(
            to, "  %7s %6s %-9s %9s %6s %7s  %s\n",
            nr_round_text(nr_display_value(NR_SHOWN_FLOW, units, r->flow_L_min), 2, f),
            p->tube_known ? nr_round_text(r->reynolds, 0, re) : "",
            p->tube_known ? nr_flow_regime_name(r->drop_Pa.regime) : "", drop,
            nr_round_text(r->removal, 3, fr),
            nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, r->outlet_degC), 1, out),
            change);
    }
    fputc('\n', to);
}

void nr_show_pump(FILE *to, const nr_pump *p, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &p->fit->trust, units);
    nr_tell_pump(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_tell_pump_faster(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_tell_pump_panel(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    rows(to, p, units);
    nr_quantity_heading(to);
    nr_quantity_row(to, "flow", NR_SHOWN_FLOW, units, &p->flow_L_min);
    nr_quantity_row(to, "heat removal factor FR", NR_SHOWN_NUMBER, units, &p->removal);
    if (p->panel.driven) {
        nr_quantity_row(to, "pump stalls below", NR_SHOWN_IRRADIANCE, units, &p->panel.stall.W_m2);
        nr_quantity_row(to, "pump starts at", NR_SHOWN_IRRADIANCE, units, &p->panel.start.W_m2);
    }
    fputc('\n', to);
    nr_tell_pump_basis(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_warning_lines(to, "Cautions", &p->cautions, units, NR_WARN_COUNT);
}
