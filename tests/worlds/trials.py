"""Trials in the mould of invented kits, written down as the form and the command do; and a mould off their pattern."""

from __future__ import annotations

from collections.abc import Mapping

from inspect_tui.model.work import Tool
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.proving import enter
from inspect_tui.shop.kit.proving.enter import Checked, Draft
from inspect_tui.shop.kit.tried.trials import Trial, trials
from tests.worlds.kit_jobs import Kit


def read(made: Kit, found: Mapping[str, str] = {}, old: Trial | None = None, **heads: str) -> Checked:
    """What somebody typed, read: sticks of all cores unless it is said otherwise, today."""
    typed = {"sort": "trying in", "inside": "sticks", "who": "TK", "cores": "all", **heads}
    draft = Draft(found=tuple(found.items()), **typed)
    return enter.read(made.record, KitFacts(made.record, made.job), draft, old=old)


def tried(made: Kit, found: Mapping[str, str] = {}, **heads: str) -> Trial:
    """A trial that was written down, with what was asked kept as it stands."""
    checked = read(made, found, **heads)
    stored = enter.write(made.record, checked, made.person.id)
    return next(t for t in trials(KitFacts(made.record, made.job)) if t.proving.id == stored.id)


def now(made: Kit, which: int = -1) -> Trial:
    """A trial as it stands by now, the last one unless it is said otherwise."""
    return trials(KitFacts(made.record, made.job))[which]


def mould(made: Kit, label: str = "mould 1", of: str = "drag pattern", **more: object) -> Tool:
    """A mould taken off a pattern."""
    return made.add_tool(label, "mould", material="plaster", made_from_id=made.tool[of].id, **more)
