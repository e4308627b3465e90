/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/import_page.h"

#include "logger/base/text.h"
#include "logger/packed/packed.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* "a.html#2" -> "a.html" and 2; without '#', 0. */
static bool split(const char *name, char path[NR_ERR_FILE], long *run)
{
    *run = 0;
    if (!nr_copy(path, NR_ERR_FILE, name))
        return false;
    if (nr_packed_is_page(path))
        return true;
    char *hash = strrchr(path, '#');
    if (!hash || !nr_parse_long(hash + 1, 1, NR_PACKED_RUNS, run))
        return false;
    *hash = '\0';
    return nr_packed_is_page(path);
}

bool nr_import_is_page(const char *name)
{
    char path[NR_ERR_FILE];
    long run;
    return split(name, path, &run);
}

static const nr_packed_file *rig_of(const nr_packed *p, unsigned run)
{
    return nr_packed_find(p, run, "rig.ini");
}

/* FOLDER/NAME of a run; two of one name get a number. */
static nr_code inner_folder(const nr_packed *p, unsigned run, const char *folder,
                            char out[NR_ERR_FILE], nr_err *err)
{
    unsigned twins = 0;
    for (unsigned r = 1; r < run; r++)
        twins += strcmp(rig_of(p, r)->folder, rig_of(p, run)->folder) == 0;
    int n = twins > 0
                ? snprintf(out, NR_ERR_FILE, "%s/%s-%u", folder, rig_of(p, run)->folder, twins + 1)
                : snprintf(out, NR_ERR_FILE, "%s/%s", folder, rig_of(p, run)->folder);
    return n > 0 && n < NR_ERR_FILE ? NR_OK
                                    : nr_fail(err, NR_BAD, folder, 0, "the path is too long");
}

static nr_code one(const nr_packed *p, unsigned run, const char *folder, bool preview, nr_err *err)
{
    nr_code code = preview ? NR_OK : nr_packed_unpack(p, run, folder, err);
    if (code == NR_OK)
        printf("%s: run %u of the page (%s), checksums right\n", folder, run,
               rig_of(p, run)->folder);
    return code;
}

static nr_code all(const nr_packed *p, const char *folder, bool preview, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = NR_OK;
    unsigned run = 1;
    if (!preview && mkdir(folder, 0777) != 0)
        return nr_fail_errno(err, NR_BAD, folder, errno, "cannot be made; name a new folder");
    for (; run <= p->runs && code == NR_OK; run++) {
        code = inner_folder(p, run, folder, path, err);
        if (code == NR_OK)
            code = one(p, run, path, preview, err);
    }
    if (code != NR_OK && run == 2 && !preview)
        (void)rmdir(folder); /* the first already failed: nothing is in it */
    return code;
}

nr_code nr_import_page(const char *name, const char *folder, bool preview, nr_err *err)
{
    char path[NR_ERR_FILE];
    long run;
    nr_packed *p;
    if (!split(name, path, &run))
        return nr_fail(err, NR_BAD, name, 0, "is no page");
    nr_code code = nr_packed_read(path, &p, err);
    if (code != NR_OK)
        return code;
    if ((unsigned long)run > p->runs)
        code = nr_fail(err, NR_BAD, path, 0, "has %u runs, no run %ld", p->runs, run);
    else if (run == 0 && p->runs > 1)
        code = all(p, folder, preview, err);
    else
        code = one(p, run > 0 ? (unsigned)run : 1, folder, preview, err);
    nr_packed_free(p);
    return code;
}
