/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a read of a terminal means, by what read(2) says (POSIX): bytes; none now (EAGAIN, or 0 as
 * of a terminal with VMIN and VTIME zero); lost, and why. And the pace of a bus that is asked. */
#include "logger/port/port.h"
#include "tests/unit/near.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <time.h>
#include <unistd.h>

static nr_port port;
static char bytes[64];
static size_t count;

static nr_port_state read_of(int fd)
{
    port.fd = fd;
    port.lost_errno = -7;
    count = 99;
    errno = 0;
    return nr_port_tty.read(&port, bytes, 4, &count);
}

START_TEST(what_a_read_means)
{
    int ends[2], null = open("/dev/null", O_RDONLY), directory = open("/", O_RDONLY);
    ck_assert(pipe2(ends, O_NONBLOCK) == 0 && null >= 0 && directory >= 0);
    ck_assert_int_eq(read_of(ends[0]), NR_PORT_NONE); /* EAGAIN */
    ck_assert(count == 99 && port.lost_errno == -7);
    ck_assert_int_eq(read_of(null), NR_PORT_NONE); /* 0 */
    ck_assert_int_eq(write(ends[1], "abcdef", 6), 6);
    ck_assert_int_eq(read_of(ends[0]), NR_PORT_BYTES);
    ck_assert(count == 4 && memcmp(bytes, "abcd", 4) == 0);
    ck_assert_int_eq(read_of(ends[0]), NR_PORT_BYTES);
    ck_assert(count == 2 && memcmp(bytes, "ef", 2) == 0);
    ck_assert_int_eq(read_of(directory), NR_PORT_LOST);
    ck_assert_int_eq(port.lost_errno, EISDIR);
    ck_assert_int_eq(read_of(ends[1]), NR_PORT_LOST); /* its writing end only */
    ck_assert_int_eq(port.lost_errno, EBADF);
    close(ends[0]), close(ends[1]), close(null), close(directory);
}
END_TEST

/* A terminal whose other side is closed (EIO) was hung up: no error, 0. */
START_TEST(hung_up)
{
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    ck_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0);
    int slave = open(ptsname(master), O_RDWR | O_NOCTTY);
    ck_assert_int_ge(slave, 0);
    close(slave);
    ck_assert_int_eq(read_of(master), NR_PORT_LOST); /* EIO: the other side is closed */
    ck_assert_int_eq(port.lost_errno, 0);
    close(master);
}
END_TEST

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* Rounds of a bus on which nobody is: the k-th no earlier than k intervals after the opening, and,
 * of as many as a busy computer may need, one that followed the last by little more than an
 * interval. */
START_TEST(pace_of_a_bus)
{
    static const double interval_s = 0.25;
    nr_port_settings settings = {
        .baud = 9600, .polled = true, .parity = 'N', .interval_s = interval_s, .points = 0};
    nr_err err = {.text = ""};
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    ck_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0);
    snprintf(settings.path, sizeof settings.path, "%s", ptsname(master));
    nr_port_init(&port, &settings);
    double opened_s = now_s(), last_s = opened_s;
    ck_assert_msg(nr_port_open(&port, &err) == NR_OK, "%s", err.text);
    ck_assert_ptr_eq(port.kind, &nr_port_modbus);
    ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count) == NR_PORT_LOST, 0);
    int rounds = 0, in_row = 0;
    while (in_row < 3 && rounds < 40) {
        struct pollfd p = {.fd = port.fd, .events = POLLIN};
        ck_assert_int_eq(poll(&p, 1, 20000), 1);
        ck_assert_int_eq(nr_port_read(&port, bytes, 1, &count), NR_PORT_BYTES);
        if (bytes[0] != '\n')
            continue;
        double at_s = now_s();
        ck_assert_msg(at_s >= opened_s + rounds * interval_s, "round %d after %.3f s", rounds,
                      at_s - opened_s);
        in_row = rounds > 0 && at_s - last_s <= 1.5 * interval_s ? in_row + 1 : 0;
        last_s = at_s;
        rounds++;
    }
    ck_assert_int_eq(in_row, 3);
    nr_port_end(&port);
    close(master);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_a_read_means, hung_up, pace_of_a_bus, NULL};
    return run_tests("terminal_read", tests);
}
