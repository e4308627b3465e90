/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two collectors in one table, by the words of its heads; and what looks like two and is one. */
#include "logger/import/owners.h"

#include "logger/import/match.h"
#include "tests/unit/import/tables.h"

#include <check.h>

/* A head; whose its columns behind the time are: "left", "-" nobody's. */
static const struct {
    const char *head, *whose;
} tables[] = {
    {"Time,Tank left (C),Tank right (C),Outlet left (C),Outlet right (C),Air (C),Sun (W/m2)",
     "left right left right - -"},
    {"Zeit,Speicher links,Eintritt links,Speicher rechts,Eintritt rechts,Luft",
     "links links rechts rechts -"},
    {"t,store_oak,store_pine,flow_oak,flow_pine,air", "oak pine oak pine -"},
    {"Time,Tank 1 (C),Tank 2 (C),Outlet 1 (C),Outlet 2 (C),Air (C)",
     "build-1 build-2 build-1 build-2 -"},
    {"Time,Tank A (C),Tank B (C),Pump A (W),Air (C)", "a b a -"},
    {"Time,North shed tank temp (C),South shed tank temp (C),Sun (W/m2)",
     "north-shed south-shed -"},
    /* a section's name has 39 letters at most: these are 39, and one more */
    {"Time,Tank upperterracebehindthehouse southwalltop (C),Tank left (C),Air (C)",
     "upperterracebehindthehouse-southwalltop left -"},
    {"Time,Tank upperterracebehindthehouse southwalltops (C),Tank left (C),Air (C)",
     "upperterracebehindthehouse-southwalltop left -"},
    /* one inlet of somebody: the collectors have names all the same */
    {"Time,Tank left (C),Tank right (C),Inlet (C),Air (C)", "left right - -"},
    /* one container, two heights; two numbered probes beside one outlet; one container of two
     * collectors, which nothing can be told of; two of one name; one */
    {"Time,Tank top (C),Tank bottom (C),Outlet (C),Air (C)", "- - - -"},
    {"Time,Tank 1 (C),Tank 2 (C),Outlet (C),Air (C)", "- - - -"},
    {"Time,Tank (C),Outlet left (C),Outlet right (C),Air (C)", "- - - -"},
    {"Time,Tank left (C),Tank left (C),Tank right (C)", "- - -"},
    {"Time,Tank left (C),Outlet left (C),Air (C)", "- - -"},
    {"Time,Tank probe (C),Tank temp (C),Air (C)", "- - -"},
};

START_TEST(whose_by_the_head)
{
    looked l;
    char text[600], said[300] = "";
    const char *role[16];
    nr_owners owners;
    size_t columns = 1;
    for (const char *p = tables[_i].head; *p; p++)
        columns += *p == ',';
    ck_assert_uint_le(columns, 16);
    size_t used = (size_t)snprintf(text, sizeof text, "%s\n", tables[_i].head);
    for (int row = 0; row < 3; row++) {
        used += (size_t)snprintf(text + used, sizeof text - used, "2026-05-16 10:0%d", row);
        for (size_t c = 1; c < columns; c++)
            used += (size_t)snprintf(text + used, sizeof text - used, ",%zu", 20 + c);
        used += (size_t)snprintf(text + used, sizeof text - used, "\n");
    }
    read_table(&l, text);
    ck_assert_uint_eq(l.table.columns, columns);
    role[0] = NULL;
    for (size_t c = 1; c < columns; c++)
        role[c] = nr_match_role(&l.table.column[c]);
    nr_owners_find(l.table.column, role, columns, &owners);
    for (size_t c = 1; c < columns; c++) {
        size_t of = nr_owners_of(&owners, &l.table.column[c], role[c]), n = strlen(said);
        snprintf(said + n, sizeof said - n, "%s%s", c > 1 ? " " : "",
                 of > 0 ? owners.build[of - 1] : "-");
    }
    ck_assert_msg(strcmp(said, tables[_i].whose) == 0, "%s: %s, not %s", tables[_i].head, said,
                  tables[_i].whose);
    forget(&l);
}
END_TEST

/* Nine are one too many for a rig file: then none is told apart. */
START_TEST(at_most_eight)
{
    looked l;
    char text[600] = "Time", row[200] = "\n2026-05-16 10:00";
    const char *role[NR_RIG_BUILDS + 2] = {NULL};
    nr_owners owners;
    for (size_t c = 1; c <= NR_RIG_BUILDS + 1; c++) {
        size_t n = strlen(text), m = strlen(row);
        snprintf(text + n, sizeof text - n, ",Tank %zu (C)", c);
        snprintf(row + m, sizeof row - m, ",%zu", 20 + c);
        role[c] = "store";
    }
    strcat(text, row);
    read_table(&l, text);
    nr_owners_find(l.table.column, role, NR_RIG_BUILDS + 2, &owners);
    ck_assert_uint_eq(owners.builds, 0);
    nr_owners_find(l.table.column, role, NR_RIG_BUILDS + 1, &owners);
    ck_assert_uint_eq(owners.builds, NR_RIG_BUILDS);
    forget(&l);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("owners");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, whose_by_the_head, 0, (int)(sizeof tables / sizeof *tables));
    tcase_add_test(all, at_most_eight);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
