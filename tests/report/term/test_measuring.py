"""The measuring plan in a terminal: every line at any width, what is open first."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.report.term.measuring import MOST_PLACES, plan_text, round_text, step_text
from inspect_tui.shop.measuring.castings import RoundPlan, TellLine
from inspect_tui.shop.measuring.sample import Free, PlacedFace, SamplePlan, of_sample
from tests.worlds.sample_faces import named


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SamplePlan]:
    folder = tmp_path_factory.mktemp("plan")
    with Record.open(folder / "s.db", create=True, state_dir=folder) as record:
        yield of_sample(record, named(record)[0])


@pytest.mark.parametrize("width", [40, 80, 200])
def test_a_plan_keeps_to_its_width_and_loses_no_step(plan: SamplePlan, width: int) -> None:
    text = plan_text(plan, width).plain
    assert max(map(len, text.splitlines())) <= width
    flat = " ".join(text.split())
    for line in plan.lines:
        assert f"{line.number} {line.size} {line.what}" in flat
    assert flat.startswith("1 of 5 faces is pinned") and "through the wall, with ultrasonic thickness" in flat
    assert "then known to ± 0.06" in flat and "closes a loop with S3-S4, S3, S5" in flat and "R1 bend" in flat


def test_what_is_open_and_known_by_now_is_told(plan: SamplePlan) -> None:
    known = tuple(PlacedFace(face=f"f{n}", from_face="datum", mm=25.4, u_mm=0.127) for n in range(MOST_PLACES + 2))
    free = (Free(faces=("a", "b"), sizes=("F1",), why="hang on F1 alone"),)
    full = replace(plan, asked=("where?",), slips=("S2 stands off",), free=free, places=known)
    text = plan_text(full, 100).plain
    for words in ("? where?", "! S2 stands off", "a, b: hang on F1 alone", "f0: 25.40 ± 0.25 from datum", "and 2 more"):
        assert words in text
    loose = replace(plan.lines[0], tied=False)
    assert "no size leads there" in plan_text(replace(plan, lines=(loose,)), 100).plain
    assert "1.0000 ± 0.0100 from datum" in plan_text(full, 100, Style("in", 4)).plain


def test_one_step_says_where_it_starts_and_what_it_gives(plan: SamplePlan) -> None:
    first, wall = plan.lines[0], plan.lines[2]
    assert "starts from a datum; about 2 min" in step_text(first, 200).plain
    text = step_text(wall, 200).plain
    assert "a face that is pinned by then" in text and "not on the list yet" in text
    assert "a face that hangs free" in step_text(replace(first, from_datum=False, tied=False), 200).plain


def test_the_plan_of_a_sampling(plan: SamplePlan) -> None:
    line = TellLine(
        number=1, size="F3", what="wall", means="reach", minutes=2.0, bits=0.4, castings=("1",), sentence="F3 wall on 1"
    )
    made = RoundPlan(
        job="J",
        round="S1",
        lines=(line,),
        cannot_tell=(("a", "b"),),
        said=("a or b",),
        on_tools=("measure the box",),
        unseen=("c",),
        open_after=("d",),
        cut_up=False,
        minutes=2.0,
        sentence="1 question is open.",
    )
    text = round_text(made, 80).plain
    assert text.splitlines()[:4] == ["1 question is open.", "? a or b", "  -  measure the box", "  1  F3 wall on 1"]
    assert "too small to show at a believable size: c" in text and "cannot be told even then: d" in text
