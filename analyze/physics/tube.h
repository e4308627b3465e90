/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flow and heat transfer in a round tube, straight or coiled.
 *
 * Lengths in m, flow in L/min, water at a temperature in degC (water.h). NAN outside a formula's
 * range: a laminar formula never answers for turbulent flow. Between the two regimes nobody knows,
 * and the answer says so: NR_FLOW_UNCERTAIN and two bounds.
 */
#ifndef NR_PHYSICS_TUBE_H
#define NR_PHYSICS_TUBE_H

typedef enum nr_flow_regime {
    NR_FLOW_NONE, /* no flow */
    NR_FLOW_LAMINAR,
    NR_FLOW_UNCERTAIN,
    NR_FLOW_TURBULENT,
    NR_FLOW_UNKNOWN /* an input is NAN or out of range */
} nr_flow_regime;

/* "laminar" and so on, for messages. */
const char *nr_flow_regime_name(nr_flow_regime regime);

typedef struct nr_tube {
    double bore_m, length_m;
    double coil_diameter_m; /* of the centre line of a turn; 0 or NAN: straight */
} nr_tube;

/* Straight tubes: laminar below, turbulent surely above (Gnielinski's range starts there). */
#define NR_RE_LAMINAR 2300.0
#define NR_RE_TURBULENT 3000.0

/* Ito 1959: critical Reynolds number of a coil, 20000 (d/D)^0.32, for d/D from 1/860 (straighter:
 * 2300) to 1/15; NAN above. */
double nr_ito_critical_re(double bore_over_coil);

/* A coil stays laminar longer, but with its kinks and bends nobody can promise it: from 2300 to
 * Ito's number (3000 if greater) the regime is uncertain. */
nr_flow_regime nr_flow_regime_of(double re, double bore_over_coil);

double nr_tube_speed_m_s(double bore_m, double flow_L_min);
double nr_tube_reynolds(double bore_m, double flow_L_min, double degC);

/* Darcy friction factor, turbulent, smooth: Petukhov (0.790 ln Re - 1.64)^-2, 3000..5e6, NAN
 * outside. (Laminar: 64/Re.) */
double nr_friction_turbulent(double re);

/* How many times more a coil resists laminar flow than a straight tube: White 1929 (Proc. R. Soc. A
 * 123, 645), by Dean number Re sqrt(d/D); 1 below 11.6, valid to 2000, NAN above. */
double nr_coil_laminar_factor(double re, double bore_over_coil);

/* Nusselt numbers. Fully developed laminar: constant heat flux, constant wall temperature. */
#define NR_NUSSELT_FLUX 4.364
#define NR_NUSSELT_WALL 3.657
/* Gnielinski, Re 3000..5e6, Pr 0.5..2000. */
double nr_nusselt_gnielinski(double re, double prandtl);
/* Laminar with an entrance: Hausen, mean over the length; graetz = Re Pr d/L > 0. */
double nr_nusselt_hausen(double graetz);

/* A value that is known (low == high) or only bounded. */
typedef struct nr_bounds {
    nr_flow_regime regime;
    double low, high;
} nr_bounds;

/* Pressure drop of water, Pa, friction only (no bends, no lift). Uncertain: from laminar to
 * turbulent as if either reached across the gap. A coil's laminar flow carries White's factor. */
nr_bounds nr_tube_pressure_drop_Pa(nr_tube tube, double flow_L_min, double degC);

/* Heat transfer from the tube's wall to the water, W/(m2 K) of bore surface: Hausen when laminar
 * (a coil does better), Gnielinski when turbulent, from one to the other when uncertain. */
nr_bounds nr_tube_film_W_m2K(nr_tube tube, double flow_L_min, double degC);

double nr_tube_volume_L(nr_tube tube);

/* The time a slug of water takes through the tube, s; INFINITY without flow. */
double nr_tube_transit_s(nr_tube tube, double flow_L_min);

#endif
