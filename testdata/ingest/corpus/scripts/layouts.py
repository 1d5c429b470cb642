"""Sheets whose tables do not start in A1 and are not alone: titles, notes,
merged and doubled headers, gaps, neighbours, totals, repeats, hidden parts.
Written by openpyxl and by LibreOffice."""

import datetime
from corpus import *

BOTH = ("openpyxl", "libreoffice")
KEYS = ["cast", "date", "mold", "dwell", "wall"]
PLAIN = [("Cast", of("cast")), ("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))]


@case("titles-and-notes", *BOTH)
def titles(want, v):
    s = Sheet("Casting")
    s.put("A1", ["Casting room log", "Slip casts, spring term"][v])
    s.put("A2", "Walls at the foot, measured with the pin gauge")
    s.put("A3", "Dwell is counted from the full mold")
    s.put("C4", "Checked by: class B")
    s.put("F4", "page 1 of 1")
    s.put("B6", "Note: S2 is the thinner batch" if v else "Note: please write every cast down")
    head = 8 + v
    s.table(f"A{head}", PLAIN + [("Slip", of("slip"))], casts(18, ["M-01", "M-02", "M-03"], slips=("S1", "S2")), want.rows("casts", s.name, KEYS + ["slip"]))
    want.plain(s, "casts")
    return [s]


@case("header-two-lines", *BOTH)
def two_lines(want, v):
    s = Sheet("Log")
    if v == 0:
        s.across("A1", ["Mold", "Date", "Dwell", "Wall", "Wall", "Room"])
        s.across("A2", ["no.", "cast", "time (min)", "1 (mm)", "2 (mm)", "temp. (°C)"])
    else:
        s.across("A1", ["Mold", "Date of", "Dwell", "Wall", "Wall", "Room"])
        s.across("A2", ["", "casting", "[min]", "rim [mm]", "foot [mm]", "temperature [°C]"])
    cols = [("", of("mold")), ("", day("date")), ("", of("dwell")), ("", lambda r: r["wall"][0]), ("", lambda r: r["wall"][1]), ("", of("room_temperature"))]
    recs = casts(14, ["K-1", "K-2"])
    for i, r in enumerate(recs):
        r["wall"] = [r["wall"], round(r["wall"] + 0.2, 1)]
        r["room_temperature"] = 18.0 + i % 4
    s.table("A3", cols, recs, want.rows("casts", s.name, ["mold", "date", "dwell", "wall", "room_temperature"]), header=False)
    want.plain(s, "casts")
    return [s]


@case("merged-header", *BOTH)
def merged_header(want, v):
    s = Sheet("Pours")
    s.put("A1", "Plaster pours, bench 2")
    s.merges.append("A1:I1")
    # The upper header cells span what belongs together; the lower ones name it.
    s.across("A3", ["Pour", "Date", "Mold", "Mixed", "", "Containment wall", "", "Outcome"])
    s.across("D4", ["Plaster (kg)", "Water (kg)", "Inside length (mm)", "Inside width (mm)"])
    s.merges += ["A3:A4", "B3:B4", "C3:C4", "D3:E3", "F3:G3", "H3:H4"]
    recs = []
    for i in range(9 + v):
        plaster = 4.0 + 0.3 * (i % 5)
        recs.append(dict(pour=f"P{i + 1}", date=datetime.date(2025, 1, 8) + datetime.timedelta(days=7 * i), mold=f"M-{i + 1:02d}", plaster=round(plaster, 1),
                         water=round(0.7 * plaster, 2), inside_length=float(240 + 10 * (i % 3)), inside_width=float(180 + 5 * i), outcome=["good", "good", "short", "leaked"][i % 4]))
    keys = list(recs[0])
    s.table("A5", [("", day("date") if k == "date" else of(k)) for k in keys], recs, want.rows("pours", s.name, keys), header=False)
    want.plain(s, "pours")
    return [s]


@case("merged-dates", *BOTH)
def merged_dates(want, v):
    s = Sheet("By day")
    recs = casts(16, ["A1", "A2", "A3", "A4"], every=3 + v)
    s.table("A1", [("Date", lambda r: (r["date"], "date") if r["mold"] == "A1" else None)] + PLAIN[2:], recs, want.rows("casts", s.name, ["date", "mold", "dwell", "wall"]))
    s.merges = ["A2:A5", "A6:A9", "A10:A13", "A14:A17"]
    want.problem(s.name, "", "merged-cells")
    want.plain(s, "casts")
    return [s]


@case("blank-rows-and-columns", *BOTH)
def blanks(want, v):
    s = Sheet("Casts")
    blank = ("", lambda r: None)
    recs = []
    for i, r in enumerate(casts(15, ["M-01", "M-02", "M-03"])):
        if i and i % 3 == 0:
            recs += [None] * (1 + v)
        recs.append(r)
    s.table("B3", [PLAIN[1], blank, PLAIN[2], blank, blank, PLAIN[3], PLAIN[4], blank], recs, want.rows("casts", s.name, KEYS[1:]))
    want.plain(s, "casts")
    return [s]


@case("starts-at-d7", *BOTH)
def d7(want, v):
    s = Sheet("Sheet1")
    s.table("D7", PLAIN, casts(12 + v, ["M-11", "M-12"]), want.rows("casts", s.name, KEYS))
    want.plain(s, "casts")
    return [s]


@case("side-by-side", *BOTH)
def side_by_side(want, v):
    s = Sheet("Studio")
    molds = [dict(mold=f"M-{i + 1:02d}", form=["bowl", "jug", "tile"][i % 3], kind=["split", "one-piece"][i % 2]) for i in range(5)]
    left = 1 if v == 0 else 6
    if v:
        s.put("A1", "Molds on the shelf")
        s.put((1, left), "Casts of the term")
    top = 1 if v == 0 else 2
    at_casts, at_molds = f"{letters(left)}{top}", f"{letters(7)}{top}" if v == 0 else f"A{top}"
    s.table(at_casts, PLAIN, casts(15, [m["mold"] for m in molds]), want.rows("casts", s.name, KEYS))
    s.table(at_molds, [("Mold", of("mold")), ("Form", of("form")), ("Kind", of("kind"))], molds, want.rows("molds", s.name, ["mold", "form", "kind"]))
    want.sheet(s.name, "*", 20)
    return [s]


@case("side-by-side-same-table", *BOTH)
def two_logs(want, v):
    """Two logs of casts, one for each bench, on one sheet."""
    s = Sheet("March")
    cols = PLAIN[1:]
    if v:
        s.across("A1", ["Bench 1", "", "", "", "", "Bench 2"])
    top = 1 + v
    s.table(f"A{top}", cols, casts(10, ["M-01", "M-02"]), want.rows("casts", s.name, KEYS[1:], cell_wall=None))
    for r in want.tables["casts"]:
        r["cell_wall"] = f"D{r['row']}"
    before = len(want.tables["casts"])
    s.table(f"F{top}", cols, casts(7, ["M-03"], first=2), want.rows("casts", s.name, KEYS[1:], cell_wall=None))
    for r in want.tables["casts"][before:]:
        r["cell_wall"] = f"I{r['row']}"
    want.sheet(s.name, "*", 17)
    return [s]


@case("totals-at-the-bottom", *BOTH)
def totals(want, v):
    s = Sheet("Pours 2025")
    recs = []
    for i in range(11):
        plaster = round(3.2 + 0.4 * (i % 4), 1)
        recs.append(dict(pour=f"P-{i + 1}", date=datetime.date(2025, 2, 3) + datetime.timedelta(days=4 * i), maker=f"s{i % 3 + 1}", plaster=plaster, water=round(plaster * 0.72, 2), leftover=round(0.1 * (i % 4), 1)))
    keys = list(recs[0])
    heads = ["Pour", "Date", "Made by", "Plaster (kg)", "Water (kg)", "Left over (kg)"]
    end = s.table("A2", [(h, day(k) if k == "date" else of(k)) for h, k in zip(heads, keys)], recs, want.rows("pours", s.name, keys))
    if v == 0:
        end += 1
    total = {k: round(sum(r[k] for r in recs), 2) for k in ("plaster", "water", "leftover")}
    for word, f, fun in (("Total", lambda x: x, "SUM"), ("Average", lambda x: round(x / len(recs), 3), "AVERAGE")):
        s.put((end, 1), word)
        for c, k in enumerate(("plaster", "water", "leftover"), 4):
            if v == 0:
                s.put((end, c), f(total[k]))
            else:  # a formula, which LibreOffice calculates
                s.put((end, c), f"={fun}([.{letters(c)}3:.{letters(c)}13])", "formula")
        end += 1
    want.problem(s.name, "", "total-row")
    want.plain(s, "pours")
    return [s]


@case("totals-per-month", *BOTH)
def monthly(want, v):
    s = Sheet("Casts")
    recs, month, n, sums = [], None, 0, [0.0, 0.0]
    for r in casts(20, ["M-01", "M-02"], datetime.date(2025, 1, 13), every=9):
        if month and r["date"].month != month:
            name = datetime.date(2025, month, 1).strftime("%B")
            if v == 0:
                recs.append([f"Total {name}", None, None, sums[0], None])
                recs.append([f"Average {name}", None, None, round(sums[0] / n, 1), round(sums[1] / n, 2)])
                recs.append(None)
            else:
                recs.append([None, f"Mean {name}:", f"{n} casts", round(sums[0] / n, 1), round(sums[1] / n, 2)])
            n, sums = 0, [0.0, 0.0]
        month, n = r["date"].month, n + 1
        sums[0] += r["dwell"]
        sums[1] += r["wall"]
        recs.append(r)
    recs.append([["TOTAL", None, None, sums[0], None], [None, "Sum", None, sums[0], round(sums[1], 1)]][v])
    s.table("A1", PLAIN, recs, want.rows("casts", s.name, KEYS))
    want.problem(s.name, "", "total-row")
    want.plain(s, "casts")
    return [s]


@case("repeated-headers", *BOTH)
def repeated(want, v):
    s = Sheet("Pages")
    recs = []
    for i, r in enumerate(casts(24, ["M-01", "M-02", "M-03"])):
        if i and i % 8 == 0:
            if v:
                recs += [None, ["Casting room log, page " + str(i // 8 + 1)]]
            recs.append([h.upper() if v else h for h, _ in PLAIN])
        recs.append(r)
    s.table("A2", PLAIN, recs, want.rows("casts", s.name, KEYS))
    s.put("A1", "Casting room log, page 1")
    want.problem(s.name, "", "header-repeated")
    want.plain(s, "casts")
    return [s]


@case("hidden-rows-and-sheets", *BOTH)
def hidden(want, v):
    s, old = Sheet("Casts 2025"), Sheet("Casts 2024", hidden=True)
    s.table("A1", PLAIN, casts(14, ["M-01", "M-02"]), want.rows("casts", s.name, KEYS))
    old.table("A1", PLAIN, casts(8, ["M-01", "M-02"], datetime.date(2024, 10, 7), first=50), want.rows("casts", old.name, KEYS))
    s.hidden_rows |= {4, 5, 9} if v == 0 else {2, 15}
    s.hidden_cols.add(4)
    want.problem(s.name, "", "hidden-rows")
    want.problem(old.name, "", "hidden-sheet")
    want.plain(s, "casts")
    want.plain(old, "casts")
    return [s, old]


@case("two-tables-one-below-the-other", "libreoffice")
def stacked(want, v):
    s = Sheet("All")
    s.put("A1", "Slips")
    end = s.table("A2", [("Slip", of("slip")), ("Mixed on", day("date")), ("SG", of("specific_gravity"))],
                  [dict(slip=f"S{i}", date=datetime.date(2025, 1, i), specific_gravity=1.75 + i / 100) for i in (1, 2, 3)],
                  want.rows("slips", s.name, ["slip", "date", "specific_gravity"]))
    s.put((end + 1, 1), "Casts")
    s.table(f"A{end + 2}", PLAIN + [("Slip", of("slip"))], casts(9, ["M-01", "M-02", "M-03"], slips=("S1", "S2", "S3")), want.rows("casts", s.name, KEYS + ["slip"]))
    want.plain(s, "*")
    return [s]


# --- one sheet per mold or month -------------------------------------------

@case("sheet-per-mold", *BOTH)
def per_mold(want, v):
    sheets = []
    for i, mold in enumerate([["M-01", "M-02", "M-07"], ["Mold 3", "Mold 4", "Mold 12"]][v]):
        s = Sheet(mold)
        s.table("A1" if v == 0 else "B3", [PLAIN[1]] + PLAIN[3:] + [("Result", of("result"))], casts(6 + i, [mold]), want.rows("casts", s.name, ["date", "mold", "dwell", "wall", "result"]))
        want.problem(s.name, "", "name-from-sheet")
        want.plain(s, "casts")
        sheets.append(s)
    return sheets


@case("mold-above-the-table", *BOTH)
def mold_above(want, v):
    """The mold stands in a line above its casts, one mold below the other."""
    s = Sheet("Bench")
    at = 1
    for mold in ["M-07", "M-08"]:
        if v == 0:
            s.put((at, 1), f"Mold: {mold}")
        else:
            s.put((at, 1), "Mold")
            s.put((at, 2), mold)
        at = s.table(f"A{at + 1}", [PLAIN[1]] + PLAIN[3:], casts(6, [mold]), want.rows("casts", s.name, KEYS[1:])) + 1
    want.problem(s.name, "", "name-from-sheet")
    want.plain(s, "casts")
    return [s]


@case("sheet-per-month-day-numbers", *BOTH)
def per_month_days(want, v):
    sheets = []
    for month in (3, 4):
        first = datetime.date(2025, month, 1)
        s = Sheet(first.strftime(["%B %Y", "%b %Y"][v]))
        recs = casts(12, ["M-01", "M-02", "M-03"], first + datetime.timedelta(days=3), every=6, first=month)
        s.table("A1", [("Day", lambda r: r["date"].day)] + PLAIN[2:], recs, want.rows("casts", s.name, KEYS[1:]))
        want.problem(s.name, "", "name-from-sheet")
        want.plain(s, "casts")
        sheets.append(s)
    return sheets


@case("sheet-per-month-full-dates", *BOTH)
def per_month_dates(want, v):
    sheets = []
    for month in (5, 6):
        first = datetime.date(2025, month, 1)
        s = Sheet(first.strftime("%B" if v == 0 else "%Y-%m"))
        recs = casts(9, ["M-01", "M-02", "M-03"], first + datetime.timedelta(days=1), every=8, first=month)
        s.table("A2", PLAIN[1:], recs, want.rows("casts", s.name, KEYS[1:]))
        s.put("A1", "Casts of the month")
        want.plain(s, "casts")
        sheets.append(s)
    return sheets


@case("month-above-the-table", "openpyxl")
def month_above(want, v):
    s = Sheet("Sheet1")
    s.put("A1", "Casting log")
    s.put("A2", "October 2025")
    recs = casts(12, ["M-01", "M-02"], datetime.date(2025, 10, 2), every=4)
    s.table("A4", [("Day", lambda r: r["date"].day)] + PLAIN[2:], recs, want.rows("casts", s.name, KEYS[1:]))
    want.problem(s.name, "", "name-from-sheet")
    want.plain(s, "casts")
    return [s]


# --- wide layouts ----------------------------------------------------------

def cell_of(row, col):
    return f"{letters(col)}{row}"


@case("wide-groups-to-the-right", *BOTH)
def groups(want, v):
    """One row a mold; its casts follow each other to the right, three columns each."""
    s = Sheet("Molds and casts")
    n = 4
    top = 1 if v == 0 else 3
    if v:
        s.put("A1", "One line a mold, casts to the right")
    s.put((top, 1), "Mold")
    for g in range(n):
        at = 2 + 3 * g
        s.put((top, at), f"Cast {g + 1}")
        if v == 0:
            s.merges.append(f"{cell_of(top, at)}:{cell_of(top, at + 2)}")
        for k, h in enumerate(["Date", "Dwell (min)", "Wall (mm)"]):
            s.put((top + 1, at + k), h)
    for m in range(5):
        row = top + 2 + m
        s.put((row, 1), f"M-{m + 1:02d}")
        for g, r in enumerate(casts(n - m % 3, [f"M-{m + 1:02d}"], datetime.date(2025, 2, 3 + m), every=7, first=m)):
            at = 2 + 3 * g
            s.put((row, at), r["date"], "date")
            s.put((row, at + 1), r["dwell"])
            s.put((row, at + 2), r["wall"])
            want.row("casts", s.name, row, cast="*", date=r["date"], mold=r["mold"], dwell=r["dwell"], wall=r["wall"],
                     cell_date=cell_of(row, at), cell_dwell=cell_of(row, at + 1), cell_wall=cell_of(row, at + 2))
    want.problem(s.name, "", "wide-layout")
    want.sheet(s.name, "casts", len(want.tables["casts"]))
    return [s]


@case("wide-walls-by-cast-number", *BOTH)
def walls_by_number(want, v):
    """One row for mold and day; a column for the wall of each cast of that day."""
    s = Sheet("Days")
    heads = [["Cast 1", "Cast 2", "Cast 3"], ["Wall cast 1 (mm)", "Wall cast 2 (mm)", "Wall cast 3 (mm)"]][v]
    if v == 0:
        s.put("A1", "Wall in mm")
    s.across(f"A{2 - v}", ["Date", "Mold", "Dwell (min)"] + heads)
    row = 3 - v
    for d in range(4):
        for m in range(3):
            date, mold, dwell = datetime.date(2025, 4, 7) + datetime.timedelta(days=2 * d), f"M-{m + 1:02d}", float(20 + (d + m) % 4)
            s.put((row, 1), date, "date")
            s.put((row, 2), mold)
            s.put((row, 3), dwell)
            for k in range(3 - (d + m) % 2):
                wall = round(5.4 - 0.05 * (3 * d + k) - 0.1 * m, 2)
                s.put((row, 4 + k), wall)
                want.row("casts", s.name, row, cast="*", date=date, mold=mold, dwell=dwell, wall=wall, cell_wall=cell_of(row, 4 + k))
            row += 1
    want.problem(s.name, "", "wide-layout")
    want.sheet(s.name, "casts", len(want.tables["casts"]))
    return [s]


@case("wide-one-column-per-mold", *BOTH)
def column_per_mold(want, v):
    s = Sheet("Walls")
    molds = [["M-01", "M-02", "M-03", "M-04"], ["Mold 1", "Mold 2", "Mold 5"]][v]
    s.put("A1", "Wall in mm, one column a mold")
    s.across("A3", ["Date", "Slip", "Dwell (min)"] + molds)
    for i in range(9):
        row = 4 + i
        date, slip, dwell = datetime.date(2025, 5, 5) + datetime.timedelta(days=3 * i), f"S{i // 4 + 1}", float(19 + i % 5)
        s.put((row, 1), date, "date")
        s.put((row, 2), slip)
        s.put((row, 3), dwell)
        for m, mold in enumerate(molds):
            if (i + m) % 4 == 3:
                continue  # the mold was not cast that day
            wall = round(5.6 - 0.04 * i - 0.15 * m, 2)
            s.put((row, 4 + m), wall)
            want.row("casts", s.name, row, date=date, mold=mold, slip=slip, dwell=dwell, wall=wall, cell_wall=cell_of(row, 4 + m))
    want.problem(s.name, "", "wide-layout")
    want.sheet(s.name, "casts", len(want.tables["casts"]))
    return [s]


@case("turned-on-its-side", *BOTH)
def turned(want, v):
    """Labels down the first column, a column a cast; the mold is the sheet's name."""
    sheets = []
    for mold, n in (("M-07", 6), ("M-09", 4)):
        s = Sheet(mold)
        heads = ["Cast"] + [str(i + 1) if v == 0 else f"Cast {i + 1}" for i in range(n)]
        s.across("A1", heads)
        for i in range(1, n + 1):
            if v == 0:
                s.put((1, 1 + i), i)
        s.down("A2", ["Date", "Dwell (min)", "Wall (mm)"])
        for i, r in enumerate(casts(n, [mold], every=5)):
            s.put((2, 2 + i), r["date"], "date")
            s.put((3, 2 + i), r["dwell"])
            s.put((4, 2 + i), r["wall"])
            want.row("casts", s.name, None, cast="*", date=r["date"], mold=mold, dwell=r["dwell"], wall=r["wall"],
                     cell_date=cell_of(2, 2 + i), cell_dwell=cell_of(3, 2 + i), cell_wall=cell_of(4, 2 + i))
        want.problem(s.name, "", "wide-layout")
        want.problem(s.name, "", "name-from-sheet")
        want.sheet(s.name, "casts", n)
        sheets.append(s)
    return sheets


@case("turned-with-the-mold-above", *BOTH)
def turned_above(want, v):
    s = Sheet("Sheet1")
    n = 8
    s.put("A1", "Mold: M-07" if v == 0 else "Mould no. M-07")
    s.down("A3", [["Cast no.", "Date", "Dwell, min", "Wall, mm", "Result"], ["No.", "Day of casting", "Dwell [min]", "Wall [mm]", "Result"]][v])
    for i, r in enumerate(casts(n, ["M-07"], every=4)):
        for k, (value, fmt) in enumerate([(i + 1, None), (r["date"], "date"), (r["dwell"], None), (r["wall"], None), (r["result"], None)]):
            s.put((3 + k, 2 + i), value, fmt)
        want.row("casts", s.name, None, cast="*", date=r["date"], mold="M-07", dwell=r["dwell"], wall=r["wall"], result=r["result"],
                 cell_date=cell_of(4, 2 + i), cell_dwell=cell_of(5, 2 + i), cell_wall=cell_of(6, 2 + i))
    want.problem(s.name, "", "wide-layout")
    want.problem(s.name, "", "name-from-sheet")
    want.sheet(s.name, "casts", n)
    return [s]


convert_all()
