/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole program of three commands: what each line of words prints where, and with which status;
 * which words a command is given; how an answer that asks for an option says so; limits of
 * temperatures and of options by the hundred. */
#include "logger/command/command.h"
#include "tests/unit/command_run.h"

typedef struct arguments {
    bool on, off;
    const char *text, *file;
    int units;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_HEADING, .name = "Shown:"},
    {.kind = NR_OPTION_ON, .name = "json", .offset = offsetof(arguments, on), .help = "as JSON"},
    {.kind = NR_OPTION_OFF, .name = "no-loop", .offset = offsetof(arguments, off)},
    {.kind = NR_OPTION_TEXT,
     .name = "plot",
     .value = "FILE",
     .offset = offsetof(arguments, text),
     .help = "a picture",
     .letter = 'p'},
    {.kind = NR_OPTION_CHOICE,
     .name = "units",
     .value = "si|us|both",
     .offset = offsetof(arguments, units),
     .help = "units"},
    {.kind = NR_OPTION_END}};
static const nr_option shared[] = {
    {.kind = NR_OPTION_TEXT, .name = "pot", .value = "POT", .offset = 0, .help = "which"},
    {.kind = NR_OPTION_END}};
static const nr_option_group groups[] = {{own, 0}, {shared, offsetof(arguments, file)}, {NULL, 0}};

static char given[500];
static nr_err answer;

/* Notes its words, and answers as it is told. */
static nr_code run(int argc, char **argv, nr_err *err)
{
    given[0] = '\0';
    for (int i = 0; i < argc; i++) {
        size_t used = strlen(given);
        snprintf(given + used, sizeof given - used, "%s%s", i ? " " : "", argv[i]);
    }
    if (argv[argc])
        snprintf(given, sizeof given, "no NULL behind");
    *err = answer;
    return answer.code;
}

static void more(FILE *to)
{
    fputs("More of it.\n", to);
}

static const nr_command weigh = {.program = "scales",
                                 .name = "weigh",
                                 .arguments = "RUN",
                                 .summary = "weighs a run",
                                 .about = "Weighs.",
                                 .groups = groups,
                                 .least = 1,
                                 .most = 1,
                                 .wants = "name a run",
                                 .word = {NR_WORD_RUN, NR_WORD_RIG},
                                 .more_help = more,
                                 .epilogue = "One.\n\nTwo.",
                                 .examples = "  scales weigh today\n",
                                 .run = run};
static const nr_command tare = {.program = "scales",
                                .name = "tare",
                                .arguments = "",
                                .summary = "empties",
                                .about = "Empties.",
                                .wants = "no words",
                                .word = {NR_WORD_PORT, NR_WORD_FILE},
                                .run = run};
static const nr_command lone = {.program = "scales",
                                .name = "calibrate",
                                .arguments = "MASS-KG",
                                .summary =
                                    "says what a kilogram is, in words that go on for longer "
                                    "than a line of eighty columns",
                                .about = "Calibrates.",
                                .wants = "a mass",
                                .alone = true,
                                .run = run};
static const nr_option keep = {
    .kind = NR_OPTION_OUTPUT, .name = "keep", .value = "FILE", .help = "keeps it"};

static char kept[300];

static nr_code around(const nr_program *program, const nr_command *command, int argc, char **argv,
                      const char *value, nr_err *err)
{
    (void)program;
    snprintf(kept, sizeof kept, "%s", value);
    return command->run(argc, argv, err);
}

static const nr_command *const commands[] = {&weigh, &tare, &lone};
static const nr_program scales = {.name = "scales",
                                  .purpose = "weighs",
                                  .epilogue = "Mind the step.",
                                  .command = commands,
                                  .commands = 3,
                                  .everywhere = &keep,
                                  .around = around};

/* The words of a line, parted by blanks. */
static int line(const char *text)
{
    static char copy[300];
    char *argv[40], *rest = copy;
    int argc = 0;
    snprintf(copy, sizeof copy, "%s", text);
    for (char *word; (word = strsep(&rest, " ")) != NULL && argc < 39;)
        argv[argc++] = word;
    argv[argc] = NULL;
    memset(&said, 0, sizeof said);
    kept[0] = given[0] = '\0';
    int out = command_file(""), bad = command_file("");
    int out_before = command_turn(STDOUT_FILENO, out),
        bad_before = command_turn(STDERR_FILENO, bad);
    int status = nr_program_main(&scales, argc, argv);
    command_back(STDERR_FILENO, bad_before, bad, said.text);
    command_back(STDOUT_FILENO, out_before, out, said.out);
    return status;
}

static void prints(const char *text, int status, const char *out, const char *errors)
{
    int found = line(text);
    ck_assert_msg(found == status && strcmp(said.out, out) == 0 && strcmp(said.text, errors) == 0,
                  "%s: %d\n%s%s", text, found, said.out, said.text);
}

#define HELP                                                                                       \
    "scales " NOONRUN_VERSION " - weighs\n\nUsage: scales COMMAND ...\n\n"                         \
    "  weigh      weighs a run\n"                                                                  \
    "  tare       empties\n"                                                                       \
    "  calibrate  says what a kilogram is, in words that go on for longer than a line\n"           \
    "             of eighty columns\n"                                                             \
    "\n`scales COMMAND --help` explains one command.\nMind the step.\n"
#define WEIGH                                                                                      \
    "Usage: scales weigh RUN [options]\n\nWeighs.\n\nShown:\n  --json              as JSON\n"      \
    "  --no-loop\n  -p, --plot FILE     a picture\n  --units si|us|both  units\n"                  \
    "  --pot POT           which\n  --keep FILE         keeps it\n\nMore of it.\n\nOne.\n\nTwo.\n" \
    "\nExample:\n  scales weigh today\n"

START_TEST(first_words)
{
    answer = (nr_err){.code = NR_OK};
    prints("scales", NR_BAD, "", HELP);
    prints("scales --help", NR_OK, HELP, "");
    prints("scales -h", NR_OK, HELP, "");
    prints("scales help", NR_OK, HELP, "");
    prints("scales --version", NR_OK, "scales " NOONRUN_VERSION "\n", "");
    prints("scales sing", NR_BAD, "", "scales: no command \"sing\"; `scales --help` lists them\n");
    prints("scales weigh --help", NR_OK, WEIGH, "");
    prints("scales weigh -h", NR_OK, WEIGH, "");
    prints("scales weigh x --json --help y", NR_OK, WEIGH, "");
    prints("scales weigh x -- --help", NR_OK, "", ""); /* a word */
    ck_assert_str_eq(given, "weigh x -- --help");
    prints("scales tare --help", NR_OK,
           "Usage: scales tare [options]\n\nEmpties.\n\n  --keep FILE         keeps it\n", "");
    prints("scales calibrate --help", NR_OK, "Usage: scales calibrate MASS-KG\n\nCalibrates.\n",
           "");
}
END_TEST

START_TEST(completion)
{
    prints("scales --complete", NR_OK, "weigh\ntare\ncalibrate\n--help\n--version\n", "");
    prints("scales --complete weigh", NR_OK,
           "<1> run\n<2> rig\n--json \n--no-loop \n--plot FILE\n-p FILE\n--units si|us|both\n"
           "--pot POT\n--keep FILE\n--help \n",
           "");
    prints("scales --complete tare", NR_OK, "<1> port\n<2> file\n--keep FILE\n--help \n", "");
    prints("scales --complete calibrate", NR_OK, "<1> \n<2> \n--help \n", "");
    prints("scales --complete sing", NR_OK, "", "");
    prints("scales --synopsis", NR_OK,
           ".B scales weigh\nRUN\n[options]\n.br\n.B scales tare\n.br\n.B scales calibrate\n"
           "MASS\\-KG\n",
           "");
}
END_TEST

START_TEST(one_option_for_all)
{
    answer = (nr_err){.code = NR_OK};
    static const struct {
        const char *line, *given, *kept;
    } of[] = {{"scales weigh a", "weigh a", ""},
              {"scales weigh --keep k a", "weigh a", "k"},
              {"scales weigh a --keep=k --json", "weigh a --json", "k"},
              {"scales weigh --keep a --keep b", "weigh", "b"},
              {"scales weigh --keep a -- --keep b", "weigh -- --keep b", "a"},
              {"scales weigh --keeper a", "weigh --keeper a", ""},
              {"scales weigh --kee a", "weigh --kee a", ""},
              {"scales weigh --keep= a", "weigh a", ""},
              {"scales tare --keep --", "tare", "--"},
              {"scales calibrate --keep k", "calibrate --keep k", ""}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        prints(of[i].line, NR_OK, "", "");
        ck_assert_str_eq(given, of[i].given);
        ck_assert_str_eq(kept, of[i].kept);
    }
    prints("scales weigh a --keep", NR_BAD, "",
           "scales: weigh: no value after \"--keep\"; see `scales weigh --help`\n");
}
END_TEST

/* Which option it takes is said behind the answer, with the command where its words were wrong. */
START_TEST(answers)
{
    static const struct {
        nr_code code;
        const char *file, *text, *asked, *errors;
    } of[] = {{NR_CANNOT, "", "not today", "", "scales: not today\n"},
              {NR_CANNOT, "a.csv", "not today", "", "scales: a.csv: not today\n"},
              {NR_CANNOT, "", "not today", "plot", "scales: not today (--plot FILE)\n"},
              {NR_BAD, "", "no plot", "plot",
               "scales: weigh: no plot (--plot FILE); see `scales weigh --help`\n"},
              {NR_BAD, "a.csv", "no plot", "plot", "scales: a.csv: no plot (--plot FILE)\n"},
              {NR_BAD, "", "none", "json,pot,plot",
               "scales: weigh: none (--json, --pot POT, --plot FILE); see `scales weigh --help`\n"},
              {NR_BAD, "", "none", "nothing", "scales: none\n"},
              {NR_BAD, "", "none", "plo,plots,Shown:", "scales: none\n"},
              {NR_BAD, "", "", "plot", ""}, /* all has been said */
              {NR_OK, "", "", "", ""}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        answer = (nr_err){.code = of[i].code};
        snprintf(answer.file, sizeof answer.file, "%s", of[i].file);
        snprintf(answer.text, sizeof answer.text, "%s", of[i].text);
        snprintf(answer.asked, sizeof answer.asked, "%s", of[i].asked);
        prints("scales weigh a", (int)of[i].code, "", of[i].errors);
    }
}
END_TEST

/* What cannot be written is an error of its own, unless there was one. */
START_TEST(a_full_disk)
{
    int before = command_turn(STDOUT_FILENO, open("/dev/full", O_WRONLY));
    char name[] = "scales", word[] = "--version", *argv[] = {name, word, NULL};
    int bad = command_file(""), bad_before = command_turn(STDERR_FILENO, bad);
    setvbuf(stdout, NULL, _IOFBF, 4096);
    int status = nr_program_main(&scales, 2, argv);
    command_back(STDERR_FILENO, bad_before, bad, said.text);
    clearerr(stdout);
    dup2(before, STDOUT_FILENO);
    ck_assert_int_eq(status, NR_BAD);
    ck_assert_str_eq(said.text, "scales: the output could not be written\n");
}
END_TEST

/* --- single options --------------------------------------------------------------------------- */

static const char *taken(const char *name, const char *value, arguments *a)
{
    static char option[100];
    char *argv[] = {(char *)"weigh", option, (char *)"x", NULL};
    nr_words words;
    static nr_err err;
    *a = (arguments){.off = true};
    err = (nr_err){0};
    snprintf(option, sizeof option, value ? "--%s=%s" : "--%s", name, value);
    return nr_command_read(&weigh, 3, argv, a, &words, &err) == NR_OK ? "" : err.text;
}

START_TEST(choices)
{
    static const char *const words[] = {"si", "us", "both"};
    arguments a;
    for (int i = 0; i < 3; i++) {
        ck_assert_str_eq(taken("units", words[i], &a), "");
        ck_assert_int_eq(a.units, i + 1);
    }
    static const char *const bad[] = {"s", "si|us", "bot", "bothy", "", "|", "SI"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char expected[120];
        snprintf(expected, sizeof expected,
                 "weigh: --units %s: give si, us or both; see `scales weigh --help`", bad[i]);
        ck_assert_str_eq(taken("units", bad[i], &a), expected);
        ck_assert_int_eq(a.units, 0);
    }
    ck_assert_str_eq(taken("json", NULL, &a), "");
    ck_assert(a.on && a.off);
    ck_assert_str_eq(taken("no-loop", NULL, &a), "");
    ck_assert(!a.on && !a.off);
    ck_assert_str_eq(taken("plot", "f", &a), "");
    ck_assert_str_eq(a.text, "f");
    ck_assert_str_eq(taken("pot", "g", &a), "");
    ck_assert_str_eq(a.file, "g");
}
END_TEST

/* Both ends are in; a bare number that would be right in the other unit is asked about. */
START_TEST(temperatures)
{
    static const struct {
        const char *text;
        bool us;
        double degC; /* NAN: refused */
        const char *words;
    } of[] = {{"10", false, 10, ""},
              {"90", false, 90, ""},
              {"50F", false, 10, ""},
              {"194F", true, 90, ""},
              {"50", true, 10, ""},
              {"9.99", false, NAN, "give a temperature from 10C to 90C"},
              {"90.01C", false, NAN, "give a temperature from 10C to 90C"},
              {"194", false, NAN, "--t 194 was read as degC; write 194F"},
              {"194.1", false, NAN, "give a temperature from 10C to 90C"},
              {"49", true, NAN, "--t 49 was read as degF; write 49C"},
              {"10", true, NAN, "--t 10 was read as degF; write 10C"},
              {"9", true, NAN, "give a temperature from 10C to 90C"},
              {"warm", true, NAN, "give a temperature, such as 43C or 110F"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double degC = 42;
        nr_err err = {0};
        nr_code code =
            nr_temperature_option(&weigh, "t", of[i].text, of[i].us, 10, 90, &degC, &err);
        ck_assert_msg((code == NR_OK) == !isnan(of[i].degC), "%s: %s", of[i].text, err.text);
        NEAR_AT(of[i].text, degC, code == NR_OK ? of[i].degC : 42, 1e-9);
        SAYS(err.text, of[i].words);
    }
    double degC = 42;
    ck_assert_int_eq(nr_temperature_option(&weigh, "t", NULL, false, 10, 90, &degC, NULL), NR_OK);
    NEAR(degC, 42, 0);
}
END_TEST

/* Ninety-six have room. */
START_TEST(many_options)
{
    static char names[100][8], room[1000];
    for (size_t count = 95; count < 98; count++) {
        nr_option many[100] = {{.kind = NR_OPTION_HEADING, .name = "Many:"}};
        nr_option_group one[] = {{many, 0}, {NULL, 0}};
        nr_command command = weigh;
        command.groups = one;
        for (size_t i = 0; i < count; i++) {
            snprintf(names[i], sizeof names[i], "o%zu", i);
            many[i + 1] = (nr_option){.kind = NR_OPTION_ON, .name = names[i], .offset = i};
        }
        char last[12], *argv[] = {(char *)"weigh", last, (char *)"x", NULL};
        nr_words words;
        nr_err err = {0};
        snprintf(last, sizeof last, "--o%zu", count - 1);
        memset(room, 0, sizeof room);
        ck_assert_int_eq(nr_command_read(&command, 3, argv, room, &words, &err),
                         count <= 96 ? NR_OK : NR_BAD);
        ck_assert_int_eq(room[count - 1], count <= 96);
        if (count > 96)
            SAYS(err.text, "too many options in its table");
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {first_words,  completion,   one_option_for_all,
                                  answers,      a_full_disk,  choices,
                                  temperatures, many_options, NULL};
    return run_tests("a whole program", tests);
}
