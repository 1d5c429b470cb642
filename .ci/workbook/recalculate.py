"""Works a report's workbook out anew in LibreOffice, through its scripting
interface, and holds it against what the program itself says:

    recalculate.py MOLDWRIGHT REPORT-DIR WORK-DIR

1. as it is: every formula gives what was written beside it;
2. with another price, bag and stock: costs and bags by the plain tables;
3. with other target walls: dwells of a second report that was given those walls.
"""
import csv
import math
import shutil
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import uno
from com.sun.star.beans import PropertyValue

program, report, work = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
THICKER = 0.5  # mm that the target walls are raised by


def prop(name, value):
    p = PropertyValue()
    p.Name, p.Value = name, value
    return p


def office():
    """A LibreOffice of our own, and what to end it with."""
    pipe = f"moldwright{int(time.time())}"
    process = subprocess.Popen(
        ["soffice", "--headless", "--norestore", "--nologo", f"-env:UserInstallation=file://{work}/office",
         f"--accept=pipe,name={pipe};urp;"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return process, context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except Exception:  # not up yet
            time.sleep(0.5)
    process.terminate()
    sys.exit("LibreOffice did not start")


def result(cell):
    return cell.String if cell.FormulaResultType2 == 2 else cell.Value


def at(document, sheet, address):
    return document.Sheets.getByName(sheet).getCellRangeByName(address)


def named(document, name):
    """The cell of a defined name."""
    target = document.NamedRanges.getByName(name).Content
    sheet, cell = target.replace("$", "").rsplit(".", 1)
    return at(document, sheet.strip("'"), cell)


def same(got, want, place):
    if isinstance(want, str) or want is None:
        assert str(got) == (want or ""), f"{place}: {got!r}, not {want!r}"
        return
    assert math.isclose(got, want, rel_tol=1e-9, abs_tol=1e-12), f"{place}: {got!r}, not {want!r}"


def two_digits(x):
    return 0 if x == 0 else round(x, 1 - math.floor(math.log10(abs(x))))


def rows_of(name, folder=report):
    with open(folder / "tables" / name, newline="") as f:
        return list(csv.DictReader(f))


def table(sheet, name):
    """Columns of a table by header, and its rows."""
    first, last = sheet.tables[name].ref.split(":")
    heads = {c.value: c.column_letter for c in sheet[sheet[first].row][: len(sheet.tables[name].tableColumns)]}
    return heads, range(sheet[first].row + 1, sheet[last].row + 1)


def unchanged(document, layout, written):
    document.calculateAll()
    formulas = 0
    for sheet in layout:
        cells = [c.coordinate for row in sheet.iter_rows() for c in row if c.data_type == "f"]
        if not cells:
            continue
        # All at once: a call for every cell takes minutes.
        shown = document.Sheets.getByName(sheet.title).getCellRangeByName(sheet.dimensions).getDataArray()
        for address in cells:
            cell = written[sheet.title][address]
            place = f"{sheet.title}!{address}"
            same(shown[cell.row - 1][cell.column - 1], cell.value, place)
            formulas += 1
        broken = document.Sheets.getByName(sheet.title).queryFormulaCells(4)  # 4: those with an error
        assert broken.Count == 0, f"{sheet.title}: errors in {broken.RangeAddressesAsString}"
    print(f"LibreOffice, worked out anew: {formulas} formulas give what the workbook says")


def other_price(document, layout):
    price, bag, stock = 2.35, 20.0, 30.0
    for name, value in (("plaster_price", price), ("bag_size", bag), ("plaster_in_stock", stock)):
        named(document, name).Value = value
    budget = {r["class"]: r for r in rows_of("budget.csv")}
    heads, rows = table(layout["Budget"], "budget_table")
    compared = 0
    for row in rows:
        r = budget[at(document, "Budget", f"{heads['Class']}{row}").String]
        same(result(at(document, "Budget", f"{heads['Cost']}{row}")), two_digits(float(r["plaster_kg_p50"]) * price), f"cost, row {row}")
        same(result(at(document, "Budget", f"{heads['Bags to buy']}{row}")), math.ceil(float(r["plaster_kg_p90"]) / bag), f"bags, row {row}")
        compared += 2
    changes = {r["change"]: r for r in rows_of("budget_whatif.csv")}
    heads, rows = table(layout["Budget"], "savings_table")
    for row in rows:
        r = changes[at(document, "Budget", f"{heads['Change']}{row}").String]
        same(result(at(document, "Budget", f"{heads['Cost saved']}{row}")), two_digits(float(r["saved_kg"]) * price), f"saved, row {row}")
        same(result(at(document, "Budget", f"{heads['Cost then']}{row}")), two_digits(float(r["plaster_kg"]) * price), f"then, row {row}")
        compared += 2
    bags = math.ceil((float(budget["all"]["plaster_kg_p90"]) - stock) / bag)
    same(result(named(document, "plaster_bags")), bags, "bags to buy")
    same(result(named(document, "plaster_bags_cost")), bags * bag * price, "cost of the bags")
    summary = [c for row in layout["Summary"].iter_rows() for c in row if c.value == "=plaster_bags_cost"]
    same(result(at(document, "Summary", summary[0].coordinate)), bags * bag * price, "first sheet")
    print(f"LibreOffice, at {price} a kg, bags of {bag:g} kg and {stock:g} kg in stock: {compared + 3} figures as by the plain tables")


def raised_targets():
    """A report of the same spreadsheets with thicker target walls."""
    logs = work / "spreadsheets"
    shutil.copytree(report / "spreadsheets", logs)
    raised = 0
    for path in logs.glob("*.xlsx"):
        book = openpyxl.load_workbook(path)
        for sheet in book:
            for row in sheet.iter_rows():
                for cell in row:
                    if isinstance(cell.value, str) and cell.value.lower().startswith("target wall"):
                        below = cell.offset(1, 0)
                        while isinstance(below.value, (int, float)):
                            below.value += THICKER
                            raised += 1
                            below = below.offset(1, 0)
        book.save(path)
    assert raised > 0, "no target wall found in the demo's spreadsheets"
    subprocess.run([program, "report", "-q", "-o", str(work / "raised"), str(logs)], check=True)
    return work / "raised"


def rounded_dwell(x):
    return math.floor(2 * x + 0.5) / 2 if x < 10 else math.floor(x + 0.5)


def other_walls(document, layout):
    want = {(r["mold"], int(r["age_casts"])): r for r in rows_of("dwell_guide.csv", raised_targets())}
    heads, rows = table(layout["Dwell guide"], "dwell_table")
    for row in rows:
        cell = at(document, "Dwell guide", f"{heads['Target wall (mm)']}{row}")
        cell.Value += THICKER
    compared, worst = 0, 0.0
    for row in rows:
        mold = at(document, "Dwell guide", f"{heads['Mold']}{row}").String
        age = int(at(document, "Dwell guide", f"{heads['Casts made']}{row}").Value)
        for head, column in heads.items():
            if not head.endswith(" (min)") or not (head.startswith("+") or head.startswith("Next")):
                continue
            step = 0 if head.startswith("Next") else int(head[1:].split()[0])
            r = want[mold, age + step]
            same(at(document, "Dwell guide", f"{heads['Target wall (mm)']}{row}").Value, float(r["target_wall_mm"]), f"{mold}: target")
            same(result(at(document, "Dwell guide", f"{column}{row}")), rounded_dwell(float(r["dwell_min"])), f"{mold} +{step}")
            for part, end in (("low", "dwell_lower_90"), ("high", "dwell_upper_90")):
                got = result(at(document, "Dwell guide", f"{heads[f'Law: {part} +{step}']}{row}"))
                worst = max(worst, abs(got / float(r[end]) - 1))
            compared += 1
    assert worst < 0.02, worst
    print(f"LibreOffice, target walls {THICKER} mm thicker: {compared} dwells equal to those of a report that was given these walls, to the digit shown; ends of their ranges within {100 * worst:.1f} %")


def main():
    book = report / "report.xlsx"
    layout = openpyxl.load_workbook(book)
    written = openpyxl.load_workbook(book, data_only=True)
    copy = shutil.copy(book, work / "copy.xlsx")  # the office leaves a mark beside what it opens
    process, desktop = office()
    try:
        document = desktop.loadComponentFromURL(f"file://{copy}", "_blank", 0, (prop("Hidden", True),))
        unchanged(document, layout, written)
        other_price(document, layout)
        other_walls(document, layout)
        document.close(True)
    finally:
        try:
            desktop.terminate()
        except Exception:
            pass
        process.wait(60)


main()
