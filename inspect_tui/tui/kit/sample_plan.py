"""The measuring plan of a sample casting on the Kit place: naming a face, putting sizes on the list, going to read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.work import Item, Job
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.measuring import faces
from inspect_tui.shop.measuring.faces import FaceSaid
from inspect_tui.shop.measuring.sample import SamplePlan
from inspect_tui.tui.forms import Field, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

YES_NO = ("yes", "no")
NO_CASTING = "There is no casting yet: the Jobs place adds the sample with its serial."


def name_face(place: Place, job: Job) -> None:
    """A face of the sample: what makes it, along which axis, on which side its metal lies; no size is asked for."""
    record = place.record

    def makers() -> list[str | tuple[str, str]]:
        return ["drag", "cope", *((f"core {core.number}", core.name) for core in record.cores(job.of_id))]

    def named() -> list[tuple[str, str]]:
        return [(face.balloon, f"{face.name}, along {face.axis}") for face in faces.of_sample(record, job)]

    sides = (("+", "the metal lies farther along the axis"), ("-", "the metal lies before it"))
    lines = [
        Field("name", "name: such as outlet flange"),
        Field("by", "made by: cope, drag or core N", "", None, makers),
        Field("axis", "axis: x y z", "", None, ("x", "y", "z")),
        Field("metal", "metal: + (farther along the axis) or - (before it)", "", None, sides),
        Field("datum", "datum: yes where places are counted from it", "no", None, YES_NO),
        Field("cut_up", "cut up: yes where it is reached on a casting cut up only", "no", None, YES_NO),
        Field("wall_to", "wall to: the face on the other side of its metal", "", None, named),
    ]

    def read(values: dict[str, Any]) -> FaceSaid | Wrong:
        said = {}
        for key in ("datum", "cut_up"):
            answer = fields.yes(values[key], empty=False)
            if isinstance(answer, Wrong):
                return Wrong(f"{key.replace('_', ' ')}: {answer}")
            said[key] = answer
        return FaceSaid(
            name=values["name"],
            by=values["by"],
            axis=values["axis"],
            metal=values["metal"],
            datum=said["datum"],
            cut_up=said["cut_up"],
            wall_to=values["wall_to"],
        )

    def write(face: FaceSaid) -> str:
        (made,) = faces.name_faces(place.record, job, [face], place.by)
        return f"{made.balloon} {made.name} is named"

    ask(place, f"A face of the sample of {job.number}", lines, read, write, then=place.changed, again=True)


def enter(place: Place, job: Job, plan: SamplePlan) -> None:
    """Put the sizes between named faces on the list, so that they can be read."""
    if not plan.to_enter:
        place.say("Every size of the plan is on the list already.")
        return

    def act() -> str:
        made = faces.enter(place.record, job, plan.to_enter, place.by)
        return f"on the list: {', '.join(feature.balloon for feature in made)}"

    place.attempt(act, "")


def write_sheet(place: Place, job: Job, plan: SamplePlan) -> None:
    """The sheet of the plan, to print and fill in, or to fill in as a file and take in again."""

    def read(values: dict[str, Any]) -> str:
        from inspect_tui.report.measuring import forms
        from inspect_tui.report.paper.file import form_of

        path: str = values["path"]
        form_of(Path(path), forms.ENDINGS)
        return path

    def use(path: str) -> None:
        style = replace(place.app.written, printed=True)

        def work(reader: Reader, answer: Callable[..., bool]) -> None:
            from inspect_tui.report.measuring import forms
            from inspect_tui.shop.measuring.sheet import sheet

            answer(wrote=f"written: {forms.write(sheet(reader, job, plan), path, style=style)}")

        place.say("writing …")
        place.ask("sheet", work, lambda wrote: place.say(wrote, "bold"), always=True)

    lines = [Field("path", "file: .pdf or .html to print, .csv or .xlsx to fill in")]
    ask(place, f"Write the measuring sheet of {job.number}", lines, read, then=use)


def go_and_read(place: Place, job: Job, size: str) -> None:
    """To the Bench with the sample casting and this size; of several castings the person says which."""
    castings = [item for item in place.record.items(job.of_id) if item.kind == "casting"]
    if not castings:
        place.say(NO_CASTING)
    elif len(castings) == 1:
        _at(place, job, castings[0], size)
    else:
        rows = [(item, f"casting {item.serial}") for item in castings]
        choose(place, f"{size}: on which casting?", rows, lambda item: _at(place, job, item, size))


def _at(place: Place, job: Job, item: Item, size: str) -> None:
    place.app.open_bench(job.of_id, Subject(f"casting {item.serial}", item=item))
    bench = place.app.bench
    if bench is not None and any(task.feature.balloon == size for task in bench.tasks):
        bench.goto(size)
