/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Options of `virtual-rig`: each one row in a table. */
#include "sample-runs/rig/program/options.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* -- explicit physical values: --set KEY=VALUE */

typedef struct device_key {
    const char *name, *meaning;
    size_t offset;
} device_key;

#define KEY(name, field, meaning)                                                                  \
    {                                                                                              \
        name, meaning, offsetof(nr_virtual_device, field)                                          \
    }
static const device_key device_keys[] = {
    KEY("area_m2", area_m2, "gross area"),
    KEY("optical", optical, "absorbed share of the irradiance at normal incidence"),
    KEY("absorber_J_K", absorber_J_K, "dry heat capacity of the absorber"),
    KEY("fluid_kg", fluid_kg, "water in the coil"),
    KEY("bond_W_K", bond_W_K, "absorber to fluid at bond_flow_L_min"),
    KEY("bond_flow_L_min", bond_flow_L_min, "flow at which bond_W_K holds"),
    KEY("bond_exponent", bond_exponent, "bond grows with flow to this power"),
    KEY("u0", u0, "loss straight to the air, W/(m2 K)"),
    KEY("u1", u1, "its growth with temperature, W/(m2 K2)"),
    KEY("uwind", uwind, "its growth with wind, W/(m2 K) per m/s"),
    KEY("gap0", gap0, "absorber to glass, W/(m2 K)"),
    KEY("gap1", gap1, "its growth with temperature, W/(m2 K2)"),
    KEY("cover0", cover0, "glass to air, W/(m2 K)"),
    KEY("coverwind", coverwind, "its growth with wind, W/(m2 K) per m/s"),
    KEY("cover_J_K", cover_J_K, "heat capacity of the pane"),
    KEY("water_kg", water_kg, "water in the store"),
    KEY("store_dry_J_K", store_dry_J_K, "heat capacity of the empty store"),
    KEY("store_loss_W_K", store_loss_W_K, "loss of the store"),
    KEY("mixing_W_K", mixing_W_K, "stirring between the halves of the store"),
    KEY("mixing_flow", mixing_flow, "stirring by the return jet, times the flow"),
    KEY("pipe_kg", pipe_kg, "water in each pipe"),
    KEY("pipe_loss_W_K", pipe_loss_W_K, "loss of each pipe"),
    KEY("pump_heat_W", pump_heat_W, "heat the running pump leaves in the water"),
};
#define DEVICE_KEYS (sizeof device_keys / sizeof *device_keys)

static nr_code usage(nr_err *err, const char *option, const char *text, const char *want)
{
    return nr_fail(err, NR_BAD, NULL, 0, "%s \"%s\": want %s", option, text, want);
}

/* Splits KEY=VALUE; the value is left in *value. */
static bool split(const char *text, char key[NR_NAME], const char **value)
{
    const char *equals = strchr(text, '=');
    if (!equals || (size_t)(equals - text) >= NR_NAME) {
        return false;
    }
    memcpy(key, text, (size_t)(equals - text));
    key[equals - text] = '\0';
    *value = equals + 1;
    return true;
}

static nr_code set_device(nr_rig_options *o, const char *text, nr_err *err)
{
    char key[NR_NAME];
    const char *value;
    double number;
    if (split(text, key, &value) && nr_parse_double(value, &number)) {
        for (size_t i = 0; i < DEVICE_KEYS; i++) {
            if (strcmp(device_keys[i].name, key) == 0) {
                memcpy((char *)&o->params.stated + device_keys[i].offset, &number, sizeof number);
                return NR_OK;
            }
        }
    }
    return usage(err, "--set", text, "KEY=NUMBER with a key that --help lists");
}

/* -- instruments: --sensor CHANNEL.KEY=VALUE */

static int channel_named(const char *name, size_t length)
{
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        const char *known = nr_virtual_channel_name(c);
        if (strlen(known) == length && strncmp(known, name, length) == 0) {
            return (int)c;
        }
    }
    return -1;
}

static nr_code set_sensor(nr_rig_options *o, const char *text, nr_err *err)
{
    char key[NR_NAME];
    const char *value, *want = "CHANNEL.KEY=VALUE, KEY one of sensor, u_offset, u_gain, lag_s, "
                               "noise, step, u_drift";
    if (!split(text, key, &value)) {
        return usage(err, "--sensor", text, want);
    }
    const char *dot = strchr(key, '.');
    int channel = dot ? channel_named(key, (size_t)(dot - key)) : -1;
    if (channel < 0) {
        return usage(err, "--sensor", text, want);
    }
    nr_virtual_sensor *s = &o->params.sensor[channel];
    if (strcmp(dot, ".sensor") == 0) {
        return nr_copy(s->identity, sizeof s->identity, value)
                   ? NR_OK
                   : usage(err, "--sensor", text, "a shorter identity");
    }
    const struct {
        const char *name;
        double *number;
    } fields[] = {{".u_offset", &s->u_offset}, {".u_gain", &s->u_gain}, {".lag_s", &s->lag_s},
                  {".noise", &s->noise},       {".step", &s->step},     {".u_drift", &s->u_drift}};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        if (strcmp(dot, fields[i].name) == 0 && nr_parse_double(value, fields[i].number)) {
            return NR_OK;
        }
    }
    return usage(err, "--sensor", text, want);
}

static nr_code set_channels(nr_rig_options *o, const char *text, nr_err *err)
{
    unsigned channels = 0;
    for (const char *at = text; *at;) {
        size_t length = strcspn(at, ",");
        int channel = channel_named(at, length);
        if (length == 4 && strncmp(at, "loop", 4) == 0) {
            channels |= NR_VC_LOOP_SET;
        } else if (channel >= 0) {
            channels |= NR_VC_BIT((unsigned)channel);
        } else {
            return usage(err, "--channels", text,
                         "loop or a list of store,inlet,outlet,air,sun,flow,wind,pump,box");
        }
        at += length + (at[length] == ',');
    }
    o->params.channels = channels;
    return NR_OK;
}

/* -- words */

static nr_code set_day(nr_rig_options *o, const char *text, nr_err *err)
{
    if (strcmp(text, "clear") == 0) {
        o->params.sky = NR_SKY_CLEAR;
    } else if (strcmp(text, "cloudy") == 0) {
        o->params.sky = NR_SKY_CLOUDY;
    } else if (strcmp(text, "broken") == 0) {
        o->params.sky = NR_SKY_BROKEN;
    } else if (strcmp(text, "stall") == 0) {
        nr_virtual_stall_day(&o->params);
    } else {
        return usage(err, "--day", text, "clear, cloudy, broken or stall");
    }
    return NR_OK;
}

static nr_code set_pump(nr_rig_options *o, const char *text, nr_err *err)
{
    static const char *const words[] = {"steady", "panel", "off"};
    for (unsigned i = 0; i < 3; i++) {
        if (strcmp(text, words[i]) == 0) {
            o->params.pump = (nr_virtual_pump)i;
            return NR_OK;
        }
    }
    return usage(err, "--pump", text, "steady, panel or off");
}

/* The build was chosen before all other options were read. */
static nr_code set_build(nr_rig_options *o, const char *text, nr_err *err)
{
    (void)o;
    (void)text;
    (void)err;
    return NR_OK;
}

static nr_code set_name(nr_rig_options *o, const char *text, nr_err *err)
{
    return nr_copy(o->params.build, sizeof o->params.build, text)
               ? NR_OK
               : usage(err, "--name", text, "a shorter name");
}

static nr_code set_title(nr_rig_options *o, const char *text, nr_err *err)
{
    return nr_copy(o->params.title, sizeof o->params.title, text)
               ? NR_OK
               : usage(err, "--title", text, "a shorter title");
}

static nr_code set_link(nr_rig_options *o, const char *text, nr_err *err)
{
    return nr_copy(o->params.port, sizeof o->params.port, text)
               ? NR_OK
               : usage(err, "--link", text, "a shorter path");
}

static nr_code parse_seed(const char *option, const char *text, unsigned long *seed, nr_err *err)
{
    long value;
    if (!nr_parse_long(text, 0, 2147483647, &value)) {
        return usage(err, option, text, "a whole number from 0 to 2147483647");
    }
    *seed = (unsigned long)value;
    return NR_OK;
}

static nr_code set_seed(nr_rig_options *o, const char *text, nr_err *err)
{
    nr_code code = parse_seed("--seed", text, &o->params.rig_seed, err);
    o->params.day_seed = o->params.rig_seed;
    return code;
}

static nr_code set_rig_seed(nr_rig_options *o, const char *text, nr_err *err)
{
    return parse_seed("--rig-seed", text, &o->params.rig_seed, err);
}

static nr_code set_day_seed(nr_rig_options *o, const char *text, nr_err *err)
{
    return parse_seed("--day-seed", text, &o->params.day_seed, err);
}

static nr_code set_start(nr_rig_options *o, const char *text, nr_err *err)
{
    return nr_utc_parse(text, &o->params.start_utc_s)
               ? NR_OK
               : usage(err, "--start", text, "a UTC time such as 2026-05-16T10:15:00Z");
}

static nr_code set_line(nr_rig_options *o, const char *text, nr_err *err)
{
    bool values = strcmp(text, "values") == 0;
    o->params.line = values ? NR_LINE_VALUES : NR_LINE_PAIRS;
    return values || strcmp(text, "pairs") == 0 ? NR_OK
                                                : usage(err, "--line", text, "values or pairs");
}

static nr_code set_checksum(nr_rig_options *o, const char *text, nr_err *err)
{
    bool xor8 = strcmp(text, "xor8") == 0;
    o->params.checksum = xor8 ? NR_CHECKSUM_XOR8 : NR_CHECKSUM_NONE;
    return xor8 || strcmp(text, "none") == 0 ? NR_OK
                                             : usage(err, "--checksum", text, "none or xor8");
}

static nr_code set_clock(nr_rig_options *o, const char *text, nr_err *err)
{
    bool adapter = strcmp(text, "adapter") == 0;
    o->params.clock = adapter ? NR_CLOCK_ADAPTER : NR_CLOCK_HOST;
    return adapter || strcmp(text, "host") == 0 ? NR_OK
                                                : usage(err, "--clock", text, "host or adapter");
}

static nr_code set_separator(nr_rig_options *o, const char *text, nr_err *err)
{
    static const struct {
        const char *word;
        char separator;
    } words[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'}, {"space", ' '}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (strcmp(text, words[i].word) == 0) {
            o->params.separator = words[i].separator;
            return NR_OK;
        }
    }
    return usage(err, "--separator", text, "comma, semicolon, tab or space");
}

static nr_code set_speed(nr_rig_options *o, const char *text, nr_err *err)
{
    if (strcmp(text, "max") == 0) {
        o->speed = 0.0;
        return NR_OK;
    }
    return nr_parse_double(text, &o->speed) && o->speed > 0.0
               ? NR_OK
               : usage(err, "--speed", text, "a number above 0, or max");
}

static nr_code set_first_ms(nr_rig_options *o, const char *text, nr_err *err)
{
    double value; /* a long of 32 bits does not reach as far as the counter */
    if (!nr_parse_double(text, &value) || !(value >= 0 && value <= UINT32_MAX) ||
        value != floor(value)) {
        return usage(err, "--first-ms", text, "0 to 4294967295");
    }
    o->first_ms = (unsigned long)value;
    return NR_OK;
}

/* -- the table */

typedef struct option_row {
    const char *name, *argument; /* argument NULL: a switch */
    const char *meaning;
    nr_code (*set)(nr_rig_options *, const char *, nr_err *); /* or: */
    size_t number; /* offset of a double in nr_rig_options */
    bool duration; /* accepts 90m, 2h */
    size_t flag;   /* offset of a bool, for a switch */
} option_row;

#define OPTION(field) offsetof(nr_rig_options, field)
#define CALL(name, argument, set, meaning)                                                         \
    {                                                                                              \
        name, argument, meaning, set, 0, false, 0                                                  \
    }
#define NUMBER(name, argument, field, meaning)                                                     \
    {                                                                                              \
        name, argument, meaning, NULL, OPTION(field), false, 0                                     \
    }
#define DURATION(name, argument, field, meaning)                                                   \
    {                                                                                              \
        name, argument, meaning, NULL, OPTION(field), true, 0                                      \
    }
#define SWITCH(name, field, meaning)                                                               \
    {                                                                                              \
        name, NULL, meaning, NULL, 0, false, OPTION(field)                                         \
    }

/* Not a row: it parts the command line. */
#define BESIDE "--beside"

static const option_row rows[] = {
    CALL("--build", "glazed|bare", set_build, "which of the two wash-stand builds"),
    CALL("--name", "NAME", set_name, "another name: another copy, with masses of its own"),
    CALL("--title", "TEXT", set_title, "title in rig.ini"),
    CALL("--set", "KEY=VALUE", set_device, "a physical value, see below"),
    CALL("--sensor", "CH.KEY=VALUE", set_sensor,
         "an instrument's sensor, u_offset, u_gain, lag_s, noise, step or u_drift"),
    CALL("--seed", "N", set_seed, "both seeds"),
    CALL("--rig-seed", "N", set_rig_seed, "actual masses, capacities and sensor errors"),
    CALL("--day-seed", "N", set_day_seed, "clouds, gusts and sensor noise"),
    CALL("--start", "TIME", set_start, "UTC, 2026-05-16T10:15:00Z"),
    DURATION("--duration", "TIME", params.duration_s, "90m, 2h ... (90m)"),
    NUMBER("--interval", "S", params.interval_s, "seconds between readings (1)"),
    CALL("--day", "KIND", set_day, "clear, cloudy, broken, stall (broken, pump on a panel)"),
    NUMBER("--clearness", "X", params.clearness, "scales the clear-sky irradiance (0.92)"),
    NUMBER("--air", "C", params.air_degC, "air temperature at the start (19)"),
    NUMBER("--air-rise", "K_H", params.air_rise_K_h, "its rise an hour (1.5)"),
    NUMBER("--wind", "M_S", params.wind_m_s, "mean wind (1.5)"),
    NUMBER("--latitude", "DEG", params.latitude_deg, "site"),
    NUMBER("--longitude", "DEG", params.longitude_deg, "site, east positive"),
    NUMBER("--tilt", "DEG", params.tilt_deg, "of the collector plane (35)"),
    NUMBER("--azimuth", "DEG", params.azimuth_deg, "clockwise from north (180)"),
    NUMBER("--iam", "B0", params.stated.iam_b0, "true incidence angle modifier constant (0)"),
    NUMBER("--store-above", "K", params.store_above_air_K, "store at the start over air (-4)"),
    NUMBER("--collector-above", "K", params.collector_above_air_K,
           "collector at the start over air (2)"),
    CALL("--pump", "KIND", set_pump, "steady, panel or off"),
    NUMBER("--flow", "L_MIN", params.flow_L_min, "steady flow, or with a panel at 900 W/m2 (1)"),
    DURATION("--pump-stop", "TIME", params.pump_stop_s, "somebody switches the pump off"),
    DURATION("--pump-restart", "TIME", params.pump_restart_s, "and on again"),
    CALL("--channels", "LIST", set_channels, "loop, or store,air,sun,... (loop)"),
    SWITCH("--sentence", sentence, "truth: one sentence instead of JSON"),
    SWITCH("--state-store-loss", params.state_store_loss, "rig.ini gives loss_W_K"),
    SWITCH("--no-site", params.hide_site, "rig.ini does not tell the site"),
    SWITCH("--exact-device", params.exact_device, "masses and capacities exactly as stated"),
    CALL("--link", "PATH", set_link, "serve: the pseudo-terminal appears here; rig: port"),
    CALL("--line", "KIND", set_line, "values or pairs (pairs)"),
    CALL("--separator", "WORD", set_separator, "comma, semicolon, tab or space (comma)"),
    CALL("--checksum", "KIND", set_checksum, "none or xor8 (xor8)"),
    CALL("--clock", "KIND", set_clock, "host, or adapter: a milliseconds counter (adapter)"),
    CALL("--speed", "X", set_speed, "serve: times real time, or max: as fast as it is read (1)"),
    NUMBER("--garbage", "SHARE", misbehave_garbage, "serve: share of lines replaced by noise"),
    NUMBER("--half", "SHARE", misbehave_half, "serve: share of lines cut off"),
    NUMBER("--flip", "SHARE", misbehave_checksum, "serve: share of lines with a character changed"),
    DURATION("--hang-up-every", "TIME", hang_up_every_s, "serve: unplugs itself, simulated time"),
    NUMBER("--hang-up-for", "S", hang_up_for_s, "serve: and stays away, wall clock (2)"),
    DURATION("--silent-from", "TIME", silent_from_s, "serve: says nothing from here, simulated"),
    DURATION("--silent-to", "TIME", silent_to_s, "serve: to here"),
    SWITCH("--reset-clock", reset_clock, "serve: the counter starts again after a hang-up"),
    CALL("--first-ms", "N", set_first_ms, "serve: the counter's first value (0)"),
    NUMBER("--boot", "S", boot_s, "serve: from the port's opening to the first word (0.3)"),
    SWITCH("--stay", stay, "serve: after the last line keep the port until the reader leaves"),
    NUMBER("--wait", "S", wait_s, "serve: how long to wait for a reader (60)"),
};
#define ROWS (sizeof rows / sizeof *rows)

void nr_rig_options_help(FILE *to)
{
    fputs("virtual-rig: an invented solar water heater and the instruments on it\n\n"
          "  virtual-rig write FOLDER [options]  simulate a test into a new run folder\n"
          "  virtual-rig truth [options]         what a fit of that test should find, as JSON\n"
          "  virtual-rig rig [options]           rig.ini for `noonlog record`\n"
          "  virtual-rig serve [options]         speak as the adapter on a pseudo-terminal\n\n",
          to);
    for (size_t i = 0; i < ROWS; i++) {
        char left[64];
        snprintf(left, sizeof left, "%s %s", rows[i].name,
                 rows[i].argument ? rows[i].argument : "");
        fprintf(to, "  %-26s %s\n", left, rows[i].meaning);
    }
    fputs("  " BESIDE
          " glazed|bare      another collector on the same adapter, up to eight in all: one\n"
          "                             sky, its own pump. What stands before the first " BESIDE
          "\n"
          "                             holds for all, what follows one for that collector\n",
          to);
    fputs("\nKeys of --set:\n", to);
    for (size_t i = 0; i < DEVICE_KEYS; i++) {
        fprintf(to, "  %-26s %s\n", device_keys[i].name, device_keys[i].meaning);
    }
    fputs("\nThe same options always give the same test.\n", to);
}

static nr_code apply(nr_rig_options *o, const option_row *row, const char *text, nr_err *err)
{
    if (!row->argument) {
        *(bool *)((char *)o + row->flag) = true;
        return NR_OK;
    }
    if (row->set) {
        return row->set(o, text, err);
    }
    double number;
    bool ok = row->duration ? nr_parse_duration(text, &number) : nr_parse_double(text, &number);
    if (!ok) {
        return usage(err, row->name, text, row->duration ? "a time such as 90m" : "a number");
    }
    double *member = (void *)((char *)o + row->number);
    *member = number;
    return NR_OK;
}

static const option_row *row_named(const char *name)
{
    for (size_t i = 0; i < ROWS; i++) {
        if (strcmp(rows[i].name, name) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

static nr_code parse_command(int argc, char **argv, nr_rig_options *o, int *next, nr_err *err)
{
    static const char *const words[] = {"write", "truth", "rig", "serve"};
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "--version") == 0) {
            o->command = argv[i][2] == 'h' ? NR_RIG_HELP : NR_RIG_VERSION;
            *next = argc;
            return NR_OK;
        }
    }
    *next = 2;
    for (unsigned i = 0; argc > 1 && i < sizeof words / sizeof *words; i++) {
        if (strcmp(argv[1], words[i]) == 0) {
            o->command = (nr_rig_command)i;
            if (o->command != NR_RIG_WRITE) {
                return NR_OK;
            }
            if (argc < 3 || argv[2][0] == '-') {
                return nr_fail(err, NR_BAD, NULL, 0, "write: want the name of a new folder");
            }
            o->folder = argv[2];
            *next = 3;
            return NR_OK;
        }
    }
    return nr_fail(err, NR_BAD, NULL, 0, "want write, truth, rig or serve; see --help");
}

static nr_code build_named(const char *option, const char *word, nr_virtual_params *out,
                           nr_err *err)
{
    bool bare = strcmp(word, "bare") == 0;
    if (!bare && strcmp(word, "glazed") != 0) {
        return usage(err, option, word, "glazed or bare");
    }
    *out = bare ? nr_virtual_bare() : nr_virtual_glazed();
    return NR_OK;
}

/* The build is chosen before other options are read: they change its numbers. */
static nr_code first_build(int from, int to, char **argv, nr_virtual_params *out, nr_err *err)
{
    const char *word = "glazed";
    for (int i = from; i + 1 < to; i++) {
        if (strcmp(argv[i], "--build") == 0) {
            word = argv[i + 1];
        }
    }
    return build_named("--build", word, out, err);
}

static nr_code read_rows(int from, int to, char **argv, nr_rig_options *o, nr_err *err)
{
    nr_code code = NR_OK;
    for (int i = from; code == NR_OK && i < to; i++) {
        const option_row *row = row_named(argv[i]);
        if (!row) {
            return nr_fail(err, NR_BAD, NULL, 0, "\"%s\": no such option; see --help", argv[i]);
        }
        if (row->argument && i + 1 == to) {
            return nr_fail(err, NR_BAD, NULL, 0, "%s: want %s after it", row->name, row->argument);
        }
        const char *text = row->argument ? argv[++i] : NULL;
        code = apply(o, row, text, err);
    }
    return code;
}

static int next_beside(int from, int argc, char **argv)
{
    while (from < argc && strcmp(argv[from], BESIDE) != 0) {
        from++;
    }
    return from;
}

/* What stands before the first --beside holds for all; what follows one holds for that collector.
 */
static nr_code read_beside(int common, int from, int argc, char **argv, nr_rig_options *o,
                           nr_err *err)
{
    int first = from;
    nr_code code = NR_OK;
    while (code == NR_OK && from < argc) {
        if (from + 1 == argc) {
            return nr_fail(err, NR_BAD, NULL, 0, BESIDE ": want glazed or bare after it");
        }
        if (o->collectors == NR_RIG_BUILDS) {
            return nr_fail(err, NR_BAD, NULL, 0, "at most %d collectors", NR_RIG_BUILDS);
        }
        int end = next_beside(from + 2, argc, argv);
        code = build_named(BESIDE, argv[from + 1], &o->params, err);
        char name[NR_NAME], title[sizeof o->params.title];
        nr_copy(name, sizeof name, o->params.build);
        nr_copy(title, sizeof title, o->params.title);
        code = code ? code : read_rows(common, first, argv, o, err);
        nr_copy(o->params.build, sizeof o->params.build, name);
        nr_copy(o->params.title, sizeof o->params.title, title);
        code = code ? code : read_rows(from + 2, end, argv, o, err);
        code = code ? code : nr_virtual_check(&o->params, err);
        o->collector[o->collectors++] = o->params;
        from = end;
    }
    return code;
}

nr_code nr_rig_options_parse(int argc, char **argv, nr_rig_options *o, nr_err *err)
{
    *o = (nr_rig_options){.speed = 1.0,
                          .hang_up_every_s = NAN,
                          .hang_up_for_s = 2.0,
                          .silent_from_s = NAN,
                          .silent_to_s = NAN,
                          .wait_s = 60.0,
                          .boot_s = 0.3};
    int from;
    nr_code code = parse_command(argc, argv, o, &from, err);
    int beside = next_beside(from, argc, argv);
    code = code ? code : first_build(from, beside, argv, &o->params, err);
    code = code ? code : read_rows(from, beside, argv, o, err);
    code = code ? code : nr_virtual_check(&o->params, err);
    o->collector[o->collectors++] = o->params;
    code = code ? code : read_beside(from, beside, argc, argv, o, err);
    o->params = o->collector[0];
    return code;
}
