/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `ports` where the ports are played by the test: each of what they say of themselves in its place,
 * as text and as JSON, clean; none; more than are shown; and a system that says nothing. */
#include "logger/noonlog/commands.h"
#include "logger/port/port.h"
#include "logger/port/usb.h"

#include "tests/unit/command_run.h"

#include <jansson.h>

static nr_port_found ports[3];
static int there;
static bool named_only;

int nr_ports_list(nr_port_found *found, size_t size, bool *by_name)
{
    for (int i = 0; i < there && (size_t)i < size; i++)
        found[i] = ports[i % 3];
    *by_name = named_only;
    return there;
}

bool nr_ports_are_described(void)
{
    return !named_only;
}

bool nr_usb_is_serial(const char *path)
{
    return path == NULL;
}

bool nr_usb_identity(const char *path, char *out, size_t size)
{
    (void)path;
    snprintf(out, size, "%s", "");
    return false;
}

bool nr_usb_find(const char *identity, char *path, size_t size)
{
    (void)identity;
    snprintf(path, size, "%s", "");
    return false;
}

static void set_up(void)
{
    static const nr_port_found of[3] = {{"/dev/ttyUSB0", "usb:1A86:7523:A", "ma\tker", "thing"},
                                        {"/dev/ttyS0", "", "", ""},
                                        {"/dev/ttyACM1", "usb:0403:6001", "", "pro\x1b[1mduct"}};
    memcpy(ports, of, sizeof ports);
    there = 3;
    named_only = false;
}

START_TEST(as_text)
{
    ENDS(NR_OK, &nr_cmd_ports, "");
    ck_assert_str_eq(said.out, "/dev/ttyUSB0      usb:1A86:7523:A  ma?ker thing\n"
                               "/dev/ttyS0        not USB   \n"
                               "/dev/ttyACM1      usb:0403:6001   pro?[1mduct\n");
    ck_assert_str_eq(said.text, "");
    there = 0;
    ENDS(NR_OK, &nr_cmd_ports, "");
    ck_assert_str_eq(said.out, "no serial port is there; is the adapter plugged in?\n");
    there = 1;
    named_only = true;
    ports[0].identity[0] = '\0';
    ENDS(NR_OK, &nr_cmd_ports, "");
    ck_assert_str_eq(said.out, "/dev/ttyUSB0      not known  ma?ker thing\n");
    SAYS(said.text, "this system has no /sys/class/tty");
    ENDS(NR_BAD, &nr_cmd_ports, "", "x");
    SAYS(said.text, "takes no arguments");
}
END_TEST

START_TEST(as_json)
{
    static const char *const wanted[3][4] = {{"/dev/ttyUSB0", "usb:1A86:7523:A", "ma?ker", "thing"},
                                             {"/dev/ttyS0", "", "", ""},
                                             {"/dev/ttyACM1", "usb:0403:6001", "", "pro?[1mduct"}};
    static const char *const keys[] = {"path", "identity", "maker", "product"};
    for (there = 0; there <= 3; there++) {
        ENDS(NR_OK, &nr_cmd_ports, "", "--json");
        json_t *top = json_loads(said.out, 0, NULL);
        ck_assert_ptr_nonnull(top);
        json_t *list = json_object_get(top, "ports");
        SAYS(said.out, "{\n  \"ports\": ["); /* two blanks a level */
        ck_assert_uint_eq(json_array_size(list), (size_t)there);
        for (int i = 0; i < there; i++) {
            json_t *one = json_array_get(list, (size_t)i);
            ck_assert_uint_eq(json_object_size(one), 4);
            for (int k = 0; k < 4; k++)
                ck_assert_str_eq(json_string_value(json_object_get(one, keys[k])), wanted[i][k]);
        }
        json_decref(top);
        ck_assert_int_eq(said.out[strlen(said.out) - 1], '\n');
    }
}
END_TEST

/* However many there are: as many lines as there is room for, and no more are read. */
START_TEST(many)
{
    int most = 0;
    for (there = 1; there < 400; there += 7) {
        ENDS(NR_OK, &nr_cmd_ports, "");
        int lines = 0;
        for (const char *p = said.out; (p = strchr(p, '\n')) != NULL; p++)
            lines++;
        ck_assert_int_le(lines, there);
        ck_assert(lines == there || most == 0 || lines == most);
        most = lines < there ? lines : 0;
    }
    ck_assert_int_ge(most, 32); /* nobody's computer has more adapters */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_text, as_json, many, NULL};
    return run_tests_in("ports command", tests, set_up, NULL);
}
