/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/manifest/numbers.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/repeat.h"
#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <jansson.h>

#include <errno.h>
#include <ftw.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct arguments {
    bool json;
    const char *in;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_ON,
     .name = "json",
     .offset = offsetof(arguments, json),
     .help = "the result as JSON"},
    {.kind = NR_OPTION_TEXT,
     .name = "in",
     .value = "FOLDER",
     .offset = offsetof(arguments, in),
     .help = "where the names in the manifest are looked for now (default: where they were, seen "
             "from the manifest)"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_check = {
    .program = "noonfit",
    .name = "check",
    .arguments = "MANIFEST",
    .summary = "repeat what a manifest tells of, and say whether every number came out the same",
    .about = "Repeats the command that a manifest was written by: are the files "
             "that it read still the same, does it say the same, number by number, and are the "
             "files that it wrote the same? Nothing is written: what the command writes goes to a "
             "folder that is thrown away.\n\nExit status: 0 everything came out the same; 1 "
             "something did not; 2 it cannot be repeated.",
    .examples = "  noonfit fit sample-runs/wash-stand-glazed --json --manifest fit.manifest\n"
                "  noonfit check fit.manifest\n",
    .least = 1,
    .most = 1,
    .wants = "name one manifest",
    .word = {NR_WORD_FILE, NR_WORD_NONE},
    .groups = groups,
    .alone = true,
    .run = run};

typedef enum state { SAME, CHANGED, GONE } state;
static const char *const state_words[] = {"same", "changed", "gone"};

typedef struct outcome {
    nr_manifest m;
    state input[NR_MANIFEST_FILES], output[NR_MANIFEST_FILES];
    size_t inputs_off, outputs_off;
    int status;                            /* of the repeat */
    nr_numbers answer;                     /* of standard output */
    nr_numbers file;                       /* of the files that are text, together */
    char *replaced[NR_MANIFEST_ARGUMENTS]; /* arguments of the repeat; owned where not the same */
    char folder[64];                       /* what is thrown away */
    bool no_room;                          /* in that folder */
} outcome;

static state state_of(const nr_manifest_file *was, char *bytes, size_t length)
{
    char digest[NR_PACKED_DIGEST];
    nr_manifest_digest(was->path, bytes, length, digest);
    return strcmp(digest, was->sha256) ? CHANGED : SAME;
}

static void look_at_inputs(outcome *o)
{
    for (size_t i = 0; i < o->m.inputs; i++) {
        const nr_manifest_file *f = &o->m.input[i];
        char *bytes;
        size_t length;
        o->input[i] =
            nr_manifest_load(f->path, &bytes, &length, NULL) ? GONE : state_of(f, bytes, length);
        o->inputs_off += o->input[i] != SAME;
        free(bytes);
    }
}

static const char *name_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* What an option changes in place finds there what it found then. */
static bool put_before(const outcome *o, int argument, const char *path)
{
    const char *text = NULL;
    for (size_t i = 0; i < o->m.outputs; i++)
        if (o->m.output[i].argument == argument)
            text = o->m.output[i].before;
    FILE *to = text ? fopen(path, "w") : NULL;
    bool good = !text || (to && fputs(text, to) >= 0);
    return (to == NULL || fclose(to) == 0) && good;
}

/* Whatever option writes a file writes to the folder instead: also what the manifest is silent
 * about. */
static void redirect(void *context, const nr_found *f)
{
    outcome *o = context;
    char *was = o->m.argument[f->index];
    if (!f->option || f->option->kind != NR_OPTION_OUTPUT || !strcmp(f->value, "-"))
        return;
    char to[PATH_MAX];
    (void)snprintf(to, sizeof to, "%s/%d", o->folder, f->index); /* names may meet */
    (void)mkdir(to, 0700);
    (void)snprintf(to, sizeof to, "%.*s%s/%d/%s", (int)f->from, was, o->folder, f->index,
                   name_of(f->value));
    if (f->option->edits && !put_before(o, f->index, to + f->from))
        o->no_room = true;
    o->replaced[f->index] = strdup(to);
}

static const char *written(const outcome *o, const nr_manifest_file *f)
{
    const char *at = f->argument >= 0 ? o->replaced[f->argument] : NULL;
    return at ? strstr(at, o->folder) : NULL;
}

/* Every `from` becomes `to`; *text is another one then. */
static void replace_all(char **text, size_t *length, const char *from, const char *to)
{
    size_t count = 0, gone = strlen(from), come = strlen(to);
    for (char *p = *text; (p = strstr(p, from)) != NULL; p += gone)
        count++;
    char *room = count ? malloc(*length + count * come + 1) : NULL;
    if (!room)
        return;
    char *end = room, *p = *text;
    for (char *at; (at = strstr(p, from)) != NULL; p = at + gone) {
        end = mempcpy(end, p, (size_t)(at - p));
        end = mempcpy(end, to, come);
    }
    end = stpcpy(end, p);
    free(*text);
    *text = room;
    *length = (size_t)(end - room);
}

/* The folder's names in what was said become the names that were asked for. */
static void put_names_back(const outcome *o, char **text, size_t *length)
{
    for (size_t i = 0; i < o->m.outputs; i++) {
        const char *now = written(o, &o->m.output[i]);
        if (now)
            replace_all(text, length, now, o->m.output[i].path);
    }
}

static void add_numbers(nr_numbers *all, const nr_numbers *one)
{
    all->numbers += one->numbers;
    all->different += one->different;
    all->words = all->words || one->words;
    for (size_t i = 0; i < one->kept && all->kept < NR_DIFFERENCES; i++)
        all->difference[all->kept++] = one->difference[i];
}

static void look_at_outputs(outcome *o)
{
    for (size_t i = 0; i < o->m.outputs; i++) {
        const nr_manifest_file *f = &o->m.output[i];
        const char *path = written(o, f);
        char *bytes = NULL;
        size_t length;
        o->output[i] = GONE;
        if (path && nr_manifest_load(path, &bytes, &length, NULL) == NR_OK) {
            if (nr_manifest_text_name(f->path))
                put_names_back(o, &bytes, &length);
            o->output[i] = state_of(f, bytes, length);
        }
        o->outputs_off += o->output[i] != SAME;
        if (bytes && f->text) {
            nr_numbers n;
            nr_numbers_compare(f->text, bytes, &n);
            add_numbers(&o->file, &n);
        }
        free(bytes);
    }
}

static int remove_one(const char *path, const struct stat *s, int kind, struct FTW *at)
{
    (void)s;
    (void)at;
    return kind == FTW_DP ? rmdir(path) : unlink(path);
}

static void throw_away(const char *folder)
{
    (void)nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

static nr_code repeat(outcome *o, const nr_command *command, nr_err *err)
{
    char *said = NULL;
    size_t length;
    memcpy(o->replaced, o->m.argument, o->m.arguments * sizeof(char *));
    nr_command_scan(command, (int)o->m.arguments, o->m.argument, redirect, o);
    nr_code code = o->no_room ? nr_fail(err, NR_BAD, o->folder, 0, "cannot be written") : NR_OK;
    if (!code)
        code = nr_repeat(o->replaced, o->m.arguments, o->m.variable, o->m.environment, false, &said,
                         &length, &o->status, err);
    if (!code && o->status == NR_BAD)
        code = nr_fail(err, NR_BAD, NULL, 0, "the command cannot be repeated, see above");
    if (!code) {
        put_names_back(o, &said, &length);
        nr_numbers_compare(o->m.answer, said, &o->answer);
        if (o->status == NR_OK)
            look_at_outputs(o);
    }
    free(said);
    for (size_t i = 0; i < o->m.arguments; i++)
        if (o->replaced[i] != o->m.argument[i])
            free(o->replaced[i]);
    return code;
}

static bool all_same(const outcome *o)
{
    return !o->answer.different && !o->answer.words && !o->inputs_off && !o->outputs_off &&
           o->status == o->m.exit_status;
}

/* ---- telling ---- */

static void say_files(const nr_manifest_file *file, const state *s, size_t count, const char *what)
{
    for (size_t i = 0; i < count; i++) {
        char text[NR_ERR_FILE + 200], clean[NR_ERR_FILE];
        nr_clean(clean, sizeof clean, file[i].path, strlen(file[i].path));
        (void)snprintf(text, sizeof text, "%s: %s %s", clean, what, state_words[s[i]]);
        if (s[i] != SAME)
            nr_paragraph(stdout, "  ", text);
    }
}

static void say_numbers(const nr_numbers *n)
{
    for (size_t i = 0; i < n->kept; i++) {
        const nr_number_difference *d = &n->difference[i];
        bool words = n->words && i + 1 == n->kept;
        printf("  line %zu: %s\n    %s was %s, now %s\n", d->line, d->words,
               words ? "from here the words differ:" : "it", d->was, d->now);
    }
    if (n->different > n->kept)
        printf("  and %zu more\n", n->different - n->kept);
}

static void tell(const outcome *o)
{
    size_t numbers = o->answer.numbers + o->file.numbers;
    size_t different = o->answer.different + o->file.different;
    char version[80];
    nr_clean(version, sizeof version, o->m.version, strlen(o->m.version));
    if (all_same(o))
        printf("The same: all %zu numbers, %zu of %zu files read, %zu of %zu files written.\n",
               numbers, o->m.inputs, o->m.inputs, o->m.outputs, o->m.outputs);
    else
        printf("Not the same: %zu of %zu numbers differ%s; changed are %zu of %zu files read and "
               "%zu of %zu written.\n",
               different, numbers, o->answer.words || o->file.words ? ", and words" : "",
               o->inputs_off, o->m.inputs, o->outputs_off, o->m.outputs);
    if (strcmp(o->m.version, NOONRUN_VERSION))
        printf("  It was version %s; this is %s.\n", version, NOONRUN_VERSION);
    if (o->status != o->m.exit_status)
        printf("  Its exit status was %d, now %d.\n", o->m.exit_status, o->status);
    say_files(o->m.input, o->input, o->m.inputs, "what was read is");
    say_files(o->m.output, o->output, o->m.outputs, "what was written is");
    say_numbers(&o->answer);
    say_numbers(&o->file);
}

static json_t *files_json(const nr_manifest_file *file, const state *s, size_t count)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(
            list, json_pack("{s:s, s:s}", "path", file[i].path, "state", state_words[s[i]]));
    return list;
}

static void differences_json(json_t *list, const nr_numbers *n)
{
    for (size_t i = 0; i < n->kept; i++)
        json_array_append_new(list, json_pack("{s:I, s:s, s:s, s:s}", "line",
                                              (json_int_t)n->difference[i].line, "words",
                                              n->difference[i].words, "was", n->difference[i].was,
                                              "now", n->difference[i].now));
}

static nr_code tell_json(const outcome *o, nr_err *err)
{
    json_t *list = json_array();
    differences_json(list, &o->answer);
    differences_json(list, &o->file);
    json_t *root =
        json_pack("{s:s, s:s, s:b, s:I, s:I, s:b, s:i, s:i, s:s, s:o, s:o, s:o}", "program",
                  "noonfit", "version", NOONRUN_VERSION, "same", all_same(o), "numbers",
                  (json_int_t)(o->answer.numbers + o->file.numbers), "different",
                  (json_int_t)(o->answer.different + o->file.different), "words_differ",
                  o->answer.words || o->file.words, "exit_status_was", o->m.exit_status,
                  "exit_status", o->status, "version_was", o->m.version, "inputs",
                  files_json(o->m.input, o->input, o->m.inputs), "outputs",
                  files_json(o->m.output, o->output, o->m.outputs), "differences", list);
    if (!root || json_dumpf(root, stdout, JSON_INDENT(2))) {
        json_decref(root);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    putchar('\n');
    json_decref(root);
    return NR_OK;
}

/* ---- the command ---- */

static nr_code go_there(const char *path, const arguments *a, const nr_manifest *m, nr_err *err)
{
    char there[PATH_MAX];
    const char *slash = strrchr(path, '/');
    if (a->in)
        (void)snprintf(there, sizeof there, "%s", a->in);
    else if (m->run_in[0] == '/')
        return nr_fail(err, NR_BAD, path, 0, "run_in has to be seen from the manifest's folder");
    else
        (void)snprintf(there, sizeof there, "%.*s%s", slash ? (int)(slash - path + 1) : 0, path,
                       m->run_in);
    if (chdir(there))
        return nr_fail_errno(err, NR_BAD, there, errno,
                             "the folder it was run in is not there; --in FOLDER says where the "
                             "names in the manifest are looked for");
    return NR_OK;
}

static nr_code check(outcome *o, const char *path, const arguments *a, nr_err *err)
{
    nr_code code = nr_manifest_read(path, &o->m, err);
    if (code)
        return code;
    const nr_command *command = nr_noonfit_command(o->m.argument[0]);
    if (strcmp(o->m.program, "noonfit") || !command || command->alone)
        return nr_fail(err, NR_BAD, path, 0, "is of no command that this program could repeat");
    code = go_there(path, a, &o->m, err);
    if (code)
        return code;
    look_at_inputs(o);
    (void)snprintf(o->folder, sizeof o->folder, "/tmp/noonfit-check-XXXXXX");
    if (!mkdtemp(o->folder))
        return nr_fail_errno(err, NR_BAD, "/tmp", errno, "no place for what is thrown away");
    code = repeat(o, command, err);
    throw_away(o->folder);
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {0};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_check, argc, argv, &a, &words, err);
    if (code)
        return code;
    outcome *o = calloc(1, sizeof *o);
    if (!o)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    code = check(o, words.word[0], &a, err);
    if (!code && a.json)
        code = tell_json(o, err);
    else if (!code)
        tell(o);
    if (!code && !all_same(o)) {
        code = NR_CANNOT;
        err->text[0] = '\0'; /* all has been said */
    }
    nr_manifest_free(&o->m);
    free(o);
    return code;
}
