/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `compare` makes builds of: how many it takes together, which runs are of one, before and
 * after a note; and its answer beside that of the same question put to the room behind it. */
#include "analyze/compare/compare.h"
#include "tests/unit/noonfit/asked.h"

/* main.c's table, for `check`. */
const nr_command *nr_noonfit_command(const char *name);
const nr_command *nr_noonfit_command(const char *name)
{
    (void)name;
    return NULL;
}

#define RIG(name)                                                                                  \
    "[collector]\nname = " name "\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"                  \
    "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"

/* Two rows of a collector of this name. */
static void tiny(const char *name, const char *collector)
{
    char path[60], rig[400];
    scratch_folder(name);
    snprintf(path, sizeof path, "%s/readings.csv", name);
    scratch_file(path, "time_utc,elapsed_s,store_degC,air_degC\n"
                       "2026-05-04T10:00:00.000Z,0.000,20.00,20.00\n"
                       "2026-05-04T10:01:00.000Z,60.000,20.10,20.00\n");
    snprintf(path, sizeof path, "%s/rig.ini", name);
    snprintf(rig, sizeof rig, RIG("%s"), collector);
    scratch_file(path, rig);
}

/* The same with two collectors, "left" and "right". */
static void tiny_pair(const char *name)
{
    char path[60];
    scratch_folder(name);
    snprintf(path, sizeof path, "%s/readings.csv", name);
    scratch_file(path, "time_utc,elapsed_s,a_degC,b_degC\n"
                       "2026-05-04T10:00:00.000Z,0.000,20.00,20.00\n"
                       "2026-05-04T10:01:00.000Z,60.000,20.10,20.00\n");
    snprintf(path, sizeof path, "%s/rig.ini", name);
    scratch_file(path, "[collector left]\ngross_area_m2 = 1\n[store left]\nwater_kg = 40\n"
                       "[collector right]\ngross_area_m2 = 1\n[store right]\nwater_kg = 40\n"
                       "[channel a]\nunit = degC\nrole = store\nof = left\n"
                       "[channel b]\nunit = degC\nrole = store\nof = right\n");
}

/* So many words of one run each behind these; a question that is refused only once all are opened.
 */
static nr_code compare(size_t more, const char *first, const char *second)
{
    char names[30][80], *argv[40] = {(char *)"compare"}, bad[] = "--from=50C", to[] = "--to=40C";
    int argc = 1;
    argv[argc++] = bad;
    argv[argc++] = to;
    for (int i = 0; i < 2; i++) {
        const char *word = i ? second : first;
        if (word)
            argv[argc++] = strcpy(names[i], word);
    }
    for (size_t i = 0; i < more; i++) {
        snprintf(names[2 + i], sizeof names[0], "r%zu", i);
        argv[argc++] = names[2 + i];
    }
    err = (nr_err){.text = ""};
    return nr_cmd_compare.run(argc, argv, &err);
}

#define REFUSED(words, ...)                                                                        \
    do {                                                                                           \
        ck_assert_int_eq(compare(__VA_ARGS__), NR_BAD);                                            \
        SAYS(err.text, words);                                                                     \
    } while (0)
#define ALL_TAKEN "--to must be above --from"

START_TEST(builds_taken_together)
{
    ck_assert_int_eq(chdir(scratch), 0);
    for (int i = 0; i < 26; i++) {
        char name[20];
        snprintf(name, sizeof name, "r%d", i);
        tiny(name, i == 25 ? "left" : name);
    }
    tiny_pair("both");
    tiny("again", "left");
    REFUSED("one build; name another", 1, NULL, NULL);
    REFUSED("one build; name another", 0, "r0,r1", NULL);
    REFUSED(ALL_TAKEN, 2, NULL, NULL);
    REFUSED(ALL_TAKEN, 0, "both", NULL);
    REFUSED(ALL_TAKEN, 24, NULL, NULL);
    REFUSED("at most 24 builds", 25, NULL, NULL);
    REFUSED(ALL_TAKEN, 22, "both", NULL);
    REFUSED("at most 24 builds", 23, "both", NULL);
    /* A run of the name of one of a record's collectors is of that; of its own where no such record
     * came before. */
    REFUSED(ALL_TAKEN, 22, "both", "again");
    REFUSED("at most 24 builds", 22, "again", "both");
    REFUSED("at most 24 builds", 22, "both", "r24");
    REFUSED(ALL_TAKEN, 22, "both", "again,r25"); /* both are of that name */
    REFUSED(ALL_TAKEN, 23, "again,r25", NULL);
    REFUSED("is named for two builds", 2, "r0", NULL);
    REFUSED("is named twice", 2, "r5,r5", NULL);
}
END_TEST

START_TEST(before_and_after)
{
    const char *run = sample("wash-stand-glazed");
    ENDS(NR_OK, &nr_cmd_compare, "", run, "--change", "pane", "--csv", "--anyway");
    SAYS(said.out, "\nbefore,,eta0,");
    SAYS(said.out, "\n\"after: pane wiped\",,eta0,");
    SAYS(said.out, "\"after: pane wiped\",before,eta0,");
    ENDS(NR_BAD, &nr_cmd_compare, "", run, "--change", "nothing of it");
    SAYS(said.err.text, "no notes have the words");
    ENDS(NR_BAD, &nr_cmd_compare, "", run, sample("wash-stand-bare"), "--change", "pane");
    SAYS(said.err.text, "--change wants one record with one collector");
}
END_TEST

START_TEST(compared_as_asked)
{
    nr_fit_options options = nr_fit_defaults();
    nr_reference_day d = {700, 18, NAN, 25, 12, 35, false};
    nr_compare *c = NULL;
    ENDS(NR_OK, &nr_cmd_compare, "", sample("wash-stand-side-by-side"), PART, "--json", "--sun=700",
         "--air=18C", "--from=12C", "--to=35C", "--water=25", "--store-only", "--anyway");
    const nr_run *const *of = opened("wash-stand-side-by-side"), *const * groups[] = {of, of + 1};
    static const size_t counts[] = {1, 1};
    options.use_loop = false;
    DUE_BEGINS;
    ck_assert_int_eq(nr_compare_builds(groups, counts, 2, &d, &options, &c, &err), NR_OK);
    ck_assert_int_eq(nr_json_compare(to, c, &err), NR_OK);
    DUE_ENDS;
    nr_compare_free(c);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {builds_taken_together, before_and_after, compared_as_asked, NULL};
    return run_tests_in("builds asked", tests, set_up, scratch_remove);
}
