"""What stands beside the values of a sheet in its XML, which the reading library passes over in silence.

Of XLSX (ECMA-376 part 1, 18.3) and ODS (OASIS OpenDocument 1.3 part 3, 9): formulas whose value was not saved, cells
that hold an error, hidden rows, merged cells, and where the last cell with something in it stands. The library makes
room for every cell between the first and the last, so that one figure in the last corner of a sheet would take all
memory; such a sheet is refused before. A workbook is unpacked here, counted, and handed on as it was counted.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from html import unescape
from typing import Any, Protocol
from xml.parsers import expat

from inspect_tui.errors import InspectError, NoTable
from inspect_tui.frozen import frozen

MOST_UNPACKED = 300_000_000  # bytes
MOST_CELLS = 10_000_000  # between the first cell and the last: 32 bytes each, though nothing is in most of them
MOST_REPEATED = 2_000  # times that a mark counts which stands in repeated cells
ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"

Place = tuple[int, int]  # line in the sheet, from 1, and column, from 0
Merged = tuple[tuple[int, int, int, int], ...]  # first line, last line, first column, last column


@frozen
class Marks:
    """Texts of cells that would pass for empty, merged cells ("()" where the library tells them), and remarks."""

    texts: dict[Place, str]
    merged: Merged = ()
    remarks: tuple[str, ...] = ()


class Packed(Protocol):
    """A workbook that is a packed file of XML."""

    def repacked(self, title: str | None) -> bytes:
        """The workbook with no other sheet than that, nothing in it that was not counted."""

    def marks(self, title: str) -> Marks:
        """What stands beside the values of that sheet. NoTable when its cells lie too far apart."""


def packed(raw: bytes, name: str) -> Packed:
    """The workbook in these bytes; NoTable with a sentence when it is none, or unpacks to too much."""
    try:
        archive = zipfile.ZipFile(io.BytesIO(raw))
        members = archive.namelist()
        if "[Content_Types].xml" in members and any(member.startswith("xl/") for member in members):
            if "xl/workbook.bin" in members:
                raise NoTable(f"{name} is a workbook of a binary kind (XLSB).", "Save it as XLSX or CSV.")
            return _Xlsx(archive, name)
        if "mimetype" in members and archive.read("mimetype").strip() == ODS_TYPE:
            return _Ods(archive, name)
    except InspectError:
        raise
    except Exception as problem:  # whatever a damaged file makes the unpacking raise
        raise damaged(name, type(problem).__name__) from None
    raise NoTable(
        f"{name} is a packed file, but no XLSX or ODS (it holds {', '.join(members[:3]) or 'nothing'}).",
        "Save the readings as XLSX or CSV.",
    )


def damaged(name: str, why: str) -> NoTable:
    """That a workbook cannot be read; `why` is what a library called it."""
    return NoTable(
        f"{name} is no workbook that can be read: it is cut off or damaged ({why}).", "Save it again, or as CSV."
    )


def letters(column: int) -> str:
    """The letters of a column: 0 -> A, 27 -> AB."""
    name, left = "", column + 1
    while left:
        left, digit = divmod(left - 1, 26)
        name = chr(65 + digit) + name
    return name


def lines(numbers: Iterable[int]) -> str:
    """Numbers of lines in words: line 3; lines 3 to 5, 9."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    shown = [str(a) if a == b else f"{a} to {b}" if b > a + 1 else f"{a}, {b}" for a, b in runs[:6]]
    more = sum(b - a + 1 for a, b in runs[6:])
    many = len(runs) > 1 or (runs and runs[0][1] > runs[0][0])
    return f"line{'s' * bool(many)} {', '.join(shown)}" + (f" and {more} more" if more else "")


# ------------------------------------------------------------------------------ XLSX
_REF = re.compile(rb"""r(?<![\w:.-]r)\s*=\s*["']([A-Za-z]*)(\d+)""")
_FAR = re.compile(rb"""r(?<![\w:.-]r)\s*=\s*["'](?:[A-Za-z]{2,}\d|[A-Za-z]?(?:[3-9]\d{5}|\d{7}))""")  # beyond Z299999
_BARE = re.compile(rb'<(?:\w+:)?c(?:\s+[\w:]+\s*=\s*"[^"<>&]*")*\s*(?:/>|></(?:\w+:)?c>)')  # formatted, and empty
_WITH_FORMULA = re.compile(rb"(<(?:\w+:)?c\s[^>]*[^/]>)\s*(<(?:\w+:)?f[\s/>].*?)</(?:\w+:)?c>", re.DOTALL)
_WITH_ERROR = re.compile(rb"""(<(?:\w+:)?c\s[^>]*\bt\s*=\s*["']e["'][^>]*(?<!/)>)(.*?)</(?:\w+:)?c>""", re.DOTALL)
_EMPTY_TEXT = re.compile(rb"""\st\s*=\s*["']str["']""")
_VALUE = re.compile(rb"<(?:\w+:)?v(?:\s[^>]*)?>([^<]*)<")
_FORMULA = re.compile(rb"<(?:\w+:)?f\b[^>]*?(?:/>|>([^<]*)<)")
_HIDDEN = re.compile(rb"""<(?:\w+:)?row\s[^>]*?\bhidden\s*=\s*["'](?:1|true)["'][^>]*>""")
_NEEDED = ("[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml")


class _Xlsx:
    """A workbook of ECMA-376."""

    def __init__(self, archive: zipfile.ZipFile, name: str) -> None:
        self.archive, self.name = archive, name
        self.parts = _unpacked(archive, _NEEDED, name, MOST_UNPACKED)
        self.sheets = self._sheets()

    def _sheets(self) -> dict[str, str]:
        """The member that holds a sheet, by the title of the sheet."""
        targets = {
            there["Id"]: _member(there.get("Target", ""))
            for tag, there in _elements(self.parts["xl/_rels/workbook.xml.rels"])
            if tag.endswith("Relationship")
        }
        sheets: dict[str, str] = {}
        for tag, there in _elements(self.parts["xl/workbook.xml"]):
            if tag.rpartition(":")[2] == "sheet":
                link = next((value for key, value in there.items() if key.endswith(":id")), "")
                sheets[there.get("name", "")] = targets.get(link, "")
        return sheets

    def repacked(self, title: str | None) -> bytes:
        """As `Packed.repacked`."""
        if title is not None:
            wanted = [part for part in (self.sheets[title], "xl/sharedStrings.xml") if part not in self.parts]
            left = MOST_UNPACKED - sum(map(len, self.parts.values()))
            self.parts |= _unpacked(self.archive, wanted, self.name, left)
        return _stored(self.parts)

    def marks(self, title: str) -> Marks:
        """As `Packed.marks`."""
        whole = self.repacked(title)
        xml = self.parts[self.sheets[title]]
        self._refuse_far(xml)
        unsaved, saved = self._formulas(xml)
        if unsaved:
            unsaved |= {place: text for place, text in _second_opinion(whole, title, set(unsaved)).items() if text}
        return Marks(unsaved | self._errors(xml), (), tuple(_said_of(saved, self._hidden(xml))))

    def _refuse_far(self, xml: bytes) -> None:
        """NoTable when the last cell with something in it lies so far out that what is between takes all memory."""
        if _FAR.search(xml) is None:
            return
        refs = _REF.findall(_BARE.sub(b"", xml))
        column = max((_number(name) for name in {name for name, _ in refs}), default=0)
        line = max((int(number) for _, number in refs), default=0)
        _refuse_far(self.name, line, column)

    def _formulas(self, xml: bytes) -> tuple[dict[Place, str], int]:
        """Formulas whose value was not saved, by place, and how many others there are."""
        unsaved: dict[Place, str] = {}
        saved = 0
        if b"<f" not in xml and b":f" not in xml:  # a hundred times as fast as the pattern
            return unsaved, saved
        for match in _WITH_FORMULA.finditer(xml):
            tag, inside = match.groups()
            value, formula = _VALUE.search(inside), _FORMULA.search(inside)
            place = _place(tag)
            if place is None or (value is not None and value[1]) or _EMPTY_TEXT.search(tag):
                saved += 1
            else:
                unsaved[place] = "=" + _plain(formula[1] or b"" if formula else b"")
        return unsaved, saved

    def _errors(self, xml: bytes) -> dict[Place, str]:
        """What cells with an error say, such as #DIV/0!, by place."""
        errors: dict[Place, str] = {}
        if b'"e"' not in xml and b"'e'" not in xml:
            return errors
        for match in _WITH_ERROR.finditer(xml):
            tag, inside = match.groups()
            value, place = _VALUE.search(inside), _place(tag)
            if place is not None:
                errors[place] = _plain(value[1] if value else b"") or "#ERROR"
        return errors

    def _hidden(self, xml: bytes) -> list[int]:
        if b"hidden" not in xml:
            return []
        refs = (_REF.search(match[0]) for match in _HIDDEN.finditer(xml))
        return sorted(int(ref[2]) for ref in refs if ref is not None)


def _second_opinion(whole: bytes, title: str, wanted: set[Place]) -> dict[Place, str]:
    """The formulas at these places as openpyxl writes them out, which knows shared ones; none where it is not there."""
    try:
        import openpyxl
    except ImportError:
        return {}
    import warnings

    last = max(line for line, _ in wanted)
    with warnings.catch_warnings():  # what it passes over (lists to choose from) is no reading
        warnings.simplefilter("ignore")
        page = openpyxl.load_workbook(io.BytesIO(whole), read_only=True, keep_links=False)[title]
        page.reset_dimensions()
        rows = enumerate(page.iter_rows(values_only=True, max_row=last), start=1)
        return {
            (line, column): str(getattr(row[column], "text", None) or row[column] or "")
            for line, row in rows
            for column in range(len(row))
            if (line, column) in wanted
        }


def _place(tag: bytes) -> Place | None:
    """Where a cell stands; None when its tag does not say."""
    ref = _REF.search(tag)
    return None if ref is None else (int(ref[2]), _number(ref[1]) - 1)


def _member(target: str) -> str:
    """The member that a relation of the workbook leads to."""
    return target[1:] if target.startswith("/") else f"xl/{target}"


def _number(name: bytes) -> int:
    """The number of a column: A is 1; no letters are none."""
    number = 0
    for letter in name.upper():
        number = number * 26 + letter - 64
    return number


def _plain(text: bytes) -> str:
    return unescape(text.decode("utf-8", "replace")).strip()


# ------------------------------------------------------------------------------ ODS
class _Ods:
    """A spreadsheet of OASIS OpenDocument."""

    def __init__(self, archive: zipfile.ZipFile, name: str) -> None:
        self.name = name
        self.parts = _unpacked(archive, ("mimetype", "META-INF/manifest.xml", "content.xml"), name, MOST_UNPACKED)
        if b"encryption-data" in self.parts.get("META-INF/manifest.xml", b""):
            raise NoTable(f"{name} is locked with a password.", "Open it, save it without one, try again.")
        self.whole = _stored(self.parts)
        self.tables = _tables(self.parts["content.xml"])
        for table in self.tables.values():  # all of them are read at once
            _refuse_far(name, table.last_line, table.last_column)

    def repacked(self, _title: str | None) -> bytes:
        """As `Packed.repacked`; all sheets stand in one member."""
        return self.whole

    def marks(self, title: str) -> Marks:
        """As `Packed.marks`."""
        table = self.tables[title]
        return Marks(table.texts, tuple(table.merged), tuple(_said_of(table.saved, table.hidden)))


class _Table:
    """What one table of an ODS turned out to hold, beside values."""

    def __init__(self) -> None:
        self.line = 0  # of the row that is read, from 1
        self.column = 0  # of the cell that was read last, from 1
        self.rows = 1  # how many times the row stands there
        self.filled = self.collapsed = False  # whether something is in the row, and whether it is hidden
        self.last_line = self.last_column = 0
        self.marked: list[tuple[int, int, list[str]]] = []  # cells of the row: column, how many times, text
        self.texts: dict[Place, str] = {}
        self.merged: list[tuple[int, int, int, int]] = []
        self.hidden: list[int] = []
        self.saved = 0

    def row(self, attributes: dict[str, str]) -> None:
        """A row begins."""
        self.row_ends()
        self.line += 1
        self.rows = int(attributes.get("table:number-rows-repeated", 1))
        self.collapsed = attributes.get("table:visibility", "visible") != "visible"

    def row_ends(self) -> None:
        """What was in the row counts for each time it stands there."""
        if self.filled:
            self.last_line = self.line + self.rows - 1
            some = range(self.line, self.line + min(self.rows, MOST_REPEATED))
            self.hidden += some if self.collapsed else ()
            for first, times, text in self.marked:
                for column in range(first, first + min(times, MOST_REPEATED)):
                    self.texts |= {(line, column): "".join(text) for line in some}
        self.line += self.rows - 1
        self.column, self.rows, self.filled, self.marked = 0, 1, False, []

    def cell(self, attributes: dict[str, str]) -> list[str] | None:
        """A cell begins; where its text goes if that is wanted."""
        times = int(attributes.get("table:number-columns-repeated", 1))
        first = self.column
        self.column += times
        formula = attributes.get("table:formula")
        valued = "office:value-type" in attributes
        if valued or formula is not None:
            self.fill()
        if "table:number-columns-spanned" in attributes or "table:number-rows-spanned" in attributes:
            wide = int(attributes.get("table:number-columns-spanned", 1))
            high = int(attributes.get("table:number-rows-spanned", 1))
            if wide > 1 or high > 1:
                self.merged.append((self.line, self.line + high - 1, first, first + wide - 1))
        if attributes.get("calcext:value-type") == "error":
            text: list[str] = []
            self.marked.append((first, times, text))
            return text
        if formula is not None and not valued:
            self.marked.append((first, times, ["=" + formula.removeprefix("of:").removeprefix("=")]))
        self.saved += formula is not None and valued
        return None

    def fill(self) -> None:
        """Something is in the cell that was read last."""
        self.filled = True
        if self.column > self.last_column:
            self.last_column = self.column


def _tables(xml: bytes) -> dict[str, _Table]:
    """The tables of a content.xml, by name."""
    tables: dict[str, _Table] = {}
    table = _Table()  # of what stands outside of any
    listening = False

    def begins(tag: str, attributes: dict[str, str]) -> None:
        nonlocal table, listening
        if tag == "text:p":
            table.fill()
        elif tag == "table:table-cell" or tag == "table:covered-table-cell":
            text = table.cell(attributes)
            if listening or text is not None:
                parser.CharacterDataHandler = None if text is None else text.append
                listening = text is not None
        elif tag == "table:table-row":
            table.row(attributes)
        elif tag == "table:table":
            table.row_ends()
            table = _Table()
            tables[attributes.get("table:name", "")] = table

    parser = _parser()
    parser.StartElementHandler = begins
    parser.Parse(xml, True)
    table.row_ends()
    return tables


# ------------------------------------------------------------------------------ both
def _unpacked(archive: zipfile.ZipFile, wanted: Sequence[str], name: str, most: int) -> dict[str, bytes]:
    """Those members that there are, in small or capital letters.

    What a member says of its size is the most that is unpacked of it, so that a lie is damage.
    """
    there = {member.casefold(): member for member in archive.namelist()}
    members = {part: there[part.casefold()] for part in wanted if part.casefold() in there}
    total = sum(archive.getinfo(member).file_size for member in members.values())
    if total > most:
        raise NoTable(f"{name} unpacks to {total // 1_000_000} MB.", "Cut it into smaller files.")
    return {part: archive.read(member) for part, member in members.items()}


def _stored(parts: dict[str, bytes]) -> bytes:
    """A packed file of what was counted: what a second entry or a false length hides is not in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for part, content in parts.items():
            archive.writestr(part, content)
    return out.getvalue()


def _refuse_far(name: str, line: int, column: int) -> None:
    if line * column > MOST_CELLS:
        raise NoTable(
            f"The last cell of {name} stands in {letters(column - 1)}{line}, too far from the first.",
            "Empty what stands far below and beside the readings, and save it again.",
        )


def _said_of(formulas: int, hidden: list[int]) -> list[str]:
    said = []
    if formulas:
        cells = "1 cell holds a formula" if formulas == 1 else f"{formulas} cells hold formulas"
        said.append(f"{cells}: the value that was saved with it was read")
    if hidden:
        said.append(f"{lines(hidden)} {'are' if len(hidden) > 1 else 'is'} hidden in the sheet: read like the others")
    return said


def _elements(xml: bytes) -> list[tuple[str, dict[str, str]]]:
    """Tags and attributes of a small XML."""
    elements: list[tuple[str, dict[str, str]]] = []
    parser = _parser()
    parser.StartElementHandler = lambda tag, attributes: elements.append((tag, attributes))
    parser.Parse(xml, True)
    return elements


def _parser() -> Any:
    """A parser that follows no entity: no workbook has any of its own."""

    def refuse(*_: object) -> None:
        raise ValueError("entity")

    parser = expat.ParserCreate()
    parser.EntityDeclHandler = refuse
    return parser
