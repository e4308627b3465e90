/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of inspect's limits: what quality saw, written by hand, of an hour in which nothing
 * is wrong; and a table of numbers to set in it. */
#ifndef NR_TESTS_DESK_H
#define NR_TESTS_DESK_H

#include "analyze/inspect/subjects.h"
#include "tests/unit/near.h"

#include <stdlib.h>
#include <string.h>

#define ROWS 1000
#define LAST (ROWS - 1)
#define BLOCKS 12

/* What the subjects look at, all of it. */
typedef struct desk {
    double elapsed_s[ROWS], value[NR_ROLES][ROWS], scratch[ROWS];
    unsigned char bad[NR_ROLES][ROWS], pump[ROWS];
    nr_readings readings;
    nr_run run;
    nr_quality q;
    nr_inspect out;
    nr_inspection x;
    nr_sky_block block[BLOCKS];
} desk;

static inline void channel_is(desk *d, nr_role role, double from, double to)
{
    nr_quality_channel *c = &d->q.channel[role];
    for (size_t i = 0; i < ROWS; i++)
        d->value[role][i] = from + (to - from) * (double)i / LAST;
    d->q.numbers[role] = (nr_values){.plain = d->value[role]};
    *c = (nr_quality_channel){.value = &d->q.numbers[role],
                              .bad = d->bad[role],
                              .readings = ROWS,
                              .good = ROWS,
                              .noise = 0.02,
                              .quiet_noise = 0.02,
                              .step = 0.0625};
}

/* A sound hour: the store rises by 10 K, the loop by 4 K over the inlet, the pump runs. */
static inline desk *sound(void)
{
    desk *d = calloc(1, sizeof *d);
    ck_assert_ptr_nonnull(d);
    for (size_t i = 0; i < ROWS; i++) {
        d->elapsed_s[i] = 3.6 * (double)i;
        d->pump[i] = NR_PUMP_IS_ON;
    }
    d->readings = (nr_readings){.rows = ROWS, .elapsed_s = d->elapsed_s};
    d->run.readings = &d->readings;
    d->q = (nr_quality){.rows = ROWS,
                        .elapsed_s = {.plain = d->elapsed_s},
                        .interval_s = 3.6,
                        .duration_s = 3.6 * LAST,
                        .pump = d->pump,
                        .pump_source = NR_PUMP_FROM_FLOW,
                        .pump_on_s = 3600,
                        .pump_typical = 2.0};
    channel_is(d, NR_ROLE_STORE, 20, 30);
    channel_is(d, NR_ROLE_INLET, 20, 30);
    channel_is(d, NR_ROLE_OUTLET, 24, 34);
    channel_is(d, NR_ROLE_AIR, 20, 21);
    channel_is(d, NR_ROLE_SUN, 800, 810);
    channel_is(d, NR_ROLE_FLOW, 2, 2);
    d->x = (nr_inspection){.run = &d->run, .q = &d->q, .out = &d->out, .scratch = d->scratch};
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b] = (nr_sky_block){.t_s = NR_SKY_BLOCK_S * ((double)b + 0.5),
                                     .sun_W_m2 = 800,
                                     .pump_share = 1,
                                     .zenith_deg = 40,
                                     .incidence_deg = 20,
                                     .beyond_W_m2 = 1200,
                                     .clear_W_m2 = 900};
    d->x.block = d->block;
    d->x.blocks = BLOCKS;
    d->x.place_known = true;
    return d;
}

static inline void loop_over_store(desk *d, double v)
{
    d->x.heat.loop_known = true;
    d->x.heat.ratio = v;
    d->x.heat.u_ratio = 0.01;
}

enum { UNSAID = -1, NOTE = NR_SEVERITY_NOTE, DOUBT = NR_SEVERITY_DOUBT, FAULT = NR_SEVERITY_FAULT };
typedef struct limit {
    const char *code;
    void (*set)(desk *d, double v);
    double low, high; /* just below and just above the limit */
    int is_low, is_high;
} limit;

static inline void look_at_all(desk *d)
{
    nr_inspect_units(&d->x);
    nr_inspect_record(&d->x);
    nr_inspect_channels(&d->x);
    nr_inspect_pump(&d->x);
    nr_inspect_heat(&d->x);
    nr_inspect_sky(&d->x);
}

/* How bad it is said to be. */
static inline int found(const limit *l, double v)
{
    desk *d = sound();
    int worst = UNSAID;
    l->set(d, v);
    look_at_all(d);
    for (size_t i = 0; i < d->out.findings; i++)
        if (strcmp(nr_finding_name(d->out.finding[i].code), l->code) == 0)
            worst =
                (int)d->out.finding[i].severity > worst ? (int)d->out.finding[i].severity : worst;
    free(d);
    return worst;
}

static inline void holds(const limit *l, int row)
{
    int low = found(l, l->low), high = found(l, l->high);
    ck_assert_msg(low == l->is_low && high == l->is_high, "%s (row %d): %d at %g, %d at %g",
                  l->code, row, low, l->low, high, l->high);
}

#endif
