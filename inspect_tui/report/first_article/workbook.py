"""The first article as a workbook: real numbers, filters, frozen heads; text that looks like a formula stays text."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from inspect_tui.metrology.typed import show
from inspect_tui.report.first_article import requirements, rows, signed
from inspect_tui.report.paper.html import need
from inspect_tui.report.words import visible
from inspect_tui.shop.common.standing import Standing

Plain = Mapping[str, Any]

WIDE = {
    "name": 30,
    "ends": 20,
    "words": 60,
    "sentence": 60,
    "reason": 40,
    "notes": 30,
    "why": 50,
    "question": 40,
    "corrected": 26,
    "reference": 22,
    "casting_words": 44,
    "chain_head": 30,
    "band_source": 20,
    "value": 12,
}
PERCENT = ("p_conform", "probability", "p_meets", "p_cleans_up", "share")
RATIOS = ("plan", "found", "u_found")
OPTIONS = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}

Sheet = tuple[str, tuple[str, ...], list[tuple[Any, ...]]]

FEATURES = (
    "balloon",
    "name",
    "quantity",
    "unit",
    "axis",
    "ends",
    "machined",
    "finished",
    "as_cast",
    "lower",
    "upper",
    "band_source",
    "answer",
    "n",
    "mean",
    "deviation",
    "spread",
    "p_conform",
    "predicted",
    "u_predicted",
    "state",
)
GAUGES = (
    "label",
    "kind",
    "serial",
    "resolution_mm",
    "calibrated_on",
    "due_on",
    "result",
    "u95_mm",
    "k",
    "reference",
    "readings",
    "remark",
)
NUMBERS = (
    *("number", "axis", "from_mm", "to_mm", "at_x_mm", "at_y_mm", "at_z_mm"),
    *("picture", "percent_from_left", "percent_from_top", "why_nowhere"),
)
LOOPS = ("name", "serial", "gap", "u", "open", "sentence", "suspect", "suggested")
PASSAGES = (
    "name",
    "serial",
    "formula",
    "value",
    "u",
    "unit",
    "drawn",
    "rated",
    "minimum",
    "capacity",
    "u_capacity",
    "u_measured",
    "u_assumed",
    "capacity_unit",
    "p_meets",
    "level",
    "sentence",
    "caveat",
)
CAUSES = (
    "name",
    "kind",
    "axis",
    "status",
    "probability",
    "size",
    "u",
    "low",
    "high",
    "unit",
    "tool",
    "serial",
    "words",
    "speaks_for",
    "against",
    "alike",
)
CUTS = (
    "number",
    "tool",
    "part",
    "cause",
    "axis",
    "change_mm",
    "low",
    "high",
    "words",
    "casting_words",
    "needed",
    "sure",
    "accepted",
    "moves",
)
GEOMETRY = (
    "balloon",
    "name",
    "what",
    "tolerance",
    "round",
    "datums",
    "state",
    "how",
    "sheet",
    "zone",
    "characteristic",
)
GEOMETRY_CELL = ("serial", "answer", "value", "U", "p_conform", "method", "reason", "by", "at")
DECISIONS = (
    "balloon",
    "serial",
    "state",
    "unit",
    "found",
    "found_value",
    "found_u95",
    "decision",
    "until_on",
    "quantity",
    "why",
    "by",
    "on",
    "agreed_by",
    "reference",
    "again",
    "again_value",
    "again_u95",
    "again_by",
    "again_at",
    "closed",
)
PREDICTED = ("balloon", "before", "after", "after_checks", "u", "p_before", "p_after")
PROMISES = ("balloon", "round", "before", "promised", "u_promised", "got", "u_got", "word")


class _WorkbookWriter:
    """The workbook with its few formats."""

    def __init__(self, target: io.BytesIO, plain: Plain) -> None:
        self.book = need("xlsxwriter").Workbook(target, OPTIONS)
        base = {"font_name": "Arial", "font_size": 9, "valign": "top"}
        self.head = self.book.add_format({**base, "bold": True, "bottom": 2, "text_wrap": True, "bg_color": "#E9E9E9"})
        self.plain = self.book.add_format(base)
        self.bold = self.book.add_format({**base, "bold": True})
        self.wrap = self.book.add_format({**base, "text_wrap": True})
        self.figure = self.book.add_format({**base, "num_format": "0.000"})
        self.percent = self.book.add_format({**base, "num_format": "0.0 %"})
        self.ratio = self.book.add_format({**base, "num_format": "0.000 %"})
        self.bad = self.book.add_format({**base, "bold": True, "font_color": "#A5140F"})
        self.doubt = self.book.add_format({**base, "bold": True})
        day = plain["identity"]["measured_to"] or "2000-01-01"
        self.book.set_properties(
            {
                "title": f"First article {visible(plain['identity']['round'])}",
                "created": datetime.fromisoformat(day[:10]).replace(tzinfo=UTC).replace(tzinfo=None),
            }
        )

    def sheet(self, name: str, headings: Sequence[str], lines: Iterable[Sequence[Any]]) -> None:
        """A sheet with a head that stays, a filter on every column and a row for each line."""
        sheet = self.book.add_worksheet(name)
        formats = [self._format(key) for key in headings]
        for column, key in enumerate(headings):
            sheet.write_string(0, column, key, self.head)
            sheet.set_column(column, column, WIDE.get(key, 11))
        last = 0
        for last, line in enumerate(lines, start=1):
            for column, value in enumerate(line):
                self._write(sheet, last, column, value, formats[column])
        sheet.freeze_panes(1, _frozen(headings))
        if last:
            sheet.autofilter(0, 0, last, len(headings) - 1)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)

    def _format(self, key: str) -> Any:
        if key in PERCENT:
            return self.percent
        return self.ratio if key in RATIOS else self.figure

    def _write(self, sheet: Any, row: int, column: int, value: Any, number: Any) -> None:
        if value is None or value == "":
            return
        if isinstance(value, bool):
            sheet.write_string(row, column, "yes" if value else "no", self.plain)
        elif isinstance(value, int):
            sheet.write_number(row, column, value, self.plain)
        elif isinstance(value, float):
            sheet.write_number(row, column, value, number)
        else:
            text = str(value)
            style = (
                self.bad
                if text == Standing.DOES_NOT_CONFORM
                else self.doubt
                if text == Standing.UNDECIDED
                else self.plain
            )
            sheet.write_string(row, column, visible(text)[:32767], style)

    def page(self, name: str, pairs: Iterable[tuple[str, Any]]) -> None:
        """A sheet of names and values, for reading."""
        sheet = self.book.add_worksheet(name)
        sheet.set_column(0, 0, 26)
        sheet.set_column(1, 1, 96)
        for row, (key, value) in enumerate(pairs):
            sheet.write_string(row, 0, key, self.bold)
            if isinstance(value, int | float) and not isinstance(value, bool):
                sheet.write_number(row, 1, value, self.plain)
            elif value is not None:
                sheet.write_string(row, 1, visible(str(value)), self.wrap)


def _frozen(headings: Sequence[str]) -> int:
    """Columns that stay when the sheet is moved sideways: up to and with the balloon."""
    return headings.index("balloon") + 1 if "balloon" in headings else 1


def content(plain: Plain) -> bytes:
    """The workbook; dated by the newest reading, so that the same result is the same file."""
    out = io.BytesIO()
    book = _WorkbookWriter(out, plain)
    book.page("Report", _report(plain))
    features = FEATURES if signed.is_first(plain) else (*FEATURES, *rows.PLACE)
    book.sheet("Features", features, _features(plain, features))
    book.sheet("Readings", rows.columns(plain), rows.readings(plain))
    for name, headings, lines in _more(plain):
        if lines:
            book.sheet(name, headings, lines)
    book.book.close()
    return out.getvalue()


# ------------------------------------------------------------------------------ the sheets beside the readings
def _report(plain: Plain) -> Iterator[tuple[str, Any]]:
    """The first sheet: what this is about, the answer, the rule, the cautions, and who signs (nobody yet)."""
    who = plain["identity"]
    yield "First article", who["round"]
    yield "Job", who["job"]
    yield "Part", who["name"]
    yield "Customer's reference", who["customer_ref"]
    if not signed.is_first(plain):
        yield from signed.order(who)
    yield "Drawing", f"{who['drawing']}, revision {who['revision']}"
    yield "Material", who["alloy"]
    yield "Heat", who["heat"]
    yield "Poured", who["poured_on"]
    yield "Castings", ", ".join(who["serials"])
    yield "Measured", " to ".join(dict.fromkeys(show.day(x) for x in (who["measured_from"], who["measured_to"]) if x))
    yield "Measured by", ", ".join(who["people"])
    yield "Answer", plain["answer"]
    for word, n in plain["counts"]:
        yield f"Features: {word}", n
    for word, n in plain.get("counts_finished", ()):
        yield f"Features finished: {word}", n
    yield "Decision rule", plain["rule"]["words"]
    yield "Uncertainty", plain["rule"]["coverage"]
    for line in plain["cautions"]:
        yield "Caution", line
    for line in plain.get("statement", ()):
        yield "Statement", line
    for line in plain.get("not_covered", ()):
        yield "Not covered", line
    if signed.is_first(plain):
        for name in ("Measured", "Checked", "Decision under the order"):
            yield f"{name}: name, date, signature", ""
    else:
        for signer in signed.view(plain)["names"]:
            words = ", ".join(filter(None, (signer["name"], signer["day"], signer["note"])))
            yield f"{signer['what']}: name, date", words
    yield "Ends of the record's chains", ", ".join(who["heads"])
    yield "Snapshot", who["snapshot"]
    yield "Program", who["program"]


def _features(plain: Plain, keys: tuple[str, ...]) -> Iterator[tuple[Any, ...]]:
    """One row a feature."""
    lines = ({**line, "state": requirements.state(line)} for line in plain["features"])
    return (tuple(line[key] for key in keys) for line in lines)


def _geometries(plain: Plain) -> list[tuple[Any, ...]]:
    """One row a geometrical tolerance and casting."""
    return [
        (*(line[key] for key in GEOMETRY), *(cell[key] for key in GEOMETRY_CELL))
        for line in plain.get("geometry", ())
        for cell in line["cells"]
    ]


def _numbers(plain: Plain) -> list[tuple[Any, ...]]:
    """One row a number and place: on its size in the mould, on a photograph, or nowhere."""
    places = plain.get("places")
    if not places:
        return []
    nothing = dict.fromkeys(NUMBERS)
    lines: list[dict[str, Any]] = [
        {"number": number, "axis": size["axis"], "from_mm": size["ends"][0], "to_mm": size["ends"][1]}
        | {f"at_{axis}_mm": mm for axis, mm in size["at"]}
        for size in places["sizes"]
        for number in (size["balloon"], *size["beside"])
    ]
    lines += [
        {"number": number, "picture": picture["name"], "percent_from_left": x, "percent_from_top": y}
        for picture in places["pictures"]
        for number, x, y in picture["marks"]
    ]
    lines += [{"number": line["balloon"], "why_nowhere": line["why"]} for line in places["not_placed"]]
    return _rows([nothing | line for line in lines], NUMBERS)


def _rows(lines: Sequence[Plain], keys: tuple[str, ...]) -> list[tuple[Any, ...]]:
    return [tuple(", ".join(line[k]) if isinstance(line[k], list) else line[k] for k in keys) for line in lines]


def _more(plain: Plain) -> list[Sheet]:
    """The further sheets; those of the annex only when the result has it."""
    # the datum targets a column each, so that what they are raised by are numbers; older reports have none
    targets = list(dict.fromkeys(name for line in plain["stock"]["castings"] for name, _ in line.get("targets") or ()))

    def raised(line: Plain) -> tuple[Any, ...]:
        told = dict(line.get("targets") or ())
        return tuple(told.get(name) for name in targets)

    stock = [
        (
            line["serial"],
            line["cleans_up"],
            line["spare"],
            line["p_cleans_up"],
            face["name"],
            face["before"],
            face["after"],
            face["required"],
            face["share"],
            line["sentence"],
            *raised(line),
        )
        for line in plain["stock"]["castings"]
        for face in line["faces"]
    ]
    out: list[Sheet] = [
        (
            "Not measured",
            ("balloon", "serial", "why"),
            [(line["balloon"], line["serial"] or "every casting", line["why"]) for line in plain["not_measured"]],
        ),
        (
            "Looked at twice",
            ("kind", "serial", "balloons", "sentence", "value", "u"),
            _rows(plain["questions"], ("kind", "serial", "balloons", "sentence", "value", "u")),
        ),
        ("Loops", LOOPS, _rows(plain["loops"], LOOPS)),
        ("Instruments", GAUGES, _rows(plain["instruments"], GAUGES)),
        # reports of before lack what is measured of a capacity and what assumed
        ("Passages", PASSAGES, _rows([dict.fromkeys(PASSAGES) | line for line in plain["passages"]], PASSAGES)),
        (
            "Stock",
            (
                "serial",
                "cleans_up",
                "spare",
                "p_cleans_up",
                "face",
                "before",
                "after",
                "required",
                "share",
                "sentence",
                *(f"raise {name} by" for name in targets),
            ),
            stock,
        ),
    ]
    out.append(("Numbers", NUMBERS, _numbers(plain)))
    out.append(("Geometry", (*GEOMETRY, *GEOMETRY_CELL), _geometries(plain)))
    decided = _rows(plain.get("dispositions", ()), DECISIONS)
    out.append(("Non-conformities", DECISIONS, decided))
    if plain["causes"]:
        causes = [*plain["causes"]["found"], *plain["causes"]["cannot_tell"]]
        out.append(("Causes (internal)", CAUSES, _rows(causes, CAUSES)))
    if plain["cuts"]:
        out.append(("Cuts (internal)", CUTS, _rows(plain["cuts"]["cuts"], CUTS)))
        out.append(("After cuts (internal)", PREDICTED, _rows(plain["cuts"]["predicted"], PREDICTED)))
    if plain["promises"]:
        out.append(("Promises (internal)", PROMISES, _rows(plain["promises"], PROMISES)))
    return out
