/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `bath`: what is said of a bath, in both systems and as JSON, and the command on runs that were
 * recorded in one. */
#include "logger/noonlog/bath_show.h"
#include "logger/noonlog/commands.h"

#include "tests/unit/command_run.h"
#include "tests/unit/run/rig_fixture.h"

#define RIG                                                                                        \
    "[adapter]\nport = /dev/null\nline = values\n[channel store]\nunit = degC\nfield = 1\n"        \
    "[channel air]\nunit = degC\nfield = 2\n[channel sun]\nunit = W_m2\nfield = 3\n"               \
    "[channel back]\nunit = degC\nfield = 4\nconvert = pt1000\n"

/* --- what is said ----------------------------------------------------------------------------- */

static nr_rig rig;
static nr_bath_report r;

/* Two probes in ice water, 0.2 K high and 0.5 K low; u of each 0.01 and 0.02 K. */
static void in_ice(void)
{
    accept(&rig, RIG, NR_RIG_FOR_RECORD);
    memset(&r, 0, sizeof r);
    r.baths = 1;
    r.probes = 2;
    r.whole = true;
    r.plan[0] = (nr_bath_plan){.kind = NR_BATH_ICE, .u_K = 0.05};
    r.bath[0] = (nr_bath_result){.u_common_K = 0.05, .bath_rate_K_min = 0.05};
    r.length_s[0] = 300;
    for (size_t i = 0; i < 2; i++) {
        r.set[i].channel = i;
        r.set[i].offset = i ? 0.5 : -0.2;
        r.set[i].u_offset = i ? 0.02 : 0.01;
        for (int b = 0; b < 2; b++)
            r.set[i].probe[b] = (nr_bath_probe){.count = 300,
                                                .difference_K = i ? -0.5 : 0.2,
                                                .u_own_K = i ? 0.02 : 0.01,
                                                .sd_K = 0.004,
                                                .lag1 = 0.95};
    }
}

static const char *shown(bool fahrenheit)
{
    static char text[8000];
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_bath_show(to, &rig, &r, fahrenheit);
    fclose(to);
    return text;
}

static const char *json(void)
{
    static char text[8000];
    FILE *to = fmemopen(text, sizeof text, "w");
    ck_assert_int_eq(nr_bath_show_json(to, &rig, &r), NR_OK);
    fclose(to);
    return text;
}

/* The wording is wrapped: one line of it. */
static const char *flat(const char *text)
{
    static char line[8000];
    size_t n = 0;
    for (; *text && n + 1 < sizeof line; text++)
        if (*text != '\n' && !(*text == ' ' && n && line[n - 1] == ' '))
            line[n++] = *text;
        else if (n && line[n - 1] != ' ')
            line[n++] = ' ';
    line[n] = '\0';
    return line;
}

START_TEST(the_headline)
{
    in_ice();
    /* 1.96 sqrt(0.01^2 + 0.02^2) */
    SAYS(flat(shown(false)), "In ice water of 0.00 °C the thermometers are off by up to 0.50 K; "
                             "with the keys below they agree within 0.04 K (95 %).");
    SAYS(flat(shown(true)), "In ice water of 32.00 °F the thermometers are off by up to 0.90 °F; "
                            "with the keys below they agree within 0.08 °F (95 %).");
    r.plan[0].kind = NR_BATH_RELATIVE;
    r.bath[0].relative = true;
    r.bath[0].bath_degC = 20;
    SAYS(flat(shown(false)), "In one bath of 20.00 °C the thermometers differ by up to 0.70 K;");
    SAYS(flat(shown(false)), "Against the mean of all, 20.00 °C, 300 s:");
    SAYS(flat(shown(false)), "There was no reference");
    r.plan[0].kind = NR_BATH_STATED;
    r.bath[0].relative = false;
    r.probes = 1;
    SAYS(flat(shown(false)), "In one bath of 20.00 °C the thermometer is off by 0.20 K. ");
    SAYS(flat(shown(false)), "Against the stated bath, 20.00 °C");
    r.plan[0].kind = NR_BATH_CHANNEL;
    r.plan[0].reference = 1;
    SAYS(flat(shown(false)), "the thermometer differs by 0.20 K; with the keys");
    SAYS(flat(shown(false)), "Against air, 20.00 °C");
}
END_TEST

START_TEST(two_baths)
{
    in_ice();
    r.baths = 2;
    r.plan[1] = (nr_bath_plan){.kind = NR_BATH_BOILING, .degC = 95, .u_K = 0.1};
    r.bath[1] = (nr_bath_result){.bath_degC = 95, .u_common_K = 0.1, .bath_rate_K_min = -0.05};
    r.length_s[1] = 60;
    r.set[1].probe[1].difference_K = -0.8;
    SAYS(flat(shown(false)), "off by up to 0.50 K, in boiling water of 95.00 °C by up to 0.80 K;");
    SAYS(flat(shown(true)), ", in boiling water of 203.00 °F by up to 1.44 °F;");
    SAYS(flat(shown(false)), "Against boiling water, 95.00 °C, 60 s:");
    r.set[1].rest_K = -0.1;
    SAYS_NOT(shown(false), "has no gain");
    r.set[1].channel = 3;
    r.set[1].rest_K = -0.11;
    SAYS(flat(shown(false)), "back: the error at the two baths differs by 0.22 K; convert = pt1000 "
                             "has no gain");
    r.probes = 1;
    SAYS(flat(shown(false)), ", in boiling water of 95.00 °C by 0.20 K");
}
END_TEST

/* 95 % of a normal distribution lie within 1.96 u. */
START_TEST(the_table)
{
    in_ice();
    SAYS(shown(false), "  store               +0.20 K    +0.18 ..  +0.22     0.004  \n");
    SAYS(shown(false), "  air                 -0.50 K    -0.54 ..  -0.46     0.004  \n");
    SAYS(shown(true), "  store               +0.36 °F    +0.32 ..  +0.40     0.007  \n");
    r.set[0].probe[0].lag1 = 0.951;
    SAYS(shown(false), "0.004  wanders slowly");
    r.set[0].probe[0].drifts = true;
    r.set[0].probe[0].drift_K = 0.3;
    SAYS(shown(false), "still drifting, +0.30 K over the bath\n");
    SAYS(shown(true), "still drifting, +0.54 °F over the bath\n");
    r.set[0].probe[0].constant = true;
    SAYS(shown(false), "never changed: stuck, or a very coarse sensor\n");
}
END_TEST

START_TEST(what_is_common)
{
    in_ice();
    SAYS(flat(shown(false)), "All may still be off together by 0.10 K (95 %)");
    SAYS(flat(shown(true)), "All may still be off together by 0.18 °F (95 %)");
    r.whole = false;
    SAYS(flat(shown(false)), "u_offset contains the reference's own uncertainty, 0.10 K (95 %)");
    SAYS_NOT(shown(false), "The bath changed");
    r.bath[0].bath_rate_K_min = -0.06; /* 0.001 K a second */
    SAYS(flat(shown(false)),
         "The bath changed by -0.06 K a minute: a slow probe then reads 0.001 K");
    SAYS(flat(shown(true)), "changed by -0.11 °F a minute: a slow probe then reads 0.002 °F");
}
END_TEST

START_TEST(the_keys)
{
    in_ice();
    SAYS(shown(false), "\n[channel store]\noffset = -0.200\nu_offset = 0.010\n");
    SAYS(shown(true), "\n[channel air]\noffset = 0.500\nu_offset = 0.020\n");
}
END_TEST

START_TEST(as_json)
{
    in_ice();
    const char *text = json();
    SAYS(text, "\"kind\": \"ice\"");
    SAYS(text, "\"bath_degC\": 0.0");
    SAYS(text, "\"u_common_K\": 0.05");
    SAYS(text, "\"rate_K_min\": 0.05");
    SAYS(text, "\"length_s\": 300.0");
    SAYS_NOT(text, "\"reference\"");
    SAYS(text, "\"value\": 0.2,\n            \"u\": 0.01,\n            \"lo95\": 0.1804,\n"
               "            \"hi95\": 0.2196,\n            \"unit\": \"K\"");
    SAYS(text, "\"readings\": 300");
    SAYS(text, "\"offset\": -0.2,");
    SAYS(text, "\"spread_K\": 0.7");
    SAYS(text, "\"common_left_out\": true");
    r.plan[0].kind = NR_BATH_CHANNEL;
    r.plan[0].reference = 1;
    r.bath[0].u_common_K = NAN;
    SAYS(json(), "\"kind\": \"channel\"");
    SAYS(json(), "\"reference\": \"air\"");
    SAYS(json(), "\"u_common_K\": null");
}
END_TEST

/* --- the command ------------------------------------------------------------------------------ */

/* A run in a bath of `degC`: store and back read 0.2 K high and air 0.5 K low, with a scatter. */
static void bath_run(const char *name, const char *rig_text, double degC)
{
    char path[100], text[20000];
    int n =
        snprintf(text, sizeof text, "time_utc,elapsed_s,store_degC,air_degC,sun_W_m2,back_degC\n");
    scratch_folder(name);
    for (int i = 0; i < 40; i++)
        n += snprintf(text + n, sizeof text - (size_t)n,
                      "2026-05-04T11:22:%02d.000Z,%d.000,%.4f,%.4f,5,%.4f\n", i, i,
                      degC + 0.2 + 0.01 * (i * 7 % 5 - 2), degC - 0.5 + 0.01 * (i * 3 % 5 - 2),
                      degC + 0.2 + 0.01 * (i * 2 % 5 - 2));
    snprintf(path, sizeof path, "%s/readings.csv", name);
    scratch_file(path, text);
    snprintf(path, sizeof path, "%s/rig.ini", name);
    scratch_file(path, rig_text);
}

#define BATH(code, ...) ENDS(code, &nr_cmd_bath, "", in_scratch("bath"), __VA_ARGS__)

START_TEST(of_a_run)
{
    bath_run("bath", RIG, 24);
    BATH(NR_OK, "--units", "si");
    SAYS(flat(said.out), "In one bath of 23.97 °C the thermometers differ by up to 0.70 K");
    BATH(NR_OK, "--units", "us");
    SAYS(flat(said.out), "In one bath of 75.14 °F the thermometers differ by up to 1.26 °F");
    BATH(NR_OK, "--only", "store, air", "--units", "si");
    SAYS(flat(said.out), "In one bath of 23.85 °C the thermometers differ by up to 0.70 K");
    SAYS_NOT(said.out, "[channel back]");
    BATH(NR_BAD, "--only", "store,sun");
    SAYS(said.text, "no thermometer of that name");
    BATH(NR_BAD, "--only", "store,pond");
    BATH(NR_CANNOT, "--only", "store");
    SAYS(said.text, "nothing to be compared with");
    BATH(NR_BAD, "--ice", "--boiling", "--pressure", "1013");
    SAYS(said.text, "2 baths need 2 run folders");
}
END_TEST

START_TEST(against_what)
{
    bath_run("bath", RIG, 24);
    BATH(NR_OK, "--at", "24C", "--u", "0.1", "--units", "si");
    SAYS(flat(said.out), "In one bath of 24.00 °C the thermometers are off by up to 0.50 K");
    BATH(NR_OK, "--at", "75.2", "--u", "0.1", "--units", "us");
    SAYS(flat(said.out), "In one bath of 75.20 °F the thermometers are off by up to 0.90 °F");
    BATH(NR_BAD, "--at", "24C");
    SAYS(said.text, "--u 0.2");
    BATH(NR_BAD, "--at", "warm", "--u", "0.1");
    BATH(NR_OK, "--reference", "air", "--u", "0.1", "--units", "si");
    SAYS(flat(said.out), "Against air, 23.50 °C");
    BATH(NR_BAD, "--reference", "air");
    SAYS(said.text, "how well air is known must be said");
    BATH(NR_BAD, "--reference", "sun", "--u", "0.1");
    BATH(NR_BAD, "--reference", "pond", "--u", "0.1");
    BATH(NR_OK, "--ice", "--json");
    SAYS(said.out, "\"u_common_K\": 0.05");
    BATH(NR_OK, "--ice", "--u", "0.3", "--json");
    SAYS(said.out, "\"u_common_K\": 0.3");
    BATH(NR_BAD, "--boiling");
    SAYS(said.text, "give [site] elevation_m or --pressure");
    BATH(NR_OK, "--boiling", "--pressure", "1013.25", "--json"); /* 100 degC, ITS-90: 99.97 */
    SAYS(said.out, "\"bath_degC\": 99.97");
}
END_TEST

START_TEST(reference_of_known_uncertainty)
{
    bath_run("bath", RIG "[channel oil]\nunit = degC\nfield = 5\nu_offset = 0.07\n", 24);
    BATH(NR_CANNOT, "--reference", "oil"); /* it gave nothing, but how well it is known is clear */
    bath_run("other", "[site]\nelevation_m = 0\n" RIG, 24);
    ENDS(NR_OK, &nr_cmd_bath, "", in_scratch("other"), "--boiling", "--json");
    SAYS(said.out, "\"bath_degC\": 99.97");
}
END_TEST

/* Ice and boiling water: gain and offset of what has a gain. 0.2 K and 0.5 K at both ends are no
 * gain. The keys go into a file that says of the channels what the bath's said. */
START_TEST(of_two_runs)
{
    bath_run("bath", RIG, 0);
    bath_run("hot", RIG, 99.97);
    const char *hot = in_scratch("hot");
    BATH(NR_OK, hot, "--ice", "--boiling", "--pressure", "1013.25", "--units", "si");
    SAYS(said.out, "[channel store]\nconvert = linear\ngain = 1.000");
    SAYS(said.out, "[channel back]\noffset = -0.19");
    SAYS_NOT(said.out, "[channel sun]");
    char *own = scratch_file("own.ini", RIG);
    BATH(NR_OK, hot, "--ice", "--boiling", "--pressure", "1013.25", "--write", own);
    SAYS(scratch_read("own.ini"), "[channel air]\nunit = degC\nfield = 2\nconvert = linear");
    SAYS(said.text, "the keys are in");
    BATH(NR_BAD, hot, "--ice", "--boiling", "--pressure", "1013.25", "--write", own);
    SAYS(said.text, "is not converted here as it was in the bath"); /* it has them already */
    BATH(NR_OK, hot, "--ice", "--boiling", "--pressure", "1013.25", "--write",
         in_scratch("new.ini"));
    SAYS(scratch_read("new.ini"), "convert = linear");
    scratch_file("own.ini", "[adapter]\nline = values\n[channel store]\nunit = degC\nfield = 1\n");
    BATH(NR_BAD, hot, "--ice", "--boiling", "--pressure", "1013.25", "--write", own);
    SAYS(said.text, "has no [channel air]");
    scratch_file("hot/rig.ini", RIG "offset = 0.1\n");
    BATH(NR_BAD, hot, "--ice", "--boiling", "--pressure", "1013.25");
    SAYS(said.text, "[channel back] is not converted here");
}
END_TEST

/* Each of what decides how a reading is made. */
START_TEST(converted_otherwise)
{
    static const char *const others[] = {"offset = 0.1\n", "convert = linear\n"};
    char text[600], *own;
    bath_run("bath",
             "[adapter]\nport = /dev/null\nline = values\n[channel store]\nunit = degC\n"
             "field = 1\n[channel air]\nunit = degC\nfield = 2\n",
             24);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        snprintf(text, sizeof text,
                 "[adapter]\nport = /dev/null\nline = values\n[channel store]\nunit = degC\n"
                 "field = 1\n%s[channel air]\nunit = degC\nfield = 2\n",
                 others[i]);
        own = scratch_file("own.ini", text);
        BATH(NR_BAD, "--at", "24C", "--u", "0.1", "--write", own);
        SAYS(said.text, "own.ini:4: [channel store] is not converted here");
    }
    own =
        scratch_file("own.ini", "[adapter]\nport = /dev/null\nline = values\n[channel store]\n"
                                "unit = degF\nfield = 1\n[channel air]\nunit = degC\nfield = 2\n");
    BATH(NR_BAD, "--at", "24C", "--u", "0.1", "--write", own);
    SAYS(said.text, "[channel store] is not converted here");
    scratch_file("bath/rig.ini", "[adapter]\nport = /dev/null\nline = values\n[channel store]\n"
                                 "unit = degC\nfield = 1\nconvert = linear\ngain = 2\n");
    own = scratch_file("own.ini", "[adapter]\nport = /dev/null\nline = values\n[channel store]\n"
                                  "unit = degC\nfield = 1\nconvert = linear\ngain = 2.1\n");
    BATH(NR_BAD, "--at", "24C", "--u", "0.1", "--write", own);
    SAYS(said.text, "[channel store] is not converted here");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_headline,
                                  two_baths,
                                  the_table,
                                  what_is_common,
                                  the_keys,
                                  as_json,
                                  of_a_run,
                                  against_what,
                                  reference_of_known_uncertainty,
                                  converted_otherwise,
                                  of_two_runs,
                                  NULL};
    return run_tests_in("bath", tests, scratch_make, scratch_remove);
}
