/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rig file says of the back, the incidence angle, the water's end, the sensors' planes and
 * kinds, and of readings that are stated instead of measured. */
#include "logger/base/text.h"
#include "tests/unit/run/rig_fixture.h"

#define REFUSE(more, line, words)                                                                  \
    refuse(MINIMAL more, NR_RIG_FOR_ANALYSIS, MINIMAL_LINES + (line), (words))
#define COLLECTOR(more) "[store]\nwater_kg = 40\n[collector]\ngross_area_m2 = 1.5\n" more
#define REFUSE_COLLECTOR(more, line, words)                                                        \
    refuse(COLLECTOR(more), NR_RIG_FOR_ANALYSIS, (line), (words))

START_TEST(not_stated_is_not_known)
{
    static nr_rig rig;
    accept(&rig, MINIMAL "[channel sun]\nunit = W_m2\n", NR_RIG_FOR_ANALYSIS);
    ck_assert_int_eq(rig.rows, NR_ROWS_INSTANT);
    ck_assert_int_eq(rig.collector.back.kind, NR_BACK_UNKNOWN);
    ck_assert_int_eq(rig.collector.back.line, 0);
    ck_assert(isnan(nr_rig_back_J_m2K(&rig.collector)));
    ck_assert_uint_eq(rig.collector.iam.points, 0);
    ck_assert_int_eq(rig.collector.aim, NR_AIM_UNKNOWN);
    ck_assert(!rig.store.water_end_kg.given && isnan(rig.store.opening_m2.value));
    ck_assert(!rig.store.pump_W.given);
    const nr_rig_channel *sun = nr_rig_channel_find(&rig, "sun");
    ck_assert(!sun->kind && sun->plane == NR_PLANE_UNKNOWN && sun->shaded == NR_SHADED_UNKNOWN);
    ck_assert(isnan(sun->resolution) && isnan(sun->u_gain) && sun->lag_s == 0);
    ck_assert_str_eq(sun->role, "");
    ck_assert_str_eq(sun->of, "");
}
END_TEST

START_TEST(all_of_it_stated)
{
    static nr_rig rig;
    accept(&rig,
           "[test]\nrows = mean\n"
           "[collector]\nname = box\ngross_area_m2 = 2\nback = plywood 6 mm\naim = followed\ndew = "
           "yes\n"
           "iam = 0:1, 30:0.99, 60:0.9\nback_heat_capacity_Btu_degF = 10\n"
           "u_back_heat_capacity_Btu_degF = 1\n"
           "[store]\nwater_L = 20\nwater_end_L = 19\nopening_ft2 = 1\npump_W = 4\nu_pump_W = 1\n"
           "[channel meter]\nunit = W_m2\nrole = sun\nof = box\nplane = horizontal\n"
           "[channel air]\nunit = degC\nshaded = no\n",
           NR_RIG_FOR_ANALYSIS);
    ck_assert_int_eq(rig.rows, NR_ROWS_MEAN);
    ck_assert_int_eq(rig.collector.aim, NR_AIM_FOLLOWED);
    ck_assert_int_eq(rig.collector.back.kind, NR_BACK_STATED);
    ck_assert_str_eq(rig.collector.back.material->name, "plywood");
    NEAR_RELATIVE(rig.collector.back.thickness_m, 0.006, 1e-12);
    ck_assert_uint_eq(rig.collector.iam.points, 3);
    NEAR(rig.collector.iam.angle_deg[1], 30, 0);
    NEAR(rig.collector.iam.factor[2], 0.9, 0);
    /* 1 Btu/degF is 1899.1005 J/K (NIST SP 811: 1055.05585 J over 5/9 K), over 2 m2. */
    NEAR_RELATIVE(nr_rig_back_J_m2K(&rig.collector), 9495.50, 1e-6);
    NEAR_RELATIVE(rig.collector.back_heat_capacity_J_K.u, 1899.1005, 1e-6);
    NEAR_RELATIVE(rig.store.water_end_kg.value, 19 * 0.9982, 1e-12);
    NEAR_RELATIVE(rig.store.opening_m2.value, 0.09290304, 1e-12);
    NEAR(rig.store.pump_W.value, 4, 0);
    NEAR(rig.store.pump_W.u, 1, 0);
    ck_assert_int_eq(rig.channel[0].plane, NR_PLANE_HORIZONTAL);
    ck_assert_str_eq(rig.channel[0].role, "sun");
    ck_assert_str_eq(rig.channel[0].of, "box");
    ck_assert_int_eq(rig.channel[1].shaded, NR_SHADED_NO);
}
END_TEST

START_TEST(backs)
{
    static nr_rig rig;
    /* Plywood of 500 kg/m3 and 1600 J/(kg K) (ISO 10456, from memory): 6 mm hold 4.8 kJ/(m2 K). */
    static const struct {
        const char *text;
        double mm, J_m2K;
    } rows[] = {{"plywood 6 mm", 6, 4800},       {"plywood 6mm", 6, 4800},
                {"plywood 0.6 cm", 6, 4800},     {"plywood 1/2 in", 12.7, 10160},
                {"plywood 0.5 in", 12.7, 10160}, {"polystyrene 30 mm", 30, 870}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[200];
        snprintf(text, sizeof text, COLLECTOR("back = %s\n"), rows[i].text);
        accept(&rig, text, NR_RIG_FOR_ANALYSIS);
        NEAR_RELATIVE(rig.collector.back.thickness_m, rows[i].mm / 1000, 1e-12);
        NEAR_RELATIVE(nr_rig_back_J_m2K(&rig.collector), rows[i].J_m2K, 1e-12);
    }
    accept(&rig, COLLECTOR("back = none\n"), NR_RIG_FOR_ANALYSIS);
    NEAR(nr_rig_back_J_m2K(&rig.collector), 0, 0);
    accept(&rig, COLLECTOR("back = usual\n"), NR_RIG_FOR_ANALYSIS);
    ck_assert(isnan(nr_rig_back_J_m2K(&rig.collector)));
    ck_assert_int_eq(rig.collector.back.line, 5);
    REFUSE_COLLECTOR("back = wood 6 mm\n", 5, "wood 6 mm|plywood 6 mm|osb|polystyrene");
    REFUSE_COLLECTOR("back = plywood 6\n", 5, "material and its thickness");
    REFUSE_COLLECTOR("back = plywood\n", 5, "material and its thickness");
    REFUSE_COLLECTOR("back = plywood 6 kg\n", 5, "material and its thickness");
    REFUSE_COLLECTOR("back = plywood 1/0 in\n", 5, "material and its thickness");
    REFUSE_COLLECTOR("back = plywood 6 m\n", 5, "not believable|300 mm");
    REFUSE_COLLECTOR("back = plywood 0.09 mm\n", 5, "not believable|0.1");
    REFUSE_COLLECTOR("back =\n", 5, "not a back");
}
END_TEST

START_TEST(incidence_angle_tables)
{
    static nr_rig rig;
    accept(&rig, COLLECTOR("iam = 50:0.95, 70:0.8\n"), NR_RIG_FOR_ANALYSIS);
    ck_assert_uint_eq(rig.collector.iam.points, 3); /* 1 at 0 is put in front */
    NEAR(rig.collector.iam.factor[0], 1, 0);
    REFUSE_COLLECTOR("iam = 0:1, 30:0.99\niam_b0 = 0.1\n", 6, "iam|iam_b0|keep one");
    REFUSE_COLLECTOR("iam_b0 = 0.1\niam = 0:1, 30:0.99\n", 6, "iam|iam_b0|keep one");
    REFUSE_COLLECTOR("iam = 0:1\n", 5, "one point|0:1, 30:0.99");
    REFUSE_COLLECTOR("iam = 0:1, 30\n", 5, "not a table|0:1, 30:0.99");
    REFUSE_COLLECTOR("iam = 0:1, 30:0.9, 30:0.8\n", 5, "must grow");
    REFUSE_COLLECTOR("iam = 0:0.9, 30:0.9\n", 5, "perpendicular");
    REFUSE_COLLECTOR("iam = 0:1, 91:0\n", 5, "0 to 90");
    REFUSE_COLLECTOR("iam = 0:1, 30:1.6\n", 5, "0 to 1.5");
    REFUSE_COLLECTOR("iam = 1:1,2:1,3:1,4:1,5:1,6:1,7:1,8:1,9:1,10:1,11:1,12:1,13:1,14:1,15:1,"
                     "16:1\n",
                     5, "too many");
}
END_TEST

/* One meaning for everybody; a word that is none of these was once fitted as glass. */
START_TEST(glazing_is_one_of_three_words)
{
    static nr_rig rig;
    static const struct {
        const char *line, *word;
        nr_glazing glazing;
        int covers;
    } rows[] = {{"", "", NR_GLAZING_UNKNOWN, 0},
                {"glazing = none\n", "none", NR_GLAZING_NONE, 0},
                {"glazing = single\n", "single", NR_GLAZING_SINGLE, 1},
                {"glazing = double\n", "double", NR_GLAZING_DOUBLE, 2}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[200];
        snprintf(text, sizeof text, COLLECTOR("%s"), rows[i].line);
        accept(&rig, text, NR_RIG_FOR_ANALYSIS);
        ck_assert_int_eq(rig.collector.glazing, rows[i].glazing);
        ck_assert_int_eq(nr_glazing_covers(rig.collector.glazing), rows[i].covers);
        ck_assert_str_eq(nr_glazing_word(rig.collector.glazing), rows[i].word);
    }
    REFUSE_COLLECTOR("glazing = None\n", 5, "None|none, single, double");
    REFUSE_COLLECTOR("glazing = bare\n", 5, "bare|none, single, double");
    REFUSE_COLLECTOR("glazing = no\n", 5, "none, single, double");
    REFUSE_COLLECTOR("glazing = my old window\n", 5, "none, single, double");
}
END_TEST

/* What is read in two places cannot be in both. */
START_TEST(one_sensor_has_one_place)
{
    static nr_rig rig;
    accept(&rig,
           MINIMAL "[channel inlet]\nunit=degC\nsensor=p1\n[channel outlet]\nunit=degC\nsensor=p2\n"
                   "[channel spare]\nunit=degC\nsensor=p3\n[channel raw]\nunit=mV\nsensor=p3\n",
           NR_RIG_FOR_ANALYSIS);
    REFUSE("[channel inlet]\nunit=degC\nsensor=p1\n[channel outlet]\nunit=degC\nsensor=p1\n", 4,
           "p1|[channel inlet]|[channel outlet]");
    REFUSE(
        "[channel a]\nunit=degC\nrole=inlet\nsensor=p1\n[channel outlet]\nunit=degC\nsensor=p1\n",
        5, "p1|[channel a]|[channel outlet]");
}
END_TEST

START_TEST(words_and_where_they_belong)
{
    REFUSE("[test]\nrows = average\n", 2, "instant, mean");
    REFUSE_COLLECTOR("aim = tracked\n", 5, "fixed, followed");
    REFUSE("water_end_kg = 1\nwater_end_L = 1\n", 2, "water_end_L|water_end_kg|keep one");
    REFUSE("[channel sun]\nunit=W_m2\nplane = flat\n", 3, "collector, horizontal");
    REFUSE("[channel air]\nunit=degC\nplane = horizontal\n", 1, "irradiance|degC");
    REFUSE("[channel box]\nunit=degC\nshaded = yes\n", 1, "air's probe");
    REFUSE("[channel x]\nunit=degC\nrole = tank\n", 1, "tank|store, inlet");
    REFUSE("[channel x]\nunit=degC\nrole = sun\n", 1, "irradiance|W_m2|degC");
    REFUSE("[channel store]\nunit=degC\nof = left\n", 1, "left|no collector");
    REFUSE("[channel humidity]\nunit=degC\n", 2, "humidity|percent");
    REFUSE("[channel diffuse]\nunit=degC\n", 2, "diffuse|W_m2");
    REFUSE("[channel sky]\nunit=m_s\n", 2, "sky|degC|W_m2");
}
END_TEST

START_TEST(instruments_say_what_the_file_does_not)
{
    static nr_rig rig;
    accept(&rig,
           MINIMAL "[channel store]\nunit = degF\nkind = kitchen\n"
                   "[channel air]\nunit = degF\nkind = glass\nu_offset = 1.8\nresolution = 1.8\n"
                   "lag_s = 0\n"
                   "[channel sun]\nunit = W_m2\nkind = station\n",
           NR_RIG_FOR_ANALYSIS);
    const nr_instrument_kind *kitchen = nr_instrument_find("kitchen", NR_DIM_TEMPERATURE);
    NEAR(rig.channel[0].u_offset, kitchen->u_offset, 0);
    NEAR(rig.channel[0].resolution, kitchen->resolution, 0);
    NEAR(rig.channel[0].lag_s, kitchen->lag_s, 0);
    NEAR_RELATIVE(rig.channel[1].u_offset, 1, 1e-12); /* stated, in degF */
    NEAR_RELATIVE(rig.channel[1].resolution, 1, 1e-12);
    NEAR(rig.channel[1].lag_s, 0, 0); /* a stated 0 is a number */
    ck_assert_ptr_eq(rig.channel[2].kind, nr_instrument_find("station", NR_DIM_IRRADIANCE));
    REFUSE("[channel store]\nunit=degC\nkind = wet finger\n", 3, "kind of instrument|kitchen");
    REFUSE("[channel store]\nunit=degC\nkind = turbine\n", 1, "turbine does not read degC|kitchen");
}
END_TEST

START_TEST(emissivity_is_of_infrared_thermometers)
{
    static nr_rig rig;
    accept(&rig,
           MINIMAL "[channel store]\nunit=degF\nkind=infrared\nemissivity=0.8\nsurroundings=68\n",
           NR_RIG_FOR_ANALYSIS);
    NEAR(rig.channel[0].emissivity, 0.8, 0);
    NEAR(rig.channel[0].emissivity_set, 0.95, 0);
    NEAR(rig.channel[0].surroundings, 20, 1e-12);
    NEAR(rig.channel[0].instrument, 20, 1e-12); /* not stated: as the surroundings */
    accept(&rig, MINIMAL "[channel store]\nunit=degF\nkind=infrared\n", NR_RIG_FOR_ANALYSIS);
    ck_assert(isnan(rig.channel[0].emissivity));
    REFUSE("[channel store]\nunit=degC\nkind=infrared\nemissivity=0.8\n", 1, "belong together");
    REFUSE("[channel store]\nunit=degC\nkind=infrared\nsurroundings=8\n", 1, "belong together");
    REFUSE("[channel store]\nunit=degC\nemissivity=0.8\nsurroundings=8\n", 1, "kind = infrared");
    REFUSE("[channel store]\nunit=degC\nkind=infrared\nsurroundings=8\nemissivity=80\n", 5,
           "not believable");
}
END_TEST

START_TEST(the_table_of_instruments_is_sound)
{
    char names[400];
    const nr_instrument_kind *kind;
    nr_instrument_names(NR_DIM_NONE, names, sizeof names);
    ck_assert_str_eq(names, NR_INSTRUMENT_LIST);
    for (size_t i = 0; (kind = nr_instrument_at(i)) != NULL; i++) {
        ck_assert_ptr_eq(nr_instrument_find(kind->name, kind->dimension), kind); /* none twice */
        ck_assert_msg(kind->u_offset > 0 || kind->u_gain > 0, "%s says nothing", kind->name);
        ck_assert_msg(strlen(kind->text) > 10 && strlen(kind->source) > 10, "%s", kind->name);
        ck_assert(kind->lag_s >= 0);
    }
    /* A limit of 1 degC is 0.58 as a standard uncertainty (JCGM 100, 4.3.7). */
    NEAR(nr_instrument_find("glass", NR_DIM_TEMPERATURE)->u_offset, 1 / sqrt(3), 0.03);
    const nr_material *material;
    for (size_t i = 0; (material = nr_material_at(i)) != NULL; i++) {
        ck_assert_ptr_eq(nr_material_find(material->name), material);
        ck_assert(material->density_kg_m3 > 5 && material->density_kg_m3 < 9000);
        ck_assert(material->specific_heat_J_kgK >= 400 && material->specific_heat_J_kgK < 2000);
        ck_assert(material->conductivity_W_mK > 0.02 && material->source[0]);
    }
}
END_TEST

START_TEST(stated_readings)
{
    static nr_rig rig;
    accept(&rig,
           MINIMAL "[channel air]\nunit = degF\nconvert = stated\nvalue = 68\nu_value = 3.6\n"
                   "[channel sun]\nunit = W_m2\nconvert = stated\nvalue = 800\n",
           NR_RIG_FOR_ANALYSIS);
    ck_assert(rig.channel[0].law->stated);
    NEAR_RELATIVE(rig.channel[0].u_offset, 2, 1e-12); /* 3.6 degF */
    ck_assert(isnan(rig.channel[1].u_offset));
    /* On the wire there is nothing of it: no field is asked for, and none can be taken twice. */
    accept(&rig,
           "[adapter]\nline = values\n[channel store]\nunit=degC\nfield=1\n"
           "[channel air]\nunit=degC\nconvert = stated\nvalue = 20\n"
           "[channel sun]\nunit=W_m2\nconvert = stated\nvalue = 800\n",
           NR_RIG_FOR_RECORD);
    REFUSE("[channel air]\nunit=degC\nconvert=stated\n", 1, "needs the key value");
    REFUSE("[channel air]\nunit=degC\nconvert=stated\nvalue=1\nu_value=1\nu_offset=1\n", 1,
           "u_value and u_offset|keep one");
    REFUSE("[channel air]\nunit=degC\nconvert=stated\nvalue=1\nu_value=-1\n", 5, "not believable");
}
END_TEST

START_TEST(what_each_reader_needs)
{
    static nr_rig rig;
    nr_err err = {0};
    /* A fit asks for the water itself; nothing else does. */
    accept(&rig, "[collector]\ngross_area_m2=1\n[store]\nlid = yes\n", NR_RIG_FOR_ANALYSIS);
    ck_assert_int_eq(nr_rig_needs_water(&rig, &err), NR_BAD);
    ck_assert_int_eq(err.line, 3);
    ck_assert(strstr(err.text, "water_kg") && strstr(err.text, "missing"));
    ck_assert_str_eq(err.file, "rig.ini");
    accept(&rig, MINIMAL, NR_RIG_FOR_ANALYSIS);
    ck_assert_int_eq(nr_rig_needs_water(&rig, &err), NR_OK);
    /* A table needs channels and no adapter, and no index of a field. */
    accept(&rig, "[channel store]\nunit=degC\n", NR_RIG_FOR_READINGS);
    accept(&rig, "[adapter]\nline=values\n[channel store]\nunit=degC\n", NR_RIG_FOR_READINGS);
    refuse("[collector]\ngross_area_m2=1\n", NR_RIG_FOR_READINGS, 0, "no channel");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {not_stated_is_not_known,
                                  all_of_it_stated,
                                  backs,
                                  incidence_angle_tables,
                                  glazing_is_one_of_three_words,
                                  one_sensor_has_one_place,
                                  words_and_where_they_belong,
                                  instruments_say_what_the_file_does_not,
                                  emissivity_is_of_infrared_thermometers,
                                  the_table_of_instruments_is_sound,
                                  stated_readings,
                                  what_each_reader_needs,
                                  NULL};
    return run_tests("rig_keys", tests);
}
