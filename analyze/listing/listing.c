/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/listing/listing.h"

#include "analyze/cooldown/cooldown.h"
#include "logger/base/text.h"
#include "logger/run/file.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define DEEPEST 24 /* folders within folders */

typedef struct search {
    nr_listing *listing;
    const nr_sink *progress;
    size_t room;
} search;

const char *nr_listing_grade_name(nr_listing_grade grade)
{
    static const char *const names[] = {"good", "doubtful", "withheld", "no-answer", "broken"};
    return names[grade];
}

static nr_listed *add(search *s, const char *folder)
{
    nr_listing *l = s->listing;
    if (l->count == s->room) {
        size_t room = s->room ? 2 * s->room : 32;
        nr_listed *grown = realloc(l->item, room * sizeof *grown);
        if (!grown)
            return NULL;
        l->item = grown;
        s->room = room;
    }
    nr_listed *one = &l->item[l->count++];
    *one = (nr_listed){.start_utc_s = NAN,
                       .duration_s = NAN,
                       .eta0 = nr_quantity_unknown(NR_UNIT_ONE),
                       .a1 = nr_quantity_unknown(NR_UNIT_W_M2K),
                       .store_loss = nr_quantity_unknown(NR_UNIT_W_K)};
    nr_copy(one->folder, sizeof one->folder, folder);
    return one;
}

/* The grade by the answer's trust; whether it is withheld. */
static bool withheld(nr_listed *one, const nr_trust *trust)
{
    bool none = nr_trust_withholds(trust);
    if (trust->count > 0) {
        one->grade = none ? NR_LISTED_WITHHELD : NR_LISTED_DOUBTFUL;
        one->reason = trust->reason[0];
    }
    return none;
}

static void unfitted(nr_listed *one, const nr_err *why)
{
    one->grade = NR_LISTED_UNFITTED;
    nr_copy(one->trouble, sizeof one->trouble, why->text);
}

static void fill_cool_down(nr_listed *one, const nr_run *run)
{
    nr_cooldown *x = NULL;
    nr_err err = {.text = ""};
    one->cool_down = true;
    if (nr_cooldown_fit(run, &x, &err) != NR_OK)
        unfitted(one, &err);
    else if (!withheld(one, &x->trust))
        one->store_loss = x->loss_W_K;
    nr_cooldown_free(x);
}

static void fill_fit(nr_listed *one, const nr_run *run)
{
    nr_fit *fit = NULL;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    if (nr_fit_runs(&run, 1, &options, &fit, &err) != NR_OK) {
        unfitted(one, &err);
        return;
    }
    nr_copy(one->collector, sizeof one->collector, fit->collector_name);
    if (!withheld(one, &fit->trust)) {
        one->eta0 = fit->eta0;
        one->a1 = fit->a1;
        one->loss_includes_store = fit->loss_includes_store;
        one->store_loss = fit->store_loss;
    }
    nr_fit_free(fit);
}

/* What one collector of a record says. */
static void fill(nr_listed *one, const nr_run *run)
{
    const nr_readings *r = run->readings;
    nr_copy(one->collector, sizeof one->collector, run->rig.collector.name);
    if (r->rows > 0) {
        nr_values utc = nr_readings_utc(r), elapsed = nr_readings_elapsed(r);
        one->start_utc_s = nr_number(&utc, 0);
        one->duration_s = nr_number(&elapsed, r->rows - 1) - nr_number(&elapsed, 0);
    }
    if (nr_cooldown_of(run) == NR_COOLDOWN_IS)
        fill_cool_down(one, run);
    else
        fill_fit(one, run);
}

/* "rig.ini:12: sentence": the file as it is called in the folder. */
static void say_where(const nr_err *why, const char *folder, char *out, size_t size)
{
    size_t length = strlen(folder);
    const char *file = why->file;
    if (strncmp(file, folder, length) == 0)
        file += length + (file[length] == '/');
    if (file[0] && why->line > 0)
        snprintf(out, size, "%s:%ld: %s", file, why->line, why->text);
    else
        snprintf(out, size, "%s%s%s", file, file[0] ? ": " : "", why->text);
}

static nr_code add_record(search *s, const char *folder, nr_err *err)
{
    nr_run *run[NR_RIG_BUILDS] = {NULL};
    size_t count = 0;
    nr_err why = {.text = ""};
    nr_say(s->progress, "%zu: %s", ++s->listing->records, folder);
    nr_code code = nr_run_open_builds(folder, NULL, run, &count, NULL, &why);
    bool memory = true;
    if (code != NR_OK) {
        nr_listed *one = add(s, folder);
        memory = one != NULL;
        s->listing->broken++;
        if (one) {
            one->grade = NR_LISTED_BROKEN;
            say_where(&why, folder, one->trouble, sizeof one->trouble);
        }
    }
    for (size_t i = 0; i < count; i++) {
        nr_listed *one = memory ? add(s, folder) : NULL;
        memory = one != NULL;
        if (one)
            fill(one, run[i]);
        nr_run_free(run[i]);
    }
    return memory ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

static bool holds(const char *folder, const char *name)
{
    char path[NR_ERR_FILE];
    struct stat about;
    return nr_path_in(folder, name, path, NULL) == NR_OK && lstat(path, &about) == 0;
}

/* A rig file alone is no record, but one of the files that only a record has. */
static bool is_record(const char *folder)
{
    return holds(folder, NR_READINGS_FILE) || holds(folder, NR_ADAPTER_LOG_FILE);
}

static int wanted(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static nr_code look_below(search *s, const char *folder, int depth, nr_err *err)
{
    if (is_record(folder))
        return add_record(s, folder, err);
    struct dirent **entry = NULL;
    int n = depth < DEEPEST ? scandir(folder, &entry, wanted, by_name) : 0;
    nr_code code =
        n < 0 && depth == 0 ? nr_fail_errno(err, NR_BAD, folder, errno, "cannot be read") : NR_OK;
    for (int i = 0; i < n; i++) {
        char path[NR_ERR_FILE];
        struct stat about;
        if (code == NR_OK && nr_path_in(folder, entry[i]->d_name, path, NULL) == NR_OK &&
            lstat(path, &about) == 0 && S_ISDIR(about.st_mode))
            code = look_below(s, path, depth + 1, err);
        free(entry[i]);
    }
    free(entry);
    return code;
}

nr_code nr_listing_make(const char *const *folders, size_t count, const nr_sink *progress,
                        nr_listing **out, nr_err *err)
{
    search s = {.listing = calloc(1, sizeof *s.listing), .progress = progress};
    *out = NULL;
    nr_code code = s.listing ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; code == NR_OK && i < count; i++) {
        char folder[NR_ERR_FILE];
        size_t length = strlen(folders[i]);
        while (length > 1 && folders[i][length - 1] == '/')
            length--;
        if (snprintf(folder, sizeof folder, "%.*s", (int)length, folders[i]) >= NR_ERR_FILE)
            code = nr_fail(err, NR_BAD, NULL, 0, "the folder's path is too long");
        else
            code = look_below(&s, folder, 0, err);
    }
    if (code == NR_OK && s.listing->records == 0)
        code = nr_fail(err, NR_CANNOT, count == 1 ? folders[0] : NULL, 0,
                       "no record is here or below: none has %s or %s", NR_READINGS_FILE,
                       NR_ADAPTER_LOG_FILE);
    if (code == NR_OK)
        *out = s.listing;
    else
        nr_listing_free(s.listing);
    return code;
}

void nr_listing_free(nr_listing *l)
{
    if (!l)
        return;
    free(l->item);
    free(l);
}
