/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flat-plate collector algebra as an oracle: what the programs answer by simulation and estimate is
 * held against these closed forms, and these against their sources (physics/test_collector.c).
 * Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 6 (equation numbers), and the
 * efficiency curve of ISO 9806.
 *
 * Loss coefficients in W/(m2 K), per the same area as the irradiance (W/m2). Temperatures degC,
 * differences K. NAN for input that is NAN or has no meaning (negative areas, flows).
 *
 * Two reference temperatures are in use and must not be mixed: on the inlet temperature the curve's
 * intercept and slope are FR(tau alpha) and FR UL, on the mean fluid temperature F'(tau alpha) and
 * F'UL. capacity_flow below is m_dot cp / A in W/(m2 K).
 */
#ifndef NR_TESTS_ALGEBRA_H
#define NR_TESTS_ALGEBRA_H

#include <math.h>
#include <stdbool.h>

#define NR_ALGEBRA_PI 3.14159265358979323846

/* ---- the efficiency curve ---- */

typedef struct nr_curve {
    double eta0;     /* zero-loss efficiency, incidence angle modifier 1 */
    double a1;       /* W/(m2 K) */
    double a2;       /* W/(m2 K2), 0 when not determined */
    double a5_J_m2K; /* effective heat capacity per area, 0: steady state */
} nr_curve;

/* Heat into the fluid, W/m2: eta0 K G - a1 d - a2 d^2 - a5 dT/dt, d = reference - air. a2 counts as
 * d |d|, so that a fluid colder than the air gains what a warmer one loses. */
static inline double nr_curve_output_W_m2(nr_curve curve, double modifier, double irradiance_W_m2,
                                          double difference_K, double rate_K_s)
{
    return curve.eta0 * modifier * irradiance_W_m2 - curve.a1 * difference_K -
           curve.a2 * difference_K * fabs(difference_K) - curve.a5_J_m2K * rate_K_s;
}

/* Efficiency at a reduced temperature difference (m2 K/W) and irradiance, steady state. */
static inline double nr_curve_efficiency(nr_curve curve, double reduced_m2K_W,
                                         double irradiance_W_m2)
{
    if (!(irradiance_W_m2 > 0.0))
        return NAN;
    return nr_curve_output_W_m2(curve, 1.0, irradiance_W_m2, reduced_m2K_W * irradiance_W_m2, 0.0) /
           irradiance_W_m2;
}

/* Where the curve itself meets zero, K over the air. A curve fitted over a mild range understates
 * stagnation (a certified collector, tested to 53 K: by 31 K): to be given as "at least", never as
 * a safe upper limit. INFINITY when the curve never meets zero. */
static inline double nr_curve_stagnation_K(nr_curve curve, double irradiance_W_m2)
{
    double gain = curve.eta0 * irradiance_W_m2;
    if (!(gain >= 0.0) || isnan(curve.a1) || isnan(curve.a2))
        return NAN;
    double under_root = curve.a1 * curve.a1 + 4.0 * curve.a2 * gain;
    double divisor = curve.a1 + sqrt(under_root);
    /* 2 gain / (a1 + root) is the smaller root and does not cancel when a2 is near 0. */
    return under_root >= 0.0 && divisor > 0.0 ? 2.0 * gain / divisor : INFINITY;
}

/* ---- from one reference temperature to another ---- */

/* Multiply eta0 and a1 of the inlet basis by this to get those of the arithmetic mean fluid
 * temperature: 1/(1 - a1/(2 capacity_flow)). NAN when the flow is too small to tell. */
static inline double nr_basis_inlet_to_mean(double a1_inlet, double capacity_flow)
{
    double divisor = 1.0 - a1_inlet / (2.0 * capacity_flow);
    return capacity_flow > 0.0 && divisor > 0.0 ? 1.0 / divisor : NAN;
}
/* And back: 1/(1 + a1/(2 capacity_flow)). */
static inline double nr_basis_mean_to_inlet(double a1_mean, double capacity_flow)
{
    return capacity_flow > 0.0 && a1_mean >= 0.0 ? 1.0 / (1.0 + a1_mean / (2.0 * capacity_flow))
                                                 : NAN;
}

/* F'UL from FR UL and back, exact along the tube. */
static inline double nr_basis_fr_ul_to_fprime_ul(double fr_ul, double capacity_flow)
{
    if (!(capacity_flow > 0.0) || !(fr_ul < capacity_flow))
        return NAN;
    return -capacity_flow * log1p(-fr_ul / capacity_flow);
}
static inline double nr_basis_fprime_ul_to_fr_ul(double fprime_ul, double capacity_flow)
{
    return capacity_flow > 0.0 ? -capacity_flow * expm1(-fprime_ul / capacity_flow) : NAN;
}

/* ---- fin, tube and flow ---- */

typedef struct nr_fin {
    double loss_W_m2K;          /* UL */
    double pitch_m;             /* from tube to tube */
    double tube_m, bore_m;      /* outside and inside diameter */
    double plate_m, plate_W_mK; /* thickness, conductivity */
    double bond_W_mK;  /* conductance per length between plate and tube; INFINITY: perfect */
    double film_W_m2K; /* wall to water, of bore surface */
} nr_fin;

static inline double nr_fin_efficiency(nr_fin fin)
{
    double m = sqrt(fin.loss_W_m2K / (fin.plate_W_mK * fin.plate_m)); /* 6.5.4a */
    double half = m * (fin.pitch_m - fin.tube_m) / 2.0;
    if (!(half >= 0.0))
        return NAN;
    return half == 0.0 ? 1.0 : tanh(half) / half; /* 6.5.12 */
} /* F */
static inline double nr_collector_efficiency_factor(nr_fin fin) /* 6.5.18 */
{
    double u = fin.loss_W_m2K;
    if (!(u > 0.0) || !(fin.pitch_m > 0.0) || !(fin.bore_m > 0.0) || !(fin.film_W_m2K > 0.0))
        return NAN;
    double wetted = fin.tube_m + (fin.pitch_m - fin.tube_m) * nr_fin_efficiency(fin);
    double resistance = 1.0 / (u * wetted) + 1.0 / fin.bond_W_mK +
                        1.0 / (NR_ALGEBRA_PI * fin.bore_m * fin.film_W_m2K);
    return 1.0 / (u * fin.pitch_m * resistance);
} /* F' */

/* FR (S - UL (inlet - air)), never below 0: a controlled pump stops. absorbed: S in W/m2. */
static inline double nr_useful_W_m2(double removal_factor, double absorbed_W_m2, double loss_W_m2K,
                                    double inlet_degC, double air_degC)
{
    double net = removal_factor * (absorbed_W_m2 - loss_W_m2K * (inlet_degC - air_degC));
    return net < 0.0 ? 0.0 : net; /* keeps NAN */
}

/* Mean temperature of the fluid while useful_W_m2 is drawn. */
static inline double nr_mean_fluid_degC(double inlet_degC, double useful_W_m2,
                                        double removal_factor, double efficiency_factor,
                                        double loss_W_m2K)
{
    return inlet_degC + useful_W_m2 / (removal_factor * loss_W_m2K) *
                            (1.0 - removal_factor / efficiency_factor); /* 6.9.2 */
}

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
static inline double nr_top_loss_W_m2K(nr_top top) /* 6.4.9 */
{
    bool sound = top.covers >= 1 && top.covers <= 3 && top.wind_W_m2K > 0.0 &&
                 top.plate_emittance > 0.0 && top.plate_emittance <= 1.0 &&
                 top.cover_emittance > 0.0 && top.cover_emittance <= 1.0 && top.tilt_deg >= 0.0 &&
                 top.tilt_deg <= 90.0 && top.plate_degC > top.air_degC && top.plate_degC <= 200.0 &&
                 top.air_degC > -60.0;
    if (!sound)
        return NAN;
    double n = top.covers, h = top.wind_W_m2K, e = top.plate_emittance;
    double plate = top.plate_degC + 273.15, air = top.air_degC + 273.15;
    double tilt = fmin(top.tilt_deg, 70.0);
    double f = (1.0 + 0.089 * h - 0.1166 * h * e) * (1.0 + 0.07866 * n);
    double c = 520.0 * (1.0 - 0.000051 * tilt * tilt);
    double exponent = 0.430 * (1.0 - 100.0 / plate);
    double convection = n / (c / plate * pow((plate - air) / (n + f), exponent)) + 1.0 / h;
    double radiation =
        1.0 / (e + 0.00591 * n * h) + (2.0 * n + f - 1.0 + 0.133 * e) / top.cover_emittance - n;
    return 1.0 / convection + 5.670374e-8 * (plate + air) * (plate * plate + air * air) / radiation;
}

/* Wind coefficient of a flat plate, 2.8 + 3.0 v (Watmuff 1977, in Duffie and Beckman, from memory);
 * v in m/s, 0..7. */
static inline double nr_wind_coefficient_W_m2K(double wind_m_s)
{
    return wind_m_s >= 0.0 && wind_m_s <= 7.0 ? 2.8 + 3.0 * wind_m_s : NAN;
}

/* ---- lumped heat-up: (m cp) dT/dt = A (eta0 G - U (T - Ta)) ---- */

typedef struct nr_heat_up {
    double area_m2, eta0, loss_W_m2K;
    double irradiance_W_m2, air_degC, start_degC;
    double capacity_J_K; /* of everything that warms along */
} nr_heat_up;

static inline double nr_heat_up_constant_s(nr_heat_up h)
{
    if (!(h.capacity_J_K > 0.0) || !(h.area_m2 > 0.0) || !(h.loss_W_m2K >= 0.0))
        return NAN;
    return h.capacity_J_K / (h.area_m2 * h.loss_W_m2K);
}

static inline double start_rate_K_s(nr_heat_up h)
{
    return h.area_m2 * (h.eta0 * h.irradiance_W_m2 - h.loss_W_m2K * (h.start_degC - h.air_degC)) /
           h.capacity_J_K;
}

static inline double nr_heat_up_degC(nr_heat_up h, double time_s)
{
    double constant = nr_heat_up_constant_s(h);
    if (isnan(constant) || !(time_s >= 0.0))
        return NAN;
    /* start + rate * constant * (1 - exp(-t/constant)) has a limit without loss: a straight line.
     */
    double effective_s = isinf(constant) ? time_s : -constant * expm1(-time_s / constant);
    return h.start_degC + start_rate_K_s(h) * effective_s;
}
static inline double nr_heat_up_final_degC(nr_heat_up h)
{
    double gain = h.eta0 * h.irradiance_W_m2;
    if (h.loss_W_m2K > 0.0)
        return h.air_degC + gain / h.loss_W_m2K;
    if (isnan(gain) || !(h.loss_W_m2K == 0.0))
        return NAN;
    return gain > 0.0 ? INFINITY : h.start_degC;
} /* after all time; INFINITY with sun and no loss */
/* Seconds until a temperature is reached; INFINITY when it never is, 0 when it is at the start. */
static inline double nr_heat_up_time_s(nr_heat_up h, double target_degC)
{
    double constant = nr_heat_up_constant_s(h), rate = start_rate_K_s(h);
    double rise = target_degC - h.start_degC;
    if (isnan(constant) || isnan(rate) || isnan(rise))
        return NAN;
    if (rise <= 0.0)
        return 0.0;
    if (rate <= 0.0)
        return INFINITY;
    if (isinf(constant))
        return rise / rate;
    double part = rise / (rate * constant);
    return part < 1.0 ? -constant * log1p(-part) : INFINITY;
}

#endif
