/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a broker gets, by a broker of a few lines in a thread of the test, which speaks MQTT 3.1.1
 * (OASIS, 2014; sections 3.1 to 3.4): which rows, in which order, what is counted and told. */
#include "logger/publish/publish.h"
#include "tests/unit/near.h"

#include <arpa/inet.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <sys/socket.h>
#include <unistd.h>

static nr_rig rig;
static nr_login login;
static nr_publisher *p;
static char server[80];

/* --- the broker ------------------------------------------------------------------------------- */

static struct {
    int fd, port;
    pthread_t thread;
    int go[2], done[2]; /* it answers a connection when it is told to; it has had all */
    /* How it is to be: the status it answers with; rows until it has had all; until it hangs up
     * (0: never); how many it lets come before it confirms any. */
    int refusal, wanted, hang_up, hold;
    /* What it got. */
    int connections, rows, most_held;
    double elapsed_s[400];
    unsigned char flags;
    char topic[80], payload[200], client[3][80];
} b;

static bool read_whole(int fd, unsigned char *to, size_t n)
{
    for (ssize_t got; n > 0; to += got, n -= (size_t)got)
        if ((got = read(fd, to, n)) <= 0)
            return false;
    return true;
}

/* A text with its length before it; what is behind. */
static const unsigned char *text_of(const unsigned char *at, char *to, size_t size)
{
    size_t n = (size_t)at[0] << 8 | at[1];
    ck_assert_uint_lt(n, size);
    memcpy(to, at + 2, n);
    to[n] = '\0';
    return at + 2 + n;
}

static void take_connect(const unsigned char *at)
{
    unsigned char flags = at[7]; /* behind "MQTT" and the version */
    at += 10;
    at = text_of(at, b.client[0], sizeof b.client[0]);
    if (flags & 0x80)
        at = text_of(at, b.client[1], sizeof b.client[1]);
    if (flags & 0x40)
        text_of(at, b.client[2], sizeof b.client[2]);
}

static void take_publish(unsigned char flags, const unsigned char *at, size_t length,
                         unsigned char id[2])
{
    const unsigned char *rest = text_of(at, b.topic, sizeof b.topic);
    size_t n = length - (size_t)(rest + 2 - at);
    b.flags = flags;
    memcpy(id, rest, 2);
    ck_assert_uint_lt(n, sizeof b.payload);
    memcpy(b.payload, rest + 2, n);
    b.payload[n] = '\0';
    const char *elapsed = strstr(b.payload, "\"elapsed_s\":");
    b.elapsed_s[b.rows++] = elapsed ? strtod(elapsed + 12, NULL) : NAN;
}

static bool answers(int fd, const unsigned char *words, size_t n)
{
    return write(fd, words, n) == (ssize_t)n;
}

/* One connection to its end. True: it has had all. */
static bool talk(int fd)
{
    static unsigned char packet[10000], id[400][2];
    int held = 0, of_this = 0;
    for (;;) {
        unsigned char head[2], more;
        if (!read_whole(fd, head, 2))
            return false;
        size_t length = head[1] & 0x7f;
        if (head[1] & 0x80) {
            if (!read_whole(fd, &more, 1))
                return false;
            length |= (size_t)more << 7;
        }
        if (!read_whole(fd, packet, length))
            return false;
        if (head[0] >> 4 == 14) /* it says good-bye */
            return true;
        if (head[0] >> 4 == 1) {
            char x;
            take_connect(packet);
            if (b.connections++ == 0 && read(b.go[0], &x, 1) != 1)
                return false;
            if (!answers(fd, (unsigned char[]){0x20, 2, 0, (unsigned char)b.refusal}, 4) ||
                b.refusal)
                return false;
        }
        if (head[0] >> 4 != 3)
            continue;
        take_publish(head[0] & 15, packet, length, id[held++]);
        struct pollfd next = {.fd = fd, .events = POLLIN};
        if (held < b.hold || (held > b.hold && b.hold && poll(&next, 1, 0) > 0))
            continue;
        if (held == b.hold && poll(&next, 1, 100) > 0)
            continue; /* more than it may hold */
        b.most_held = held > b.most_held ? held : b.most_held;
        for (int i = 0; i < held; i++)
            if (!answers(fd, (unsigned char[]){0x40, 2, id[i][0], id[i][1]}, 4))
                return false;
        of_this += held;
        held = 0;
        b.hold = b.hold && b.wanted - b.rows < b.hold ? 0 : b.hold;
        if (b.rows == b.wanted && write(b.done[1], "x", 1) != 1)
            return false;
        if (b.hang_up && of_this >= b.hang_up)
            return b.hang_up = 0, false;
    }
}

static void *broker(void *unused)
{
    bool all = false;
    while (!all) {
        int fd = accept(b.fd, NULL, NULL);
        if (fd < 0)
            break;
        all = talk(fd);
        close(fd);
    }
    return unused;
}

static void begin(void)
{
    static const char text[] = "[adapter]\nport = /dev/x\n[channel store]\nunit = degC\n";
    struct sockaddr_in at = {.sin_family = AF_INET};
    socklen_t size = sizeof at;
    nr_err err;
    ck_assert_int_eq(
        nr_rig_parse(text, sizeof text - 1, "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err), NR_OK);
    signal(SIGPIPE, SIG_IGN);
    memset(&b, 0, sizeof b);
    memset(&login, 0, sizeof login);
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    b.fd = socket(AF_INET, SOCK_STREAM, 0);
    ck_assert(bind(b.fd, (struct sockaddr *)&at, sizeof at) == 0 && listen(b.fd, 4) == 0 &&
              getsockname(b.fd, (struct sockaddr *)&at, &size) == 0);
    b.port = ntohs(at.sin_port);
    ck_assert(pipe(b.go) == 0 && pipe(b.done) == 0);
    snprintf(server, sizeof server, "127.0.0.1:%d", b.port);
}

static void publish(const char *topic)
{
    nr_err err;
    ck_assert_int_eq(pthread_create(&b.thread, NULL, broker, NULL), 0);
    ck_assert_msg(nr_publish_start(&rig, server, topic, &login, &p, &err) == NR_OK, "%s", err.text);
}

static void rows(int from, int to)
{
    for (int i = from; i < to; i++) {
        nr_sample row = {.utc_s = 1780000000.0 + i, .elapsed_s = i, .value = {20 + i}};
        nr_publish_row(p, &row);
    }
}

static void go_on(void)
{
    ck_assert_int_eq(write(b.go[1], "x", 1), 1);
}

static void has_all(void)
{
    char x;
    ck_assert_int_eq(read(b.done[0], &x, 1), 1);
}

static const char *ends(void)
{
    static char counted[200];
    nr_publish_end(p, counted, sizeof counted);
    shutdown(b.fd, SHUT_RDWR);
    pthread_join(b.thread, NULL);
    close(b.fd);
    return counted;
}

/* The next thing told, which is not long in coming. */
static const char *news(void)
{
    static char text[300];
    for (int i = 0; i < 4000; i++) {
        if (nr_publish_news(p, text, sizeof text))
            return text;
        poll(NULL, 0, 1);
    }
    return "nothing";
}

static void told(const char *words, const char *behind)
{
    char expected[200];
    snprintf(expected, sizeof expected, "mqtt: %s 127.0.0.1:%d%s", words, b.port, behind);
    ck_assert_str_eq(news(), expected);
}

/* --- what is checked -------------------------------------------------------------------------- */

START_TEST(rows_in_order)
{
    char text[300];
    begin();
    b.wanted = 30;
    publish("shed/wash-stand");
    go_on();
    told("connected to", "");
    rows(0, 30);
    has_all();
    ck_assert(!nr_publish_news(p, text, sizeof text));
    ck_assert_str_eq(ends(), "mqtt: 30 rows published to shed/wash-stand, none missing");
    for (int i = 0; i < 30; i++)
        NEAR(b.elapsed_s[i], i, 0);
    ck_assert_str_eq(b.topic, "shed/wash-stand");
    ck_assert_uint_eq(b.flags, 1 << 1); /* quality of service 1, not retained, no second time */
    ck_assert_str_eq(b.payload, "{\"time_utc\":\"2026-05-28T20:27:09.000Z\",\"elapsed_s\":29.0,"
                                "\"store_degC\":49.0}");
    ck_assert_str_eq(b.client[1], "");
}
END_TEST

START_TEST(who_logs_in)
{
    begin();
    b.wanted = 1;
    snprintf(login.user, sizeof login.user, "shed");
    snprintf(login.password, sizeof login.password, "a=b c");
    publish("t");
    go_on();
    rows(0, 1);
    has_all();
    ends();
    ck_assert_str_eq(b.client[1], "shed");
    ck_assert_str_eq(b.client[2], "a=b c");
}
END_TEST

/* 256 wait while the broker is away, the newest; twenty are under way before any is confirmed. */
START_TEST(a_slow_broker)
{
    begin();
    b.wanted = 256;
    b.hold = 20;
    publish("t");
    rows(0, 300);
    go_on();
    has_all();
    ck_assert_str_eq(ends(), "mqtt: 256 rows published to t, 44 not confirmed by the broker; they "
                             "are in the run");
    ck_assert_int_eq(b.most_held, 20);
    for (int i = 0; i < 256; i++)
        NEAR(b.elapsed_s[i], 44 + i, 0);
}
END_TEST

START_TEST(a_line_that_breaks)
{
    begin();
    b.wanted = 8;
    b.hang_up = 3;
    publish("t");
    go_on();
    rows(0, 3);
    told("connected to", "");
    told("connection to", " lost; the recording goes on");
    told("connected to", " again");
    rows(3, 8);
    has_all();
    ck_assert_str_eq(ends(), "mqtt: 8 rows published to t, none missing");
    ck_assert_int_eq(b.connections, 2);
}
END_TEST

START_TEST(a_broker_that_refuses)
{
    char expected[100];
    begin();
    b.refusal = 5; /* not authorized: table 3.1 of the standard */
    publish("t");
    go_on();
    rows(0, 2);
    snprintf(expected, sizeof expected, "mqtt: 127.0.0.1:%d refuses: ", b.port);
    const char *said = news();
    ck_assert_msg(strncmp(said, expected, strlen(expected)) == 0, "%s", said);
    ck_assert_ptr_nonnull(strstr(said, "not authorised"));
    ck_assert_str_eq(ends(), "mqtt: 0 rows published to t, 2 not confirmed by the broker; they are "
                             "in the run");
}
END_TEST

/* Where it goes: said of a port at which nobody is. */
START_TEST(addresses)
{
    static const struct {
        const char *server, *shown;
        bool tls;
    } of[] = {
        {"127.0.0.1:1", "127.0.0.1:1", false},  {"[::1]:1", "::1:1", false},
        {"127.0.0.1", "127.0.0.1:1883", false}, {"[::1]", "::1:1883", false},
        {"127.0.0.1", "127.0.0.1:8883", true},  {"127.0.0.1:65535", "127.0.0.1:65535", false}};
    begin();
    close(b.fd);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_err err;
        char text[200];
        login.tls = of[i].tls;
        ck_assert_int_eq(nr_publish_start(&rig, of[i].server, "t", &login, &p, &err), NR_OK);
        const char *said = news();
        ck_assert_msg(strstr(said, of[i].shown) != NULL, "%s: %s", of[i].server, said);
        nr_publish_end(p, text, sizeof text);
        ck_assert_str_eq(text, "mqtt: 0 rows published to t, none missing");
    }
    char name[300];
    nr_err err;
    snprintf(name, sizeof name, "%0*d", 256, 0);
    ck_assert_int_eq(nr_publish_start(&rig, name, "t", &login, &p, &err), NR_BAD);
    ck_assert_int_eq(nr_publish_start(&rig, "127.0.0.1:65536", "t", &login, &p, &err), NR_BAD);
    ck_assert_int_eq(nr_publish_start(&rig, "127.0.0.1", name, &login, &p, &err), NR_BAD);
    ck_assert_int_eq(nr_publish_start(&rig, "127.0.0.1", NULL, &login, &p, &err), NR_BAD);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        rows_in_order,         who_logs_in, a_slow_broker, a_line_that_breaks,
        a_broker_that_refuses, addresses,   NULL};
    return run_tests("a broker", tests);
}
