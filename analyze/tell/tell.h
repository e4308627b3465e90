/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences about answers, for the terminal, the page, the pictures and JSON alike.
 *
 * Each writes one or a few plain sentences in the units wanted, or an empty text when there is
 * nothing to say; always terminates, cuts what does not fit (NR_TELL is room for any of them).
 * ASCII but for names from files, which are not cleaned yet. Nothing is decided here: what is said,
 * and of whom, stands in the answer as a code.
 */
#ifndef NR_TELL_TELL_H
#define NR_TELL_TELL_H

#include "analyze/compare/compare.h"
#include "analyze/fit/fit.h"
#include "analyze/forecast/predict.h"
#include "analyze/forecast/size.h"
#include "analyze/inspect/inspect.h"
#include "analyze/plan/plan.h"
#include "analyze/pump/pump.h"
#include "analyze/tell/display.h"

#define NR_TELL 2048

/* Warnings and cautions. all: the list it is of. */
void nr_tell_warning(char *text, size_t size, const nr_warning *warning, const nr_warnings *all,
                     nr_units units);

/* Why an answer is doubted or withheld: what is wrong, since when, what to check. */
void nr_tell_trust(char *text, size_t size, const nr_trust_reason *reason, nr_units units);

/* Over a page. */
void nr_tell_page_title(char *text, size_t size, const char *name);
void nr_tell_fit_result(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_basis(char *text, size_t size, const nr_fit *fit, nr_units units);
/* How eta0 and a1 go together, and what to do with it. */
void nr_tell_fit_correlation(char *text, size_t size, const nr_fit *fit, nr_units units);
/* By which balance the stagnation was found, and what the straight line would say. */
void nr_tell_fit_standstill(char *text, size_t size, const nr_fit *fit, nr_units units);
/* That a2 was asked for and is mostly what is usual; empty otherwise. */
void nr_tell_fit_bend(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_limits(char *text, size_t size, const nr_fit *fit, nr_units units);
/* What would make an input less of a limit: "weigh the water"; never NULL. */
const char *nr_cause_action(const nr_budget_item *item);
void nr_tell_fit_range(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_incidence(char *text, size_t size, const nr_fit *fit);
void nr_tell_fit_energy(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_second_opinion(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_monte_carlo(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_fit_run(char *text, size_t size, const nr_fit_run *run);
/* What the record says about one stated input: "0.00 +- 0.15 -> 0.040 +- 0.080 K"; empty when the
 * record neither moved nor sharpened it. */
void nr_tell_fit_learned(char *text, size_t size, const nr_learned *learned, nr_units units);

void nr_tell_compare_verdict(char *text, size_t size, const nr_compare *c, nr_units units);
void nr_tell_compare_basis(char *text, size_t size, const nr_compare *c);
/* What the columns of the ranking mean; "" of two builds. */
void nr_tell_ranking(char *text, size_t size, const nr_compare *compare);
/* "1", "2 to 5". */
void nr_tell_rank(char *text, size_t size, const nr_rank *rank);
/* The finding over a picture, with the names it is given (whole or cut): "A is 12 min faster than B
 * (95 %: 7 to 18)". best and next: of the verdict's two. */
void nr_tell_compare_headline(char *text, size_t size, const nr_compare *c, const char *best,
                              const char *next);
/* "glazed against bare", "3 solar collectors compared": over a page or a picture. */
void nr_tell_compare_title(char *text, size_t size, const nr_compare *c);
void nr_tell_heat_up_title(char *text, size_t size, const nr_compare *c, size_t build);
void nr_tell_compare_day(char *text, size_t size, const nr_reference_day *day, nr_units units);
void nr_tell_compare_pair(char *text, size_t size, const nr_compare *c, const nr_difference *d,
                          nr_units units);
void nr_tell_compare_all_pairs(char *text, size_t size, const nr_compare *c);

void nr_tell_inspect(char *text, size_t size, const nr_inspect *x, nr_units units);
void nr_tell_inspect_record(char *text, size_t size, const nr_inspect *x);
void nr_tell_inspect_angle(char *text, size_t size, const nr_inspect *x);
void nr_tell_inspect_use(char *text, size_t size, const nr_inspect *x);
void nr_tell_finding(char *text, size_t size, const nr_finding *finding, nr_units units);
void nr_tell_finding_advice(char *text, size_t size, const nr_finding *finding, nr_units units);
/* "note", "doubt", "fault". */
const char *nr_severity_word(nr_severity severity);

void nr_tell_predict(char *text, size_t size, const nr_predict *p, nr_units units);
void nr_tell_predict_remedy(char *text, size_t size, const nr_predict *p, nr_units units);
void nr_tell_predict_water(char *text, size_t size, const nr_day *day, nr_units units);
void nr_tell_predict_day(char *text, size_t size, const nr_day *day, nr_units units);
void nr_tell_predict_shares(char *text, size_t size, const nr_predict *p, nr_units units);

void nr_tell_size(char *text, size_t size, const nr_size *z, nr_units units);
void nr_tell_size_bounds(char *text, size_t size, const nr_size *z, nr_units units);
void nr_tell_size_uses(char *text, size_t size, const nr_size *z, nr_units units);
/* "is reached", "is more likely reached than not": of a target. */
const char *nr_chance_verdict(nr_chance chance);
/* The same as a word for a table: "yes", "likely", "no sun". */
const char *nr_chance_word(nr_chance chance);

void nr_tell_pump(char *text, size_t size, const nr_pump *p, nr_units units);
void nr_tell_pump_faster(char *text, size_t size, const nr_pump *p, nr_units units);
void nr_tell_pump_panel(char *text, size_t size, const nr_pump *p, nr_units units);
void nr_tell_pump_basis(char *text, size_t size, const nr_pump *p, nr_units units);

void nr_tell_plan(char *text, size_t size, const nr_plan *p, nr_units units);
void nr_tell_plan_limits(char *text, size_t size, const nr_plan *p, nr_units units);
/* What to do, and what it tells that the plan does not. */
void nr_tell_plan_step(char *text, size_t size, const nr_plan_step *step, nr_units units);
void nr_tell_plan_side_by_side(char *text, size_t size, const nr_plan *p);
void nr_tell_plan_supposed(char *text, size_t size, const nr_plan *p, nr_units units);
/* "free", "an evening", "money" */
const char *nr_plan_cost_word(nr_plan_cost cost);

/* The findings as headlines, for pictures and cards: without names, no full stop. */
void nr_tell_fit_title(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_energy_title(char *text, size_t size, const nr_fit *fit);
void nr_tell_budget_title(char *text, size_t size, const nr_fit *fit);
void nr_tell_inspect_title(char *text, size_t size, const nr_inspect *x);
void nr_tell_predict_title(char *text, size_t size, const nr_predict *p, nr_units units);
void nr_tell_size_title(char *text, size_t size, const nr_size *z, nr_units units);
void nr_tell_plan_title(char *text, size_t size, const nr_plan *p, nr_units units);
void nr_tell_pump_title(char *text, size_t size, const nr_pump *p);

/* "0.712 (95 %: 0.667 to 0.757)", digits significant digits of u; sign: "+" before positive
 * values. With the unit when with_unit. Returns text. */
char *nr_interval_text(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q,
                       int digits, const char *sign, bool with_unit);

/* Rounds a value to its uncertainty: two significant digits of u (JCGM 100, 7.2.6).
 * Writes e.g. value 0.71234, u 0.0225 as "0.712" and "0.023". u <= 0 or NAN: 4 digits. */
void nr_round_pair(double value, double u, char *value_text, char *u_text, size_t size);

#endif
