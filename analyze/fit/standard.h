/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The results of a fit as a test laboratory tabulates them, in the terms of ISO 9806 (2013 and
 * 2017; names, units and forms from certified data sheets and from memory: no edition was at hand),
 * each with coverage factor and degrees of freedom; and which of that standard's requirements the
 * record meets. It is no certificate and no test by that standard.
 *
 * Steady state, on gross area and mean fluid temperature, u' = wind - 3 m/s:
 *
 *   Q/A = eta0 (1 - ...) G - a1 dT - a2 dT^2 - a3 u' dT + a4 (EL - sigma Ta^4) - a5 dTm/dt - a6 u'
 * G
 *
 * eta0 is of the record's mean irradiance and sky. What of eta0 G is there whatever the sun is a
 * coefficient of its own here, which the standard does not have, and the powers at other
 * irradiances contain it.
 *
 * Uncovered collectors also as 2013 has them: eta0 (1 - bu u) G - (b1 + b2 u) dT. Beam and
 * hemispherical: eta0,hem = eta0,b (0.85 + 0.15 Kd).
 */
#ifndef NR_FIT_STANDARD_H
#define NR_FIT_STANDARD_H

#include "analyze/physics/tube.h"
#include "analyze/result/quantity.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_standard_term {
    NR_STD_ETA0_HEM,
    NR_STD_CONSTANT, /* W/m2: of eta0_hem times the mean irradiance G0 what does not go with it
                        (sky, diffuse light): at another G it is (eta0_hem G0 - this) G/G0 + this */
    NR_STD_ETA0_B,
    NR_STD_KD,
    NR_STD_A1,
    NR_STD_A2,
    NR_STD_A3, /* wind on the loss, J/(m3 K); of a covered collector too where wind is recorded */
    NR_STD_A4, /* long-wave exchange */
    NR_STD_A5,
    NR_STD_A6, /* wind on eta0, s/m */
    NR_STD_BU, /* the same as 2013 has it */
    NR_STD_B1,
    NR_STD_B2,
    NR_STD_FR_TAU_ALPHA, /* on the inlet's temperature, by the published conversion */
    NR_STD_FR_UL,
    NR_STD_TERMS
} nr_standard_term;

/* "eta0_hem", "a1", "FR_tau_alpha"; as in JSON. */
const char *nr_standard_name(nr_standard_term term);

typedef struct nr_standard_value {
    nr_quantity q;   /* not known: the record does not tell it */
    double dof, k95; /* degrees of freedom (INFINITY: without limit), coverage factor of 95 % */
} nr_standard_value;

/* A condition over the sunny, pumped time, in 10 s means. NAN not recorded. */
typedef struct nr_standard_span {
    double mean, lo, hi;
} nr_standard_span;

enum {
    NR_SPAN_SUN,
    NR_SPAN_AIR,
    NR_SPAN_INLET,
    NR_SPAN_RISE,    /* outlet over inlet */
    NR_SPAN_DT,      /* mean fluid over air */
    NR_SPAN_REDUCED, /* T*m, that over the irradiance, m2 K/W */
    NR_SPAN_FLOW,    /* kg/(s m2) */
    NR_SPAN_WIND,
    NR_SPAN_ANGLE,   /* degrees */
    NR_SPAN_DIFFUSE, /* share */
    NR_SPANS
};

typedef enum nr_met { NR_MET_YES, NR_MET_NO, NR_MET_UNKNOWN } nr_met;

typedef enum nr_requirement_code {
    NR_REQ_SUN,      /* least irradiance */
    NR_REQ_SUN_BAND, /* +- about its mean */
    NR_REQ_DIFFUSE,
    NR_REQ_INCIDENCE, /* loss of the modifier against normal */
    NR_REQ_WIND_LEAST,
    NR_REQ_WIND_MOST,
    NR_REQ_AIR_BAND,
    NR_REQ_INLET_BAND,
    NR_REQ_FLOW_BAND, /* relative */
    NR_REQ_FLOW_AREA, /* within 10 % of 0.02 kg/(s m2) */
    NR_REQ_RISE,
    NR_REQ_POINTS,      /* steady windows of 10 min after 15 min of settling */
    NR_REQ_INLETS,      /* different inlet temperatures among them */
    NR_REQ_THERMOMETER, /* standard uncertainty of a fluid probe */
    NR_REQ_FLOW_METER,
    NR_REQS
} nr_requirement_code;

/* "irradiance", "irradiance-band"... */
const char *nr_requirement_name(nr_requirement_code code);

typedef struct nr_requirement {
    double limit, measured; /* NAN: not recorded */
    bool at_least;          /* else at most */
    nr_met met;
} nr_requirement;

#define NR_STD_SUNS 3
#define NR_STD_DIFFERENCES 4
extern const double nr_standard_sun_W_m2[NR_STD_SUNS];    /* 1000, 700, 400 */
extern const double nr_standard_dT_K[NR_STD_DIFFERENCES]; /* 0, 10, 30, 50 */

typedef struct nr_standard_power {
    nr_standard_value W; /* of the whole collector */
    bool tested;         /* dT/G inside what was tested */
} nr_standard_power;

/* ISO 9459-2: the day's output Q = a1 H + a2 (Ta - Tcold) + a3, H the irradiation of the plane;
 * from four days on. Here a day is a record, from its beginning to its end. */
typedef struct nr_day_output {
    bool known;
    size_t days;
    nr_quantity per_irradiation; /* m2 */
    nr_quantity per_difference;  /* J/K */
    nr_quantity constant;        /* J */
    double residual_J;           /* standard deviation */
} nr_day_output;
#define NR_DAYS_LEAST 4

/* What is known of the light that the angle costs, and with it of eta0_b, Kd and K. */
typedef enum nr_modifier_basis {
    NR_MODIFIER_FITTED,  /* b0 is a parameter of the fit */
    NR_MODIFIER_STATED,  /* b0 as stated, without an uncertainty */
    NR_MODIFIER_TABLE,   /* the rig file's table, without one */
    NR_MODIFIER_NONE,    /* a bare absorber: no pane to lose light at */
    NR_MODIFIER_NO_ANGLE /* site or plane are not stated: eta0 is of the angle that was, eta0_b and
                            Kd cannot be told */
} nr_modifier_basis;

/* "fitted", "no-angle". */
const char *nr_modifier_basis_name(nr_modifier_basis basis);

typedef struct nr_standard {
    nr_modifier_basis basis;
    double kd;             /* by that basis, at the best estimate; NAN not known */
    bool covered;          /* glazed */
    bool diffuse_measured; /* else eta0,b follows from a share of 15 % */
    nr_standard_value value[NR_STD_TERMS];
    double angle_deg[7], modifier[7], u_modifier[7]; /* K at 10..70 degrees; NAN not known */
    double gross_area_m2, wind_reference_m_s;        /* of eta0 and a1: 3, or NAN: as it was */
    nr_standard_span span[NR_SPANS];
    nr_standard_power power[NR_STD_SUNS][NR_STD_DIFFERENCES];
    nr_bounds pressure_drop_Pa; /* computed for the straight tube; regime NR_FLOW_UNKNOWN */
    nr_requirement requirement[NR_REQS];
    nr_day_output day;
} nr_standard;

/* Q[J], irradiation of the plane [J/m2], air - cold [K] of n records. NR_CANNOT where they do not
 * determine the three coefficients. */
bool nr_day_output_fit(size_t n, const double *irradiation, const double *difference_K,
                       const double *output_J, nr_day_output *out);

/* Incidence modifier 1 - b0 (1/cos - 1) of beam light, never below 0, and the same averaged over a
 * uniform sky, 1/(1 + b0). */
double nr_standard_modifier(double b0, double angle_deg);
double nr_standard_kd(double b0);

/* eta0_hem from eta0_b, and a collector's power W from its coefficients: below 0 where it loses
 * more than it gathers. */
double nr_standard_hemispherical(double eta0_b, double kd);
double nr_standard_power_W(double area_m2, double eta0_hem, double a1, double a2, double sun_W_m2,
                           double dT_K);
/* Mean-temperature form to the inlet's: divides eta0 and a1; capacity flow per area W/(m2 K). */
double nr_standard_inlet_factor(double a1, double capacity_flow);

#endif
