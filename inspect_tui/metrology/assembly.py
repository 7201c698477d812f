"""Assembly: fits, setting order, look-alikes, buoyancy, stacks and passages under one name."""

from __future__ import annotations

from inspect_tui.metrology.buoyancy import CAUTION, Held, Holder, Lift, Sag, lift, sag, what_holds
from inspect_tui.metrology.fits import (
    Fit,
    FitVerdict,
    KitFits,
    clearance,
    clearance_band,
    judge_fit,
    judge_kit,
    tool_words,
)
from inspect_tui.metrology.passage import Derived, Formula, derive, parse, value_of
from inspect_tui.metrology.passage_capacity import CAVEAT, Capacity, buys_back, capacity
from inspect_tui.metrology.setting import (
    Order,
    Sits,
    Trouble,
    check_order,
    held_sentence,
    not_held,
    problems,
    setting_order,
)
from inspect_tui.metrology.setting_float import Float, Play, floats, pushed
from inspect_tui.metrology.setting_lookalike import LookAlike, Print, look_alikes
from inspect_tui.metrology.stacks import Link, Stack, Term, as_measured, by_tool, find_loop, play, stack
from inspect_tui.metrology.stacks_mc import Assemblies, Wall, assemble

__all__ = [
    "CAUTION",
    "CAVEAT",
    "Assemblies",
    "Capacity",
    "Derived",
    "Fit",
    "FitVerdict",
    "Float",
    "Formula",
    "Held",
    "Holder",
    "KitFits",
    "Lift",
    "Link",
    "LookAlike",
    "Order",
    "Play",
    "Print",
    "Sag",
    "Sits",
    "Stack",
    "Term",
    "Trouble",
    "Wall",
    "as_measured",
    "assemble",
    "buys_back",
    "by_tool",
    "capacity",
    "check_order",
    "clearance",
    "clearance_band",
    "derive",
    "find_loop",
    "floats",
    "held_sentence",
    "judge_fit",
    "judge_kit",
    "lift",
    "look_alikes",
    "not_held",
    "parse",
    "play",
    "problems",
    "pushed",
    "sag",
    "setting_order",
    "stack",
    "tool_words",
    "value_of",
    "what_holds",
]
