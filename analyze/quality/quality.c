/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The order of the checks: what a later one needs, an earlier one has settled. Flow is cleaned
 * before the pump's state is read from it, and the pump's state before the water probes, whose hot
 * slugs after a stop must not be called spikes. */
#include "analyze/quality/checks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void work_free(nr_quality_work *work)
{
    free(work->dense.own_row);
    free(work->equal);
    free(work->scratch);
}

static bool work_make(nr_quality_work *work, size_t rows)
{
    *work = (nr_quality_work){0};
    size_t room = rows < NR_PASSES_KEPT ? rows : NR_PASSES_KEPT + rows / 100;
    work->dense.t_s = &work->t_s;
    work->dense.value = &work->value;
    work->dense.own_row = calloc(rows, sizeof(uint32_t));
    work->equal = calloc(rows, 1);
    work->scratch = calloc(room, sizeof(double));
    if (rows < UINT32_MAX && work->dense.own_row && work->equal && work->scratch)
        return true;
    work_free(work);
    return false;
}

/* The channel at hand. */
static void take_up(nr_quality *quality, nr_quality_work *work, nr_role role)
{
    nr_cursor_begin(&work->t_s, &quality->elapsed_s);
    nr_cursor_begin(&work->value, quality->channel[role].value);
}

static nr_quality *quality_make(const nr_quality_source *input)
{
    nr_quality *quality = calloc(1, sizeof *quality);
    if (!quality)
        return NULL;
    quality->rows = input->rows;
    quality->pump = calloc(input->rows, 1);
    quality->elapsed_s = input->elapsed_s;
    quality->busy_from_s = calloc(input->rows / NR_VALUES_BLOCK + 1, sizeof(double));
    bool complete = quality->pump && quality->busy_from_s;
    for (int role = 0; role < NR_ROLES; role++) {
        nr_quality_channel *channel = &quality->channel[role];
        channel->noise = channel->quiet_noise = channel->step = NAN;
        channel->flat_from_s = NAN;
        if (!nr_values_there(&input->value[role]))
            continue;
        quality->numbers[role] = input->value[role];
        channel->value = &quality->numbers[role];
        channel->bad = calloc(input->rows, 1);
        complete = complete && channel->bad;
    }
    if (complete)
        return quality;
    nr_quality_free(quality);
    return NULL;
}

void nr_quality_free(nr_quality *quality)
{
    if (!quality)
        return;
    for (int role = 0; role < NR_ROLES; role++)
        free(quality->channel[role].bad);
    free(quality->pump);
    free(quality->busy_from_s);
    free(quality);
}

static void check_channel(nr_quality *quality, nr_quality_work *work, nr_role role)
{
    if (quality->channel[role].readings == 0)
        return;
    take_up(quality, work, role);
    nr_dense_fill(&work->dense, quality, role);
    nr_check_spikes(quality, &work->dense);
    if (quality->channel[role].count[NR_BAD_SPIKE]) { /* they made it look noisier than it is */
        nr_dense_fill(&work->dense, quality, role);
        nr_check_noise(quality, &work->dense, work->scratch);
    }
    nr_check_stuck(quality, &work->dense);
    quality->channel[role].good =
        quality->channel[role].readings - nr_quality_marked(quality, role);
}

nr_code nr_quality_check_values(const nr_quality_source *input, nr_quality **out, nr_err *err)
{
    *out = NULL;
    if (input->rows == 0)
        return nr_fail(err, NR_CANNOT, NULL, 0, "the record has no rows");
    nr_quality_work work;
    if (!work_make(&work, input->rows))
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_quality *quality = quality_make(input);
    if (!quality) {
        work_free(&work);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    nr_check_timing(quality, input, work.scratch);
    for (int role = 0; role < NR_ROLES; role++) {
        if (!quality->channel[role].value)
            continue;
        take_up(quality, &work, (nr_role)role);
        nr_check_range(quality, input, &work.value, (nr_role)role);
        if (!quality->channel[role].readings)
            continue;
        nr_dense_fill(&work.dense, quality, (nr_role)role);
        nr_check_noise(quality, &work.dense, work.scratch);
    }
    nr_check_duplicates(quality, &work);
    static const nr_role first[] = {NR_ROLE_FLOW, NR_ROLE_PUMP};
    static const nr_role then[] = {NR_ROLE_SUN,      NR_ROLE_WIND,   NR_ROLE_AIR, NR_ROLE_STORE,
                                   NR_ROLE_INLET,    NR_ROLE_OUTLET, NR_ROLE_BOX, NR_ROLE_SKY,
                                   NR_ROLE_HUMIDITY, NR_ROLE_DIFFUSE};
    for (size_t i = 0; i < sizeof first / sizeof *first; i++)
        check_channel(quality, &work, first[i]);
    nr_check_pump(quality, input, work.scratch);
    for (size_t i = 0; i < sizeof then / sizeof *then; i++)
        check_channel(quality, &work, then[i]);
    nr_count_busy(quality);
    work_free(&work);
    *out = quality;
    return NR_OK;
}

nr_code nr_quality_check(const nr_run *run, nr_quality **out, nr_err *err)
{
    nr_quality_source source = {.rows = run->readings->rows,
                                .elapsed_s = nr_readings_elapsed(run->readings),
                                .utc_s = nr_readings_utc(run->readings),
                                .notes = run->notes};
    for (int role = 0; role < NR_ROLES; role++) {
        const char *name = nr_role_name((nr_role)role);
        const nr_rig_channel *channel = nr_rig_channel_find(&run->rig, name);
        source.value[role] = nr_readings_values(run->readings, name);
        source.low[role] = channel ? channel->low : NAN;
        source.high[role] = channel ? channel->high : NAN;
    }
    return nr_quality_check_values(&source, out, err);
}
