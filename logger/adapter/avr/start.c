/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What has to happen before main: the cause of the reset is read and cleared, the watchdog, which
 * stays on after its own reset, is stopped, and the stack's room is painted. */
#include "logger/adapter/avr/start.h"

#include <avr/io.h>
#include <avr/wdt.h>

#define PAINT 0xA5

extern uint8_t _end; /* of the variables: the linker's name, and the stack may grow down to it */

static uint8_t cause __attribute__((section(".noinit")));

/* Before the variables are set (.init3), without a frame of its own: the code is simply in the
 * way. */
void nr_fw_start_early(void) __attribute__((naked, used, section(".init3")));
void nr_fw_start_early(void)
{
    cause = MCUSR;
    MCUSR = 0;
    wdt_disable();
    for (uint8_t *p = &_end; p < (uint8_t *)RAMEND - 16; p++)
        *p = PAINT;
}

nr_fw_reset nr_fw_start_cause(void)
{
    if (cause & 1 << WDRF)
        return NR_FW_RESET_WATCHDOG;
    if (cause & 1 << PORF) /* a supply that rises sets the brown-out flag as well */
        return NR_FW_RESET_POWER;
    if (cause & 1 << BORF)
        return NR_FW_RESET_BROWN_OUT;
    return NR_FW_RESET_BUTTON;
}

uint16_t nr_fw_start_stack_free(void)
{
    uint16_t count = 0;
    for (const uint8_t *p = &_end; p < (const uint8_t *)RAMEND && *p == PAINT; p++)
        count++;
    return count;
}
