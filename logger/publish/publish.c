/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/publish/publish.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/publish/library.h"

#include <errno.h>
#include <jansson.h>
#include <math.h>
#include <poll.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define KEEPALIVE_S 15
#define LOOP_MS 50
/* Sent and not yet confirmed, at most. */
#define UNDER_WAY 20
#define FIRST_PAUSE_MS 500
#define LAST_PAUSE_MS 10000
/* Waiting to be told; what comes when all are taken takes the place of the last. */
#define NEWS 6
#define LAST_MOMENT_S 2.0

struct nr_publisher {
    const nr_rig *rig;
    char host[256], topic[256];
    int port;
    nr_login login;
    pthread_t thread;
    pthread_mutex_t lock;
    /* Under the lock. */
    nr_sample ring[NR_PUBLISH_ROOM];
    size_t first, count;
    unsigned long rows, confirmed;
    bool ending;
    double give_up_s;     /* once ending */
    char news[NEWS][300]; /* not yet told, oldest first */
    size_t untold;
    /* The thread's own. */
    nr_mosquitto library;
    struct mosquitto *client;
    bool connected, was_connected;
    unsigned under_way;
    char told[300];
    char message[NR_PUBLISH_MESSAGE];
};

static double steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* --- messages ------------------------------------------------------------------------------ */

size_t nr_publish_json(const nr_rig *rig, const nr_sample *row, char *out, size_t size)
{
    char utc[NR_UTC_SIZE], name[2 * NR_NAME];
    nr_utc_format(row->utc_s, utc);
    json_t *top = json_pack("{s:s,s:f}", "time_utc", utc, "elapsed_s", row->elapsed_s);
    for (size_t c = 0; top && c < rig->channels; c++) {
        double value = row->value[c];
        nr_rig_column_name(&rig->channel[c], name, sizeof name);
        json_object_set_new(top, name, isfinite(value) ? json_real(value) : json_null());
    }
    size_t length = top ? json_dumpb(top, out, size, JSON_COMPACT | JSON_REAL_PRECISION(9)) : 0;
    json_decref(top);
    return length <= size ? length : 0;
}

static void tell(nr_publisher *p, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Each thing once, until something else has happened. */
static void tell(nr_publisher *p, const char *format, ...)
{
    char text[sizeof p->news[0]];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (strcmp(text, p->told) == 0)
        return;
    nr_copy(p->told, sizeof p->told, text);
    pthread_mutex_lock(&p->lock);
    p->untold += p->untold < NEWS;
    nr_copy(p->news[p->untold - 1], sizeof p->news[0], text);
    pthread_mutex_unlock(&p->lock);
}

/* --- the thread ---------------------------------------------------------------------------- */

static void on_connect(struct mosquitto *client, void *context, int why)
{
    nr_publisher *p = context;
    (void)client;
    p->connected = why == 0;
    if (why == 0)
        tell(p, "mqtt: connected to %s:%d%s", p->host, p->port, p->was_connected ? " again" : "");
    else
        tell(p, "mqtt: %s:%d refuses: %s", p->host, p->port, p->library.connack_string(why));
    p->was_connected = p->was_connected || p->connected;
}

static void on_disconnect(struct mosquitto *client, void *context, int why)
{
    nr_publisher *p = context;
    (void)client;
    if (p->connected && why != 0)
        tell(p, "mqtt: connection to %s:%d lost; the recording goes on", p->host, p->port);
    p->connected = false;
}

static void on_confirmed(struct mosquitto *client, void *context, int message)
{
    nr_publisher *p = context;
    (void)client, (void)message;
    p->under_way -= p->under_way > 0;
    pthread_mutex_lock(&p->lock);
    p->confirmed++;
    pthread_mutex_unlock(&p->lock);
}

static bool take_row(nr_publisher *p, nr_sample *row)
{
    pthread_mutex_lock(&p->lock);
    bool some = p->count > 0;
    if (some) {
        *row = p->ring[p->first];
        p->first = (p->first + 1) % NR_PUBLISH_ROOM;
        p->count--;
    }
    pthread_mutex_unlock(&p->lock);
    return some;
}

static void send_rows(nr_publisher *p)
{
    nr_sample row;
    while (p->connected && p->under_way < UNDER_WAY && take_row(p, &row)) {
        size_t n = nr_publish_json(p->rig, &row, p->message, sizeof p->message);
        if (n > 0 && p->library.publish(p->client, NULL, p->topic, (int)n, p->message, 1, false) ==
                         MOSQ_ERR_SUCCESS)
            p->under_way++;
    }
}

/* False: it is time to end. */
static bool go_on(nr_publisher *p)
{
    pthread_mutex_lock(&p->lock);
    bool idle = p->count == 0 && p->under_way == 0;
    bool end = p->ending && (idle || !p->connected || steady_s() > p->give_up_s);
    pthread_mutex_unlock(&p->lock);
    return !end;
}

static void connect_again(nr_publisher *p, int *pause_ms)
{
    p->under_way = 0; /* a clean session: what was under way is gone, and stays uncounted */
    int failed = p->library.connect(p->client, p->host, p->port, KEEPALIVE_S);
    const char *why = failed == MOSQ_ERR_ERRNO ? strerror(errno) : p->library.strerror(failed);
    if (failed)
        tell(p, "mqtt: cannot connect to %s:%d: %s", p->host, p->port, why);
    /* The broker's word comes in the loop. */
    double until_s = steady_s() + 5;
    while (!failed && !p->connected && go_on(p) && steady_s() < until_s)
        failed = p->library.loop(p->client, LOOP_MS, 1);
    if (failed == MOSQ_ERR_TLS)
        tell(p, "mqtt: %s:%d: the certificate is not accepted, or there is no TLS", p->host,
             p->port);
    if (p->connected) {
        *pause_ms = FIRST_PAUSE_MS;
        return;
    }
    for (int waited = 0; waited < *pause_ms && go_on(p); waited += LOOP_MS)
        poll(NULL, 0, LOOP_MS);
    *pause_ms = *pause_ms * 2 < LAST_PAUSE_MS ? *pause_ms * 2 : LAST_PAUSE_MS;
}

static void *work(void *context)
{
    nr_publisher *p = context;
    int pause_ms = FIRST_PAUSE_MS;
    while (go_on(p)) {
        if (!p->connected) {
            connect_again(p, &pause_ms);
            continue;
        }
        send_rows(p);
        if (p->library.loop(p->client, LOOP_MS, 1) != MOSQ_ERR_SUCCESS)
            on_disconnect(p->client, p, MOSQ_ERR_CONN_LOST);
    }
    p->library.disconnect(p->client);
    return NULL;
}

/* --- the recording's side ------------------------------------------------------------------ */

static nr_code take_server(nr_publisher *p, const char *server, nr_err *err)
{
    long number = p->login.tls ? 8883 : 1883;
    bool bracket = *server == '[';
    const char *stop = bracket ? strchr(server, ']') : strchr(server, ':');
    const char *from = server + bracket, *behind = stop ? stop + bracket : NULL;
    size_t length = stop ? (size_t)(stop - from) : strlen(from);
    bool port = behind && *behind == ':';
    bool good = length > 0 && length < sizeof p->host && (!bracket || stop) &&
                (!behind || !*behind || port) &&
                (!port || nr_parse_long(behind + 1, 1, 65535, &number));
    if (!good)
        return nr_fail(err, NR_BAD, NULL, 0,
                       "--mqtt wants HOST or HOST:PORT, an IPv6 address in brackets");
    memcpy(p->host, from, length);
    p->host[length] = '\0';
    p->port = (int)number;
    return NR_OK;
}

static nr_code take_topic(nr_publisher *p, const char *topic, nr_err *err)
{
    if (topic && nr_copy(p->topic, sizeof p->topic, topic) &&
        p->library.pub_topic_check(topic) == MOSQ_ERR_SUCCESS && *topic)
        return NR_OK;
    return nr_fail(err, NR_BAD, NULL, 0,
                   "--topic wants a name without + and #, such as shed/wash-stand");
}

static nr_code prepare_client(nr_publisher *p, nr_err *err)
{
    const nr_login *l = &p->login;
    p->client = p->library.new(NULL, true, p);
    if (!p->client)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    p->library.connect_callback_set(p->client, on_connect);
    p->library.disconnect_callback_set(p->client, on_disconnect);
    p->library.publish_callback_set(p->client, on_confirmed);
    if (l->user[0])
        p->library.username_pw_set(p->client, l->user, l->password[0] ? l->password : NULL);
    if (!l->tls)
        return NR_OK;
    int failed = p->library.tls_set(
        p->client, l->ca[0] ? l->ca : NULL, l->ca[0] ? NULL : "/etc/ssl/certs",
        l->certificate[0] ? l->certificate : NULL, l->key[0] ? l->key : NULL, NULL);
    return failed ? nr_fail(err, NR_BAD, NULL, 0, "--mqtt-login: TLS: %s",
                            failed == MOSQ_ERR_INVAL ? "a file of it cannot be read"
                                                     : p->library.strerror(failed))
                  : NR_OK;
}

static void discard(nr_publisher *p)
{
    if (p->client)
        p->library.destroy(p->client);
    pthread_mutex_destroy(&p->lock);
    explicit_bzero(&p->login, sizeof p->login);
    free(p);
}

nr_code nr_publish_start(const nr_rig *rig, const char *server, const char *topic,
                         const nr_login *login, nr_publisher **out, nr_err *err)
{
    nr_publisher *p = calloc(1, sizeof *p);
    if (!p)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    pthread_mutex_init(&p->lock, NULL);
    p->rig = rig;
    p->login = *login;
    nr_code code = nr_mosquitto_load(&p->library, err);
    if (code == NR_OK) {
        p->library.lib_init();
        code = take_server(p, server, err);
    }
    if (code == NR_OK)
        code = take_topic(p, topic, err);
    if (code == NR_OK)
        code = prepare_client(p, err);
    if (code == NR_OK) {
        int why = pthread_create(&p->thread, NULL, work, p);
        if (why)
            code = nr_fail_errno(err, NR_BAD, NULL, why, "cannot start publishing");
    }
    if (code != NR_OK) {
        discard(p);
        return code;
    }
    *out = p;
    return NR_OK;
}

void nr_publish_row(nr_publisher *p, const nr_sample *row)
{
    pthread_mutex_lock(&p->lock);
    if (p->count == NR_PUBLISH_ROOM) { /* the newest counts: who watches wants now */
        p->first = (p->first + 1) % NR_PUBLISH_ROOM;
        p->count--;
    }
    p->ring[(p->first + p->count) % NR_PUBLISH_ROOM] = *row;
    p->count++;
    p->rows++;
    pthread_mutex_unlock(&p->lock);
}

bool nr_publish_news(nr_publisher *p, char *text, size_t size)
{
    pthread_mutex_lock(&p->lock);
    bool some = p->untold > 0;
    if (some) {
        nr_copy(text, size, p->news[0]);
        p->untold--;
        memmove(p->news[0], p->news[1], p->untold * sizeof p->news[0]);
    }
    pthread_mutex_unlock(&p->lock);
    return some;
}

void nr_publish_end(nr_publisher *p, char *counted, size_t size)
{
    pthread_mutex_lock(&p->lock);
    p->ending = true;
    p->give_up_s = steady_s() + LAST_MOMENT_S;
    pthread_mutex_unlock(&p->lock);
    pthread_join(p->thread, NULL);
    unsigned long missing = p->rows > p->confirmed ? p->rows - p->confirmed : 0;
    snprintf(counted, size, "mqtt: %lu rows published to %s%s", p->confirmed, p->topic,
             missing ? "" : ", none missing");
    size_t used = strlen(counted);
    if (missing && used < size)
        snprintf(counted + used, size - used,
                 ", %lu not confirmed by the broker; they are in the run", missing);
    discard(p);
}
