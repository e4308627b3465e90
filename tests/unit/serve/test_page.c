/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live page as a browser has it: a server in a thread of the test, asked over the loopback
 * device. Statuses are those of RFC 9110, events those of WHATWG HTML, section 9.2. */
#include "logger/record/state.h"
#include "logger/serve/serve.h"
#include "tests/unit/command_run.h"

#include <arpa/inet.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/wait.h>

static nr_door door;
static nr_err err;
static int tell_end[2], told_ready[2], port;
static nr_serve_options options;
static pthread_t thread;
static pid_t recorder;

/* --- a run and its server --------------------------------------------------------------------- */

static void write_run(void)
{
    static char rows[20000];
    size_t used = (size_t)snprintf(rows, sizeof rows, "time_utc,elapsed_s,store_degC\n");
    for (int i = 0; i < 100; i++)
        used += (size_t)snprintf(rows + used, sizeof rows - used,
                                 "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f\n", i / 60, i % 60, i,
                                 20 + 0.01 * i);
    scratch_folder("run");
    scratch_file("run/readings.csv", rows);
    scratch_file("run/notes.csv", "time_utc,elapsed_s,kind,text\n");
    scratch_file("run/rig.ini", "[test]\ntitle = wash stand\nunits = si\n[collector]\n"
                                "gross_area_m2 = 1\n[store]\nwater_kg = 40\n[adapter]\n"
                                "port = /dev/null\n[channel store]\nunit = degC\n");
}

/* A process that holds the run as a recorder does, until it is killed. */
static void record(void)
{
    int ready[2], fd;
    char x;
    ck_assert_int_eq(pipe(ready), 0);
    recorder = fork();
    if (recorder == 0) {
        nr_state state = {.pid = getpid(), .last_row_s = 99, .rows = 100, .elapsed_s = 99};
        nr_boot_id(state.boot_id, sizeof state.boot_id);
        if (nr_state_lock(in_scratch("run"), &fd, NULL) == NR_OK && nr_state_write(fd, &state) &&
            write(ready[1], "x", 1) == 1)
            for (;;)
                pause();
        _exit(1);
    }
    ck_assert_int_eq(read(ready[0], &x, 1), 1);
    close(ready[0]);
    close(ready[1]);
}

static void ready(const nr_door *of)
{
    (void)of;
    ck_assert_int_eq(write(told_ready[1], "x", 1), 1);
}

static void *serving(void *code)
{
    *(nr_code *)code = nr_serve(&options, &door, tell_end[0], ready, &err);
    return code;
}

static nr_code ended;

static void serve(const char *listen)
{
    char x;
    scratch_make();
    write_run();
    signal(SIGPIPE, SIG_IGN);
    options = (nr_serve_options){in_scratch("run"), "", NAN, "/bin/true"};
    ck_assert_msg(nr_door_open(listen, &door, &err) == NR_OK, "%s", err.text);
    port = (int)strtol(strrchr(door.url[0], ':') + 1, NULL, 10);
    ck_assert(pipe(tell_end) == 0 && pipe(told_ready) == 0);
    ck_assert_int_eq(pthread_create(&thread, NULL, serving, &ended), 0);
    ck_assert_int_eq(read(told_ready[0], &x, 1), 1);
}

static void end(void)
{
    ck_assert_int_eq(write(tell_end[1], "x", 1), 1);
    pthread_join(thread, NULL);
    ck_assert_int_eq(ended, NR_OK);
    nr_door_close(&door);
    if (recorder > 0) {
        kill(recorder, SIGKILL);
        waitpid(recorder, NULL, 0);
    }
    scratch_remove();
}

/* --- a browser -------------------------------------------------------------------------------- */

static char answer[60000];

static int connected(const char *from)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    struct sockaddr_in own = {.sin_family = AF_INET};
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    inet_pton(AF_INET, from, &own.sin_addr);
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    ck_assert_int_eq(bind(fd, (struct sockaddr *)&own, sizeof own), 0);
    ck_assert_int_eq(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    return fd;
}

/* Everything up to the end, or up to so many of these words. */
static void listen_to(int fd, const char *words, int times)
{
    size_t used = 0;
    for (;;) {
        ssize_t n = read(fd, answer + used, sizeof answer - 1 - used);
        used += n > 0 ? (size_t)n : 0;
        answer[used] = '\0';
        int seen = 0;
        for (const char *p = answer; words && (p = strstr(p, words)) != NULL; p++)
            seen++;
        if (n <= 0 || (words && seen >= times && strcmp(answer + used - 2, "\n\n") == 0))
            return;
    }
}

static void send_all(int fd, const char *text, size_t length)
{
    for (ssize_t n; length > 0; text += n, length -= (size_t)n)
        if ((n = write(fd, text, length)) <= 0)
            return; /* it has closed: what it said is read all the same */
}

/* HTTP/1.0: nothing comes in pieces, and the end of the line is the end. */
static unsigned ask(const char *method, const char *path, const char *headers, const char *body)
{
    static char text[2000];
    int fd = connected("127.0.0.1");
    snprintf(text, sizeof text, "%s %s HTTP/1.0\r\nHost: 127.0.0.1:%d\r\n%s\r\n%s", method, path,
             port, headers, body);
    send_all(fd, text, strlen(text));
    listen_to(fd, NULL, 0);
    close(fd);
    return strncmp(answer, "HTTP/1.", 7) == 0 ? (unsigned)strtoul(answer + 9, NULL, 10) : 0;
}

static const char *body_of(void)
{
    const char *at = strstr(answer, "\r\n\r\n");
    return at ? at + 4 : "";
}

static unsigned post(const char *path, const char *body)
{
    char headers[100];
    snprintf(headers, sizeof headers, "Noonrun: 1\r\nContent-Length: %zu\r\n", strlen(body));
    return ask("POST", path, headers, body);
}

static void refuses(unsigned status, const char *words, unsigned found)
{
    ck_assert_msg(found == status && strcmp(body_of(), words) == 0, "%u, not %u: %s", found, status,
                  answer);
}

/* --- what is read ----------------------------------------------------------------------------- */

START_TEST(the_files)
{
    static const struct {
        const char *path, *file, *type;
    } of[] = {{"/", "page.html", "text/html; charset=utf-8"},
              {"/page.js", "page.js", "text/javascript; charset=utf-8"},
              {"/page.css", "page.css", "text/css; charset=utf-8"},
              {"/icon.svg", "icon.svg", "image/svg+xml"}};
    static const char *const headers[] = {
        "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'",
        "X-Content-Type-Options: nosniff", "Referrer-Policy: no-referrer",
        "Cross-Origin-Resource-Policy: same-origin", "Cache-Control: no-store"};
    serve("127.0.0.1:0");
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        static char file[60000];
        char path[600], type[80];
        snprintf(path, sizeof path, "%s/../../logger/serve/web/%s", TEST_DATA, of[i].file);
        FILE *from = fopen(path, "r");
        ck_assert_ptr_nonnull(from);
        file[fread(file, 1, sizeof file - 1, from)] = '\0';
        fclose(from);
        ck_assert_uint_eq(ask("GET", of[i].path, "", ""), 200);
        ck_assert_str_eq(body_of(), file);
        snprintf(type, sizeof type, "\r\nContent-Type: %s\r\n", of[i].type);
        SAYS(answer, type);
        for (size_t k = 0; k < sizeof headers / sizeof *headers; k++)
            SAYS(answer, headers[k]);
        SAYS_NOT(answer, "\r\nAllow:");
    }
    ck_assert_uint_eq(ask("HEAD", "/", "", ""), 200);
    ck_assert_str_eq(body_of(), "");
    end();
}
END_TEST

START_TEST(what_is_refused)
{
    static const char *const once[] = {"Host", "Content-Length", "Origin", "Authorization",
                                       "Noonrun"};
    char twice[100];
    serve("127.0.0.1:0");
    refuses(404, "no such page\n", ask("GET", "/rig.ini", "", ""));
    refuses(404, "no such page\n", ask("GET", "/%70age.js", "", "")); /* another path */
    refuses(405, "not with this method\n", ask("DELETE", "/", "", ""));
    SAYS(answer, "\r\nAllow: GET, HEAD, POST\r\n");
    SAYS(answer, "\r\nContent-Type: text/plain; charset=utf-8\r\n");
    refuses(403, "not from this page\n", ask("GET", "/", "Origin: http://elsewhere\r\n", ""));
    refuses(403, "not from this page\n", ask("POST", "/note", "Content-Length: 1\r\n", "x"));
    refuses(411, "the length is missing\n", ask("POST", "/note", "Noonrun: 1\r\n", ""));
    refuses(400, "no words\n", post("/note", "  "));
    refuses(400, "no words\n", post("/pump", ""));
    refuses(400, "on or off\n", post("/pump", "maybe"));
    refuses(409, "nothing records into this run now\n", post("/note", "glass on"));
    for (size_t i = 1; i < sizeof once / sizeof *once; i++) { /* Host: the library refuses itself */
        const char *value = i == 2 ? "" : "1";
        if (i == 2)
            snprintf(twice, sizeof twice, "Origin: http://127.0.0.1:%d\r\norigin: x\r\n", port);
        else
            snprintf(twice, sizeof twice, "%s: %s\r\n%s: %s\r\n", once[i], value, once[i], value);
        unsigned found = ask("GET", "/", twice, "x");
        ck_assert_msg(found == 400, "%s twice: %s", once[i], answer);
    }
    ck_assert_uint_eq(ask("GET", "/", "Accept: a\r\nAccept: b\r\nNoonrun: 1\r\n", ""), 200);
    end();
}
END_TEST

START_TEST(a_foreign_name)
{
    char text[200];
    serve("127.0.0.1:0");
    int fd = connected("127.0.0.1");
    snprintf(text, sizeof text, "GET / HTTP/1.0\r\nHost: elsewhere.example:%d\r\n\r\n", port);
    send_all(fd, text, strlen(text));
    listen_to(fd, NULL, 0);
    SAYS(answer, " 421 ");
    ck_assert_str_eq(body_of(), "this computer does not go by that name; use its address\n");
    close(fd);
    end();
}
END_TEST

/* --- what is written -------------------------------------------------------------------------- */

START_TEST(notes)
{
    char most[402];
    memset(most, 'x', sizeof most - 1);
    most[401] = '\0';
    serve("127.0.0.1:0");
    record();
    ck_assert_uint_eq(post("/target", ""), 200); /* the run is looked at again: it is recorded */
    refuses(200, "noted\n", post("/note", " glass on "));
    refuses(200, "noted\n", post("/pump", "yes"));
    refuses(200, "noted\n", post("/pump", "off"));
    refuses(413, "too long\n", post("/note", most));
    most[400] = '\0';
    refuses(200, "noted\n", post("/note", most));
    const char *kept = scratch_read("run/notes.csv");
    SAYS(kept, ",note,");
    SAYS(kept, "glass on");
    SAYS(kept, most);
    const char *on = strstr(kept, ",pump,"), *off = on ? strstr(on + 1, ",pump,") : NULL;
    ck_assert(off && strstr(on, "on") < off && strstr(off, "off"));
    end();
}
END_TEST

START_TEST(targets)
{
    serve("127.0.0.1:0");
    refuses(200, "set\n", post("/target", "43C"));
    refuses(200, "set\n", post("/target", "110F"));
    refuses(200, "set\n", post("/target", "0.01"));
    refuses(200, "set\n", post("/target", "99.99"));
    refuses(200, "set\n", post("/target", ""));
    static const char *const bad[] = {"warm", "0", "100", "-3", "32F", "212F"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refuses(400, "a temperature of water, like 43C or 110F\n", post("/target", bad[i]));
    end();
}
END_TEST

/* A body that nobody wants is read to its end, up to four mebibytes; beyond, or where the sender
 * asks before, the answer comes at once. In pieces without a length: as much, then the line ends.
 */
START_TEST(large_bodies)
{
    static const struct {
        const char *headers;
        size_t sent;
        const char *status; /* "": the line ends */
    } of[] = {{"Content-Length: 4194304\r\n", 4194304, " 403 "},
              {"Content-Length: 4194305\r\n", 0, " 403 "},
              {"Content-Length: 9\r\nExpect: 100-continue\r\n", 0, " 403 "},
              {"Noonrun: 1\r\nContent-Length: 401\r\nExpect: 100-continue\r\n", 0, " 413 "},
              {"Transfer-Encoding: chunked\r\nNoonrun: 1\r\n", 4194304, " 411 "},
              {"Transfer-Encoding: chunked\r\nNoonrun: 1\r\n", 4194305, ""}};
    char *much = malloc(4194305);
    memset(much, 'y', 4194305);
    serve("127.0.0.1:0");
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300];
        int fd = connected("127.0.0.1");
        bool pieces = strstr(of[i].headers, "chunked");
        snprintf(text, sizeof text,
                 "POST /note HTTP/1.1\r\nConnection: close\r\nHost: 127.0.0.1:%d\r\n%s\r\n", port,
                 of[i].headers);
        send_all(fd, text, strlen(text));
        if (pieces) {
            snprintf(text, sizeof text, "%zx\r\n", of[i].sent);
            send_all(fd, text, strlen(text));
        }
        send_all(fd, much, of[i].sent);
        if (pieces)
            send_all(fd, "\r\n0\r\n\r\n", 7);
        listen_to(fd, NULL, 0);
        ck_assert_msg(of[i].status[0] ? strstr(answer, of[i].status) != NULL : !answer[0],
                      "%zu: %s", i, answer);
        close(fd);
    }
    free(much);
    end();
}
END_TEST

/* --- events ----------------------------------------------------------------------------------- */

/* Opens the stream and reads so many events. */
static int events(const char *headers, int count)
{
    char text[300];
    int fd = connected("127.0.0.1");
    snprintf(text, sizeof text, "GET /events HTTP/1.0\r\nHost: 127.0.0.1:%d\r\n%s\r\n", port,
             headers);
    send_all(fd, text, strlen(text));
    listen_to(fd, "\ndata: ", count);
    return fd;
}

START_TEST(streams)
{
    unsigned long boot, number;
    char id[100];
    serve("127.0.0.1:0");
    int fd = events("", 3);
    SAYS(answer, "\r\nContent-Type: text/event-stream\r\n");
    const char *body = body_of(), *curve = strstr(body, "\n\nid: ");
    ck_assert(strncmp(body, "retry: 2000\n\nevent: state\ndata: {", 33) == 0);
    SAYS(body, "\"title\":\"wash stand\"");
    SAYS(body, "\"water\":\"21.0\"");
    ck_assert_ptr_nonnull(curve);
    ck_assert_int_eq(sscanf(curve, "\n\nid: %lu-%lu\nevent: curve\n", &boot, &number), 2);
    SAYS(curve, "}\n\nevent: told\ndata: {");
    ck_assert_uint_eq(number, 1);
    /* Another target is told at once, and nothing else is: the rest is as it was. */
    int before = fd;
    ck_assert_uint_eq(post("/target", "43C"), 200);
    listen_to(before, "\ndata: ", 1);
    ck_assert(strncmp(answer, "event: state\ndata: {", 20) == 0);
    SAYS(answer, "\"target_value\":43");
    close(before);
    snprintf(id, sizeof id, "Last-Event-ID: %lu-1\r\n", boot);
    close(events(id, 2)); /* who has the curve */
    SAYS_NOT(answer, "event: curve");
    SAYS(answer, "event: told");
    snprintf(id, sizeof id, "Last-Event-ID: %lu-1\r\n", boot + 1);
    close(events(id, 3)); /* of another start */
    SAYS(answer, "event: curve");
    fd = events("", 3);
    end(); /* and the line ends in order: nothing hangs */
    listen_to(fd, NULL, 0);
    close(fd);
}
END_TEST

/* Sixteen from one address listen at once, and thirty-two in all. */
START_TEST(many)
{
    int fd[32];
    serve("127.0.0.1:0");
    for (int i = 0; i < 32; i++) {
        char text[200];
        fd[i] = connected(i < 16 ? "127.0.0.1" : "127.0.0.2");
        snprintf(text, sizeof text, "GET /events HTTP/1.0\r\nHost: 127.0.0.1:%d\r\n\r\n", port);
        send_all(fd[i], text, strlen(text));
        listen_to(fd[i], "\ndata: ", 3);
        ck_assert_msg(strstr(answer, " 200 ") != NULL, "%d: %s", i, answer);
        if (i == 15)
            ck_assert_uint_eq(ask("GET", "/", "", ""), 0); /* the line is cut */
    }
    for (int i = 0; i < 32; i++)
        close(fd[i]);
    end();
}
END_TEST

/* --- the door --------------------------------------------------------------------------------- */

START_TEST(a_token)
{
    char headers[200];
    serve("0.0.0.0:0");
    ck_assert_uint_eq(strlen(door.gate.token), 32);
    ck_assert_uint_eq(strspn(door.gate.token, "0123456789abcdef"), 32);
    refuses(401, "the link to write with has a token behind #\n", post("/target", "43C"));
    snprintf(headers, sizeof headers,
             "Authorization: Bearer %s\r\nNoonrun: 1\r\nContent-Length: 3\r\n", door.gate.token);
    refuses(200, "set\n", ask("POST", "/target", headers, "43C"));
    end();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_files,    what_is_refused, a_foreign_name, notes,   targets,
                                  large_bodies, streams,         many,           a_token, NULL};
    return run_tests("the page", tests);
}
