/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A manifest is written and the command repeated: this program stands in for noonfit when it is
 * started as a child, and answers with what the file says that it is given. */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/repeat.h"

#include "tests/unit/command_run.h"

#include <signal.h>

const nr_command *nr_noonfit_command(const char *name)
{
    return !strcmp(name, "fit") ? &nr_cmd_fit : !strcmp(name, "check") ? &nr_cmd_check : NULL;
}

static nr_err err;

/* --- noonfit, for the purpose ----------------------------------------------------------------- */

/* "fit FILE ...": prints the file, and writes it to --plot and to --write. Its first letter: R is
 * refused, N has no answer, D dies. */
static int stand_in(int argc, char **argv)
{
    char text[2000] = "";
    FILE *from = fopen(argv[2], "r");
    if (!from || !fgets(text, sizeof text, from))
        return NR_BAD;
    fclose(from);
    if (text[0] == 'D')
        raise(SIGKILL);
    printf("%sTZ %s, %s\n", text, getenv("TZ") ? getenv("TZ") : "none",
           getenv("SOURCE_DATE_EPOCH") ? "dated" : "undated");
    for (int i = 3; i < argc; i++) {
        const char *to = strncmp(argv[i], "--plot=", 7) == 0    ? argv[i] + 7
                         : strncmp(argv[i], "--write=", 8) == 0 ? argv[i] + 8
                                                                : NULL;
        FILE *out = to && text[0] != 'N' ? fopen(to, argv[i][2] == 'w' ? "a" : "w") : NULL;
        if (out) {
            fprintf(out, "drawn %s", text);
            fclose(out);
            printf("written to %s\n", to);
        }
    }
    return text[0] == 'R' ? NR_BAD : text[0] == 'N' ? NR_CANNOT : NR_OK;
}

/* --- a child ---------------------------------------------------------------------------------- */

static nr_code repeat(const char *text, const nr_manifest_pair *variable, size_t set, char **answer,
                      int *status)
{
    size_t length;
    char command[] = "fit", *arguments[] = {command, scratch_file("in.txt", text), NULL};
    nr_code code = nr_repeat(arguments, 2, variable, set, false, answer, &length, status, &err);
    ck_assert(code || strlen(*answer) == length);
    return code;
}

START_TEST(once_more)
{
    char *answer;
    int status = -1;
    char name[] = "TZ", value[] = "Asia/Tokyo", other[] = "SOURCE_DATE_EPOCH";
    const nr_manifest_pair set[] = {{name, value}, {other, NULL}};
    setenv("SOURCE_DATE_EPOCH", "1", 1);
    ck_assert_int_eq(repeat("value 1\n", set, 2, &answer, &status), NR_OK);
    ck_assert_str_eq(answer, "value 1\nTZ Asia/Tokyo, undated\n");
    ck_assert_int_eq(status, 0);
    free(answer);
    ck_assert_int_eq(repeat("N\n", set, 1, &answer, &status), NR_OK);
    ck_assert_int_eq(status, 1);
    SAYS(answer, ", dated");
    free(answer);
    ck_assert_int_eq(repeat("D\n", set, 0, &answer, &status), NR_BAD);
    SAYS(err.text, "was ended by signal 9");
    free(answer);
}
END_TEST

START_TEST(names_of_texts)
{
    static const char *const texts[] = {"a.html", "a.HTM", "b/c.svg", "x.csv",
                                        "x.json", "x.ini", "x.txt"};
    static const char *const others[] = {"a.png", "a.pdf", ".svg", "svg", "a.svgz", "", "txt"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        ck_assert_msg(nr_manifest_text_name(texts[i]), "%s", texts[i]);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        ck_assert_msg(!nr_manifest_text_name(others[i]), "%s", others[i]);
}
END_TEST

/* --- a manifest ------------------------------------------------------------------------------- */

/* `fit in.txt OPTION... --manifest m`; what it says goes to `said.out`. */
static nr_code write_manifest(const char *text, const char *a, const char *b)
{
    char words[4][300], *argv[5] = {words[0]};
    int argc = 2;
    scratch_file("in.txt", text);
    snprintf(words[0], sizeof words[0], "fit");
    snprintf(words[1], sizeof words[1], "in.txt");
    argv[1] = words[1];
    if (a)
        argv[argc] = strcpy(words[argc], a), argc++;
    if (b)
        argv[argc] = strcpy(words[argc], b), argc++;
    argv[argc] = NULL;
    err = (nr_err){.text = ""};
    int out = command_file(""), before = command_turn(STDOUT_FILENO, out);
    nr_code code = nr_manifest_run(NULL, &nr_cmd_fit, argc, argv, "m", &err);
    command_back(STDOUT_FILENO, before, out, said.out);
    return code;
}

static void set_up(void)
{
    scratch_make();
    ck_assert_int_eq(chdir(scratch), 0);
    setenv("TZ", "UTC", 1);
}

#define CHECK(code, ...) ENDS(code, &nr_cmd_check, "", "m", __VA_ARGS__)

START_TEST(the_same)
{
    ck_assert_msg(write_manifest("eta 0.61 a1 7\n", "--plot=p.svg", "--seed=7") == NR_OK, "%s",
                  err.text);
    SAYS(said.out, "eta 0.61 a1 7\nTZ UTC, dated\nwritten to p.svg\n");
    SAYS(scratch_read("m"), "\"seed\": 7");
    SAYS(scratch_read("m"), "\"path\": \"in.txt\"");
    unlink(in_scratch("p.svg"));
    CHECK(NR_OK, NULL);
    ck_assert_str_eq(said.out,
                     "The same: all 4 numbers, 1 of 1 files read, 1 of 1 files written.\n");
    ck_assert_int_ne(access(in_scratch("p.svg"), F_OK), 0); /* nothing is written */
    CHECK(NR_OK, "--json");
    SAYS(said.out, "\"same\": true");
    SAYS(said.out, "\"numbers\": 4");
    SAYS(said.out, "\"different\": 0");
    SAYS(said.out, "\"differences\": []");
    scratch_folder("elsewhere");
    CHECK(NR_BAD, "--in", in_scratch("elsewhere")); /* there is no in.txt */
    SAYS(said.err.text, "cannot be repeated");
}
END_TEST

START_TEST(another_number)
{
    ck_assert_int_eq(write_manifest("eta 0.61 a1 7\n", "--plot=p.svg", NULL), NR_OK);
    SAYS(scratch_read("m"), "\"seed\": null");
    scratch_file("in.txt", "eta 0.62 a1 7\n");
    CHECK(NR_CANNOT, NULL);
    SAYS(said.out, "Not the same: 2 of 4 numbers differ; changed are 1 of 1 files read and 1 of 1 "
                   "written.\n");
    SAYS(said.out, "in.txt: what was read is changed");
    SAYS(said.out, "p.svg: what was written is changed");
    SAYS(said.out, "line 1: eta");
    SAYS(said.out, "it was 0.61, now 0.62");
    CHECK(NR_CANNOT, "--json");
    SAYS(said.out, "\"same\": false");
    SAYS(said.out, "\"words_differ\": false");
    SAYS(said.out, "\"was\": \"0.61\"");
    SAYS(said.out, "\"state\": \"changed\"");
    scratch_file("in.txt", "eta is 0.61\n");
    CHECK(NR_CANNOT, NULL);
    SAYS(said.out, ", and words;");
    SAYS(said.out, "from here the words differ: was");
}
END_TEST

/* More differences than are shown. */
START_TEST(many_numbers)
{
    char was[400] = "", now[400] = "";
    for (int i = 0; i < 25; i++) {
        snprintf(was + strlen(was), sizeof was - strlen(was), " %d", 100 + i);
        snprintf(now + strlen(now), sizeof now - strlen(now), " %d", 200 + i);
    }
    ck_assert_int_eq(write_manifest(was, NULL, NULL), NR_OK);
    scratch_file("in.txt", now);
    CHECK(NR_CANNOT, NULL);
    SAYS(said.out, "25 of 25 numbers differ;");
    SAYS(said.out, "  and 5 more\n");
}
END_TEST

START_TEST(another_status)
{
    ck_assert_int_eq(write_manifest("N none\n", "--plot=p.svg", NULL), NR_CANNOT);
    SAYS(scratch_read("m"), "\"exit_status\": 1");
    SAYS(scratch_read("m"), "\"outputs\": []");
    CHECK(NR_OK, NULL);
    scratch_file("in.txt", "X none\n");
    CHECK(NR_CANNOT, NULL);
    SAYS(said.out, "Its exit status was 1, now 0.");
    scratch_file("in.txt", "R none\n");
    CHECK(NR_BAD, NULL);
    SAYS(said.err.text, "cannot be repeated");
}
END_TEST

/* What is no question has no manifest. */
START_TEST(refused)
{
    ck_assert_int_eq(write_manifest("R bad\n", NULL, NULL), NR_BAD);
    ck_assert_int_ne(access(in_scratch("m"), F_OK), 0);
    ck_assert_str_eq(err.text, ""); /* the child has said it */
}
END_TEST

/* A file that is changed in place is kept as it was, and the repeat begins with that. */
START_TEST(changed_in_place)
{
    scratch_file("rig.ini", "[store]\n");
    ck_assert_int_eq(write_manifest("loss 2\n", "--write=rig.ini", NULL), NR_OK);
    ck_assert_str_eq(scratch_read("rig.ini"), "[store]\ndrawn loss 2\n");
    SAYS(scratch_read("m"), "\"before\": \"[store]\\n\"");
    CHECK(NR_OK, NULL);
    ck_assert_str_eq(scratch_read("rig.ini"), "[store]\ndrawn loss 2\n");
    FILE *raw = fopen(in_scratch("rig.ini"), "w");
    fwrite("a\0b", 1, 3, raw);
    fclose(raw);
    ck_assert_int_eq(write_manifest("loss 2\n", "--write=rig.ini", NULL), NR_BAD);
    SAYS(err.text, "is no text that a manifest could keep");
}
END_TEST

START_TEST(seen_from_elsewhere)
{
    ck_assert_int_eq(write_manifest("eta 0.61\n", NULL, NULL), NR_OK);
    ck_assert_int_eq(chdir("/"), 0);
    ENDS(NR_OK, &nr_cmd_check, "", in_scratch("m"));
    static char gone[100], text[COMMAND_SAID];
    snprintf(text, sizeof text, "%s", scratch_read("m"));
    char *at = strstr(text, "\"program\": \"noonfit\"");
    ck_assert_ptr_nonnull(at);
    memcpy(at, "\"program\": \"noonfat\"", strlen("\"program\": \"noonfat\""));
    ENDS(NR_BAD, &nr_cmd_check, "", scratch_file("m2", text));
    SAYS(said.err.text, "is of no command that this program could repeat");
    snprintf(gone, sizeof gone, "%s/none", scratch);
    ENDS(NR_BAD, &nr_cmd_check, "", in_scratch("m"), "--in", gone);
    SAYS(said.err.text, "--in FOLDER");
}
END_TEST

START_TEST(of_no_command)
{
    ck_assert_int_eq(write_manifest("eta 0.61\n", NULL, NULL), NR_OK);
    static char text[COMMAND_SAID];
    snprintf(text, sizeof text, "%s", scratch_read("m"));
    char *at = strstr(text, "\"fit\"");
    ck_assert_ptr_nonnull(at);
    memcpy(at, "\"fat\"", 5);
    ENDS(NR_BAD, &nr_cmd_check, "", scratch_file("m2", text));
    SAYS(said.err.text, "is of no command");
}
END_TEST

int main(int argc, char **argv)
{
    if (argc > 2 && !strcmp(argv[1], "fit"))
        return stand_in(argc, argv);
    const TTest *const tests[] = {once_more,           names_of_texts, the_same, another_number,
                                  many_numbers,        another_status, refused,  changed_in_place,
                                  seen_from_elsewhere, of_no_command,  NULL};
    return run_tests_in("manifests repeated", tests, set_up, scratch_remove);
}
