/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/fit_cooldown.h"

#include "analyze/show/cooldown.h"
#include "analyze/tell/cooldown.h"
#include "analyze/tell/tell.h"
#include "logger/base/replace.h"
#include "logger/run/file.h"
#include "logger/run/rig_edit.h"
#include "plots/cooldown.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* As large as a rig file may be. */
#define RIG_MOST ((size_t)1 << 20)

/* The container's section, as it is headed in the file: "store" or "store NAME". */
static nr_code section_of(const nr_rig *file, const nr_run *run, char out[NR_NAME + 8], nr_err *err)
{
    snprintf(out, NR_NAME + 8, "store");
    if (file->builds > 1) {
        snprintf(out, NR_NAME + 8, "store %s", run->rig.collector.name);
        for (size_t i = 0; i < file->builds; i++)
            if (!strcmp(file->build[i].name, run->rig.collector.name))
                return NR_OK;
        return nr_fail(err, NR_BAD, file->path, 0, "has no collector %s", run->rig.collector.name);
    }
    return NR_OK;
}

static nr_code write_keys(const nr_run *run, const nr_cooldown *x, const char *path, nr_err *err)
{
    char section[NR_NAME + 8], value[NR_COOLDOWN_KEY], u[NR_COOLDOWN_KEY];
    char *text = NULL, *out = NULL;
    size_t length = 0, out_length = 0;
    nr_rig *rig = malloc(sizeof *rig); /* too large for the stack */
    nr_code code = rig ? nr_rig_read(path, NR_RIG_FOR_READINGS, rig, NULL, err)
                       : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = section_of(rig, run, section, err);
    if (!code)
        code = nr_file_read(path, RIG_MOST, &text, &length, err);
    if (!code) {
        nr_tell_cooldown_keys(value, u, x);
        const nr_rig_change change[] = {{section, "loss_W_K", value, NULL},
                                        {section, "u_loss_W_K", u, NULL},
                                        {section, "loss_Btu_h_degF", NULL, NULL},
                                        {section, "u_loss_Btu_h_degF", NULL, NULL}};
        code = nr_rig_edit(text, length, change, sizeof change / sizeof change[0], &out,
                           &out_length, err);
    }
    if (!code)
        code = nr_replace_file(path, out, out_length, 0666, err);
    if (!code)
        fprintf(stderr, "noonfit: loss_W_K = %s and u_loss_W_K = %s are in [%s] of %s\n", value, u,
                section, path);
    free(text);
    free(out);
    free(rig);
    return code;
}

nr_code nr_fit_cooldown(const nr_run *run, const nr_common *common, const char *rig, nr_units units,
                        nr_err *err)
{
    nr_cooldown *x = NULL;
    nr_plot_remark remark = {.say = nr_say_remark};
    nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
    nr_code code = nr_cooldown_fit(run, &x, err);
    if (!code && common->plot)
        code = nr_plot_cooldown(x, common->plot, &style, err);
    if (!code && rig && x->trust.count > 0 && !common->anyway) {
        char why[NR_TELL];
        nr_tell_trust(why, sizeof why, &x->trust.reason[0], units);
        code = nr_fail(err, NR_CANNOT, run->folder, 0,
                       "a doubtful loss is not written: %s (--anyway writes it all the same)", why);
    }
    if (!code && rig)
        code = write_keys(run, x, rig, err);
    if (!code && common->json)
        code = nr_json_cooldown(stdout, x, err);
    else if (!code)
        nr_show_cooldown(stdout, x, units);
    nr_cooldown_free(x);
    return code;
}
