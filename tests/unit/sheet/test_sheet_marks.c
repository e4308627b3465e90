/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every word and line of the paper form where it belongs, in millimetres: the layout as it was
 * decided (margins of 13, rows of 7, columns of 12 and 22 before the channels and of 42 behind
 * them), read back from the SVG; what the rig file says is printed, what it does not has a line to
 * be written on; and the table of readings as a CSV file. */
#include "analyze/sheet/paper.h"
#include "analyze/sheet/sheet.h"
#include "logger/run/unstated.h"
#include "tests/unit/run/rig_fixture.h"

#include <unistd.h>

typedef struct mark {
    bool words, bold;
    double x, y, x2, y2, size; /* of letters, or the width of a line */
    char text[300];
} mark;

static mark marks[800];
static size_t count;
static char path[64];
static nr_rig rig;
static nr_err err;

static void set_up(void)
{
    snprintf(path, sizeof path, "/tmp/test_sheet_marks.XXXXXX.svg");
    int fd = mkstemps(path, 4);
    ck_assert_int_ge(fd, 0);
    close(fd);
}

static void tear_down(void)
{
    unlink(path);
}

static void read_back(FILE *file)
{
    char row[1200];
    count = 0;
    while (fgets(row, sizeof row, file)) {
        mark m = {0};
        char *end;
        if (sscanf(row, "<text x=\"%lf\" y=\"%lf\" font-size=\"%lf", &m.x, &m.y, &m.size) == 3) {
            char *begin = strchr(row, '>');
            ck_assert(begin && (end = strstr(begin, "</text>")) != NULL);
            m.words = true;
            m.bold = strstr(row, "font-weight=\"bold\"") != NULL;
            snprintf(m.text, sizeof m.text, "%.*s", (int)(end - begin - 1), begin + 1);
        } else if (sscanf(row,
                          "<line stroke=\"#000\" x1=\"%lf\" y1=\"%lf\" x2=\"%lf\" y2=\"%lf\" "
                          "stroke-width=\"%lf",
                          &m.x, &m.y, &m.x2, &m.y2, &m.size) != 5) {
            continue;
        }
        ck_assert_uint_lt(count, sizeof marks / sizeof *marks);
        marks[count++] = m;
    }
}

static void write_sheet(const char *text, nr_sheet_style style)
{
    size_t pages;
    accept(&rig, text, NR_RIG_FOR_READINGS);
    ck_assert_msg(nr_sheet_write(&rig, path, &style, &pages, &err) == NR_OK, "%s", err.text);
    FILE *file = fopen(path, "r");
    read_back(file);
    fclose(file);
}

/* Those words, or some that begin so. */
static const mark *words(const char *begin)
{
    for (int whole = 1; whole >= 0; whole--)
        for (size_t i = 0; i < count; i++)
            if (marks[i].words && (whole ? strcmp(marks[i].text, begin) == 0
                                         : strncmp(marks[i].text, begin, strlen(begin)) == 0))
                return &marks[i];
    ck_abort_msg("no \"%s\"", begin);
    return NULL;
}

static void are_at(const char *begin, double x, double y, double size, bool bold)
{
    const mark *m = words(begin);
    NEAR_AT(begin, m->x, x, 0.011);
    NEAR_AT(begin, m->y, y, 0.011);
    NEAR_AT(begin, m->size, size, 1e-9);
    ck_assert_msg(m->bold == bold, "%s", begin);
}

static void line_is(double x, double y, double x2, double y2, double width)
{
    for (size_t i = 0; i < count; i++)
        if (!marks[i].words && fabs(marks[i].x - x) < 0.011 && fabs(marks[i].y - y) < 0.011 &&
            fabs(marks[i].x2 - x2) < 0.011 && fabs(marks[i].y2 - y2) < 0.011) {
            NEAR(marks[i].size, width, 1e-9);
            return;
        }
    ck_abort_msg("no line from %g %g to %g %g", x, y, x2, y2);
}

#define COLLECTOR "[collector]\nname = Bench\ngross_area_m2 = 1.5\n"
#define CHANNELS                                                                                   \
    "[channel store]\nunit = degC\n[channel inlet]\nunit = degC\n[channel air]\nunit = degC\n"     \
    "[channel sun]\nunit = W_m2\n"

/* --- the table ---------------------------------------------------------------------------------
 */

static void table_is(double page_w, double page_h, double every_s)
{
    static const char *const name[] = {"store", "inlet", "air", "sun"};
    double top = words("min")->y - 4.2, right = page_w - 13;
    double width = (right - 13 - 12 - 22 - 42) / 4;
    double bottom = page_h - 13 - 14 - 2; /* above the cautions */
    size_t rows = (size_t)((bottom - top - 14) / 7);
    double end = top + 10.5 + 7 * (double)rows;
    ck_assert(end <= bottom && end > bottom - 12);
    are_at("min", 14, top + 4.2, 2.9, true);
    are_at("time", 26, top + 4.2, 2.9, true);
    are_at("clock", 26, top + 8.2, 2.4, false);
    are_at("notes", right - 41, top + 4.2, 2.9, true);
    for (size_t i = 0; i < 4; i++) {
        double x = 13 + 12 + 22 + width * (double)i;
        are_at(name[i], x + 1, top + 4.2, 2.9, true);
        line_is(x, top, x, end, 0.15);
        are_at(i < 3 ? "°C" : "W/m", 13 + 34 + width * (i < 3 ? 0 : 3) + 1, top + 8.2, 2.4, false);
    }
    line_is(13, top, 13, end, 0.3);
    line_is(25, top, 25, end, 0.15);
    line_is(right - 42, top, right - 42, end, 0.15);
    line_is(right, top, right, end, 0.3);
    line_is(13, top, right, top, 0.3);
    size_t planned = 0;
    for (size_t r = 0; r <= rows; r++) {
        double y = top + 10.5 + 7 * (double)r, minutes = every_s / 60 * (double)r;
        line_is(13, y, right, y, r == 0 || r == rows ? 0.3 : 0.15);
        char text[20];
        snprintf(text, sizeof text, fabs(minutes - round(minutes)) < 1e-9 ? "%.0f" : "%.1f",
                 minutes);
        for (size_t i = 0; i < count; i++)
            if (marks[i].words && fabs(marks[i].x - 14.5) < 0.011 &&
                fabs(marks[i].y - y - 4.8) < 0.011) {
                ck_assert_str_eq(marks[i].text, text);
                ck_assert(marks[i].size == 2.9 && !marks[i].bold);
                planned++;
            }
    }
    ck_assert_uint_eq(planned, rows); /* each but the line that ends the table */
    are_at("Caution: water of ", 13, page_h - 13 - 14 + 3, 2.6, false); /* three below the foot */
}

START_TEST(the_table)
{
    write_sheet(COLLECTOR "[store]\nwater_kg = 40\n" CHANNELS, (nr_sheet_style){.every_s = 300});
    table_is(210, 297, 300);
    ck_assert_ptr_nonnull(strstr(words("Caution: water of ")->text, "49 °C and above scalds."));
    write_sheet(COLLECTOR "[store]\nwater_kg = 40\n" CHANNELS,
                (nr_sheet_style){.every_s = 90, .letter = true, .us = true});
    table_is(215.9, 279.4, 90);
    ck_assert_ptr_nonnull(strstr(words("Caution: water of ")->text, "120 °F and above scalds."));
}
END_TEST

/* --- above it ----------------------------------------------------------------------------------
 */

START_TEST(the_head)
{
    write_sheet(
        "[collector]\nname = Bench\ngross_area_m2 = 1.5\ntilt_deg = 35\nazimuth_deg = 172.5\n"
        "glazing = single\n[store]\nwater_kg = 40\n" CHANNELS,
        (nr_sheet_style){.every_s = 300});
    are_at("Bench", 13, 18, 5.2, true);
    are_at("Date (as 2026-05-16) ____", 13, 26, 2.9, false);
    are_at("Collector Bench: area 1.5 m²; tilt 35°; faces 172° (180 is south); glazing ", 13, 32,
           2.9, false);
    /* 40 kg at 0.9982 kg/L */
    are_at(
        "Water (rig file: 40.1 L): container full ________ minus empty ________ = ________ kg;  at "
        "the end ________",
        13, 37.5, 2.9, false);
    double y = 43.5;
    for (size_t i = 0; i < count; i++) { /* questions that nobody answered, a line each */
        const mark *m = &marks[i];
        if (!m->words || strstr(m->text, "?  ____________________") == NULL)
            continue;
        NEAR(m->x, 13, 1e-9);
        NEAR(m->y, y, 0.011);
        ck_assert(m->size == 2.9 &&
                  strstr(m->text, nr_unstated_question(NR_UNSTATED_WATER)) == NULL &&
                  strstr(m->text, nr_unstated_question(NR_UNSTATED_WATER_END)) == NULL);
        y += 4.6;
    }
    ck_assert(y > 44);
    are_at("1. Before: weigh the container", 13, y + 1, 2.9, false);
    const mark *first = words("1. "), *second = words("2. "), *third = words("3. ");
    double line = 1.3 * 2.9;
    ck_assert(fmod(second->y - first->y - 0.6 + 1e-3, line) < 0.05);
    ck_assert(fmod(third->y - second->y - 0.6 + 1e-3, line) < 0.05);
    const mark *last = words("4. ");
    double below = words("min")->y - 4.2 - last->y - 1.6;
    ck_assert(fmod(below + 1e-3, line) < 0.05 && below > line / 2);
}
END_TEST

START_TEST(what_is_not_stated)
{
    nr_sheet_style us = {.every_s = 300, .us = true};
    write_sheet(CHANNELS, us);
    are_at("Heat-up test", 13, 18, 5.2, true);
    (void)words(
        "Collector: area (outside) ______ × ______ = ________ ft²; tilt ______°; faces ______° "
        "(180 is south)");
    (void)words(
        "Water: container full ________ minus empty ________ = ________ lb;  at the end ____");
    write_sheet("[test]\ntitle = May\n" COLLECTOR "[store]\nwater_kg = 40\n" CHANNELS, us);
    are_at("May", 13, 18, 5.2, true);
    (void)words("Collector Bench: area 16.1 ft²; tilt");  /* 1.5 m2 over 0.3048^2 */
    (void)words("Water (rig file: 10.6 gal): container"); /* 40.07 L over 3.785411784 */
    static char text[400];
    char name[101] = "";
    memset(name, 'n', 100);
    snprintf(text, sizeof text, "[test]\ntitle = %s\n%s", name, CHANNELS);
    write_sheet(text, us);
    ck_assert_uint_eq(strlen(words("nnn")->text), 60); /* what the page is wide for */
}
END_TEST

/* Two collectors on a page: each its facts and its water, and whose a column is. */
START_TEST(of_two)
{
    write_sheet(
        "[channel air]\nunit = degC\n[collector left]\ngross_area_m2 = 1.5\n[store left]\n"
        "water_kg = 40\n[collector right]\ngross_area_m2 = 2.5\n[store right]\nwater_kg = 20\n"
        "[channel store_left]\nunit = degC\nof = left\nrole = store\n"
        "[channel store_right]\nunit = degC\nof = right\nrole = store\n",
        (nr_sheet_style){.every_s = 300});
    are_at("Collector left: area 1.5 m²", 13, 32, 2.9, false);
    are_at("Water of left (rig file: 40.1 L)", 13, 37.5, 2.9, false);
    are_at("Collector right: area 2.5 m²", 13, 43.5, 2.9, false);
    are_at("Water of right (rig file: 20 L)", 13, 49, 2.9, false);
    double width = (210 - 26 - 12 - 22 - 42) / 3.0, y = words("clock")->y;
    are_at("air", 48, y - 4, 2.9, true);
    are_at("store", 48 + width, y - 4, 2.9, true);
    are_at("°C left", 48 + width, y, 2.4, false);
    are_at("°C right", 48 + 2 * width, y, 2.4, false);
}
END_TEST

/* --- words that wrap ---------------------------------------------------------------------------
 */

/* As many letters as fit at 0.53 of their size each; a line is broken at a blank, a longer word
 * cut. */
START_TEST(paragraphs)
{
    static nr_paper page;
    for (int width = 40; width < 90; width += 7) {
        static const char text[] =
            "one three fifteen a bc verylongword-that-does-not-fit-anywhere-in-it "
            "and the rest  of the words, to the end";
        size_t most = (size_t)(width / (0.53 * 3)), at = 0;
        page.count = 0;
        double y = nr_paper_paragraph(&page, 5, 10, width, 3, text);
        NEAR(y, 10 + 3.9 * (double)page.count, 1e-9);
        for (size_t i = 0; i < page.count; i++) {
            const nr_mark *m = &page.mark[i];
            size_t length = strlen(m->text);
            ck_assert(m->words && !m->bold && m->x == 5 && m->size_mm == 3);
            NEAR(m->y, 10 + 3.9 * (double)i, 1e-9);
            ck_assert(length > 0 && length <= most);
            ck_assert(strncmp(text + at, m->text, length) == 0);
            at += length;
            size_t next = strcspn(text + at + strspn(text + at, " "), " ");
            bool whole = text[at] == ' ' || text[at] == '\0';
            ck_assert(whole || length == most); /* a word is cut only where it fills the line */
            ck_assert(text[at] == '\0' || !whole || length + 1 + next > most);
            at += strspn(text + at, " ");
        }
        ck_assert_uint_eq(at, strlen(text));
    }
}
END_TEST

START_TEST(what_svg_takes)
{
    static nr_paper page = {.width_mm = 100.5, .height_mm = 50.25};
    nr_paper_words(&page, 1.25, 2.5, 3.75, true, "a<b & c>d %d", 7);
    nr_paper_line(&page, 1, 2, 3.5, 4.25, 0.15);
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    nr_paper_svg(&page, to);
    fclose(to);
    ck_assert_ptr_nonnull(
        strstr(text, "width=\"100.50mm\" height=\"50.25mm\" viewBox=\"0 0 100.50 50.25\""));
    ck_assert_ptr_nonnull(strstr(text, "<text x=\"1.25\" y=\"2.50\" font-size=\"3.75\" "
                                       "font-weight=\"bold\">a&lt;b &amp; c&gt;d 7</text>"));
    ck_assert_ptr_nonnull(strstr(text, "<line stroke=\"#000\" x1=\"1.00\" y1=\"2.00\" x2=\"3.50\" "
                                       "y2=\"4.25\" stroke-width=\"0.15\"/>"));
    for (size_t i = page.count; i < NR_MARKS + 5; i++) /* what does not fit is left out */
        nr_paper_line(&page, 1, 1, 1, 1, 1);
    ck_assert_uint_eq(page.count, NR_MARKS);
    free(text);
}
END_TEST

/* --- the table of readings ---------------------------------------------------------------------
 */

START_TEST(as_csv)
{
    accept(&rig,
           COLLECTOR "[store]\nwater_kg = 40\n" CHANNELS
                     "[channel flow]\nunit = L_min\nconvert = stated\nvalue = 3\nu_value = 0.1\n",
           NR_RIG_FOR_READINGS);
    unlink(path);
    ck_assert(nr_sheet_table(&rig, path, &err) == NR_OK);
    ck_assert(nr_sheet_table(&rig, path, &err) == NR_BAD); /* readings may stand in it */
    ck_assert_ptr_nonnull(strstr(err.text, "is there already"));
    FILE *file = fopen(path, "r");
    char row[200];
    size_t rows = 0;
    for (; fgets(row, sizeof row, file); rows++)
        ck_assert_str_eq(row, rows == 0 ? "Date,,,,,\n"
                              : rows == 1
                                  ? "time,store (degC),inlet (degC),air (degC),sun (W_m2),notes\n"
                                  : ",,,,,\n");
    fclose(file);
    ck_assert_uint_eq(rows, 42);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        the_table, the_head, what_is_not_stated, of_two, paragraphs, what_svg_takes, as_csv, NULL};
    return run_tests_in("sheet marks", tests, set_up, tear_down);
}
