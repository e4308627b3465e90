/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What decides between columns that speak for one channel: the plane of a sun's sensor, words of a
 * name of one's own, the same readings in another unit; and what is left alone: channels that are
 * stated, columns without a head beside those that the user named. */
#include "logger/import/match.h"
#include "tests/unit/import/tables.h"

static looked l;
static nr_rig rig;
static nr_match out;

static nr_code match(const char *text, const char *channels, const char *map)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(channels, strlen(channels), "rig.ini", NR_RIG_FOR_READINGS, &rig,
                               NULL, &err) == NR_OK,
                  "%s\n%s", err.text, channels);
    ck_assert_msg(read_times(&l, text, "", "", "UTC") == NR_OK, "%s\n%s", l.err.text, text);
    return nr_match_columns(&l.table, &l.plan, &rig, map ? &map : NULL, map != NULL, &out, &l.said,
                            &l.err);
}

static void got(const char *text, size_t channel, size_t column, const char *why)
{
    const nr_matched *m = &out.of[channel];
    ck_assert_msg(m->column == column, "%s: channel %zu has column %zu (%s): %s", text, channel,
                  m->column, m->why, l.err.text);
    ck_assert_msg(!why || strcmp(m->why, why) == 0, "%s: %s", text, m->why);
}

/* Of two columns of irradiance, the one in the sensor's own plane. */
START_TEST(planes)
{
    static const char *const level[] = {"horizontal", "GHI", "global"}, *const sloped[] = {
                                                                            "POA",    "GTI",
                                                                            "tilted", "inclined",
                                                                            "plane",  "tilt"};
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 6; k++)
            for (int turned = 0; turned < 2; turned++)
                for (int flat = 0; flat < 2; flat++) {
                    char text[300], channels[100];
                    snprintf(text, sizeof text,
                             "Time,Irradiance %s (W/m2),Irradiance %s (W/m2)\n"
                             "2026-05-16 10:15,700,800\n2026-05-16 10:16,700,800\n",
                             turned ? sloped[k] : level[i], turned ? level[i] : sloped[k]);
                    snprintf(channels, sizeof channels, "[channel sun]\nunit = W_m2\n%s",
                             flat ? "plane = horizontal\n" : "");
                    ck_assert_msg(match(text, channels, NULL) == NR_OK, "%s%s", text, l.err.text);
                    got(text, 0, turned == flat ? 2 : 1, NULL);
                    forget(&l);
                }
}
END_TEST

/* What the rig states instead of measuring it takes no column, even under its very name. */
START_TEST(stated)
{
    static const char text[] = "Time,air (C),store (C)\n2026-05-16 10:15,20,30\n"
                               "2026-05-16 10:16,20,30\n",
                      measured[] = "[channel store]\nunit = degC\n[channel air]\nunit = degC\n",
                      known[] = "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
                                "convert = stated\nvalue = 20\n";
    ck_assert(match(text, measured, NULL) == NR_OK);
    got(text, 0, 2, "its name");
    got(text, 1, 1, "its name");
    forget(&l);
    ck_assert(match(text, known, NULL) == NR_OK);
    got(text, 0, 2, "its name");
    got(text, 1, NR_NO_COLUMN, "");
    forget(&l);
}
END_TEST

/* Without a head the units of the cells tell columns apart, unless the user began to name them. */
START_TEST(without_a_head)
{
    static const char rows[] = "2026-05-16 10:15,20.5 C,700 W/m2\n2026-05-16 10:16,20.6 C,701 "
                               "W/m2\n",
                      headed[] = "Time,Probe 1,Probe 2\n2026-05-16 10:15,20.5 C,700 W/m2\n"
                                 "2026-05-16 10:16,20.6 C,701 W/m2\n",
                      two[] = "[channel store]\nunit = degC\n[channel sun]\nunit = W_m2\n";
    for (int head = 0; head < 2; head++)
        for (int map = 0; map < 2; map++) {
            const char *text = head ? headed : rows;
            ck_assert_msg(match(text, two, map ? "2=store" : NULL) == NR_OK, "%s", l.err.text);
            got(text, 0, 1, map ? "--map" : "the only column of this kind that is left");
            got(text, 1, head || !map ? 2 : NR_NO_COLUMN, NULL);
            forget(&l);
        }
}
END_TEST

/* Channels of no role by all the words of their names, in any order; not by some of them. */
START_TEST(names_of_ones_own)
{
    static const char *const words[] = {"shed", "north", "loft", "barrel", "lower", "upper"};
    for (size_t a = 0; a < 6; a++)
        for (size_t b = 0; b < 6; b++) {
            char text[300], channels[200];
            size_t c = (a + 1) % 6 == b ? (a + 2) % 6 : (a + 1) % 6;
            if (a == b)
                continue;
            snprintf(channels, sizeof channels,
                     "[channel %s-%s]\nunit = degC\n[channel %s-%s]\nunit = degC\n", words[a],
                     words[b], words[c], words[a]);
            snprintf(text, sizeof text,
                     "Time,%s %s (C),%s (%s) %s,x (kPa)\n2026-05-16 10:15,20,30,40\n"
                     "2026-05-16 10:16,20,30,40\n",
                     words[a], words[c], words[b], "C", words[a]);
            ck_assert_msg(match(text, channels, NULL) == NR_OK, "%s%s%s", text, channels,
                          l.err.text);
            got(text, 0, 2, "the words of its name");
            got(text, 1, 1, "the words of its name");
            forget(&l);
        }
}
END_TEST

/* Two columns are one quantity in two units where every row agrees within 0.6 K, of two rows and
 * more. (68 degF are 20 degC: the exact definition, 1.8 degF a kelvin.) */
START_TEST(the_same_in_another_unit)
{
    static const struct {
        double apart_K[3]; /* row by row; NAN: the second one's cell is empty */
        bool same;
    } of[] = {{{0, 0, 0}, true},      {{0.59, -0.59, 0}, true}, {{0, 0.61, 0}, false},
              {{0, 0, -0.61}, false}, {{0, 0, NAN}, true},      {{0, NAN, NAN}, false},
              {{NAN, NAN, 0}, false}, {{0.61, NAN, NAN}, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int other = 0; other < 2; other++) {
            char text[400];
            size_t used =
                (size_t)snprintf(text, sizeof text, "Time,Tank (C),Tank (%s)\n", other ? "F" : "C");
            for (int r = 0; r < 3; r++) {
                double degC = 20 + r + of[i].apart_K[r];
                used += (size_t)snprintf(text + used, sizeof text - used, "2026-05-16 10:%d,%d,",
                                         15 + r, 20 + r);
                if (!isnan(degC))
                    used += (size_t)snprintf(text + used, sizeof text - used, "%.3f",
                                             other ? 32 + 1.8 * degC : degC);
                used += (size_t)snprintf(text + used, sizeof text - used, "\n");
            }
            nr_code code = match(text, "[channel store]\nunit = degC\n", NULL);
            bool same = of[i].same && other; /* twice in one unit they are two sensors */
            ck_assert_msg(code == (other ? NR_OK : NR_BAD), "%zu, %d: %s", i, other, l.err.text);
            ck_assert_msg(was_said(&l,
                                   "\"Tank (F)\" is the same as column 2 in another unit and is "
                                   "left out") == same,
                          "%zu, %d", i, other);
            if (other) /* the channel's own unit goes before another */
                got(text, 0, 1, NULL);
            else
                ck_assert_ptr_nonnull(strstr(l.err.text, "two columns can be the channel store"));
            forget(&l);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        planes, stated, without_a_head, names_of_ones_own, the_same_in_another_unit, NULL};
    return run_tests("match_rivals", tests);
}
