/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/reading.h"

#include "logger/adapter/core/scale.h"

#include <string.h>

bool nr_fw_probes_add(nr_fw_probes *probes, const uint8_t rom[NR_FW_ROM])
{
    if (rom[0] != NR_FW_FAMILY)
        return false;
    for (uint8_t i = 0; i < probes->count; i++)
        if (memcmp(probes->probe[i].rom, rom, NR_FW_ROM) == 0)
            return true;
    if (probes->count == NR_FW_PROBES)
        return false;
    nr_fw_probe *probe = &probes->probe[probes->count++];
    memset(probe, 0, sizeof *probe);
    memcpy(probe->rom, rom, NR_FW_ROM);
    return true;
}

#define POWER_ON (85 * 16)
#define NEAR (5 * 16)

void nr_fw_probe_take(nr_fw_probe *probe, nr_fw_memory memory, int16_t sixteenths)
{
    bool was_near = probe->known && probe->sixteenths >= POWER_ON - NEAR &&
                    probe->sixteenths <= POWER_ON + NEAR;
    probe->known = memory == NR_FW_MEMORY_GOOD && (sixteenths != POWER_ON || was_near);
    if (probe->known)
        probe->sixteenths = sixteenths;
}

static void put_rom(nr_fw_out *out, const uint8_t rom[NR_FW_ROM])
{
    for (uint8_t i = 0; i < NR_FW_ROM; i++)
        nr_fw_out_hex(out, rom[i]);
}

/* --- the line ------------------------------------------------------------------------------ */

/* ",name" and the number of the input, from 1. */
static void put_key(nr_fw_out *out, const char *flash_name, uint8_t index)
{
    nr_fw_out_char(out, ',');
    nr_fw_out_flash(out, flash_name);
    nr_fw_out_char(out, (char)('1' + index));
    nr_fw_out_char(out, '=');
}

static void put_probes(nr_fw_out *out, const nr_fw_probes *probes)
{
    for (uint8_t i = 0; i < probes->count; i++) {
        const nr_fw_probe *probe = &probes->probe[i];
        nr_fw_out_char(out, ',');
        put_rom(out, probe->rom);
        nr_fw_out_char(out, '=');
        if (probe->known)
            nr_fw_out_fixed(out, probe->sixteenths * (int32_t)625, 4); /* 1/16 = 0.0625 */
    }
}

static void put_shares(nr_fw_out *out, const nr_fw_reading *r)
{
    for (uint8_t i = 0; i < NR_FW_SHARES; i++) {
        uint32_t share = nr_fw_share(r->share_sum[i]);
        bool thermistor = i < 2;
        put_key(out, thermistor ? NR_FW_FLASH("ntc") : NR_FW_FLASH("div"), i & 1);
        if (!thermistor || nr_fw_share_wired(share))
            nr_fw_out_u32(out, share);
    }
}

static void put_volts(nr_fw_out *out, const nr_fw_reading *r, uint16_t reference_mV)
{
    for (uint8_t i = 0; i < NR_FW_VOLTS; i++) {
        nr_fw_out_flash(out, i == 0 ? NR_FW_FLASH(",cell=") : NR_FW_FLASH(",pump="));
        nr_fw_out_fixed(out, (int32_t)nr_fw_microvolt(r->volt_sum[i], reference_mV), 3);
    }
}

static void put_flows(nr_fw_out *out, const nr_fw_reading *r)
{
    for (uint8_t i = 0; i < NR_FW_METERS; i++) {
        put_key(out, NR_FW_FLASH("pulses"), i);
        nr_fw_out_u32(out, r->flow[i].pulses);
        put_key(out, NR_FW_FLASH("hz"), i);
        nr_fw_out_fixed(out, (int32_t)r->flow[i].millihertz, 3);
    }
}

static const char *reset_word(nr_fw_reset reset)
{
    switch (reset) {
    case NR_FW_RESET_POWER:
        return NR_FW_FLASH(",reset=power");
    case NR_FW_RESET_BUTTON:
        return NR_FW_FLASH(",reset=button");
    case NR_FW_RESET_BROWN_OUT:
        return NR_FW_FLASH(",reset=brown-out");
    case NR_FW_RESET_WATCHDOG:
        return NR_FW_FLASH(",reset=watchdog");
    case NR_FW_RESET_SAID:
    default:
        return NR_FW_FLASH("");
    }
}

void nr_fw_reading_write(nr_fw_out *out, const nr_fw_reading *r, const nr_fw_probes *probes,
                         const nr_fw_settings *settings)
{
    nr_fw_out_begin(out);
    nr_fw_out_flash(out, NR_FW_FLASH("ms="));
    nr_fw_out_u32(out, r->ms);
    put_probes(out, probes);
    put_shares(out, r);
    put_volts(out, r, settings->reference_mV);
    put_flows(out, r);
    if (r->bus == NR_FW_BUS_SHORT)
        nr_fw_out_flash(out, NR_FW_FLASH(",bus=short"));
    else if (r->bus == NR_FW_BUS_EMPTY && probes->count > 0) /* no probes at all: no trouble */
        nr_fw_out_flash(out, NR_FW_FLASH(",bus=empty"));
    nr_fw_out_flash(out, reset_word(r->reset));
    nr_fw_out_checked_end(out);
}

/* --- answers ------------------------------------------------------------------------------- */

void nr_fw_identify(nr_fw_out *out, const nr_fw_probes *probes, const nr_fw_health *health)
{
    nr_fw_out_flash(out, NR_FW_FLASH("# noonrun adapter " NR_FW_VERSION "\n"));
    for (uint8_t i = 0; i < probes->count; i++) {
        nr_fw_out_flash(out, NR_FW_FLASH("# probe "));
        put_rom(out, probes->probe[i].rom);
        nr_fw_out_end(out);
    }
    nr_fw_out_flash(out, health->parasite ? NR_FW_FLASH("# probes fed by the data wire\n")
                                          : NR_FW_FLASH("# probes with a supply of their own\n"));
    nr_fw_out_flash(out, NR_FW_FLASH("# stack "));
    nr_fw_out_u32(out, health->stack_free);
    nr_fw_out_flash(out, NR_FW_FLASH(" bytes never used\n# end\n"));
}

void nr_fw_settings_write(nr_fw_out *out, const nr_fw_settings *settings)
{
    nr_fw_out_flash(out, NR_FW_FLASH("# interval "));
    nr_fw_out_u32(out, settings->interval_s);
    nr_fw_out_flash(out, NR_FW_FLASH(" s, reference "));
    nr_fw_out_u32(out, settings->reference_mV);
    nr_fw_out_flash(out, NR_FW_FLASH(" mV\n"));
}

void nr_fw_help(nr_fw_out *out)
{
    nr_fw_out_flash(out, NR_FW_FLASH("# ask i (who are you), s (settings), e1 to e60 (a line every "
                                     "so many seconds), r1000 to r1200 (reference, mV); Enter\n"));
}
