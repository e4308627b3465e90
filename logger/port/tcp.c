/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/tcp.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

/* For one address; a host may have several. */
#define CONNECT_MS 8000
/* A peer that vanished without a word (power off, out of reach) is missed after about half a
 * minute: probes after 10 s of silence, every 5 s, four of them. */
#define PROBE_AFTER_S 10
#define PROBE_EVERY_S 5
#define PROBES 4
#define STACK ((size_t)256 * 1024)

/* Made by a thread that nobody waits for; freed by whoever lets go of it last. */
typedef struct nr_tcp_try {
    char path[NR_PORT_PATH], host[NR_PORT_PATH], service[NR_PORT_PATH];
    pthread_mutex_t lock;
    pthread_cond_t ended;
    bool done, forgotten; /* under the lock */
    int fd;               /* once done; -1: err says why */
    nr_err err;
} nr_tcp_try;

bool nr_tcp_is(const char *path)
{
    return strncmp(path, NR_PORT_TCP, strlen(NR_PORT_TCP)) == 0;
}

nr_code nr_tcp_split(const char *path, char *host, char *service, nr_err *err)
{
    const char *from = path + strlen(NR_PORT_TCP), *end = strrchr(from, ':');
    bool bracket = *from == '[';
    const char *stop = bracket ? strchr(from, ']') : end;
    long number = 0;
    if (bracket)
        from++;
    size_t length = stop ? (size_t)(stop - from) : 0;
    bool good = end && stop && length > 0 && length < NR_PORT_PATH &&
                (!bracket || stop + 1 == end) && (bracket || !memchr(from, ':', length)) &&
                nr_parse_long(end + 1, 1, 65535, &number) &&
                nr_copy(service, NR_PORT_PATH, end + 1);
    if (!good)
        return nr_fail(err, NR_BAD, path, 0,
                       "is no address; write tcp:HOST:PORT with a port from 1 to 65535, an IPv6 "
                       "address in brackets: tcp:[fd00::5]:4001");
    memcpy(host, from, length);
    host[length] = '\0';
    return NR_OK;
}

static void discard(nr_tcp_try *t)
{
    if (t->fd >= 0)
        close(t->fd);
    pthread_mutex_destroy(&t->lock);
    pthread_cond_destroy(&t->ended);
    free(t);
}

/* --- the thread ---------------------------------------------------------------------------- */

static void watch_over(int fd)
{
    int on = 1, after = PROBE_AFTER_S, every = PROBE_EVERY_S, probes = PROBES;
    setsockopt(fd, SOL_SOCKET, SO_KEEPALIVE, &on, sizeof on);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPIDLE, &after, sizeof after);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPINTVL, &every, sizeof every);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPCNT, &probes, sizeof probes);
}

/* A connected descriptor, or -1 with errno. */
static int connect_to(const struct addrinfo *a)
{
    int why = 0;
    socklen_t size = sizeof why;
    int fd = socket(a->ai_family, a->ai_socktype | SOCK_NONBLOCK | SOCK_CLOEXEC, a->ai_protocol);
    if (fd < 0)
        return -1;
    struct pollfd p = {.fd = fd, .events = POLLOUT};
    if (connect(fd, a->ai_addr, a->ai_addrlen) != 0) {
        why = errno;
        if (why == EINPROGRESS)
            why = poll(&p, 1, CONNECT_MS) == 1 ? 0 : ETIMEDOUT;
        if (why == 0 && getsockopt(fd, SOL_SOCKET, SO_ERROR, &why, &size) != 0)
            why = errno;
    }
    if (why == 0) {
        watch_over(fd);
        return fd;
    }
    close(fd);
    errno = why;
    return -1;
}

static void look_up_and_connect(nr_tcp_try *t)
{
    struct addrinfo *found = NULL, wanted = {.ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM};
    int failed = getaddrinfo(t->host, t->service, &wanted, &found);
    if (failed) {
        nr_fail(&t->err, NR_BAD, t->path, 0, "the name %s cannot be looked up: %s", t->host,
                failed == EAI_SYSTEM ? strerror(errno) : gai_strerror(failed));
        return;
    }
    int why = ECONNREFUSED;
    for (const struct addrinfo *a = found; a && t->fd < 0; a = a->ai_next) {
        t->fd = connect_to(a);
        why = errno;
    }
    freeaddrinfo(found);
    if (t->fd < 0)
        nr_fail_errno(&t->err, NR_BAD, t->path, why, "cannot connect");
}

static void *work(void *context)
{
    nr_tcp_try *t = context;
    look_up_and_connect(t);
    pthread_mutex_lock(&t->lock);
    t->done = true;
    bool forgotten = t->forgotten;
    pthread_cond_signal(&t->ended);
    pthread_mutex_unlock(&t->lock);
    if (forgotten)
        discard(t);
    return NULL;
}

static nr_code begin(nr_port *port, const char *path, nr_err *err)
{
    pthread_attr_t attributes;
    pthread_t thread;
    nr_tcp_try *t = calloc(1, sizeof *t);
    if (!t)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    t->fd = -1;
    nr_copy(t->path, sizeof t->path, path);
    nr_code code = nr_tcp_split(path, t->host, t->service, err);
    if (code != NR_OK) {
        free(t);
        return code;
    }
    pthread_mutex_init(&t->lock, NULL);
    pthread_cond_init(&t->ended, NULL);
    pthread_attr_init(&attributes);
    pthread_attr_setstacksize(&attributes, STACK);
    pthread_attr_setdetachstate(&attributes, PTHREAD_CREATE_DETACHED);
    int why = pthread_create(&thread, &attributes, work, t);
    pthread_attr_destroy(&attributes);
    if (why) {
        discard(t);
        return nr_fail_errno(err, NR_BAD, path, why, "cannot start connecting");
    }
    port->trying = t;
    return NR_OK;
}

/* --- the port ------------------------------------------------------------------------------ */

static nr_code tcp_open(nr_port *port, const char *path, nr_err *err)
{
    nr_code code = port->trying ? NR_OK : begin(port, path, err);
    if (code != NR_OK)
        return code;
    nr_tcp_try *t = port->trying;
    pthread_mutex_lock(&t->lock);
    while (port->may_wait && !t->done)
        pthread_cond_wait(&t->ended, &t->lock);
    bool done = t->done;
    pthread_mutex_unlock(&t->lock);
    port->may_wait = false;
    if (!done)
        return nr_fail(err, NR_CANNOT, path, 0, "connecting");
    port->trying = NULL;
    port->fd = t->fd;
    t->fd = -1;
    if (port->fd < 0) {
        if (err)
            *err = t->err;
        code = NR_BAD;
    }
    discard(t);
    return code;
}

void nr_tcp_forget(nr_port *port)
{
    nr_tcp_try *t = port->trying;
    if (!t)
        return;
    port->trying = NULL;
    pthread_mutex_lock(&t->lock);
    bool done = t->done;
    t->forgotten = true;
    pthread_mutex_unlock(&t->lock);
    if (done)
        discard(t);
}

static nr_port_state tcp_read(nr_port *port, char *to, size_t size, size_t *count)
{
    ssize_t n = recv(port->fd, to, size, MSG_DONTWAIT);
    if (n > 0) {
        *count = (size_t)n;
        return NR_PORT_BYTES;
    }
    if (n < 0 && (errno == EAGAIN || errno == EINTR))
        return NR_PORT_NONE;
    port->lost_errno = n < 0 ? errno : 0; /* 0: the other side closed the connection */
    return NR_PORT_LOST;
}

static void tcp_close(nr_port *port)
{
    close(port->fd);
}

const nr_port_kind nr_port_tcp = {
    .name = "tcp", .open = tcp_open, .read = tcp_read, .close = tcp_close};
