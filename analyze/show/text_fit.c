/* `noonfit fit` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/round.h"
#include "analyze/show/show.h"

#include <math.h>
#include <string.h>

/* Below this share of the variance an input does not limit the answer. */
#define SHARE_WORTH_NAMING 0.10
/* A stated input is worth a line when the record moved it by this many of its own standard
 * uncertainties, or sharpened it to this part of them. */
#define MOVED 1.0
#define SHARPENED 0.7
#define CHECK_IT 2.0 /* moved so far: the stated value is doubtful */

static char *num(double value, int digits, char text[NR_ROUNDED])
{
    return nr_plain_text(value, digits, text);
}

static void headline(FILE *to, const nr_fit *fit, nr_units units)
{
    char a[160], b[160];
    if (!fit->eta0.known) {
        nr_paragraph(to, "", "This record does not tell the collector's zero-loss efficiency.");
        return;
    }
    nr_interval_text(a, sizeof a, NR_SHOWN_PERCENT, units, &fit->eta0, 1, "", true);
    if (!fit->a1.known) {
        nr_sentence(to, NR_UNITS_SI, "",
                    "Warm as the air around it, this collector turns %s of the sunlight on it "
                    "into heat; what a warmer collector loses, this record does not tell.",
                    a);
        return;
    }
    nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1, 1, "", false);
    nr_sentence(to, NR_UNITS_SI, "",
                "Warm as the air around it, this collector turns %s of the sunlight on it into "
                "heat; each %s warmer costs %s%s.",
                a, units == NR_UNITS_US ? "degree Fahrenheit" : "kelvin", b,
                units == NR_UNITS_US ? " Btu/h per square foot" : " W per square metre");
    if (fit->loss_includes_store)
        nr_paragraph(to, "",
                     "That loss includes the container's: this record cannot tell the two apart.");
}

static void parameter_table(FILE *to, const nr_fit *fit, nr_units units)
{
    const nr_quantity *q = &fit->eta0;
    nr_quantity_heading(to);
    nr_quantity_row(to, "zero-loss efficiency  eta0", NR_SHOWN_NUMBER, units, q);
    if (fit->eta0_normal.known)
        nr_quantity_row(to, "  in perpendicular sun", NR_SHOWN_NUMBER, units, &fit->eta0_normal);
    nr_quantity_row(to, "loss coefficient      a1", NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1);
    if (fit->a2.known)
        nr_quantity_row(to, "  growing by          a2", NR_SHOWN_LOSS_SLOPE, units, &fit->a2);
    nr_quantity_row(to, "heat capacity         a5", NR_SHOWN_CAPACITY, units, &fit->a5);
    nr_quantity_row(to, "container's loss", NR_SHOWN_STORE_LOSS, units, &fit->store_loss);
    nr_quantity_row(to, "efficiency of the run", NR_SHOWN_NUMBER, units, &fit->run_efficiency);
    nr_quantity_row(to, "stagnation, at least", NR_SHOWN_DIFFERENCE, units, &fit->stagnation_K);
    nr_quantity_row(to, "time constant", NR_SHOWN_MINUTES, units, &fit->time_constant_s);
    char area[NR_ROUNDED];
    nr_sentence(to, NR_UNITS_SI, "  ",
                "Per %s %s of gross area; temperature of the collector: %s. Stagnation: rise over "
                "the air in 1000 W/m2%s; it may well be more, because losses were not measured "
                "that hot.",
                num(nr_display_value(NR_SHOWN_AREA, units, fit->gross_area_m2), 4, area),
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

/* "irradiance sensor, gain (stated as 3 %)" */
static void name_item(char *text, size_t size, const nr_budget_item *item, nr_units units)
{
    char u[NR_ROUNDED];
    const char *unit;
    double value = stated(item->stated_u, item->unit, units, &unit);
    if (isnan(item->stated_u))
        (void)snprintf(text, size, "%s", item->label);
    else
        (void)snprintf(text, size, "%s (stated as %s %s)", item->label, num(value, 2, u), unit);
}

static void limits(FILE *to, const nr_fit *fit, nr_units units)
{
    if (fit->budget_items == 0)
        return;
    const nr_budget_item *eta0 = &fit->budget[largest(fit, NR_SHARE_ETA0)];
    const nr_budget_item *a1 = &fit->budget[largest(fit, NR_SHARE_A1)];
    char first[200], second[200];
    name_item(first, sizeof first, eta0, units);
    name_item(second, sizeof second, a1, units);
    fputc('\n', to);
    if (!(eta0->share[NR_SHARE_ETA0] > SHARE_WORTH_NAMING))
        nr_paragraph(to, "",
                     "What limits this answer: nothing stands out among many small things.");
    else if (eta0 == a1)
        nr_sentence(to, units, "",
                    "What limits this answer: %s: %.0f %% of the variance of eta0 and %.0f %% of "
                    "that of a1.",
                    first, 100 * eta0->share[NR_SHARE_ETA0], 100 * a1->share[NR_SHARE_A1]);
    else
        nr_sentence(to, units, "",
                    "What limits this answer: %s: %.0f %% of the variance of eta0; %s: %.0f %% of "
                    "that of a1.",
                    first, 100 * eta0->share[NR_SHARE_ETA0], second, 100 * a1->share[NR_SHARE_A1]);
}

static void side_of_air(char *text, size_t size, double K, nr_units units)
{
    char n[NR_ROUNDED];
    double shown = nr_display_difference(NR_SHOWN_DIFFERENCE, units, fabs(K));
    (void)snprintf(text, size, "%s %s %s", nr_round_text(shown, 0, n),
                   nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain, K < 0 ? "below" : "above");
}

static void tested_range(FILE *to, const nr_fit *fit, nr_units units)
{
    char lo[64], hi[64], a[NR_ROUNDED], b[NR_ROUNDED];
    if (!isfinite(fit->dT_range[0]) || !isfinite(fit->dT_range[1]))
        return;
    side_of_air(lo, sizeof lo, fit->dT_range[0], units);
    side_of_air(hi, sizeof hi, fit->dT_range[1], units);
    nr_sentence(to, NR_UNITS_SI, "",
                "Tested from %s to %s the air, in %s to %s %s of sun; beyond that the curve is an "
                "extrapolation.",
                lo, hi, num(nr_display_value(NR_SHOWN_IRRADIANCE, units, fit->sun_range[0]), 2, a),
                num(nr_display_value(NR_SHOWN_IRRADIANCE, units, fit->sun_range[1]), 2, b),
                nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain);
    char less[120] = "";
    double lost = 100 * (1 - fit->incidence.modifier);
    if (lost >= 0.05)
        (void)snprintf(less, sizeof less,
                       "; the collector takes in %.1f %% less of its light than at right angles",
                       lost);
    if (fit->incidence.known)
        nr_sentence(to, NR_UNITS_SI, "",
                    "The sun stood %.0f degrees from perpendicular on average (%.0f to %.0f)%s.",
                    fit->incidence.mean_deg, fit->incidence.lo_deg, fit->incidence.hi_deg, less);
}

static void energy(FILE *to, const nr_fit *fit, nr_units units)
{
    char a[NR_ROUNDED], b[NR_ROUNDED], c[NR_ROUNDED];
    if (!isfinite(fit->sun_J) || !isfinite(fit->water_J))
        return;
    const char *unit = nr_display_of(NR_SHOWN_ENERGY, units)->plain;
    nr_sentence(to, NR_UNITS_SI, "",
                "Sun on the collector: %s %s (%s kWh); gained by the water: %s %s.",
                num(nr_display_value(NR_SHOWN_ENERGY, units, fit->sun_J), 3, a), unit,
                num(fit->sun_J / 3.6e6, 3, c),
                num(nr_display_value(NR_SHOWN_ENERGY, units, fit->water_J), 3, b), unit);
}

static void second_opinion(FILE *to, const nr_fit *fit, nr_units units)
{
    const nr_classical *c = &fit->classical;
    char a[120], b[160];
    if (!c->known)
        return;
    nr_sentence(to, NR_UNITS_SI, "",
                "Second opinion, a straight line through %zu %s: eta0 %s, a1 %s.", c->points,
                c->steady_only ? "steady points" : "points (few of them steady)",
                nr_interval_text(a, sizeof a, NR_SHOWN_NUMBER, units, &c->eta0, 2, "", false),
                nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &c->a1, 2, "", true));
}

static bool worth_telling(const nr_learned *l)
{
    return l->stated_u > 0 && (fabs(l->found - l->stated) > MOVED * l->stated_u ||
                               l->found_u < SHARPENED * l->stated_u);
}

static void learned_row(FILE *to, const nr_learned *l, nr_units units)
{
    char a[NR_ROUNDED], au[NR_ROUNDED], b[NR_ROUNDED], bu[NR_ROUNDED];
    const char *unit;
    nr_round_pair(stated(l->stated, l->unit, units, &unit),
                  stated(l->stated_u, l->unit, units, &unit), a, au, sizeof a);
    nr_round_pair(stated(l->found, l->unit, units, &unit),
                  stated(l->found_u, l->unit, units, &unit), b, bu, sizeof b);
    fputs("  ", to);
    nr_padded(to, l->label, 31);
    fprintf(to, " %s +- %s -> %s +- %s %s%s\n", a, au, b, bu, unit,
            fabs(l->found - l->stated) > CHECK_IT * l->stated_u ? "  (check it)" : "");
}

static void learned(FILE *to, const nr_fit *fit, nr_units units)
{
    bool headed = false;
    for (size_t i = 0; i < fit->learned_items; i++) {
        if (!worth_telling(&fit->learned[i]))
            continue;
        if (!headed)
            fputs("\nWhat the record says about the stated inputs (value and standard "
                  "uncertainty)\n",
                  to);
        headed = true;
        learned_row(to, &fit->learned[i], units);
    }
}

static void runs(FILE *to, const nr_fit *fit)
{
    fputc('\n', to);
    for (size_t i = 0; i < fit->runs; i++) {
        const nr_fit_run *r = &fit->run[i];
        char a[NR_ROUNDED], b[NR_ROUNDED];
        nr_sentence(to, NR_UNITS_SI, i == 0 ? "From " : "     ",
                    "%s%s%s%s: %zu rows, %s min, %s min of it used.", r->folder,
                    r->title[0] != '\0' ? " (" : "", r->title, r->title[0] != '\0' ? ")" : "",
                    r->rows, nr_round_text(r->duration_s / 60, 0, a),
                    nr_round_text(r->used_s / 60, 0, b));
    }
}

void nr_show_fit(FILE *to, const nr_fit *fit, nr_units units)
{
    headline(to, fit, units);
    fputc('\n', to);
    parameter_table(to, fit, units);
    limits(to, fit, units);
    tested_range(to, fit, units);
    energy(to, fit, units);
    second_opinion(to, fit, units);
    learned(to, fit, units);
    nr_warning_lines(to, "Mind", &fit->warnings, units, "tested-range"); /* said above */
    runs(to, fit);
}
