"""What the foundry said of a core, in a line for people."""

from __future__ import annotations

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.model.words import LIMIT_SLACK_MM

RESULTS = {"go": "goes", "no_go": "does not go"}
SAID = {  # as people write it
    **dict.fromkeys(("go", "goes", "ok", "yes", "good", "passes", "fits"), "go"),
    **dict.fromkeys(("no-go", "no go", "nogo", "no_go", "no", "not ok", "bad", "fails", "does not go"), "no_go"),
}


def said(answer: SettingAnswer, style: Style = MM) -> str:
    """`check throat (T-1): 1.42 mm, outside 1.00 to 1.40 mm, HW`."""
    parts = []
    if answer.result:
        parts.append(RESULTS[answer.result])
    if answer.value is not None:
        parts.append(style.length(answer.value))
        limits = style.band(answer.lower, answer.upper)
        if answer.lower is not None or answer.upper is not None:
            parts.append(f"{'within' if within(answer) else 'outside'} {limits}")
    if answer.words:
        parts.append(answer.words)
    if answer.who:
        parts.append(answer.who)
    return f"{head(answer)}: {', '.join(parts)}"


def head(answer: SettingAnswer) -> str:
    """What was asked: `check throat (T-1)`, `rubbed, forced, broken?`, `remark on F12 lower jacket`."""
    if answer.sort == "check":
        return f"check {answer.what}"
    return answer.what if answer.sort == "rub" or answer.what == "remark" else f"remark on {answer.what}"


def within(answer: SettingAnswer) -> bool:
    """Whether the gap that was read lies within the limits of the foundry's sheet."""
    value = answer.value
    assert value is not None
    low = answer.lower is None or value >= answer.lower - LIMIT_SLACK_MM
    return low and (answer.upper is None or value <= answer.upper + LIMIT_SLACK_MM)
