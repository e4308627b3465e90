/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clouds by what reacts to them: made-up signs with a made-up cloud, on both sides of each limit.
 */
#include "analyze/plane/clouds.h"
#include "tests/unit/near.h"

#include <check.h>
#include <math.h>

enum { ROWS = 1081 }; /* 90 min at 5 s */

typedef struct day {
    double t[ROWS], clear[ROWS], store[ROWS], inlet[ROWS], outlet[ROWS], box[ROWS], air[ROWS];
    double flow[ROWS], pump[ROWS];
    bool mask[ROWS];
} day;

/* A cloud from 40 to 48 min that takes `taken` of the sun; the box and the store follow after 150 s
 * and at once. Everything else goes slowly, as on a clear day. */
static void make(day *d, double taken)
{
    double box = 45, store = 18;
    for (int i = 0; i < ROWS; i++) {
        double t = 5.0 * i, sun = 1000 - 60 * pow(t / 5400 - 0.3, 2);
        bool cloud = t >= 2400 && t < 2880;
        double real = cloud ? sun * (1 - taken) : sun;
        box += (20 + real * 0.03 - box) * 5 / 150;
        store += real * 0.7 * 0.6 / 90000 * 5;
        d->t[i] = t;
        d->clear[i] = sun;
        d->air[i] = 20;
        d->box[i] = box;
        d->store[i] = store;
        d->inlet[i] = store;
        d->outlet[i] = store + real * 0.0057;
        d->flow[i] = 1.1;
        d->pump[i] = 12;
    }
}

static nr_clouds seen(day *d, nr_cloud_signs in)
{
    nr_clouds out;
    in.rows = ROWS;
    in.elapsed_s = d->t;
    in.clear_W_m2 = d->clear;
    in.air = d->air;
    ck_assert(nr_cloud_mask(&in, d->mask, &out));
    return out;
}

static void masked_where_it_was(const day *d, bool any)
{
    size_t n = 0;
    for (int i = 0; i < ROWS; i++) {
        n += d->mask[i];
        ck_assert(!d->mask[i] || (d->t[i] > 2400 - 500 && d->t[i] < 2880 + 900));
        ck_assert(!any || d->t[i] < 2460 || d->t[i] > 2820 || d->mask[i]);
    }
    ck_assert(any == (n > 0));
}

START_TEST(loop_with_flow)
{
    static day d;
    make(&d, 0.4);
    nr_clouds c = seen(
        &d,
        (nr_cloud_signs){.store = d.store, .inlet = d.inlet, .outlet = d.outlet, .flow = d.flow});
    ck_assert(c.cloud_s >= 480 && c.cloud_s < 1000 && c.unsure_s == 0);
    ck_assert(fabs(c.first_s - 2400) <= 240);
    masked_where_it_was(&d, true);
}
END_TEST

/* The store alone: a cloud and a pump that stood look alike, and it says so. */
START_TEST(store_alone)
{
    static day d;
    make(&d, 0.6);
    nr_clouds c = seen(&d, (nr_cloud_signs){.store = d.store});
    ck_assert(c.unsure_s >= 360 && c.cloud_s == 0);
    masked_where_it_was(&d, true);
}
END_TEST

/* The box cools under a cloud; where the pump stands it gets hotter. */
START_TEST(box_tells)
{
    static day d;
    make(&d, 0.6);
    nr_clouds c = seen(&d, (nr_cloud_signs){.store = d.store, .box = d.box});
    ck_assert(c.cloud_s >= 360);
    masked_where_it_was(&d, true);
    make(&d, 0);
    for (int i = 0; i < ROWS; i++) { /* it stood for 8 min: no heat comes, the box warms */
        double still = fmin(fmax(d.t[i] - 2400, 0), 480);
        d.store[i] -= 1000 * 0.42 / 90000 * still;
        d.box[i] += d.t[i] >= 2400 && d.t[i] < 2880 ? 6 : 0;
    }
    c = seen(&d, (nr_cloud_signs){.store = d.store, .box = d.box});
    ck_assert(c.unsure_s > 0 && c.cloud_s == 0);
}
END_TEST

/* A stop that the flow meter shows is a stop: the sun went on. */
START_TEST(measured_stop)
{
    static day d;
    make(&d, 0);
    for (int i = 0; i < ROWS; i++) {
        double still = fmin(fmax(d.t[i] - 2400, 0), 480);
        d.store[i] -= 1000 * 0.42 / 90000 * still;
        d.flow[i] = d.t[i] >= 2400 && d.t[i] < 2880 ? 0 : 1.1;
    }
    nr_clouds c = seen(
        &d,
        (nr_cloud_signs){.store = d.store, .inlet = d.inlet, .outlet = d.outlet, .flow = d.flow});
    ck_assert(c.cloud_s == 0 && c.unsure_s <= 240);
}
END_TEST

START_TEST(panel_sags)
{
    static day d;
    make(&d, 0.5);
    for (int i = 0; i < ROWS; i++)
        d.pump[i] = d.t[i] >= 2400 && d.t[i] < 2880 ? 12 : 16.3;
    nr_clouds c = seen(&d, (nr_cloud_signs){.pump = d.pump});
    ck_assert(c.cloud_s >= 360);
    masked_where_it_was(&d, true);
    for (int i = 0; i < ROWS; i++) /* for two minutes only, a block */
        d.pump[i] = d.t[i] >= 2400 && d.t[i] < 2520 ? 12 : 16.3;
    c = seen(&d, (nr_cloud_signs){.pump = d.pump});
    ck_assert(c.seen_s > 0);
    for (int i = 0; i < ROWS; i++) /* a battery's supply does not know the sun */
        d.pump[i] = 12 + 0.3 * sin(i);
    c = seen(&d, (nr_cloud_signs){.pump = d.pump});
    ck_assert(c.cloud_s == 0 && c.unsure_s == 0 && c.seen_s == 0);
}
END_TEST

/* Both sides of the limits: 10 % of the loop's edge, 5 % unsteady; coarse steps are no clouds. */
START_TEST(limits_hold)
{
    static day d;
    nr_cloud_signs loop = {.store = NULL, .inlet = d.inlet, .outlet = d.outlet, .flow = d.flow};
    make(&d, 0.05);
    ck_assert(seen(&d, loop).cloud_s == 0);
    make(&d, 0.30);
    ck_assert(seen(&d, loop).cloud_s > 0);
    make(&d, 0);
    nr_clouds c = seen(&d, loop);
    ck_assert(c.cloud_s == 0 && c.seen_s > 4000 && isnan(c.first_s));
    /* One degree Fahrenheit a step, a row every 5 s: of a rise of 0.56 K in two minutes half is
     * step. */
    for (int i = 0; i < ROWS; i++)
        d.store[i] = round(d.store[i] / 0.5556) * 0.5556;
    ck_assert(seen(&d, (nr_cloud_signs){.store = d.store, .store_step_K = 0.5556}).unsure_s == 0);
}
END_TEST

START_TEST(too_little)
{
    static day d;
    make(&d, 0.6);
    nr_clouds out;
    nr_cloud_signs in = {.rows = 7, .elapsed_s = d.t, .clear_W_m2 = d.clear, .store = d.store};
    ck_assert(nr_cloud_mask(&in, d.mask, &out));
    ck_assert(out.seen_s == 0 && out.cloud_s == 0);
    ck_assert(seen(&d, (nr_cloud_signs){.store = NULL}).seen_s == 0);
}
END_TEST

/* Fewer than eight means of two minutes, or eight rows, tell nothing: no cloud, and no error. */
START_TEST(too_short_to_tell)
{
    static day d;
    static const size_t rows[] = {1, 7, 8, 100, 191};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        nr_clouds c = {.seen_s = 9};
        make(&d, 0.6);
        nr_cloud_signs in = {.rows = rows[i],
                             .elapsed_s = d.t,
                             .clear_W_m2 = d.clear,
                             .store = d.store,
                             .inlet = d.inlet,
                             .outlet = d.outlet,
                             .flow = d.flow,
                             .air = d.air};
        memset(d.mask, 1, sizeof d.mask);
        ck_assert(nr_cloud_mask(&in, d.mask, &c));
        ck_assert(c.seen_s == 0 && c.cloud_s == 0 && c.unsure_s == 0 && isnan(c.first_s));
        for (size_t r = 0; r < rows[i]; r++)
            ck_assert(!d.mask[r]);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {loop_with_flow, store_alone,       box_tells,
                                  measured_stop,  panel_sags,        limits_hold,
                                  too_little,     too_short_to_tell, NULL};
    return run_tests("clouds", tests);
}
