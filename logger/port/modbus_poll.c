/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/modbus_poll.h"

#include "logger/port/modbus_point.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* Silence between two frames that some converters need to turn around, beyond the 3.5
 * characters of the Modbus over serial line specification (V1.02, 2.5.1.1). */
#define TURNAROUND_MS 2
/* After a timeout the bus must be quiet this long before the next question: as long as libmodbus
 * waits for an answer. It is listened to for SETTLE_MOST_MS at most. */
#define SETTLE_MS 500
#define SETTLE_MOST_MS 3000
/* After a garbled or foreign answer. */
#define QUIET_MS 60
/* At the end of a round, at least and at most; in between, twice the slowest answer. */
#define LAST_LOOK_MS 20
#define LAST_LOOK_MOST_MS 250
/* The shortest answer there is (an exception): less is noise of a bus that floats while nobody
 * drives it. */
#define SHORTEST_ANSWER 5
/* In one question; the protocol allows 125. */
#define BLOCK_WORDS 120
/* A unit that does not answer is asked less and less often, so that it does not slow the others. */
#define PAUSE_FIRST_S 2.0
#define PAUSE_MOST_S 30.0
#define UNITS 248

/* Neighbouring registers of one unit. */
typedef struct block {
    int unit, address, words;
    bool input;
    size_t first, points; /* in order[] */
    bool has_answered;
    unsigned missed; /* in a row */
} block;

typedef struct unit {
    unsigned missed; /* in a row */
    double again_at_s, pause_s;
    bool skip; /* for the rest of this round */
    int why;
} unit;

struct nr_modbus_poll {
    modbus_t *bus;
    const nr_port_settings *settings;
    int wake_fd;
    bool with_names;
    size_t order[NR_PORT_POINTS]; /* points by unit and register */
    size_t blocks;
    block block[NR_PORT_POINTS];
    unit unit[UNITS];
    double value[NR_PORT_POINTS]; /* of this round; NAN: none */
    bool surplus;                 /* an answer nobody asked for was seen in this round */
    bool ended;                   /* told to, or the device is gone */
    double slowest_ms;            /* of this round's answers */
    uint8_t answer[256];          /* the last one as it was on the bus, without its checksum */
    size_t answer_length;
    uint8_t thrown[256]; /* the first bytes of what was drained */
    char *remark;
};

static double steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static bool is_gone(int why)
{
    return why == EIO || why == ENODEV || why == ENXIO || why == EBADF || why == EPIPE;
}

static bool is_exception(int why)
{
    return why >= EMBXILFUN && why <= EMBXGTAR;
}

/* --- what to ask ------------------------------------------------------------------------- */

static bool comes_before(const nr_port_point *a, const nr_port_point *b)
{
    bool input_a = nr_modbus_is_input(a->type), input_b = nr_modbus_is_input(b->type);
    if (a->unit != b->unit)
        return a->unit < b->unit;
    return input_a != input_b ? input_b : a->address < b->address;
}

static void sort_points(nr_modbus_poll *p)
{
    const nr_port_point *point = p->settings->point;
    for (size_t i = 0; i < p->settings->points; i++) {
        size_t at = i;
        for (; at > 0 && comes_before(&point[i], &point[p->order[at - 1]]); at--)
            p->order[at] = p->order[at - 1];
        p->order[at] = i;
    }
}

static block block_of(const nr_modbus_poll *p, size_t at)
{
    const nr_port_point *point = &p->settings->point[p->order[at]];
    return (block){.unit = point->unit,
                   .address = point->address,
                   .words = nr_modbus_words(point->type),
                   .input = nr_modbus_is_input(point->type),
                   .first = at,
                   .points = 1};
}

static void make_blocks(nr_modbus_poll *p)
{
    sort_points(p);
    for (size_t i = 0; i < p->settings->points; i++) {
        block own = block_of(p, i);
        block *last = p->blocks > 0 ? &p->block[p->blocks - 1] : NULL;
        int end = own.address + own.words;
        bool joins = last && last->unit == own.unit && last->input == own.input &&
                     own.address <= last->address + last->words &&
                     end - last->address <= BLOCK_WORDS;
        if (!joins) {
            p->block[p->blocks++] = own;
            continue;
        }
        last->points++;
        last->words = end - last->address > last->words ? end - last->address : last->words;
    }
}

/* A device that does not give these registers in one answer is asked one by one from now on. */
static void split(nr_modbus_poll *p, size_t at)
{
    block whole = p->block[at];
    memmove(&p->block[at + whole.points], &p->block[at + 1],
            (p->blocks - at - 1) * sizeof p->block[0]);
    for (size_t i = 0; i < whole.points; i++)
        p->block[at + i] = block_of(p, whole.first + i);
    p->blocks += whole.points - 1;
}

/* --- listening --------------------------------------------------------------------------- */

/* Reads and throws away what is on the bus until it was quiet for quiet_ms (0: if nothing is there
 * now, that is enough). Returns the bytes thrown away. */
static size_t drain(nr_modbus_poll *p, int quiet_ms)
{
    struct pollfd fds[2] = {{.fd = modbus_get_socket(p->bus), .events = POLLIN},
                            {.fd = p->wake_fd, .events = POLLIN}};
    double stop_s = steady_s() + SETTLE_MOST_MS / 1000.0;
    size_t thrown = 0;
    char bytes[256];
    while (steady_s() < stop_s) {
        int ready = poll(fds, 2, quiet_ms);
        if (ready < 0 && errno == EINTR)
            continue;
        p->ended = p->ended || fds[1].revents != 0;
        if (ready <= 0 || p->ended)
            break;
        ssize_t n = read(fds[0].fd, bytes, sizeof bytes);
        if (n > 0) {
            quiet_ms = quiet_ms < QUIET_MS ? QUIET_MS : quiet_ms; /* somebody is speaking */
            for (size_t i = 0; i < (size_t)n && thrown + i < sizeof p->thrown; i++)
                p->thrown[thrown + i] = (uint8_t)bytes[i];
            thrown += (size_t)n;
            continue;
        }
        bool hung_up = (fds[0].revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
        p->ended = p->ended || (n < 0 && is_gone(errno)) || hung_up;
        break;
    }
    return thrown;
}

/* The same answer once more says nothing new. (Were the first one a late answer to another
 * question and this the right one, they would be equal and both right.) */
static bool is_repeat(const nr_modbus_poll *p, size_t thrown)
{
    return p->answer_length > 0 && thrown >= p->answer_length &&
           memcmp(p->thrown, p->answer, p->answer_length) == 0 && thrown < 2 * p->answer_length;
}

static void look_for_surplus(nr_modbus_poll *p, int quiet_ms)
{
    size_t thrown = drain(p, quiet_ms);
    if (thrown >= SHORTEST_ANSWER && !is_repeat(p, thrown))
        p->surplus = true;
}

/* Application protocol V1.1b3, 6.3: function, count of bytes, registers with the high byte first;
 * before them the unit. */
static void keep_answer(nr_modbus_poll *p, const block *b, const uint16_t *words)
{
    p->answer[0] = (uint8_t)b->unit;
    p->answer[1] = b->input ? MODBUS_FC_READ_INPUT_REGISTERS : MODBUS_FC_READ_HOLDING_REGISTERS;
    p->answer[2] = (uint8_t)(2 * b->words);
    for (int i = 0; i < b->words; i++) {
        p->answer[3 + 2 * i] = (uint8_t)(words[i] >> 8);
        p->answer[4 + 2 * i] = (uint8_t)(words[i] & 0xFF);
    }
    p->answer_length = 3 + 2 * (size_t)b->words;
}

/* --- asking ------------------------------------------------------------------------------ */

static void remark(nr_modbus_poll *p, const char *text, int number, const char *why)
{
    size_t used = strlen(p->remark);
    snprintf(p->remark + used, NR_MODBUS_LINE - used, "%sunit %d %s%s%s",
             used ? "; " : "# bus: ", number, text, *why ? ": " : "", why);
}

/* One question. 0: *words hold the answer; otherwise the errno of libmodbus. */
static int ask(nr_modbus_poll *p, const block *b, uint16_t *words)
{
    look_for_surplus(p, 0);
    if (p->ended || modbus_set_slave(p->bus, b->unit) < 0)
        return EINVAL;
    double from_s = steady_s();
    errno = 0;
    int got = b->input ? modbus_read_input_registers(p->bus, b->address, b->words, words)
                       : modbus_read_registers(p->bus, b->address, b->words, words);
    int why = got == b->words ? 0 : errno ? errno : EMBBADDATA;
    p->answer_length = 0;
    if (why == 0) {
        p->slowest_ms = fmax(p->slowest_ms, (steady_s() - from_s) * 1000);
        keep_answer(p, b, words);
    }
    if (why == EMBBADDATA || why == EMBBADSLAVE)
        p->surplus = true; /* a whole answer, but to another question: out of step */
    if (is_gone(why))
        p->ended = true;
    else if (why == ETIMEDOUT)
        drain(p, SETTLE_MS); /* what comes now belongs to this question, and to no later one */
    else if (why != 0 && !is_exception(why))
        drain(p, QUIET_MS);
    struct timespec pause = {.tv_nsec = TURNAROUND_MS * 1000000L};
    nanosleep(&pause, NULL);
    return why;
}

static void take_answer(nr_modbus_poll *p, block *b, const uint16_t *words)
{
    unit *u = &p->unit[b->unit];
    if (u->missed > 1)
        remark(p, "answers again", b->unit, "");
    u->missed = b->missed = 0;
    u->pause_s = 0;
    b->has_answered = true;
    for (size_t i = 0; i < b->points; i++) {
        size_t index = p->order[b->first + i];
        const nr_port_point *point = &p->settings->point[index];
        p->value[index] = nr_modbus_value(point->type, words + (point->address - b->address));
    }
}

static void miss(nr_modbus_poll *p, block *b, int why)
{
    unit *u = &p->unit[b->unit];
    u->why = why;
    u->skip = true;
    u->missed++;
    b->missed++;
    if (u->missed == 1)
        remark(p, "gave no answer in time", b->unit, modbus_strerror(why));
    if (u->missed == 2)
        remark(p, "does not answer; it is asked less often now", b->unit, modbus_strerror(why));
    if (u->missed < 2)
        return;
    u->pause_s = fmin(fmax(2 * u->pause_s, PAUSE_FIRST_S), PAUSE_MOST_S);
    u->again_at_s = steady_s() + u->pause_s;
}

/* Asks for a block; true when it is to be split and asked in pieces. */
static bool ask_block(nr_modbus_poll *p, block *b)
{
    uint16_t words[BLOCK_WORDS] = {0};
    unit *u = &p->unit[b->unit];
    if (u->skip || (u->missed > 1 && steady_s() < u->again_at_s))
        return false;
    int why = ask(p, b, words);
    /* Garbled, cut or somebody else's: the bus is quiet now, and a second try is cheap. */
    if (why != 0 && why != ETIMEDOUT && !is_exception(why) && !p->ended)
        why = ask(p, b, words);
    if (p->ended)
        return false;
    if (why == 0) {
        take_answer(p, b, words);
        return false;
    }
    u->why = why;
    if (is_exception(why)) {
        if (b->points > 1)
            return true;
        if (b->missed++ == 0)
            remark(p, "refuses a register", b->unit, modbus_strerror(why));
        return false;
    }
    miss(p, b, why);
    return b->points > 1 && b->missed > 1 && !b->has_answered;
}

/* --- a round ----------------------------------------------------------------------------- */

static void write_pairs(const nr_modbus_poll *p, char *line)
{
    size_t used = 0;
    for (size_t i = 0; i < p->settings->points; i++) {
        const nr_port_point *point = &p->settings->point[i];
        char number[32] = "", address[NR_MODBUS_ADDRESS];
        if (isfinite(p->value[i]))
            snprintf(number, sizeof number, "%.9g", p->value[i]);
        nr_modbus_address(point->unit, point->address, point->type, address);
        int n = snprintf(line + used, NR_MODBUS_LINE - used, "%s%s@%s=%s", i ? "," : "",
                         p->with_names ? point->field : "", address, number);
        used += n > 0 && (size_t)n < NR_MODBUS_LINE - used ? (size_t)n : 0;
    }
}

/* Nobody has answered: why. */
static int silence(const nr_modbus_poll *p)
{
    int why = ETIMEDOUT;
    for (size_t i = 0; i < p->blocks; i++)
        if (p->unit[p->block[i].unit].why)
            why = p->unit[p->block[i].unit].why;
    return why;
}

static void ask_all(nr_modbus_poll *p)
{
    for (size_t i = 0; i < UNITS; i++)
        p->unit[i].skip = false;
    for (size_t i = 0; i < p->settings->points; i++)
        p->value[i] = NAN;
    p->surplus = false;
    p->slowest_ms = 0;
    p->answer_length = 0;
    drain(p, 0); /* what came since the last round answers nothing of this one */
    for (size_t i = 0; i < p->blocks && !p->ended; i++)
        if (ask_block(p, &p->block[i]))
            split(p, i--);
    double look_ms = fmin(fmax(2 * p->slowest_ms, LAST_LOOK_MS), LAST_LOOK_MOST_MS);
    if (!p->ended)
        look_for_surplus(p, (int)look_ms);
}

bool nr_modbus_poll_round(nr_modbus_poll *p, char *line, char *remark_out)
{
    size_t answered = 0;
    p->remark = remark_out;
    remark_out[0] = '\0';
    ask_all(p);
    if (p->ended)
        return false;
    for (size_t i = 0; i < p->settings->points; i++)
        answered += isfinite(p->value[i]) != 0;
    if (p->surplus)
        snprintf(line, NR_MODBUS_LINE,
                 "# bus: more answers than questions; none of this round is used");
    else if (answered == 0)
        snprintf(line, NR_MODBUS_LINE, "# no answer on the bus: %s", modbus_strerror(silence(p)));
    else
        write_pairs(p, line);
    return true;
}

nr_modbus_poll *nr_modbus_poll_new(modbus_t *bus, const nr_port_settings *settings, int wake_fd)
{
    nr_modbus_poll *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->bus = bus;
    p->settings = settings;
    p->wake_fd = wake_fd;
    make_blocks(p);
    size_t longest = 0;
    for (size_t i = 0; i < settings->points; i++)
        longest +=
            strlen(settings->point[i].field) + NR_MODBUS_ADDRESS + sizeof "@=,-1.23456789e-38";
    p->with_names = longest < NR_MODBUS_LINE;
    return p;
}

void nr_modbus_poll_free(nr_modbus_poll *p)
{
    free(p);
}
