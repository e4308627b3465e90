/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text on its way to gnuplot. The hostile strings go through a real gnuplot, and a control proves
 * that the same strings do harm when they are not quoted. */
#include "plots/escape.h"
#include "plots/glyphs.h"
#include "plots/letters.h"
#include "plots/pipe.h"
#include "tests/unit/near.h"

#include <math.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "/tmp/noonrun-escape-XXXXXX";

static void make_folder(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-escape-XXXXXX")));
}

static void remove_folder(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static char *quoted(const char *text)
{
    char *out = NULL;
    size_t size;
    FILE *to = open_memstream(&out, &size);
    nr_gp_quote(to, text);
    fclose(to);
    return out;
}

static void quotes_as(const char *text, const char *expected)
{
    char *out = quoted(text);
    ck_assert_str_eq(out, expected);
    free(out);
}

START_TEST(quoting)
{
    quotes_as("Glazed build", "'Glazed build'");
    quotes_as("", "''");
    quotes_as("it's", "'it\u2019s'");
    quotes_as("'", "'\u2019'");
    quotes_as("a\nb\rc\x1b", "'a?b?c?'");
    quotes_as("`id`", "'\u2018id\u2018'");
    quotes_as("@macro", "'(at)macro'");
    quotes_as("\\\"{/Symbol a}_^~&", "'\\\"{/Symbol a}_^~&'"); /* plain in a single-quoted string */
    quotes_as("\xff\xfe", "'?\?'");
}
END_TEST

/* Worked out by hand with the advances of DejaVu Sans, em: ' ' 0.318, '4' 0.636, 'a' 0.613, 'c'
 * 0.55, 'd' 0.635, 'f' 0.352, 'g' 0.635, 'h' 0.634, 'l' 0.278, 'n' 0.634, 'o' 0.612, 's' 0.521, 't'
 * 0.392, 'w' 0.818; ellipsis and wide ones 1.02 here. */
START_TEST(names_stay_apart)
{
    char to[64];
    ck_assert_uint_eq(nr_text_differs_at("glass 4 mm", "glass 3 mm"), 6);
    ck_assert_uint_eq(nr_text_differs_at("4 m\u00b2", "4 m\u00b3"),
                      3); /* the second byte differs */
    ck_assert_uint_eq(nr_text_differs_at("glass", "glass, bare"), 5);
    ck_assert_uint_eq(nr_text_differs_at("glass", "glass"), 0);
    /* whole where it fits, to the last tenth of a pixel */
    double whole = nr_text_px("wash stand 4", 10);
    ck_assert_str_eq(nr_text_cut_apart(to, sizeof to, "wash stand 4", 10, whole, 11),
                     "wash stand 4");
    ck_assert_str_eq(nr_text_cut_apart(to, sizeof to, "wash stand 4", 10, whole - 0.1, 11),
                     "was\u2026tand 4");
    /* by the plain cut, where that tells it; the end; the middle */
    ck_assert_str_eq(nr_text_cut_apart(to, sizeof to, "a4 of all glass", 10, 40, 1), "a4 of\u2026");
    ck_assert_str_eq(nr_text_cut_apart(to, sizeof to, "wash stand of glass 4", 10, 75, 20),
                     "was\u2026glass 4");
    ck_assert_str_eq(nr_text_cut_apart(to, sizeof to, "wash stand 4 of clear glass", 10, 75, 11),
                     "was\u2026 4 of cl\u2026");
    /* cut between letters, never within one; wide ones by their width */
    ck_assert_str_eq(
        nr_text_cut_apart(to, sizeof to, "\u65e5\u672c\u8a9e\u65e5\u672c\u8a9e4", 10, 48, 18),
        "\u65e5\u2026\u672c\u8a9e4");
}
END_TEST

START_TEST(percent_in_tics)
{
    char *out = NULL;
    size_t size;
    FILE *to = open_memstream(&out, &size);
    nr_gp_quote_tic(to, "gain 3 % it's");
    fclose(to);
    ck_assert_str_eq(out, "'gain 3 %% it\u2019s'");
    free(out);
}
END_TEST

START_TEST(numbers)
{
    static const struct {
        double value;
        const char *text;
    } cases[] = {{1.5, "1.5"},      {-0.25, "-0.25"},   {1e300, "1e+300"},        {NAN, "NaN"},
                 {INFINITY, "NaN"}, {-INFINITY, "NaN"}, {1.0 / 3, "0.333333333"}, {0, "0"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char *out = NULL;
        size_t size;
        FILE *to = open_memstream(&out, &size);
        nr_gp_number(to, cases[i].value);
        fclose(to);
        ck_assert_str_eq(out, cases[i].text);
        free(out);
    }
}
END_TEST

/* By the room there is: W is three times as wide as i (DejaVu Sans: 0.989 and 0.278 em). */
START_TEST(widths)
{
    char text[64];
    ck_assert(fabs(nr_text_px("Wi", 10) - 12.67) < 1e-9);
    ck_assert(nr_text_px("\u65e5", 10) >= 10);
    ck_assert_str_eq(nr_text_cut(text, sizeof text, "iiii", 10, 11.2), "iiii");
    ck_assert_str_eq(nr_text_cut(text, sizeof text, "WWWW", 10, 39), "WW\u2026");
    ck_assert_str_eq(nr_text_cut_front(text, sizeof text, "one two", 10, 30), "\u2026two");
    ck_assert_uint_eq(nr_text_line("one two three", 10, 45), 7);
    ck_assert_uint_eq(nr_text_line("one", 10, 45), 3);
    ck_assert_uint_eq(nr_text_line("WWWWWW", 10, 25), 2);
    ck_assert_uint_eq(nr_text_line("W", 10, 1), 1); /* never none, or a loop would not end */
    /* A number stays with its unit, not with every word. */
    ck_assert_uint_eq(nr_text_line("air at 20 \u00b0C now", 10, 50), 6);
    ck_assert_uint_eq(nr_text_line("air at 20 \u00b0C now", 10, 70), 13);
    ck_assert_uint_eq(nr_text_line("for 6 W/(m\u00b2 K)", 10, 35), 3);
    ck_assert_uint_eq(nr_text_line("at 20 degrees", 10, 45), 5);
    ck_assert_uint_eq(nr_text_line("at 46.18\u00b0 N, 9.90\u00b0 E", 10, 60), 2);
    ck_assert_uint_eq(nr_text_line("at 46.18\u00b0 N, 9.90\u00b0 E", 10, 80), 13);
    ck_assert_uint_eq(nr_text_line("for x Btu/(h ft\u00b2 \u00b0F)", 10, 85), 5);
    ck_assert_uint_eq(nr_text_line("or (with a lid) it", 10, 60), 10); /* no unit */
    ck_assert_str_eq(nr_text_cut_middle(text, sizeof text, "iiii", 10, 11.2), "iiii");
    ck_assert_str_eq(nr_text_cut_middle(text, sizeof text, "WWWWWW1", 10, 43), "W\u2026W1");
}
END_TEST

/* Letters that no font has become squares; what is kept is kept to the byte. */
START_TEST(letters_without_a_font)
{
    nr_glyphs latin = {0}, some = {0}, none = {0};
    char text[64] = "a\u00b2 \u6d17\u3044 \u03b7\u2080 \u5834\U0001f31e \u0436";
    ck_assert(nr_glyphs_wanted(text));
    ck_assert(!nr_glyphs_wanted("4 m\u00b2, \u03b7\u2080 \u2212 1 \u00b1 2 \u2460 \u25cf \u2026"));
    ck_assert(nr_glyphs_read(&latin, "20-7e a0-2af 3b7 400-45f\n") && latin.count == 4);
    ck_assert(nr_glyphs_read(&latin, "25a1 zz 9-8 110000-110001\n"));
    ck_assert(latin.count == 5); /* what is no range is passed over */
    ck_assert_uint_eq(nr_glyphs_replace(&latin, text), 4);
    ck_assert_str_eq(text, "a\u00b2 \u25a1\u25a1 \u03b7\u2080 \u25a1\u25a1 \u0436");
    /* Both ends of a range belong to it. */
    (void)strcpy(text, "\u6d16\u6d17\u6d18\u6d19");
    ck_assert(nr_glyphs_read(&some, "6d17-6d18 25a1"));
    ck_assert_uint_eq(nr_glyphs_replace(&some, text), 2);
    ck_assert_str_eq(text, "\u25a1\u6d17\u6d18\u25a1");
    /* Without a square, or where it would be longer, a question mark. */
    (void)strcpy(text, "\u6d17\u0436");
    ck_assert_uint_eq(nr_glyphs_replace(&none, text), 2);
    ck_assert_str_eq(text, "??");
    (void)strcpy(text, "\u0436");
    ck_assert_uint_eq(nr_glyphs_replace(&some, text), 1);
    ck_assert_str_eq(text, "?");
    nr_glyphs_free(&latin);
    nr_glyphs_free(&some);
    /* The fonts of this computer have Latin letters, or no picture would have words. */
    ck_assert(nr_glyphs_installed(&none));
    (void)strcpy(text, "\u00e4");
    ck_assert_uint_eq(nr_glyphs_replace(&none, text), 0);
    nr_glyphs_free(&none);
}
END_TEST

/* What may stand in a title somebody else wrote. %s: a file whose appearance proves execution. */
static const char *const hostile[] = {
    "`touch %s`",
    "'; system('touch %s'); a='",
    "\"; system(\"touch %s\"); a=\"",
    "'\nsystem('touch %s')\n'",
    "\nsystem('touch %s')\n",
    "\n!touch %s\n",
    "\\'; system('touch %s') #",
    "'.system('touch %s').'",
    "@`touch %s`",
    "%%{system('touch %s')}",
    "{/Bold `touch %s`}",
    "' \\\n `touch %s`",
    "EOD\n!touch %s\n",
    "$(touch %s)",
    "''`touch %s`''",
    "' ; eval \"!touch %s\" ; '",
    "\xe2\x80\x98`touch %s`",
    "` touch %s `\\",
};
#define HOSTILE (sizeof hostile / sizeof *hostile)

static bool exists(const char *path)
{
    struct stat s;
    return stat(path, &s) == 0;
}

START_TEST(hostile_text_does_nothing)
{
    make_folder();
    char marker[96], text[256], picture[96];
    nr_err err = {0};
    (void)snprintf(marker, sizeof marker, "%s/harm", folder);
    (void)snprintf(picture, sizeof picture, "%s/p.svg", folder);
    (void)snprintf(text, sizeof text, hostile[_i], marker);
    char *script = NULL;
    size_t size;
    FILE *to = open_memstream(&script, &size);
    fputs("set encoding utf8\nset terminal svg noenhanced\nset title ", to);
    nr_gp_quote(to, text);
    fputs("\nset label ", to);
    nr_gp_quote(to, text);
    fputs(" at graph 0.5,0.5\nset xlabel ", to);
    nr_gp_quote(to, text);
    fputs("\nset xtics (", to);
    nr_gp_quote_tic(to, text);
    fputs(" 0)\nplot [-1:1] x title ", to);
    nr_gp_quote(to, text);
    fputs("\n", to);
    fclose(to);
    nr_code code = nr_gp_run(NULL, script, size, picture, &err);
    ck_assert_msg(code == NR_OK, "%s: %s", text, err.text);
    ck_assert_msg(!exists(marker), "executed: %s", text);
    ck_assert(exists(picture));
    free(script);
    remove_folder();
}
END_TEST

/* The control: unquoted, gnuplot does run such text, so the test above can fail. */
START_TEST(control_gnuplot_does_execute)
{
    make_folder();
    char marker[96], picture[96], script[400];
    nr_err err;
    (void)snprintf(marker, sizeof marker, "%s/harm", folder);
    (void)snprintf(picture, sizeof picture, "%s/p.svg", folder);
    (void)snprintf(script, sizeof script,
                   "set terminal svg\nset title \"`touch %s`\"\nplot [-1:1] x\n", marker);
    (void)nr_gp_run(NULL, script, strlen(script), picture, &err);
    ck_assert(exists(marker));
    remove_folder();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("escape");
    TCase *all = tcase_create("escape");
    tcase_set_timeout(all, 60);
    tcase_add_test(all, quoting);
    tcase_add_test(all, percent_in_tics);
    tcase_add_test(all, names_stay_apart);
    tcase_add_test(all, numbers);
    tcase_add_test(all, widths);
    tcase_add_test(all, letters_without_a_font);
    tcase_add_loop_test(all, hostile_text_does_nothing, 0, (int)HOSTILE);
    tcase_add_test(all, control_gnuplot_does_execute);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
