/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Commands and options as tables: what is read, what is refused and in which words, help of eighty
 * columns, completion and synopsis from the same rows. */
#include "logger/command/command.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct inner {
    double water_kg;
} inner;

typedef struct arguments {
    bool json, loop;
    const char *plot;
    nr_texts map;
    int units;
    long seed;
    double share, for_s;
    inner use;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_HEADING, .name = "What is shown:"},
    {.kind = NR_OPTION_ON, .name = "json", .offset = offsetof(arguments, json), .help = "as JSON"},
    {.kind = NR_OPTION_OFF,
     .name = "store-only",
     .offset = offsetof(arguments, loop),
     .help = "ignore inlet, outlet and flow, and say so in words that go on for so long that one "
             "line of eighty columns cannot hold them"},
    {.kind = NR_OPTION_TEXT,
     .name = "plot",
     .value = "FILE",
     .offset = offsetof(arguments, plot),
     .help = "a picture",
     .letter = 'p'},
    {.kind = NR_OPTION_TEXTS,
     .name = "map",
     .value = "COLUMN=CHANNEL",
     .offset = offsetof(arguments, map),
     .help = "which is which"},
    {.kind = NR_OPTION_CHOICE,
     .name = "units",
     .value = "si|us",
     .offset = offsetof(arguments, units),
     .help = "units shown"},
    {.kind = NR_OPTION_WHOLE,
     .name = "seed",
     .value = "S",
     .offset = offsetof(arguments, seed),
     .help = "of chance",
     .low = 1,
     .high = 9},
    {.kind = NR_OPTION_NUMBER,
     .name = "share",
     .value = "X",
     .offset = offsetof(arguments, share),
     .help = "a share",
     .low = 0,
     .high = 1},
    {.kind = NR_OPTION_DURATION,
     .name = "for",
     .value = "D",
     .offset = offsetof(arguments, for_s),
     .help = "how long",
     .low = 60,
     .high = 7200},
    {.kind = NR_OPTION_END}};

static const nr_option shared[] = {{.kind = NR_OPTION_QUANTITY,
                                    .name = "water",
                                    .value = "KG",
                                    .offset = offsetof(inner, water_kg),
                                    .help = "other water",
                                    .low = 1,
                                    .high = 100,
                                    .unit = "kg"},
                                   {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {shared, offsetof(arguments, use)}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err)
{
    (void)argc;
    (void)argv;
    return nr_fail(err, NR_CANNOT, NULL, 0, "not today");
}

static const nr_command weigh = {.program = "scales",
                                 .name = "weigh",
                                 .arguments = "RUN [RUN ...]",
                                 .summary = "weighs",
                                 .about = "Weighs one thing.\n\nThen another.",
                                 .groups = groups,
                                 .least = 1,
                                 .most = 2,
                                 .wants = "name one or two runs",
                                 .word = {NR_WORD_RUN, NR_WORD_RIG},
                                 .examples = "  scales weigh today\n",
                                 .run = run};

static const nr_command *const commands[] = {&weigh};
static const nr_program scales = {.name = "scales",
                                  .purpose = "weighs",
                                  .epilogue = "Mind the step.",
                                  .command = commands,
                                  .commands = 1};

#define READ(arguments_, ...) read_words(arguments_, (char *[]){"weigh", __VA_ARGS__, NULL})

static nr_words words;
static nr_err err;

static nr_code read_words(arguments *a, char **argv)
{
    static char *kept[40]; /* the words point into it afterwards */
    int argc = 0;
    for (; argv[argc] && argc < 39; argc++)
        kept[argc] = argv[argc];
    kept[argc] = NULL;
    *a = (arguments){.loop = true, .seed = 5, .share = NAN, .for_s = NAN, .use = {NAN}};
    return nr_command_read(&weigh, argc, kept, a, &words, &err);
}

START_TEST(every_kind_is_read)
{
    arguments a;
    ck_assert_int_eq(READ(&a, "--json", "today", "--store-only", "-p", "x.png", "--map", "a=b",
                          "--map=c=d", "--units", "us", "--seed", "9", "--share", "0.25", "--for",
                          "1h30m", "--water", "2gal", "rig.ini"),
                     NR_OK);
    ck_assert(a.json && !a.loop);
    ck_assert_str_eq(a.plot, "x.png");
    ck_assert_uint_eq(a.map.count, 2);
    ck_assert_str_eq(a.map.text[1], "c=d");
    ck_assert_int_eq(a.units, 2);
    ck_assert_int_eq(a.seed, 9);
    ck_assert_double_eq(a.share, 0.25);
    ck_assert_double_eq(a.for_s, 5400);
    /* 2 US gallons of 3.785411784 L (NIST SP 811) of water at 20 degC, 0.9982 kg/L */
    ck_assert_double_eq_tol(a.use.water_kg, 2 * 3.785411784 * 0.9982, 1e-3);
    ck_assert_uint_eq(words.count, 2);
    ck_assert_str_eq(words.word[1], "rig.ini");
    ck_assert_int_eq(READ(&a, "today"), NR_OK);
    ck_assert(!a.json && a.loop && !a.plot && a.units == 0 && a.seed == 5 && isnan(a.share));
    ck_assert_int_eq(READ(&a, "--", "--json"), NR_OK);
    ck_assert_str_eq(words.word[0], "--json");
}
END_TEST

static void refused(const char *part)
{
    ck_assert_msg(strstr(err.text, part) != NULL, "\"%s\" is not in \"%s\"", part, err.text);
    ck_assert_msg(strstr(err.text, "see `scales weigh --help`") != NULL, "%s", err.text);
}

START_TEST(what_is_wrong_and_what_would_be_right)
{
    arguments a;
    ck_assert_int_eq(READ(&a, "--josn", "today"), NR_BAD);
    refused("unknown option \"--josn\"");
    ck_assert_int_eq(READ(&a, "today", "--plot"), NR_BAD);
    refused("no value after \"--plot\"");
    ck_assert_int_eq(READ(&a, "today", "--units", "metric"), NR_BAD);
    refused("--units metric: give si or us");
    ck_assert_int_eq(READ(&a, "today", "--units", "s"), NR_BAD);
    ck_assert_int_eq(READ(&a, "today", "--seed", "10"), NR_BAD);
    refused("--seed 10: give a whole number from 1 to 9");
    ck_assert_int_eq(READ(&a, "today", "--share", "1.01"), NR_BAD);
    refused("a number from 0 to 1");
    ck_assert_int_eq(READ(&a, "today", "--share", "nan"), NR_BAD);
    ck_assert_int_eq(READ(&a, "today", "--for", "59s"), NR_BAD);
    refused("a duration such as 90s, 45m or 1h30m, from 1m to 2h");
    ck_assert_int_eq(READ(&a, "today", "--for", "2h"), NR_OK);
    ck_assert_int_eq(READ(&a, "today", "--water", "5mph"), NR_BAD);
    refused("1 to 100 kg");
    ck_assert_int_eq(READ(&a, "--json"), NR_BAD);
    refused("name one or two runs");
    ck_assert_int_eq(READ(&a, "a", "b", "c"), NR_BAD);
    refused("name one or two runs");
}
END_TEST

/* Limits as a person would write them: in the largest unit that leaves a whole number. */
START_TEST(limits_in_words)
{
    static const struct {
        double low, high;
        const char *words;
    } limits[] = {{59, 61, "from 59s to 61s"},         {60, 5400, "from 1m to 90m"},
                  {3600, 86400, "from 1h to 1d"},      {7200, 172800, "from 2h to 2d"},
                  {90000, 86460, "from 25h to 1441m"}, {3599, 3601, "from 3599s to 3601s"}};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        nr_option option[] = {own[sizeof own / sizeof *own - 2], {.kind = NR_OPTION_END}};
        const nr_option_group group[] = {{option, 0}, {NULL, 0}};
        ck_assert_str_eq(option[0].name, "for");
        option[0].low = limits[i].low;
        option[0].high = limits[i].high;
        nr_command command = weigh;
        command.groups = group;
        arguments a;
        char *argv[] = {"weigh", "today", "--for", "1s", NULL};
        ck_assert_int_eq(nr_command_read(&command, 4, argv, &a, &words, &err), NR_BAD);
        refused(limits[i].words);
    }
}
END_TEST

START_TEST(temperatures_in_the_units_shown)
{
    double T = NAN;
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", NULL, false, 0, 100, &T, &err), NR_OK);
    ck_assert(isnan(T));
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "110F", false, 0, 100, &T, &err), NR_OK);
    ck_assert_double_eq_tol(T, (110 - 32) / 1.8, 1e-9);
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "110", true, 0, 100, &T, &err), NR_OK);
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "110", false, 0, 100, &T, &err), NR_BAD);
    refused("--to 110 was read as degC; write 110F");
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "5", true, 0, 100, &T, &err), NR_BAD);
    refused("--to 5 was read as degF; write 5C");
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "300C", false, 0, 100, &T, &err), NR_BAD);
    refused("from 0C to 100C");
    ck_assert_int_eq(nr_temperature_option(&weigh, "to", "warm", false, 0, 100, &T, &err), NR_BAD);
    refused("such as 43C or 110F");
}
END_TEST

/* What a call writes. Free it. */
static char *written(void (*write)(FILE *to))
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    write(to);
    fclose(to);
    return text;
}

static void write_help(FILE *to)
{
    nr_command_help(to, &scales, &weigh);
}

static void write_completion(FILE *to)
{
    nr_command_complete(to, &scales, &weigh);
}

static void write_synopsis(FILE *to)
{
    nr_command_synopsis(to, &scales);
}

START_TEST(help_fits_the_terminal)
{
    char *text = written(write_help), *rest = text, *line;
    ck_assert_ptr_nonnull(strstr(text, "Usage: scales weigh RUN [RUN ...] [options]\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nWeighs one thing.\n\nThen another.\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nWhat is shown:\n"));
    ck_assert_ptr_nonnull(strstr(text, "  -p, --plot FILE     a picture\n"));
    ck_assert_ptr_nonnull(strstr(text, "  --map COLUMN=CHANNEL\n                      which"));
    while ((line = strsep(&rest, "\n")) != NULL)
        ck_assert_msg(strlen(line) <= 80, "%s", line);
    free(text);
}
END_TEST

START_TEST(completion_and_synopsis_come_from_the_rows)
{
    char *text = written(write_completion);
    ck_assert_ptr_nonnull(strstr(text, "<1> run\n<2> rig\n"));
    ck_assert_ptr_nonnull(strstr(text, "--units si|us\n"));
    ck_assert_ptr_nonnull(strstr(text, "-p FILE\n"));
    ck_assert_ptr_nonnull(strstr(text, "--water KG\n"));
    ck_assert_ptr_null(strstr(text, "What is shown"));
    free(text);
    text = written(write_synopsis);
    ck_assert_str_eq(text, ".B scales weigh\nRUN [RUN ...]\n[options]\n");
    free(text);
}
END_TEST

/* The options of this very program stand behind its own: getopt is not left half-way. */
/* A line looked at, not read: the same words, options and values that getopt finds. */
static char seen[400];

static void note_found(void *context, const nr_found *f)
{
    size_t used = strlen(seen);
    (void)context;
    snprintf(seen + used, sizeof seen - used, "%s=%s@%d+%zu ", f->option ? f->option->name : "",
             f->value ? f->value : "", f->index, f->from);
}

START_TEST(a_line_is_looked_at)
{
    char *argv[] = {"weigh", "a",      "--plot=p",   "--pl", "q",  "-pr",    "-p",
                    "s",     "--json", "--nonsense", "--",   "-x", "--json", NULL};
    seen[0] = '\0';
    nr_command_scan(&weigh, 13, argv, note_found, NULL);
    ck_assert_str_eq(seen, "=a@1+0 plot=p@2+7 plot=q@4+0 plot=r@5+2 plot=s@7+0 json=@8+0 "
                           "=-x@11+0 =--json@12+0 ");
    /* A value that is missing is no value, whatever stands behind the line. */
    char *cut[] = {"weigh", "--plot", NULL, "b"};
    seen[0] = '\0';
    nr_command_scan(&weigh, 2, cut, note_found, NULL);
    ck_assert_str_eq(seen, "");
}
END_TEST

/* The option that every command has is taken off the line wherever it stands, but not behind "--".
 */
static char around_seen[200];

static nr_code around(const nr_program *program, const nr_command *command, int argc, char **argv,
                      const char *value, nr_err *e)
{
    (void)program;
    (void)e;
    snprintf(around_seen, sizeof around_seen, "%s %s", command->name, value);
    for (int i = 1; i < argc; i++) {
        size_t used = strlen(around_seen);
        snprintf(around_seen + used, sizeof around_seen - used, " %s", argv[i]);
    }
    return NR_OK;
}

START_TEST(one_option_for_every_command)
{
    static const nr_option keep = {
        .kind = NR_OPTION_OUTPUT, .name = "keep", .value = "FILE", .help = "keeps it"};
    nr_program p = scales;
    p.everywhere = &keep;
    p.around = around;
    char *argv[] = {"scales", "weigh", "a", "--keep", "k", "--json", "--", "--keep", "b", NULL};
    ck_assert_int_eq(nr_program_main(&p, 9, argv), 0);
    ck_assert_str_eq(around_seen, "weigh k a --json -- --keep b");
    /* What lies behind the arguments (the environment, as a rule) stays where it is. */
    char *fenced[] = {"scales", "weigh", "a", "--keep", "k", NULL, "first", "second", "third"};
    ck_assert_int_eq(nr_program_main(&p, 5, fenced), 0);
    ck_assert(fenced[3] == NULL && fenced[5] == NULL);
    ck_assert_str_eq(fenced[6], "first");
    ck_assert_str_eq(fenced[7], "second");
    char *joined[] = {"scales", "weigh", "--keep=j", "a", NULL};
    ck_assert_int_eq(nr_program_main(&p, 4, joined), 0);
    ck_assert_str_eq(around_seen, "weigh j a");
    char *without[] = {"scales", "weigh", "a", NULL};
    ck_assert_int_eq(nr_program_main(&p, 3, without), NR_CANNOT); /* its own run */
    char *missing[] = {"scales", "weigh", "a", "--keep", NULL};
    ck_assert_int_eq(nr_program_main(&p, 4, missing), NR_BAD);
    nr_command lone = weigh;
    lone.alone = true;
    const nr_command *const only[] = {&lone};
    p.command = only;
    char *refused[] = {"scales", "weigh", "a", "--keep", "k", NULL};
    around_seen[0] = '\0';
    ck_assert_int_ne(nr_program_main(&p, 5, refused), NR_OK);
    ck_assert_str_eq(around_seen, "");
}
END_TEST

START_TEST(one_line_after_another)
{
    arguments a;
    ck_assert_int_eq(READ(&a, "--josn"), NR_BAD);
    ck_assert_int_eq(READ(&a, "today", "--json"), NR_OK);
    ck_assert(a.json);
    ck_assert_uint_eq(words.count, 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("command");
    TCase *tests = tcase_create("command");
    tcase_add_test(tests, every_kind_is_read);
    tcase_add_test(tests, what_is_wrong_and_what_would_be_right);
    tcase_add_test(tests, limits_in_words);
    tcase_add_test(tests, temperatures_in_the_units_shown);
    tcase_add_test(tests, help_fits_the_terminal);
    tcase_add_test(tests, completion_and_synopsis_come_from_the_rows);
    tcase_add_test(tests, a_line_is_looked_at);
    tcase_add_test(tests, one_option_for_every_command);
    tcase_add_test(tests, one_line_after_another);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
