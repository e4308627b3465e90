/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which folders are records and in which order they are listed, what is said of one that cannot be
 * read, how deep a search goes; what a record says, against the same answer asked for by itself. */
#include "analyze/cooldown/cooldown.h"
#include "analyze/listing/listing.h"
#include "tests/unit/near.h"
#include "tests/unit/one_run.h"

#include <sys/stat.h>
#include <unistd.h>

static char top[64];
static nr_err err;

static void set_up(void)
{
    snprintf(top, sizeof top, "/tmp/test_listing.XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
}

static void tear_down(void)
{
    char command[200];
    snprintf(command, sizeof command, "rm -r '%s'", top);
    ck_assert_int_eq(system(command), 0);
}

static const char *in_top(const char *name)
{
    static char path[4][1000];
    static int turn;
    turn = (turn + 1) % 4;
    snprintf(path[turn], sizeof path[turn], "%s%s%s", top, name[0] ? "/" : "", name);
    return path[turn];
}

/* A folder and those above it, and a file in it. */
static void put(const char *folder, const char *file, const char *text)
{
    char path[1000];
    snprintf(path, sizeof path, "%s", in_top(folder));
    for (char *p = path + strlen(top) + 1; *p; p++)
        if (*p == '/') {
            *p = '\0';
            (void)mkdir(path, 0777);
            *p = '/';
        }
    (void)mkdir(path, 0777);
    if (!file)
        return;
    strcat(path, "/");
    strcat(path, file);
    FILE *to = fopen(path, "w");
    ck_assert_ptr_nonnull(to);
    fputs(text, to);
    fclose(to);
}

static nr_listing *list(const char *folder, nr_code expected)
{
    nr_listing *l = NULL;
    err = (nr_err){.text = ""};
    ck_assert_msg(nr_listing_make(&folder, 1, NULL, &l, &err) == expected, "%s", err.text);
    ck_assert((l == NULL) == (expected != NR_OK));
    return l;
}

START_TEST(by_name_and_below)
{
    static const char *const found[] = {"a/one", "a/two", "b", "c/d/e"};
    put("c/d/e", NR_READINGS_FILE, "x\n");
    put("b", NR_ADAPTER_LOG_FILE, "x\n");    /* the adapter's lines alone are a record, too */
    put("b/below", NR_READINGS_FILE, "x\n"); /* of a record nothing below is another */
    put("a/two", NR_READINGS_FILE, "x\n");
    put("a/one", NR_READINGS_FILE, "x\n");
    put("a/three", "rig.ini", "[collector]\n"); /* no record */
    put(".hidden", NR_READINGS_FILE, "x\n");
    put("empty", NULL, NULL);
    ck_assert_int_eq(symlink(in_top("b"), in_top("z-link")), 0);
    nr_listing *l = list(top, NR_OK);
    ck_assert(l->records == 4 && l->broken == 4 && l->count == 4);
    for (size_t i = 0; i < 4; i++) {
        const nr_listed *one = &l->item[i];
        ck_assert_str_eq(one->folder, in_top(found[i]));
        ck_assert(one->grade == NR_LISTED_BROKEN && one->trouble[0] && !one->collector[0]);
        ck_assert(isnan(one->start_utc_s) && isnan(one->duration_s) && !one->eta0.known &&
                  !one->a1.known && !one->store_loss.known);
        ck_assert(one->eta0.unit == NR_UNIT_ONE && one->a1.unit == NR_UNIT_W_M2K &&
                  one->store_loss.unit == NR_UNIT_W_K);
        ck_assert(strstr(one->trouble, top) == NULL); /* files are called as in their folder */
    }
    nr_listing_free(l);
    char slashes[100];
    snprintf(slashes, sizeof slashes, "%s///", in_top("b"));
    l = list(slashes, NR_OK); /* a record itself */
    ck_assert(l->count == 1);
    ck_assert_str_eq(l->item[0].folder, in_top("b"));
    nr_listing_free(l);
    (void)list(in_top("empty"), NR_CANNOT);
    ck_assert_str_eq(err.file, in_top("empty"));
    ck_assert_ptr_nonnull(strstr(err.text, "no record is here or below"));
    (void)list(in_top("nowhere"), NR_BAD);
    ck_assert_str_eq(err.file, in_top("nowhere"));
    const char *both[] = {in_top("a"), in_top("empty"), in_top("c")};
    ck_assert(nr_listing_make(both, 3, NULL, &l, &err) == NR_OK && l->count == 3);
    nr_listing_free(l);
    ck_assert(nr_listing_make(both + 1, 1, NULL, &l, &err) == NR_CANNOT && err.file[0]);
    const char *none[] = {both[1], both[1]}; /* of several none is the one to be named */
    ck_assert(nr_listing_make(none, 2, NULL, &l, &err) == NR_CANNOT && !err.file[0]);
}
END_TEST

static char said[4][200];
static int lines;

static void hear(void *context, const char *line)
{
    (void)context;
    snprintf(said[lines++ % 4], sizeof said[0], "%s", line);
}

/* A line for each record; the rig file's own line where that is what is wrong. */
START_TEST(what_is_said)
{
    nr_sink sink = {hear, NULL};
    nr_listing *l = NULL;
    put("one", NR_READINGS_FILE, "x\n");
    put("one", "rig.ini", "[collector]\nname = Bench\n");
    put("two", NR_READINGS_FILE, "x\n");
    const char *folder = top;
    ck_assert(nr_listing_make(&folder, 1, &sink, &l, &err) == NR_OK);
    char expected[100];
    ck_assert_int_eq(lines, 2);
    snprintf(expected, sizeof expected, "1: %s", in_top("one"));
    ck_assert_str_eq(said[0], expected);
    snprintf(expected, sizeof expected, "2: %s", in_top("two"));
    ck_assert_str_eq(said[1], expected);
    ck_assert_msg(strncmp(l->item[0].trouble, "rig.ini:1: [collector] gross_area_m2", 36) == 0,
                  "%s", l->item[0].trouble);
    ck_assert_msg(strncmp(l->item[1].trouble, "rig.ini: ", 9) == 0, "%s", l->item[1].trouble);
    nr_listing_free(l);
}
END_TEST

/* Twenty-four folders below each other are looked into, and no more; of records there may be many.
 */
START_TEST(deep_and_many)
{
    char path[200] = "d";
    for (int depth = 2; depth <= 24; depth++)
        strcat(path, "/d");
    put(path, NR_READINGS_FILE, "x\n");
    nr_listing *l = list(top, NR_OK);
    ck_assert_uint_eq(l->count, 1);
    nr_listing_free(l);
    char from[300], to[300];
    snprintf(from, sizeof from, "%s/d", top);
    snprintf(to, sizeof to, "%s/e", top);
    ck_assert_int_eq(rename(from, to), 0);
    (void)mkdir(from, 0777);
    strcat(from, "/d");
    ck_assert_int_eq(rename(to, from), 0); /* one deeper */
    (void)list(top, NR_CANNOT);
    for (int i = 0; i < 70; i++) {
        char name[20];
        snprintf(name, sizeof name, "r%02d", i);
        put(name, NR_READINGS_FILE, "x\n");
    }
    l = list(top, NR_OK);
    ck_assert(l->count == 70 && l->broken == 70);
    for (int i = 0; i < 70; i++)
        ck_assert_int_eq(atoi(l->item[i].folder + strlen(top) + 2), i);
    nr_listing_free(l);
}
END_TEST

static bool same(const nr_quantity *a, const nr_quantity *b)
{
    return a->known == b->known && (!a->known || (a->value == b->value && a->u == b->u));
}

START_TEST(what_a_record_says)
{
    char folder[600];
    snprintf(folder, sizeof folder, "%s/../../sample-runs/wash-stand-glazed-cool-down", TEST_DATA);
    nr_listing *l = list(folder, NR_OK);
    ck_assert(l->records == 1 && l->broken == 0 && l->count == 1);
    const nr_listed *one = &l->item[0];
    nr_run *run = NULL;
    nr_cooldown *x = NULL;
    ck_assert(one_run(folder, &run, &err) == NR_OK);
    ck_assert_msg(nr_cooldown_fit(run, &x, &err) == NR_OK, "%s", err.text);
    ck_assert(one->cool_down && one->grade == NR_LISTED_GOOD &&
              same(&one->store_loss, &x->loss_W_K));
    ck_assert(!one->eta0.known && !one->a1.known);
    ck_assert_str_eq(one->collector, run->rig.collector.name);
    NEAR(one->start_utc_s, x->begin_utc_s, 1e-6);
    NEAR(one->duration_s, x->duration_s, 1e-6);
    nr_cooldown_free(x);
    nr_run_free(run);
    nr_listing_free(l);
    static const char *const name[] = {"good", "doubtful", "withheld", "no-answer", "broken"};
    for (int i = 0; i < 5; i++)
        ck_assert_str_eq(nr_listing_grade_name((nr_listing_grade)i), name[i]);
}
END_TEST

START_TEST(what_a_fit_says)
{
    char folder[600];
    snprintf(folder, sizeof folder, "%s/../../sample-runs/wash-stand-bare-store-only", TEST_DATA);
    nr_listing *l = list(folder, NR_OK);
    const nr_listed *one = &l->item[0];
    nr_run *run = NULL;
    nr_fit *fit = NULL;
    nr_fit_options options = nr_fit_defaults();
    ck_assert(one_run(folder, &run, &err) == NR_OK);
    ck_assert(nr_fit_runs((const nr_run *const *)&run, 1, &options, &fit, &err) == NR_OK);
    ck_assert(!one->cool_down && fit->eta0.known);
    ck_assert(one->grade == (fit->trust.count ? NR_LISTED_DOUBTFUL : NR_LISTED_GOOD));
    ck_assert(same(&one->eta0, &fit->eta0) && same(&one->a1, &fit->a1) &&
              same(&one->store_loss, &fit->store_loss) &&
              one->loss_includes_store == fit->loss_includes_store);
    ck_assert_str_eq(one->collector, fit->collector_name);
    nr_fit_free(fit);
    nr_run_free(run);
    nr_listing_free(l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {by_name_and_below,  what_is_said,    deep_and_many,
                                  what_a_record_says, what_a_fit_says, NULL};
    return run_tests_in("listing", tests, set_up, tear_down);
}
