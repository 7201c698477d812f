"""What the Gauges place asks for: a certificate, a reference piece, a bias, the plan of a study."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Any

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.gauges import GaugeStudy, InstrumentBias, InstrumentProfile, InstrumentState
from inspect_tui.model.measuring import Calibration, Person
from inspect_tui.model.work import Job
from inspect_tui.shop.common.sizes import quantity_of
from inspect_tui.shop.common.trusted import Piece
from inspect_tui.shop.gauges import biases, checks, findings, instruments, plan
from inspect_tui.shop.gauges.checks import CheckResult
from inspect_tui.shop.gauges.findings import BiasFinding
from inspect_tui.shop.gauges.instruments import InstrumentLine
from inspect_tui.shop.speech import profile as profiles
from inspect_tui.tui import forms, todo
from inspect_tui.tui.forms import Texts
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import NEW, choose

RESULTS = (
    ("pass", "within what is asked"),
    ("adjusted", "set right, then within"),
    ("fail", "not to be measured with"),
)
DESIGNS = (
    ("crossed", "several people read several pieces"),
    ("bias", "one reference piece, read again and again"),
    ("linearity", "reference pieces along the range"),
    ("stability", "one reference piece over weeks"),
)


def certificate(place: Place, line: InstrumentLine, by: Person, wrote: Callable[[str], None]) -> None:
    """A certificate of an instrument."""

    def add(made: Calibration) -> str:
        place.record.add(made, by=by.id)
        return todo.said(instruments.after_calibration(line.instrument, made, place.app.written))

    first = {"done": date.today().isoformat(), "k": "2", "result": "pass"}
    forms.ask(
        place,
        f"A certificate of {line.instrument.label}",
        forms.first(instruments.CALIBRATION_FIELDS, first, {"result": RESULTS}),
        read=partial(instruments.read_calibration, line.instrument),
        use=add,
        then=wrote,
    )


def in_use(place: Place, line: InstrumentLine, by: Person, wrote: Callable[[str], None]) -> None:
    """Take an instrument out of use, or take one that is out of use back."""
    back = line.state == instruments.OUT_OF_USE

    def add(made: InstrumentState) -> str:
        place.record.add(made, by=by.id)
        return instruments.after_state(line.instrument, made)

    what = "back into use" if back else "out of use"
    forms.ask(
        place,
        f"{line.instrument.label}: {what}",
        forms.first(instruments.STATE_FIELDS, {"since": date.today().isoformat()}),
        read=lambda values: instruments.read_state(line.instrument, values, back),
        use=add,
        then=wrote,
    )


def profile(place: Place, line: InstrumentLine, by: Person, wrote: Callable[[str], None]) -> None:
    """How an instrument speaks, learnt from a reading that it sends into the first field."""
    gauge, old = line.instrument, profiles.of(place.record, line.instrument)

    def read(texts: Texts) -> InstrumentProfile | Wrong:
        return profiles.read(gauge, texts)

    def keep(made: InstrumentProfile) -> str:
        profiles.put(place.record, gauge, made, by.id)
        place.app.restyle()  # whoever measures with it is heard by it from now on
        return f"{gauge.label}: {profiles.said(made)}"

    shown = forms.first(profiles.FIELDS, profiles.shown(old))
    forms.ask(place, f"How {gauge.label} speaks", shown, read, keep, then=wrote, watch=partial(profiles.follows, gauge))


def check(place: Place, line: InstrumentLine, by: Person, done: Callable[[CheckResult | None], None]) -> None:
    """Choose a reference piece, then read it; `done` gets the last check."""
    written = place.app.written
    own = written if quantity_of(line.instrument) == "length" else MM
    known = checks.pieces(place.record, line.instrument)
    rows: list[tuple[Any, str]] = [
        (p, f"{p.name:<20} {own.given(p.size_mm)}, U {own.given_u(p.u95_mm, unit=False)}") for p in known
    ]
    rows.append((NEW, "+ another reference piece"))
    fields = forms.first(checks.PIECE_FIELDS, {"name": "block"})

    def read(values: Texts) -> Piece | Wrong:
        return checks.read_piece(line.instrument, values["name"], values["size"], values["u95"], written)

    def begin(piece: Piece) -> None:
        from inspect_tui.tui.gauges.check_screen import CheckScreen

        place.app.push_screen(CheckScreen(place.record, by, line.instrument, piece), done)

    def chosen(what: Any) -> None:
        if what == NEW:
            forms.ask(place, "A reference piece", fields, read, then=begin)
        else:
            begin(what)

    if known:
        choose(place, "Which reference piece?", rows, chosen)
    else:
        chosen(NEW)


def bias(place: Place, line: InstrumentLine, use: Callable[[BiasFinding], None]) -> None:
    """A bias that came to light otherwise."""
    fields = forms.first(findings.STATED_FIELDS, {})

    def read(values: Texts) -> BiasFinding | Wrong:
        why = values["why"] or "stated at the bench"
        return findings.stated(place.record, line.instrument, values, why)

    forms.ask(place, f"A bias of {line.instrument.label}", fields, read, then=use)


def take_back(place: Place, line: InstrumentLine, by: Person, wrote: Callable[[str], None]) -> None:
    """Which of the biases on record does not hold, and why."""
    known, written = biases.in_force(line.biases), place.app.written
    if not known:
        place.say(f"No bias of {line.instrument.label} is on record.")
        return

    def ask(bias: InstrumentBias) -> None:
        def add(made: InstrumentBias) -> str:
            place.record.add(made, by=by.id)
            return biases.after(line.instrument, bias, written)

        forms.ask(
            place,
            f"{line.instrument.label} {biases.said(line.instrument, bias, written)}: it does not hold",
            forms.first(biases.FIELDS, {}),
            read=lambda values: biases.taking_back(bias, values),
            use=add,
            then=wrote,
        )

    if len(known) == 1:
        ask(known[0])
        return
    rows: list[tuple[Any, str]] = [(bias, biases.said(line.instrument, bias, written)) for bias in reversed(known)]
    choose(place, f"Which bias of {line.instrument.label} does not hold?", rows, ask)


def study(place: Place, line: InstrumentLine, by: Person, job: Job | None, use: Callable[[GaugeStudy], None]) -> None:
    """The plan of a study."""
    bench, record = place.app.bench, place.record
    first = {
        "title": plan.suggested_title(record),
        "design": "crossed",
        "pieces": "10",
        "trials": "3",
        "people": " ".join(p.initials for p in record.people() if p.active and p.role in ("maker", "inspector")),
        "feature": bench.task.feature.balloon if bench and bench.task else "",
    }

    def features() -> list[tuple[str, str]]:
        revisions = record.revisions(job.of_id) if job is not None else []
        return [(f.balloon, f.name) for f in record.features(revisions[-1].id)] if revisions else []

    def follows(texts: Texts) -> str:
        made = plan.read_plan(record, line.instrument, texts, job, 1)
        return "" if isinstance(made, Wrong) else plan.sentence(made)

    forms.ask(
        place,
        f"A gauge study of {line.instrument.label}",
        forms.first(plan.STUDY_FIELDS, first, {"design": DESIGNS, "feature": features}),
        read=lambda values: plan.read_plan(record, line.instrument, values, job),
        use=lambda made: plan.begin(record, made, by),
        then=use,
        watch=follows,
    )
