/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/derive.h"

#include "logger/base/text.h"

#include <math.h>
#include <string.h>

/* Of an irradiance sensor whose uncertainty nobody states (joint/terms_sensors.c). */
#define USUAL_SUN_GAIN 0.05
/* The loss rests on what is usual where the record takes less than this from its uncertainty. */
#define AS_USUAL 0.5
/* Fewer residuals have no correlation worth a word. */
#define ENOUGH_TO_TELL 12
/* A posterior this far from a stated value, in stated standard uncertainties, is worth a word. */
#define SURPRISE 2.0
/* Lag-one correlation of whitened residuals, and share of outliers, worth a word. */
#define NOT_WHITE 0.25
#define MANY_OUTLIERS 0.01
/* A prior narrowed by less than this says the record told nothing about the parameter. */
#define UNTOLD 0.9
/* A loss coefficient with a larger relative standard uncertainty is worth a word. */
#define UNCERTAIN 0.3
/* Less time than this in gaps is not. */
#define LOST_S 60.0

static void assume(nr_warnings *w, const nr_parameter_view *p)
{
    for (size_t i = 0; i < w->assumed_count; i++)
        if (strcmp(w->assumed[i].label, p->label) == 0 && !(w->assumed[i].u < p->prior_u) &&
            !(w->assumed[i].u > p->prior_u))
            return;
    if (w->assumed_count == NR_ASSUMED)
        return;
    nr_assumed *a = &w->assumed[w->assumed_count++];
    a->u = p->prior_u;
    nr_copy(a->label, sizeof a->label, p->label);
    nr_copy(a->unit, sizeof a->unit, p->term == NR_TERM_LN_CAPACITY ? "" : p->unit);
}

static void warn_assumed(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        bool sensor = p.channel[0] && !nr_term_lasts(p.term) && p.term != NR_TERM_SKY_OFFSET &&
                      nr_term_is_input(p.term) && !p.ask[0];
        if (!p.has_prior || p.stated || (!sensor && p.term != NR_TERM_LN_CAPACITY))
            continue;
        if (nr_joint_concerns(j, build, i))
            assume(&f->warnings, &p);
    }
    if (f->warnings.assumed_count > 0)
        nr_warning_add(&f->warnings, NR_WARN_ASSUMED_UNCERTAINTY);
}

static void warn_surprises(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (!p.has_prior || !nr_term_surprises(p.term) || p.ask[0])
            continue;
        bool asked = p.said_u < p.prior_u; /* of what was asked more is known: warn_water */
        double off = (p.value - p.prior) / p.prior_u;
        if (!nr_joint_concerns(j, build, i) || asked || fabs(off) < SURPRISE)
            continue;
        nr_warning w = {.code = NR_WARN_STATED_VALUE_DOUBTFUL, .number = {fabs(off), off < 0}};
        nr_copy(w.about, sizeof w.about, p.label);
        nr_warn(&f->warnings, w);
    }
}

static void warn_separation(const nr_joint *j, size_t build, nr_fit *f)
{
    if (f->loss_includes_store)
        nr_warning_add(&f->warnings, NR_WARN_LOSS_INCLUDES_STORE);
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (p.term != NR_TERM_STORE_LOSS || p.stated)
            continue;
        size_t piece = nr_joint_piece_of(j, build);
        bool mine = nr_joint_index(j, piece, NR_TERM_STORE_LOSS) == (int)i;
        if (mine && p.u > UNTOLD * p.prior_u)
            nr_warning_add(&f->warnings, NR_WARN_STORE_LOSS_NOT_DETERMINED);
    }
}

static void warn_of_run(nr_fit *f, nr_warning_code code, const nr_series *s, double first,
                        double second)
{
    nr_warning w = {.code = code, .number = {first, second}};
    nr_copy(w.about, sizeof w.about, s->run->folder);
    nr_warn(&f->warnings, w);
}

/* Of the water, and by so many standard uncertainties: more than anybody would have expected. */
#define GONE 0.03
#define GONE_BY 2.0

/* What nobody weighed, found from the record (joint/far.h). */
static void warn_gone(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (p.term == NR_TERM_LOST && p.ask[0] && p.value > fmax(GONE, GONE_BY * p.u) &&
            nr_joint_concerns(j, build, i))
            nr_warning_add(&f->warnings, NR_WARN_WATER_GONE, .number = {p.value, p.u});
    }
}

/* A mass that is not the one stated: the record was asked (joint/far.h), and is sure of it. */
static void warn_water(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        double off = p.value - p.prior;
        if (p.term == NR_TERM_WATER && p.said_u < p.prior_u &&
            fabs(off) > fmax(GONE, GONE_BY * p.u) && nr_joint_concerns(j, build, i))
            nr_warning_add(&f->warnings, NR_WARN_WATER_MASS, .number = {fabs(off), p.u, off < 0});
    }
}

/* A container that contradicts the loop has no say in the collector's curve. */
static void warn_container(const nr_joint *j, size_t build, nr_fit *f)
{
    nr_container_view c;
    if (!nr_joint_container_left_out(j, build, &c))
        return;
    if (fabs(c.score) >= c.score_limit)
        nr_warning_add(&f->warnings, NR_WARN_CONTAINER_CHANGED,
                       .number = {c.at_s / 60, c.is_step, fabs(c.score), c.score_limit});
    else if (c.pull >= c.pull_limit)
        nr_warning_add(&f->warnings, NR_WARN_CONTAINER_PULLED, .number = {c.pull, c.pull_limit});
    else if (c.wander_K > c.wander_limit_K)
        nr_warning_add(&f->warnings, NR_WARN_CONTAINER_WANDERS,
                       .number = {c.wander_K, c.wander_limit_K});
    else
        nr_warning_add(&f->warnings, NR_WARN_CONTAINER_LEAKS,
                       .number = {c.loss_W_K, c.u_loss_W_K, c.least_loss_W_K});
}

static void warn_record(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        const nr_series *s = nr_joint_series(j, r);
        if (nr_joint_build_of(j, r) != build)
            continue;
        if (s->sun_modelled)
            warn_of_run(f, NR_WARN_SUN_NOT_MEASURED, s, 0, 0);
        const nr_rig_channel *sun = nr_rig_channel_find(&s->run->rig, "sun");
        const nr_rig_channel *sky = nr_rig_channel_find(&s->run->rig, "diffuse");
        if (sun && sun->plane == NR_PLANE_BROUGHT)
            warn_of_run(f, NR_WARN_SUN_BROUGHT, s, sun->u_brought,
                        sky && sky->plane == NR_PLANE_BROUGHT);
        if (s->bad_readings)
            warn_of_run(f, NR_WARN_READINGS_LEFT_OUT, s, (double)s->bad_readings, 0);
        if (s->lost_s >= LOST_S)
            warn_of_run(f, NR_WARN_GAPS_LEFT_OUT, s, s->lost_s, s->flow_known);
        if (s->sun_position_doubtful)
            warn_of_run(f, NR_WARN_SUN_ANGLE_DOUBTFUL, s, 0, 0);
        if (s->run->rig.store.lid == NR_LID_NO)
            warn_of_run(f, NR_WARN_NO_LID, s, 0, 0);
        if (!s->flow_known && !s->pump_known)
            warn_of_run(f, NR_WARN_PUMP_UNSEEN, s, 0, 0);
    }
}

static void warn_range(nr_fit *f)
{
    double from = f->dT_range[0], to = f->dT_range[1];
    nr_warning_add(&f->warnings, NR_WARN_TESTED_RANGE, .number = {from, to});
    if (f->a1.known && f->a1.u > UNCERTAIN * fabs(f->a1.value))
        nr_warning_add(&f->warnings, NR_WARN_LOSS_UNCERTAIN, .number = {to - from});
    if (f->a1.known && f->a1.lo95 < 0)
        nr_warning_add(&f->warnings, NR_WARN_LOSS_NOT_DETERMINED);
}

/* Few rows: whether the loss is the record's or the usual one. */
static void warn_usual(const nr_joint *j, size_t build, nr_fit *f)
{
    double rows = 0;
    for (size_t r = 0; r < f->runs; r++)
        rows += (double)f->run[r].rows;
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (p.term == NR_TERM_LOSS && p.variant && nr_joint_concerns(j, build, i) &&
            p.u > AS_USUAL * p.prior_u)
            nr_warning_add(&f->warnings, NR_WARN_LOSS_AS_USUAL,
                           .number = {rows, p.prior, p.prior_u});
    }
}

static void warn_of_channel(nr_fit *f, nr_warning_code code, const nr_fit_run *run,
                            const nr_fit_channel *ch, double first, double second)
{
    nr_warning w = {.code = code, .number = {first, second}};
    nr_copy(w.about, sizeof w.about, run->folder);
    nr_copy(w.other, sizeof w.other, ch->name);
    nr_warn(&f->warnings, w);
}

/* The share of the variance that the sensor's plane would take with it, if it were stated. */
static void warn_plane(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (p.term != NR_TERM_SUN_GAIN || !nr_joint_concerns(j, build, i) || !f->eta0.known)
            continue;
        for (size_t k = 0; k < f->budget_items; k++) {
            const nr_budget_item *b = &f->budget[k];
            const nr_rig *rig = &nr_joint_piece(j, nr_joint_piece_of(j, build)).series->run->rig;
            const nr_rig_channel *c = nr_rig_channel_find(rig, "sun");
            if (nr_joint_piece(j, nr_joint_piece_of(j, build)).series->sun_modelled)
                return;
            if (b->term != (int)p.term || b->variant != p.variant || !c ||
                c->plane == NR_PLANE_COLLECTOR || c->plane == NR_PLANE_BROUGHT)
                continue;
            double alone = isnan(c->u_gain) ? USUAL_SUN_GAIN : c->u_gain;
            double saved = 1 - pow(fmin(alone / p.prior_u, 1), 2);
            if (!(saved > 0))
                continue;
            double left = f->eta0.u * sqrt(fmax(1 - b->share[NR_SHARE_ETA0] * saved, 0));
            nr_warning_add(&f->warnings, NR_WARN_PLANE_UNSTATED, .number = {f->eta0.u, left});
            return;
        }
    }
}

/* Residuals that the noise model has not understood make the random uncertainty too small. */
static void warn_residuals(nr_fit *f)
{
    for (size_t r = 0; r < f->runs; r++) {
        const nr_fit_run *run = &f->run[r];
        for (size_t c = 0; c < run->channels; c++) {
            const nr_fit_channel *ch = &run->channel[c];
            double outliers = (double)ch->outliers, used = (double)ch->used;
            if (!ch->used)
                continue;
            if (fabs(ch->whiteness) > NOT_WHITE && ch->used >= ENOUGH_TO_TELL)
                warn_of_channel(f, NR_WARN_RESIDUALS_NOT_WHITE, run, ch, ch->whiteness, 0);
            if (outliers > MANY_OUTLIERS * used)
                warn_of_channel(f, NR_WARN_OUTLIERS, run, ch, outliers, used);
        }
    }
}

void nr_derive_warnings(const nr_joint *j, size_t build, nr_fit *f)
{
    warn_separation(j, build, f);
    if (nr_joint_hidden_K(j, build) > 0)
        nr_warning_add(&f->warnings, NR_WARN_HIDDEN_STOP, .number = {nr_joint_hidden_K(j, build)});
    warn_container(j, build, f);
    warn_gone(j, build, f);
    warn_water(j, build, f);
    warn_plane(j, build, f);
    warn_record(j, build, f);
    warn_surprises(j, build, f);
    warn_range(f);
    warn_usual(j, build, f);
    warn_residuals(f);
    warn_assumed(j, build, f);
}
