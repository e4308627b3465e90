/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/exchanged.h"

#include "logger/run/meaning.h"

#include <string.h>

/* The sensor of a run's channel; "" where there is none, or one of its own. */
static const char *sensor_of(const nr_joint *j, size_t run, const char *channel)
{
    const nr_rig_channel *c = nr_rig_channel_find(&nr_joint_series(j, run)->run->rig, channel);
    return c ? c->sensor : "";
}

static bool had(const nr_joint *j, size_t build, const char *channel, const char *sensor)
{
    for (size_t r = 0; r < nr_joint_runs(j); r++)
        if (nr_joint_build_of(j, r) == build && strcmp(sensor_of(j, r, channel), sensor) == 0)
            return true;
    return false;
}

/* Whether all sensors of one build were the other's, too, and there were two. */
static bool all_of_the_other(const nr_joint *j, size_t one, size_t other, const char *channel)
{
    const char *first = NULL;
    bool two = false;
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        if (nr_joint_build_of(j, r) != one)
            continue;
        const char *sensor = sensor_of(j, r, channel);
        if (!sensor[0] || !had(j, other, channel, sensor))
            return false;
        two = two || (first && strcmp(first, sensor) != 0);
        first = first ? first : sensor;
    }
    return two;
}

static bool one_over_both(const nr_joint *j, size_t a, size_t b, const char *channel)
{
    for (size_t r = 0; r < nr_joint_runs(j); r++)
        for (size_t s = 0; s < nr_joint_runs(j); s++)
            if (nr_joint_build_of(j, r) == a && nr_joint_build_of(j, s) == b &&
                strcmp(sensor_of(j, r, channel), sensor_of(j, s, channel)) == 0 &&
                nr_series_same_time(nr_joint_series(j, r), nr_joint_series(j, s)))
                return true;
    return false;
}

static bool changed_places(const nr_joint *j, const char *channel)
{
    for (size_t a = 0; a < nr_joint_builds(j); a++)
        for (size_t b = a + 1; b < nr_joint_builds(j); b++)
            if (all_of_the_other(j, a, b, channel) && all_of_the_other(j, b, a, channel) &&
                !one_over_both(j, a, b, channel))
                return true;
    return false;
}

void nr_exchanged_find(const nr_joint *j, nr_compare *c)
{
    const nr_meaning *m;
    c->exchanged_count = 0;
    for (size_t i = 0; (m = nr_meaning_at(i)) != NULL && c->exchanged_count < NR_EXCHANGED; i++)
        if (changed_places(j, m->channel))
            c->exchanged[c->exchanged_count++] = m->channel;
}
