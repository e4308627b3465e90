/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drawn tables of hours, read and worked out a second time: columns in any order, each with its
 * name and unit, holes of every length filled by the rule of weather.h, values at the limits; what
 * lines before the table say of the place, word by word. Factors of units: NIST SP 811. */
#include "analyze/weather/columns.h"
#include "analyze/weather/weather.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <time.h>

static nr_err err;
static uint64_t seed;

static size_t below(size_t n)
{
    return (size_t)(chance_share(&seed) * (double)n);
}

static nr_hourly *parse(const char *text)
{
    nr_hourly *w = NULL;
    err = (nr_err){.text = ""};
    (void)nr_hourly_parse(text, strlen(text), "w.csv", &w, &err);
    return w;
}

static double utc_of(int year, int month, int day, int hour)
{
    struct tm tm = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day, .tm_hour = hour};
    return (double)timegm(&tm);
}

/* --- every name with every unit --------------------------------------------------------------- */

START_TEST(each_name_with_each_unit)
{
    static const struct {
        int column;
        const char *names[8];
    } of[] = {
        {NR_WEATHER_GHI,
         {"ghi", "G(h)", "Global Horizontal Irradiance", "global horizontal", "global"}},
        {NR_WEATHER_DNI, {"DNI", "Gb(n)", "direct normal irradiance", "Direct Normal"}},
        {NR_WEATHER_DHI,
         {"dhi", "Gd(h)", "Diffuse Horizontal Irradiance", "diffuse horizontal", "diffuse"}},
        {NR_WEATHER_AIR,
         {"T2m", "temperature", "Dry-bulb", "dry bulb", "air", "Air Temperature", "temp"}},
        {NR_WEATHER_WIND, {"WS10m", "wind speed", "Wspd", "wind"}},
    };
    static const struct {
        const char *text;
        bool fahrenheit;
        double m_s;
    } unit[] = {
        {"", false, 1},
        {"_W_m2", false, 1},
        {" (W/m^2)", false, 1},
        {" (W/m2)", false, 1},
        {" [W/m2]", false, 1},
        {"_degC", false, 1},
        {"_C", false, 1},
        {" (C)", false, 1},
        {" (degC)", false, 1},
        {"_degF", true, 1},
        {" (F)", true, 1},
        {"_m_s", false, 1},
        {" (m/s)", false, 1},
        {" [m/s]", false, 1},
        {"_mph", false, 1609.344 / 3600},
        {"_km_h", false, 1 / 3.6},
        {" (km/h)", false, 1 / 3.6},
        {" (mph)", false, 1609.344 / 3600},
        {"_utc", false, 1},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (size_t k = 0; k < 8 && of[i].names[k]; k++)
            for (size_t u = 0; u < sizeof unit / sizeof *unit; u++) {
                char name[80], wrong[80];
                nr_hourly_columns c;
                snprintf(name, sizeof name, "%s%s", of[i].names[k], unit[u].text);
                snprintf(wrong, sizeof wrong, "%s%s", unit[u].text, of[i].names[k]);
                /* dni and dhi beside, unless it is one of them */
                const char *names[] = {name, "time", "rain", "dni", "dhi", wrong};
                ck_assert_msg(nr_hourly_columns_find(names, 6, &c), "%s", name);
                for (int column = 0; column < NR_WEATHER_COLUMNS; column++) {
                    int at = column == of[i].column      ? 0
                             : column == NR_WEATHER_TIME ? 1
                             : column == NR_WEATHER_DNI  ? 3
                             : column == NR_WEATHER_DHI  ? 4
                                                         : -1;
                    ck_assert_msg(c.at[column] == at, "%s: column %d at %d", name, column,
                                  c.at[column]);
                }
                ck_assert(c.utc && !c.ends && strcmp(c.format, "plain") == 0);
                ck_assert(c.fahrenheit == (unit[u].fahrenheit && of[i].column == NR_WEATHER_AIR));
                NEAR_AT(name, c.wind_to_m_s, of[i].column == NR_WEATHER_WIND ? unit[u].m_s : 1,
                        1e-9);
            }
}
END_TEST

/* Which columns a table needs, wherever they stand: a time of one of the three kinds, and global or
 * both direct and diffuse. */
START_TEST(what_makes_a_table)
{
    static const char *const word[] = {
        "time", "Date (MM/DD/YYYY)", "Time (HH:MM)", "year", "month", "day", "hour", "ghi", "dni",
        "dhi"};
    enum { WORDS = sizeof word / sizeof *word };
    seed = 11;
    for (int trial = 0; trial < 1500; trial++) {
        const char *names[WORDS];
        bool has[WORDS] = {false};
        size_t n = 0;
        for (size_t k = 0; k < WORDS; k++)
            has[k] = below(10) < 7;
        size_t turn = below(WORDS);
        for (size_t k = 0; k < WORDS; k++)
            if (has[(k + turn) % WORDS])
                names[n++] = word[(k + turn) % WORDS];
        nr_hourly_columns c;
        bool pair = has[1] && has[2], apart = has[3] && has[4] && has[5] && has[6];
        bool sun = has[7] || (has[8] && has[9]);
        bool found = nr_hourly_columns_find(names, n, &c);
        ck_assert_int_eq(found, (has[0] || pair || apart) && sun);
        ck_assert(!found || c.ends == pair);
        ck_assert(!found || strcmp(c.format, pair    ? "TMY3 CSV"
                                             : apart ? "grid CSV"
                                                     : "plain") == 0);
        ck_assert(!found || c.utc == has[0]);
    }
}
END_TEST

/* ISO 8601 to the letter: with a zone that is not UTC, or cut, it is refused, or read right. */
START_TEST(stamps_with_zones)
{
    static const struct {
        const char *text;
        int hour; /* UTC, of 16 May 2026; -1: refused */
    } of[] = {{"2026-05-16T10:00:00+00:00", 10},
              {"2026-05-16 10:00+00:00", -1},
              {"2026-05-16T10:00:00Z", 10},
              {"2026-05-16T10:00:00.5", 10},
              {"2026-05-16T10:00:60", -1},
              {"2026-05-16T24:00", -1},
              {"2026-02-30T10:00", -1},
              {"2026-05-16x10:00", -1},
              {"2026-05-16T10:00x", -1},
              {"20260516:1000", 10},
              {"20260501:1000", -2},
              {"20260516:0000", 0},
              {"20260516:2359", 23},
              {"2026-05-16T10:00:00.000000000000000", -1}};
    const char *names[] = {"time", "ghi"};
    nr_hourly_columns c;
    ck_assert(nr_hourly_columns_find(names, 2, &c));
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const char *fields[] = {of[i].text, "1"};
        double s = NAN;
        bool good = nr_hourly_columns_time(&c, fields, 2, 7, &s);
        if (of[i].hour == -2) {
            NEAR_AT(of[i].text, s, utc_of(2026, 5, 1, 10), 1e-6);
            continue;
        }
        ck_assert_msg(good == (of[i].hour >= 0), "%s", of[i].text);
        if (good)
            NEAR_AT(of[i].text, floor(s / 3600) * 3600, utc_of(2026, 5, 16, of[i].hour), 1e-6);
    }
}
END_TEST

/* --- drawn tables ------------------------------------------------------------------------------
 */

enum { GHI, DNI, DHI, AIR, WIND, VALUES };
enum { MOST = 60 };
static const struct {
    const char *name;
    double low, high; /* as a sensor can show */
} of_value[VALUES] = {{"ghi", -50, 2000},
                      {"dni", -50, 2000},
                      {"dhi", -50, 2000},
                      {"air", -90, 150},
                      {"wind", 0, 400}};

static double cell[MOST][VALUES]; /* NAN: a hole */

/* A table with these columns; some values lie just beyond what can be, which is a hole as well. */
static char *draw_table(size_t rows, const bool there[VALUES], size_t holes)
{
    char *text = NULL;
    size_t size, turn = below(VALUES);
    FILE *to = open_memstream(&text, &size);
    fputs("rain", to);
    for (size_t k = 0; k < VALUES; k++)
        if (there[(k + turn) % VALUES])
            fprintf(to, ",%s", of_value[(k + turn) % VALUES].name);
    fputs(",time_utc\n", to);
    for (size_t r = 0; r < rows; r++) {
        fputs("0.5", to);
        for (size_t j = 0; j < VALUES; j++) {
            size_t k = (j + turn) % VALUES;
            double *v = &cell[r][k];
            double at = k < AIR ? (double)below(1200) / 2 : (double)below(240) / 8;
            bool hole = k >= AIR && below(100) < holes;
            bool limit = below(12) == 0;
            double beyond = below(2) ? of_value[k].low - 0.25 : of_value[k].high + 0.25;
            *v = !there[k] || hole ? NAN : at;
            if (!there[k])
                continue;
            if (hole && limit)
                fprintf(to, ",%.2f", beyond);
            else if (hole)
                fputs(below(2) ? "," : ",x", to);
            else if (limit)
                fprintf(to, ",%.2f", *v = below(2) ? of_value[k].low : of_value[k].high);
            else
                fprintf(to, ",%.3f", *v);
        }
        fprintf(to, ",2026-05-%02dT%02d:00:00Z\n", (int)(3 + r / 24), (int)(r % 24));
    }
    fclose(to);
    return text;
}

/* The column with its holes filled. False: one of more than six rows, and nothing to put there. */
static bool filled(size_t k, size_t rows, double instead, double out[MOST], size_t *holes)
{
    bool good = true;
    for (size_t r = 0; r < rows; r++) {
        size_t from = r, to = r;
        out[r] = cell[r][k];
        if (isfinite(out[r]))
            continue;
        while (from > 0 && isnan(cell[from - 1][k]))
            from--;
        while (to + 1 < rows && isnan(cell[to + 1][k]))
            to++;
        ++*holes;
        double before = from > 0 ? cell[from - 1][k] : NAN;
        double after = to + 1 < rows ? cell[to + 1][k] : NAN;
        double length = (double)(to - from + 1), way = (double)(r - from + 1) / (length + 1);
        out[r] = length > 6      ? instead
                 : isnan(before) ? after
                 : isnan(after)  ? before
                                 : before + way * (after - before);
        good = good && isfinite(out[r]);
    }
    return good;
}

static void is_as_drawn(const nr_hourly *w, size_t rows, const bool there[VALUES])
{
    double air[MOST], wind[MOST];
    size_t holes = 0, calm = 0;
    bool good = filled(AIR, rows, NAN, air, &holes);
    (void)filled(WIND, rows, 3, wind, &calm); /* three metres a second where nobody knows */
    bool sun = there[GHI] || (there[DNI] && there[DHI]);
    ck_assert_msg((w != NULL) == (good && sun), "%s", err.text);
    if (!w) {
        ck_assert(!sun || strstr(err.text, "missing for more than 6 rows") != NULL);
        return;
    }
    ck_assert_uint_eq(w->rows, rows);
    ck_assert_uint_eq(w->holes, holes + (there[WIND] ? calm : 0));
    ck_assert(!w->typical && w->step_s == 3600);
    for (size_t r = 0; r < rows; r++) {
        const nr_hourly_row *row = &w->row[r];
        const double got[] = {row->ghi_W_m2, row->dni_W_m2, row->dhi_W_m2};
        for (size_t k = 0; k < AIR; k++)
            ck_assert(isnan(got[k]) ? isnan(cell[r][k]) : fabs(got[k] - cell[r][k]) < 1e-9);
        NEAR(row->air_degC, air[r], 1e-9);
        if (there[WIND])
            NEAR(row->wind_m_s, wind[r], 1e-9);
        else
            ck_assert(isnan(row->wind_m_s));
        NEAR(row->from_s, utc_of(2026, 5, 3, (int)r), 1e-6);
    }
}

START_TEST(drawn_tables)
{
    size_t read = 0;
    for (unsigned long trial = 1; trial <= 120; trial++) {
        seed = 1009 * trial;
        size_t rows = 24 + below(MOST - 24);
        bool there[VALUES];
        for (size_t k = 0; k < VALUES; k++)
            there[k] = below(10) < 8 || k == AIR;
        char *text = draw_table(rows, there, trial % 3 == 0 ? 70 : trial % 3 == 1 ? 40 : 2);
        nr_hourly *w = parse(text);
        is_as_drawn(w, rows, there);
        read += w != NULL;
        nr_hourly_free(w);
        free(text);
    }
    ck_assert_uint_gt(read, 40);
}
END_TEST

/* --- values beyond what can be -----------------------------------------------------------------
 */

/* Of each irradiance: at its limits it counts, beyond them it is missing (then the hour has none,
 * where it was needed). */
START_TEST(limits_of_each_irradiance)
{
    static const char *const at[] = {"-50", "2000"}, *const beyond[] = {"-50.1", "2000.1"};
    static const char *const heads[] = {"ghi", "dni,dhi", "dhi,dni"};
    for (size_t h = 0; h < 3; h++)
        for (size_t side = 0; side < 2; side++)
            for (int out = 0; out < 2; out++) {
                char *text = NULL;
                size_t size;
                FILE *to = open_memstream(&text, &size);
                fprintf(to, "time,air,%s\n", heads[h]);
                for (int r = 0; r < 24; r++)
                    fprintf(to, "2026-05-16T%02d:00Z,15,%s,100\n", r,
                            r == 7 ? (out ? beyond : at)[side] : "80");
                fclose(to);
                nr_hourly *w = parse(text);
                ck_assert_msg((w != NULL) == !out, "%s %s", heads[h], at[side]);
                ck_assert(w || strstr(err.text, "row 8 of the table has no irradiance"));
                if (w) {
                    const nr_hourly_row *r = &w->row[7];
                    NEAR(h == 0   ? r->ghi_W_m2
                         : h == 1 ? r->dni_W_m2
                                  : r->dhi_W_m2,
                         side ? 2000 : -50, 1e-9);
                }
                nr_hourly_free(w);
                free(text);
            }
}
END_TEST

/* --- what stands before the table --------------------------------------------------------------
 */

static char *with_head(const char *head, const char *names)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    fprintf(to, "%s%s\n", head, names);
    for (int r = 0; r < 24; r++)
        fprintf(to, "2026,5,16,%d,0,400,15\n", r);
    fclose(to);
    return text;
}

static bool same(double a, double b)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) < 1e-9;
}

START_TEST(words_of_the_place)
{
    static const char names[] = "Year,Month,Day,Hour,Minute,GHI,Temperature";
    static const struct {
        const char *head, *place;
        double latitude, longitude, elevation, zone;
    } of[] = {
        {"", "", NAN, NAN, NAN, 0},
        {"Location ID,City,Latitude,Longitude,Elevation,Time Zone\n77,Hill,47.5,9.25,420,1\n",
         "Hill", 47.5, 9.25, 420, 1},
        {"City,Location ID,Local Time Zone\n-,88,-3.5\n", "88", NAN, NAN, NAN, -3.5},
        {"Location ID,City\n88,-\n", "88", NAN, NAN, NAN, 0},
        {"Location ID,City\n88,\n", "88", NAN, NAN, NAN, 0},
        {"City,Elevation\n,12\n", "", NAN, NAN, 12, 0},
        {"Time Zone,Local Time Zone\n5,6\n", "", NAN, NAN, NAN, 6},
        {"Time Zones,Latitudes,Longitudes,Elevations\n5,1,2,3\n", "", 1, 2, 3, 0},
        {"Latitude (decimal degrees): -12.5\nLongitude (decimal degrees):130.75\n"
         "Elevation (m): -3\n",
         "", -12.5, 130.75, -3, 0},
        {"latitude: 1\nLONGITUDE: 2\nelevation: 3\n", "", 1, 2, 3, 0},
        {"latitude: x\nlongitude\n", "", NAN, NAN, NAN, 0},
        {"725650,\"A, HILL\",CO,-7.0,39.833,-104.65,1650\n", "A, HILL", 39.833, -104.65, 1650, -7},
        {"725650,HILL,CO,-7.0,39.833,-104.65\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,-7.0,39.833,-104.65,1650,9\n", "", NAN, NAN, NAN, 0},
        {"x725650,HILL,CO,-7.0,39.833,-104.65,1650\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,,39.833,-104.65,1650\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,-7.0,,-104.65,1650\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,-7.0,39.833,,1650\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,-7.0,39.833,-104.65,\n", "", NAN, NAN, NAN, 0},
        {"725650,HILL,CO,-7.0,39.833,-104.65,8999\n", "HILL", 39.833, -104.65, 8999, -7},
        {"725650,HILL,CO,-7.0,39.833,-104.65,9000\n", "", NAN, NAN, NAN, 0},
        {"a,b\n\nCity\nElsewhere\n", "Elsewhere", NAN, NAN, NAN, 0},
        {"\xEF\xBB\xBFLatitude: 4\n", "", 4, NAN, NAN, 0},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char *text = with_head(of[i].head, names);
        nr_hourly *w = parse(text);
        ck_assert_msg(w != NULL, "%zu: %s", i, err.text);
        ck_assert_str_eq(w->format, "grid CSV");
        ck_assert_str_eq(w->place, of[i].place);
        ck_assert_msg(
            same(w->latitude_deg, of[i].latitude) && same(w->longitude_deg, of[i].longitude) &&
                same(w->elevation_m, of[i].elevation) && same(w->zone_h, of[i].zone),
            "%zu: %g %g %g %g", i, w->latitude_deg, w->longitude_deg, w->elevation_m, w->zone_h);
        NEAR(w->row[0].from_s, utc_of(2026, 5, 16, 0) - 3600 * of[i].zone, 1e-6);
        nr_hourly_free(w);
        free(text);
    }
}
END_TEST

/* So wide a table, and no wider: the 128th column counts, the 129th does not. */
START_TEST(the_last_column)
{
    for (int at = 125; at < 132; at++) {
        char *text = NULL;
        size_t size;
        FILE *to = open_memstream(&text, &size);
        for (int row = -1; row < 24; row++) {
            fputs(row < 0 ? "time,air" : "", to);
            if (row >= 0)
                fprintf(to, "2026-05-16T%02d:00Z,15", row);
            for (int k = 2; k < 134; k++)
                fputs(k != at ? ",7" : row < 0 ? ",ghi" : ",321", to);
            fputs("\n", to);
        }
        fclose(to);
        nr_hourly *w = parse(text);
        ck_assert_msg((w != NULL) == (at < 128), "column %d: %s", at + 1, err.text);
        ck_assert(!w || w->row[23].ghi_W_m2 == 321);
        nr_hourly_free(w);
        free(text);
    }
}
END_TEST

/* --- a year of several -------------------------------------------------------------------------
 */

/* June of 2001 stands behind July of 2007: each hour keeps month, day and time of the file's clock.
 */
START_TEST(months_by_the_files_clock)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    fputs("Time Zone,Latitude\n-5.5,10\nYear,Month,Day,Hour,Minute,GHI,Temperature\n", to);
    for (int h = 0; h < 24; h++)
        fprintf(to, "2007,7,1,%d,20,%d,15\n", h, 100 + h);
    for (int h = 0; h < 24; h++)
        fprintf(to, "2001,6,30,%d,20,%d,16\n", h, 300 + h);
    fclose(to);
    nr_hourly *w = parse(text);
    ck_assert_msg(w && w->typical && w->rows == 48, "%s", err.text);
    for (int h = 0; h < 48; h++) {
        NEAR(w->row[h].from_s, utc_of(NR_TYPICAL_YEAR, 6, 30, h) + 1200 + 5.5 * 3600, 1e-3);
        ck_assert(w->row[h].ghi_W_m2 == (h < 24 ? 300 + h : 76 + h));
    }
    nr_hourly_free(w);
    free(text);
}
END_TEST

/* --- EPW: its first line and its header --------------------------------------------------------
 */

static char *epw(const char *location, int header_lines, int year, const char *month)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    fprintf(to, "%s\n", location);
    for (int k = 1; k < header_lines; k++)
        fputs("COMMENTS,x\n", to);
    fputs("data periods,1\n", to);
    for (int h = 1; h <= 24; h++)
        fprintf(to, "%d,%s,%d,60,x,%s,9,50,95000,0,0,300,%d,%d,%d,0,0,0,0,180,%s\n", year, month, h,
                h > 9 && h < 12 ? "99.9" : "8", h, 2 * h, 3 * h, h > 3 ? "999" : "4");
    fclose(to);
    return text;
}

START_TEST(limits_of_an_epw)
{
    static const struct {
        const char *location;
        int lines, year;
        const char *month; /* and day */
        bool good;
    } of[] = {
        {"location,Hill,X,Y,made,1,90.9,180.9,14.9,8999", 8, 2011, "12,31", true},
        {"LOCATION,Hill,X,Y,made,1,-90,-180,-12,-400", 8, 2011, "1,1", true},
        {"LOCATION,Hill,X,Y,made,1,91,0,0,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,181,0,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,15,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,9000", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,-900", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,,0,0,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,,0,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0", 8, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 60, 2011, "1,1", true},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 61, 2011, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 1800, "1,1", true},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 1799, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2200, "1,1", true},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2201, "1,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2011, "0,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2011, "13,1", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2011, "1,0", false},
        {"LOCATION,Hill,X,Y,made,1,0,0,0,0", 8, 2011, "1,32", false},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char *text = epw(of[i].location, of[i].lines, of[i].year, of[i].month);
        nr_hourly *w = parse(text);
        ck_assert_msg((w != NULL) == of[i].good, "%zu: %s", i, err.text);
        if (w) { /* holes: two hours of no air, 21 of no wind, too many for a straight line */
            ck_assert(strcmp(w->format, "EPW") == 0 && strcmp(w->place, "Hill") == 0);
            ck_assert(w->holes == 23 && w->row[23].wind_m_s == 3 && w->row[0].wind_m_s == 4);
            for (int h = 0; h < 24; h++)
                ck_assert(w->row[h].ghi_W_m2 == h + 1 && w->row[h].dni_W_m2 == 2 * (h + 1) &&
                          w->row[h].dhi_W_m2 == 3 * (h + 1) && w->row[h].air_degC == 8);
        }
        nr_hourly_free(w);
        free(text);
    }
    nr_hourly *none = parse("LOCATION,Hill,X,Y,made,1,0,0,0,0\nDATA PERIODS,1\n2011,1,1,1\n");
    ck_assert(none == NULL && err.line == 3 && strstr(err.text, "not a row of an EPW"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_name_with_each_unit,  what_makes_a_table,
                                  stamps_with_zones,         drawn_tables,
                                  limits_of_each_irradiance, words_of_the_place,
                                  the_last_column,           months_by_the_files_clock,
                                  limits_of_an_epw,          NULL};
    return run_tests("weather table", tests);
}
