/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What of a table is head, units, readings and neither; decimal signs; units in heads, rows and
 * cells; columns by name and number. Each table's meaning is written down beside it. */
#include "logger/base/order.h"
#include "tests/unit/import/tables.h"

static nr_table t;
static nr_err err;

static nr_code reads(const char *text)
{
    err = (nr_err){.text = ""};
    return nr_table_read(text, strlen(text), "table", 0, &t, &err);
}

static const struct {
    const char *what, *text;
    bool headed;
    size_t rows, before, repeated, strange;
    long first_strange;
    const char *head1, *unit1; /* of the second column */
} tables[] = {
    {"a head", "time,Tank (C)\n10:15,18.5\n10:16,18.6\n", true, 2, 0, 0, 0, 0, "Tank (C)", "degC"},
    {"none", "10:15,18.5\n10:16,18.6\n", false, 2, 0, 0, 0, 0, "", ""},
    {"a title above", "my stand\n\ntime,Tank\n10:15,18.5\n10:16,18.6\n", true, 2, 1, 0, 0, 0,
     "Tank", ""},
    {"a row of units", "time,Tank\n,degF\n10:15,68.5\n10:16,68.6\n", true, 2, 0, 0, 0, 0, "Tank",
     "degF"},
    {"units in brackets", "time,Tank\n[hh:mm],[degF]\n10:15,68.5\n10:16,68.6\n", true, 2, 0, 0, 0,
     0, "Tank", "degF"},
    {"units and kinds of value",
     "time,Tank,Air\n,degC,degC\n,Avg,Smp\n10:15,18.5,20\n10:16,18.6,20\n", true, 2, 0, 0, 0, 0,
     "Tank", "degC"},
    {"kinds of value alone", "time,Tank,Air\n,Avg,Max\n10:15,18.5,20\n10:16,18.6,20\n", true, 2, 0,
     0, 0, 0, "Tank", ""},
    {"a head again", "time,Tank\n10:15,18.5\ntime,Tank\n10:16,18.6\n", true, 2, 0, 1, 0, 0, "Tank",
     ""},
    {"a remark in the middle", "time,Tank\n10:15,18.5\nlid off\n10:16,18.6\n", true, 2, 0, 0, 1, 3,
     "Tank", ""},
    {"two remarks", "time,Tank\n10:15,18.5\nlid off\n10:16,18.6\nlid on\n", true, 2, 0, 0, 2, 3,
     "Tank", ""},
    {"groups above doubled names", "time,Inlet,Outlet\n,Temp,Temp\n10:15,18.5,23\n10:16,18.6,23\n",
     true, 2, 0, 0, 0, 0, "Inlet Temp", ""},
    {"units in every cell", "time,Tank\n10:15,18.5 C\n10:16,18.6 C\n", true, 2, 0, 0, 0, 0, "Tank",
     "degC"},
    {"units beside the cells", "time,Tank,u,Air\n10:15,18.5,degC,20\n10:16,18.6,degC,20\n", true, 2,
     0, 0, 0, 0, "Tank", "degC"},
    {"other units beside", "time,Tank,u,Air\n10:15,18.5,degC,20\n10:16,68.6,degF,20\n", true, 2, 0,
     0, 0, 0, "Tank", ""},
};

START_TEST(heads_and_rows)
{
    const char *what = tables[_i].what;
    ck_assert_msg(reads(tables[_i].text) == NR_OK, "%s: %s", what, err.text);
    ck_assert_msg(t.headed == tables[_i].headed, "%s: headed %d", what, t.headed);
    ck_assert_msg(t.rows == tables[_i].rows, "%s: %zu rows", what, t.rows);
    ck_assert_msg(t.before == tables[_i].before && t.repeated == tables[_i].repeated &&
                      t.strange == tables[_i].strange,
                  "%s: %zu before, %zu again, %zu strange", what, t.before, t.repeated, t.strange);
    ck_assert_msg(t.first_strange == tables[_i].first_strange, "%s: line %ld", what,
                  t.first_strange);
    ck_assert_msg(strcmp(t.column[1].head, tables[_i].head1) == 0, "%s: \"%s\"", what,
                  t.column[1].head);
    const nr_stated_unit *u = &t.column[1].unit;
    ck_assert_msg(strcmp(u->measure == NR_MEASURE_UNIT ? u->unit->name : "", tables[_i].unit1) == 0,
                  "%s: in %s", what, u->word);
    ck_assert(t.column[1].numbers == 2 && t.column[1].filled == 2 && t.column[0].moments == 2);
    nr_table_free(&t);
}
END_TEST

/* --- decimal signs -----------------------------------------------------------------------------
 */

START_TEST(decimal_signs)
{
    static const struct {
        const char *text;
        double second; /* of the first row */
    } of[] = {{"t;x\n10:15;1,5\n10:16;2,5\n", 1.5},
              {"t;x\n10:15;1.5\n10:16;2.5\n", 1.5},
              {"t;x\n10:15;1.234,5\n10:16;2.234,5\n", 1234.5},
              {"t;x\n10:15;1,234.5\n10:16;2,234.5\n", 1234.5},
              {"t;x\n10:15;1,234\n10:16;2,345\n", 1.234}, /* three figures, no whole number */
              {"t;x\n10:15;1,234\n10:16;900\n", 1234},    /* beside a whole one: thousands */
              {"t;x\n10:15;1.234\n10:16;2.345\n", 1.234},
              {"t;x\n10:15;1.234\n10:16;900\n", 1234},
              {"t;x\n10:15;12\n10:16;13\n", 12},
              {"Ora;x\n10.15;1,5\n10.16;2,5\n", 1.5}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double v = NAN;
        ck_assert_msg(reads(of[i].text) == NR_OK, "%s%s", of[i].text, err.text);
        ck_assert_msg(nr_table_number(&t, 0, 1, &v), "%s", of[i].text);
        NEAR_AT(of[i].text, v, of[i].second, 1e-9);
        nr_table_free(&t);
    }
    /* Ten to one is a slip, less is asked about. */
    char text[400] = "t;x\n10:15;1,5\n";
    for (int r = 0; r < 9; r++) {
        size_t used = strlen(text);
        (void)snprintf(text + used, sizeof text - used, "10:%d;2.%d\n", 16 + r, 1 + r % 9);
    }
    ck_assert(reads(text) == NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "a decimal point (9) and with a decimal comma (1)"));
    nr_table_free(&t);
    strcat(text, "10:25;2.5\n");
    ck_assert(reads(text) == NR_OK && t.decimal == '.');
    nr_table_free(&t);
}
END_TEST

START_TEST(columns_by_name_and_number)
{
    size_t c = 99;
    char name[NR_HEAD];
    ck_assert(reads("time,Tank (C),Air,Air\n10:15,18.5,20,21\n10:16,18.6,20,21\n") == NR_OK);
    ck_assert(nr_table_find(&t, "Tank (C)", &c) == 1 && c == 1);
    ck_assert(nr_table_find(&t, "tank", &c) == 1 && c == 1); /* without its unit, small */
    ck_assert(nr_table_find(&t, "AIR", &c) == 2 && c == 2);
    ck_assert(nr_table_find(&t, "4", &c) == 1 && c == 3);
    ck_assert(nr_table_find(&t, "1", &c) == 1 && c == 0);
    ck_assert(nr_table_find(&t, "5", &c) == 0 && nr_table_find(&t, "0", &c) == 0);
    ck_assert(nr_table_find(&t, "", &c) == 0);
    nr_table_name(&t, 1, name, sizeof name);
    ck_assert_str_eq(name, "Tank (C)");
    ck_assert(nr_table_line(&t, 0) == 2 && nr_table_line(&t, 1) == 3);
    nr_table_free(&t);
    ck_assert(reads("10:15,18.5\n10:16,18.6\n") == NR_OK);
    nr_table_name(&t, 1, name, sizeof name);
    ck_assert_str_eq(name, "column 2");
    nr_table_free(&t);
    ck_assert(reads("a,b\nc,d\n") == NR_BAD);
    nr_table_free(&t);
}
END_TEST

START_TEST(ascending)
{
    const double x[] = {1, 2, 2, -INFINITY};
    ck_assert(nr_ascending(&x[0], &x[1]) < 0 && nr_ascending(&x[1], &x[0]) > 0);
    ck_assert(nr_ascending(&x[1], &x[2]) == 0 && nr_ascending(&x[3], &x[0]) < 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("table");
    tcase_add_loop_test(case_of(suite, "heads_and_rows"), heads_and_rows, 0,
                        (int)(sizeof tables / sizeof *tables));
    tcase_add_test(case_of(suite, "decimal_signs"), decimal_signs);
    tcase_add_test(case_of(suite, "columns_by_name_and_number"), columns_by_name_and_number);
    tcase_add_test(case_of(suite, "ascending"), ascending);
    return run_suite(suite);
}
