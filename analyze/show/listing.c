/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/listing.h"

#include "analyze/show/csv_cells.h"
#include "analyze/show/json.h"
#include "analyze/show/lines.h"
#include "analyze/tell/cooldown.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <math.h>
#include <string.h>

#define NAME_COLUMNS 18 /* what is left of 80 */

/* Why it is not good, in words; "" where it is. */
static void why(const nr_listed *one, nr_units units, char *out, size_t size)
{
    nr_copy(out, size, "");
    if (one->grade == NR_LISTED_DOUBTFUL || one->grade == NR_LISTED_WITHHELD)
        nr_tell_trust(out, size, &one->reason, units);
    else if (one->grade != NR_LISTED_GOOD)
        nr_clean(out, size, one->trouble, strlen(one->trouble));
}

/* Value and standard uncertainty in so many columns; a dash where it is not known. */
static void pair(FILE *to, nr_shown what, nr_units units, const nr_quantity *q)
{
    char value[NR_ROUNDED] = "-", u[NR_ROUNDED] = "";
    if (q->known) {
        nr_quantity d = nr_display_quantity(what, units, q);
        nr_round_pair(d.value, d.u, value, u, sizeof value);
    }
    fprintf(to, " %6s %-5s", value, u);
}

static void text_row(FILE *to, const nr_listed *one, nr_units units)
{
    char date[NR_UTC_SIZE] = "", minutes[NR_ROUNDED] = "?";
    nr_utc_format(one->start_utc_s, date);
    if (date[0]) {
        date[10] = ' ';
        date[16] = '\0';
    }
    if (isfinite(one->duration_s))
        (void)nr_round_text(one->duration_s / 60, 0, minutes);
    fprintf(to, "  %-16s %4s  %-9s", date[0] ? date : "?", minutes,
            nr_listing_grade_name(one->grade));
    pair(to, NR_SHOWN_NUMBER, units, &one->eta0);
    pair(to, NR_SHOWN_COLLECTOR_LOSS, units, &one->a1);
    fputs(one->loss_includes_store ? "* " : "  ", to);
    if (nr_columns(one->collector, strlen(one->collector)) > NAME_COLUMNS)
        nr_padded(to, one->collector, NAME_COLUMNS);
    else
        fputs(one->collector, to);
    fputc('\n', to);
}

void nr_show_listing(FILE *to, const nr_listing *l, nr_units units)
{
    bool includes = false;
    fprintf(to, "  %-16s %4s  %-9s %6s %-5s %6s %-5s  %s\n", "begins, UTC", "min", "grade", "eta0",
            "u", "loss", "u", "collector");
    for (size_t i = 0; i < l->count; i++) {
        const nr_listed *one = &l->item[i];
        char reason[NR_TELL];
        if (i == 0 || strcmp(one->folder, l->item[i - 1].folder) != 0) {
            char clean[NR_ERR_FILE * 4];
            nr_clean(clean, sizeof clean, one->folder, strlen(one->folder));
            fprintf(to, "%s\n", clean);
        }
        if (one->grade != NR_LISTED_BROKEN)
            text_row(to, one, units);
        why(one, units, reason, sizeof reason);
        if (reason[0])
            nr_paragraph_of(to, "    ", "%s%s", one->grade == NR_LISTED_BROKEN ? "broken: " : "",
                            reason);
        if (one->cool_down && one->store_loss.known) {
            nr_tell_cooldown_listed(reason, sizeof reason, &one->store_loss, units);
            nr_paragraph_of(to, "    ", "%s", reason);
        }
        includes = includes || one->loss_includes_store;
    }
    fputc('\n', to);
    nr_paragraph_of(to, "",
                    "Loss: a1 in %s, u: standard uncertainties; each record by itself, on gross "
                    "area.%s",
                    nr_display_of(NR_SHOWN_COLLECTOR_LOSS, units)->plain,
                    includes ? " *: the container's loss is in it." : "");
}

nr_code nr_json_listing(FILE *to, const nr_listing *l, nr_err *err)
{
    json_t *records = json_array();
    for (size_t i = 0; i < l->count; i++) {
        const nr_listed *one = &l->item[i];
        char reason[NR_TELL], date[NR_UTC_SIZE];
        why(one, NR_UNITS_SI, reason, sizeof reason);
        nr_utc_format(one->start_utc_s, date);
        json_array_append_new(
            records,
            json_pack("{s:o, s:o, s:o, s:o, s:s, s:o, s:o, s:b, s:o, s:b, s:o}", "folder",
                      nr_json_text(one->folder), "collector",
                      one->collector[0] ? nr_json_text(one->collector) : json_null(), "start_utc",
                      date[0] ? json_string(date) : json_null(), "duration_s",
                      nr_json_number(one->duration_s), "grade", nr_listing_grade_name(one->grade),
                      "eta0", nr_json_quantity(&one->eta0), "a1", nr_json_quantity(&one->a1),
                      "loss_includes_store", one->loss_includes_store, "reason",
                      reason[0] ? nr_json_text(reason) : json_null(), "cool_down", one->cool_down,
                      "store_loss", nr_json_quantity(&one->store_loss)));
    }
    return nr_json_write(to,
                         json_pack("{s:s, s:s, s:I, s:I, s:o}", "program", "noonfit", "version",
                                   NOONRUN_VERSION, "records", (json_int_t)l->records, "broken",
                                   (json_int_t)l->broken, "collectors", records),
                         err);
}

nr_code nr_csv_listing(FILE *to, const nr_listing *l, nr_err *err)
{
    fputs("folder,collector,start_utc,duration_s,grade,eta0,u_eta0,a1_W_m2K,u_a1_W_m2K,"
          "loss_includes_store,reason,cool_down,store_loss_W_K,u_store_loss_W_K\n",
          to);
    for (size_t i = 0; i < l->count; i++) {
        const nr_listed *one = &l->item[i];
        char reason[NR_TELL], date[NR_UTC_SIZE];
        why(one, NR_UNITS_SI, reason, sizeof reason);
        nr_utc_format(one->start_utc_s, date);
        nr_csv_text(to, true, one->folder);
        nr_csv_text(to, false, one->collector);
        nr_csv_text(to, false, date);
        nr_csv_number(to, one->duration_s);
        nr_csv_text(to, false, nr_listing_grade_name(one->grade));
        nr_csv_number(to, one->eta0.value);
        nr_csv_number(to, one->eta0.u);
        nr_csv_number(to, one->a1.value);
        nr_csv_number(to, one->a1.u);
        nr_csv_text(to, false, one->loss_includes_store ? "yes" : "no");
        nr_csv_text(to, false, reason);
        nr_csv_text(to, false, one->cool_down ? "yes" : "no");
        nr_csv_number(to, one->store_loss.value);
        nr_csv_number(to, one->store_loss.u);
        fputc('\n', to);
    }
    return nr_csv_done(to, err);
}
