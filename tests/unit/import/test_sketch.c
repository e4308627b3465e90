/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig drafted from a table: every line of it against what the table says, the mapping, and the
 * table read again by the very rig, once the comments are what they are. */
#include "logger/import/sketch.h"
#include "tests/unit/import/whole.h"

#include <stdlib.h>

static nr_imported im;
static nr_sketch sketch;
static nr_err err;

static nr_code draft(const char *text)
{
    const nr_import_stated stated = {.zone = "UTC"};
    memset(&err, 0, sizeof err);
    ck_assert_msg(nr_import_table(text, strlen(text), "table.csv", &stated, &im, &err) == NR_OK,
                  "%s", err.text);
    return nr_sketch_rig(&im, "table.csv", &sketch, &err);
}

static void forget(void)
{
    free(sketch.text);
    nr_imported_free(&im);
}

/* Three rows; 20, 21.5 and so on in the columns. */
static const char *rows_of(const char *head)
{
    static char text[2000];
    size_t columns = 0;
    for (const char *p = head; *p; p++)
        columns += *p == ',';
    snprintf(text, sizeof text, "%s\n", head);
    for (int r = 0; r < 3; r++) {
        whole_add(text, sizeof text, "2026-05-16 10:%02d", 15 + r);
        for (size_t c = 0; c < columns; c++)
            whole_add(text, sizeof text, ",%zu.5", 20 + 2 * c + (size_t)r);
        whole_add(text, sizeof text, "\n");
    }
    return text;
}

#define NO_UNIT "  ; the table names no unit: is it this one? (degF, degC, W_m2 ...)"
#define NO_ROLE                                                                                    \
    ";role =          ; what it is: store, air, inlet, outlet, box, sun, flow, wind ...\n"
#define NO_OWNER ";of =            ; NAME of the collector it belongs to; none: shared by all\n"
#define KIND ";kind =          ; what instrument it was: `noonlog keys` lists them\n"
#define PLANE ";plane =         ; collector, or horizontal (a weather station's)\n"

/* Blocks of channels, in their order, whole; column numbers from 1. */
static const struct {
    const char *head, *blocks, *maps;
    size_t channels, known;
} drafts[] = {
    {"Time,Tank (F),Outdoor (F),Irradiance (W/m2)",
     "\n[channel store]  ; column 2 of the table: Tank (F)\nunit = degF\n" KIND
     "\n[channel air]  ; column 3 of the table: Outdoor (F)\nunit = degF\n" KIND
     "\n[channel sun]  ; column 4 of the table: Irradiance (W/m2)\nunit = W_m2\n" PLANE KIND,
     "2=store 3=air 4=sun", 3, 3},
    {"Time,Tank,Flow,Sun",
     "\n[channel store]  ; column 2 of the table: Tank\nunit = degC" NO_UNIT "\n" KIND
     "\n[channel flow]  ; column 3 of the table: Flow\nunit = L_min" NO_UNIT "\n" KIND
     "\n[channel sun]  ; column 4 of the table: Sun\nunit = W_m2" NO_UNIT "\n" PLANE KIND,
     "2=store 3=flow 4=sun", 3, 3},
    {"Time,Mug,Pan (C),Tank (C),Air (C)",
     "\n[channel pan]  ; column 3 of the table: Pan (C)\nunit = degC\n" NO_ROLE KIND
     "\n[channel store]  ; column 4 of the table: Tank (C)\nunit = degC\n" KIND
     "\n[channel air]  ; column 5 of the table: Air (C)\nunit = degC\n" KIND,
     "3=pan 4=store 5=air", 3, 2},
    {"Time,Tank (C),Bucket (C),Pan 7 (C),Pan 7 (C),7 (C)",
     "\n[channel store]  ; column 2 of the table: Tank (C)\nunit = degC\n" KIND
     "\n[channel bucket]  ; column 3 of the table: Bucket (C)\nunit = degC\n" NO_ROLE KIND
     "\n[channel pan-7]  ; column 4 of the table: Pan 7 (C)\nunit = degC\n" NO_ROLE KIND
     "\n[channel column-5]  ; column 5 of the table: Pan 7 (C)\nunit = degC\n" NO_ROLE KIND
     "\n[channel column-6]  ; column 6 of the table: 7 (C)\nunit = degC\n" NO_ROLE KIND,
     "2=store 3=bucket 4=pan-7 5=column-5 6=column-6", 5, 1},
    {"Time,Tank (C),store (C)",
     "\n[channel store]  ; column 2 of the table: Tank (C)\nunit = degC\n" KIND
     "\n[channel column-3]  ; column 3 of the table: store (C)\nunit = degC\n" NO_ROLE KIND,
     "2=store 3=column-3", 2, 1},
    {"Time,A rather long name of panes (C),Tank (C)",
     "\n[channel a-rather-long-name-of-p]  ; column 2 of the table: A rather long name of panes "
     "(C)\nunit = degC\n" NO_ROLE KIND
     "\n[channel store]  ; column 3 of the table: Tank (C)\nunit = degC\n" KIND,
     "2=a-rather-long-name-of-p 3=store", 2, 1},
    {"Time,Tank oak (C),Tank pine (C),Outlet oak (C),Outlet (C),Air (C)",
     "\n[channel store_oak]  ; column 2 of the table: Tank oak (C)\nrole = store\nof = oak\nunit = "
     "degC\n" KIND
     "\n[channel store_pine]  ; column 3 of the table: Tank pine (C)\nrole = store\nof = "
     "pine\nunit = degC\n" KIND
     "\n[channel outlet_oak]  ; column 4 of the table: Outlet oak (C)\nrole = outlet\nof = "
     "oak\nunit = degC\n" KIND
     "\n[channel column-5]  ; column 5 of the table: Outlet (C)\nunit = degC\n" NO_ROLE NO_OWNER
         KIND "\n[channel air]  ; column 6 of the table: Air (C)\nunit = degC\n" KIND,
     "2=store_oak 3=store_pine 4=outlet_oak 5=column-5 6=air", 5, 4},
};

START_TEST(channels)
{
    for (size_t i = 0; i < sizeof drafts / sizeof *drafts; i++) {
        char maps[300] = "";
        ck_assert_msg(draft(rows_of(drafts[i].head)) == NR_OK, "%s: %s", drafts[i].head, err.text);
        ck_assert_uint_eq(strlen(sketch.text), sketch.length);
        const char *from = strstr(sketch.text, "\n[channel "), *end = from;
        ck_assert_ptr_nonnull(from);
        ck_assert_msg(strncmp(from, drafts[i].blocks, strlen(drafts[i].blocks)) == 0, "%s, not\n%s",
                      from, drafts[i].blocks);
        end = from + strlen(drafts[i].blocks);
        ck_assert_msg(strstr(end, "\n[channel ") == NULL, "%s", end);
        for (size_t k = 0; k < sketch.channels; k++) {
            ck_assert(sketch.maps[k] == sketch.map[k]);
            whole_add(maps, sizeof maps, "%s%s", k > 0 ? " " : "", sketch.maps[k]);
        }
        ck_assert_str_eq(maps, drafts[i].maps);
        ck_assert_uint_eq(sketch.channels, drafts[i].channels);
        ck_assert_uint_eq(sketch.known, drafts[i].known);
        forget();
    }
}
END_TEST

/* The rig reads its own table: the numbers are in the units of the head. */
START_TEST(reads_its_table)
{
    static whole w;
    for (size_t i = 0; i < sizeof drafts / sizeof *drafts; i++) {
        char text[2000], rig[8000];
        snprintf(text, sizeof text, "%s", rows_of(drafts[i].head));
        ck_assert(draft(text) == NR_OK);
        snprintf(rig, sizeof rig, "%s", sketch.text);
        const nr_import_stated stated = {
            .zone = "UTC", .map = sketch.maps, .maps = sketch.channels};
        ck_assert_msg(whole_read(&w, text, rig, &stated), "%s\n%s", w.err.text, rig);
        ck_assert_uint_eq(w.rig.channels, drafts[i].channels);
        for (size_t ch = 0; ch < w.rig.channels; ch++) {
            size_t c = (size_t)strtoul(sketch.maps[ch], NULL, 10) - 1;
            for (size_t r = 0; r < 3; r++) {
                double v = 20.5 + 2 * (double)(c - 1) + (double)r;
                bool us = strstr(w.im.table.column[c].head, "(F)") != NULL;
                NEAR(whole_at(&w, r, ch), us ? (v - 32) / 1.8 : v, 1e-9);
            }
        }
        whole_forget(&w);
        forget();
    }
}
END_TEST

static bool has(const char *words)
{
    return strstr(sketch.text, words) != NULL;
}

/* US units where any column is in degF; a section for each build; what no column is. */
START_TEST(around_the_channels)
{
    static const char sun[] = "; No column is the sun on the collector. Where nothing measured it, "
                              "state it: 850 W/m2,\n; give or take 80, is a clear sky around "
                              "noon.\n;[channel sun]\n;unit = W_m2\n;convert = stated\n;value = "
                              "850\n;u_value = 80\n";
    static const char air[] = "; No column is known to be the air. Give one of them role = air, or "
                              "state it:\n;[channel air]\n;unit = degC\n;convert = stated\n;value "
                              "=\n;u_value = 2\n";
    static const struct {
        const char *head;
        bool us, sun, air, builds;
    } of[] = {{"Time,Tank (F),Air (F),Sun (W/m2)", true, true, true, false},
              {"Time,Tank (C),Air (F),Sun (W/m2)", true, true, true, false},
              {"Time,Tank (C),Air (C)", false, false, true, false},
              {"Time,Tank (C),Sun (W/m2)", false, true, false, false},
              {"Time,Tank (C),Pan (C)", false, false, false, false},
              {"Time,Tank oak (C),Tank pine (C),Air (C)", false, false, true, true},
              {"Time,Tank oak (F),Tank pine (F),Air (F)", true, false, true, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert(draft(rows_of(of[i].head)) == NR_OK);
        ck_assert_int_eq(has("\nunits = us\n"), of[i].us);
        ck_assert_int_eq(has(";gross_area_ft2 ="), of[i].us);
        ck_assert_int_eq(has(";gross_area_m2 ="), !of[i].us);
        ck_assert_int_eq(has(";water_gal ="), of[i].us);
        ck_assert_int_eq(has(";water_L ="), !of[i].us);
        ck_assert_int_eq(has(sun), !of[i].sun);
        ck_assert_int_eq(has(air), !of[i].air);
        ck_assert_int_eq(has("[collector oak]\n"), of[i].builds);
        ck_assert_int_eq(has("[store oak]\n"), of[i].builds);
        ck_assert_int_eq(has("[collector pine]\n"), of[i].builds);
        ck_assert_int_eq(has("[store pine]\n"), of[i].builds);
        ck_assert_int_eq(has("[collector]\n;name =\n"), !of[i].builds);
        ck_assert_int_eq(has("\n[store]\n"), !of[i].builds);
        ck_assert(has("; Drafted from the table table.csv. Lines that begin with ; are comments"));
        ck_assert(has(";   Has the container a lid?\n;     lid = yes or no in [store]\n"));
        forget();
    }
}
END_TEST

/* Nothing that a rig could have: words without a unit, a unit that is not known, text. */
START_TEST(nothing_to_draft)
{
    static const char *const heads[] = {"Time,Mug", "Time,Mug (mol/m3)", "Time,Mug (kPa)"};
    for (size_t i = 0; i < 3; i++) {
        ck_assert_msg(draft(rows_of(heads[i])) == NR_CANNOT, "%s", heads[i]);
        ck_assert_str_eq(err.text, "no column holds readings of a heater: none is named or has a "
                                   "unit that tells (temperature, irradiance, flow, wind)");
        forget();
    }
    /* Without a head every column of numbers may be one. */
    ck_assert(draft("2026-05-16 10:15,20.5,18\n2026-05-16 10:16,20.7,18\n") == NR_OK);
    ck_assert_uint_eq(sketch.channels, 2);
    ck_assert_uint_eq(sketch.known, 0);
    ck_assert(has("\n[channel column-2]  ; column 2 of the table: column 2\nunit = raw" NO_UNIT));
    ck_assert(has("\n[channel column-3]"));
    forget();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {channels, reads_its_table, around_the_channels, nothing_to_draft,
                                  NULL};
    return run_tests("sketch", tests);
}
