/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/repeat.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <gsl/gsl_version.h>
#include <jansson.h>

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

const nr_option nr_manifest_option = {
    .kind = NR_OPTION_OUTPUT,
    .name = "manifest",
    .value = "FILE",
    .help = "write what was read, asked and answered to FILE, for `noonfit check FILE`"};

/* What an answer depends on beside files and arguments: zone, units of the locale, and the date
 * that pages carry. */
static const char *const variables[] = {"TZ",       "LC_ALL", "LC_MEASUREMENT",
                                        "LC_CTYPE", "LANG",   "SOURCE_DATE_EPOCH"};
#define VARIABLES (sizeof variables / sizeof variables[0])

/* ---- a child ---- */

static void become(char *const *arguments, size_t count, const nr_manifest_pair *variable,
                   size_t set, int to)
{
    char *argv[NR_MANIFEST_ARGUMENTS + 2] = {(char *)"noonfit"};
    for (size_t i = 0; i < count; i++)
        argv[i + 1] = arguments[i];
    for (size_t i = 0; i < set; i++)
        if (variable[i].value)
            setenv(variable[i].name, variable[i].value, 1);
        else
            unsetenv(variable[i].name);
    if (dup2(to, STDOUT_FILENO) >= 0)
        execv("/proc/self/exe", argv);
    _exit(127);
}

/* Everything from a pipe; false: out of memory or more than NR_MANIFEST_MOST. */
static bool drain(int from, bool pass_on, char **said, size_t *length)
{
    size_t room = 0;
    bool good = true;
    for (;;) {
        if (good && *length + 4096 > room) {
            room = room ? 2 * room : 65536;
            char *more = room > NR_MANIFEST_MOST ? NULL : realloc(*said, room + 1);
            good = more != NULL;
            *said = more ? more : *said;
        }
        char rest[4096], *to = good ? *said + *length : rest;
        ssize_t n = read(from, to, sizeof rest);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            break;
        if (pass_on)
            fwrite(to, 1, (size_t)n, stdout);
        *length += good ? (size_t)n : 0;
    }
    if (good)
        (*said)[*length] = '\0';
    return good;
}

nr_code nr_repeat(char *const *arguments, size_t count, const nr_manifest_pair *variable,
                  size_t set, bool pass_on, char **said, size_t *length, int *status, nr_err *err)
{
    int ends[2], state = 0;
    *said = NULL;
    *length = 0;
    if (count > NR_MANIFEST_ARGUMENTS)
        return nr_fail(err, NR_BAD, NULL, 0, "more than %d arguments", NR_MANIFEST_ARGUMENTS);
    fflush(stdout);
    if (pipe2(ends, O_CLOEXEC))
        return nr_fail_errno(err, NR_BAD, NULL, errno, "no pipe");
    pid_t child = fork();
    if (child == 0)
        become(arguments, count, variable, set, ends[1]);
    close(ends[1]);
    bool good = child > 0 && drain(ends[0], pass_on, said, length);
    close(ends[0]);
    if (child < 0)
        return nr_fail_errno(err, NR_BAD, NULL, errno, "the program could not be started again");
    while (waitpid(child, &state, 0) < 0 && errno == EINTR)
        continue;
    if (!WIFEXITED(state))
        return nr_fail(err, NR_BAD, NULL, 0, "the program was ended by signal %d", WTERMSIG(state));
    if (!good)
        return nr_fail(err, NR_BAD, NULL, 0, "the answer is too long for a manifest");
    *status = WEXITSTATUS(state);
    return NR_OK;
}

/* ---- --manifest ---- */

typedef struct gather {
    nr_manifest *m;
    char *before[NR_MANIFEST_ARGUMENTS]; /* of files that are changed in place; owned */
    nr_code code;
    nr_err *err;
} gather;

static void add_named(gather *g, const char *name)
{
    size_t added;
    if (!g->code)
        g->code = nr_manifest_add_inputs(g->m, name, &added, g->err);
}

/* What a word or value names: a run, a rig, a page, a table; or runs joined by commas. */
static void gather_input(void *context, const nr_found *f)
{
    gather *g = context;
    if (f->option && !strcmp(f->option->name, "seed") && f->value)
        g->m->has_seed = nr_parse_long(f->value, 0, LONG_MAX, &g->m->seed);
    if (!f->value ||
        (f->option && f->option->kind != NR_OPTION_TEXT && f->option->kind != NR_OPTION_TEXTS))
        return;
    add_named(g, f->value);
    if (!strchr(f->value, ','))
        return;
    char *list = strdup(f->value), *rest = list, *name;
    while (rest && (name = strsep(&rest, ",")) != NULL)
        if (*name)
            add_named(g, name);
    free(list);
}

bool nr_manifest_text_name(const char *path)
{
    static const char *const ends[] = {".html", ".htm", ".svg", ".csv", ".json", ".ini", ".txt"};
    size_t length = strlen(path);
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++)
        if (length > strlen(ends[i]) && !strcasecmp(path + length - strlen(ends[i]), ends[i]))
            return true;
    return false;
}

static bool is_output(const nr_found *f)
{
    return f->option && f->option->kind == NR_OPTION_OUTPUT && strcmp(f->value, "-") != 0;
}

/* Before anything is done: what will be changed in place, so that it can be done again. */
static void gather_before(void *context, const nr_found *f)
{
    gather *g = context;
    size_t length;
    if (g->code || !is_output(f) || !f->option->edits || access(f->value, F_OK) != 0)
        return;
    g->code = nr_manifest_load(f->value, &g->before[f->index], &length, g->err);
    json_t *kept = g->code ? NULL : json_stringn(g->before[f->index], length); /* UTF-8 only */
    bool text = kept && length <= NR_MANIFEST_TEXT && strlen(g->before[f->index]) == length;
    json_decref(kept);
    if (!g->code && !text)
        g->code = nr_fail(g->err, NR_BAD, f->value, 0,
                          "is no text that a manifest could keep, as what it was before");
}

static void gather_output(void *context, const nr_found *f)
{
    gather *g = context;
    if (g->code || !is_output(f))
        return;
    g->code =
        nr_manifest_add_output(g->m, f->value, f->index, nr_manifest_text_name(f->value), g->err);
    if (g->code)
        return;
    g->m->output[g->m->outputs - 1].before = g->before[f->index];
    g->before[f->index] = NULL;
}

/* The computer's zone, where no variable names one. */
static const char *zone_here(char room[PATH_MAX])
{
    const char *set = getenv("TZ");
    ssize_t n = set ? -1 : readlink("/etc/localtime", room, PATH_MAX - 1);
    if (n <= 0)
        return set;
    room[n] = '\0';
    char *name = strstr(room, "zoneinfo/");
    return name ? name + strlen("zoneinfo/") : NULL;
}

static bool describe(nr_manifest *m, const char *path, int argc, char **argv)
{
    char utc[NR_UTC_SIZE], seconds[32], zone[PATH_MAX], here[PATH_MAX], there[PATH_MAX];
    char *folder = strdup(path), *slash = folder ? strrchr(folder, '/') : NULL;
    if (slash)
        slash[slash == folder] = '\0';
    bool good = folder && getcwd(here, sizeof here) && realpath(slash ? folder : ".", there);
    free(folder);
    time_t now = time(NULL);
    nr_utc_format((double)now, utc);
    (void)snprintf(seconds, sizeof seconds, "%lld", (long long)now);
    m->program = strdup("noonfit");
    m->version = strdup(NOONRUN_VERSION);
    m->made_utc = strdup(utc);
    m->run_in = good ? nr_manifest_way(there, here) : NULL;
    for (int i = 0; good && i < argc && i < NR_MANIFEST_ARGUMENTS; i++)
        good = (m->argument[m->arguments++] = strdup(argv[i])) != NULL;
    good = good && nr_manifest_add_pair(m->library, &m->libraries, NR_MANIFEST_LIBRARIES, "gsl",
                                        gsl_version);
    good = good && nr_manifest_add_pair(m->library, &m->libraries, NR_MANIFEST_LIBRARIES, "jansson",
                                        jansson_version_str());
    for (size_t i = 0; good && i < VARIABLES; i++) {
        const char *value = getenv(variables[i]);
        if (!strcmp(variables[i], "TZ"))
            value = zone_here(zone);
        if (!strcmp(variables[i], "SOURCE_DATE_EPOCH") && !value)
            value = seconds;
        good = nr_manifest_add_pair(m->variable, &m->environment, NR_MANIFEST_ENVIRONMENT,
                                    variables[i], value);
    }
    return good && m->program && m->version && m->made_utc && m->run_in;
}

/* A record that grows while it is read has no manifest that would hold. */
static nr_code still_the_same(const nr_manifest *m, nr_err *err)
{
    for (size_t i = 0; i < m->inputs; i++) {
        char *bytes, digest[NR_PACKED_DIGEST] = "";
        size_t length;
        nr_code code = nr_manifest_load(m->input[i].path, &bytes, &length, err);
        if (code)
            return code;
        nr_manifest_digest(m->input[i].path, bytes, length, digest);
        free(bytes);
        if (strcmp(digest, m->input[i].sha256))
            return nr_fail(
                err, NR_BAD, m->input[i].path, 0,
                "changed while it was read; no manifest was written (a run that is being "
                "recorded has none)");
    }
    return NR_OK;
}

nr_code nr_manifest_run(const nr_program *program, const nr_command *command, int argc, char **argv,
                        const char *path, nr_err *err)
{
    (void)program;
    nr_manifest m = {0};
    gather g = {.m = &m, .err = err};
    size_t length;
    if (argc > NR_MANIFEST_ARGUMENTS)
        return nr_usage(err, command, "more than %d arguments", NR_MANIFEST_ARGUMENTS);
    nr_code code = NR_OK;
    nr_command_scan(command, argc, argv, gather_input, &g);
    nr_command_scan(command, argc, argv, gather_before, &g);
    code = g.code;
    if (!code && !describe(&m, path, argc, argv))
        code = nr_fail(err, NR_BAD, path, 0, "no folder to write the manifest to");
    if (!code)
        code = nr_repeat(argv, (size_t)argc, m.variable, m.environment, true, &m.answer, &length,
                         &m.exit_status, err);
    m.answer_bytes = code ? 0 : length;
    bool told = !code && m.exit_status == NR_BAD; /* what was asked is no question: no manifest */
    if (!code && !told)
        code = still_the_same(&m, err);
    if (!code && !told && m.exit_status == NR_OK)
        nr_command_scan(command, argc, argv, gather_output, &g);
    code = code ? code : g.code;
    if (!code && !told)
        code = nr_manifest_write(path, &m, err);
    if (!code)
        code = (nr_code)m.exit_status;
    for (int i = 0; i < argc; i++)
        free(g.before[i]);
    nr_manifest_free(&m);
    return code;
}
