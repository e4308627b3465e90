/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/folder.h"
#include "logger/base/text.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static nr_code join(const char *folder, const char *name, char out[NR_ERR_FILE], nr_err *err)
{
    int length = snprintf(out, NR_ERR_FILE, "%s/%s", folder, name);
    if (length < 0 || length >= NR_ERR_FILE)
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long; use one below %d characters",
                       NR_ERR_FILE - 32);
    return NR_OK;
}

static nr_code check_folder(const char *folder, nr_err *err)
{
    struct stat about;
    if (stat(folder, &about) != 0)
        return nr_fail_errno(err, NR_BAD, folder, errno, "cannot be opened as a run folder");
    if (!S_ISDIR(about.st_mode))
        return nr_fail(err, NR_BAD, folder, 0,
                       "is a file; a run is a folder with %s and %s in it (name the folder)",
                       NR_RIG_FILE, NR_READINGS_FILE);
    return NR_OK;
}

/* What is wrong in a line of readings.csv can be mended where the adapter's own lines are kept. */
static void point_to_rebuild(const char *folder, nr_err *err)
{
    char path[NR_ERR_FILE];
    struct stat about;
    size_t used = err ? strlen(err->text) : 0;
    if (!err || err->line < 2 || join(folder, NR_ADAPTER_LOG_FILE, path, NULL) != NR_OK ||
        stat(path, &about) != 0 || !S_ISREG(about.st_mode))
        return;
    snprintf(err->text + used, sizeof err->text - used,
             "; `noonlog rebuild %s` makes the file anew from " NR_ADAPTER_LOG_FILE, folder);
}

/* What the rig file states instead of measuring is a reading of every row. */
static nr_code add_stated(nr_run *run, nr_err *err)
{
    for (size_t c = 0; c < run->rig.channels; c++) {
        const nr_rig_channel *channel = &run->rig.channel[c];
        nr_readings *r = run->readings;
        if (!channel->law->stated || nr_readings_column(r, channel->name))
            continue;
        nr_code code =
            nr_readings_add_column(r, channel->name, nr_rig_column_unit(channel)->name, err);
        if (code != NR_OK)
            return code;
        double value =
            nr_unit_to_canonical(channel->unit, channel->coefficient[0]) + channel->correct_offset;
        for (size_t i = 0; i < r->rows; i++)
            r->column[r->columns - 1].value[i] = value;
    }
    return NR_OK;
}

static nr_code read_readings(nr_run *run, const char *path, nr_err *err)
{
    nr_code code = nr_readings_read(path, &run->readings, err);
    if (code == NR_BAD)
        point_to_rebuild(run->folder, err);
    return code == NR_OK ? add_stated(run, err) : code;
}

static nr_code read_parts(nr_run *run, const nr_sink *problems, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = join(run->folder, NR_RIG_FILE, path, err);
    if (code == NR_OK)
        code = nr_rig_read(path, NR_RIG_FOR_ANALYSIS, &run->rig, problems, err);
    if (code == NR_OK)
        code = join(run->folder, NR_READINGS_FILE, path, err);
    if (code == NR_OK)
        code = read_readings(run, path, err);
    if (code == NR_OK)
        code = join(run->folder, NR_NOTES_FILE, path, err);
    if (code == NR_OK)
        code = nr_notes_read(path, &run->notes, err);
    return code;
}

nr_code nr_run_open(const char *folder, nr_run **out, const nr_sink *problems, nr_err *err)
{
    *out = NULL;
    nr_code code = check_folder(folder, err);
    if (code != NR_OK)
        return code;
    nr_run *run = calloc(1, sizeof *run);
    if (!run)
        return nr_fail(err, NR_BAD, folder, 0, "not enough memory");
    if (!nr_copy(run->folder, sizeof run->folder, folder)) {
        free(run);
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    }
    for (size_t end = strlen(run->folder); end > 1 && run->folder[end - 1] == '/'; end--)
        run->folder[end - 1] = '\0';
    code = read_parts(run, problems, err);
    if (code != NR_OK) {
        nr_run_free(run);
        return code;
    }
    *out = run;
    return NR_OK;
}

void nr_run_free(nr_run *run)
{
    if (!run)
        return;
    nr_readings_free(run->readings);
    nr_notes_free(run->notes);
    free(run);
}
