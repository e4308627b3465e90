#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""tests/recorded/import/make.py: writes the folders beside it.

Each is a table as somebody's instrument, station or spreadsheet might export it (invented; no
maker's format is copied), a rig file, options, and the readings that must come of it. The readings
are computed here from the numbers that the table was written from, not by the programs.
"""
import datetime as dt
import math
import os
import zoneinfo

HERE = os.path.dirname(os.path.abspath(__file__))
UTC = dt.timezone.utc
DECIMALS = {"degC": 4, "W_m2": 2, "L_min": 4, "m_s": 3, "percent": 2, "V": 4}


def celsius(f):
    return (f - 32) * 5 / 9


class Case:
    def __init__(self, name, units, args="", extra=""):
        """units: channel -> (unit in the rig, unit in readings.csv)"""
        self.name, self.units, self.args = name, units, args
        self.rig = "[test]\ntitle = %s\n%s" % (name, extra)
        for channel, (unit, _) in units.items():
            self.rig += "\n[channel %s]\nunit = %s\n" % (channel, unit)
        self.rows = []

    def row(self, when, *values, elapsed=None):
        self.rows.append((when, elapsed, values))

    def write(self, table, data, encoding="utf-8"):
        folder = os.path.join(HERE, self.name)
        os.makedirs(folder, exist_ok=True)
        with open(os.path.join(folder, table), "wb") as f:
            f.write(data if isinstance(data, bytes) else data.encode(encoding))
        with open(os.path.join(folder, "rig.ini"), "w") as f:
            f.write(self.rig)
        with open(os.path.join(folder, "args"), "w") as f:
            f.write(self.args + "\n")
        with open(os.path.join(folder, "expected.csv"), "w") as f:
            names = ["%s_%s" % (c, u[1]) for c, u in self.units.items()]
            f.write("time_utc,elapsed_s," + ",".join(names) + "\n")
            zero = self.rows[0][0]
            for when, elapsed, values in self.rows:
                if elapsed is None:
                    elapsed = (when - zero).total_seconds()
                cells = []
                for v, (_, unit) in zip(values, self.units.values()):
                    cells.append("" if v is None else "%.*f" % (DECIMALS[unit], v))
                stamp = when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
                f.write("%s,%.3f,%s\n" % (stamp, elapsed, ",".join(cells)))


C = ("degC", "degC")
F = ("degF", "degC")
W = ("W_m2", "W_m2")
START = dt.datetime(2026, 5, 16, 10, 15, tzinfo=UTC)


def series(i):
    """store degC, air degC, sun W/m2 of reading i"""
    return 17.0 + 0.4 * i, 21.5 + 0.1 * i, 700 + 15 * i - (120 if i == 7 else 0)


def kitchen():
    c = Case("kitchen-probe", {"store": F, "air": F}, "--zone America/New_York")
    t = "Cook: evening\nProbe set,2\n\nTime,Tank (F),Air (F),Alarm\n"
    zone = zoneinfo.ZoneInfo("America/New_York")
    for i in range(12):
        when = dt.datetime(2026, 5, 16, 11, 30, 5, tzinfo=zone) + dt.timedelta(minutes=5 * i)
        store, air = 63.0 + 0.9 * i, 71.0 + 0.2 * i
        local = when.strftime("%m/%d/%Y %I:%M:%S %p").lstrip("0").replace("/0", "/")
        t += "%s,%.1f,%.1f,%s\n" % (local, store, air, "off" if i < 9 else "on")
        c.row(when, celsius(round(store, 1)), celsius(round(air, 1)))
    c.write("table.csv", t)


def german():
    c = Case("speicher", {"store": C, "air": C, "sun": W}, "--zone Europe/Berlin")
    zone = zoneinfo.ZoneInfo("Europe/Berlin")
    t = "Gerät;Waschplatz 3\r\nIntervall;60 s\r\n\r\n"
    t += "Datum;Uhrzeit;Speichertemperatur [°C];Außentemperatur [°C];Einstrahlung [W/m²];\r\n"
    for i in range(15):
        when = dt.datetime(2026, 5, 16, 12, 0, tzinfo=zone) + dt.timedelta(minutes=i)
        store, air, sun = series(i)
        bad = i == 4
        t += ("%s;%s;%.2f;%s;%.1f;\r\n" % (when.strftime("%d.%m.%Y"), when.strftime("%H:%M:%S"),
                                          store, "888,8" if bad else "%.1f" % air, sun)
              ).replace(".", ",").replace(when.strftime("%d,%m,%Y"), when.strftime("%d.%m.%Y"))
        c.row(when, store, None if bad else air, sun)
    c.write("table.csv", t, "cp1252")


def french():
    c = Case("ballon", {"store": C, "air": C, "inlet": C, "outlet": C}, "--zone +02:00")
    zone = dt.timezone(dt.timedelta(hours=2))
    t = "Horodatage\tBallon (°C)\tTempérature extérieure (°C)\tEntrée capteur (°C)\tSortie capteur (°C)\n"
    for i in range(10):
        when = dt.datetime(2026, 6, 3, 9, 50, tzinfo=zone) + dt.timedelta(seconds=30 * i)
        v = (18 + .25 * i, 22 + .05 * i, 18.5 + .25 * i, 23 + .2 * i)
        t += when.strftime("%Y-%m-%d %H:%M:%S") + "".join("\t%.2f" % x for x in v).replace(".", ",") + "\n"
        c.row(when, *[round(x, 2) for x in v])
    c.write("table.txt", b"\xff\xfe" + t.encode("utf-16-le"))


def station():
    c = Case("station", {"air": F, "sun": W, "wind": ("mph", "m_s"), "humidity": ("percent", "percent")},
             "--zone America/Denver")
    zone = zoneinfo.ZoneInfo("America/Denver")
    t = ('Date,Time,"Temp, Out (°F)",Hi Temp (°F),Low Temp (°F),Hum (%),Dew Pt. (°F),Wind Speed (mph),'
         "Wind Dir,Wind Chill (°F),Solar Rad. (W/m^2),Rain (in)\n")
    c.rig = c.rig.replace("[channel air]\n", "[channel air]\n")
    for i in range(14):
        when = dt.datetime(2026, 7, 20, 13, 0, tzinfo=zone) + dt.timedelta(minutes=5 * i)
        air, sun, wind, hum = 84.0 + .3 * i, 900 - 3 * i, 4 + i % 3, 31 - i % 4
        t += "%s,%s,%.1f,%.1f,%.1f,%d,%.1f,%.1f,NW,%.1f,%d,0.00\n" % (
            when.strftime("%m/%d/%y"), when.strftime("%I:%M %p").lstrip("0"), air, air + .4, air - .3, hum, 51.0, wind,
            air, sun)
        c.row(when, celsius(round(air, 1)), sun, wind * 0.44704, hum)
    c.write("table.csv", t)


def programmed():
    """A programmable logger: year, day of the year, hhmm; no head; a code; --time."""
    c = Case("year-day", {"store": C, "air": C, "sun": W},
             "--time 2+3+4 --time-format '%Y %j %H%M' --map 5=store --map 6=air --map 7=sun --zone UTC")
    t = ""
    for i in range(16):
        when = dt.datetime(2026, 5, 16, 8, 50, tzinfo=UTC) + dt.timedelta(minutes=2 * i)
        store, air, sun = series(i)
        bad = i in (3, 9)
        t += "109,%d,%d,%d,%.3f,%s,%.1f,12.61\r\n" % (
            when.year, when.timetuple().tm_yday, int(when.strftime("%H%M")), store,
            "-6999" if bad else "%.3f" % air, sun)
        c.row(when, store, None if bad else air, sun)
    c.write("table.dat", t)


def year_day_head():
    c = Case("year-day-head", {"store": C, "air": C}, "--zone UTC")
    t = "Year,DOY,HHMM,Tank_C,Air_C\n"
    for i in range(6):
        when = dt.datetime(2026, 1, 9, 23, 45, tzinfo=UTC) + dt.timedelta(minutes=5 * i)
        store, air, _ = series(i)
        t += "%d,%d,%d,%.1f,%.1f\n" % (when.year, when.timetuple().tm_yday,
                                      int(when.strftime("%H%M")), store, air)
        c.row(when, store, air)
    c.write("table.csv", t)


def four_heads():
    c = Case("four-head-lines", {"store": C, "sun": W, "flow": ("L_min", "L_min")}, "--zone UTC")
    t = '"LOG2","yard","unit 7","v3","prog.x","minutes"\n"TIMESTAMP","RECORD","TankT_Avg","SlrRad_Avg","Flow_Tot","Batt_Min"\n'
    t += '"TS","RN","Deg C","W/m^2","gpm","Volts"\n"","","Avg","Avg","Tot","Min"\n'
    for i in range(8):
        when = START + dt.timedelta(minutes=i)
        store, _, sun = series(i)
        t += '"%s",%d,%s,%.1f,%.2f,12.7\n' % (when.strftime("%Y-%m-%d %H:%M:%S"), 900 + i,
                                             '"NAN"' if i == 5 else "%.2f" % store, sun, 0.55)
        c.row(when, None if i == 5 else store, sun, 0.55 * 3.785411784)
    c.write("table.dat", t)


def epoch_ms():
    c = Case("epoch-ms", {"store": C, "air": C})
    t = "ts_ms;tank temp / °C;ambient temp / °C\n"
    for i in range(9):
        when = dt.datetime(2026, 5, 16, 10, 15, 0, 250000, tzinfo=UTC) + dt.timedelta(seconds=2.5 * i)
        store, air, _ = series(i)
        t += "%d;%.1f;%.1f\n" % (round(when.timestamp() * 1000), store, air)
        c.row(when, store, air)
    c.write("table.csv", t)


def elapsed_minutes():
    c = Case("elapsed-minutes", {"store": C, "air": C})
    t = "Elapsed (min)\tWater °C\tAir °C\n"
    zero = dt.datetime(1970, 1, 1, tzinfo=UTC)
    for i in range(7):
        store, air, _ = series(i)
        t += "%g\t%.1f\t%.1f\n" % (i * 7.5, store, air)
        c.row(zero + dt.timedelta(minutes=7.5 * i), store, air)
    c.write("table.txt", t)


def elapsed_clock():
    c = Case("elapsed-hms", {"store": F}, "--start '2026-05-16 18:05' --zone UTC")
    t = "Elapsed time,Barrel temp (F)\n"
    zero = dt.datetime(2026, 5, 16, 18, 5, tzinfo=UTC)
    for i in range(20):
        s = 195 * i
        t += "%d:%02d:%02d,%.1f\n" % (s // 3600, s // 60 % 60, s % 60, 60 + .7 * i)
        c.row(zero + dt.timedelta(seconds=s), celsius(round(60 + .7 * i, 1)))
    c.write("table.csv", t)


def sheet_days():
    c = Case("sheet-day-numbers", {"store": C, "sun": W}, "--zone UTC")
    t = "Date;Wasser (°C);Sonne (kW/m²)\n"
    for i in range(10):
        when = START + dt.timedelta(minutes=3 * i)
        store, _, sun = series(i)
        days = (when - dt.datetime(1899, 12, 30, tzinfo=UTC)).total_seconds() / 86400
        t += ("%.9f;%.1f;%.3f\n" % (days, store, sun / 1000)).replace(".", ",")
        c.row(when, store, sun)
    c.write("table.csv", t)


def coarse():
    """Stamps to the minute, two rows in each; the first minute began in its middle."""
    c = Case("two-in-a-minute", {"store": C, "air": C}, "--zone UTC")
    t = "Time,Bucket C,Shade C\n"
    for i in range(11):
        when = START + dt.timedelta(seconds=30 + 30 * i)
        store, air, _ = series(i)
        t += "%s,%.1f,%.1f\n" % (when.strftime("%Y-%m-%d %H:%M"), store, air)
        c.row(when, store, air)
    c.write("table.csv", t)


def autumn():
    c = Case("double-hour", {"store": C}, "--zone America/Denver")
    zone = zoneinfo.ZoneInfo("America/Denver")
    t = "Time,Tank C\n"
    for i in range(16):
        when = dt.datetime(2026, 11, 1, 6, 40, tzinfo=UTC) + dt.timedelta(minutes=10 * i)
        t += "%s,%.1f\n" % (when.astimezone(zone).strftime("%Y-%m-%d %H:%M:%S"), 30 - .1 * i)
        c.row(when, round(30 - .1 * i, 1))
    c.write("table.csv", t)


def newest_first():
    c = Case("newest-first", {"store": C, "air": C}, "--zone UTC")
    lines = []
    for i in range(9):
        when = START + dt.timedelta(minutes=i)
        store, air, _ = series(i)
        lines.append("%s | %.1f | %.1f" % (when.strftime("%d-%b-%Y %H:%M:%S"), store, air))
        c.row(when, store, air)
    lines.insert(4, lines[4])
    c.write("table.txt", "when | water degC | air degC\n" + "\n".join(reversed(lines)) + "\n")


def blanks():
    c = Case("blanks", {"store": C, "air": C, "sun": W}, "--zone UTC")
    t = "# yard log\n# all times UTC\n\nDate       Time     Tank_C  Air_C  Sun_W/m2\n"
    for i in range(9):
        when = START + dt.timedelta(seconds=20 * i)
        store, air, sun = series(i)
        t += "%s   %6.2f  %5.1f  %6.1f\n" % (when.strftime("%Y-%m-%d %H:%M:%S"), store, air, sun)
        c.row(when, store, air, sun)
    c.write("table.txt", t)


def again():
    """Heads again, empty lines, a foot, an empty extra field, thousands signs."""
    c = Case("heads-again", {"store": F, "sun": W}, "--zone UTC")
    head = "Time;Tank °F;Irradiance W/m2;\n"
    t = head
    for i in range(12):
        when = START + dt.timedelta(minutes=i)
        store, sun = 61 + .5 * i, 960 + 8.5 * i
        text = "{:,.1f}".format(sun).replace(",", "'")
        t += "%s;%.1f;%s;\n" % (when.strftime("%Y-%m-%dT%H:%M:%SZ"), store, text)
        if i in (3, 7):
            t += "\n" + head
        c.row(when, celsius(store), sun)
    t += "\nMean;63.75;1006.8;\n*** end ***\n"
    c.write("table.csv", t)


def laws():
    """The rig's own laws, offsets and limits on a table of volts and ohms."""
    c = Case("laws", {"store": C, "sun": W, "air": C}, "--zone UTC")
    c.rig = ("[channel store]\nunit = degC\nconvert = linear\ngain = 100\noffset = -50\n"
             "[channel sun]\nunit = W_m2\nconvert = linear\ngain = 20\n"
             "[channel air]\nunit = degC\nhigh = 40\noffset = -0.2\n")
    t = "time,store (V),sun (mV),air (°C)\n"
    for i in range(6):
        when = START + dt.timedelta(minutes=i)
        volts, mv, air = 0.68 + 0.004 * i, 35 + i, 21.0 + i
        if i == 4:
            air = 61.0
        t += "%s,%.4f,%.2f,%.1f\n" % (when.isoformat(), volts, mv, air)
        c.row(when, 100 * volts - 50, 20 * mv, None if air > 40 else air - 0.2)
    c.write("table.csv", t)


def supply():
    c = Case("supply-return", {"inlet": C, "outlet": C, "flow": ("L_min", "L_min")}, "--zone UTC")
    t = "Zeit;Rücklauf (°C);Vorlauf (°C);Durchfluss (l/h)\n"
    for i in range(8):
        when = START + dt.timedelta(minutes=i)
        t += ("%s;%.1f;%.1f;%d\n" % (when.strftime("%d/%m/%Y@%H:%M:%S"), 20 + i * .5, 26 + i * .5, 150)
              ).replace(".", ",").replace("@", " ")
        c.row(when, 20 + i * .5, 26 + i * .5, 2.5)
    c.write("table.csv", t)


def only_codes():
    c = Case("only-codes", {"store": C, "air": C}, "--zone UTC")
    t = "Time,Tank C,Air C\n"
    for i in range(6):
        when = START + dt.timedelta(minutes=i)
        t += "%s,%.1f,-999.9\n" % (when.strftime("%Y-%m-%d %H:%M:%S"), 20 + i)
        c.row(when, 20 + i, None)
    c.write("table.csv", t)


def two_readings():
    c = Case("two-readings", {"store": F, "air": F}, "--zone UTC")
    t = "date,time,water F,air F\n2026-05-16,5:05 PM,64,72\n2026-05-16,6:20 PM,95,74\n"
    c.row(dt.datetime(2026, 5, 16, 17, 5, tzinfo=UTC), celsius(64), celsius(72))
    c.row(dt.datetime(2026, 5, 16, 18, 20, tzinfo=UTC), celsius(95), celsius(74))
    c.write("table.csv", t)


def twice():
    """Late and doubled rows under stamps to the minute; units in columns of their own."""
    c = Case("late-and-twice", {"store": F, "air": F}, "--zone UTC")
    lines = []
    for i in range(9):
        when = START + dt.timedelta(minutes=5 * i)
        store, air, _ = series(i)
        lines.append("%s,%.1f,°C,%.1f,°C\n" % (when.strftime("%Y-%m-%d %H:%M"), store, air))
        c.row(when, store, air)
    lines.insert(3, lines[3])
    lines[6], lines[7] = lines[7], lines[6]
    c.write("table.csv", "When,Water,unit,Shade,unit\n" + "".join(lines))


def midnight():
    """Day or month first: only so do the days follow each other."""
    c = Case("across-midnight", {"store": C}, "--zone UTC")
    t = "when,store\n"
    for i in range(8):
        when = dt.datetime(2026, 6, 5, 23, 42, tzinfo=UTC) + dt.timedelta(minutes=5 * i)
        t += "%s,%.1f\n" % (when.strftime("%d/%m/%Y %H:%M"), 40 - .2 * i)
        c.row(when, round(40 - .2 * i, 1))
    c.write("table.csv", t)


def pairs_above():
    """Inlet and outlet stand in joined cells above the heads."""
    c = Case("joined-heads", {"inlet": C, "outlet": C}, "--zone UTC")
    t = ",Inlet,,Outlet,\nTime,Temp (°C),RH (%),Temp (°C),RH (%)\n"
    for i in range(5):
        when = START + dt.timedelta(minutes=i)
        t += "%s,%.1f,40,%.1f,41\n" % (when.strftime("%Y/%m/%d %H:%M:%S"), 20 + i, 24 + i)
        c.row(when, 20 + i, 24 + i)
    c.write("table.csv", t)


for make in (kitchen, german, french, station, programmed, year_day_head, four_heads, epoch_ms,
             elapsed_minutes, elapsed_clock, sheet_days, coarse, autumn, newest_first, blanks, again,
             laws, supply, only_codes, two_readings, twice, midnight, pairs_above):
    make()
