/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/weather/columns.h"

#include "analyze/weather/weather.h"
#include "logger/base/text.h"
#include "logger/base/units.h"
#include "logger/run/file.h"

#include <csv.h>

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_BYTES 400000000u /* a century of hours with all columns */
#define FIELDS 128
#define FIELD_BYTES 160
#define HEADER_LINES 60 /* so many lines may stand before the names of the columns */
#define FILL_ROWS 6
#define UNKNOWN_WIND_M_S 3.0 /* where it is missing for longer; common practice, no source */
#define EPW_FIELDS 22

typedef enum stage { STAGE_FIRST, STAGE_EPW_HEADER, STAGE_HEADER, STAGE_ROWS } stage;

typedef struct reader {
    nr_hourly *w;
    size_t room;
    stage stage;
    bool epw;
    nr_hourly_columns columns;
    char field[FIELDS][FIELD_BYTES];
    size_t fields;
    char names[FIELDS][FIELD_BYTES]; /* of a line of metadata; the next has their values */
    size_t named;
    long line, ended; /* rows of the file; where the table ended, or 0 */
    double before_s;
    bool descends;
    nr_err *err;
    nr_code code;
    const char *name;
} reader;

static void on_field(void *bytes, size_t length, void *context)
{
    reader *r = context;
    if (r->fields < FIELDS) {
        nr_clean(r->field[r->fields], FIELD_BYTES, bytes ? bytes : "", bytes ? length : 0);
        nr_trim(r->field[r->fields]);
    }
    r->fields++;
}

static void wrong(reader *r, const char *what)
{
    if (!r->code)
        r->code = nr_fail(r->err, NR_BAD, r->name, r->line, "%s", what);
}

/* A number, or NAN for an empty cell and for the codes by which the formats say "missing". */
static double number(const reader *r, size_t at, double missing_from)
{
    double value;
    if (at >= r->fields || at >= FIELDS || !nr_parse_double(r->field[at], &value) ||
        value >= missing_from || value <= -900)
        return NAN;
    return value;
}

static void add_row(reader *r, const nr_hourly_row *row)
{
    nr_hourly *w = r->w;
    if (w->rows == r->room) {
        size_t room = r->room ? 2 * r->room : 8784;
        nr_hourly_row *more = realloc(w->row, room * sizeof *more);
        if (!more) {
            wrong(r, "out of memory");
            return;
        }
        w->row = more;
        r->room = room;
    }
    r->descends = r->descends || (w->rows && !(row->from_s > r->before_s));
    r->before_s = row->from_s;
    w->row[w->rows++] = *row;
}

/* --- EPW ------------------------------------------------------------------------------------ */

static bool whole(const reader *r, size_t at, long low, long high, long *out)
{
    return at < r->fields && at < FIELDS && nr_parse_long(r->field[at], low, high, out);
}

static void epw_location(reader *r)
{
    nr_hourly *w = r->w;
    if (r->fields < 10) {
        wrong(r, "the LOCATION line has fewer than ten fields");
        return;
    }
    snprintf(w->format, sizeof w->format, "EPW");
    snprintf(w->place, sizeof w->place, "%.100s", r->field[1]);
    w->latitude_deg = number(r, 6, 91);
    w->longitude_deg = number(r, 7, 181);
    w->zone_h = number(r, 8, 15);
    w->elevation_m = number(r, 9, 9000);
    if (isnan(w->latitude_deg + w->longitude_deg + w->zone_h + w->elevation_m))
        wrong(r, "the LOCATION line does not give latitude, longitude, time zone and elevation "
                 "(fields 7 to 10)");
}

static void epw_row(reader *r)
{
    long year, month, day, hour;
    if (r->fields < EPW_FIELDS || !whole(r, 0, 1800, 2200, &year) || !whole(r, 1, 1, 12, &month) ||
        !whole(r, 2, 1, 31, &day) || !whole(r, 3, 1, 24, &hour)) {
        wrong(r, "not a row of an EPW table: year, month, day, hour 1 to 24, ... at least 22 "
                 "fields");
        return;
    }
    nr_hourly_row row = {.from_s =
                             nr_hourly_utc(year, month, day, (double)(hour - 1) - r->w->zone_h),
                         .air_degC = number(r, 6, 99.9),
                         .ghi_W_m2 = number(r, 13, 9999),
                         .dni_W_m2 = number(r, 14, 9999),
                         .dhi_W_m2 = number(r, 15, 9999),
                         .wind_m_s = number(r, 21, 999)};
    add_row(r, &row);
}

/* --- tables with names ----------------------------------------------------------------------- */

/* The rest of a field behind a name and a colon, or NULL. */
static const char *behind(const char *field, const char *name)
{
    size_t length = strlen(name);
    if (strncasecmp(field, name, length))
        return NULL;
    const char *colon = strchr(field + length, ':');
    return colon ? colon + 1 : NULL;
}

static void take_place(reader *r, const char *name, const char *value)
{
    nr_hourly *w = r->w;
    double number_;
    if (!strcasecmp(name, "Location ID") || !strcasecmp(name, "City")) {
        if (*value && strcmp(value, "-"))
            snprintf(w->place, sizeof w->place, "%.100s", value);
        return;
    }
    if (!nr_parse_double(value, &number_))
        return;
    if (!strncasecmp(name, "Latitude", 8))
        w->latitude_deg = number_;
    else if (!strncasecmp(name, "Longitude", 9))
        w->longitude_deg = number_;
    else if (!strncasecmp(name, "Elevation", 9))
        w->elevation_m = number_;
    else if (!strcasecmp(name, "Time Zone") || !strcasecmp(name, "Local Time Zone"))
        w->zone_h = number_;
}

/* What a line before the names of the columns says about the place. */
static void metadata(reader *r)
{
    static const char *const spoken[] = {"Latitude", "Longitude", "Elevation"};
    double station[4];
    for (size_t i = 0; i < sizeof spoken / sizeof *spoken; i++) {
        const char *value = behind(r->field[0], spoken[i]);
        if (value)
            take_place(r, spoken[i], value);
    }
    /* 725650,"DENVER INTL AP",CO,-7.0,39.833,-104.650,1650 */
    if (r->fields == 7 && isdigit((unsigned char)r->field[0][0])) {
        for (size_t i = 0; i < 4; i++)
            station[i] = number(r, 3 + i, 9000);
        if (!isnan(station[0] + station[1] + station[2] + station[3])) {
            snprintf(r->w->place, sizeof r->w->place, "%.100s", r->field[1]);
            r->w->zone_h = station[0];
            r->w->latitude_deg = station[1];
            r->w->longitude_deg = station[2];
            r->w->elevation_m = station[3];
        }
    }
    for (size_t i = 0; i < r->named && i < r->fields && i < FIELDS; i++)
        take_place(r, r->names[i], r->field[i]);
    memcpy(r->names, r->field, sizeof r->names);
    r->named = r->fields < FIELDS ? r->fields : FIELDS;
}

static void header_line(reader *r)
{
    const char *names[FIELDS];
    size_t n = r->fields < FIELDS ? r->fields : FIELDS;
    for (size_t i = 0; i < n; i++)
        names[i] = r->field[i];
    if (nr_hourly_columns_find(names, n, &r->columns)) {
        snprintf(r->w->format, sizeof r->w->format, "%s", r->columns.format);
        r->stage = STAGE_ROWS;
        return;
    }
    metadata(r);
    if (r->line >= HEADER_LINES)
        wrong(r, "no line names the columns; wanted is EPW, or a table with a time and an "
                 "irradiance, such as time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s");
}

static double cell(const reader *r, int column, double low, double high)
{
    double value = column < 0 ? NAN : number(r, (size_t)column, INFINITY);
    return value >= low && value <= high ? value : NAN;
}

static void table_row(reader *r)
{
    const nr_hourly_columns *c = &r->columns;
    const char *fields[FIELDS];
    size_t n = r->fields < FIELDS ? r->fields : FIELDS;
    for (size_t i = 0; i < n; i++)
        fields[i] = r->field[i];
    nr_hourly_row row = {0};
    if (!nr_hourly_columns_time(c, fields, n, r->w->zone_h, &row.from_s)) {
        /* Services write a legend below the table. */
        if (r->w->rows)
            r->ended = r->ended ? r->ended : r->line;
        else
            wrong(r, "the first row's time cannot be read");
        return;
    }
    if (r->ended) {
        r->line = r->ended;
        wrong(r, "the time cannot be read, and the table goes on below");
        return;
    }
    row.ghi_W_m2 = cell(r, c->at[NR_WEATHER_GHI], -50, 2000);
    row.dni_W_m2 = cell(r, c->at[NR_WEATHER_DNI], -50, 2000);
    row.dhi_W_m2 = cell(r, c->at[NR_WEATHER_DHI], -50, 2000);
    row.air_degC = cell(r, c->at[NR_WEATHER_AIR], -90, 150);
    if (c->fahrenheit)
        row.air_degC = (row.air_degC - 32) * NR_DEGF_K;
    row.wind_m_s = c->wind_to_m_s * cell(r, c->at[NR_WEATHER_WIND], 0, 400);
    add_row(r, &row);
}

static void on_row(int end, void *context)
{
    (void)end;
    reader *r = context;
    r->line++;
    bool empty = r->fields == 0 || (r->fields == 1 && !r->field[0][0]);
    if (r->code || empty) {
        r->fields = 0;
        return;
    }
    if (r->stage == STAGE_FIRST) {
        r->epw = !strcasecmp(r->field[0], "LOCATION");
        r->stage = r->epw ? STAGE_EPW_HEADER : STAGE_HEADER;
        if (r->epw)
            epw_location(r);
        else
            header_line(r);
    } else if (r->stage == STAGE_EPW_HEADER) {
        if (!strncasecmp(r->field[0], "DATA PERIODS", 12))
            r->stage = STAGE_ROWS;
        else if (r->line > HEADER_LINES)
            wrong(r, "no DATA PERIODS line ends the header");
    } else if (r->stage == STAGE_HEADER) {
        header_line(r);
    } else if (r->epw) {
        epw_row(r);
    } else {
        table_row(r);
    }
    r->fields = 0;
}

/* --- the table as a whole --------------------------------------------------------------------- */

/* Months of several years, each into the same one. The clock of the file decides the month. */
static void put_into_one_year(nr_hourly *w)
{
    size_t kept = 0;
    for (size_t i = 0; i < w->rows; i++) {
        time_t local = (time_t)(w->row[i].from_s + 3600 * w->zone_h);
        struct tm t;
        gmtime_r(&local, &t);
        if (t.tm_mon == 1 && t.tm_mday == 29)
            continue;
        w->row[kept] = w->row[i];
        w->row[kept++].from_s =
            nr_hourly_utc(NR_TYPICAL_YEAR, t.tm_mon + 1, t.tm_mday,
                          t.tm_hour + t.tm_min / 60.0 + t.tm_sec / 3600.0 - w->zone_h);
    }
    w->rows = kept;
    w->typical = true;
}

static int by_time(const void *a, const void *b)
{
    double x = ((const nr_hourly_row *)a)->from_s, y = ((const nr_hourly_row *)b)->from_s;
    return (x > y) - (x < y);
}

/* Short holes along a straight line. False: a longer one. */
static bool fill(nr_hourly *w, size_t offset, double fallback)
{
    size_t last = 0;
    bool any = false;
    for (size_t i = 0; i <= w->rows; i++) {
        double *v = i < w->rows ? (double *)(void *)((char *)&w->row[i] + offset) : NULL;
        if (v && isnan(*v))
            continue;
        size_t from = any ? last + 1 : 0;
        if (v || any) {
            if (i - from > FILL_ROWS && !isfinite(fallback))
                return false;
            double *before = any ? (double *)(void *)((char *)&w->row[last] + offset) : v;
            const double *after = v ? v : before;
            for (size_t k = from; k < i; k++) {
                double share = any && v ? (double)(k - last) / (double)(i - last) : 0;
                double *to = (double *)(void *)((char *)&w->row[k] + offset);
                *to = i - from > FILL_ROWS ? fallback : *before + share * (*after - *before);
                w->holes++;
            }
        }
        any = any || v;
        last = i;
    }
    return any || isfinite(fallback);
}

static nr_code check(reader *r)
{
    nr_hourly *w = r->w;
    if (w->rows < 24)
        return nr_fail(r->err, NR_BAD, r->name, 0, "%zu hours of weather; at least a day is wanted",
                       w->rows);
    if (r->descends)
        put_into_one_year(w);
    qsort(w->row, w->rows, sizeof *w->row, by_time);
    w->step_s = w->row[1].from_s - w->row[0].from_s;
    for (size_t i = 1; i < w->rows; i++) {
        double step = w->row[i].from_s - w->row[i - 1].from_s;
        if (!(step > 0))
            return nr_fail(r->err, NR_BAD, r->name, 0, "the same hour stands in the table twice");
        w->step_s = fmin(w->step_s, step);
    }
    if (w->step_s > 3600.5)
        return nr_fail(r->err, NR_BAD, r->name, 0,
                       "rows are %g minutes apart; hours or less are wanted", w->step_s / 60);
    for (size_t i = 0; i < w->rows; i++) {
        const nr_hourly_row *row = &w->row[i];
        if (isnan(row->ghi_W_m2) && isnan(row->dni_W_m2 + row->dhi_W_m2))
            return nr_fail(r->err, NR_BAD, r->name, 0,
                           "row %zu of the table has no irradiance (global, or direct and diffuse)",
                           i + 1);
    }
    if (!fill(w, offsetof(nr_hourly_row, air_degC), NAN))
        return nr_fail(r->err, NR_BAD, r->name, 0,
                       "the air temperature is missing for more than %d rows", FILL_ROWS);
    if (r->epw || r->columns.at[NR_WEATHER_WIND] >= 0) /* no such column is no hole */
        fill(w, offsetof(nr_hourly_row, wind_m_s), UNKNOWN_WIND_M_S);
    return NR_OK;
}

nr_code nr_hourly_parse(const char *text, size_t length, const char *name, nr_hourly **out,
                        nr_err *err)
{
    *out = NULL;
    reader *r = calloc(1, sizeof *r);
    nr_hourly *w = calloc(1, sizeof *w);
    struct csv_parser parser;
    if (!r || !w || csv_init(&parser, CSV_APPEND_NULL)) {
        free(r);
        free(w);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    csv_set_blk_size(&parser, NR_CSV_GROWS);
    w->latitude_deg = w->longitude_deg = w->elevation_m = NAN;
    *r = (reader){.w = w, .name = name, .err = err};
    for (size_t i = 0; i < NR_WEATHER_COLUMNS; i++)
        r->columns.at[i] = -1;
    size_t bom = length >= 3 && !memcmp(text, "\xEF\xBB\xBF", 3) ? 3 : 0;
    if (csv_parse(&parser, text + bom, length - bom, on_field, on_row, r) != length - bom ||
        csv_fini(&parser, on_field, on_row, r))
        wrong(r, csv_strerror(csv_error(&parser)));
    csv_free(&parser);
    nr_code code = r->code ? r->code : check(r);
    free(r);
    if (code)
        nr_hourly_free(w);
    else
        *out = w;
    return code;
}

nr_code nr_hourly_read(const char *path, nr_hourly **out, nr_err *err)
{
    char *text = NULL;
    size_t length = 0;
    *out = NULL;
    nr_code code = nr_file_read(path, MOST_BYTES, &text, &length, err);
    if (!code)
        code = nr_hourly_parse(text, length, path, out, err);
    free(text);
    return code;
}

void nr_hourly_free(nr_hourly *w)
{
    if (!w)
        return;
    free(w->row);
    free(w);
}
