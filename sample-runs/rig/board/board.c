/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/board.h"

#include <avr_adc.h>
#include <avr_extint.h>
#include <avr_ioport.h>
#include <avr_uart.h>
#include <math.h>
#include <sim_avr.h>
#include <sim_cycle_timers.h>
#include <sim_elf.h>
#include <sim_io.h>
#include <sim_irq.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MCU "atmega328p"
#define CLOCK_HZ 16000000u
#define CYCLES_US 16.0
#define DATA_OFFSET 0x800000u /* where the linker places RAM */
#define WIRE_PIN 0            /* of port B */
#define METER_PIN 2           /* of port D, and the next */
#define TELL 256

/* Registers, as addresses of data memory (data sheet, register summary). */
enum { MCUSR_AT = 0x54, ADMUX_AT = 0x7C, DDRB_AT = 0x24, PORTB_AT = 0x25 };
enum { BORF_BIT = 1 << 2, PORF_BIT = 1 << 0, REFS_INTERNAL = 3 };

typedef struct meter {
    nr_board *board;
    avr_irq_t *pin;
    double half_cycles; /* of its period; 0: it stands still */
    double next_cycle;
    bool high;
} meter;

struct nr_board {
    avr_t *avr;
    elf_firmware_t firmware;
    avr_io_t io; /* so that a reset is heard of */
    nr_wire wire;
    nr_analogue analogue;
    meter meter[NR_BOARD_METERS];
    avr_irq_t *wire_pin, *adc, *uart;
    void (*said)(void *context, char c);
    void *context;
    char tell[TELL];
    size_t told, telling;
    bool uart_full;
    avr_cycle_count_t slept;
    unsigned resets;
};

static double now_us(const nr_board *b)
{
    return (double)b->avr->cycle / CYCLES_US;
}

/* --- the wire ------------------------------------------------------------------------------ */

static avr_cycle_count_t wire_changes(avr_t *avr, avr_cycle_count_t when, void *param)
{
    nr_board *b = param;
    double until_us;
    (void)when;
    bool level = nr_wire_level(&b->wire, now_us(b), &until_us);
    avr_raise_irq(b->wire_pin, level);
    if (isinf(until_us))
        return 0;
    return avr->cycle + 1 + (avr_cycle_count_t)ceil((until_us - now_us(b)) * CYCLES_US);
}

/* After the simulator has had its own idea of the pin, which knows no probes. */
static void wire_soon(nr_board *b)
{
    avr_cycle_timer_register(b->avr, 1, wire_changes, b);
}

static void on_port(struct avr_irq_t *irq, uint32_t value, void *param)
{
    nr_board *b = param;
    bool is_ddr = irq->irq == IOPORT_IRQ_DIRECTION_ALL;
    unsigned ddr = is_ddr ? value : b->avr->data[DDRB_AT];
    unsigned port = is_ddr ? b->avr->data[PORTB_AT] : value;
    bool out = ddr >> WIRE_PIN & 1, high = port >> WIRE_PIN & 1;
    nr_wire_drive(&b->wire, out && !high, out && high, now_us(b));
    wire_soon(b);
}

/* --- the converter ------------------------------------------------------------------------- */

/* The simulator takes whole millivolts and cuts to its own scale of 1023 steps: given are those
 * millivolts that come out as the code the converter would give. */
static void on_convert(struct avr_irq_t *irq, uint32_t value, void *param)
{
    nr_board *b = param;
    union {
        avr_adc_mux_t mux;
        uint32_t value;
    } at = {.value = value};
    (void)irq;
    bool internal = b->avr->data[ADMUX_AT] >> 6 == REFS_INTERNAL;
    unsigned input = at.mux.src;
    unsigned code = nr_analogue_code(&b->analogue, input, !internal, now_us(b) / 1e6);
    unsigned full_mV = internal ? ADC_VREF_V110 : b->avr->avcc;
    if (input < NR_ANALOGUE_INPUTS)
        avr_raise_irq(b->adc + ADC_IRQ_ADC0 + input, (code * full_mV + 1022) / 1023);
}

/* --- the meters ---------------------------------------------------------------------------- */

static avr_cycle_count_t meter_turns(avr_t *avr, avr_cycle_count_t when, void *param)
{
    meter *m = param;
    (void)when;
    if (m->half_cycles <= 0)
        return 0;
    m->high = !m->high;
    avr_raise_irq(m->pin, m->high);
    m->next_cycle += m->half_cycles;
    double left = m->next_cycle - (double)avr->cycle;
    return avr->cycle + (avr_cycle_count_t)fmax(left, 1);
}

void nr_board_meter(nr_board *b, unsigned index, double hertz)
{
    meter *m = &b->meter[index];
    m->half_cycles = hertz > 0 ? CLOCK_HZ / hertz / 2 : 0;
    m->next_cycle = (double)b->avr->cycle + m->half_cycles;
    avr_cycle_timer_cancel(b->avr, meter_turns, m);
    if (hertz > 0)
        avr_cycle_timer_register(b->avr, (avr_cycle_count_t)m->half_cycles, meter_turns, m);
}

void nr_board_meter_rate(nr_board *b, unsigned index, double hertz)
{
    meter *m = &b->meter[index];
    if (m->half_cycles <= 0 || hertz <= 0)
        nr_board_meter(b, index, hertz);
    else
        m->half_cycles = CLOCK_HZ / hertz / 2;
}

/* --- the serial line ----------------------------------------------------------------------- */

static void on_byte(struct avr_irq_t *irq, uint32_t value, void *param)
{
    nr_board *b = param;
    (void)irq;
    b->said(b->context, (char)value);
}

static void on_flow(struct avr_irq_t *irq, uint32_t value, void *param)
{
    nr_board *b = param;
    (void)value;
    b->uart_full = irq->irq == UART_IRQ_OUT_XOFF;
}

void nr_board_tell(nr_board *b, const char *text, size_t length)
{
    for (size_t i = 0; i < length && b->telling - b->told < TELL; i++)
        b->tell[b->telling++ % TELL] = text[i];
}

static void tell_some(nr_board *b)
{
    while (b->told < b->telling && !b->uart_full)
        avr_raise_irq(b->uart + UART_IRQ_INPUT, (uint8_t)b->tell[b->told++ % TELL]);
}

/* --- life ---------------------------------------------------------------------------------- */

/* Sleep is skipped, not slept. */
static void on_sleep(avr_t *avr, avr_cycle_count_t how_long)
{
    nr_board *b = (nr_board *)avr->custom.data;
    b->slept += how_long + 1;
}

/* The simulator drops all timers at a reset. */
static void on_reset(avr_io_t *io)
{
    nr_board *b = (nr_board *)((char *)io - offsetof(nr_board, io));
    b->resets++;
    b->wire.driven_low = b->wire.driven_high = false;
    b->uart_full = false;
    avr_raise_irq(b->wire_pin, 0); /* it only tells changes, and the pin's register was cleared */
    for (unsigned i = 0; i < NR_BOARD_METERS; i++)
        if (b->meter[i].half_cycles > 0)
            avr_cycle_timer_register(b->avr, (avr_cycle_count_t)b->meter[i].half_cycles,
                                     meter_turns, &b->meter[i]);
    wire_soon(b);
}

static void quiet(avr_t *avr, const int level, const char *format, va_list ap)
{
    (void)avr;
    if (level <= LOG_ERROR)
        vfprintf(stderr, format, ap);
}

static void connect(nr_board *b)
{
    avr_t *avr = b->avr;
    uint32_t flags = 0;
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    avr_irq_t *port = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 0);
    b->wire_pin = port + IOPORT_IRQ_PIN0 + WIRE_PIN;
    avr_irq_register_notify(port + IOPORT_IRQ_DIRECTION_ALL, on_port, b);
    avr_irq_register_notify(port + IOPORT_IRQ_REG_PORT, on_port, b);
    b->adc = avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, 0);
    avr_irq_register_notify(b->adc + ADC_IRQ_OUT_TRIGGER, on_convert, b);
    b->uart = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), 0);
    avr_irq_register_notify(b->uart + UART_IRQ_OUTPUT, on_byte, b);
    avr_irq_register_notify(b->uart + UART_IRQ_OUT_XON, on_flow, b);
    avr_irq_register_notify(b->uart + UART_IRQ_OUT_XOFF, on_flow, b);
    for (unsigned i = 0; i < NR_BOARD_METERS; i++) {
        b->meter[i].board = b;
        b->meter[i].pin = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), METER_PIN + (int)i);
        avr_raise_irq(b->meter[i].pin, 1);
        b->meter[i].high = true;
    }
}

nr_code nr_board_new(const char *firmware, void (*said)(void *context, char c), void *context,
                     nr_board **out, nr_err *err)
{
    *out = NULL;
    if (access(firmware, R_OK) != 0)
        return nr_fail(err, NR_BAD, firmware, 0, "the firmware cannot be read");
    nr_board *b = calloc(1, sizeof *b);
    if (!b)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    avr_global_logger_set(quiet);
    b->said = said;
    b->context = context;
    b->analogue = (nr_analogue){.supply_V = 5, .reference_V = 1.1};
    b->avr = avr_make_mcu_by_name(MCU);
    if (!b->avr || elf_read_firmware(firmware, &b->firmware) != 0) {
        free(b);
        return nr_fail(err, NR_BAD, firmware, 0, "is no firmware for an " MCU);
    }
    b->firmware.frequency = CLOCK_HZ;
    avr_init(b->avr);
    avr_load_firmware(b->avr, &b->firmware);
    b->avr->frequency = CLOCK_HZ;
    b->avr->vcc = b->avr->avcc = b->avr->aref = 5000;
    b->avr->custom.data = b;
    b->avr->sleep = on_sleep;
    connect(b);
    b->io.kind = "board";
    b->io.reset = on_reset;
    avr_register_io(b->avr, &b->io);
    b->avr->data[MCUSR_AT] = PORF_BIT;
    wire_soon(b);
    *out = b;
    return NR_OK;
}

void nr_board_free(nr_board *b)
{
    if (!b)
        return;
    avr_terminate(b->avr);
    free(b->avr);
    free(b);
}

nr_wire *nr_board_wire(nr_board *b)
{
    return &b->wire;
}

nr_analogue *nr_board_analogue(nr_board *b)
{
    return &b->analogue;
}

double nr_board_now_s(const nr_board *b)
{
    return now_us(b) / 1e6;
}

nr_code nr_board_run(nr_board *b, double until_s, nr_err *err)
{
    avr_cycle_count_t end = (avr_cycle_count_t)(until_s * CLOCK_HZ);
    wire_soon(b); /* a probe may have been plugged or pulled */
    while (b->avr->cycle < end) {
        tell_some(b);
        avr_cycle_count_t slice = b->avr->cycle + 16000;
        while (b->avr->cycle < slice) {
            int state = avr_run(b->avr);
            if (state == cpu_Done || state == cpu_Crashed)
                return nr_fail(err, NR_BAD, NULL, 0, "the processor %s after %.3f s",
                               state == cpu_Done ? "stopped" : "crashed", nr_board_now_s(b));
        }
    }
    return NR_OK;
}

void nr_board_brown_out(nr_board *b)
{
    uint8_t causes = b->avr->data[MCUSR_AT]; /* kept until the program clears them */
    avr_reset(b->avr);
    b->avr->data[MCUSR_AT] = (uint8_t)(causes | BORF_BIT);
    for (int i = 0; i < NR_WIRE_PROBES; i++)
        nr_probe_power_on(&b->wire.probe[i]);
}

/* At the end of every program the C library leaves `cli` and a jump to itself. */
void nr_board_hang(nr_board *b)
{
    static const uint8_t circle[] = {0xF8, 0x94, 0xFF, 0xCF};
    for (uint32_t at = 0; at + sizeof circle <= b->avr->flashend; at += 2)
        if (memcmp(b->avr->flash + at, circle, sizeof circle) == 0) {
            b->avr->pc = at;
            b->avr->state = cpu_Running;
            return;
        }
}

bool nr_board_preset(nr_board *b, const char *variable, uint32_t value)
{
    for (uint32_t i = 0; i < b->firmware.symbolcount; i++) {
        const avr_symbol_t *s = b->firmware.symbol[i];
        if (strcmp(s->symbol, variable) != 0 || s->addr < DATA_OFFSET)
            continue;
        uint32_t at = s->addr - DATA_OFFSET;
        for (unsigned k = 0; k < 4 && at + k <= b->avr->ramend; k++)
            b->avr->data[at + k] = (uint8_t)(value >> (8 * k) & 0xFF);
        return true;
    }
    return false;
}

nr_board_report nr_board_reported(const nr_board *b)
{
    double cycles = (double)b->avr->cycle;
    return (nr_board_report){.seconds = nr_board_now_s(b),
                             .awake = cycles > 0 ? 1 - (double)b->slept / cycles : 0,
                             .resets = b->resets,
                             .faults = b->wire.faults};
}
