/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_keys.h"

#include <math.h>
#include <string.h>

static const nr_rig_choice units_words[] = {{"si", 0}, {"us", 1}, {NULL, 0}};
static const nr_rig_choice lid_words[] = {
    {"yes", NR_LID_YES},  {"no", NR_LID_NO},  {"true", NR_LID_YES},
    {"false", NR_LID_NO}, {"on", NR_LID_YES}, {"off", NR_LID_NO},
    {"1", NR_LID_YES},    {"0", NR_LID_NO},   {NULL, 0}};
static const nr_rig_choice rows_words[] = {
    {"instant", NR_ROWS_INSTANT}, {"mean", NR_ROWS_MEAN}, {NULL, 0}};
const nr_rig_choice nr_glazing_words[] = {{"none", NR_GLAZING_NONE},
                                          {"single", NR_GLAZING_SINGLE},
                                          {"double", NR_GLAZING_DOUBLE},
                                          {NULL, 0}};
static const nr_rig_choice aim_words[] = {
    {"fixed", NR_AIM_FIXED}, {"followed", NR_AIM_FOLLOWED}, {NULL, 0}};
static const nr_rig_choice dew_words[] = {{"yes", NR_DEW_YES}, {"no", NR_DEW_NO}, {NULL, 0}};
static const nr_rig_choice plane_words[] = {
    {"collector", NR_PLANE_COLLECTOR}, {"horizontal", NR_PLANE_HORIZONTAL}, {NULL, 0}};
static const nr_rig_choice shaded_words[] = {
    {"yes", NR_SHADED_YES}, {"no", NR_SHADED_NO}, {NULL, 0}};
static const nr_rig_choice kind_words[] = {
    {"lines", NR_ADAPTER_LINES}, {"modbus", NR_ADAPTER_MODBUS}, {NULL, 0}};
static const nr_rig_choice line_words[] = {
    {"values", NR_LINE_VALUES}, {"pairs", NR_LINE_PAIRS}, {NULL, 0}};
static const nr_rig_choice separator_words[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'},
                                                {"space", ' '}, {",", ','},         {NULL, 0}};
static const nr_rig_choice checksum_words[] = {
    {"none", NR_CHECKSUM_NONE}, {"xor8", NR_CHECKSUM_XOR8}, {NULL, 0}};
static const nr_rig_choice clock_words[] = {
    {"host", NR_CLOCK_HOST}, {"adapter", NR_CLOCK_ADAPTER}, {NULL, 0}};
static const nr_rig_choice parity_words[] = {{"none", 'N'}, {"even", 'E'}, {"odd", 'O'}, {"N", 'N'},
                                             {"E", 'E'},    {"O", 'O'},    {NULL, 0}};
/* The kernel's own list is longer; a speed that is not in this one is a slip of the pen. */
static const nr_rig_choice baud_words[] = {
    {"300", 300},       {"600", 600},       {"1200", 1200},       {"2400", 2400},
    {"4800", 4800},     {"9600", 9600},     {"14400", 14400},     {"19200", 19200},
    {"28800", 28800},   {"38400", 38400},   {"57600", 57600},     {"76800", 76800},
    {"115200", 115200}, {"230400", 230400}, {"250000", 250000},   {"460800", 460800},
    {"500000", 500000}, {"921600", 921600}, {"1000000", 1000000}, {NULL, 0}};
static const nr_rig_choice modbus_type_words[] = {
    {"u16", 0},  {"s16", 0},  {"u32", 0},  {"s32", 0},  {"f32", 0}, {"iu16", 0},
    {"is16", 0}, {"iu32", 0}, {"is32", 0}, {"if32", 0}, {NULL, 0}};

#define AT(type, member) .offset = offsetof(type, member), .size = sizeof(((type *)0)->member)
#define QUANTITY(member_) .kind = NR_KEY_QUANTITY, AT(nr_rig, member_)
#define C_QUANTITY(member_) .kind = NR_KEY_QUANTITY, AT(nr_rig_collector, member_)
#define S_QUANTITY(member_) .kind = NR_KEY_QUANTITY, AT(nr_rig_store, member_)
#define RANGE(low_, high_) .low = (low_), .high = (high_)
#define ABOVE(low_, high_) .low = (low_), .high = (high_), .above = true

static const nr_rig_key test_keys[] = {
    {"title", NR_KEY_TEXT, AT(nr_rig, title), .meaning = "what this test is, in a few words"},
    {"notes", NR_KEY_TEXT, AT(nr_rig, notes),
     .meaning = "anything worth keeping; may go on in further, indented lines"},
    {"units", NR_KEY_CHOICE, AT(nr_rig, units), .choice = units_words, .fallback = "the locale's",
     .meaning = "units that results are shown in"},
    {"rows", NR_KEY_CHOICE, AT(nr_rig, rows), .choice = rows_words, .fallback = "instant",
     .meaning = "a row is the reading of its moment, or the mean since the row before"},
};

static const nr_rig_key site_keys[] = {
    {"latitude_deg", QUANTITY(latitude_deg), .unit = "deg", RANGE(-90, 90),
     .meaning = "north is positive"},
    {"longitude_deg", QUANTITY(longitude_deg), .unit = "deg", RANGE(-180, 180),
     .meaning = "east is positive"},
    {"elevation_m", QUANTITY(elevation_m), .unit = "m", RANGE(-450, 6000),
     .meaning = "above sea level"},
    {"elevation_ft", QUANTITY(elevation_m), .unit = "ft", .target = "m", RANGE(-450, 6000),
     .meaning = "elevation_m in feet"},
};

#define AREA C_QUANTITY(gross_area_m2), .target = "m2", ABOVE(0, 100)
#define DRY_COLLECTOR C_QUANTITY(heat_capacity_J_K), .target = "J_K", ABOVE(0, 1e7)
#define FLUID C_QUANTITY(fluid_kg), .target = "kg", ABOVE(0, 500)
#define TUBE C_QUANTITY(tube_length_m), .target = "m", ABOVE(0, 1000)
#define BACK_HEAT C_QUANTITY(back_heat_capacity_J_K), .target = "J_K", RANGE(0, 1e7)
#define BORE C_QUANTITY(tube_bore_mm), .target = "mm", ABOVE(0, 200)

static const nr_rig_key collector_keys[] = {
    {"name", NR_KEY_TEXT, AT(nr_rig_collector, name), .meaning = "the build's name in results"},
    {"gross_area_m2", AREA, .unit = "m2", .fallback = "required by noonfit",
     .meaning = "outer length times outer width of the collector"},
    {"gross_area_ft2", AREA, .unit = "ft2", .meaning = "gross_area_m2 in square feet"},
    {"tilt_deg", C_QUANTITY(tilt_deg), .unit = "deg", RANGE(0, 90),
     .meaning = "0 lies flat, 90 stands upright"},
    {"azimuth_deg", C_QUANTITY(azimuth_deg), .unit = "deg", RANGE(0, 360),
     .meaning = "where it faces, clockwise from north: 180 is south"},
    {"glazing", NR_KEY_CHOICE, AT(nr_rig_collector, glazing), .choice = nr_glazing_words,
     .fallback = "not known", .meaning = "panes or films over the absorber (more in the notes)"},
    {"fluid_kg", FLUID, .unit = "kg", .meaning = "fluid inside the collector"},
    {"fluid_lb", FLUID, .unit = "lb", .meaning = "fluid_kg in pounds"},
    {"fluid_L", FLUID, .unit = "L", .scale = NR_WATER_KG_L,
     .meaning = "fluid_kg as litres of water (0.9982 kg each, at 20 degC)"},
    {"fluid_gal", FLUID, .unit = "gal", .scale = NR_WATER_KG_L,
     .meaning = "fluid_kg as US gallons of water (0.9982 kg/L)"},
    {"heat_capacity_J_K", DRY_COLLECTOR, .unit = "J_K",
     .meaning = "of the dry absorber, its tube and what else is fastened to it, without panes "
                "and back: sum of mass times specific heat"},
    {"heat_capacity_Btu_degF", DRY_COLLECTOR, .unit = "Btu_degF",
     .meaning = "heat_capacity_J_K in Btu per degF"},
    {"tube_length_m", TUBE, .unit = "m", .meaning = "of the tube in the collector"},
    {"tube_length_ft", TUBE, .unit = "ft", .meaning = "tube_length_m in feet"},
    {"tube_bore_mm", BORE, .unit = "mm", .meaning = "inner diameter of that tube"},
    {"tube_bore_in", BORE, .unit = "in", .meaning = "tube_bore_mm in inches"},
    {"iam_b0", C_QUANTITY(iam_b0), .unit = "", RANGE(0, 1), .fallback = "by glazing",
     .meaning = "incidence angle modifier K = 1 - b0 (1/cos(angle) - 1)"},
    {"iam", NR_KEY_IAM, AT(nr_rig_collector, iam), .fallback = "by glazing",
     .meaning = "the modifier as a table instead of iam_b0: degrees:factor, as in 0:1, 30:0.99, "
                "60:0.9"},
    {"back", NR_KEY_BACK, AT(nr_rig_collector, back), .fallback = "usual",
     .meaning = "what is behind the absorber: none, a material and its thickness such as plywood "
                "6 mm, or usual"},
    {"back_heat_capacity_J_K", BACK_HEAT, .unit = "J_K", .fallback = "by back",
     .meaning = "of the whole back: mass times specific heat"},
    {"back_heat_capacity_Btu_degF", BACK_HEAT, .unit = "Btu_degF",
     .meaning = "back_heat_capacity_J_K in Btu per degF"},
    {"aim", NR_KEY_CHOICE, AT(nr_rig_collector, aim), .choice = aim_words, .fallback = "not known",
     .meaning = "did it stay as it stood, or was it turned after the sun during the test?"},
    {"dew", NR_KEY_CHOICE, AT(nr_rig_collector, dew), .choice = dew_words, .fallback = "not known",
     .meaning = "was it wet with dew, rain or condensation when the record began?"},
};

#define WATER S_QUANTITY(water_kg), .target = "kg", ABOVE(0, 20000)
#define WATER_END S_QUANTITY(water_end_kg), .target = "kg", ABOVE(0, 20000)
#define OPENING S_QUANTITY(opening_m2), .target = "m2", RANGE(0, 100)
#define DRY_STORE S_QUANTITY(dry_heat_capacity_J_K), .target = "J_K", RANGE(0, 1e8)
#define LOSS S_QUANTITY(loss_W_K), .target = "W_K", RANGE(0, 1000)

static const nr_rig_key store_keys[] = {
    {"water_kg", WATER, .unit = "kg", .fallback = "required by noonfit",
     .meaning = "water in the container at the start"},
    {"water_lb", WATER, .unit = "lb", .meaning = "water_kg in pounds"},
    {"water_L", WATER, .unit = "L", .scale = NR_WATER_KG_L,
     .meaning = "water_kg as litres (0.9982 kg each, water at 20 degC)"},
    {"water_gal", WATER, .unit = "gal", .scale = NR_WATER_KG_L,
     .meaning = "water_kg as US gallons (0.9982 kg/L)"},
    {"water_end_kg", WATER_END, .unit = "kg",
     .meaning = "water in the container at the end, where it was weighed again"},
    {"water_end_lb", WATER_END, .unit = "lb", .meaning = "water_end_kg in pounds"},
    {"water_end_L", WATER_END, .unit = "L", .scale = NR_WATER_KG_L,
     .meaning = "water_end_kg as litres (0.9982 kg each, water at 20 degC)"},
    {"water_end_gal", WATER_END, .unit = "gal", .scale = NR_WATER_KG_L,
     .meaning = "water_end_kg as US gallons (0.9982 kg/L)"},
    {"dry_heat_capacity_J_K", DRY_STORE, .unit = "J_K",
     .meaning = "of the container and hoses: sum of mass times specific heat"},
    {"dry_heat_capacity_Btu_degF", DRY_STORE, .unit = "Btu_degF",
     .meaning = "dry_heat_capacity_J_K in Btu per degF"},
    {"loss_W_K", LOSS, .unit = "W_K", .meaning = "heat loss of the container, where it is known"},
    {"loss_Btu_h_degF", LOSS, .unit = "Btu_h_degF", .meaning = "loss_W_K in Btu/(h degF)"},
    {"lid", NR_KEY_CHOICE, AT(nr_rig_store, lid), .choice = lid_words, .fallback = "not known",
     .meaning = "is the container covered? Open water also evaporates"},
    {"opening_m2", OPENING, .unit = "m2",
     .meaning = "area of open water; with a lid, of the gaps it leaves"},
    {"opening_ft2", OPENING, .unit = "ft2", .meaning = "opening_m2 in square feet"},
    {"pump_W", S_QUANTITY(pump_W), .unit = "W", RANGE(0, 1000), .fallback = "a small pump's",
     .meaning = "what the pump draws: of a submersible one, all of it heats the water"},
};

static const nr_rig_key adapter_keys[] = {
    {"kind", NR_KEY_CHOICE, AT(nr_rig_adapter, kind), .choice = kind_words, .fallback = "lines",
     .meaning = "lines: it sends text lines by itself; modbus: it is polled (Modbus RTU)"},
    {"port", NR_KEY_TEXT, AT(nr_rig_adapter, port),
     .meaning =
         "device such as /dev/ttyUSB0, usb:VID:PID[:SERIAL] (see noonlog ports), or tcp:HOST:PORT"},
    {"baud", NR_KEY_CHOICE, AT(nr_rig_adapter, baud), .choice = baud_words, .fallback = "115200",
     .meaning = "speed, bits per second"},
    {"line", NR_KEY_CHOICE, AT(nr_rig_adapter, line), .choice = line_words, .fallback = "pairs",
     .meaning = "pairs: store=21.5,air=19.8 or a JSON object of one level; values: 21.5,19.8"},
    {"separator", NR_KEY_CHOICE, AT(nr_rig_adapter, separator), .choice = separator_words,
     .fallback = "comma", .meaning = "what stands between the fields, as a word"},
    {"checksum", NR_KEY_CHOICE, AT(nr_rig_adapter, checksum), .choice = checksum_words,
     .fallback = "none",
     .meaning = "xor8: the line ends in *HH, HH = XOR of all characters before the *"},
    {"clock", NR_KEY_CHOICE, AT(nr_rig_adapter, clock), .choice = clock_words, .fallback = "host",
     .meaning = "adapter: each line carries a count of milliseconds"},
    {"clock_field", NR_KEY_TEXT, AT(nr_rig_adapter, clock_field),
     .fallback = "1 (values), ms (pairs)",
     .meaning = "where that count is: index of the field from 1, or its key"},
    {"interval_s", NR_KEY_NUMBER, AT(nr_rig_adapter, interval_s), .unit = "s", ABOVE(0, 3600),
     .fallback = "1", .meaning = "time between lines, or between polls"},
    {"parity", NR_KEY_CHOICE, AT(nr_rig_adapter, parity), .choice = parity_words,
     .fallback = "even", .meaning = "of a modbus adapter"},
};

#define IN_CHANNEL_UNIT "(channel)"

static const nr_rig_key channel_keys[] = {
    {"unit", NR_KEY_UNIT, AT(nr_rig_channel, unit), .fallback = "required",
     .meaning = "of the converted reading, and of offset, u_offset, u_drift, low and high"},
    {"adapter", NR_KEY_TEXT, AT(nr_rig_channel, adapter), .fallback = "the only one",
     .meaning = "NAME of the [adapter NAME] it comes from"},
    {"field", NR_KEY_TEXT, AT(nr_rig_channel, field), .fallback = "the channel's name (pairs)",
     .meaning = "index of the field from 1 (values), or its key (pairs)"},
    {"sensor", NR_KEY_TEXT, AT(nr_rig_channel, sensor), .fallback = "a sensor of its own",
     .meaning =
         "identity: the same word in two rigs is the same physical sensor, wherever it sits"},
    {"convert", NR_KEY_LAW, AT(nr_rig_channel, law), .fallback = "none",
     .meaning = "law from the adapter's number to the reading; its keys are below"},
    {"cold_channel", NR_KEY_TEXT, AT(nr_rig_channel, cold_channel),
     .meaning = "temperature channel at a thermocouple's reference junction"},
    {"offset", NR_KEY_NUMBER, AT(nr_rig_channel, correct_offset), .unit = IN_CHANNEL_UNIT,
     RANGE(-1e9, 1e9), .fallback = "0",
     .meaning = "correction added to the converted reading (noonlog bath finds it)"},
    {"u_offset", NR_KEY_NUMBER, AT(nr_rig_channel, u_offset), .unit = IN_CHANNEL_UNIT,
     RANGE(0, 1e9), .fallback = "the kind of sensor's",
     .meaning = "standard uncertainty of an error that stays constant through a run"},
    {"u_gain", NR_KEY_NUMBER, AT(nr_rig_channel, u_gain), .unit = "", RANGE(0, 1),
     .fallback = "the kind of sensor's",
     .meaning = "the same for an error in proportion to the reading: 0.03 is 3 %"},
    {"u_drift", NR_KEY_NUMBER, AT(nr_rig_channel, u_drift), .unit = IN_CHANNEL_UNIT, RANGE(0, 1e9),
     .fallback = "the kind of sensor's",
     .meaning = "of a thermometer: standard uncertainty of how far it drifts through a test; one "
                "bath before and one after tell it"},
    {"lag_s", NR_KEY_NUMBER, AT(nr_rig_channel, lag_s), .unit = "s", RANGE(0, 3600),
     .fallback = "0", .meaning = "time constant of the sensor"},
    {"low", NR_KEY_NUMBER, AT(nr_rig_channel, low), .unit = IN_CHANNEL_UNIT, RANGE(-1e12, 1e12),
     .fallback = "no limit", .meaning = "readings below it are taken for faults"},
    {"high", NR_KEY_NUMBER, AT(nr_rig_channel, high), .unit = IN_CHANNEL_UNIT, RANGE(-1e12, 1e12),
     .fallback = "no limit", .meaning = "readings above it are taken for faults"},
    {"resolution", NR_KEY_NUMBER, AT(nr_rig_channel, resolution), .unit = IN_CHANNEL_UNIT,
     ABOVE(0, 1e9), .fallback = "the record shows it",
     .meaning = "smallest step that is read, as 1 of a thermometer read to the degree"},
    {"kind", NR_KEY_INSTRUMENT, AT(nr_rig_channel, kind), .fallback = "not known",
     .meaning = "what it is read with; gives u_offset, u_gain, u_drift, resolution and lag_s where "
                "they are not stated: " NR_INSTRUMENT_LIST},
    {"emissivity", NR_KEY_NUMBER, AT(nr_rig_channel, emissivity), .unit = "", RANGE(0.1, 1),
     .fallback = "as set on it",
     .meaning = "of the surface an infrared thermometer looks at; its reading is corrected"},
    {"emissivity_set", NR_KEY_NUMBER, AT(nr_rig_channel, emissivity_set), .unit = "", RANGE(0.1, 1),
     .fallback = "0.95", .meaning = "what the infrared thermometer is set to"},
    {"surroundings", NR_KEY_NUMBER, AT(nr_rig_channel, surroundings), .unit = IN_CHANNEL_UNIT,
     RANGE(-150, 300), .fallback = "required with emissivity",
     .meaning = "temperature of what the surface reflects: the room; of open water, the sky"},
    {"instrument", NR_KEY_NUMBER, AT(nr_rig_channel, instrument), .unit = IN_CHANNEL_UNIT,
     RANGE(-150, 300), .fallback = "surroundings",
     .meaning = "the infrared thermometer's own temperature, which it takes the surroundings to "
                "have: the air's"},
    {"plane", NR_KEY_CHOICE, AT(nr_rig_channel, plane), .choice = plane_words,
     .fallback = "not known",
     .meaning = "of an irradiance sensor: tilted as the collector is, or lying flat"},
    {"shaded", NR_KEY_CHOICE, AT(nr_rig_channel, shaded), .choice = shaded_words,
     .fallback = "not known", .meaning = "of the air's probe: is it kept out of the sun?"},
    {"role", NR_KEY_TEXT, AT(nr_rig_channel, role), .fallback = "by its name",
     .meaning = "which channel with a meaning it is, where its name does not say so"},
    {"of", NR_KEY_TEXT, AT(nr_rig_channel, of), .fallback = "all collectors",
     .meaning = "NAME of the collector it belongs to, where there are several"},
    {"modbus_unit", NR_KEY_INTEGER, AT(nr_rig_channel, modbus_unit), .unit = "", RANGE(1, 247),
     .fallback = "1", .meaning = "address of the device on the bus"},
    {"modbus_register", NR_KEY_INTEGER, AT(nr_rig_channel, modbus_register), .unit = "",
     RANGE(0, 65535), .fallback = "required with modbus",
     .meaning = "register's address, counted from 0"},
    {"modbus_scale", NR_KEY_INTEGER, AT(nr_rig_channel, modbus_scale), .unit = "",
     RANGE(1, 1000000), .fallback = "1", .meaning = "the register's number is divided by it"},
    {"modbus_type", NR_KEY_CHOICE, AT(nr_rig_channel, modbus_type), .choice = modbus_type_words,
     .fallback = "s16",
     .meaning = "unsigned, signed or float; 32: two registers, high word first; i: input register"},
};

#define TABLE(keys)                                                                                \
    {                                                                                              \
        keys, sizeof(keys) / sizeof(keys)[0]                                                       \
    }
static const struct {
    const nr_rig_key *key;
    size_t count;
} tables[NR_SECTION_KINDS] = {
    [NR_SECTION_TEST] = TABLE(test_keys),           [NR_SECTION_SITE] = TABLE(site_keys),
    [NR_SECTION_COLLECTOR] = TABLE(collector_keys), [NR_SECTION_STORE] = TABLE(store_keys),
    [NR_SECTION_ADAPTER] = TABLE(adapter_keys),     [NR_SECTION_CHANNEL] = TABLE(channel_keys),
};

const nr_rig_key *nr_rig_keys(nr_rig_section_kind kind, size_t *count)
{
    *count = tables[kind].count;
    return tables[kind].key;
}

const char *nr_rig_section_meaning(nr_rig_section_kind kind)
{
    static const char *const meanings[NR_SECTION_KINDS] = {
        [NR_SECTION_TEST] = "the test as a whole",
        [NR_SECTION_SITE] = "where it stands; needed for the sun's position and the boiling point",
        [NR_SECTION_COLLECTOR] =
            "the collector; [collector NAME] where there are several, NAME labels its results",
        [NR_SECTION_STORE] = ("the container of water and what is wetted outside the collector; "
                              "[store NAME] of [collector NAME]"),
        [NR_SECTION_ADAPTER] =
            "what the sensors are wired to; [adapter NAME] where there are several",
        [NR_SECTION_CHANNEL] = "one reading; its name is the column's name in readings.csv",
    };
    return meanings[kind];
}

static const nr_rig_key *find_exact(nr_rig_section_kind kind, const char *name)
{
    for (size_t i = 0; i < tables[kind].count; i++)
        if (strcmp(tables[kind].key[i].name, name) == 0)
            return &tables[kind].key[i];
    return NULL;
}

const nr_rig_key *nr_rig_key_find(nr_rig_section_kind kind, const char *name, bool *uncertainty)
{
    const nr_rig_key *key = find_exact(kind, name);
    *uncertainty = false;
    if (key || strncmp(name, "u_", 2) != 0)
        return key;
    key = find_exact(kind, name + 2);
    *uncertainty = true;
    return key && key->kind == NR_KEY_QUANTITY ? key : NULL;
}

/* A number that is written in the member's unit stays the number that was written. The water twins
 * go over litres: .unit is then a volume, .target a mass, .scale kg/L between them. */
static double factor(const nr_rig_key *key)
{
    return nr_unit_find(key->unit)->factor / nr_unit_find(key->target)->factor *
           (key->scale > 0 ? key->scale : 1);
}

static bool same_unit(const nr_rig_key *key)
{
    return !key->target || strcmp(key->unit, key->target) == 0;
}

double nr_rig_key_value(const nr_rig_key *key, double written)
{
    return same_unit(key) ? written : written * factor(key);
}

double nr_rig_key_written(const nr_rig_key *key, double value)
{
    return same_unit(key) ? value : value / factor(key);
}
