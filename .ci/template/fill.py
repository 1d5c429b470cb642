"""Fills in a blank log workbook in LibreOffice as a person would: opens it, types texts
into cells so that the program itself takes them for dates, times and numbers, and saves.

    soffice must run with a socket; .ci/template/run starts it.
    python3 fill.py PORT BLANK.xlsx FILLED.xlsx
"""
import sys
import time

import uno
from com.sun.star.beans import PropertyValue

# What is typed, by sheet and by the beginning of the header. Rows below each other.
TYPED = {
    "Molds": [
        {"Mold": "MUG-1", "Form": "mug", "Kind": "split", "Pour": "P-01", "In service": "2025-03-10", "Casts before log": "0", "Status": "in use"},
        {"Mold": "MUG-2", "Form": "mug", "Kind": "split", "Pour": "P-02", "In service": "2025-03-17", "Casts before log": "3", "Status": "in use"},
        {"Mold": "BWL-1", "Form": "bowl", "Kind": "one-piece", "Pour": "P-03", "Status": "retired", "Ended on": "2025-04-20", "End reason": "worn"},
    ],
    "Pours": [
        {"Pour": "P-01", "Date": "2025-03-04", "Mold": "MUG-1", "Maker": "K7", "Class": "C-1", "Plaster": "8.2", "Water": "5.8", "Shape": "round",
         "Inside diameter": "8 1/4 in", "Plaster over model": "2 in", "Model volume": "0.9", "Leftover": "0.6", "Spilled": "1/4 lb", "Trimmed": "0.3", "Outcome": "good", "Note": "poured in two lifts"},
        {"Pour": "P-02", "Date": "2025-03-05", "Mold": "MUG-2", "Maker": "K7", "Class": "C-1", "Plaster": "18 lb 2 oz", "Water": "5.8", "Shape": "rectangular",
         "Inside length": "240", "Inside width": "7 1/2 in", "Plaster over model": "50", "Leftover": "0.4", "Outcome": "good"},
        {"Pour": "P-03", "Date": "2025-03-06", "Mold": "BWL-1", "Maker": "K2", "Class": "C-2", "Plaster": "6.4", "Water": "4.5", "Outcome": "good"},
    ],
    "Gaps": [
        {"Pour": "P-01", "Height": "0", "Gap 1": "2 1/4 in", "Gap 2": "55"},
        {"Pour": "P-01", "Height": "40", "Gap 1": "2 in", "Gap 2": "52"},
        {"Pour": "P-01", "Height": "3 1/8 in", "Gap 1": "1 3/4 in", "Gap 2": "46"},
    ],
    "Casts": [
        {"Cast": str(i + 1), "Date": day, "Time": clock, "Mold": mold, "Slip": "S-14", "Dwell": dwell, "Wall 1": wall, "Wall 2": other,
         "Demold": demold, "Room temperature": "21", "Room humidity": "55%", "Result": result, "Fault": fault}
        for i, (day, clock, mold, dwell, wall, other, demold, result, fault) in enumerate([
            ("2025-03-12", "9:30", "MUG-1", "20", "4.2", "4.3", "1:30", "good", ""),
            ("2025-03-12", "14:05", "MUG-1", "0:22", "4.4", "", "90", "good", ""),
            ("2025-03-13", "09:15", "MUG-1", "1:05", "7.4", "7.2", "", "second", "pinholes at the foot"),
            ("2025-03-13", "2:30 PM", "BWL-1", "25", "3/16 in", "", "", "good", ""),
            ("2025-03-14", "10:00", "BWL-1", "0:24", "4.7", "4.8", "95", "good", ""),
            ("2025-03-17", "9:40", "MUG-1", "21", "4.3", "", "", "good", ""),
            ("2025-03-18", "9:35", "MUG-2", "20", "4.3", "4.4", "85", "good", ""),
            ("2025-03-18", "15:20", "MUG-2", "0:19", "4.1", "", "", "reject", "torn at the rim"),
            ("2025-03-19", "9:30", "MUG-2", "22", "11/64 in", "", "", "good", ""),
            ("2025-03-20", "9:30", "MUG-1", "0:20", "4.1", "", "", "good", ""),
        ])
    ],
    "Slips": [{"Slip": "S-14", "Date": "2025-03-01", "Specific gravity": "1.78", "Temperature": "20", "Recipe": "W-2"}],
    "Forms": [
        {"Form": "mug", "Target wall": "4.2", "Wall tolerance": "0.5", "Longest dwell": "1:05", "Casts per day": "3", "Rest hours": "1.5",
         "Drying shrinkage": "4.5%", "Firing shrinkage": "8%"},
        {"Form": "bowl", "Target wall": "3/16 in", "Longest dwell": "35", "Drying shrinkage": "5%"},
    ],
    "Prices": [{"Item": "plaster", "Unit": "25 kg bag", "Price": "32.50", "From": "2025-01-01"}, {"Item": "slip", "Unit": "kg", "Price": "1.2"}],
    "Orders": [{"Form": "mug", "Pieces": "12", "Due": "2025-09-30", "Start": "2025-09-01"}],
}


def connect(port):
    """The running program; it takes a while to start."""
    resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
    for _ in range(240):
        try:
            return resolver.resolve(f"uno:socket,host=127.0.0.1,port={port};urp;StarOffice.ComponentContext")
        except Exception:
            time.sleep(0.5)
    sys.exit("LibreOffice did not start")


def option(name, value):
    p = PropertyValue()
    p.Name, p.Value = name, value
    return p


def column_of(sheet, header):
    """The column whose header begins so."""
    for col in range(30):
        text = sheet.getCellByPosition(col, 0).String
        if text == header or text.startswith(header + " ("):
            return col
    sys.exit(f"sheet {sheet.Name} has no column {header}")


def type_in(context, frame, sheet, col, row, text):
    """Goes to the cell and enters the text, as the keyboard does: the program decides
    whether it is a date, a time, a share, a fraction, a number or a text."""
    dispatcher = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.DispatchHelper", context)
    address = f"${sheet.Name}.${chr(ord('A') + col)}${row + 1}"
    dispatcher.executeDispatch(frame, ".uno:GoToCell", "", 0, (option("ToPoint", address),))
    dispatcher.executeDispatch(frame, ".uno:EnterString", "", 0, (option("StringName", text),))


def main(port, blank, filled):
    context = connect(port)
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    doc = desktop.loadComponentFromURL(uno.systemPathToFileUrl(blank), "_blank", 0, (option("Hidden", True),))
    frame = doc.CurrentController.Frame
    typed = 0
    for name, rows in TYPED.items():
        sheet = doc.Sheets.getByName(name)
        for i, row in enumerate(rows):
            for header, text in row.items():
                if text:
                    type_in(context, frame, sheet, column_of(sheet, header), i + 1, text)
                    typed += 1
                    if not sheet.getCellByPosition(column_of(sheet, header), i + 1).String:
                        sys.exit(f"{name}, {header}, row {i + 2}: {text!r} was not taken")
    doc.storeToURL(uno.systemPathToFileUrl(filled), (option("FilterName", "Calc MS Excel 2007 XML"),))
    doc.close(True)
    print(f"typed {typed} cells into {len(TYPED)} sheets")
    try:
        desktop.terminate()
    except Exception:
        pass  # it goes away while it answers


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2], sys.argv[3])
