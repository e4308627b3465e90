/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/timeline.h"

#include "logger/base/text.h"
#include "plots/letters.h"

#include <math.h>
#include <string.h>
#include <time.h>

/* Free space between runs shown one after another, as part of their whole length. */
#define BETWEEN 0.03
/* Room of titles and subtitles on the canvas, px. */
#define ROOM (0.965 * NR_CANVAS_W)

nr_timeline nr_timeline_single(double length_s, double start_utc_s)
{
    nr_timeline t = {.count = 1, .clock_s = NAN};
    t.length_min[0] = t.total_min = isfinite(length_s) && length_s > 0 ? length_s / 60 : 1;
    t.start_utc_s[0] = start_utc_s;
    return t;
}

nr_timeline nr_timeline_day(double length_s, double clock_s, const char *clock_name)
{
    nr_timeline t = nr_timeline_single(length_s, NAN);
    t.clock_s = clock_s;
    (void)nr_copy(t.clock_name, sizeof t.clock_name, clock_name);
    return t;
}

const char *nr_base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL && slash[1] != '\0' ? slash + 1 : path;
}

static double length_of(const nr_fit_run *r)
{
    double last = r->blocks > 0 ? r->t_s[r->blocks - 1] + r->block_s / 2 : 0;
    double minutes = fmax(isfinite(last) ? last : 0, 60) / 60;
    /* A few seconds short of a whole minute: the axis ends on its last number. */
    return ceil(minutes) - minutes < 0.2 ? ceil(minutes) : minutes;
}

nr_timeline nr_timeline_of(const nr_fit *fit)
{
    nr_timeline t = {.count = fit->runs < NR_TIMELINE_RUNS ? fit->runs : NR_TIMELINE_RUNS,
                     .clock_s = NAN};
    double sum = 0;
    for (size_t i = 0; i < t.count; i++)
        sum += t.length_min[i] = length_of(&fit->run[i]);
    for (size_t i = 0; i < t.count; i++) {
        t.offset_min[i] = t.total_min;
        t.total_min += t.length_min[i] + (i + 1 < t.count ? BETWEEN * sum : 0);
        t.start_utc_s[i] = fit->run[i].start_utc_s;
        t.name[i] = nr_base_name(fit->run[i].folder);
    }
    if (t.count == 0)
        t.total_min = 1;
    return t;
}

/* Steps people count time in. */
static double time_step(double total_min, double wanted)
{
    static const double steps[] = {1, 2, 5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720, 1440};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (total_min / steps[i] <= wanted)
            return steps[i];
    return 1440 * ceil(total_min / wanted / 1440);
}

void nr_timeline_axis(nr_picture *p, const nr_timeline *t, bool labelled, double box_width)
{
    FILE *f = p->script;
    /* A number takes about 60 px; over six hours people count in hours. */
    double fits = fmax(floor(box_width * NR_CANVAS_W / 75), 2 * (double)t->count);
    double step = time_step(t->total_min, fmax(3, fits)), longest = 0;
    for (size_t i = 0; i < t->count; i++)
        longest = fmax(longest, t->length_min[i]);
    bool hours = longest > 360 && step >= 60;
    nr_range(p, "x", 0, t->total_min);
    nr_tics_style(p, "x");
    fputs(" (", f);
    const char *comma = "";
    for (size_t i = 0; i < t->count; i++) {
        bool last = i + 1 == t->count;
        for (int k = 0; k * step <= t->length_min[i] + 1e-6; k++) {
            double m = k * step;
            if (!last && m > 0 && t->length_min[i] - m < 0.5 * step)
                break;
            if (labelled)
                fprintf(f, "%s'%.4g' %.9g", comma, hours ? m / 60 : m, t->offset_min[i] + m);
            else
                fprintf(f, "%s'' %.9g", comma, t->offset_min[i] + m);
            comma = ", ";
        }
    }
    fputs(")\n", f);
    if (labelled) {
        char words[64];
        (void)snprintf(words, sizeof words, "%s from %s", hours ? "hours" : "minutes",
                       t->count > 1 ? "the start of each run" : "the start");
        nr_x_label(p, words);
    }
}

static bool clock_of(double utc_s, struct tm *out)
{
    if (!(utc_s > 0 && utc_s < 1e11))
        return false;
    time_t seconds = (time_t)utc_s;
    return localtime_r(&seconds, out) != NULL;
}

/* The day's own clock or this machine's, some minutes after the start. */
static bool clock_at(const nr_timeline *t, double minutes, struct tm *out)
{
    if (!isfinite(t->clock_s))
        return clock_of(t->start_utc_s[0] + 60 * minutes, out);
    double of_day = fmod(fmod(t->clock_s + 60 * minutes, 86400) + 86400, 86400);
    *out = (struct tm){
        .tm_hour = (int)of_day / 3600, .tm_min = (int)of_day / 60 % 60, .tm_sec = (int)of_day % 60};
    return true;
}

/* Which clock: the zone's name behind the last hour; a longer one above it. */
static void clock_words(nr_picture *p, const nr_timeline *t, const nr_box *box, const char *zone)
{
    if (isfinite(t->clock_s))
        nr_text_screen(p, box->right, box->top + 0.066, "right", NR_PX_SMALL, NR_TEXT_GREY,
                       t->clock_name);
    else
        nr_text_screen(p, box->right + (nr_is_portrait(p) ? 0.05 : 0.028), box->top + 0.027, "left",
                       NR_PX_SMALL, NR_TEXT_GREY, zone);
}

/* Round times as tics of an axis, so many at most; named, or the places only. */
static void clock_tics(nr_picture *p, const nr_timeline *t, const char *axis, double most,
                       bool named)
{
    FILE *f = p->script;
    struct tm start;
    (void)clock_at(t, 0, &start);
    double step = fmax(5, time_step(t->total_min, most));
    double into = start.tm_min + start.tm_sec / 60.0 + (step >= 60 ? start.tm_hour * 60 : 0);
    double first = step * ceil(into / step - 1e-9) - into;
    nr_tics_style(p, axis);
    fputs(" (", f);
    const char *comma = "";
    for (int k = 0; first + k * step <= t->total_min + 1e-6; k++) {
        struct tm at;
        double m = first + k * step;
        if (!clock_at(t, m + 0.5 / 60, &at))
            continue;
        if (named)
            fprintf(f, "%s'%d:%02d' %.9g", comma, at.tm_hour, at.tm_min, m);
        else
            fprintf(f, "%s'' %.9g", comma, m);
        comma = ", ";
    }
    fputs(")\n", f);
}

static void clock_top(nr_picture *p, const nr_timeline *t, const nr_box *box)
{
    struct tm start;
    if (!clock_at(t, 0, &start))
        return;
    fprintf(p->script, "set x2range [0:%.9g]\n", t->total_min);
    clock_tics(p, t, "x2", nr_is_portrait(p) ? 4 : 6, true);
    fputs("set border 5\n", p->script);
    clock_words(p, t, box, start.tm_zone != NULL ? start.tm_zone : "");
}

void nr_timeline_clock_axis(nr_picture *p, const nr_timeline *t, bool labelled, double box_width)
{
    struct tm start;
    if (!isfinite(t->clock_s) || !clock_at(t, 0, &start)) {
        nr_timeline_axis(p, t, labelled, box_width);
        return;
    }
    nr_range(p, "x", 0, t->total_min);
    clock_tics(p, t, "x", fmax(3, floor(box_width * NR_CANVAS_W / 80)), labelled);
    if (labelled)
        nr_x_label(p, t->clock_name);
}

void nr_timeline_top(nr_picture *p, const nr_timeline *t, const nr_box *box)
{
    if (t->count == 1) {
        clock_top(p, t, box);
        return;
    }
    for (size_t i = 0; i < t->count; i++) {
        char text[160];
        double part = (t->offset_min[i] + t->length_min[i] / 2) / t->total_min;
        double wide = t->length_min[i] / t->total_min * (box->right - box->left) * NR_CANVAS_W;
        (void)nr_text_cut_front(text, sizeof text, t->name[i], NR_PX_SMALL, wide);
        nr_text_screen(p, box->left + part * (box->right - box->left), box->top + 0.018, "center",
                       NR_PX_SMALL, NR_TEXT_GREY, text);
    }
}

void nr_timeline_separators(nr_picture *p, const nr_timeline *t)
{
    for (size_t i = 1; i < t->count; i++) {
        double end = t->offset_min[i - 1] + t->length_min[i - 1];
        fprintf(p->script,
                "set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind "
                "fc rgb '#F4F4F4' fs solid noborder\n",
                end, t->offset_min[i]);
    }
}

static void date_words(char *text, size_t size, const struct tm *at)
{
    static const char *const month[] = {"January",   "February", "March",    "April",
                                        "May",       "June",     "July",     "August",
                                        "September", "October",  "November", "December"};
    if (at->tm_mon >= 0 && at->tm_mon < 12)
        (void)snprintf(text, size, "%d %s %d", at->tm_mday, month[at->tm_mon], at->tm_year + 1900);
}

void nr_date_text(char *text, size_t size, double utc_s)
{
    struct tm at;
    text[0] = '\0';
    if (clock_of(utc_s, &at))
        date_words(text, size, &at);
}

void nr_calendar_text(char *text, size_t size, double midnight_utc_s)
{
    struct tm at;
    time_t seconds = isfinite(midnight_utc_s) && fabs(midnight_utc_s) < 1e11
                         ? (time_t)midnight_utc_s
                         : (time_t)-1;
    text[0] = '\0';
    if (seconds >= 0 && gmtime_r(&seconds, &at) != NULL)
        date_words(text, size, &at);
}

static void place_text(char *text, size_t size, const nr_fit_run *r)
{
    text[0] = '\0';
    if (isfinite(r->latitude_deg) && isfinite(r->longitude_deg))
        (void)snprintf(text, size, ", %.2f\u00b0 %c, %.2f\u00b0 %c", fabs(r->latitude_deg),
                       r->latitude_deg < 0 ? 'S' : 'N', fabs(r->longitude_deg),
                       r->longitude_deg < 0 ? 'W' : 'E');
}

void nr_title_trust(char *title, size_t size, const nr_trust *trust)
{
    static const char mark[] = "Doubtful: ";
    size_t length = strlen(title), more = sizeof mark - 1;
    if (trust->count == 0 || size < sizeof mark)
        return;
    if (length > size - sizeof mark)
        length = size - sizeof mark;
    memmove(title + more, title, length);
    title[more + length] = '\0';
    memcpy(title, mark, more);
}

void nr_title_of(char *title, size_t size, const nr_fit *fit)
{
    char name[256], whole[512];
    const char *full = fit->collector_name[0] != '\0' ? fit->collector_name : "Collector";
    nr_pretty(title, size);
    double room = ROOM - nr_text_px(title, NR_PX_TITLE) - nr_text_px(": ", NR_PX_TITLE);
    if (fit->trust.count > 0)
        room -= nr_text_px("Doubtful: ", NR_PX_TITLE);
    (void)nr_text_cut(name, sizeof name, full, NR_PX_TITLE, fmax(room, 5 * NR_PX_TITLE));
    (void)snprintf(whole, sizeof whole, "%s: %s", name, title);
    (void)nr_copy(title, size, whole);
    nr_title_trust(title, size, &fit->trust);
}

void nr_subtitle_of(char *text, size_t size, const nr_fit *fit, const char *rest)
{
    char name[256] = "";
    double left = fmax(ROOM - nr_text_px(rest, NR_PX_TEXT), 12 * NR_PX_TEXT);
    if (fit != NULL && fit->collector_name[0] != '\0')
        (void)nr_text_cut(name, sizeof name, fit->collector_name, NR_PX_TEXT, left);
    else if (fit != NULL && fit->runs > 0)
        (void)nr_text_cut_front(name, sizeof name, nr_base_name(fit->run[0].folder), NR_PX_TEXT,
                                left);
    /* Without a name, without the comma after it. */
    while (name[0] == '\0' && (*rest == ',' || *rest == ';' || *rest == ' '))
        rest++;
    (void)snprintf(text, size, "%s%s", name, rest);
}

/* Of one run: its own words give way, so that date and place always fit. lead: before them. */
static void subtitle_single(char *text, size_t size, const char *lead, const nr_fit_run *r,
                            const char *date, const char *place)
{
    char name[256], title[256], rest[160];
    (void)snprintf(rest, sizeof rest, "%s%s%s", date[0] != '\0' ? ", " : "", date, place);
    double room = ROOM - nr_text_px(rest, NR_PX_TEXT) - nr_text_px(lead, NR_PX_TEXT);
    (void)nr_text_cut(name, sizeof name, nr_base_name(r->folder), NR_PX_TEXT,
                      r->title[0] != '\0' ? room / 2 : room);
    room -= nr_text_px(name, NR_PX_TEXT) + nr_text_px(": ", NR_PX_TEXT);
    (void)snprintf(text, size, "%s%s%s%s%s", lead, name, r->title[0] != '\0' ? ": " : "",
                   nr_text_cut(title, sizeof title, r->title, NR_PX_TEXT, room), rest);
}

/* Of several: from the first day to the last, in whatever order they were named. */
static void dates_of(const nr_fit *fit, char *first, char *last, size_t size)
{
    double lo = NAN, hi = NAN;
    for (size_t i = 0; i < fit->runs; i++)
        nr_stretch(&lo, &hi, fit->run[i].start_utc_s);
    nr_date_text(first, size, lo);
    nr_date_text(last, size, hi);
}

static void subtitle(char *text, size_t size, const char *lead, const nr_fit *fit)
{
    char date[64] = "", last[64] = "", place[80] = "";
    text[0] = '\0';
    if (fit->runs == 0)
        return;
    dates_of(fit, date, last, sizeof date);
    place_text(place, sizeof place, &fit->run[0]);
    if (fit->runs == 1) {
        subtitle_single(text, size, lead, &fit->run[0], date, place);
        return;
    }
    bool same = strcmp(date, last) == 0;
    (void)snprintf(text, size, "%s%zu runs fitted together%s%s%s%s%s%s", lead, fit->runs,
                   fit->runs > NR_TIMELINE_RUNS ? " (the first 6 shown)" : "",
                   date[0] != '\0' ? ", " : "", date, same || last[0] == '\0' ? "" : " to ",
                   same ? "" : last, place);
}

void nr_subtitle_fit(char *text, size_t size, const nr_fit *fit)
{
    subtitle(text, size, "", fit);
}

void nr_subtitle_named(char *text, size_t size, const nr_fit *fit)
{
    const char *name = fit->collector_name;
    char cut[256], lead[264];
    if (fit->runs == 1 && strncmp(nr_base_name(fit->run[0].folder), name, strlen(name)) == 0) {
        subtitle(text, size, "", fit);
        return;
    }
    (void)snprintf(lead, sizeof lead,
                   "%s: ", nr_text_cut(cut, sizeof cut, name, NR_PX_TEXT, ROOM / 3));
    subtitle(text, size, lead, fit);
}
