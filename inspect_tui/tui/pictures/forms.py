"""The question which files are pictures of something: one name, several, or a pattern."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.message_pump import MessagePump

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.pictures import attach, balloons
from inspect_tui.tui.forms import Field, ask
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.pictures.listing import Seen
    from inspect_tui.shop.pictures.owners import Owner

LONGEST_PATH = 1000


def add(place: MessagePump, record: Record, owners: Sequence[Owner], by: Id | None, then: Callable[[str], Any]) -> None:
    """Ask which of the things at hand, then for the files; `then` hears what was kept and what was not."""
    if len(owners) == 1:
        _files(place, record, owners[0], by, then)
    else:
        rows = [(owner, owner.name) for owner in owners]
        choose(place, "Pictures of what?", rows, lambda owner: _files(place, record, owner, by, then))


def _files(place: MessagePump, record: Record, owner: Owner, by: Id | None, then: Callable[[str], Any]) -> None:
    lines = [
        Field(
            "path",
            "files: JPEG, PNG or HEIC; several so: ~/pictures/*.jpg",
            "",
            partial(fields.words, most=LONGEST_PATH, ask="type the name of a file"),
        ),
        Field("caption", "caption: may be left out"),
    ]

    def take(values: dict[str, Any]) -> str | Wrong:
        files = attach.files(values["path"])
        taken = attach.attach_all(record, files, owner.kind.number, owner.of_id, values["caption"] or None, by)
        refused = " ".join(taken.refused)
        if not taken.kept and not taken.known:
            return Wrong(refused)
        return said(taken) + (f". Not kept: {refused}" if refused else "")

    ask(place, f"Pictures of {owner.name}", lines, use=take, then=then)


def numbers(
    place: MessagePump, record: Record, job: Job, picture: Seen, by: Id | None, then: Callable[[str], Any]
) -> None:
    """Ask where the numbers of sizes and geometrical tolerances stand on a picture; `then` hears what was written."""
    known = balloons.numbers(record, job.of_id)
    lines = [
        Field(
            "numbers",
            "numbers: F12 31.5 42; F13 50 60 (% from the left, % from the top)",
            picture.use.balloons or "",
            lambda text: balloons.read(text, known),
        )
    ]

    def take(values: dict[str, Any]) -> str:
        made = attach.numbered(record, picture.use, values["numbers"], by)
        said = balloons.stand(len(values["numbers"]), made is not None)
        return f"{picture.name}: {said}. The first article shows them."

    ask(place, f"Numbers on {picture.name}, such as {balloons.EXAMPLE}", lines, use=take, then=then)


def said(taken: attach.Taken) -> str:
    """What was kept, in a sentence."""
    kept = taken.kept
    if len(kept) == 1:
        return f"{kept[0].shown_name} kept ({kept[0].width_px} by {kept[0].height_px} dots)"
    if kept:
        return f"{len(kept)} pictures kept"
    return "there already: nothing was written"
