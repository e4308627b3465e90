/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flat-plate collector algebra: Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 6,
 * and the efficiency curve of ISO 9806.
 *
 * Loss coefficients in W/(m2 K), per the same area as the irradiance (W/m2). Temperatures degC,
 * differences K. NAN for input that is NAN or has no meaning (negative areas, flows).
 *
 * Two reference temperatures are in use and must not be mixed: on the inlet temperature the curve's
 * intercept and slope are FR(tau alpha) and FR UL, on the mean fluid temperature F'(tau alpha) and
 * F'UL. capacity_flow below is m_dot cp / A in W/(m2 K).
 */
#ifndef NR_PHYSICS_COLLECTOR_H
#define NR_PHYSICS_COLLECTOR_H

/* ---- the efficiency curve ---- */

typedef struct nr_curve {
    double eta0;     /* zero-loss efficiency, incidence angle modifier 1 */
    double a1;       /* W/(m2 K) */
    double a2;       /* W/(m2 K2), 0 when not determined */
    double a5_J_m2K; /* effective heat capacity per area, 0: steady state */
} nr_curve;

/* Heat into the fluid, W/m2: eta0 K G - a1 d - a2 d^2 - a5 dT/dt, d = reference - air. a2 counts as
 * d |d|, so that a fluid colder than the air gains what a warmer one loses. */
double nr_curve_output_W_m2(nr_curve curve, double modifier, double irradiance_W_m2,
                            double difference_K, double rate_K_s);

/* Efficiency at a reduced temperature difference (m2 K/W) and irradiance, steady state. */
double nr_curve_efficiency(nr_curve curve, double reduced_m2K_W, double irradiance_W_m2);

/* Where the curve itself meets zero, K over the air. A curve fitted over a mild range understates
 * stagnation (a certified collector, tested to 53 K: by 31 K): to be given as "at least", never as
 * a safe upper limit. INFINITY when the curve never meets zero. */
double nr_curve_stagnation_K(nr_curve curve, double irradiance_W_m2);

/* ---- from one reference temperature to another ---- */

/* Multiply eta0 and a1 of the inlet basis by this to get those of the arithmetic mean fluid
 * temperature: 1/(1 - a1/(2 capacity_flow)). NAN when the flow is too small to tell. */
double nr_basis_inlet_to_mean(double a1_inlet, double capacity_flow);
/* And back: 1/(1 + a1/(2 capacity_flow)). */
double nr_basis_mean_to_inlet(double a1_mean, double capacity_flow);

/* F'UL from FR UL and back, exact along the tube. */
double nr_basis_fr_ul_to_fprime_ul(double fr_ul, double capacity_flow);
double nr_basis_fprime_ul_to_fr_ul(double fprime_ul, double capacity_flow);

/* ---- fin, tube and flow ---- */

typedef struct nr_fin {
    double loss_W_m2K;          /* UL */
    double pitch_m;             /* from tube to tube */
    double tube_m, bore_m;      /* outside and inside diameter */
    double plate_m, plate_W_mK; /* thickness, conductivity */
    double bond_W_mK;  /* conductance per length between plate and tube; INFINITY: perfect */
    double film_W_m2K; /* wall to water, of bore surface */
} nr_fin;

double nr_fin_efficiency(nr_fin fin);              /* F */
double nr_collector_efficiency_factor(nr_fin fin); /* F' */

/* FR = (c/UL) (1 - exp(-UL F'/c)), c = capacity_flow. */
double nr_heat_removal_factor(double loss_W_m2K, double efficiency_factor, double capacity_flow);

/* FR (S - UL (inlet - air)), never below 0: a controlled pump stops. absorbed: S in W/m2. */
double nr_useful_W_m2(double removal_factor, double absorbed_W_m2, double loss_W_m2K,
                      double inlet_degC, double air_degC);

/* Mean temperatures of fluid and absorber while useful_W_m2 is drawn. */
double nr_mean_fluid_degC(double inlet_degC, double useful_W_m2, double removal_factor,
                          double efficiency_factor, double loss_W_m2K);
double nr_mean_plate_degC(double inlet_degC, double useful_W_m2, double removal_factor,
                          double loss_W_m2K);

/* ---- losses ---- */

typedef struct nr_top {
    int covers;                  /* 1..3 */
    double plate_degC, air_degC; /* sky as warm as the air; plate above air */
    double wind_W_m2K;           /* convection at the outer cover */
    double plate_emittance, cover_emittance;
    double tilt_deg; /* 0..90; the formula counts more than 70 as 70 */
} nr_top;

/* Klein 1975 (published in Klein 1979): within 0.3 W/(m2 K) of a network of heat balances for a
 * plate between air and 200 degC. */
double nr_top_loss_W_m2K(nr_top top);

/* Wind coefficient of a flat plate, 2.8 + 3.0 v (Watmuff 1977, in Duffie and Beckman, from memory);
 * v in m/s, 0..7. */
double nr_wind_coefficient_W_m2K(double wind_m_s);

/* ---- lumped heat-up: (m cp) dT/dt = A (eta0 G - U (T - Ta)) ---- */

typedef struct nr_heat_up {
    double area_m2, eta0, loss_W_m2K;
    double irradiance_W_m2, air_degC, start_degC;
    double capacity_J_K; /* of everything that warms along */
} nr_heat_up;

double nr_heat_up_degC(nr_heat_up h, double time_s);
double nr_heat_up_final_degC(nr_heat_up h); /* after all time; INFINITY with sun and no loss */
double nr_heat_up_constant_s(nr_heat_up h); /* INFINITY without loss */
/* Seconds until a temperature is reached; INFINITY when it never is, 0 when it is at the start. */
double nr_heat_up_time_s(nr_heat_up h, double target_degC);

#endif
