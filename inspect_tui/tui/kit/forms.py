"""The questions of the Kit place: a fit, more about a core, a picture, what is shipped."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import fields, replace
from inspect_tui.model.kit import Fit
from inspect_tui.model.work import Core
from inspect_tui.record import kinds
from inspect_tui.shop.common import parting as parting_
from inspect_tui.shop.jobs import sample_casting as sample
from inspect_tui.shop.jobs.sample_casting import Sample, SampleSize
from inspect_tui.shop.kit import edit as kit_edit
from inspect_tui.shop.kit import shipping
from inspect_tui.shop.kit.facts import KitData
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import Chooser, Form

if TYPE_CHECKING:
    from inspect_tui.tui.kit.actions import KitActions

DETAIL_FIELDS = [  # key, label and hint; figures are those of CoreDetail
    ("in_metal_dm3", "in metal: dm³ of the core with metal round it"),
    ("print_area_mm2", "print area: mm² that bear its lift"),
    ("chaplets", "chaplets: how many"),
    ("chaplet_note", "where: the chaplets stand"),
    ("vents", "vents: how many, through what"),
    ("lift_points", "lift: where it is lifted"),
    ("tol_mm", "tolerance: ± mm between two of its faces or seats"),
    ("template", "template: its number"),
    ("check_name", "check: what the setter proves"),
    ("check_lower", "no-go below: mm in the mould"),
    ("check_upper", "no-go above: mm in the mould"),
    ("caution", "caution: one line"),
]
KEPT = ("id", "of_id", "replaces_id", "job_of_id", "gap_feature_id", "points", "blocked_by", "count", "note")
FIGURES = ("in_metal_dm3", "print_area_mm2", "tol_mm", "check_lower", "check_upper")


def new_fit(screen: KitActions, data: KitData) -> None:
    """Write down a fit; what it comes to shows while typing."""
    job = data.job

    def wrong(values: dict[str, str]) -> str | None:
        return _wrong_fit(data, values, None)

    def add(values: dict[str, str] | None) -> None:
        if values is None:
            return

        def act() -> str:
            return kit_edit.add_fit(screen.record, job, kit_edit.read_fit(data, values), screen.by).name + " added"

        screen.attempt(act)

    form = Form(f"A new fit of {job.number}", kit_edit.FIT_FIELDS, wrong, watch=lambda v: kit_edit.follows(data, v))
    screen.app.push_screen(form, add)


def change_fit(screen: KitActions, data: KitData, old: Fit) -> None:
    """Change a fit; the version before stays in the record."""

    def wrong(values: dict[str, str]) -> str | None:
        return _wrong_fit(data, values, old)

    def write(values: dict[str, str] | None) -> None:
        if values is None:
            return

        def act() -> str:
            new = kit_edit.read_fit(data, values)
            changes = {name: getattr(new, name) for name in fields(new) if name not in KEPT}
            if changes["band_source"] == "stated by the shop" and (new.clear_min_mm, new.clear_max_mm) == (
                old.clear_min_mm,
                old.clear_max_mm,
            ):
                changes["band_source"] = old.band_source
            return kit_edit.change_fit(screen.record, data.job, old, screen.by, **changes).name + " changed"

        screen.attempt(act)

    filled = kit_edit.fields_of(data, old)
    screen.app.push_screen(Form(f"Change {old.name}", filled, wrong, watch=lambda v: kit_edit.follows(data, v)), write)


def _wrong_fit(data: KitData, values: dict[str, str], old: Fit | None) -> str | None:
    try:
        fit = kit_edit.read_fit(data, values)
    except InspectError as problem:
        return todo.said(problem)
    if old is not None:
        fit = replace(fit, id=old.id, of_id=old.of_id, gap_feature_id=old.gap_feature_id)
    return kit_edit.wrong_fit(data, fit)


def core_detail(screen: KitActions, data: KitData, core: Core) -> None:
    """Say more about a core: volume in metal, chaplets, vents, template and so on."""
    old = data.details.get(core.of_id)
    filled = []
    for key, label in DETAIL_FIELDS:
        value = getattr(old, key) if old is not None else None
        filled.append((key, label, "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)))

    def write(values: dict[str, str] | None) -> None:
        if values is not None:
            changes = _detail_of(values)
            assert not isinstance(changes, str)
            screen.attempt(lambda: _note(screen, data, core, changes))

    def wrong(values: dict[str, str]) -> str | None:
        found = _detail_of(values)
        if isinstance(found, str):
            return found
        inside, whole = found["in_metal_dm3"], core.volume_dm3
        if isinstance(inside, float) and whole is not None and inside > whole:
            return f"{inside:g} dm³ in metal of a core of {whole:g} dm³: a part is at most the whole."
        return None

    screen.app.push_screen(Form(f"Core {core.number} {core.name}", filled, wrong), write)


def _note(screen: KitActions, data: KitData, core: Core, changes: dict[str, object]) -> str:
    kit_edit.set_core_detail(screen.record, data.job, core, screen.by, **changes)
    return f"core {core.number}: noted"


def _detail_of(values: dict[str, str]) -> dict[str, object] | str:
    """The fields as CoreDetail takes them, or a sentence."""
    found: dict[str, object] = {}
    for key, label in DETAIL_FIELDS:
        text = values[key].strip()
        if not text:
            found[key] = None
        elif key in FIGURES:
            try:
                found[key] = float(text.replace(",", "."))
            except ValueError:
                return f"{label.partition(':')[0]}: '{text}' is no figure."
            if key != "check_lower" and not 0 <= float(text.replace(",", ".")) < 1e6:
                return f"{label.partition(':')[0]}: {text} is not above 0."
        elif key == "chaplets":
            if not text.isdigit() or int(text) > 999:
                return f"chaplets: '{text}' is no count."
            found[key] = int(text)
        else:
            found[key] = text
    return found


def picture(screen: KitActions, core: Core) -> None:
    """Attach a picture file to a core."""

    def wrong(values: dict[str, str]) -> str | None:
        return None if values["path"] else "Type the name of a JPEG or PNG file."

    def write(values: dict[str, str] | None) -> None:
        if values is None:
            return

        def act() -> str:
            kept, _ = kit_edit.attach(
                screen.record,
                Path(values["path"]).expanduser(),
                kinds.CORE.number,
                core.of_id,
                values["caption"] or None,
                screen.by,
            )
            return f"{kept.shown_name} kept ({kept.width_px} by {kept.height_px} dots)"

        screen.attempt(act)

    asked = [("path", "file: a JPEG or PNG", ""), ("caption", "caption: may be left out", "")]
    screen.app.push_screen(Form(f"A picture of core {core.number}", asked, wrong), write)


def parting(screen: KitActions, data: KitData) -> None:
    """Say the heights of the parting, step by step along x."""
    first = parting_.of_job(screen.record, data.job)

    def wrong(values: dict[str, str]) -> str | None:
        try:
            parting_.parse(values["steps"])
        except InspectError as problem:
            return todo.said(problem)
        return None

    def follows(values: dict[str, str]) -> str:
        said = wrong(values)
        if said or not values["steps"]:
            return said or ""
        made = parting_.parse(values["steps"])
        return f"below z {made.lowest:g} the drag, above {made.highest:g} the cope; {len(made.undercuts)} steps"

    def write(values: dict[str, str] | None) -> None:
        if values is not None:
            screen.attempt(
                lambda: f"parting: {parting_.say(screen.record, data.job, values['steps'], screen.by).words}"
            )

    asked = [("steps", "steps: x from, x to, z; such as 0 520 90; 520 624 118", first.words if first else "")]
    screen.app.push_screen(Form(f"The parting of {data.job.number}", asked, wrong, watch=follows), write)


def mark_sample(screen: KitActions, size: SampleSize) -> None:
    """Say whether a face of the sample was machined or is worn."""
    rows = [(what, f"{size.feature.balloon} of the sample is {what}") for what in sample.MARKS]

    def chosen(what: str | None) -> None:
        if what is not None:
            screen.attempt(lambda: _marked(screen, size, what))

    screen.app.push_screen(Chooser(f"{size.feature.balloon} {size.feature.name}", rows), chosen)


def _marked(screen: KitActions, size: SampleSize, what: str) -> str:
    sample.mark(screen.record, size.feature, what, by=screen.by)
    return f"{size.feature.balloon}: {what}"


def adopt_sample(screen: KitActions, data: KitData, taken: Sample) -> None:
    """Make a drawing edition of the sizes that are clear, or of those that are named."""
    sizes = {s.feature.balloon: s.finished for s in taken.sizes if s.finished is not None}
    sure = " ".join(s.feature.balloon for s in taken.sizes if s.sure)
    asked = [
        ("number", "drawing: its number", data.job.number),
        ("rev", "edition: such as A", ""),
        ("which", "sizes: balloons to take as proposed, or F1=62.5", sure),
        ("general", "general: tolerance, such as ISO 8062-3 DCTG 9", ""),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        if not values["number"] or not values["rev"]:
            return "Give the drawing a number and an edition."
        found = _chosen_sizes(values["which"], sizes)
        return found if isinstance(found, str) else None

    def write(values: dict[str, str] | None) -> None:
        if values is None:
            return
        found = _chosen_sizes(values["which"], sizes)
        assert not isinstance(found, str)

        def act() -> str:
            made = sample.adopt(
                screen.record,
                data.job,
                values["number"],
                values["rev"],
                found,
                general=values["general"] or None,
                by=screen.by,
            )
            return f"drawing {made.number} edition {made.rev} made, {len(found)} sizes taken over"

        screen.attempt(act)

    screen.app.push_screen(Form(f"A drawing of the sample of {data.job.number}", asked, wrong), write)


def _chosen_sizes(text: str, proposed: dict[str, float]) -> dict[str, float] | str:
    """Balloons with the finished size to take over: as proposed, or as typed behind `=`."""
    found: dict[str, float] = {}
    for word in text.replace(";", " ").split():
        balloon, _, size = word.partition("=")
        known = next((b for b in proposed if b.casefold() == balloon.casefold()), None)
        if known is None:
            return f"{balloon} is not among the sizes of the sample."
        try:
            found[known] = float(size.replace(",", ".")) if size else proposed[known]
        except ValueError:
            return f"{balloon}: '{size}' is no size in mm."
        if not 0 < found[known] < 1e5:
            return f"{balloon}: '{size}' is no size in mm."
    return found or "Name at least one size."


def ship(screen: KitActions, data: KitData) -> None:
    """Write what leaves the shop: everything of the kit that is here."""
    parcels = shipping.proposal(data)
    if not parcels:
        screen.say("Nothing that travels is here: everything has been shipped.")
        return
    listed = ", ".join(p.what for p in parcels)
    asked = [
        ("to", "to whom: it goes", ""),
        ("on", "day: such as 2026-03-31", date.today().isoformat()),
        ("what", "what: leave out what stays", listed),
        ("condition", "condition: a few words", ""),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        if not values["to"]:
            return "Say to whom it goes."
        try:
            date.fromisoformat(values["on"])
        except ValueError:
            return f"'{values['on']}' is no date such as 2026-03-31."
        return None if values["what"] else "Nothing is on the list: say what is shipped."

    def write(values: dict[str, str] | None) -> None:
        if values is None:
            return
        known = {p.what.casefold(): p for p in parcels}
        words = [w.strip() for w in values["what"].split(",") if w.strip()]
        chosen = [known.get(w.casefold(), shipping.Parcel(w)) for w in words]

        def act() -> str:
            shipping.ship(
                screen.record, data.job, values["to"], values["on"], chosen, values["condition"] or None, screen.by
            )
            return f"{len(chosen)} things shipped to {values['to']}"

        screen.attempt(act)

    screen.app.push_screen(Form(f"Ship the kit of {data.job.number}", asked, wrong), write)
