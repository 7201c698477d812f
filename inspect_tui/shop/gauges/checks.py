"""Quick check with a reference piece before work: what the instrument reads, against its certificate."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields, quantity, slips
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.parsed import Ambiguous, TypedLine, Unreadable
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.gauges import GaugeCheck
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import Id
from inspect_tui.record.ask.gauges import LoggedCheck
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common.judging import Means
from inspect_tui.shop.common.sizes import gauge_unit, quantity_of, range_mm
from inspect_tui.shop.common.trusted import Piece, allowed_mm, checked
from inspect_tui.shop.gauges import instruments
from inspect_tui.shop.gauges.instruments import InstrumentLine
from inspect_tui.todo import Todo

BURST_S = 0.25  # as at the bench: faster than a person answers, a line is the next reading


@frozen
class CheckResult:
    """One check. `error`: reading less reference, as read; `allowed`: what certificate, display and reference explain.

    `within` judges what is left of the error once a known bias of the instrument is taken off.
    """

    checks: tuple[GaugeCheck, ...]
    error: float
    allowed: float
    within: bool
    sentence: str


@frozen
class CheckAsked:
    """A line that may be a slip: not written yet, asked once."""

    text: str
    sentence: str
    suggestion: str | None
    reason: str = ""
    todo: Todo = Todo.KEEP_AS_TYPED


@frozen
class CheckRefused:
    """A line that is no reading: nothing was logged, the text is given back."""

    text: str
    sentence: str


Outcome = CheckResult | CheckAsked | CheckRefused


def judge(
    label: str, means: Means, piece: Piece, values: Sequence[float], style: Style = MM
) -> tuple[float, float, bool, str]:
    """Error, what is allowed, whether it is within, and the sentence; values and piece in mm (degrees, degC)."""
    made = checked(means, piece, values)
    error, stated, allowed, bias = made
    mean, is_within = piece.size_mm + error, made.within
    own = style if quantity_of(means.instrument) == "length" else MM  # degrees and degC are the same in every style
    unit = own.unit_word(quantity_of(means.instrument))
    places = max(3, places_of(means.resolution_mm))
    size = own.length(piece.size_mm, places, unit=False)
    on = f"{piece.name} ({size})" if any(c.isdigit() for c in piece.name) else f"the {size} {piece.name or 'reference'}"
    read = f"{label} reads {own.length(mean, places, unit=False)} on {on}"
    has = f"its certificate says {own.given(stated, unit=False, signed=True)}, and " if stated and bias is None else ""
    off = own.signed(error - (bias or 0.0), places, unit=False)
    if bias is not None:
        less = own.given(bias, unit=False, signed=True)
        read += f", which is {own.length(mean - bias, places, unit=False)} less its known bias of {less}"
    most = f"{own.length(allowed, 3, unit=False)} {unit}" if own.unit != "fraction" else own.length(allowed, 3)
    if is_within:
        say = f"{read}: within its certificate ({off}; {has}U with the piece {most})"
        if means.calibration is None:
            say = f"{read}: within the {most} that is assumed; it has no certificate"
    else:
        say = f"{read}: NOT within its certificate ({off}; {has}only {most} is allowed)"
    return error, allowed, is_within, say


def places_of(resolution: float) -> int:
    """Decimals of a step of an instrument as it is written: 2 for 0.01, 0 for 1, 1 for 0.5."""
    return 0 if resolution >= 1 else len(f"{resolution:.6f}".rstrip("0").partition(".")[2])


def within(logged: LoggedCheck, means: Means) -> bool:
    """Whether a logged check lies within what the instrument's certificate (as `means` says) allows."""
    c = logged.check
    return judge("", means, Piece(c.reference, c.reference_mm, c.u95_mm), [c.value])[2]


def pieces(record: Reader, instrument: Instrument) -> list[Piece]:
    """The reference pieces used with this instrument, the last used first; then those used with others."""
    known: dict[tuple[str, float], Piece] = {}
    others = [
        gauge for gauge in record.instruments() if gauge.of_id != instrument.of_id and gauge.unit == instrument.unit
    ]
    for gauge in (instrument, *others):
        for logged in reversed(record.gauge_checks(gauge.of_id)):
            c = logged.check
            known.setdefault((c.reference, c.reference_mm), Piece(c.reference, c.reference_mm, c.u95_mm))
    return list(known.values())


def course(record: Reader, instrument: Instrument, style: Style = MM) -> str:
    """What the checks on the piece used most come to over time, in one sentence; empty without checks."""
    by: dict[tuple[str, float], list[float]] = {}
    u95 = 0.0
    for logged in record.gauge_checks(instrument.of_id):
        by.setdefault((logged.check.reference, logged.check.reference_mm), []).append(logged.check.value)
        u95 = max(u95, logged.check.u95_mm)
    if not by:
        return ""
    (_, size), values = max(by.items(), key=lambda item: len(item[1]))
    if len(values) < 2:
        return "One check: nothing can be said about its course yet."
    from inspect_tui.metrology.gauges.bias import stability_study

    return stability_study(values, size, u95 / 2.0, style=style).sentence


PIECE_FIELDS = (
    ("name", "piece: what people call it, such as block 25"),
    ("size", "size: as its certificate says, such as 25.000"),
    ("u95", "U: of that size (k = 2), such as 0.0002; empty: nothing"),
)


def read_piece(instrument: Instrument, name: str, size: str, u95: str, style: Style = MM) -> Piece | Wrong:
    """A reference piece from what was typed, or what is wrong with it."""
    typed = instruments.read_length(size, instrument)
    if isinstance(typed, Wrong):
        return Wrong(f"size: {typed}.")
    own = style if quantity_of(instrument) == "length" else MM
    low, high = range_mm(instrument)
    if not low <= typed <= high:
        return Wrong(
            f"{own.given(typed, unit=False)} lies outside the range of {instrument.label}, "
            f"{own.given(low, unit=False)} to {own.given(high, unit=False)}: take another piece."
        )
    u = fields.optional(instruments.read_length)(u95, instrument)
    if isinstance(u, Wrong):
        return Wrong(f"U of the piece: {u}.")
    u = u or 0.0
    if u > 0.2 * abs(typed):
        given = own.given(u, unit=False)
        return Wrong(
            f"U {given} of a piece of {own.given(typed, unit=False)}: that is no reference. Type U such as 0.001, or "
            "leave it empty."
        )
    return Piece(name.strip() or "block", typed, u)


class QuickCheck:
    """One stay that checks one instrument on one piece; every line is on the disk before it is spoken of."""

    def __init__(
        self,
        record: Record,
        person: Person,
        instrument: Instrument,
        piece: Piece,
        today: str | None = None,
        style: Style = MM,
    ) -> None:
        self.record, self.person, self.instrument, self.piece, self.style = record, person, instrument, piece, style
        self._today = today
        self.line: InstrumentLine = instruments.line(record, instrument, today, style)
        self.results: list[CheckResult] = []
        self.pending: tuple[CheckAsked, TypedLine] | None = None
        self._setup: Id | None = None
        self._instead: Id | None = None

    def take(self, text: str, gap_s: float = inf) -> Outcome:
        """One line: one reading or several repeats. A question is answered as at the Bench."""
        if self.pending is not None:
            asked, entry = self.pending
            if not text.strip() or gap_s < BURST_S:
                self.pending = None
                kept = self._log(entry)
                return kept if not text.strip() else self.take(text)
            if text.strip() == "=" and asked.suggestion is not None:
                text = asked.suggestion
            parsed = self._parse(text)
            if isinstance(parsed, TypedLine):
                self.pending = None
                return self._log(parsed)
            return CheckRefused(text, parsed.sentence)
        if not text.strip():
            return CheckRefused("", "Nothing typed, nothing logged.")
        parsed = self._parse(text)
        if not isinstance(parsed, TypedLine):
            return CheckRefused(text, parsed.sentence)
        question = self._question(parsed)
        if question is not None:
            asked = CheckAsked(text, question.sentence, question.suggested_text, question.reason, question.todo)
            self.pending = (asked, parsed)
            return asked
        return self._log(parsed)

    def keep_pending(self) -> CheckResult | None:
        """Log a reading that is still being asked about as typed."""
        if self.pending is None:
            return None
        _, entry = self.pending
        self.pending = None
        return self._log(entry)

    def take_back(self) -> bool:
        """The next reading takes the place of the last one, which stands until then; False when there is none."""
        if not self.results:
            return False
        self._instead = self.results.pop().checks[-1].id
        return True

    def _parse(self, text: str) -> TypedLine | Ambiguous | Unreadable:
        kind = quantity_of(self.instrument)
        unit = gauge_unit(self.instrument, "mm" if self.style.unit == "mm" else "in")
        return quantity.parse_line(text, unit, self.instrument.rule_scale, kind)

    def _question(self, entry: TypedLine) -> slips.SlipQuestion | None:
        spread = max(allowed_mm(self.line.means, self.piece), self.line.means.resolution_mm)
        try:
            bias = self.line.means.bias
            reads = self.piece.size_mm + (bias.bias_mm if bias is not None else 0.0)
            expected = slips.Expectation(self.piece.name, reads, spread)
            for size in entry.sizes:
                question = slips.check(size, expected, resolution_mm=self.line.means.resolution_mm)
                if question is not None:
                    return question
        except DataError:
            return None
        return None

    def _log(self, entry: TypedLine) -> CheckResult:
        if self._setup is None:
            title = f"check of {self.instrument.label} on {self.piece.name}"
            self._setup = instruments.gauge_setup(self.record, self.person, self.instrument, title, self._today)
        old, self._instead = self._instead, None
        new = [
            GaugeCheck(
                setup_id=self._setup,
                reference=self.piece.name,
                reference_mm=self.piece.size_mm,
                u95_mm=self.piece.u95_mm,
                value=size.mm,
                typed=size.typed,
                typed_unit=size.unit,
                instead_of_id=old if i == 0 else None,
            )
            for i, size in enumerate(entry.sizes)
        ]
        stored = tuple(self.record.add_all(new, by=self.person.id))
        judged = judge(self.instrument.label, self.line.means, self.piece, [c.value for c in stored], self.style)
        result = CheckResult(stored, *judged)
        self.results.append(result)
        return result
