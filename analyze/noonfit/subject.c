/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/subject.h"

#include <stdlib.h>

void nr_subject_free(nr_subject *m)
{
    for (size_t i = 0; m->inspects != NULL && i < m->count; i++)
        nr_inspect_free(m->inspects[i]);
    free(m->inspects);
    nr_groups_free(&m->groups);
    nr_close_runs(m->opened, m->count);
}

static nr_code inspect_all(nr_subject *m, nr_err *err)
{
    m->inspects = calloc(m->count + 1, sizeof *m->inspects);
    nr_code code = m->inspects ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; !code && i < m->count; i++)
        code = nr_inspect_run(m->groups.run[i], &m->inspects[i], err);
    return code;
}

nr_code nr_subject_open(nr_subject *m, const nr_command *command, char *const *names, size_t count,
                        const nr_records *which, nr_err *err)
{
    nr_code code = nr_open_runs(command, names, count, which, &m->opened, &m->count, err);
    if (!code)
        code = nr_group_by_name(command, m->opened, m->count, &m->groups, err);
    if (!code && m->groups.groups > NR_BUILDS)
        code = nr_usage(err, command, "runs of more than %d collectors", NR_BUILDS);
    return code ? code : inspect_all(m, err);
}
