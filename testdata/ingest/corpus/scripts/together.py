"""Tables and files that must agree with each other, other file formats, and
text files in several encodings. Written by openpyxl and by LibreOffice."""

import shutil
from datetime import date, timedelta
from corpus import *

BOTH = ("openpyxl", "libreoffice")
KEYS = ["cast", "date", "mold", "dwell", "wall"]
PLAIN = [("Cast", of("cast")), ("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))]
MOLDS = [("Mold", of("mold")), ("Form", of("form")), ("Kind", of("kind"))]


def shelf(n, **more):
    return [dict(mold=f"M-{i + 1:02d}", form=["bowl", "jug", "tile"][i % 3], kind=["split", "one-piece", "multi-part"][i % 3], **more) for i in range(n)]


@case("molds-by-several-spellings", *BOTH)
def spellings(want, v):
    m, s = Sheet("Molds"), Sheet("Casts")
    m.table("A1", MOLDS, shelf(8), want.rows("molds", m.name, ["mold", "form", "kind"]))
    recs = casts(14, ["M-07", "M-03"])
    others = [{1: "m3", 2: "m7", 4: "Mold 7", 5: "M 03", 8: "M-7", 11: "mold 03"}, {0: "Mould 7", 3: "M.03", 6: "m07", 7: "M3", 10: "Mold M-07"}][v]
    spelt = [("Mold", lambda r: others.get(recs.index(r), r["mold"])) if h == "Mold" else (h, f) for h, f in PLAIN]
    s.table("A1", spelt, recs, want.rows("casts", s.name, KEYS))
    want.problem(s.name, "", "spelling-joined")
    want.plain(m, "molds")
    want.plain(s, "casts")
    return [m, s]


@case("casts-on-unknown-molds", *BOTH)
def unknown(want, v):
    m, s = Sheet("Molds"), Sheet("Casts")
    m.table("A1", MOLDS, shelf(4), want.rows("molds", m.name, ["mold", "form", "kind"]))
    recs = casts(12, ["M-01", "M-02", "M-03", ["M-21", "new one"][v]])
    s.table("A1", PLAIN, recs, want.rows("casts", s.name, KEYS))
    want.problem(s.name, "C5", "mold-not-listed")
    want.plain(m, "molds")
    want.plain(s, "casts")
    return [m, s]


@case("casts-before-the-pour-and-after-the-end", *BOTH)
def out_of_life(want, v):
    p, m, s = Sheet("Pours"), Sheet("Molds"), Sheet("Casts")
    pours = [dict(pour=f"P{i + 1}", date=date(2025, 2, 3 + 7 * i), mold=f"M-{i + 1:02d}", plaster=4.0 + i / 2, water=3.0 + i / 4) for i in range(3)]
    p.table("A1", [("Pour", of("pour")), ("Date", day("date")), ("Mold", of("mold")), ("Plaster (kg)", of("plaster")), ("Water (kg)", of("water"))], pours, want.rows("pours", p.name, list(pours[0])))
    molds = shelf(3, ended_on=None, status="in use", end_reason=None)
    molds[1].update(ended_on=date(2025, 4, 4), status="retired", end_reason="worn")
    m.table("A1", MOLDS + [("Status", of("status")), ("Ended on", lambda r: r["ended_on"] and (r["ended_on"], "date")), ("Why ended", of("end_reason"))], molds, want.rows("molds", m.name, list(molds[0])))
    recs = casts(18, ["M-01", "M-02", "M-03"], date(2025, 3, 10), every=7)
    recs[0]["date"] = date(2025, 1, 10)  # M-01 was poured on 3 February
    if v:
        recs[2]["date"] = date(2025, 2, 16)  # M-03 on the 17th
    def where(r, row):
        want.row("casts", s.name, row, **{k: r[k] for k in KEYS})
        if r["date"] < pours[int(r["mold"][2:]) - 1]["date"]:
            want.problem(s.name, f"B{row}", "cast-before-pour")
        if r["mold"] == "M-02" and r["date"] > date(2025, 4, 4):
            want.problem(s.name, f"B{row}", "cast-after-end")
    s.table("A1", PLAIN, recs, where)
    for sheet, name in ((p, "pours"), (m, "molds"), (s, "casts")):
        want.plain(sheet, name)
    return [p, m, s]


@case("dates-in-the-future", *BOTH)
def future(want, v):
    """Read with 1 June 2025 as today."""
    s = Sheet("Casts")
    recs = casts(12, ["M-01", "M-02"], date(2025, 5, 12), every=4)
    recs[4]["date"] = date(2052, 5, 20)
    def where(r, row):
        want.row("casts", s.name, row, **{k: r[k] for k in KEYS})
        if r["date"] > date(2025, 6, 1):
            want.problem(s.name, f"B{row}", "future-date")
    s.table("A1", PLAIN, recs, where)
    want.plain(s, "casts")
    return [s]


@case("casts-before-the-log", *BOTH)
def before_log(want, v):
    m, s = Sheet("Molds"), Sheet("Casts")
    molds = shelf(4)
    for i, r in enumerate(molds):
        r["casts_before_log"], r["in_service"] = 12 * i, date(2024, 9, 2 + i)
    m.table("A1", MOLDS + [("In use since", day("in_service")), (["Casts before log", "Earlier casts"][v], of("casts_before_log"))], molds, want.rows("molds", m.name, list(molds[0])))
    s.table("A1", PLAIN, casts(12, [r["mold"] for r in molds]), want.rows("casts", s.name, KEYS))
    want.plain(m, "molds")
    want.plain(s, "casts")
    return [m, s]


@case("age-column", *BOTH)
def ages(want, v):
    """The casts say themselves how many the mold had made before."""
    s = Sheet("Casts")
    recs = casts(12, ["M-01", "M-02"])
    for i, r in enumerate(recs):
        r["age"] = 30 * (i % 2) + 15 + i // 2
    if v:
        recs[7]["age"] = 12  # younger than before
        want.problem(s.name, "", "age-conflict")
    s.table("A1", PLAIN + [(["Mold age", "Age of mold (casts)"][v], of("age"))], recs, want.rows("casts", s.name, KEYS + ["age"]))
    want.plain(s, "casts")
    return [s]


# --- several files ---------------------------------------------------------

def folder(program, name):
    path = target(program, name)
    os.makedirs(path, exist_ok=True)
    return path


def write(program, path, sheets, **how):
    (write_openpyxl if program == "openpyxl" else write_libreoffice)(path, sheets, **how)


for v, program in enumerate(BOTH):
    # Two people keep the same log; the second copied some of the first one's casts.
    want, dir = Want(), folder(program, "duplicates-across-files")
    recs = casts(14, ["M-01", "M-02"])
    a, b = Sheet("Casts"), Sheet("Casts")
    a.table("A1", PLAIN, recs[:9], want.rows("casts", "Casts", KEYS, file="1 bench.xlsx"))
    def where(r, row):
        if recs.index(r) < 9:
            want.problem("Casts", str(row), "duplicate-row", ASIDE, file="2 office.xlsx")
        else:
            want.row("casts", "Casts", row, "2 office.xlsx", **{k: r[k] for k in KEYS})
    b.table(["A1", "A3"][v], PLAIN, recs[6:], where)
    if v:
        b.put("A1", "Copied from the bench, then continued")
    want.plain(a, "casts", file="1 bench.xlsx")
    want.plain(b, "casts", aside=3, file="2 office.xlsx")
    write(program, os.path.join(dir, "1 bench.xlsx"), [a])
    write(program, os.path.join(dir, "2 office.xlsx"), [b])
    want.write(dir)

    # Molds in one file, casts by term in others, one of them as text.
    want, dir = Want(), folder(program, "a-studio-in-several-files")
    m, s1, s2 = Sheet("Shelf"), Sheet("Autumn"), Sheet("Spring")
    m.table("A2", MOLDS, shelf(3), want.rows("molds", "Shelf", ["mold", "form", "kind"], file="molds.xlsx"))
    m.put("A1", "What stands on the shelf")
    s1.table("A1", PLAIN, casts(9, ["M-01", "M-02", "M-03"], date(2024, 10, 1)), want.rows("casts", "Autumn", KEYS, file="autumn.xlsx"))
    s2.table("A1", PLAIN, casts(9, ["M-01", "M-02", "M-03"], date(2025, 3, 1), first=20), want.rows("casts", "", KEYS, file="spring.csv") if v else want.rows("casts", "Spring", KEYS, file="spring.xlsx"))
    want.plain(m, "molds", file="molds.xlsx")
    want.plain(s1, "casts", file="autumn.xlsx")
    if v:
        want.plain(s2, "casts", name="", file="spring.csv")
        write_libreoffice(os.path.join(dir, "spring.csv"), [s2], csv_filter(",", UTF8))
    else:
        want.plain(s2, "casts", file="spring.xlsx")
        write(program, os.path.join(dir, "spring.xlsx"), [s2])
    write(program, os.path.join(dir, "molds.xlsx"), [m])
    write(program, os.path.join(dir, "autumn.xlsx"), [s1])
    want.write(dir)


# --- other formats ---------------------------------------------------------

for ext, filter in (("ods", None), ("xls", None), ("fods", None), ("xlsb", None)):
    if ext == "xlsb":
        continue  # LibreOffice reads it and doesn't write it
    want = Want()
    s = Sheet("Casts")
    s.table("A1", PLAIN, casts(6, ["M-01", "M-02"]), None)
    write_libreoffice(target("libreoffice", f"saved-as-{ext}.{ext}"), [s], filter)
    want.problem("", "", "unreadable-file", ASIDE)
    want.write(target("libreoffice", f"saved-as-{ext}"))


# --- text ------------------------------------------------------------------

def text(name, ext, sep, charset, heads, fmt="date", number=None, notes=("", "rim chipped, still good", "", "thin; kept", "slip \"S2\" stirred")):
    want = Want()
    s = Sheet("Casts")
    recs = casts(16, ["M-01", "M-02"], date(2025, 3, 3), every=3)
    for i, r in enumerate(recs):
        r["note"] = notes[i % len(notes)]
    fs = [of("cast"), day("date", fmt), of("mold"), of("dwell"), lambda r: (r["wall"], number), of("note")]
    s.table("A1", list(zip(heads, fs)), recs, want.rows("casts", "", KEYS + ["note"]))
    want.plain(s, "casts", name="")
    write_libreoffice(target("libreoffice", f"{name}.{ext}"), [s], filter=csv_filter(sep, charset).replace("csv:", f"{ext}:", 1))
    want.write(target("libreoffice", name))
    return want


ENGLISH = ["Cast", "Date", "Mold", "Dwell (min)", "Wall (mm)", "Note"]
text("utf-8-with-commas", "csv", ",", UTF8, ENGLISH, notes=("", "½ filled first, then full", "café bench", "thin; kept", "slip \"S2\" stirred"))
text("utf-16-with-semicolons", "csv", ";", UTF16, ENGLISH, fmt="dot", number="komma", notes=("", "größer am Fuß", "dünn"))
text("windows-1252-with-semicolons", "csv", ";", WINDOWS1252, ENGLISH, fmt="dot", number="komma", notes=("", "größer am Fuß", "dünn; verkauft"))
text("utf-8-with-tabs", "tsv", "\t", UTF8, ENGLISH, fmt="dmy")
text("utf-16-with-tabs", "tsv", "\t", UTF16, ENGLISH, notes=("", "größer am Fuß", "thin, kept"))


# --- headers in another language -------------------------------------------

want, s = Want(), Sheet("Guss")
recs = casts(10, ["F1", "F2"])
s.put("A1", "Gießprotokoll")
s.table("A3", [("Tag", day("date", "dot")), ("Gussform", of("mold")), ("Standzeit", of("dwell")), ("Scherben", lambda r: (r["wall"], "komma")), ("Bemerkung", lambda r: "dünn" if r["wall"] < 4.9 else None)],
        recs, lambda r, row: want.row("casts", "", row, date=r["date"], mold=r["mold"], dwell=r["dwell"], wall=r["wall"], note="dünn" if r["wall"] < 4.9 else None))
want.plain(s, "casts", name="")
want.problem("", "", "mapping-used")
write_libreoffice(target("libreoffice", "headers-in-german.csv"), [s], csv_filter(";", WINDOWS1252))
want.write(target("libreoffice", "headers-in-german"))
with open(target("libreoffice", "headers-in-german.mapping.want.txt"), "w", encoding="utf-8") as f:
    f.write("""The sheet is a table of casts, its header in row 3. "Tag" is date, day first; "Gussform" is mold;
"Standzeit" is dwell in min; "Scherben" is wall in mm; "Bemerkung" is note.
""")
with open(target("libreoffice", "headers-in-german.mapping.toml"), "w", encoding="utf-8") as f:
    f.write("""[[sheet]]
file = "headers-in-german.csv"
table = "casts"

  [sheet.columns]
  "Tag" = "date (dd.mm.yyyy)"
  "Gussform" = "mold"
  "Standzeit" = "dwell (min)"
  "Scherben" = "wall (mm)"
  "Bemerkung" = "note"
""")

convert_all()
