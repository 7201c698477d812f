"""The questions of the Kit place: fits, cores, parting, samples, shipments, passages, loops by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import fields as names_of
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, count
from inspect_tui.model.kit import Fit, Passage, Stack, StackMember
from inspect_tui.model.words import FIT_AXES, FIT_KINDS, WAYS_IN
from inspect_tui.model.work import Core
from inspect_tui.shop.common import parting as parting_
from inspect_tui.shop.jobs import sample_casting
from inspect_tui.shop.jobs.sample_casting import Sample, SampleSize
from inspect_tui.shop.kit import edit, passages, shipping, walls
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.walls import WallLine
from inspect_tui.tui.forms import Choices, Field, Like, Texts, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose

KEPT = ("id", "of_id", "replaces_id", "job_of_id", "gap_feature_id", "points", "blocked_by", "count", "note")
MEMBER = re.compile(r"([+-])\s*(\S+)\s+(.+?)\s*(?:±|\+/-|\+-)\s*(.+)")


FIT_WORDS = {
    "print": "a core's projection in its impression",
    "key": "lets it in one way only",
    "joint": "between two parts of a core or mould",
    "pattern": "a loose piece on its pattern or box",
}


# ------------------------------------------------------------------------------ fits
def new_fit(place: Place, facts: KitFacts) -> None:
    """Write down a fit; what it comes to shows while typing."""

    def add(fit: Fit) -> str:
        made = edit.add_fit(place.record, facts.job, fit, place.by, place.app.written)
        return f"{made.name} added{edit.asked_now(place.record, facts.job)}"

    def like() -> list[tuple[str, dict[str, str]]]:
        listed = KitFacts(place.record, facts.job).fits[::-1]
        return [(fit.name, {key: text for key, _, text in edit.fields_of(facts, fit)}) for fit in listed]

    _fit(place, facts, f"A new fit of {facts.job.number}", edit.FIT_FIELDS, None, add, like)


def change_fit(place: Place, facts: KitFacts, old: Fit) -> None:
    """Change a fit; the version before stays in the record."""

    def change(new: Fit) -> str:
        changes = {name: getattr(new, name) for name in names_of(new) if name not in KEPT}
        made = edit.change_fit(place.record, facts.job, old, place.by, place.app.written, **changes)
        if made.id == old.id:
            return f"{made.name} is as it was: nothing was written"
        return f"{made.name} changed{edit.asked_now(place.record, facts.job)}"

    _fit(place, facts, f"Change {old.name}", edit.fields_of(facts, old), old, change)


def _fit(
    place: Place,
    facts: KitFacts,
    title: str,
    lines: list[tuple[str, str, str]],
    old: Fit | None,
    use: Callable[[Fit], str],
    like: Like | None = None,
) -> None:
    style = place.app.written
    choices = _fit_choices(facts)
    known = [Field(*line)._replace(choices=choices.get(line[0], ())) for line in lines]

    def read(texts: Texts) -> Fit | Wrong:
        fit = edit.read_fit(facts, texts) if old is None else edit.read_changed_fit(facts, texts, old)
        as_old = fit if old is None else replace(fit, id=old.id, of_id=old.of_id, gap_feature_id=old.gap_feature_id)
        wrong = edit.wrong_fit(facts, as_old, style)
        return Wrong(wrong) if wrong else fit

    ask(
        place,
        title,
        known,
        read,
        use,
        then=place.changed,
        watch=lambda texts: edit.follows(facts, texts, style),
        like=like,
        again=like is not None,
    )


def _fit_choices(facts: KitFacts) -> dict[str, Choices]:
    """What can stand in the fields of a fit: parts of the mould, sizes at tooling scale, directions."""
    cores = [(f"core {core.number}", core.name) for core in facts.cores]
    halves = [("drag", "the lower half of the mould"), ("cope", "the upper half of the mould")]
    sizes = [(feature.balloon, feature.name) for feature in facts.features if feature.scale == "tool"]
    return {
        "kind": [(word, FIT_WORDS[word]) for word in FIT_KINDS],
        "inner": [*cores, *halves],
        "outer": [*halves, *cores],
        "print": sizes,
        "seat": sizes,
        "axis": FIT_AXES,
        "way_in": [(way, f"along {way[0]}, {'up' if way[1] == '+' else 'down'} the axis") for way in WAYS_IN],
    }


# ------------------------------------------------------------------------------ cores
def core_detail(place: Place, facts: KitFacts, core: Core) -> None:
    """Say more about a core: volume in metal, chaplets, vents, template and so on."""
    old, maybe = facts.details.get(core.of_id), fields.optional

    def line(key: str, label: str, read: Callable[[str], Any] | None = None) -> Field:
        value = getattr(old, key) if old is not None else None
        first = "" if value is None else MM.figures(value) if isinstance(value, float) else str(value)
        return Field(key, label, first, partial(_kept, first=first, value=value, read=read or _text_or_none))

    lines = [
        line("in_metal_dm3", "in metal: dm³ of the core with metal round it", maybe(fields.volume)),
        line("print_area_mm2", "print area: mm² that bear its lift", maybe(fields.area)),
        line("chaplets", "chaplets: how many", partial(maybe(fields.count), high=999)),
        line("chaplet_note", "where: the chaplets stand"),
        line("vents", "vents: how many, through what"),
        line("lift_points", "lift: where it is lifted"),
        line("tol_mm", "tolerance: ± mm between two of its faces or seats", partial(maybe(fields.size), zero=True)),
        line("template", "template: its number"),
        line("check_name", "check: what the setter proves"),
        line("check_lower", "no-go below: mm in the mould", partial(maybe(fields.size), signed=True)),
        line("check_upper", "no-go above: mm in the mould", partial(maybe(fields.size), zero=True)),
        line("caution", "caution: one line"),
    ]

    def read(values: dict[str, Any]) -> dict[str, Any] | Wrong:
        inside, whole = values["in_metal_dm3"], core.volume_dm3
        if inside is not None and whole is not None and inside > whole:
            return Wrong(
                f"{MM.figures(inside)} dm³ in metal of a core of {MM.figures(whole)} dm³: a part is at most the whole."
            )
        return values

    def note(values: dict[str, Any]) -> str:
        if all(value is None if old is None else value == getattr(old, key) for key, value in values.items()):
            return f"core {core.number} is as it was: nothing was written"
        edit.set_core_detail(place.record, facts.job, core, place.by, place.app.written, **values)
        return f"core {core.number}: noted"

    ask(place, f"Core {core.number} {core.name}", lines, read, note, then=place.changed)


def core_body(place: Place, facts: KitFacts, core: Core) -> None:
    """Give the boxes that a core fills; left empty it is drawn and tried about, from its sizes."""
    first = edit.body_words(facts, core)

    def write(values: dict[str, Any]) -> str:
        if values["boxes"] == first:
            return f"the body of core {core.number} is as it was: nothing was written"
        boxes = edit.set_body(place.record, facts, core, values["boxes"], place.by)
        if not boxes:
            return f"core {core.number}: about, from its sizes, from now on"
        return f"core {core.number}: a body of {count(boxes, 'box', 'boxes')}"

    lines = [Field("boxes", "boxes: x from, to, y from, to, z from, to; several parted by ;", first)]
    ask(place, f"The body of core {core.number} {core.name}", lines, use=write, then=place.changed)


def _kept(text: str, first: str, value: Any, read: Callable[[str], Any]) -> Any:
    """What stands there already stays exact where it was not typed over."""
    return value if text == first else read(text)


def _text_or_none(text: str) -> str | None:
    return text or None


def parting(place: Place, facts: KitFacts) -> None:
    """Say the heights of the parting, step by step along x."""
    first = parting_.of_job(place.record, facts.job)

    def follows(texts: Texts) -> str:
        if not texts["steps"]:
            return ""
        made = parting_.parse(texts["steps"])
        low, high = (place.app.written.given(z, unit=False) for z in (made.lowest, made.highest))
        return f"below {made.axis} {low} the drag, above {high} the cope; {len(made.undercuts)} steps"

    def write(values: dict[str, Any]) -> str:
        if first is not None and values["steps"] == first.words:
            return "the parting is as it was: nothing was written"
        made = parting_.say(place.record, facts.job, values["steps"], place.by)
        return f"parting: {made.said(place.app.written)}"

    lines = [Field("steps", "steps: x from, x to, z; such as 0 520 90; 520 624 118", first.words if first else "")]
    ask(place, f"The parting of {facts.job.number}", lines, use=write, then=place.changed, watch=follows)


# ------------------------------------------------------------------------------ a sample casting
def mark_sample(place: Place, size: SampleSize) -> None:
    """Say whether a face of the sample was machined or is worn."""

    def mark(what: str) -> str:
        sample_casting.mark(place.record, size.feature, what, by=place.by)
        return f"{size.feature.balloon}: {what}"

    rows = [(what, f"{size.feature.balloon} of the sample is {what}") for what in sample_casting.MARKS]
    choose(
        place, f"{size.feature.balloon} {size.feature.name}", rows, lambda what: place.attempt(lambda: mark(what), "")
    )


def adopt_sample(place: Place, facts: KitFacts, taken: Sample) -> None:
    """Make a drawing edition of the sizes that are clear, or of those that are named."""
    sizes = {s.feature.balloon: s.finished for s in taken.sizes if s.finished is not None}
    lines = [
        Field(
            "number", "drawing: its number", facts.job.number, partial(fields.words, ask="give the drawing a number")
        ),
        Field("rev", "edition: such as A", "", partial(fields.words, ask="give the drawing an edition")),
        Field(
            "which",
            "sizes: balloons to take as proposed, or F1=62.5",
            " ".join(s.feature.balloon for s in taken.sizes if s.sure),
            partial(_chosen_sizes, proposed=sizes),
        ),
        Field("general", "general: tolerance, such as ISO 8062-3 DCTG 9"),
    ]

    def adopt(values: dict[str, Any]) -> str:
        made = sample_casting.adopt(
            place.record,
            facts.job,
            values["number"],
            values["rev"],
            values["which"],
            general=values["general"] or None,
            by=place.by,
        )
        return f"drawing {made.number} edition {made.rev} made, {len(values['which'])} sizes taken over"

    ask(place, f"A drawing of the sample of {facts.job.number}", lines, use=adopt, then=place.changed)


def _chosen_sizes(text: str, proposed: dict[str, float]) -> dict[str, float] | Wrong:
    """Balloons with the finished size to take over: as proposed, or as typed behind `=`."""
    chosen: dict[str, float] = {}
    for word in text.replace(";", " ").split():
        balloon, _, typed = word.partition("=")
        known = next((b for b in proposed if b.casefold() == balloon.casefold()), None)
        if known is None:
            return Wrong(f"{balloon} is not among the sizes of the sample")
        size = fields.size(typed) if typed else proposed[known]
        if isinstance(size, Wrong):
            return Wrong(f"{balloon}: {size}")
        chosen[known] = size
    return chosen or Wrong("name at least one size")


# ------------------------------------------------------------------------------ shipments
def ship(place: Place, facts: KitFacts) -> None:
    """Write what leaves the shop: everything of the kit that is here."""
    parcels = shipping.proposal(facts)
    if not parcels:
        place.say("Nothing that travels is here: everything has been shipped.")
        return
    known = {p.what.casefold(): p for p in parcels}
    points = shipping.points_open(facts, place.app.written)
    lines = [
        Field("to", "to whom: it goes", "", partial(fields.words, ask="say to whom it goes")),
        _day_field(),
        Field("what", "what: leave out what stays", ", ".join(p.what for p in parcels)),
        Field("condition", "condition: a few words"),
    ]
    if points:
        ask_why = f"{shipping.still_open(points)} say why it is shipped all the same"
        lines.append(Field("why", "why: it goes with points open", "", partial(fields.words, ask=ask_why)))

    def read(values: dict[str, Any]) -> dict[str, Any] | Wrong:
        words = [w.strip() for w in values["what"].split(",") if w.strip()]
        values["what"] = [known.get(w.casefold(), shipping.Parcel(w)) for w in words]
        return values if words else Wrong("Nothing is on the list: say what is shipped.")

    def write(values: dict[str, Any]) -> str:
        to, on, what = values["to"], values["on"], values["what"]
        why = values.get("why")
        shipping.ship(place.record, facts.job, to, on, what, values["condition"] or None, place.by, why)
        return f"{len(what)} things shipped to {to}"

    ask(place, f"Ship the kit of {facts.job.number}", lines, read, write, then=place.changed)


def _day_field() -> Field:
    today = date.today().isoformat()
    return Field("on", "day: such as 2026-03-31", today, partial(fields.day, today=today))


def came_back(place: Place, facts: KitFacts) -> None:
    """Write what came back from the newest shipment that is still out, counted."""
    back = {shipment.out_id for shipment, _ in facts.shipments if shipment.way == "back"}
    out = [(s, lines) for s, lines in facts.shipments if s.way == "out" and s.id not in back]
    if not out:
        place.say("Nothing is out: everything that was shipped has come back.")
        return
    shipment, sent = max(out, key=lambda pair: pair[0].done_on)
    listed = ", ".join(f"{x.what}:{x.loose_pieces}" if x.loose_pieces is not None else x.what for x in sent)
    lines = [
        _day_field(),
        Field("what", "what: leave out what lacks; box 3:4 is with 4 loose pieces", listed, _parcels),
        Field("condition", "condition: a few words"),
    ]

    def read(values: dict[str, Any]) -> dict[str, Any] | Wrong:
        if values["on"] < shipment.done_on:
            return Wrong(f"It left on {shipment.done_on}: nothing comes back before that.")
        return values

    def write(values: dict[str, Any]) -> str:
        parcels = values["what"]
        _, said = shipping.came_back(
            place.record, facts.job, shipment, values["on"], parcels, values["condition"] or None, place.by
        )
        return f"{len(parcels)} things back from {shipment.to_whom}. " + ". ".join(said)

    title = f"Back from {shipment.to_whom}, shipped {shipment.done_on}"
    ask(place, title, lines, read, write, then=place.changed)


def _parcels(text: str) -> list[shipping.Parcel] | Wrong:
    """Parcels from `box 1, box 3:4`; behind the colon stands how many loose pieces came with it."""
    parcels = []
    for word in (w.strip() for w in text.split(",")):
        what, colon, loose = word.partition(":")
        pieces = fields.count(loose, high=999) if colon else None
        if isinstance(pieces, Wrong):
            return Wrong(f"{word}: behind the colon stands how many loose pieces came with it")
        if what.strip():
            parcels.append(shipping.Parcel(what.strip(), loose_pieces=pieces))
    return parcels or Wrong("nothing is on the list: say what came back")


# ------------------------------------------------------------------------------ passages and loops
def new_passage(place: Place, facts: KitFacts) -> None:
    """A passage as a formula over balloons, with the capacity it is rated for."""
    lines = [
        Field("label", "label: such as A1", "", partial(fields.words, ask="give it a label, such as A1")),
        Field("name", "name: such as throat area"),
        Field("formula", "formula: pi/4*F41*F55, series(T1, T2), law(T1, 3500, 42, 3900, 46)"),
        Field("rated", "rated: such as 46.0 or 300 gal/min; may be left out"),
        Field("unit", "unit: of the rating", "", None, ("m3/min", "m3/h", "L/s", "L/min", "gal/min", "ft3/min")),
        Field("minimum", "least: acceptable; may be left out"),
        Field(
            "exponent",
            "exponent: capacity as the area to this power; empty: 1",
            "",
            fields.optional(partial(fields.figure, above=-1e6)),
        ),
    ]

    def read(values: dict[str, Any]) -> Passage | Wrong:
        formula = passages.read(facts, values["formula"], values["label"])
        if isinstance(formula, str):
            return Wrong(formula)
        unit = passages.rating_unit(values["unit"], values["rated"])
        if isinstance(unit, Wrong):
            return Wrong(f"unit: {unit}")
        rated, least = (passages.flow(values[key], unit) for key in ("rated", "minimum"))
        for name, value in (("rated", rated), ("least", least)):
            if isinstance(value, Wrong):
                return Wrong(f"{name}: {value}")
        exponent = 1.0 if values["exponent"] is None else values["exponent"]
        if said := passages.wrong(formula, rated is not None, least is not None, exponent):
            return Wrong(said)
        return Passage(
            job_of_id=facts.job.of_id,
            label=values["label"],
            name=values["name"] or values["label"],
            formula=values["formula"],
            unit=unit or None,
            rated=rated,  # type: ignore[arg-type]
            minimum=least,  # type: ignore[arg-type]
            exponent=exponent,
        )

    def add(made: Passage) -> str:
        return f"Passage {edit.add_passage(place.record, facts.job, made, place.by).label} added."

    ask(place, "A new passage", lines, read, add, then=place.changed)


def new_loop(place: Place, facts: KitFacts) -> None:
    """A wall's loop written by hand; the program finds the others by itself."""
    lines = [
        Field("label", "label: such as ST3", "", partial(fields.words, ask="give it a label, such as ST3")),
        Field("name", "name: such as neck wall"),
        Field(
            "members",
            "members: + F12 7 ±0.2; - K4 0 ±0.25 (a fit by its label)",
            "",
            partial(_members, facts),
        ),
        Field(
            "limits",
            "limits: least and most as cast, such as 6 8; may be left out",
            "",
            fields.optional(fields.span),
        ),
    ]

    def read(values: dict[str, Any]) -> tuple[Stack, list[StackMember]]:
        lower, upper = values["limits"] or (None, None)
        name = values["name"] or values["label"]
        stack = Stack(job_of_id=facts.job.of_id, label=values["label"], name=name, lower=lower, upper=upper)
        return stack, values["members"]

    def add(both: tuple[Stack, list[StackMember]]) -> str:
        return f"Loop {edit.add_stack(place.record, *both, place.by).label} added."

    ask(place, "A loop by hand", lines, read, add, then=place.changed)


def wall_between(place: Place, facts: KitFacts, check: KitCheck, show: Callable[[WallLine], None]) -> None:
    """The wall between any two faces, whether or not the drawing has a size there; nothing is written down."""
    lines = [
        Field("a", "from: a face, such as core 3 z 129", "", partial(_face, facts)),
        Field("b", "to: a face along the same axis, such as core 5 z 136", "", partial(_face, facts)),
    ]

    def read(values: dict[str, Any]) -> WallLine:
        return walls.between(facts, check.lines, values["a"], values["b"], check.style)

    ask(place, "A wall between two faces", lines, read, then=show)


def _face(facts: KitFacts, text: str) -> str | Wrong:
    """What was typed, once it names a face."""
    try:
        walls.face_named(facts, text)
    except DataError as problem:
        return Wrong(str(problem))
    return text


def _members(facts: KitFacts, text: str) -> list[StackMember] | Wrong:
    """Members from `+ F12 7 ±0.2; - K4 0 ±0.25`, or what is wrong with one of them."""
    fits = {fit.label.casefold(): fit.id for fit in facts.fits}
    made: list[StackMember] = []
    for part in (p.strip() for p in text.split(";")):
        if not part:
            continue
        match = MEMBER.fullmatch(part)
        size = fields.size(match[3], signed=True) if match else Wrong("")
        half = fields.size(match[4], zero=True) if match else Wrong("")
        if match is None or isinstance(size, Wrong) or isinstance(half, Wrong):
            how = "write + or -, a name, its size and ± its tolerance, such as + F12 7 ±0.2"
            return Wrong(f"'{part}' is no member", how)
        name = match[2]
        made.append(
            StackMember(
                stack_id=b"",
                ord=len(made) + 1,
                name=name,
                sense=1 if match[1] == "+" else -1,
                size_mm=size,
                plus_mm=half,
                minus_mm=half,
                shape="uniform" if name.casefold() in fits else "normal",
                fit_id=fits.get(name.casefold()),
            )
        )
    return made or Wrong("a loop needs at least one member, such as + F12 7 ±0.2")
