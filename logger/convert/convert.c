/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of conversion laws; see convert.h. The physics is in ntc.h, platinum.h and
 * thermocouple.h; here each law only picks its coefficients, in the order of its row. */
#include "logger/convert/convert.h"

#include "logger/convert/ntc.h"
#include "logger/convert/platinum.h"
#include "logger/convert/thermocouple.h"

#include <math.h>
#include <string.h>

#define KEYS(...) .keys = {__VA_ARGS__}

/* An optional key without a default; see convert.h. */
#define NOT_GIVEN INFINITY

static double eval_none(double raw, const double *k, double cold_degC)
{
    (void)k, (void)cold_degC;
    return raw;
}

static double eval_linear(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return k[0] * raw + k[1];
}

static double eval_poly(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    double value = 0.0;
    for (int i = 5; i >= 0; i--)
        value = value * raw + k[i];
    return value;
}

/* The divider's keys come first in every divider law: series_ohm, full_scale, thermistor_high. */
static double divider_ohm(double raw, const double *k)
{
    return nr_divider_ohm(raw / k[1], k[0], k[2] != 0.0);
}

static double eval_ntc_beta(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_beta_degC(divider_ohm(raw, k), k[3], k[4]);
}

static double eval_ntc_beta_ohm(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_beta_degC(raw, k[0], k[1]);
}

static double eval_ntc_steinhart(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_steinhart_degC(divider_ohm(raw, k), k[3], k[4], k[5]);
}

static double eval_ntc_steinhart_ohm(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_steinhart_degC(raw, k[0], k[1], k[2]);
}

static double eval_ntc_four_term(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_four_term_degC(divider_ohm(raw, k), k[3], k[4], k[5], k[6], k[7]);
}

static double eval_ntc_four_term_ohm(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_ntc_four_term_degC(raw, k[0], k[1], k[2], k[3], k[4]);
}

static double eval_platinum(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return nr_platinum_degC(raw - k[1], k[0]);
}

/* The channel named by cold_channel wins over the fixed key; neither: no answer. */
static double thermocouple(nr_thermocouple type, double raw, const double *k, double cold_degC)
{
    double cold = isnan(cold_degC) && isfinite(k[1]) ? k[1] : cold_degC;
    return nr_thermocouple_hot_degC(type, raw * k[0], cold);
}

static double eval_thermocouple_k(double raw, const double *k, double cold_degC)
{
    return thermocouple(NR_THERMOCOUPLE_K, raw, k, cold_degC);
}

static double eval_thermocouple_t(double raw, const double *k, double cold_degC)
{
    return thermocouple(NR_THERMOCOUPLE_T, raw, k, cold_degC);
}

/* A one-wire digital thermometer answers exactly 85 degC after a power dip until it has measured:
 * a wire that shakes loose for a moment would leave a row of plausible, hot readings. The exact
 * value is therefore no reading. What that costs an honest sensor: the one step of 1/16 K at
 * 85.0000, a gap of a second while a box heats through it; trust_85 = 1 keeps it. */
#define POWER_ON_DEGC 85.0

static double onewire(double degC, bool trust_85)
{
    if (!(degC >= -55.0 && degC <= 125.0)) /* the part's range; also drivers' "no answer" -127 */
        return NAN;
    return degC == POWER_ON_DEGC && !trust_85 ? NAN : degC;
}

static double eval_onewire_raw(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    if (!(raw >= -32768.0 && raw <= 65535.0) || raw != floor(raw))
        return NAN;
    double counts = raw >= 32768.0 ? raw - 65536.0 : raw;
    return onewire(counts / 16.0, k[0] != 0.0);
}

static double eval_onewire_degC(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return onewire(raw, k[0] != 0.0);
}

static double eval_flow_pulses(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    return raw >= 0.0 ? 60.0 * raw / (k[0] * k[1]) : NAN;
}

/* Makers of turbine meters print f = k Q - q: the rotor only starts at a small flow. At rest the
 * meter sends nothing, and nothing is zero flow, not q/k. */
static double eval_flow_hz(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    if (!(raw >= 0.0))
        return NAN;
    return raw == 0.0 ? 0.0 : 60.0 * (raw + k[1]) / k[0];
}

static double eval_sun_shunt(double raw, const double *k, double cold_degC)
{
    (void)cold_degC;
    double current_A = raw * k[1] / k[0];
    return 1000.0 * current_A / (k[2] * (1.0 + k[3] * (k[4] - 25.0)));
}

static double eval_stated(double raw, const double *k, double cold_degC)
{
    (void)raw, (void)cold_degC;
    return k[0];
}

/* Keys that several laws share. clang-format takes the braces for blocks. */
/* clang-format off */
#define DIVIDER \
    {"series_ohm", NAN, 1.0, 1e8, "fixed resistor of the divider, ohm"}, \
    {"full_scale", 1.0, 1e-6, 1e9, "raw value that equals the divider's supply voltage"}, \
    {"thermistor_high", 0.0, 0.0, 1.0, \
     "1: thermistor between supply and measuring point; 0: between it and ground"}
#define R25 {"r25", NAN, 1.0, 1e8, "thermistor's resistance at 25 degC, ohm"}
#define BETA {"beta", NAN, 1000.0, 10000.0, "beta of the thermistor, K"}
#define STEINHART \
    {"a", NAN, -0.1, 0.1, "Steinhart-Hart A, 1/K, for R in ohm"}, \
    {"b", NAN, -0.1, 0.1, "Steinhart-Hart B, 1/K"}, \
    {"c", NAN, -0.1, 0.1, "Steinhart-Hart C, 1/K"}
#define FOUR_TERM \
    {"a", NAN, 0.0, 0.1, "constant term, 1/K"}, \
    {"b", NAN, -0.1, 0.1, "times L = ln(R/R25), 1/K"}, \
    {"c", NAN, -0.1, 0.1, "times L^2, 1/K"}, \
    {"d", NAN, -0.1, 0.1, "times L^3, 1/K"}
#define LEAD {"lead_ohm", 0.0, 0.0, 100.0, "resistance of a two-wire lead, subtracted, ohm"}
#define THERMOCOUPLE_KEYS \
    {"mV_per_raw", 1.0, -1e6, 1e6, "thermocouple millivolts per raw unit (amplifier, counts)"}, \
    {"cold_degC", NOT_GIVEN, -40.0, 150.0, \
     "fixed temperature of the reference junction, degC; better: cold_channel"}
#define TRUST_85 {"trust_85", 0.0, 0.0, 1.0, "1: keep exactly 85 degC, the sensor's power-on value"}
#define PULSES {"pulses_per_L", NAN, 1e-3, 1e7, "pulses per litre"}
/* clang-format on */

const nr_law nr_laws[] = {
    {"none", "the number as it comes, already in the channel's unit", NULL, KEYS({0}), false,
     eval_none},
    {"linear", "value = gain * raw + offset, in the channel's unit", NULL,
     KEYS({"gain", 1.0, -1e12, 1e12, "channel units per raw unit"},
          {"offset", 0.0, -1e12, 1e12, "added, channel's unit"}),
     false, eval_linear},
    {"poly", "value = c0 + c1 raw + ... + c5 raw^5, in the channel's unit", NULL,
     KEYS({"c0", 0.0, -1e12, 1e12, "constant term"}, {"c1", 0.0, -1e12, 1e12, "times raw"},
          {"c2", 0.0, -1e12, 1e12, "times raw^2"}, {"c3", 0.0, -1e12, 1e12, "times raw^3"},
          {"c4", 0.0, -1e12, 1e12, "times raw^4"}, {"c5", 0.0, -1e12, 1e12, "times raw^5"}),
     false, eval_poly},
    {"ntc_beta", "thermistor in a divider (raw: volts or counts) by its beta", "degC",
     KEYS(DIVIDER, R25, BETA), false, eval_ntc_beta},
    {"ntc_beta_ohm", "thermistor's resistance (raw: ohm) by its beta", "degC", KEYS(R25, BETA),
     false, eval_ntc_beta_ohm},
    {"ntc_steinhart", "thermistor in a divider (raw: volts or counts), Steinhart and Hart 1968",
     "degC", KEYS(DIVIDER, STEINHART), false, eval_ntc_steinhart},
    {"ntc_steinhart_ohm", "thermistor's resistance (raw: ohm), Steinhart and Hart 1968", "degC",
     KEYS(STEINHART), false, eval_ntc_steinhart_ohm},
    {"ntc_four_term", "thermistor in a divider (raw: volts or counts), maker's four terms", "degC",
     KEYS(DIVIDER, R25, FOUR_TERM), false, eval_ntc_four_term},
    {"ntc_four_term_ohm", "thermistor's resistance (raw: ohm), maker's four terms", "degC",
     KEYS(R25, FOUR_TERM), false, eval_ntc_four_term_ohm},
    {"pt100", "platinum resistance thermometer (raw: ohm), IEC 60751", "degC",
     KEYS({"r0", 100.0, 50.0, 200.0, "resistance at 0 degC, ohm"}, LEAD), false, eval_platinum},
    {"pt1000", "platinum resistance thermometer (raw: ohm), IEC 60751", "degC",
     KEYS({"r0", 1000.0, 500.0, 2000.0, "resistance at 0 degC, ohm"}, LEAD), false, eval_platinum},
    {"thermocouple_k", "thermocouple type K (raw: mV) with reference junction, IEC 60584-1", "degC",
     KEYS(THERMOCOUPLE_KEYS), true, eval_thermocouple_k},
    {"thermocouple_t", "thermocouple type T (raw: mV) with reference junction, IEC 60584-1", "degC",
     KEYS(THERMOCOUPLE_KEYS), true, eval_thermocouple_t},
    {"onewire_raw", "one-wire digital thermometer (raw: its 16-bit register, 1/16 K)", "degC",
     KEYS(TRUST_85), false, eval_onewire_raw},
    {"onewire_degC", "one-wire digital thermometer (raw: degC from the adapter)", "degC",
     KEYS(TRUST_85), false, eval_onewire_degC},
    {"flow_pulses", "flow meter (raw: pulses in an interval)", "L_min",
     KEYS(PULSES, {"count_interval_s", NAN, 1e-3, 86400.0, "seconds the pulses were counted over"}),
     false, eval_flow_pulses},
    {"flow_hz", "flow meter (raw: pulses per second)", "L_min",
     KEYS(PULSES, {"offset_hz", 0.0, -1000.0, 1000.0, "added to the frequency while it turns, Hz"}),
     false, eval_flow_hz},
    {"sun_shunt", "irradiance from a reference cell's short-circuit current (raw: V at a shunt)",
     "W_m2",
     KEYS({"shunt_ohm", NAN, 1e-6, 1e4, "shunt resistor, ohm"},
          {"volt_per_raw", 1.0, -1e6, 1e6, "volts at the shunt per raw unit"},
          {"isc_A", NAN, 1e-6, 100.0, "short-circuit current at 1000 W/m2 and 25 degC, A"},
          {"isc_tempco_1_K", 0.0005, -0.01, 0.01, "its relative temperature coefficient, 1/K"},
          {"cell_degC", 45.0, -40.0, 120.0, "assumed cell temperature, degC"}),
     false, eval_sun_shunt},
    {"stated", "nothing is measured: a constant that is known otherwise", NULL,
     KEYS({"value", NAN, -1e12, 1e12, "the reading, in the channel's unit"},
          {"u_value", NOT_GIVEN, 0.0, 1e12, "its standard uncertainty, in the channel's unit"}),
     false, eval_stated, true},
    {0},
};

const nr_law *nr_law_find(const char *name)
{
    for (const nr_law *law = nr_laws; law->name; law++) {
        if (strcmp(law->name, name) == 0)
            return law;
    }
    return NULL;
}

int nr_law_key_index(const nr_law *law, const char *key)
{
    for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++) {
        if (strcmp(law->keys[i].name, key) == 0)
            return i;
    }
    return -1;
}
