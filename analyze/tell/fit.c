/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a run's efficiency is of is worth a word where that is less than this part of the record. */
#define PART_COUNTED 0.97
/* The run itself is told first where the gain is this much less certain. */
#define RUN_TELLS 2.0

static char *shown(nr_shown what, nr_units units, double si, int digits, char text[NR_ROUNDED])
{
    return nr_plain_text(nr_display_value(what, units, si), digits, text);
}

void nr_tell_fit_result(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char a[160], b[160], c[NR_ROUNDED];
    if (!fit->eta0.known) {
        (void)snprintf(text, size,
                       "This record does not tell the collector's zero-loss efficiency.");
        return;
    }
    nr_interval_text(a, sizeof a, NR_SHOWN_PERCENT, units, &fit->eta0, 1, "", true);
    if (fit->run_efficiency.known && fit->eta0.u > RUN_TELLS * fit->run_efficiency.u) {
        nr_interval_text(b, sizeof b, NR_SHOWN_PERCENT, units, &fit->run_efficiency, 1, "", true);
        (void)snprintf(text, size,
                       "In this run the water took up %s of the sunlight on the collector, %s W on "
                       "average. How much of it is gain and how much loss, these readings hardly "
                       "tell: warm as the air around it, %s.",
                       b, nr_round_text((fit->water_J - fit->pump_J) / fit->counted_s, -1, c), a);
        return;
    }
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

void nr_tell_fit_basis(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "Per {0 area .4g} of gross area; temperature of the collector: {1|inlet|mean of inlet and "
        "outlet}. Stagnation: rise over the air in {=1000 irradiance .0f}; it may well be more, "
        "because losses were not measured that hot.",
        .number = {fit->gross_area_m2, fit->reference == NR_REFERENCE_MEAN});
}

void nr_tell_fit_bend(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!fit->a2.known || fit->a2_told)
        return;
    NR_SAY(
        &p,
        "This record cannot tell a2: its value is what collectors usually have, drawn a little by "
        "the record, and its interval says so. By the standard's rule (value over standard "
        "uncertainty at least 3) a2 would be left out.",
        .name = {NULL});
}

/* Correlation of two coefficients by their names; NAN where one is not determined. */
static double correlation(const nr_covariance *c, const char *a, const char *b)
{
    size_t i = c->count, k = c->count;
    for (size_t n = 0; n < c->count; n++) {
        i = strcmp(c->name[n], a) ? i : n;
        k = strcmp(c->name[n], b) ? k : n;
    }
    if (i == c->count || k == c->count)
        return NAN;
    return c->matrix[i][k] / sqrt(c->matrix[i][i] * c->matrix[k][k]);
}

void nr_tell_fit_correlation(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    double r = correlation(&fit->covariance, "eta0", "a1");
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (isnan(r))
        return;
    NR_SAY(&p,
           "eta0 and a1 are correlated by r = {0 number +.2f}: for eta0 - a1 x, "
           "u^2 = u(eta0)^2 + x^2 u(a1)^2 - 2 r x u(eta0) u(a1).",
           .number = {r});
}

void nr_tell_fit_standstill(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_standstill *s = &fit->standstill;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!fit->stagnation_K.known)
        return;
    NR_SAY(&p,
           "Stagnation of {0 difference .0f} is where the absorber, without flow, loses what it "
           "takes in: {1 number .3f} of {2 irradiance .0f} = d times ({3 collector-loss .2f}",
           .number = {fit->stagnation_K.value, s->gain, s->sun_W_m2, s->loss_W_m2K});
    if (s->loss2_W_m2K2 != 0)
        NR_SAY(&p, " + {0 loss-slope .4f} times d", .number = {s->loss2_W_m2K2});
    NR_SAY(&p, "), d the rise.", .name = {NULL});
    if (s->loss2_W_m2K2 != 0 && s->loss2_taken)
        NR_SAY(&p,
               " This record hardly tells that growth (standard uncertainty {0 loss-slope .4f "
               "bare}).",
               .number = {s->loss2_u});
    if (isfinite(s->straight_K))
        NR_SAY(&p, " The straight line eta0 - a1 x would end at {0 difference .0f}.",
               .number = {s->straight_K});
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
        !(share > NR_SHARE_LIMITS))
        return;
    double better = fit->eta0.u * sqrt(1 - 0.75 * share);
    char now[NR_ROUNDED], then[NR_ROUNDED];
    size_t used = strlen(text);
    (void)snprintf(text + used, size - used,
                   " With half that uncertainty eta0 would be known to %s instead of %s (standard "
                   "uncertainty).",
                   nr_plain_text(better, 2, then), nr_plain_text(fit->eta0.u, 2, now));
}

#define NOT_STATED_MOST 3
/* Of the variance: what is less is not worth a word. */
#define NOT_STATED_SHARE 0.03

/* All that one key of the rig file would tell, of a quantity's variance. */
static double share_of_key(const nr_fit *fit, const char *ask, int quantity)
{
    double sum = 0;
    for (size_t i = 0; i < fit->budget_items; i++)
        if (!strcmp(fit->budget[i].ask, ask))
            sum += fit->budget[i].bought * fit->budget[i].share[quantity];
    return sum;
}

/* What stating an input would buy: the unstated ones that widen the answer, the larger gain of
 * each.
 */
static void say_not_stated(char *text, size_t size, const nr_fit *fit)
{
    size_t said = 0;
    for (size_t i = 0; i < fit->budget_items && said < NOT_STATED_MOST; i++) {
        const char *ask = fit->budget[i].ask;
        bool again = !ask[0];
        for (size_t k = 0; k < i; k++)
            again = again || !strcmp(fit->budget[k].ask, ask);
        double eta0 = share_of_key(fit, ask, NR_SHARE_ETA0);
        double a1 = share_of_key(fit, ask, NR_SHARE_A1);
        const nr_quantity *q = eta0 >= a1 ? &fit->eta0 : &fit->a1;
        double share = fmin(fmax(eta0, a1), 0.999);
        if (again || share < NOT_STATED_SHARE || !q->known)
            continue;
        char now[NR_ROUNDED], then[NR_ROUNDED];
        size_t used = strlen(text);
        (void)snprintf(text + used, size - used,
                       "%s%s (stated, %s would be known to %s instead of %s)",
                       said++ ? ", " : " Not stated, and so it widens the answer: ", ask,
                       eta0 >= a1 ? "eta0" : "a1", nr_plain_text(q->u * sqrt(1 - share), 2, then),
                       nr_plain_text(q->u, 2, now));
    }
    size_t used = strlen(text);
    if (said)
        (void)snprintf(text + used, size - used, ".");
}

void nr_tell_fit_limits(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    text[0] = '\0';
    if (fit->budget_items == 0)
        return;
    const nr_budget_item *eta0 = &fit->budget[nr_fit_limit(fit, NR_SHARE_ETA0)];
    const nr_budget_item *a1 = &fit->budget[nr_fit_limit(fit, NR_SHARE_A1)];
    char first[200], second[200];
    name_item(first, sizeof first, eta0, units);
    name_item(second, sizeof second, a1, units);
    const nr_blanks b = {.name = {first, second},
                         .number = {eta0->share[NR_SHARE_ETA0], a1->share[NR_SHARE_A1]}};
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!(eta0->share[NR_SHARE_ETA0] > NR_SHARE_LIMITS))
        nr_phrase_say(&p, "What limits this answer: nothing stands out among many small things.",
                      &b);
    else if (eta0 == a1)
        nr_phrase_say(&p,
                      "What limits this answer: {a}: {0 percent .0f} of the variance of eta0 and "
                      "{1 percent .0f} of that of a1.",
                      &b);
    else
        nr_phrase_say(&p,
                      "What limits this answer: {a}: {0 percent .0f} of the variance of eta0; {b}: "
                      "{1 percent .0f} of that of a1.",
                      &b);
    say_improvement(text, size, fit, eta0);
    say_not_stated(text, size, fit);
}

static void side_of_air(char *text, size_t size, double K, nr_units units)
{
    char n[NR_ROUNDED];
    double value = nr_display_difference(NR_SHOWN_DIFFERENCE, units, fabs(K));
    (void)snprintf(text, size, "%s %s %s", nr_round_text(value, 0, n),
                   nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain, K < 0 ? "below" : "above");
}

void nr_tell_fit_range(char *text, size_t size, const nr_fit *fit, nr_units units)
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

void nr_tell_fit_incidence(char *text, size_t size, const nr_fit *fit)
{
    const nr_incidence *i = &fit->incidence;
    double lost = 1 - i->modifier;
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (!i->known)
        return;
    NR_SAY(&p,
           "The sun stood {0 number .0f} degrees from perpendicular on average ({1 number .0f} to "
           "{2 number .0f})",
           .number = {i->mean_deg, i->lo_deg, i->hi_deg});
    if (lost >= 0.0005)
        NR_SAY(&p,
               "; the collector takes in {0 percent .1f} less of its light than at right angles",
               .number = {lost});
    NR_SAY(&p, ".", .name = {NULL});
}

/* Of the water's heat: less of it from the pump is not worth a word. */
#define PUMP_SHOWN 0.003

void nr_tell_fit_energy(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char a[NR_ROUNDED], b[NR_ROUNDED], c[NR_ROUNDED];
    text[0] = '\0';
    if (!isfinite(fit->sun_J) || !isfinite(fit->water_J))
        return;
    const char *unit = nr_display_of(NR_SHOWN_ENERGY, units)->plain;
    double recorded_s = 0;
    for (size_t i = 0; i < fit->runs; i++)
        recorded_s += fit->run[i].block_s * (double)fit->run[i].blocks;
    char when[100] = "";
    if (fit->counted_s < PART_COUNTED * recorded_s)
        (void)snprintf(when, sizeof when, " while it was pumped (%s of %s min)",
                       nr_round_text(fit->counted_s / 60, 0, a),
                       nr_round_text(recorded_s / 60, 0, b));
    char pump[80] = "", d[NR_ROUNDED];
    if (fit->pump_J > PUMP_SHOWN * fit->water_J)
        (void)snprintf(pump, sizeof pump, ", %s %s of it from the pump",
                       shown(NR_SHOWN_ENERGY, units, fit->pump_J, 1, d), unit);
    (void)snprintf(text, size,
                   "Sun on the collector%s: %s %s (%s kWh); gained by the water: %s %s%s.", when,
                   shown(NR_SHOWN_ENERGY, units, fit->sun_J, 3, a), unit,
                   nr_plain_text(fit->sun_J / 3.6e6, 3, c),
                   shown(NR_SHOWN_ENERGY, units, fit->water_J, 3, b), unit, pump);
}

static void tell_points(char *text, size_t size, const nr_classical *c, nr_units units)
{
    char a[120], b[160];
    (void)snprintf(
        text, size, "Second opinion, a straight line through %zu %s: eta0 %s, a1 %s.", c->points,
        c->steady_only ? "steady points" : "points (few of them steady)",
        nr_interval_text(a, sizeof a, NR_SHOWN_NUMBER, units, &c->eta0, 2, "", false),
        nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &c->a1, 2, "", true));
}

void nr_tell_fit_second_opinion(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_means *m = &fit->means;
    char a[120], b[160];
    text[0] = '\0';
    if (!m->known) {
        if (fit->classical.known)
            tell_points(text, size, &fit->classical, units);
        return;
    }
    (void)snprintf(
        text, size,
        "Second opinion, a plain regression of the record's own %zu ten-minute means, which knows "
        "no sensor's error: eta0 %s, a1 %s.%s",
        m->windows, nr_interval_text(a, sizeof a, NR_SHOWN_NUMBER, units, &m->eta0, 2, "", false),
        nr_interval_text(b, sizeof b, NR_SHOWN_COLLECTOR_LOSS, units, &m->a1, 2, "", true),
        fit->reference == NR_REFERENCE_MEAN ? "" : " Of the mean fluid temperature.");
}

void nr_tell_fit_run(char *text, size_t size, const nr_fit_run *r)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    bool titled = r->title[0] != '\0';
    (void)snprintf(text, size, "%s%s%s%s: %zu rows, %s min, %s min of it used.", r->folder,
                   titled ? " (" : "", r->title, titled ? ")" : "", r->rows,
                   nr_round_text(r->duration_s / 60, 0, a), nr_round_text(r->used_s / 60, 0, b));
}

void nr_tell_fit_monte_carlo(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_monte_carlo *m = &fit->monte_carlo;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!m->trials)
        return;
    NR_SAY(
        &p,
        "Monte Carlo ({0 number .0f} trials, seed {1 number .0f}): standard uncertainty of eta0 "
        "{2 number .4f} +- {3 number .4f} where the table has {4 number .4f}, 95 % {5 number .3f} "
        "to {6 number .3f}; of a1 {7 collector-loss .3f bare} +- {8 collector-loss .3f bare} where "
        "the table has {9 collector-loss .3f}.{10|| Some trials found no minimum and were left "
        "out.}",
        .number = {(double)(m->trials - m->failed), (double)m->seed, m->eta0.u, m->eta0.u_error,
                   fit->eta0.u, m->eta0.lo95, m->eta0.hi95, m->a1.u, m->a1.u_error, fit->a1.u,
                   m->failed > 0});
}

void nr_tell_fit_learned(char *text, size_t size, const nr_learned *l, nr_units units)
{
    char a[NR_ROUNDED], au[NR_ROUNDED], b[NR_ROUNDED], bu[NR_ROUNDED];
    const char *unit;
    text[0] = '\0';
    if (nr_learned_judge(l) == NR_LEARNED_NOTHING)
        return;
    nr_round_pair(stated(l->stated, l->unit, units, &unit),
                  stated(l->stated_u, l->unit, units, &unit), a, au, sizeof a);
    nr_round_pair(stated(l->found, l->unit, units, &unit),
                  stated(l->found_u, l->unit, units, &unit), b, bu, sizeof b);
    (void)snprintf(text, size, "%s +- %s -> %s +- %s %s", a, au, b, bu, unit);
}

void nr_tell_page_title(char *text, size_t size, const char *name)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    NR_SAY(&p, "{a}: a heat-up test", .name = {name});
}
