/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/packed/inside.h"

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

const char *const nr_packed_names[NR_PACKED_NAMES] = {"rig.ini", "readings.csv", "notes.csv",
                                                      "adapter.log", "results.json"};
#define OF_A_FOLDER 4 /* of these names */

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

/* --- a folder again -------------------------------------------------------------------------- */

static nr_code write_file(int folder_fd, const nr_packed_file *f, nr_err *err)
{
    int fd = openat(folder_fd, f->name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, f->name, errno, "cannot be made");
    size_t done = 0;
    while (done < f->length) {
        ssize_t n = write(fd, f->bytes + done, f->length - done);
        if (n < 0 && errno != EINTR)
            break;
        done += n > 0 ? (size_t)n : 0;
    }
    int why = done < f->length || fsync(fd) != 0 ? errno : 0;
    (void)close(fd);
    return why ? nr_fail_errno(err, NR_BAD, f->name, why, "cannot be written") : NR_OK;
}

static void remove_files(int folder_fd)
{
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
            code = write_file(fd, f, err);
    }
    if (code == NR_OK && fsync(fd) != 0)
        code = nr_fail_errno(err, NR_BAD, folder, errno, "cannot be written");
    if (code != NR_OK && fd >= 0)
        remove_files(fd);
    if (fd >= 0)
        (void)close(fd);
    if (code != NR_OK)
        (void)rmdir(folder);
    return code;
}
