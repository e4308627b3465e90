/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making, repairing and taking up run folders; lock, state, notes. On the real file system. */
#include "logger/record/begin.h"
#include "logger/record/notebook.h"
#include "logger/record/repair.h"
#include "logger/run/folder.h"

#include "tests/unit/near.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdint.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static const char rig_text[] = "[test]\ntitle = t\n[adapter]\nport = /dev/x\n[collector]\n"
                               "gross_area_m2 = 1\n[store]\nwater_kg = 40\n"
                               "[channel store]\nunit = degC\n[channel sun]\nunit = W_m2\n";
static nr_rig rig;
static char top[] = "/tmp/noonlog-test-XXXXXX";
static char folder[64];
static const nr_now start = {.utc_s = 1780000000, .steady_s = 500, .awake_s = 400};

static void setup(void)
{
    nr_err err;
    strcpy(top, "/tmp/noonlog-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    snprintf(folder, sizeof folder, "%s/run", top);
    ck_assert_int_eq(
        nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err),
        NR_OK);
}

static void teardown(void)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}

static const char *path_of(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void put(const char *name, const char *bytes, size_t length, const char *mode)
{
    FILE *f = fopen(path_of(name), mode);
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, length, f), length);
    ck_assert_int_eq(fclose(f), 0);
}

static void file_is(const char *name, const char *expected)
{
    char found[4096];
    FILE *f = fopen(path_of(name), "r");
    ck_assert_msg(f != NULL, "%s", name);
    size_t n = fread(found, 1, sizeof found - 1, f);
    fclose(f);
    found[n] = '\0';
    ck_assert_uint_eq(n, strlen(expected));
    ck_assert_str_eq(found, expected);
}

static void bytes_are(const char *name, const char *expected, size_t length)
{
    char found[4096];
    FILE *f = fopen(path_of(name), "r");
    ck_assert_msg(f != NULL, "%s", name);
    size_t n = fread(found, 1, sizeof found, f);
    fclose(f);
    ck_assert_uint_eq(n, length);
    ck_assert_int_eq(memcmp(found, expected, length), 0);
}

static nr_code make(nr_begun *begun, nr_err *err)
{
    return nr_begin_new(folder, &rig, rig_text, strlen(rig_text), &start, begun, err);
}

#define HEAD "time_utc,elapsed_s,store_degC,sun_W_m2\n"
#define ROW "2026-05-28T20:26:50.000Z,10.000,21.5000,800.00\n"

START_TEST(test_new)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    file_is(NR_RIG_FILE, rig_text);
    file_is(NR_READINGS_FILE, HEAD);
    file_is(NR_NOTES_FILE, NR_NOTES_HEADER);
    NEAR(b.state.zero_steady_s, 500, 0);
    NEAR(b.state.last_row_s, -1, 0);
    ck_assert(access(path_of(NR_STATE_FOLDER "/rig.ini.new"), F_OK) < 0);
    nr_begun_end(&b);
    /* Never over an existing run, whoever asks. */
    ck_assert_int_eq(make(&b, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "already"));
    file_is(NR_READINGS_FILE, HEAD);
}
END_TEST

/* A folder that is there and empty is as good as none; one with anything in it is somebody's. */
START_TEST(test_new_in_an_empty_folder)
{
    nr_begun b;
    nr_err err;
    ck_assert(mkdir(folder, 0755) == 0 || errno == EEXIST);
    ck_assert_msg(nr_begin_check(folder, &rig, &err) == NR_OK, "%s", err.text);
    FILE *f = fopen(path_of("x"), "w");
    ck_assert_ptr_nonnull(f);
    fclose(f);
    ck_assert_int_eq(nr_begin_check(folder, &rig, &err), NR_BAD);
    ck_assert_int_eq(unlink(path_of("x")), 0);
    ck_assert_int_eq(make(&b, &err), NR_OK);
    file_is(NR_READINGS_FILE, HEAD);
    nr_begun_end(&b);
}
END_TEST

/* Power was lost while the folder was being made: it can be begun again. Anything more than that
 * is somebody's data. */
START_TEST(test_new_over_half_begun)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    nr_begun_end(&b);
    ck_assert_int_eq(unlink(path_of(NR_RIG_FILE)), 0);
    put(NR_READINGS_FILE, "time_utc", 8, "w");
    put(NR_RIG_FILE ".0123456789abcdef.part", "[tes", 4, "w");
    ck_assert_int_eq(make(&b, &err), NR_OK);
    file_is(NR_READINGS_FILE, HEAD);
    file_is(NR_RIG_FILE, rig_text);
    nr_begun_end(&b);
    ck_assert_int_eq(unlink(path_of(NR_RIG_FILE)), 0);
    put(NR_READINGS_FILE, ROW, strlen(ROW), "a");
    ck_assert_int_eq(make(&b, &err), NR_BAD);
    file_is(NR_READINGS_FILE, HEAD ROW);
    put(NR_READINGS_FILE, HEAD, strlen(HEAD), "w");
    put("holiday.txt", "x", 1, "w");
    ck_assert_int_eq(make(&b, &err), NR_BAD);
    file_is("holiday.txt", "x");
    unlink(path_of("holiday.txt"));
    put(NR_RIG_FILE ".part", "x", 1, "w"); /* not a name of ours */
    ck_assert_int_eq(make(&b, &err), NR_BAD);
}
END_TEST

START_TEST(test_new_where_it_cannot_be)
{
    nr_begun b;
    nr_err err;
    snprintf(folder, sizeof folder, "%s/in-the-way", top);
    FILE *f = fopen(folder, "w");
    ck_assert_ptr_nonnull(f);
    fclose(f);
    ck_assert_int_eq(make(&b, &err), NR_BAD);
    snprintf(folder, sizeof folder, "%s/no/such", top);
    ck_assert_int_eq(make(&b, &err), NR_BAD);
    ck_assert_str_eq(err.file, folder);
}
END_TEST

/* One writer: another process is refused and told who it is. */
START_TEST(test_lock)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    pid_t child = fork();
    if (child == 0) {
        int fd;
        nr_err own;
        bool refused = nr_state_lock(folder, &fd, &own) == NR_BAD;
        char pid[32];
        snprintf(pid, sizeof pid, "process %ld ", (long)getppid());
        bool named = strstr(own.text, pid) != NULL && nr_state_holder(folder) == getppid();
        _exit(refused && named ? 0 : 1);
    }
    int status = 0;
    waitpid(child, &status, 0);
    ck_assert_int_eq(status, 0);
    nr_begun_end(&b);
    ck_assert_int_eq(nr_state_holder(folder), 0);
}
END_TEST

START_TEST(test_state_round_trip)
{
    nr_begun b;
    nr_err err;
    nr_state back;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    b.state.rows = 5399;
    b.state.lines = 5400;
    b.state.rejected = 1;
    b.state.elapsed_s = 5399.25;
    b.state.last_row_s = 5398;
    b.state.waiting = true;
    b.state.supply = (nr_supply){.free_bytes = 123e6, .battery_percent = NAN};
    b.state.awake = NR_AWAKE_KEPT;
    strcpy(b.state.trouble, "cannot write: = odd");
    ck_assert(nr_state_write(b.lock_fd, &b.state));
    ck_assert_int_eq(nr_state_read(folder, &back, &err), NR_OK);
    ck_assert_uint_eq(back.rows, 5399);
    ck_assert_uint_eq(back.lines, 5400);
    ck_assert_uint_eq(back.rejected, 1);
    NEAR(back.elapsed_s, 5399.25, 1e-6);
    NEAR(back.last_row_s, 5398, 1e-6);
    NEAR(back.zero_steady_s, 500, 1e-6);
    ck_assert(back.waiting);
    NEAR(back.supply.free_bytes, 123e6, 0);
    ck_assert(isnan(back.supply.battery_percent));
    ck_assert_int_eq(back.awake, NR_AWAKE_KEPT);
    ck_assert_str_eq(back.trouble, "cannot write: = odd");
    ck_assert_int_eq(back.pid, getpid());
    nr_begun_end(&b);
}
END_TEST

/* A state file is outside input like any other. */
START_TEST(test_state_damaged)
{
    nr_begun b;
    nr_err err;
    nr_state back;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    nr_begun_end(&b);
    static const char damaged[] =
        "rows=-5\npid=x\nelapsed_s=nan\n\0=\ntrouble=\x1b[2J\nlines=1e300\nawake=maybe\n"
        "free_bytes=inf\nbattery_percent=";
    put(NR_STATE_FILE, damaged, sizeof damaged - 1, "w");
    ck_assert_int_eq(nr_state_read(folder, &back, &err), NR_OK);
    ck_assert_uint_eq(back.rows, 0);
    ck_assert_uint_eq(back.lines, 0);
    ck_assert_int_eq(back.awake, NR_AWAKE_UNKNOWN);
    ck_assert(isnan(back.supply.free_bytes) && isnan(back.supply.battery_percent));
    ck_assert_ptr_null(strchr(back.trouble, '\x1b'));

    /* More than a long of 32 bits holds is the most it holds, not what is left of the number. */
    static const char many[] = "rows=4294967295\nlines=4294967296\nrejected=4294967297000\n";
    put(NR_STATE_FILE, many, sizeof many - 1, "w");
    ck_assert_int_eq(nr_state_read(folder, &back, &err), NR_OK);
    ck_assert_uint_eq(back.rows, 4294967295);
    ck_assert_uint_eq(back.lines, sizeof(long) == 8 ? UINT64_C(4294967296) : ULONG_MAX);
    ck_assert_uint_eq(back.rejected, sizeof(long) == 8 ? UINT64_C(4294967297000) : ULONG_MAX);
}
END_TEST

static void crash_with(const char *readings_tail, size_t length)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    b.state.elapsed_s = 10.2;
    b.state.at_steady_s = 510.2;
    nr_state_write(b.lock_fd, &b.state);
    nr_begun_end(&b);
    put(NR_READINGS_FILE, ROW, strlen(ROW), "a");
    put(NR_READINGS_FILE, readings_tail, length, "a");
}

/* Resumed in the same boot: time is where the steady clock says. */
START_TEST(test_again)
{
    nr_begun b;
    nr_err err;
    nr_now now = {.utc_s = 1, .steady_s = 530, .awake_s = 430}; /* the wall clock is nonsense */
    crash_with("2026-05-28T20:26:51.000Z,11.0", 29);
    ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
    file_is(NR_READINGS_FILE, HEAD ROW);
    ck_assert_int_eq(b.torn_bytes, 29);
    NEAR(b.state.last_row_s, 10, 0);
    NEAR(now.steady_s - b.state.zero_steady_s, 30, 1e-6);
    ck_assert(!b.by_wall_clock && !b.clock_behind);
    nr_begun_end(&b);
}
END_TEST

static void forget_boot(void)
{
    static const char boot[] = "boot_id=another\nzero_utc_s=1780000000\nat_steady_s=9\n";
    put(NR_STATE_FILE, boot, strlen(boot), "w");
}

/* After a reboot: by the wall clock, if it can be. */
START_TEST(test_again_after_a_reboot)
{
    nr_begun b;
    nr_err err;
    nr_now now = {.utc_s = 1780000100, .steady_s = 20, .awake_s = 20};
    crash_with("", 0);
    forget_boot();
    ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
    ck_assert(b.by_wall_clock && !b.clock_behind);
    NEAR(b.pause_s, 90, 1e-6);
    NEAR(now.steady_s - b.state.zero_steady_s, 100, 1e-6);
    nr_begun_end(&b);
    now.utc_s = 5; /* a board without a clock */
    forget_boot();
    ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
    ck_assert(b.clock_behind);
    NEAR(now.steady_s - b.state.zero_steady_s, 11, 1e-6);
    nr_begun_end(&b);
}
END_TEST

/* The clock was in 1970 when the last row came and knows the time now: from then to now is no
 * pause. Both sides of the limit of a week. */
START_TEST(test_again_after_1970)
{
    static const struct {
        double utc_s, pause_s;
        bool beyond;
    } now_is[] = {{1780000000, 1, true},
                  {1779999410 + 7 * 86400.0 + 600, 7 * 86400.0, false},
                  {1779999410 + 7 * 86400.0 + 601, 1, true}};
    nr_begun b;
    nr_err err;
    crash_with("", 0);
    for (size_t i = 0; i < sizeof now_is / sizeof *now_is; i++) {
        nr_now now = {.utc_s = now_is[i].utc_s, .steady_s = 20, .awake_s = 20};
        static const char lost[] = HEAD "1970-01-01T00:05:00.000Z,10.000,21.5,800\n";
        forget_boot();
        if (i == 0)
            put(NR_READINGS_FILE, lost, sizeof lost - 1, "w");
        else
            put(NR_READINGS_FILE, HEAD ROW, strlen(HEAD ROW), "w");
        ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
        ck_assert_msg(b.clock_beyond == now_is[i].beyond && !b.clock_behind, "case %zu", i);
        NEAR(b.pause_s, now_is[i].pause_s, 1e-3);
        NEAR(now.steady_s - b.state.zero_steady_s, 10 + now_is[i].pause_s, 1e-3);
        nr_begun_end(&b);
    }
}
END_TEST

/* Damage in the middle (a power cut that wrote the pages in another order) stays, is told, and the
 * last row that can be read says where time is; so does a torn end that is kept. */
START_TEST(test_again_over_damage)
{
    static const char damaged[] = HEAD ROW "2026-05-28T20:26:51.000Z,11.000,\0\0\0\0,1\n"
                                           "2026-05-28T20:26:52.000Z,12.000,21.5,800\n"
                                           "\0\0\0\0\0\n2026-05-28T20:2\0\0";
    nr_begun b;
    nr_err err;
    nr_now now = {.utc_s = 1, .steady_s = 530, .awake_s = 430};
    crash_with("", 0);
    put(NR_READINGS_FILE, damaged, sizeof damaged - 1, "w");
    ck_assert_int_eq(nr_begin_again(folder, &rig, &now, &b, &err), NR_OK);
    bytes_are(NR_READINGS_FILE, damaged, sizeof damaged - 1 - 17);
    bytes_are(NR_STATE_FOLDER "/cut-" NR_READINGS_FILE,
              "# 15 bytes from offset 172 on:\n2026-05-28T20:2\n", 47);
    ck_assert_int_eq(b.torn_bytes, 17);
    ck_assert_uint_eq(b.damaged, 2);
    ck_assert_str_eq(b.damaged_file, NR_READINGS_FILE);
    ck_assert_int_eq(b.damaged_line, 3);
    ck_assert_uint_eq(b.state.rows, 2);
    NEAR(b.state.last_row_s, 12, 0);
    nr_begun_end(&b);
}
END_TEST

/* A lock that names no process, or one that is no recorder, gets nobody a signal: kill(-1) reaches
 * every process there is. */
START_TEST(test_signal_to_strangers)
{
    nr_begun b;
    nr_err err;
    pid_t pid = 0;
    struct stat about;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    nr_state told;
    ck_assert_int_eq(nr_state_read(folder, &told, &err), NR_OK); /* before the first row, too */
    ck_assert_int_eq(told.pid, getpid());
    nr_begun_end(&b);
    ck_assert_int_eq(stat(path_of(NR_STATE_FILE), &about), 0);
    ck_assert_int_eq(about.st_mode & 07777, 0600);
    ck_assert_int_eq(nr_state_signal(folder, SIGTERM, &pid, &err), NR_CANNOT);
    int fd = open(path_of(NR_STATE_FILE), O_RDONLY);
    struct flock l = {.l_type = F_RDLCK, .l_whence = SEEK_SET};
    ck_assert_int_eq(fcntl(fd, F_OFD_SETLK, &l), 0);
    ck_assert_int_eq(nr_state_holder(folder), NR_STATE_STRANGER);
    ck_assert_int_eq(nr_state_signal(folder, SIGTERM, &pid, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "not by a recorder"));
    int other = -1;
    ck_assert_int_eq(nr_state_lock(folder, &other, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "another program"));
    close(fd);

    /* A process that holds the lock without being the recorder of the state. */
    int ready[2];
    ck_assert_int_eq(pipe(ready), 0);
    pid_t child = fork();
    if (child == 0) {
        l.l_type = F_WRLCK;
        int own = open(path_of(NR_STATE_FILE), O_RDWR);
        if (fcntl(own, F_SETLK, &l) == 0 && write(ready[1], "x", 1) == 1)
            pause();
        _exit(0);
    }
    char c;
    ck_assert_int_eq(read(ready[0], &c, 1), 1);
    ck_assert_int_eq(nr_state_holder(folder), child);
    ck_assert_int_eq(nr_state_signal(folder, SIGTERM, &pid, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "no recorder"));
    ck_assert_int_eq(waitpid(child, NULL, WNOHANG), 0);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
}
END_TEST

/* A request to end: an empty file, taken once; one for an earlier recorder is not for the next. */
START_TEST(test_request)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    ck_assert(!nr_state_is_asked(folder));
    ck_assert(!nr_state_take_request(folder));
    ck_assert(nr_state_ask(folder));
    ck_assert(nr_state_ask(folder)); /* two who ask at once */
    ck_assert(nr_state_is_asked(folder));
    ck_assert(nr_state_take_request(folder));
    ck_assert(!nr_state_is_asked(folder));
    nr_begun_end(&b);
    ck_assert(nr_state_ask(folder));
    ck_assert_int_eq(nr_begin_again(folder, &rig, &start, &b, &err), NR_OK);
    ck_assert(!nr_state_is_asked(folder));
    nr_begun_end(&b);

    put(NR_STATE_STOP, "x", 1, "w"); /* somebody's */
    ck_assert(!nr_state_take_request(folder));
    ck_assert_int_eq(unlink(path_of(NR_STATE_STOP)), 0);
    ck_assert_int_eq(symlink("elsewhere", path_of(NR_STATE_STOP)), 0);
    ck_assert(!nr_state_ask(folder));
    ck_assert(!nr_state_take_request(folder));
    ck_assert(!nr_state_ask("/nowhere"));
}
END_TEST

START_TEST(test_again_with_another_rig)
{
    nr_begun b;
    nr_err err;
    crash_with("", 0);
    rig.channels = 1;
    ck_assert_int_eq(nr_begin_again(folder, &rig, &start, &b, &err), NR_BAD);
    ck_assert_int_eq(err.line, 1);
}
END_TEST

/* The crash came before the head was written, or in the middle of it. */
START_TEST(test_again_without_a_head)
{
    nr_begun b;
    nr_err err;
    ck_assert_int_eq(make(&b, &err), NR_OK);
    nr_begun_end(&b);
    put(NR_READINGS_FILE, "time_utc,el", 11, "w");
    ck_assert_int_eq(nr_begin_again(folder, &rig, &start, &b, &err), NR_OK);
    file_is(NR_READINGS_FILE, HEAD);
    NEAR(b.state.last_row_s, -1, 0);
    nr_begun_end(&b);
    ck_assert_int_eq(unlink(path_of(NR_READINGS_FILE)), 0);
    ck_assert_int_eq(nr_begin_again(folder, &rig, &start, &b, &err), NR_OK);
    file_is(NR_READINGS_FILE, HEAD);
    nr_begun_end(&b);
}
END_TEST

static nr_code repair_file(const char *name, off_t *cut, nr_err *err)
{
    char path[128];
    snprintf(path, sizeof path, "%s", path_of(name));
    return nr_repair_tail(path, path_of("kept"), cut, err);
}

START_TEST(test_repair)
{
    static const struct {
        const char *before;
        size_t length;
        const char *after;
    } tails[] = {{"a\nb\n", 4, "a\nb\n"},         {"a\nb", 3, "a\n"}, {"b", 1, ""}, {"", 0, ""},
                 {"a\nb\n\0\0\0\0", 8, "a\nb\n"}, {"\0\0\0", 3, ""}};
    static const char kept[] = "# 1 bytes from offset 2 on:\nb\n# 1 bytes from offset 0 on:\nb\n"
                               "# 3 bytes from offset 3 on:\nb\0c\n";
    nr_err err;
    off_t cut;
    ck_assert_int_eq(mkdir(folder, 0755), 0);
    for (size_t i = 0; i < sizeof tails / sizeof *tails; i++) {
        put("file", tails[i].before, tails[i].length, "w");
        ck_assert_int_eq(repair_file("file", &cut, &err), NR_OK);
        file_is("file", tails[i].after);
        ck_assert_int_eq(cut, (off_t)(tails[i].length - strlen(tails[i].after)));
    }
    /* What stands before the last line end stays whatever it is, and what goes is kept. */
    put("file", "\0a\nb\0c\0\0", 8, "w");
    ck_assert_int_eq(repair_file("file", &cut, &err), NR_OK);
    ck_assert_int_eq(cut, 5);
    bytes_are("file", "\0a\n", 3);
    bytes_are("kept", kept, sizeof kept - 1 + 0);
    ck_assert_int_eq(repair_file("missing", &cut, &err), NR_OK);
    ck_assert_int_eq(cut, 0);
}
END_TEST

/* A torn line longer than the block that is read at a time. */
START_TEST(test_repair_long)
{
    static char bytes[10000];
    nr_err err;
    off_t cut;
    ck_assert_int_eq(mkdir(folder, 0755), 0);
    memset(bytes, 'x', sizeof bytes);
    memcpy(bytes, "one\ntwo\n", 8);
    put("file", bytes, sizeof bytes, "w");
    ck_assert_int_eq(repair_file("file", &cut, &err), NR_OK);
    file_is("file", "one\ntwo\n");
    ck_assert_int_eq(cut, sizeof bytes - 8);
}
END_TEST

/* Two books (two processes, as far as the file knows) write in turns; a torn end of a writer that
 * died goes; a busy lock is no loss. */
START_TEST(test_notebook)
{
    static nr_notebook one, two;
    nr_begun b;
    nr_err err;
    nr_note note = {.utc_s = 1780000000, .elapsed_s = 1, .kind = NR_NOTE_NOTE, .text = "glass on"};
    ck_assert_int_eq(make(&b, &err), NR_OK);
    ck_assert(nr_notebook_init(&one, &nr_files_system, folder));
    ck_assert(nr_notebook_init(&two, &nr_files_system, folder));
    ck_assert(nr_notebook_add(&one, &note));
    ck_assert(nr_notebook_flush(&one));
    static const char torn[] =
        "2026-05-28T20:26:41.000Z,2.000,note,\"longer than the row that takes "
        "its place, and its end never came";
    put(NR_NOTES_FILE, torn, sizeof torn - 1, "a");
    strcpy(note.text, "=SUM(1)");
    ck_assert(nr_notebook_add(&two, &note));
    int lock = open(path_of(NR_STATE_FOLDER "/notes.lock"), O_RDWR | O_CREAT, 0644);
    ck_assert_int_eq(flock(lock, LOCK_EX), 0);
    ck_assert(!nr_notebook_flush(&two));
    ck_assert_int_eq(two.why, EWOULDBLOCK);
    close(lock);
    ck_assert(nr_notebook_flush(&two));
    nr_notes *notes = NULL;
    ck_assert_int_eq(nr_notes_read(path_of(NR_NOTES_FILE), &notes, &err), NR_OK);
    ck_assert_uint_eq(notes->count, 2);
    ck_assert(!notes->torn);
    ck_assert_str_eq(notes->note[0].text, "glass on");
    ck_assert_str_eq(notes->note[1].text, "=SUM(1)");
    nr_notes_free(notes);
    nr_begun_end(&b);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("begin");
    TCase *all = tcase_create("begin");
    const TTest *const tests[] = {test_new,
                                  test_new_over_half_begun,
                                  test_new_in_an_empty_folder,
                                  test_new_where_it_cannot_be,
                                  test_lock,
                                  test_state_round_trip,
                                  test_state_damaged,
                                  test_again,
                                  test_again_after_a_reboot,
                                  test_again_after_1970,
                                  test_again_over_damage,
                                  test_signal_to_strangers,
                                  test_request,
                                  test_again_with_another_rig,
                                  test_again_without_a_head,
                                  test_repair,
                                  test_repair_long,
                                  test_notebook};
    tcase_add_checked_fixture(all, setup, teardown);
    for (size_t i = 0; i < sizeof tests / sizeof *tests; i++)
        tcase_add_test(all, tests[i]);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
