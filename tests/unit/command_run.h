/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For unit tests of commands: one is run in this process (Check gives each test its own), with what
 * it reads from standard input and what it says kept; and a folder for its files. */
#ifndef NR_TESTS_COMMAND_RUN_H
#define NR_TESTS_COMMAND_RUN_H

#include "logger/command/command.h"
#include "tests/unit/near.h"

#include <fcntl.h>
#include <ftw.h>
#include <stdarg.h>
#include <stdbool.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#define COMMAND_SAID 65536
typedef struct command_said {
    nr_code code;
    nr_err err;                                 /* where the command left its sentence there */
    char out[COMMAND_SAID], text[COMMAND_SAID]; /* standard output, standard error */
} command_said;

static command_said said;

/* --- a folder --------------------------------------------------------------------------------- */

static char scratch[64];

static inline void scratch_make(void)
{
    snprintf(scratch, sizeof scratch, "/tmp/test_command.XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(scratch));
}

static inline int scratch_remove_one(const char *path, const struct stat *s, int kind,
                                     struct FTW *at)
{
    (void)s;
    (void)at;
    return kind == FTW_DP ? rmdir(path) : unlink(path);
}

static inline void scratch_remove(void)
{
    nftw(scratch, scratch_remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

/* The path of a name in the folder; sixty-four at a time. */
static inline char *in_scratch(const char *name)
{
    static char path[64][256];
    static unsigned turn;
    char *to = path[turn++ % 64];
    snprintf(to, sizeof path[0], "%s/%s", scratch, name);
    return to;
}

/* With text in it. */
static inline char *scratch_file(const char *name, const char *text)
{
    char *path = in_scratch(name);
    FILE *to = fopen(path, "w");
    ck_assert_msg(to != NULL && fputs(text, to) >= 0 && fclose(to) == 0, "%s", path);
    return path;
}

static inline char *scratch_folder(const char *name)
{
    char *path = in_scratch(name);
    ck_assert_int_eq(mkdir(path, 0755), 0);
    return path;
}

/* What stands in a file; "" where there is none. */
static inline const char *scratch_read(const char *name)
{
    static char text[COMMAND_SAID];
    FILE *from = fopen(in_scratch(name), "r");
    size_t n = from ? fread(text, 1, sizeof text - 1, from) : 0;
    if (from)
        fclose(from);
    text[n] = '\0';
    return text;
}

/* --- a command -------------------------------------------------------------------------------- */

/* Descriptor `fd` to a nameless file, or to what is given; the one it was. */
static inline int command_turn(int fd, int to)
{
    fflush(NULL);
    int before = dup(fd);
    ck_assert(before >= 0 && to >= 0 && dup2(to, fd) == fd);
    return before;
}

static inline void command_back(int fd, int before, int from, char *text)
{
    fflush(NULL);
    dup2(before, fd);
    close(before);
    lseek(from, 0, SEEK_SET);
    ssize_t n = read(from, text, COMMAND_SAID - 1);
    ck_assert(n >= 0);
    text[n] = '\0';
    close(from);
}

static inline int command_file(const char *text)
{
    int fd = memfd_create("said", 0);
    ck_assert(fd >= 0 && write(fd, text, strlen(text)) == (ssize_t)strlen(text));
    lseek(fd, 0, SEEK_SET);
    return fd;
}

/* Runs it with these words (NULL behind the last) and this on standard input. Fills `said`. */
static inline nr_code command_run(const nr_command *command, const char *input, ...)
{
    char *argv[40] = {(char *)command->name}, copy[40][512];
    int argc = 1;
    va_list words;
    va_start(words, input);
    for (const char *word; (word = va_arg(words, const char *)) != NULL; argc++) {
        ck_assert(argc < 39 && strlen(word) < sizeof copy[0]);
        argv[argc] = strcpy(copy[argc], word);
    }
    va_end(words);
    memset(&said, 0, sizeof said);
    int out = command_file(""), text = command_file(""), in = command_file(input);
    int in_before = command_turn(STDIN_FILENO, in), out_before = command_turn(STDOUT_FILENO, out),
        text_before = command_turn(STDERR_FILENO, text);
    said.code = command->run(argc, argv, &said.err);
    command_back(STDERR_FILENO, text_before, text, said.text);
    command_back(STDOUT_FILENO, out_before, out, said.out);
    dup2(in_before, STDIN_FILENO);
    close(in_before);
    close(in);
    return said.code;
}

/* What was said of an error, wherever. */
static inline const char *command_error(void)
{
    return said.err.text[0] ? said.err.text : said.text;
}

#define SAYS(where, words)                                                                         \
    ck_assert_msg(strstr(where, words) != NULL, "\"%s\" is not in: %s", words, where)
#define SAYS_NOT(where, words)                                                                     \
    ck_assert_msg(strstr(where, words) == NULL, "\"%s\" is in: %s", words, where)
/* The exit status, with what was said where it is another. */
#define ENDS(code, ...)                                                                            \
    do {                                                                                           \
        nr_code was_ = command_run(__VA_ARGS__, NULL);                                             \
        ck_assert_msg(was_ == (code), "status %d: %s%s", (int)was_, said.text, said.err.text);     \
    } while (0)

/* --- options ---------------------------------------------------------------------------------- */

/* Whether the command line is read, its words being `words` of the name "x". */
static inline bool command_takes(const nr_command *command, size_t words, const char *option,
                                 const char *value, nr_err *err)
{
    static double room[8192]; /* larger than any struct of arguments */
    char joined[200], *argv[12] = {(char *)command->name, joined};
    nr_words read;
    snprintf(joined, sizeof joined, "--%s=%s", option, value);
    for (size_t i = 0; i < words; i++)
        argv[2 + i] = (char *)"x";
    return nr_command_read(command, (int)words + 2, argv, room, &read, err) == NR_OK;
}

/* One option with its limits: too little, least, most, too much ("-": none). */
typedef struct option_limits {
    const nr_command *command;
    const char *name, *little, *least, *most, *much;
} option_limits;

static inline void options_within(const option_limits *row, size_t count)
{
    for (; count--; row++) {
        nr_err err;
        const char *const good[] = {row->least, row->most}, *const bad[] = {row->little, row->much};
        for (int i = 0; i < 2; i++) {
            ck_assert_msg(
                command_takes(row->command, row->command->least, row->name, good[i], &err),
                "%s --%s %s is refused: %s", row->command->name, row->name, good[i], err.text);
            ck_assert_msg(
                !command_takes(row->command, row->command->least, row->name, bad[i], &err),
                "%s --%s %s is taken", row->command->name, row->name, bad[i]);
            char named[80];
            snprintf(named, sizeof named, "--%s %s", row->name, bad[i]);
            SAYS(err.text, named);
        }
    }
}

/* So many words beside the options, and no fewer or more (most: NR_ANY_NUMBER). */
static inline void words_within(const nr_command *command, size_t least, size_t most)
{
    nr_err err;
    static double room[8192];
    for (size_t n = 0; n < 6; n++) {
        char *argv[8] = {(char *)command->name};
        nr_words read;
        for (size_t i = 0; i < n; i++)
            argv[1 + i] = (char *)"x";
        bool taken = nr_command_read(command, (int)n + 1, argv, room, &read, &err) == NR_OK;
        ck_assert_msg(taken == (n >= least && n <= most), "%s with %zu words is %s", command->name,
                      n, taken ? "taken" : "refused");
        if (!taken)
            SAYS(err.text, command->wants);
    }
}

#endif
