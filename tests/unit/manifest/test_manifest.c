/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two texts held against each other, and the ways between folders. */
#include "analyze/manifest/manifest.h"
#include "analyze/manifest/numbers.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

static nr_numbers compared(const char *was, const char *now)
{
    nr_numbers n;
    nr_numbers_compare(was, now, &n);
    return n;
}

START_TEST(numbers_and_words)
{
    const char *text = "eta0 0.726  0.680 .. 0.771\na1 -6.02e-3 W/(m2 K), 95 %\n";
    nr_numbers n = compared(text, text);
    ck_assert_uint_eq(n.numbers, 5); /* eta0, a1 and m2 are words */
    ck_assert(!n.different && !n.words && !n.kept);
    n = compared(text, "eta0 0.726  0.680 .. 0.771\na1 -6.02e-4 W/(m2 K), 95 %\n");
    ck_assert_uint_eq(n.different, 1);
    ck_assert(!n.words);
    ck_assert_uint_eq(n.difference[0].line, 2);
    ck_assert_str_eq(n.difference[0].was, "-6.02e-3");
    ck_assert_str_eq(n.difference[0].now, "-6.02e-4");
    /* The last digit counts: a double prints so that it comes back. */
    ck_assert_uint_eq(compared("0.72582175549983352", "0.72582175549983353").different, 1);
    ck_assert_uint_eq(compared("1.0", "1").different, 1);
    /* A wider number moves its column, not the words. */
    n = compared("value   9.50  3 K", "value  10.50  3 K");
    ck_assert(n.different == 1 && !n.words && n.numbers == 2);
    /* An exponent is a part of its number, with a sign or without one. */
    static const char *const other[] = {"x 1e5 K\n", "x 1e6 K\n", "x 1e+5 K\n", "x 1e-5 K\n",
                                        "x 1E12 K\n"};
    for (size_t i = 1; i < sizeof other / sizeof *other; i++) {
        n = compared(other[0], other[i]);
        ck_assert_msg(n.numbers == 1 && !n.words && n.different == 1, "%s", other[i]);
    }
    /* Words are told from numbers. */
    ck_assert(compared("loss 3 K", "gain 3 K").words);
    ck_assert(compared("3 K", "3 K and more").words);
    ck_assert(compared("", "x").words);
    ck_assert(compared("null", "3").words);
    ck_assert(!compared("", "").words);
    ck_assert(compared("m2", "m3").words);
}
END_TEST

START_TEST(more_than_is_kept)
{
    char was[4096] = "", now[4096] = "";
    for (int i = 0; i < 3 * NR_DIFFERENCES; i++) {
        strcat(was, "1 ");
        strcat(now, "2 ");
    }
    nr_numbers n = compared(was, now);
    ck_assert_uint_eq(n.different, 3 * NR_DIFFERENCES);
    ck_assert_uint_eq(n.kept, NR_DIFFERENCES);
}
END_TEST

START_TEST(ways)
{
    static const char *const way[][3] = {
        {"/a/b", "/a/b", "."},    {"/a/b/r", "/a/b", ".."},  {"/a/b", "/a/b/c/d", "c/d"},
        {"/a/b", "/a/c", "../c"}, {"/a/bc", "/a/b", "../b"}, {"/a", "/b/c", "../b/c"},
        {"/", "/a", "a"},         {"/a/b", "/", "../.."},
    };
    for (size_t i = 0; i < sizeof way / sizeof way[0]; i++) {
        char *w = nr_manifest_way(way[i][0], way[i][1]);
        ck_assert_str_eq(w, way[i][2]);
        free(w);
    }
}
END_TEST

/* A manifest comes from anywhere: an integer of JSON has 64 bits, and what is cut off to 32 would
 * be another number (argument 4294967296 would be the first one). */
static nr_code parse_with(const char *argument, const char *bytes, const char *seed,
                          const char *status)
{
    static nr_manifest m;
    char text[1000];
    nr_err err;
    int n = snprintf(
        text, sizeof text,
        "{\"manifest\": 1, \"program\": \"noonfit\", \"version\": \"1\", \"run_in\": \".\", "
        "\"libraries\": {}, \"environment\": {}, \"arguments\": [\"fit\"], \"inputs\": [], "
        "\"outputs\": [{\"argument\": %s, \"path\": \"x\", \"bytes\": %s, \"sha256\": "
        "\"%064d\"}], \"seed\": %s, \"exit_status\": %s, \"answer\": {\"text\": \"\"}}",
        argument, bytes, 0, seed, status);
    nr_code code = nr_manifest_parse(text, (size_t)n, "m.json", &m, &err);
    if (code == NR_OK)
        nr_manifest_free(&m);
    return code;
}

START_TEST(integers_that_fit)
{
    ck_assert_int_eq(parse_with("0", "5", "null", "0"), NR_OK);
    ck_assert_int_eq(parse_with("-1", "268435456", "2147483647", "255"), NR_OK);
    ck_assert_int_eq(parse_with("1", "5", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("-2", "5", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("4294967296", "5", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "268435457", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "4294967301", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "-1", "null", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "5", "2147483648", "0"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "5", "null", "256"), NR_BAD);
    ck_assert_int_eq(parse_with("0", "5", "null", "4294967296"), NR_BAD);
    ck_assert_int_eq(parse_with("\"0\"", "5", "null", "0"), NR_BAD);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("manifest");
    TCase *one = tcase_create("manifest");
    tcase_add_test(one, numbers_and_words);
    tcase_add_test(one, more_than_is_kept);
    tcase_add_test(one, ways);
    tcase_add_test(one, integers_that_fit);
    suite_add_tcase(suite, one);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
