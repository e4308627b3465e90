/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rig.ini: what is refused; each problem names its line and the way out. */
#include "tests/unit/run/rig_fixture.h"

/* Lines behind the minimal rig; at = line behind it, 0: the problem has no line. */
#define REFUSE(lines, at, words)                                                                   \
    refuse(MINIMAL lines, NR_RIG_FOR_ANALYSIS, (at) > 0 ? MINIMAL_LINES + (at) : 0, words)
#define REFUSE_RECORD(text, line, words) refuse(text, NR_RIG_FOR_RECORD, line, words)

START_TEST(not_ini)
{
    REFUSE("what is this\n", 1, "\"what is this\"|key = value");
    REFUSE("[site\n", 1, "[site|missing");
    REFUSE("[site] latitude_deg = 5\n", 1, "lines of their own");
    refuse("x = 1\n" MINIMAL, NR_RIG_FOR_ANALYSIS, 1, "before the first section");
    char text[1000] = MINIMAL "[test]\ntitle = ";
    memset(text + strlen(text), 'x', 300);
    refuse(text, NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + 2, "too long");
    nr_err err;
    static nr_rig rig;
    ck_assert_int_eq(
        nr_rig_parse("[test]\na\0b\n", 11, "rig.ini", NR_RIG_FOR_ANALYSIS, &rig, NULL, &err),
        NR_BAD);
    ck_assert_int_eq(nr_rig_parse("", 0, "rig.ini", NR_RIG_FOR_ANALYSIS, &rig, NULL, &err), NR_BAD);
}
END_TEST

START_TEST(zero_bytes)
{
    static const char text[] = MINIMAL "\n\0\n";
    static nr_rig rig;
    nr_err err = {0};
    ck_assert_int_eq(
        nr_rig_parse(text, sizeof text - 1, "rig.ini", NR_RIG_FOR_ANALYSIS, &rig, NULL, &err),
        NR_BAD);
    ck_assert(strstr(err.text, "zero byte") && err.line == MINIMAL_LINES + 2);
}
END_TEST

START_TEST(sections)
{
    REFUSE("[colector]\nx = 1\ny = 2\n", 1, "[colector]|did you mean [collector]|[channel NAME]");
    REFUSE("[zzzzzzzzz]\n", 1, "no such section");
    REFUSE("[store]\n", 1, "already on line 3");
    REFUSE("[channel a]\nunit=degC\n[channel a]\nunit=degC\n", 3, "already on line 5");
    REFUSE("[channel]\n", 1, "which channel|[channel store]");
    REFUSE("[site home]\n", 1, "takes no name");
    REFUSE("[channel wash stand]\n", 1, "letters, digits");
    REFUSE("[channel 1]\n", 1, "starts with a letter");
    REFUSE("[channel aaaaaaaaaabbbbbbbbbbccccccccccdddddddddd]\n", 1, "39 characters");
    REFUSE("[]\n", 1, "no such section");
}
END_TEST

START_TEST(keys)
{
    REFUSE("waterkg = 3\n", 1, "[store]|\"waterkg\"|did you mean water_kg|loss_W_K");
    REFUSE("u_watr_kg = 3\n", 1, "did you mean u_water_kg");
    REFUSE("zzzzzzz = 3\n", 1, "keys here|water_kg|u_");
    REFUSE("tilt_deg = 3\n", 1, "belongs into [collector]");
    REFUSE("= 3\n", 1, "[store] has no key \"\"");
    REFUSE("lid = yes\nlid = yes\n", 2, "lid|already given on line 5");
    REFUSE("water_gal = 3\n", 1, "water_gal|line 4 as water_kg|keep one");
    REFUSE("u_water_kg=1\nu_water_gal=1\n", 2, "u_water_gal|line 5 as u_water_kg");
    REFUSE("u_loss_W_K = 1\n", 1, "uncertainty without its value|loss_W_K");
    REFUSE("u_lid = 1\n", 1, "has no key \"u_lid\"");
    REFUSE("[channel a]\nunit = degC\nbaud = 9600\n", 3, "belongs into [adapter]");
    REFUSE("[channel a]\nunit = degC\nfeild = 1\n", 3, "did you mean field");
}
END_TEST

START_TEST(numbers)
{
    REFUSE("loss_W_K = abc\n", 1, "[store] loss_W_K = \"abc\"|not a number");
    REFUSE("loss_W_K = 3 W/K\n", 1, "without a unit");
    REFUSE("loss_W_K = 1,5\n", 1, "decimal point");
    REFUSE("loss_W_K = 3 # measured\n", 1, "comment|;");
    REFUSE("loss_W_K =\n", 1, "no value|leave the key out");
    REFUSE("loss_W_K = nan\n", 1, "not a number");
    REFUSE("loss_W_K = 1e999\n", 1, "not a number");
    REFUSE("loss_W_K = -1\n", 1, "at least 0");
    REFUSE("u_water_kg = -1\n", 1, "negative");
    REFUSE("u_water_kg = 41\n", 1, "larger than the value|percent");
    REFUSE("lid = maybe\n", 1, "yes, no");
    REFUSE("lid =\n", 1, "no value|yes, no");
}
END_TEST

START_TEST(ranges)
{
    static const struct {
        const char *lines, *words;
        long at;
    } rows[] = {
        {"[site]\nlatitude_deg = 90.01\n", "90 deg", 2},
        {"[site]\nlatitude_deg = -91\n", "-90", 2},
        {"[site]\nlongitude_deg = 181\n", "180 deg", 2},
        {"[site]\nelevation_m = 9000\n", "6000 m", 2},
        {"[site]\nelevation_ft = 29000\n", "19685 ft", 2},
        {"dry_heat_capacity_J_K = -1\n", "at least 0", 1},
        {"loss_W_K = 1001\n", "1000 W_K", 1},
        {"[adapter]\ninterval_s = 0\n", "above 0", 2},
        {"[adapter]\nbaud = 9601\n", "9600, ", 2},
        {"[channel a]\nunit = degC\nlag_s = -1\n", "at least 0", 3},
        {"[channel a]\nunit = degC\nu_gain = 3\n", "at most 1", 3},
        {"[channel a]\nunit = degC\nu_offset = -0.1\n", "0 or more", 3},
        {"[channel a]\nunit = degC\nmodbus_register = 1.5\n", "whole number from 0 to 65535", 3},
        {"[channel a]\nunit = degC\nmodbus_unit = 0\n", "1 to 247", 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[400];
        snprintf(text, sizeof text, "%s%s", MINIMAL, rows[i].lines);
        refuse(text, NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + rows[i].at, rows[i].words);
    }
    static const char *const areas[] = {"0", "-1.5", "101"};
    for (size_t i = 0; i < 3; i++) {
        char text[200];
        snprintf(text, sizeof text, "[store]\nwater_kg=40\n[collector]\ngross_area_m2=%s\n",
                 areas[i]);
        refuse(text, NR_RIG_FOR_ANALYSIS, 4, "gross_area_m2|above 0 and at most 100 m2");
    }
    static const char *const collector[] = {
        "tilt_deg=90.5",   "tilt_deg=-1",         "azimuth_deg=361", "azimuth_deg=-1",
        "fluid_kg=0",      "heat_capacity_J_K=0", "tube_length_m=0", "tube_bore_mm=0",
        "tube_bore_in=10", "iam_b0=1.5",          "fluid_gal=1000",  "tube_length_ft=-3"};
    for (size_t i = 0; i < sizeof collector / sizeof *collector; i++) {
        char text[200];
        snprintf(text, sizeof text, "[store]\nwater_kg=40\n[collector]\ngross_area_m2=1\n%s\n",
                 collector[i]);
        refuse(text, NR_RIG_FOR_ANALYSIS, 5, "not believable");
    }
    refuse("[collector]\ngross_area_m2=1\n[store]\nwater_kg=0\n", NR_RIG_FOR_ANALYSIS, 4,
           "above 0");
}
END_TEST

START_TEST(what_must_be_there)
{
    refuse("[collector]\n[store]\nwater_kg=4\n", NR_RIG_FOR_ANALYSIS, 1, "gross_area_m2|missing");
    refuse("[store]\nwater_kg=4\n", NR_RIG_FOR_ANALYSIS, 0, "gross_area_m2|missing");
    REFUSE_RECORD("[channel store]\nunit=degC\n", 0, "no [adapter]");
    REFUSE_RECORD("[adapter]\n", 0, "no channel");
}
END_TEST

START_TEST(units)
{
    REFUSE("[channel outlet]\nunit = F\n", 2, "[channel outlet] unit = \"F\"|degC, degF");
    REFUSE("[channel sun]\nunit = degC\n", 2, "wrong kind|W_m2");
    REFUSE("[channel flow]\nunit = m_s\n", 2, "wrong kind|L_min");
    REFUSE("[channel pump]\nunit = degC\n", 2, "V, mV, A, mA, W");
    REFUSE("[channel x]\nunit = a_b\n", 2, "not usable");
    REFUSE("[channel x]\nunit =\n", 2, "not usable");
    REFUSE("[channel x]\nlow = 3\n", 1, "unit is missing|unit = degC");
    REFUSE("[channel x_W]\nunit = m2\n", 1, "x_W_m2|another name");
    REFUSE("[channel x]\nunit=degC\nlow=5\nhigh=5\n", 1, "low is not below high");
}
END_TEST

#define RECORD(more) "[adapter]\n[channel store]\nunit=degC\n" more
START_TEST(laws)
{
    REFUSE_RECORD(RECORD("convert = ntc_bta\n"), 4, "did you mean ntc_beta|pt100");
    REFUSE_RECORD(RECORD("convert = ntc_beta\nr25=10000\nbeta=3950\n"), 2,
                  "needs the key series_ohm|fixed resistor");
    REFUSE_RECORD(RECORD("convert = ntc_beta_ohm\nr25=10000\nbeta=39500\n"), 6,
                  "beta|not believable|10000");
    REFUSE_RECORD(RECORD("convert = ntc_beta_ohm\nr25=10000\nbeta=39\n"), 6,
                  "beta|not believable|1000");
    REFUSE_RECORD(RECORD("convert = ntc_beta_ohm\nr25=10k\nbeta=3950\n"), 5, "r25|not a number");
    REFUSE_RECORD(RECORD("beta = 3950\n"), 4, "belongs to convert = ntc_beta|convert = none");
    REFUSE_RECORD(RECORD("convert = pt100\nr0 = 100\nr0 = 100\n"), 6, "already given on line 5");
    REFUSE_RECORD(RECORD("convert = pt100\nlead_omh = 1\n"), 5, "did you mean lead_ohm");
    REFUSE_RECORD("[adapter]\n[channel sun]\nunit=W_m2\nconvert = pt100\n", 2,
                  "gives degC|unit = W_m2");
}
END_TEST

START_TEST(reference_junctions)
{
    REFUSE_RECORD(RECORD("convert = thermocouple_k\n"), 2, "cold_channel|cold_degC");
    REFUSE_RECORD(RECORD("convert = thermocouple_k\ncold_channel = board\n"), 2,
                  "no section [channel board]");
    REFUSE_RECORD(RECORD("convert = thermocouple_k\ncold_channel = store\n"), 2,
                  "temperature by a sensor");
    REFUSE_RECORD(RECORD("convert=thermocouple_k\ncold_degC=20\ncold_channel=b\n[channel b]\n"
                         "unit=degC\n"),
                  2, "both");
    REFUSE_RECORD(RECORD("convert=thermocouple_k\ncold_channel=b\n[channel b]\nunit=V\n"), 2,
                  "temperature by a sensor");
    REFUSE_RECORD(RECORD("cold_channel = b\n[channel b]\nunit=degC\n"), 2, "no use for it");
}
END_TEST

START_TEST(fields_and_adapters)
{
    REFUSE_RECORD("[adapter]\nline=values\n[channel a]\nunit=degC\n", 3, "field is missing");
    REFUSE_RECORD("[adapter]\nline=values\n[channel a]\nunit=degC\nfield=x\n", 3,
                  "field = \"x\"|index from 1");
    REFUSE_RECORD("[adapter]\nline=values\n[channel a]\nunit=degC\nfield=0\n", 3, "index from 1");
    REFUSE_RECORD("[adapter]\nline=values\nclock=adapter\n[channel a]\nunit=degC\nfield=1\n", 4,
                  "clock");
    REFUSE_RECORD("[adapter]\nclock_field=ms\n[channel a]\nunit=degC\n", 1, "clock = adapter");
    REFUSE_RECORD("[adapter]\nline=values\nclock=adapter\nclock_field=ms\n[channel a]\nunit=degC\n"
                  "field=2\n",
                  1, "clock_field|index");
    REFUSE_RECORD("[adapter]\nkind=modbus\nclock=adapter\n[channel a]\nunit=degC\n"
                  "modbus_register=1\n",
                  1, "polled");
    REFUSE_RECORD("[adapter]\nkind=modbus\n[channel a]\nunit=degC\n", 3, "modbus_register");
    REFUSE_RECORD("[adapter]\n[channel a]\nunit=degC\nadapter=b\n", 2,
                  "no section [adapter b]|plain [adapter]");
    REFUSE_RECORD("[adapter x]\n[adapter y]\n[channel a]\nunit=degC\n", 3,
                  "adapter is missing|x, y");
    REFUSE_RECORD("[adapter]\n[channel a]\nunit=degC\nfield=t\n[channel b]\nunit=degC\nfield=t\n",
                  5, "same field as [channel a] on line 2");
    REFUSE_RECORD("[adapter]\nseparator = ;\n[channel a]\nunit=degC\n", 2, "no value|semicolon");
    REFUSE_RECORD("[adapter]\nport = x\nseparator = |\n[channel a]\nunit=degC\n", 3, "comma");
}
END_TEST

START_TEST(too_many)
{
    char text[6000] = MINIMAL;
    for (int i = 0; i < NR_RIG_CHANNELS + 1; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "[channel c%d]\nunit=degC\n", i);
    }
    refuse(text, NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + 2 * NR_RIG_CHANNELS + 1, "more than 48");
    refuse(MINIMAL "[adapter]\n[adapter a]\n[adapter b]\n[adapter c]\n[adapter d]\n",
           NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + 5, "more than 4 adapters");
    char notes[3000] = MINIMAL "[test]\nnotes = x\n";
    for (int i = 0; i < 12; i++) {
        size_t used = strlen(notes);
        snprintf(notes + used, sizeof notes - used, " %0100d\n", i);
    }
    refuse(notes, NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + 2, "notes|too long|1024");
}
END_TEST

START_TEST(all_problems_in_the_order_of_lines)
{
    static nr_rig rig;
    static told t;
    nr_err err = {0};
    static const char text[] = "[channel store]\nunit = F\n[site]\nlatitude_deg = 91\nnonsense\n"
                               "[collector]\ngross_area_m2 = 0\n[store]\nwater_kg = x\nlid = 3\n";
    t.count = 0;
    ck_assert_int_eq(nr_rig_parse(text, strlen(text), "dir/rig.ini", NR_RIG_FOR_ANALYSIS, &rig,
                                  &(nr_sink){tell, &t}, &err),
                     NR_BAD);
    static const int lines[] = {2, 4, 5, 7, 9, 10};
    ck_assert_int_eq(t.count, 6);
    for (int i = 0; i < 6; i++) {
        char place[40];
        snprintf(place, sizeof place, "dir/rig.ini:%d: ", lines[i]);
        ck_assert_msg(strncmp(t.line[i], place, strlen(place)) == 0, "%s", t.line[i]);
    }
    ck_assert_int_eq(err.line, 2);
    ck_assert_str_eq(err.file, "dir/rig.ini");
}
END_TEST

START_TEST(a_flood_of_problems_is_cut)
{
    static nr_rig rig;
    static told t;
    char text[4000] = "";
    for (int i = 0; i < 900; i++)
        strcat(text, "x\n");
    t.count = 0;
    ck_assert_int_eq(nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_ANALYSIS, &rig,
                                  &(nr_sink){tell, &t}, NULL),
                     NR_BAD);
    ck_assert_int_eq(t.count, 101);
    ck_assert(strstr(t.line[100], "800 problems more"));
}
END_TEST

START_TEST(hostile_values_are_quoted_clean)
{
    refuse(MINIMAL "loss_W_K = \x1b[2J\xff\n", NR_RIG_FOR_ANALYSIS, 5, "\"?[2J?\"");
    refuse(MINIMAL "\x1b]0;x\x07 = 1\n", NR_RIG_FOR_ANALYSIS, 5, "?]0");
    refuse(MINIMAL "%s%n%s = %n\n", NR_RIG_FOR_ANALYSIS, 5, "\"%s%n%s\"");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {not_ini,
                                  zero_bytes,
                                  sections,
                                  keys,
                                  numbers,
                                  ranges,
                                  what_must_be_there,
                                  units,
                                  laws,
                                  reference_junctions,
                                  fields_and_adapters,
                                  too_many,
                                  all_problems_in_the_order_of_lines,
                                  a_flood_of_problems_is_cut,
                                  hostile_values_are_quoted_clean,
                                  NULL};
    return run_tests("rig_errors", tests);
}
