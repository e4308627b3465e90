/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known beforehand of a collector: for rig files and records drawn at random the rules of
 * analyze/joint/terms_collector.c, which are decisions with their reasons there, worked out once
 * more; floors and limits from both sides. */
#include "tests/unit/joint/asked.h"

#define DRAWS 60

static int draw_glazing(const asked *a, unsigned long long *s)
{
    int covers = (int)ONE_OF(s, 0, 1, 2);
    a->rig->collector.glazing = covers == 0   ? NR_GLAZING_NONE
                                : covers == 1 ? NR_GLAZING_SINGLE
                                              : NR_GLAZING_DOUBLE;
    return covers;
}

/* Fewer than sixty rows, read seldom, are held by what such collectors usually lose: half of that,
 * and with the container's loss where that is not told apart. */
START_TEST(a_loss)
{
    asked a;
    unsigned long long s = 11;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        int covers = draw_glazing(&a, &s);
        double kg = 10 + 40 * chance(&s), area = 0.5 + 2 * chance(&s);
        bool few = half(&s), sparse = half(&s), separate = half(&s);
        a.series->rows = few ? 59 : 60;
        a.series->sparse = sparse;
        a.series->water_kg = kg;
        a.rig->collector.gross_area_m2.value = area;
        a.joint->store_loss_separate[0] = separate;
        ck_assert(ask(&a, NR_TERM_LOSS, &p));
        double usual = covers == 0 ? 14 : covers == 1 ? 6 : 4;
        double container = separate ? 0 : 2 * pow(kg / 20, 2.0 / 3) / area;
        bool by_kind = few && sparse;
        same_prior("loss", &p, by_kind ? usual + container : 10,
                   by_kind ? hypot(usual / 2, container) : 20, !by_kind);
        ck_assert_int_eq(p.variant, by_kind);
    }
    asked_close(&a);
}
END_TEST

START_TEST(heats_and_area)
{
    asked a;
    unsigned long long s = 12;
    asked_open(&a);
    for (int k = 0; k < 2 * DRAWS; k++) {
        nr_prior p;
        nr_rig_collector *c = &a.rig->collector;
        asked_reset(&a);
        double area = 0.5 + 2 * chance(&s), area_u = ONE_OF(&s, NAN, 0, 0.02);
        double heat = ONE_OF(&s, 0, 9000), heat_u = ONE_OF(&s, NAN, 9, 900);
        double kg = ONE_OF(&s, 0, 1.5), kg_u = ONE_OF(&s, NAN, 0.015, 0.3);
        bool told = half(&s), weighed = half(&s), length = half(&s), bore = half(&s);
        state(&c->gross_area_m2, true, area, area_u);
        ck_assert(ask(&a, NR_TERM_AREA, &p));
        same_prior("area", &p, 0, isnan(area_u) ? 0.01 : fmax(area_u / area, 1e-6), !isnan(area_u));
        state(&c->heat_capacity_J_K, told, heat, heat_u);
        ck_assert(ask(&a, NR_TERM_LN_CAPACITY, &p));
        if (told && heat > 0)
            same_prior("heat", &p, log(heat / area),
                       isnan(heat_u) ? 0.2 : fmax(heat_u / heat, 0.01), !isnan(heat_u));
        else
            same_prior("heat", &p, log(10000), 0.6, false);
        state(&c->fluid_kg, weighed, kg, kg_u);
        state(&c->tube_length_m, length, 20, NAN);
        state(&c->tube_bore_mm, bore, 10, NAN);
        ck_assert(ask(&a, NR_TERM_LN_FLUID, &p));
        double cp = a.series->cp_J_kgK;
        if (weighed && kg > 0)
            same_prior("fluid", &p, log(kg * cp), isnan(kg_u) ? 0.3 : fmax(kg_u / kg, 0.02),
                       !isnan(kg_u));
        else if (length && bore) /* a litre to the kilogram */
            same_prior("fluid", &p, log(M_PI * 0.005 * 0.005 * 20 * 1000 * cp), 0.3, false);
        else
            same_prior("fluid", &p, log(area / 2 * cp), 0.7, false);
    }
    asked_close(&a);
}
END_TEST

START_TEST(cover_wind_and_angle)
{
    static double angle[1], modifier[1], wind[1];
    asked a;
    unsigned long long s = 13;
    asked_open(&a);
    for (int k = 0; k < 2 * DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        int covers = draw_glazing(&a, &s);
        ck_assert(ask(&a, NR_TERM_ROOT_COVER, &p) == (covers > 0));
        if (covers)
            same_prior("cover", &p, covers == 1 ? 60 : 105, covers == 1 ? 18 : 25, false);
        a.series->wind_sd_m_s = ONE_OF(&s, NAN, 0.1, 0.101, 1);
        bool varies = a.series->wind_sd_m_s > 0.1;
        ck_assert(ask(&a, NR_TERM_WIND, &p) == varies);
        if (varies)
            same_prior("wind", &p, 1, 2, false);
        ck_assert(ask(&a, NR_TERM_WIND_GAIN, &p) == (varies && covers == 0));
        same_prior("wind on the gain", &p, 0, 0.007, false);
        a.part->wind_m_s = half(&s) ? wind : NULL;
        ck_assert(ask(&a, NR_TERM_LOSS_TREND, &p) == (covers == 0 && !a.part->wind_m_s));
        same_prior("a wind that rises", &p, 0, 0.16, false);
        same_ask("a wind that rises", &p, "a channel wind");
        a.part->obliquity = half(&s) ? angle : NULL;
        a.part->iam = half(&s) ? modifier : NULL;
        double b0 = ONE_OF(&s, 0, 0.12), u = ONE_OF(&s, NAN, 0, 0.02);
        bool told = half(&s);
        state(&a.rig->collector.iam_b0, told, b0, u);
        double is = told ? b0 : covers == 0 ? 0 : covers == 1 ? 0.1 : 0.17;
        double known = told && !isnan(u) ? u : is > 0 ? 0.05 : 0;
        bool angles = a.part->obliquity && !a.part->iam;
        ck_assert(ask(&a, NR_TERM_B0, &p) == (angles && known > 0));
        if (angles)
            same_prior("b0", &p, is, known, told && !isnan(u));
    }
    asked_close(&a);
}
END_TEST

START_TEST(sky_and_diffuse_light)
{
    static double sky[1], diffuse[1];
    asked a;
    unsigned long long s = 14;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        int covers = draw_glazing(&a, &s);
        a.part->sky_W_m2 = half(&s) ? sky : NULL;
        a.part->diffuse = half(&s) ? diffuse : NULL;
        a.piece->driven = half(&s);
        ck_assert(ask(&a, NR_TERM_SKY, &p) == (a.part->sky_W_m2 != NULL));
        if (a.part->sky_W_m2)
            same_prior("sky", &p, covers ? 0.1 : 0.8, covers ? 0.1 : 0.25, false);
        bool acts = a.piece->driven && covers && !(a.part->sky_W_m2 && a.part->diffuse);
        double value = (a.part->diffuse ? 0 : 11) + (a.part->sky_W_m2 ? 0 : 20);
        double of_light = a.part->diffuse ? 0 : 8, of_pane = a.part->sky_W_m2 ? 0 : 12;
        ck_assert(ask(&a, NR_TERM_ASIDE, &p) == acts);
        same_prior("aside", &p, acts ? value : 0, hypot(of_light, of_pane), false);
    }
    asked_close(&a);
}
END_TEST

START_TEST(the_board_behind)
{
    asked a;
    unsigned long long s = 15;
    asked_open(&a);
    for (int k = 0; k < 2 * DRAWS; k++) {
        nr_prior p, gap;
        nr_rig_collector *c = &a.rig->collector;
        asked_reset(&a);
        double heat = ONE_OF(&s, 0, 9000), u = ONE_OF(&s, NAN, 9, 900), area = 0.5 + chance(&s);
        bool told = half(&s), none = half(&s), without = half(&s);
        state(&c->gross_area_m2, true, area, NAN);
        state(&c->back_heat_capacity_J_K, told, heat, u);
        c->back.kind = none ? NR_BACK_NONE : NR_BACK_UNKNOWN;
        a.joint->options.no_back = without;
        bool known = told || none, has = told ? heat > 0 : !none && !without;
        ck_assert(ask(&a, NR_TERM_LN_BACK, &p) == has);
        ck_assert(ask(&a, NR_TERM_LN_GAP, &gap) == has);
        same_ask("board", &p, known ? NULL : "back in [collector]");
        same_ask("gap", &gap, known ? NULL : "back in [collector]");
        same_prior("gap", &gap, log(3), known ? 0.7 : 1, false);
        if (!has)
            ck_assert(p.value == -INFINITY);
        else if (told)
            same_prior("board", &p, log(heat / area), isnan(u) ? 0.2 : fmax(u / heat, 0.01),
                       !isnan(u));
        else
            same_prior("board", &p, log(7000), 0.6, false);
    }
    asked_close(&a);
}
END_TEST

START_TEST(what_began_wet)
{
    asked a;
    asked_open(&a);
    for (int k = 0; k < 6; k++) {
        nr_prior p, dries;
        asked_reset(&a);
        nr_dew said = (nr_dew[]){NR_DEW_UNKNOWN, NR_DEW_NO, NR_DEW_YES}[k % 3];
        nr_part later = *a.part;
        bool wet = said != NR_DEW_NO && k < 3;
        a.rig->collector.dew = said;
        a.piece->part = k < 3 ? a.part : &later; /* only what begins the record */
        ck_assert(ask(&a, NR_TERM_DEW, &p) == wet);
        ck_assert(ask(&a, NR_TERM_LN_DRIES, &dries) == wet);
        same_prior("dew", &p, !wet ? 0 : said == NR_DEW_YES ? 0.2 : 0.05, 0.1, false);
        same_prior("dries", &dries, log(900), 0.46, false);
        same_ask("dew", &p, said == NR_DEW_UNKNOWN ? "dew in [collector]" : NULL);
    }
    asked_close(&a);
}
END_TEST

/* What holds for every collector. */
START_TEST(the_same_for_all)
{
    asked a;
    nr_prior p;
    asked_open(&a);
    ck_assert(ask(&a, NR_TERM_OPTICAL, &p));
    same_prior("gain", &p, 0.7, 0.5, true);
    ck_assert(ask(&a, NR_TERM_LN_EXCHANGE, &p));
    same_prior("exchange", &p, log(60), 0.8, false);
    ck_assert(ask(&a, NR_TERM_LOSS2, &p));
    same_prior("bend", &p, 0.015, 0.015, false);
    asked_close(&a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        a_loss,           heats_and_area, cover_wind_and_angle, sky_and_diffuse_light,
        the_board_behind, what_began_wet, the_same_for_all,     NULL};
    return run_tests("priors_collector", tests);
}
