/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit budget` as text and as CSV. */
#include "analyze/show/budget.h"
#include "analyze/show/lines.h"
#include "analyze/tell/budget.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <csv.h>

#include <math.h>
#include <string.h>

/* Inputs with a smaller share of the variance are summed up in one line. */
#define SHARE_WORTH_A_LINE 0.0005

static nr_shown shown_of(nr_budget_of of)
{
    switch (of) {
    case NR_BUDGET_A1:
        return NR_SHOWN_COLLECTOR_LOSS;
    case NR_BUDGET_A5:
        return NR_SHOWN_CAPACITY;
    case NR_BUDGET_STORE_LOSS:
        return NR_SHOWN_STORE_LOSS;
    case NR_BUDGET_STAGNATION:
        return NR_SHOWN_DIFFERENCE;
    default:
        return NR_SHOWN_NUMBER;
    }
}

static const char *dof_text(double dof, char text[NR_ROUNDED])
{
    return isinf(dof) ? "inf" : nr_round_text(dof, 0, text);
}

/* Estimate, u and factor of the unit an input is shown in: "3.0 %". */
static void input_text(const nr_budget_row *r, nr_units units, char estimate[NR_ROUNDED],
                       char u[NR_ROUNDED], const char **unit)
{
    double scale;
    nr_shown what = nr_shown_of_unit(r->unit, &scale);
    *unit = what == NR_SHOWN_NUMBER ? r->unit : nr_display_of(what, units)->plain;
    double shown_u = nr_display_difference(what, units, r->u * scale);
    if (isnan(r->estimate)) {
        estimate[0] = '\0';
        nr_plain_text(shown_u, 2, u);
    } else {
        nr_round_pair(nr_display_difference(what, units, r->estimate * scale), shown_u, estimate, u,
                      NR_ROUNDED);
    }
}

static void row(FILE *to, const nr_gum_budget *b, const nr_budget_row *r, nr_units units)
{
    char estimate[NR_ROUNDED] = "", u[NR_ROUNDED] = "", dof[NR_ROUNDED], c[NR_ROUNDED],
         share[NR_ROUNDED];
    const char *unit = "";
    if (!r->type_a)
        input_text(r, units, estimate, u, &unit);
    fputs("  ", to);
    nr_padded(to, r->label, 32);
    double contribution = nr_display_difference(shown_of(b->of), units, r->contribution);
    fprintf(to, " %c%c %4s %8s %6s", r->type_a ? 'A' : 'B', r->type_a || r->stated ? ' ' : '*',
            dof_text(r->degrees_of_freedom, dof), nr_plain_text(contribution, 2, c),
            nr_round_text(100 * r->share, 1, share));
    if (r->type_a)
        fputs("  (in the result)\n", to);
    else {
        char words[160];
        (void)snprintf(words, sizeof words, "%s +- %s%s%s", estimate, u, unit[0] ? " " : "", unit);
        /* What is too long for the line has one of its own. */
        fprintf(to, strlen(words) > 80 - 60 ? "\n%80s\n" : "  %s\n", words);
    }
}

static void rest(FILE *to, const nr_gum_budget *b, nr_units units)
{
    double squares = 0, share = 0;
    int count = 0;
    char c[NR_ROUNDED], s[NR_ROUNDED], label[40];
    for (size_t i = 0; i < b->rows; i++) {
        if (b->row[i].share >= SHARE_WORTH_A_LINE)
            continue;
        count++;
        squares += b->row[i].contribution * b->row[i].contribution;
        share += b->row[i].share;
    }
    if (!count)
        return;
    (void)snprintf(label, sizeof label, "%d more, together", count);
    fputs("  ", to);
    nr_padded(to, label, 32);
    fprintf(to, " %7s %8s %6s\n", "",
            nr_plain_text(nr_display_difference(shown_of(b->of), units, sqrt(squares)), 2, c),
            nr_round_text(100 * share, 1, s));
}

static void one(FILE *to, const nr_gum_budget *b, nr_units units)
{
    char text[NR_TELL];
    nr_tell_budget(text, sizeof text, b, shown_of(b->of), units);
    nr_paragraph(to, "", text);
    fprintf(to, "\n  %-32s %-2s %4s %8s %6s  %s\n", "input", "", "dof", "u(y)", "% var",
            "estimate and its u");
    for (size_t i = 0; i < b->rows; i++)
        if (b->row[i].share >= SHARE_WORTH_A_LINE)
            row(to, b, &b->row[i], units);
    rest(to, b, units);
}

void nr_show_budget(FILE *to, const nr_gum_budget *b, size_t count, const nr_monte_carlo *check,
                    nr_units units)
{
    char text[NR_TELL];
    for (size_t i = 0; i < count; i++) {
        one(to, &b[i], units);
        fputc('\n', to);
    }
    nr_tell_budget_columns(text, sizeof text);
    nr_paragraph(to, "", text);
    for (size_t i = 0; check && check->trials && i < count; i++) {
        nr_tell_budget_check(text, sizeof text, &b[i], check, shown_of(b[i].of), units);
        nr_paragraph(to, "", text);
    }
}

/* ---- CSV ---- */

static void text_cell(FILE *to, const char *text, const char *end)
{
    (void)csv_fwrite(to, text, strlen(text));
    fputs(end, to);
}

static void number_cell(FILE *to, double value, const char *end)
{
    if (isinf(value))
        fputs("inf", to);
    else if (!isnan(value))
        fprintf(to, "%.9g", value);
    fputs(end, to);
}

static void csv_row(FILE *to, const nr_gum_budget *b, const nr_budget_row *r)
{
    text_cell(to, nr_budget_of_name(b->of), ",");
    text_cell(to, r->label, ",");
    text_cell(to, r->channel, ",");
    text_cell(to, r->key, ",");
    number_cell(to, r->estimate, ",");
    number_cell(to, r->type_a ? NAN : r->u, ",");
    text_cell(to, r->type_a ? "" : r->unit, ",");
    text_cell(to, r->type_a ? "t" : "normal", ",");
    text_cell(to, r->type_a ? "A" : "B", ",");
    text_cell(to, r->type_a ? "" : r->stated ? "stated" : "assumed", ",");
    number_cell(to, r->degrees_of_freedom, ",");
    number_cell(to, r->type_a ? NAN : r->sensitivity, ",");
    number_cell(to, r->contribution, ",");
    number_cell(to, r->share, "\r\n");
}

void nr_csv_budget(FILE *to, const nr_gum_budget *b, size_t count)
{
    fputs("result,input,channel,belongs_to,estimate,u,unit,distribution,type,source,"
          "degrees_of_freedom,sensitivity,contribution,share\r\n",
          to);
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < b[i].rows; k++)
            csv_row(to, &b[i], &b[i].row[k]);
        text_cell(to, nr_budget_of_name(b[i].of), ",");
        text_cell(to, "combined", ",");
        fputs("\"\",\"\",", to);
        number_cell(to, b[i].result.value, ",");
        number_cell(to, b[i].result.u, ",");
        text_cell(to, nr_unit_word(b[i].result.unit), ",");
        fputs("\"t\",\"\",\"\",", to);
        number_cell(to, b[i].degrees_of_freedom, ",1,");
        number_cell(to, b[i].result.u, ",1\r\n");
    }
}
