/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An imported table as a run folder: every file of it, what the run says of itself, the same
 * readings when the table is read again, and nothing left where a call of the system fails, each
 * of them once. */
#include "logger/import/keep.h"

#include "logger/record/state.h"
#include "tests/unit/import/whole.h"

#include <dlfcn.h>
#include <errno.h>
#include <ftw.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- calls of the system that fail ------------------------------------------------------------ */

typedef enum call { NO_CALL, FSYNC, MKDIR, FOPEN, FCLOSE, CALLS } call;

static call failing;
static int left; /* calls of it that are served before one fails */
static bool has_failed;

static bool fails(call which)
{
    if (failing != which || left-- > 0 || has_failed)
        return false;
    has_failed = true;
    errno = ENOSPC;
    return true;
}

/* What the C library has under this name. */
static void real(const char *name, void *out)
{
    void *found = dlsym(RTLD_NEXT, name);
    ck_assert_ptr_nonnull(found);
    memcpy(out, &found, sizeof found);
}

#define SYNCED 64
static ino_t synced[SYNCED]; /* files that were to be on the disk; it is not waited for */
static int syncs;

int fsync(int fd)
{
    struct stat is;
    if (syncs < SYNCED && fstat(fd, &is) == 0)
        synced[syncs++] = is.st_ino;
    return fails(FSYNC) ? -1 : 0;
}

int mkdir(const char *path, mode_t mode)
{
    static int (*of)(const char *, mode_t);
    real("mkdir", &of);
    return fails(MKDIR) ? -1 : of(path, mode);
}

FILE *fopen(const char *path, const char *how)
{
    static FILE *(*of)(const char *, const char *);
    real("fopen", &of);
    return fails(FOPEN) ? NULL : of(path, how);
}

int fclose(FILE *file)
{
    static int (*of)(FILE *);
    real("fclose", &of);
    bool bad = fails(FCLOSE);
    int closed = of(file);
    errno = bad ? ENOSPC : errno;
    return bad ? EOF : closed;
}

/* --- a folder --------------------------------------------------------------------------------- */

static char place[] = "/tmp/test_keep.XXXXXX", folder[64];
static whole w;
static nr_err err;

static const char rig[] = "; mine\n[channel store]\nunit = degC\n[channel sun]\nunit = W_m2\n";
/* Six rows, two of one moment: the later one counts. */
static const char cells[] = "Time,Tank (C),Sun (W/m2)\n"
                            "2026-05-16 10:15:00,20.5,800\n"
                            "2026-05-16 10:15:10,20.75,\n"
                            "2026-05-16 10:15:20,21,810\n"
                            "2026-05-16 10:15:30,21.25,820\n"
                            "2026-05-16 10:15:30,21.25,820\n"
                            "2026-05-16 10:15:40,21.5,830.5\n";
static const char readings[] = "time_utc,elapsed_s,store_degC,sun_W_m2\n"
                               "2026-05-16T08:15:00.000Z,0.000,20.5000,800.00\n"
                               "2026-05-16T08:15:10.000Z,10.000,20.7500,\n"
                               "2026-05-16T08:15:20.000Z,20.000,21.0000,810.00\n"
                               "2026-05-16T08:15:30.000Z,30.000,21.2500,820.00\n"
                               "2026-05-16T08:15:40.000Z,40.000,21.5000,830.50\n";
static const nr_import_stated stated = {.zone = "+02:00"};

static int take_away(const char *path, const struct stat *is, int kind, struct FTW *at)
{
    (void)is, (void)kind, (void)at;
    return remove(path);
}

static void begin(void)
{
    if (!folder[0])
        ck_assert_ptr_nonnull(mkdtemp(place));
    snprintf(folder, sizeof folder, "%s/run", place);
    ck_assert_msg(whole_read(&w, cells, rig, &stated), "%s", w.err.text);
    failing = NO_CALL;
    syncs = 0;
}

static void end(void)
{
    failing = NO_CALL;
    whole_forget(&w);
    nftw(place, take_away, 8, FTW_DEPTH | FTW_PHYS);
    folder[0] = '\0';
    memcpy(place + sizeof place - 7, "XXXXXX", 6);
}

static nr_code keep(const char *name)
{
    memset(&err, 0, sizeof err);
    return nr_import_keep(folder, &w.rig, rig, sizeof rig - 1, name, cells, sizeof cells - 1, &w.im,
                          &stated, &err);
}

static const char *path_of(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static bool there(const char *name)
{
    return access(path_of(name), F_OK) == 0;
}

static bool is_synced(const char *name)
{
    struct stat is;
    ck_assert_int_eq(stat(path_of(name), &is), 0);
    for (int i = 0; i < syncs; i++)
        if (synced[i] == is.st_ino)
            return true;
    return false;
}

static const char *content(const char *name)
{
    static char text[4000];
    FILE *file = fopen(path_of(name), "rb");
    ck_assert_msg(file != NULL, "%s is not there", name);
    size_t n = fread(text, 1, sizeof text - 1, file);
    fclose(file);
    text[n] = '\0';
    return text;
}

/* All of a kept run, its table under this name. */
static void same(const char *name)
{
    char path[80], words[200];
    snprintf(path, sizeof path, "imported/%s", name);
    ck_assert_str_eq(content("rig.ini"), rig);
    ck_assert_str_eq(content("readings.csv"), readings);
    ck_assert_str_eq(content(path), cells);
    snprintf(words, sizeof words, "\ntable = %s\n", name);
    ck_assert_ptr_nonnull(strstr(content("imported/how.ini"), words));
    snprintf(words, sizeof words,
             "time_utc,elapsed_s,kind,text\n"
             "2026-05-16T08:15:00.000Z,0.000,start,\"imported from the table %s\"\n",
             name);
    ck_assert_str_eq(content("notes.csv"), words);
    ck_assert(is_synced(path) && is_synced("imported/how.ini") && is_synced("readings.csv"));
    ck_assert(!there("adapter.log") && !there(".noonlog/readings.csv.before"));
    nr_state state;
    ck_assert_int_eq(nr_state_read(folder, &state, &err), NR_OK);
    ck_assert(state.pid == 0 && state.ended && state.rows == 5 && state.lines == 6);
    ck_assert_str_eq(state.boot_id, "");
    NEAR(state.zero_utc_s, 1778919300, 1e-6); /* date -u -d 2026-05-16T08:15 +%s */
    NEAR(state.elapsed_s, 40, 1e-9);
    NEAR(state.last_row_s, 40, 1e-9);
}

START_TEST(kept)
{
    static const struct {
        const char *table, *name;
    } of[] = {{"may.csv", "may.csv"},
              {"/some/where/may.csv", "may.csv"},
              {"how.ini", "table"},
              {"/how.ini", "table"},
              {"ma\ty.csv", "ma?y.csv"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        ck_assert(!nr_import_is(folder));
        ck_assert_msg(keep(of[i].table) == NR_OK, "%s", err.text);
        ck_assert(nr_import_is(folder));
        same(of[i].name);
        ck_assert_int_eq(keep("other.csv"), NR_BAD); /* there is a run: it stays as it is */
        same(of[i].name);
        end();
    }
}
END_TEST

/* The same readings once more, and what was counted; then by another rig. */
START_TEST(read_again)
{
    static nr_import_said said;
    static const char other[] = "[channel store]\nunit = degC\noffset = 0.5\n"
                                "[channel sun]\nunit = W_m2\n";
    static nr_rig changed;
    nr_rebuilt out;
    begin();
    ck_assert_msg(keep("may.csv") == NR_OK, "%s", err.text);
    for (int i = 0; i < 2; i++) {
        memset(&out, 0, sizeof out);
        ck_assert_msg(nr_import_rebuild(folder, &w.rig, NULL, 0, &out, i ? &said : NULL, &err) ==
                          NR_OK,
                      "%s", err.text);
        ck_assert(out.lines == 6 && out.rows == 5 && out.rows_before == 5 && !out.changed);
        NEAR(out.last_utc_s, 1778919340, 1e-6);
        NEAR(out.last_elapsed_s, 40, 1e-9);
    }
    ck_assert_uint_eq(said.count, w.im.said.count);
    for (size_t i = 0; i < said.count; i++)
        ck_assert_str_eq(said.text[i], w.im.said.text[i]);
    ck_assert_int_eq(
        nr_rig_parse(other, sizeof other - 1, "rig.ini", NR_RIG_FOR_READINGS, &changed, NULL, &err),
        NR_OK);
    ck_assert_msg(nr_import_rebuild(folder, &changed, other, sizeof other - 1, &out, NULL, &err) ==
                      NR_OK,
                  "%s", err.text);
    ck_assert(out.changed && out.rows == 5);
    ck_assert_str_eq(content("rig.ini"), other);
    ck_assert_str_eq(content("imported/may.csv"), cells);
    end();
}
END_TEST

/* What cannot be read again says so, and the readings stay. */
START_TEST(not_read_again)
{
    static const struct {
        const char *gone, *said;
    } of[] = {{"imported/may.csv", "may.csv"}, {"imported/how.ini", "how.ini"}};
    for (size_t i = 0; i < 2; i++) {
        nr_rebuilt out;
        begin();
        ck_assert_int_eq(keep("may.csv"), NR_OK);
        unlink(path_of(of[i].gone));
        ck_assert_int_eq(nr_import_is(folder), i == 0);
        ck_assert_int_eq(nr_import_rebuild(folder, &w.rig, NULL, 0, &out, NULL, &err), NR_BAD);
        ck_assert_ptr_nonnull(strstr(err.file, of[i].said));
        ck_assert_str_eq(content("readings.csv"), readings);
        end();
    }
}
END_TEST

/* how.ini is first written into memory, as a file. */
static bool is_memory(call which)
{
    return which == FCLOSE && strcmp(err.text, "not enough memory") == 0;
}

/* Each call that can fail, once: either nothing stays and the reason is told, or all is there. */
START_TEST(nothing_stays)
{
    int refused = 0;
    for (call which = FSYNC; which < CALLS; which++) {
        for (int n = 0;; n++) {
            begin();
            failing = which;
            left = n;
            has_failed = false;
            nr_code code = keep("may.csv");
            failing = NO_CALL;
            if (code == NR_OK)
                same("may.csv");
            else
                ck_assert_msg(!there("") &&
                                  (strstr(err.text, strerror(ENOSPC)) || is_memory(which)),
                              "%d %d: %s", which, n, err.text);
            refused += code != NR_OK;
            end();
            if (!has_failed)
                break;
        }
    }
    ck_assert_int_gt(refused, 10);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {kept, read_again, not_read_again, nothing_stays, NULL};
    return run_tests("keep", tests);
}
