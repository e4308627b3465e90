/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What becomes of the best tries of a piece: each is confirmed, weighed by what it does to the
 * answer, and kept where no other jump at that time is told better. Worked out a second time on
 * signatures drawn at random, of a solved record in which a good deal went wrong. */
#include "tests/unit/misfit/looked_at.h"

static unsigned long long state = 7750;

static double from_to(double low, double high)
{
    return low + (high - low) * chance(&state);
}

/* A step of a channel, or of two. */
static double wave[NR_OUTS][MOST];

static void draw_step(const looked_at *l, size_t from, const double *added[NR_OUTS])
{
    for (int c = 0; c < NR_OUTS; c++) {
        double size = from_to(-1, 1);
        for (size_t b = 0; b < l->s.blocks; b++)
            wave[c][b] = b < from ? 0 : size;
        added[c] = chance(&state) < 0.6 ? wave[c] : NULL;
    }
    if (!added[0] && !added[1] && !added[2])
        added[NR_OUT_STORE] = wave[NR_OUT_STORE];
}

typedef struct
try {
    nr_misfit_finding finding;
    double limit, error, worth;
    nr_score confirmed;
    bool doubted; /* another jump is told better */
}
try;

/* By the mean, or, of a jump, by the most that it moves the answer at one of the places. */
static double worth_of(looked_at *l, const try *t, const double *const added[NR_OUTS])
{
    double most = fabs(t->error * t->confirmed.size) / l->scale.efficiency_u * 2;
    if (t->finding.kind != NR_MISFIT_PROBE_JUMP)
        return most;
    for (int k = 0; k < NR_MISFIT_POINTS; k++) {
        if (!l->scale.gradient[k])
            continue;
        double moved = nr_scorer_moves(l->s.scorer, 0, added, l->scale.gradient[k]);
        most = fmax(most, 2 * fabs(moved * t->confirmed.size) / l->scale.point_u[k]);
    }
    return most;
}

static const nr_misfit_kind kinds[] = {NR_MISFIT_PROBE_JUMP, NR_MISFIT_PROBE_JUMP,
                                       NR_MISFIT_PROBE_JUMP, NR_MISFIT_GAIN_STEP,
                                       NR_MISFIT_STORE_STEP};
static const int channels[] = {0, 1, 2, -1, 0};
enum { TRIES = 5 };

static void one_round(looked_at *l, int *said, int *doubted)
{
    try tries[TRIES] = {{.limit = 0}};
    for (int i = 0; i < TRIES; i++) {
        try *t = &tries[i];
        const double *added[NR_OUTS];
        t->finding = (nr_misfit_finding){
            .kind = kinds[i], .channel = channels[i], .at_s = from_to(1000, 1900), .until_s = NAN};
        t->limit = from_to(0.05, 2);
        t->error = from_to(-0.1, 0.1);
        draw_step(l, (size_t)from_to(0.2 * (double)l->s.blocks, 0.8 * (double)l->s.blocks), added);
        t->confirmed = nr_scorer_confirm(l->s.scorer, 0, added);
        t->worth = worth_of(l, t, added);
        nr_misfit_consider(&l->s, &t->finding, (nr_score){.size = 1, .u = 1, .z = 9}, t->limit,
                           t->error, added);
    }
    ck_assert_uint_eq(l->s.bests, TRIES);
    nr_misfit_settle(&l->s);
    ck_assert_uint_eq(l->s.bests, 0);
    for (int i = 0; i < 3; i++) /* jumps: less than five minutes apart, the better told */
        for (int k = 0; k < 3; k++)
            tries[i].doubted =
                tries[i].doubted || (fabs(tries[i].finding.at_s - tries[k].finding.at_s) < 300 &&
                                     fabs(tries[k].confirmed.z) > fabs(tries[i].confirmed.z));
    for (int i = 0; i < TRIES; i++) {
        const try *t = &tries[i];
        double strength = fmin(fabs(t->confirmed.z) / t->limit, t->worth);
        const nr_misfit_finding *f = found(l, kinds[i], channels[i]);
        ck_assert_msg((f != NULL) == (strength >= 1 && !t->doubted), "try %d: %g, %d", i, strength,
                      t->doubted);
        *doubted += t->doubted && strength >= 1;
        if (!f)
            continue;
        (*said)++;
        NEAR_RELATIVE(f->strength, strength, 1e-9);
        NEAR_RELATIVE(f->size, t->confirmed.size, 1e-9);
        NEAR_RELATIVE(f->u, t->confirmed.u, 1e-9);
        NEAR(f->at_s, t->finding.at_s, 0);
        ck_assert_uint_eq(f->run, l->s.view.run);
    }
    l->out.count = 0;
}

START_TEST(the_best_are_settled)
{
    static looked_at l;
    int said = 0, doubted = 0;
    open_it(&l, true);
    size_t m = nr_joint_parameters(l.joint);
    double *gradient = malloc(2 * m * sizeof *gradient);
    for (size_t i = 0; i < 2 * m; i++)
        gradient[i] = from_to(-1, 1) / nr_joint_parameter(l.joint, i % m).scale * 1e-3;
    l.scale.gradient[0] = gradient;
    l.scale.gradient[NR_MISFIT_POINTS - 1] = gradient + m;
    for (int k = 0; k < NR_MISFIT_POINTS; k++)
        l.scale.point_u[k] = from_to(1e-5, 1e-3);
    for (int n = 0; n < 16; n++) {
        l.scale.efficiency_u = n % 2 ? 0.02 : 1e-4;
        one_round(&l, &said, &doubted);
    }
    ck_assert_msg(said > 10 && doubted >= 3, "%d said, %d doubted", said, doubted);
    free(gradient);
    close_it(&l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_best_are_settled, NULL};
    return run_tests("misfit, settled", tests);
}
