/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The paper form: its table closes, nothing lies beyond the page or over the words below, a row for
 * each time; what is said where the channels are too many. Read from the SVG, which is millimetres
 * as drawn. */
#include "analyze/sheet/sheet.h"
#include "tests/unit/run/rig_fixture.h"

#include <unistd.h>

#define HEAD "[collector]\nname = Wash stand\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"
#define LOOP                                                                                       \
    "[channel store]\nunit = degC\n[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\n"  \
    "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n[channel flow]\nunit = L_min\n"

typedef struct line {
    double x1, y1, x2, y2, width;
} line;

static line lines[400];
static size_t count;
static double page_w, page_h, lowest_word;
static char *text;
static char path[64];
static nr_err err;

static void set_up(void)
{
    snprintf(path, sizeof path, "/tmp/test_sheet.XXXXXX.svg");
    int fd = mkstemps(path, 4);
    ck_assert_int_ge(fd, 0);
    close(fd);
    text = NULL;
}

static void tear_down(void)
{
    unlink(path);
    free(text);
}

static nr_code write_sheet(const char *rig_text, bool letter, double every_s)
{
    static nr_rig rig;
    size_t pages;
    nr_sheet_style style = {.letter = letter, .every_s = every_s};
    accept(&rig, rig_text, NR_RIG_FOR_READINGS);
    return nr_sheet_write(&rig, path, &style, &pages, &err);
}

static void read_back(void)
{
    FILE *file = fopen(path, "r");
    char row[1000];
    size_t size;
    free(text);
    FILE *all = open_memstream(&text, &size);
    count = 0;
    lowest_word = 0;
    while (fgets(row, sizeof row, file)) {
        line l;
        double x, y;
        fputs(row, all);
        if (sscanf(row, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%lfmm\" height=\"%lfmm",
                   &x, &y) == 2)
            page_w = x, page_h = y;
        if (sscanf(row,
                   "<line stroke=\"#000\" x1=\"%lf\" y1=\"%lf\" x2=\"%lf\" y2=\"%lf\" "
                   "stroke-width=\"%lf",
                   &l.x1, &l.y1, &l.x2, &l.y2, &l.width) == 5 &&
            count < sizeof lines / sizeof *lines)
            lines[count++] = l;
        if (sscanf(row, "<text x=\"%lf\" y=\"%lf", &x, &y) == 2)
            lowest_word = y > lowest_word ? y : lowest_word;
    }
    fclose(file);
    fclose(all);
}

/* Every upright ends on the last row, and the rows are seven millimetres apart. */
static void table_closes(size_t channels)
{
    double top = INFINITY, end = 0, left = INFINITY, right = 0;
    size_t across = 0, upright = 0;
    for (size_t i = 0; i < count; i++) {
        bool flat = lines[i].y1 == lines[i].y2 && lines[i].x2 - lines[i].x1 > 150;
        if (!flat)
            continue;
        across++;
        top = fmin(top, lines[i].y1);
        end = fmax(end, lines[i].y1);
        left = fmin(left, lines[i].x1);
        right = fmax(right, lines[i].x2);
    }
    for (size_t i = 0; i < count; i++) {
        if (lines[i].x1 != lines[i].x2)
            continue;
        upright++;
        NEAR(lines[i].y1, top, 1e-9);
        NEAR(lines[i].y2, end, 1e-9);
        ck_assert(lines[i].x1 >= left && lines[i].x1 <= right);
    }
    ck_assert_uint_eq(upright, channels + 4); /* minutes, clock, notes, and the right edge */
    ck_assert_uint_gt(across, 10);
    NEAR(end - top, 10.5 + 7.0 * (double)(across - 2), 0.02);
    NEAR(left, 13, 1e-9);
    NEAR(right, page_w - 13, 0.02);
    ck_assert(end < page_h - 13 && lowest_word < page_h - 5);
}

START_TEST(the_table_closes)
{
    bool letter = _i;
    ck_assert_msg(write_sheet(HEAD LOOP, letter, 300) == NR_OK, "%s", err.text);
    read_back();
    NEAR(page_w, letter ? 215.9 : 210, 0.01);
    NEAR(page_h, letter ? 279.4 : 297, 0.01);
    table_closes(6);
    ck_assert_ptr_nonnull(strstr(text, ">0</text>"));
    ck_assert_ptr_nonnull(strstr(text, ">5</text>"));
    ck_assert_ptr_nonnull(strstr(text, ">outlet</text>"));
    ck_assert_ptr_nonnull(strstr(text, "Wash stand"));
    ck_assert_msg(write_sheet(HEAD LOOP, letter, 90) == NR_OK, "%s", err.text);
    read_back();
    ck_assert_ptr_nonnull(strstr(text, ">1.5</text>"));
    ck_assert_ptr_nonnull(strstr(text, ">3</text>"));
}
END_TEST

static char *rig_of(size_t others)
{
    static char rig[8000];
    size_t used = (size_t)snprintf(rig, sizeof rig, "%s%s", HEAD, LOOP);
    for (size_t i = 0; i < others; i++)
        used += (size_t)snprintf(rig + used, sizeof rig - used, "[channel x%zu]\nunit = degC\n", i);
    return rig;
}

START_TEST(as_many_as_fit)
{
    ck_assert_msg(write_sheet(rig_of(3), false, 300) == NR_OK, "%s", err.text);
    read_back();
    table_closes(9);
    /* Of one collector no other kind of file would hold more. */
    ck_assert_int_eq(write_sheet(rig_of(4), false, 300), NR_CANNOT);
    ck_assert_str_eq(err.text, "has 10 channels to read; a page has room for 1 to 9");
}
END_TEST

START_TEST(several_as_svg)
{
    static char rig[8000];
    size_t used = (size_t)snprintf(rig, sizeof rig,
                                   "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n");
    static const char *const side[] = {"left", "right"};
    static const char *const probe[] = {"store", "inlet", "outlet", "box"};
    for (int s = 0; s < 2; s++) {
        used += (size_t)snprintf(rig + used, sizeof rig - used,
                                 "[collector %s]\ngross_area_m2 = 1.5\n[store %s]\nwater_kg = 40\n",
                                 side[s], side[s]);
        for (int c = 0; c < 4; c++)
            used += (size_t)snprintf(rig + used, sizeof rig - used,
                                     "[channel %s_%s]\nunit = degC\nof = %s\n", probe[c], side[s],
                                     side[s]);
    }
    ck_assert_int_eq(write_sheet(rig, false, 300), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "has 10 channels to read; an .svg is one page"));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("sheet");
    TCase *t = tcase_create("sheet");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_loop_test(t, the_table_closes, 0, 2);
    tcase_add_test(t, as_many_as_fit);
    tcase_add_test(t, several_as_svg);
    suite_add_tcase(s, t);
    return run_suite(s);
}
