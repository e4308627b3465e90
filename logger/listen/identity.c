/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/identity.h"

#include "logger/adapter/core/onewire.h"
#include "logger/base/text.h"

#include <ctype.h>
#include <stdint.h>
#include <string.h>

static int hex(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)toupper((unsigned char)c);
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

bool nr_identity_is_probe(const char *text)
{
    uint8_t rom[NR_FW_ROM];
    if (strnlen(text, NR_IDENTITY_PROBE) != NR_IDENTITY_PROBE - 1)
        return false;
    for (size_t i = 0; i < NR_FW_ROM; i++) {
        int high = hex(text[2 * i]), low = hex(text[2 * i + 1]);
        if (high < 0 || low < 0)
            return false;
        rom[i] = (uint8_t)(high << 4 | low);
    }
    return rom[0] == NR_FW_FAMILY && nr_fw_crc8(rom, NR_FW_ROM) == 0;
}

/* What stands behind the beginning of a line, cleaned; false: it begins otherwise. */
static bool behind(const nr_wire_line *line, const char *beginning, char *out, size_t size)
{
    size_t length = strlen(beginning);
    if (line->length < length || memcmp(line->text, beginning, length) != 0)
        return false;
    nr_clean(out, size, line->text + length, line->length - length);
    return true;
}

void nr_identity_line(nr_identity *identity, const nr_wire_line *line)
{
    char rest[64];
    if (line->cut || line->first)
        return;
    if (behind(line, "# noonrun adapter ", rest, sizeof rest)) {
        *identity = (nr_identity){.known = true};
        nr_copy(identity->version, sizeof identity->version, rest);
    } else if (identity->known && behind(line, "# probe ", rest, sizeof rest)) {
        if (nr_identity_is_probe(rest) && identity->probes < NR_IDENTITY_PROBES)
            nr_copy(identity->probe[identity->probes++], NR_IDENTITY_PROBE, rest);
    } else if (identity->known && behind(line, "# end", rest, sizeof rest)) {
        identity->complete = true;
    }
}

#define DIVIDER                                                                                    \
    "convert = linear\n"                                                                           \
    "gain = 0.0000152587890625   ; 1/65536: the share of the supply; more for what it measures\n"
#define THERMISTOR                                                                                 \
    ";unit = degC               ; a thermistor: these instead, and its own numbers\n"              \
    ";convert = ntc_beta\n;full_scale = 65536\n;series_ohm = 4700\n;r25 = 10000\n;beta = 3950\n"
#define METER                                                                                      \
    ";unit = L_min              ; a flow meter: name the channel flow, and its own number\n"       \
    ";convert = flow_hz\n;pulses_per_L = 450\n"

static const nr_identity_field fields[] = {
    {"ntc1", false, "raw", THERMISTOR},
    {"ntc2", false, "raw", THERMISTOR},
    {"div1", false, "raw", DIVIDER},
    {"div2", false, "raw", DIVIDER},
    {"cell", false, "raw",
     ";unit = W_m2               ; a reference cell: name the channel sun, and its own numbers\n"
     ";convert = sun_shunt\n;shunt_ohm = 0.05\n;isc_A = 0.92\n"
     ";volt_per_raw = 0.00005    ; millivolts behind an amplifier of 20\n;u_gain = 0.05\n"},
    {"pump", false, "V",
     "convert = linear\ngain = 0.016               ; millivolts behind 150 and 10 kilohm: 16 V in "
     "1 V\n"},
    {"hz1", false, "raw", METER},
    {"hz2", false, "raw", METER},
    {"pulses1", true, NULL, NULL},
    {"pulses2", true, NULL, NULL}};

const nr_identity_field *nr_identity_field_at(size_t index)
{
    return index < sizeof fields / sizeof *fields ? &fields[index] : NULL;
}

const nr_identity_field *nr_identity_field_find(const char *key)
{
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (strcmp(fields[i].key, key) == 0)
            return &fields[i];
    return NULL;
}
