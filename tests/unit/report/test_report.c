/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page: valid enough for a strict reader, self-contained, hostile text shown as text, sums of
 * its files right, nothing left behind when it fails. How it looks is judged in a browser. */
#include "analyze/report/html.h"
#include "analyze/report/report.h"
#include "analyze/report/svg.h"
#include "tests/unit/near.h"
#include "tests/unit/plots/fixture.h"

#include <dirent.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64], path[128];
static fixture x;
static nr_report_style style;

static void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-report-XXXXXX")));
    (void)snprintf(path, sizeof path, "%s/page.html", folder);
    ck_assert_int_eq(setenv("TMPDIR", folder, 1), 0); /* so that what is left behind is seen */
    x = (fixture){.seed = 1};
    style =
        (nr_report_style){.made_utc_s = 1777891353.0, .command = "noonfit report run -o page.html"};
}

static void tear_down(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
    fixture_done(&x);
}

static size_t files(void)
{
    size_t n = 0;
    DIR *d = opendir(folder);
    ck_assert_ptr_nonnull(d);
    for (struct dirent *e; (e = readdir(d)) != NULL;)
        n += strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0;
    closedir(d);
    return n;
}

static char *slurp(const char *name)
{
    FILE *f = fopen(name, "rb");
    ck_assert_msg(f != NULL, "no %s", name);
    fseek(f, 0, SEEK_END);
    size_t size = (size_t)ftell(f);
    rewind(f);
    char *text = calloc(1, size + 1);
    ck_assert_ptr_nonnull(text);
    ck_assert_uint_eq(fread(text, 1, size, f), size);
    fclose(f);
    return text;
}

static char *html_of(void (*write)(FILE *, const char *), const char *text)
{
    char *out = NULL;
    size_t size;
    FILE *to = open_memstream(&out, &size);
    write(to, text);
    fclose(to);
    return out;
}

static void writes(void (*write)(FILE *, const char *), const char *text, const char *expected)
{
    char *out = html_of(write, text);
    ck_assert_str_eq(out, expected);
    free(out);
}

START_TEST(escaping)
{
    writes(nr_html_text, "a < b & c > \"d\" 'e'",
           "a &lt; b &amp; c &gt; &quot;d&quot; &#39;e&#39;");
    writes(nr_html_text, "\x1b[2J\n\xff", "?[2J??");
    writes(nr_html_words, "8.1 W/(m2 K) at 40 degC +- 2, eta0; <a1>",
           "8.1 W/(m\u00b2 K) at 40 \u00b0C \u00b1 2, \u03b7<sub>0</sub>; &lt;a1&gt;");
    /* Only whole words are set: names stay as they are. */
    writes(nr_html_words, "run-a1 ma1 a10 eta01", "run-a1 ma1 a10 eta01");
}
END_TEST

START_TEST(sums)
{
    /* FIPS 180-4 examples (from memory): "abc", the empty message, a million times "a". */
    static const struct {
        const char *unit;
        int times;
        const char *hex;
    } cases[] = {
        {"abc", 1, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
        {"", 1, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
        {"a", 1000000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"}};
    char hex[NR_PACKED_DIGEST];
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char *text = NULL;
        size_t size;
        FILE *f = open_memstream(&text, &size);
        for (int k = 0; k < cases[i].times; k++)
            fputs(cases[i].unit, f);
        fclose(f);
        nr_packed_digest(text, size, hex);
        ck_assert_str_eq(hex, cases[i].hex);
        free(text);
    }
}
END_TEST

START_TEST(pictures_inside)
{
    char *out = NULL;
    size_t size;
    FILE *to = open_memstream(&out, &size);
    ck_assert(nr_svg_inline(
        to,
        "<?xml version='1.0'?>\n<svg width='1'>\n<title>Gnuplot</title><desc>by</desc>"
        "<defs><circle id='dot'/></defs><g id=\"g1\" ><title>plot</title>"
        "<use xlink:href='#dot'/><path clip-path='url(#c)'/><text>id='dot' kept</text></g>\n</svg>",
        "p1", "A \"curve\""));
    fclose(to);
    ck_assert_str_eq(out, "<svg viewBox=\"0 0 1200 800\" xmlns=\"http://www.w3.org/2000/svg\" "
                          "xmlns:xlink=\"http://www.w3.org/1999/xlink\" role=\"img\" "
                          "aria-label=\"A &quot;curve&quot;\">\n\n"
                          "<defs><circle id='p1-dot'/></defs><g id=\"p1-g1\" >"
                          "<use xlink:href='#p1-dot'/><path clip-path='url(#p1-c)'/>"
                          "<text>id='dot' kept</text></g>\n</svg>\n");
    free(out);
    static const char *const bad[] = {"",
                                      "<p>no picture</p>",
                                      "<svg><script>1</script></svg>",
                                      "<svg><a href='x'>y</a></svg>",
                                      "<svg><image href='http://x'/></svg>",
                                      "<svg><foreignObject/></svg>",
                                      "<svg>never ends"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        to = fopen("/dev/null", "w");
        ck_assert_msg(!nr_svg_inline(to, bad[i], "p", "x"), "taken: %s", bad[i]);
        fclose(to);
    }
}
END_TEST

/* Tags close in the order they opened, attributes are quoted, ids are used once. */
static void is_well_formed(const char *page)
{
    char open[64][24];
    size_t depth = 0;
    ck_assert(strncmp(page, "<!DOCTYPE html>", 15) == 0);
    for (const char *p = strchr(page + 15, '<'); p != NULL; p = strchr(p + 1, '<')) {
        const char *end = strchr(p, '>');
        ck_assert_msg(end != NULL, "unclosed tag: %.40s", p);
        char name[24];
        size_t n = strcspn(p + 1 + (p[1] == '/'), " >/\n\t");
        ck_assert_msg(n > 0 && n < sizeof name, "odd tag: %.40s", p);
        (void)snprintf(name, sizeof name, "%.*s", (int)n, p + 1 + (p[1] == '/'));
        if (p[1] == '/') {
            ck_assert_msg(depth > 0 && strcmp(open[depth - 1], name) == 0, "</%s> closes <%s>",
                          name, depth > 0 ? open[depth - 1] : "");
            depth--;
        } else if (end[-1] != '/' && strcmp(name, "meta") != 0) {
            ck_assert_uint_lt(depth, 64);
            (void)strcpy(open[depth++], name);
        }
    }
    ck_assert_uint_eq(depth, 0);
    for (const char *p = page; (p = strstr(p, " id=")) != NULL; p++) {
        char id[64];
        size_t n = strcspn(p + 5, "'\"");
        ck_assert_uint_lt(n, 40);
        (void)snprintf(id, sizeof id, "%.*s", (int)n + 6, p);
        ck_assert_msg(strstr(p + 1, id) == NULL, "twice: %s", id);
    }
}

static void is_self_contained(const char *page)
{
    static const char *const never[] = {"<script", "<link",   "<img",   "<iframe",
                                        "src=",    "@import", "onload", "javascript:"};
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        ck_assert_msg(strcasestr(page, never[i]) == NULL, "%s in the page", never[i]);
    for (const char *p = page; (p = strstr(p, "http")) != NULL; p++)
        ck_assert_msg(strncmp(p, "http://www.w3.org/", 18) == 0 ||
                          strncmp(p, "http-equiv", 10) == 0,
                      "leads elsewhere: %.40s", p);
}

static void has(const char *page, const char *part)
{
    ck_assert_msg(strstr(page, part) != NULL, "no \"%s\"", part);
}

static nr_run *run_on_disk(nr_run *run)
{
    char name[256];
    (void)snprintf(run->folder, sizeof run->folder, "%s/run", folder);
    ck_assert(mkdir(run->folder, 0755) == 0 || access(run->folder, F_OK) == 0);
    (void)snprintf(name, sizeof name, "%.200s/rig.ini", run->folder);
    FILE *f = fopen(name, "w");
    ck_assert_ptr_nonnull(f);
    fputs("abc", f);
    fclose(f);
    nr_rig *rig = &run->rig;
    (void)snprintf(rig->collector.name, sizeof rig->collector.name, "Glazed <wash> stand");
    rig->collector.gross_area_m2 = (nr_value){true, 0.52, true, 0.0026, 3};
    rig->store.water_kg = (nr_value){true, 40, false, NAN, 4};
    rig->store.lid = NR_LID_YES;
    rig->channels = 1;
    (void)snprintf(rig->channel[0].name, NR_NAME, "store");
    (void)snprintf(rig->channel[0].sensor, NR_NAME, "probe & cable");
    rig->channel[0].unit = nr_unit_find("degC");
    rig->channel[0].law = nr_law_find("linear");
    rig->channel[0].u_offset = 0.15;
    rig->channel[0].u_gain = NAN;
    rig->channel[0].lag_s = 12;
    return run;
}

START_TEST(page_of_a_fit)
{
    nr_err err = {0};
    nr_run *run;
    const nr_inspect *inspect = fixture_inspect(&x, 9, &run);
    const nr_run *runs = run_on_disk(run);
    const nr_report_runs r = {1, &runs, &inspect};
    nr_fit *fit = fixture_fit(&x, &fixture_glazed, 1);
    for (int us = 0; us < 2; us++) {
        style.units = us ? NR_UNITS_US : NR_UNITS_SI;
        nr_code code = nr_report_fit(path, fit, &r, &style, &err);
        ck_assert_msg(code == NR_OK, "%s", err.text);
        ck_assert_uint_eq(files(), 2); /* the run and the page, no picture, no part */
        char *page = slurp(path);
        is_well_formed(page);
        is_self_contained(page);
        has(page, "<h1>Glazed wash stand: a heat-up test</h1>");
        has(page, "Warm as the air around it");
        has(page, us ? "<strong>1.43</strong></td><td>1.21&nbsp;to&nbsp;1.65"
                     : "<strong>8.10</strong></td><td>6.84&nbsp;to&nbsp;9.36");
        has(page, us ? "5.597 \u00b1 0.028 ft\u00b2" : "0.5200 \u00b1 0.0026 m\u00b2");
        has(page, us ? "0.27 \u00b0F" : "0.15 K");
        has(page, "Glazed &lt;wash&gt; stand");
        has(page, "probe &amp; cable");
        has(page, "role=\"img\" aria-label=\"Warm as the air");
        has(page, "<strong>Fault</strong>, air, minute 70.0 to 80.0");
        has(page, "on 2026-05-04");
        has(page, "<code>noonfit report run -o page.html</code>");
        has(page, ">rig.ini</a></th><td>3</td><td class=\"hash\">"
                  "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        has(page, "run/readings.csv</th><td colspan=\"2\">not there");
        has(page, "Never heat a loop that is closed");
        has(page, us ? "120" : "scalds");
        free(page);
    }
}
END_TEST

START_TEST(page_of_a_comparison)
{
    nr_err err = {0};
    const fixture_build b[3] = {fixture_glazed, fixture_bare, fixture_glazed};
    nr_compare *c = fixture_compare(&x, b, 3);
    nr_run *run;
    (void)fixture_inspect(&x, 3, &run);
    const nr_run *runs = run_on_disk(run);
    const nr_report_runs r[3] = {{1, &runs, NULL}, {1, &runs, NULL}, {1, &runs, NULL}};
    nr_code code = nr_report_compare(path, c, r, &style, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    char *page = slurp(path);
    is_well_formed(page);
    is_self_contained(page);
    has(page, "<h1>3 solar collectors compared</h1>");
    has(page, "Glazed wash stand heats up first of 3");
    has(page, "<h2 id=\"ranking\">Who heats up first</h2>");
    has(page, "<tr><th scope=\"row\">Bare wash stand</th><td>1 to 3</td><td>c</td><td><strong>");
    has(page, "Glazed wash stand \u2212 Bare wash stand");
    has(page, "-9.30</strong></td><td>-10.79&nbsp;to&nbsp;-7.81");
    has(page, "All builds are fitted together");
    free(page);
    c->builds = 2;
    c->differences = 1;
    ck_assert_int_eq(nr_report_compare(path, c, r, &style, &err), NR_OK);
    page = slurp(path);
    has(page, "<h1>Glazed wash stand against Bare wash stand</h1>");
    ck_assert_ptr_null(strstr(page, "id=\"ranking\""));
    free(page);
}
END_TEST

START_TEST(hostile_record)
{
    nr_err err = {0};
    static const char evil[] = "</title><script>alert(1)</script><img src=x onerror=alert(2)> "
                               "\" onload=\"alert(3) ' `id` ]]> --> &lt; {/Bold}";
    fixture_build b = fixture_glazed;
    b.name = b.folder = b.title = evil;
    nr_run *run;
    nr_inspect *inspect = fixture_inspect(&x, 9, &run);
    const nr_run *runs = run_on_disk(run);
    const nr_inspect *inspects = inspect;
    (void)snprintf(run->rig.title, sizeof run->rig.title, "%s", evil);
    (void)snprintf(run->rig.notes, sizeof run->rig.notes, "%s", evil);
    (void)snprintf(run->rig.collector.name, NR_NAME, "%.63s", evil);
    (void)snprintf(run->rig.channel[0].sensor, NR_NAME, "%.63s", evil);
    (void)snprintf(run->rig.channel[0].name, NR_NAME, "%.63s", evil);
    (void)snprintf(run->readings->column[0].channel, NR_NAME, "%.63s", evil);
    inspect->finding[0].code = NR_FIND_NEVER_CHANGES; /* names its channel, in the sentence, too */
    (void)snprintf(inspect->finding[0].channel, NR_NAME, "%.63s", evil);
    style.command = evil;
    nr_fit *fit = fixture_fit(&x, &b, 2);
    fit->warnings.item[0].code = NR_WARN_READINGS_LEFT_OUT;
    (void)snprintf(fit->warnings.item[0].about, sizeof fit->warnings.item[0].about, "%s", evil);
    (void)snprintf(fit->learned[0].label, sizeof fit->learned[0].label, "%.90s", evil);
    (void)snprintf(fit->budget[0].label, sizeof fit->budget[0].label, "%.90s", evil);
    const nr_report_runs r = {1, &runs, &inspects};
    nr_code code = nr_report_fit(path, fit, &r, &style, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    char *page = slurp(path);
    is_well_formed(page); /* in particular: no tag of theirs opened */
    ck_assert_ptr_null(strcasestr(page, "<script"));
    ck_assert_ptr_null(strcasestr(page, "<img"));
    ck_assert_ptr_null(strstr(page, "\" onload"));
    has(page, "&lt;script&gt;alert(1)&lt;/script&gt;");
    free(page);
}
END_TEST

START_TEST(failures_leave_nothing)
{
    nr_err err = {0};
    nr_run *run;
    (void)fixture_inspect(&x, 2, &run);
    const nr_run *runs = run_on_disk(run);
    const nr_report_runs r = {1, &runs, NULL};
    nr_fit *fit = fixture_fit(&x, &fixture_glazed, 1);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs("old page", f);
    fclose(f);
    style.gnuplot = "/nowhere/gnuplot";
    ck_assert_int_eq(nr_report_fit(path, fit, &r, &style, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "gnuplot-nox"));
    char *page = slurp(path);
    ck_assert_str_eq(page, "old page");
    free(page);
    ck_assert_uint_eq(files(), 2);
    style.gnuplot = NULL;
    ck_assert_int_eq(nr_report_fit("/nowhere/page.html", fit, &r, &style, &err), NR_BAD);
    ck_assert_int_eq(nr_report_fit("page.txt", fit, &r, &style, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, ".html"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {escaping,
                                  sums,
                                  pictures_inside,
                                  page_of_a_fit,
                                  page_of_a_comparison,
                                  hostile_record,
                                  failures_leave_nothing,
                                  NULL};
    return run_tests_in("report", tests, set_up, tear_down);
}
