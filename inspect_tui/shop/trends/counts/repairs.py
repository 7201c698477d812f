"""Repairs, tools taken out of use and back, and agreed limits of wear: as typed, checked, with a sentence for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.trends import REPAIR_ACTIONS, TOOL_STATES, ToolRepair, ToolState, WearLimit
from inspect_tui.model.work import Feature, Job, Tool
from inspect_tui.shop.common import find
from inspect_tui.shop.trends.counts import tools_in_use

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

STATE_FIELDS = (
    ("state", "state: retired, revived or in_use"),
    ("since_on", "day: since when"),
    ("why", "why: in a few words"),
)

DONE = {
    "cut": "cut",
    "add": "added to",
    "new_insert": "new insert",
    "recoat": "recoated",
    "replace": "replaced",
    "line": "lined",
    "other": "worked on",
}


@frozen
class EnteredUpkeep:
    """Something typed: the thing to write, or why not (`wrong`), or what to confirm first (`asks`)."""

    thing: ToolRepair | ToolState | WearLimit | None = None
    wrong: str = ""
    asks: tuple[str, ...] = ()


def repair_fields(style: Style = MM) -> tuple[tuple[str, str], ...]:
    """What a repair is asked for with; lengths in the unit in which they are written."""
    return (
        ("what", f"done: in a few words, such as lined face B with {style.given(0.3, unit=False)} foil"),
        ("action", "kind: what sort of work it was"),
        ("feature", "feature: the size it concerns; empty: the whole tool"),
        ("amount", f"amount: by how much, {style.word}; may be left out"),
        ("done_on", "day: on which it was done"),
        ("at_count", "count: cores or moulds made by then; may be left out"),
        ("who", "who: did it; may be left out"),
    )


def limit_fields(style: Style = MM) -> tuple[tuple[str, str], ...]:
    """What an agreed limit is asked for with; lengths in the unit in which they are written."""
    return (
        ("feature", "feature: such as F29"),
        ("lower", f"lower: smallest size at the tool, {style.word}; empty: none"),
        ("upper", f"upper: largest size at the tool, {style.word}; empty: none"),
        ("why", "why: who agreed it, and on what"),
    )


def action_words(action: str) -> str:
    """new_insert -> new insert."""
    return action.replace("_", " ")


def repair_words(repair: ToolRepair, balloon: str | None = None, style: Style = MM) -> str:
    """`lined (F29, 0.30 mm) by JM: what was done`."""
    about = [balloon] if balloon else []
    about += [style.length(repair.amount_mm)] if repair.amount_mm is not None else []
    head = DONE[repair.action] + (f" ({', '.join(about)})" if about else "")
    return f"{head}{f' by {repair.who}' if repair.who else ''}: {repair.what}"


# ------------------------------------------------------------------------------ repairs
def read_repair(
    reader: Reader, job: Job, tool: Tool, values: Mapping[str, str], today: str | None = None, style: Style = MM
) -> EnteredUpkeep:
    """A repair as typed. A seat that was repaired names the core that sits in it, by the fits of the job.

    An amount without a unit is in that of `style`.
    """
    today = today or date.today().isoformat()
    what = values.get("what", "").strip()
    if not what:
        return EnteredUpkeep(wrong="Say in a few words what was done.")
    action = fields.choice(values.get("action") or "other", REPAIR_ACTIONS, "the kind")
    if isinstance(action, fields.Wrong):
        return EnteredUpkeep(wrong=f"kind: {action}.")
    day = fields.day(values.get("done_on") or today, today)
    if isinstance(day, fields.Wrong):
        return EnteredUpkeep(wrong=f"day: {day}.")
    if day > today:
        return EnteredUpkeep(wrong=f"{day} is still to come: enter the repair when it is done.")
    feature, wrong = _feature(reader, job, tool, values.get("feature", ""))
    if wrong:
        return EnteredUpkeep(wrong=wrong)
    unit = style.of(feature.quantity).word if feature else style.word
    amount = fields.optional(fields.size)(values.get("amount"), unit, signed=True)
    if isinstance(amount, fields.Wrong):
        return EnteredUpkeep(wrong=f"amount: {amount}.")
    at_count = fields.optional(fields.count)(values.get("at_count"))
    if isinstance(at_count, fields.Wrong):
        return EnteredUpkeep(wrong=f"count: {at_count}, or leave it empty.")
    repair = ToolRepair(
        tool_of_id=tool.of_id,
        feature_id=feature.id if feature else None,
        core_id=_sits_in(reader, job, feature),
        action=action,
        amount_mm=abs(amount) if amount is not None else None,
        done_on=day,
        at_count=at_count,
        who=values.get("who", "").strip() or None,
        what=what,
    )
    asks = doubts(
        repair,
        reader.tool_repairs(tool.of_id),
        tool.label,
        tools_in_use.opened_on(reader, tool),
        reader.tool_states().get(tool.of_id, ()),
    )
    return EnteredUpkeep(repair, asks=tuple(asks))


def doubts(
    repair: ToolRepair, before: Sequence[ToolRepair], label: str, opened: str | None, states: Sequence[ToolState]
) -> list[str]:
    """What is to be confirmed before a repair is written: dates that do not go together."""
    asks = []
    if opened and repair.done_on < opened:
        asks.append(
            f"{label} came into the record on {opened}, after this repair of {repair.done_on}: is the day right? Keep "
            "it if the tool is older than the record."
        )
    same = [r for r in before if r.done_on == repair.done_on]
    if same:
        n = f"{len(same)} repairs are" if len(same) > 1 else "a repair is"
        asks.append(
            f"{n} entered for {label} on {repair.done_on} already ({same[-1].what}). Both are kept; the wear line "
            "begins once after them."
        )
    retired = [s for s in states if s.since_on <= repair.done_on]
    if retired and retired[-1].state == "retired":
        asks.append(
            f"{label} is out of use since {retired[-1].since_on}: was it repaired to be taken up again? Then say "
            "revived too."
        )
    return asks


def _feature(reader: Reader, job: Job, tool: Tool, name: str) -> tuple[Feature | None, str]:
    if not name.strip():
        return None, ""
    try:
        revision = find.latest_revision(reader, job)  # type: ignore[arg-type]
        feature = find.feature(reader.features(revision.id), name, revision.rev)
    except InspectError as problem:
        return None, str(problem)
    there = set()
    for measured in reader.tool_features(tool.of_id):
        there |= {measured.feature_id, *reader.feature_lineage(measured.feature_id)}
    if feature.id not in there:
        return None, f"{feature.balloon} is not measured on {tool.label}: leave it empty, or name one that is."
    return feature, ""


def _sits_in(reader: Reader, job: Job, feature: Feature | None) -> bytes | None:
    """The core that sits in a seat or under keys, from the fits of the job."""
    if feature is None or feature.scale != "tool":
        return None
    line = set(reader.feature_lineage(feature.id))
    for fit in reader.fits(job.of_id):
        if fit.outer_feature_id in line or fit.inner_feature_id in line or fit.gap_feature_id in line:
            return fit.inner_core_id
    return None


# ------------------------------------------------------------------------------ states and limits
def read_state(reader: Reader, tool: Tool, values: Mapping[str, str], today: str | None = None) -> EnteredUpkeep:
    """A tool taken out of use or back into it."""
    today = today or date.today().isoformat()
    state = fields.choice(values.get("state"), TOOL_STATES, "the state")
    if isinstance(state, fields.Wrong):
        return EnteredUpkeep(wrong=f"state: {state}.")
    day = fields.day(values.get("since_on") or today, today, past=True)
    if isinstance(day, fields.Wrong):
        return EnteredUpkeep(wrong=f"day: {day}.")
    before = reader.tool_states().get(tool.of_id, [])
    now = before[-1] if before else None
    if state == "revived" and (now is None or now.state != "retired"):
        return EnteredUpkeep(wrong=f"{tool.label} is in use: only a retired tool is revived.")
    if state == "retired" and now is not None and now.state == "retired":
        return EnteredUpkeep(wrong=f"{tool.label} is out of use since {now.since_on} already.")
    asks: tuple[str, ...] = ()
    if now is not None and day < now.since_on:
        asks = (f"{tool.label} was {now.state.replace('_', ' ')} on {now.since_on}, after {day}: is the day right?",)
    change = ToolState(tool_of_id=tool.of_id, state=state, since_on=day, why=values.get("why", "").strip() or None)
    return EnteredUpkeep(change, asks=asks)


def read_limit(reader: Reader, job: Job, tool: Tool, values: Mapping[str, str], style: Style = MM) -> EnteredUpkeep:
    """An agreed limit of wear for a size of a tool, at the tool; without a unit in that of `style`."""
    feature, wrong = _feature(reader, job, tool, values.get("feature", ""))
    if wrong or feature is None:
        return EnteredUpkeep(wrong=wrong or "Say which feature, such as F29.")
    own, read = style.of(feature.quantity), fields.optional(fields.size)
    lower, upper = (read(values.get(side), own.word, signed=True) for side in ("lower", "upper"))
    for name, value in (("lower", lower), ("upper", upper)):
        if isinstance(value, fields.Wrong):
            return EnteredUpkeep(wrong=f"{name}: {value}.")
    if lower is None and upper is None:
        return EnteredUpkeep(wrong=f"Give a lower or an upper limit, {own.word} at the tool.")
    assert not isinstance(lower, fields.Wrong) and not isinstance(upper, fields.Wrong)
    if lower is not None and upper is not None and lower > upper:
        return EnteredUpkeep(
            wrong=f"lower {own.given(lower, unit=False)} is above upper {own.given(upper, unit=False)}."
        )
    why = values.get("why", "").strip()
    if not why:
        return EnteredUpkeep(wrong="Say who agreed it, and on what: it takes the place of the limit from the chain.")
    return EnteredUpkeep(WearLimit(tool_of_id=tool.of_id, feature_id=feature.id, lower=lower, upper=upper, why=why))
