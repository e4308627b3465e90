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
    free(work->dense.own_t_s);
    free(work->dense.own_value);
    free(work->dense.own_row);
    free(work->equal);
}

static bool work_make(nr_quality_work *work, size_t rows)
{
    *work = (nr_quality_work){0};
    work->dense.own_t_s = calloc(rows, sizeof(double));
    work->dense.own_value = calloc(rows, sizeof(double));
    work->dense.own_row = calloc(rows, sizeof(size_t));
    work->equal = calloc(rows, 1);
    if (work->dense.own_t_s && work->dense.own_value && work->dense.own_row && work->equal)
        return true;
    work_free(work);
    return false;
}

static nr_quality *quality_make(const nr_quality_input *input)
{
    nr_quality *quality = calloc(1, sizeof *quality);
    if (!quality)
        return NULL;
    quality->rows = input->rows;
    quality->pump = calloc(input->rows, 1);
    quality->busy_s = calloc(input->rows, sizeof(double));
    bool complete = quality->pump && quality->busy_s;
    for (int role = 0; role < NR_ROLES; role++) {
        nr_quality_channel *channel = &quality->channel[role];
        channel->noise = channel->quiet_noise = channel->step = NAN;
        channel->flat_from_s = NAN;
        if (!input->value[role])
            continue;
        channel->value = input->value[role];
        channel->bad = calloc(input->rows, 1);
        complete = complete && channel->bad;
        for (size_t i = 0; i < input->rows; i++)
            channel->readings += isnan(channel->value[i]) ? 0u : 1u;
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
    free(quality->busy_s);
    free(quality);
}

static void check_channel(nr_quality *quality, const nr_quality_input *input, nr_quality_work *work,
                          nr_role role)
{
    if (quality->channel[role].readings == 0)
        return;
    nr_dense_fill(&work->dense, quality, input->elapsed_s, role);
    nr_check_spikes(quality, &work->dense);
    if (quality->channel[role].count[NR_BAD_SPIKE]) { /* they made it look noisier than it is */
        nr_dense_fill(&work->dense, quality, input->elapsed_s, role);
        nr_check_noise(quality, &work->dense, work->scratch);
    }
    nr_check_stuck(quality, &work->dense);
    quality->channel[role].good =
        quality->channel[role].readings - nr_quality_marked(quality, role);
}

nr_code nr_quality_check_arrays(const nr_quality_input *input, nr_quality **out, nr_err *err)
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
    work.scratch = quality->busy_s; /* which is counted last */
    nr_check_timing(quality, input, work.scratch);
    for (int role = 0; role < NR_ROLES; role++) {
        if (!quality->channel[role].readings)
            continue;
        nr_check_range(quality, input, (nr_role)role);
        nr_dense_fill(&work.dense, quality, input->elapsed_s, (nr_role)role);
        nr_check_noise(quality, &work.dense, work.scratch);
    }
    nr_check_duplicates(quality, input, &work);
    static const nr_role first[] = {NR_ROLE_FLOW, NR_ROLE_PUMP};
    static const nr_role then[] = {NR_ROLE_SUN,      NR_ROLE_WIND,   NR_ROLE_AIR, NR_ROLE_STORE,
                                   NR_ROLE_INLET,    NR_ROLE_OUTLET, NR_ROLE_BOX, NR_ROLE_SKY,
                                   NR_ROLE_HUMIDITY, NR_ROLE_DIFFUSE};
    for (size_t i = 0; i < sizeof first / sizeof *first; i++)
        check_channel(quality, input, &work, first[i]);
    nr_check_pump(quality, input, work.scratch);
    for (size_t i = 0; i < sizeof then / sizeof *then; i++)
        check_channel(quality, input, &work, then[i]);
    nr_count_busy(quality, input->elapsed_s);
    work_free(&work);
    *out = quality;
    return NR_OK;
}

static nr_quality_input input_of(const nr_run *run)
{
    nr_quality_input input = {.rows = run->readings->rows,
                              .elapsed_s = run->readings->elapsed_s,
                              .utc_s = run->readings->utc_s,
                              .notes = run->notes};
    for (int role = 0; role < NR_ROLES; role++) {
        const nr_rig_channel *channel = nr_rig_channel_find(&run->rig, nr_role_name((nr_role)role));
        input.value[role] = nr_readings_channel(run->readings, nr_role_name((nr_role)role));
        input.low[role] = channel ? channel->low : NAN;
        input.high[role] = channel ? channel->high : NAN;
    }
    return input;
}

nr_code nr_quality_check(const nr_run *run, nr_quality **out, nr_err *err)
{
    nr_quality_input input = input_of(run);
    return nr_quality_check_arrays(&input, out, err);
}
