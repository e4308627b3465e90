/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The results of a fit worked out a second time from what the solved estimate says of its pieces:
 * coefficients, curve, covariances, budget and what was learned, with gradients taken here. */
#include "tests/unit/fit/worked.h"

static void quantity_is(const worked *w, const char *what, const nr_quantity *q, nr_result_fn fn,
                        const nr_curve_at *at, bool positive)
{
    double *g = calloc(nr_joint_parameters(w->joint), sizeof *g), random;
    gradient_of(w->joint, fn, at, g);
    double u = u_by_hand(w->joint, g, &random), value = fn(w->joint, nr_joint_x(w->joint), at);
    ck_assert_msg(q->known, "%s", what);
    NEAR_AT(what, q->value, value, 1e-9 * fabs(value));
    NEAR_AT(what, q->u, u, 1e-4 * u);
    NEAR_AT(what, q->u_random, random, 1e-3 * u);
    NEAR_AT(what, hypot(q->u_random, q->u_systematic), q->u, 1e-9 * u);
    NEAR_AT(what, q->hi95, positive ? value * exp(1.959964 * u / value) : value + 1.959964 * u,
            1e-4 * u);
    NEAR_AT(what, q->lo95, positive ? value * exp(-1.959964 * u / value) : value - 1.959964 * u,
            1e-4 * u);
    free(g);
}

/* The same by the model's steady state: at the temperature of the air, and at both ends of the span
 * for the slope between them. */
static double eta_at(const worked *w, double x)
{
    nr_loop_params p = nr_joint_device(w->joint, w->at.piece, nr_joint_x(w->joint));
    return nr_steady_efficiency(&p, &w->at.conditions, x, w->at.mean);
}

static void coefficients_of(const worked *w)
{
    const nr_fit *f = w->fit;
    nr_curve_at zero = w->at, normal = w->at;
    normal.conditions.obliquity = 0;
    quantity_is(w, "eta0", &f->eta0, nr_result_efficiency, &zero, false);
    quantity_is(w, "eta0, normal", &f->eta0_normal, nr_result_efficiency, &normal, false);
    quantity_is(w, "a1", &f->a1, nr_result_a1, &w->at, false);
    quantity_is(w, "a5", &f->a5, nr_result_a5, &w->at, true);
    quantity_is(w, "stagnation", &f->stagnation_K, nr_result_stagnation_K, &w->at, true);
    if (f->store_loss.known)
        quantity_is(w, "container", &f->store_loss, nr_result_store_loss, &w->at, false);
    double s = w->at.span, e0 = eta_at(w, 0), e1 = eta_at(w, s / 2), e2 = eta_at(w, s);
    NEAR(f->eta0.value, e0, 1e-12);
    if (!f->a2.known) {
        NEAR_RELATIVE(f->a1.value, (e0 - e2) / s, 1e-9);
    } else { /* a parabola through three points */
        NEAR_RELATIVE(f->a1.value, (3 * e0 - 4 * e1 + e2) / s, 1e-9);
        NEAR_RELATIVE(f->a2.value, -2 * (e0 - 2 * e1 + e2) / (s * s) / f->mean_sun_W_m2, 1e-7);
    }
    /* a2 through three points, whoever reports it: e0 - a1 x - a2 G x^2 is the curve there. */
    const double *x = nr_joint_x(w->joint);
    nr_curve_at bent = w->at;
    bent.bend = true;
    double a1 = nr_result_a1(w->joint, x, &bent), a2 = nr_result_a2(w->joint, x, &bent);
    for (int k = 1; k <= 2; k++) {
        double at = s * k / 2;
        NEAR(e0 - a1 * at - a2 * f->mean_sun_W_m2 * at * at, k == 1 ? e1 : e2, 1e-12);
    }
    nr_loop_params p = nr_joint_device(w->joint, w->at.piece, x);
    double f_prime = 1 / (1 + p.loss_W_m2K / p.exchange_W_m2K);
    NEAR_RELATIVE(f->a5.value, f_prime * f_prime * p.capacity_J_m2K + p.fluid_J_K / p.area_m2,
                  1e-9);
    const nr_standstill *still = &f->standstill;
    NEAR(still->straight_K, 1000 * f->eta0.value / f->a1.value, 1e-9);
    NEAR(still->loss_W_m2K, p.loss_W_m2K, 0);
    NEAR(still->loss2_W_m2K2, p.loss2_W_m2K2, 0);
    double rise = f->stagnation_K.value;
    NEAR(still->gain * 1000, still->loss_W_m2K * rise + still->loss2_W_m2K2 * rise * rise, 1e-3);
    /* The part that does not go with the sun: what is left of eta G towards none of it. */
    nr_curve_at bright = w->at;
    bright.conditions.sun_W_m2 *= 2;
    double one = e0 * w->at.conditions.sun_W_m2,
           two = nr_result_efficiency(w->joint, x, &bright) * 2 * w->at.conditions.sun_W_m2;
    NEAR(f->constant_W_m2, 2 * one - two, 1e-6);
}

/* ---- the curve ---- */

static void curve_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t m = nr_joint_parameters(w->joint), inside = 0;
    double *g = calloc(m, sizeof *g), random, width = f->x_range[1] - f->x_range[0];
    ck_assert_uint_eq(f->curve_points, 41);
    NEAR(f->curve[0].x, fmin(f->x_range[0], 0) - width / 4, 1e-12);
    NEAR(f->curve[40].x, f->x_range[1] + fmax(width, 0.02), 1e-12);
    for (size_t i = 0; i < f->curve_points; i++) {
        nr_curve_at here = w->at;
        const nr_curve_point *c = &f->curve[i];
        here.x = c->x;
        gradient_of(w->joint, nr_result_efficiency, &here, g);
        double u = u_by_hand(w->joint, g, &random);
        NEAR(c->eta, eta_at(w, c->x), 2e-6);
        NEAR((c->hi95 - c->lo95) / 2, 1.959964 * u, 1e-3 * u);
        NEAR((c->hi95 + c->lo95) / 2, c->eta, 1e-12);
        ck_assert(c->tested == (c->x > f->x_range[0] - 1e-9 && c->x < f->x_range[1] + 1e-9));
        inside += c->tested;
        if (i > 0)
            ck_assert(c->x > f->curve[i - 1].x);
        double step = i < 10   ? (f->x_range[0] - f->curve[0].x) / 10
                      : i < 30 ? width / 20
                               : (f->curve[40].x - f->x_range[1]) / 10;
        if (i < 40)
            NEAR(f->curve[i + 1].x - c->x, step, 1e-12);
    }
    ck_assert_uint_eq(inside, 21);
    NEAR(f->curve_formula.k95, 1.959963984540054, 1e-12);
    NEAR(f->curve_formula.x_range[0], f->curve[0].x, 0);
    NEAR(f->curve_formula.x_range[1], f->curve[40].x, 0);
    free(g);
}

static void covariances_of(const worked *w)
{
    const nr_covariance *c = &w->fit->covariance;
    size_t m = nr_joint_parameters(w->joint);
    static const struct {
        const char *name;
        nr_result_fn fn;
    } known[] = {{"eta0", nr_result_efficiency},
                 {"a1", nr_result_a1},
                 {"a2", nr_result_a2},
                 {"a5", nr_result_a5},
                 {"store_loss", nr_result_store_loss}};
    double *g[NR_COVARIANCE_MOST];
    for (size_t i = 0; i < c->count; i++) {
        g[i] = calloc(m, sizeof **g);
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof *known; k++)
            if (!strcmp(known[k].name, c->name[i])) {
                gradient_of(w->joint, known[k].fn, &w->at, g[i]);
                found = true;
            }
        if (!found) {
            ck_assert_str_eq(c->name[i], "b0");
            g[i][nr_joint_index(w->joint, w->at.piece, NR_TERM_B0)] = 1;
        }
    }
    ck_assert_uint_eq(c->count, 4U + w->fit->a2.known + w->fit->store_loss.known);
    for (size_t i = 0; i < c->count; i++)
        for (size_t k = 0; k < c->count; k++) {
            double scale = sqrt(c->matrix[i][i] * c->matrix[k][k]);
            NEAR_AT(c->name[i], c->matrix[i][k], nr_joint_covariance(w->joint, g[i], g[k]),
                    1e-4 * scale);
        }
    for (size_t i = 0; i < c->count; i++)
        free(g[i]);
}

/* ---- inputs ---- */

/* Each input's part of the variance of eta0 and a1, by (C g / u)^2 over all. */
static void budget_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t m = nr_joint_parameters(w->joint), found = 0;
    double *g[2], *unit = calloc(m, sizeof *unit), all[2];
    static const nr_result_fn fn[2] = {nr_result_efficiency, nr_result_a1};
    for (int k = 0; k < 2; k++) {
        g[k] = calloc(m, sizeof **g);
        gradient_of(w->joint, fn[k], &w->at, g[k]);
        all[k] = nr_joint_covariance(w->joint, g[k], g[k]);
    }
    for (size_t b = 0; b < f->budget_items; b++) {
        const nr_budget_item *item = &f->budget[b];
        double part[2] = {0};
        size_t first = SIZE_MAX;
        for (size_t i = 0; i < m; i++) {
            nr_parameter_view p = nr_joint_parameter(w->joint, i);
            if ((int)p.term != item->term || p.variant != item->variant || !p.has_prior)
                continue;
            first = first == SIZE_MAX ? i : first;
            unit[i] = 1;
            for (int k = 0; k < 2; k++)
                part[k] += pow(nr_joint_covariance(w->joint, unit, g[k]) / p.prior_u, 2) / all[k];
            unit[i] = 0;
            found++;
        }
        if (b > 0)
            ck_assert(item->share[NR_SHARE_ETA0] <= item[-1].share[NR_SHARE_ETA0]);
        if (item->term == NR_TERMS) {
            ck_assert(isnan(item->stated_u) && first == SIZE_MAX);
            continue;
        }
        nr_parameter_view p = nr_joint_parameter(w->joint, first);
        NEAR_AT(item->label, item->share[NR_SHARE_ETA0], part[0], 1e-4);
        NEAR_AT(item->label, item->share[NR_SHARE_A1], part[1], 1e-4);
        NEAR_AT(item->label, item->stated_u, p.prior_u, 0);
        ck_assert_str_eq(item->label, p.label);
        ck_assert_str_eq(item->unit, p.unit);
        ck_assert_str_eq(item->ask, p.ask);
        double left = p.asked_u / p.prior_u;
        NEAR_AT(item->label, item->bought, p.ask[0] ? 1 - left * left : 0, 1e-12);
    }
    size_t with_prior = 0;
    for (size_t i = 0; i < m; i++)
        with_prior += nr_joint_parameter(w->joint, i).has_prior;
    ck_assert_uint_eq(found, with_prior); /* each counted once */
    for (int k = 0; k < 2; k++)
        free(g[k]);
    free(unit);
}

static void learned_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t at = 0;
    for (size_t i = 0; i < nr_joint_parameters(w->joint); i++) {
        nr_parameter_view p = nr_joint_parameter(w->joint, i);
        if (!p.has_prior || !nr_term_is_input(p.term))
            continue;
        ck_assert_uint_lt(at, f->learned_items);
        const nr_learned *l = &f->learned[at++];
        double v[2] = {p.prior, p.value}, u[2] = {p.prior_u, p.u};
        const char *natural = nr_term_natural_unit(p.term);
        for (int k = 0; k < 2; k++) {
            if (nr_term_transform(p.term) == NR_SQUARE_ROOT) {
                u[k] *= 2 * fabs(v[k]);
                v[k] *= v[k];
            } else if (nr_term_transform(p.term) == NR_LOGARITHM && natural[0]) {
                v[k] = exp(v[k]);
                u[k] *= v[k];
            }
        }
        ck_assert_str_eq(l->label, p.label);
        NEAR_AT(l->label, l->stated, v[0], 1e-9 * fabs(v[0]));
        NEAR_AT(l->label, l->found, v[1], 1e-9 * fabs(v[1]));
        NEAR_AT(l->label, l->stated_u, u[0], 1e-9 * u[0]);
        NEAR_AT(l->label, l->found_u, u[1], 1e-9 * u[1]);
    }
    ck_assert_uint_eq(at, f->learned_items);
}

/* Means over the sunny, pumped time, of one run: its own. */
static void conditions_of(const worked *w, int kind)
{
    const nr_series *s = w->series;
    const nr_fit *f = w->fit;
    const nr_steady_conditions *c = &w->at.conditions;
    double sun = 0, air = 0, flow = 0, n = 0, flow_W_K = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t b = 0; b < s->part[i].blocks; b++)
            for (size_t k = b * s->steps_per_block; k < (b + 1) * s->steps_per_block; k++) {
                const nr_part *p = &s->part[i];
                if (!p->pump_on[b] || !p->bright[b] || p->sun_W_m2[k] < 0.4 * s->max_sun_W_m2)
                    continue;
                sun += p->sun_W_m2[k];
                air += p->air_degC[k];
                flow_W_K += p->flow_W_K[k];
                flow += p->flow_L_min[b];
                n++;
            }
    NEAR_RELATIVE(c->sun_W_m2, sun / n, 0.01); /* steps at a stop's edges count by themselves */
    NEAR_RELATIVE(c->air_degC, air / n, 0.01);
    NEAR_RELATIVE(c->flow_W_K, flow_W_K / n, 0.01);
    NEAR(f->mean_sun_W_m2, c->sun_W_m2, 0);
    NEAR(f->mean_air_degC, c->air_degC, 0);
    if (kind == LOOP)
        NEAR_RELATIVE(f->mean_flow_L_min, flow / n, 0.02);
    else
        ck_assert(isnan(f->mean_flow_L_min));
    ck_assert(nr_derive_knows_flow(w->joint, 0) == (kind == LOOP));
    ck_assert_int_eq(f->model, kind == LOOP ? NR_MODEL_BOTH : NR_MODEL_STORE);
    ck_assert_int_eq(f->reference, kind == LOOP ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET);
    ck_assert(f->incidence.known);
    NEAR(f->incidence.mean_deg, s->incidence_mean_deg, 1e-12);
    NEAR(f->incidence.lo_deg, s->incidence_lo_deg, 0);
    NEAR(f->incidence.hi_deg, s->incidence_hi_deg, 0);
    double b0 = nr_joint_x(w->joint)[nr_joint_index(w->joint, 0, NR_TERM_B0)];
    NEAR(f->incidence.b0, b0, 0);
    NEAR(f->incidence.modifier, 1 - b0 * s->obliquity_mean, 1e-12);
}

START_TEST(results)
{
    for (int kind = 0; kind < RECORDS; kind++) {
        worked w;
        set_up(&w, kind);
        conditions_of(&w, kind);
        coefficients_of(&w);
        curve_of(&w);
        covariances_of(&w);
        budget_of(&w);
        learned_of(&w);
        tear_down(&w);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {results, NULL};
    return run_tests("worked out", tests);
}
