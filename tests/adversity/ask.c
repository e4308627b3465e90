/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/adversity/ask.h"

#include <fcntl.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static int run(const char *program, const char *folder, bool clear_sky, const char *out,
               const char *err)
{
    pid_t pid = fork();
    if (pid == 0) {
        int o = open(out, O_WRONLY | O_CREAT | O_TRUNC, 0644);
        int e = open(err, O_WRONLY | O_CREAT | O_TRUNC, 0644);
        dup2(o, STDOUT_FILENO);
        dup2(e, STDERR_FILENO);
        execl(program, program, "fit", "--json", folder, clear_sky ? "--clear-sky" : (char *)NULL,
              (char *)NULL);
        _exit(127);
    }
    int status = 0;
    if (pid < 0 || waitpid(pid, &status, 0) < 0 || !WIFEXITED(status))
        return -1;
    return WEXITSTATUS(status);
}

static double number(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);
    return json_is_number(v) ? json_number_value(v) : NAN;
}

static ad_interval interval(const json_t *o, const char *value)
{
    return (ad_interval){number(o, value), number(o, "lo95"), number(o, "hi95")};
}

static void trust(const json_t *root, ad_answer *a)
{
    const json_t *t = json_object_get(root, "trust"), *reason;
    const char *grade = json_string_value(json_object_get(t, "grade"));
    a->doubtful = grade && strcmp(grade, "good") != 0;
    size_t i;
    json_array_foreach(json_object_get(t, "reasons"), i, reason)
    {
        const char *code = json_string_value(json_object_get(reason, "code"));
        size_t used = strlen(a->codes);
        if (code)
            snprintf(a->codes + used, sizeof a->codes - used, "%s%s", used ? " " : "", code);
    }
}

static bool understand(const json_t *root, ad_answer *a)
{
    const json_t *curve = json_object_get(root, "curve");
    const json_t *parameters = json_object_get(root, "parameters");
    const char *basis = json_string_value(json_object_get(root, "reference_temperature"));
    size_t n = json_array_size(curve);
    if (!n || !basis)
        return false;
    a->mean = strcmp(basis, "mean") == 0;
    a->with_container = json_is_true(json_object_get(root, "loss_includes_store"));
    for (int k = 0; k < AD_POINTS; k++) {
        const json_t *p = json_array_get(curve, (n - 1) * (size_t)k / (AD_POINTS - 1));
        a->x[k] = number(p, "reduced_temperature");
        a->eta[k] = interval(p, "eta");
    }
    a->a1 = interval(json_object_get(parameters, "a1"), "value");
    a->store_loss = interval(json_object_get(parameters, "store_loss"), "value");
    trust(root, a);
    return true;
}

static void first_line(const char *path, char *to, size_t size)
{
    FILE *f = fopen(path, "r");
    if (f && fgets(to, (int)size, f))
        to[strcspn(to, "\n")] = '\0';
    if (f)
        fclose(f);
}

void ad_ask(const char *program, const char *folder, bool clear_sky, ad_answer *a)
{
    char out[600], err[600];
    *a = (ad_answer){.status = -1};
    snprintf(out, sizeof out, "%s/answer.json", folder);
    snprintf(err, sizeof err, "%s/answer.err", folder);
    a->status = run(program, folder, clear_sky, out, err);
    if (a->status) {
        first_line(err, a->refusal, sizeof a->refusal);
        return;
    }
    json_t *root = json_load_file(out, 0, NULL);
    if (!understand(root, a))
        a->status = -1;
    json_decref(root);
}
