/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rig.ini: what is accepted, and what it becomes. */
#include "tests/unit/run/rig_fixture.h"

#include <unistd.h>

START_TEST(a_whole_rig)
{
    static nr_rig rig;
    accept(
        &rig,
        "; a comment\n"
        "# another\n"
        "[test]\n"
        "title = Wash stand: glazed = yes ; the second build\n"
        "notes = first line\n"
        "    second line\n"
        "  third = line\n"
        "units = us\n"
        "\n"
        "[site]\n"
        "latitude_deg = 45.5\n"
        "u_latitude_deg = 0.01\n"
        "longitude_deg = -122.6\n"
        "elevation_ft = 100\n"
        "[collector]\n"
        "  name = glazed\n"
        "  gross_area_m2 = 1.5\n"
        "  u_gross_area_m2 = 0.0075\n"
        "  tilt_deg: 40\n"
        "  azimuth_deg = 180\n"
        "  glazing = single\n"
        "  fluid_kg = 1.2\n"
        "  heat_capacity_J_K = 6500\n"
        "  tube_length_m = 15\n"
        "  tube_bore_mm = 12\n"
        "  iam_b0 = 0.1\n"
        "[store]\n"
        "water_kg = 40\nu_water_kg = 0.2\ndry_heat_capacity_J_K = 2000\nlid = yes\nloss_W_K = 0\n"
        "[adapter]\n"
        "port = usb:1a86:7523\nbaud = 9600\nline = values\nseparator = semicolon\n"
        "checksum = xor8\nclock = adapter\nclock_field = 1\ninterval_s = 0.5\n"
        "[channel store]\n"
        "unit = degF\nfield = 2\nsensor = probe-1\noffset = 0.9\nu_offset = 1.8\nu_gain = 0.01\n"
        "lag_s = 12\nlow = 32\nhigh = 212\n"
        "[channel fan]\nunit = rpm\nfield=3\nconvert = linear\ngain = 2\n",
        NR_RIG_FOR_RECORD);
    ck_assert_str_eq(rig.path, "rig.ini");
    ck_assert_str_eq(rig.title, "Wash stand: glazed = yes");
    ck_assert_str_eq(rig.notes, "first line second line third = line");
    ck_assert_str_eq(rig.units, "us");
    ck_assert(rig.latitude_deg.given && rig.latitude_deg.value == 45.5);
    ck_assert_int_eq(rig.latitude_deg.line, 11);
    ck_assert(rig.latitude_deg.u_given && rig.latitude_deg.u == 0.01);
    NEAR(rig.longitude_deg.value, -122.6, 0);
    ck_assert(!rig.longitude_deg.u_given && isnan(rig.longitude_deg.u));
    NEAR(rig.elevation_m.value, 30.48, 1e-14);
    ck_assert_str_eq(rig.collector.name, "glazed");
    NEAR(rig.collector.gross_area_m2.value, 1.5, 0);
    NEAR(rig.collector.gross_area_m2.u, 0.0075, 0);
    NEAR(rig.collector.tilt_deg.value, 40, 0);
    NEAR(rig.collector.azimuth_deg.value, 180, 0);
    ck_assert_int_eq(rig.collector.glazing, NR_GLAZING_SINGLE);
    NEAR(rig.collector.fluid_kg.value, 1.2, 0);
    NEAR(rig.collector.heat_capacity_J_K.value, 6500, 0);
    NEAR(rig.collector.tube_length_m.value, 15, 0);
    NEAR(rig.collector.tube_bore_mm.value, 12, 0);
    NEAR(rig.collector.iam_b0.value, 0.1, 0);
    NEAR(rig.store.water_kg.value, 40, 0);
    NEAR(rig.store.dry_heat_capacity_J_K.value, 2000, 0);
    ck_assert_int_eq(rig.store.lid, NR_LID_YES);
    ck_assert(rig.store.loss_W_K.given && rig.store.loss_W_K.value == 0);
    ck_assert_uint_eq(rig.adapters, 1);
    const nr_rig_adapter *a = &rig.adapter[0];
    ck_assert_str_eq(a->name, "");
    ck_assert_str_eq(a->port, "usb:1a86:7523");
    ck_assert_int_eq(a->baud, 9600);
    ck_assert_int_eq(a->line, NR_LINE_VALUES);
    ck_assert_int_eq(a->separator, ';');
    ck_assert_int_eq(a->checksum, NR_CHECKSUM_XOR8);
    ck_assert_int_eq(a->clock, NR_CLOCK_ADAPTER);
    ck_assert_str_eq(a->clock_field, "1");
    NEAR(a->interval_s, 0.5, 0);
    ck_assert_uint_eq(rig.channels, 2);
    const nr_rig_channel *c = nr_rig_channel_find(&rig, "store");
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->unit->name, "degF");
    ck_assert_str_eq(c->field, "2");
    ck_assert_str_eq(c->sensor, "probe-1");
    NEAR(c->correct_offset, 0.5, 1e-15); /* a difference: 0.9 degF = 0.5 K */
    NEAR(c->u_offset, 1, 1e-15);
    NEAR(c->u_gain, 0.01, 0);
    NEAR(c->lag_s, 12, 0);
    NEAR(c->low, 0, 1e-13);
    NEAR(c->high, 100, 1e-13);
    ck_assert_str_eq(c->law->name, "none");
    ck_assert_int_eq(c->modbus_register, -1);
    const nr_rig_channel *fan = nr_rig_channel_find(&rig, "fan");
    ck_assert_str_eq(fan->unit->name, "rpm");
    ck_assert_int_eq(fan->unit->dimension, NR_DIM_NONE);
    ck_assert_str_eq(fan->law->name, "linear");
    NEAR(fan->coefficient[nr_law_key_index(fan->law, "gain")], 2, 0);
    ck_assert(isnan(fan->low) && isnan(fan->high) && isnan(fan->u_offset) && isnan(fan->u_gain));
    ck_assert_ptr_null(nr_rig_channel_find(&rig, "sun"));
    char name[2 * NR_NAME];
    nr_rig_column_name(c, name, sizeof name);
    ck_assert_str_eq(name, "store_degC");
    nr_rig_column_name(fan, name, sizeof name);
    ck_assert_str_eq(name, "fan_rpm");
}
END_TEST

/* Only notes go on over lines, and only in lines further in than their key. */
START_TEST(indented_lines)
{
    static nr_rig rig;
    accept(&rig,
           "[test]\n  notes = a\n    b = c\n\n    ; a comment\n    d\n  title = e\n"
           "[collector]\nname = x\n  gross_area_m2 = 1.5\n    tilt_deg = 40\n"
           "[store]\n\twater_kg = 40\n",
           NR_RIG_FOR_ANALYSIS);
    ck_assert_str_eq(rig.notes, "a b = c d");
    ck_assert_str_eq(rig.title, "e");
    ck_assert_str_eq(rig.collector.name, "x");
    NEAR(rig.collector.gross_area_m2.value, 1.5, 0);
    NEAR(rig.collector.tilt_deg.value, 40, 0);
}
END_TEST

START_TEST(what_is_not_given_is_unknown)
{
    static nr_rig rig;
    accept(&rig, MINIMAL, NR_RIG_FOR_ANALYSIS);
    const nr_value *values[] = {&rig.latitude_deg,
                                &rig.longitude_deg,
                                &rig.elevation_m,
                                &rig.collector.tilt_deg,
                                &rig.collector.azimuth_deg,
                                &rig.collector.fluid_kg,
                                &rig.collector.heat_capacity_J_K,
                                &rig.collector.tube_length_m,
                                &rig.collector.tube_bore_mm,
                                &rig.collector.iam_b0,
                                &rig.store.dry_heat_capacity_J_K,
                                &rig.store.loss_W_K};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        ck_assert_msg(!values[i]->given && isnan(values[i]->value) && !values[i]->u_given &&
                          isnan(values[i]->u) && values[i]->line == 0,
                      "value %zu", i);
    ck_assert_int_eq(rig.store.lid, NR_LID_UNKNOWN);
    ck_assert_str_eq(rig.units, "");
    ck_assert_uint_eq(rig.channels, 0);
}
END_TEST

START_TEST(defaults_of_adapter_and_channel)
{
    static nr_rig rig;
    accept(&rig, "[adapter]\n[channel store]\nunit = degC\n", NR_RIG_FOR_RECORD);
    const nr_rig_adapter *a = &rig.adapter[0];
    ck_assert_int_eq(a->kind, NR_ADAPTER_LINES);
    ck_assert_str_eq(a->port, "");
    ck_assert_int_eq(a->baud, 115200);
    ck_assert_int_eq(a->line, NR_LINE_PAIRS);
    ck_assert_int_eq(a->separator, ',');
    ck_assert_int_eq(a->checksum, NR_CHECKSUM_NONE);
    ck_assert_int_eq(a->clock, NR_CLOCK_HOST);
    ck_assert_str_eq(a->clock_field, "ms");
    ck_assert_int_eq(a->parity, 'E');
    NEAR(a->interval_s, 1, 0);
    ck_assert_str_eq(rig.channel[0].field, "store");
    NEAR(rig.channel[0].lag_s, 0, 0);
    NEAR(rig.channel[0].correct_offset, 0, 0);
}
END_TEST

/* Twins against NIST SP 811 (2008) B.8, exact: ft 0.3048 m, lb 0.45359237 kg, US gal 3.785411784 L,
 * ft2 0.09290304 m2, in 25.4 mm, Btu(IT) 1055.05585262 J. Water: 0.9982 kg/L (IAPWS-95 at 20 degC:
 * 998.207 kg/m3). */
START_TEST(us_twins)
{
    static nr_rig rig;
    accept(&rig,
           "[site]\nelevation_ft = 1000\nu_elevation_ft = 10\n"
           "[collector]\ngross_area_ft2 = 16\nu_gross_area_ft2 = 0.1\nfluid_lb = 2\n"
           "heat_capacity_Btu_degF = 2\ntube_length_ft = 50\ntube_bore_in = 0.5\n"
           "[store]\nwater_gal = 10\nu_water_gal = 0.1\ndry_heat_capacity_Btu_degF = 1\n"
           "loss_Btu_h_degF = 2\n",
           NR_RIG_FOR_ANALYSIS);
    NEAR_RELATIVE(rig.elevation_m.value, 304.8, 1e-15);
    NEAR_RELATIVE(rig.elevation_m.u, 3.048, 1e-15);
    NEAR_RELATIVE(rig.collector.gross_area_m2.value, 1.48644864, 1e-15);
    NEAR_RELATIVE(rig.collector.gross_area_m2.u, 0.009290304, 1e-15);
    NEAR_RELATIVE(rig.collector.fluid_kg.value, 0.90718474, 1e-15);
    NEAR_RELATIVE(rig.collector.heat_capacity_J_K.value, 2 * 1055.05585262 * 1.8, 1e-15);
    NEAR_RELATIVE(rig.collector.tube_length_m.value, 15.24, 1e-15);
    NEAR_RELATIVE(rig.collector.tube_bore_mm.value, 12.7, 1e-15);
    NEAR_RELATIVE(rig.store.water_kg.value, 37.85411784 * 0.9982, 1e-15);
    NEAR_RELATIVE(rig.store.water_kg.u, 0.3785411784 * 0.9982, 1e-15);
    NEAR_RELATIVE(rig.store.dry_heat_capacity_J_K.value, 1055.05585262 * 1.8, 1e-15);
    NEAR_RELATIVE(rig.store.loss_W_K.value, 2 * 1055.05585262 / 3600 * 1.8, 1e-15);
    accept(&rig, "[collector]\ngross_area_m2=1\nfluid_L=2\n[store]\nwater_L=19\nu_water_kg=0.1\n",
           NR_RIG_FOR_ANALYSIS);
    NEAR_RELATIVE(rig.collector.fluid_kg.value, 1.9964, 1e-15);
    NEAR_RELATIVE(rig.store.water_kg.value, 18.9658, 1e-15);
    NEAR(rig.store.water_kg.u, 0.1, 0); /* a twin's uncertainty may be in the other unit */
    accept(&rig, "[collector]\ngross_area_m2=1\nfluid_gal=1\n[store]\nwater_lb=100\n",
           NR_RIG_FOR_ANALYSIS);
    NEAR_RELATIVE(rig.collector.fluid_kg.value, 3.785411784 * 0.9982, 1e-15);
    NEAR_RELATIVE(rig.store.water_kg.value, 45.359237, 1e-15);
}
END_TEST

START_TEST(two_adapters)
{
    static nr_rig rig;
    accept(&rig,
           "[adapter a]\nport=/dev/ttyUSB0\n[adapter b]\nkind = modbus\nparity = none\n"
           "[channel store]\nunit=degC\nadapter=a\n"
           "[channel sun]\nunit=W_m2\nadapter=b\nmodbus_unit=3\nmodbus_register=7\n"
           "modbus_scale=10\nmodbus_type=iu16\n",
           NR_RIG_FOR_RECORD);
    ck_assert_uint_eq(rig.adapters, 2);
    ck_assert_int_eq(rig.adapter[1].kind, NR_ADAPTER_MODBUS);
    ck_assert_int_eq(rig.adapter[1].parity, 'N');
    const nr_rig_channel *sun = nr_rig_channel_find(&rig, "sun");
    ck_assert_str_eq(sun->adapter, "b");
    ck_assert_int_eq(sun->modbus_unit, 3);
    ck_assert_int_eq(sun->modbus_register, 7);
    ck_assert_int_eq(sun->modbus_scale, 10);
    ck_assert_str_eq(sun->modbus_type, "iu16");
    ck_assert_str_eq(sun->field, "sun");
    /* One field may serve two channels that read it differently. */
    accept(&rig,
           "[adapter]\n[channel box]\nunit=degC\nfield=t\n[channel raw]\nunit=ohm\nfield=t\n"
           "convert=linear\n",
           NR_RIG_FOR_RECORD);
    /* One adapter with a name is everybody's. */
    accept(&rig, "[adapter a]\n[channel store]\nunit=degC\n", NR_RIG_FOR_RECORD);
    ck_assert_str_eq(rig.channel[0].adapter, "a");
}
END_TEST

START_TEST(laws_and_their_keys)
{
    static nr_rig rig;
    accept(&rig,
           "[adapter]\n[channel board]\nunit=degF\n"
           "[channel store]\nbeta = 3950\nr25 = 10000\nseries_ohm = 4700\nunit = degC\n"
           "convert = ntc_beta\n"
           "[channel box]\nunit = degC\nconvert = thermocouple_k\ncold_channel = board\n"
           "[channel lid]\nunit = K\nconvert = thermocouple_t\ncold_degC = 20\n"
           "[channel sun]\nunit = W_m2\nconvert = linear\ngain = 5\noffset = -3\n",
           NR_RIG_FOR_RECORD);
    const nr_rig_channel *store = nr_rig_channel_find(&rig, "store");
    NEAR(store->coefficient[nr_law_key_index(store->law, "beta")], 3950, 0);
    NEAR(store->coefficient[nr_law_key_index(store->law, "r25")], 10000, 0);
    NEAR(store->coefficient[nr_law_key_index(store->law, "series_ohm")], 4700, 0);
    NEAR(store->coefficient[nr_law_key_index(store->law, "full_scale")], 1, 0);
    ck_assert_str_eq(nr_rig_channel_find(&rig, "box")->cold_channel, "board");
    const nr_rig_channel *sun = nr_rig_channel_find(&rig, "sun");
    NEAR(sun->correct_offset, -3, 0);
    NEAR(sun->law->eval(100, sun->coefficient, NAN) + sun->correct_offset, 497, 0);
}
END_TEST

START_TEST(text_is_made_safe)
{
    static nr_rig rig;
    accept(&rig, "[test]\ntitle = a\x1b[2J\xff`reboot`\n" MINIMAL, NR_RIG_FOR_ANALYSIS);
    ck_assert_str_eq(rig.title, "a?[2J?`reboot`");
}
END_TEST

START_TEST(line_ends_and_marks)
{
    static nr_rig rig;
    accept(&rig, "\xef\xbb\xbf[collector]\r\ngross_area_m2 = 1.5\r\n[store]\r\nwater_kg=4",
           NR_RIG_FOR_ANALYSIS);
    NEAR(rig.store.water_kg.value, 4, 0);
    /* A line as long as the longest that is taken. */
    char text[1000] = "[test]\ntitle = ";
    memset(text + strlen(text), 'x', 185);
    strcat(text, "\n" MINIMAL);
    accept(&rig, text, NR_RIG_FOR_ANALYSIS);
    ck_assert_uint_eq(strlen(rig.title), 185);
}
END_TEST

START_TEST(from_a_file)
{
    static nr_rig rig;
    nr_err err = {0};
    char path[] = "/tmp/nr-rig-XXXXXX";
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, MINIMAL, strlen(MINIMAL)), (ssize_t)strlen(MINIMAL));
    close(fd);
    nr_code code = nr_rig_read(path, NR_RIG_FOR_ANALYSIS, &rig, NULL, &err);
    unlink(path);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    ck_assert_str_eq(rig.path, path);
    ck_assert_int_eq(nr_rig_read("/nonexistent/rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err),
                     NR_BAD);
    ck_assert_str_eq(err.file, "/nonexistent/rig.ini");
    ck_assert_int_eq(nr_rig_read("/dev/zero", NR_RIG_FOR_RECORD, &rig, NULL, &err), NR_BAD);
    ck_assert(strstr(err.text, "plain file"));
}
END_TEST

/* The manual is written from the parser's tables: each key in it must be known to the parser. */
START_TEST(every_key_described_is_taken)
{
    static nr_rig rig;
    static told t;
    char *text = NULL, *line, *rest;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    nr_rig_describe_table(to);
    fclose(to);
    rest = text;
    int keys = 0;
    while ((line = strsep(&rest, "\n")) != NULL && *line) {
        char *section = strsep(&line, "\t"), *key = strsep(&line, "\t"),
             *unit = strsep(&line, "\t");
        char *fallback = strsep(&line, "\t"), *meaning = strsep(&line, "\t"), ini[300];
        ck_assert_msg(meaning && meaning[0] && unit[0] && fallback && line == NULL, "%s %s",
                      section, key);
        bool law = strncmp(section, "convert", 7) == 0;
        snprintf(ini, sizeof ini, "[%s%s]\n%s\n%s = ?\n", law ? "channel" : section,
                 law || strcmp(section, "channel") == 0 ? " x" : "", law ? section : "", key);
        t.count = 0;
        nr_rig_parse(ini, strlen(ini), "rig.ini", NR_RIG_FOR_RECORD, &rig, &(nr_sink){tell, &t},
                     NULL);
        for (int i = 0; i < t.count; i++) {
            ck_assert_msg(!strstr(t.line[i], "has no key"), "%s", t.line[i]);
            ck_assert_msg(!strstr(t.line[i], "belongs"), "%s", t.line[i]);
        }
        keys++;
    }
    ck_assert_int_gt(keys, 60);
    char *prose = NULL;
    to = open_memstream(&prose, &size);
    nr_rig_describe(to);
    fclose(to);
    static const char *const some[] = {"[collector]", "gross_area_ft2", "ft2",     "[channel NAME]",
                                       "ntc_beta",    "series_ohm",     "required"};
    for (size_t i = 0; i < sizeof some / sizeof *some; i++)
        ck_assert_msg(strstr(prose, some[i]), "%s", some[i]);
    free(prose);
    free(text);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_whole_rig,
                                  indented_lines,
                                  what_is_not_given_is_unknown,
                                  defaults_of_adapter_and_channel,
                                  us_twins,
                                  two_adapters,
                                  laws_and_their_keys,
                                  text_is_made_safe,
                                  line_ends_and_marks,
                                  from_a_file,
                                  every_key_described_is_taken,
                                  NULL};
    return run_tests("rig", tests);
}
