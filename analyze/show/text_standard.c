/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit fit --standard` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/standard.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

static void coefficients(FILE *to, const nr_fit *fit, nr_units units)
{
    fprintf(to, "  %-29s %8s %8s %8s %5s %5s\n", "", "value", "u", "U (95 %)", "k", "dof");
    for (int t = 0; t < NR_STD_TERMS; t++) {
        const nr_standard_value *v = &fit->standard->value[t];
        nr_shown kind = nr_standard_kind((nr_standard_term)t);
        char value[NR_ROUNDED], u[NR_ROUNDED], wide[NR_ROUNDED], k[NR_ROUNDED], dof[NR_ROUNDED];
        if (!v->q.known)
            continue;
        nr_quantity q = nr_display_quantity(kind, units, &v->q);
        int place = nr_round_place(q.u, 2);
        const char *unit = kind == NR_SHOWN_NUMBER ? "" : nr_display_of(kind, units)->plain;
        fprintf(to, "  %-29s %8s %8s %8s %5s %5s", nr_standard_words((nr_standard_term)t),
                nr_round_text(q.value, place, value), nr_round_text(q.u, place, u),
                nr_round_text(v->k95 * q.u, place, wide), nr_round_text(v->k95, 2, k),
                isinf(v->dof) || v->dof > 99999 ? "inf" : nr_round_text(floor(v->dof), 0, dof));
        /* A long unit has a line of its own. */
        if (strlen(unit) > 80 - 71)
            fprintf(to, "\n%80s\n", unit);
        else
            fprintf(to, "%s%s\n", unit[0] ? " " : "", unit);
    }
}

static void modifier(FILE *to, const nr_standard *s)
{
    if (isnan(s->modifier[0]))
        return;
    fprintf(to, "\n  %-18s", "angle, degrees");
    for (int i = 0; i < 7; i++)
        fprintf(to, " %7.0f", s->angle_deg[i]);
    fprintf(to, "\n  %-18s", "K, light's modifier");
    for (int i = 0; i < 7; i++)
        fprintf(to, i ? " %7.3f" : "%7.3f", s->modifier[i]);
    if (s->basis == NR_MODIFIER_FITTED) {
        fprintf(to, "\n  %-18s", "its u");
        for (int i = 0; i < 7; i++)
            fprintf(to, " %7.3f", s->u_modifier[i]);
    }
    fputc('\n', to);
}

static void conditions(FILE *to, const nr_standard *s, nr_units units)
{
    static const struct {
        const char *words;
        nr_shown kind;
        int place;
        const char *unit;
    } row[NR_SPANS] = {
        {"irradiance in the plane", NR_SHOWN_IRRADIANCE, 0, NULL},
        {"air", NR_SHOWN_TEMPERATURE, 1, NULL},
        {"inlet", NR_SHOWN_TEMPERATURE, 1, NULL},
        {"rise in the collector", NR_SHOWN_DIFFERENCE, 1, NULL},
        {"mean fluid over air", NR_SHOWN_DIFFERENCE, 1, NULL},
        {"T*m, the same over sun", NR_SHOWN_REDUCED, 4, NULL},
        {"flow per gross area", NR_SHOWN_NUMBER, 4, "kg/(s m2)"},
        {"wind", NR_SHOWN_SPEED, 1, NULL},
        {"incidence", NR_SHOWN_NUMBER, 0, "degrees"},
        {"diffuse share", NR_SHOWN_PERCENT, 0, NULL},
    };
    fprintf(to, "\n  %-24s %9s %9s %9s\n", "conditions", "mean", "lowest", "highest");
    for (int i = 0; i < NR_SPANS; i++) {
        const nr_standard_span *at = &s->span[i];
        char mean[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
        if (isnan(at->mean)) {
            fprintf(to, "  %-24s %9s\n", row[i].words, "-");
            continue;
        }
        fprintf(to, "  %-24s %9s %9s %9s %s\n", row[i].words,
                nr_round_text(nr_display_value(row[i].kind, units, at->mean), row[i].place, mean),
                nr_round_text(nr_display_value(row[i].kind, units, at->lo), row[i].place, lo),
                nr_round_text(nr_display_value(row[i].kind, units, at->hi), row[i].place, hi),
                row[i].unit ? row[i].unit : nr_display_of(row[i].kind, units)->plain);
    }
}

static void power(FILE *to, const nr_standard *s, nr_units units)
{
    char text[3 * NR_ROUNDED], a[NR_ROUNDED], b[NR_ROUNDED];
    fprintf(to, "\n  power of the collector, %s, +- U (* beyond what was tested)\n  %-12s",
            nr_display_of(NR_SHOWN_POWER, units)->plain, "fluid - air");
    for (int g = 0; g < NR_STD_SUNS; g++) {
        (void)snprintf(
            text, sizeof text, "%s %s",
            nr_round_text(nr_display_value(NR_SHOWN_IRRADIANCE, units, nr_standard_sun_W_m2[g]), 0,
                          a),
            nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain);
        fprintf(to, " %18s", text);
    }
    fputc('\n', to);
    for (int d = 0; d < NR_STD_DIFFERENCES; d++) {
        (void)snprintf(
            text, sizeof text, "%s %s",
            nr_round_text(nr_display_difference(NR_SHOWN_DIFFERENCE, units, nr_standard_dT_K[d]), 0,
                          a),
            nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain);
        fprintf(to, "  %-12s", text);
        for (int g = 0; g < NR_STD_SUNS; g++) {
            const nr_standard_power *p = &s->power[g][d];
            double W = nr_display_value(NR_SHOWN_POWER, units, fmax(p->W.q.value, 0));
            double U = nr_display_difference(NR_SHOWN_POWER, units, p->W.k95 * p->W.q.u);
            (void)snprintf(text, sizeof text, "%s +- %s", nr_round_text(W, 0, a),
                           nr_round_text(U, 0, b));
            fprintf(to, " %17s%s", text, p->tested ? g + 1 < NR_STD_SUNS ? " " : "" : "*");
        }
        fputc('\n', to);
    }
}

static void requirements(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[NR_TELL];
    fputs("\nWhat ISO 9806 (2013/2017, steady state outdoors; limits from memory) wants\n", to);
    for (int i = 0; i < NR_REQS; i++) {
        nr_tell_requirement(text, sizeof text, fit, (nr_requirement_code)i, units);
        fprintf(to, "  %-9s ", nr_met_word(fit->standard->requirement[i].met));
        fprintf(to, "%s\n", text);
    }
}

void nr_show_standard(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[NR_TELL];
    const nr_standard *s = fit->standard;
    nr_trust_lines(to, &fit->trust, units);
    nr_tell_standard(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    coefficients(to, fit, units);
    nr_tell_standard_basis(text, sizeof text, fit, units);
    nr_paragraph(to, "  ", text);
    modifier(to, s);
    conditions(to, s, units);
    power(to, s, units);
    nr_tell_standard_power(text, sizeof text, fit, units);
    nr_paragraph(to, "  ", text);
    fputc('\n', to);
    nr_tell_standard_drop(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_day_output(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_bend(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    requirements(to, fit, units);
    nr_warning_lines(to, "Mind", &fit->warnings, units, NR_WARN_TESTED_RANGE);
}
