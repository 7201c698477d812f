"""Biases that came to light: what checks, certificates, bias studies and everyday readings show, and since when."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from math import sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, day_of
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.record.ask.gauges import LoggedCheck
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.trusted import Piece, allowed_mm
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.gauges.checks import judge, within
from inspect_tui.shop.gauges.instruments import read_length

FEWEST_FOR_STEPS = 6  # checks on one piece; with fewer nothing can be said about when a bias began


@frozen_by_name
class BiasFinding:
    """A bias that the checks or a certificate show, and the days it may have held. mm; `u` standard uncertainty.

    `why` goes into the record when the bias is confirmed, so it is written in mm whoever asks.
    """

    bias: float
    u: float
    from_on: str
    to_on: str | None  # None: it still holds
    why: str
    found_from: str


def findings(record: Reader, instrument: Instrument, today: str | None = None) -> list[BiasFinding]:
    """Biases that checks, certificates and everyday readings show, the newest first; what is recorded is left out."""
    today = today or date.today().isoformat()
    calibrations = [c for c in record.calibrations(instrument.of_id) if c.done_on <= today]
    checks = record.gauge_checks(instrument.of_id)
    known = record.biases(instrument.of_id)
    shown = from_checks(instrument, calibrations, checks) + from_certificates(instrument, calibrations, checks)
    shown += from_studies(record, instrument, calibrations, checks)
    certain = _without_doubles(shown)  # against a reference; everyday readings only tell one gauge from the others
    certain += [
        f for f in from_pooled(record, instrument, calibrations, checks) if not any(_alike(f, c) for c in certain)
    ]
    return sorted((f for f in certain if not any(same_as(f, b) for b in known)), key=lambda f: f.from_on, reverse=True)


def from_certificates(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[BiasFinding]:
    """As-found errors larger than the U of their certificate: they held since the last time that all was well."""
    shown = []
    for certificate in calibrations:
        if certificate.error_mm is None or abs(certificate.error_mm) <= certificate.u95_mm:
            continue
        since, why = last_good(instrument, calibrations, checks, certificate.done_on, certificate.error_mm)
        ends = certificate.done_on if certificate.result == "adjusted" else None
        way = "high" if certificate.error_mm > 0 else "low"
        shown.append(
            BiasFinding(
                bias=certificate.error_mm,
                u=certificate.u95_mm / certificate.k,
                from_on=since,
                to_on=ends,
                why=f"as found {MM.given(abs(certificate.error_mm), unit=False)} {way} on {certificate.done_on}; {why}",
                found_from=f"calibration {certificate.done_on}",
            )
        )
    return shown


def from_checks(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[BiasFinding]:
    """Stretches of checks on one piece that read off; and the last one when it is not within and in no such stretch."""
    shown: list[BiasFinding] = []
    by_piece: dict[tuple[str, float], list[LoggedCheck]] = {}
    for logged_check in checks:
        by_piece.setdefault((logged_check.check.reference, logged_check.check.reference_mm), []).append(logged_check)
    for (name, size), logged in by_piece.items():
        lasting = []
        if len(logged) >= FEWEST_FOR_STEPS:
            lasting = _stretches(instrument, calibrations, name, size, logged)
        shown += lasting
        if not any(logged_check.to_on is None for logged_check in lasting):
            shown += _last_bad(instrument, calibrations, checks, name, logged)
    return shown


def _stretches(
    instrument: Instrument, calibrations: Sequence[Calibration], name: str, size: float, logged: Sequence[LoggedCheck]
) -> list[BiasFinding]:
    from inspect_tui.metrology.gauges.bias import stability_study
    from inspect_tui.metrology.spread.charts import Break

    days = [day_of(logged_check.at_us, logged_check.tz_min) for logged_check in logged]
    adjusted = sorted({c.done_on for c in calibrations if c.result == "adjusted"})
    places = {sum(day <= on for day in days): on for on in adjusted}
    breaks = [Break(i, f"adjusted {on}") for i, on in places.items() if 0 < i < len(days)]
    u_piece = max(logged_check.check.u95_mm for logged_check in logged) / 2.0
    study = stability_study([logged_check.check.value for logged_check in logged], size, u_piece, breaks)
    shown = []
    for start, stop, bias in study.biases:
        means = judging.means(instrument, calibrations, days[start])
        if not bias.differs or abs(bias.bias) <= allowed_mm(means, Piece(name, size), bias.n):
            continue
        if start == 0:
            since, why = last_good(instrument, calibrations, (), days[0], bias.bias)
        else:
            since, why = days[start - 1], f"the check of {days[start - 1]} was the last before it"
        after = next((c.done_on for c in calibrations if c.result == "adjusted" and c.done_on >= days[stop - 1]), None)
        ends = days[stop] if stop < len(days) else None
        ends = min(filter(None, (after, ends)), default=None)
        way = "high" if bias.bias > 0 else "low"
        shown.append(
            BiasFinding(
                bias=bias.bias,
                u=bias.u,
                from_on=since,
                to_on=ends,
                why=f"{bias.n} checks on {name} from {days[start]} to {days[stop - 1]} "
                f"read {MM.length(abs(bias.bias), 3, unit=False)} {way}; {why}",
                found_from=f"checks on {name}",
            )
        )
    return shown


def _last_bad(
    instrument: Instrument,
    calibrations: Sequence[Calibration],
    checks: Sequence[LoggedCheck],
    name: str,
    logged: Sequence[LoggedCheck],
) -> list[BiasFinding]:
    newest = day_of(logged[-1].at_us, logged[-1].tz_min)
    last = [logged_check for logged_check in logged if day_of(logged_check.at_us, logged_check.tz_min) == newest]
    means = judging.means(instrument, calibrations, newest)
    c = last[-1].check
    piece = Piece(c.reference, c.reference_mm, c.u95_mm)
    error, allowed, is_within, _ = judge("", means, piece, [logged_check.check.value for logged_check in last])
    if is_within:
        return []
    put_right = min((k.done_on for k in calibrations if k.done_on >= newest and k.result == "adjusted"), default=None)
    since, why = last_good(instrument, calibrations, checks, newest, error)
    way = "high" if error > 0 else "low"
    count = f"{len(last)} readings" if len(last) > 1 else "one reading"
    return [
        BiasFinding(
            bias=error,
            u=allowed / 2.0,
            from_on=since,
            to_on=put_right,
            why=f"{count} on {name} on {newest}: {MM.length(abs(error), 3, unit=False)} {way}; {why}",
            found_from=f"check on {name} of {newest}",
        )
    ]


def from_studies(
    record: Reader, instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[BiasFinding]:
    """Biases that complete bias studies show, where they are more than the certificate allows."""
    from inspect_tui.shop.gauges import results

    shown = []
    for study in record.gauge_studies(instrument.of_id):
        bias = results.evaluate(record, study).bias if study.design == "bias" else None
        if bias is None or not bias.differs:
            continue
        trials = record.gauge_trials(study.id)
        first, last = (day_of(trials[i].at_us, trials[i].tz_min) for i in (0, -1))
        if abs(bias.bias) <= judging.means(instrument, calibrations, first).u95():
            continue
        since, why = last_good(instrument, calibrations, checks, first, bias.bias)
        ends = min((c.done_on for c in calibrations if c.result == "adjusted" and c.done_on >= last), default=None)
        shown.append(
            BiasFinding(
                bias=bias.bias,
                u=bias.u,
                from_on=since,
                to_on=ends,
                why=f"{bias.sentence}; {why}",
                found_from=f"bias study {study.title}"[:120],
            )
        )
    return shown


def from_pooled(
    record: Reader, instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[BiasFinding]:
    """How much more or less than the others it reads, over all sizes of tools and castings."""
    shown = []
    for pooled_offset in pooled.current(record).of(instrument):
        bias, adjusted = pooled_offset.offset.estimate, pooled_offset.hand.after
        since, why = last_good(instrument, calibrations, checks, pooled_offset.first_day, bias.value)
        if adjusted is not None and since <= adjusted:
            since, why = day_after(adjusted), f"it was adjusted on {adjusted}"
        shown.append(
            BiasFinding(
                bias=bias.value,
                u=bias.u,
                from_on=since,
                to_on=pooled_offset.hand.until,
                why=f"{pooled_offset.said()}; {why}",
                found_from="everyday readings",
            )
        )
    return shown


def day_after(day: str) -> str:
    """The next day, ISO dates."""
    return (date.fromisoformat(day) + timedelta(days=1)).isoformat()


def last_good(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck], before: str, bias: float
) -> tuple[str, str]:
    """The last day before `before` on which a check or a certificate showed no such bias, and how that is known.

    A check counts as good when it is within what the certificate allows and nearer to the truth than to the bias.
    Where nothing is on record it is the first day of all, "0001-01-01".
    """
    good: list[tuple[str, str]] = []
    for certificate in calibrations:
        if certificate.done_on < before and certificate.result != "fail":
            clean = certificate.result == "adjusted" or abs(certificate.error_mm or 0.0) <= certificate.u95_mm
            good += [(certificate.done_on, f"the certificate of {certificate.done_on} was good")] if clean else []
    for logged in checks:
        day = day_of(logged.at_us, logged.tz_min)
        error = logged.check.value - logged.check.reference_mm
        means = judging.means(instrument, calibrations, day)
        if day < before and within(logged, means) and abs(error) < abs(error - bias):
            good.append((day, f"the check of {day} was good"))
    return max(good, default=("0001-01-01", "no earlier check or certificate is on record"))


STATED_FIELDS = (
    ("bias", "bias: reading less truth, such as +0.05"),
    ("u", "u: standard uncertainty of it; empty: 0"),
    ("since", "from: first day; empty: from the last good check on"),
    ("to", "to: last day; empty: it still holds"),
    ("why", "why: how it came to light"),
)


def read_stated(
    instrument: Instrument, values: Mapping[str, str | None], today: str
) -> tuple[float, float, str | None, str | None] | Wrong:
    """Bias, its u, first and last day as typed (`bias`, `u`, `since`, `to`), or what is wrong with them."""
    bias = read_length(values.get("bias"), instrument, signed=True)
    if isinstance(bias, Wrong):
        return Wrong(f"bias: {bias}.")
    if bias == 0:
        return Wrong("A bias of 0 changes nothing: say by how much it reads high (+) or low (-).")
    u = fields.optional(read_length)(values.get("u"), instrument)
    if isinstance(u, Wrong):
        return Wrong(f"u: {u}.")
    since, to = (fields.optional(fields.day)(values.get(key), today) for key in ("since", "to"))
    if isinstance(since, Wrong):
        return Wrong(f"from: {since}, or leave it empty.")
    if isinstance(to, Wrong):
        return Wrong(f"to: {to}, or leave it empty.")
    return bias, u or 0.0, since, to


def stated(
    record: Reader, instrument: Instrument, values: Mapping[str, str | None], why: str, today: str | None = None
) -> BiasFinding | Wrong:
    """A bias that came to light otherwise, as somebody typed it; without a first day it holds since all was well."""
    today = today or date.today().isoformat()
    typed = read_stated(instrument, values, today)
    if isinstance(typed, Wrong):
        return typed
    bias, u, since, to = typed
    if since is None:
        calibrations = [c for c in record.calibrations(instrument.of_id) if c.done_on <= today]
        since, _ = last_good(instrument, calibrations, record.gauge_checks(instrument.of_id), to or today, bias)
    if to is not None and to < since:
        return Wrong(f"It cannot end ({to}) before it began ({since}).")
    return BiasFinding(bias=bias, u=u, from_on=since, to_on=to, why=why, found_from="stated")


def same_as(finding: BiasFinding, known: InstrumentBias) -> bool:
    """Whether a finding is a bias that is on record: overlapping days and an amount that agrees."""
    start, stop = known.from_on, known.to_on or "9999"
    overlap = finding.from_on < stop and start < (finding.to_on or "9999")
    return overlap and abs(finding.bias - known.bias_mm) <= max(2.0 * (finding.u + known.u_mm), 0.005)


def _without_doubles(shown: list[BiasFinding]) -> list[BiasFinding]:
    """A certificate and the checks often show the same bias: the one that is known better stays."""
    kept: list[BiasFinding] = []
    for finding in sorted(shown, key=lambda f: f.u):
        if not any(_alike(finding, k) for k in kept):
            kept.append(finding)
    return kept


def _alike(finding: BiasFinding, other: BiasFinding) -> bool:
    """Whether two findings may be of one bias: overlapping days, the same sign, amounts that agree."""
    return (
        finding.from_on < (other.to_on or "9999")
        and other.from_on < (finding.to_on or "9999")
        and finding.bias * other.bias > 0
        and abs(finding.bias - other.bias) <= max(3.0 * sqrt(finding.u**2 + other.u**2), 0.005)
    )
