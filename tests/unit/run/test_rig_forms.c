/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values of a rig file that have a form of their own: a board and its thickness, a table of the
 * incidence angle modifier, a unit of one's own, a law's name; from both sides of every limit. */
#include "tests/unit/chance.h"
#include "tests/unit/run/rig_fixture.h"

static nr_rig rig;
static told heard;
static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

/* NULL: no problem; else the first. */
static const char *wrong(const char *text, nr_rig_need need)
{
    nr_sink sink = {tell, &heard};
    heard.count = 0;
    (void)nr_rig_parse(text, strlen(text), "rig.ini", need, &rig, &sink, NULL);
    return heard.count ? heard.line[0] : NULL;
}

static const char *collector(const char *key, const char *value)
{
    static char text[1000];
    snprintf(text, sizeof text, "[collector]\ngross_area_m2 = 2\n%s = %s\n", key, value);
    return wrong(text, NR_RIG_FOR_ANALYSIS);
}

/* Metres of each unit of length (NIST SP 811, appendix B). */
START_TEST(thicknesses)
{
    static const struct {
        const char *unit;
        double m;
    } units[] = {{"mm", 0.001}, {"cm", 0.01}, {"m", 1}, {"in", 0.0254}, {"ft", 0.3048}};
    static const struct {
        const char *number;
        double is;
    } numbers[] = {
        {"6", 6},           {"0.25", 0.25},
        {"1/2", 0.5},       {"3/16", 3.0 / 16},
        {"0.5/2", 0.25},    {"12.500000000000", 12.5},
        {"0.0001", 0.0001}, {"1/0", NAN},
        {"1/2/3", NAN},     {"", NAN},
        {"/2", NAN},        {".", NAN},
        {"1.2.3", NAN},     {"12.5000000000000", NAN}}; /* sixteen letters are too many */
    static const char *const between[] = {" ", "", "\t ", "  "};
    for (size_t u = 0; u < 5; u++)
        for (size_t n = 0; n < sizeof numbers / sizeof *numbers; n++)
            for (size_t b = 0; b < 4; b++) {
                char value[100];
                double m = numbers[n].is * units[u].m;
                snprintf(value, sizeof value, "plywood%s%s%s%s", b ? "  " : "\t", numbers[n].number,
                         between[b], units[u].unit);
                const char *said = collector("back", value);
                if (isnan(m)) {
                    ck_assert_msg(said && strstr(said, "not a back I know"), "%s", value);
                } else if (m < 0.0001 * (1 - 1e-9) || m > 0.3 * (1 + 1e-9)) {
                    ck_assert_msg(said && strstr(said, "thickness is from 0.1 to 300 mm"), "%s",
                                  value);
                } else {
                    ck_assert_msg(!said, "%s: %s", value, said);
                    NEAR_RELATIVE(rig.collector.back.thickness_m, m, 1e-12);
                    NEAR_RELATIVE(nr_rig_back_J_m2K(&rig.collector), 500 * 1600 * m, 1e-12);
                }
            }
    static const struct {
        const char *value;
        bool good;
    } ends[] = {{"osb 0.1 mm", true},      {"osb 0.0999 mm", false}, {"osb 300 mm", true},
                {"osb 300.01 mm", false},  {"osb 6 kg", false},      {"osb 6 degC", false},
                {"osb 6", false},          {"ossb 6 mm", false},     {"6 mm", false},
                {"osb 6 mm thick", false}, {"osb", false},           {"None", false}};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        ck_assert_msg(!collector("back", ends[i].value) == ends[i].good, "%s", ends[i].value);
}
END_TEST

/* --- tables of the incidence angle modifier ----------------------------------------------------
 */

typedef struct point {
    int angle, hundredths;
} point;

/* What is wrong with such a table: NULL nothing. */
static const char *fault_of(const point *p, int count)
{
    bool front = count > 0 && p[0].angle > 0; /* 1 at 0 is put in front */
    for (int i = 0; i < count; i++) {
        if (p[i].angle < 0 || p[i].angle > 90 || p[i].hundredths < 0 || p[i].hundredths > 150)
            return "angles are from 0 to 90 degrees and factors from 0 to 1.5";
        if (i > 0 && p[i].angle <= p[i - 1].angle)
            return "the angles must grow";
        if (p[i].angle == 0 && p[i].hundredths != 100)
            return "the factor of perpendicular sun is 1";
        if (i + front == NR_IAM_POINTS)
            return "too many points; 16 will do";
    }
    return count + front > 1 ? NULL : "one point is no table";
}

static void try_table(const point *p, int count)
{
    char value[500] = "";
    for (int i = 0; i < count; i++) {
        size_t used = strlen(value);
        snprintf(value + used, sizeof value - used, "%s%d:%.2f", i ? ", " : "", p[i].angle,
                 p[i].hundredths / 100.0);
    }
    const char *fault = fault_of(p, count), *said = collector("iam", value);
    ck_assert_msg(!fault == !said, "%s: %s, not %s", value, said ? said : "fine",
                  fault ? fault : "fine");
    ck_assert_msg(!fault || strstr(said, fault), "%s: %s, not %s", value, said, fault);
    if (fault)
        return;
    const nr_iam_table *t = &rig.collector.iam;
    int front = p[0].angle > 0;
    ck_assert_uint_eq(t->points, (size_t)(count + front));
    NEAR(t->angle_deg[0], 0, 0);
    NEAR(t->factor[0], 1, 0);
    for (int i = 0; i < count; i++) {
        NEAR(t->angle_deg[i + front], p[i].angle, 0);
        NEAR(t->factor[i + front], p[i].hundredths / 100.0, 1e-12);
    }
}

START_TEST(modifiers)
{
    static const point ends[][2] = {
        {{0, 100}, {90, 0}},  {{0, 100}, {91, 0}},   {{0, 100}, {50, 150}}, {{0, 100}, {50, 151}},
        {{0, 100}, {50, -1}}, {{-1, 100}, {50, 90}}, {{0, 100}, {0, 100}},  {{0, 99}, {50, 90}},
        {{0, 101}, {50, 90}}, {{20, 98}, {20, 90}},  {{20, 98}, {21, 90}},  {{20, 98}, {19, 90}}};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        try_table(ends[i], 2);
    try_table((const point[]){{0, 100}}, 1);
    try_table((const point[]){{30, 100}}, 1);
    for (int first = 0; first < 2; first++) /* sixteen points, with the one that is put in front */
        for (int count = 13; count < 19; count++) {
            point many[20];
            for (int i = 0; i < count; i++)
                many[i] = (point){first + 4 * i, 100 - 2 * i};
            try_table(many, count);
        }
    state = 12;
    for (int k = 0; k < 200; k++) {
        point p[5];
        int count = 1 + (int)draw(5), angle = draw(3) ? 0 : (int)draw(40);
        for (int i = 0; i < count; i++) {
            p[i] = (point){angle, angle ? (int)draw(155) : draw(5) ? 100 : (int)draw(150)};
            angle += (int)draw(35);
        }
        try_table(p, count);
    }
    static const char *const forms[] = {"0:1, 30",    "0:1, 30:",   "0:1,, 30:0.9",  "0=1, 30=0.9",
                                        "0:1 30:0.9", ":1, 30:0.9", "0:1:2, 30:0.9", ""};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        ck_assert_msg(collector("iam", forms[i]), "%s", forms[i]);
}
END_TEST

/* A unit of one's own: letters, digits and %/.-, below 32 of them. */
START_TEST(own_units)
{
    for (int c = 0x21; c < 0x7f; c++) {
        char text[100];
        if (c == ';' || c == '#')
            continue; /* those begin a comment somewhere */
        bool good = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                    strchr("%/.-", c);
        snprintf(text, sizeof text, "[channel x]\nunit = q%cq\n", c);
        const char *said = wrong(text, NR_RIG_FOR_READINGS);
        ck_assert_msg(!said == good, "%c: %s", c, said ? said : "taken");
        if (good) {
            char unit[4] = {'q', (char)c, 'q', '\0'};
            ck_assert_str_eq(rig.channel[0].unit->name, unit);
            ck_assert(rig.channel[0].unit == &rig.channel[0].own_unit &&
                      rig.channel[0].unit->dimension == NR_DIM_NONE);
            NEAR(nr_unit_to_canonical(rig.channel[0].unit, 7.5), 7.5, 0);
        }
    }
    for (int length = 29; length < 36; length++) {
        char text[100];
        snprintf(text, sizeof text, "[channel x]\nunit = %0*d\n", length, 0);
        ck_assert_msg(!wrong(text, NR_RIG_FOR_READINGS) == (length < 32), "%d", length);
    }
}
END_TEST

/* Every law by its name; of one that there is not, all of them are told, the nearest first. */
START_TEST(names_of_laws)
{
    char all[600] = "";
    for (const nr_law *law = nr_laws; law->name; law++) {
        strcat(all, all[0] ? ", " : "");
        strcat(all, law->name);
    }
    all[350] = '\0'; /* a problem has no room for more */
    for (const nr_law *law = nr_laws; law->name; law++) {
        char text[200], wanted[700];
        snprintf(text, sizeof text, "[channel x]\nunit = %s\nconvert = %sq\n",
                 law->unit ? law->unit : "V", law->name);
        const char *said = wrong(text, NR_RIG_FOR_READINGS);
        snprintf(wanted, sizeof wanted, "did you mean %s? All: %s", law->name, all);
        ck_assert_msg(said && strstr(said, wanted), "%s\nnot %s", said ? said : "taken", wanted);
        ck_assert_int_eq(heard.count, 1);
    }
    const char *said =
        wrong("[channel x]\nunit = V\nconvert = qqqqqqqqqqqqqqqqqqqqq\n", NR_RIG_FOR_READINGS);
    char wanted[700];
    snprintf(wanted, sizeof wanted, "not a conversion I know; use one of: %s", all);
    ck_assert_msg(said && strstr(said, wanted), "%s", said ? said : "taken");
}
END_TEST

/* As many sections as there is room for, and one more. */
START_TEST(many_sections)
{
    static const struct {
        const char *section, *more;
        int most;
    } of[] = {{"channel", "unit = V\n", 48},
              {"adapter", "port = x\n", 4},
              {"collector", "gross_area_m2 = 1\n", 8}};
    for (size_t i = 0; i < 3; i++)
        for (int more = 0; more < 2; more++) {
            char text[4000] = "", wanted[80];
            for (int k = 0; k < of[i].most + more; k++) {
                size_t used = strlen(text);
                snprintf(text + used, sizeof text - used, "[%s n%d]\n%s", of[i].section, k,
                         of[i].more);
            }
            const char *said = wrong(text, i == 2 ? NR_RIG_FOR_ANALYSIS : NR_RIG_FOR_RECORD);
            snprintf(wanted, sizeof wanted, "[%s n%d]: more than %d %ss", of[i].section, of[i].most,
                     of[i].most, of[i].section);
            bool told_so = false;
            for (int k = 0; k < heard.count; k++)
                told_so = told_so || strstr(heard.line[k], wanted);
            ck_assert_msg(told_so == (more == 1), "%s: %s", wanted, said ? said : "fine");
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {thicknesses,   modifiers,     own_units,
                                  names_of_laws, many_sections, NULL};
    return run_tests("rig_forms", tests);
}
