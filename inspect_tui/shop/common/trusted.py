"""Whether a gauge may be measured with on a day: its newest check on a reference piece, and whether it is in use."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import fsum, hypot, sqrt

from inspect_tui.frozen import NamedTuple, frozen, replace
from inspect_tui.metrology.judge.uncertainty import ROOT3
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.judging import Means
from inspect_tui.shop.common.sizes import quantity_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.gauges import InstrumentBias, InstrumentState
    from inspect_tui.record.ask.gauges import CheckRead
    from inspect_tui.record.read import Reader

ONE_LOOK_US = 1_000  # repeats of one line are written in one go; what comes later was read again


@frozen
class Piece:
    """A reference piece: what people call it, its size and the U (k = 2) of that size, mm."""

    name: str
    size_mm: float
    u95_mm: float = 0.0


class Checked(NamedTuple):
    """What a check comes to, mm: reading less reference, what the certificate stated of that, what is allowed.

    `bias`: what is taken off every reading since it is known; the certificate's own error counts until then.
    """

    error: float
    stated: float
    allowed: float
    bias: float | None = None

    @property
    def known(self) -> float:
        """How far it is known to read off."""
        return self.stated if self.bias is None else self.bias

    @property
    def within(self) -> bool:
        """Whether the certificate still holds, for what is left once the known bias is taken off."""
        return abs(self.error - self.known) <= self.allowed + 1e-9


def allowed_mm(means: Means, piece: Piece, n: int = 1) -> float:
    """How far a sound instrument may read from the piece: U of certificate, piece and known bias, and half a step.

    At k = 2, as the normalised error of ISO/IEC 17043 compares; the display's step counts as a rectangle (GUM F.2.2.1).
    """
    step = 2.0 * 0.5 * means.resolution_mm / ROOT3 / sqrt(n)
    return hypot(means.u95(), piece.u95_mm, step, 2.0 * means.bias.u_mm if means.bias is not None else 0.0)


def checked(means: Means, piece: Piece, values: Sequence[float]) -> Checked:
    """A check of what was read on a piece (mm, degrees, degC), against the certificate that `means` has."""
    stated = 0.0
    if means.calibration is not None and means.calibration.result == "pass":
        stated = means.calibration.error_mm or 0.0
    error = fsum(values) / len(values) - piece.size_mm
    bias = means.bias.bias_mm if means.bias is not None else None
    return Checked(error, stated, allowed_mm(means, piece, len(values)), bias)


class History:
    """What is on record about one instrument: certificates, checks, biases, when it was taken out of use and back."""

    def __init__(
        self,
        instrument: Instrument,
        calibrations: Sequence[Calibration],
        checks: Sequence[CheckRead] = (),
        states: Sequence[InstrumentState] = (),
        biases: Sequence[InstrumentBias] = (),
    ) -> None:
        self.instrument, self.calibrations, self.biases = instrument, calibrations, biases
        self.states = states
        self.checks = checks
        self._days: list[str] = []  # of the checks, the newest first, as far as somebody asked

    def means(self, day: str, style: Style = MM) -> Means:
        """The instrument as it stood on a day (ISO date), with what speaks against it."""
        made = judging.means(self.instrument, self.calibrations, day, self.biases)
        failed, out = self.failed(day, style), self.out_of_use(day)
        return replace(made, failed=failed, out_of_use=out) if failed or out else made

    def failed(self, day: str, style: Style = MM) -> str | None:
        """What the newest check until a day found wrong; None when it passed, or was certified again since."""
        count = self._until(day)
        if not count:
            return None
        newest = self._day(count - 1)
        if self._certified_since(newest, self.checks[count - 1].id, day):
            return None
        first = count - 1
        while first and self._day(first - 1) == newest:
            first -= 1
        looks: dict[tuple[str, float], list[CheckRead]] = {}
        for check in self.checks[first:count]:
            key = (check.reference, check.reference_mm)
            before = looks.get(key)
            again = before is not None and check.at_us - before[-1].at_us > ONE_LOOK_US
            looks[key] = [check] if before is None or again else [*before, check]
        means = judging.means(self.instrument, self.calibrations, newest, self.biases)
        for (name, size), look in looks.items():
            piece = Piece(name, size, look[-1].u95_mm)
            made = checked(means, piece, [check.value for check in look])
            if not made.within and not checked(means, piece, [look[-1].value]).within:
                own = style if quantity_of(self.instrument) == "length" else MM
                off = own.signed(made.error - (made.bias or 0.0), 3, unit=False)
                if made.bias is not None:
                    off += f" less its known bias of {own.given(made.bias, unit=False, signed=True)}"
                most = own.length(made.allowed, 3, unit=False)
                return f"failed its check of {newest} on {name}: {off}, {most} is allowed"
        return None

    def _day(self, at: int) -> str:
        """The day of a check, by its place in the order."""
        back = len(self.checks) - 1 - at
        while len(self._days) <= back:
            check = self.checks[len(self.checks) - 1 - len(self._days)]
            self._days.append(day_of(check.at_us, check.tz_min))
        return self._days[back]

    def _until(self, day: str) -> int:
        """How many checks were made by a day."""
        count = len(self.checks)
        while count and self._day(count - 1) > day:
            count -= 1
        return count

    def _certified_since(self, newest: str, check_id: bytes, day: str) -> bool:
        """A certificate that is not a failed one came after that check; on its day, when it was entered later."""
        return any(
            c.result != "fail" and c.done_on <= day and (c.done_on, c.id) > (newest, check_id)
            for c in self.calibrations
        )

    def out_of_use(self, day: str) -> str | None:
        """Since when and why it is out of use on a day; None while it is in use."""
        last = next((state for state in reversed(self.states) if state.since_on <= day), None)
        if last is None or last.state != "out_of_use":
            return None
        return f"is out of use since {last.since_on}" + (f": {last.why}" if last.why else "")


def history(record: Reader, instrument: Instrument, until_us: int | None = None) -> History:
    """What the record holds about an instrument; `until_us`: checks after that moment are not known."""
    of_id = instrument.of_id
    checks = [check for check in record.checks_read(of_id) if until_us is None or check.at_us <= until_us]
    return History(
        instrument, record.calibrations(of_id), checks, record.instrument_states(of_id), record.biases(of_id)
    )


class Past:
    """What the record holds about all instruments; `biases` by instrument, `until_us` as in `history`.

    Checks and when a gauge was out of use are read of all at once, or of `alone` one of them.
    """

    def __init__(
        self,
        record: Reader,
        calibrations: Iterable[Calibration],
        biases: Mapping[bytes, Sequence[InstrumentBias]],
        until_us: int | None = None,
    ) -> None:
        self._record, self._until_us, self._biases = record, until_us, biases
        self._calibrations = sorted(calibrations, key=lambda certificate: (certificate.done_on, certificate.id))
        self._all: tuple[dict[bytes, list[CheckRead]], list[InstrumentState]] | None = None

    def of(self, instrument: Instrument, alone: bool = False) -> History:
        """What there is about one of them."""
        of_id = instrument.of_id
        if alone and self._all is None:
            checks, states = self._record.checks_read(of_id), self._record.instrument_states(of_id)
        else:
            if self._all is None:
                self._all = self._record.all_checks_read(), self._record.all_instrument_states()
            checks = self._all[0].get(of_id, [])
            states = [state for state in self._all[1] if state.instrument_of_id == of_id]
        return History(
            instrument,
            [certificate for certificate in self._calibrations if certificate.instrument_of_id == of_id],
            [check for check in checks if self._until_us is None or check.at_us <= self._until_us],
            states,
            self._biases.get(of_id, ()),
        )
