/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Requests to the adapter: one letter, perhaps a number, and Enter. */
#ifndef NR_ADAPTER_CORE_REQUEST_H
#define NR_ADAPTER_CORE_REQUEST_H

#include <stdbool.h>
#include <stdint.h>

typedef struct nr_fw_request {
    char letter; /* as it came; 0: not a request (digits first, two letters, noise) */
    bool has_number;
    uint16_t number; /* 0..9999 */
} nr_fw_request;

/* Zero to begin with. */
typedef struct nr_fw_request_reader {
    nr_fw_request request;
    uint8_t digits;
    bool blank; /* a blank behind digits: nothing may follow */
    bool bad;
    bool any; /* something but blanks stands in the line */
} nr_fw_request_reader;

/* Takes one character. True when a line ended and something stood in it: *out is then set. */
bool nr_fw_request_take(nr_fw_request_reader *reader, char c, nr_fw_request *out);

#endif
