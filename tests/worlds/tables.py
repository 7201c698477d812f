"""Workbooks for tests: XLSX, ODS and XLS in bytes, written by other libraries than the one that reads them, or by hand."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from html import escape
from typing import Any

ODS_TYPE = "application/vnd.oasis.opendocument.spreadsheet"
_SPACES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
    for short, long in (("office", "office"), ("table", "table"), ("text", "text"))
)
_CALC = 'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'


def xlsx(*rows: list[Any], also: Callable[[Any], object] | None = None) -> bytes:
    """A workbook of openpyxl; `also` may do more to it."""
    import openpyxl

    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    if also is not None:
        also(book)
    book.save(out)
    return out.getvalue()


def xls(*rows: list[Any], also: Callable[[Any], object] | None = None) -> bytes:
    """A workbook of the old kind (BIFF8); `also` may do more to it."""
    import xlwt

    book, out = xlwt.Workbook(), io.BytesIO()
    sheet = book.add_sheet("Sheet")
    for line, row in enumerate(rows):
        for column, value in enumerate(row):
            if value is not None:
                sheet.write(line, column, value)
    if also is not None:
        also(book)
    book.save(out)
    return out.getvalue()


def ods(*rows: list[Any], body: str = "", more: str = "", manifest: str = "") -> bytes:
    """A spreadsheet of OpenDocument 1.3 by hand; `body` is what follows the rows, `more` stands behind the sheet."""
    cells = "".join(f"<table:table-row>{''.join(map(ods_cell, row))}</table:table-row>" for row in rows)
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_SPACES} {_CALC} office:version="1.3">'
        f'<office:body><office:spreadsheet><table:table table:name="Sheet">{cells}{body}</table:table>{more}'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    spaces = 'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"'
    told = f"<manifest:manifest {spaces}>{manifest}</manifest:manifest>"
    return packed({"mimetype": ODS_TYPE, "content.xml": content, "META-INF/manifest.xml": told})


def ods_cell(value: Any) -> str:
    """One cell as OpenDocument writes it."""
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, int | float):
        return (
            f'<table:table-cell office:value-type="float" office:value="{value}"><text:p>{value:.1f}</text:p>'
            "</table:table-cell>"
        )
    return f'<table:table-cell office:value-type="string"><text:p>{escape(str(value))}</text:p></table:table-cell>'


def packed(members: dict[str, str | bytes]) -> bytes:
    """A packed file of these members."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(name, content)
    return out.getvalue()


def changed(raw: bytes, member: str, change: Callable[[bytes], bytes]) -> bytes:
    """The packed file with one member changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for info in old.infolist():
            data = old.read(info.filename)
            made.writestr(info.filename, change(data) if info.filename == member else data)
    return out.getvalue()


def added(raw: bytes, member: str, content: str) -> bytes:
    """The packed file with one member more."""
    out = io.BytesIO(raw)
    with zipfile.ZipFile(out, "a") as made:
        made.writestr(member, content)
    return out.getvalue()
