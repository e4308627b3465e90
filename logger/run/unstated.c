/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/unstated.h"

#include <math.h>

static const struct {
    const char *question, *answer;
} asked[NR_UNSTATEDS] = {
    [NR_UNSTATED_PLANE] = {"Does the irradiance sensor stand in the collector's plane or lie flat?",
                           "plane = collector or horizontal in [channel sun]"},
    [NR_UNSTATED_AIM] = {"Is the collector left as it stands, or turned after the sun?",
                         "aim = fixed or followed in [collector]"},
    [NR_UNSTATED_SHADED] = {"Is the air's thermometer out of the sun?",
                            "shaded = yes or no in [channel air]"},
    [NR_UNSTATED_BACK] = {"What is behind the absorber?",
                          "back = none, or such as plywood 6 mm, in [collector]"},
    [NR_UNSTATED_DEW] = {"Is the collector wet with dew at the start?",
                         "dew = yes or no in [collector]"},
    [NR_UNSTATED_DRIFT] = {"How far do the water's thermometers drift in a test?",
                           "kind, or u_drift by a bath after it, in [channel store], inlet, "
                           "outlet"},
    [NR_UNSTATED_PUMP] = {"How much power does the pump draw?",
                          "pump_W in [store], from its label; 0 without one"},
    [NR_UNSTATED_LID] = {"Has the container a lid?", "lid = yes or no in [store]"},
    [NR_UNSTATED_WATER] = {"How much water is in it?", "water_kg (or water_gal) in [store]"},
    [NR_UNSTATED_WATER_U] = {"How well is the water's mass known?",
                             "u_water_kg in [store]: 1 % weighed, 3 % by a measure's marks"},
    [NR_UNSTATED_WATER_END] = {"How much water is left at the end?",
                               "water_end_kg in [store], weighed again"},
};

const char *nr_unstated_question(nr_unstated what)
{
    return asked[what].question;
}

const char *nr_unstated_answer(nr_unstated what)
{
    return asked[what].answer;
}

static bool drifts(const nr_rig *rig)
{
    static const char *const names[] = {"store", "inlet", "outlet"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const nr_rig_channel *c = nr_rig_channel_find(rig, names[i]);
        if (c && !c->law->stated && isnan(c->u_drift))
            return true;
    }
    return false;
}

static bool power_recorded(const nr_rig *rig)
{
    const nr_rig_channel *pump = nr_rig_channel_find(rig, "pump");
    return pump && nr_rig_column_unit(pump)->dimension == NR_DIM_POWER;
}

static bool open_question(const nr_rig *rig, nr_unstated what)
{
    const nr_rig_channel *sun = nr_rig_channel_find(rig, "sun");
    const nr_rig_channel *air = nr_rig_channel_find(rig, "air");
    switch (what) {
    case NR_UNSTATED_PLANE:
        return sun && !sun->law->stated && sun->plane == NR_PLANE_UNKNOWN;
    case NR_UNSTATED_AIM:
        return rig->collector.aim == NR_AIM_UNKNOWN;
    case NR_UNSTATED_SHADED:
        return air && !air->law->stated && air->shaded == NR_SHADED_UNKNOWN;
    case NR_UNSTATED_BACK:
        return isnan(nr_rig_back_J_m2K(&rig->collector));
    case NR_UNSTATED_DEW:
        return rig->collector.dew == NR_DEW_UNKNOWN;
    case NR_UNSTATED_DRIFT:
        return drifts(rig);
    case NR_UNSTATED_PUMP:
        return !rig->store.pump_W.given && !power_recorded(rig);
    case NR_UNSTATED_LID:
        return rig->store.lid == NR_LID_UNKNOWN;
    case NR_UNSTATED_WATER:
        return !rig->store.water_kg.given;
    case NR_UNSTATED_WATER_U:
        return rig->store.water_kg.given && !rig->store.water_kg.u_given;
    case NR_UNSTATED_WATER_END:
        return !rig->store.water_end_kg.given;
    default:
        return false;
    }
}

size_t nr_rig_unstated(const nr_rig *rig, nr_unstated out[NR_UNSTATEDS])
{
    size_t n = 0;
    for (int i = 0; i < NR_UNSTATEDS; i++)
        if (!rig || open_question(rig, (nr_unstated)i))
            out[n++] = (nr_unstated)i;
    return n;
}
