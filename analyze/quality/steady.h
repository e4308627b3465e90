/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Windows of a record in which the collector stood still enough to read its efficiency directly.
 *
 * The classical test waits for such windows; a heat-up in a driveway rarely offers any, so there
 * are two sets of limits: the standard's, and relaxed ones under which the slow warming is
 * corrected with the collector's own heat capacity. Points of the second kind are for the eye and
 * for a cross-check.
 *
 *   eta = (m_dot cp (To - Ti) + C dTm/dt) / (A G)      x = (T - Ta)/G
 *
 * on gross area, T = inlet or mean of inlet and outlet.
 */
#ifndef NR_QUALITY_STEADY_H
#define NR_QUALITY_STEADY_H

#include "analyze/quality/quality.h"

typedef struct nr_steady_limits {
    const char *name;
    double least_sun_W_m2;
    double sun_band_W_m2; /* block means within +- of the window's mean; so for the other bands */
    double air_band_K;
    double inlet_band_K;
    double inlet_drift_K_min;             /* INFINITY: only the band counts */
    double flow_band;                     /* relative */
    double least_wind_m_s, most_wind_m_s; /* of the window's mean; checked when wind is recorded */
    double most_incidence_deg;            /* checked when the sun's angle is known */
    double least_rise_K;                  /* outlet over inlet */
    double settle_s; /* pump, flow and inlet hold this long before the window, too */
    double window_s;
} nr_steady_limits;

/* ISO 9806:2013/2017, liquid heating collectors, steady state outdoors. From memory: no edition was
 * at hand, so clause numbers are left out. Incidence: where the modifier of a single flat glass is
 * within 2 % of normal. The settling time and the window are the standard's fixed minima; its
 * alternative of four time constants is not applied. */
extern const nr_steady_limits nr_steady_iso9806;

/* Relaxed for a heat-up in the field. Common practice, no source. */
extern const nr_steady_limits nr_steady_field;

typedef struct nr_steady_window {
    double from_s, to_s; /* elapsed_s, without the settling time */
    /* means */
    double sun_W_m2, air_degC, inlet_degC, outlet_degC, flow_L_min;
    double wind_m_s;      /* NAN not recorded */
    double incidence_deg; /* NAN unknown */
    double drift_K_s;     /* of (inlet + outlet)/2 */
    /* the point */
    double x, eta;
    double u_random; /* standard uncertainty of eta from scatter inside the window */
    double u;        /* with the constant errors of the sensors, area and heat capacity */
    bool strict;     /* also meets nr_steady_iso9806 */
} nr_steady_window;

typedef struct nr_steady {
    size_t count;
    nr_steady_window *window;             /* in order of time, not overlapping */
    bool wind_checked, incidence_checked; /* against the limits */
    bool capacity_stated;                 /* false: C is a guess with a wide uncertainty */
} nr_steady;

/* Standard uncertainties where the rig file states none. Common practice, no source. */
#define NR_UNSTATED_OFFSET_K 0.2
#define NR_UNSTATED_SUN_GAIN 0.05
#define NR_UNSTATED_FLOW_GAIN 0.05
#define NR_UNSTATED_AREA 0.01
#define NR_UNSTATED_CAPACITY 0.3

/* Windows of the run that meet the limits; mean_basis: x on (inlet + outlet)/2, else on the inlet.
 * Without inlet, outlet, flow, air and sun there are none: NR_OK with count 0. Free with
 * nr_steady_free. */
nr_code nr_steady_find(const nr_run *run, const nr_quality *quality, const nr_steady_limits *limits,
                       bool mean_basis, nr_steady **out, nr_err *err);
/* How many windows each of several limits would find: windows [count]. */
nr_code nr_steady_count(const nr_run *run, const nr_quality *quality,
                        const nr_steady_limits *const *limits, size_t count, size_t *windows,
                        nr_err *err);
void nr_steady_free(nr_steady *steady);

#endif
