/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the reader of a fit must know, each limit of derive_warnings.c tried on both sides: what
 * an estimate found is put just before the limit and just beyond. The limits are common practice
 * (no source): two stated uncertainties, a loss known to 30 %, a hundredth of outliers. */
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

static void set_up_builds(desk *d, size_t builds)
{
    static const size_t build_of[2] = {0, 1};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    memset(d, 0, sizeof *d);
    p.duration_s = 1800;
    p.interval_s = 10;
    d->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&d->run->run, &d->series, &err), "%s", err.text);
    const nr_series *one[2] = {d->series, d->series};
    ck_assert_msg(!nr_joint_setup(one, build_of, builds, builds, &options, &d->joint, &err), "%s",
                  err.text);
    d->fit.runs = 1;
    d->fit.run = &d->of_run;
    for (size_t i = 0; i < d->joint->parameters; i++) /* nothing is a surprise, and all is known */
        if (d->joint->parameter[i].has_prior) {
            d->joint->x[i] = d->joint->parameter[i].prior;
            d->joint->covariance[i * (d->joint->parameters + 1)] =
                pow(0.1 * d->joint->parameter[i].prior_u, 2);
        }
}

static void set_up(desk *d)
{
    set_up_builds(d, 1);
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
    d.fit.budget_items = 2; /* the other is not the sun's */
    d.fit.budget[1] = (nr_budget_item){.term = NR_TERM_LOSS, .share[NR_SHARE_ETA0] = 0.9};
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
    d.fit.budget[0].variant++; /* another kind of gain */
    ck_assert_ptr_null(warned(&d, NR_WARN_PLANE_UNSTATED, NULL));
    d.fit.budget[0].variant--;
    ck_assert_ptr_nonnull(warned(&d, NR_WARN_PLANE_UNSTATED, NULL));
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
        p->prior = 0.01 * (double)k;
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

/* What is said with this code, which is said once, with all that goes with it. */
static void says(desk *d, nr_warning_code code, const char *about, const char *other,
                 const double number[NR_WARNING_NUMBERS])
{
    const nr_warning *w = warned(d, code, NULL);
    size_t times = 0;
    for (size_t i = 0; i < d->fit.warnings.count; i++)
        times += d->fit.warnings.item[i].code == code;
    ck_assert_msg(w && times == 1, "%s: %zu times", nr_warning_name(code), times);
    ck_assert_str_eq(w->about, about);
    ck_assert_str_eq(w->other, other);
    for (int k = 0; k < NR_WARNING_NUMBERS; k++)
        NEAR_AT(nr_warning_name(code), w->number[k], number[k], 1e-12 * fabs(number[k]));
}
#define SAYS(d, code, about, other, ...)                                                           \
    says(d, code, about, other, (const double[NR_WARNING_NUMBERS]){__VA_ARGS__})

/* The first of four reasons that holds: a change of so many standard uncertainties, priors that
 * are pulled, readings that wander, and else a loss that is less than any container's. */
START_TEST(a_container_without_a_say)
{
    static const nr_warning_code codes[] = {NR_WARN_CONTAINER_CHANGED, NR_WARN_CONTAINER_PULLED,
                                            NR_WARN_CONTAINER_WANDERS, NR_WARN_CONTAINER_LEAKS};
    static const struct {
        double score, pull, wander_K;
        int reason;
    } of[] = {{4, 9, 0.3, 0},     {-4, 8, 0.1, 0},       {-7, 9.5, 0.1, 0}, {3.99, 9, 0.3, 1},
              {-3.99, 9, 0.1, 1}, {3.99, 8.99, 0.21, 2}, {0, 8.99, 0.2, 3}, {0, 0, 0, 3}};
    desk d;
    set_up(&d);
    for (size_t k = 0; k < sizeof of / sizeof *of; k++)
        for (int out = 0; out < 2; out++) {
            d.joint->options.without_container[0] = out;
            d.joint->options.container[0] = (nr_container_view){.score = of[k].score,
                                                                .score_limit = 4,
                                                                .is_step = k % 2,
                                                                .at_s = 930,
                                                                .pull = of[k].pull,
                                                                .pull_limit = 9,
                                                                .loss_W_K = -1.5,
                                                                .u_loss_W_K = 0.5,
                                                                .least_loss_W_K = 0.25,
                                                                .wander_K = of[k].wander_K,
                                                                .wander_limit_K = 0.2};
            for (int c = 0; c < 4; c++)
                ck_assert_msg((warned(&d, codes[c], NULL) != NULL) == (out && c == of[k].reason),
                              "row %zu, reason %d", k, c);
            if (!out)
                continue;
            if (of[k].reason == 0)
                SAYS(&d, codes[0], "", "", 15.5, (double)(k % 2), fabs(of[k].score), 4);
            else if (of[k].reason == 1)
                SAYS(&d, codes[1], "", "", of[k].pull, 9);
            else if (of[k].reason == 2)
                SAYS(&d, codes[2], "", "", of[k].wander_K, 0.2);
            else
                SAYS(&d, codes[3], "", "", -1.5, 0.5, 0.25);
        }
    tear_down(&d);
}
END_TEST

START_TEST(with_which_numbers)
{
    desk d;
    set_up(&d);
    nr_series *s = d.series;
    nr_rig *rig = &d.run->run.rig;
    const char *folder = d.run->run.folder;
    s->bad_readings = 7;
    SAYS(&d, NR_WARN_READINGS_LEFT_OUT, folder, "", 7);
    s->lost_s = 75;
    for (int known = 0; known < 2; known++) {
        s->flow_known = known;
        SAYS(&d, NR_WARN_GAPS_LEFT_OUT, folder, "", 75, known);
    }
    s->sun_modelled = s->sun_position_doubtful = true;
    SAYS(&d, NR_WARN_SUN_NOT_MEASURED, folder, "", 0);
    SAYS(&d, NR_WARN_SUN_ANGLE_DOUBTFUL, folder, "", 0);
    s->flow_known = s->pump_known = false;
    SAYS(&d, NR_WARN_PUMP_UNSEEN, folder, "", 0);
    rig->store.lid = NR_LID_NO;
    SAYS(&d, NR_WARN_NO_LID, folder, "", 0);
    for (size_t c = 0; c < rig->channels; c++)
        if (!strcmp(rig->channel[c].name, "sun")) {
            rig->channel[c].plane = NR_PLANE_BROUGHT;
            rig->channel[c].u_brought = 0.03;
            rig->channel[rig->channels] = rig->channel[c];
        }
    nr_rig_channel *sky = &rig->channel[rig->channels++];
    snprintf(sky->name, sizeof sky->name, "diffuse");
    SAYS(&d, NR_WARN_SUN_BROUGHT, folder, "", 0.03, 1);
    sky->plane = NR_PLANE_COLLECTOR;
    SAYS(&d, NR_WARN_SUN_BROUGHT, folder, "", 0.03, 0);
    rig->channels--;
    d.joint->hidden_K[0] = 0.4;
    SAYS(&d, NR_WARN_HIDDEN_STOP, "", "", 0.4);
    size_t loss = parameter(&d, NR_TERM_LOSS);
    d.joint->parameter[loss].variant = 1;
    known_to(&d, loss, 0.6);
    d.of_run.rows = 9;
    SAYS(&d, NR_WARN_LOSS_AS_USUAL, "", "", 9, d.joint->parameter[loss].prior,
         d.joint->parameter[loss].prior_u);
    tear_down(&d);
}
END_TEST

START_TEST(of_which_channel)
{
    desk d;
    set_up(&d);
    snprintf(d.of_run.folder, sizeof d.of_run.folder, "tub");
    d.of_run.channels = 2;
    d.of_run.channel[0] = (nr_fit_channel){.whiteness = -0.5, .used = 200, .outliers = 2};
    d.of_run.channel[1] = (nr_fit_channel){.whiteness = 0.1, .used = 300, .outliers = 4};
    snprintf(d.of_run.channel[0].name, sizeof d.of_run.channel[0].name, "store");
    snprintf(d.of_run.channel[1].name, sizeof d.of_run.channel[1].name, "outlet");
    SAYS(&d, NR_WARN_RESIDUALS_NOT_WHITE, "tub", "store", -0.5);
    SAYS(&d, NR_WARN_OUTLIERS, "tub", "outlet", 4, 300);
    tear_down(&d);
}
END_TEST

static const nr_warnings *all_warnings(desk *d)
{
    (void)warned(d, NR_WARN_COUNT, NULL);
    return &d->fit.warnings;
}

/* What a record's sensors are off by, and the heat that a collector takes, relative: where nobody
 * stated it, it is listed; once for all that are alike, and not what could still be answered. */
START_TEST(inputs_without_an_uncertainty)
{
    static const nr_term listed[] = {NR_TERM_LN_CAPACITY,  NR_TERM_SUN_GAIN,
                                     NR_TERM_AIR_OFFSET,   NR_TERM_OFFSET_STORE,
                                     NR_TERM_OFFSET_INLET, NR_TERM_OFFSET_OUTLET};
    desk d;
    set_up(&d);
    size_t seen = 0;
    for (size_t i = 0; i < d.joint->parameters; i++)
        d.joint->parameter[i].stated = true;
    ck_assert_ptr_null(warned(&d, NR_WARN_ASSUMED_UNCERTAINTY, NULL));
    for (size_t i = 0; i < d.joint->parameters; i++) {
        nr_parameter *p = &d.joint->parameter[i];
        bool one_of = false;
        for (size_t k = 0; k < sizeof listed / sizeof *listed; k++)
            one_of = one_of || p->term == listed[k];
        p->stated = false;
        const nr_warnings *w = all_warnings(&d);
        ck_assert_msg(w->assumed_count == one_of, "%s: %zu", p->row->name, w->assumed_count);
        ck_assert(one_of == (warned(&d, NR_WARN_ASSUMED_UNCERTAINTY, NULL) != NULL));
        if (one_of) {
            nr_parameter_view view = nr_joint_parameter(d.joint, i);
            ck_assert_str_eq(w->assumed[0].label, view.label);
            ck_assert_str_eq(w->assumed[0].unit, p->term == NR_TERM_LN_CAPACITY ? "" : view.unit);
            NEAR(w->assumed[0].u, p->prior_u, 0);
            seen++;
            const char *ask = p->ask;
            p->ask = "u_probe in [store]";
            ck_assert_uint_eq(all_warnings(&d)->assumed_count, p->term == NR_TERM_LN_CAPACITY);
            p->ask = ask;
            p->has_prior = false;
            ck_assert_uint_eq(all_warnings(&d)->assumed_count, 0);
            p->has_prior = true;
        }
        p->stated = true;
    }
    ck_assert_uint_eq(seen, sizeof listed / sizeof *listed);
    nr_parameter *store = &d.joint->parameter[parameter(&d, NR_TERM_OFFSET_STORE)];
    nr_parameter *inlet = &d.joint->parameter[parameter(&d, NR_TERM_OFFSET_INLET)];
    inlet->row = store->row; /* as if it were another container's */
    store->stated = inlet->stated = false;
    for (int other = -1; other <= 1; other++) {
        inlet->prior_u = store->prior_u * (1 + 0.1 * other);
        ck_assert_uint_eq(all_warnings(&d)->assumed_count, other ? 2 : 1);
    }
    tear_down(&d);
}
END_TEST

/* What another build's own heater is off by is no word of this one's. */
START_TEST(each_build_by_itself)
{
    static const nr_warning_code codes[] = {NR_WARN_STATED_VALUE_DOUBTFUL,

                                            NR_WARN_WATER_GONE, NR_WARN_LOSS_AS_USUAL,
                                            NR_WARN_STORE_LOSS_NOT_DETERMINED,
                                            NR_WARN_ASSUMED_UNCERTAINTY};
    desk d;
    set_up_builds(&d, 2);
    for (size_t i = 0; i < d.joint->parameters; i++)
        d.joint->parameter[i].stated = true;
    for (size_t i = 0; i < d.joint->parameters; i++) {
        nr_parameter *p = &d.joint->parameter[i];
        if (nr_joint_concerns(d.joint, 0, i))
            continue;
        p->stated = p->term != NR_TERM_STORE_LOSS && p->term != NR_TERM_LN_CAPACITY;
        p->variant = p->term == NR_TERM_LOSS;
        p->ask = p->term == NR_TERM_LOST ? "water_end_kg in [store]" : p->ask;
        d.joint->x[i] = p->prior + (p->term == NR_TERM_LOST ? 1 : 2.5 * p->prior_u);
        known_to(&d, i, 0.95);
    }
    for (size_t build = 0; build < 2; build++) {
        memset(&d.fit.warnings, 0, sizeof d.fit.warnings);
        nr_derive_warnings(d.joint, build, &d.fit);
        for (size_t k = 0; k < sizeof codes / sizeof *codes; k++)
            ck_assert_msg((nr_warning_find(&d.fit.warnings, nr_warning_name(codes[k])) != NULL) ==
                              (build == 1),
                          "build %zu: %s", build, nr_warning_name(codes[k]));
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
                                  a_container_without_a_say,
                                  with_which_numbers,
                                  of_which_channel,
                                  inputs_without_an_uncertainty,
                                  each_build_by_itself,
                                  NULL};
    return run_tests("fit_warnings", tests);
}
