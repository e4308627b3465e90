# SPDX-License-Identifier: GPL-3.0-or-later
"""Tables as strangers bring them, for import_foreign.py: each made from readings that are known. The ways
of writing are of meters, weather services, kitchen thermometers and spreadsheets of several countries;
no maker's format."""
import datetime as dt

UTC = dt.timezone.utc
ZERO = dt.datetime(2026, 5, 16, 10, 15, tzinfo=UTC)
NNBSP, NBSP = "\u202f", "\u00a0"
CASES = []


def case(**options):
    """The function gives the table and its readings: (time, {channel: value}). Options: rig (channels and
    units), args, tz (this computer's zone); asks (words of the refusal) and then (options that settle it)."""
    def keep(make):
        CASES.append((make.__name__, make, options))
        return make
    return keep


def comma(x, n=1):
    return ("%.*f" % (n, x)).replace(".", ",")


def every(seconds, count, zero=ZERO):
    return [(i, zero + dt.timedelta(seconds=seconds * i)) for i in range(count)]


def to_c(f):
    return (f - 32) * 5 / 9


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def units_row_below():
    t, rows = '"Date";"Time";"T tank";"T ambient";"p atm"\r\n"dd.mm.yy";"hh:mm";"°C";"°C";"kPa"\r\n', []
    for i, w in every(60, 8):
        t += '"%s";"%s";"%s";"%s";"%s"\r\n' % (w.strftime("%d.%m.%y"), w.strftime("%H:%M"), comma(18 + i * .3),
                                              comma(21.5), comma(101.3))
        rows.append((w, {"store": 18 + i * .3, "air": 21.5}))
    return t.encode("latin-1"), rows


@case(rig="store=degC sun=W_m2", args=["--zone", "Europe/Vienna"])
def utf16_trailing():
    t, rows = "Datum;Zeit;Speicher (°C);Globalstrahlung (W/m²);\n", []
    zone = dt.timedelta(hours=2)
    for i, w in every(30, 9):
        l = w + zone
        t += "%s;%s;%s;%s;\n" % (l.strftime("%d.%m.%y"), l.strftime("%H:%M:%S"), comma(20 + i * .2), comma(1003.5 + i))
        rows.append((w, {"store": 20 + i * .2, "sun": 1003.5 + i}))
    return t.encode("utf-16-le"), rows


@case(rig="store=degF air=degF", args=["--zone", "America/Chicago"])
def narrow_blank():
    t, rows = "Timestamp,Bucket Temp (°F),Patio Temp (°F)\n", []
    for i, w in every(300, 12):
        l = w - dt.timedelta(hours=5) + dt.timedelta(hours=2)
        t += '"%s",%.1f,%.1f\n' % (l.strftime("%b %d, %Y, %I:%M:%S") + NNBSP + l.strftime("%p"), 64 + i, 72.5)
        rows.append((w + dt.timedelta(hours=2), {"store": to_c(64 + i), "air": to_c(72.5)}))
    return t, rows


@case(rig="store=degC air=degC")
def offsets():
    t, rows = "time,water [deg C],air [deg C]\n", []
    for i, w in every(10, 9):
        l = w.astimezone(dt.timezone(dt.timedelta(hours=2)))
        t += "%s,%.2f,%.2f\n" % (l.isoformat(timespec="milliseconds"), 19 + i * .25, 23.4)
        rows.append((w, {"store": 19 + i * .25, "air": 23.4}))
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC"])
def hour_24():
    t, rows = "Date,Hour,Cistern (C)\n", []
    zero = dt.datetime(2026, 5, 16, 22, 30, tzinfo=UTC)
    for i, w in every(900, 12, zero):
        midnight = w.hour == 0 and w.minute == 0
        l = w - dt.timedelta(days=1) if midnight else w
        t += "%s,%s,%.1f\n" % (l.strftime("%m/%d/%Y"), "24:00:00" if midnight else l.strftime("%H:%M:%S"), 40 - i * .1)
        rows.append((w, {"store": 40 - i * .1}))
    return t, rows


@case(rig="store=degC air=degC sun=W_m2", args=["--zone", "UTC"])
def compact_stamp():
    t, rows = "STN YYYYMMDD HHMM TANK AIR GHI\n", []
    for i, w in every(600, 8):
        t += "00412 %s %s %6.1f %6.1f %7.1f\n" % (w.strftime("%Y%m%d"), w.strftime("%H%M"), 18 + i, 22.0, 801 + i)
        rows.append((w, {"store": 18 + i, "air": 22.0, "sun": 801 + i}))
    return t, rows


@case(rig="store=degC air=degC")
def epoch_fraction():
    t, rows = "unix_time\ttank_temp_c\tair_temp_c\n", []
    for i, w in every(1.25, 10):
        t += "%.3f\t%.2f\t%.2f\n" % (w.timestamp(), 18 + i * .01, 20)
        rows.append((w, {"store": 18 + i * .01, "air": 20}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def blank_lines_footer():
    head = "Time;Tank C;Air C\n"
    t, rows = "\n\nExported from the wash stand\n\n" + head, []
    for i, w in every(60, 12):
        t += "%s;%.1f;%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i * .5, 22)
        rows.append((w, {"store": 18 + i * .5, "air": 22}))
        if i % 5 == 4:
            t += "\n" + head
    return t + "\nMin;18.0;22.0\nMax;23.5;22.0\nAverage;20.8;22.0\n12 records\n", rows


@case(rig="store=degC air=degC sun=W_m2", args=["--zone", "UTC"])
def words_for_nothing():
    words = ["---", "NaN", "OL", "n/a", "Err", "#N/A", "-", "OPEN", "null", "*"]
    t, rows = "Time,Tank C,Air C,Irradiance W/m2\n", []
    for i, w in every(60, 24):
        bad = words[i // 2] if i % 2 and i // 2 < len(words) else None
        t += "%s,%s,%.1f,%s\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), bad or "%.1f" % (18 + i * .5), 22,
                                  bad if i % 4 == 3 and bad else 700 + i)
        rows.append((w, {"store": None if bad else 18 + i * .5, "air": 22,
                         "sun": None if i % 4 == 3 and bad else 700 + i}))
    return t, rows


@case(rig="store=degF air=degF", args=["--zone", "UTC"],
      asks='--map "2=store" or --map "3=store"', then=["--map", "2=store", "--map", "3=air"])
def same_head_twice():
    t, rows = "Time,Temp 1 (°F),Temp 1 (°F)\n", []
    t = t.replace("Temp 1", "Probe temp water")
    for i, w in every(60, 8):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 64 + i, 70)
        rows.append((w, {"store": to_c(64 + i), "air": to_c(70)}))
    return t, rows


@case(rig="store=degF air=degF", args=["--zone", "UTC"],
      asks='--map "2=store" or --map "3=store"', then=["--map", "2=store", "--map", "3=air"])
def nameless_probes():
    t, rows = "Time,Temp 1 (°F),Temp 1 (°F)\n", []
    for i, w in every(60, 8):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 64 + i, 70)
        rows.append((w, {"store": to_c(64 + i), "air": to_c(70)}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def date_above():
    t, rows = "Test of the wash stand\nDate: 16 May 2026\nLocation: yard\n\nTime,Tank C,Air C\n", []
    for i, w in every(300, 10):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


# A date above the head that can be read in one way only counts; one of two ways is not guessed, and the time
# of day goes from a day that is none.
def above(date, zero):
    t, rows = "Test of the wash stand\nDate: %s\n\nTime,Tank C,Air C\n" % date, []
    for i, w in every(300, 10, zero):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def date_above_one_way():
    return above("5/16/2026", ZERO)


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def date_above_either_way():
    return above("5/6/2026", dt.datetime(1970, 1, 1, 10, 15, tzinfo=UTC))


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def date_above_twins():
    return above("5/5/2026", dt.datetime(2026, 5, 5, 10, 15, tzinfo=UTC))


@case(rig="store=degC inlet=degC outlet=degC flow=L_min sun=W_m2", args=["--zone", "UTC"])
def plant_units():
    t, rows = "Timestamp;Tank deg C;Coll. inlet deg C;Coll. outlet deg C;Flow l/min;G W/m^2;Pressure kPa\n", []
    for i, w in every(20, 9):
        t += "%s;%.2f;%.2f;%.2f;%.2f;%.0f;%.1f\n" % (w.strftime("%d/%m/%Y %H:%M:%S"), 18 + i, 18.2 + i, 22 + i, 2.1, 845,
                                                    101.2)
        rows.append((w, {"store": 18 + i, "inlet": 18.2 + i, "outlet": 22 + i, "flow": 2.1, "sun": 845}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def serial_decimal_comma():
    t, rows = "Tid;Vatten °C;Luft °C\n", []
    for i, w in every(90, 11):
        day = (w - dt.datetime(1899, 12, 30, tzinfo=UTC)).total_seconds() / 86400
        t += "%s;%s;%s\n" % (comma(day, 8), comma(18 + i * .3), comma(21.4))
        rows.append((w, {"store": 18 + i * .3, "air": 21.4}))
    return t, rows


@case(rig="store=degC sun=W_m2", args=["--zone", "UTC"])
def thousands():
    t, rows = "Heure\tBallon °C\tRayonnement W/m²\n", []
    for i, w in every(60, 10):
        g = 985 + 5.5 * i
        text = comma(g) if g < 1000 else "1" + NNBSP + comma(g)[1:]
        t += "%s\t%s\t%s\n" % (w.strftime("%d/%m/%Y %H:%M"), comma(18 + i * .3), text)
        rows.append((w, {"store": 18 + i * .3, "sun": g}))
    return t, rows


@case(rig="store=degF air=degF flow=gal_min", args=["--zone", "America/Denver"])
def us_station():
    t = "Yard station\nInterval:,1,min\nDate/Time,Outdoor Temp F,Tank Temp F,Flow gpm,Baro inHg,Rain in\n"
    rows = []
    for i, w in every(60, 12, dt.datetime(2026, 5, 16, 17, 55, tzinfo=UTC)):
        l = w - dt.timedelta(hours=6)
        t += "%d/%d/%d %d:%02d %s,%.1f,%.1f,%.2f,29.92,0.00\n" % (
            l.month, l.day, l.year, (l.hour + 11) % 12 + 1, l.minute, l.strftime("%p"), 70 + i * .1, 60 + i, .5)
        rows.append((w, {"air": to_c(70 + i * .1), "store": to_c(60 + i), "flow": .5 * 3.785411784}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def quotes_everywhere():
    t, rows = '\ufeff"Fecha y hora","Depósito (°C)","Aire exterior (°C)","Comentario"\r\n', []
    for i, w in every(60, 8):
        note = 'nube, ""grande""\nsigue' if i == 4 else "ok"
        t += '"%s","%s","%s","%s"\r\n' % (w.strftime("%d/%m/%Y %H:%M:%S"), comma(18 + i * .3), comma(23.1), note)
        rows.append((w, {"store": 18 + i * .3, "air": 23.1}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def old_mac_ends():
    t, rows = "Time,Tank (C),Air (C)\r", []
    for i, w in every(60, 8):
        t += "%s,%.1f,%.1f\r" % (w.strftime("%Y/%m/%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def statuses_beside():
    """A quality word behind every value, a record number in front."""
    t, rows = "No.,Date,Time,Tank,Unit,Status,Ambient,Unit,Status\n", []
    for i, w in every(15, 9):
        t += "%d,%s,%s,%.1f,C,OK,%.1f,C,OK\n" % (i + 1, w.strftime("%d-%m-%Y"), w.strftime("%H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def units_in_cells():
    t, rows = "Uhrzeit;Eimer;Umgebung\n", []
    for i, w in every(60, 8):
        t += "%s Uhr;%s °C;%s °C\n" % (w.strftime("%d.%m.%Y %H:%M"), comma(18 + i), comma(22))
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t.encode("latin-1"), rows


@case(rig="store=degC sun=W_m2", args=["--zone", "UTC"])
def codes():
    t, rows = "Time,Tank (C),Solar (W/m2)\n", []
    for i, w in every(60, 16):
        tank = {3: "-999.9", 7: "-9999", 11: "888.8"}.get(i, "%.1f" % (18 + i))
        sun = {5: "-9999", 9: "65535"}.get(i, "%.1f" % (700 + i))
        t += "%s,%s,%s\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), tank, sun)
        rows.append((w, {"store": None if i in (3, 7, 11) else 18 + i, "sun": None if i in (5, 9) else 700 + i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def two_stamps():
    """UTC beside local time: the leftmost that is complete counts; both have their own zone word."""
    t, rows = "Time (UTC),Local time,Tank °C,Air °C\n", []
    for i, w in every(60, 8):
        t += "%s,%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"),
                                    (w + dt.timedelta(hours=2)).strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", tz="America/Denver")
def utc_in_head():
    """The head says that the stamps are UTC, whatever this computer is set to."""
    t, rows = "Timestamp (UTC),Tank °C,Air °C\n", []
    for i, w in every(60, 8):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def semicolons_with_points():
    t, rows = "sep=;\nTime;Tank;Air\n;°C;°C\n", []
    for i, w in every(60, 8):
        t += "%s;%.2f;%.2f\n" % (w.strftime("%Y-%m-%d %H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC")
def elapsed_days_clock():
    t, rows = "Elapsed\tTank °C\tAir °C\n", []
    zero = dt.datetime(1970, 1, 1, tzinfo=UTC)
    for i, w in every(600, 8, zero):
        t += "0 days %s\t%.1f\t%.1f\n" % (w.strftime("%H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC")
def elapsed_seconds_words():
    t, rows = "t / s,T_store / °C,T_amb / °C\n", []
    zero = dt.datetime(1970, 1, 1, tzinfo=UTC)
    for i, w in every(2.5, 8, zero):
        t += "%.1f,%.2f,%.2f\n" % (i * 2.5, 18 + i * .1, 22)
        rows.append((w, {"store": 18 + i * .1, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def short_rows():
    """Rows that end early, an empty extra field, blanks around everything."""
    t, rows = " Time , Tank (C) , Air (C) , Note \n", []
    for i, w in every(60, 9):
        t += " %s , %.1f%s\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, "" if i == 3 else " , 22.0 , ,")
        rows.append((w, {"store": 18 + i, "air": None if i == 3 else 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def dashes_around():
    """Drawn with bars and lines, as text reports are."""
    bar = "+---------------------+--------+-------+\n"
    t, rows = bar + "| Time                | Tank C | Air C |\n" + bar, []
    for i, w in every(60, 8):
        t += "| %s | %6.1f | %5.1f |\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t + bar, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"],
      asks='--time-format "%d-%m-%y %H.%M.%S" or --time-format "%y-%m-%d %H.%M.%S"',
      then=["--time-format", "%y-%m-%d %H.%M.%S"])
def year_two_figures():
    t, rows = "Date,Time,Tank C,Air C\n", []
    for i, w in every(60, 8):
        t += "%s,%s,%.1f,%.1f\n" % (w.strftime("%y-%m-%d"), w.strftime("%H.%M.%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"],
      asks="--time-format", then=["--time-format", "%m/%d/%Y %H:%M"])
def either_way():
    zero = dt.datetime(2026, 5, 6, 10, 15, tzinfo=UTC)
    t, rows = "Time,Tank C,Air C\n", []
    for i, w in every(60, 8, zero):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%m/%d/%Y %H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def summaries_between():
    t, rows = "Time,Tank C,Air C\n", []
    for i, w in every(600, 12):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
        if w.minute == 45:
            t += "Hourly mean,%.1f,%.1f\n" % (17 + i, 22)
    return t + "Total rows,12,\n", rows


@case(rig="store=degC air=degC sun=W_m2", args=["--zone", "UTC"])
def rows_of_logger_with_names():
    """A record's kind in front of each row, as polled meters write it."""
    t, rows = "", []
    t += "H,Time,Tank C,Air C,GHI\n"
    for i, w in every(60, 8):
        t += "D,%s,%.1f,%.1f,%.0f\n" % (w.strftime("%Y-%m-%dT%H:%M:%S"), 18 + i, 22, 700 + i)
        rows.append((w, {"store": 18 + i, "air": 22, "sun": 700 + i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def sun_pm_dots():
    t, rows = "Fecha,Hora,Tanque °C,Ambiente °C\n", []
    for i, w in every(300, 12, dt.datetime(2026, 5, 16, 11, 35, tzinfo=UTC)):
        half = "a." + NBSP + "m." if w.hour < 12 else "p." + NBSP + "m."
        t += "%s,%d:%02d:00 %s,%.1f,%.1f\n" % (w.strftime("%d/%m/%Y"), (w.hour + 11) % 12 + 1, w.minute, half, 18 + i, 25)
        rows.append((w, {"store": 18 + i, "air": 25}))
    return t, rows


@case(rig="store=degF air=degF", args=["--zone", "UTC"])
def celsius_into_fahrenheit_rig():
    t, rows = "Time,Tank,Air\n,deg C,deg C\n", []
    for i, w in every(60, 8):
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def kelvin():
    t, rows = "Time,T_tank [K],T_amb [K]\n", []
    for i, w in every(60, 8):
        t += "%s,%.2f,%.2f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 291.15 + i, 295.15)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC sun=W_m2", args=["--zone", "UTC"])
def european_meter():
    """Decimal comma in columns parted by blanks, a summary above."""
    t, rows = "Messung 12\nMittelwert 21,3\n\nDatum Zeit Tank Luft Sonne\n- - °C °C W/m2\n", []
    for i, w in every(60, 9):
        t += "%s %s %s %s %s\n" % (w.strftime("%d.%m.%Y"), w.strftime("%H:%M:%S"), comma(18 + i), comma(22), comma(700 + i, 0))
        rows.append((w, {"store": 18 + i, "air": 22, "sun": 700 + i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def points_in_time():
    """16/05/2026;10.15;18,3: the point parts hours and minutes, the comma decimals."""
    t, rows = "Data;Ora;Serbatoio (°C);Esterna (°C)\n", []
    for i, w in every(300, 10):
        t += "%s;%s;%s;%s\n" % (w.strftime("%d/%m/%Y"), w.strftime("%H.%M"), comma(18 + i), comma(22.5))
        rows.append((w, {"store": 18 + i, "air": 22.5}))
    return t, rows


@case(rig="store=degC air=degC", tz="Asia/Tokyo")
def zone_above():
    t, rows = "Location: yard\nTime zone: Europe/Berlin\n\nTime,Tank C,Air C\n", []
    for i, w in every(60, 8):
        l = w + dt.timedelta(hours=2)
        t += "%s,%.1f,%.1f\n" % (l.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degF air=degF", tz="Asia/Tokyo")
def offset_in_head():
    t, rows = '"Record","Date Time, GMT-07:00","Tank temp, °F","Ambient temp, °F","Started"\n', []
    for i, w in every(60, 8):
        l = w - dt.timedelta(hours=7)
        t += '%d,"%s",%.2f,%.2f,%s\n' % (i + 1, l.strftime("%m/%d/%y %I:%M:%S %p"), 64 + i, 70.5, "Logged" if i == 0 else "")
        rows.append((w, {"store": to_c(64 + i), "air": to_c(70.5)}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def markdown():
    t, rows = "| Time | Tank (°C) | Air (°C) |\n|------|----------:|---------:|\n", []
    for i, w in every(60, 8):
        t += "| %s | %.1f | %.1f |\n" % (w.strftime("%Y-%m-%d %H:%M"), 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC sun=W_m2", args=["--zone", "UTC"])
def hourly_service():
    """A weather service's: hours 1 to 24, codes, kinds of quality beside each value."""
    t, rows = "STATION;DATE;HOUR;QN;TT_AIR;TT_TANK;GLOBAL_RAD;eor\n", []
    for i, w in every(3600, 14, dt.datetime(2026, 5, 16, 12, 0, tzinfo=UTC)):
        hour, day = (24, w - dt.timedelta(days=1)) if w.hour == 0 else (w.hour, w)
        t += "  4412;%s;%d;3;%6.1f;%6.1f;%s;eor\n" % (day.strftime("%Y%m%d"), hour, 22, 30 - i * .5,
                                                      "-999" if i == 5 else "%d" % (500 - 30 * i))
        rows.append((w, {"store": 30 - i * .5, "air": 22, "sun": None if i == 5 else 500 - 30 * i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def long_form():
    """Epoch in microseconds, figures in E notation."""
    t, rows = "time_us,tank_c,ambient_c\n", []
    for i, w in every(5, 8):
        t += "%d,%.4E,%.4E\n" % (w.timestamp() * 1e6, 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def twelve_hours_over_noon():
    t, rows = "Date\tTime\tTank (°C)\tAir (°C)\n", []
    for i, w in every(600, 12, dt.datetime(2026, 5, 16, 11, 20, tzinfo=UTC)):
        t += "May 16, 2026\t%d:%02d%s\t%.1f\t%.1f\n" % ((w.hour + 11) % 12 + 1, w.minute, "am" if w.hour < 12 else "pm",
                                                      18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"], asks="AM and PM")
def twelve_hours_without():
    """1:00 after 12:50 and no AM or PM: not to be told."""
    t, rows = "Time,Tank C,Air C\n", []
    for i, w in every(600, 12, dt.datetime(2026, 5, 16, 11, 20, tzinfo=UTC)):
        t += "%s %d:%02d,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d"), (w.hour + 11) % 12 + 1, w.minute, 18 + i, 22)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def many_sensors():
    """A column for each of many probes; two are named, the others are nobody's."""
    t, rows = "Time," + ",".join("T%d (°C)" % k for k in range(1, 7)) + ",T_tank (°C),T_amb (°C)\n", []
    for i, w in every(60, 8):
        t += w.strftime("%Y-%m-%d %H:%M:%S") + "".join(",%.1f" % (30 + k + i) for k in range(6)) + ",%.1f,22.0\n" % (18 + i)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def broken_lines():
    """Lines cut by a full card, a doubled line, letters in a number."""
    t, rows = "Time,Tank C,Air C\n", []
    for i, w in every(60, 30):
        line = "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i * .2, 22)
        if i == 9:
            t += line[:12] + "\n"
            continue
        if i == 14:
            line = line.replace(",22.0", ",2z.0")
        t += line * (2 if i == 20 else 1)
        rows.append((w, {"store": 18 + i * .2, "air": None if i == 14 else 22}))
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC"])
def day_number_and_hour():
    t, rows = "Date,Hour,Tank C\n", []
    for i, w in every(3600, 10, dt.datetime(2026, 5, 16, 9, 0, tzinfo=UTC)):
        t += "%d,%d,%.1f\n" % ((w - dt.datetime(1899, 12, 30, tzinfo=UTC)).days, w.hour, 18 + i)
        rows.append((w, {"store": 18 + i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"], asks="here begins another table")
def units_change():
    t, rows = "Time,Tank (°C),Air (°C)\n", []
    for i, w in every(60, 12):
        t += "Time,Tank (°F),Air (°F)\n" if i == 6 else ""
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i if i < 6 else 64 + i, 22 if i < 6 else 72)
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"], asks="here begins another table")
def columns_change():
    t, rows = "Time,Tank (°C),Air (°C)\n", []
    for i, w in every(60, 12):
        t += "Time,Air (°C),Tank (°C)\n" if i == 6 else ""
        t += "%s,%.1f,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i, 22)
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"], asks="decimal commas among the commas")
def commas_among_commas():
    t, rows = "Time,Tank C,Air C\n", []
    for i, w in every(60, 8):
        t += "%s,%s,%s\n" % (w.strftime("%d.%m.%Y %H:%M"), comma(18 + i), comma(22.1))
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC"], asks="give it a name in the head")
def row_numbers_without_head():
    t, rows = "Time;Tank C;Air C\n", []
    for i, w in every(60, 8):
        t += "%d;%s;%.1f;%.1f\n" % (i + 1, w.strftime("%Y-%m-%d %H:%M"), 18 + i, 22)
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC", "--map", "2=store"], asks="the times begin anew here")
def one_below_the_other():
    t, rows = "", []
    for what, value in (("Tank", 18), ("Air", 22)):
        t += "Probe: %s\nTime,Temp (°C)\n" % what
        for i, w in every(60, 8):
            t += "%s,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M"), value + i)
        t += "\n"
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC", "--map", "3=store"], asks="says whose reading each row is (tank, air)")
def one_reading_a_row():
    t, rows = "Time,Sensor,Value (°C)\n", []
    for i, w in every(60, 8):
        t += "%s,tank,%.1f\n%s,air,22.0\n" % ((w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i) + (w.strftime("%Y-%m-%d %H:%M:%S"),))
    return t, rows


@case(rig="store=degC", args=["--zone", "UTC"])
def one_sensor_named():
    t, rows = "Time,Sensor,Tank (°C)\n", []
    for i, w in every(60, 8):
        t += "%s,probe 7,%.1f\n" % (w.strftime("%Y-%m-%d %H:%M:%S"), 18 + i)
        rows.append((w, {"store": 18 + i}))
    return t, rows


@case(rig="air=degF sun=W_m2", args=["--zone", "UTC"])
def two_head_lines():
    """Words of a head one below the other; a and p for AM and PM."""
    t = "\t\tTemp\tHi\tLow\tOut\tDew\tSolar\nDate\tTime\tOut\tTemp\tTemp\tHum\tPt.\tRad.\n"
    rows = []
    for i, w in every(300, 8, dt.datetime(2026, 5, 16, 11, 45, tzinfo=UTC)):
        t += "%s\t%d:%02d%s\t%.1f\t%.1f\t%.1f\t40\t50.1\t%d\n" % (
            w.strftime("%m/%d/%y"), (w.hour + 11) % 12 + 1, w.minute, "a" if w.hour < 12 else "p", 70 + i, 71 + i, 69 + i, 700 + i)
        rows.append((w, {"air": to_c(70 + i), "sun": 700 + i}))
    return t, rows


@case(rig="store=degF air=degF")
def zone_behind_the_time():
    t, rows = 'Time,"Tank\n(°F)",Inside (°F),Outside (°F)\n', []
    for i, w in every(60, 8):
        t += "%s MDT,%.1f,70,72.5\n" % ((w - dt.timedelta(hours=6)).strftime("%Y-%m-%d %H:%M:%S"), 64 + i)
        rows.append((w, {"store": to_c(64 + i), "air": to_c(72.5)}))
    return t, rows


@case(rig="store=degC sun=W_m2 wind=m_s", args=["--zone", "UTC"])
def units_of_its_own():
    """Numbers in a unit that is not known are nobody's: 85 mW/cm2 are not 85 W/m2."""
    t, rows = "Time,Tank (°C),Solar (mW/cm²),Wind (Bft)\n", []
    for i, w in every(60, 8):
        t += "%s,%.1f,85,3\n" % (w.strftime("%Y-%m-%d %H:%M"), 18 + i)
        rows.append((w, {"store": 18 + i}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"], asks='--time "Date+COLUMN" --time-format "%d%m%y %H%M%S"',
      then=["--time", "Date+Time", "--time-format", "%d%m%y %H%M%S"])
def figures_only():
    t, rows = "Date,Time,Tank C,Air C\n", []
    for i, w in every(60, 8):
        t += "%s.00,%.1f,22\n" % (w.strftime("%d%m%y,%H%M%S"), 18 + i)
        rows.append((w, {"store": 18 + i, "air": 22}))
    return t, rows


@case(rig="store=degC air=degC", args=["--zone", "UTC"])
def colon_thousandths():
    t, rows = "Aika;Varaaja °C;Ulkolämpötila °C\n", []
    for i, w in every(60, 8):
        t += "%s:250;%s;%s\n" % (w.strftime("%d.%m.%Y klo %H:%M:%S"), comma(18 + i), comma(22))
        rows.append((w + dt.timedelta(milliseconds=250), {"store": 18 + i, "air": 22}))
    return t, rows
