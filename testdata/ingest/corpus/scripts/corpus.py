"""What the scripts of the corpus share: sheets as grids of cells, their true
content, and the writers that hand a grid to another program.

A script puts cells on a Sheet and says beside them what they mean; the wanted
tables are written from that, never from what the reader makes of the file.
"""

import csv
import datetime
import math
import os
import shutil
import subprocess
import tempfile
from xml.sax.saxutils import escape, quoteattr

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)

ASIDE, IGNORED, NOTE, ANY = "row set aside", "value not used", "note", "*"
INCH, FOOT, POUND, OUNCE = 25.4, 304.8, 0.45359237, 0.45359237 / 16  # mm, mm, kg, kg
GALLON, QUART = 3.785411784, 3.785411784 / 4  # L, of the United States
WATER = 0.998  # kg/L at 20 °C


def fahrenheit(f):
    return (f - 32) * 5 / 9


def letters(col):
    """Letters of a column, counted from 1."""
    out = ""
    while col > 0:
        col, rest = divmod(col - 1, 26)
        out = chr(65 + rest) + out
    return out


def position(ref):
    """Row and column, from 1, of a cell such as D7."""
    head = ref.rstrip("0123456789")
    col = 0
    for c in head:
        col = col * 26 + ord(c) - 64
    return int(ref[len(head):]), col


class Sheet:
    """A sheet: cells by (row, column) from 1, as (value, format)."""

    def __init__(self, name, hidden=False):
        self.name, self.hidden = name, hidden
        self.cells, self.merges, self.hidden_rows, self.hidden_cols = {}, [], set(), set()

    def put(self, ref, value, fmt=None):
        at = position(ref) if isinstance(ref, str) else ref
        if value is not None and value != "":
            self.cells[at] = (value, fmt)

    def across(self, ref, values, fmt=None):
        row, col = position(ref)
        for i, v in enumerate(values):
            self.put((row, col + i), v, fmt)

    def down(self, ref, values, fmt=None):
        row, col = position(ref)
        for i, v in enumerate(values):
            self.put((row + i, col), v, fmt)

    def size(self):
        return max(r for r, _ in self.cells), max(c for _, c in self.cells)

    def filled_rows(self):
        return len({r for r, _ in self.cells})

    def table(self, ref, columns, records, where, file=None, header=True):
        """Places records below a header at ref. columns: (header, function of
        the record giving value or (value, format)). A record None is an empty
        row, a list of plain cells is put as it stands and means nothing.
        where(record, row) takes note of what the row means."""
        row, col = position(ref)
        if header:
            for i, (head, _) in enumerate(columns):
                self.put((row, col + i), head)
            row += 1
        for rec in records:
            if isinstance(rec, list):
                for i, v in enumerate(rec):
                    v, fmt = v if isinstance(v, tuple) else (v, None)
                    self.put((row, col + i), v, fmt)
            elif rec is not None:
                for i, (_, f) in enumerate(columns):
                    v = f(rec)
                    v, fmt = v if isinstance(v, tuple) else (v, None)
                    self.put((row, col + i), v, fmt)
                if where:
                    where(rec, row)
            row += 1
        return row


class Want:
    """What a case should give: rows by table, problems, and sums by sheet."""

    def __init__(self):
        self.tables, self.problems, self.sheets, self.kept_aside = {}, [], [], []

    def row(self, table, sheet, row, file=None, **values):
        rec = {} if file is None else {"file": file}
        rec.update(sheet=sheet, row=row, **values)
        self.tables.setdefault(table, []).append(rec)

    def rows(self, table, sheet, keys, file=None, **fixed):
        """A function for Sheet.table that notes the keys of each record."""
        return lambda rec, row: self.row(table, sheet, row, file, **fixed, **{k: rec.get(k) for k in keys})

    def problem(self, sheet, cell, code, severity=NOTE, file=None):
        rec = {} if file is None else {"file": file}
        rec.update(sheet=sheet, cell=cell, code=code, severity=severity)
        self.problems.append(rec)

    def sheet(self, sheet, table, used, aside=0, read=None, hidden=False, file=None):
        rec = {} if file is None else {"file": file}
        rec.update(sheet=sheet, table=table, hidden="yes" if hidden else "no", used=used, aside=aside, read=read)
        self.sheets.append(rec)

    def plain(self, sheet, table, aside=0, name=None, file=None):
        """A sheet on which each row holds at most one record of one table."""
        name = sheet.name if name is None else name
        n = sum(1 for recs in self.tables.values() for r in recs if r["sheet"] == name and r.get("file") == file)
        kept = self.kept_aside.count((file, name))
        self.sheet(name, table, n - kept, aside + kept, sheet.filled_rows(), sheet.hidden, file)

    def aside_but_aged(self, sheet, file=None):
        """One of the rows is set aside for walls, and kept for its mold's age."""
        self.kept_aside.append((file, sheet))

    def write(self, path):
        for name, recs in self.tables.items():
            save(path + "." + name + ".want.csv", recs)
        with_file = any("file" in r for r in self.sheets)
        heads = (["file"] if with_file else []) + ["sheet", "cell", "code", "severity"]
        save(path + ".problems.want.csv", self.problems, heads)
        heads = (["file"] if with_file else []) + ["sheet", "table", "hidden", "used", "aside", "read"]
        save(path + ".sheets.want.csv", self.sheets, heads)


def save(path, recs, heads=None):
    if heads is None:
        heads = []
        for r in recs:
            heads += [k for k in r if k not in heads]
    with open(path, "w", newline="", encoding="utf-8") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(heads)
        for r in recs:
            w.writerow([shown(r.get(h)) for h in heads])


def shown(v):
    if v is None:
        return ""
    if isinstance(v, (list, tuple)):
        return ";".join(shown(x) for x in v)
    if isinstance(v, float):
        return repr(int(v)) if v == int(v) else repr(v)
    if isinstance(v, datetime.datetime):
        return v.date().isoformat()
    if isinstance(v, datetime.date):
        return v.isoformat()
    return str(v)


def target(folder, name):
    os.makedirs(os.path.join(ROOT, folder), exist_ok=True)
    return os.path.join(ROOT, folder, name)


# --- true data -------------------------------------------------------------

def casts(n, molds, start=datetime.date(2025, 3, 3), every=2, k=1.35, first=0, slips=("S1",)):
    """Casts in turn of the molds: dwells vary, walls follow the square root of
    the dwell and fall by 0.4 % a cast. Invented."""
    out = []
    for i in range(n):
        age = i // len(molds)
        dwell = float(18 + (i * 7 + first) % 9)
        wall = round(math.sqrt(k * dwell) * (1 - 0.004 * (age + first)), 1)
        out.append(dict(
            cast=str(100 + first + i), date=start + datetime.timedelta(days=every * age), mold=molds[i % len(molds)],
            slip=slips[min(age * len(slips) // max(1, n // len(molds)), len(slips) - 1)],
            time=float(9 * 60 + (i * 25) % 420), dwell=dwell, wall=wall,
            result=["good", "good", "good", "second", "good", "good", "reject"][i % 7]))
    return out


def iso(key):
    return lambda r: (r[key].isoformat(), "text")


def day(key, fmt="date"):
    return lambda r: (r[key], fmt)


def of(key):
    return lambda r: r[key]


# --- openpyxl --------------------------------------------------------------

OPENPYXL_FORMATS = {
    "date": "yyyy-mm-dd", "dmy": "dd/mm/yyyy", "mdy": "mm/dd/yyyy", "dot": "dd.mm.yyyy", "stamp": "yyyy-mm-dd hh:mm",
    "time": "hh:mm", "duration": "[h]:mm", "mmss": "mm:ss", "percent": "0%", "one": "0.0", "text": "@",
}


def write_openpyxl(path, sheets, epoch1904=False):
    import openpyxl
    from openpyxl.utils.datetime import CALENDAR_MAC_1904
    wb = openpyxl.Workbook()
    wb.remove(wb.active)
    if epoch1904:
        wb.epoch = CALENDAR_MAC_1904
    fixed = datetime.datetime(2025, 6, 1, 12)
    wb.properties.created = wb.properties.modified = fixed
    for s in sheets:
        ws = wb.create_sheet(s.name)
        for (r, c), (v, fmt) in sorted(s.cells.items()):
            cell = ws.cell(r, c, v)
            if fmt in OPENPYXL_FORMATS:
                cell.number_format = OPENPYXL_FORMATS[fmt]
            if isinstance(v, str) and fmt != "formula":
                cell.data_type = "s"
        for m in s.merges:
            ws.merge_cells(m)
        for r in s.hidden_rows:
            ws.row_dimensions[r].hidden = True
        for c in s.hidden_cols:
            ws.column_dimensions[letters(c)].hidden = True
        if s.hidden:
            ws.sheet_state = "hidden"
    wb.save(path)


# --- LibreOffice -----------------------------------------------------------

FODS_STYLES = {
    "date": '<number:date-style style:name="N{n}"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/></number:date-style>',
    "dmy": '<number:date-style style:name="N{n}" number:language="en" number:country="GB"><number:day number:style="long"/><number:text>/</number:text><number:month number:style="long"/><number:text>/</number:text><number:year number:style="long"/></number:date-style>',
    "mdy": '<number:date-style style:name="N{n}"><number:month number:style="long"/><number:text>/</number:text><number:day number:style="long"/><number:text>/</number:text><number:year number:style="long"/></number:date-style>',
    "dot": '<number:date-style style:name="N{n}" number:language="de" number:country="DE"><number:day number:style="long"/><number:text>.</number:text><number:month number:style="long"/><number:text>.</number:text><number:year number:style="long"/></number:date-style>',
    "stamp": '<number:date-style style:name="N{n}"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/><number:text> </number:text><number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:date-style>',
    "time": '<number:time-style style:name="N{n}"><number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:time-style>',
    "duration": '<number:time-style style:name="N{n}" number:truncate-on-overflow="false"><number:hours/><number:text>:</number:text><number:minutes number:style="long"/></number:time-style>',
    "mmss": '<number:time-style style:name="N{n}" number:truncate-on-overflow="false"><number:minutes number:style="long"/><number:text>:</number:text><number:seconds number:style="long"/></number:time-style>',
    "percent": '<number:percentage-style style:name="N{n}"><number:number number:decimal-places="0" number:min-integer-digits="1"/><number:text>%</number:text></number:percentage-style>',
    "one": '<number:number-style style:name="N{n}"><number:number number:decimal-places="1" number:min-integer-digits="1"/></number:number-style>',
    "komma": '<number:number-style style:name="N{n}" number:language="de" number:country="DE"><number:number number:decimal-places="1" number:min-integer-digits="1"/></number:number-style>',
    "text": '<number:text-style style:name="N{n}"><number:text-content/></number:text-style>',
}


def fods_cell(v, fmt, span):
    style = f' table:style-name="c-{fmt}"' if fmt in FODS_STYLES else ""
    if isinstance(v, tuple):  # a formula with what it means
        raise TypeError("formulas are strings of the format formula")
    if fmt == "formula":
        return f'<table:table-cell{style}{span} table:formula={quoteattr("of:" + v)}/>'
    if isinstance(v, datetime.datetime):
        return f'<table:table-cell{style}{span} office:value-type="date" office:date-value="{v.isoformat()}"/>'
    if isinstance(v, datetime.date):
        return f'<table:table-cell{style}{span} office:value-type="date" office:date-value="{v.isoformat()}"/>'
    if isinstance(v, datetime.timedelta):
        s = round(v.total_seconds())
        return f'<table:table-cell{style}{span} office:value-type="time" office:time-value="PT{s // 3600:02d}H{s // 60 % 60:02d}M{s % 60:02d}S"/>'
    if isinstance(v, datetime.time):
        return f'<table:table-cell{style}{span} office:value-type="time" office:time-value="PT{v.hour:02d}H{v.minute:02d}M{v.second:02d}S"/>'
    if isinstance(v, (int, float)):
        kind = "percentage" if fmt == "percent" else "float"
        return f'<table:table-cell{style}{span} office:value-type="{kind}" office:value="{v!r}"/>'
    return f'<table:table-cell{style}{span} office:value-type="string"><text:p>{escape(v)}</text:p></table:table-cell>'


def fods(sheets, epoch1904=False):
    out = ['<?xml version="1.0" encoding="UTF-8"?>\n<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
           ' xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"'
           ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"'
           ' xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.3"'
           ' office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:automatic-styles>']
    for n, (name, xml) in enumerate(FODS_STYLES.items()):
        out.append(xml.format(n=n) + f'<style:style style:name="c-{name}" style:family="table-cell" style:data-style-name="N{n}"/>')
    out.append('<style:style style:name="t-hidden" style:family="table"><style:table-properties table:display="false"/></style:style>')
    out.append("</office:automatic-styles><office:body><office:spreadsheet>")
    if epoch1904:
        out.append('<table:calculation-settings><table:null-date table:date-value="1904-01-01"/></table:calculation-settings>')
    for s in sheets:
        out.append(f'<table:table table:name={quoteattr(s.name)}' + (' table:style-name="t-hidden"' if s.hidden else "") + ">")
        rows, cols = s.size()
        spans, covered = {}, set()
        for m in s.merges:
            a, b = m.split(":")
            (r1, c1), (r2, c2) = position(a), position(b)
            spans[r1, c1] = f' table:number-rows-spanned="{r2 - r1 + 1}" table:number-columns-spanned="{c2 - c1 + 1}"'
            covered |= {(r, c) for r in range(r1, r2 + 1) for c in range(c1, c2 + 1)} - {(r1, c1)}
        for c in range(1, cols + 1):
            out.append('<table:table-column' + (' table:visibility="collapse"' if c in s.hidden_cols else "") + "/>")
        for r in range(1, rows + 1):
            out.append('<table:table-row' + (' table:visibility="filter"' if r in s.hidden_rows else "") + ">")
            for c in range(1, cols + 1):
                if (r, c) in covered:
                    out.append("<table:covered-table-cell/>")
                elif (r, c) in s.cells:
                    out.append(fods_cell(*s.cells[r, c], spans.get((r, c), "")))
                else:
                    out.append("<table:table-cell" + spans.get((r, c), "") + "/>")
            out.append("</table:table-row>")
        out.append("</table:table>")
    out.append("</office:spreadsheet></office:body></office:document>\n")
    return "".join(out)


CONVERSIONS = []  # (file, filter, text) waiting for LibreOffice


def write_libreoffice(path, sheets, filter=None, epoch1904=False):
    """Queues a workbook; convert_all lets LibreOffice write all of them."""
    CONVERSIONS.append((path, filter, fods(sheets, epoch1904)))


# Tokens of LibreOffice's CSV export: separator, quote, character set, first
# line, cell formats, language, quote all text, as shown, formulas, blanks, sheet.
CSV_FILTER = "csv:Text - txt - csv (StarCalc):{sep},34,{charset},1,,0,false,true,false"
UTF8, UTF16, WINDOWS1252 = 76, 65535, 1


def csv_filter(sep, charset):
    return CSV_FILTER.format(sep=ord(sep), charset=charset)


def convert_all():
    groups = {}
    for path, filter, text in CONVERSIONS:
        ext = os.path.splitext(path)[1][1:]
        groups.setdefault((ext, filter), []).append((path, text))
    for (ext, filter), files in groups.items():
        with tempfile.TemporaryDirectory() as tmp:
            sources = []
            for i, (path, text) in enumerate(files):
                src = os.path.join(tmp, f"{i}.fods")
                with open(src, "w", encoding="utf-8") as f:
                    f.write(text)
                sources.append(src)
            out = os.path.join(tmp, "out")
            subprocess.run(["soffice", "-env:UserInstallation=file://" + os.path.join(tmp, "profile"), "--headless",
                            "--convert-to", filter or ext, "--outdir", out, *sources], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            for i, (path, _) in enumerate(files):
                made = [f for f in os.listdir(out) if f.split(".")[0].split("-")[0] == str(i)]
                assert len(made) == 1, (path, made)
                shutil.move(os.path.join(out, made[0]), path)
    CONVERSIONS.clear()


# --- cases -----------------------------------------------------------------

def case(name, *programs, epoch1904=False, ext="xlsx", filter=None):
    """Makes a case with each of the programs. The decorated function fills the
    Want it is given and returns the sheets; its second argument is the number
    of the program, so that the files differ."""
    def make(f):
        for i, program in enumerate(programs):
            want = Want()
            sheets = f(want, i)
            path = target(program, f"{name}.{ext}")
            if program == "openpyxl":
                write_openpyxl(path, sheets, epoch1904)
            else:
                write_libreoffice(path, sheets, filter, epoch1904)
            want.write(target(program, name))
        return f
    return make
