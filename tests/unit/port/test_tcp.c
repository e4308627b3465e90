/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An adapter at another computer, which is this one: what comes, how the end is told, and how a
 * peer that vanished is missed (TCP keep-alive: RFC 9293, 3.8.4). */
#include "logger/port/port.h"
#include "logger/port/tcp.h"
#include "tests/unit/near.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

static nr_port port;
static nr_err err;
static int door, peer;

static void serve(void)
{
    struct sockaddr_in at = {.sin_family = AF_INET};
    socklen_t size = sizeof at;
    nr_port_settings settings = {.baud = 9600};
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    door = socket(AF_INET, SOCK_STREAM, 0);
    ck_assert(bind(door, (struct sockaddr *)&at, sizeof at) == 0 && listen(door, 2) == 0 &&
              getsockname(door, (struct sockaddr *)&at, &size) == 0);
    snprintf(settings.path, sizeof settings.path, "tcp:127.0.0.1:%d", ntohs(at.sin_port));
    nr_port_init(&port, &settings);
}

/* The first opening waits, those after it ask again. */
static nr_code opened(void)
{
    nr_code code = nr_port_open(&port, &err);
    for (int i = 0; i < 5000 && code == NR_CANNOT; i++) {
        ck_assert_str_eq(err.text, "connecting");
        poll(NULL, 0, 1);
        code = nr_port_open(&port, &err);
    }
    return code;
}

static void comes(void)
{
    struct pollfd p = {.fd = port.fd, .events = POLLIN};
    ck_assert_int_eq(poll(&p, 1, 10000), 1);
}

static int option(int level, int name)
{
    int value = -1;
    socklen_t size = sizeof value;
    ck_assert_int_eq(getsockopt(port.fd, level, name, &value, &size), 0);
    return value;
}

START_TEST(bytes_and_the_end)
{
    char bytes[8];
    size_t count = 0;
    serve();
    for (int turn = 0; turn < 2; turn++) {
        ck_assert_msg(opened() == NR_OK, "%s", err.text);
        ck_assert_int_ge(port.fd, 0);
        peer = accept(door, NULL, NULL);
        ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_NONE);
        ck_assert_int_eq(write(peer, "0123456789", 10), 10);
        comes();
        ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_BYTES);
        ck_assert(count == 8 && memcmp(bytes, "01234567", 8) == 0);
        ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_BYTES);
        ck_assert(count == 2 && memcmp(bytes, "89", 2) == 0);
        if (turn == 1) { /* torn, not closed */
            struct linger torn = {.l_onoff = 1};
            setsockopt(peer, SOL_SOCKET, SO_LINGER, &torn, sizeof torn);
        }
        close(peer);
        comes();
        ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_LOST);
        ck_assert_int_eq(port.lost_errno, turn == 1 ? ECONNRESET : 0);
        nr_port_close(&port);
        ck_assert_int_eq(port.fd, -1);
    }
    nr_port_end(&port);
    close(door);
}
END_TEST

/* Missed after half a minute: ten seconds of silence, then four questions five seconds apart. */
START_TEST(a_peer_that_vanishes)
{
    serve();
    ck_assert_int_eq(opened(), NR_OK);
    ck_assert_int_ne(option(SOL_SOCKET, SO_KEEPALIVE), 0);
    int after = option(IPPROTO_TCP, TCP_KEEPIDLE), every = option(IPPROTO_TCP, TCP_KEEPINTVL),
        probes = option(IPPROTO_TCP, TCP_KEEPCNT);
    ck_assert_int_eq(after, 10);
    ck_assert_int_eq(every, 5);
    ck_assert_int_eq(after + every * probes, 30);
    nr_port_end(&port);
    close(door);
}
END_TEST

START_TEST(nobody_there)
{
    serve();
    close(door);
    ck_assert_int_eq(opened(), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "cannot connect: Connection refused"));
    ck_assert_int_eq(port.fd, -1);
    ck_assert_int_eq(opened(), NR_BAD); /* and once more */
    nr_port_end(&port);
    serve(); /* forgotten while it connects, or before anybody asked */
    (void)nr_port_open(&port, &err);
    nr_port_end(&port);
    nr_port_end(&port);
    close(door);
}
END_TEST

/* As long as a path has room, and no longer. */
START_TEST(long_hosts)
{
    char path[NR_PORT_PATH + 40], host[NR_PORT_PATH], service[NR_PORT_PATH];
    for (int n = NR_PORT_PATH - 2; n <= NR_PORT_PATH + 1; n++) {
        snprintf(path, sizeof path, "tcp:%0*d:4001", n, 0);
        ck_assert_int_eq(nr_tcp_split(path, host, service, &err),
                         n < NR_PORT_PATH ? NR_OK : NR_BAD);
        if (n < NR_PORT_PATH)
            ck_assert_uint_eq(strlen(host), (size_t)n);
    }
    ck_assert(nr_tcp_is("tcp:x") && !nr_tcp_is("tc:x") && !nr_tcp_is("/dev/tcp:"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {bytes_and_the_end, a_peer_that_vanishes, nobody_there, long_hosts,
                                  NULL};
    return run_tests("tcp", tests);
}
