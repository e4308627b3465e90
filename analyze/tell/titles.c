/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The findings as headlines: of a picture, of a card. Without names, ASCII; whoever sets them puts
 * the name before and the signs in. */
#include "analyze/forecast/day.h"
#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdio.h>

#define K95 1.96

static const char *const month_name[NR_MONTHS] = {"January",   "February", "March",    "April",
                                                  "May",       "June",     "July",     "August",
                                                  "September", "October",  "November", "December"};

/* To one digit of its uncertainty, with its unit. */
static char *headline(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q)
{
    char n[NR_ROUNDED];
    nr_quantity d = nr_display_quantity(what, units, q);
    (void)snprintf(text, size, "%s %s", nr_round_text(d.value, nr_round_place(d.u, 1), n),
                   nr_display_of(what, units)->plain);
    return text;
}

void nr_tell_fit_title(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char eta0[96], a1[96];
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!fit->eta0.known) {
        NR_SAY(&p, "the efficiency could not be determined", .name = {NULL});
        return;
    }
    NR_SAY(&p, "{a} at zero loss",
           .name = {headline(eta0, sizeof eta0, NR_SHOWN_PERCENT, units, &fit->eta0)});
    if (fit->a1.known)
        NR_SAY(&p, ", {a}",
               .name = {headline(a1, sizeof a1, NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1)});
}

void nr_tell_compare_headline(char *text, size_t size, const nr_compare *c, const char *best,
                              const char *next)
{
    const nr_verdict *v = &c->verdict;
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    const nr_quantity *t = &c->heat_up[v->best].time_s;
    const nr_against *a = &v->against[v->next];
    if (!v->reached)
        NR_SAY(&p, "No build reaches the target on the reference day", .name = {NULL});
    else if (v->next == v->best)
        NR_SAY(&p, "Only {a} reaches the target on the reference day", .name = {best});
    else if (c->builds > 2)
        NR_SAY(&p,
               "{a} heats up first of {3 number .0f}: {0 minutes u2} (95 %: {1 minutes u2 bare} to "
               "{4 minutes u2 bare})",
               .name = {best}, .number = {t->value, t->lo95, t->u, (double)c->builds, t->hi95});
    else if (a->outcome != NR_AGAINST_SLOWER)
        NR_SAY(&p, "No clear difference in heat-up time (95 %): {a}, {b}", .name = {best, next});
    else /* whole minutes would turn "0.1 to 7.9" into "0 to 8", which reads as no difference */
        NR_SAY(&p,
               "{a} is {0 minutes u2} faster than {b} (95 %: {1 minutes u2 bare} to {3 minutes u2 "
               "bare})",
               .name = {best, next}, .number = {a->gain_s, a->lo95_s, a->u_s, a->hi95_s});
}

void nr_tell_energy_title(char *text, size_t size, const nr_fit *fit)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (fit->run_efficiency.known)
        NR_SAY(&p, "{0 percent .0f} of the sun's energy stayed in the water",
               .number = {fit->run_efficiency.value});
    else
        NR_SAY(&p, "where the sun's energy went", .name = {NULL});
}

void nr_tell_budget_title(char *text, size_t size, const nr_fit *fit)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    size_t most = nr_fit_limit(fit, NR_SHARE_ETA0);
    NR_SAY(&p, "What limits the answer: {a}",
           .name = {most < fit->budget_items ? fit->budget[most].label : "nothing"});
}

void nr_tell_inspect_title(char *text, size_t size, const nr_inspect *x)
{
    size_t faults = 0;
    for (size_t i = 0; i < x->findings; i++)
        faults += x->finding[i].severity == NR_SEVERITY_FAULT;
    size_t doubts = 0;
    for (size_t i = 0; i < x->findings; i++)
        doubts += x->finding[i].severity == NR_SEVERITY_DOUBT;
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (faults + doubts == 0)
        NR_SAY(&p, "A good record: ", .name = {NULL});
    else
        NR_SAY(&p, "{0 number .0f} {0#fault|faults}, {1 number .0f} {1#doubt|doubts}: ",
               .number = {(double)faults, (double)doubts});
    NR_SAY(
        &p,
        "{0|not usable for a fit|usable for the store alone|usable for the loop alone|usable for "
        "store and loop}",
        .number = {x->usable_for_store + 2 * x->usable_for_loop});
}

void nr_tell_predict_title(char *text, size_t size, const nr_predict *a, nr_units units)
{
    const nr_day *d = &a->day;
    const nr_quantity *t = &a->time_s, *T = &a->final_degC;
    char at[NR_CLOCK_TEXT], lo[NR_CLOCK_TEXT], hi[NR_CLOCK_TEXT];
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p, "{0 temperature .0f}", .number = {d->to_degC});
    if (t->known && d->clear_sky && isfinite(t->hi95))
        NR_SAY(&p, " at {a} (95 %: {b} to {c})",
               .name = {nr_day_clock(d, d->start_s + t->value, at),
                        nr_day_clock(d, d->start_s + t->lo95, lo),
                        nr_day_clock(d, d->start_s + t->hi95, hi)});
    else if (t->known && d->clear_sky)
        NR_SAY(&p, " at {a} (at the earliest {b})",
               .name = {nr_day_clock(d, d->start_s + t->value, at),
                        nr_day_clock(d, d->start_s + t->lo95, lo)});
    else if (t->known && isfinite(t->hi95))
        NR_SAY(&p, " after {0 minutes .0f} (95 %: {1 minutes .0f bare} to {2 minutes .0f bare})",
               .number = {t->value, t->lo95, t->hi95});
    else if (t->known)
        NR_SAY(&p, " after {0 minutes .0f} (at the earliest {1 minutes .0f bare})",
               .number = {t->value, t->lo95});
    else if (a->reached)
        NR_SAY(&p, " from the start", .name = {NULL});
    else if (T->known)
        NR_SAY(&p,
               " is not reached: {0 temperature .0f} in the end (95 %: {1 temperature .0f bare} to "
               "{2 temperature .0f bare})",
               .number = {T->value, T->lo95, T->hi95});
    else
        NR_SAY(&p, " is not reached", .name = {NULL});
}

/* "40 degC by 15:00" */
static void say_wish(nr_phrase *p, const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char by[NR_CLOCK_TEXT];
    NR_SAY(p, "{0 temperature .0f} ", .number = {d->to_degC});
    if (d->clear_sky)
        NR_SAY(p, "by {a}", .name = {nr_day_clock(d, z->asked.by_s, by)});
    else
        NR_SAY(p, "within {0 minutes .0f}", .number = {d->limit_s});
}

static bool sure(const nr_size *z, size_t month)
{
    return nr_size_month_chance(&z->month[month % z->months]) == NR_CHANCE_SURE;
}

/* First and last of the sure months where they follow each other, over the turn of the year too. */
static bool one_season(const nr_size *z, size_t *first, size_t *last)
{
    size_t begins = 0;
    for (size_t m = 0; m < z->months; m++) {
        if (sure(z, m) && !sure(z, m + z->months - 1)) {
            begins++;
            *first = m;
        }
        if (sure(z, m) && !sure(z, m + 1))
            *last = m;
    }
    return begins == 1;
}

static void say_months(nr_phrase *p, const nr_size *z)
{
    size_t certain = 0, likely = 0, first = 0, last = 0;
    for (size_t m = 0; m < z->months; m++) {
        certain += sure(z, m);
        likely += nr_size_month_chance(&z->month[m]) == NR_CHANCE_LIKELY;
    }
    if (certain == z->months)
        NR_SAY(p, "sure in every month", .name = {NULL});
    else if (certain == 0)
        NR_SAY(p, "sure in no month", .name = {NULL});
    else if (!one_season(z, &first, &last))
        NR_SAY(p, "sure in {0 number .0f} months", .number = {(double)certain});
    else if (first == last)
        NR_SAY(p, "sure in {a} only", .name = {month_name[first]});
    else
        NR_SAY(p, "sure from {a} to {b}", .name = {month_name[first], month_name[last]});
    if (likely > 0)
        NR_SAY(p, ", likely in {0 number .0f}{1|| more}", .number = {(double)likely, certain > 0});
}

void nr_tell_size_title(char *text, size_t size, const nr_size *z, nr_units units)
{
    const nr_quantity *T = &z->warmest_degC;
    nr_phrase p = nr_phrase_begin(text, size, units);
    say_wish(&p, z);
    if (z->months > 0) {
        NR_SAY(&p, ", clear sky: ", .name = {NULL});
        say_months(&p, z);
    } else if (!T->known) {
        NR_SAY(&p, ": not known", .name = {NULL});
    } else {
        NR_SAY(&p,
               " {a}: {0 temperature .0f} (95 %: {1 temperature .0f bare} to {2 temperature .0f "
               "bare})",
               .name = {nr_chance_verdict(nr_chance_of(z->probability))},
               .number = {T->value, T->lo95, T->hi95});
    }
}

void nr_tell_plan_title(char *text, size_t size, const nr_plan *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p, "In {0 span}: eta0 +-{1 number .3f}, a1{2|| with the container} ",
           .number = {a->test.duration_s, K95 * a->fit->eta0.u, a->loss_includes_store});
    if (a->fit->a1.known)
        NR_SAY(&p, "+-{0 collector-loss u0} (95 %)", .number = {K95 * a->fit->a1.u});
    else
        NR_SAY(&p, "not determined", .name = {NULL});
}

void nr_tell_pump_title(char *text, size_t size, const nr_pump *a)
{
    const nr_pump_row *half = nr_pump_row_of(a, 0.5), *twice = nr_pump_row_of(a, 2);
    const double *power = a->power_at_twice;
    char more[96], less[96];
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (half == NULL || twice == NULL || !twice->change.known || !half->change.known) {
        NR_SAY(&p, "More flow always gathers more heat, ever less of it", .name = {NULL});
        return;
    }
    nr_quantity lost = half->change;
    lost.value = -lost.value;
    (void)headline(less, sizeof less, NR_SHOWN_PERCENT, NR_UNITS_SI, &lost);
    (void)headline(more, sizeof more, NR_SHOWN_PERCENT, NR_UNITS_SI, &twice->change);
    NR_SAY(&p, "Twice the flow gathers {a} more heat", .name = {more});
    if (!isfinite(power[0]) || !(power[0] > 0))
        NR_SAY(&p, ", half of it {a} less", .name = {less});
    else if (round(power[1]) > round(power[0]))
        NR_SAY(&p, " for {0 number .0f} to {1 number .0f} times the pumping power",
               .number = {power[0], power[1]});
    else
        NR_SAY(&p, " for {0 number .0f} times the pumping power", .number = {power[0]});
}
