/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/disk.h"

#include <errno.h>
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <time.h>

/* Enough for a path or two; a small computer has no megabytes to give away. */
#define STACK ((size_t)256 * 1024)

/* What a recording lives on changes slowly. */
#define LOOK_EVERY_S 30

/* What the thread is to do next. */
typedef struct wish {
    bool flush, sync, state, end;
} wish;

struct nr_disk {
    nr_append *log, *readings;
    nr_notebook *notes;
    int state_fd;
    pthread_t thread;
    bool looked; /* the thread's own */
    time_t looked_at_s;
    pthread_mutex_t lock;
    pthread_cond_t asked, answered;
    /* Under the lock. */
    wish wish;
    nr_state state;
    unsigned long begun, ended; /* syncs */
    bool fresh;                 /* answer was not picked up yet */
    nr_disk_answer answer;
};

/* A row never reaches its file before the line it was made of: rows that come while the log is
 * being written wait for the next time. (A row is added after its line.) */
static nr_disk_answer sync_all(nr_disk *d)
{
    size_t held = nr_append_waiting(d->readings);
    bool log = nr_append_sync(d->log, NR_APPEND_ALL);
    bool readings = nr_append_sync(d->readings, held);
    bool notes = nr_notebook_flush(d->notes);
    bool busy = !notes && d->notes->why == EWOULDBLOCK;
    return (nr_disk_answer){.confirmed = log && readings && notes,
                            .why = !readings         ? nr_append_errno(d->readings)
                                   : !log            ? nr_append_errno(d->log)
                                   : !notes && !busy ? d->notes->why
                                                     : 0};
}

static void flush_all(nr_disk *d)
{
    size_t held = nr_append_waiting(d->readings);
    nr_append_flush(d->log, NR_APPEND_ALL);
    nr_append_flush(d->readings, held);
    nr_notebook_flush(d->notes);
}

/* Now and then; NAN in between. */
static nr_supply look_at_supply(nr_disk *d)
{
    nr_supply supply = {.free_bytes = NAN, .battery_percent = NAN};
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (d->looked && now.tv_sec - d->looked_at_s < LOOK_EVERY_S)
        return supply;
    d->looked = true;
    d->looked_at_s = now.tv_sec;
    nr_supply_look(d->state_fd, NR_SUPPLY_FOLDER, &supply);
    return supply;
}

static void *work(void *context)
{
    nr_disk *d = context;
    pthread_mutex_lock(&d->lock);
    for (;;) {
        wish now = d->wish;
        if (!now.flush && !now.sync && !now.state) {
            if (now.end)
                break;
            pthread_cond_wait(&d->asked, &d->lock);
            continue;
        }
        nr_state state = d->state;
        d->wish = (wish){.end = now.end};
        d->begun += now.sync;
        pthread_mutex_unlock(&d->lock);
        nr_disk_answer answer = {0};
        if (now.flush || now.sync)
            flush_all(d);
        if (now.state)
            nr_state_write(d->state_fd, &state); /* its loss harms nothing: the next one comes */
        if (now.sync)
            answer = sync_all(d);
        if (now.sync)
            answer.supply = look_at_supply(d);
        pthread_mutex_lock(&d->lock);
        if (!now.sync)
            continue;
        d->answer = answer;
        d->fresh = true;
        d->ended++;
        pthread_cond_broadcast(&d->answered);
    }
    pthread_mutex_unlock(&d->lock);
    return NULL;
}

nr_code nr_disk_start(nr_append *log, nr_append *readings, nr_notebook *notes, int state_fd,
                      nr_disk **out, nr_err *err)
{
    pthread_attr_t small;
    nr_disk *d = calloc(1, sizeof *d);
    if (!d)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    *d = (nr_disk){.log = log, .readings = readings, .notes = notes, .state_fd = state_fd};
    pthread_mutex_init(&d->lock, NULL);
    pthread_cond_init(&d->asked, NULL);
    pthread_cond_init(&d->answered, NULL);
    pthread_attr_init(&small);
    pthread_attr_setstacksize(&small, STACK);
    int why = pthread_create(&d->thread, &small, work, d);
    pthread_attr_destroy(&small);
    if (why) {
        free(d);
        return nr_fail_errno(err, NR_BAD, NULL, why, "cannot start the thread that writes");
    }
    *out = d;
    return NR_OK;
}

static void ask(nr_disk *d, wish more)
{
    pthread_mutex_lock(&d->lock);
    d->wish.flush = d->wish.flush || more.flush;
    d->wish.sync = d->wish.sync || more.sync;
    d->wish.end = d->wish.end || more.end;
    pthread_cond_signal(&d->asked);
    pthread_mutex_unlock(&d->lock);
}

void nr_disk_flush(nr_disk *d)
{
    ask(d, (wish){.flush = true});
}

void nr_disk_sync(nr_disk *d)
{
    pthread_mutex_lock(&d->lock);
    if (d->begun == d->ended) {
        d->wish.sync = true;
        pthread_cond_signal(&d->asked);
    }
    pthread_mutex_unlock(&d->lock);
}

void nr_disk_state(nr_disk *d, const nr_state *state)
{
    pthread_mutex_lock(&d->lock);
    d->state = *state;
    d->wish.state = true;
    pthread_cond_signal(&d->asked);
    pthread_mutex_unlock(&d->lock);
}

bool nr_disk_answered(nr_disk *d, nr_disk_answer *out)
{
    pthread_mutex_lock(&d->lock);
    bool fresh = d->fresh;
    d->fresh = false;
    *out = d->answer;
    pthread_mutex_unlock(&d->lock);
    return fresh;
}

nr_disk_answer nr_disk_settle(nr_disk *d)
{
    pthread_mutex_lock(&d->lock);
    /* One under way may have begun before the last rows came: another after it. */
    unsigned long wanted = d->begun + 1;
    d->wish.sync = true;
    pthread_cond_signal(&d->asked);
    while (d->ended < wanted)
        pthread_cond_wait(&d->answered, &d->lock);
    d->fresh = false;
    nr_disk_answer answer = d->answer;
    pthread_mutex_unlock(&d->lock);
    return answer;
}

void nr_disk_stop(nr_disk *d)
{
    if (!d)
        return;
    ask(d, (wish){.end = true});
    pthread_join(d->thread, NULL);
    pthread_mutex_destroy(&d->lock);
    pthread_cond_destroy(&d->asked);
    pthread_cond_destroy(&d->answered);
    free(d);
}
