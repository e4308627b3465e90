/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the page is to be had: which addresses are taken, how the links look, and the code to
 * photograph, read back from what is printed. */
#include "logger/serve/door.h"
#include "tests/unit/near.h"

#include <qrencode.h>
#include <sys/socket.h>
#include <unistd.h>

static nr_door door;
static nr_err err;

START_TEST(addresses)
{
    static const struct {
        const char *listen, *url; /* NULL: refused */
    } of[] = {{"127.0.0.1:0", "http://127.0.0.1:%d/"},
              {"127.9.8.7:0", "http://127.9.8.7:%d/"},
              {"127.0.0.1:65536", NULL},
              {"127.0.0.1:-1", NULL},
              {"127.0.0.1:", NULL},
              {"127.0.0.1", NULL},
              {":0", NULL},
              {"", NULL},
              {"localhost:0", NULL}, /* a name */
              {"[127.0.0.1]:0", NULL},
              {"::1:0", NULL},
              {"[]:0", NULL},
              {"[:0", NULL},
              {"[::1:0", NULL},
              {"::1]:0", NULL},
              {"127.0.0.1:x", NULL}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_code code = nr_door_open(of[i].listen, &door, &err);
        ck_assert_msg(code == (of[i].url ? NR_OK : NR_BAD), "%s: %s", of[i].listen, err.text);
        if (code == NR_OK) {
            char url[100];
            const char *port = strrchr(door.url[0], ':');
            snprintf(url, sizeof url, "%.*s%s", (int)strcspn(of[i].url, "%"), of[i].url, port + 1);
            ck_assert_str_eq(door.url[0], url);
            ck_assert(strtol(port + 1, NULL, 10) >= 1024 && strcspn(port, "/") == strlen(port) - 1);
            ck_assert_uint_eq(door.count, 1);
            ck_assert(door.gate.loopback && !door.gate.token[0]);
            ck_assert_int_ge(door.fd, 0);
        } else {
            ck_assert_ptr_nonnull(strstr(err.text, "--listen wants an address"));
            ck_assert_int_eq(door.fd, -1);
        }
        nr_door_close(&door);
        ck_assert_int_eq(door.fd, -1);
    }
    static const char *const six[] = {"[::1]:0", "[0:0:0:0:0:0:0:1]:0"};
    for (int i = 0; i < 2; i++) {
        char tried[60];
        snprintf(tried, sizeof tried, "cannot listen at %s", six[i]);
        if (nr_door_open(six[i], &door, &err) == NR_OK)
            ck_assert(strncmp(door.url[0], "http://[::1]:", 13) == 0 && door.gate.loopback);
        else /* a computer without IPv6: read it was */
            ck_assert_ptr_nonnull(strstr(err.text, tried));
        nr_door_close(&door);
    }
}
END_TEST

/* Zeros in front are octal to the C library; eighty letters have no room. */
START_TEST(long_ones)
{
    char text[120];
    for (int n = 70; n < 100; n++) {
        snprintf(text, sizeof text, "%0*d:0", n, 0);
        ck_assert_int_eq(nr_door_open(text, &door, &err), n < 80 ? NR_OK : NR_BAD);
        nr_door_close(&door);
    }
}
END_TEST

START_TEST(a_port_in_use)
{
    char listen[40];
    nr_door other;
    ck_assert_int_eq(nr_door_open("127.0.0.1:0", &door, &err), NR_OK);
    snprintf(listen, sizeof listen, "127.0.0.1:%ld",
             strtol(strrchr(door.url[0], ':') + 1, NULL, 10));
    ck_assert_int_eq(nr_door_open(listen, &other, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "cannot listen at 127.0.0.1:"));
    ck_assert_ptr_nonnull(strstr(err.text, "(another port may be free)"));
    nr_door_close(&door);
    ck_assert_int_eq(nr_door_open("203.0.113.7:0", &door, &err), NR_BAD); /* nobody's, RFC 5737 */
    ck_assert_ptr_null(strstr(err.text, "another port"));
}
END_TEST

/* Reachable from elsewhere: a token of 32 hexadecimal figures, another each time, in each link. */
START_TEST(tokens)
{
    char last[NR_TOKEN] = "", computer[NR_HOST_NAME] = "";
    gethostname(computer, sizeof computer - 1);
    for (int i = 0; i < 3; i++) {
        ck_assert_int_eq(nr_door_open("0.0.0.0:0", &door, &err), NR_OK);
        ck_assert(!door.gate.loopback);
        ck_assert_str_eq(door.gate.computer, computer);
        ck_assert_uint_eq(strlen(door.gate.token), 32);
        ck_assert_uint_eq(strspn(door.gate.token, "0123456789abcdef"), 32);
        ck_assert_str_ne(door.gate.token, last);
        memcpy(last, door.gate.token, sizeof last);
        ck_assert(door.count >= 1 && door.count <= NR_DOOR_URLS);
        for (size_t k = 0; k < door.count; k++) {
            const char *token = strstr(door.url[k], "/#");
            ck_assert(token && strcmp(token + 2, last) == 0);
            ck_assert_ptr_null(strstr(door.url[k], "//127."));
        }
        nr_door_close(&door);
    }
}
END_TEST

static const char *printed(bool code)
{
    static char text[60000];
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_door_print(to, &door, code);
    fclose(to);
    return text;
}

static const char *const words =
    "Who has the whole link can write notes; without what stands behind "
    "# the page can only be read.\n";

/* Each sign is two modules, one above the other; four of white around (ISO/IEC 18004). */
static void same_code(const char *text, const QRcode *code)
{
    int across = code->width + 8;
    for (int line = 0; line < (across + 1) / 2; line++) {
        ck_assert(strncmp(text, "\033[38;5;16;48;5;231m", 19) == 0);
        text += 19;
        for (int x = 0; x < across; x++) {
            static const char *const signs[] = {" ", "▀", "▄", "█"};
            int sign = 0;
            for (int half = 0; half < 2; half++) {
                int column = x - 4, row = 2 * line + half - 4;
                if (column >= 0 && column < code->width && row >= 0 && row < code->width)
                    sign += (code->data[row * code->width + column] & 1) << half;
            }
            if (strncmp(text, signs[sign], strlen(signs[sign])) != 0)
                ck_abort_msg("line %d, column %d", line, x);
            text += strlen(signs[sign]);
        }
        ck_assert(strncmp(text, "\033[0m\n", 5) == 0);
        text += 5;
    }
    ck_assert_str_eq(text, words);
}

START_TEST(what_is_printed)
{
    static const char *const links[] = {
        "http://192.168.1.5:8033/#ab",
        "http://192.168.100.50:65535/#0123456789abcdef0123456789abcdef"};
    for (int i = 0; i < 2; i++) {
        char both[400];
        door = (nr_door){.fd = -1, .count = 2};
        snprintf(door.url[0], NR_DOOR_URL, "%s", links[i]);
        snprintf(door.url[1], NR_DOOR_URL, "http://10.0.0.1:1/#ab");
        snprintf(both, sizeof both, "%s\n%s\n", door.url[0], door.url[1]);
        ck_assert_str_eq(printed(true), both); /* nothing to write with: nothing to photograph */
        snprintf(door.gate.token, NR_TOKEN, "ab");
        size_t n = strlen(both);
        const char *text = printed(false);
        ck_assert(strncmp(text, both, n) == 0);
        ck_assert_str_eq(text + n, words);
        text = printed(true);
        ck_assert(strncmp(text, both, n) == 0);
        QRcode *code = QRcode_encodeString8bit(links[i], 0, QR_ECLEVEL_L);
        same_code(text + n, code);
        QRcode_free(code);
        door.count = 0;
        ck_assert_str_eq(printed(true), words);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {addresses, long_ones,       a_port_in_use,
                                  tokens,    what_is_printed, NULL};
    return run_tests("door", tests);
}
