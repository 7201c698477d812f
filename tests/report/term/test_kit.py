"""The kit in text: the tree of who sits in whom and the cores seen from the side, at every width."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from types import SimpleNamespace

import pytest

from inspect_tui.metrology.kit.setting import Sits
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit as term_kit
from inspect_tui.report.term import kit_pages as term_kit_pages
from inspect_tui.shop.kit import check as kit
from tests.worlds.kit_jobs import Kit, begin, two_cores, with_patterns

SEATS = {1: "drag", 2: "drag", 7: "drag", 3: "drag", 4: 3, 5: 1, 6: 5}
TREE = """\
drag
  └ ? 1. core 1       not made
    └ ? 5. core 5     not made
      └ ? 6. core 6   not made
  └ ? 2. core 2       not made
  └ ? 3. core 3       not made
    └ ? 4. core 4     not made
  └ ? 7. core 7       not made
"""
SIDE = """\
═══════╥═════════════ cope ═════════════════════
   ┌───╨───┐
   │  6 ?  │
  ┌┴───────┴┐             ┌───────┐
  │   5 ?   │             │  4 ?  │
 ┌┴─────────┴┐ ┌───────┐ ┌┴───────┴┐ ┌───────┐
 │    1 ?    │ │  2 ?  │ │   3 ?   │ │  7 ?  │
═════════════════════ drag ═════════════════════
"""


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        yield opened


def seven(record: Record) -> Kit:
    made = with_patterns(begin(record))
    for number in sorted(SEATS):
        made.add_core(number, set_order=number)
    for number, outer in SEATS.items():
        made.add_fit(f"K{number}", number, outer, holds="x,y,z,rx,ry,rz")
    made.add_fit("K9", 6, "cope", way_in="z+", holds="x,y")
    return made


def test_the_tree_shows_who_sits_in_whom(record: Record) -> None:
    made = seven(record)
    rows = term_kit.tree(kit.check(record, made.job), 30)
    assert "\n".join(line.plain.rstrip() for _, line in rows) + "\n" == TREE
    assert [key for key, _ in rows] == ["drag", "1", "5", "6", "2", "3", "4", "7"]


def test_the_cores_seen_from_the_side(record: Record) -> None:
    made = seven(record)
    assert term_kit.side_view(kit.check(record, made.job), 48).plain == SIDE


@pytest.mark.parametrize("width", [20, 30, 44, 48, 80, 118])
def test_the_side_view_keeps_to_its_width_and_shows_every_core_once(record: Record, width: int) -> None:
    made = seven(record)
    lines = term_kit.side_view(kit.check(record, made.job), width).plain.splitlines()
    assert max(len(line) for line in lines) <= width
    text = "\n".join(lines)
    for number in SEATS:
        assert sum(text.count(f"{mark}{number}{end}") for mark in (" ", "│", "core ") for end in ("?", " ?")) >= 1
    assert text.count("drag") == text.count("cope") >= 1


def test_a_core_stands_on_what_it_sits_in_and_reaches_into_the_cope(record: Record) -> None:
    made = seven(record)
    lines = term_kit.side_view(kit.check(record, made.job), 60).plain.splitlines()
    row = {n: next(i for i, line in enumerate(lines) if f"core {n} " in line) for n in SEATS}
    column = {n: lines[row[n]].index(f"core {n} ") for n in SEATS}
    assert row[6] < row[5] < row[1]
    assert row[4] < row[3] == row[1]
    left, right = lines[row[1]].index("│"), lines[row[1]].index("│", lines[row[1]].index("core 1"))
    assert left < column[5] < right and left < column[6] < right
    assert "╥" in lines[0] and "drag" in lines[-1]
    assert lines[row[6] - 1][lines[0].index("╥")] == "╨"


def test_a_ring_of_seats_is_drawn_without_going_round(record: Record) -> None:
    made = two_cores(record)
    made.add_fit("K9", 1, 2)
    check = kit.check(record, made.job)
    assert {key for key, _ in term_kit.tree(check, 40)} >= {"1", "2"}
    assert "1" in term_kit.side_view(check, 40).plain


def test_many_cores_side_by_side_go_on_in_a_further_picture(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in range(1, 15):
        made.add_core(number)
        made.add_fit(f"K{number}", number, "drag")
    lines = term_kit.side_view(kit.check(record, made.job), 44).plain.splitlines()
    assert sum("drag" in line for line in lines) == 2
    assert max(len(line) for line in lines) <= 44


def test_an_empty_kit_says_so(record: Record) -> None:
    check = kit.check(record, begin(record).job)
    assert term_kit.side_view(check, 40).plain == "no cores yet"
    assert term_kit.tree(check, 40) == []
    assert term_kit.whole(check).plain == "· the kit: no cores yet"
    assert "this job has no cores" in term_kit_pages.summary(check, 40).plain


def test_hostile_names_are_text_and_never_markup(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1, name="[bold red]x[/] <b>")
    made.add_fit("[red]K1", 1, "drag", note="[link=http://x]y")
    check = kit.check(record, made.job)
    assert "[bold red]x[/] <b>" in "".join(line.plain for _, line in term_kit.tree(check, 60))
    assert "[red]K1" in term_kit_pages.about_fit(check.lines[0], 60).plain
    assert "[link=http://x]y" in term_kit_pages.about_fit(check.lines[0], 60).plain


# ------------------------------------------------------------------------------ any tree at any width
def planted(into: dict[int, str], cope: set[int] | None = None) -> SimpleNamespace:
    """As much of a check as the pictures ask: cores in these parts, some with a print in the cope."""
    cores = [SimpleNamespace(number=n, name=f"core {n}", of_id=bytes([n])) for n in into]
    sits = [Sits(core=str(n), into=part, seat="s") for n, part in into.items()]
    sits += [Sits(core=str(n), into="cope", seat="c") for n in cope or ()]
    states = {core.of_id: SimpleNamespace(state="box measured") for core in cores}
    facts = SimpleNamespace(cores=cores)
    sequence = tuple(str(n) for n in into)
    more = {"lines": (), "states": states, "remarks_of": lambda number: [], "unproven": frozenset()}
    return SimpleNamespace(facts=facts, sits=sits, sequence=sequence, **more)


def drawn(picture: str) -> list[int]:
    return sorted(int(n) for n in re.findall(r"[│║ ](\d+) ?·", picture.replace("core ", "")))


@pytest.mark.parametrize("seed", range(60))
def test_any_tree_at_any_width_shows_every_core_once(seed: int) -> None:
    random = Random(seed)
    count = seed + 1
    into = {1: "drag"}
    for n in range(2, count + 1):
        ring = str(random.randint(1, count))  # now and then a core sits in a later one, or in itself
        into[n] = random.choice(["drag", "cope", "", str(random.randint(1, n - 1)), str(n - 1), ring])
    check = planted(into, {n for n in into if random.random() < 0.3})
    width = random.choice([40, 41, 57, 76, 80, 118, 200])
    picture = term_kit.side_view(check, width, "1").plain
    assert max(len(line) for line in picture.splitlines()) <= width
    assert drawn(picture) == list(into)
    assert sorted(key for key, _ in term_kit.tree(check, width) if key.isdigit()) == sorted(map(str, into))


@pytest.mark.parametrize("width", [1, 40, 76, 80])
@pytest.mark.parametrize("count", [14, 15, 16, 60])
def test_many_cores_on_one_go_on_in_a_further_picture_that_says_what_they_stand_on(count: int, width: int) -> None:
    picture = term_kit.side_view(planted({1: "drag"} | {n: "1" for n in range(2, count + 1)}), width).plain
    assert drawn(picture) == list(range(1, count + 1))
    floors = re.findall(r"═ (drag|core 1) ═", picture)
    assert floors[:1] == ["drag"] and set(floors[1:]) <= {"core 1"} and (count == 14 or width == 1 or len(floors) > 1)


def test_a_tall_tower_goes_on_in_a_further_picture() -> None:
    picture = term_kit.side_view(planted({n: str(n - 1) if n > 1 else "drag" for n in range(1, 61)}), 40).plain
    assert drawn(picture) == list(range(1, 61))
    assert re.findall(r"═ (\w+ ?\d*) ═", picture)[1:4:2] == ["drag", "core 17"]
