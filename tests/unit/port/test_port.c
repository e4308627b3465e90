/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ports on pseudo-terminals and on what is no port. The libserialport kind is tested end to end
 * (record_serial.sh), the polled one by record_modbus.sh. */
#include "logger/port/baud.h"
#include "logger/port/port.h"
#include "logger/port/tcp.h"

#include "tests/unit/near.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

static nr_port port;

static int make_pty(char *name, size_t size)
{
    int master = posix_openpt(O_RDWR | O_NOCTTY);
    ck_assert_int_ge(master, 0);
    ck_assert_int_eq(grantpt(master), 0);
    ck_assert_int_eq(unlockpt(master), 0);
    ck_assert_int_eq(ptsname_r(master, name, size), 0);
    return master;
}

static nr_code open_path(const char *path, int baud, nr_err *err)
{
    nr_port_settings settings = {.baud = baud};
    snprintf(settings.path, sizeof settings.path, "%s", path);
    nr_port_init(&port, &settings);
    return nr_port_open(&port, err);
}

static void wait_for_input(void)
{
    struct pollfd p = {.fd = port.fd, .events = POLLIN};
    ck_assert_int_eq(poll(&p, 1, 10000), 1);
}

START_TEST(test_read_and_hang_up)
{
    char name[64], bytes[64];
    size_t count = 0;
    nr_err err;
    int master = make_pty(name, sizeof name);
    ck_assert_int_eq(open_path(name, 115200, &err), NR_OK);
    ck_assert_ptr_eq(port.kind, &nr_port_tty);
    ck_assert_str_eq(port.identity, "");
    ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_NONE);
    /* Raw: control characters and line ends come as they are, nothing is echoed. */
    ck_assert_int_eq(write(master, "a\r\n\x03\x04\x13\0b", 8), 8);
    wait_for_input();
    ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_BYTES);
    ck_assert_uint_eq(count, 8);
    ck_assert_int_eq(memcmp(bytes, "a\r\n\x03\x04\x13\0b", 8), 0);
    close(master);
    wait_for_input();
    nr_port_state state = nr_port_read(&port, bytes, sizeof bytes, &count);
    ck_assert(state == NR_PORT_LOST || state == NR_PORT_NONE); /* poll tells of the hang-up */
    nr_port_close(&port);
    nr_port_close(&port);
    ck_assert_int_eq(port.fd, -1);
    ck_assert_int_eq(nr_port_read(&port, bytes, sizeof bytes, &count), NR_PORT_LOST);
    ck_assert_int_eq(nr_port_open(&port, &err), NR_BAD);
    ck_assert_str_eq(err.file, name);
}
END_TEST

START_TEST(test_what_is_no_port)
{
    static const struct {
        const char *path, *says;
    } bad[] = {{"/dev/not-there", "it is not there"},
               {"/dev/null", "no serial port"},
               {"/", "cannot open"},
               {"usb:FFFF:FFFF", "no port with this USB identity"}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        nr_err err = {0};
        ck_assert_int_eq(open_path(bad[i].path, 9600, &err), NR_BAD);
        ck_assert_msg(strstr(err.text, bad[i].says) != NULL, "%s: %s", bad[i].path, err.text);
        ck_assert_str_eq(err.file, bad[i].path);
    }
}
END_TEST

/* Two readers would each get half of the bytes. */
START_TEST(test_one_reader)
{
    char name[64];
    nr_err err;
    int master = make_pty(name, sizeof name);
    ck_assert_int_eq(open_path(name, 9600, &err), NR_OK);
    pid_t child = fork();
    if (child == 0) {
        nr_port second;
        nr_port_init(&second, &port.settings);
        _exit(nr_port_open(&second, &err) == NR_BAD && strstr(err.text, "another noonlog") ? 0 : 1);
    }
    int status = 1;
    waitpid(child, &status, 0);
    ck_assert_int_eq(status, 0);
    nr_port_close(&port);
    ck_assert_int_eq(open_path(name, 9600, &err), NR_OK);
    nr_port_close(&port);
    close(master);
}
END_TEST

START_TEST(test_tcp_addresses)
{
    static const struct {
        const char *path, *host, *service; /* NULL: refused */
    } known[] = {{"tcp:10.0.0.7:4001", "10.0.0.7", "4001"},
                 {"tcp:shed.local:23", "shed.local", "23"},
                 {"tcp:[fd00::5]:65535", "fd00::5", "65535"},
                 {"tcp:[fe80::1%wlan0]:1", "fe80::1%wlan0", "1"},
                 {"tcp:fd00::5:4001", NULL, NULL},
                 {"tcp:[fd00::5]", NULL, NULL},
                 {"tcp:[fd00::5]4001", NULL, NULL},
                 {"tcp:[fd00::5:4001", NULL, NULL},
                 {"tcp:host", NULL, NULL},
                 {"tcp::4001", NULL, NULL},
                 {"tcp:host:", NULL, NULL},
                 {"tcp:host:0", NULL, NULL},
                 {"tcp:host:65536", NULL, NULL},
                 {"tcp:host:http", NULL, NULL},
                 {"tcp:", NULL, NULL}};
    char host[NR_PORT_PATH], service[NR_PORT_PATH];
    nr_err err;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        nr_code code = nr_tcp_split(known[i].path, host, service, &err);
        ck_assert_msg(code == (known[i].host ? NR_OK : NR_BAD), "%s", known[i].path);
        if (!known[i].host)
            continue;
        ck_assert_str_eq(host, known[i].host);
        ck_assert_str_eq(service, known[i].service);
    }
}
END_TEST

/* Each rate that the manual page names is set as POSIX and Linux name it, and no other is known. */
START_TEST(test_rates)
{
    static const struct {
        int baud;
        speed_t speed;
    } rates[] = {{300, B300},       {600, B600},       {1200, B1200},      {2400, B2400},
                 {4800, B4800},     {9600, B9600},     {19200, B19200},    {38400, B38400},
                 {57600, B57600},   {115200, B115200}, {230400, B230400},  {460800, B460800},
                 {500000, B500000}, {921600, B921600}, {1000000, B1000000}};
    char name[64];
    nr_err err;
    int master = make_pty(name, sizeof name);
    for (size_t i = 0; i < sizeof rates / sizeof *rates; i++) {
        struct termios set;
        ck_assert_msg(open_path(name, rates[i].baud, &err) == NR_OK, "%d", rates[i].baud);
        ck_assert_int_eq(tcgetattr(port.fd, &set), 0);
        ck_assert_msg(cfgetispeed(&set) == rates[i].speed && cfgetospeed(&set) == rates[i].speed,
                      "%d", rates[i].baud);
        nr_port_close(&port);
    }
    speed_t speed;
    ck_assert(!nr_baud_find(9601, &speed) && !nr_baud_find(0, &speed));
    close(master);
}
END_TEST

START_TEST(test_list)
{
    static nr_port_found found[64];
    bool by_name = false;
    int count = nr_ports_list(found, 64, &by_name);
    ck_assert(by_name == !nr_ports_are_described());
    ck_assert_int_ge(count, 0);
    for (int i = 0; i < count && i < 64; i++)
        ck_assert_int_eq(strncmp(found[i].path, "/dev/", 5), 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_read_and_hang_up,
                                  test_what_is_no_port,
                                  test_one_reader,
                                  test_tcp_addresses,
                                  test_list,
                                  NULL};
    Suite *suite = suite_create("port");
    TCase *all = tcase_create("port"), *rates = tcase_create("rates");
    for (const TTest *const *t = tests; *t; t++)
        tcase_add_test(all, *t);
    tcase_add_test(rates, test_rates);
    tcase_set_tags(rates, "not-emulated"); /* qemu-user does not know all of them */
    suite_add_tcase(suite, all);
    suite_add_tcase(suite, rates);
    return run_suite(suite);
}
