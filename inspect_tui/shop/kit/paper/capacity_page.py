"""What the passages of a kit let expect, for the customer: areas as measured, and the sizes that make them."""

from __future__ import annotations

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.work import Item, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import passages
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.sketch.scene import Scene, read

CAUTIONS = (
    "An area is no flow test, no pressure test and no material test: the test stand decides.",
    "Before a passage is dressed: silica dust and metal dust damage lungs and eyes, follow local rules; the wall "
    "beside it is thinner afterwards, so measure it first.",
)


@frozen_by_name
class PassageOfSize:
    """One size in a passage, in `unit` (mm or deg): as drawn, whether it was read, what 1 more does to the value."""

    balloon: str
    name: str
    drawn: float
    unit: str
    was_read: bool
    effect: float  # in the unit of the passage


@frozen_by_name
class PassagePage:
    """One passage; `hand` is the core that makes it, empty where several or none do."""

    line: KitPassage
    hand: str
    sizes: tuple[PassageOfSize, ...]


@frozen_by_name
class CapacityPage:
    """The whole page. `scene` is None where nothing of the mould has a place."""

    job: str
    name: str
    customer_ref: str | None
    drawing: str | None
    rev: str | None
    source: str
    passages: tuple[PassagePage, ...]
    scene: Scene | None
    cautions: tuple[str, ...]
    heads: tuple[str, ...]


def capacity_page(record: Record, job: Job, item: Item | None = None, style: Style = MM) -> CapacityPage:
    """The page from the tools as measured, or from the readings of one casting; DataError without passages."""
    facts = KitFacts(record, job)
    if not facts.passages:
        raise DataError(f"Job {job.number} has no passage: there is nothing to say about its capacity.")
    if item is None:
        lines = passages.lines(facts, style)
    else:
        lines = [passages.on_casting(facts, passage, item, style) for passage in facts.passages]
    mould = read(record, job, style)
    revision = facts.revision
    return CapacityPage(
        job=job.number,
        name=job.name,
        customer_ref=job.customer_ref,
        drawing=revision.number if revision else None,
        rev=facts.rev,
        source="the tools as measured" if item is None else f"casting {item.serial} as measured",
        passages=tuple(PassagePage(line=x, hand=_core(facts, x), sizes=_sizes(facts, x)) for x in lines),
        scene=mould if mould.placed else None,
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
    )


def _core(facts: KitFacts, line: KitPassage) -> str:
    makers = {
        facts.number(end.core_id)
        for balloon in (line.now.sensitivity if line.now is not None else ())
        for end in facts.balloon[balloon].ends
        if end.core_id is not None
    }
    return str(makers.pop()) if len(makers) == 1 else ""


def _sizes(facts: KitFacts, line: KitPassage) -> tuple[PassageOfSize, ...]:
    if line.now is None:
        return ()
    return tuple(
        PassageOfSize(
            balloon=balloon,
            name=facts.balloon[balloon].name,
            drawn=chain.cast_wanted(facts.balloon[balloon]),
            unit="deg" if facts.balloon[balloon].quantity == "angle" else "mm",
            was_read=balloon not in line.not_read,
            effect=effect,
        )
        for balloon, effect in line.now.sensitivity.items()
    )
