/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/how.h"
#include "logger/import/sketch.h"
#include "tests/fuzz/fuzz.h"

static const char rig_text[] = "[channel store]\nunit = degF\n[channel air]\nunit = degC\n"
                               "[channel sun]\nunit = W_m2\n[channel flow]\nunit = L_min\n";

static void promise_readings(const nr_imported *im, const nr_rig *rig)
{
    PROMISE(im->rows.count > 0);
    for (size_t i = 0; i < im->rows.count; i++) {
        PROMISE(isfinite(im->elapsed_s[i]));
        PROMISE(i == 0 || im->elapsed_s[i] > im->elapsed_s[i - 1]);
        PROMISE(im->rows.row[i] < im->table.rows);
    }
    for (size_t i = 0; i < im->rows.count * rig->channels; i++)
        PROMISE(!isinf(im->value[i]));
    for (size_t i = 0; i < im->said.count; i++)
        promise_clean(im->said.text[i]);
}

/* What was found is read again as it was written. */
static void promise_how(const nr_imported *im, const nr_rig *rig, const nr_import_stated *stated)
{
    static nr_import_how how;
    size_t length;
    nr_err err;
    char *text = nr_import_how_write("t.csv", im, rig, stated, &length);
    PROMISE(text);
    PROMISE(nr_import_how_read(text, length, "how.ini", rig, &how, &err) == NR_OK);
    free(text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static nr_imported im;
    static nr_rig rig;
    static nr_sketch sketch;
    nr_err err = {0};
    nr_import_stated stated = {.zone = "UTC"};
    PROMISE(nr_rig_parse(rig_text, sizeof rig_text - 1, "r.ini", NR_RIG_FOR_READINGS, &rig, NULL,
                         &err) == NR_OK);
    nr_code code = nr_import_read((const char *)data, size, "t.csv", &rig, &stated, &im, &err);
    if (code == NR_OK) {
        promise_readings(&im, &rig);
        promise_how(&im, &rig, &stated);
    } else {
        PROMISE(err.text[0]);
        promise_clean(err.text);
    }
    nr_imported_free(&im);
    code = nr_import_table((const char *)data, size, "t.csv", &stated, &im, &err);
    if (code == NR_OK && nr_sketch_rig(&im, "t.csv", &sketch, &err) == NR_OK) {
        code = nr_rig_parse(sketch.text, sketch.length, "s.ini", NR_RIG_FOR_READINGS, &rig, NULL,
                            &err);
        PROMISE(code == NR_OK);
    }
    free(sketch.text);
    sketch.text = NULL;
    nr_imported_free(&im);
    return 0;
}
