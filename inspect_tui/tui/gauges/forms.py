"""What the Gauges place asks for: a certificate, a reference piece, a bias, the plan of a study."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.gauges import checks as gauge_checks
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import plan as gauge_plan
from inspect_tui.shop.gauges.checks import Piece
from inspect_tui.shop.gauges.findings import Finding, last_good
from inspect_tui.shop.gauges.instruments import GaugeLine
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import NEW, Chooser, Form

if TYPE_CHECKING:
    from inspect_tui.tui.program import Program

Wrote = Callable[[str, bool], None]  # a sentence, and whether all went well


def certificate(app: Program, record: Record, one: GaugeLine, by: Person, wrote: Wrote) -> None:
    """A certificate of an instrument."""

    def wrong(values: dict[str, str]) -> str | None:
        made = gauges.read_calibration(one.instrument, values)
        return made if isinstance(made, str) else None

    def add(values: dict[str, str] | None) -> None:
        made = gauges.read_calibration(one.instrument, values) if values else ""
        if isinstance(made, str):
            return
        try:
            record.add(made, by=by.id)
        except InspectError as problem:
            wrote(f"Not added: {todo.said(problem)}", False)
            return
        wrote(gauges.after_calibration(one.instrument, made), True)

    first = {"done": date.today().isoformat(), "k": "2", "result": "pass"}
    fields = [(key, label, first.get(key, "")) for key, label in gauges.CALIBRATION_FIELDS]
    app.push_screen(Form(f"A certificate of {one.instrument.label}", fields, wrong), add)


def check(app: Program, record: Record, one: GaugeLine, by: Person, wrote: Wrote) -> None:
    """Choose a reference piece, then read it."""
    known = gauge_checks.pieces(record, one.instrument)
    rows: list[tuple[Any, str]] = [(p, f"{p.name:<20} {p.size_mm:g} mm, U {p.u95_mm:g}") for p in known]
    rows.append((NEW, "+ another reference piece"))
    fields = [
        ("name", "piece: what people call it, such as block 25", "block"),
        ("size", "size: as its certificate says, such as 25.000", ""),
        ("u95", "U: of that size (k = 2), such as 0.0002; empty: nothing", ""),
    ]

    def read(values: dict[str, str]) -> Piece | str:
        return gauge_checks.read_piece(one.instrument, values["name"], values["size"], values["u95"])

    def wrong(values: dict[str, str]) -> str | None:
        made = read(values)
        return made if isinstance(made, str) else None

    def begin(piece: Piece | str) -> None:
        from inspect_tui.tui.gauges.check_screen import CheckScreen

        if isinstance(piece, Piece):
            app.push_screen(CheckScreen(record, by, one.instrument, piece), done)

    def done(said: str | None) -> None:
        if said:
            wrote(said, "NOT" not in said)

    def chosen(what: Any) -> None:
        if what == NEW:
            form = Form("A reference piece", fields, wrong)
            app.push_screen(form, lambda values: begin(read(values) if values else ""))
        elif what is not None:
            begin(what)

    if known:
        app.push_screen(Chooser("Which reference piece?", rows), chosen)
    else:
        chosen(NEW)


def bias(app: Program, record: Record, one: GaugeLine, use: Callable[[Finding], None]) -> None:
    """A bias that came to light otherwise."""
    fields = [
        ("bias", "bias: reading less truth, such as +0.05", ""),
        ("u", "u: standard uncertainty of it; empty: 0", ""),
        ("since", "from: first day; empty: since the last good check or certificate", ""),
        ("to", "to: last day; empty: it still holds", ""),
        ("why", "why: how it came to light", ""),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        made = read_bias(record, one, values)
        return made if isinstance(made, str) else None

    def done(values: dict[str, str] | None) -> None:
        made = read_bias(record, one, values) if values else ""
        if isinstance(made, Finding):
            use(made)

    app.push_screen(Form(f"A bias of {one.instrument.label}", fields, wrong), done)


def read_bias(record: Reader, one: GaugeLine, values: dict[str, str]) -> Finding | str:
    """A bias as typed, or a sentence saying what is wrong with it."""
    bias = gauges.read_length(values["bias"], one.instrument, signed=True)
    if isinstance(bias, str):
        return f"bias: {bias}"
    if bias == 0:
        return "A bias of 0 changes nothing: say by how much it reads high (+) or low (-)."
    u = gauges.read_length(values["u"], one.instrument) if values["u"] else 0.0
    if isinstance(u, str):
        return f"u: {u}"
    since, to = gauges.read_day(values["since"]), gauges.read_day(values["to"])
    if values["since"] and since is None:
        return "Type the first day such as 2024-10-28, or leave it empty."
    if values["to"] and to is None:
        return "Type the last day such as 2024-10-28, or leave it empty."
    today = date.today().isoformat()
    if since is None:
        checks = record.gauge_checks(one.instrument.of_id)
        since, _ = last_good(one.instrument, one.calibrations, checks, to or today, bias)
    if to is not None and to < since:
        return f"It cannot end ({to}) before it began ({since})."
    return Finding(
        bias=bias, u=u, from_on=since, to_on=to, why=values["why"] or "stated at the bench", found_from="stated"
    )


def study(
    app: Program,
    record: Record,
    one: GaugeLine,
    by: Person,
    job: Job | None,
    use: Callable[[GaugeStudy], None],
    wrote: Wrote,
) -> None:
    """The plan of a study."""
    feature = app.bench.task.feature.balloon if app.bench and app.bench.task else ""
    first = {
        "title": gauge_plan.suggested_title(record),
        "design": "crossed",
        "pieces": "10",
        "trials": "3",
        "people": " ".join(p.initials for p in record.people() if p.active and p.role in ("maker", "inspector")),
        "feature": feature,
    }
    fields = [(key, label, first.get(key, "")) for key, label in gauge_plan.STUDY_FIELDS]

    def read(values: dict[str, str], seed: int | None = None) -> gauge_plan.Plan | str:
        return gauge_plan.read_plan(record, one.instrument, values, job, seed)

    def wrong(values: dict[str, str]) -> str | None:
        made = read(values, 1)
        return made if isinstance(made, str) else None

    def follows(values: dict[str, str]) -> str:
        made = read(values, 1)
        return "" if isinstance(made, str) else gauge_plan.sentence(made)

    def begin(values: dict[str, str] | None) -> None:
        made = read(values) if values else ""
        if isinstance(made, str):
            return
        try:
            planned = gauge_plan.begin(record, made, by)
        except InspectError as problem:
            wrote(f"Not planned: {todo.said(problem)}", False)
            return
        use(planned)

    app.push_screen(Form(f"A gauge study of {one.instrument.label}", fields, wrong, watch=follows), begin)
