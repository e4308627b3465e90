/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole pages as a person has read them (tests/unit/kept.h), of answers made up by fixture.h: one
 * build with all that can be said of it, one with little, two builds and three, in both systems of
 * units. Left out: the style sheet, what packed files and sums look like; a picture is its form. */
#include "analyze/report/report.h"
#include "analyze/report/sections.h"
#include "tests/unit/kept.h"
#include "tests/unit/plots/fixture.h"

#include <sys/stat.h>
#include <unistd.h>

static char folder[64], path[128], program[128];
static fixture x;
static nr_report_style style;
static nr_err err;

/* Draws the form that the script's terminal asks for, one part that is named, and of the words only
 * what is said of faults in the records. */
static const char stand_in[] =
    "#!/bin/sh\nexec sed -n -e 's|^set terminal svg size \\([0-9]*\\),\\([0-9]*\\).*|"
    "<svg viewBox=\"0 0 \\1 \\2\"><g id=\"a\"/>|p' "
    "-e \"s|^set label '\\([^']*[0-9] faults*[ ,][^']*\\)'.*|<text>\\1</text>|p\" "
    "-e '$s|.*|</svg>|p'\n";

static void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-pages-XXXXXX")));
    (void)snprintf(path, sizeof path, "%s/page.html", folder);
    (void)snprintf(program, sizeof program, "%s/plot", folder);
    FILE *f = fopen(program, "w");
    ck_assert_ptr_nonnull(f);
    fputs(stand_in, f);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_int_eq(chmod(program, 0700), 0);
    ck_assert_int_eq(setenv("TMPDIR", folder, 1), 0);
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0);
    x = (fixture){.seed = 1};
    style = (nr_report_style){.made_utc_s = 1777891353.0,
                              .command = "noonfit report run -o page.html",
                              .gnuplot = program};
}

static void tear_down(void)
{
    (void)unlink(path);
    (void)unlink(program);
    (void)rmdir(folder);
    fixture_done(&x);
}

/* Takes out of a text what stands between two words, so many times as it does. */
static void cut_out(char *text, const char *from, const char *to)
{
    for (char *at = text; (at = strstr(at, from)) != NULL;) {
        at += strlen(from);
        char *end = strstr(at, to);
        ck_assert_msg(end != NULL, "%s without %s", from, to);
        memmove(at, end, strlen(end) + 1);
    }
}

/* The page that was written last is what is kept under that name. cautions: without them and
 * without the rig, which are the same in all. */
static void as_kept(const char *name, const char *shows, bool all)
{
    char file[512], head[300];
    char *text = kept_text(path);
    ck_assert_ptr_nonnull(text);
    cut_out(text, "<style>", "</style>");
    cut_out(text, ";base64,", "\"");
    cut_out(text, "data-file=\"results.json\"", "</tr>");
    cut_out(text, "name=\"generator\" content=\"noonfit ", "\"");
    cut_out(text, "Made by noonfit ", style.made_utc_s > 0 ? " on " : "</p>");
    cut_out(text, "page was made by noonfit ", ":");
    if (!all) {
        cut_out(text, "<h2 id=\"cautions\">", "</div>");
        cut_out(text, "<details id=\"rig\">", "</details>");
        cut_out(text, "<details id=\"build2\">", "</details>");
        cut_out(text, "<details id=\"build3\">", "</details>");
    }
    (void)snprintf(file, sizeof file, "%s/../unit/report/kept/%s.html", TEST_DATA, name);
    (void)snprintf(head, sizeof head, "<!-- %s: %s; ", name, shows);
    kept_as(file, head, " -->", text);
    free(text);
}

static void written(nr_code code)
{
    ck_assert_msg(code == NR_OK, "%s", err.text);
}

static nr_run *a_run(void)
{
    nr_run *run;
    (void)fixture_inspect(&x, 3, &run);
    (void)snprintf(run->folder, sizeof run->folder, "/nowhere/run");
    run->rig.collector.gross_area_m2 = (nr_value){true, 1.1, true, 0.0055, 3};
    return run;
}

START_TEST(all_of_a_build)
{
    nr_run *run;
    nr_inspect *found = fixture_inspect(&x, 9, &run);
    (void)snprintf(run->folder, sizeof run->folder, "/nowhere/run");
    const nr_run *runs = run;
    const nr_inspect *inspects = found;
    const nr_report_runs build = {1, &runs, &inspects};
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    found->finding[found->findings].severity = NR_SEVERITY_FAULT; /* the first that is none */
    f->a2 = fixture_quantity(0.031, 0.004, 0.003, NR_UNIT_W_M2K2);
    f->trust.count = 2;
    f->trust.reason[0] =
        (nr_trust_reason){.code = NR_TRUST_SUN_DRIFT, .weight = 2, .number = {0.08}};
    f->trust.reason[1] =
        (nr_trust_reason){.code = NR_TRUST_PROBE_DRIFT, .number = {0.7}, .name = "outlet"};
    nr_warning_add(&f->warnings, NR_WARN_TESTED_RANGE, .number = {-4, 13});
    nr_warning_add(&f->warnings, NR_WARN_HIDDEN_STOP, .number = {3});
    written(nr_report_fit(path, f, &build, &style, &err));
    as_kept("fit", "all that can be said of one build", true);
}
END_TEST

START_TEST(little_of_a_build)
{
    fixture_build b = fixture_glazed;
    b.loop = false;
    b.name = "";
    const nr_run *runs = a_run();
    const nr_report_runs build = {1, &runs, NULL};
    nr_fit *f = fixture_fit(&x, &b, 1);
    f->eta0_normal = f->a1 = f->a5 = f->stagnation_K = fixture_unknown(NR_UNIT_ONE);
    f->budget_items = f->learned_items = 0;
    f->warnings.count = 0;
    nr_warning_add(&f->warnings, NR_WARN_TESTED_RANGE, .number = {-4, 13}); /* said elsewhere */
    style.units = NR_UNITS_US;
    style.made_utc_s = NAN;
    written(nr_report_fit(path, f, &build, &style, &err));
    as_kept("fit-little", "one build of which little is known, US units", true);
}
END_TEST

START_TEST(two_builds)
{
    const fixture_build two[2] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, two, 2);
    const nr_run *runs = a_run();
    const nr_report_runs builds[2] = {{1, &runs, NULL}, {1, &runs, NULL}};
    c->trust.count = 1;
    c->trust.reason[0] =
        (nr_trust_reason){.code = NR_TRUST_SUN_COURSE, .number = {0.06}, .whose = "Bare"};
    style.units = NR_UNITS_US;
    written(nr_report_compare(path, c, builds, &style, &err));
    as_kept("compare", "two builds, doubtful, US units", false);
}
END_TEST

START_TEST(three_builds)
{
    fixture_build slow = fixture_bare;
    slow.name = "Small <bare> stand";
    slow.area_m2 = 0.4;
    const fixture_build three[3] = {fixture_bare, slow, fixture_glazed};
    nr_compare *c = fixture_compare(&x, three, 3);
    const nr_run *runs = a_run();
    const nr_report_runs builds[3] = {{1, &runs, NULL}, {1, &runs, NULL}, {1, &runs, NULL}};
    c->build[1]->a1 = fixture_unknown(NR_UNIT_W_M2K);
    c->warnings.count = 0;
    written(nr_report_compare(path, c, builds, &style, &err));
    as_kept("compare-three", "three builds, one does not get there", false);
}
END_TEST

static size_t times(const char *text, const char *word)
{
    size_t n = 0;
    for (; (text = strstr(text, word)) != NULL; text += strlen(word))
        n++;
    return n;
}

/* Beyond six builds: no pairs but where they are, a curve each and no more pictures. */
START_TEST(seven_builds)
{
    fixture_build many[7];
    nr_report_runs builds[7];
    const nr_run *runs = a_run();
    for (size_t b = 0; b < 7; b++) {
        many[b] = fixture_glazed;
        many[b].minutes = 1;
        builds[b] = (nr_report_runs){1, &runs, NULL};
    }
    written(nr_report_compare(path, fixture_compare(&x, many, 7), builds, &style, &err));
    char *text = kept_text(path);
    ck_assert_ptr_nonnull(text);
    /* Pictures: the ranking's two, a build's curve for a telephone and whole. */
    ck_assert_uint_eq(times(text, "<figure "), 2 + 7 * 2);
    ck_assert_uint_eq(times(text, "Glazed wash stand \u2212 Glazed wash stand"), 0);
    ck_assert_uint_eq(times(text, "noonfit compare --pairs"), 1);
    ck_assert_uint_eq(times(text, "<details id=\"build"), 7);
    free(text);
}
END_TEST

/* Up to twelve builds the ranking is no long one. */
START_TEST(long_rankings)
{
    for (size_t n = 12; n <= 13; n++) {
        fixture_build many[13];
        for (size_t b = 0; b < n; b++) {
            many[b] = fixture_glazed;
            many[b].minutes = 1;
        }
        char *text = NULL;
        size_t size;
        nr_page page = {.style = &style, .err = &err, .to = open_memstream(&text, &size)};
        nr_page_ranking(&page, fixture_compare(&x, many, n));
        ck_assert_int_eq(fclose(page.to), 0);
        ck_assert_uint_eq(times(text, "<h2 id=\"ranking\" class=\"long\">"), n > 12);
        ck_assert_uint_eq(times(text, "<h2 id=\"ranking\">"), n <= 12);
        ck_assert_uint_eq(times(text, "<tr><th scope=\"row\">"), n);
        free(text);
    }
}
END_TEST

/* Names of pages. What a page's pictures are drawn in is TMPDIR, but not where that is no path from
 * the root or longer than 30. */
START_TEST(names)
{
    static const struct {
        const char *name, *tmpdir;
        nr_code code;
    } of[] = {{"page.htm", "tmp", NR_OK},
              {"page.html", "/nowhere/nowhere/nowhere/nowhere", NR_OK},
              {"page.html", "/nowhere/nowhere/nowhere/nowhe", NR_BAD},
              {"page.HTML", "/tmp", NR_BAD},
              {"page.htmx", "/tmp", NR_BAD},
              {"page", "/tmp", NR_BAD},
              {"page.html.txt", "/tmp", NR_BAD}};
    const nr_run *runs = a_run();
    const nr_report_runs build = {1, &runs, NULL};
    fixture_build b = fixture_glazed;
    b.minutes = 1;
    nr_fit *f = fixture_fit(&x, &b, 1);
    f->budget_items = 0;
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char file[160];
        (void)snprintf(file, sizeof file, "%s/%s", folder, of[i].name);
        ck_assert_int_eq(setenv("TMPDIR", of[i].tmpdir, 1), 0);
        ck_assert_msg(nr_report_fit(file, f, &build, &style, &err) == of[i].code, "%s", file);
        ck_assert_int_eq(unlink(file), of[i].code == NR_OK ? 0 : -1);
        if (i == 2)
            ck_assert_ptr_nonnull(strstr(err.text, "cannot make a temporary folder"));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_of_a_build, little_of_a_build, two_builds, three_builds,
                                  seven_builds,   long_rankings,     names,      NULL};
    fixture_all_used();
    return run_tests_in("kept pages", tests, set_up, tear_down);
}
