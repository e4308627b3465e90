/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tube; see tube.h. */
#include "analyze/physics/tube.h"

#include "analyze/physics/water.h"

#include <math.h>
#include <stdbool.h>

#define PI 3.14159265358979323846
#define RE_MAX 5e6
#define ITO_STRAIGHTEST (1.0 / 860.0)
#define ITO_TIGHTEST (1.0 / 15.0)
#define WHITE_DEAN_LOW 11.6
#define WHITE_DEAN_HIGH 2000.0

const char *nr_flow_regime_name(nr_flow_regime regime)
{
    static const char *const names[] = {"no flow", "laminar", "uncertain", "turbulent", "unknown"};
    return names[regime];
}

static double bore_over_coil(nr_tube tube)
{
    return tube.coil_diameter_m > 0.0 ? tube.bore_m / tube.coil_diameter_m : 0.0;
}

double nr_ito_critical_re(double ratio)
{
    if (!(ratio >= 0.0 && ratio <= ITO_TIGHTEST))
        return NAN;
    return ratio < ITO_STRAIGHTEST ? NR_RE_LAMINAR : 20000.0 * pow(ratio, 0.32);
}

nr_flow_regime nr_flow_regime_of(double re, double ratio)
{
    double ito = nr_ito_critical_re(ratio);
    if (!(re >= 0.0) || isnan(ito))
        return NR_FLOW_UNKNOWN;
    if (re == 0.0)
        return NR_FLOW_NONE;
    if (re <= NR_RE_LAMINAR)
        return NR_FLOW_LAMINAR;
    return re < fmax(ito, NR_RE_TURBULENT) ? NR_FLOW_UNCERTAIN : NR_FLOW_TURBULENT;
}

double nr_tube_speed_m_s(double bore_m, double flow_L_min)
{
    if (!(bore_m > 0.0) || !(flow_L_min >= 0.0))
        return NAN;
    return flow_L_min / 60000.0 / (PI / 4.0 * bore_m * bore_m);
}

double nr_tube_reynolds(double bore_m, double flow_L_min, double degC)
{
    return nr_water_density_kg_m3(degC) * nr_tube_speed_m_s(bore_m, flow_L_min) * bore_m /
           nr_water_viscosity_Pa_s(degC);
}

double nr_friction_turbulent(double re)
{
    if (!(re >= NR_RE_TURBULENT && re <= RE_MAX))
        return NAN;
    return pow(0.790 * log(re) - 1.64, -2.0);
}

double nr_coil_laminar_factor(double re, double ratio)
{
    double dean = re * sqrt(ratio);
    if (!(dean >= 0.0 && dean <= WHITE_DEAN_HIGH))
        return NAN;
    if (dean <= WHITE_DEAN_LOW)
        return 1.0;
    return 1.0 / (1.0 - pow(1.0 - pow(WHITE_DEAN_LOW / dean, 0.45), 1.0 / 0.45));
}

double nr_nusselt_gnielinski(double re, double prandtl)
{
    if (!(prandtl >= 0.5 && prandtl <= 2000.0))
        return NAN;
    double f8 = nr_friction_turbulent(re) / 8.0;
    return f8 * (re - 1000.0) * prandtl / (1.0 + 12.7 * sqrt(f8) * (pow(prandtl, 2.0 / 3.0) - 1.0));
}

double nr_nusselt_hausen(double graetz)
{
    if (!(graetz > 0.0))
        return NAN;
    return 3.66 + 0.0668 * graetz / (1.0 + 0.04 * pow(graetz, 2.0 / 3.0));
}

/* Turbulent formulas end at 3000; the upper bound of the uncertain zone below that takes them
 * there. */
static double turbulent_re(double re)
{
    return fmax(re, NR_RE_TURBULENT);
}

static nr_bounds bounds(nr_flow_regime regime, double laminar, double turbulent)
{
    switch (regime) {
    case NR_FLOW_LAMINAR:
        return (nr_bounds){regime, laminar, laminar};
    case NR_FLOW_TURBULENT:
        return (nr_bounds){regime, turbulent, turbulent};
    case NR_FLOW_UNCERTAIN:
        return (nr_bounds){regime, fmin(laminar, turbulent), fmax(laminar, turbulent)};
    case NR_FLOW_NONE:
    case NR_FLOW_UNKNOWN:
        break;
    }
    return (nr_bounds){regime, NAN, NAN};
}

static bool usable(nr_tube tube)
{
    return tube.bore_m > 0.0 && tube.length_m > 0.0;
}

nr_bounds nr_tube_pressure_drop_Pa(nr_tube tube, double flow_L_min, double degC)
{
    if (!usable(tube))
        return (nr_bounds){NR_FLOW_UNKNOWN, NAN, NAN};
    double re = nr_tube_reynolds(tube.bore_m, flow_L_min, degC), ratio = bore_over_coil(tube);
    nr_flow_regime regime = nr_flow_regime_of(re, ratio);
    if (regime == NR_FLOW_NONE)
        return (nr_bounds){regime, 0.0, 0.0};
    double speed = nr_tube_speed_m_s(tube.bore_m, flow_L_min);
    double per_friction =
        tube.length_m / tube.bore_m * nr_water_density_kg_m3(degC) * speed * speed / 2.0;
    return bounds(regime, per_friction * 64.0 / re * nr_coil_laminar_factor(re, ratio),
                  per_friction * nr_friction_turbulent(turbulent_re(re)));
}

nr_bounds nr_tube_film_W_m2K(nr_tube tube, double flow_L_min, double degC)
{
    if (!usable(tube))
        return (nr_bounds){NR_FLOW_UNKNOWN, NAN, NAN};
    double re = nr_tube_reynolds(tube.bore_m, flow_L_min, degC);
    nr_flow_regime regime = nr_flow_regime_of(re, bore_over_coil(tube));
    double prandtl = nr_water_prandtl(degC);
    double per_nusselt = nr_water_conductivity_W_mK(degC) / tube.bore_m;
    double graetz = re * prandtl * tube.bore_m / tube.length_m;
    return bounds(regime, per_nusselt * nr_nusselt_hausen(graetz),
                  per_nusselt * nr_nusselt_gnielinski(turbulent_re(re), prandtl));
}

double nr_tube_volume_L(nr_tube tube)
{
    return usable(tube) ? 1000.0 * PI / 4.0 * tube.bore_m * tube.bore_m * tube.length_m : NAN;
}

double nr_tube_transit_s(nr_tube tube, double flow_L_min)
{
    if (!(flow_L_min >= 0.0))
        return NAN;
    return 60.0 * nr_tube_volume_L(tube) / flow_L_min;
}
