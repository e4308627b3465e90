/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A simulated run as a run folder: built under another name beside it, renamed when complete. */
#include "sample-runs/rig/virtual.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define ROW_SIZE 4096

typedef struct place {
    char folder[NR_ERR_FILE]; /* the temporary one */
    char path[NR_ERR_FILE + 32];
} place;

static FILE *open_in(place *at, const char *name, nr_err *err)
{
    snprintf(at->path, sizeof at->path, "%s/%s", at->folder, name);
    FILE *f = fopen(at->path, "wx");
    if (!f) {
        nr_fail_errno(err, NR_BAD, at->path, errno, "cannot be written");
    }
    return f;
}

static nr_code close_it(const place *at, FILE *f, nr_err *err)
{
    bool failed = ferror(f) != 0;
    if (fclose(f) != 0 || failed) {
        return nr_fail_errno(err, NR_BAD, at->path, errno, "could not be written whole");
    }
    return NR_OK;
}

static nr_code write_rig(place *at, const char *text, nr_err *err)
{
    FILE *f = open_in(at, NR_RIG_FILE, err);
    if (!f) {
        return NR_BAD;
    }
    fputs(text, f);
    return close_it(at, f, err);
}

static nr_code write_readings(place *at, const nr_run *run, nr_err *err)
{
    FILE *f = open_in(at, NR_READINGS_FILE, err);
    if (!f) {
        return NR_BAD;
    }
    const nr_readings *r = run->readings;
    char line[ROW_SIZE];
    double value[NR_RIG_CHANNELS];
    size_t length = nr_readings_header(&run->rig, line, sizeof line);
    fwrite(line, 1, length, f);
    for (size_t i = 0; i < r->rows && length > 0; i++) {
        for (size_t c = 0; c < r->columns; c++) {
            value[c] = r->column[c].value[i];
        }
        length = nr_readings_row(&run->rig, r->utc_s[i], r->elapsed_s[i], value, line, sizeof line);
        fwrite(line, 1, length, f);
    }
    nr_code code = close_it(at, f, err);
    if (code == NR_OK && length == 0) {
        return nr_fail(err, NR_BAD, at->path, 0, "a row is longer than %d characters", ROW_SIZE);
    }
    return code;
}

static nr_code write_notes(place *at, const nr_run *run, nr_err *err)
{
    FILE *f = open_in(at, NR_NOTES_FILE, err);
    if (!f) {
        return NR_BAD;
    }
    char line[ROW_SIZE];
    fputs(NR_NOTES_HEADER, f);
    for (size_t i = 0; i < run->notes->count; i++) {
        size_t length = nr_notes_row(&run->notes->note[i], line, sizeof line);
        fwrite(line, 1, length, f);
    }
    return close_it(at, f, err);
}

static void take_away(place *at)
{
    static const char *const names[] = {NR_RIG_FILE, NR_READINGS_FILE, NR_NOTES_FILE};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(at->path, sizeof at->path, "%s/%s", at->folder, names[i]);
        unlink(at->path);
    }
    rmdir(at->folder);
}

nr_code nr_virtual_write_folder(const nr_run *run, const char *rig_text, const char *folder,
                                nr_err *err)
{
    place at;
    struct stat there;
    if (lstat(folder, &there) == 0) {
        return nr_fail(err, NR_BAD, folder, 0, "exists; a run is never overwritten");
    }
    int needed = snprintf(at.folder, sizeof at.folder, "%s.part-XXXXXX", folder);
    if (needed < 0 || (size_t)needed >= sizeof at.folder) {
        return nr_fail(err, NR_BAD, folder, 0, "the name is too long");
    }
    if (!mkdtemp(at.folder)) {
        return nr_fail_errno(err, NR_BAD, folder, errno, "no folder can be made here");
    }
    nr_code code = write_rig(&at, rig_text, err);
    code = code ? code : write_readings(&at, run, err);
    code = code ? code : write_notes(&at, run, err);
    if (code == NR_OK && (chmod(at.folder, 0755) != 0 || rename(at.folder, folder) != 0)) {
        code = nr_fail_errno(err, NR_BAD, folder, errno, "could not be put in place");
    }
    if (code) {
        take_away(&at);
    }
    return code;
}
