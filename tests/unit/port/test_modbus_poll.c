/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Questions and answers on a Modbus bus, against sensors of the test's own: which registers are
 * asked for in one question, what a refusal, a silence and an answer too many do to a round. Frames
 * and checksum after Modbus over serial line V1.02, 2.5, answers after the application protocol
 * V1.1b3, 6.3 and 7. */
#include "logger/port/modbus_poll.h"

#include "tests/unit/near.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pthread.h>
#include <stdint.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

/* Register R of unit U holds 1000 U + R. */
typedef struct sensors {
    int bus, stop[2];
    bool singly; /* more than one register is refused */
    int refuses; /* this register is (exception 2); -1 none */
    int silent;  /* this unit never answers; 0 none */
    int twice;   /* so many answers are followed by one of another register */
    int questions;
    struct {
        int unit, function, address, words;
    } asked[200];
    pthread_t thread;
} sensors;

static sensors s;
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER; /* of s */
static modbus_t *bus;
static nr_port_settings settings;
static int wake[2];
static char line[NR_MODBUS_LINE], note[NR_MODBUS_LINE];

static void send_frame(uint8_t *frame, size_t count)
{
    uint16_t crc = 0xFFFF;
    for (size_t i = 0; i < count; i++) {
        crc ^= frame[i];
        for (int bit = 0; bit < 8; bit++)
            crc = (uint16_t)(crc & 1 ? (crc >> 1) ^ 0xA001 : crc >> 1);
    }
    frame[count] = (uint8_t)(crc & 0xFF);
    frame[count + 1] = (uint8_t)(crc >> 8);
    if (write(s.bus, frame, count + 2) < 0)
        abort();
}

static void give(int unit, int function, int address, int words)
{
    uint8_t frame[260] = {(uint8_t)unit, (uint8_t)function, (uint8_t)(2 * words)};
    for (int i = 0; i < words; i++) {
        frame[3 + 2 * i] = (uint8_t)((1000 * unit + address + i) >> 8);
        frame[4 + 2 * i] = (uint8_t)((1000 * unit + address + i) & 0xFF);
    }
    send_frame(frame, 3 + 2 * (size_t)words);
}

static void answer(const uint8_t *q)
{
    int unit = q[0], function = q[1], address = q[2] << 8 | q[3], words = q[4] << 8 | q[5];
    if (s.questions < 200) {
        s.asked[s.questions].unit = unit;
        s.asked[s.questions].function = function;
        s.asked[s.questions].address = address;
        s.asked[s.questions].words = words;
    }
    s.questions++;
    if (unit == s.silent)
        return;
    if ((s.singly && words > 1) || (s.refuses >= address && s.refuses < address + words)) {
        uint8_t frame[8] = {(uint8_t)unit, (uint8_t)(function | 0x80), 2};
        send_frame(frame, 3);
        return;
    }
    give(unit, function, address, words);
    if (s.twice > 0) {
        s.twice--;
        give(unit, function, address + 7, words);
    }
}

static void *sense(void *unused)
{
    uint8_t q[8];
    size_t have = 0;
    (void)unused;
    for (;;) {
        struct pollfd fds[2] = {{.fd = s.bus, .events = POLLIN},
                                {.fd = s.stop[0], .events = POLLIN}};
        if (poll(fds, 2, -1) < 0 && errno == EINTR)
            continue;
        if (fds[1].revents)
            return NULL;
        ssize_t n = read(s.bus, q + have, sizeof q - have);
        have += n > 0 ? (size_t)n : 0;
        if (have == sizeof q) {
            pthread_mutex_lock(&lock);
            answer(q);
            pthread_mutex_unlock(&lock);
            have = 0;
        }
    }
}

static void set_up(void)
{
    memset(&s, 0, sizeof s);
    memset(&settings, 0, sizeof settings);
    s.refuses = -1;
    s.bus = posix_openpt(O_RDWR | O_NOCTTY);
    ck_assert(s.bus >= 0 && grantpt(s.bus) == 0 && unlockpt(s.bus) == 0);
    ck_assert(pipe(s.stop) == 0 && pipe(wake) == 0);
    bus = modbus_new_rtu(ptsname(s.bus), 115200, 'N', 8, 1);
    ck_assert(bus && modbus_connect(bus) == 0);
    ck_assert_int_eq(pthread_create(&s.thread, NULL, sense, NULL), 0);
}

static void tear_down(void)
{
    ck_assert_int_eq(write(s.stop[1], "x", 1), 1);
    pthread_join(s.thread, NULL);
    modbus_close(bus);
    modbus_free(bus);
    close(s.bus);
}

static void point(int unit, int address, const char *type)
{
    nr_port_point *p = &settings.point[settings.points++];
    (void)snprintf(p->field, sizeof p->field, "r%d_%d", unit, address);
    (void)snprintf(p->type, sizeof p->type, "%s", type);
    p->unit = unit;
    p->address = address;
}

static bool poll_round(nr_modbus_poll *p)
{
    pthread_mutex_lock(&lock);
    s.questions = 0;
    pthread_mutex_unlock(&lock);
    bool good = nr_modbus_poll_round(p, line, note);
    pthread_mutex_lock(&lock); /* the last answer has been given */
    pthread_mutex_unlock(&lock);
    return good;
}

static void asked(int at, int unit, int function, int address, int words)
{
    ck_assert_int_eq(s.asked[at].unit, unit);
    ck_assert_int_eq(s.asked[at].function, function);
    ck_assert_int_eq(s.asked[at].address, address);
    ck_assert_int_eq(s.asked[at].words, words);
}

/* By unit, kind and register; what is next to each other in one question. */
START_TEST(neighbours_in_one_question)
{
    point(9, 4, "u16");
    point(7, 6, "u16");
    point(7, 2, "iu16");
    point(7, 5, "u16");
    point(7, 9, "u32");
    point(7, 11, "u16");
    point(7, 5, "u16"); /* the same once more: with another channel's factor */
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    ck_assert(poll_round(p));
    ck_assert_int_eq(s.questions, 4);
    asked(0, 7, 3, 5, 2);
    asked(1, 7, 3, 9, 3);
    asked(2, 7, 4, 2, 1);
    asked(3, 9, 3, 4, 1);
    ck_assert_str_eq(line, "r9_4@9:4:u16=9004,r7_6@7:6:u16=7006,r7_2@7:2:iu16=7002,"
                           "r7_5@7:5:u16=7005,r7_9@7:9:u32=459348834,r7_11@7:11:u16=7011,"
                           "r7_5@7:5:u16=7005"); /* 7009 * 65536 + 7010 */
    ck_assert_str_eq(note, "");
    nr_modbus_poll_free(p);
}
END_TEST

/* As many as a rig can have, two registers each, are one question; over a gap of one register
 * nobody knows what lies there. */
START_TEST(no_question_over_a_gap)
{
    for (int gap = 0; gap < 2; gap++) {
        settings.points = 0;
        for (int i = 0; i < NR_PORT_POINTS; i++)
            point(1, (2 + gap) * i, "u32");
        nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
        ck_assert(poll_round(p));
        ck_assert_int_eq(s.questions, gap ? NR_PORT_POINTS : 1);
        nr_modbus_poll_free(p);
    }
}
END_TEST

/* A device that gives one register at a time is asked so, in this round and from then on. */
START_TEST(refused_together_asked_one_by_one)
{
    s.singly = true;
    point(7, 1, "u16");
    point(8, 3, "u16");
    point(8, 4, "u16");
    point(8, 5, "u16");
    point(9, 1, "u16");
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    for (int round = 0; round < 2; round++) {
        ck_assert(poll_round(p));
        ck_assert_int_eq(s.questions, round == 0 ? 6 : 5);
        ck_assert_str_eq(line, "r7_1@7:1:u16=7001,r8_3@8:3:u16=8003,r8_4@8:4:u16=8004,"
                               "r8_5@8:5:u16=8005,r9_1@9:1:u16=9001");
        ck_assert_str_eq(note, "");
    }
    nr_modbus_poll_free(p);
}
END_TEST

/* Said once, and of this register only. */
START_TEST(a_register_that_is_none)
{
    s.refuses = 4;
    point(8, 3, "u16");
    point(8, 4, "u16");
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    for (int round = 0; round < 2; round++) {
        ck_assert(poll_round(p));
        ck_assert_str_eq(line, "r8_3@8:3:u16=8003,r8_4@8:4:u16=");
        ck_assert_int_eq(strstr(note, "# bus: unit 8 refuses a register: ") == note, round == 0);
    }
    nr_modbus_poll_free(p);
}
END_TEST

/* Missed once it is asked in the next round again; twice, and it waits two seconds. */
START_TEST(a_unit_that_is_silent_is_asked_less_often)
{
    static const int questions[] = {2, 2, 1, 1};
    s.silent = 9;
    point(8, 3, "u16");
    point(9, 1, "u16");
    modbus_set_response_timeout(bus, 0, 40000);
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    for (int round = 0; round < 4; round++) {
        ck_assert(poll_round(p));
        ck_assert_int_eq(s.questions, questions[round]);
        ck_assert_str_eq(line, "r8_3@8:3:u16=8003,r9_1@9:1:u16=");
        ck_assert_msg((strstr(note, "gave no answer in time") != NULL) == (round == 0) &&
                          (strstr(note, "it is asked less often now") != NULL) == (round == 1),
                      "round %d: %s", round, note);
    }
    nr_modbus_poll_free(p);
    settings.point[0] = settings.point[1]; /* nobody at all: why */
    settings.points = 1;
    p = nr_modbus_poll_new(bus, &settings, wake[0]);
    ck_assert(poll_round(p));
    ck_assert_msg(strncmp(line, "# no answer on the bus: ", 24) == 0, "%s", line);
    nr_modbus_poll_free(p);
}
END_TEST

/* None of a round that brought an answer too many is used: whose they are nobody knows. */
START_TEST(an_answer_too_many)
{
    s.twice = 1;
    point(8, 3, "u16");
    point(9, 1, "u16");
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    ck_assert(poll_round(p));
    ck_assert_str_eq(line, "# bus: more answers than questions; none of this round is used");
    ck_assert(poll_round(p));
    ck_assert_str_eq(line, "r8_3@8:3:u16=8003,r9_1@9:1:u16=9001");
    nr_modbus_poll_free(p);
}
END_TEST

START_TEST(told_to_end)
{
    point(8, 3, "u16");
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    ck_assert(poll_round(p));
    ck_assert_int_eq(write(wake[1], "x", 1), 1);
    ck_assert(!poll_round(p));
    ck_assert_int_eq(s.questions, 0);
    nr_modbus_poll_free(p);
}
END_TEST

START_TEST(an_adapter_that_is_gone)
{
    point(8, 3, "u16");
    nr_modbus_poll *p = nr_modbus_poll_new(bus, &settings, wake[0]);
    ck_assert(poll_round(p));
    ck_assert_int_eq(write(s.stop[1], "x", 1), 1);
    pthread_join(s.thread, NULL);
    close(s.bus);
    ck_assert(!poll_round(p));
    nr_modbus_poll_free(p);
    s.bus = posix_openpt(O_RDWR | O_NOCTTY);
    ck_assert_int_eq(pthread_create(&s.thread, NULL, sense, NULL), 0); /* for tear_down */
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("modbus_poll");
    TCase *t = tcase_create("poll");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_test(t, neighbours_in_one_question);
    tcase_add_test(t, no_question_over_a_gap);
    tcase_add_test(t, refused_together_asked_one_by_one);
    tcase_add_test(t, a_register_that_is_none);
    tcase_add_test(t, a_unit_that_is_silent_is_asked_less_often);
    tcase_add_test(t, an_answer_too_many);
    tcase_add_test(t, told_to_end);
    tcase_add_test(t, an_adapter_that_is_gone);
    suite_add_tcase(suite, t);
    return run_suite(suite);
}
