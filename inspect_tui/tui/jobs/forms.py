"""The forms of the Jobs place: a job, what may be changed about it, a casting, a feature."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import contraction
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import AXES, QUANTITIES, RULES, SCALES
from inspect_tui.model.work import DrawingRevision, Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.jobs import feature_form, jobs, raw_limits
from inspect_tui.shop.jobs.file import heads
from inspect_tui.tui.forms import Choices, Doubt, Field, Like, Texts, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import Chooser

CONSTRUCTIONS = (
    ("open", "nothing inside holds it back"),
    ("cored", "cores hold it back"),
    ("free", "contracts freely"),
    ("restrained", "held back by the mould"),
)
RULE_WORDS = (
    ("proof95", "conforms where 95 % sure"),
    ("full_u", "conforms inside the limits by U"),
    ("plain", "conforms where the reading lies inside, whatever its U"),
)
BOOK = "book"  # typed as the contraction: the shop's own jobs say it


# ------------------------------------------------------------------------------ a job
def new_job(place: Place, added: Callable[[Job], None]) -> None:
    """A new job; what handbook and the shop's own jobs say of its contraction shows while typing."""
    record = place.record
    offers: dict[tuple[str, str], str] = {}
    lines = [
        Field("number", "job number: what people call it"),
        Field("name", "name: what it is"),
        Field("alloy", "alloy: such as ductile iron", "", None, contraction.alloys),
        Field("construction", "construction: of the casting; may be left out", "", None, CONSTRUCTIONS),
        Field("contraction", "contraction: 1.0 % or X Y Z; empty: the handbook's; book: our jobs'"),
        Field("drawing", "drawing: its number"),
        Field("rev", "revision: of the drawing", "A"),
    ]

    def follows(texts: Texts) -> str:
        return "\n".join(x for x in (_handbook(texts), _our_own(record, texts, offers)) if x)

    def add(values: dict[str, Any]) -> Job:
        return jobs.new_job(
            record,
            values["number"],
            values["name"],
            values["alloy"] or None,
            values["construction"] or None,
            values["stated"],
            values["drawing"],
            values["rev"],
            book=values["book"],
        )

    ask(place, "A new job", lines, _read_job, add, then=added, watch=follows)


OF_THE_ORDER = ("customer_ref", "customer", "part_no", "order_no", "order_quantity", "foundry")


def _read_job(values: dict[str, Any]) -> dict[str, Any] | Wrong | Doubt:
    """The fields of a new job, with the contraction that is `stated` (None: looked up) and whether by the `book`."""
    if not values["number"]:
        return Wrong("Give the job a number.")
    book, typed = _by_the_book(values), values["contraction"]
    if book and not values["alloy"]:
        return Wrong("Say the alloy that the shop's own jobs are to be looked up for.")
    stated = fields.contractions(typed) if typed and not book else None
    if isinstance(stated, Wrong):
        return Wrong(f"contraction: {stated}")
    if stated is None and not book:
        if not values["alloy"]:
            return Wrong("Say the contraction, or an alloy to look one up for.")
        contraction.plan(values["alloy"], None, values["construction"] or None)  # says what is wrong with them
    read = {**values, "stated": stated, "book": book}
    if stated is None:
        return read
    alloy, construction = values["alloy"] or None, values["construction"] or None
    asked = heads.doubtful(dict(zip("xyz", stated, strict=True)), alloy, construction, MM)
    return Doubt(read, [f"{asked[:1].upper()}{asked[1:]}?"] if asked else [])


def _by_the_book(values: Texts) -> bool:
    return values["contraction"].strip().casefold() == BOOK


def _handbook(texts: Texts) -> str:
    """What the handbooks say of the alloy's contraction, how far they disagree, and that a source is weak."""
    if not texts["alloy"]:
        return f"verdict rules: {', '.join(RULES)} (proof95 unless a job file says otherwise)"
    plan = contraction.plan(texts["alloy"], None, texts["construction"] or None)
    return f"handbook: {MM.percent(plan.a, 2)} (u {MM.percent(plan.u, 2)}): {plan.rests_on}"


def _our_own(record: Record, texts: Texts, offers: dict[tuple[str, str], str]) -> str:
    """What this shop's own jobs have shown for the alloy and construction, looked up once for each."""
    key = (texts["alloy"].strip().casefold(), texts["construction"].strip().casefold())
    if key not in offers:
        from inspect_tui.shop.jobs import contraction_book

        known = {(job.alloy or "").casefold() for job in record.jobs()}
        offers[key] = ""
        if key[0] and key[0] in known:
            rows = contraction_book.offer(record, texts["alloy"], texts["construction"])
            offers[key] = contraction_book.offer_words(rows)
    return offers[key]


def change_job(place: Place, job: Job) -> None:
    """Change a job: what comes of it is a new version, and what was given out stays.

    Its contraction changes by the drawing or by a list of cuts, not here.
    """
    lines = [
        Field("name", "name: what it is", job.name, partial(fields.words, ask="a job has a name")),
        Field("customer_ref", "customer's: reference; may be left out", job.customer_ref or ""),
        Field("customer", "customer: who ordered; may be left out", job.customer or ""),
        Field("part_no", "part number: the customer's; may be left out", job.part_no or ""),
        Field("order_no", "order: its number; may be left out", job.order_no or ""),
        Field(
            "order_quantity",
            "ordered: how many castings; may be left out",
            str(job.order_quantity or ""),
            fields.optional(partial(fields.count, low=1)),
        ),
        Field("foundry", "foundry: who pours; may be left out", job.foundry or ""),
        Field(
            "rule",
            f"rule: {', '.join(RULES)}: how far inside a limit counts as proved",
            job.rule,
            partial(fields.choice, words=RULES, what="the decision rule"),
            RULE_WORDS,
        ),
        Field(
            "tool_share",
            "tool share: the tooling band as a share of the casting band",
            MM.figures(job.tool_share, 4),
            partial(fields.share, low=0.01, high=1.0),
        ),
    ]

    def read(values: dict[str, Any]) -> Job:
        share = values["tool_share"]
        return replace(
            job,
            name=values["name"],
            **{key: values[key] or None for key in OF_THE_ORDER},
            rule=values["rule"],
            tool_share=job.tool_share if abs(share - job.tool_share) < 5e-5 else share,  # not typed over
        )

    def change(made: Job) -> str:
        if made == job:
            return ""
        place.record.revise(
            job,
            place.by,
            name=made.name,
            rule=made.rule,
            tool_share=made.tool_share,
            **{key: getattr(made, key) for key in OF_THE_ORDER},
        )
        place.app.job_changed(job.of_id)
        return f"Job {job.number} changed; verdicts follow its rule from now on, reports given out stay."

    ask(place, f"Change job {job.number}", lines, read, change, then=place.changed)


# ------------------------------------------------------------------------------ castings
def new_casting(place: Place, job: Job) -> None:
    """A new casting of a job, by serial."""
    lines = [Field("serial", "serial: as it is marked", "", partial(fields.words, ask="type a serial"))]

    def add(values: dict[str, Any]) -> str:
        return f"Added casting {jobs.add_casting(place.record, job, values['serial']).serial}"

    ask(place, "A new casting", lines, use=add, then=place.changed)


# ------------------------------------------------------------------------------ features
def new_feature(place: Place, job: Job, revision: DrawingRevision) -> None:
    """A further feature of the newest revision."""

    def add(made: Feature, texts: Texts) -> str:
        added = jobs.add_feature(place.record, job, made)
        place.app.job_changed(job.of_id)
        return f"Added {added.balloon}."

    lines = _with_choices(place, job, [Field(*line) for line in feature_form.FIELDS])
    cores = core_numbers(place.record, job)

    def like() -> list[tuple[str, dict[str, str]]]:
        listed = reversed(place.record.features(revision.id))
        return [
            (f"{f.balloon:<6}  {f.name}", {key: text for key, _, text in feature_form.fields_of(f, cores)})
            for f in listed
        ]

    _feature(place, job, revision, f"A new feature of {job.number}", lines, add, like=like)


def change_feature(place: Place, job: Job, revision: DrawingRevision) -> None:
    """Choose a feature and change it: a typing error is put right, a changed drawing gets a new revision.

    What was typed stays in the form while it is asked which of the two it is.
    """
    cores = core_numbers(place.record, job)

    def chosen(old: Feature | None) -> None:
        if old is None:
            return
        lines = [
            Field("rev", f"new revision: such as {jobs.next_rev(revision.rev)}, where the drawing changed"),
            Field("why", "typed wrong: why, where it is still the same drawing"),
            *_with_choices(place, job, [Field(*line) for line in feature_form.fields_of(old, cores)]),
        ]

        def change(made: Feature, texts: Texts) -> str:
            begun = jobs.change(place.record, job, made, old, texts["rev"], texts["why"], _who(place))
            if begun is None:
                return f"{old.balloon} is as it was: nothing was written."
            place.app.job_changed(job.of_id)
            if begun.corrects_id is not None:
                return (
                    f"{old.balloon} put right on revision {begun.rev}. What was read of it is judged by it from now "
                    "on; papers given out stay."
                )
            return f"Revision {begun.rev} begun; readings on {old.balloon} keep their verdicts on the old one."

        _feature(place, job, revision, f"Change {old.balloon}", lines, change, old)

    rows = [(f, f"{f.balloon:<6} {f.name}") for f in place.record.features(revision.id)]
    place.app.push_screen(Chooser("Which feature changes?", rows), chosen)


def _who(place: Place) -> Person | None:
    """Who is at the bench: the change is in that name."""
    return place.app.bench.person if place.app.bench is not None else None


def _feature(
    place: Place,
    job: Job,
    revision: DrawingRevision,
    title: str,
    lines: list[Field],
    use: Callable[[Feature, Texts], str],
    old: Feature | None = None,
    like: Like | None = None,
) -> None:
    """The form of a feature, what it means and the sizes on its tools showing while it is typed."""
    tools, cores = place.record.tools(job.of_id), core_numbers(place.record, job)

    def made(texts: Texts) -> Feature | str:
        return feature_form.read(place.record, job, texts, revision.default_band, old)

    def read(texts: Texts) -> tuple[Feature, Texts] | Wrong | Doubt:
        feature = made(texts)
        if isinstance(feature, str):
            return Wrong(feature)
        doubt = raw_limits.asks(feature, place.app.written)
        return Doubt((feature, texts), (doubt,)) if doubt else (feature, texts)

    ask(
        place,
        title,
        lines,
        read,
        lambda both: use(*both),
        then=place.changed,
        watch=lambda texts: feature_form.follows(job, made(texts), tools, place.app.written, cores),
        like=like,
        again=like is not None,
    )


def _with_choices(place: Place, job: Job, lines: list[Field]) -> list[Field]:
    """The fields of a feature with what can stand in them."""

    def makers() -> list[tuple[str, str]]:
        cores = [(f"core {core.number}", core.name) for core in place.record.cores(job.of_id)]
        return [("drag", "the lower half of the mould"), ("cope", "the upper half of the mould"), *cores]

    choices: dict[str, Choices] = {
        "quantity": [(word, feature_form.MEASURES[word]) for word in QUANTITIES],
        "axis": [(word, feature_form.ALONG[word]) for word in AXES],
        "a": makers,
        "b": makers,
        "between": [(word, feature_form.LIES_BETWEEN[word]) for word in ("metal", "space", "face", "face-")],
        "scale": [(word, feature_form.AT_SCALE[word]) for word in SCALES],
    }
    return [line._replace(choices=choices.get(line.key, ())) for line in lines]
