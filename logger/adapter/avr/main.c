/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference adapter: a round of readings every interval, one line each.
 *
 * A round: pulses are taken and all probes begin to measure; meanwhile the analogue inputs are
 * converted; 750 ms later the probes are read one by one; one pass of a search looks for probes
 * that were plugged in; the line goes out by interrupt during the next round. Requests are
 * answered whenever the round waits.
 */
#include "logger/adapter/avr/clock.h"
#include "logger/adapter/avr/converter.h"
#include "logger/adapter/avr/pulses.h"
#include "logger/adapter/avr/serial.h"
#include "logger/adapter/avr/start.h"
#include "logger/adapter/avr/wire.h"
#include "logger/adapter/core/reading.h"
#include "logger/adapter/core/request.h"

#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/wdt.h>

#define CONVERSION_MS (NR_FW_CONVERSION_MS + 10) /* the clock's grain, and a little */

/* The one adapter there is. A struct, so that what is remembered is seen in one place. */
static struct {
    nr_fw_out out;
    nr_fw_probes probes;
    nr_fw_search search;
    nr_fw_meter meter[NR_FW_METERS];
    nr_fw_settings settings;
    nr_fw_request_reader requests;
    nr_fw_reset reset;
    bool parasite;
} fw;

static uint8_t kept[NR_FW_SETTINGS] EEMEM;

/* --- requests ------------------------------------------------------------------------------ */

static void keep_settings(void)
{
    uint8_t bytes[NR_FW_SETTINGS];
    nr_fw_settings_pack(&fw.settings, bytes);
    eeprom_update_block(bytes, kept, sizeof bytes);
}

static void answer(const nr_fw_request *q)
{
    nr_fw_health health = {.parasite = fw.parasite};
    if (q->letter == 'i' && !q->has_number) {
        health.stack_free = nr_fw_start_stack_free();
        nr_fw_identify(&fw.out, &fw.probes, &health);
    } else if (q->letter == 's' && !q->has_number) {
        nr_fw_settings_write(&fw.out, &fw.settings);
    } else if (q->has_number &&
               ((q->letter == 'e' && nr_fw_settings_interval(&fw.settings, q->number)) ||
                (q->letter == 'r' && nr_fw_settings_reference(&fw.settings, q->number)))) {
        keep_settings();
        nr_fw_settings_write(&fw.out, &fw.settings);
    } else {
        nr_fw_help(&fw.out);
    }
}

/* What is to be done again and again, however long a wait lasts. */
static void meanwhile(void)
{
    char c;
    nr_fw_request request = {0};
    wdt_reset();
    while (nr_fw_serial_take(&c))
        if (nr_fw_request_take(&fw.requests, c, &request))
            answer(&request);
}

static void wait_until(uint32_t ms)
{
    while ((int32_t)(nr_fw_clock_ms() - ms) < 0) { /* right over the wrap as well */
        meanwhile();
        nr_fw_sleep();
    }
}

/* --- a round ------------------------------------------------------------------------------- */

static void take_pulses(nr_fw_reading *r)
{
    nr_fw_edges edges[NR_FW_METERS];
    uint32_t now;
    nr_fw_pulses_read(edges, &now);
    for (uint8_t i = 0; i < NR_FW_METERS; i++)
        r->flow[i] = nr_fw_meter_take(&fw.meter[i], edges[i], now);
}

static void start_probes(nr_fw_reading *r)
{
    r->bus = nr_fw_wire_reset();
    if (r->bus == NR_FW_BUS_GOOD)
        fw.parasite = nr_fw_wire_parasite();
    if (r->bus == NR_FW_BUS_GOOD && nr_fw_wire_reset() == NR_FW_BUS_GOOD)
        nr_fw_wire_convert(fw.parasite);
}

static void read_probes(const nr_fw_reading *r)
{
    nr_fw_wire_release();
    for (uint8_t i = 0; i < fw.probes.count; i++) {
        nr_fw_probe *probe = &fw.probes.probe[i];
        int16_t sixteenths = 0;
        nr_fw_memory memory = NR_FW_MEMORY_ABSENT;
        if (r->bus == NR_FW_BUS_GOOD)
            memory = nr_fw_wire_read(probe->rom, &sixteenths);
        nr_fw_probe_take(probe, memory, sixteenths);
        wdt_reset();
    }
}

/* One pass finds one probe; all of them are met in turn. */
static bool look_for_probe(void)
{
    nr_fw_found found = nr_fw_wire_search(&fw.search);
    if (found != NR_FW_FOUND_NONE)
        nr_fw_probes_add(&fw.probes, fw.search.rom);
    return found == NR_FW_FOUND;
}

static void do_round(void)
{
    nr_fw_reading r = {.ms = nr_fw_clock_ms(), .reset = fw.reset};
    take_pulses(&r);
    start_probes(&r);
    uint32_t started_ms = nr_fw_clock_ms(); /* a round may be late, after a long answer */
    nr_fw_converter_read(&r, meanwhile);
    wait_until(started_ms + CONVERSION_MS);
    read_probes(&r);
    look_for_probe();
    nr_fw_reading_write(&fw.out, &r, &fw.probes, &fw.settings);
    fw.reset = NR_FW_RESET_SAID;
}

int main(void)
{
    uint8_t bytes[NR_FW_SETTINGS];
    fw.out.put = nr_fw_serial_put;
    fw.reset = nr_fw_start_cause();
    eeprom_read_block(bytes, kept, sizeof bytes);
    fw.settings = nr_fw_settings_unpack(bytes);
    nr_fw_clock_begin();
    nr_fw_serial_begin();
    nr_fw_converter_begin();
    nr_fw_pulses_begin();
    wdt_enable(WDTO_2S);
    sei();
    for (uint8_t i = 0; i < NR_FW_PROBES && look_for_probe(); i++)
        wdt_reset();
    uint32_t next_ms = (nr_fw_clock_ms() / 10u + 1) * 10u; /* on the clock's own interrupt */
    wait_until(next_ms);
    for (;;) {
        do_round();
        next_ms += 1000u * fw.settings.interval_s;
        wait_until(next_ms);
    }
}
