/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/scale.h"

#define STEP 64u /* of the converter, as a share; above, hum on an open lead takes some */

uint32_t nr_fw_share(uint32_t sum)
{
    return (sum * 16u + 12u) / 25u; /* 65536 / (1024 * 100) */
}

uint32_t nr_fw_microvolt(uint32_t sum, uint16_t reference_mV)
{
    return (sum * (uint32_t)reference_mV * 10u + 512u) / 1024u; /* 1000 / (1024 * 100) */
}

bool nr_fw_share_wired(uint32_t share)
{
    return share > STEP && share < NR_FW_FULL_SCALE - 8 * STEP;
}
