"""What is said of a trial, in words for people."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.proving import How, Proving, ProvingLine

SORTS = {"trying_in": "trying in", "trial_closing": "trial closing"}
RESULTS = {str(how): how.value for how in How} | {How.STOPS: "does not go"}
CLOSING = RESULTS | {How.GOES: "closes", How.STOPS: "does not close"}
RUBS = (How.RUBS, How.STOPS)  # what goes in so is not proven
NOT_QUITE = (*RUBS, How.TIGHT, How.LOOSE)
STAY_APART = "how far the halves stay apart"  # what is asked of the closing


def sort_of(proving: Proving) -> str:
    """`trying in` or `trial closing`."""
    return SORTS[proving.sort]


def name_of(proving: Proving) -> str:
    """`trying in of 2026-03-02`."""
    return f"{SORTS[proving.sort]} of {proving.on_date}"


def put_in(proving: Proving, numbers: Iterable[str]) -> str:
    """`sticks of cores 1 to 9`; cores themselves go by their numbers alone."""
    return f"{'sticks of ' if proving.inside == 'sticks' else ''}{cores(numbers)}"


def found(line: ProvingLine, style: Style = MM) -> str:
    """`rubs, 0.12 mm by feeler, at the neck`; empty for a core of which only is said that it was in the mould."""
    told = CLOSING if line.sort == "closing" else RESULTS
    parts = [told[line.result]] if line.result else []
    if line.value is not None:
        size = style.length(line.value) if line.u_mm is None else style.plus_minus(line.value, 2 * line.u_mm)
        parts.append(size + (f" by {line.way}" if line.way else ""))
    return ", ".join([*parts, *([line.words] if line.words else [])])


def cores(numbers: Iterable[str]) -> str:
    """`core 3`, `cores 1 to 9`, `cores 1, 2 and 4 to 6`."""
    whole = sorted({int(number) for number in numbers if number.isdigit()})
    runs: list[list[int]] = []
    for number in whole:
        if runs and runs[-1][1] == number - 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    told = []
    for low, high in runs:
        told += [str(low)] if low == high else [f"{low} to {high}"] if high - low > 1 else [str(low), str(high)]
    if len(whole) <= 1:
        return f"core {told[0]}" if told else "no core"
    return f"cores {', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else f"cores {told[0]}"
