/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run as arrays for the estimate: weather in steps, readings in block means.
 *
 * Readings that the quality check marked bad are left out and counted. Short holes in the weather
 * are bridged by straight lines; a hole too long to bridge (LIMITS in the .c) ends a part, and
 * what follows is a part of its own with its own initial temperatures.
 */
#ifndef NR_SERIES_SERIES_H
#define NR_SERIES_SERIES_H

#include "analyze/model/loop.h"
#include "analyze/quality/quality.h"
#include "logger/base/err.h"
#include "logger/run/folder.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_PARTS 64

/* A stretch without long gaps. All arrays belong to the series. */
typedef struct nr_part {
    double start_s;       /* elapsed_s of the run at the start of block 0 */
    size_t blocks, steps; /* steps = blocks * steps_per_block */
    /* [steps] */
    double *sun_W_m2, *air_degC;
    double *flow_W_K;  /* mass flow times cp; a guess (nr_series.flow_known) where not measured */
    double *drive;     /* ln of what drives the pump over its typical value, where the flow is not
                          measured but its pump may follow that; NULL: not */
    double *wind_m_s;  /* NULL when not recorded */
    double *obliquity; /* 1/cos(incidence) - 1; NULL when the sun's angle is not known. Where the
                          diffuse share is measured, of both shares together */
    double *iam;       /* incidence modifier by the rig's table; NULL: no table, or no angle */
    double *diffuse;   /* diffuse irradiance in the plane, W/m2; NULL: not measured, not credible */
    double *humidity;  /* of the air, relative, 0 to 1: recorded, or the usual one */
    bool humidity_measured;
    double *sky_W_m2;                 /* net long-wave exchange (model/loop.h); NULL: not used */
    double *inlet_degC, *outlet_degC; /* what enters and leaves, bridged, smoothed, without lag;
                                         NULL where they and the flow are not measured */
    float (*weight[NR_OUTS])[2];      /* as nr_loop_input.weight; NULL: dense readings */
    /* [blocks] */
    double *reading[NR_OUTS]; /* means, degC; NULL: channel not recorded; NAN: no good reading */
    double *flow_L_min;       /* NAN unknown */
    unsigned char *pump_on;   /* true when running through the whole block */
    unsigned char *settled;   /* pump running and two transit times past any change */
    unsigned char *bright;    /* the sun stands high enough to judge the collector by */
} nr_part;

/* Where the net long-wave exchange comes from. */
typedef enum nr_sky_source {
    NR_SKY_UNDECIDED,
    NR_SKY_NOT_USED,      /* glazed, and nothing recorded of the sky */
    NR_SKY_FROM_AIR,      /* usual emissivity */
    NR_SKY_FROM_HUMIDITY, /* clear-sky emissivity by the dew point */
    NR_SKY_MEASURED_DEGC,
    NR_SKY_MEASURED_W_M2
} nr_sky_source;

typedef struct nr_series {
    const nr_run *run;         /* borrowed */
    const nr_quality *quality; /* verdicts on every reading */
    nr_quality *own_quality;   /* the same where they are its own; NULL: borrowed */
    double step_s, block_s;
    size_t steps_per_block;
    size_t parts;
    nr_part part[NR_PARTS];
    bool sun_modelled;       /* irradiance from the clear-sky model, not from a sensor */
    bool flow_known;         /* a flow channel was recorded */
    nr_role drive;           /* NR_ROLE_PUMP or NR_ROLE_SUN: what part.drive is made from */
    bool pump_known;         /* flow, pump supply or notes say when the pump ran */
    bool ever_pumped;        /* the pump ran for at least five minutes in all */
    double transit_s;        /* of the tube at the typical flow, as used for `settled` */
    double flow_guess_L_min; /* typical flow; a guess when not known */
    double duration_s;       /* of the record */
    size_t rows, bad_readings, bridged_steps; /* counts of what was left out or filled */
    double lost_s;                            /* time in gaps too long to bridge */
    /* means over pump-on steps with sun above NR_SUN_COUNTS of its maximum */
    double mean_sun_W_m2, mean_air_degC, mean_flow_L_min, mean_flow_W_K, mean_wind_m_s;
    double sunny_steps; /* how many those are */
    /* What part.wind_m_s is counted from (nr_series_share_wind); NAN where none says
     * anything of the collector. */
    double wind_zero_m_s;
    double mean_sunny_store_degC; /* over the same steps; mean_store_degC: of the whole record */
    double mean_store_degC;
    double max_sun_W_m2, wind_sd_m_s;
    double cp_J_kgK;       /* of water at the mean store temperature */
    double water_kg;       /* as stated, or a usual container where there is none */
    bool can_drive;        /* inlet, outlet and flow are measured: they drive the collector */
    bool flow_moves;       /* they do, and the flow varies or stops: steps of second order */
    bool sparse;           /* readings come slower than the steps: compared at their own times */
    bool diffuse_doubtful; /* the diffuse channel shows more than there is: not used */
    nr_sky_source sky_source;
    double mean_sky_W_m2; /* net, over the same steps; 0: not used */
    double iam_mean;      /* of the table, over the same steps; 0: no table */
    /* incidence over the same steps, weighted by irradiance; NAN unknown */
    double incidence_mean_deg, incidence_lo_deg, incidence_hi_deg, obliquity_mean;
    double usual_s; /* longest time between rows that is the record's way */
    /* What the sun did between its readings (unseen.h): relative standard uncertainty of all the
     * record's irradiance, 0 where readings are dense; and of the slope of gain against the water's
     * temperature over the air, times the efficiency: W/(m2 K) */
    double unseen_gain, unseen_slope_W_m2K;
    /* What nobody stated: sun on the air's probe, as clouds tell of it (air_sun.h), u INFINITY
     * where they do not; and a sensor of the sun in another plane (other_plane.h), 0 where that is
     * known or the place is not. */
    double air_sun_K, air_sun_u_K;
    double other_plane_gain, other_plane_drift;
    /* The course of its readings against a cloudless sky's, 1/h (sky_shape.h); u INFINITY where
     * there were clouds or nothing can be said. */
    double sky_course_per_h, sky_course_u_per_h;
    bool sun_position_doubtful; /* site or clock contradict the irradiance: angle not used */
} nr_series;

/* So few rows do not tell a collector's loss: what is usual for its kind is counted with them. */
#define NR_FEW_ROWS 60

/* A step counts as sunny above this fraction of the run's largest irradiance ... */
#define NR_SUN_COUNTS 0.4
/* ... unless that never reaches this much: a night, which tells of the loss alone. */
#define NR_DARK_W_M2 100.0
static inline bool nr_series_is_dark(const nr_series *series)
{
    return series->max_sun_W_m2 < NR_DARK_W_M2;
}
static inline bool nr_series_sun_counts(const nr_series *series, double sun_W_m2)
{
    return !nr_series_is_dark(series) && sun_W_m2 >= NR_SUN_COUNTS * series->max_sun_W_m2;
}

/* Whether the rig's collector has glazing of any kind. */
bool nr_series_glazed(const nr_rig *rig);

/* Whether two records were taken under the same sky: most of the shorter one at the same time. */
bool nr_series_same_time(const nr_series *a, const nr_series *b);

/* Where the channel sun is a cloudless sky's (NR_PLANE_MODEL of analyze/plane), sun_modelled is
 * set. NR_CANNOT with the reason when the record is too short, has no irradiance or air
 * temperature, or no temperature of the water. The run must outlive the series. */
nr_code nr_series_build(const nr_run *run, nr_series **out, nr_err *err);
/* The same where the readings are judged already, as far as it says what can be fitted at all; the
 * verdicts must outlive the series, too. A search needs what nr_series_unseen adds. */
nr_code nr_series_build_judged(const nr_run *run, const nr_quality *quality, nr_series **out,
                               nr_err *err);
/* Fills unseen_gain and unseen_slope_W_m2K. NR_BAD: out of memory. */
nr_code nr_series_unseen(nr_series *series, nr_err *err);

/* The incidence modifier by a rig's table: a straight line between its points, the last one beyond.
 */
double nr_series_modifier_at(const nr_iam_table *table, double angle_deg);

/* Of a uniform sky: the modifier of diffuse light is that of a beam at this angle (M. Brandemuehl
 * and W. Beckman, Solar Energy 24 (1980) 511-513, as Duffie and Beckman have it, eq. 5.4.2; from
 * memory): 56.5 to 59.7 degrees. */
double nr_series_diffuse_deg(double tilt_deg);

/* Runs of one build that are fitted together have one loss, which is that of one wind: the mean
 * over the sunny, pumped readings of all of them. Of a single run that is its own. */
void nr_series_share_wind(nr_series *const *series, const size_t *build_of, size_t count,
                          size_t build);
void nr_series_free(nr_series *series);

/* The model's input for one part; pointers are borrowed. */
nr_loop_input nr_series_input(const nr_series *series, const nr_part *part);

#endif
