/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a page says about its records, whole: findings by weight, the rig's rows and channels in
 * both systems of units, and which files go in. */
#include "tests/unit/plots/fixture.h"
#include "tests/unit/report/written.h"

#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

#include <sys/stat.h>
#include <unistd.h>

static fixture x;
static nr_report_style style;
static nr_err err;
static nr_page page;

static void set_up(void)
{
    x = (fixture){.seed = 1};
    /* No picture can be drawn: what stands before it is what is read. */
    style = (nr_report_style){.gnuplot = "/nowhere/gnuplot", .command = "noonfit report <run>"};
    page = (nr_page){.style = &style, .err = &err};
    ck_assert_ptr_nonnull(mkdtemp(strcpy(page.folder, "/tmp/noonrun-sections-XXXXXX")));
}

static void tear_down(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", page.folder);
    ck_assert_int_eq(system(command), 0);
    fixture_done(&x);
}

static void finding_due(const nr_finding *f, const char *kind, const char *word, const char *where)
{
    char text[1200], advice[1200];
    nr_tell_finding(text, sizeof text, f, page.units);
    nr_tell_finding_advice(advice, sizeof advice, f, page.units);
    next("<li class=\"finding%s\"><strong>%s</strong>%s: %s %s</li>\n", kind, word, where,
         words(text), words(advice));
}

START_TEST(findings_by_weight)
{
    nr_run *run;
    nr_inspect *found = fixture_inspect(&x, 9, &run);
    const nr_run *runs = run;
    const nr_inspect *inspects = found;
    const nr_report_runs build = {1, &runs, &inspects};
    /* Doubt, fault, note; then a fault without a time, and one with a half of it. */
    fixture_finding(found, NR_FIND_STUCK, NR_SEVERITY_FAULT, "a<b", NAN, 4800, 600);
    fixture_finding(found, NR_FIND_STUCK, NR_SEVERITY_NOTE, "sun", 30, NAN, 600);
    snprintf(run->rig.title, sizeof run->rig.title, "Stand & tunnel");
    snprintf(run->rig.notes, sizeof run->rig.notes, "lid <off>");
    for (int us = 0; us < 2; us++) {
        char text[1200];
        page.units = us ? NR_UNITS_US : NR_UNITS_SI;
        page.to = written_begins();
        ck_assert_int_eq(nr_page_quality(&page, &build, 1), NR_BAD); /* no gnuplot */
        written_ends(page.to);
        next("<details id=\"record\"><summary><h2>Is the record good?</h2></summary>\n"
             "<h3>wash-stand-glazed</h3>\n<p class=\"fine\">Stand &amp; tunnel. 5400 rows from "
             "2026-05-04 10:42 UTC.</p>\n<p>lid &lt;off&gt;</p>\n");
        nr_tell_inspect(text, sizeof text, found, page.units);
        next("<p>%s</p>\n<ul class=\"plain\">\n", words(text));
        finding_due(&found->finding[1], " fault", "Fault", ", air, minute 70.0 to 80.0");
        finding_due(&found->finding[3], " fault", "Fault", ", a&lt;b");
        finding_due(&found->finding[0], " doubt", "Doubt", ", minute 52.0 to 57.0");
        finding_due(&found->finding[2], "", "Note", ", outlet, minute 25.0 to 25.0");
        finding_due(&found->finding[4], "", "Note", ", sun");
        next("</ul>\n");
        nothing_more();
    }
}
END_TEST

/* Without an inspection there is only the heading; what is not known is not said. */
START_TEST(headings)
{
    nr_run *one, *two;
    nr_inspect *none = fixture_inspect(&x, 1, &one);
    fixture_inspect(&x, 1, &two);
    const nr_run *runs[] = {one, two}, *alone = two;
    const nr_inspect *inspects[] = {NULL, NULL};
    const nr_report_runs builds[] = {{2, runs, inspects}, {1, &alone, NULL}};
    (void)none;
    snprintf(one->rig.title, sizeof one->rig.title, "t");
    snprintf(one->rig.notes, sizeof one->rig.notes, "w");
    for (size_t i = 0; i < one->readings->rows; i++)
        one->readings->utc_s[i] = NAN;
    two->readings->rows = 0;
    page.to = written_begins();
    ck_assert_int_eq(nr_page_quality(&page, builds, 2), NR_OK);
    written_ends(page.to);
    next("<details id=\"record\"><summary><h2>Is the record good?</h2></summary>\n");
    next("<h3>wash-stand-glazed</h3>\n<p class=\"fine\">t. 5400 rows.</p>\n<p>w</p>\n");
    for (int i = 0; i < 2; i++)
        next("<h3>wash-stand-glazed</h3>\n<p class=\"fine\">0 rows.</p>\n");
    next("</details>\n");
    nothing_more();
    nr_readings *readings = two->readings;
    two->readings = NULL;
    page.to = written_begins();
    ck_assert_int_eq(nr_page_quality(&page, builds + 1, 1), NR_OK);
    written_ends(page.to);
    next("<details id=\"record\"><summary><h2>Is the record good?</h2></summary>\n");
    next("<h3>wash-stand-glazed</h3>\n<p class=\"fine\"></p>\n</details>\n");
    nothing_more();
    two->readings = readings;
}
END_TEST

typedef struct stated_row {
    const char *label, *unit; /* unit NULL: that of the kind */
    nr_shown what;
    nr_value *value;
} stated_row;

static void row_due(const stated_row *r)
{
    const nr_value *v = r->value;
    const char *unit = r->unit ? r->unit : nr_display_of(r->what, page.units)->pretty;
    double number = nr_display_value(r->what, page.units, v->value);
    if (!v->given)
        return;
    next("<tr><th scope=\"row\">%s</th><td>", r->label);
    if (v->u_given) {
        double u = nr_display_difference(r->what, page.units, v->u);
        int place = nr_round_place(u, 2);
        next("%s \u00b1 %s %s</td></tr>\n", to_place(number, place), to_place(u, place), unit);
    } else {
        next("%s %s</td></tr>\n", figures(number, 6), unit);
    }
}

static void word_due(const char *label, const char *word)
{
    next("<tr><th scope=\"row\">%s</th><td>%s</td></tr>\n", label, word);
}

/* Each of the stated values without its uncertainty, with it, and not at all. */
static void rig_due(const nr_run *run, size_t only, int stated)
{
    nr_rig *rig = (nr_rig *)(size_t)&run->rig;
    const stated_row rows[] = {
        {"gross area", NULL, NR_SHOWN_AREA, &rig->collector.gross_area_m2},
        {"tilt", "\u00b0", NR_SHOWN_NUMBER, &rig->collector.tilt_deg},
        {"azimuth, clockwise from north", "\u00b0", NR_SHOWN_NUMBER, &rig->collector.azimuth_deg},
        {"fluid in the collector", NULL, NR_SHOWN_WATER, &rig->collector.fluid_kg},
        {"heat capacity, dry", "J/K", NR_SHOWN_NUMBER, &rig->collector.heat_capacity_J_K},
        {"water in the container", NULL, NR_SHOWN_WATER, &rig->store.water_kg},
        {"loss of the container", NULL, NR_SHOWN_STORE_LOSS, &rig->store.loss_W_K},
        {"latitude", "\u00b0", NR_SHOWN_NUMBER, &rig->latitude_deg},
        {"longitude", "\u00b0", NR_SHOWN_NUMBER, &rig->longitude_deg},
        {"elevation", "m", NR_SHOWN_NUMBER, &rig->elevation_m},
    };
    size_t count = sizeof rows / sizeof *rows;
    for (size_t i = 0; i < count; i++)
        *rows[i].value = (nr_value){only == count || only == i, 12.3456789 + 7 * (double)i,
                                    stated == 2, 0.0312 * (double)(i + 1), 1};
    const nr_report_runs build = {1, &run, NULL};
    page.to = written_begins();
    nr_page_rig(&page, &build, 1);
    written_ends(page.to);
    next("<details id=\"rig\"><summary><h2>The rig</h2></summary>\n<p class=\"fine\">Stated in "
         "rig.ini; \u00b1 is a standard uncertainty</p>\n<div class=\"wide\"><table><tbody>\n");
    word_due("collector", "Glazed &lt;stand&gt;");
    if (nr_glazing_word(rig->collector.glazing)[0])
        word_due("glazing", nr_glazing_word(rig->collector.glazing));
    for (size_t i = 0; i < count; i++) {
        if (i == 7 && rig->store.lid)
            word_due("lid on the container", rig->store.lid == NR_LID_YES ? "yes" : "no");
        row_due(&rows[i]);
    }
    next("</tbody></table></div>\n");
    free(written);
}

START_TEST(the_rig)
{
    nr_run *run;
    fixture_inspect(&x, 1, &run);
    snprintf(run->rig.collector.name, sizeof run->rig.collector.name, "Glazed <stand>");
    for (int us = 0; us < 2; us++) {
        page.units = us ? NR_UNITS_US : NR_UNITS_SI;
        for (size_t only = 0; only <= 10; only++)
            for (int stated = 1; stated <= 2; stated++) {
                run->rig.store.lid = only % 3 == 0   ? NR_LID_YES
                                     : only % 3 == 1 ? NR_LID_NO
                                                     : NR_LID_UNKNOWN;
                rig_due(run, only, stated);
            }
    }
}
END_TEST

/* A channel of each dimension: its uncertainties in the unit of a difference. */
START_TEST(channels_of_the_rig)
{
    static const struct {
        const char *unit;
        nr_shown value, u; /* NUMBER: the channel's own unit */
    } dimensions[] = {{"degC", NR_SHOWN_TEMPERATURE, NR_SHOWN_DIFFERENCE},
                      {"W_m2", NR_SHOWN_IRRADIANCE, NR_SHOWN_IRRADIANCE},
                      {"L_min", NR_SHOWN_FLOW, NR_SHOWN_FLOW},
                      {"m_s", NR_SHOWN_SPEED, NR_SHOWN_SPEED},
                      {"V", NR_SHOWN_NUMBER, NR_SHOWN_NUMBER},
                      {"mA", NR_SHOWN_NUMBER, NR_SHOWN_NUMBER}};
    nr_run *run;
    fixture_inspect(&x, 1, &run);
    const nr_run *runs = run;
    const nr_report_runs build = {1, &runs, NULL};
    run->rig.channels = 0;
    for (size_t i = 0; i < sizeof dimensions / sizeof *dimensions; i++) {
        nr_rig_channel *c = &run->rig.channel[run->rig.channels++];
        snprintf(c->name, sizeof c->name, "c%zu<", i);
        snprintf(c->sensor, sizeof c->sensor, "probe & %zu", i);
        c->unit = nr_unit_find(dimensions[i].unit);
        ck_assert_msg(c->unit != NULL, "%s", dimensions[i].unit);
        c->law = i % 2 ? nr_law_find("linear") : NULL;
        c->u_offset = i == 4 ? NAN : 0.1234 * (double)(i + 1);
        c->u_gain = i == 3 ? NAN : 0.01234 * (double)(i + 1);
        c->lag_s = i == 2 ? 0 : 1.2345 * (double)(i + 1);
    }
    for (int us = 0; us < 2; us++) {
        page.units = us ? NR_UNITS_US : NR_UNITS_SI;
        page.to = written_begins();
        nr_page_rig(&page, &build, 1);
        written_ends(page.to);
        at = strstr(at, "lag</th></tr></thead><tbody>\n");
        ck_assert_ptr_nonnull(at);
        next("lag</th></tr></thead><tbody>\n");
        for (size_t i = 0; i < run->rig.channels; i++) {
            const nr_rig_channel *c = &run->rig.channel[i];
            next("<tr><th scope=\"row\">c%zu&lt;</th><td>probe &amp; %zu</td><td>%s</td><td>", i, i,
                 i % 2 ? "linear" : "");
            if (i != 4)
                next(
                    "%s %s",
                    figures(nr_display_difference(dimensions[i].value, page.units, c->u_offset), 2),
                    dimensions[i].u == NR_SHOWN_NUMBER
                        ? plain(c->unit->label)
                        : nr_display_of(dimensions[i].u, page.units)->pretty);
            next("</td><td>");
            if (i != 3)
                next("%s %%", figures(1.234 * (double)(i + 1), 2));
            next("</td><td>");
            if (i != 2)
                next("%s s", figures(1.2345 * (double)(i + 1), 3));
            next("</td></tr>\n");
        }
        next("</tbody></table></div>\n</details>\n");
        nothing_more();
    }
}
END_TEST

/* Rigs are told apart by their folder where there is more than one run; a build without any has
 * none. */
START_TEST(several_rigs)
{
    nr_run *run, *other;
    fixture_inspect(&x, 1, &run);
    fixture_inspect(&x, 1, &other);
    snprintf(other->folder, sizeof other->folder, "elsewhere");
    const nr_run *runs[] = {run, other}; /* of a build it is the first that names it */
    const nr_report_runs one = {1, runs, NULL}, two = {2, runs, NULL};
    const nr_report_runs builds[] = {one, {0, NULL, NULL}, one};
    static const char heading[] = "<h3>wash-stand-glazed</h3>\n";
    const struct {
        const nr_report_runs *builds;
        size_t count, headings, rigs;
    } cases[] = {{&one, 1, 0, 1}, {&two, 1, 1, 1}, {builds, 3, 2, 2}, {builds, 2, 1, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t titles = 0, rigs = 0;
        page.to = written_begins();
        nr_page_rig(&page, cases[i].builds, cases[i].count);
        written_ends(page.to);
        for (const char *p = at; (p = strstr(p, heading)) != NULL; p++)
            titles++;
        for (const char *p = at; (p = strstr(p, ">Channels; u:")) != NULL; p++)
            rigs++;
        ck_assert_msg(titles == cases[i].headings && rigs == cases[i].rigs, "case %zu: %zu, %zu", i,
                      titles, rigs);
        free(written);
    }
}
END_TEST

static void file_of(const nr_run *run, const char *name, const char *text)
{
    char path[600];
    (void)snprintf(path, sizeof path, "%s/%s", run->folder, name);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    ck_assert_int_eq(fclose(f), 0);
}

static void file_due(unsigned run, const char *folder, const char *name, const char *bytes)
{
    char hex[NR_PACKED_DIGEST], *link = NULL;
    size_t size;
    FILE *to = open_memstream(&link, &size);
    ck_assert_int_eq(nr_packed_write(to, run, folder, name, bytes, strlen(bytes), &err), NR_OK);
    fclose(to);
    nr_packed_digest(bytes, strlen(bytes), hex);
    next("<tr><th scope=\"row\">%s/%s</th><td>%zu</td><td class=\"hash\">%s</td></tr>\n", folder,
         link, strlen(bytes), hex);
    free(link);
}

static void missing(const char *folder, const char *name)
{
    next("<tr><th scope=\"row\">%s/%s</th><td colspan=\"2\">not there</td></tr>\n", folder, name);
}

static nr_run *run_of(const char *name)
{
    nr_run *run;
    fixture_inspect(&x, 1, &run);
    (void)snprintf(run->folder, sizeof run->folder, "%s/%s", page.folder, name);
    ck_assert_int_eq(mkdir(run->folder, 0755), 0);
    return run;
}

/* Each record once, however many views of it there are; an imported one with its table. */
START_TEST(files_of_the_records)
{
    nr_run *first = run_of("first"), *second = run_of("second"), *view = run_of("view");
    char imported[600];
    (void)snprintf(imported, sizeof imported, "%s/imported", second->folder);
    ck_assert_int_eq(mkdir(imported, 0755), 0);
    file_of(first, "rig.ini", "one");
    file_of(first, "notes.csv", "three");
    file_of(second, "readings.csv", "two");
    file_of(second, "imported/how.ini", "[table]\ntable = t.csv\n");
    file_of(second, "imported/t.csv", "1,2\n");
    view->record = first;
    first->record = first;
    const nr_run *of_first[] = {first, view}, *of_second[] = {second, first};
    const nr_report_runs builds[] = {{2, of_first, NULL}, {2, of_second, NULL}};
    page.to = written_begins();
    ck_assert_int_eq(nr_page_checks(&page, builds, 2, "{}\n", 3), NR_OK);
    written_ends(page.to);
    next("<details id=\"files\"><summary><h2>Check it: the record itself</h2></summary>\n");
    at = strstr(at, "<pre><code>");
    ck_assert_ptr_nonnull(at);
    next("<pre><code>noonfit report &lt;run&gt;</code></pre>\n");
    at = strstr(at, "</tr></thead><tbody>\n");
    ck_assert_ptr_nonnull(at);
    next("</tr></thead><tbody>\n");
    file_due(1, "first", "rig.ini", "one");
    missing("first", "readings.csv");
    file_due(1, "first", "notes.csv", "three");
    missing("first", "adapter.log");
    missing("second", "rig.ini");
    file_due(2, "second", "readings.csv", "two");
    missing("second", "notes.csv");
    missing("second", "adapter.log");
    file_due(2, "second", "imported/how.ini", "[table]\ntable = t.csv\n");
    file_due(2, "second", "imported/table", "1,2\n");
    file_due(1, "first", "results.json", "{}\n");
    next("</tbody></table></div>\n</details>\n");
    nothing_more();
    first->record = view->record = NULL;
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        findings_by_weight,   headings, the_rig, channels_of_the_rig, several_rigs,
        files_of_the_records, NULL};
    return run_tests_in("page-record", tests, set_up, tear_down);
}
