/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/door.h"

#include "logger/base/text.h"

#include <arpa/inet.h>
#include <errno.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netdb.h>
#include <qrencode.h>
#include <string.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <unistd.h>

#define WAITING 16
#define TOKEN_BYTES 16
#define QUIET 4 /* modules of white around a code (ISO/IEC 18004) */

/* --- where ---------------------------------------------------------------------------------- */

static nr_code parse_listen(const char *text, struct addrinfo **out, nr_err *err)
{
    char address[80];
    const struct addrinfo hints = {.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE,
                                   .ai_socktype = SOCK_STREAM};
    const char *colon = strrchr(text, ':');
    long port = 0;
    size_t n = colon ? (size_t)(colon - text) : 0;
    *out = NULL;
    if (n > 0 && n < sizeof address && nr_parse_long(colon + 1, 0, 65535, &port)) {
        bool bracket = text[0] == '[' && text[n - 1] == ']' && n > 2;
        snprintf(address, sizeof address, "%.*s", (int)(bracket ? n - 2 : n), text + bracket);
        if (bracket == (strchr(address, ':') != NULL) &&
            getaddrinfo(address, colon + 1, &hints, out) == 0)
            return NR_OK;
    }
    return nr_fail(err, NR_BAD, NULL, 0,
                   "--listen wants an address as a number and a port, like 127.0.0.1:8033, "
                   "0.0.0.0:8033 or [::1]:8033, not \"%s\"",
                   text);
}

static bool is_loopback(const struct sockaddr *a)
{
    if (a->sa_family == AF_INET)
        return ntohl(((const struct sockaddr_in *)(const void *)a)->sin_addr.s_addr) >> 24 == 127;
    return IN6_IS_ADDR_LOOPBACK(&((const struct sockaddr_in6 *)(const void *)a)->sin6_addr);
}

static bool is_wildcard(const struct sockaddr *a)
{
    if (a->sa_family == AF_INET)
        return ((const struct sockaddr_in *)(const void *)a)->sin_addr.s_addr == INADDR_ANY;
    return IN6_IS_ADDR_UNSPECIFIED(&((const struct sockaddr_in6 *)(const void *)a)->sin6_addr);
}

static nr_code listen_at(const struct addrinfo *where, const char *text, nr_door *door, nr_err *err)
{
    int on = 1;
    door->fd = socket(where->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (door->fd >= 0 && setsockopt(door->fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on) == 0 &&
        bind(door->fd, where->ai_addr, where->ai_addrlen) == 0 && listen(door->fd, WAITING) == 0)
        return NR_OK;
    int why = errno;
    nr_door_close(door);
    return nr_fail_errno(err, NR_BAD, NULL, why, "cannot listen at %s%s", text,
                         why == EADDRINUSE ? " (another port may be free)" : "");
}

/* --- links ---------------------------------------------------------------------------------- */

static void add_url(nr_door *door, const struct sockaddr *a, int port)
{
    char text[INET6_ADDRSTRLEN];
    bool six = a->sa_family == AF_INET6;
    const void *bytes =
        six ? (const void *)&((const struct sockaddr_in6 *)(const void *)a)->sin6_addr
            : (const void *)&((const struct sockaddr_in *)(const void *)a)->sin_addr;
    if (door->count == NR_DOOR_URLS || !inet_ntop(a->sa_family, bytes, text, sizeof text))
        return;
    const char *token = door->gate.token;
    snprintf(door->url[door->count++], NR_DOOR_URL, "http://%s%s%s:%d/%s%s", six ? "[" : "", text,
             six ? "]" : "", port, token[0] ? "#" : "", token);
}

/* Of every interface that is up: a telephone can use one of them. IPv4 only, the shorter links;
 * who wants the other lists it with --listen. */
static void add_interfaces(nr_door *door, int port)
{
    struct ifaddrs *all = NULL;
    if (getifaddrs(&all) != 0)
        return;
    for (struct ifaddrs *i = all; i; i = i->ifa_next)
        if (i->ifa_addr && i->ifa_addr->sa_family == AF_INET && i->ifa_flags & IFF_UP &&
            !is_loopback(i->ifa_addr))
            add_url(door, i->ifa_addr, port);
    freeifaddrs(all);
}

static void add_urls(nr_door *door, bool wildcard)
{
    struct sockaddr_storage at;
    socklen_t size = sizeof at;
    const struct sockaddr *a = (const struct sockaddr *)&at;
    if (getsockname(door->fd, (struct sockaddr *)&at, &size) != 0)
        return;
    int port =
        ntohs(at.ss_family == AF_INET ? ((const struct sockaddr_in *)(const void *)a)->sin_port
                                      : ((const struct sockaddr_in6 *)(const void *)a)->sin6_port);
    if (wildcard)
        add_interfaces(door, port);
    if (door->count == 0)
        add_url(door, a, port);
}

static bool make_token(char out[NR_TOKEN])
{
    unsigned char random[TOKEN_BYTES];
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random)
        return false;
    for (int i = 0; i < TOKEN_BYTES; i++)
        snprintf(out + 2 * i, 3, "%02x", random[i]);
    return true;
}

nr_code nr_door_open(const char *text, nr_door *door, nr_err *err)
{
    struct addrinfo *where;
    memset(door, 0, sizeof *door);
    door->fd = -1;
    nr_code code = parse_listen(text, &where, err);
    if (code != NR_OK)
        return code;
    code = listen_at(where, text, door, err);
    bool wildcard = is_wildcard(where->ai_addr);
    door->gate.loopback = is_loopback(where->ai_addr);
    freeaddrinfo(where);
    if (code != NR_OK)
        return code;
    if (gethostname(door->gate.computer, sizeof door->gate.computer - 1) != 0)
        door->gate.computer[0] = '\0';
    if (!door->gate.loopback && !make_token(door->gate.token)) {
        nr_door_close(door);
        return nr_fail(err, NR_BAD, NULL, 0, "the system gives no random numbers for a token");
    }
    add_urls(door, wildcard);
    return NR_OK;
}

void nr_door_close(nr_door *door)
{
    if (door->fd >= 0)
        close(door->fd);
    door->fd = -1;
}

/* --- a code to photograph ------------------------------------------------------------------- */

static bool is_dark(const QRcode *code, int x, int y)
{
    return x >= 0 && y >= 0 && x < code->width && y < code->width &&
           code->data[y * code->width + x] & 1;
}

/* Two rows of modules a line, black on white whatever the terminal's colours. */
static void print_code(FILE *to, const char *url)
{
    QRcode *code = QRcode_encodeString8bit(url, 0, QR_ECLEVEL_L);
    if (!code)
        return;
    for (int y = -QUIET; y < code->width + QUIET; y += 2) {
        fputs("\033[38;5;16;48;5;231m", to);
        for (int x = -QUIET; x < code->width + QUIET; x++) {
            bool upper = is_dark(code, x, y), lower = is_dark(code, x, y + 1);
            fputs(upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ", to);
        }
        fputs("\033[0m\n", to);
    }
    QRcode_free(code);
}

void nr_door_print(FILE *to, const nr_door *door, bool code)
{
    for (size_t i = 0; i < door->count; i++)
        fprintf(to, "%s\n", door->url[i]);
    if (code && door->count > 0 && door->gate.token[0])
        print_code(to, door->url[0]);
    if (door->gate.token[0])
        fputs("Who has the whole link can write notes; without what stands behind # the page can "
              "only be read.\n",
              to);
    fflush(to);
}
