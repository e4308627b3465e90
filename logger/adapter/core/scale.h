/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the converter's counts to what the line says.
 *
 * Each input is the sum of a hundred conversions of 10 bits, spread evenly over 100 ms: whole
 * periods of 50 and of 60 Hz, so that hum of the mains cancels, and enough noise of the converter
 * to resolve parts of a step. code = voltage / reference * 1024 (ATmega328P data sheet, section
 * ADC Conversion Result).
 */
#ifndef NR_ADAPTER_CORE_SCALE_H
#define NR_ADAPTER_CORE_SCALE_H

#include <stdbool.h>
#include <stdint.h>

#define NR_FW_SAMPLES 100u
#define NR_FW_FULL_SCALE 65536u /* what the line calls the whole supply */

/* Share of the reference, 65536 = all of it; rounded. sum: 0..102300. */
uint32_t nr_fw_share(uint32_t sum);

/* Microvolts at the pin, against a reference in millivolts (up to 1300); rounded. */
uint32_t nr_fw_microvolt(uint32_t sum, uint16_t reference_mV);

/* False for a divider with its thermistor unplugged or shorted: at either end. */
bool nr_fw_share_wired(uint32_t share);

#endif
