/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/rebuild.h"

#include "logger/base/replace.h"
#include "logger/base/text.h"
#include "logger/record/adapter_log.h"
#include "logger/record/begin.h"
#include "logger/record/hand_rows.h"
#include "logger/record/sampler.h"
#include "logger/record/state.h"
#include "logger/run/file.h"
#include "logger/run/folder.h"
#include "logger/run/readings.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define ROW_SIZE (NR_RIG_CHANNELS * 64 + 256)
#define OLD_READINGS NR_STATE_FOLDER "/readings.csv.before"
#define OLD_RIG NR_STATE_FOLDER "/rig.ini.before"

typedef struct job {
    const char *folder;
    const nr_rig *rig;
    const char *rig_text; /* NULL: the run's own stays */
    size_t rig_length;
    FILE *log;
    nr_replacement readings; /* of the new rows */
    FILE *to;                /* the same as a stream */
    nr_sampler *sampler;
    bool resumed;         /* no line yet since the recording was taken up again */
    double shift_s;       /* added to the log's elapsed_s */
    nr_rebuild_rows rows; /* NULL: from adapter.log */
    void *context;
    nr_hand_rows hands;
    nr_rebuilt *out;
} job;

static nr_code open_log(job *j, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(j->folder, NR_ADAPTER_LOG_FILE, path, err);
    if (code != NR_OK)
        return code;
    j->log = nr_file_open(path, err);
    if (j->log)
        return NR_OK;
    if (errno == EINVAL)
        return NR_BAD; /* a FIFO or a device: said */
    if (errno == ENOENT)
        return nr_fail(err, NR_CANNOT, path, 0,
                       "is not there; without the adapter's own lines nothing can be made again");
    return nr_fail_errno(err, NR_BAD, path, errno, "cannot open");
}

static nr_code open_new(job *j, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(j->folder, NR_READINGS_FILE, path, err);
    if (code == NR_OK)
        code = nr_replace_begin(&j->readings, path, 0644, err);
    if (code == NR_OK && !(j->to = nr_replace_stream(&j->readings)))
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
    return code;
}

/* --- the lines again ----------------------------------------------------------------------- */

static bool new_sampler(job *j)
{
    nr_sampler_free(j->sampler);
    j->sampler = nr_sampler_new(j->rig, j->out->rows > 0 ? j->out->last_elapsed_s : -1, NULL, NULL);
    return j->sampler != NULL;
}

/* Index of the adapter; -1 when the rig no longer has it. */
static int adapter_of(const job *j, const char *name)
{
    for (size_t i = 0; i < j->rig->adapters; i++)
        if (strcmp(j->rig->adapter[i].name, name) == 0)
            return (int)i;
    return -1;
}

/* Noonlog 1.0 believed any wall clock when a recording was taken up again: from 1970 to today is no
 * pause, and time goes on a second after the last row (begin.h). */
static double place(job *j, double elapsed_s)
{
    double after_s = j->out->rows > 0 ? j->out->last_elapsed_s : 0;
    if (j->resumed && elapsed_s + j->shift_s - after_s > NR_PAUSE_MOST_S)
        j->shift_s = after_s + 1 - elapsed_s;
    j->resumed = false;
    return elapsed_s + j->shift_s;
}

static bool take_line(job *j, const nr_logged *logged)
{
    nr_sample sample;
    char row[ROW_SIZE];
    bool is_row = false;
    int adapter = adapter_of(j, logged->adapter);
    if (adapter < 0) {
        nr_copy(j->out->stranger, sizeof j->out->stranger, logged->adapter);
        j->out->foreign++;
        return true;
    }
    j->out->lines++;
    nr_stamp stamp = {.utc_s = logged->utc_s, .elapsed_s = place(j, logged->elapsed_s)};
    nr_line_fault fault =
        nr_sampler_line(j->sampler, (size_t)adapter, stamp, &logged->line, &sample, &is_row);
    j->out->rejected += fault != NR_LINE_GOOD && fault != NR_LINE_COMMENT;
    if (!is_row)
        return true;
    size_t n =
        nr_readings_row(j->rig, sample.utc_s, sample.elapsed_s, sample.value, row, sizeof row);
    j->out->rows++;
    j->out->last_utc_s = sample.utc_s;
    j->out->last_elapsed_s = sample.elapsed_s;
    return n > 0 && fwrite(row, 1, n, j->to) == n;
}

static void take_damaged(job *j, const char *row, long number)
{
    if (row[0] == '#')
        return; /* a remark */
    if (j->out->damaged++ == 0)
        j->out->first_damaged = number;
}

static nr_code write_header(job *j, nr_err *err)
{
    char header[NR_RIG_CHANNELS * 2 * NR_NAME + 64];
    size_t length = nr_readings_header(j->rig, header, sizeof header);
    if (length > 0 && fwrite(header, 1, length, j->to) == length)
        return NR_OK;
    return nr_fail_errno(err, NR_BAD, j->folder, errno, "cannot write the new readings");
}

static nr_code none_came(const job *j, nr_err *err)
{
    if (j->out->foreign > 0)
        return nr_fail(err, NR_CANNOT, j->folder, 0,
                       "the lines of " NR_ADAPTER_LOG_FILE
                       " are of [adapter%s%s], which this rig does "
                       "not have; the readings stay as they were",
                       j->out->stranger[0] ? " " : "", j->out->stranger);
    return nr_fail(err, NR_CANNOT, j->folder, 0,
                   "none of the %lu lines of " NR_ADAPTER_LOG_FILE
                   " gives a reading with this rig; the readings stay as they were",
                   j->out->lines);
}

static nr_code convert(job *j, nr_err *err)
{
    static const char memory[] = "not enough memory";
    char *row = NULL;
    size_t size = 0;
    bool written = true;
    if (!new_sampler(j))
        return nr_fail(err, NR_BAD, j->folder, 0, memory);
    nr_logged *logged = malloc(sizeof *logged);
    bool alive = logged != NULL;
    ssize_t n = 0;
    for (long number = 1; alive && written && (n = getline(&row, &size, j->log)) > 0; number++) {
        size_t chars = (size_t)n - (row[n - 1] == '\n');
        if (!nr_adapter_log_parse(row, chars, logged))
            take_damaged(j, row, number);
        else if (logged->resume)
            j->resumed = alive = new_sampler(j);
        else
            written = take_line(j, logged);
    }
    bool read_whole = !ferror(j->log);
    free(row);
    free(logged);
    if (!alive)
        return nr_fail(err, NR_BAD, j->folder, 0, memory);
    if (!read_whole)
        return nr_fail(err, NR_BAD, j->folder, 0, "cannot read " NR_ADAPTER_LOG_FILE);
    if (!written)
        return nr_fail_errno(err, NR_BAD, j->folder, errno, "cannot write the new readings");
    return j->out->rows == 0 ? none_came(j, err) : NR_OK;
}

/* --- into place ---------------------------------------------------------------------------- */

static bool differs(const char *old, FILE *fresh, unsigned long *lines_of_old)
{
    FILE *file = nr_file_open(old, NULL);
    bool different = !file;
    rewind(fresh);
    for (int a = 0, b = 0; file && a != EOF;) {
        a = getc(file);
        b = b != EOF ? getc(fresh) : EOF;
        *lines_of_old += a == '\n';
        different = different || a != b;
    }
    if (file)
        fclose(file);
    return different;
}

/* The old file under its second name, so that there is never a moment without a file. */
static nr_code keep_old(const char *folder, const char *name, const char *before, nr_err *err)
{
    char at[NR_ERR_FILE], keep[NR_ERR_FILE];
    nr_code code = nr_path_in(folder, name, at, err);
    if (code == NR_OK)
        code = nr_path_in(folder, before, keep, err);
    if (code != NR_OK)
        return code;
    unlink(keep);
    if (link(at, keep) < 0 && errno != ENOENT)
        return nr_fail_errno(err, NR_BAD, keep, errno, "cannot keep the old file");
    return NR_OK;
}

static nr_code flushed(FILE *file, const char *folder, nr_err *err)
{
    if (fflush(file) == 0 && !ferror(file))
        return NR_OK;
    return nr_fail_errno(err, NR_BAD, folder, errno, "cannot write the new readings");
}

static nr_code put_readings(job *j, nr_err *err)
{
    unsigned long lines = 0;
    j->out->changed = differs(j->readings.path, j->to, &lines);
    j->out->rows_before = lines > 0 ? lines - 1 : 0;
    if (!j->out->changed)
        return NR_OK; /* they stay */
    nr_code code = keep_old(j->folder, NR_READINGS_FILE, OLD_READINGS, err);
    return code == NR_OK ? nr_replace_commit(&j->readings, err) : code;
}

/* Both are on the disk, and the old ones kept, before the first takes its place: readings of one
 * rig beside another would be worse than a failure. */
static nr_code put_in_place(job *j, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_replacement rig = {.fd = -1};
    nr_code code = nr_path_in(j->folder, NR_RIG_FILE, path, err);
    if (code == NR_OK && j->rig_text)
        code = nr_replace_begin(&rig, path, 0644, err);
    if (code == NR_OK && j->rig_text)
        code = nr_replace_write(&rig, j->rig_text, j->rig_length, err);
    if (code == NR_OK && j->rig_text)
        code = keep_old(j->folder, NR_RIG_FILE, OLD_RIG, err);
    if (code == NR_OK)
        code = put_readings(j, err);
    if (code == NR_OK && j->rig_text)
        return nr_replace_commit(&rig, err);
    nr_replace_abandon(&rig);
    return code;
}

static nr_code load_hands(job *j, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_by_hand_list list = {0};
    nr_code code = nr_path_in(j->folder, NR_BY_HAND_FILE, path, err);
    if (code == NR_OK)
        code = nr_by_hand_read(path, &list, err);
    if (code == NR_OK)
        code = nr_hand_rows_of(&list, j->rig, &j->hands, err);
    nr_by_hand_free(&list);
    j->out->by_hand = j->hands.count;
    return code;
}

/* Of an adapter; a run by hand alone has none. */
static nr_code from_adapter(job *j, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(j->folder, NR_ADAPTER_LOG_FILE, path, err);
    if (code == NR_OK && j->hands.count > 0 && access(path, F_OK) != 0)
        return NR_OK;
    if (code == NR_OK)
        code = open_log(j, err);
    if (code == NR_OK)
        code = convert(j, err);
    return code == NR_CANNOT && j->hands.count > 0 ? NR_OK : code;
}

/* What the new readings hold so far, to be freed; the file is empty again. NULL with errno set. */
static char *take_back(FILE *file, size_t *length)
{
    long end = ftell(file);
    char *text = end >= 0 ? malloc((size_t)end + 1) : NULL;
    rewind(file);
    *length = text ? fread(text, 1, (size_t)end, file) : 0;
    bool whole = text && *length == (size_t)end;
    if (!whole || ftruncate(fileno(file), 0) != 0) {
        free(text);
        return NULL;
    }
    rewind(file);
    return text;
}

/* The new readings once more, with those taken by hand among them. */
static nr_code add_hands(job *j, nr_err *err)
{
    size_t length = 0;
    nr_merged merged;
    char *base = take_back(j->to, &length);
    if (!base)
        return nr_fail_errno(err, NR_BAD, j->folder, errno, "cannot read the new readings back");
    nr_code code = write_header(j, err);
    if (code == NR_OK)
        code = nr_hand_merge(base, length, &j->hands, j->rig, j->to, &merged, err);
    free(base);
    if (code == NR_OK)
        code = flushed(j->to, j->folder, err);
    if (code != NR_OK)
        return code;
    j->out->rows = merged.rows;
    j->out->last_utc_s = merged.last_utc_s;
    j->out->last_elapsed_s = merged.last_elapsed_s;
    return NR_OK;
}

static nr_code rebuild(job *j, nr_err *err)
{
    nr_code code = load_hands(j, err);
    if (code == NR_OK)
        code = open_new(j, err);
    if (code == NR_OK)
        code = write_header(j, err);
    if (code == NR_OK)
        code = j->rows ? j->rows(j->context, j->to, j->out, err) : from_adapter(j, err);
    if (code == NR_OK)
        code = flushed(j->to, j->folder, err);
    if (code == NR_OK && j->hands.count > 0)
        code = add_hands(j, err);
    if (code == NR_OK)
        code = put_in_place(j, err);
    if (j->to)
        fclose(j->to);
    nr_replace_abandon(&j->readings);
    if (j->log)
        fclose(j->log);
    nr_hand_rows_free(&j->hands);
    return code;
}

static nr_code under_lock(job *j, nr_err *err)
{
    int lock_fd = -1;
    memset(j->out, 0, sizeof *j->out);
    j->readings.fd = -1;
    nr_code code = nr_state_lock(j->folder, &lock_fd, err);
    if (code == NR_OK)
        code = rebuild(j, err);
    if (lock_fd >= 0)
        close(lock_fd);
    nr_sampler_free(j->sampler);
    return code;
}

nr_code nr_rebuild(const char *folder, const nr_rig *rig, const char *rig_text, size_t rig_length,
                   nr_rebuilt *out, nr_err *err)
{
    job j = {
        .folder = folder, .rig = rig, .rig_text = rig_text, .rig_length = rig_length, .out = out};
    return under_lock(&j, err);
}

nr_code nr_rebuild_from(const char *folder, const nr_rig *rig, const char *rig_text,
                        size_t rig_length, nr_rebuild_rows rows, void *context, nr_rebuilt *out,
                        nr_err *err)
{
    job j = {.folder = folder,
             .rig = rig,
             .rig_text = rig_text,
             .rig_length = rig_length,
             .rows = rows,
             .context = context,
             .out = out};
    return under_lock(&j, err);
}
