/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a record is asked about things far beyond the usual, from solutions that are made up: the
 * likelihood of a term alone is taken back out of posterior and prior (both normal), chances and
 * scales are those of far.h (decisions, with their reasons there), and every condition is asked
 * from both sides. */
#include "analyze/estimate/mixture.h"
#include "analyze/joint/far.h"
#include "tests/unit/joint/asked.h"

#define DRAWS 200

/* A parameter's solution: off by so many of its u, of which the record leaves that share. */
static void make_up(const asked *a, nr_term term, double off_u, double left)
{
    size_t i = (size_t)a->piece->index[term], m = a->joint->parameters;
    const nr_parameter *p = &a->joint->parameter[i];
    a->joint->x[i] = p->prior + off_u * p->prior_u;
    a->joint->covariance[i * (m + 1)] = pow(left * p->prior_u, 2);
}

/* What is to be added to the prior's variance; 0 where it is not worth it. */
static double expected(const asked *a, nr_term term, double scale, double chance_of, bool both)
{
    size_t i = (size_t)a->piece->index[term], m = a->joint->parameters;
    const nr_parameter *p = &a->joint->parameter[i];
    double before = pow(p->prior_u, -2), after = 1 / a->joint->covariance[i * (m + 1)];
    double told = after - before; /* precisions add up, and means weighted by them */
    if (told <= 1e-5 * before)
        return 0;
    double alone = (a->joint->x[i] * after - p->prior * before) / told, d = alone - p->prior;
    double v = nr_mixture_variance(both ? fabs(d) : d, 1 / sqrt(told), p->prior_u, scale,
                                   both ? chance_of / 2 : chance_of);
    return v * told > 0.09 ? v : 0;
}

/* Everything that a container can have is a parameter of this record. */
static void open_asked(asked *a)
{
    asked_open(a);
    a->rig->store.lid = NR_LID_NO;
    a->rig->store.opening_m2.given = a->rig->store.water_end_kg.given = false;
    nr_joint_free(a->joint);
    static const size_t build_of[1] = {0};
    const nr_series *one = a->series;
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_int_eq(nr_joint_setup(&one, build_of, 1, 1, &options, &a->joint, NULL), NR_OK);
    a->piece = &a->joint->piece[0];
    a->piece_was = *a->piece;
    a->rig_was = *a->rig;
    ck_assert(a->piece->index[NR_TERM_LOST] >= 0 && a->piece->index[NR_TERM_OPENING] >= 0 &&
              a->piece->index[NR_TERM_WATER] >= 0 && a->piece->driven &&
              a->piece->fits[NR_OUT_STORE]);
}

static void even_flow(const asked *a)
{
    for (size_t b = 0; b < a->part->blocks; b++) {
        a->part->pump_on[b] = true;
        a->part->flow_L_min[b] = 2;
    }
}

/* Some are thousands: the same but for the last places of both. */
static void near_share(double got, double want)
{
    NEAR(got, want, 1e-9 * fmax(1, fabs(want)));
}

START_TEST(what_is_added)
{
    static nr_joint_options o; /* large */
    asked a;
    unsigned long long s = 31;
    int none = 0, some = 0;
    open_asked(&a);
    even_flow(&a);
    for (int k = 0; k < DRAWS; k++) {
        static const nr_term terms[] = {NR_TERM_LOST, NR_TERM_WATER, NR_TERM_OPENING};
        memset(&o, 0, sizeof o);
        for (int t = 0; t < 3; t++)
            make_up(&a, terms[t], 6 * chance(&s) - 2,
                    k % 10 ? 0.1 + 0.88 * chance(&s) : 1 - ONE_OF(&s, 4e-6, 6e-6, 1e-3));
        double beyond = ONE_OF(&s, 0, 0.05);
        o.gone_u[0] = o.water_u[0] = o.open_u_m2[0] = beyond;
        double open_u = a.joint->parameter[a.piece->index[NR_TERM_OPENING]].prior_u;
        double gone = expected(&a, NR_TERM_LOST, 0.1, 0.1, false);
        double other = expected(&a, NR_TERM_WATER, 0.15, 0.05, true);
        double open = expected(&a, NR_TERM_OPENING, 3 * open_u, 0.1, false);
        bool far = nr_joint_far(a.joint, &o);
        ck_assert(far == (gone > 0 || other > 0 || open > 0));
        near_share(o.gone_u[0], sqrt(beyond * beyond + gone));
        near_share(o.water_u[0], sqrt(beyond * beyond + other));
        near_share(o.open_u_m2[0], sqrt(beyond * beyond + open));
        none += gone == 0;
        some += gone > 0;
    }
    ck_assert_int_gt(none, 20);
    ck_assert_int_gt(some, 20);
    asked_close(&a);
}
END_TEST

/* Only of a driven collector beside its container, in a few records, and not what was weighed. */
START_TEST(who_is_asked)
{
    static nr_joint_options o;
    asked a;
    open_asked(&a);
    even_flow(&a);
    nr_parameter *gone = &a.joint->parameter[a.piece->index[NR_TERM_LOST]];
    for (int k = 0; k < 16; k++) {
        memset(&o, 0, sizeof o);
        make_up(&a, NR_TERM_LOST, 3, 0.3);
        make_up(&a, NR_TERM_WATER, -8, 0.3);
        make_up(&a, NR_TERM_OPENING, 0, 0.9);
        a.piece->driven = !(k & 1);
        a.piece->fits[NR_OUT_STORE] = !(k & 2);
        gone->stated = k & 4;
        a.joint->runs = k & 8 ? 5 : 4;
        bool any = k == 0 || k == 4;
        ck_assert(nr_joint_far(a.joint, &o) == any);
        ck_assert((o.gone_u[0] > 0) == (k == 0) && (o.water_u[0] > 0) == any);
    }
    a.joint->runs = 1;
    asked_close(&a);
}
END_TEST

/* Standard deviation over mean of the flow from the first pumped block to the last, pauses counted
 * as none and gaps not at all: up to a twentieth is steady. */
START_TEST(a_steady_flow)
{
    static nr_joint_options o;
    asked a;
    unsigned long long s = 32;
    int steady = 0;
    open_asked(&a);
    for (int k = 0; k < DRAWS; k++) {
        double n = 0, sum = 0, spread = 0, swing = 0.16 * chance(&s);
        size_t first = (size_t)(5 * chance(&s)), end = a.part->blocks - (size_t)(5 * chance(&s));
        size_t pause = chance(&s) < 0.1 ? end / 2 : SIZE_MAX, gap = end / 3;
        memset(&o, 0, sizeof o);
        for (size_t b = 0; b < a.part->blocks; b++) {
            a.part->pump_on[b] = b >= first && b < end && b != pause;
            a.part->flow_L_min[b] = b == gap ? NAN : 3 + 3 * swing * (2 * chance(&s) - 1);
        }
        for (int round = 0; round < 2; round++)
            for (size_t b = first; b < end; b++) {
                double v = b == pause ? 0 : a.part->flow_L_min[b];
                if (isnan(v))
                    continue;
                n += round == 0;
                sum += round == 0 ? v : 0;
                spread += round == 1 ? pow(v - sum / n, 2) / n : 0;
            }
        make_up(&a, NR_TERM_LOST, 0, 0.9);
        make_up(&a, NR_TERM_OPENING, 0, 0.9);
        make_up(&a, NR_TERM_WATER, -8, 0.3);
        double is = sqrt(spread) / (sum / n);
        bool told = nr_joint_far(a.joint, &o);
        ck_assert_msg(told == (is <= 0.05), "draw %d: %g", k, is);
        steady += told;
    }
    ck_assert(steady > 20 && steady < DRAWS - 20);
    asked_close(&a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_is_added, who_is_asked, a_steady_flow, NULL};
    return run_tests("far_drawn", tests);
}
