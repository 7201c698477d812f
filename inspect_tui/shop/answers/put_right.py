"""One answer of the foundry put right: what was wrong is taken out with the reason, another stands for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.record import kinds
from inspect_tui.shop.answers.words import RESULTS, SAID
from inspect_tui.shop.common import find

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.record.store import Record

KEYS = ("result", "size", "words", "who", "day")
MOST_WORDS = 1000


def fields_of(answer: SettingAnswer, style: Style = MM) -> tuple[tuple[str, str], ...]:
    """What can be put right of it: (key, label); of a check what was found, else what was said."""
    found = (
        ("result", "template: go or no-go; empty: none"),
        ("size", f"size: the gap as it was read in the mould, {style.word}; empty: none"),
    )
    said = (("words", "words: what was said"),)
    rest = (("who", "who: said it; may be left out"), ("day", "day: of the setting, such as 2026-03-01"))
    return (*(found if answer.sort == "check" else said), *rest)


def shown(answer: SettingAnswer, style: Style = MM) -> dict[str, str]:
    """What stands in its fields first."""
    return {
        "result": RESULTS.get(answer.result or "", ""),
        "size": "" if answer.value is None else style.length(answer.value, unit=False),
        "words": answer.words or "",
        "who": answer.who or "",
        "day": answer.on_date,
    }


def correct(
    record: Record,
    answer: SettingAnswer,
    values: Mapping[str, str],
    why: str,
    by: Person,
    today: str,
    style: Style = MM,
) -> SettingAnswer:
    """Write what was really said in place of an answer; fields that are not given stay. mm where no unit is said.

    DataError without a reason, where a field is not of such an answer or cannot be read, or nothing is left or changed.
    """
    if not why.strip():
        raise DataError("Say why: it stands beside the answer from now on.")
    known = [key for key, _ in fields_of(answer, style)]
    for key in values:
        if key not in known:
            raise DataError(f"{key}: a {answer.sort} has none; it has {', '.join(known)}.")
    before = shown(answer, style)
    typed = {key: text.strip() for key, text in values.items() if text.strip() != before[key]}
    new = answer
    if "result" in typed:
        new = replace(new, result=_result(typed["result"]))
    if "size" in typed:
        size = fields.optional(fields.size)(typed["size"], style.word, zero=True)
        if isinstance(size, Wrong):
            raise DataError(f"size: {size}.")
        new = replace(new, value=size, typed=typed["size"][:64] or None)
    if len(typed.get("words", "")) > MOST_WORDS:
        raise DataError(f"words: {len(typed['words'])} letters; {MOST_WORDS} are the most.")
    new = replace(new, words=typed.get("words", new.words or "") or None)
    new = replace(new, who=typed.get("who", new.who or "")[:80] or None)
    if "day" in typed:
        day = fields.day(typed["day"], today, past=True)
        if isinstance(day, Wrong):
            raise DataError(f"day: {day}.")
        new = replace(new, on_date=day)
    if new.result is None and new.value is None and new.words is None:
        raise DataError("Nothing would be left of it: withdraw the answer instead.")
    if new == answer:
        raise DataError("Nothing is another than it was.")
    gone = Withdrawal(about_kind=kinds.SETTING_ANSWER.number, about_id=answer.id, why=why.strip()[:400])
    made: SettingAnswer = record.add_all([replace(new, id=record.new_id()), gone], by.id)[0]
    return made


def _result(text: str) -> str | None:
    said = " ".join(text.casefold().split())
    if not said or said in SAID:
        return SAID.get(said)
    near = find.get_close_matches(said, list(SAID), n=1, cutoff=0.6)
    raise DataError(f"result: {text[:20]} is neither go nor no-go{f'; is it {near[0]}?' if near else '.'}")
