/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/report/report.h"

#include "analyze/report/html.h"
#include "analyze/report/sections.h"
#include "analyze/report/svg.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"
#include "logger/base/replace.h"
#include "logger/base/utc.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define WORDS 1200

static void made_by(nr_page *page)
{
    char when[NR_UTC_SIZE] = "";
    if (isfinite(page->style->made_utc_s))
        nr_utc_format(page->style->made_utc_s, when);
    when[when[0] != '\0' ? 10 : 0] = '\0';
    fprintf(page->to, "<p class=\"fine\">Made by noonfit %s%s%s.</p>\n", NOONRUN_VERSION,
            when[0] != '\0' ? " on " : "", when);
}

static void heading(nr_page *page, const char *title, const char *lead)
{
    nr_html_begin(page->to, title);
    fputs("<h1>", page->to);
    nr_html_text(page->to, title);
    fputs("</h1>\n", page->to);
    nr_html_paragraph(page->to, "lead", lead);
    made_by(page);
}

static const char *name_of(const nr_fit *fit)
{
    return fit->collector_name[0] != '\0' ? fit->collector_name : "Solar collector";
}

/* Where the folded parts are; only those that every page has. */
static void contents(nr_page *page)
{
    fputs("<nav aria-label=\"Contents\"><a href=\"#numbers\">Numbers</a>"
          "<a href=\"#record\">Is the record good?</a><a href=\"#rig\">The rig</a>"
          "<a href=\"#method\">How it was worked out</a><a href=\"#cautions\">Cautions</a>"
          "<a href=\"#files\">Check it: the record itself</a></nav>\n",
          page->to);
}

static void card(nr_page *page, const nr_fit *fit)
{
    nr_html_card(page->to);
    nr_html_card_value(page->to, "of the sun into heat, warm as the air", NR_SHOWN_PERCENT,
                       page->units, &fit->eta0);
    nr_html_card_value(page->to, "lost for each degree warmer", NR_SHOWN_COLLECTOR_LOSS,
                       page->units, &fit->a1);
    nr_html_card_value(page->to, "of this test's sun found in the water", NR_SHOWN_PERCENT,
                       page->units, &fit->run_efficiency);
    nr_html_card_end(page->to);
}

/* The card is what a telephone shows instead of the wide picture. */
static nr_code phone_card(nr_page *page, const nr_fit *fit, const nr_report_runs *runs,
                          const char *lead)
{
    char path[128];
    nr_card it = {.fit = fit, .sha256 = ""};
    nr_plot_style style = nr_page_style(page);
    for (size_t r = 0; r < runs->count; r++) {
        const nr_inspect *x = runs->inspects != NULL ? runs->inspects[r] : NULL;
        for (size_t i = 0; x != NULL && i < x->findings; i++) {
            it.faults += x->finding[i].severity == NR_SEVERITY_FAULT;
            it.doubts += x->finding[i].severity == NR_SEVERITY_DOUBT;
        }
    }
    return nr_page_phone_figure(
        page, nr_plot_card(&it, nr_page_picture(page, path, sizeof path), &style, page->err), lead,
        "The water's temperature over the test, and where the sun's energy went.");
}

/* The answer as a document, for programs; it goes into the page with the first run. */
static nr_code results_of(const nr_fit *fit, const nr_compare *compare, char **text, size_t *size,
                          nr_err *err)
{
    FILE *to = open_memstream(text, size);
    if (to == NULL)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    nr_code code = fit != NULL ? nr_json_fit(to, fit, err) : nr_json_compare(to, compare, err);
    if (fclose(to) != 0 && code == NR_OK)
        code = nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    return code;
}

/* What both pages end with. */
static nr_code write_record(nr_page *page, const nr_report_runs *builds, size_t count,
                            const nr_fit *fit, const nr_compare *compare)
{
    char *results = NULL;
    size_t size = 0;
    nr_code code = nr_page_quality(page, builds, count);
    nr_page_rig(page, builds, count);
    nr_page_method(page, compare != NULL);
    nr_page_cautions(page);
    if (code == NR_OK)
        code = results_of(fit, compare, &results, &size, page->err);
    if (code == NR_OK)
        code = nr_page_checks(page, builds, count, results, size);
    free(results);
    nr_html_end(page->to);
    return code;
}

static nr_code write_fit(nr_page *page, const nr_fit *fit, const nr_report_runs *runs)
{
    char lead[WORDS], title[NR_NAME + 64];
    nr_tell_fit_result(lead, sizeof lead, fit, page->units);
    nr_tell_page_title(title, sizeof title, name_of(fit));
    heading(page, title, lead);
    nr_page_trust(page, &fit->trust);
    card(page, fit);
    contents(page);
    nr_code code = phone_card(page, fit, runs, lead);
    if (code == NR_OK)
        code = nr_page_fit_picture(page, fit);
    nr_page_warnings(page, "Mind", &fit->warnings);
    nr_html_fold(page->to, "numbers", "Numbers");
    nr_page_numbers(page, fit);
    nr_page_learned(page, fit);
    nr_html_fold_end(page->to);
    nr_html_fold(page->to, "pictures", "More pictures");
    if (code == NR_OK)
        code = nr_page_more_pictures(page, fit);
    nr_html_fold_end(page->to);
    return code == NR_OK ? write_record(page, runs, 1, fit, NULL) : code;
}

typedef const nr_quantity *(*of_build)(const nr_compare *, size_t);

static const nr_quantity *build_eta0(const nr_compare *c, size_t i)
{
    return &c->build[i]->eta0;
}
static const nr_quantity *build_a1(const nr_compare *c, size_t i)
{
    return &c->build[i]->a1;
}
static const nr_quantity *build_time(const nr_compare *c, size_t i)
{
    return &c->heat_up[i].time_s;
}
/* More builds than this have too many pairs for a page, and one picture each. */
#define FEW_BUILDS 6

static void group(nr_page *page, const nr_compare *c, const char *label, nr_shown what,
                  of_build build, nr_compared by)
{
    nr_html_quantities_group(page->to, label);
    for (size_t i = 0; i < c->builds; i++)
        nr_html_quantity(page->to, c->label[i], what, page->units, build(c, i));
    for (size_t i = 0; c->builds <= FEW_BUILDS && i < c->differences; i++) {
        char name[2 * NR_NAME + 8];
        const nr_difference *d = &c->difference[i];
        nr_quantity q = nr_difference_of_all(c, d, by);
        (void)snprintf(name, sizeof name, "%s \u2212 %s", c->label[d->of], c->label[d->against]);
        nr_html_quantity(page->to, name, what, page->units, &q);
    }
}

static void comparison_numbers(nr_page *page, const nr_compare *c)
{
    char text[WORDS];
    nr_html_quantities(page->to, c->builds == 2 ? "Builds and their difference, with 95 % intervals"
                                 : c->builds <= FEW_BUILDS
                                     ? "Builds with their 95 % intervals; those of the differences "
                                       "hold for all pairs together at 95 %"
                                     : "Builds with their 95 % intervals");
    group(page, c, "zero-loss efficiency, eta0", NR_SHOWN_NUMBER, build_eta0, NR_BY_ETA0);
    group(page, c, "loss coefficient, a1", NR_SHOWN_COLLECTOR_LOSS, build_a1, NR_BY_A1);
    group(page, c, "heat-up on the reference day", NR_SHOWN_MINUTES, build_time, NR_BY_TIME);
    nr_html_quantities_end(page->to);
    nr_tell_compare_day(text, sizeof text, &c->day, page->units);
    nr_html_paragraph(page->to, NULL, text);
    for (size_t i = 0; c->builds <= FEW_BUILDS && i < c->differences; i++) {
        nr_tell_compare_pair(text, sizeof text, c, &c->difference[i], page->units);
        nr_html_paragraph(page->to, NULL, text);
    }
    if (c->builds <= FEW_BUILDS)
        nr_tell_compare_all_pairs(text, sizeof text, c);
    else
        (void)snprintf(text, sizeof text,
                       "The differences of all pairs are in results.json, below, and in noonfit "
                       "compare --pairs.");
    nr_html_paragraph(page->to, NULL, text);
    nr_tell_compare_basis(text, sizeof text, c);
    nr_html_paragraph(page->to, NULL, text);
}

static nr_code each_build(nr_page *page, const nr_compare *c)
{
    nr_code code = NR_OK;
    for (size_t i = 0; i < c->builds && code == NR_OK; i++) {
        char text[WORDS];
        char id[32];
        (void)snprintf(id, sizeof id, "build%zu", i + 1);
        nr_html_fold(page->to, id, c->label[i]);
        nr_tell_fit_result(text, sizeof text, c->build[i], page->units);
        nr_html_paragraph(page->to, NULL, text);
        nr_page_numbers(page, c->build[i]);
        code = nr_page_fit_picture(page, c->build[i]);
        if (code == NR_OK && c->builds <= FEW_BUILDS)
            code = nr_page_more_pictures(page, c->build[i]);
        nr_html_fold_end(page->to);
    }
    return code;
}

static void compare_card(nr_page *page, const nr_compare *c)
{
    nr_html_card(page->to);
    for (size_t i = 0; i < c->builds; i++) {
        char label[NR_NAME + 64];
        nr_tell_heat_up_title(label, sizeof label, c, i);
        nr_html_card_value(page->to, label, NR_SHOWN_MINUTES, page->units, &c->heat_up[i].time_s);
    }
    nr_html_card_end(page->to);
}

static nr_code write_compare(nr_page *page, const nr_compare *c, const nr_report_runs *builds)
{
    char verdict[WORDS], path[128], title[2 * NR_NAME + 32];
    nr_tell_compare_verdict(verdict, sizeof verdict, c, page->units);
    nr_tell_compare_title(title, sizeof title, c);
    heading(page, title, verdict);
    nr_page_trust(page, &c->trust);
    if (c->builds > 2)
        nr_page_ranking(page, c);
    else
        compare_card(page, c);
    contents(page);
    nr_plot_style style = nr_page_style(page);
    char day[WORDS];
    nr_tell_compare_day(day, sizeof day, &c->day, page->units);
    nr_code code = nr_page_phone_figure(
        page, nr_plot_ranking(c, day, nr_page_picture(page, path, sizeof path), &style, page->err),
        verdict, "Times to heat up on the reference day, with their 95 % intervals.");
    if (code == NR_OK)
        code = nr_page_figure(
            page, nr_plot_compare(c, nr_page_picture(page, path, sizeof path), &style, page->err),
            verdict,
            c->builds > 2
                ? "Times to heat up on the reference day with their 95 % intervals, fastest first."
                : "Efficiency curves with 95 % bands (dashed: extrapolated), the heat-up of a "
                  "container on the reference day, and the differences with their intervals: one "
                  "that holds zero is no proven difference.");
    nr_page_warnings(page, "Mind", &c->warnings);
    nr_html_fold(page->to, "numbers", "Numbers");
    comparison_numbers(page, c);
    nr_html_fold_end(page->to);
    if (code == NR_OK)
        code = each_build(page, c);
    return code == NR_OK ? write_record(page, builds, c->builds, NULL, c) : code;
}

/* What is to be written: one of the two. */
typedef struct subject {
    const nr_fit *fit;
    const nr_compare *compare;
    const nr_report_runs *builds;
} subject;

static nr_code fill(nr_page *page, const subject *s)
{
    nr_code code = s->compare != NULL ? write_compare(page, s->compare, s->builds)
                                      : write_fit(page, s->fit, s->builds);
    if (code == NR_OK && (fflush(page->to) != 0 || ferror(page->to)))
        code = nr_fail_errno(page->err, NR_BAD, NULL, errno, "cannot write the page");
    return code;
}

static nr_code write_page(int descriptor, const subject *s, const nr_report_style *style,
                          nr_err *err)
{
    nr_page page = {.style = style, .units = style->units, .err = err};
    const char *base = getenv("TMPDIR");
    if (base == NULL || base[0] != '/' || strlen(base) > 30)
        base = "/tmp";
    (void)snprintf(page.folder, sizeof page.folder, "%s/noonfit-XXXXXX", base);
    if (mkdtemp(page.folder) == NULL)
        return nr_fail_errno(err, NR_BAD, page.folder, errno, "cannot make a temporary folder");
    page.to = fdopen(dup(descriptor), "w");
    nr_code code = page.to == NULL
                       ? nr_fail_errno(err, NR_BAD, NULL, errno, "cannot write the page")
                       : fill(&page, s);
    if (page.to != NULL && fclose(page.to) != 0 && code == NR_OK)
        code = nr_fail_errno(err, NR_BAD, NULL, errno, "cannot write the page");
    (void)rmdir(page.folder);
    return code;
}

static nr_code make(const char *path, const subject *s, const nr_report_style *style, nr_err *err)
{
    nr_replacement page;
    const char *dot = strrchr(path, '.');
    if (dot == NULL || (strcmp(dot, ".html") != 0 && strcmp(dot, ".htm") != 0))
        return nr_fail(err, NR_BAD, path, 0, "a report's name ends in .html");
    nr_code code = nr_replace_begin(&page, path, 0666, err);
    if (code != NR_OK)
        return code;
    code = write_page(page.fd, s, style, err);
    if (code == NR_OK)
        return nr_replace_commit(&page, err);
    nr_replace_abandon(&page);
    return code;
}

nr_code nr_report_fit(const char *path, const nr_fit *fit, const nr_report_runs *runs,
                      const nr_report_style *style, nr_err *err)
{
    const subject s = {.fit = fit, .builds = runs};
    return make(path, &s, style, err);
}

nr_code nr_report_compare(const char *path, const nr_compare *compare, const nr_report_runs *builds,
                          const nr_report_style *style, nr_err *err)
{
    const subject s = {.compare = compare, .builds = builds};
    return make(path, &s, style, err);
}
