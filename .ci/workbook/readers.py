"""Reads a report's workbook with openpyxl (whole, and row by row) and pandas,
and holds it against the plain tables beside it: readers.py REPORT-DIR"""
import math
import sys
from pathlib import Path

import openpyxl
import pandas

report = Path(sys.argv[1])
book = report / "report.xlsx"
ERRORS = {"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"}


def walk(whole, values):
    """No cell shows an error, NaN, infinity, or a number without a number format."""
    cells = formulas = 0
    for sheet in whole:
        shown = values[sheet.title]
        for row in sheet.iter_rows():
            for cell in row:
                value = shown[cell.coordinate].value
                if cell.data_type == "f":
                    formulas += 1
                    assert value is not None or cell.value.endswith('"")'), f"{sheet.title}!{cell.coordinate} has no result"
                if value is None:
                    continue
                cells += 1
                place = f"{sheet.title}!{cell.coordinate}: {value!r}"
                assert cell.data_type != "e" and value not in ERRORS, place
                assert str(value) not in {"NaN", "nan", "Inf", "+Inf", "-Inf", "inf"}, place
                if isinstance(value, (int, float)):
                    assert math.isfinite(value), place
                    assert cell.number_format != "General", place
    return cells, formulas


def row_by_row(whole):
    """The streaming reader trusts the sheets' own dimensions."""
    lazy = openpyxl.load_workbook(book, read_only=True)
    for sheet in lazy.worksheets:
        same = whole[sheet.title]
        assert (sheet.max_row, sheet.max_column) == (same.max_row, same.max_column), (
            sheet.title, sheet.calculate_dimension(), same.dimensions)
        rows = sum(1 for _ in sheet.iter_rows())
        assert rows == same.max_row, (sheet.title, rows, same.max_row)
    lazy.close()
    return len(lazy.sheetnames)


def tables(whole):
    """Each sheet's table by pandas, as long as openpyxl says that the table is."""
    count = 0
    for sheet in whole.worksheets[1:]:
        assert sheet.freeze_panes, sheet.title
        assert sheet.oddFooter.right.text, sheet.title
        assert sheet.tables, sheet.title
        for table in sheet.tables.values():
            first, last = table.ref.split(":")
            head, foot = sheet[first].row, sheet[last].row
            frame = pandas.read_excel(book, sheet_name=sheet.title, header=head - 1, nrows=foot - head)
            assert len(frame) == foot - head, (sheet.title, table.name, len(frame), foot - head)
            assert [c.name for c in table.tableColumns] == [c.value for c in sheet[head]][: len(table.tableColumns)]
            count += 1
    return count


def agree(sheet, key, column, csv, csv_key, csv_column, digits):
    """A column of a sheet, by pandas, against the plain table."""
    ours = pandas.read_csv(report / "tables" / csv).set_index(csv_key)[csv_column]
    read = pandas.read_excel(book, sheet_name=sheet, header=4)
    compared = 0
    for name, value in zip(read[key], read[column]):
        if name in ours.index and pandas.notna(value):
            assert abs(value - ours[name]) <= 0.5 * 10**-digits, (sheet, name, value, ours[name])
            compared += 1
        elif pandas.isna(name):
            break
    assert compared > 0, sheet
    return compared


whole = openpyxl.load_workbook(book)
values = openpyxl.load_workbook(book, data_only=True)
cells, formulas = walk(whole, values)
print(f"openpyxl {openpyxl.__version__}: {cells} cells on {len(whole.sheetnames)} sheets, {formulas} of them formulas; no error, no NaN, each number with a number format")
print(f"openpyxl, row by row: {row_by_row(whole)} sheets as large as they say")
print(f"pandas {pandas.__version__}: {tables(whole)} tables as long as they say")
n = agree("Plaster pours", "Pour", "Waste (kg)", "pour_waste.csv", "pour", "waste_kg", 9)
m = agree("Remaining casts", "Mold", "Casts left, middle", "remaining_casts.csv", "mold", "remaining_p50", 9)
print(f"pandas: waste of {n} pours and casts left of {m} molds equal to the plain tables")
