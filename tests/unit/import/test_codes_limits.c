/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Codes for no reading, each by name; ranges of what can be measured from both sides; units, each
 * spelling of the table against its quantity by NIST SP 811's symbols; separators and encodings. */
#include "logger/import/cells.h"
#include "logger/import/codes.h"
#include "logger/import/encoding.h"
#include "logger/import/fold.h"
#include "logger/import/unit_words.h"
#include "tests/unit/near.h"

/* Ten readings, the fifth another: is it dropped? The neighbours are near it or far. */
static bool drops(double v, double neighbour, const char *unit)
{
    double value[10], example = 0;
    nr_codes codes = {0};
    const nr_unit *u = unit ? nr_unit_find(unit) : NULL;
    for (int i = 0; i < 10; i++)
        value[i] = neighbour + 0.1 * i;
    value[4] = v;
    nr_codes_look(&codes, value, 10, u);
    size_t n = nr_codes_drop(&codes, value, 10, u, &example);
    ck_assert_msg(n <= 1, "%g %s: %zu dropped", v, unit ? unit : "", n);
    ck_assert(n == 0 || (example == v && isnan(value[4])));
    ck_assert(value[3] == neighbour + 0.1 * 3);
    return n == 1;
}

START_TEST(codes_by_name)
{
    static const double codes[] = {
        32767, -32768, 3276.7,  -3276.8, 65535, 6553.5, 655.35,       -127,         6999,
        7999,  -7999,  -273.15, 1999.9,  19999, -196.6, 2147483647.0, 4294967295.0, 9999,
        -9999, 99999,  -999.25, 888.88,  -99,   1e7,    -88,          777.7,        -7777};
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++) {
        double v = codes[i] == -999.25 ? -999.9 : codes[i];
        ck_assert_msg(drops(v, 20, "degC"), "%g degC is no reading", v);
    }
    /* What no probe can show, and its neighbours that one can. */
    static const double kept[] = {-126, -79.9, 399.9, 327, 85.1, 99.9, 88, -9, -8.5, 77.7};
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        ck_assert_msg(!drops(kept[i], 20, "degC"), "%g degC may be one", kept[i]);
}
END_TEST

/* Below absolute zero and the like, with figures of no code: beyond, and still within. */
START_TEST(absurd_readings)
{
    static const struct {
        const char *unit;
        double within, beyond, low_within, low_beyond;
    } limit[] = {
        {"degC", 2499, 2501, -199, -201},       {"W_m2", 5990, 6010, -490, -510},
        {"percent", 4990, 5010, -59, -61},      {"m_s", 4990, 5010, -59, -61},
        {"L_min", 4990, 5010, -59, -61},        {"V", 9.9e6, 1.01e7, -9.9e6, -1.01e7},
        {NULL, 9.9e6, 1.01e7, -9.9e6, -1.01e7},
    };
    for (size_t i = 0; i < sizeof limit / sizeof *limit; i++) {
        const char *unit = limit[i].unit;
        ck_assert_msg(!drops(limit[i].within, 20, unit), "%g", limit[i].within);
        ck_assert_msg(drops(limit[i].beyond, 20, unit), "%g", limit[i].beyond);
        ck_assert_msg(!drops(limit[i].low_within, 20, unit), "%g", limit[i].low_within);
        ck_assert_msg(drops(limit[i].low_beyond, 20, unit), "%g", limit[i].low_beyond);
    }
}
END_TEST

/* A number of a code's shape, once: a reading where it can be one, a code where it cannot. */
START_TEST(shapes_that_could_be_measured)
{
    static const struct {
        const char *unit;
        double possible, impossible;
    } shape[] = {
        {"W_m2", 1999.9, 6999}, {"W_m2", 888, 7777},    {"L_min", 1999.9, 3276.7},
        {"m_s", 99.9, 777},     {"percent", 99.9, 999}, {"V", 555.5, 655.35},
        {"V", 88.8, 777},       {"A", 499, 655.35},     {"W", 99999, 999999},
        {"degC", 399, 655.35},  {"degC", -77, -88},     {"W_m2", -9, -99},
        {"L_min", -9, -99},     {"V", -99, -999},       {"A", -99, -777},
        {"W", -99999, -999999},
    };
    for (size_t i = 0; i < sizeof shape / sizeof *shape; i++) {
        ck_assert_msg(!drops(shape[i].possible, 20, shape[i].unit), "%g %s", shape[i].possible,
                      shape[i].unit);
        ck_assert_msg(drops(shape[i].impossible, 20, shape[i].unit), "%g %s", shape[i].impossible,
                      shape[i].unit);
    }
    ck_assert(!drops(888, 880, NULL) && drops(99999999, 20, NULL));
    /* Between its neighbours or near them a known code is a reading: six times what they usually
     * change, and a fiftieth of itself. */
    double value[] = {90, 95, 99, 96, 91, 99, 70, 95, 88.5}, example;
    nr_codes none = {0};
    ck_assert_uint_eq(nr_codes_drop(&none, value, 9, nr_unit_find("W_m2"), &example), 0);
    double far[] = {700, 702, 999, 704, 706, 999, 708}; /* usual 2: room 12 + 20 */
    ck_assert_uint_eq(nr_codes_drop(&none, far, 7, nr_unit_find("W_m2"), &example), 2);
    double near[] = {970, 972, 999, 974, 976, 999, 978};
    ck_assert_uint_eq(nr_codes_drop(&none, near, 7, nr_unit_find("W_m2"), &example), 0);
    double edge[] = {955, 957, 999, 959, 961, 999, 963};
    ck_assert_uint_eq(nr_codes_drop(&none, edge, 7, nr_unit_find("W_m2"), &example), 2);
    double once[] = {700, 702, 999, 704, 706, 708, 710}; /* a spike, once */
    ck_assert_uint_eq(nr_codes_drop(&none, once, 7, nr_unit_find("W_m2"), &example), 0);
    double all[] = {999, 999, 999}; /* nothing but such numbers */
    ck_assert_uint_eq(nr_codes_drop(&none, all, 3, nr_unit_find("W_m2"), &example), 3);
}
END_TEST

/* --- units --------------------------------------------------------------------------------- */

static const struct {
    const char *spelled, *unit;
} units[] = {
    {"\xc2\xb0"
     "C",
     "degC"},
    {"deg C", "degC"},
    {"Celsius", "degC"},
    {"\xc2\xb0"
     "F",
     "degF"},
    {"deg. F", "degF"},
    {"Fahrenheit", "degF"},
    {"K", "K"},
    {"W/m\xc2\xb2", "W_m2"},
    {"W m-2", "W_m2"},
    {"watts per m2", "W_m2"},
    {"kW/m2", "kW_m2"},
    {"BTU/(h ft2)", "Btu_h_ft2"},
    {"L/min", "L_min"},
    {"litres per min", "L_min"},
    {"LPM", "L_min"},
    {"l/h", "L_h"},
    {"L/s", "L_s"},
    {"ml/min", "mL_min"},
    {"m\xc2\xb3/h", "m3_h"},
    {"gpm", "gal_min"},
    {"gal/h", "gal_h"},
    {"m/s", "m_s"},
    {"km/h", "km_h"},
    {"mph", "mph"},
    {"ft/s", "ft_s"},
    {"knots", "kn"},
    {"V", "V"},
    {"mV", "mV"},
    {"A", "A"},
    {"mA", "mA"},
    {"W", "W"},
    {"kW", "kW"},
    {"mW", "mW"},
    {"BTU/h", "Btu_h"},
    {"%", "percent"},
    {"% RH", "percent"},
};

START_TEST(units_as_spelled)
{
    char folded[NR_FOLDED], head[80], name[NR_FOLDED];
    const char *spelled = units[_i].spelled;
    nr_fold(spelled, folded, sizeof folded);
    nr_stated_unit u = nr_unit_of_words(folded);
    ck_assert_msg(u.measure == NR_MEASURE_UNIT && u.unit, "%s", spelled);
    ck_assert_msg(strcmp(u.unit->name, units[_i].unit) == 0, "%s: %s", spelled, u.unit->name);
    ck_assert_str_eq(u.word, units[_i].unit);
    static const char *const shapes[] = {"Thing (%s)", "Thing [%s]", "Thing {%s}"};
    for (size_t i = 0; i < 3; i++) {
        int n = snprintf(head, sizeof head, "%.7s%s%.1s", shapes[i], spelled, shapes[i] + 9);
        ck_assert_int_gt(n, 0);
        u = nr_unit_of_head(head, name, sizeof name);
        ck_assert_msg(u.measure == NR_MEASURE_UNIT && strcmp(u.unit->name, units[_i].unit) == 0,
                      "%s", head);
        ck_assert_str_eq(name, "Thing");
    }
}
END_TEST

START_TEST(times_and_other_measures)
{
    static const struct {
        const char *word;
        nr_measure measure;
        double time_s;
        bool minutes;
    } other[] = {{"s", NR_MEASURE_TIME, 1, true},       {"min", NR_MEASURE_TIME, 60, true},
                 {"min.", NR_MEASURE_TIME, 60, true},   {"h", NR_MEASURE_TIME, 3600, true},
                 {"ms", NR_MEASURE_TIME, 1e-3, true},   {"d", NR_MEASURE_TIME, 86400, true},
                 {"ohm", NR_MEASURE_RAW, 0, false},     {"counts", NR_MEASURE_RAW, 0, false},
                 {"hh:mm", NR_MEASURE_CLOCK, 0, false}, {"mm:ss", NR_MEASURE_CLOCK, 60, true},
                 {"hPa", NR_MEASURE_OTHER, 0, false},   {"lux", NR_MEASURE_OTHER, 0, false},
                 {"tank", NR_MEASURE_NONE, 0, false},   {"", NR_MEASURE_NONE, 0, false}};
    for (size_t i = 0; i < sizeof other / sizeof *other; i++) {
        nr_stated_unit u = nr_unit_of_words(other[i].word);
        ck_assert_msg(u.measure == other[i].measure, "%s: %d", other[i].word, u.measure);
        NEAR_AT(other[i].word, u.time_s, other[i].time_s, 1e-12);
        ck_assert_msg(u.minutes_first == other[i].minutes, "%s", other[i].word);
    }
    /* One letter counts where the words before it speak of such a thing. */
    static const char *const meant[] = {"Pump voltage V", "Pump_A",    "Pump power W", "Elapsed s",
                                        "Elapsed h",      "Tank C",    "Tank_F",       "probe_C",
                                        "time d",         "Humidity %"};
    static const char *const not_meant[] = {"Probe C", "Sensor F", "Tank A",  "Tank V",
                                            "Store W", "Store s",  "Store h", "Zone C"};
    char name[NR_FOLDED];
    for (size_t i = 0; i < sizeof meant / sizeof *meant; i++)
        ck_assert_msg(nr_unit_of_head(meant[i], name, sizeof name).measure != NR_MEASURE_NONE, "%s",
                      meant[i]);
    for (size_t i = 0; i < sizeof not_meant / sizeof *not_meant; i++)
        ck_assert_msg(nr_unit_of_head(not_meant[i], name, sizeof name).measure == NR_MEASURE_NONE,
                      "%s", not_meant[i]);
}
END_TEST

/* --- bytes --------------------------------------------------------------------------------- */

static nr_code decode(const char *bytes, size_t length, nr_decoded *out, nr_err *err)
{
    return nr_decode(bytes, length, "table", out, err);
}

START_TEST(encodings)
{
    static const struct {
        const char *bytes;
        size_t length;
        const char *text, *encoding;
    } good[] = {
        {"a,1\nb,2\n", 8, "a,1\nb,2\n", "UTF-8"},
        {"a\r\nb\rc\r", 7, "a\nb\nc\n", "UTF-8"},
        {"\xef\xbb\xbf\xc2\xb0"
         "C\n",
         7,
         "\xc2\xb0"
         "C\n",
         "UTF-8"},
        {"\xff\xfe"
         "a\0,\0001\0\n\0",
         10, "a,1\n", "UTF-16LE"},
        {"\xfe\xff\0a\0,\0001\0\n", 10, "a,1\n", "UTF-16BE"},
        {"a\0,\0001\0\n\0", 8, "a,1\n", "UTF-16LE"},
        {"\0a\0,\0001\0\n", 8, "a,1\n", "UTF-16BE"},
        {"\xff\xfe\0\0a\0\0\0\n\0\0\0", 12, "a\n", "UTF-32LE"},
        {"\0\0\xfe\xff\0\0\0a\0\0\0\n", 12, "a\n", "UTF-32BE"},
        {"\xb0"
         "C,\x80\n",
         5,
         "\xc2\xb0"
         "C,\xe2\x82\xac\n",
         "WINDOWS-1252"},
        {"\xb0"
         "C,\x81\n",
         5,
         "\xc2\xb0"
         "C,\xc2\x81\n",
         "ISO-8859-1"},
    };
    nr_decoded d;
    nr_err err;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(decode(good[i].bytes, good[i].length, &d, &err) == NR_OK, "%zu: %s", i,
                      err.text);
        ck_assert_str_eq(d.text, good[i].text);
        ck_assert_uint_eq(d.length, strlen(good[i].text));
        ck_assert_str_eq(d.encoding, good[i].encoding);
        free(d.text);
    }
}
END_TEST

START_TEST(no_tables)
{
    static const struct {
        const char *bytes;
        size_t length;
        const char *words;
    } bad[] = {
        {"PK\x03\x04rest", 8, "a workbook or an archive"},
        {"\xd0\xcf\x11\xe0rest", 8, "an old workbook"},
        {"%PDF-1.5", 8, "a PDF document"},
        {"\x89PNG\r\n", 6, "a picture"},
        {"\xff\xd8\xff\xe0", 4, "a picture"},
        {"\x1f\x8b\x08", 3, "a compressed file"},
        {"SQLite format 3\0", 16, "a data base"},
        {"a,1\n\0b", 6, "NUL bytes"},
        {"", 0, "is empty"},
        {" \t\r\n \n", 6, "is empty"},
        {"\n <!DOCTYPE html>", 17, "is a page"},
        {"<HTML><body>", 12, "is a page"},
        {"<?xml version=\"1.0\"?>", 21, "is a page"},
    };
    nr_decoded d;
    nr_err err;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_msg(decode(bad[i].bytes, bad[i].length, &d, &err) == NR_BAD, "%zu", i);
        ck_assert_msg(strstr(err.text, bad[i].words) != NULL, "%s: %s", bad[i].words, err.text);
        ck_assert(strcmp(err.file, "table") == 0 && d.text == NULL);
    }
    ck_assert(decode("<?xm,1\n", 7, &d, &err) == NR_OK); /* a letter less */
    free(d.text);
    ck_assert(decode("P,1\n", 4, &d, &err) == NR_OK);
    free(d.text);
}
END_TEST

static const struct {
    const char *what, *text;
    char separator;
    const char *word;
    size_t rows, columns;
    long last_line;
} parted[] = {
    {"commas", "t,x\n0,1\n1,2\n", ',', "comma", 3, 2, 3},
    {"semicolons, decimal commas", "t;x\n0;1,5\n1;2,5\n", ';', "semicolon", 3, 2, 3},
    {"tabs", "t\tx\n0\t1\n\n1\t2\n", '\t', "tab", 3, 2, 4},
    {"blanks", "t x\n0  1\n1 2\n", ' ', "blanks", 3, 2, 3},
    {"blanks with quotes", "t \"x y\"\n0 1\n1 2\n", ' ', "blanks", 3, 2, 3},
    {"a frame of bars", "+---+---+\n| t | x |\n|---|--:|\n| 0 | 1 |\n| 1 | 2 |\n", '|', "bar", 3, 3,
     5},
    {"stated", "sep=;\nt;x\n0;1\n1;2\n", ';', "semicolon", 3, 2, 4},
    {"stated in quotes", "\"a\",1\n\"b\",2\n", ',', "comma", 2, 2, 2},
    {"an inch that is no quote", "t,5\" pipe,x\n0,1,2\n1,2,3\n2,3,4\n3,4,5\n4,5,6\n", ',', "comma",
     6, 3, 6},
    {"a quoted line break", "t,\"x\ny\"\n0,1\n1,2\n", ',', "comma", 3, 2, 4},
};

START_TEST(separators)
{
    nr_cells g;
    nr_err err;
    const char *what = parted[_i].what, *text = parted[_i].text;
    ck_assert_msg(nr_cells_read(text, strlen(text), "table", 0, &g, &err) == NR_OK, "%s: %s", what,
                  err.text);
    ck_assert_msg(g.separator == parted[_i].separator, "%s: '%c'", what, g.separator);
    ck_assert_str_eq(nr_separator_word(g.separator), parted[_i].word);
    ck_assert_msg(g.rows == parted[_i].rows, "%s: %zu rows", what, g.rows);
    for (size_t r = 0; r < g.rows; r++)
        ck_assert_msg(g.row[r].count == parted[_i].columns, "%s: row %zu has %zu", what, r,
                      g.row[r].count);
    ck_assert_msg(g.row[g.rows - 1].line == parted[_i].last_line, "%s: line %ld", what,
                  g.row[g.rows - 1].line);
    ck_assert_str_eq(nr_cells_at(&g, 0, 9), "");
    nr_cells_free(&g);
}
END_TEST

START_TEST(lines_passed_over)
{
    nr_cells g;
    nr_err err;
    const char *text = "my station\nnorth\nt,x\n0,1\n1,2\n";
    ck_assert(nr_cells_read(text, strlen(text), "table", 2, &g, &err) == NR_OK);
    ck_assert(g.rows == 3 && g.row[0].line == 3 && g.row[2].line == 5);
    ck_assert_str_eq(nr_cells_at(&g, 0, 1), "x");
    nr_cells_free(&g);
    ck_assert(nr_cells_read("words\nand words\n", 16, "table", 0, &g, &err) == NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "no columns of numbers"));
    ck_assert_str_eq(nr_separator_word('#'), "sign of its own");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("codes limits");
    TCase *all = tcase_create("all");
    tcase_add_test(all, codes_by_name);
    tcase_add_test(all, absurd_readings);
    tcase_add_test(all, shapes_that_could_be_measured);
    tcase_add_loop_test(all, units_as_spelled, 0, (int)(sizeof units / sizeof *units));
    tcase_add_test(all, times_and_other_measures);
    tcase_add_test(all, encodings);
    tcase_add_test(all, no_tables);
    tcase_add_loop_test(all, separators, 0, (int)(sizeof parted / sizeof *parted));
    tcase_add_test(all, lines_passed_over);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
