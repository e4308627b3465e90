/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/manifest/manifest.h"
#include "analyze/manifest/pdf.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

/* What analysis reads of a run folder, and what a page packs. */
static const char *const of_a_run[] = {"rig.ini", "readings.csv", "notes.csv", "adapter.log"};
#define OF_A_RUN (sizeof of_a_run / sizeof of_a_run[0])

nr_code nr_manifest_load(const char *path, char **bytes, size_t *length, nr_err *err)
{
    struct stat s;
    *bytes = NULL;
    *length = 0;
    FILE *from = fopen(path, "rbe");
    if (!from)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be read");
    nr_code code = NR_OK;
    if (fstat(fileno(from), &s) || !S_ISREG(s.st_mode) || s.st_size > (off_t)NR_PACKED_MOST)
        code = nr_fail(err, NR_BAD, path, 0, "no plain file of at most %lu bytes", NR_PACKED_MOST);
    size_t size = code ? 0 : (size_t)s.st_size;
    if (!code && !(*bytes = malloc(size + 1)))
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        *length = fread(*bytes, 1, size, from);
        (*bytes)[*length] = '\0';
        if (ferror(from))
            code = nr_fail(err, NR_BAD, path, 0, "cannot be read");
    }
    fclose(from);
    if (code) {
        free(*bytes);
        *bytes = NULL;
    }
    return code;
}

void nr_manifest_digest(const char *path, char *bytes, size_t length, char hex[NR_PACKED_DIGEST])
{
    size_t end = strlen(path), kept = length;
    bool pdf = end > 4 && !strcasecmp(path + end - 4, ".pdf");
    char *same = pdf ? nr_pdf_without_date(bytes, length, &kept) : NULL;
    if (pdf && !same)
        nr_pdf_blank_date(bytes, length);
    nr_packed_digest(same ? same : bytes, same ? kept : length, hex);
    free(same);
}

static nr_code add(nr_manifest_file **list, size_t *count, const char *path, long argument,
                   bool text, nr_err *err)
{
    char *bytes;
    if (!*list && !(*list = calloc(NR_MANIFEST_FILES, sizeof **list)))
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (*count == NR_MANIFEST_FILES)
        return nr_fail(err, NR_BAD, NULL, 0, "a manifest holds at most %d files",
                       NR_MANIFEST_FILES);
    nr_manifest_file *f = &(*list)[*count];
    nr_code code = nr_manifest_load(path, &bytes, &f->bytes, err);
    if (code)
        return code;
    nr_manifest_digest(path, bytes, f->bytes, f->sha256);
    f->argument = argument;
    f->path = strdup(path);
    if (text && f->bytes <= NR_MANIFEST_TEXT && !memchr(bytes, 0, f->bytes))
        f->text = bytes;
    else
        free(bytes);
    ++*count;
    return f->path ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

nr_code nr_manifest_add_output(nr_manifest *m, const char *path, long argument, bool text,
                               nr_err *err)
{
    return add(&m->output, &m->outputs, path, argument, text, err);
}

static bool kind_of(const char *path, bool *folder)
{
    struct stat s;
    if (stat(path, &s))
        return false;
    *folder = S_ISDIR(s.st_mode);
    return *folder || S_ISREG(s.st_mode);
}

/* The same file named twice is one input. */
static nr_code add_once(nr_manifest *m, const char *path, size_t *added, nr_err *err)
{
    bool folder;
    if (!kind_of(path, &folder) || folder)
        return NR_OK;
    ++*added;
    for (size_t i = 0; i < m->inputs; i++)
        if (!strcmp(m->input[i].path, path))
            return NR_OK;
    return add(&m->input, &m->inputs, path, -1, false, err);
}

static nr_code add_run(nr_manifest *m, const char *folder, size_t *added, nr_err *err)
{
    char path[NR_ERR_FILE + 32];
    size_t length = strlen(folder);
    while (length > 1 && folder[length - 1] == '/')
        length--;
    nr_code code = NR_OK;
    for (size_t i = 0; i < OF_A_RUN && !code; i++) {
        (void)snprintf(path, sizeof path, "%.*s/%s", (int)length, folder, of_a_run[i]);
        code = add_once(m, path, added, err);
    }
    return code;
}

static int visible(const struct dirent *e)
{
    return e->d_name[0] != '.';
}

/* A folder of run folders. */
static nr_code add_below(nr_manifest *m, const char *folder, size_t *added, nr_err *err)
{
    struct dirent **entry = NULL;
    int count = scandir(folder, &entry, visible, alphasort);
    nr_code code = NR_OK;
    for (int i = 0; i < count; i++) {
        char path[2 * NR_ERR_FILE];
        bool is_folder;
        (void)snprintf(path, sizeof path, "%s/%s", folder, entry[i]->d_name);
        if (!code && strlen(path) < NR_ERR_FILE && kind_of(path, &is_folder) && is_folder)
            code = add_run(m, path, added, err);
        free(entry[i]);
    }
    free(entry);
    return code;
}

nr_code nr_manifest_add_inputs(nr_manifest *m, const char *name, size_t *added, nr_err *err)
{
    char path[NR_ERR_FILE];
    bool folder;
    *added = 0;
    if (strlen(name) >= sizeof path)
        return NR_OK;
    strcpy(path, name);
    char *part = strrchr(path, '#'); /* PAGE.html#2 */
    if (!kind_of(path, &folder) && part) {
        *part = '\0';
        if (!nr_packed_is_page(path))
            return NR_OK;
    }
    if (!kind_of(path, &folder))
        return NR_OK;
    if (!folder)
        return add_once(m, path, added, err);
    nr_code code = add_run(m, path, added, err);
    if (!code && !*added)
        code = add_below(m, path, added, err);
    return code;
}

char *nr_manifest_way(const char *from, const char *to)
{
    size_t same = 0, at = 0;
    /* The common folders: up to a slash, or the end, of both. */
    while (from[at] && from[at] == to[at]) {
        at++;
        if ((from[at] == '/' || !from[at]) && (to[at] == '/' || !to[at]))
            same = at;
    }
    size_t ups = 0;
    for (const char *p = from + same; *p; p++)
        ups += *p == '/' && p[1];
    const char *down = to + same + (to[same] == '/');
    char *way = malloc(3 * ups + strlen(down) + 2);
    if (!way)
        return NULL;
    char *end = way;
    for (size_t i = 0; i < ups; i++)
        end = stpcpy(end, i ? "/.." : "..");
    if (*down) {
        if (ups)
            *end++ = '/';
        end = stpcpy(end, down);
    }
    if (end == way)
        end = stpcpy(end, ".");
    *end = '\0';
    return way;
}
