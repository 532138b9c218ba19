"""Runs a program on files that make parsers allocate without end, and asserts
its peak memory, as the system counts it, and its exit status.

python3 hostile.py PROGRAM WORK_FOLDER
"""

import io
import os
import sys
import zipfile

program, work = sys.argv[1:3]
NS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
XML = '<?xml version="1.0"?>'


def relation(number, kind, target):
    return f'<Relationship Id="rId{number}" Type="{OFFICE}/{kind}" Target="{target}"/>'


def relations(*entries):
    return f'{XML}<Relationships xmlns="{PACKAGE}/relationships">{"".join(entries)}</Relationships>'


def book(sheet, shared=None):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr(
            "[Content_Types].xml",
            f'{XML}<Types xmlns="{PACKAGE}/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>',
        )
        z.writestr("_rels/.rels", relations(relation(1, "officeDocument", "xl/workbook.xml")))
        z.writestr(
            "xl/workbook.xml",
            f'{XML}<workbook {NS} xmlns:r="{OFFICE}"><sheets><sheet name="Lot" sheetId="1" r:id="rId1"/></sheets></workbook>',
        )
        z.writestr(
            "xl/_rels/workbook.xml.rels",
            relations(relation(1, "worksheet", "worksheets/sheet1.xml"), relation(2, "sharedStrings", "sharedStrings.xml")),
        )
        z.writestr("xl/worksheets/sheet1.xml", f"{XML}<worksheet {NS}><sheetData>{sheet}</sheetData></worksheet>")
        if shared is not None:
            with z.open("xl/sharedStrings.xml", "w", force_zip64=True) as f:
                for chunk in shared:
                    f.write(chunk)
    return data.getvalue()


def text(at, word):
    return f'<c r="{at}" t="inlineStr"><is><t>{word}</t></is></c>'


def repeats():
    names = "urn:oasis:names:tc:opendocument:xmlns"
    cell = '<table:table-cell table:number-columns-repeated="10000" office:value-type="float" office:value="1"/>'
    content = (
        f'{XML}<office:document-content xmlns:office="{names}:office:1.0" xmlns:table="{names}:table:1.0">'
        '<office:body><office:spreadsheet><table:table table:name="Lot">'
        f'<table:table-row table:number-rows-repeated="1000000">{cell}</table:table-row>'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        z.writestr("content.xml", content)
        z.writestr("META-INF/manifest.xml", f'{XML}<manifest:manifest xmlns:manifest="{names}:manifest:1.0"/>')
    return data.getvalue()


def many_cells():
    rows = []
    for r in range(2, 60_000):
        cells = "".join(f'<c r="{chr(65 + c)}{r}"><v>1</v></c>' for c in range(20))
        rows.append(f'<row r="{r}">{cells}</row>')
    return "".join(rows)


head = f'<row r="1">{text("A1", "stock")}{text("B1", "panel")}{text("C1", "dime")}</row>'
block = b"a" * (1 << 20)
cases = {
    # two far corners filled
    "far.xlsx": book(head + f'<row r="1048576">{text("XFD1048576", "x")}</row>'),
    # a shared string of 1.5 GiB
    "shared.xlsx": book(head, (block for _ in range(1536))),
    "cells.xlsx": book(head + many_cells()),
    "repeats.ods": repeats(),
    "wide.csv": b"stock,panel" + b",x" * 20_000 + b"\n",
    "quote.csv": b'stock,panel,dime\nA1,hood,"' + b"a" * (64 << 20),
    "rows.csv": b"stock,panel,dime\n" + b"".join(b"A%d,hood,%d\n" % (n, n % 50) for n in range(150_000)),
    "bad.csv": b"stock,panel,dime\n" + b"A1,hod,x\n" * 400_000,
}
for name, content in cases.items():
    path = os.path.join(work, name)
    with open(path, "wb") as f:
        f.write(content)
    pid = os.fork()
    if pid == 0:
        null = os.open(os.devnull, os.O_RDWR)
        for fd in (0, 1, 2):
            os.dup2(null, fd)
        os.execv(program, [program, "check", path])
    _, status, usage = os.wait4(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    print(name, "status", code, "peak", usage.ru_maxrss // 1024, "MiB")
    assert code in (0, 1), (name, code)
    assert usage.ru_maxrss < 600 * 1024, (name, usage.ru_maxrss)
