/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/settings.h"

#include "logger/adapter/core/onewire.h"

nr_fw_settings nr_fw_settings_default(void)
{
    return (nr_fw_settings){.interval_s = 1, .reference_mV = 1100};
}

void nr_fw_settings_pack(const nr_fw_settings *s, uint8_t bytes[NR_FW_SETTINGS])
{
    bytes[0] = s->interval_s;
    bytes[1] = (uint8_t)(s->reference_mV & 0xFF);
    bytes[2] = (uint8_t)(s->reference_mV >> 8);
    bytes[3] = nr_fw_crc8(bytes, NR_FW_SETTINGS - 1);
}

nr_fw_settings nr_fw_settings_unpack(const uint8_t bytes[NR_FW_SETTINGS])
{
    nr_fw_settings s = nr_fw_settings_default();
    bool good = nr_fw_crc8(bytes, NR_FW_SETTINGS) == 0 && nr_fw_settings_interval(&s, bytes[0]) &&
                nr_fw_settings_reference(&s, (uint16_t)(bytes[1] | (unsigned)bytes[2] << 8));
    return good ? s : nr_fw_settings_default();
}

bool nr_fw_settings_interval(nr_fw_settings *s, uint16_t seconds)
{
    if (seconds < 1 || seconds > NR_FW_INTERVAL_LONGEST_S)
        return false;
    s->interval_s = (uint8_t)seconds;
    return true;
}

bool nr_fw_settings_reference(nr_fw_settings *s, uint16_t millivolt)
{
    if (millivolt < NR_FW_REFERENCE_LOW_MV || millivolt > NR_FW_REFERENCE_HIGH_MV)
        return false;
    s->reference_mV = millivolt;
    return true;
}
