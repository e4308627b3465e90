/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A manifest written and read again, field by field; what is refused, key by key and limit by
 * limit; which files a name stands for, in folders of the test's own; numbers in drawn texts. */
#include "analyze/manifest/manifest.h"
#include "analyze/manifest/numbers.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <jansson.h>

#include <sys/stat.h>
#include <unistd.h>

/* FIPS 180-4, the example "abc" (from memory). */
#define SHA_OF_ABC "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

static char folder[64];
static nr_manifest m;
static nr_err err;

static void set_up(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-manifest-XXXXXX")));
    ck_assert_int_eq(chdir(folder), 0);
    memset(&m, 0, sizeof m);
}

static void tear_down(void)
{
    char command[96];
    nr_manifest_free(&m);
    ck_assert_int_eq(chdir("/"), 0);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static void put(const char *path, const char *bytes, size_t length)
{
    FILE *f = fopen(path, "wb");
    ck_assert_msg(f != NULL, "%s", path);
    ck_assert_uint_eq(fwrite(bytes, 1, length, f), length);
    ck_assert_int_eq(fclose(f), 0);
}

/* --- written and read again ------------------------------------------------------------------ */

static void fill(void)
{
    static const char *const word[] = {"fit", "run", "-o", "fit.svg"};
    put("abc", "abc", 3);
    put("with-zero", "a\0c", 3);
    m.program = strdup("noonfit");
    m.version = strdup("0.1.0");
    m.made_utc = strdup("2026-05-04T10:42:33Z");
    m.run_in = strdup("..");
    for (size_t i = 0; i < 4; i++)
        m.argument[m.arguments++] = strdup(word[i]);
    ck_assert(nr_manifest_add_pair(m.library, &m.libraries, NR_MANIFEST_LIBRARIES, "gsl", "2.7"));
    ck_assert(nr_manifest_add_pair(m.library, &m.libraries, NR_MANIFEST_LIBRARIES, "z", "1.2"));
    ck_assert(
        nr_manifest_add_pair(m.variable, &m.environment, NR_MANIFEST_ENVIRONMENT, "TZ", NULL));
    m.has_seed = true;
    m.seed = 7;
    m.exit_status = 2;
    m.answer = strdup("abc");
    m.answer_bytes = 3;
    size_t added;
    ck_assert_int_eq(nr_manifest_add_inputs(&m, "abc", &added, &err), NR_OK);
    ck_assert_uint_eq(added, 1);
    ck_assert_int_eq(nr_manifest_add_output(&m, "abc", 3, true, &err), NR_OK);
    ck_assert_int_eq(nr_manifest_add_output(&m, "with-zero", -1, true, &err), NR_OK);
    ck_assert_int_eq(nr_manifest_add_output(&m, "abc", 2, false, &err), NR_OK);
    m.output[0].before = strdup("it was");
}

static void same_text(const char *what, const char *got, const char *due)
{
    if (due == NULL)
        ck_assert_msg(got == NULL, "%s: %s for nothing", what, got);
    else
        ck_assert_msg(got != NULL && strcmp(got, due) == 0, "%s: %s for %s", what,
                      got ? got : "nothing", due);
}

static void same_files(const nr_manifest_file *a, const nr_manifest_file *b, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        same_text("path", a[i].path, b[i].path);
        same_text("text", a[i].text, b[i].text);
        same_text("before", a[i].before, b[i].before);
        ck_assert_str_eq(a[i].sha256, b[i].sha256);
        ck_assert_uint_eq(a[i].bytes, b[i].bytes);
        ck_assert_int_eq(a[i].argument, b[i].argument);
    }
}

static void same_manifest(const nr_manifest *a, const nr_manifest *b)
{
    same_text("program", a->program, b->program);
    same_text("version", a->version, b->version);
    same_text("made_utc", a->made_utc, b->made_utc);
    same_text("run_in", a->run_in, b->run_in);
    same_text("answer", a->answer, b->answer);
    ck_assert_uint_eq(a->answer_bytes, b->answer_bytes);
    ck_assert(a->has_seed == b->has_seed && a->seed == b->seed);
    ck_assert_int_eq(a->exit_status, b->exit_status);
    ck_assert(a->libraries == b->libraries && a->environment == b->environment);
    for (size_t i = 0; i < a->libraries; i++) {
        same_text("library", a->library[i].name, b->library[i].name);
        same_text("library's", a->library[i].value, b->library[i].value);
    }
    for (size_t i = 0; i < a->environment; i++) {
        same_text("variable", a->variable[i].name, b->variable[i].name);
        same_text("variable's", a->variable[i].value, b->variable[i].value);
    }
    ck_assert_uint_eq(a->arguments, b->arguments);
    for (size_t i = 0; i < a->arguments; i++)
        same_text("argument", a->argument[i], b->argument[i]);
    ck_assert(a->inputs == b->inputs && a->outputs == b->outputs);
    same_files(a->input, b->input, a->inputs);
    same_files(a->output, b->output, a->outputs);
}

START_TEST(written_and_read)
{
    nr_manifest back;
    fill();
    ck_assert_str_eq(m.input[0].sha256, SHA_OF_ABC);
    ck_assert_str_eq(m.output[0].sha256, SHA_OF_ABC);
    ck_assert_uint_eq(m.output[0].bytes, 3);
    ck_assert_int_eq(m.input[0].argument, -1);
    same_text("of an input", m.input[0].text, NULL);
    same_text("of an output", m.output[0].text, "abc");
    same_text("with a zero in it", m.output[1].text, NULL);
    same_text("not asked for", m.output[2].text, NULL);
    for (int seed = 1; seed >= 0; seed--) {
        m.has_seed = seed;
        m.seed = 7 * seed;
        ck_assert_int_eq(nr_manifest_write("m.json", &m, &err), NR_OK);
        ck_assert_msg(nr_manifest_read("m.json", &back, &err) == NR_OK, "%s", err.text);
        same_manifest(&back, &m);
        nr_manifest_free(&back);
        ck_assert(back.program == NULL && back.arguments == 0 && back.output == NULL);
    }
}
END_TEST

/* By another reader: keys as the header has them, in that order; what is no UTF-8 is not kept. */
START_TEST(keys_of_a_document)
{
    static const char *const keys[] = {
        "manifest", "program",     "version", "made_utc", "libraries",   "run_in", "arguments",
        "seed",     "environment", "inputs",  "outputs",  "exit_status", "answer"};
    const char *key, *text;
    json_t *value;
    size_t n = 0;
    fill();
    free(m.output[0].text);
    m.output[0].text = strdup("\xff");
    ck_assert_int_eq(nr_manifest_write("m.json", &m, &err), NR_OK);
    json_t *root = json_load_file("m.json", 0, NULL);
    ck_assert_ptr_nonnull(root);
    json_object_foreach(root, key, value)
    {
        ck_assert_uint_lt(n, 13);
        ck_assert_str_eq(key, keys[n++]);
    }
    ck_assert_uint_eq(n, 13);
    ck_assert_int_eq(json_integer_value(json_object_get(root, "manifest")), 1);
    value = json_object_get(root, "answer");
    text = json_string_value(json_object_get(value, "sha256"));
    ck_assert_str_eq(text, SHA_OF_ABC);
    ck_assert_str_eq(json_string_value(json_object_get(value, "text")), "abc");
    value = json_array_get(json_object_get(root, "outputs"), 0);
    ck_assert_uint_eq(json_object_size(value), 6);
    ck_assert(json_is_null(json_object_get(value, "text")));
    ck_assert_str_eq(json_string_value(json_object_get(value, "before")), "it was");
    ck_assert_uint_eq(json_object_size(json_array_get(json_object_get(root, "inputs"), 0)), 3);
    ck_assert(json_is_null(json_object_get(json_object_get(root, "environment"), "TZ")));
    json_decref(root);
    struct stat s;
    ck_assert_int_eq(stat("m.json", &s), 0);
    char *bytes;
    size_t length;
    ck_assert_int_eq(nr_manifest_load("m.json", &bytes, &length, &err), NR_OK);
    ck_assert(length == (size_t)s.st_size && bytes[length] == '\0' && bytes[length - 1] == '\n');
    free(bytes);
}
END_TEST

/* --- what is refused ------------------------------------------------------------------------- */

static json_t *good_document(void)
{
    fill();
    ck_assert_int_eq(nr_manifest_write("m.json", &m, &err), NR_OK);
    json_t *root = json_load_file("m.json", 0, NULL);
    ck_assert_ptr_nonnull(root);
    return root;
}

static nr_code parsed(const json_t *root)
{
    nr_manifest back;
    char *text = json_dumps(root, 0);
    ck_assert_ptr_nonnull(text);
    nr_code code = nr_manifest_parse(text, strlen(text), "m.json", &back, &err);
    free(text);
    /* An error leaves nothing to free, but it may be freed. */
    ck_assert(code == NR_OK || (back.program == NULL && back.outputs == 0));
    nr_manifest_free(&back);
    return code;
}

/* Each key left out, and with a value that it cannot have. */
START_TEST(keys_missing_or_wrong)
{
    static const struct {
        const char *key;
        bool needed, any; /* any: a wrong kind counts as absent */
    } of[] = {{"manifest", true, false},  {"program", true, false}, {"version", true, false},
              {"made_utc", false, true},  {"run_in", true, false},  {"arguments", true, false},
              {"libraries", false, true}, {"seed", false, false},   {"environment", false, true},
              {"inputs", true, false},    {"outputs", true, false}, {"exit_status", false, false},
              {"answer", true, false}};
    json_t *root = good_document();
    ck_assert_int_eq(parsed(root), NR_OK);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        json_t *without = json_copy(root);
        ck_assert_int_eq(json_object_del(without, of[i].key), 0);
        ck_assert_msg(parsed(without) == (of[i].needed ? NR_BAD : NR_OK), "without %s", of[i].key);
        json_object_set_new(without, of[i].key, json_real(0.5));
        ck_assert_msg(parsed(without) == (of[i].any ? NR_OK : NR_BAD), "%s 0.5", of[i].key);
        json_decref(without);
    }
    json_object_set_new(root, "manifest", json_integer(2));
    ck_assert_int_eq(parsed(root), NR_BAD);
    json_decref(root);
}
END_TEST

static void set_of_file(json_t *root, const char *list, const char *key, json_t *value, nr_code due)
{
    json_t *copy = json_deep_copy(root);
    json_object_set_new(json_array_get(json_object_get(copy, list), 0), key, value);
    ck_assert_msg(parsed(copy) == due, "%s of %s", key, list);
    json_decref(copy);
}

START_TEST(files_that_are_wrong)
{
    char sha[70];
    json_t *root = good_document();
    static const char *const lists[] = {"inputs", "outputs"};
    for (size_t i = 0; i < 2; i++)
        for (int length = 63; length <= 65; length++) {
            (void)snprintf(sha, sizeof sha, "%0*d", length, 0);
            set_of_file(root, lists[i], "sha256", json_string(sha), length == 64 ? NR_OK : NR_BAD);
            set_of_file(root, lists[i], "path", json_null(), NR_BAD);
            set_of_file(root, lists[i], "text", json_null(), NR_OK);
            set_of_file(root, lists[i], "argument", json_integer(3), NR_OK);
            set_of_file(root, lists[i], "argument", json_integer(4), NR_BAD);
        }
    json_decref(root);
}
END_TEST

static json_t *repeated(json_t *one, size_t count)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append(list, one);
    return list;
}

static json_t *named(size_t count)
{
    json_t *o = json_object();
    for (size_t i = 0; i < count; i++) {
        char name[24];
        (void)snprintf(name, sizeof name, "n%zu", i);
        json_object_set_new(o, name, i % 2 ? json_string("v") : json_null());
    }
    return o;
}

/* As many as there may be, and one more. */
START_TEST(as_many_as_there_may_be)
{
    json_t *root = good_document();
    json_t *file = json_array_get(json_object_get(root, "outputs"), 0);
    json_t *word = json_string("w");
    for (size_t more = 0; more < 2; more++) {
        const struct {
            const char *key;
            json_t *value;
        } of[] = {{"arguments", repeated(word, 512 + more)},
                  {"inputs", repeated(file, 512 + more)},
                  {"outputs", repeated(file, 512 + more)},
                  {"libraries", named(8 + more)},
                  {"environment", named(8 + more)}};
        for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
            json_t *copy = json_copy(root);
            json_object_set_new(copy, of[i].key, of[i].value);
            ck_assert_msg(parsed(copy) == (more ? NR_BAD : NR_OK), "%zu more %s", more, of[i].key);
            json_decref(copy);
        }
    }
    json_object_set_new(root, "outputs", json_array()); /* which name places of arguments */
    ck_assert_int_eq(parsed(root), NR_OK);
    json_object_set_new(root, "arguments", json_array());
    ck_assert_int_eq(parsed(root), NR_BAD);
    json_object_set_new(root, "arguments", json_pack("[i]", 1));
    ck_assert_int_eq(parsed(root), NR_BAD);
    json_object_set_new(root, "arguments", json_pack("[s]", "fit"));
    json_object_set_new(root, "inputs", json_object());
    ck_assert_int_eq(parsed(root), NR_BAD);
    json_decref(root);
    json_decref(word);
    nr_manifest none;
    ck_assert_int_eq(nr_manifest_parse("{}", NR_MANIFEST_MOST + 1, "m.json", &none, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "too long"));
    ck_assert_int_eq(nr_manifest_parse("{\"a\": 1, \"a\": 1}", 16, "m.json", &none, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "no manifest: "));
    ck_assert_int_eq(nr_manifest_read("nowhere.json", &none, &err), NR_BAD);
    /* More pairs than there is room for. */
    nr_manifest_pair pair[2];
    size_t count = 0;
    ck_assert(nr_manifest_add_pair(pair, &count, 2, "a", "1"));
    ck_assert(nr_manifest_add_pair(pair, &count, 2, "b", NULL));
    ck_assert(!nr_manifest_add_pair(pair, &count, 2, "c", "3") && count == 2);
    for (size_t i = 0; i < 2; i++) {
        free(pair[i].name);
        free(pair[i].value);
    }
}
END_TEST

/* --- files ----------------------------------------------------------------------------------- */

START_TEST(files_that_are_kept)
{
    char *bytes;
    size_t length;
    /* 524,288 bytes of text are kept, one more are not. */
    char *text = malloc(524289);
    ck_assert_ptr_nonnull(text);
    memset(text, 'x', 524289);
    put("long", text, 524289);
    put("just", text, 524288);
    free(text);
    ck_assert_int_eq(nr_manifest_add_output(&m, "just", 0, true, &err), NR_OK);
    ck_assert_int_eq(nr_manifest_add_output(&m, "long", 0, true, &err), NR_OK);
    ck_assert(m.output[0].text != NULL && strlen(m.output[0].text) == 524288);
    ck_assert(m.output[1].text == NULL && m.output[1].bytes == 524289);
    /* A file that is too long is not read; a folder is none, nor is what is not there. */
    put("sparse", "", 0);
    ck_assert_int_eq(truncate("sparse", (off_t)NR_PACKED_MOST + 1), 0);
    static const char *const none[] = {"sparse", ".", "nowhere"};
    for (size_t i = 0; i < 3; i++) {
        bytes = (char *)none;
        length = 9;
        ck_assert_int_eq(nr_manifest_load(none[i], &bytes, &length, &err), NR_BAD);
        ck_assert(bytes == NULL && length == 0);
        ck_assert_int_eq(nr_manifest_add_output(&m, none[i], 0, true, &err), NR_BAD);
    }
    ck_assert_uint_eq(m.outputs, 2);
    put("a", "a", 1);
    for (size_t i = 2; i < 512; i++)
        ck_assert_int_eq(nr_manifest_add_output(&m, "a", -1, false, &err), NR_OK);
    ck_assert_int_eq(nr_manifest_add_output(&m, "a", -1, false, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "at most 512 files"));
    ck_assert_uint_eq(m.outputs, 512);
}
END_TEST

static void run_folder(const char *name, const char *without)
{
    static const char *const file[] = {"rig.ini", "readings.csv", "notes.csv", "adapter.log",
                                       "results.json"};
    char path[128];
    ck_assert_int_eq(mkdir(name, 0700), 0);
    for (size_t i = 0; i < 5; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", name, file[i]);
        if (strcmp(file[i], without) != 0)
            put(path, name, strlen(name));
    }
}

/* What a name has added, one after another; NULL ends it. */
static void adds(const char *name, const char *const *due)
{
    size_t added = 99, had = m.inputs, n = 0;
    ck_assert_msg(nr_manifest_add_inputs(&m, name, &added, &err) == NR_OK, "%s", err.text);
    while (due[n] != NULL)
        n++;
    ck_assert_msg(added == n, "%s: %zu for %zu", name, added, n);
    ck_assert_msg(m.inputs == had + n, "%s", name);
    for (size_t i = 0; i < n; i++) {
        ck_assert_str_eq(m.input[had + i].path, due[i]);
        ck_assert_int_eq(m.input[had + i].argument, -1);
    }
}

START_TEST(what_a_name_stands_for)
{
    static const char *const none[] = {NULL};
    size_t added;
    run_folder("one", "");
    run_folder("two", "notes.csv");
    ck_assert_int_eq(mkdir("all", 0700), 0);
    ck_assert_int_eq(mkdir("all/empty", 0700), 0);
    run_folder("all/b", "adapter.log");
    run_folder("all/a", "readings.csv");
    run_folder("all/.hidden", "");
    put("all/rig.txt", "x", 1);
    put("page.html", "<!DOCTYPE html>", 15);
    put("odd#2", "x", 1);
    put("rig.csv", "x", 1);
    adds("one/", (const char *const[]){"one/rig.ini", "one/readings.csv", "one/notes.csv",
                                       "one/adapter.log", NULL});
    adds("two", (const char *const[]){"two/rig.ini", "two/readings.csv", "two/adapter.log", NULL});
    adds("all",
         (const char *const[]){"all/a/rig.ini", "all/a/notes.csv", "all/a/adapter.log",
                               "all/b/rig.ini", "all/b/readings.csv", "all/b/notes.csv", NULL});
    adds("all/empty", none);
    adds("nowhere", none);
    adds("page.html#2", (const char *const[]){"page.html", NULL});
    adds("rig.csv#2", none); /* no page */
    adds("odd#2", (const char *const[]){"odd#2", NULL});
    /* Once more: named, and not added again. */
    size_t had = m.inputs;
    ck_assert_int_eq(nr_manifest_add_inputs(&m, "one", &added, &err), NR_OK);
    ck_assert(added == 4 && m.inputs == had);
    char longer[NR_ERR_FILE + 1];
    memset(longer, 'n', sizeof longer - 1);
    longer[NR_ERR_FILE] = '\0';
    adds(longer, none);
}
END_TEST

/* --- numbers --------------------------------------------------------------------------------- */

static const char *const spelled[] = {"0",    "7",    "12.50", "-3", "+4.1",  "1e5",
                                      "2E-3", "-6.e", "0.726", ".5", "1e+12", "100"};
static const char *const between[] = {" K, ", " .. ", "\n", "; ", " W/(m2 K)\n", " eta0 ", " % "};

/* The beginning of a difference's line, as far as there is room for it. */
static void line_is(const nr_number_difference *d, const char *text)
{
    for (size_t i = 1; i < d->line; i++)
        text = strchr(text, '\n') + 1;
    size_t length = strcspn(text, "\n");
    length = length < sizeof d->words - 1 ? length : sizeof d->words - 1;
    ck_assert_msg(strlen(d->words) == length && strncmp(d->words, text, length) == 0, "%s of %s",
                  d->words, text);
}

/* Texts of which the test knows every number; some are spelled otherwise in the second. */
START_TEST(numbers_drawn)
{
    uint64_t chance = 5;
    for (int round = 0; round < 200; round++) {
        char was[2000] = "a1 ", now[2000] = "a1 ";
        size_t line = 1, different = 0, count = 1 + chance_below(&chance, 40), at_line[41];
        const char *old[41], *new[41];
        for (size_t k = 0; k < count; k++) {
            unsigned a = chance_below(&chance, 12), other = chance_below(&chance, 12);
            unsigned turned = chance_below(&chance, 4), gap = chance_below(&chance, 7);
            if (a == 7) /* "-6.e": a number, then a point and a letter */
                a = 0;
            unsigned b = turned == 0 && other != 7 ? other : a;
            strcat(strcat(was, spelled[a]), between[gap]);
            strcat(strcat(now, spelled[b]), between[gap]);
            if (a != b) {
                at_line[different] = line;
                old[different] = spelled[a];
                new[different++] = spelled[b];
            }
            line += strchr(between[gap], '\n') != NULL;
        }
        nr_numbers n;
        nr_numbers_compare(was, now, &n);
        ck_assert_msg(n.numbers == count && n.different == different && !n.words, "%s|%s", was,
                      now);
        ck_assert_uint_eq(n.kept, different < 20 ? different : 20);
        for (size_t k = 0; k < n.kept; k++) {
            ck_assert_uint_eq(n.difference[k].line, at_line[k]);
            line_is(&n.difference[k], was);
            ck_assert_str_eq(n.difference[k].was, old[k]);
            ck_assert_str_eq(n.difference[k].now, new[k]);
        }
        /* A word more: told at the place of the last one kept. */
        strcat(now, "end");
        nr_numbers_compare(was, now, &n);
        ck_assert(n.words && n.different == different);
        ck_assert_uint_eq(n.kept, different < 20 ? different + 1 : 20);
        ck_assert_str_eq(n.difference[n.kept - 1].was, "");
        ck_assert_str_eq(n.difference[n.kept - 1].now, "end");
        ck_assert_uint_eq(n.difference[n.kept - 1].line, line);
    }
}
END_TEST

/* What is one number, a word, or both: how many numbers a text holds. */
START_TEST(where_numbers_begin)
{
    static const struct {
        const char *text;
        size_t numbers;
    } of[] = {{"", 0},        {"-", 0},   {"+ 1", 1},     {"a1", 0},    {"a_1", 0},    {"_1", 0},
              {"\u03b71", 0}, {"1a", 1},  {"1.", 1},      {".5", 1},    {"1.5.6", 1},  {"1..2", 1},
              {"1-2", 2},     {"1e5", 1}, {"1e", 1},      {"1e+", 1},   {"1e+5", 1},   {"1.e5", 1},
              {"(3)", 1},     {"3,4", 2}, {"2026-05", 2}, {"10:42", 2}, {"-.5e-3", 1}, {"e5", 0},
              {"5e5e5", 1},   {"--1", 1}, {"1 2\n3", 3},  {"x.5", 0},   {"1.5-2.5", 2}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_numbers n;
        nr_numbers_compare(of[i].text, of[i].text, &n);
        ck_assert_msg(n.numbers == of[i].numbers && !n.different && !n.words, "%s: %zu", of[i].text,
                      n.numbers);
    }
}
END_TEST

/* Blanks move with the width of numbers; where words stand, they are told with their line. */
START_TEST(words_between_numbers)
{
    static const struct {
        const char *was, *now;
        bool words;
        size_t line;
        const char *at_was, *at_now;
    } of[] = {{"x   9 K", "x  10 K", false, 1, "9", "10"},
              {"x 9\n K", "x 10 \n\n  K", false, 1, "9", "10"},
              {"x 1 K\ny 2 K", "x 1 K\ny 2 W", true, 2, "K", "W"},
              {"x 1", "x 1 2", true, 1, "", "2"},
              {"x\nnull\n", "x\n3\n", true, 2, "null", "3"},
              {"1 2", "1 x", true, 1, "2", "x"},
              {" a", "a", true, 1, " a", "a"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_numbers n;
        nr_numbers_compare(of[i].was, of[i].now, &n);
        ck_assert_msg(n.words == of[i].words && n.kept == 1, "%s|%s", of[i].was, of[i].now);
        ck_assert_uint_eq(n.difference[0].line, of[i].line);
        line_is(&n.difference[0], of[i].was);
        ck_assert_str_eq(n.difference[0].was, of[i].at_was);
        ck_assert_str_eq(n.difference[0].now, of[i].at_now);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {written_and_read,
                                  keys_of_a_document,
                                  keys_missing_or_wrong,
                                  files_that_are_wrong,
                                  as_many_as_there_may_be,
                                  files_that_are_kept,
                                  what_a_name_stands_for,
                                  numbers_drawn,
                                  where_numbers_begin,
                                  words_between_numbers,
                                  NULL};
    return run_tests_in("manifest's files", tests, set_up, tear_down);
}
