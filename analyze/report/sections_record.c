/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a page says about the records: their quality, the rig, the files. */
#include "analyze/report/html.h"
#include "analyze/report/sections.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/utc.h"
#include "plots/plots.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WORDS 1200
/* A file beyond this is only named with its sum: a page has to go through the mail. */
#define INSIDE_MOST 33554432U

static const char *severity_class(nr_severity severity)
{
    return severity == NR_SEVERITY_FAULT   ? "finding fault"
           : severity == NR_SEVERITY_DOUBT ? "finding doubt"
                                           : "finding";
}

static const char *severity_word(nr_severity severity)
{
    return severity == NR_SEVERITY_FAULT   ? "Fault"
           : severity == NR_SEVERITY_DOUBT ? "Doubt"
                                           : "Note";
}

static void finding(nr_page *page, const nr_finding *f)
{
    FILE *to = page->to;
    char text[WORDS];
    fprintf(to, "<li class=\"%s\"><strong>%s</strong>", severity_class(f->severity),
            severity_word(f->severity));
    if (f->channel[0] != '\0') {
        fputs(", ", to);
        nr_html_text(to, f->channel);
    }
    if (isfinite(f->from_s) && isfinite(f->to_s))
        fprintf(to, ", minute %.1f to %.1f", f->from_s / 60, f->to_s / 60);
    fputs(": ", to);
    nr_tell_finding(text, sizeof text, f, page->units);
    nr_html_words(to, text);
    fputs(" ", to);
    nr_tell_finding_advice(text, sizeof text, f, page->units);
    nr_html_words(to, text);
    fputs("</li>\n", to);
}

/* Its own name: where it lies on somebody's disk is nobody's business. */
static void folder_text(FILE *to, const nr_run *run)
{
    char name[NR_PACKED_NAME];
    nr_packed_folder_name(run->folder, name);
    nr_html_text(to, name);
}

static void run_heading(nr_page *page, const nr_run *run)
{
    FILE *to = page->to;
    char start[NR_UTC_SIZE] = "";
    fputs("<h3>", to);
    folder_text(to, run);
    fputs("</h3>\n<p class=\"fine\">", to);
    if (run->rig.title[0] != '\0') {
        nr_html_text(to, run->rig.title);
        fputs(". ", to);
    }
    if (run->readings != NULL && run->readings->rows > 0) {
        nr_values utc = nr_readings_utc(run->readings);
        nr_utc_format(nr_number(&utc, 0), start);
    }
    start[start[0] != '\0' ? 16 : 0] = '\0'; /* to the minute */
    for (char *t = start; *t != '\0'; t++)
        *t = *t == 'T' ? ' ' : *t;
    if (run->readings != NULL)
        fprintf(to, "%zu rows%s%s%s.", run->readings->rows, start[0] != '\0' ? " from " : "", start,
                start[0] != '\0' ? " UTC" : "");
    fputs("</p>\n", to);
    if (run->rig.notes[0] != '\0') {
        fputs("<p>", to);
        nr_html_text(to, run->rig.notes);
        fputs("</p>\n", to);
    }
}

static nr_code run_quality(nr_page *page, const nr_run *run, const nr_inspect *x)
{
    char path[128], text[2 * WORDS];
    run_heading(page, run);
    if (x == NULL)
        return NR_OK;
    nr_tell_inspect(text, WORDS, x, page->units);
    nr_html_paragraph(page->to, NULL, text);
    if (x->findings > 0)
        fputs("<ul class=\"plain\">\n", page->to);
    for (int severity = NR_SEVERITY_FAULT; severity >= NR_SEVERITY_NOTE; severity--)
        for (size_t i = 0; i < x->findings; i++)
            if ((int)x->finding[i].severity == severity)
                finding(page, &x->finding[i]);
    if (x->findings > 0)
        fputs("</ul>\n", page->to);
    static const char caption[] =
        "Every channel as recorded; findings are shaded, what was noted stands as numbered flags.";
    nr_plot_style style = nr_page_style(page);
    size_t used = strlen(text);
    text[used++] = ' ';
    nr_tell_inspect_use(text + used, sizeof text - used, x);
    style.portrait = true;
    (void)nr_page_picture(page, path, sizeof path);
    nr_code code =
        nr_page_phone_figure(page, nr_plot_inspect(x, run, path, &style, page->err), text, caption);
    style.portrait = false;
    if (code == NR_OK)
        code =
            nr_page_figure(page, nr_plot_inspect(x, run, path, &style, page->err), text, caption);
    return code;
}

nr_code nr_page_quality(nr_page *page, const nr_report_runs *builds, size_t count)
{
    nr_html_fold(page->to, "record", "Is the record good?");
    for (size_t b = 0; b < count; b++)
        for (size_t i = 0; i < builds[b].count; i++) {
            const nr_inspect *x = builds[b].inspects != NULL ? builds[b].inspects[i] : NULL;
            nr_code code = run_quality(page, builds[b].runs[i], x);
            if (code != NR_OK)
                return code;
        }
    nr_html_fold_end(page->to);
    return NR_OK;
}

/* "0.5200 ± 0.0026 m²" in the unit shown; nothing when not given. */
static void value_row(nr_page *page, const char *label, nr_shown what, const char *unit,
                      const nr_value *v)
{
    char value[NR_ROUNDED], u[NR_ROUNDED];
    double number = nr_display_value(what, page->units, v->value);
    if (!v->given)
        return;
    fputs("<tr><th scope=\"row\">", page->to);
    nr_html_text(page->to, label);
    fputs("</th><td>", page->to);
    if (v->u_given) {
        nr_round_pair(number, nr_display_difference(what, page->units, v->u), value, u,
                      sizeof value);
        fprintf(page->to, "%s \u00b1 %s ", value, u);
    } else {
        fprintf(page->to, "%s ", nr_plain_text(number, 6, value));
    }
    nr_html_text(page->to, unit != NULL ? unit : nr_display_of(what, page->units)->pretty);
    fputs("</td></tr>\n", page->to);
}

static void word_row(nr_page *page, const char *label, const char *text)
{
    if (text[0] == '\0')
        return;
    fputs("<tr><th scope=\"row\">", page->to);
    nr_html_text(page->to, label);
    fputs("</th><td>", page->to);
    nr_html_text(page->to, text);
    fputs("</td></tr>\n", page->to);
}

static void collector(nr_page *page, const nr_rig *rig)
{
    fputs("<p class=\"fine\">Stated in rig.ini; \u00b1 is a standard uncertainty</p>\n"
          "<div class=\"wide\"><table><tbody>\n",
          page->to);
    word_row(page, "collector", rig->collector.name);
    word_row(page, "glazing", nr_glazing_word(rig->collector.glazing));
    value_row(page, "gross area", NR_SHOWN_AREA, NULL, &rig->collector.gross_area_m2);
    value_row(page, "tilt", NR_SHOWN_NUMBER, "\u00b0", &rig->collector.tilt_deg);
    value_row(page, "azimuth, clockwise from north", NR_SHOWN_NUMBER, "\u00b0",
              &rig->collector.azimuth_deg);
    value_row(page, "fluid in the collector", NR_SHOWN_WATER, NULL, &rig->collector.fluid_kg);
    value_row(page, "heat capacity, dry", NR_SHOWN_NUMBER, "J/K",
              &rig->collector.heat_capacity_J_K);
    value_row(page, "water in the container", NR_SHOWN_WATER, NULL, &rig->store.water_kg);
    value_row(page, "loss of the container", NR_SHOWN_STORE_LOSS, NULL, &rig->store.loss_W_K);
    word_row(page, "lid on the container",
             rig->store.lid == NR_LID_YES  ? "yes"
             : rig->store.lid == NR_LID_NO ? "no"
                                           : "");
    value_row(page, "latitude", NR_SHOWN_NUMBER, "\u00b0", &rig->latitude_deg);
    value_row(page, "longitude", NR_SHOWN_NUMBER, "\u00b0", &rig->longitude_deg);
    value_row(page, "elevation", NR_SHOWN_NUMBER, "m", &rig->elevation_m);
    fputs("</tbody></table></div>\n", page->to);
}

static nr_shown shown_of(const nr_unit *unit)
{
    switch (unit->dimension) {
    case NR_DIM_TEMPERATURE:
        return NR_SHOWN_TEMPERATURE;
    case NR_DIM_IRRADIANCE:
        return NR_SHOWN_IRRADIANCE;
    case NR_DIM_FLOW:
        return NR_SHOWN_FLOW;
    case NR_DIM_SPEED:
        return NR_SHOWN_SPEED;
    default:
        return NR_SHOWN_NUMBER;
    }
}

static void channel_row(nr_page *page, const nr_rig_channel *c)
{
    FILE *to = page->to;
    char number[NR_ROUNDED];
    nr_shown what = shown_of(c->unit);
    /* Of a temperature the unit of a difference, of the rest their own. */
    nr_shown unit = what == NR_SHOWN_TEMPERATURE ? NR_SHOWN_DIFFERENCE : what;
    fputs("<tr><th scope=\"row\">", to);
    nr_html_text(to, c->name);
    fputs("</th><td>", to);
    nr_html_text(to, c->sensor);
    fputs("</td><td>", to);
    nr_html_text(to, c->law != NULL ? c->law->name : "");
    fputs("</td><td>", to);
    if (isfinite(c->u_offset))
        fprintf(to, "%s ",
                nr_plain_text(nr_display_difference(what, page->units, c->u_offset), 2, number));
    if (isfinite(c->u_offset))
        nr_html_text(to, what == NR_SHOWN_NUMBER ? c->unit->label
                                                 : nr_display_of(unit, page->units)->pretty);
    fputs("</td><td>", to);
    if (isfinite(c->u_gain))
        fprintf(to, "%s %%", nr_plain_text(100 * c->u_gain, 2, number));
    fputs("</td><td>", to);
    if (c->lag_s > 0)
        fprintf(to, "%s s", nr_plain_text(c->lag_s, 3, number));
    fputs("</td></tr>\n", to);
}

static void channels(nr_page *page, const nr_rig *rig)
{
    fputs("<p class=\"fine\">Channels; u: standard uncertainty of an error that stays through the "
          "run</p>\n<div class=\"wide\" tabindex=\"0\" role=\"region\" "
          "aria-label=\"Channels\"><table>"
          "<thead><tr><th scope=\"col\">channel</th><th scope=\"col\">sensor</th>"
          "<th scope=\"col\">conversion</th><th scope=\"col\">u, offset</th>"
          "<th scope=\"col\">u, gain</th><th scope=\"col\">lag</th></tr></thead><tbody>\n",
          page->to);
    for (size_t i = 0; i < rig->channels; i++)
        channel_row(page, &rig->channel[i]);
    fputs("</tbody></table></div>\n", page->to);
}

void nr_page_rig(nr_page *page, const nr_report_runs *builds, size_t count)
{
    nr_html_fold(page->to, "rig", "The rig");
    for (size_t b = 0; b < count; b++) {
        if (builds[b].count == 0)
            continue;
        const nr_rig *rig = &builds[b].runs[0]->rig;
        if (count > 1 || builds[b].count > 1) {
            fputs("<h3>", page->to);
            folder_text(page->to, builds[b].runs[0]);
            fputs("</h3>\n", page->to);
        }
        collector(page, rig);
        channels(page, rig);
    }
    nr_html_fold_end(page->to);
}

/* A row of the table: the file itself as a link, its size and its sum. */
static nr_code file_row(nr_page *page, unsigned number, const char *folder, const char *name,
                        const char *bytes, size_t length)
{
    char hex[NR_PACKED_DIGEST];
    nr_packed_digest(bytes, length, hex);
    fputs("<tr><th scope=\"row\">", page->to);
    nr_html_text(page->to, folder);
    fputs("/", page->to);
    nr_code code = NR_OK;
    if (length <= INSIDE_MOST)
        code = nr_packed_write(page->to, number, folder, name, bytes, length, page->err);
    else
        fprintf(page->to, "%s (too large to be in the page)", name);
    fprintf(page->to, "</th><td>%zu</td><td class=\"hash\">%s</td></tr>\n", length, hex);
    return code;
}

/* One file of a run; what is not there is said, or passed over where most runs have none. */
static nr_code run_row(nr_page *page, unsigned number, const nr_run *run, const char *stored,
                       const char *name, bool usual)
{
    char folder[NR_PACKED_NAME], *bytes = NULL;
    size_t length = 0;
    nr_code code = NR_OK;
    nr_packed_folder_name(run->folder, folder);
    if (nr_run_file(run, stored, &bytes, &length, NULL) == NR_OK) {
        code = file_row(page, number, folder, name, bytes, length);
    } else if (usual) {
        fputs("<tr><th scope=\"row\">", page->to);
        nr_html_text(page->to, folder);
        fprintf(page->to, "/%s</th><td colspan=\"2\">not there</td></tr>\n", name);
    }
    free(bytes);
    return code;
}

/* Of an imported run: the table as it came, and how it was read. */
static nr_code import_rows(nr_page *page, unsigned number, const nr_run *run)
{
    char table[NR_PACKED_TABLE_NAME], stored[NR_PACKED_TABLE_NAME + 16], *how = NULL;
    size_t length = 0;
    const nr_run *record = run->record != NULL ? run->record : run;
    if (nr_run_file(run, NR_PACKED_HOW, &how, &length, NULL) != NR_OK)
        return NR_OK;
    bool named = nr_packed_table_name(how, length, table);
    free(how);
    if (!named)
        return NR_OK;
    /* In a page it has one name, in a folder its own. */
    (void)snprintf(stored, sizeof stored, "imported/%s", table);
    nr_code code = run_row(page, number, run, NR_PACKED_HOW, NR_PACKED_HOW, false);
    if (code == NR_OK)
        code = run_row(page, number, run, record->packed != NULL ? NR_PACKED_TABLE : stored,
                       NR_PACKED_TABLE, false);
    return code;
}

static nr_code run_rows(nr_page *page, unsigned number, const nr_run *run)
{
    static const char *const names[] = {NR_RIG_FILE, NR_READINGS_FILE, NR_NOTES_FILE,
                                        NR_ADAPTER_LOG_FILE};
    nr_code code = NR_OK;
    for (size_t k = 0; k < sizeof names / sizeof *names && code == NR_OK; k++)
        code = run_row(page, number, run, names[k], names[k], true);
    return code == NR_OK ? import_rows(page, number, run) : code;
}

/* Views of one record are the same files. */
static bool shown_before(const nr_report_runs *builds, size_t b, size_t i)
{
    for (size_t c = 0; c <= b; c++)
        for (size_t k = 0; k < builds[c].count && (c < b || k < i); k++)
            if (nr_run_same_record(builds[c].runs[k], builds[b].runs[i]))
                return true;
    return false;
}

static void introduce_files(nr_page *page)
{
    FILE *to = page->to;
    nr_html_fold(to, "files", "Check it: the record itself");
    fputs("<p>The record is in this page: tap a file to have it (packed with gzip), or let the "
          "programs take it out: <code>noonfit fit PAGE.html</code> works the answer out again, "
          "<code>noonlog import PAGE.html RUN</code> makes the run folder again. Each file is "
          "checked against its SHA-256. This page was made by noonfit " NOONRUN_VERSION
          ":</p>\n<pre><code>",
          to);
    nr_html_text(to, page->style->command != NULL ? page->style->command : "noonfit report");
    fputs("</code></pre>\n<p><code>readings.csv</code> opens in any spreadsheet; "
          "<code>adapter.log</code> holds the adapter's own lines; <code>results.json</code> is "
          "this page's answer for programs.</p>\n"
          "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Files\"><table><thead>"
          "<tr><th scope=\"col\">file</th><th scope=\"col\">bytes</th><th scope=\"col\">SHA-256"
          "</th></tr></thead><tbody>\n",
          to);
}

nr_code nr_page_checks(nr_page *page, const nr_report_runs *builds, size_t count,
                       const char *results, size_t size)
{
    unsigned number = 0;
    nr_code code = NR_OK;
    introduce_files(page);
    for (size_t b = 0; b < count; b++)
        for (size_t i = 0; i < builds[b].count && code == NR_OK; i++)
            if (!shown_before(builds, b, i) && number < NR_PACKED_RUNS)
                code = run_rows(page, ++number, builds[b].runs[i]);
    if (code == NR_OK && number > 0) {
        char folder[NR_PACKED_NAME];
        nr_packed_folder_name(builds[0].runs[0]->folder, folder);
        code = file_row(page, 1, folder, "results.json", results, size);
    }
    fputs("</tbody></table></div>\n", page->to);
    nr_html_fold_end(page->to);
    return code;
}
