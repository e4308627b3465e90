/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the adapter keeps over a power cut: four bytes, guarded by a CRC. */
#ifndef NR_ADAPTER_CORE_SETTINGS_H
#define NR_ADAPTER_CORE_SETTINGS_H

#include <stdbool.h>
#include <stdint.h>

#define NR_FW_SETTINGS 4 /* bytes */
#define NR_FW_INTERVAL_LONGEST_S 60u
/* The data sheet's range of the internal reference. */
#define NR_FW_REFERENCE_LOW_MV 1000u
#define NR_FW_REFERENCE_HIGH_MV 1200u

typedef struct nr_fw_settings {
    uint8_t interval_s;    /* 1..60 */
    uint16_t reference_mV; /* the converter's own reference as measured; 1100 until somebody did */
} nr_fw_settings;

nr_fw_settings nr_fw_settings_default(void);
void nr_fw_settings_pack(const nr_fw_settings *settings, uint8_t bytes[NR_FW_SETTINGS]);

/* The defaults when the bytes are not what pack made: a new chip, or a write that was cut. */
nr_fw_settings nr_fw_settings_unpack(const uint8_t bytes[NR_FW_SETTINGS]);

bool nr_fw_settings_interval(nr_fw_settings *settings, uint16_t seconds);
bool nr_fw_settings_reference(nr_fw_settings *settings, uint16_t millivolt);

#endif
