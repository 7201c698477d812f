"""Terminal pictures of a kit: cores as a tree of who sits in whom, and the stack of cores seen from the side.

Both read without colour: ✓ every fit proven, ✗ something does not hold, ? open, · nothing known yet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.model.work import Core
from inspect_tui.report.words import clipped
from inspect_tui.shop.kit.check import KitCheck

SYMBOL = {"yes": "✓", "no": "✗", "open": "?", "none": "·"}
STYLE = {"yes": "bold green", "no": "bold red", "open": "bold yellow", "none": "dim"}
NARROWEST = 5  # columns of a core in the side view: two walls and "123"


def standing(check: KitCheck, core: Core) -> str:
    """yes, no, open or none: how the fits and seats of a core stand, by all that is known."""
    number = str(core.number)
    mine = [line for line in check.lines if line.inner == f"core {number}"]
    wrong = any(t.kind != "doubt" for t in check.remarks_of(number))
    if wrong or any(line.verdict.answer == Answer.DOES_NOT_CONFORM for line in mine):
        return "no"
    if not mine:
        return "none"
    each = all(line.verdict.state == "fits" and line.verdict.measured == "both" for line in mine)
    proven = each and number not in check.unproven
    return "yes" if proven else "open"


def seats_of(check: KitCheck) -> dict[str, str]:
    """Core -> the part that it mainly sits in: the core that is set last of those it sits in, else drag or cope."""
    place = {number: n for n, number in enumerate(check.sequence)}
    seats: dict[str, str] = {}
    for seat in check.sits:
        before = seats.get(seat.core)
        better = place.get(seat.into, -1) > place.get(before or "", -1)
        if seat.into and (before is None or better or (before == "cope" and seat.into == "drag")):
            seats[seat.core] = seat.into
    return seats


def children(check: KitCheck) -> dict[str, list[str]]:
    """Part -> the cores that mainly sit in it, in setting order; cores with no seat hang on ''."""
    parents = seats_of(check)
    place = {number: n for n, number in enumerate(check.sequence)}
    under: dict[str, list[str]] = {}
    numbers = [str(core.number) for core in check.facts.cores]
    for number in sorted(dict.fromkeys(numbers), key=lambda n: (place.get(n, len(place)), int(n))):
        parent = parents.get(number, "")
        under.setdefault(parent if parent in ("drag", "cope", *numbers) else "", []).append(number)
    return under


# ------------------------------------------------------------------------------ the tree
def whole(check: KitCheck) -> Text:
    """The kit in one short line: `✗ 2 against, 6 open`."""
    out = Text(no_wrap=True)
    how = "no" if check.against else "open" if check.doubts else "yes" if check.facts.cores else "none"
    out.append(SYMBOL[how] + " ", style=STYLE[how])
    words = [f"{len(check.against)} against"] * bool(check.against) + [f"{len(check.doubts)} open"] * bool(check.doubts)
    fine = "goes together" if check.facts.cores else "no cores yet"
    out.append(f"the kit: {', '.join(words) or fine}", style="bold")
    return out


def tree(check: KitCheck, width: int) -> list[tuple[str, Text]]:
    """Rows of the tree: (core's number, or the part's name) and its line; every core once, whatever rings there are."""
    under = children(check)
    rows: list[tuple[str, Text]] = []
    seen: set[str] = set()
    cores = {str(core.number): core for core in check.facts.cores}
    order = {number: n for n, number in enumerate(check.sequence, start=1)}

    def walk(number: str, deep: int) -> None:
        if number in seen:
            return
        seen.add(number)
        core = cores[number]
        how = standing(check, core)
        state = check.states[core.of_id].state
        set_as = f"{order[number]}." if number in order else "-"
        line = Text(no_wrap=True)
        line.append("  " * deep + "└ " if deep else "")
        line.append(SYMBOL[how], style=STYLE[how])
        head = f" {set_as:<3}core {number} "
        room = width - line.cell_len - len(head) - len(state) - 1
        if room >= 6:
            line.append(head + clipped(core.name, room).ljust(room) + " ")
        else:
            line.append(head.ljust(max(width - line.cell_len - len(state), 0)))
        line.append(state, style="dim")
        line.truncate(width)
        rows.append((number, line))
        for child in under.get(number, ()):
            walk(child, deep + 1)

    for part, words in (("drag", "drag"), ("cope", "cope"), ("", "no seat said")):
        if not under.get(part):
            continue
        rows.append((part or "?", Text(words, style="bold", no_wrap=True)))
        for number in under[part]:
            walk(number, 1)
    for number in cores:  # cores of a ring hang on nobody
        if number not in seen:
            if not any(key == "ring" for key, _ in rows):
                rows.append(("ring", Text("in a ring", style="bold red", no_wrap=True)))
            walk(number, 1)
    return rows


# ------------------------------------------------------------------------------ the side view
def side_view(check: KitCheck, width: int, chosen: str = "") -> Text:
    """The cores as they stand in the mould, seen from the side: drag below, cope above, the number of each step.

    Cores that sit in a core stand on it; one that reaches into the cope has a line up to it. Where there are more
    cores side by side, or on one core, than there is room for, the picture goes on in a further one below; its floor
    says what they stand on. `width` counts from 10 columns.
    """
    width = max(width, 2 * NARROWEST)
    under = children(check)
    seen: set[str] = set()
    above: dict[str, list[str]] = {}  # what is drawn standing on each core
    waiting = [("drag", n) for part in ("drag", "cope", "") for n in under.get(part, ())]
    hanging = [("drag", str(core.number)) for core in check.facts.cores]  # those of a ring hang on nobody else
    out = Text(no_wrap=True)
    while waiting or hanging:
        if not waiting:
            waiting.append(hanging.pop(0))
        floor, row, used = waiting[0][0], list[str](), 1
        while waiting and waiting[0][0] == floor:
            later: list[tuple[str, str]] = []
            number = waiting[0][1]
            if number not in seen:
                wide = _trim(number, width - 2, under, above, seen, later)
                if row and used + wide + 1 > width:
                    seen.difference_update(_standing(number, above))
                    break
                row.append(number)
                used += wide + 1
            waiting = [*waiting[1:], *later]
        if row:
            out.append_text(_band(check, row, above, floor, width, chosen))
    return out if out.plain else Text("no cores yet", style="dim")


def _standing(number: str, above: Mapping[str, Sequence[str]]) -> list[str]:
    """A core and all that is drawn standing on it."""
    return [number, *(n for child in above.get(number, ()) for n in _standing(child, above))]


def _trim(
    number: str,
    room: int,
    under: Mapping[str, Sequence[str]],
    above: dict[str, list[str]],
    seen: set[str],
    later: list[tuple[str, str]],
) -> int:
    """Columns that a core needs with what is drawn on it, within the room; what has none goes to `later`."""
    seen.add(number)
    above[number], used = [], 1
    for child in under.get(number, ()):
        if child in seen:
            continue
        if used + NARROWEST + 1 > room:
            later.append((f"core {number}", child))
            continue
        more: list[tuple[str, str]] = []
        wide = _trim(child, room - 2, under, above, seen, more)
        if used + wide + 1 > room:
            seen.difference_update(_standing(child, above))
            later.append((f"core {number}", child))
            continue
        later += more
        above[number].append(child)
        used += wide + 1
    return max(NARROWEST, used)


def _least(number: str, above: Mapping[str, Sequence[str]]) -> int:
    """Columns that a core and what stands on it need at least."""
    return max(NARROWEST, sum(_least(n, above) + 1 for n in above[number]) + 1)


def _band(
    check: KitCheck, roots: Sequence[str], above: Mapping[str, Sequence[str]], floor: str, width: int, chosen: str
) -> Text:
    spans: dict[str, tuple[int, int, int]] = {}  # number -> first column, last column, level
    spare = max(width - 1 - sum(_least(r, above) + 1 for r in roots), 0)
    at = 1
    for root in roots:
        more = min(spare // len(roots), 14)
        wide = _least(root, above) + more
        _place(root, at, at + wide - 1, 0, above, spans)
        at += wide + 1
    levels = 1 + max(level for _, _, level in spans.values())
    height = 2 * levels + 2
    grid = [[" "] * width for _ in range(height)]
    styles: dict[tuple[int, int], str] = {}
    _rule(grid[0], " cope ")
    _rule(grid[-1], f" {floor} ")
    order = {number: n for n, number in enumerate(check.sequence, start=1)}
    cores = {str(core.number): core for core in check.facts.cores}
    form = next(
        (
            n
            for n in range(4)
            if all(len(_label(n, order.get(c), c, "?")) <= right - left - 1 for c, (left, right, _) in spans.items())
        ),
        4,
    )
    in_cope = {s.core for s in check.sits if s.into == "cope"}
    for number, (left, right, level) in sorted(spans.items(), key=lambda item: item[1][2]):
        bottom = height - 1 - 2 * level  # the row that it stands on
        top = bottom - 2
        for x in range(left, right + 1):
            grid[top][x] = "─"
        grid[top][left], grid[top][right] = "┌", "┐"
        for x in (left, right):
            grid[bottom - 1][x] = "│"
            if grid[bottom][x] == "─":
                grid[bottom][x] = "┴"
            elif grid[bottom][x] in "┌┐":
                grid[bottom][x] = "├" if grid[bottom][x] == "┌" else "┤"
        how = standing(check, cores[number])
        label = _label(form, order.get(number), number, SYMBOL[how])[: right - left - 1]
        start = left + 1 + (right - left - 1 - len(label)) // 2
        for i, char in enumerate(label):
            grid[bottom - 1][start + i] = char
            styles[bottom - 1, start + i] = "reverse" if number == chosen else STYLE[how] if char == SYMBOL[how] else ""
        if number in in_cope and top > 0:
            middle = (left + right) // 2
            grid[top][middle] = "╨"
            for y in range(1, top):
                if grid[y][middle] == " ":
                    grid[y][middle] = "║"
            if grid[0][middle] == "═":
                grid[0][middle] = "╥"
    out = Text(no_wrap=True)
    for y, row in enumerate(grid):
        text = "".join(row).rstrip()
        if not text:
            continue  # no core stands so high
        for x, char in enumerate(text):
            out.append(char, style=styles.get((y, x), ""))
        out.append("\n")
    return out


def _place(
    number: str,
    left: int,
    right: int,
    level: int,
    above: Mapping[str, Sequence[str]],
    spans: dict[str, tuple[int, int, int]],
) -> None:
    """Give a core its columns, and what stands on it its share of them."""
    spans[number] = (left, right, level)
    standing_on = above[number]
    if not standing_on:
        return
    needs = [_least(n, above) for n in standing_on]
    room = right - left - 1
    spare = max(room - sum(needs) - (len(needs) - 1), 0)
    at = left + 1
    for child, need in zip(standing_on, needs, strict=True):
        wide = need + min(spare // len(needs), 12)
        _place(child, at, at + wide - 1, level + 1, above, spans)
        at += wide + 1


def _label(form: int, order: int | None, number: str, symbol: str) -> str:
    """`2. core 5 ✓`, shorter where one of the picture has no room for that: `core 5 ✓`, `5 ✓`, `5✓`, `5`."""
    first = f"{order}." if order else "-"
    forms = (f"{first} core {number} {symbol}", f"core {number} {symbol}", f"{number} {symbol}", f"{number}{symbol}")
    return (*forms, number)[form]


def _rule(row: list[str], name: str) -> None:
    for x in range(len(row)):
        row[x] = "═"
    start = max((len(row) - len(name)) // 2, 0)
    for i, char in enumerate(name[: len(row)]):
        row[start + i] = char
