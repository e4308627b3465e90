/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every picture, drawn by the real gnuplot from made-up answers: it complains about nothing, the
 * words are there, the sizes are right, and odd answers (one channel, six builds, nothing known,
 * hostile names) draw too. How they look is judged by eye. */
#include "plots/budget.h"
#include "plots/picture.h"
#include "plots/plots.h"
#include "tests/unit/near.h"
#include "tests/unit/plots/fixture.h"
#include "tests/unit/plots/svg.h"

#include <sys/stat.h>
#include <unistd.h>

static char folder[64], path[128], program[128], said[128];
static nr_plot_style style;
static fixture x;

/* gnuplot behind a script that keeps what it says: a warning is a fault of ours. */
static void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-pictures-XXXXXX")));
    (void)snprintf(program, sizeof program, "%s/gnuplot", folder);
    (void)snprintf(said, sizeof said, "%s/said", folder);
    FILE *f = fopen(program, "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "#!/bin/sh\nexec gnuplot \"$@\" 2>'%s'\n", said);
    fclose(f);
    ck_assert_int_eq(chmod(program, 0755), 0);
    style = (nr_plot_style){.gnuplot = program};
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0); /* the dates below are of this clock */
    x = (fixture){.seed = 1};
}

static void tear_down(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
    fixture_done(&x);
}

static char *slurp(const char *name, size_t *size)
{
    FILE *f = fopen(name, "rb");
    ck_assert_msg(f != NULL, "no %s", name);
    fseek(f, 0, SEEK_END);
    *size = (size_t)ftell(f);
    rewind(f);
    char *text = calloc(1, *size + 1);
    ck_assert_ptr_nonnull(text);
    ck_assert_uint_eq(fread(text, 1, *size, f), *size);
    fclose(f);
    return text;
}

static const char *in_folder(const char *name)
{
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void drawn(nr_code code, const nr_err *err)
{
    size_t size;
    ck_assert_msg(code == NR_OK, "%s", err->text);
    char *complaints = slurp(said, &size);
    ck_assert_msg(size == 0, "gnuplot says: %s", complaints);
    free(complaints);
    if (strstr(path, ".svg")) {
        svg *s = svg_read(path);
        svg_holds(s, path + strlen(folder) + 1);
        free(s);
    }
}

/* The words of the SVG, NULL-ended. */
static void shows(const char *const *words)
{
    size_t size;
    char *text = slurp(path, &size);
    for (; *words != NULL; words++)
        ck_assert_msg(strstr(text, *words) != NULL, "%s: no \"%s\"", path, *words);
    ck_assert_ptr_null(strstr(text, ">nan"));
    ck_assert_ptr_null(strstr(text, ">NaN"));
    ck_assert_ptr_null(strstr(text, "<script"));
    free(text);
}

#define SHOWS(...) shows((const char *const[]){__VA_ARGS__, NULL})

static void lacks(const char *const *words)
{
    size_t size;
    char *text = slurp(path, &size);
    for (; *words != NULL; words++)
        ck_assert_msg(strstr(text, *words) == NULL, "%s: \"%s\"", path, *words);
    free(text);
}

#define LACKS(...) lacks((const char *const[]){__VA_ARGS__, NULL})

START_TEST(fit)
{
    nr_err err;
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    drawn(nr_plot_fit(f, in_folder("fit.svg"), &style, &err), &err);
    SHOWS("Glazed wash stand: 71 % at zero loss, 8.1 W/(m\u00b2 K)", "4 May 2026", "51.87\u00b0 N",
          ">store<", ">outlet<", ">air<", "Irradiance, W/m\u00b2", "0.668 to 0.756",
          "minutes from the start", "\u00b12 s = \u00b10.072",
          ">K warmer than the air, in 900 W/m\u00b2 of sun<");
    style.us_units = true;
    drawn(nr_plot_fit(f, in_folder("us.svg"), &style, &err), &err);
    SHOWS("1.4 Btu/(h ft\u00b2 \u00b0F)", "Temperature, \u00b0F", "gal/min", "1.21 to 1.65");
    drawn(nr_plot_budget(f, in_folder("budget.svg"), &style, &err), &err);
    /* 1.96 hypot(0.004, 0.0221) is 0.044, of which 91 % of the square is the pyranometer's; 1.96
     * hypot(0.5, 0.4) Btu/h is 0.22, the model's 42 % of its square 0.14. */
    SHOWS("What limits the answer: irradiance sensor, gain", ">0.044<", ">0.042<", ">0.22<",
          ">0.14<", ">gross area<");
    drawn(nr_plot_energy(f, in_folder("energy.svg"), &style, &err), &err);
    SHOWS("61 % of the sun", "kept in the water", "Btu/h", "not absorbed");
}
END_TEST

START_TEST(fit_with_little_in_it)
{
    nr_err err;
    fixture_build b = fixture_glazed;
    b.loop = false;
    b.clouds = true;
    nr_fit *f = fixture_fit(&x, &b, 1);
    f->a1 = fixture_unknown(NR_UNIT_W_M2K);
    f->stagnation_K = fixture_unknown(NR_UNIT_K);
    f->points = 0;
    f->collector_name[0] = '\0';
    f->run[0].start_utc_s = NAN;
    f->run[0].latitude_deg = NAN;
    f->residual_rms_K = NAN;
    drawn(nr_plot_fit(f, in_folder("few.svg"), &style, &err), &err);
    SHOWS("Collector: 71 % at zero loss", "not determined", ">store<");
    for (size_t i = 0; i < f->run[0].blocks; i++) {
        f->run[0].channel[0].measured[i] = f->run[0].channel[0].residual[i] = NAN;
        f->run[0].channel[0].modelled[i] = f->run[0].air_degC[i] = NAN;
        f->run[0].sun_W_m2[i] = NAN;
    }
    f->curve_points = 0;
    f->eta0 = fixture_unknown(NR_UNIT_ONE);
    f->run_efficiency = fixture_unknown(NR_UNIT_ONE);
    drawn(nr_plot_fit(f, in_folder("none.svg"), &style, &err), &err);
    SHOWS("Collector: the efficiency could not be determined");
    drawn(nr_plot_energy(f, in_folder("energy.svg"), &style, &err), &err);
    f->budget_items = 0;
    ck_assert_int_eq(nr_plot_budget(f, in_folder("no.svg"), &style, &err), NR_CANNOT);
    f->runs = 0;
    ck_assert_int_eq(nr_plot_fit(f, in_folder("no.svg"), &style, &err), NR_BAD);
}
END_TEST

START_TEST(several_runs)
{
    nr_err err;
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 8);
    (void)snprintf(f->run[1].folder, sizeof f->run[1].folder, "sample-runs/glazed-started-hot");
    f->run[2].channels = 1; /* one rig had lost its loop sensors */
    drawn(nr_plot_fit(f, in_folder("runs.svg"), &style, &err), &err);
    SHOWS("8 runs fitted together (the first 6 shown)", "-hot<", "from the start of each run");
    drawn(nr_plot_energy(f, in_folder("energy.svg"), &style, &err), &err);
}
END_TEST

START_TEST(comparison)
{
    nr_err err;
    fixture_build b[6] = {fixture_glazed, fixture_bare, fixture_glazed,
                          fixture_bare,   fixture_bare, fixture_glazed};
    static const char *const names[] = {"A", "B", "C twin coil", "D", "E", "F"};
    for (int i = 0; i < 6; i++) {
        b[i].name = names[i];
        b[i].eta0 -= 0.03 * i;
    }
    for (size_t n = 1; n <= 6; n++) {
        nr_compare *c = fixture_compare(&x, b, n);
        style.us_units = n % 2 == 1;
        drawn(nr_plot_compare(c, in_folder("compare.svg"), &style, &err), &err);
        char of[48];
        (void)snprintf(of, sizeof of, "A heats up first of %zu: ", n);
        SHOWS(n == 1 ? "Only A reaches the target" : n == 2 ? "A is " : of);
        if (n < 3)
            SHOWS(style.us_units ? "target 104 \u00b0F" : "target 40 \u00b0C");
        if (n == 2)
            SHOWS("cross at 6 K over air", "A \u2212 B, 95 %", "heating from 15 to 40 \u00b0C",
                  "95 % bands", ">A<", ">B<");
        if (n > 2)
            SHOWS("C twin coil", "95 % intervals", "group", ">1 to ", "all pairs together at 95 %");
    }
    nr_compare *none = fixture_compare(&x, b, 2);
    for (int i = 0; i < 2; i++)
        none->heat_up[i].time_s = fixture_unknown(NR_UNIT_S);
    none->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
    nr_verdict_judge(none);
    drawn(nr_plot_compare(none, in_folder("none.svg"), &style, &err), &err);
    SHOWS("No build reaches the target", "A: not reached", "not determined");
    none->heat_up[0].count = none->heat_up[1].count = 0;
    drawn(nr_plot_compare(none, in_folder("empty.svg"), &style, &err), &err);
}
END_TEST

/* Long names that differ only at their end stay apart, in full in the legend; a curve that holds
 * the container's loss says so. */
START_TEST(long_names)
{
    nr_err err;
    fixture_build b[6] = {fixture_glazed, fixture_bare, fixture_glazed,
                          fixture_bare,   fixture_bare, fixture_glazed};
    static const char *const names[] = {"Market garden wash stand with glass, 4 mm",
                                        "Market garden wash stand with glass, 3 mm",
                                        "Marketgardenwashstandbehindtheseedlingtunnelwithglass4mm",
                                        "Marketgardenwashstandbehindtheseedlingtunnelwithglass3mm",
                                        "Marketgardenwashstandbehindtheseedlingtunnelwithglass2mm",
                                        "Market garden, bare"};
    for (int i = 0; i < 6; i++)
        b[i].name = names[i];
    nr_compare *c = fixture_compare(&x, b, 2);
    c->build[1]->loss_includes_store = true;
    drawn(nr_plot_compare(c, in_folder("two.svg"), &style, &err), &err);
    SHOWS(">Market garden wash stand with glass, 4 mm<",
          ">Market garden wash stand with glass, 3 mm (loss with the container\u2019s)<", ">Market",
          "glass, 4 mm is ", "glass, 3 mm (95 %: ", ">4 mm \u2212 3 mm, 95 %<");
    c = fixture_compare(&x, b + 2, 2); /* one word: nothing to leave out at a blank */
    drawn(nr_plot_compare(c, in_folder("word.svg"), &style, &err), &err);
    SHOWS(">Marketgardenwashstandbehindtheseedlingtunnelwithglass4mm<", "glass4mm is ",
          "glass3mm (", "glass4mm<", ">\u2212 \u2026", "glass3mm, 95 %<");
    LACKS("container\u2019s");
    c = fixture_compare(&x, b, 6);
    for (int i = 0; i < 6; i++)
        c->build[i]->loss_includes_store = true;
    drawn(nr_plot_compare(c, in_folder("six.svg"), &style, &err), &err);
    for (int i = 0; i < 6; i++) {
        char text[128];
        (void)snprintf(text, sizeof text, ">%s<", names[i]);
        SHOWS(text);
    }
}
END_TEST

/* As many as there can be, each with its name in full; those told apart from the first are not its
 * colour. A title leaves no name out where there is room. */
START_TEST(many_builds)
{
    nr_err err;
    fixture_build b[NR_BUILDS];
    char names[NR_BUILDS][NR_NAME];
    for (int i = 0; i < NR_BUILDS; i++) {
        b[i] = fixture_glazed;
        (void)snprintf(names[i], NR_NAME, "%d%s", i + 1,
                       i % 2 ? "" : ": twice glazed, with the panes of the old tunnel");
        b[i].name = names[i];
        b[i].eta0 -= 0.01 * i;
    }
    b[NR_BUILDS - 1].eta0 = 0.2;
    nr_compare *c = fixture_compare(&x, b, NR_BUILDS);
    style.us_units = false;
    drawn(nr_plot_compare(c, in_folder("many.svg"), &style, &err), &err);
    for (int i = 0; i < NR_BUILDS; i++) {
        char text[128];
        (void)snprintf(text, sizeof text, ">%.100s<", names[i]);
        SHOWS(text);
    }
    SHOWS("does not get there", "1 to 24");
    fixture_build two[2] = {fixture_glazed, fixture_bare};
    two[0].name = "wash-stand-glazed";
    two[1].name = "wash-stand-bare";
    drawn(nr_plot_compare(fixture_compare(&x, two, 2), in_folder("title.svg"), &style, &err), &err);
    SHOWS(">wash-stand-glazed is ", " min faster than wash-stand-bare (95 %: ");
    /* Thirty narrow letters take less than half of the room: whole, though the wide ones are cut.
     */
    two[0].name = "ill till still fill; till fill";
    two[1].name = "WIDE WINDOWS WITH WOOD AND WOOL OF WW AND W";
    drawn(nr_plot_compare(fixture_compare(&x, two, 2), in_folder("narrow.svg"), &style, &err),
          &err);
    SHOWS(">ill till still fill; till fill is ", " min faster than WIDE W");
    LACKS("min faster than WIDE WINDOWS WITH WOOD AND WOOL OF WW AND W (");
}
END_TEST

/* Where no build gets there, names are at the lines, not where those would meet the target; a time
 * that is not known is no axis about zero. */
START_TEST(none_gets_there)
{
    nr_err err;
    const fixture_build b[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, b, 2);
    c->day.to_degC = 95;
    for (size_t k = 0; k < 2; k++)
        c->heat_up[k].time_s = fixture_unknown(NR_UNIT_S);
    c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
    nr_verdict_judge(c);
    drawn(nr_plot_compare(c, in_folder("none.svg"), &style, &err), &err);
    SHOWS("No build reaches the target", ": not reached<", "heat-up time, min: not determined");
    LACKS(">\u22121<", ">\u22120.5<");
}
END_TEST

/* A gain whose interval holds zero is no gain. */
START_TEST(no_clear_difference)
{
    nr_err err;
    const fixture_build b[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, b, 2);
    c->difference[0].heat_up_s = fixture_quantity(-60, 60, 60, NR_UNIT_S);
    nr_verdict_judge(c);
    ck_assert(c->verdict.best == 0 && c->verdict.next == 1);
    drawn(nr_plot_compare(c, in_folder("equal.svg"), &style, &err), &err);
    SHOWS("No clear difference in heat-up time");
}
END_TEST

START_TEST(prediction)
{
    nr_err err;
    nr_predict *p = fixture_predict(&x, true, false);
    drawn(nr_plot_predict(p, in_folder("predict.svg"), &style, &err), &err);
    SHOWS("43 \u00b0C after 132 min (95 %: 116 to 148)", "49 \u00b0C: scalds from here on",
          "43 \u00b0C: target");
    style.us_units = true;
    drawn(nr_plot_predict(fixture_predict(&x, false, true), in_folder("sky.svg"), &style, &err),
          &err);
    SHOWS("clear sky of 19 June 2026", "120 \u00b0F: scalds from here on");
    style.us_units = false;
    p = fixture_predict(&x, false, false);
    drawn(nr_plot_predict(p, in_folder("not.svg"), &style, &err), &err);
    SHOWS("43 \u00b0C is not reached: 38 \u00b0C in the end");
    p->count = 0;
    ck_assert_int_eq(nr_plot_predict(p, in_folder("no.svg"), &style, &err), NR_BAD);
}
END_TEST

/* The clock on top is the one the question was asked in, wherever this machine stands. */
START_TEST(clock_of_the_question)
{
    nr_err err;
    nr_predict *p = fixture_predict(&x, false, true); /* 240 min from 9:00 solar time */
    ck_assert_int_eq(setenv("TZ", "XXX+7", 1), 0);    /* 19 June begins on the 18th here */
    drawn(nr_plot_predict(p, in_folder("solar.svg"), &style, &err), &err);
    SHOWS(">solar time<", ">9:00<", ">12:00<", "clear sky of 19 June 2026");
    p->day.clock_given = true;
    p->day.clock_ahead_s = 5.5 * 3600 - 0.63 * 240; /* 14:27 at the start */
    drawn(nr_plot_predict(p, in_folder("zone.svg"), &style, &err), &err);
    SHOWS(">clock, UTC+05:30<", ">15:00<", ">18:00<", "clear sky of 19 June 2026");
    p->day.clear_sky = false;
    drawn(nr_plot_predict(p, in_folder("steady.svg"), &style, &err), &err);
    LACKS("clock, UTC", ">15:00<");
}
END_TEST

START_TEST(pump)
{
    nr_err err;
    nr_pump *p = fixture_pump(&x, true, true);
    drawn(nr_plot_pump(p, in_folder("pump.svg"), &style, &err), &err);
    /* FR 0.94 - 0.08/2 against 0.86: 4.65 %, u 0.14; turbulent both: 2^2.75 is 6.7. */
    SHOWS("Twice the flow gathers 4.7 % more heat for 7 times the pumping power",
          "Glazed wash stand, 4 May 2026; 880 W/m\u00b2 of sun", ">the record: 1.05 L/min<",
          "95 %: 1.02 to 1.08", ">laminar<", ">either<", ">turbulent<", "half: \u22129.3 %",
          ">+7.0 %<", "enters at 20.5 \u00b0C", "0.860 (95 %: 0.846 to 0.874)", ">60 kPa<", ">1 W<",
          "262 (223 to 301), 3 stops", "381 (338 to 424), 1 start<");
    style.us_units = true;
    drawn(nr_plot_pump(p, in_folder("us.svg"), &style, &err), &err);
    SHOWS(">the record: 0.277 gal/min<", "enters at 68.9 \u00b0F", ">8.7 psi<",
          "83 (71 to 95), 3 stops", "Btu/(h ft\u00b2)");
    style.us_units = false;
}
END_TEST

START_TEST(pump_with_little_known)
{
    nr_err err;
    nr_pump *p = fixture_pump(&x, false, false);
    p->flow_measured = false;
    drawn(nr_plot_pump(p, in_folder("mains.svg"), &style, &err), &err);
    SHOWS("Twice the flow gathers 4.7 % more heat, half of it 9.3 % less", "by inlet and outlet",
          "Friction and pumping power: not known", "tube_length_m");
    LACKS("stalls below", "kPa", ">laminar<");
    p = fixture_pump(&x, true, true);
    p->panel.start = (nr_pump_threshold){0, fixture_unknown(NR_UNIT_W_M2)};
    p->removal = p->flow_L_min = fixture_unknown(NR_UNIT_ONE);
    drawn(nr_plot_pump(p, in_folder("few.svg"), &style, &err), &err);
    SHOWS("not seen in this record", "262 (223 to 301), 3 stops");
    p->rows = 0;
    ck_assert_int_eq(nr_plot_pump(p, in_folder("no.svg"), &style, &err), NR_BAD);
}
END_TEST

START_TEST(sizing)
{
    nr_err err;
    nr_size *z = fixture_size(&x, true, true);
    z->asked.tap_degC = 10;
    z->asked.use_degC = 38;
    z->asked.use_L = 5;
    z->use = (nr_size_use){60.5, 12.1, 10.2, 14.4};
    drawn(nr_plot_size(z, in_folder("size.svg"), &style, &err), &err);
    SHOWS("43 \u00b0C by 15:00 is reached: 50 \u00b0C (95 %: 46 to 53)",
          "40 kg of water from 15 \u00b0C, clear sky of 19 June 2026", ">just 0.70 m\u00b2<",
          ">sure 0.81 m\u00b2<", ">just 62.9 kg<", ">sure 54.7 kg<", ">as asked: 50 \u00b0C<",
          ">more likely than not<", ">sure (95 %)<", "Water that reaches 43 \u00b0C, kg",
          "UTC+02:00: 13:00 at the latest, 12:30 to be", ">too late<",
          "or 12 uses of 5 L (95 %: 10 to 14)");
    style.us_units = true;
    drawn(nr_plot_size(z, in_folder("us.svg"), &style, &err), &err);
    SHOWS("109 \u00b0F by 15:00 is reached: 122 \u00b0F", ">just 7.5 ft\u00b2<", ">just 16.64 gal<",
          "12 uses of 1.32 gal");
    style.us_units = false;
    drawn(nr_plot_size(fixture_size(&x, false, false), in_folder("not.svg"), &style, &err), &err);
    SHOWS("80 \u00b0C within 120 min is not reached", "no size and no amount reaches it",
          "steady sun of 900 W/m\u00b2");
    LACKS("too late", "just ", "uses");
    z = fixture_size(&x, true, true);
    z->area_m2.sure = z->water_kg.sure = z->latest_s.sure = NAN;
    z->asked.day.clock_given = false;
    drawn(nr_plot_size(z, in_folder("hardly.svg"), &style, &err), &err);
    SHOWS(">none is 95 % sure<", "at the latest, none is 95 % sure", "solar time: ");
    z->warmest_degC = fixture_unknown(NR_UNIT_DEGC);
    for (int i = 0; i < NR_SIZE_CURVE; i++)
        z->by_area[i].warmest_degC = z->by_water[i].warmest_degC = fixture_unknown(NR_UNIT_DEGC);
    drawn(nr_plot_size(z, in_folder("none.svg"), &style, &err), &err);
    /* What was asked lies on the border: its two crossings meet there, and share their words. */
    z = fixture_size(&x, true, true);
    z->area_m2.sure = z->fit->gross_area_m2 + 0.01;
    z->water_kg.sure = z->asked.day.water_kg - 0.5;
    drawn(nr_plot_size(z, in_folder("border.svg"), &style, &err), &err);
    SHOWS(" m\u00b2, 39.5 kg<", ">just 62.9 kg<");
    LACKS(">sure 39.5 kg<");
}
END_TEST

START_TEST(months)
{
    nr_err err;
    static const double season[NR_MONTHS] = {0.02, 0.3,  0.7,  0.97, 0.99, 0.99,
                                             0.99, 0.99, 0.97, 0.6,  0.2,  -1};
    static const double winter[NR_MONTHS] = {0.99, 0.99, 0.2, 0.2, 0.2, 0.2,
                                             0.2,  0.2,  0.2, 0.2, 0.2, 0.96};
    nr_size *z = fixture_size(&x, true, true);
    fixture_months(z, season);
    drawn(nr_plot_size(z, in_folder("months.svg"), &style, &err), &err);
    SHOWS("43 \u00b0C by 15:00, clear sky: sure from April to September, likely in 2 more",
          "the 21st of each month of 2026, best start; UTC+02:00", ">no<", ">unlikely<", ">likely<",
          ">yes<", ">no sun<", ">13:57<", ">most water, kg<", ">target 43 \u00b0C<");
    LACKS(">uses<");
    z->asked.tap_degC = 10;
    fixture_months(z, winter);
    style.us_units = true;
    drawn(nr_plot_size(z, in_folder("winter.svg"), &style, &err), &err);
    SHOWS("109 \u00b0F by 15:00, clear sky: sure from December to February", ">uses<",
          ">most water, gal<", ">scalds 120 \u00b0F<");
    style.us_units = false;
    const double none[NR_MONTHS] = {-1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};
    fixture_months(z, none);
    drawn(nr_plot_size(z, in_folder("dark.svg"), &style, &err), &err);
    SHOWS("sure in no month", ">no sun<");
}
END_TEST

START_TEST(plan)
{
    nr_err err;
    nr_plan *p = fixture_plan(&x, false);
    drawn(nr_plot_plan(p, in_folder("plan.svg"), &style, &err), &err);
    SHOWS("In 90 minutes: \u03b7\u2080 \u00b10.044, a\u2081 with the container \u00b11.3 "
          "W/(m\u00b2 K)",
          "steady sun of 900 W/m\u00b2", ">As planned<", ">0.044<", ">1.3<",
          /* 95 %: 1.96 times u; another quantity is not said to be less. */
          ">0.9 (\u221225 %)<", "8 K colder. Cost: nothing.", "Cost: an evening.", ">1.5<",
          ">0.022 (\u221250 %)<", "Cost: money.", "Hollow bar: the collector", ">0.042<",
          "at \u22124 to +13 K over the air");
    LACKS("1.5 (");
    style.us_units = true;
    drawn(nr_plot_plan(fixture_plan(&x, true), in_folder("us.svg"), &style, &err), &err);
    SHOWS("a\u2081 with the container \u00b10.22 Btu/(h ft\u00b2 \u00b0F)", "14 \u00b0F colder",
          "clear sky of 19 June 2026", ">0.17 (\u221225 %)<", "\u22127 to +24 \u00b0F");
    style.us_units = false;
    p->steps = 0;
    p->loss_includes_store = false;
    p->fit->a1 = fixture_unknown(NR_UNIT_W_M2K);
    p->fit->budget_items = 0;
    drawn(nr_plot_plan(p, in_folder("none.svg"), &style, &err), &err);
    SHOWS("None of the usual improvements", "not determined");
    LACKS("Hollow bar", "cheapest first", "made of");
    for (int i = 0; i < 10; i++)
        fixture_step(p, NR_PLAN_COOL_DOWN, NR_COST_MONEY, 0.02, 0.6, false);
    drawn(nr_plot_plan(p, in_folder("many.svg"), &style, &err), &err);
}
END_TEST

/* A small budget shows what matters to either result. */
START_TEST(short_budget)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    nr_bars b = nr_budget_bars(f, 3);
    ck_assert_uint_eq(b.count, 4);
    ck_assert_str_eq(b.label[0], "irradiance sensor, gain");
    ck_assert_str_eq(b.label[1], "random: noise, wind, mixing");
    ck_assert_str_eq(b.label[2], "air sensor, offset"); /* 0.5 % of eta0, but 22 % of a1 */
    ck_assert_str_eq(b.label[3], "everything else (4)");
    for (int k = 0; k < 2; k++)
        NEAR(b.share[0][k] + b.share[1][k] + b.share[2][k] + b.share[3][k], 1, 1e-9);
}
END_TEST

START_TEST(inspection)
{
    nr_err err;
    nr_run *run;
    nr_inspect *i = fixture_inspect(&x, 9, &run);
    drawn(nr_plot_inspect(i, run, in_folder("inspect.svg"), &style, &err), &err);
    SHOWS("1 fault, 1 doubt: usable for store and loop", "fault: air stuck, 70 to 80 min",
          "note: outlet spikes, at 25 min", "Voltage, V", ">wind<", ">box<",
          ">\u2460 20 min, note: lid off<", ">\u2461 40 min, pump: off: shade<", ">\u2460<");
    LACKS("recording starts");
    i = fixture_inspect(&x, 1, &run);
    i->findings = 0;
    drawn(nr_plot_inspect(i, run, in_folder("one.svg"), &style, &err), &err);
    SHOWS("A good record: usable for the store alone");
    for (size_t k = 0; k < run->readings->rows; k++)
        run->readings->column[0].value[k] = NAN;
    ck_assert_int_eq(nr_plot_inspect(i, run, in_folder("no.svg"), &style, &err), NR_CANNOT);
}
END_TEST

START_TEST(forms)
{
    nr_err err;
    size_t size;
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    drawn(nr_plot_fit(f, in_folder("fit.png"), &style, &err), &err);
    unsigned char *png = (unsigned char *)slurp(path, &size);
    ck_assert(size > 24 && memcmp(png, "\x89PNG\r\n\x1a\n", 8) == 0);
    ck_assert_uint_eq(png[18] * 256u + png[19], 1200); /* IHDR: width, height */
    ck_assert_uint_eq(png[22] * 256u + png[23], 800);
    free(png);
    drawn(nr_plot_fit(f, in_folder("fit.pdf"), &style, &err), &err);
    char *pdf = slurp(path, &size);
    ck_assert(strncmp(pdf, "%PDF-", 5) == 0);
    free(pdf);
    ck_assert_int_eq(nr_plot_fit(f, in_folder("fit.jpg"), &style, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, ".png, .svg or .pdf"));
    ck_assert_int_eq(nr_plot_fit(f, in_folder("fit"), &style, &err), NR_BAD);
}
END_TEST

START_TEST(hostile_names)
{
    nr_err err;
    char harm[80], name[256];
    (void)snprintf(harm, sizeof harm, "%.60s/harm", folder);
    (void)snprintf(name, sizeof name,
                   "`touch %s` '.system('touch %s').' <script>alert(1)</script> {/Bold @x}", harm,
                   harm);
    fixture_build b = fixture_glazed;
    b.name = b.folder = b.title = name;
    fixture_build two[2] = {b, b};
    nr_fit *f = fixture_fit(&x, &b, 2);
    (void)snprintf(f->budget[0].label, sizeof f->budget[0].label, "%.90s", name);
    drawn(nr_plot_fit(f, in_folder("fit.svg"), &style, &err), &err);
    SHOWS("\u2018touch ");
    drawn(nr_plot_budget(f, in_folder("budget.svg"), &style, &err), &err);
    drawn(nr_plot_energy(f, in_folder("energy.svg"), &style, &err), &err);
    drawn(nr_plot_compare(fixture_compare(&x, two, 2), in_folder("compare.svg"), &style, &err),
          &err);
    SHOWS("\u2018touch ");
    nr_predict *p = fixture_predict(&x, true, true);
    p->fit = f;
    drawn(nr_plot_predict(p, in_folder("predict.svg"), &style, &err), &err);
    nr_size *size = fixture_size(&x, true, true);
    size->fit = f;
    drawn(nr_plot_size(size, in_folder("size.svg"), &style, &err), &err);
    SHOWS("\u2018touch ");
    nr_plan *planned = fixture_plan(&x, false);
    planned->fit = f;
    drawn(nr_plot_plan(planned, in_folder("plan.svg"), &style, &err), &err);
    SHOWS("\u2018touch ");
    nr_pump *loop = fixture_pump(&x, true, true);
    loop->fit = f;
    drawn(nr_plot_pump(loop, in_folder("pump.svg"), &style, &err), &err);
    SHOWS("\u2018touch ");
    nr_run *run;
    nr_inspect *i = fixture_inspect(&x, 9, &run);
    for (size_t k = 0; k < 9; k++) {
        (void)snprintf(run->readings->column[k].channel, NR_NAME, "%.60s", name);
        if (k % 2 == 0)
            (void)snprintf(run->readings->column[k].unit, NR_NAME, "%.60s", name);
    }
    (void)snprintf(i->finding[0].channel, NR_NAME, "%.30s", name);
    (void)snprintf(i->folder, sizeof i->folder, "%s", name);
    drawn(nr_plot_inspect(i, run, in_folder("inspect.svg"), &style, &err), &err);
    SHOWS("\u2018touch ");
    ck_assert_int_ne(access(harm, F_OK), 0);
}
END_TEST

START_TEST(labels_move_apart)
{
    double at[5] = {10, 10, 10.2, 3, 30};
    nr_spread(at, 5, 2, 0, 30);
    double sorted[5] = {at[3], at[0], at[1], at[2], at[4]};
    for (int i = 1; i < 5; i++)
        ck_assert_msg(sorted[i] - sorted[i - 1] >= 2 - 1e-6, "%g %g", sorted[i - 1], sorted[i]);
    NEAR(at[3], 3, 1e-9); /* nobody near: not moved */
    double crowd[6] = {5, 5, 5, 5, 5, 5};
    nr_spread(crowd, 6, 100, 0, 10); /* more than fits: evenly over all there is */
    for (int i = 0; i < 6; i++)
        NEAR(crowd[i], 2.0 * i, 1e-6);
}
END_TEST

START_TEST(round_limits)
{
    nr_limits l = nr_nice(16.2, 43.1, 5, false);
    NEAR(l.lo, 10, 1e-9);
    NEAR(l.hi, 50, 1e-9);
    NEAR(l.step, 10, 1e-9);
    l = nr_nice(NAN, NAN, 5, true);
    ck_assert(l.lo == 0 && l.hi == 1 && l.step > 0);
    l = nr_nice(7, 7, 5, false);
    ck_assert(l.lo < 7 && l.hi > 7);
    unsigned seed = 12;
    for (int i = 0; i < 10000; i++) {
        double lo = rand_r(&seed) % 2000 - 1000, hi = lo + rand_r(&seed) % 1000 / 7.0;
        l = nr_nice(lo, hi, 5, i % 2 == 0);
        ck_assert(l.lo <= lo + 1e-6 && l.hi >= hi - 1e-6 && l.step > 0);
        ck_assert((l.hi - l.lo) / l.step < 9);
    }
}
END_TEST

START_TEST(signs)
{
    char text[96] = "deg, from -12 degC to degF; 0.5 m2, W/(m2 K), eta0 +-0.05; m2x, a-1";
    nr_pretty(text, sizeof text);
    ck_assert_str_eq(text, "deg, from \u221212 \u00b0C to \u00b0F; 0.5 m\u00b2, W/(m\u00b2 K), "
                           "\u03b7\u2080 \u00b10.05; m2x, a-1");
    char tight[6] = "eta0"; /* one byte more would be one too many */
    nr_pretty(tight, 5);
    ck_assert_str_eq(tight, "eta0");
    nr_pretty(tight, 6);
    ck_assert_str_eq(tight, "\u03b7\u2080");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {fit,
                                  fit_with_little_in_it,
                                  several_runs,
                                  comparison,
                                  long_names,
                                  many_builds,
                                  no_clear_difference,
                                  none_gets_there,
                                  prediction,
                                  clock_of_the_question,
                                  sizing,
                                  months,
                                  pump,
                                  pump_with_little_known,
                                  plan,
                                  short_budget,
                                  inspection,
                                  forms,
                                  hostile_names,
                                  labels_move_apart,
                                  round_limits,
                                  signs,
                                  NULL};
    return run_tests_in("pictures", tests, set_up, tear_down);
}
