/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the reader of a fit must know, each limit of derive_warnings.c tried on both sides: an
 * estimate is solved once and what it found is then put just before the limit and just beyond. The
 * limits are common practice (no source): two stated uncertainties, a loss known to 30 %, a
 * hundredth of outliers. */
#include "analyze/fit/derive.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

typedef struct desk {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_fit fit;
    nr_fit_run of_run;
} desk;

static void set_up(desk *d)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    memset(d, 0, sizeof *d);
    p.duration_s = 1800;
    p.interval_s = 10;
    d->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&d->run->run, &d->series, &err), "%s", err.text);
    const nr_series *one = d->series;
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &d->joint, &err), "%s", err.text);
    ck_assert_msg(!nr_joint_solve(d->joint, &err), "%s", err.text);
    d->fit.runs = 1;
    d->fit.run = &d->of_run;
    for (size_t i = 0; i < d->joint->parameters; i++) /* nothing is a surprise, and all is known */
        if (d->joint->parameter[i].has_prior) {
            d->joint->x[i] = d->joint->parameter[i].prior;
            d->joint->covariance[i * (d->joint->parameters + 1)] =
                pow(0.1 * d->joint->parameter[i].prior_u, 2);
        }
}

static void tear_down(desk *d)
{
    nr_joint_free(d->joint);
    nr_series_free(d->series);
    nr_virtual_run_free(d->run);
}

static const nr_warning *warned(desk *d, nr_warning_code code, const char *about)
{
    memset(&d->fit.warnings, 0, sizeof d->fit.warnings);
    nr_derive_warnings(d->joint, 0, &d->fit);
    for (size_t i = 0; i < d->fit.warnings.count; i++)
        if (d->fit.warnings.item[i].code == code &&
            (!about || !strcmp(d->fit.warnings.item[i].about, about)))
            return &d->fit.warnings.item[i];
    return NULL;
}

/* The parameter of a term, and what it is known to. */
static size_t parameter(const desk *d, nr_term term)
{
    int i = nr_joint_index(d->joint, 0, term);
    ck_assert_msg(i >= 0, "no term %d", (int)term);
    return (size_t)i;
}

static void known_to(desk *d, size_t i, double share)
{
    d->joint->covariance[i * (d->joint->parameters + 1)] =
        pow(share * d->joint->parameter[i].prior_u, 2);
}

/* Two stated uncertainties off is worth a word, of what somebody could have stated. What is only
 * usual (the heat a collector takes) may be anything. */
START_TEST(a_stated_value_that_surprises)
{
    static const struct {
        nr_term term;
        bool told;
    } of[] = {{NR_TERM_WATER, true},        {NR_TERM_AREA, true},
              {NR_TERM_SUN_GAIN, true},     {NR_TERM_OFFSET_STORE, true},
              {NR_TERM_LN_FLOW, true},      {NR_TERM_LN_CAPACITY, false},
              {NR_TERM_LN_EXCHANGE, false}, {NR_TERM_ROOT_COVER, false}};
    desk d;
    set_up(&d);
    ck_assert_ptr_null(warned(&d, NR_WARN_STATED_VALUE_DOUBTFUL, NULL));
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        size_t i = parameter(&d, of[k].term);
        const nr_parameter *p = &d.joint->parameter[i];
        const char *label = nr_joint_parameter(d.joint, i).label;
        for (int side = -1; side <= 1; side += 2) {
            d.joint->x[i] = p->prior + side * 1.99 * p->prior_u;
            ck_assert_msg(!warned(&d, NR_WARN_STATED_VALUE_DOUBTFUL, label), "%s", label);
            d.joint->x[i] = p->prior + side * 2.01 * p->prior_u;
            const nr_warning *w = warned(&d, NR_WARN_STATED_VALUE_DOUBTFUL, label);
            ck_assert_msg((w != NULL) == of[k].told, "%s", label);
            if (w) {
                NEAR(w->number[0], 2.01, 1e-9);
                NEAR(w->number[1], side < 0, 0);
            }
        }
        d.joint->x[i] = p->prior;
    }
    tear_down(&d);
}
END_TEST

START_TEST(what_the_record_does_not_tell)
{
    desk d;
    set_up(&d);
    size_t store = parameter(&d, NR_TERM_STORE_LOSS), loss = parameter(&d, NR_TERM_LOSS);
    d.joint->parameter[store].stated = false;
    known_to(&d, store, 0.899);
    ck_assert_ptr_null(warned(&d, NR_WARN_STORE_LOSS_NOT_DETERMINED, NULL));
    known_to(&d, store, 0.901);
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_STORE_LOSS_NOT_DETERMINED, NULL));
    d.joint->parameter[store].stated = true; /* then nobody expects it to be told */
    ck_assert_ptr_null(warned(&d, NR_WARN_STORE_LOSS_NOT_DETERMINED, NULL));
    /* The loss as usual, where the record takes less than half from what is usual. */
    d.joint->parameter[loss].variant = 1;
    known_to(&d, loss, 0.499);
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_AS_USUAL, NULL));
    known_to(&d, loss, 0.501);
    d.of_run.rows = 7;
    const nr_warning *w = warned(&d, NR_WARN_LOSS_AS_USUAL, NULL);
    ck_assert_ptr_nonnull(w);
    NEAR(w->number[0], 7, 0);
    NEAR(w->number[2], d.joint->parameter[loss].prior_u, 1e-12);
    d.joint->parameter[loss].variant = 0;
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_AS_USUAL, NULL));
    d.fit.loss_includes_store = true;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_LOSS_INCLUDES_STORE, NULL));
    d.fit.loss_includes_store = false;
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_INCLUDES_STORE, NULL));
    d.joint->hidden_K[0] = 0.1;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_HIDDEN_STOP, NULL));
    d.joint->hidden_K[0] = 0;
    ck_assert_ptr_null(warned(&d, NR_WARN_HIDDEN_STOP, NULL));
    tear_down(&d);
}
END_TEST

START_TEST(an_uncertain_loss)
{
    desk d;
    set_up(&d);
    d.fit.dT_range[0] = -3;
    d.fit.dT_range[1] = 9;
    d.fit.a1 = (nr_quantity){.known = true, .value = 10, .u = 2.99, .lo95 = 4, .hi95 = 16};
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_UNCERTAIN, NULL));
    d.fit.a1.u = 3.01;
    const nr_warning *w = warned(&d, NR_WARN_LOSS_UNCERTAIN, NULL);
    ck_assert_ptr_nonnull(w);
    NEAR(w->number[0], 12, 1e-12);
    w = warned(&d, NR_WARN_TESTED_RANGE, NULL);
    ck_assert(w && w->number[0] == -3 && w->number[1] == 9);
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_NOT_DETERMINED, NULL));
    d.fit.a1.lo95 = -0.01;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_LOSS_NOT_DETERMINED, NULL));
    d.fit.a1.known = false;
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_NOT_DETERMINED, NULL));
    ck_assert_ptr_null(warned(&d, NR_WARN_LOSS_UNCERTAIN, NULL));
    tear_down(&d);
}
END_TEST

START_TEST(what_is_said_of_a_record)
{
    desk d;
    set_up(&d);
    nr_series *s = d.series;
    nr_rig *rig = &d.run->run.rig;
    s->lost_s = 59.9;
    ck_assert_ptr_null(warned(&d, NR_WARN_GAPS_LEFT_OUT, NULL));
    s->lost_s = 60; /* a minute is */
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_GAPS_LEFT_OUT, NULL));
    s->bad_readings = 0;
    ck_assert_ptr_null(warned(&d, NR_WARN_READINGS_LEFT_OUT, NULL));
    s->bad_readings = 1;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_READINGS_LEFT_OUT, NULL));
    bool *const flags[] = {&s->sun_modelled, &s->sun_position_doubtful};
    const nr_warning_code codes[] = {NR_WARN_SUN_NOT_MEASURED, NR_WARN_SUN_ANGLE_DOUBTFUL};
    for (int k = 0; k < 2; k++) {
        *flags[k] = false;
        ck_assert_ptr_null(warned(&d, codes[k], NULL));
        *flags[k] = true;
        ck_assert_ptr_nonnull(warned(&d, codes[k], NULL));
        *flags[k] = false;
    }
    rig->store.lid = NR_LID_YES;
    ck_assert_ptr_null(warned(&d, NR_WARN_NO_LID, NULL));
    rig->store.lid = NR_LID_NO;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_NO_LID, NULL));
    for (int known = 0; known < 4; known++) { /* by its flow or by the notes */
        s->flow_known = known & 1;
        s->pump_known = known & 2;
        ck_assert_int_eq(warned(&d, NR_WARN_PUMP_UNSEEN, NULL) != NULL, known == 0);
    }
    ck_assert_ptr_null(warned(&d, NR_WARN_SUN_BROUGHT, NULL));
    for (size_t c = 0; c < rig->channels; c++)
        if (!strcmp(rig->channel[c].name, "sun")) {
            rig->channel[c].plane = NR_PLANE_BROUGHT;
            rig->channel[c].u_brought = 0.03;
        }
    const nr_warning *w = warned(&d, NR_WARN_SUN_BROUGHT, NULL);
    ck_assert(w && w->number[0] == 0.03 && w->number[1] == 0);
    tear_down(&d);
}
END_TEST

/* Correlation of a quarter, from twelve residuals on; more than one outlier in a hundred. */
START_TEST(residuals_that_are_not_noise)
{
    static const struct {
        double whiteness;
        size_t used, outliers;
        bool not_white, many;
    } of[] = {{0.249, 500, 5, false, false}, {0.251, 500, 6, true, true},
              {-0.251, 12, 0, true, false},  {0.251, 11, 0, false, false},
              {-0.249, 12, 1, false, true},  {0.9, 0, 0, false, false}};
    desk d;
    set_up(&d);
    d.of_run.channels = 1;
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_fit_channel *c = &d.of_run.channel[0];
        c->whiteness = of[i].whiteness;
        c->used = of[i].used;
        c->outliers = of[i].outliers;
        ck_assert_msg((warned(&d, NR_WARN_RESIDUALS_NOT_WHITE, NULL) != NULL) == of[i].not_white,
                      "%zu", i);
        ck_assert_msg((warned(&d, NR_WARN_OUTLIERS, NULL) != NULL) == of[i].many, "%zu", i);
    }
    tear_down(&d);
}
END_TEST

/* By JCGM 100, 5.1.2: a gain of 5 % instead of the wider one of an unstated plane leaves
 * u sqrt(1 - share (1 - (0.05/prior)^2)) of eta0's. */
START_TEST(a_plane_that_nobody_stated)
{
    desk d;
    set_up(&d);
    size_t sun = parameter(&d, NR_TERM_SUN_GAIN);
    nr_rig_channel *c = NULL;
    for (size_t k = 0; k < d.run->run.rig.channels; k++)
        if (!strcmp(d.run->run.rig.channel[k].name, "sun"))
            c = &d.run->run.rig.channel[k];
    c->plane = NR_PLANE_UNKNOWN;
    c->u_gain = NAN;
    d.fit.eta0 = (nr_quantity){.known = true, .value = 0.7, .u = 0.04};
    d.fit.budget_items = 1;
    d.fit.budget[0].term = NR_TERM_SUN_GAIN;
    d.fit.budget[0].variant = d.joint->parameter[sun].variant;
    d.fit.budget[0].share[NR_SHARE_ETA0] = 0.8;
    d.joint->parameter[sun].prior_u = 0.10;
    const nr_warning *w = warned(&d, NR_WARN_PLANE_UNSTATED, NULL);
    ck_assert_ptr_nonnull(w);
    NEAR(w->number[0], 0.04, 1e-12);
    NEAR(w->number[1], 0.04 * sqrt(1 - 0.8 * 0.75), 1e-12);
    c->u_gain = 0.02; /* stated */
    w = warned(&d, NR_WARN_PLANE_UNSTATED, NULL);
    ck_assert(w && fabs(w->number[1] - 0.04 * sqrt(1 - 0.8 * 0.96)) < 1e-12);
    d.joint->parameter[sun].prior_u = 0.02; /* nothing to be gained */
    ck_assert_ptr_null(warned(&d, NR_WARN_PLANE_UNSTATED, NULL));
    d.joint->parameter[sun].prior_u = 0.10;
    c->plane = NR_PLANE_COLLECTOR;
    ck_assert_ptr_null(warned(&d, NR_WARN_PLANE_UNSTATED, NULL));
    tear_down(&d);
}
END_TEST

/* More than 3 % of the water, and by two of its own uncertainties, that nobody weighed. */
START_TEST(water_that_nobody_weighed)
{
    desk d;
    set_up(&d);
    size_t lost = parameter(&d, NR_TERM_LOST);
    nr_parameter *p = &d.joint->parameter[lost];
    double *variance = &d.joint->covariance[lost * (d.joint->parameters + 1)];
    const char *ask = "water_end_kg in [store]";
    p->ask = ask;
    *variance = pow(0.01, 2);
    d.joint->x[lost] = 0.029;
    ck_assert_ptr_null(warned(&d, NR_WARN_WATER_GONE, NULL));
    d.joint->x[lost] = 0.031;
    const nr_warning *w = warned(&d, NR_WARN_WATER_GONE, NULL);
    ck_assert_ptr_nonnull(w);
    NEAR(w->number[0], 0.031, 1e-12);
    NEAR(w->number[1], 0.01, 1e-12);
    *variance = pow(0.04, 2); /* less well known: it takes more */
    d.joint->x[lost] = 0.079;
    ck_assert_ptr_null(warned(&d, NR_WARN_WATER_GONE, NULL));
    d.joint->x[lost] = 0.081;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_WATER_GONE, NULL));
    d.joint->x[lost] = -0.081; /* nor water that came */
    ck_assert_ptr_null(warned(&d, NR_WARN_WATER_GONE, NULL));
    d.joint->x[lost] = 0.081;
    p->ask = ""; /* weighed: whoever did it knows */
    ck_assert_ptr_null(warned(&d, NR_WARN_WATER_GONE, NULL));
    p->ask = ask;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_WATER_GONE, NULL));
    tear_down(&d);
}
END_TEST

/* A mass that the record was asked for: more than 3 % off, to either side, and by two of its u. */
START_TEST(a_mass_that_is_not_the_one_stated)
{
    desk d;
    set_up(&d);
    size_t water = parameter(&d, NR_TERM_WATER);
    nr_parameter *p = &d.joint->parameter[water];
    double *variance = &d.joint->covariance[water * (d.joint->parameters + 1)];
    static const struct {
        double off, u;
        bool told;
    } rows[] = {{0.029, 0.01, false}, {0.031, 0.01, true}, {-0.031, 0.01, true},
                {0.079, 0.04, false}, {0.081, 0.04, true}, {-0.081, 0.04, true}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        d.joint->x[water] = p->prior + rows[k].off;
        *variance = pow(rows[k].u, 2);
        p->prior_u = 10 * p->said_u;
        const nr_warning *w = warned(&d, NR_WARN_WATER_MASS, NULL);
        ck_assert_msg((w != NULL) == rows[k].told, "row %zu", k);
        if (w) {
            NEAR(w->number[0], fabs(rows[k].off), 1e-12);
            NEAR(w->number[1], rows[k].u, 1e-12);
            ck_assert(w->number[2] == (rows[k].off < 0));
        }
        /* Said once, and not as a stated value that surprises. */
        ck_assert_ptr_null(
            warned(&d, NR_WARN_STATED_VALUE_DOUBTFUL, nr_joint_parameter(d.joint, water).label));
        p->prior_u = p->said_u; /* not asked */
        ck_assert_ptr_null(warned(&d, NR_WARN_WATER_MASS, NULL));
    }
    tear_down(&d);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_stated_value_that_surprises,
                                  what_the_record_does_not_tell,
                                  an_uncertain_loss,
                                  what_is_said_of_a_record,
                                  residuals_that_are_not_noise,
                                  a_plane_that_nobody_stated,
                                  water_that_nobody_weighed,
                                  a_mass_that_is_not_the_one_stated,
                                  NULL};
    return run_tests("fit_warnings", tests);
}
