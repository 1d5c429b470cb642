"""Sheets whose cells and headers are written as people write them: units in
header and cell, fractions, times, dates, marks, words and numbers as text.
Written by openpyxl and by LibreOffice."""

import datetime
from datetime import date, time, timedelta
from corpus import *

BOTH = ("openpyxl", "libreoffice")
KEYS = ["date", "mold", "dwell", "wall"]


def number_text(x, comma=False):
    return (f"{x:g}".replace(".", ",") if comma else f"{x:g}", "text")


# --- headers ---------------------------------------------------------------

@case("headers-by-synonym", *BOTH)
def synonyms(want, v):
    s = Sheet("Sheet1")
    heads = [["No.", "Cast on", "Mould", "Batch of slip", "Soak time (mins)", "Thickness [mm]", "Quality", "Remarks", "Air temp."],
             ["#", "Casting date", "Mould No", "Slip lot", "Time in mold, min", "Wall thk. (mm)", "Grade", "Comments", "Studio temp (°C)"]][v]
    recs = casts(12, ["M-01", "M-02", "M-03"])
    words = {"good": ["ok", "first"], "second": ["2nd", "seconds"], "reject": ["binned", "scrap"]}
    for i, r in enumerate(recs):
        r["room_temperature"], r["note"] = 19.0 + i % 3, ["", "new spout", "", "slip stirred twice"][i % 4]
    fs = [of("cast"), day("date"), of("mold"), of("slip"), of("dwell"), of("wall"), lambda r: words[r["result"]][v], of("note"), of("room_temperature")]
    s.table("A1", list(zip(heads, fs)), recs, want.rows("casts", s.name, ["cast", "date", "mold", "slip", "dwell", "wall", "result", "note", "room_temperature"]))
    want.plain(s, "casts")
    return [s]


@case("headers-misspelt", *BOTH)
def misspelt(want, v):
    s = Sheet("Casts")
    heads = [["Datte", "Mold nubmer", "Dwel (min)", "Wal (mm)", "Reslut"], ["Dtae", "Modl", "Dwell tiem (min)", "Wall thicknes (mm)", "Resutl"]][v]
    s.table("A1", list(zip(heads, [day("date"), of("mold"), of("dwell"), of("wall"), of("result")])), casts(10, ["M-01", "M-02"]),
            want.rows("casts", s.name, KEYS + ["result"]))
    want.plain(s, "casts")
    return [s]


@case("headers-abbreviated", "libreoffice")
def abbreviated(want, v):
    s = Sheet("P")
    recs = [dict(pour=f"P{i}", date=date(2025, 3, i), plaster=2.0 + i / 10, water=1.4 + i / 10, inside_diameter=200.0 + i, plaster_over_model=30.0 + i) for i in range(1, 9)]
    heads = ["Pour #", "Dt", "Plstr kg", "Wtr kg", "Ins. dia. mm", "Cover mm"]
    s.table("A1", list(zip(heads, [of("pour"), day("date")] + [of(k) for k in list(recs[0])[2:]])), recs, want.rows("pours", s.name, list(recs[0])))
    want.plain(s, "pours")
    return [s]


# --- units -----------------------------------------------------------------

@case("inches-and-fractions", *BOTH)
def fractions(want, v):
    s = Sheet("Casts")
    written = [('3/16"', 3 / 16), ("1/4 in", 1 / 4), ('7/32"', 7 / 32), ("3/16 in.", 3 / 16), ("0.21 in", 0.21), ("¼ in", 1 / 4), ("5/32 inch", 5 / 32), ("3⁄16″", 3 / 16)]
    if v:  # the unit in the header
        written = [("3/16", 3 / 16), ("1/4", 1 / 4), ("7/32", 7 / 32), ("0.2", 0.2), ("¼", 1 / 4), ("13/64", 13 / 64), ("5/32", 5 / 32), ("3/16", 3 / 16)]
    recs = casts(8, ["M-01", "M-02"])
    for r, (text, inches) in zip(recs, written):
        r["text"], r["wall"] = text, inches * INCH
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), (["Wall", "Wall (in)"][v], lambda r: (r["text"], "text"))], recs, want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


@case("feet-and-inches-pounds-and-ounces", *BOTH)
def imperial(want, v):
    s = Sheet("Pours")
    sizes = [("1' 2\"", FOOT + 2 * INCH), ("1 ft 3 1/2 in", FOOT + 15.5 * INCH - 12 * INCH), ('14 1/4"', 14.25 * INCH), ("1'6\"", 18 * INCH), ("1 foot", FOOT), ("15-1/2 in", 15.5 * INCH), ("1.25 ft", 1.25 * FOOT)]
    plaster = [("12 lb 6 oz", 12 * POUND + 6 * OUNCE), ("14 lbs", 14 * POUND), ("9 lb 8 oz", 9 * POUND + 8 * OUNCE), ("10.5 lb", 10.5 * POUND), ("11# 4oz", 11 * POUND + 4 * OUNCE), ("13 pounds", 13 * POUND), ("192 oz", 192 * OUNCE)]
    water = [("4 qt", 4 * QUART), ("1 gal 1 qt", 5 * QUART), ("3.5 quarts", 3.5 * QUART), ("1 gallon", GALLON), ("4.2 L", 4.2), ("4 1/2 qts", 4.5 * QUART), ("4.75 litres", 4.75)]
    recs = []
    for i in range(7):
        a, b = sizes[i], sizes[(i + 3) % 7]
        recs.append(dict(pour=f"P{i + 1}", date=date(2025, 1, 6 + 3 * i), plaster=plaster[i][1], water=water[i][1] * WATER, inside_length=a[1], inside_width=b[1],
                         text=[plaster[i][0], water[i][0], a[0], b[0]]))
    heads = [["Pour", "Date", "Plaster", "Water", "Inside length", "Inside width"], ["Batch", "Poured on", "Dry plaster", "Water used", "Inner length", "Inner width"]][v]
    fs = [of("pour"), day("date")] + [lambda r, k=k: (r["text"][k], "text") for k in range(4)]
    s.table("B2" if v else "A1", list(zip(heads, fs)), recs, want.rows("pours", s.name, ["pour", "date", "plaster", "water", "inside_length", "inside_width"]))
    want.plain(s, "pours")
    return [s]


@case("units-in-the-header", "openpyxl")
def header_units(want, v):
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"])
    for i, r in enumerate(recs):
        r["f"], r["lb"], r["cm"], r["h"], r["rh"] = 62 + i, 8 + i / 4, r["wall"] / 10, r["dwell"] / 60, 40 + i
        r["room_temperature"], r["mold_mass"], r["room_humidity"] = fahrenheit(62 + i), (8 + i / 4) * POUND, (40 + i) / 100
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell [h]", of("h")), ("Wall in cm", of("cm")), ("Mold weight (lb)", of("lb")), ("Room °F", of("f")), ("RH %", of("rh"))],
            recs, want.rows("casts", s.name, KEYS + ["mold_mass", "room_temperature", "room_humidity"]))
    want.plain(s, "casts")
    return [s]


@case("units-in-the-cells", *BOTH)
def cell_units(want, v):
    s = Sheet("Casts")
    recs = casts(12, ["M-01", "M-02", "M-03"])
    for i, r in enumerate(recs):
        r["walltext"] = [f"{r['wall']:g} mm", f"{r['wall'] / 10:.2f} cm", f"{r['wall']:g}mm"][i % 3]
        r["dwelltext"] = [f"{r['dwell']:g} min", f"{r['dwell']:g} minutes", f"{r['dwell']:g}'"][i % 3] if v == 0 else [f"{r['dwell']:g}m", f"{r['dwell']:g} mins", f"0h{r['dwell']:02.0f}"][i % 3]
        f = 64 + i
        r["temp"], r["room_temperature"] = [(f"{f} °F", fahrenheit(f)), (f"{f}F", fahrenheit(f)), ("19.5 °C", 19.5)][i % 3]
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell", of("dwelltext")), ("Wall", of("walltext")), ("Room temperature", of("temp"))],
            recs, want.rows("casts", s.name, KEYS + ["room_temperature"]))
    want.plain(s, "casts")
    return [s]


# --- times -----------------------------------------------------------------

@case("dwell-as-text-with-colons", "openpyxl", "libreoffice")
def colons(want, v):
    """hh:mm in one file, mm:ss in the other, as the header says."""
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"])
    for i, r in enumerate(recs):
        if v:
            r["dwell"] += [0, 0.5, 0.25][i % 3]
        r["text"] = f"0:{r['dwell']:02.0f}" if v == 0 else f"{int(r['dwell'])}:{round(r['dwell'] % 1 * 60):02d}"
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), (["Dwell (hh:mm)", "Dwell [mm:ss]"][v], lambda r: (r["text"], "text")), ("Wall (mm)", of("wall"))], recs, want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


@case("spreadsheet-times-and-durations", *BOTH)
def durations(want, v):
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"])
    recs[3]["dwell"], recs[3]["wall"] = 65.0, 9.1
    as_time = lambda m: time(int(m) // 60, int(m) % 60)
    s.table("A1", [("Date", day("date")), ("Filled at", lambda r: (as_time(r["time"]), "time")), ("Mold", of("mold")),
                   ("Dwell", lambda r: (timedelta(minutes=r["dwell"]), "duration") if v == 0 or r["dwell"] > 60 else (as_time(r["dwell"]), "time")),
                   ("Demold", lambda r: (timedelta(minutes=r["dwell"] * 4), "duration")), ("Wall (mm)", of("wall"))],
            recs, lambda r, row: want.row("casts", s.name, row, date=r["date"], time=r["time"], mold=r["mold"], dwell=r["dwell"], demold=r["dwell"] * 4, wall=r["wall"]))
    want.plain(s, "casts")
    return [s]


@case("date-and-time-in-one-cell", "libreoffice")
def stamps(want, v):
    s = Sheet("Casts")
    recs = casts(8, ["M-01", "M-02"])
    s.table("A1", [("Date", lambda r: (datetime.datetime.combine(r["date"], time(int(r["time"]) // 60, int(r["time"]) % 60)), "stamp")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))],
            recs, want.rows("casts", s.name, ["date", "time", "mold", "dwell", "wall"]))
    want.problem(s.name, "", "time-from-date")
    want.plain(s, "casts")
    return [s]


@case("dates-from-1904", *BOTH, epoch1904=True)
def epoch(want, v):
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"], date(2025, 2, 24))
    s.table("A1", [("Date", day("date", ["date", "dmy"][v])), ("Mold", of("mold")), ("Dwell", lambda r: (timedelta(minutes=r["dwell"]), "duration")), ("Wall (mm)", of("wall"))], recs, want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


# --- dates as text ---------------------------------------------------------

def dated(name, program, write, start, every, problem=None, ambiguous=(), header="Date"):
    @case(name, program)
    def make(want, v):
        s = Sheet("Casts")
        recs = casts(12, ["M-01", "M-02"], start, every)
        unreadable = [i for i, r in enumerate(recs) if r["date"] in ambiguous]
        def where(r, row):
            if recs.index(r) in unreadable:
                want.problem(s.name, f"A{row}", "ambiguous-date", ASIDE)
            else:
                want.row("casts", s.name, row, **{k: r[k] for k in KEYS})
        s.table("A1", [(header, lambda r: (write(r["date"]), "text")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))], recs, where)
        if problem:
            want.problem(s.name, "A1", problem)
        want.plain(s, "casts", aside=len(unreadable))
        return [s]


dated("dates-iso-as-text", "openpyxl", lambda d: d.isoformat(), date(2025, 3, 3), 2)
dated("dates-day-first", "libreoffice", lambda d: f"{d.day}/{d.month}/{d.year}", date(2025, 3, 3), 4, "date-order")
dated("dates-month-first", "openpyxl", lambda d: f"{d.month:02d}/{d.day:02d}/{d.year}", date(2025, 3, 3), 4, "date-order")
dated("dates-with-points", "libreoffice", lambda d: f"{d.day:02d}.{d.month:02d}.{d.year % 100:02d}", date(2025, 3, 3), 1)
dated("dates-in-words", "openpyxl", lambda d: [d.strftime("%d %B %Y"), d.strftime("%b %d, %Y"), d.strftime("%a %d %b %Y"), d.strftime("%d-%b-%y")][d.day % 4], date(2025, 3, 3), 3)
dated("dates-ambiguous", "openpyxl", lambda d: f"{d.month}/{d.day}/{d.year}", date(2025, 3, 2), 2, "date-order-unknown", ambiguous=[date(2025, 3, n) for n in (2, 4, 6, 8, 10, 12)])
dated("dates-ambiguous", "libreoffice", lambda d: f"{d.day:02d}/{d.month:02d}/{d.year % 100:02d}", date(2025, 5, 1), 2, "date-order-unknown", ambiguous=[date(2025, 5, n) for n in (1, 3, 7, 9, 11)], header="Date cast")


@case("dates-order-by-header", "libreoffice")
def stated(want, v):
    s = Sheet("Casts")
    recs = casts(8, ["M-01", "M-02"], date(2025, 5, 1), 2)
    s.table("A1", [("Date (dd/mm/yyyy)", lambda r: (r["date"].strftime("%d/%m/%Y"), "text")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))], recs, want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


# --- numbers and marks -----------------------------------------------------

@case("numbers-as-text", *BOTH)
def texts(want, v):
    s = Sheet("Casts")
    pad = [lambda x: x, lambda x: f" {x}\u00a0"][v]
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", lambda r: (pad(f"{r['dwell']:g}"), "text")), ("Wall (mm)", lambda r: (pad(f"{r['wall']:.2f}"), "text"))],
            casts(10, ["7", "8"]), want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


@case("decimal-commas-in-a-workbook", *BOTH)
def commas(want, v):
    s = Sheet("Casts")
    recs = casts(11, ["M-01", "M-02"])
    s.table("A1", [("Date", day("date", "dot")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", lambda r: number_text(r["wall"], comma=v == 0 or recs.index(r) % 2 == 0)),
                   ("Mold mass (kg)", lambda r: number_text(4.25 + r["dwell"] / 10, comma=True))],
            recs, lambda r, row: want.row("casts", s.name, row, **{k: r[k] for k in KEYS}, mold_mass=round(4.25 + r["dwell"] / 10, 6)))
    want.plain(s, "casts")
    return [s]


@case("marks-for-nothing", *BOTH)
def nothing(want, v):
    """n/a, - and ? for values that are not there."""
    s = Sheet("Casts")
    marks = [["n/a", "-", "?", "—"], ["na", "--", "??", "n.a."]][v]
    recs = casts(15, ["M-01", "M-02", "M-03"])
    def where(r, row):
        i = recs.index(r)
        vals = {k: r[k] for k in KEYS + ["slip", "demold"]}
        if i % 5 == 1:
            vals["wall"] = None
        if i % 5 == 2:
            vals["demold"] = None
        if i % 5 == 3:
            vals["slip"] = None
        if i == 9:
            vals["dwell"] = None
            want.problem(s.name, f"C{row}", "missing", ASIDE)
            want.aside_but_aged(s.name)
        want.row("casts", s.name, row, **vals)
    for r in recs:
        r["demold"] = r["dwell"] * 3
    mark = lambda key, rest: lambda r: marks[recs.index(r) // 5 + rest % 2] if recs.index(r) % 5 == rest or rest == 9 and recs.index(r) == 9 else r[key]
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", mark("dwell", 9)), ("Wall (mm)", mark("wall", 1)), ("Demold (min)", mark("demold", 2)), ("Slip", mark("slip", 3))], recs, where)
    want.plain(s, "casts")
    return [s]


@case("approximate-values", *BOTH)
def approximate(want, v):
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"])
    forms = [["~{}", "ca. {}", "≈{}", "about {}"], ["~ {}", "approx. {}", "c. {}", "~{}"]][v]
    for i in (2, 5, 7, 8):
        recs[i]["text"] = forms[(2, 5, 7, 8).index(i)].format(f"{recs[i]['wall']:g}")
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", lambda r: r.get("text", r["wall"]))], recs, want.rows("casts", s.name, KEYS))
    want.problem(s.name, "", "approximate")
    want.plain(s, "casts")
    return [s]


@case("ditto-marks", *BOTH)
def ditto(want, v):
    s = Sheet("Casts")
    marks = [['"', "“", "do."], ["ditto", "〃", "''"]][v]
    recs = casts(16, ["M-01"] * 1, slips=("S1", "S2"), every=1)
    for i, r in enumerate(recs):
        r["date"] = date(2025, 3, 3) + timedelta(days=i // 4)
        r["mold"] = f"M-{i % 4 + 1:02d}"
        if i % 4:
            r["slip"], r["dwell"] = recs[i - 1]["slip"], recs[i - 1]["dwell"]
    same = lambda key, mark: lambda r: mark if recs.index(r) % 4 else (r[key], "date") if key == "date" else r[key]
    s.table("A1", [("Date", same("date", marks[0])), ("Mold", of("mold")), ("Slip", same("slip", marks[1])), ("Dwell (min)", same("dwell", marks[2])), ("Wall (mm)", of("wall"))], recs, want.rows("casts", s.name, KEYS + ["slip"]))
    want.problem(s.name, "", "ditto-read")
    want.plain(s, "casts")
    return [s]


@case("notes-behind-numbers", *BOTH)
def behind(want, v):
    s = Sheet("Casts")
    recs = casts(12, ["M-01", "M-02", "M-03"])
    notes = {2: ("wall", ["{} thin at foot", "{} mm thin at foot"][v]), 5: ("dwell", ["{} (rushed)", "{} min (rushed)"][v]), 9: ("wall", ["{} (rim)", "{}, uneven"][v])}
    for i, (key, text) in notes.items():
        recs[i]["text " + key] = text.format(f"{recs[i][key]:g}")
        want.problem(s.name, f"{'DC'[key == 'dwell']}{i + 2}", "note-behind-number")
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", lambda r: r.get("text dwell", r["dwell"])), ("Wall (mm)", lambda r: r.get("text wall", r["wall"]))], recs, want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


# --- plausibility ----------------------------------------------------------

@case("wall-in-inches-among-millimetres", *BOTH)
def doubted(want, v):
    s = Sheet("Casts")
    recs = casts(14, ["M-01", "M-02"])
    odd = {4: 0.2, 9: [0.22, 0.1875][v]}
    def where(r, row):
        i = recs.index(r)
        wall = r["wall"]
        if i in odd:
            wall = None
            want.problem(s.name, f"D{row}", "unit-doubted", ANY)
            want.aside_but_aged(s.name)
        want.row("casts", s.name, row, date=r["date"], mold=r["mold"], dwell=r["dwell"], wall=wall)
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), (["Wall", "wall"][v], lambda r: odd.get(recs.index(r), r["wall"]))], recs, where)
    want.plain(s, "casts")
    return [s]


@case("wall-of-five-inches", *BOTH)
def not_believed(want, v):
    s = Sheet("Casts")
    recs = casts(10, ["M-01", "M-02"])
    def where(r, row):
        i = recs.index(r)
        wall = r["wall"]
        if v == 0 or i == 3:
            wall = None
            want.problem(s.name, f"D{row}", "unit-doubted", ANY)
            want.aside_but_aged(s.name)
        want.row("casts", s.name, row, date=r["date"], mold=r["mold"], dwell=r["dwell"], wall=wall)
    s.table("A1", [("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")),
                   (["Wall (in)", "Wall"][v], lambda r: r["wall"] if v == 0 else (f"{r['wall']:g} in" if recs.index(r) == 3 else f"{r['wall']:g} mm"))], recs, where)
    want.plain(s, "casts")
    return [s]


convert_all()
