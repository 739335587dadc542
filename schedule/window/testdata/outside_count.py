"""Counts known days, candidate days and hours by month from a raw weather file.

An outside check of the window count: it shares no code with the program, reads
the raw text by its own means (datetime, csv, fixed slices) and does the
arithmetic day by day in the plainest way. Usage:

    outside_count.py FORMAT FILE UTC_OFFSET PRESCRIPTION.json...

A table is printed for each prescription.
"""
import csv
import datetime as dt
import gzip
import io
import json
import math
import sys

FORMAT, PATH, OFFSET = sys.argv[1], sys.argv[2], float(sys.argv[3])


def text():
    raw = open(PATH, "rb").read()
    if raw[:2] == b"\x1f\x8b":
        raw = gzip.decompress(raw)
    return raw.decode("latin-1")


def magnus(t, td):
    def e(x):
        return 6.112 * math.exp(17.62 * x / (243.12 + x))
    return min(100.0, 100.0 * e(td) / e(t))


def fahrenheit(c):
    return None if c is None else c * 9 / 5 + 32


def mph(ms):
    return None if ms is None else ms * 3600 / 1609.344


def slot(moment):
    """The (date, label) of the hour that ends at or after a moment."""
    up = moment.replace(minute=0, second=0)
    if up != moment:
        up += dt.timedelta(hours=1)
    begin = up - dt.timedelta(hours=1)
    return begin.date(), begin.hour + 1


def row(day, label, t=None, rh=None, wind=None, frm=None, rain=None, trace=False, over=1):
    """t in F, rh in percent, wind in mph at 10 m, rain in inches; None is missing."""
    if wind == 0:
        frm = None
    return dict(day=day, label=label, t=t, rh=rh, wind=wind, frm=frm, rain=rain, trace=trace, over=over)


def epw():
    for line in text().splitlines()[8:]:
        f = line.split(",")
        t, rh, d, v = float(f[6]), float(f[8]), float(f[20]), float(f[21])
        p, q = float(f[33]), float(f[34])
        yield row(dt.date(2001, int(f[1]), int(f[2])), int(f[3]),
                  None if t >= 99.9 else fahrenheit(t), None if rh >= 999 else rh, None if v >= 999 else mph(v),
                  None if d >= 999 else d, None if p >= 999 else p / 25.4, over=1 if q >= 99 else int(q))


def tmy3():
    lines = text().splitlines()
    for f in csv.DictReader(lines[1:]):
        month, day, _ = f["Date (MM/DD/YYYY)"].split("/")
        g = {k: float(f[k]) for k in ("Dry-bulb (C)", "RHum (%)", "Wspd (m/s)", "Wdir (degrees)", "Lprecip depth (mm)")}
        g = {k: None if v < -9000 else v for k, v in g.items()}
        p = g["Lprecip depth (mm)"]
        yield row(dt.date(2001, int(month), int(day)), int(f["Time (HH:MM)"][:2]), fahrenheit(g["Dry-bulb (C)"]), g["RHum (%)"],
                  mph(g["Wspd (m/s)"]), g["Wdir (degrees)"], None if p is None else p / 10 / 25.4)  # tenths; see PROVENANCE.md


def tmy2():
    for line in text().splitlines()[1:]:
        t, rh, d, v = int(line[67:71]), int(line[79:82]), int(line[90:93]), int(line[95:98])
        yield row(dt.date(2001, int(line[3:5]), int(line[5:7])), int(line[7:9]), None if t == 9999 else fahrenheit(t / 10),
                  None if rh == 999 else rh, None if v == 999 else mph(v / 10), None if d == 999 else d)


def isdlite():
    for line in text().splitlines():
        f = [int(x) for x in line.split()]
        day, label = slot(dt.datetime(f[0], f[1], f[2], f[3]) + dt.timedelta(hours=OFFSET))
        def tenth(x):
            return None if x == -9999 else x / 10
        t, td, v = tenth(f[4]), tenth(f[5]), tenth(f[8])
        if t is not None and t < -95:
            t = None
        if v is not None and v < 0:
            v = None
        yield row(day, label, fahrenheit(t), None if t is None or td is None else magnus(t, td), mph(v),
                  f[7] if 0 <= f[7] <= 360 else None, None if f[10] == -9999 else max(f[10], 0) / 10 / 25.4, f[10] == -1)


def isd():
    for line in text().splitlines():
        if line[41:46] != "FM-15":
            continue
        day, label = slot(dt.datetime.strptime(line[15:27], "%Y%m%d%H%M") + dt.timedelta(hours=OFFSET))
        def value(s, missing, quality):
            return None if int(s) == missing or quality in "2367" else int(s)
        t, td = value(line[87:92], 9999, line[92]), value(line[93:98], 9999, line[98])
        v, d = value(line[65:69], 9999, line[69]), value(line[60:63], 999, line[63])
        rain, trace = None, False
        groups = line[108:].split("REM")[0]
        for n in "1234":
            at = groups.find("AA" + n)
            if at >= 0 and groups[at + 3:at + 5] == "01" and groups[at + 5:at + 9] != "9999":
                rain = int(groups[at + 5:at + 9]) / 10 / 25.4
                trace = rain == 0 and groups[at + 9] == "2"
                break
        yield row(day, label, None if t is None else fahrenheit(t / 10),
                  None if t is None or td is None else magnus(t / 10, td / 10), None if v is None else mph(v / 10),
                  None if line[64] == "C" else d, rain, trace)


def globalhourly():
    for f in csv.DictReader(io.StringIO(text())):
        if f["REPORT_TYPE"].strip() != "FM-15":
            continue
        day, label = slot(dt.datetime.fromisoformat(f["DATE"]) + dt.timedelta(hours=OFFSET))
        def value(s, missing, quality):
            return None if int(s) == missing or quality in ("2", "3", "6", "7") else int(s)
        w, t, td = f["WND"].split(","), value(*(lambda p: (p[0], 9999, p[1]))(f["TMP"].split(","))), value(*(lambda p: (p[0], 9999, p[1]))(f["DEW"].split(",")))
        v, d = value(w[3], 9999, w[4]), value(w[0], 999, w[1])
        yield row(day, label, None if t is None else fahrenheit(t / 10),
                  None if t is None or td is None else magnus(t / 10, td / 10), None if v is None else mph(v / 10),
                  None if w[2] == "C" else d)


def lcd():
    def value(s):
        s = s.strip()
        try:
            return float(s)
        except ValueError:
            return None  # blank, *, VRB, and values with a mark behind them
    for f in csv.DictReader(io.StringIO(text())):
        if f["REPORTTPYE"] != "FM-15":
            continue
        day, label = slot(dt.datetime.strptime(f["DATE"], "%Y-%m-%d %H:%M"))
        p = f["HOURLYPrecip"].strip()
        rain = 0.0 if p == "T" else value(p.rstrip("s"))
        yield row(day, label, value(f["HOURLYDRYBULBTEMPF"]), value(f["HOURLYRelativeHumidity"]), value(f["HOURLYWindSpeed"]),
                  value(f["HOURLYWindDirection"]), rain, p == "T")


hours = {}
for r in globals()[FORMAT]():
    hours.setdefault((r["day"], r["label"]), r)

# Depths over several hours: what is not another hour's own belongs to the last.
for r in hours.values():
    r["wet"] = r["trace"] or bool(r["rain"])
for (day, label), r in hours.items():
    if r["over"] > 1 and r["rain"] is not None:
        for back in range(1, r["over"]):
            begin = dt.datetime.combine(day, dt.time()) + dt.timedelta(hours=label - 1 - back)
            other = hours.get((begin.date(), begin.hour + 1))
            if other is None:
                continue
            if other["rain"] is None:
                other["wet"] = other["wet"] or r["wet"]
            else:
                r["rain"] = max(0.0, r["rain"] - other["rain"])

days = sorted({d for d, _ in hours})


def within(limits, v):
    if limits is None:
        return True
    a, b = limits
    return (a is None or v >= a - 1e-9) and (b is None or v <= b + 1e-9)


def emc(t, h):
    if h < 10:
        return 0.03229 + 0.281073 * h - 0.000578 * h * t
    if h < 50:
        return 2.22749 + 0.160107 * h - 0.01478 * t
    return 21.0606 + 0.005565 * h ** 2 - 0.00035 * h * t - 0.483199 * h


def counts(P, since, day, r):
    if r["t"] is None or r["rh"] is None or r["wind"] is None:
        return False
    wind = r["wind"] if P.get("wind_height", "10-m") == "10-m" else r["wind"] / 1.15
    if not (within(P.get("temp_f"), r["t"]) and within(P.get("rh_pct"), r["rh"]) and within(P.get("wind_mph"), wind)):
        return False
    if not within(P.get("fuel_moisture_pct"), emc(r["t"], r["rh"])):
        return False
    if P.get("dry_hour") and r["wet"]:
        return False
    sectors = P.get("wind_from_deg")
    if sectors and not (r["frm"] is not None and any(
            (a <= r["frm"] % 360 <= b) if a <= b else (r["frm"] % 360 >= a or r["frm"] % 360 <= b) for a, b in sectors)):
        return False
    s = P.get("days_since_rain")
    return not s or (s["min"] is None or since[day] >= s["min"]) and (s["max"] is None or since[day] <= s["max"])


def count(P):
    # The burn hours as (days ahead, label): those of a night go on into the next day.
    lo, hi = [int(x[:2]) * 60 + int(x[3:]) for x in P["burn_hours"]]
    if hi < lo:
        hi += 24 * 60
    labels = [(h // 24, h % 24 + 1) for h in range(48) if h * 60 >= lo and (h + 1) * 60 <= hi]
    since, last = {}, None
    for day in days:
        total = sum(hours[day, h]["rain"] or 0 for h in range(1, 25) if (day, h) in hours)
        if P.get("days_since_rain") and total >= P["days_since_rain"]["inches"] - 1e-9:
            last = day
        since[day] = math.inf if last is None else (day - last).days

    table = {m: [0, 0, 0] for m in range(1, 13)}
    for day in days:
        found = [hours.get((day + dt.timedelta(days=ahead), h)) for ahead, h in labels]
        known = [r for r in found if r is not None and None not in (r["t"], r["rh"], r["wind"])]
        if len(known) < 0.8 * len(labels):
            continue
        marks = "".join("x" if r is not None and counts(P, since, day, r) else "." for r in found)
        table[day.month][0] += 1
        table[day.month][1] += "x" * P["min_hours"] in marks
        table[day.month][2] += marks.count("x")
    print("month,known_days,candidate_days,hours")
    for m in range(1, 13):
        print(m, *table[m], sep=",")
    print("year", *[sum(table[m][i] for m in table) for i in range(3)], sep=",")


for name in sys.argv[4:]:
    count(json.load(open(name)))
