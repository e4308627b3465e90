/* SPDX-License-Identifier: GPL-3.0-or-later */
/* badbus LINK [FAULT EVERY]: sensors on a Modbus RTU bus that misbehave.
 *
 * LINK points to the bus, a pseudo-terminal. Units 7 and 9 answer requests for holding registers 0
 * to 31 (function 3); register R of unit U always holds 1000 U + R, so that a number under the
 * wrong name shows. Written after the Modbus over serial line specification V1.02, 2.5 (frames,
 * CRC) and the application protocol V1.1b3, 6.3, and not with libmodbus, which sends no wrong
 * answers.
 *
 * Every EVERYth answer is wrong:
 *   late      comes 0.65 s late          later    comes 0.9 s late
 *   double    comes twice                foreign  follows an answer of unit 8
 *   cut       ends in the middle         garbled  has a wrong byte
 *   swap      is of another register, and its own comes 20 ms after it
 *   noise     is followed by two bytes of noise
 *   vanish    after EVERY answers unit 9 is gone
 *   singly    more than one register at a time is refused (exception 2), always
 *   once      the EVERYth answer, and only that, is 0.65 s late
 */
#include "tests/e2e/ptylink.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static void die(const char *what)
{
    fprintf(stderr, "badbus: %s: %s\n", what, strerror(errno));
    exit(2);
}

static uint16_t crc16(const uint8_t *bytes, size_t count)
{
    uint16_t crc = 0xFFFF;
    for (size_t i = 0; i < count; i++) {
        crc ^= bytes[i];
        for (int bit = 0; bit < 8; bit++)
            crc = (uint16_t)(crc & 1 ? (crc >> 1) ^ 0xA001 : crc >> 1);
    }
    return crc;
}

static void wait_ms(long ms)
{
    struct timespec t = {.tv_sec = ms / 1000, .tv_nsec = ms % 1000 * 1000000L};
    nanosleep(&t, NULL);
}

static void send_frame(int bus, uint8_t *frame, size_t count, size_t sent)
{
    uint16_t crc = crc16(frame, count);
    frame[count] = (uint8_t)(crc & 0xFF);
    frame[count + 1] = (uint8_t)(crc >> 8);
    if (write(bus, frame, sent) != (ssize_t)sent)
        die("write");
}

static size_t compose(uint8_t *frame, unsigned unit, unsigned first, unsigned words)
{
    frame[0] = (uint8_t)unit;
    frame[1] = 3;
    frame[2] = (uint8_t)(2 * words);
    for (unsigned i = 0; i < words; i++) {
        unsigned value = 1000 * unit + first + i;
        frame[3 + 2 * i] = (uint8_t)(value >> 8);
        frame[4 + 2 * i] = (uint8_t)(value & 0xFF);
    }
    return 3 + 2 * (size_t)words;
}

static void answer(int bus, const uint8_t *q, const char *fault, long every)
{
    static long answers;
    uint8_t frame[256], other[256];
    unsigned first = (unsigned)q[2] << 8 | q[3], words = (unsigned)q[4] << 8 | q[5];
    bool is_singly = strcmp(fault, "singly") == 0;
    answers++;
    bool now = strcmp(fault, "once") == 0 ? answers == every : every > 0 && answers % every == 0;
    if (strcmp(fault, "vanish") == 0 && answers > every && q[0] == 9)
        return;
    if (first + words > 32 || words == 0 || (is_singly && words > 1)) {
        frame[0] = q[0];
        frame[1] = 0x83;
        frame[2] = 2; /* illegal data address */
        send_frame(bus, frame, 3, 5);
        return;
    }
    size_t count = compose(frame, q[0], first, words);
    if (now && (strcmp(fault, "late") == 0 || strcmp(fault, "once") == 0))
        wait_ms(650);
    if (now && strcmp(fault, "later") == 0)
        wait_ms(900);
    if (now && strcmp(fault, "foreign") == 0)
        send_frame(bus, other, compose(other, 8, first, words), 5 + 2 * (size_t)words);
    if (now && strcmp(fault, "garbled") == 0) {
        send_frame(bus, frame, count, 0);
        frame[count] ^= 0x10;
        if (write(bus, frame, count + 2) < 0)
            die("write");
        return;
    }
    if (now && strcmp(fault, "swap") == 0) {
        send_frame(bus, other, compose(other, q[0], first ^ 1, words), 5 + 2 * (size_t)words);
        wait_ms(20);
    }
    send_frame(bus, frame, count, now && strcmp(fault, "cut") == 0 ? count / 2 : count + 2);
    if (now && strcmp(fault, "double") == 0)
        send_frame(bus, frame, count, count + 2);
    if (now && strcmp(fault, "noise") == 0 && write(bus, "\0\xff", 2) < 0)
        die("write");
}

static void serve(int bus, const char *fault, long every)
{
    uint8_t q[256];
    size_t have = 0;
    for (;;) {
        ssize_t n = read(bus, q + have, sizeof q - have);
        if (n <= 0)
            die("read");
        have += (size_t)n;
        while (have >= 8) {
            bool whole = crc16(q, 6) == (uint16_t)(q[6] | q[7] << 8);
            if (whole && q[1] == 3 && (q[0] == 7 || q[0] == 9))
                answer(bus, q, fault, every);
            size_t used = whole ? 8 : 1;
            memmove(q, q + used, have - used);
            have -= used;
        }
    }
}

int main(int argc, char **argv)
{
    char name[128];
    struct termios raw;
    if (argc != 2 && argc != 4) {
        fprintf(stderr, "usage: badbus LINK [FAULT EVERY]\n");
        return 2;
    }
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (master < 0 || grantpt(master) < 0 || unlockpt(master) < 0 ||
        ptsname_r(master, name, sizeof name) != 0)
        die("pseudo-terminal");
    int slave = open(name, O_RDWR | O_NOCTTY | O_CLOEXEC); /* stays open: no hang-ups */
    if (slave < 0 || tcgetattr(slave, &raw) < 0)
        die(name);
    cfmakeraw(&raw);
    tcsetattr(slave, TCSANOW, &raw);
    if (!ptylink(name, argv[1]))
        die(argv[1]);
    serve(master, argc == 4 ? argv[2] : "", argc == 4 ? atol(argv[3]) : 0);
    return 0;
}
