/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The waits of a Modbus bus, by a clock of the test's own: clock, sleep, poll and libmodbus are
 * played here, so that nothing waits and every millisecond is known. What is asked in one question
 * and what stands in the line, on drawn rigs; how long is listened after each kind of answer, when
 * a silent unit is asked again, and which bytes are an answer too many. */
#undef _FORTIFY_SOURCE /* its headers have a poll of their own, and here is one more */
#include "logger/port/modbus_point.h"
#include "logger/port/modbus_poll.h"
#include "tests/unit/near.h"

#include <errno.h>
#include <poll.h>
#include <time.h>
#include <unistd.h>

/* --- the bus and the clock -------------------------------------------------------------------- */

typedef struct question {
    int unit, address, words;
    bool input;
} question;

static double now_s;
static struct {
    int pipe[2], wake[2], slave;
    double answer_ms;
    int fail[248]; /* errno a unit's questions end with; 0: it answers */
    int fails;     /* so many questions; -1: all */
    bool singly;   /* more than one register is refused */
    size_t behind; /* bytes that follow an answer: of the answer itself, once more */
    bool other;    /* ... but with another register */
    int chatter;   /* so many times there is a byte more whenever somebody listens */
    question asked[400];
    int questions;
    int waited_ms[400], waits; /* each look that found nothing */
    long slept_ns;
} b;

int clock_gettime(clockid_t id, struct timespec *out)
{
    (void)id;
    out->tv_sec = (time_t)now_s;
    out->tv_nsec = (long)((now_s - (double)out->tv_sec) * 1e9);
    return 0;
}

int nanosleep(const struct timespec *time, struct timespec *left)
{
    (void)left;
    b.slept_ns = (long)time->tv_sec * 1000000000L + time->tv_nsec;
    now_s += (double)b.slept_ns * 1e-9;
    return 0;
}

static size_t in_pipe;

#ifndef __clang__ /* the C library's header says that poll only writes what it is given */
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#endif

int poll(struct pollfd *fds, nfds_t n, int ms)
{
    int ready = 0;
    if (n != 2 || fds[0].fd != b.pipe[0])
        return 0;
    fds[0].revents = fds[1].revents = 0;
    if (b.chatter > 0) {
        b.chatter--;
        now_s += 0.05;
        in_pipe += write(b.pipe[1], "c", 1) == 1;
    }
    if (b.wake[1]) {
        fds[1].revents = POLLIN;
        ready++;
    }
    if (in_pipe > 0) {
        fds[0].revents = POLLIN;
        in_pipe = 0; /* it reads all */
        ready++;
    }
    if (ready == 0) {
        now_s += ms / 1000.0;
        if (b.waits < 400)
            b.waited_ms[b.waits++] = ms;
    }
    return ready;
}

static uint16_t held(int unit, bool input, int address)
{
    return (uint16_t)(unit * 7919 + address * 104729 + (input ? 31 : 0));
}

static int gives(int address, int words, uint16_t *to, bool input)
{
    int unit = b.slave, fail = b.fails ? b.fail[unit] : 0;
    uint8_t again[256] = {(uint8_t)unit, input ? 4 : 3, (uint8_t)(2 * words)};
    if (b.questions < 400)
        b.asked[b.questions] = (question){unit, address, words, input};
    b.questions++;
    b.fails -= b.fails > 0;
    now_s += fail == ETIMEDOUT ? 0.5 : b.answer_ms / 1000;
    errno = fail ? fail : b.singly && words > 1 ? EMBXILADD : 0;
    if (errno)
        return -1;
    for (int i = 0; i < words; i++) {
        to[i] = held(unit, input, address + i);
        again[3 + 2 * i] = (uint8_t)(to[i] >> 8);
        again[4 + 2 * i] = (uint8_t)(to[i] & 0xff);
    }
    again[4] = (uint8_t)(again[4] ^ b.other);
    if (b.behind > 0 && write(b.pipe[1], again, b.behind) == (ssize_t)b.behind)
        in_pipe += b.behind;
    return words;
}

int modbus_read_registers(modbus_t *bus, int address, int words, uint16_t *to)
{
    (void)bus;
    return gives(address, words, to, false);
}

int modbus_read_input_registers(modbus_t *bus, int address, int words, uint16_t *to)
{
    (void)bus;
    return gives(address, words, to, true);
}

int modbus_set_slave(modbus_t *bus, int unit)
{
    (void)bus;
    b.slave = unit;
    return 0;
}

int modbus_get_socket(modbus_t *bus)
{
    (void)bus;
    return b.pipe[0];
}

/* --- a rig and its rounds --------------------------------------------------------------------- */

static nr_port_settings settings;
static nr_modbus_poll *p;
static char line[NR_MODBUS_LINE], note[NR_MODBUS_LINE];
static unsigned seed = 760102;

static void begin(void)
{
    if (b.pipe[0])
        close(b.pipe[0]), close(b.pipe[1]);
    memset(&b, 0, sizeof b);
    memset(&settings, 0, sizeof settings);
    nr_modbus_poll_free(p);
    p = NULL;
    ck_assert_int_eq(pipe(b.pipe), 0);
    in_pipe = 0;
    now_s = 1000;
    b.fails = -1;
    b.answer_ms = 5;
}

static void point(int unit, int address, const char *type)
{
    nr_port_point *to = &settings.point[settings.points++];
    snprintf(to->field, sizeof to->field, "f%zu", settings.points);
    snprintf(to->type, sizeof to->type, "%s", type);
    to->unit = unit;
    to->address = address;
}

static bool went_on(void)
{
    if (!p)
        p = nr_modbus_poll_new((modbus_t *)&b, &settings, b.wake[0]);
    b.questions = b.waits = 0;
    return nr_modbus_poll_round(p, line, note);
}

/* What a round waited for, from its first question's answer on: the looks that cost time. */
static void waited(int first, int second)
{
    int seen[3] = {0, 0, 0}, n = 0;
    for (int i = 0; i < b.waits; i++)
        if (b.waited_ms[i] > 0 && n < 3)
            seen[n++] = b.waited_ms[i];
    ck_assert_msg(n == (second ? 2 : 1) && seen[0] == first && seen[1] == second, "%d: %d %d", n,
                  seen[0], seen[1]);
}

/* --- questions and answers -------------------------------------------------------------------- */

/* Runs of registers that touch, of each unit and kind: counted register by register. */
static int questions_wanted(question *wanted)
{
    int n = 0;
    for (int unit = 1; unit < 248; unit++)
        for (int input = 0; input < 2; input++) {
            bool used[64] = {false}, begins[64] = {false};
            for (size_t i = 0; i < settings.points; i++) {
                const nr_port_point *at = &settings.point[i];
                if (at->unit != unit || (at->type[0] == 'i') != input)
                    continue;
                used[at->address] = begins[at->address] = true;
                if (strstr(at->type, "32"))
                    used[at->address + 1] = true;
            }
            for (int from = 0; from < 63; from++) {
                if (!begins[from] || (from > 0 && used[from - 1]))
                    continue;
                int end = from;
                while (used[end])
                    end++;
                wanted[n++] = (question){unit, from, end - from, input};
            }
        }
    return n;
}

START_TEST(drawn_rigs)
{
    static const char *const types[] = {"u16",  "s16",  "u32",  "s32",  "f32",
                                        "iu16", "is16", "iu32", "is32", "if32"};
    for (int k = 0; k < 40; k++) {
        question wanted[100];
        char expected[NR_MODBUS_LINE] = "";
        begin();
        for (int i = 0; i < 1 + k; i++)
            point(1 + rand_r(&seed) % 3, rand_r(&seed) % 40, types[rand_r(&seed) % 10]);
        ck_assert(went_on());
        int n = questions_wanted(wanted);
        ck_assert_int_eq(b.questions, n);
        for (int i = 0; i < n; i++)
            ck_assert_msg(
                b.asked[i].unit == wanted[i].unit && b.asked[i].input == wanted[i].input &&
                    b.asked[i].address == wanted[i].address && b.asked[i].words == wanted[i].words,
                "rig %d, question %d", k, i);
        for (size_t i = 0; i < settings.points; i++) {
            const nr_port_point *at = &settings.point[i];
            bool input = at->type[0] == 'i';
            uint16_t words[2] = {held(at->unit, input, at->address),
                                 held(at->unit, input, at->address + 1)};
            double value = nr_modbus_value(at->type, words);
            size_t used = strlen(expected);
            snprintf(expected + used, sizeof expected - used,
                     isnan(value) ? "%s%s@%d:%d:%s=" : "%s%s@%d:%d:%s=%.9g", i ? "," : "",
                     at->field, at->unit, at->address, at->type, value);
        }
        ck_assert_str_eq(line, expected);
        ck_assert_str_eq(note, "");
    }
}
END_TEST

/* Names, as far as a line of all of them, with the longest numbers, has room: 1900 letters. */
START_TEST(long_names)
{
    for (int more = -1; more <= 1; more++) {
        begin();
        for (int i = 0; i < 22; i++) {
            point(1, i, "u16");
            /* 24 of the address, and "@=,-1.23456789e-38" with what ends a text */
            int length = i < 21 ? 43 : 1900 - 22 * (24 + 19) - 21 * 43 + more;
            snprintf(settings.point[i].field, sizeof settings.point[i].field, "%0*d", length, 0);
        }
        ck_assert(went_on());
        ck_assert_int_eq(line[0], more < 0 ? '0' : '@');
    }
}
END_TEST

/* --- time ------------------------------------------------------------------------------------- */

/* At the end twice the slowest answer, 20 ms at least and a quarter of a second at most; a pause of
 * 2 ms before the next question. */
START_TEST(the_last_look)
{
    static const struct {
        double answer_ms;
        int look_ms;
    } of[] = {{5, 20}, {9.9, 20}, {10.6, 21}, {60.3, 120}, {124.2, 248}, {130, 250}, {400, 250}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        point(1, 5, "u16");
        b.answer_ms = of[i].answer_ms;
        ck_assert(went_on());
        waited(of[i].look_ms, 0);
        ck_assert_int_eq(b.slept_ns, 2000000);
        b.answer_ms = 1; /* each round anew */
        ck_assert(went_on());
        waited(20, 0);
    }
}
END_TEST

/* After silence half a second of quiet; after what is garbled 60 ms, and it is asked again at once;
 * after a refusal nothing. */
START_TEST(after_each_answer)
{
    static const struct {
        int why, questions, first_ms;
        bool surplus;
    } of[] = {{ETIMEDOUT, 1, 500, false}, {EMBBADCRC, 2, 60, false},
              {EMBBADDATA, 2, 60, true}, /* an answer, but to another question */
              {EMBBADSLAVE, 2, 60, true}, {EMBXILFUN, 1, 0, false},
              {EMBXGTAR, 1, 0, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        point(1, 5, "u16");
        point(2, 5, "u16");
        b.fail[1] = of[i].why;
        b.fails = of[i].questions == 2 ? 1 : -1; /* the second try is good */
        ck_assert(went_on());
        ck_assert_int_eq(b.questions, of[i].questions + 1);
        waited(of[i].first_ms ? of[i].first_ms : 20, of[i].first_ms ? 20 : 0);
        if (of[i].surplus)
            ck_assert(strncmp(line, "# bus: more answers than questions", 34) == 0);
        else
            ck_assert(strncmp(line, of[i].questions == 2 ? "f1@1:5:u16=" : "f1@1:5:u16=,f2",
                              of[i].questions == 2 ? 11 : 14) == 0);
        ck_assert_int_eq(note[0] != '\0', of[i].questions == 1);
    }
    static const int gone[] = {EIO, ENODEV, ENXIO, EBADF, EPIPE};
    for (size_t i = 0; i < sizeof gone / sizeof *gone; i++) {
        begin();
        point(1, 5, "u16");
        b.fail[1] = gone[i];
        ck_assert(!went_on());
    }
}
END_TEST

/* Missed once it is asked in the next round; then after 2, 4, 8, 16, 30, 30 s; and from the
 * beginning once it has answered. */
START_TEST(silent_units)
{
    static const double pauses_s[] = {2, 4, 8, 16, 30, 30};
    begin();
    point(1, 5, "u16");
    point(2, 5, "u16");
    for (int turn = 0; turn < 2; turn++) {
        b.fail[1] = ETIMEDOUT;
        ck_assert(went_on());
        ck_assert(strncmp(note, "# bus: unit 1 gave no answer in time: ", 38) == 0);
        ck_assert(went_on());
        ck_assert(
            strncmp(note, "# bus: unit 1 does not answer; it is asked less often now: ", 59) == 0);
        for (int i = 0; i < 6; i++) {
            /* The pause counts from when it was given up: half a second of quiet, a sleep. */
            double missed_s = now_s - 0.002 * 2 - 0.005 - 0.020;
            missed_s += 0.002; /* given up behind its own sleep */
            now_s = missed_s + pauses_s[i] - 0.01;
            ck_assert(went_on());
            ck_assert_msg(b.questions == 1, "pause %d: asked too early", i);
            ck_assert_str_eq(note, "");
            now_s = missed_s + pauses_s[i] + 0.01;
            ck_assert(went_on());
            ck_assert_msg(b.questions == 2, "pause %d: not asked", i);
            ck_assert_str_eq(note, "");
        }
        b.fail[1] = 0;
        now_s += 31;
        ck_assert(went_on());
        ck_assert_str_eq(note, "# bus: unit 1 answers again");
        ck_assert(went_on());
        ck_assert_str_eq(note, "");
    }
    /* Two at once: one line. */
    b.fail[1] = b.fail[2] = ETIMEDOUT;
    ck_assert(went_on());
    const char *second = strstr(note, "; unit 2 gave no answer in time: ");
    ck_assert(strncmp(note, "# bus: unit 1 gave", 18) == 0 && second);
    ck_assert(strncmp(line, "# no answer on the bus: ", 24) == 0);
}
END_TEST

/* Of several blocks of a silent unit one is asked for a round; one that never was heard and has
 * several registers is asked in pieces from the second time on. */
START_TEST(silent_blocks)
{
    begin();
    point(1, 5, "u16");
    point(1, 6, "u16");
    point(1, 9, "u16");
    b.fail[1] = ETIMEDOUT;
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 1);
    ck_assert_int_eq(b.asked[0].words, 2);
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 1);
    b.fail[1] = 0;
    now_s += 31;
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 3);
    ck_assert(b.asked[0].words == 1 && b.asked[1].words == 1);
    begin(); /* it was heard: it stays whole */
    point(1, 5, "u16");
    point(1, 6, "u16");
    ck_assert(went_on());
    b.fail[1] = ETIMEDOUT;
    for (int i = 0; i < 3; i++) {
        ck_assert(went_on());
        now_s += 31;
    }
    b.fail[1] = 0;
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 1);
    begin(); /* refused together: in pieces at once */
    point(1, 5, "u16");
    point(1, 6, "u16");
    point(1, 7, "u16");
    point(2, 1, "u16");
    b.singly = true;
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 5);
    ck_assert(went_on());
    ck_assert_int_eq(b.questions, 4);
}
END_TEST

/* Five bytes are an answer nobody asked for, fewer are noise; the same answer once more is none, as
 * long as it is not there twice or begins otherwise. */
START_TEST(too_many_bytes)
{
    static const struct {
        int registers;
        size_t behind;
        bool other, surplus;
    } of[] = {{1, 4, false, false}, {1, 5, false, false},  {1, 5, true, true},
              {1, 4, true, false},  {3, 5, false, true},   {3, 8, false, true},
              {3, 9, false, false}, {3, 17, false, false}, {3, 18, false, true},
              {3, 9, true, true},   {1, 9, false, false},  {1, 10, false, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        for (int r = 0; r < of[i].registers; r++)
            point(1, r, "u16");
        b.behind = of[i].behind;
        b.other = of[i].other;
        ck_assert(went_on());
        ck_assert_msg((strncmp(line, "# bus: more", 11) == 0) == of[i].surplus, "row %zu: %s", i,
                      line);
        waited(60, 0); /* somebody speaks: longer than 20 ms */
    }
    /* Before the next question, too: whose it is nobody knows. */
    begin();
    point(1, 5, "u16");
    point(2, 5, "u16");
    b.behind = 5;
    b.other = true;
    ck_assert(went_on());
    ck_assert(strncmp(line, "# bus: more", 11) == 0);
    b.behind = 0;
    ck_assert(went_on());
    ck_assert(strncmp(line, "f1@", 3) == 0);
    in_pipe += write(b.pipe[1], "0123456789", 10) == 10; /* between two rounds: nobody's */
    ck_assert(went_on());
    ck_assert(strncmp(line, "f1@", 3) == 0);
}
END_TEST

/* A bus on which somebody always speaks is listened to for three seconds. */
START_TEST(never_quiet)
{
    begin();
    point(1, 5, "u16");
    b.chatter = 1000;
    double from_s = now_s;
    ck_assert(went_on());
    /* before the round, before the question and after it */
    NEAR(now_s - from_s, 9, 0.2);
    b.chatter = 0;
    b.wake[1] = 1;
    ck_assert(!went_on());
    ck_assert_int_eq(b.questions, 0);
}
END_TEST

/* The end of the line is the end. */
START_TEST(hung_up)
{
    begin();
    point(1, 5, "u16");
    ck_assert(went_on());
    close(b.pipe[1]);
    in_pipe = 1; /* something is to be read, and it is the end; no POLLHUP */
    ck_assert(went_on());
    b.pipe[1] = dup(b.pipe[0]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_rigs,   long_names,    the_last_look,  after_each_answer,
                                  silent_units, silent_blocks, too_many_bytes, never_quiet,
                                  hung_up,      NULL};
    return run_tests("a bus by the clock", tests);
}
