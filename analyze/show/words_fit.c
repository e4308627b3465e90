/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/lines.h"
#include "analyze/show/round.h"
#include "analyze/show/show.h"
#include "analyze/show/words.h"

#include <math.h>
#include <string.h>

/* Below this share of the variance an input does not limit the answer. */
#define SHARE_WORTH_NAMING 0.10
/* A stated input is worth a line when the record moved it by this many of its own standard
 * uncertainties, or sharpened it to this part of them. */
#define MOVED 1.0
#define SHARPENED 0.7
#define CHECK_IT 2.0 /* moved so far: the stated value is doubtful */

static char *shown(nr_shown what, nr_units units, double si, int digits, char text[NR_ROUNDED])
{
    return nr_plain_text(nr_display_value(what, units, si), digits, text);
}

void nr_words_result(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char a[160], b[160];
    if (!fit->eta0.known) {
        (void)snprintf(text, size,
                       "This record does not tell the collector's zero-loss efficiency.");
        return;
    }
    nr_interval_text(a, sizeof a, NR_SHOWN_PERCENT, units, &fit->eta0, 1, "", true);
    if (!fit->a1.known) {
        (void)snprintf(text, size,
                       "Warm as the air around it, this collector turns %s of the sunlight on it "
                       "into heat; what a warmer collector loses, this record does not tell.",
                       a);
        return;
    }
    nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1, 1, "", false);
    (void)snprintf(text, size,
                   "Warm as the air around it, this collector turns %s of the sunlight on it into "
                   "heat; each %s warmer costs %s %s.%s",
                   a, units == NR_UNITS_US ? "degree Fahrenheit" : "kelvin", b,
                   units == NR_UNITS_US ? "Btu/h per square foot" : "W per square metre",
                   fit->loss_includes_store ? " That loss includes the container's: this record "
                                              "cannot tell the two apart."
                                            : "");
}

void nr_words_basis(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char area[NR_ROUNDED];
    (void)snprintf(text, size,
                   "Per %s %s of gross area; temperature of the collector: %s. Stagnation: rise "
                   "over the air in 1000 W/m2%s; it may well be more, because losses were not "
                   "measured that hot.",
                   shown(NR_SHOWN_AREA, units, fit->gross_area_m2, 4, area),
                   nr_display_of(NR_SHOWN_AREA, units)->plain,
                   fit->reference == NR_REFERENCE_MEAN ? "mean of inlet and outlet" : "inlet",
                   units == NR_UNITS_US ? " (317 Btu/(h ft2))" : "");
}

static size_t largest(const nr_fit *fit, int of)
{
    size_t best = 0;
    for (size_t i = 1; i < fit->budget_items; i++)
        if (fit->budget[i].share[of] > fit->budget[best].share[of])
            best = i;
    return best;
}

/* A stated input's number in the unit shown; the unit's words go to *unit. Errors and capacities
 * are differences: no offset. */
static double stated(double value, const char *si_unit, nr_units units, const char **unit)
{
    double scale;
    nr_shown what = nr_shown_of_unit(si_unit, &scale);
    *unit = what == NR_SHOWN_NUMBER ? si_unit : nr_display_of(what, units)->plain;
    return nr_display_difference(what, units, value * scale);
}

/* "irradiance sensor, gain (taken as 3 %)" */
static void name_item(char *text, size_t size, const nr_budget_item *item, nr_units units)
{
    char u[NR_ROUNDED];
    const char *unit;
    double value = stated(item->stated_u, item->unit, units, &unit);
    if (isnan(item->stated_u))
        (void)snprintf(text, size, "%s", item->label);
    else
        (void)snprintf(text, size, "%s (taken as %s %s)", item->label, nr_plain_text(value, 2, u),
                       unit);
}

/* What a sensor with half the stated uncertainty would buy. */
static void say_improvement(char *text, size_t size, const nr_fit *fit, const nr_budget_item *item)
{
    double share = item->share[NR_SHARE_ETA0];
    if (isnan(item->stated_u) || !item->channel[0] || !fit->eta0.known ||
        !(share > SHARE_WORTH_NAMING))
        return;
    double better = fit->eta0.u * sqrt(1 - 0.75 * share);
    char now[NR_ROUNDED], then[NR_ROUNDED];
    size_t used = strlen(text);
    (void)snprintf(text + used, size - used,
                   " With half that uncertainty eta0 would be known to %s instead of %s (standard "
                   "uncertainty).",
                   nr_plain_text(better, 2, then), nr_plain_text(fit->eta0.u, 2, now));
}

void nr_words_limits(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    text[0] = '\0';
    if (fit->budget_items == 0)
        return;
    const nr_budget_item *eta0 = &fit->budget[largest(fit, NR_SHARE_ETA0)];
    const nr_budget_item *a1 = &fit->budget[largest(fit, NR_SHARE_A1)];
    char first[200], second[200];
    name_item(first, sizeof first, eta0, units);
    name_item(second, sizeof second, a1, units);
    if (!(eta0->share[NR_SHARE_ETA0] > SHARE_WORTH_NAMING))
        (void)snprintf(text, size,
                       "What limits this answer: nothing stands out among many small things.");
    else if (eta0 == a1)
        (void)snprintf(
            text, size,
            "What limits this answer: %s: %.0f %% of the variance of eta0 and %.0f %% of "
            "that of a1.",
            first, 100 * eta0->share[NR_SHARE_ETA0], 100 * a1->share[NR_SHARE_A1]);
    else
        (void)snprintf(text, size,
                       "What limits this answer: %s: %.0f %% of the variance of eta0; %s: %.0f %% "
                       "of that of a1.",
                       first, 100 * eta0->share[NR_SHARE_ETA0], second,
                       100 * a1->share[NR_SHARE_A1]);
    say_improvement(text, size, fit, eta0);
}

static void side_of_air(char *text, size_t size, double K, nr_units units)
{
    char n[NR_ROUNDED];
    double value = nr_display_difference(NR_SHOWN_DIFFERENCE, units, fabs(K));
    (void)snprintf(text, size, "%s %s %s", nr_round_text(value, 0, n),
                   nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain, K < 0 ? "below" : "above");
}

void nr_words_range(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char lo[64], hi[64], a[NR_ROUNDED], b[NR_ROUNDED];
    text[0] = '\0';
    if (!isfinite(fit->dT_range[0]) || !isfinite(fit->dT_range[1]))
        return;
    side_of_air(lo, sizeof lo, fit->dT_range[0], units);
    side_of_air(hi, sizeof hi, fit->dT_range[1], units);
    (void)snprintf(text, size,
                   "Tested from %s to %s the air, in %s to %s %s of sun; beyond that the curve is "
                   "an extrapolation.",
                   lo, hi, shown(NR_SHOWN_IRRADIANCE, units, fit->sun_range[0], 2, a),
                   shown(NR_SHOWN_IRRADIANCE, units, fit->sun_range[1], 2, b),
                   nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain);
}

void nr_words_incidence(char *text, size_t size, const nr_fit *fit)
{
    char less[120] = "";
    double lost = 100 * (1 - fit->incidence.modifier);
    text[0] = '\0';
    if (!fit->incidence.known)
        return;
    if (lost >= 0.05)
        (void)snprintf(less, sizeof less,
                       "; the collector takes in %.1f %% less of its light than at right angles",
                       lost);
    (void)snprintf(text, size,
                   "The sun stood %.0f degrees from perpendicular on average (%.0f to %.0f)%s.",
                   fit->incidence.mean_deg, fit->incidence.lo_deg, fit->incidence.hi_deg, less);
}

void nr_words_energy(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char a[NR_ROUNDED], b[NR_ROUNDED], c[NR_ROUNDED];
    text[0] = '\0';
    if (!isfinite(fit->sun_J) || !isfinite(fit->water_J))
        return;
    const char *unit = nr_display_of(NR_SHOWN_ENERGY, units)->plain;
    (void)snprintf(text, size, "Sun on the collector: %s %s (%s kWh); gained by the water: %s %s.",
                   shown(NR_SHOWN_ENERGY, units, fit->sun_J, 3, a), unit,
                   nr_plain_text(fit->sun_J / 3.6e6, 3, c),
                   shown(NR_SHOWN_ENERGY, units, fit->water_J, 3, b), unit);
}

void nr_words_second_opinion(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_classical *c = &fit->classical;
    char a[120], b[160];
    text[0] = '\0';
    if (!c->known)
        return;
    (void)snprintf(
        text, size, "Second opinion, a straight line through %zu %s: eta0 %s, a1 %s.", c->points,
        c->steady_only ? "steady points" : "points (few of them steady)",
        nr_interval_text(a, sizeof a, NR_SHOWN_NUMBER, units, &c->eta0, 2, "", false),
        nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &c->a1, 2, "", true));
}

void nr_words_run(char *text, size_t size, const nr_fit_run *r)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    bool titled = r->title[0] != '\0';
    (void)snprintf(text, size, "%s%s%s%s: %zu rows, %s min, %s min of it used.", r->folder,
                   titled ? " (" : "", r->title, titled ? ")" : "", r->rows,
                   nr_round_text(r->duration_s / 60, 0, a), nr_round_text(r->used_s / 60, 0, b));
}

static bool worth_telling(const nr_learned *l)
{
    return l->stated_u > 0 && (fabs(l->found - l->stated) > MOVED * l->stated_u ||
                               l->found_u < SHARPENED * l->stated_u);
}

void nr_words_learned(char *text, size_t size, const nr_learned *l, nr_units units, bool *check)
{
    char a[NR_ROUNDED], au[NR_ROUNDED], b[NR_ROUNDED], bu[NR_ROUNDED];
    const char *unit;
    text[0] = '\0';
    *check = fabs(l->found - l->stated) > CHECK_IT * l->stated_u;
    if (!worth_telling(l))
        return;
    nr_round_pair(stated(l->stated, l->unit, units, &unit),
                  stated(l->stated_u, l->unit, units, &unit), a, au, sizeof a);
    nr_round_pair(stated(l->found, l->unit, units, &unit),
                  stated(l->found_u, l->unit, units, &unit), b, bu, sizeof b);
    (void)snprintf(text, size, "%s +- %s -> %s +- %s %s", a, au, b, bu, unit);
}
