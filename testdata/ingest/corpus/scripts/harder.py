"""Sheets that combine two untidy habits, where a reader is tempted to take
sums for molds, notes for casts, or to guess. Written by openpyxl and by
LibreOffice."""

from datetime import date, timedelta
from corpus import *

BOTH = ("openpyxl", "libreoffice")
KEYS = ["cast", "date", "mold", "dwell", "wall"]
PLAIN = [("Cast", of("cast")), ("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))]


@case("wide-with-a-mean-column", *BOTH)
def mean_column(want, v):
    """A column a mold, and beside them the mean of the day and a note; below, the mean of each mold."""
    s = Sheet("Walls")
    molds = ["M-01", "M-02", "M-03"]
    s.across("A1", ["Date", "Dwell (min)"] + molds + [["Mean", "Average"][v], "Note"])
    s.put("A1", "Date")
    sums = {m: [] for m in molds}
    for i in range(8):
        row, d, dwell = 2 + i, date(2025, 4, 1) + timedelta(days=2 * i), float(20 + i % 4)
        s.put((row, 1), d, "date")
        s.put((row, 2), dwell)
        walls = [round(5.5 - 0.03 * i - 0.1 * m, 2) for m in range(3)]
        for m, wall in enumerate(walls):
            s.put((row, 3 + m), wall)
            sums[molds[m]].append(wall)
            want.row("casts", s.name, row, date=d, mold=molds[m], dwell=dwell, wall=wall, note="*", cell_wall=f"{letters(3 + m)}{row}")
        s.put((row, 6), round(sum(walls) / 3, 3))
        if i == 4:
            s.put((row, 7), "new slip")
    s.put((10 + v, 1), ["Mean", "Average"][v])
    for m, mold in enumerate(molds):
        s.put((10 + v, 3 + m), round(sum(sums[mold]) / 8, 3))
    want.problem(s.name, "", "wide-layout")
    want.problem(s.name, "", "total-row")
    want.sheet(s.name, "casts", 24)
    return [s]


@case("turned-with-gaps-and-a-mean", *BOTH)
def turned(want, v):
    """Two casts without a wall, and a column of means at the end."""
    s = Sheet("M-04")
    recs = casts(7, ["M-04"], every=3)
    s.down("A1", ["Cast", "Date", "Dwell (min)", "Wall (mm)"])
    for i, r in enumerate(recs):
        if i in (2, 5):
            r["wall"] = None
        s.put((1, 2 + i), i + 1)
        s.put((2, 2 + i), r["date"], "date")
        s.put((3, 2 + i), r["dwell"])
        s.put((4, 2 + i), r["wall"])
        want.row("casts", s.name, None, cast="*", date=r["date"], mold="M-04", dwell=r["dwell"], wall=r["wall"], cell_dwell=f"{letters(2 + i)}3")
    if v:
        s.put((1, 9), "Mean")
        s.put((3, 9), round(sum(r["dwell"] for r in recs) / 7, 2))
        s.put((4, 9), 5.4)
    want.problem(s.name, "", "wide-layout")
    want.problem(s.name, "", "no-wall")
    want.sheet(s.name, "casts", 7)
    return [s]


@case("sheet-per-mold-and-other-sheets", *BOTH)
def others(want, v):
    """Beside the molds' sheets one of remarks and one that lists the molds."""
    sheets = []
    shelf = Sheet("Molds")
    molds = [dict(mold=f"M-{i:02d}", form=["bowl", "jug"][i % 2]) for i in (1, 2, 3)]
    shelf.table("A1", [("Mold", of("mold")), ("Form", of("form"))], molds, want.rows("molds", shelf.name, ["mold", "form"]))
    want.plain(shelf, "molds")
    sheets.append(shelf)
    for m in molds[:2]:
        s = Sheet(m["mold"])
        s.table("A1", [PLAIN[1]] + PLAIN[3:], casts(6, [m["mold"]]), want.rows("casts", s.name, KEYS[1:]))
        want.problem(s.name, "", "name-from-sheet")
        want.plain(s, "casts")
        sheets.append(s)
    n = Sheet("Remarks")
    n.down("A1", ["Remarks", "The drying shelf was moved in March", "Ask for the finer sieve", "Plaster: keep the bags dry"])
    n.put("C2", 12)
    want.problem(n.name, "", "sheet-not-recognised")
    want.sheet(n.name, "", 0, 0, 4)
    sheets.append(n)
    return sheets


@case("month-without-a-year", *BOTH)
def no_year(want, v):
    """Day numbers on a sheet named March: no year stands anywhere, and none may be guessed."""
    s = Sheet("March")
    recs = casts(6, ["M-01", "M-02"], date(2025, 3, 4), every=3)
    s.table("A1", [("Day", lambda r: r["date"].day)] + PLAIN[2:], recs, lambda r, row: want.problem(s.name, f"A{row}", "*", ASIDE))
    want.sheet(s.name, "*", 0, 6, 7)
    return [s]


@case("ditto-above-nothing", *BOTH)
def ditto(want, v):
    """Ditto marks in the first row, below a gap and behind a row that is set aside."""
    s = Sheet("Casts")
    recs = casts(8, ["M-01", "M-02"])
    mark = ['"', "ditto"][v]
    def where(r, row):
        if recs.index(r) == 0:
            want.problem(s.name, f"D{row}", "*", ASIDE)
            want.aside_but_aged(s.name)
            want.row("casts", s.name, row, **{**{k: r[k] for k in KEYS}, "dwell": None})
        else:
            want.row("casts", s.name, row, **{k: r[k] for k in KEYS})
    recs[5]["dwell"] = recs[4]["dwell"]
    s.table("A1", [(h, lambda r: mark if recs.index(r) in (0, 5) else r["dwell"]) if h.startswith("Dwell") else (h, f) for h, f in PLAIN], recs, where)
    want.problem(s.name, "", "ditto-read")
    want.plain(s, "casts")
    return [s]


@case("dates-in-both-orders", *BOTH)
def mixed(want, v):
    """Two people wrote the dates, each in their own order."""
    s = Sheet("Casts")
    recs = casts(10, ["M-01"], date(2025, 3, 5), every=3)
    def where(r, row):
        if r["date"].day <= 12 and r["date"].day != r["date"].month:
            want.problem(s.name, f"A{row}", "ambiguous-date", ASIDE)
        else:
            want.row("casts", s.name, row, **{k: r[k] for k in KEYS[1:]})
    write = lambda r: (r["date"].strftime("%d/%m/%Y" if recs.index(r) % 2 else "%m/%d/%Y"), "text")
    s.table("A1", [("Date", write)] + PLAIN[2:], recs, where)
    want.problem(s.name, "A1", "date-order-mixed")
    want.plain(s, "casts", aside=len([p for p in want.problems if p["severity"] == ASIDE]))
    return [s]


@case("side-by-side-at-different-heights", *BOTH)
def heights(want, v):
    """Slips in the upper right corner, casts lower at the left, a total below the slips."""
    s = Sheet("Studio")
    s.put("A1", "Casting room")
    slips = [dict(slip=f"S{i}", date=date(2025, 2, i), specific_gravity=1.74 + i / 100) for i in (1, 2, 3)]
    s.table("H2", [("Slip", of("slip")), ("Mixed on", day("date")), ("Specific gravity", of("specific_gravity"))], slips, want.rows("slips", s.name, ["slip", "date", "specific_gravity"]))
    s.put("H6", "Mean")
    s.put("J6", 1.76)
    s.table("A4", PLAIN, casts(12, ["M-01", "M-02", "M-03"]), want.rows("casts", s.name, KEYS))
    want.problem(s.name, "", "total-row")
    want.sheet(s.name, "*", 15)
    return [s]


@case("header-two-lines-with-units-below", *BOTH)
def units_below(want, v):
    """A line of units below the header, and a note line between header and title."""
    s = Sheet("Pours")
    recs = [dict(pour=f"P{i + 1}", date=date(2025, 3, 3 + 2 * i), plaster=(8 + i) * POUND, water=(2.5 + i / 4) * QUART * WATER, leftover=(4 + i) * OUNCE, lb=8 + i, qt=2.5 + i / 4, oz=4 + i) for i in range(9)]
    s.put("A1", "Plaster")
    s.across("A3", ["Pour", "Date", "Plaster", "Water", "Left over"])
    s.across("A4", [["", "", "lb", "qt", "oz"], ["", "", "(lbs)", "(quarts)", "(oz)"]][v])
    s.table("A5", [("", of("pour")), ("", day("date")), ("", of("lb")), ("", of("qt")), ("", of("oz"))], recs, want.rows("pours", s.name, ["pour", "date", "plaster", "water", "leftover"]), header=False)
    want.plain(s, "pours")
    return [s]


@case("notes-below-and-between", *BOTH)
def between(want, v):
    """Lines of words between the casts and below them: none is a cast, none may vanish."""
    s = Sheet("Casts")
    recs = casts(9, ["M-01", "M-02", "M-03"])
    lines = recs[:3] + [["kiln shed closed, no casting until Monday"]] + recs[3:] + [None, ["All walls at the foot."], [["signed off: bench 2"], [None, "signed off: bench 2"]][v]]
    s.table("A1", PLAIN, lines, want.rows("casts", s.name, KEYS))
    for row in (5, 13, 14):
        want.problem(s.name, str(row), "*", ASIDE)
    want.sheet(s.name, "casts", 9, 3, s.filled_rows())
    return [s]


convert_all()
