"""Tables as pandas writes them: workbooks through to_excel, text through to_csv."""

from datetime import date

import pandas as pd

from corpus import *

KEYS = ["cast", "date", "mold", "dwell", "wall"]
HEADS = {"cast": "Cast", "date": "Date", "mold": "Mold", "dwell": "Dwell (min)", "wall": "Wall (mm)"}


def frame(recs, keys=KEYS):
    f = pd.DataFrame([{k: r[k] for k in keys} for r in recs])
    f["date"] = pd.to_datetime(f["date"])
    return f


def rows(want, sheet, recs, first, keys=KEYS):
    for i, r in enumerate(recs):
        want.row("casts", sheet, first + i, **{k: r[k] for k in keys})


def book(name, sheets, want):
    with pd.ExcelWriter(target("pandas", name + ".xlsx"), engine="openpyxl") as w:
        for sheet, (f, how) in sheets.items():
            f.to_excel(w, sheet_name=sheet, **how)
        w.book.properties.created = w.book.properties.modified = pd.Timestamp("2025-06-01").to_pydatetime()
    want.write(target("pandas", name))


# A frame with its index: a first column without a header.
recs, want = casts(12, ["M-01", "M-02"]), Want()
rows(want, "Sheet1", recs, 2)
want.sheet("Sheet1", "casts", 12, 0, 13)
book("with-the-index", {"Sheet1": (frame(recs).rename(columns=HEADS), {})}, want)

# Two levels of columns: a merged upper header, and an empty row for the name of the index.
recs, want = casts(10, ["M-01", "M-02"]), Want()
for r in recs:
    r["wall"] = [r["wall"], round(r["wall"] - 0.1, 1), round(r["wall"] + 0.3, 1)]
f = frame(recs, ["date", "mold", "dwell"])
for i, spot in enumerate(("rim", "belly", "foot")):
    f[spot] = [r["wall"][i] for r in recs]
f.columns = pd.MultiIndex.from_tuples([("", "Date"), ("", "Mold"), ("", "Dwell (min)")] + [("Wall (mm)", spot) for spot in ("rim", "belly", "foot")])
rows(want, "Casts", recs, 4, KEYS[1:])
want.sheet("Casts", "casts", 10, 0)
book("two-levels-of-columns", {"Casts": (f, {})}, want)

# A pivot: one column a mold.
recs, want = casts(18, ["M-01", "M-02", "M-03"]), Want()
for i, r in enumerate(recs):
    r["dwell"] = recs[i // 3 * 3]["dwell"]
f = frame(recs).pivot(index=["date", "dwell"], columns="mold", values="wall").reset_index().rename(columns={"date": "Date", "dwell": "Dwell (min)"})
for i, r in enumerate(recs):
    want.row("casts", "Walls", 2 + i // 3, date=r["date"], mold=r["mold"], dwell=r["dwell"], wall=r["wall"], cell_wall=f"{'CDE'[i % 3]}{2 + i // 3}")
want.problem("Walls", "", "wide-layout")
want.sheet("Walls", "casts", 18)
book("pivoted-to-molds", {"Walls": (f, {"index": False})}, want)

# Lengths of time: pandas stores days, and formats them as a whole number.
recs, want = casts(10, ["M-01", "M-02"]), Want()
f = frame(recs)
f["dwell"] = pd.to_timedelta(f["dwell"], unit="min")
rows(want, "Sheet1", recs, 2)
want.sheet("Sheet1", "casts", 10, 0, 11)
book("timedeltas", {"Sheet1": (f.rename(columns={**HEADS, "dwell": "Dwell"}), {"index": False})}, want)

# Grouped by mold: a column of the index is merged over the rows of each mold.
recs, want = sorted(casts(12, ["M-01", "M-02", "M-03"]), key=lambda r: (r["mold"], r["date"])), Want()
f = frame(recs, ["mold", "date", "dwell", "wall"]).rename(columns=HEADS).set_index(["Mold", "Date"])
for i, r in enumerate(recs):
    want.row("casts", "Casts", 2 + i, **{k: r[k] for k in KEYS[1:]})
want.problem("Casts", "", "merged-cells")
want.sheet("Casts", "casts", 12, 0, 13)
book("merged-index", {"Casts": (f, {})}, want)

# A sheet a month, and a table that starts lower and to the right.
want, sheets = Want(), {}
for month in (1, 2):
    recs = casts(8, ["M-01", "M-02"], date(2025, month, 2), every=6, first=10 * month)
    name = f"2025-{month:02d}"
    f = frame(recs).rename(columns=HEADS).rename(columns={"Date": "Day"})
    f["Day"] = [r["date"].day for r in recs]
    rows(want, name, recs, 5)
    want.problem(name, "", "name-from-sheet")
    want.sheet(name, "casts", 8, 0, 9)
    sheets[name] = (f, {"index": False, "startrow": 3, "startcol": 2})
book("sheet-per-month-lower-down", sheets, want)

# --- text ------------------------------------------------------------------

NOTES = ["", "rim chipped, kept", "", "thin; sold", "poured “twice”"]


def text(name, ext, encoding, recs, want=None, rename=HEADS, bom=b"", **how):
    want = want or Want()
    f = frame(recs, KEYS + ["note"]).rename(columns={**rename, "note": "Note"})
    path = target("pandas", f"{name}.{ext}")
    f.to_csv(path, index=False, encoding=encoding, **how)
    if bom:
        with open(path, "rb") as g:
            data = g.read()
        with open(path, "wb") as g:
            g.write(bom + data)
    if "note" not in want.tables:
        rows(want, "", recs, 2, KEYS + ["note"])
    want.sheet("", "casts", len(recs), 0, len(recs) + 1)
    want.write(target("pandas", name))


def noted(n, notes=NOTES, **how):
    recs = casts(n, ["M-01", "M-02"], **how)
    for i, r in enumerate(recs):
        r["note"] = notes[i % len(notes)]
    return recs


text("utf-8-with-mark-and-semicolons", "csv", "utf-8-sig", noted(12), sep=";", decimal=",", date_format="%d.%m.%Y")
text("utf-8-with-commas", "csv", "utf-8", noted(14), date_format="%Y-%m-%d %H:%M:%S")
text("utf-16-big-endian-with-tabs", "tsv", "utf-16-be", noted(12, ["", "größer", "dünn"]), bom=b"\xfe\xff", sep="\t")
text("utf-16-little-endian-with-commas", "csv", "utf-16", noted(12), date_format="%d/%m/%Y", quoting=1)
w = Want()
w.problem("", "", "encoding-inferred")
text("windows-1252-with-commas", "csv", "cp1252", noted(12, ["", "café bench, kept", "½ full"]), w)
w = Want()
w.problem("", "", "encoding-inferred")
text("windows-1252-with-tabs", "tsv", "cp1252", noted(9, ["naïve first try", "", "größer"]), w, sep="\t", decimal=",")

# Gaps in the data: pandas leaves cells empty, and makes whole numbers decimal.
recs, want = noted(10), Want()
for i in (3, 7):
    recs[i]["wall"] = None
recs[5]["note"] = "first line\nsecond line"
f = frame(recs, KEYS + ["note"])
f["mold_no"] = [float(r["mold"][2:]) for r in recs]
f = f.drop(columns="mold").rename(columns={**HEADS, "note": "Note", "mold_no": "Mold no"})
f.to_csv(target("pandas", "gaps-and-decimals.csv"), index=False)
for r in recs:
    want.row("casts", "", None, **{**{k: r[k] for k in KEYS}, "mold": r["mold"][3:], "note": r["note"].replace("\n", " ") and ("*" if "\n" in r["note"] else r["note"])})
want.problem("", "", "no-wall")
want.sheet("", "casts", 10, 0, 11)
want.write(target("pandas", "gaps-and-decimals"))

# --- headers in another language -------------------------------------------

recs, want = casts(9, ["J1", "J2", "J3"]), Want()
f = frame(recs, ["date", "mold", "dwell", "wall"])
f["wall"] = f["wall"] / 10
f.columns = ["Jour", "Moule", "Temps de prise (min)", "Épaisseur (cm)"]
for i, r in enumerate(recs):
    want.row("casts", "Coulage", 4 + i, **{k: r[k] for k in KEYS[1:]})
want.problem("Coulage", "", "mapping-used")
want.sheet("Coulage", "casts", 9, 0, 10)
book("headers-in-french", {"Coulage": (f, {"index": False, "startrow": 2})}, want)
with open(target("pandas", "headers-in-french.mapping.want.txt"), "w", encoding="utf-8") as g:
    g.write("""The sheet Coulage is a table of casts, its header in row 3. "Jour" is date; "Moule" is mold;
"Temps de prise (min)" is dwell in min; "Épaisseur (cm)" is wall in cm.
""")
with open(target("pandas", "headers-in-french.mapping.toml"), "w", encoding="utf-8") as g:
    g.write("""[[sheet]]
sheet = "Coul*"
table = "casts"

  [sheet.columns]
  "Jour" = "date"
  "Moule" = "mold"
  "column C" = "dwell (min)"
  "Épaisseur (cm)" = "wall (cm)"
""")
