/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes at the adapter's serial input: whatever came, a request is a letter with a number of at
 * most four digits or is refused, and a clean line behind noise is read as if there had been none.
 */
#include "logger/adapter/core/request.h"
#include "logger/adapter/core/settings.h"
#include "tests/fuzz/fuzz.h"

#include <ctype.h>

static void promise_request(const nr_fw_request *q)
{
    nr_fw_settings s = nr_fw_settings_default();
    PROMISE(q->letter == 0 || q->letter == '?' || isalpha((unsigned char)q->letter));
    PROMISE(q->number <= 9999 && (q->has_number || q->number == 0));
    PROMISE(q->letter || !q->has_number);
    nr_fw_settings_interval(&s, q->number);
    nr_fw_settings_reference(&s, q->number);
    PROMISE(s.interval_s >= 1 && s.interval_s <= 60);
    PROMISE(s.reference_mV >= 1000 && s.reference_mV <= 1200);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    nr_fw_request_reader reader = {0};
    nr_fw_request q = {0};
    uint8_t settings[NR_FW_SETTINGS] = {0};
    for (size_t i = 0; i < size; i++)
        if (nr_fw_request_take(&reader, (char)data[i], &q))
            promise_request(&q);
    (void)nr_fw_request_take(&reader, '\n', &q);
    bool got = false;
    for (const char *p = "e17\n"; *p; p++)
        got = nr_fw_request_take(&reader, *p, &q);
    PROMISE(got && q.letter == 'e' && q.has_number && q.number == 17);
    memcpy(settings, data, size < sizeof settings ? size : sizeof settings);
    nr_fw_settings s = nr_fw_settings_unpack(settings);
    PROMISE(s.interval_s >= 1 && s.interval_s <= 60);
    return 0;
}
