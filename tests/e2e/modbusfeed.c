/* SPDX-License-Identifier: GPL-3.0-or-later */
/* modbusfeed LINK [--die-after N]: sensors on a Modbus RTU bus, made of two pseudo-terminals.
 *
 * LINK points to the bus. A libmodbus server answers as unit 7 with 16 holding and 16 input
 * registers; other units do not answer. Every answer counts: holding register 0 grows by one with
 * each request. Ends after N requests (the cable is pulled).
 */
#include "tests/e2e/ptylink.h"

#include <errno.h>
#include <fcntl.h>
#include <modbus.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

static void die(const char *what)
{
    fprintf(stderr, "modbusfeed: %s: %s\n", what, strerror(errno));
    exit(2);
}

static int make_pty(char *name, size_t size)
{
    struct termios raw;
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (master < 0 || grantpt(master) < 0 || unlockpt(master) < 0 ||
        ptsname_r(master, name, size) != 0)
        die("pseudo-terminal");
    int slave = open(name, O_RDWR | O_NOCTTY | O_CLOEXEC); /* stays open: no hang-ups */
    if (slave < 0 || tcgetattr(slave, &raw) < 0)
        die(name);
    cfmakeraw(&raw);
    tcsetattr(slave, TCSANOW, &raw);
    return master;
}

/* The cable between the two. */
static void *relay(void *context)
{
    const int *ends = context;
    char bytes[512];
    for (;;) {
        struct pollfd p[2] = {{.fd = ends[0], .events = POLLIN}, {.fd = ends[1], .events = POLLIN}};
        poll(p, 2, -1);
        for (int i = 0; i < 2; i++) {
            ssize_t n = p[i].revents & POLLIN ? read(ends[i], bytes, sizeof bytes) : 0;
            if (n > 0 && write(ends[1 - i], bytes, (size_t)n) != n)
                return NULL;
        }
    }
}

static void fill(modbus_mapping_t *map)
{
    /* 3.25 is 0x40500000 in IEEE 754 single precision; -1234567 is 0xFFED2979. */
    map->tab_registers[1] = (uint16_t)-125;
    map->tab_registers[2] = 0x4050;
    map->tab_registers[3] = 0x0000;
    map->tab_registers[4] = 0xFFED;
    map->tab_registers[5] = 0x2979;
    map->tab_input_registers[0] = 60000;
}

static void serve(modbus_t *bus, modbus_mapping_t *map, long most)
{
    uint8_t query[MODBUS_RTU_MAX_ADU_LENGTH];
    for (long served = 0; most < 0 || served < most;) {
        int length = modbus_receive(bus, query);
        if (length <= 0)
            continue;
        served++;
        map->tab_registers[0]++;
        modbus_reply(bus, query, length, map);
    }
}

int main(int argc, char **argv)
{
    char near_end[128], far_end[128];
    int ends[2];
    long most = argc == 4 && strcmp(argv[2], "--die-after") == 0 ? atol(argv[3]) : -1;
    if (argc != 2 && argc != 4) {
        fprintf(stderr, "usage: modbusfeed LINK [--die-after N]\n");
        return 2;
    }
    ends[0] = make_pty(near_end, sizeof near_end);
    ends[1] = make_pty(far_end, sizeof far_end);
    pthread_t thread;
    if (pthread_create(&thread, NULL, relay, ends) != 0)
        die("thread");
    modbus_t *bus = modbus_new_rtu(far_end, 19200, 'E', 8, 1);
    modbus_mapping_t *map = modbus_mapping_new(0, 0, 16, 16);
    if (!bus || !map || modbus_set_slave(bus, 7) < 0 || modbus_connect(bus) < 0)
        die("bus");
    fill(map);
    if (!ptylink(near_end, argv[1]))
        die(argv[1]);
    serve(bus, map, most);
    modbus_mapping_free(map);
    modbus_free(bus);
    return 0;
}
