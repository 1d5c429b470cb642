"""A workbook with a macro, .xlsm: LibreOffice in VBA mode writes a
vbaProject.bin with a module that only shows a greeting. And one without."""

import subprocess
import sys
import tempfile
import time
import zipfile

import uno
from com.sun.star.beans import PropertyValue
from corpus import *

MODULE = 'Sub Greet()\n    MsgBox "Have a good firing"\nEnd Sub\n'
KEYS = ["cast", "date", "mold", "dwell", "wall"]


def prop(name, value):
    p = PropertyValue()
    p.Name, p.Value = name, value
    return p


def connect(profile):
    pipe = f"corpus{os.getpid()}"
    office = subprocess.Popen(["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--norestore", f"--accept=pipe,name={pipe};urp;"])
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(60):
        try:
            ctx = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return office, ctx.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", ctx)
        except Exception:
            time.sleep(0.5)
    sys.exit("LibreOffice did not answer")


want, s = Want(), Sheet("Casts")
s.table("A1", [("Cast", of("cast")), ("Date", day("date")), ("Mold", of("mold")), ("Dwell (min)", of("dwell")), ("Wall (mm)", of("wall"))],
        casts(12, ["M-01", "M-02"]), want.rows("casts", s.name, KEYS))
want.plain(s, "casts")

with tempfile.TemporaryDirectory() as tmp:
    source = os.path.join(tmp, "casts.fods")
    with open(source, "w", encoding="utf-8") as f:
        f.write(fods([s]))
    office, desktop = connect(os.path.join(tmp, "profile"))
    doc = desktop.loadComponentFromURL("file://" + source, "_blank", 0, (prop("Hidden", True),))
    libraries = doc.BasicLibraries
    libraries.VBACompatibilityMode = True
    if not libraries.hasByName("Standard"):
        libraries.createLibrary("Standard")
    library = libraries.getByName("Standard")
    library.insertByName("Module1", "Rem Attribute VBA_ModuleType=VBAModule\nOption VBASupport 1\n" + MODULE)
    path = target("libreoffice", "with-a-macro.xlsm")
    doc.storeToURL("file://" + path, (prop("FilterName", "Calc MS Excel 2007 VBA XML"),))
    doc.close(True)
    try:
        desktop.terminate()
    except Exception:
        pass
    office.wait(30)
    print("vbaProject.bin" if "xl/vbaProject.bin" in zipfile.ZipFile(path).namelist() else "no macro was written")
want.write(target("libreoffice", "with-a-macro"))

# openpyxl keeps the macros of a workbook that it changes.
import openpyxl  # noqa: E402

want = Want()
extra = casts(6, ["M-03"], first=40)
wb = openpyxl.load_workbook(path, keep_vba=True)
ws = wb["Casts"]
for i, r in enumerate(casts(12, ["M-01", "M-02"]) + extra):
    for c, k in enumerate(KEYS, 1):
        if i >= 12:
            ws.cell(i + 2, c, r[k])
            if k == "date":
                ws.cell(i + 2, c).number_format = "yyyy-mm-dd"
    want.row("casts", "Casts", i + 2, **{k: r[k] for k in KEYS})
want.sheet("Casts", "casts", 18, 0, 19)
wb.save(target("openpyxl", "with-a-macro.xlsm"))
want.write(target("openpyxl", "with-a-macro"))
