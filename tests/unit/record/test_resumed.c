/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where time goes on when a run is taken up again: in the same boot by the steady clock, behind a
 * reboot by the wall clock, and a second after the last row where neither can be believed; by the
 * rules of begin.h said here once more, for every combination of what may be known. And that
 * nothing is left of a new run where the disk refuses one of the steps. */
#include "logger/record/begin.h"
#include "logger/run/folder.h"

#include "tests/unit/near.h"

#include <dlfcn.h>
#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- a disk that refuses ---------------------------------------------------------------------- */

typedef enum call { NO_CALL, FSYNC, CLOSE } call;

static call failing;
static int left, reason; /* calls of it that are served before one fails, and why that does */
static bool has_failed, was_folder;

static bool fails(call which, int fd)
{
    struct stat is;
    if (failing != which || has_failed || left-- > 0)
        return false;
    has_failed = true;
    was_folder = fstat(fd, &is) == 0 && S_ISDIR(is.st_mode);
    return true;
}

int fsync(int fd)
{
    bool bad = fails(FSYNC, fd);
    errno = bad ? reason : errno;
    return bad ? -1 : 0;
}

int close(int fd)
{
    static int (*real)(int);
    void *found = dlsym(RTLD_NEXT, "close");
    memcpy(&real, &found, sizeof real);
    bool bad = fails(CLOSE, fd);
    int closed = real(fd);
    errno = bad ? reason : errno;
    return bad ? -1 : closed;
}

/* --- a run ------------------------------------------------------------------------------------ */

#define RIG "[adapter]\nport = x\n[channel store]\nunit = degC\n"
#define HEAD "time_utc,elapsed_s,store_degC\n"
#define ROW_UTC 1777893753.0 /* 2026-05-04T11:22:33Z (date -u +%s) */
#define WEEK (7 * 86400.0)

static nr_rig rig;
static nr_err err;
static char top[] = "/tmp/noonlog-resumed-XXXXXX", folder[64], boot_id[64];

static void put(const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    ck_assert_int_eq(fclose(f), 0);
}

static void set_up(void)
{
    strcpy(top, "/tmp/noonlog-resumed-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    snprintf(folder, sizeof folder, "%s/run", top);
    ck_assert_int_eq(nr_rig_parse(RIG, strlen(RIG), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err),
                     NR_OK);
    nr_begun b;
    nr_now now = {.utc_s = ROW_UTC, .steady_s = 500, .awake_s = 400};
    ck_assert_int_eq(nr_begin_new(folder, &rig, RIG, strlen(RIG), &now, &b, &err), NR_OK);
    snprintf(boot_id, sizeof boot_id, "%s", b.state.boot_id);
    nr_begun_end(&b);
}

static void tear_down(void)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}

typedef struct known {
    bool rows, same_boot;
    double elapsed_s;   /* of the series, as the old state has it; the last row is at 100 */
    double at_steady_s; /* when that was written; 0: not known */
    double zero_utc_s;  /* of the old state */
    double later_s;     /* what the wall clock says has passed since the row, or since zero */
    double steady_s;    /* now */
} known;

static void check(const known *k)
{
    char text[400];
    nr_begun b;
    double utc_s = k->rows ? ROW_UTC + 100 : k->zero_utc_s, row_s = k->rows ? 100 : 0;
    nr_now now = {.utc_s = utc_s + k->later_s, .steady_s = k->steady_s, .awake_s = 7};
    snprintf(text, sizeof text, "boot_id=%s\nelapsed_s=%.3f\nat_steady_s=%.3f\nzero_utc_s=%.3f\n",
             k->same_boot ? boot_id : "another", k->elapsed_s, k->at_steady_s, k->zero_utc_s);
    put(NR_STATE_FILE, text);
    put(NR_READINGS_FILE, k->rows ? HEAD "2026-05-04T11:24:13.000Z,100.000,21.5000\n" : HEAD);
    ck_assert_msg(nr_begin_again(folder, &rig, &now, &b, &err) == NR_OK, "%s", err.text);
    bool steady = k->same_boot && boot_id[0] && k->at_steady_s > 0 && k->steady_s >= k->at_steady_s;
    double series_s = k->elapsed_s > row_s ? k->elapsed_s : row_s;
    double pause_s = steady ? series_s - row_s + k->steady_s - k->at_steady_s : k->later_s;
    bool behind = !steady && (k->later_s <= 0 || utc_s <= 0), beyond = !behind && pause_s > WEEK;
    if (behind || beyond)
        pause_s = 1;
    if (pause_s < 0.001)
        pause_s = 0.001;
    NEAR(b.pause_s, pause_s, 1e-5);
    ck_assert(b.resumed && b.by_wall_clock == !steady);
    ck_assert_msg(b.clock_behind == behind && b.clock_beyond == beyond, "%g", k->later_s);
    NEAR(b.last_utc_s, utc_s, 1e-6);
    NEAR(b.state.last_row_s, k->rows ? 100 : -1, 0);
    NEAR(b.state.zero_steady_s, now.steady_s - row_s - pause_s, 1e-5);
    NEAR(b.state.zero_utc_s, now.utc_s - row_s - pause_s, 1e-5);
    ck_assert(b.state.rows == k->rows && b.state.on_disk == k->rows);
    ck_assert_int_eq(b.state.pid, (long)getpid());
    nr_begun_end(&b);
    nr_state is;
    ck_assert_int_eq(nr_state_read(folder, &is, &err), NR_OK); /* and said to others at once */
    NEAR(is.zero_steady_s, b.state.zero_steady_s, 1e-5);
    ck_assert_int_eq(is.pid, (long)getpid());
}

START_TEST(every_combination)
{
    static const double laters_s[] = {-5, 0, 0.0005, 90, WEEK - 1, WEEK + 1};
    static const double series_s[] = {0, 99, 100, 130};
    static const struct {
        double at_s, now_s;
    } steady[] = {{0, 600}, {600, 599.5}, {600, 600}, {600, 650}, {600, 600 + WEEK + 5}};
    for (int k = 0; k < 4; k++)
        for (size_t l = 0; l < 6; l++)
            for (size_t e = k % 2 ? 0 : 3; e < 4; e++)
                for (size_t s = 0; s < 5; s++) {
                    if (k < 2 && s != 3)
                        continue; /* of another boot the steady clock tells nothing */
                    check(&(known){.rows = k % 2,
                                   .same_boot = k / 2,
                                   .elapsed_s = series_s[e],
                                   .at_steady_s = steady[s].at_s,
                                   .zero_utc_s = ROW_UTC,
                                   .later_s = laters_s[l],
                                   .steady_s = steady[s].now_s});
                }
    check(&(known){.zero_utc_s = 0, .later_s = 50, .steady_s = 9}); /* nothing is known of it */
}
END_TEST

/* Every file that grows is looked at: what is torn is moved away, what is damaged is named. */
START_TEST(torn_and_damaged)
{
    static const char *const files[] = {NR_READINGS_FILE, NR_ADAPTER_LOG_FILE, NR_NOTES_FILE};
    static const char *const good[] = {HEAD "2026-05-04T11:24:13.000Z,100.000,21.5000\n",
                                       "# head\n2026-05-04T11:24:13.000Z\t100.000\t-\tstore=21\n",
                                       NR_NOTES_HEADER
                                       "2026-05-04T11:24:13.000Z,1.000,note,\"x\"\n"};
    nr_now now = {.utc_s = ROW_UTC + 200, .steady_s = 9, .awake_s = 7};
    for (unsigned torn = 0; torn < 8; torn++) {
        nr_begun b;
        char kept[60], path[128];
        long wanted = 0;
        for (unsigned i = 0; i < 3; i++) {
            char text[300];
            snprintf(text, sizeof text, "%s%.*s", good[i], torn >> i & 1 ? 7 + (int)i : 0,
                     "2026-05-04T11");
            wanted += torn >> i & 1 ? 7 + (long)i : 0;
            put(files[i], text);
        }
        ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
        nr_begun_end(&b);
        ck_assert_int_eq((long)b.torn_bytes, wanted);
        ck_assert(b.damaged == 0 && !b.damaged_file);
        for (unsigned i = 0; i < 3; i++) {
            snprintf(kept, sizeof kept, NR_STATE_FOLDER "/cut-%s", files[i]);
            snprintf(path, sizeof path, "%s/%s", folder, kept);
            FILE *f = fopen(path, "r");
            ck_assert_msg((f != NULL) == (torn >> i & 1), "%s", kept);
            if (!f)
                continue;
            char is[200], wanted_text[200];
            is[fread(is, 1, sizeof is - 1, f)] = '\0';
            fclose(f);
            snprintf(wanted_text, sizeof wanted_text, "# %u bytes from offset %zu on:\n%.*s\n",
                     7 + i, strlen(good[i]), 7 + (int)i, "2026-05-04T11");
            ck_assert_str_eq(is, wanted_text);
            (void)unlink(path);
        }
    }
}
END_TEST

/* Each sync and each close fails once: either nothing stays and the reason is told, or the run is
 * begun as if nothing had been. A folder that cannot be synced at all (EINVAL) is no trouble. */
START_TEST(refused)
{
    static const int reasons[] = {EDQUOT, EINVAL};
    nr_now now = {.utc_s = ROW_UTC, .steady_s = 500, .awake_s = 400};
    char other[64];
    snprintf(other, sizeof other, "%s/other", top);
    for (int k = 0; k < 4; k++) {
        int refusals = 0, folders = 0;
        do {
            nr_begun b;
            left = refusals + folders;
            has_failed = false;
            reason = reasons[k % 2];
            failing = k < 2 ? FSYNC : CLOSE;
            nr_code code = nr_begin_new(other, &rig, RIG, strlen(RIG), &now, &b, &err);
            failing = NO_CALL;
            folders += has_failed && code == NR_OK;
            refusals += code != NR_OK;
            if (code == NR_OK) {
                nr_begin_undo(&b);
                ck_assert(!has_failed || was_folder || k >= 2);
            } else {
                ck_assert(has_failed && b.lock_fd == -1);
                ck_assert_msg(strstr(err.text, strerror(reason)), "%d, %d: %s", k, left, err.text);
                ck_assert(!was_folder || reason != EINVAL);
            }
            ck_assert_int_ne(access(other, F_OK), 0);
        } while (has_failed);
        ck_assert_msg(refusals >= (k < 2 ? 4 : 3), "%d", refusals); /* the heads, and the rig */
        ck_assert_msg(k != 1 || folders >= 2, "%d", folders);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_combination, torn_and_damaged, refused, NULL};
    return run_tests_in("resumed", tests, set_up, tear_down);
}
