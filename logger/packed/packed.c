/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/packed/inside.h"

#include "logger/base/replace.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <nettle/base16.h>
#include <nettle/sha2.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

const char *const nr_packed_names[NR_PACKED_NAMES] = {"rig.ini",      "readings.csv", "notes.csv",
                                                      "adapter.log",  "results.json", NR_PACKED_HOW,
                                                      NR_PACKED_TABLE};
#define OF_A_FOLDER 4 /* of these names, at its top */
#define IMPORTED "imported"

bool nr_packed_is_page(const char *path)
{
    const char *dot = strrchr(path, '.');
    return dot && (strcasecmp(dot, ".html") == 0 || strcasecmp(dot, ".htm") == 0);
}

void nr_packed_digest(const void *bytes, size_t length, char hex[NR_PACKED_DIGEST])
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    struct sha256_ctx sha;
    sha256_init(&sha);
    sha256_update(&sha, length, bytes);
    sha256_digest(&sha, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    hex[NR_PACKED_DIGEST - 1] = '\0';
}

void nr_packed_folder_name(const char *path, char out[NR_PACKED_NAME])
{
    size_t end = strlen(path);
    while (end > 0 && path[end - 1] == '/')
        end--;
    size_t from = end;
    while (from > 0 && path[from - 1] != '/')
        from--;
    nr_clean(out, NR_PACKED_NAME, path + from, end - from);
    if (!out[0] || strcmp(out, ".") == 0 || strcmp(out, "..") == 0)
        nr_copy(out, NR_PACKED_NAME, "run");
}

const nr_packed_file *nr_packed_find(const nr_packed *p, unsigned run, const char *name)
{
    for (size_t i = 0; i < p->files; i++)
        if (p->file[i].run == run && strcmp(p->file[i].name, name) == 0)
            return &p->file[i];
    return NULL;
}

void nr_packed_free(nr_packed *p)
{
    if (!p)
        return;
    for (size_t i = 0; i < p->files; i++)
        free(p->file[i].bytes);
    free(p->file);
    free(p);
}

bool nr_packed_table_name(const char *how, size_t length, char out[NR_PACKED_TABLE_NAME])
{
    static const char key[] = "table = ";
    const char *end = how + length, *line = how;
    while (line < end && strncmp(line, key, sizeof key - 1) != 0) {
        const char *next = memchr(line, '\n', (size_t)(end - line));
        line = next ? next + 1 : end;
    }
    if (line >= end)
        return false;
    line += sizeof key - 1;
    size_t n = strcspn(line, "\r\n");
    char clean[NR_PACKED_TABLE_NAME];
    if (n == 0 || n >= sizeof clean || memchr(line, '/', n) || line[0] == '.')
        return false;
    (void)snprintf(out, NR_PACKED_TABLE_NAME, "%.*s", (int)n, line);
    nr_clean(clean, sizeof clean, out, n);
    return strcmp(clean, out) == 0 && strcmp(out, "how.ini") != 0;
}

/* --- a folder again -------------------------------------------------------------------------- */

static nr_code write_file(int folder_fd, const nr_packed_file *f, const char *name, nr_err *err)
{
    int fd = openat(folder_fd, name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, f->name, errno, "cannot be made");
    int why = !nr_write_all(fd, f->bytes, f->length) || fsync(fd) != 0 ? errno : 0;
    (void)close(fd);
    return why ? nr_fail_errno(err, NR_BAD, f->name, why, "cannot be written") : NR_OK;
}

/* The table of an import and how it was read, where the page has them. name: the table's, to be
 * removed again when something fails; "" none. */
static nr_code unpack_import(const nr_packed *p, unsigned run, int folder_fd,
                             char name[NR_PACKED_TABLE_NAME], nr_err *err)
{
    const nr_packed_file *how = nr_packed_find(p, run, NR_PACKED_HOW);
    const nr_packed_file *table = nr_packed_find(p, run, NR_PACKED_TABLE);
    name[0] = '\0';
    if (!how || !table)
        return NR_OK;
    if (!nr_packed_table_name(how->bytes, how->length, name)) {
        name[0] = '\0';
        return nr_fail(err, NR_BAD, NR_PACKED_HOW, 0, "does not name its table");
    }
    if (mkdirat(folder_fd, IMPORTED, 0777) != 0)
        return nr_fail_errno(err, NR_BAD, IMPORTED, errno, "cannot be made");
    int fd = openat(folder_fd, IMPORTED, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, IMPORTED, errno, "cannot be opened");
    nr_code code = write_file(fd, how, "how.ini", err);
    if (code == NR_OK)
        code = write_file(fd, table, name, err);
    if (code == NR_OK && fsync(fd) != 0)
        code = nr_fail_errno(err, NR_BAD, IMPORTED, errno, "cannot be written");
    (void)close(fd);
    return code;
}

static void remove_files(int folder_fd, const char *table)
{
    int fd = openat(folder_fd, IMPORTED, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)unlinkat(fd, "how.ini", 0);
        if (table[0])
            (void)unlinkat(fd, table, 0);
        (void)close(fd);
        (void)unlinkat(folder_fd, IMPORTED, AT_REMOVEDIR);
    }
    for (int i = 0; i < OF_A_FOLDER; i++)
        (void)unlinkat(folder_fd, nr_packed_names[i], 0);
}

nr_code nr_packed_unpack(const nr_packed *p, unsigned run, const char *folder, nr_err *err)
{
    if (mkdir(folder, 0777) != 0)
        return nr_fail_errno(err, NR_BAD, folder, errno,
                             errno == EEXIST ? "is there already; name a new folder"
                                             : "cannot be made");
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    nr_code code = fd < 0 ? nr_fail_errno(err, NR_BAD, folder, errno, "cannot be opened") : NR_OK;
    for (int i = 0; code == NR_OK && i < OF_A_FOLDER; i++) {
        const nr_packed_file *f = nr_packed_find(p, run, nr_packed_names[i]);
        if (f)
            code = write_file(fd, f, f->name, err);
    }
    char table[NR_PACKED_TABLE_NAME] = "";
    if (code == NR_OK)
        code = unpack_import(p, run, fd, table, err);
    if (code == NR_OK && fsync(fd) != 0)
        code = nr_fail_errno(err, NR_BAD, folder, errno, "cannot be written");
    if (code != NR_OK && fd >= 0)
        remove_files(fd, table);
    if (fd >= 0)
        (void)close(fd);
    if (code != NR_OK)
        (void)rmdir(folder);
    return code;
}
