"""What the Kit place asks of the record, in a thread of its own with a connection of its own."""

from __future__ import annotations

from dataclasses import dataclass, field
from threading import Lock

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.jobs import contraction_book, sample_casting
from inspect_tui.shop.jobs.contraction_book import BookRow
from inspect_tui.shop.jobs.sample_casting import Sample
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import cores, life_story, shipping
from inspect_tui.shop.kit import passages as kit_passages
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.cores import CoreReport
from inspect_tui.shop.kit.life_story import Event, LifeStory
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.shipping import Whereabouts
from inspect_tui.shop.kit.sketch.scene import Scene, scene
from inspect_tui.shop.measuring.sample import SamplePlan, of_sample
from inspect_tui.tui import todo

CASTINGS = 12  # looked at for passages: the first ones and the newest
_ONE_AT_A_TIME = Lock()  # the facts read once are looked at by one thread at a time


@dataclass(slots=True)
class Loaded:
    """What is known of one job's kit; more is added as pages are asked for."""

    check: KitCheck
    reports: dict[str, CoreReport]
    places: list[Whereabouts]
    passages: list[KitPassage]
    stories: dict[str, LifeStory] = field(default_factory=dict)
    events: dict[str, list[Event]] = field(default_factory=dict)
    sample: Sample | None = None
    no_sample: str = ""
    plan: SamplePlan | None = None
    no_plan: str = ""
    scene: Scene | None = None
    book: list[BookRow] | None = None

    @property
    def features(self) -> list[Feature]:
        """Features of the casting and of the layout, for life stories."""
        return [f for f in self.check.facts.features if f.scale != "tool"]


def load(reader: Reader, job: Job, style: Style = MM) -> Loaded:
    """The whole check of a job's kit; `style` writes the figures in what it says."""
    with _ONE_AT_A_TIME:
        check = kit.check(reader, job, style=style)
        facts = check.facts
        reports = {str(r.core.number): r for r in cores.reports(facts, style)}
        passages = list(check.passages)
        castings = [i for i in reader.items(job.of_id) if i.kind == "casting"]
        some = castings[:CASTINGS] + [i for i in castings[-3:] if i not in castings[:CASTINGS]]
        for passage in facts.passages:
            for item in some:
                try:
                    passages.append(kit_passages.on_casting(facts, passage, item, style))
                except InspectError:
                    continue  # nothing of it was read on this one
        return Loaded(
            check=check,
            reports=reports,
            places=shipping.places(facts),
            passages=passages,
            scene=scene(facts, check.sequence),
        )


def more(reader: Reader, loaded: Loaded, page: str, key: str) -> Loaded:
    """What a page needs beyond the check: a life story, a tool's events, the sample, its plan, the book."""
    with _ONE_AT_A_TIME:
        facts = loaded.check.facts.through(reader)  # this thread's connection
        if page == "life" and key and key not in loaded.stories:
            loaded.stories[key] = life_story.story(facts, key, loaded.check.style)
        elif page == "shipping" and key and key not in loaded.events:
            tool = next((t for t in facts.tools if t.label == key), None)
            loaded.events[key] = life_story.tool_story(facts, tool) if tool else []
        elif page == "sample" and loaded.sample is None:
            try:
                loaded.sample = sample_casting.sizes(reader, facts.job, style=loaded.check.style)
            except InspectError as problem:
                loaded.no_sample = todo.said(problem)
        elif page == "plan" and loaded.plan is None:
            try:
                loaded.plan = of_sample(reader, facts.job, loaded.check.style)
            except InspectError as problem:
                loaded.no_plan = todo.said(problem)
        elif page == "book" and loaded.book is None:
            loaded.book = contraction_book.book(reader)
        return loaded


def wanting(loaded: Loaded, page: str, key: str) -> bool:
    """Whether `more` has something to do."""
    return {
        "life": bool(key) and key not in loaded.stories,
        "shipping": bool(key) and key not in loaded.events,
        "sample": loaded.sample is None and not loaded.no_sample,
        "plan": loaded.plan is None and not loaded.no_plan,
        "book": loaded.book is None,
    }.get(page, False)
