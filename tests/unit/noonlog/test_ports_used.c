/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Commands that hear an adapter: `listen`, `record`, `rebuild`, `draft` and `bath` at a
 * pseudo-terminal into which a child of the test writes, and `import`, which hears none. */
#include "logger/noonlog/commands.h"
#include "logger/noonlog/listening.h"

#include "tests/unit/command_run.h"
#include "tests/unit/run/rig_fixture.h"

#include <pty.h>
#include <signal.h>
#include <sys/wait.h>

#define CHANNELS                                                                                   \
    "[channel store]\nunit = degC\nfield = 1\n[channel air]\nunit = degF\nfield = 2\n"             \
    "[channel sun]\nunit = W_m2\nfield = 3\n[channel flow]\nunit = L_min\nfield = 4\n"

static pid_t child;
static char port[64], rig_path[256];
static nr_err err;

/* An adapter that sends this line every 5 ms. */
static void connect_adapter(const char *line)
{
    int master, slave;
    struct termios raw;
    ck_assert_int_eq(openpty(&master, &slave, port, NULL, NULL), 0);
    tcgetattr(slave, &raw);
    cfmakeraw(&raw);
    tcsetattr(slave, TCSANOW, &raw);
    child = fork();
    if (child == 0) {
        for (;;) {
            if (write(master, line, strlen(line)) < 0)
                _exit(1);
            usleep(5000);
        }
    }
    close(master); /* the child has it; the slave stays open, so that nothing hangs up */
}

static void rig_at_port(const char *channels)
{
    char text[1000];
    snprintf(text, sizeof text, "[adapter]\nport = %s\nline = values\n%s", port, channels);
    snprintf(rig_path, sizeof rig_path, "%s", scratch_file("rig.ini", text));
}

static void set_up(void)
{
    setenv("TZ", "UTC", 1);
    setenv("PATH", "/nonexistent", 1); /* nobody to keep the computer awake, no noonfit */
    scratch_make();
    child = 0;
}

static void tear_down(void)
{
    if (child > 1) {
        kill(child, SIGKILL);
        waitpid(child, NULL, 0);
    }
    scratch_remove();
}

/* --- listen ----------------------------------------------------------------------------------- */

#define LISTEN(code, ...) ENDS(code, &nr_cmd_listen, "", rig_path, "--for", "0.3s", __VA_ARGS__)

START_TEST(hears_all)
{
    connect_adapter("21.5,68,850.4,2.25\n");
    rig_at_port(CHANNELS);
    LISTEN(NR_OK, "--units", "si");
    SAYS(said.out, "All 4 channels give readings; ");
    SAYS(said.out, ", such as\n  21.5,68,850.4,2.25\n");
    SAYS(said.out, ": a line every 0.");
    SAYS(said.out, "  store        21.5                21.50 °C          21.50 to 21.50");
    SAYS(said.out, "  air          68                  20.00 °C ");
    SAYS(said.out, "  sun          850.4                 850 W/m²        850 to 850");
    SAYS(said.out, "  flow         2.25                2.250 L/min ");
    SAYS_NOT(said.out, "<- warmed");
    LISTEN(NR_OK, "--units", "us");
    SAYS(said.out, "  store        21.5                70.70 °F ");
    LISTEN(NR_OK, "--json", "--units", "us"); /* JSON is SI */
    SAYS(said.out, "\"channel\": \"store\",\n      \"unit\": \"degC\",\n      \"raw\": 21.5,\n"
                   "      \"value\": 21.5,");
    SAYS(said.out, "\"low\": 21.5,\n      \"high\": 21.5,");
    SAYS(said.out, "\"channel\": \"flow\"");
    SAYS(said.out, "\"interval_s\": 0.");
    SAYS(said.out, "\"unreadable\": 0");
}
END_TEST

START_TEST(hears_some)
{
    connect_adapter("21.5,warm,850.4,2.25\n");
    rig_at_port(CHANNELS);
    LISTEN(NR_CANNOT, "--units", "si");
    SAYS(said.out, "3 of 4 channels give readings; ");
    SAYS(said.out, "  air          warm                    - °C ");
    SAYS(said.out, "This does not work:\n");
    SAYS(said.out, "  - air: ");
    LISTEN(NR_CANNOT, "--json");
    SAYS(said.out, "\"severity\": \"fault\",\n      \"channel\": \"air\"");
}
END_TEST

START_TEST(hears_nothing)
{
    connect_adapter("");
    rig_at_port("[channel the_middle_of_the_store]\nunit = degC\nfield = 1\n");
    LISTEN(NR_CANNOT, "--units", "si");
    SAYS(said.out, "No channel gives a reading; 0 of 0 lines in ");
    SAYS(said.out, ": 0 bytes, 0 lines\n");
    SAYS(said.out, "  channel                 on the wire"); /* as wide as the longest name */
    SAYS(said.out, "  the_middle_of_the_store nothing                 - °C ");
    LISTEN(NR_CANNOT, "--json");
    SAYS(said.out, "\"interval_s\": null");
    SAYS(said.out, "\"value\": null");
}
END_TEST

START_TEST(which_port)
{
    static nr_rig rig;
    accept(&rig, "[adapter]\nline = values\n" CHANNELS, NR_RIG_FOR_RECORD);
    ck_assert_int_eq(nr_listening_port(&rig, NULL, &err), NR_BAD);
    SAYS(err.text, "[adapter] names no port");
    ck_assert_int_eq(nr_listening_port(&rig, "/dev/x", &err), NR_OK);
    ck_assert_str_eq(rig.adapter[0].port, "/dev/x");
    ck_assert_int_eq(nr_listening_port(&rig, NULL, &err), NR_OK);
    accept(&rig,
           "[adapter one]\nline = values\nport = /dev/a\n[adapter two]\nline = values\n"
           "[channel store]\nunit = degC\nfield = 1\nadapter = one\n"
           "[channel air]\nunit = degC\nfield = 1\nadapter = two\n",
           NR_RIG_FOR_RECORD);
    ck_assert_int_eq(nr_listening_port(&rig, "/dev/x", &err), NR_BAD);
    SAYS(err.text, "has 2 adapters; --port is for rigs with one");
    ck_assert_int_eq(nr_listening_port(&rig, NULL, &err), NR_BAD);
    SAYS(err.text, "[adapter two] names no port");
    snprintf(rig.adapter[1].port, sizeof rig.adapter[1].port, "/dev/b");
    ck_assert_int_eq(nr_listening_port(&rig, NULL, &err), NR_OK);
}
END_TEST

/* --- record ----------------------------------------------------------------------------------- */

START_TEST(records_and_makes_again)
{
    connect_adapter("21.5,68,850.4,2.25\n");
    rig_at_port(CHANNELS);
    char run[200], text[1000];
    snprintf(run, sizeof run, "%s", in_scratch("run"));
    ENDS(NR_OK, &nr_cmd_record, "", rig_path, run, "--for", "0.3s", "--let-sleep");
    SAYS(scratch_read("run/readings.csv"),
         "time_utc,elapsed_s,store_degC,air_degC,sun_W_m2,flow_L_min\n");
    SAYS(scratch_read("run/readings.csv"), ",21.5000,20.0000,850.40,2.2500");
    SAYS(scratch_read("run/.noonlog/state"), "ended=1\nstatus=0\n");
    SAYS(scratch_read("run/.noonlog/state"), "awake=let\n");
    ENDS(NR_BAD, &nr_cmd_record, "", rig_path, run, "--for", "0.3s"); /* it is there */
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    SAYS(said.out, ", the same as before\n");
    SAYS_NOT(said.out, "by hand");
    SAYS_NOT(said.out, "damaged");
    snprintf(text, sizeof text, "[adapter]\nport = x\nline = values\n" CHANNELS "offset = 1\n");
    ENDS(NR_OK, &nr_cmd_rebuild, "", run, "--rig", scratch_file("other.ini", text));
    SAYS(said.out, "rows); the old readings are in .noonlog/readings.csv.before\n");
    SAYS(scratch_read("run/notes.csv"), "with another rig.ini");
    SAYS(scratch_read("run/readings.csv"), ",3.2500\n");
    FILE *log = fopen(in_scratch("run/adapter.log"), "a");
    fputs("no line of a log\n", log);
    fclose(log);
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    SAYS(said.out, "damaged lines of adapter.log, left out: 1, the first is line ");
    /* gone on with */
    ENDS(NR_OK, &nr_cmd_record, "", "--resume", run, "--port", port, "--for", "0.3s", "--quiet");
    ck_assert_str_eq(said.text, "");
}
END_TEST

/* --- draft, bath ------------------------------------------------------------------------------ */

START_TEST(drafts)
{
    connect_adapter("store=21.5,air=18.25\n");
    char file[200];
    snprintf(file, sizeof file, "%s", in_scratch("new.ini"));
    ENDS(NR_OK, &nr_cmd_draft, "", port, "--for", "0.3s", "--baud", "9600");
    SAYS(said.out, "[channel store]");
    SAYS(said.out, "[channel air]");
    SAYS(said.text, "2 readings in each line at 9600 baud, a line every 0.");
    SAYS(said.text, "all of them known");
    SAYS_NOT(said.text, "Written to");
    ENDS(NR_OK, &nr_cmd_draft, "", port, file, "--for", "0.3s", "--units", "us");
    SAYS(said.text, "at 115200 baud"); /* the commonest is tried first */
    SAYS(scratch_read("new.ini"), "[channel air]");
    ENDS(NR_BAD, &nr_cmd_draft, "", port, file, "--for", "0.3s");
    SAYS(said.text, "exists; name a new file");
}
END_TEST

START_TEST(drafts_nothing)
{
    connect_adapter("");
    ENDS(NR_CANNOT, &nr_cmd_draft, "", port, "--for", "0.05s");
    SAYS(said.text, "nothing readable at 115200 baud; trying 38400");
    SAYS(said.text, "nothing readable at 19200 baud; trying 4800");
    SAYS_NOT(said.text, "nothing readable at 4800");
    SAYS(said.text, "nothing came: is the adapter powered");
    ENDS(NR_CANNOT, &nr_cmd_draft, "", port, "--for", "0.05s", "--baud", "9600");
    SAYS_NOT(said.text, "trying");
}
END_TEST

START_TEST(drafts_noise)
{
    connect_adapter("\x01\x80\xfe");
    ENDS(NR_CANNOT, &nr_cmd_draft, "", port, "--for", "0.1s", "--baud", "9600");
    SAYS(said.text, "bytes came, but no lines of text at this speed");
}
END_TEST

START_TEST(bathes)
{
    connect_adapter("21.5,70.7\n");
    rig_at_port("[channel store]\nunit = degC\nfield = 1\n[channel air]\nunit = degF\nfield = 2\n");
    ENDS(NR_OK, &nr_cmd_bath, "", rig_path, "--for", "0.6s", "--units", "si");
    SAYS(said.out, "In one bath of 21.50 °C the thermometers differ by up to 0.00 K");
    ENDS(NR_CANNOT, &nr_cmd_bath, "", rig_path, "--ice", "--boiling", "--pressure", "1013", "--for",
         "0.1s"); /* nobody presses Enter */
    SAYS(said.text, "stopped before the bath began");
}
END_TEST

/* --- import ----------------------------------------------------------------------------------- */

#define TABLE                                                                                      \
    "time,store_degC,air_degC,a remark of many letters that are more\n"                            \
    "2026-05-04 10:00:00,20.5,18,x\n2026-05-04 10:01:00,20.75,18.5,x\n"                            \
    "2026-05-04 10:02:30,21,18.25,y\n"

START_TEST(imports)
{
    char run[200], *values = scratch_file("t.csv", TABLE);
    char *rig =
        scratch_file("r.ini", MINIMAL "[channel store]\nunit = degC\n[channel air]\nunit = degF\n");
    snprintf(run, sizeof run, "%s", in_scratch("run"));
    ENDS(NR_OK, &nr_cmd_import, "", values, "--rig", rig, "--preview", "--zone", "UTC");
    SAYS(said.out, "3 rows in 2.5 min, 2026-05-04T10:00:00.000Z to");
    SAYS(said.out,
         "  column                      channel     unit          first       last  why\n");
    SAYS(said.out, "  store_degC                  store       ");
    SAYS(said.out, "     20.5         21  ");
    SAYS(said.out, "\nNothing was written (--preview).\n");
    ck_assert_int_ne(access(run, F_OK), 0);
    ENDS(NR_OK, &nr_cmd_import, "", values, "--rig", rig, run, "--zone", "+02:00");
    SAYS(said.out, "2026-05-04T08:00:00.000Z");
    SAYS(said.out, "Next: `noonfit inspect");
    SAYS(scratch_read("run/readings.csv"), "2026-05-04T08:02:30.000Z,150.000,21.0000,18.2500");
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    SAYS(said.out, "the same as before");
    ENDS(NR_OK, &nr_cmd_import, "", values, "--zone", "UTC");
    SAYS(said.out, "[channel store]"); /* a rig to begin with */
    ENDS(NR_OK, &nr_cmd_import, "", values, in_scratch("drafted"), "--zone", "UTC");
    SAYS(said.out, "with a drafted rig file: fill in what begins with ;");
    SAYS(scratch_read("drafted/rig.ini"), "[channel store]");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        hears_all, hears_some,     hears_nothing, which_port, records_and_makes_again,
        drafts,    drafts_nothing, drafts_noise,  bathes,     imports,
        NULL};
    return run_tests_in("ports used", tests, set_up, tear_down);
}
