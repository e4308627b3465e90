/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One short record whose rig file and series the tests of priors change as they like, and the
 * question what is known of a term beforehand: of the table's row itself, without setting all up
 * again. */
#ifndef NR_TEST_ASKED_H
#define NR_TEST_ASKED_H

#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

typedef struct asked {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_rig *rig, rig_was;
    nr_piece *piece, piece_was;
    nr_part *part, part_was;
    nr_series series_was;
} asked;

static inline void asked_open(asked *a)
{
    static const size_t build_of[1] = {0};
    nr_err err = {.text = ""};
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = 7305;
    p.duration_s = 900;
    p.interval_s = 10;
    a->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&a->run->run, &a->series, &err), "%s", err.text);
    const nr_series *one = a->series;
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &a->joint, &err), "%s", err.text);
    a->rig = &a->run->run.rig;
    a->piece = &a->joint->piece[0];
    a->part = &a->series->part[0];
    a->rig_was = *a->rig;
    a->piece_was = *a->piece;
    a->part_was = *a->part;
    a->series_was = *a->series;
}

static inline void asked_reset(asked *a)
{
    *a->rig = a->rig_was;
    *a->series = a->series_was;
    *a->part = a->part_was;
    *a->piece = a->piece_was;
    a->joint->store_loss_separate[0] = true;
    a->joint->options = (nr_joint_options){.use_store = true, .use_loop = true};
}

static inline void asked_close(asked *a)
{
    asked_reset(a);
    nr_joint_free(a->joint);
    nr_series_free(a->series);
    nr_virtual_run_free(a->run);
}

/* Whether the piece has the term, and its prior. */
static inline bool ask(const asked *a, nr_term term, nr_prior *p)
{
    nr_setting s = {.joint = a->joint, .piece = a->piece, .index = 0};
    *p = (nr_prior){.value = 0};
    return nr_term_find(term)->prior(&s, p);
}

/* Draws. */
static inline double one_of(unsigned long long *s, const double *v, size_t n)
{
    size_t k = (size_t)(chance(s) * (double)n);
    return v[k < n ? k : n - 1];
}
#define ONE_OF(s, ...)                                                                             \
    one_of(s, (const double[]){__VA_ARGS__}, sizeof(double[]){__VA_ARGS__} / sizeof(double))

static inline bool half(unsigned long long *s)
{
    return chance(s) < 0.5;
}

/* given; of no u where that is NAN. */
static inline void state(nr_value *v, bool given, double value, double u)
{
    *v = (nr_value){.given = given, .value = value, .u_given = given && !isnan(u), .u = u};
}

static inline nr_rig_channel *asked_channel(const asked *a, const char *name)
{
    for (size_t c = 0; c < a->rig->channels; c++)
        if (!strcmp(a->rig->channel[c].name, name))
            return &a->rig->channel[c];
    ck_abort_msg("no channel %s", name);
    return NULL;
}

static inline void same_prior(const char *what, const nr_prior *p, double value, double u,
                              bool stated)
{
    if (isfinite(value))
        NEAR_AT(what, p->value, value, 1e-9 * (1 + fabs(value)));
    else
        ck_assert_msg(p->value == value, "%s: %g", what, p->value);
    NEAR_AT(what, p->u, u, 1e-9 * u);
    ck_assert_msg(p->stated == stated, "%s: stated %d", what, p->stated);
}

static inline void same_ask(const char *what, const nr_prior *p, const char *word)
{
    ck_assert_msg(word ? p->ask && !strcmp(p->ask, word) : !p->ask, "%s: asks for %s", what,
                  p->ask ? p->ask : "nothing");
}

#endif
