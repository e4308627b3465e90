/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/begin.h"

#include "logger/base/replace.h"
#include "logger/base/text.h"
#include "logger/record/adapter_log.h"
#include "logger/record/repair.h"
#include "logger/run/file.h"
#include "logger/run/folder.h"
#include "logger/run/notes.h"
#include "logger/run/readings.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define HEADER_SIZE (NR_RIG_CHANNELS * 2 * NR_NAME + 64)

static nr_code sync_folder(const char *folder, nr_err *err)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, folder, errno, "cannot open the folder");
    int failed = fsync(fd) < 0 && errno != EINVAL; /* some file systems cannot sync a folder */
    int why = errno;
    close(fd);
    return failed ? nr_fail_errno(err, NR_BAD, folder, why, "cannot sync the folder") : NR_OK;
}

/* Begins a file that will grow, and has the disk confirm it. */
static nr_code write_file(const char *folder, const char *name, const char *bytes, size_t length,
                          nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(folder, name, path, err);
    if (code != NR_OK)
        return code;
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
    bool failed = !nr_write_all(fd, bytes, length) || fsync(fd) < 0;
    int why = errno;
    if (close(fd) < 0 && !failed) {
        why = errno;
        failed = true;
    }
    return failed ? nr_fail_errno(err, NR_BAD, path, why, "cannot write") : NR_OK;
}

/* The name appears only when the content is on the disk. */
static nr_code freeze_rig(const char *folder, const char *text, size_t length, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(folder, NR_RIG_FILE, path, err);
    return code == NR_OK ? nr_replace_file(path, text, length, 0644, err) : code;
}

/* --- a new run --------------------------------------------------------------------------- */

static bool is_ours(const char *name)
{
    static const char *const ours[] = {
        ".", "..", NR_STATE_FOLDER, NR_READINGS_FILE, NR_ADAPTER_LOG_FILE, NR_NOTES_FILE};
    for (size_t i = 0; i < sizeof ours / sizeof ours[0]; i++)
        if (strcmp(name, ours[i]) == 0)
            return true;
    return nr_replace_left(name, NR_RIG_FILE);
}

/* What a start that was cut short (power lost in its first milliseconds) leaves behind, and
 * nothing else: our own files, no rig.ini yet, and no row. Such a folder may be begun again. */
static bool only_half_begun(const char *folder, size_t head_length)
{
    char path[NR_ERR_FILE];
    struct stat s;
    bool state = false, foreign = false;
    DIR *dir = opendir(folder);
    for (struct dirent *e = dir ? readdir(dir) : NULL; e; e = readdir(dir)) {
        foreign = foreign || !is_ours(e->d_name);
        state = state || strcmp(e->d_name, NR_STATE_FOLDER) == 0;
    }
    if (dir)
        closedir(dir);
    bool rows = nr_path_in(folder, NR_READINGS_FILE, path, NULL) != NR_OK ||
                (stat(path, &s) == 0 && s.st_size > (off_t)head_length);
    return dir && state && !foreign && !rows;
}

static bool is_empty(const char *folder)
{
    DIR *dir = opendir(folder);
    bool empty = dir != NULL;
    for (struct dirent *e = dir ? readdir(dir) : NULL; e; e = readdir(dir))
        if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0)
            empty = false;
    if (dir)
        closedir(dir);
    return empty;
}

/* A run is never overwritten. */
static nr_code check_free(const char *folder, size_t head_length, nr_err *err)
{
    struct stat s;
    if (stat(folder, &s) < 0)
        return NR_OK;
    if (!S_ISDIR(s.st_mode))
        return nr_fail(err, NR_BAD, folder, 0, "is there already and is no folder");
    if (is_empty(folder) || only_half_begun(folder, head_length))
        return NR_OK;
    return nr_fail(err, NR_BAD, folder, 0,
                   "is there already and not empty; choose another name, or `noonlog record "
                   "--resume %s` to go on with it",
                   folder);
}

nr_code nr_begin_check(const char *folder, const nr_rig *rig, nr_err *err)
{
    char header[HEADER_SIZE];
    return check_free(folder, nr_readings_header(rig, header, sizeof header), err);
}

static nr_code make_folder(const char *folder, size_t head_length, nr_err *err)
{
    nr_code code = check_free(folder, head_length, err);
    if (code == NR_OK && mkdir(folder, 0755) < 0 && errno != EEXIST)
        code = nr_fail_errno(err, NR_BAD, folder, errno, "cannot create the run folder");
    return code;
}

static nr_code write_heads(const char *folder, const char *header, size_t length, nr_err *err)
{
    nr_code code = write_file(folder, NR_READINGS_FILE, header, length, err);
    if (code == NR_OK)
        code = write_file(folder, NR_ADAPTER_LOG_FILE, NR_ADAPTER_LOG_HEADER,
                          strlen(NR_ADAPTER_LOG_HEADER), err);
    if (code == NR_OK)
        code = write_file(folder, NR_NOTES_FILE, NR_NOTES_HEADER, strlen(NR_NOTES_HEADER), err);
    return code;
}

static void remove_begun(const char *folder)
{
    static const char *const names[] = {NR_RIG_FILE,   NR_READINGS_FILE, NR_ADAPTER_LOG_FILE,
                                        NR_NOTES_FILE, NR_STATE_FILE,    NR_STATE_STOP};
    char path[NR_ERR_FILE];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (nr_path_in(folder, names[i], path, NULL) == NR_OK)
            unlink(path);
    if (nr_path_in(folder, NR_STATE_FOLDER, path, NULL) == NR_OK)
        rmdir(path);
    rmdir(folder);
}

static nr_code sync_parent(const char *folder, nr_err *err)
{
    char copy[NR_ERR_FILE];
    nr_copy(copy, sizeof copy, folder);
    return sync_folder(dirname(copy), err);
}

/* Before there is anything else to be seen: `stop` and `status` go by it. That it cannot be written
 * harms nothing: the next one comes. A request to end that lies there was for an earlier recorder.
 */
static void tell_who(const nr_begun *b)
{
    (void)nr_state_take_request(b->folder);
    (void)nr_state_write(b->lock_fd, &b->state);
}

static void name_oneself(nr_begun *b, const nr_now *now)
{
    b->state.pid = (long)getpid();
    b->state.zero_steady_s = now->steady_s;
    b->state.zero_utc_s = now->utc_s;
    b->state.last_row_s = -1;
    nr_boot_id(b->state.boot_id, sizeof b->state.boot_id);
    tell_who(b);
}

nr_code nr_begin_new(const char *folder, const nr_rig *rig, const char *rig_text, size_t rig_length,
                     const nr_now *now, nr_begun *out, nr_err *err)
{
    memset(out, 0, sizeof *out);
    out->lock_fd = -1;
    if (!nr_copy(out->folder, sizeof out->folder, folder))
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    char header[HEADER_SIZE];
    size_t header_length = nr_readings_header(rig, header, sizeof header);
    nr_code code = make_folder(folder, header_length, err);
    if (code != NR_OK)
        return code;
    code = nr_state_lock(folder, &out->lock_fd, err);
    if (code == NR_OK)
        name_oneself(out, now);
    if (code == NR_OK)
        code = write_heads(folder, header, header_length, err);
    if (code == NR_OK)
        code = freeze_rig(folder, rig_text, rig_length, err);
    if (code == NR_OK)
        code = sync_folder(folder, err);
    if (code == NR_OK)
        code = sync_parent(folder, err);
    if (code != NR_OK) {
        nr_begun_end(out);
        remove_begun(folder);
    }
    return code;
}

/* --- a run taken up again ---------------------------------------------------------------- */

/* In the order in which they are looked at; the first one's survey is that of the readings. */
static const char *const growing[] = {NR_READINGS_FILE, NR_ADAPTER_LOG_FILE, NR_NOTES_FILE};

static nr_code repair(nr_begun *out, const char *name, nr_repair_survey *survey, nr_err *err)
{
    char path[NR_ERR_FILE], kept[NR_ERR_FILE], kept_name[64];
    off_t cut = 0;
    snprintf(kept_name, sizeof kept_name, NR_STATE_FOLDER "/cut-%s", name);
    nr_code code = nr_path_in(out->folder, name, path, err);
    if (code == NR_OK)
        code = nr_path_in(out->folder, kept_name, kept, err);
    if (code == NR_OK)
        code = nr_repair_tail(path, kept, &cut, err);
    if (code == NR_OK)
        code = nr_repair_look(path, survey, err);
    if (code != NR_OK)
        return code;
    out->torn_bytes += cut;
    if (survey->damaged > 0 && out->damaged == 0) {
        out->damaged_file = name;
        out->damaged_line = survey->first_damaged;
    }
    out->damaged += survey->damaged;
    return NR_OK;
}

static nr_code repair_all(nr_begun *out, nr_repair_survey *readings, nr_err *err)
{
    nr_repair_survey other;
    for (size_t i = 0; i < sizeof growing / sizeof growing[0]; i++) {
        nr_code code = repair(out, growing[i], i == 0 ? readings : &other, err);
        if (code != NR_OK)
            return code;
    }
    return NR_OK;
}

/* The head must be that of the rig; a crash right after the start may have left none. */
static nr_code check_head(const nr_begun *out, const nr_rig *rig, nr_err *err)
{
    char path[NR_ERR_FILE], wanted[HEADER_SIZE], found[HEADER_SIZE];
    nr_code code = nr_path_in(out->folder, NR_READINGS_FILE, path, err);
    if (code != NR_OK)
        return code;
    size_t length = nr_readings_header(rig, wanted, sizeof wanted);
    FILE *file = nr_file_open(path, NULL);
    char *got = file ? fgets(found, sizeof found, file) : NULL;
    if (file)
        fclose(file);
    if (!got)
        return write_file(out->folder, NR_READINGS_FILE, wanted, length, err);
    if (strcmp(wanted, found) == 0)
        return NR_OK;
    return nr_fail(err, NR_BAD, path, 1,
                   "the columns are not the channels of the run's rig.ini; this run cannot be "
                   "taken up again");
}

/* Where on the run's axis is now? In the same boot the steady clock knows; after a reboot only
 * the wall clock can say, and a board without a battery clock may be wrong: then time goes on one
 * second after the last row, and a note says so. */
static void place(nr_begun *out, const nr_state *old, const nr_repair_survey *readings,
                  const nr_now *now)
{
    bool rows = readings->rows > 0;
    double utc_s = rows ? readings->utc_s : old->zero_utc_s;
    double elapsed_s = rows ? readings->elapsed_s : 0;
    out->last_utc_s = utc_s;
    out->state.last_row_s = rows ? elapsed_s : -1;
    bool same_boot = old->boot_id[0] && strcmp(old->boot_id, out->state.boot_id) == 0 &&
                     old->at_steady_s > 0 && now->steady_s >= old->at_steady_s;
    if (same_boot) {
        /* The series' own time, which an adapter clock may have taken away from the host's. */
        double base_s = fmax(old->elapsed_s, elapsed_s);
        out->pause_s = base_s + (now->steady_s - old->at_steady_s) - elapsed_s;
    } else {
        out->by_wall_clock = true;
        out->pause_s = now->utc_s - utc_s;
        out->clock_behind = !(out->pause_s > 0) || !(utc_s > 0);
    }
    out->clock_beyond = !out->clock_behind && !(out->pause_s <= NR_PAUSE_MOST_S);
    if (out->clock_behind || out->clock_beyond)
        out->pause_s = 1;
    out->pause_s = fmax(out->pause_s, 0.001);
    out->state.zero_steady_s = now->steady_s - (elapsed_s + out->pause_s);
    out->state.zero_utc_s = now->utc_s - (elapsed_s + out->pause_s);
}

nr_code nr_begin_again(const char *folder, const nr_rig *rig, const nr_now *now, nr_begun *out,
                       nr_err *err)
{
    nr_state old;
    nr_repair_survey readings = {.rows = 0};
    memset(out, 0, sizeof *out);
    out->lock_fd = -1;
    out->resumed = true;
    if (!nr_copy(out->folder, sizeof out->folder, folder))
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    /* Read before locking: a POSIX lock is lost when its process closes any descriptor of the
     * file. Nobody else writes it if the lock is then granted. */
    if (nr_state_read(folder, &old, NULL) != NR_OK)
        memset(&old, 0, sizeof old);
    nr_code code = nr_state_lock(folder, &out->lock_fd, err);
    if (code == NR_OK)
        code = repair_all(out, &readings, err);
    if (code == NR_OK)
        code = check_head(out, rig, err);
    if (code != NR_OK) {
        nr_begun_end(out);
        return code;
    }
    out->state.pid = (long)getpid();
    out->state.rows = out->state.on_disk = readings.rows;
    nr_boot_id(out->state.boot_id, sizeof out->state.boot_id);
    place(out, &old, &readings, now);
    tell_who(out);
    return NR_OK;
}

void nr_begun_end(nr_begun *begun)
{
    if (begun->lock_fd >= 0)
        close(begun->lock_fd);
    begun->lock_fd = -1;
}

void nr_begin_undo(nr_begun *begun)
{
    nr_begun_end(begun);
    remove_begun(begun->folder);
}
