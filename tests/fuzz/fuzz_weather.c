/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/weather/weather.h"
#include "tests/fuzz/fuzz.h"

/* A table that is accepted ascends, has air in every row, and falls on any plane without a number
 * that is none. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    nr_hourly *w = NULL;
    nr_err err = {0};
    nr_code code = nr_hourly_parse((const char *)data, size, "weather.csv", &w, &err);
    if (code != NR_OK) {
        promise_error(code, &err);
        PROMISE(w == NULL);
        return 0;
    }
    PROMISE(w->rows >= 24 && w->step_s > 0);
    promise_clean(w->place);
    for (size_t i = 0; i < w->rows; i++) {
        PROMISE(isfinite(w->row[i].from_s) && isfinite(w->row[i].air_degC));
        PROMISE(i == 0 || w->row[i].from_s > w->row[i - 1].from_s);
    }
    if (isfinite(w->latitude_deg + w->longitude_deg)) {
        nr_hourly_plane plane = {.tilt_deg = 35, .azimuth_deg = 180, .albedo = 0.2};
        nr_hourly_sample sample[24];
        nr_hourly_samples(w, &plane, w->row[0].from_s, 1800, 24, sample);
        for (int k = 0; k < 24; k++)
            PROMISE(isnan(sample[k].sun_W_m2) ||
                    (sample[k].sun_W_m2 >= 0 && sample[k].sun_W_m2 < 1e5));
    }
    nr_hourly_free(w);
    return 0;
}
