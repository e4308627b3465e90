/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record set up by hand for one check of quality alone: what earlier checks would have found
 * (interval, noise, step, the pump's state) is stated, not found. Small and static. */
#ifndef NR_TESTS_BY_HAND_H
#define NR_TESTS_BY_HAND_H

#include "analyze/quality/checks.h"
#include "tests/unit/quality/records.h"

#define HAND_ROWS 4096

/* ck_assert_msg for each of very many readings: Check notes the place of each assertion it passes,
 * which takes longer than the comparison. */
#define SURE(ok, ...)                                                                              \
    do {                                                                                           \
        if (!(ok))                                                                                 \
            ck_abort_msg(__VA_ARGS__);                                                             \
    } while (0)

typedef struct by_hand {
    double t_s[HAND_ROWS], value[NR_ROLES][HAND_ROWS];
    unsigned char bad[NR_ROLES][HAND_ROWS], pump[HAND_ROWS];
    uint32_t row[HAND_ROWS];
    nr_quality q;
    nr_cursor times, values;
    nr_dense dense;
} by_hand;

/* Rows `interval_s` apart, no channel yet. */
static inline void hand_begin(by_hand *h, size_t rows, double interval_s)
{
    ck_assert_uint_le(rows, HAND_ROWS);
    memset(&h->q, 0, sizeof h->q);
    memset(h->pump, NR_PUMP_IS_ON, rows);
    for (int role = 0; role < NR_ROLES; role++)
        memset(h->bad[role], 0, rows);
    h->q.rows = rows;
    h->q.interval_s = interval_s;
    h->q.elapsed_s = (nr_values){.plain = h->t_s};
    h->q.pump = h->pump;
    for (size_t i = 0; i < rows; i++)
        h->t_s[i] = interval_s * (double)i;
}

/* The channel counts as recorded: its values are to be in h->value[role]. */
static inline nr_quality_channel *hand_channel(by_hand *h, nr_role role)
{
    nr_quality_channel *c = &h->q.channel[role];
    *c = (nr_quality_channel){
        .noise = NAN, .quiet_noise = NAN, .step = NAN, .low = -INFINITY, .high = INFINITY};
    c->flat_from_s = NAN;
    h->q.numbers[role] = (nr_values){.plain = h->value[role]};
    c->value = &h->q.numbers[role];
    c->bad = memset(h->bad[role], 0, h->q.rows);
    for (size_t i = 0; i < h->q.rows; i++)
        c->readings += isnan(h->value[role][i]) ? 0u : 1u;
    c->good = c->readings;
    return c;
}

/* What a check of one channel is handed; after the values. */
static inline const nr_dense *hand_dense(by_hand *h, nr_role role)
{
    nr_cursor_begin(&h->times, &h->q.elapsed_s);
    nr_cursor_begin(&h->values, h->q.channel[role].value);
    h->dense = (nr_dense){.t_s = &h->times, .value = &h->values, .own_row = h->row};
    nr_dense_fill(&h->dense, &h->q, role);
    return &h->dense;
}

/* A whole number from 0 to below n. */
static inline size_t below(unsigned long long *state, size_t n)
{
    return (size_t)(chance(state) * (double)n);
}

static inline int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static inline double *sorted(double *v, size_t n)
{
    qsort(v, n, sizeof *v, by_size);
    return v;
}

#endif
