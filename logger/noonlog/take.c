/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/take.h"

#include "logger/base/text.h"
#include "logger/import/keep.h"
#include "logger/import/moment.h"
#include "logger/import/number.h"
#include "logger/import/zone.h"
#include "logger/record/begin.h"
#include "logger/record/clock.h"
#include "logger/record/hand_rows.h"
#include "logger/record/rebuild.h"
#include "logger/record/stamp.h"
#include "logger/run/by_hand.h"
#include "logger/run/file.h"
#include "logger/run/folder.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define DAY_S 86400.0

double nr_take_now(void)
{
    nr_now now;
    nr_clock_system.now(NULL, &now);
    return now.utc_s;
}

void nr_take_clock(double utc_s, char *out, size_t size)
{
    time_t at = (time_t)floor(utc_s), now = (time_t)nr_take_now();
    struct tm local, today;
    out[0] = '\0';
    if (!localtime_r(&at, &local) || !localtime_r(&now, &today))
        return;
    bool same_day = local.tm_year == today.tm_year && local.tm_yday == today.tm_yday;
    strftime(out, size, same_day ? "%H:%M:%S" : "%Y-%m-%d %H:%M:%S", &local);
}

/* --- understood ------------------------------------------------------------------------------- */

static nr_code no_channel(const nr_rig *rig, const char *name, nr_err *err)
{
    char list[400] = "", shown[80];
    nr_clean(shown, sizeof shown, name, strlen(name));
    for (size_t i = 0; i < rig->channels; i++) {
        size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i > 0 ? ", " : "", rig->channel[i].name);
    }
    return nr_fail(err, NR_BAD, NULL, 0, "the rig has no channel \"%s\"; it has: %s", shown, list);
}

/* Numbers that are degF more likely than the degC they are taken for, and jumps. */
static void doubt(const nr_rig_channel *channel, bool bare, nr_taken *t)
{
    const char *role = channel->role[0] ? channel->role : channel->name;
    bool water = strcmp(role, "store") == 0 || strcmp(role, "inlet") == 0;
    bool air = strcmp(role, "air") == 0;
    bool in_degC = strcmp(t->unit, "degC") == 0;
    const nr_unit *unit = nr_unit_find(t->unit);
    double degC = unit ? nr_unit_to_canonical(unit, t->value) : t->value;
    if (bare && in_degC && ((water && t->value > 60) || (air && t->value > 48)))
        snprintf(t->doubt, sizeof t->doubt,
                 "%s: %.4g was taken as degC, as the channel is. If your thermometer shows degF, "
                 "take it again at the same time: %s=%.4gF",
                 t->channel, t->value, t->channel, t->value);
    else if (bare && strcmp(t->unit, "degF") == 0 && (water || air) && t->value < 32)
        snprintf(t->doubt, sizeof t->doubt,
                 "%s: %.4g was taken as degF, as the channel is. If your thermometer shows degC, "
                 "take it again at the same time: %s=%.4gC",
                 t->channel, t->value, t->channel, t->value);
    else if ((water && (degC > 105 || degC < -5)) || (air && (degC > 60 || degC < -45)))
        snprintf(t->doubt, sizeof t->doubt,
                 "%s: %.4g %s cannot well be; a wrong reading is corrected by taking it again at "
                 "the same time",
                 t->channel, t->value, unit ? unit->label : t->unit);
    else if (isfinite(t->before) && (water || air) &&
             fabs(t->value - t->before) > (in_degC ? 25 : 45))
        snprintf(t->doubt, sizeof t->doubt,
                 "%s: that is far from the %.4g before; a wrong one is corrected by taking it "
                 "again at the same time",
                 t->channel, t->before);
}

nr_code nr_take_parse(const char *text, const nr_rig *rig, const nr_take_last *last, nr_taken *out,
                      nr_err *err)
{
    char copy[300];
    nr_stated_unit unit;
    *out = (nr_taken){.before = NAN};
    char *cut = nr_copy(copy, sizeof copy, text) ? strchr(copy, '=') : NULL;
    if (!cut)
        return nr_fail(err, NR_BAD, NULL, 0, "\"%.60s\": wants CHANNEL=VALUE, such as store=64F",
                       text);
    *cut++ = '\0';
    const nr_rig_channel *channel = nr_rig_channel_find(rig, nr_trim(copy));
    if (!channel)
        return no_channel(rig, copy, err);
    if (!nr_number_of(nr_trim(cut), '.', &out->value, &unit) &&
        !nr_number_of(cut, ',', &out->value, &unit))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "%s: \"%.60s\" is no reading; wants a number, such as %s", channel->name,
                       cut,
                       channel->unit->dimension == NR_DIM_TEMPERATURE ? "64F or 17.8C" : "850");
    const nr_unit *of = channel->unit;
    if (unit.measure != NR_MEASURE_NONE &&
        (!unit.unit || unit.unit->dimension != channel->unit->dimension))
        return nr_fail(err, NR_BAD, NULL, 0, "%s: \"%.60s\": its units are %s", channel->name, cut,
                       channel->unit->dimension == NR_DIM_NONE
                           ? channel->unit->name
                           : nr_unit_names(channel->unit->dimension));
    if (unit.unit)
        of = unit.unit;
    nr_copy(out->channel, sizeof out->channel, channel->name);
    nr_copy(out->unit, sizeof out->unit, of->name);
    double before = last->value[channel - rig->channel];
    out->before = isfinite(before) ? nr_unit_from_canonical(of, before) : NAN;
    doubt(channel, unit.measure == NR_MEASURE_NONE, out);
    return NR_OK;
}

nr_code nr_take_time(const char *text, double now_utc_s, double *utc_s, nr_err *err)
{
    nr_moment m;
    nr_zone zone;
    double found[2], offset[2];
    if (!nr_moment_read(text, &m) || !m.has_time || (m.has_date && !m.sure))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "--at \"%.40s\": wants a time like 11:05 or \"2026-05-16 11:05\"", text);
    nr_code code = nr_zone_find(NULL, &zone, err);
    if (code != NR_OK)
        return code;
    if (m.has_offset && m.has_date) {
        *utc_s = nr_days_s(m.year, m.month, m.day) + nr_moment_time_s(&m) - m.offset_s;
        return NR_OK;
    }
    /* Today's date by the zone's clocks. */
    double local_now = now_utc_s;
    if (nr_zone_utc(&zone, now_utc_s, offset) > 0)
        local_now = now_utc_s + (now_utc_s - offset[0]);
    double day = m.has_date ? nr_days_s(m.year, m.month, m.day) : floor(local_now / DAY_S) * DAY_S;
    for (int i = 0; i < 2; i++) {
        if (nr_zone_utc(&zone, day + nr_moment_time_s(&m), found) == 0)
            return nr_fail(err, NR_BAD, NULL, 0, "--at %.40s never was in %s: clocks went forward",
                           text, zone.name);
        *utc_s = found[0];
        if (m.has_date || *utc_s < now_utc_s + 60)
            break;
        day -= DAY_S; /* later than now: it was yesterday's */
    }
    return *utc_s < now_utc_s + 60
               ? NR_OK
               : nr_fail(err, NR_BAD, NULL, 0, "--at %.40s is still to come", text);
}

nr_code nr_take_belongs(const char *folder, const char *text, double at_utc_s, double last_utc_s,
                        nr_err *err)
{
    char last[40];
    nr_moment m = {0};
    time_t at = isfinite(last_utc_s) ? (time_t)last_utc_s : 0;
    struct tm local;
    double apart_s = fabs(at_utc_s - last_utc_s);
    if (!isfinite(last_utc_s) || apart_s <= DAY_S || !localtime_r(&at, &local))
        return NR_OK;
    strftime(last, sizeof last, "%Y-%m-%d", &local);
    if (text && nr_moment_read(text, &m) && !m.has_date)
        return nr_fail(err, NR_BAD, folder, 0,
                       "--at %.40s: of which day? The reading before is of %s; give the date: --at "
                       "\"%s %.40s\"",
                       text, last, last, text);
    if (apart_s > NR_PAUSE_MOST_S)
        return nr_fail(err, NR_BAD, folder, 0,
                       "the reading before is of %s, %.0f days apart: a run is one test; take this "
                       "one into another folder, or say when it was: --at \"%s 11:05\"",
                       last, apart_s / DAY_S, last);
    return NR_OK;
}

/* --- written ---------------------------------------------------------------------------------- */

nr_code nr_take_begin(const char *folder, const nr_rig *rig, const char *rig_text, size_t length,
                      double at_utc_s, nr_err *err)
{
    nr_begun begun;
    char path[NR_ERR_FILE];
    nr_now now = {.utc_s = at_utc_s};
    nr_code code = nr_begin_new(folder, rig, rig_text, length, &now, &begun, err);
    if (code != NR_OK)
        return code;
    begun.state.pid = 0;
    begun.state.boot_id[0] = '\0';
    begun.state.ended = true;
    nr_state_write(begun.lock_fd, &begun.state);
    nr_begun_end(&begun);
    if (nr_path_in(folder, NR_ADAPTER_LOG_FILE, path, NULL) == NR_OK)
        unlink(path); /* nothing comes over a wire */
    return NR_OK;
}

static nr_code hands_of(const char *folder, nr_by_hand_list *list, nr_err *err)
{
    char path[NR_ERR_FILE];
    *list = (nr_by_hand_list){0};
    nr_code code = nr_path_in(folder, NR_BY_HAND_FILE, path, err);
    return code == NR_OK ? nr_by_hand_read(path, list, err) : code;
}

nr_code nr_take_last_read(const char *folder, const nr_rig *rig, nr_take_last *out, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_readings *readings = NULL;
    nr_by_hand_list list;
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        out->value[c] = NAN;
    out->utc_s = NAN;
    /* No rows yet, or a recorder in the middle of one: then there is nothing to compare with. */
    if (nr_path_in(folder, NR_READINGS_FILE, path, NULL) == NR_OK &&
        nr_readings_read(path, &readings, NULL) == NR_OK) {
        for (size_t c = 0; c < rig->channels; c++) {
            nr_values numbers = nr_readings_values(readings, rig->channel[c].name);
            bool there = nr_values_there(&numbers);
            nr_cursor v;
            nr_cursor_begin(&v, &numbers);
            for (size_t r = readings->rows; there && r-- > 0 && !isfinite(out->value[c]);)
                out->value[c] = nr_at(&v, r);
        }
        nr_values utc = nr_readings_utc(readings);
        if (readings->rows > 0)
            out->utc_s = nr_number(&utc, readings->rows - 1);
        nr_readings_free(readings);
    }
    nr_code code = hands_of(folder, &list, err);
    for (size_t i = 0; i < list.count; i++)
        for (size_t c = 0; c < rig->channels; c++) {
            const nr_unit *unit = nr_unit_find(list.reading[i].unit);
            if (unit && strcmp(rig->channel[c].name, list.reading[i].channel) == 0)
                out->value[c] = nr_unit_to_canonical(unit, list.reading[i].value);
        }
    for (size_t i = 0; i < list.count; i++)
        out->utc_s = fmax(out->utc_s, list.reading[i].utc_s); /* of NAN and a number the number */
    nr_by_hand_free(&list);
    return code;
}

/* Whole lines, at the end, synced. */
static nr_code append(const char *folder, const char *text, size_t length, bool fresh, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(folder, NR_BY_HAND_FILE, path, err);
    if (code != NR_OK)
        return code;
    int fd = open(path, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0644);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be written");
    off_t before = lseek(fd, 0, SEEK_END);
    bool good =
        !(fresh && before == 0) || write(fd, NR_BY_HAND_HEADER, strlen(NR_BY_HAND_HEADER)) ==
                                       (ssize_t)strlen(NR_BY_HAND_HEADER);
    good = good && write(fd, text, length) == (ssize_t)length && fsync(fd) == 0;
    int why = errno;
    if (!good && before >= 0 && ftruncate(fd, before) != 0)
        why = errno; /* a torn line is left out when it is read */
    close(fd);
    return good ? NR_OK : nr_fail_errno(err, NR_BAD, path, why, "the reading could not be kept");
}

static void mark_again(const nr_by_hand_list *list, nr_taken *taken, double at_utc_s)
{
    for (size_t k = 0; k < list->count; k++)
        if (strcmp(list->reading[k].channel, taken->channel) == 0 &&
            fabs(list->reading[k].utc_s - at_utc_s) < NR_HAND_AGAIN_S) {
            const nr_unit *is = nr_unit_find(list->reading[k].unit),
                          *shown = nr_unit_find(taken->unit);
            taken->again = true;
            if (strstr(taken->doubt, "far from"))
                taken->doubt[0] = '\0'; /* from the wrong one, of course */
            if (is && shown)
                taken->before =
                    nr_unit_from_canonical(shown, nr_unit_to_canonical(is, list->reading[k].value));
        }
}

static nr_code keep(const char *folder, nr_taken *taken, size_t count, double at_utc_s, nr_err *err)
{
    char text[NR_RIG_CHANNELS * 256];
    size_t used = 0;
    nr_by_hand_list list;
    nr_code code = hands_of(folder, &list, err);
    double now = nr_take_now();
    if (list.torn && code == NR_OK)
        text[used++] = '\n';
    for (size_t i = 0; i < count && code == NR_OK; i++) {
        nr_by_hand r = {.utc_s = at_utc_s, .taken_utc_s = now, .value = taken[i].value};
        nr_copy(r.channel, sizeof r.channel, taken[i].channel);
        nr_copy(r.unit, sizeof r.unit, taken[i].unit);
        mark_again(&list, &taken[i], at_utc_s);
        used += nr_by_hand_row(&r, text + used, sizeof text - used);
    }
    nr_by_hand_free(&list);
    return code == NR_OK ? append(folder, text, used, true, err) : code;
}

static nr_code write_note(const char *folder, double at_utc_s, const char *text, nr_err *err)
{
    nr_state state;
    nr_note note = {.kind = NR_NOTE_NOTE, .utc_s = at_utc_s};
    nr_code code = nr_state_read(folder, &state, err);
    if (code != NR_OK)
        return code;
    note.elapsed_s = fmax(at_utc_s - state.zero_utc_s, 0);
    nr_clean(note.text, sizeof note.text, text, strlen(text));
    return nr_stamp_write(folder, &note, err);
}

/* For `status`: how many rows there are now. */
static nr_code keep_state(const char *folder, const nr_rebuilt *rebuilt, nr_err *err)
{
    nr_state state;
    int fd = -1;
    if (nr_state_read(folder, &state, NULL) != NR_OK)
        return NR_OK;
    nr_code code = nr_state_lock(folder, &fd, err);
    state.rows = rebuilt->rows;
    state.last_row_s = rebuilt->last_elapsed_s;
    state.elapsed_s = fmax(state.elapsed_s, rebuilt->last_elapsed_s);
    if (code == NR_OK && !nr_state_write(fd, &state))
        code = nr_fail_errno(err, NR_BAD, folder, errno, "the state could not be written");
    if (fd >= 0)
        close(fd);
    return code;
}

nr_code nr_take_settle(const char *folder, const nr_rig *rig, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_rebuilt rebuilt;
    nr_code code = nr_path_in(folder, NR_BY_HAND_FILE, path, err);
    if (code != NR_OK || access(path, F_OK) != 0)
        return code;
    code = nr_import_is(folder) ? nr_import_rebuild(folder, rig, NULL, 0, &rebuilt, NULL, err)
                                : nr_rebuild(folder, rig, NULL, 0, &rebuilt, err);
    return code == NR_OK ? keep_state(folder, &rebuilt, err) : code;
}

nr_code nr_take_write(const char *folder, const nr_rig *rig, nr_taken *taken, size_t count,
                      double at_utc_s, const char *note, nr_take_result *out, nr_err *err)
{
    *out = (nr_take_result){.recording = nr_state_holder(folder) != 0};
    nr_code code = keep(folder, taken, count, at_utc_s, err);
    if (code == NR_OK && note)
        code = write_note(folder, at_utc_s, note, err);
    if (code == NR_OK && !out->recording)
        code = nr_take_settle(folder, rig, err);
    return code;
}
