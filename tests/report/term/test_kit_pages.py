"""Pages of a kit as text: symbols and words stand beside the colours."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.capacity import Buys
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.kit import Passage
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit_pages as term_kit_pages
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.shipping import places
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        yield opened


def test_symbols_and_words_stand_beside_the_colours(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K2-S": 39.0})
    made.read("box 2", {"K2-P": 40.0})
    check = kit.check(record, made.job)
    text = term_kit_pages.summary(check, 60).plain
    assert text.startswith("✗ 1 thing against the kit as it is")
    row = next(line.plain for key, line in term_kit_pages.fit_rows(check, 60) if "K2" in line.plain)
    assert row.startswith("✗ K2") and "does not go" in row


def test_a_kit_of_which_nothing_is_said_does_not_go_together_unsaid(record: Record) -> None:
    made = with_patterns(begin(record))
    text = term_kit_pages.summary(kit.check(record, made.job), 80).plain
    assert text.startswith("? job TK-1 has no cores\n") and "goes together" not in text
    made.add_core(1)
    text = term_kit_pages.summary(kit.check(record, made.job), 80).plain
    assert text.startswith("? not said yet how the kit of job TK-1 goes together\n")


def test_a_wall_of_which_nothing_was_read_is_as_drawn_and_not_proven(record: Record) -> None:
    made = two_cores(record)

    def how() -> str:
        check = kit.check(record, made.job)
        (wall,) = check.walls
        (line,) = term_kit_pages.wall_rows(check, 80)
        assert line[1].plain[0] == {"none": "·", "yes": "✓", "open": "?"}[term_kit_pages.how_wall(wall)]
        return f"{term_kit_pages.how_wall(wall)}: {'as drawn' in wall.sentence}"

    assert how() == "none: True"
    made.read("box 1", {"K2-S": 40.5})
    made.read("box 2", {"K2-P": 40.0})
    assert how() == "yes: False"
    edit.change_fit(record, made.job, made.fit["K2"], inner_feature_id=None, outer_feature_id=None)
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    made.read("box 1", {"W": 20.2})
    assert how() == "open: False"  # nobody said how much play K2 has


def test_a_fit_is_proven_by_both_its_sides_only(record: Record) -> None:
    made = two_cores(record)

    def how(name: str) -> tuple[str, str]:
        check = kit.check(record, made.job)
        line = next(line for line in check.lines if line.name == name)
        row = next(text.plain for _, text in term_kit_pages.fit_rows(check, 60) if name in text.plain)
        return term_kit_pages.how_fit(line), row[0]

    assert how("K2") == ("none", "·")
    made.read("box 2", {"K2-P": 40.0})
    assert how("K2") == ("open", "?")
    made.read("box 1", {"K2-S": 40.5})
    assert how("K2") == ("yes", "✓")
    fit = made.add_fit("K5", 2, 1, inner_feature_id=made.feature["K2-P"].id, clear_min_mm=0.1, clear_max_mm=9.0)
    check = kit.check(record, made.job)
    line = next(line for line in check.lines if line.fit.id == fit.id)
    assert (line.verdict.state, line.verdict.measured) == ("fits", "print")
    assert how("K5") == ("open", "?")  # inside its limits, with one side as drawn


def test_what_the_check_says_of_a_tool_stands_on_its_page_and_on_its_cores(record: Record) -> None:
    made = two_cores(record)
    for balloon, axis, size in (("A1", "x", 30.0), ("A2", "x", 50.0), ("A3", "z", 20.0)):
        made.add_feature(balloon, axis, size, (1, 1, 0.0), (1, -1, size), ("box 1",), size - 0.6, size + 0.6)
    made.read("box 1", {"A1": 50.5, "A2": 30.3, "A3": 25.0})
    check = kit.check(record, made.job)
    place = next(p for p in places(check.facts) if p.tool.label == "box 1")
    text = term_kit_pages.about_tool(place, [], 80, check.said_of_tool("box 1")).plain
    assert "✗ box 1 may be the wrong hand along x: A1 reads 50.50" in text
    assert "✗ A3 size A3 on box 1: 25.00 mm, wanted 20.20 mm" in text
    assert check.said_of_tool("box 2") == ()
    core = term_kit_pages.about_core(check, "1", None, 80).plain
    assert core.count("may be the wrong hand") == 1 and core.count("A3 size A3") == 1
    order = term_kit_pages.about_order(check, 80, "1").plain
    assert "✗ box 1 may be the wrong hand" in order and "? core 1 goes into its own seats" in order


def test_the_play_of_all_prints_together_stands_on_the_page_of_a_core(record: Record) -> None:
    made = two_cores(record)
    assert "play of all its prints" not in term_kit_pages.about_core(kit.check(record, made.job), "2", None, 80).plain
    made.print_and_seat("K5", 2, 1, 40.0, 40.4, "x", holds="x", at_x=90.0, at_y=0.0, at_z=50.0)
    text = term_kit_pages.about_core(kit.check(record, made.job), "2", None, 80).plain
    assert "play of all its prints together: x 0.40 as drawn\n" in text


def test_what_stick_and_check_both_say_stands_once(record: Record) -> None:
    from inspect_tui.shop.kit.cores import report

    made = two_cores(record)
    for balloon, axis, size in (("A1", "x", 30.0), ("A2", "y", 50.0), ("A3", "z", 20.0)):
        made.add_feature(balloon, axis, size, (1, 1, 0.0), (1, -1, size), ("stick 1",), size - 0.6, size + 0.6)
    made.read("stick 1", {"A1": 30.6, "A2": 51.0, "A3": 20.4})
    check = kit.check(record, made.job)
    of_core = report(check.facts, check.facts.cores[0])
    assert of_core.sentences[0].startswith("stick 1: all 3 sizes are 0.99 % over target")
    assert term_kit_pages.about_core(check, "1", of_core, 80).plain.count("0.99 % over target") == 1


def test_a_passage_says_its_capacity_in_five_units_and_what_is_assumed(record: Record) -> None:
    made = two_cores(record)
    for balloon, axis, size in (("W1", "x", 20.0), ("H1", "y", 10.0)):
        made.add_feature(balloon, axis, size, (1, 1, 0.0), (1, -1, size), ("box 1",), size - 1, size + 1)
        made.read("box 1", {balloon: size * 1.01})
    rated = {"rated": 46.0, "unit": "m3/min"}
    edit.add_passage(
        record, made.job, Passage(job_of_id=made.job.of_id, label="A", name="port", formula="W1 * H1", **rated)
    )
    edit.add_passage(record, made.job, Passage(job_of_id=made.job.of_id, label="B", name="slot", formula="W1 * 2"))
    port, slot = kit.check(record, made.job).passages
    text = term_kit_pages.about_passage(port, 60).plain
    # NIST SP 811, appendix B.8: 46 m3/min are 766.7 L/s, 12 152 gal (US)/min, 1624 ft3/min
    assert "that is 2760 m³/h, 46.0 m³/min, 766.7 L/s, 12152 gal/min (US), 1624 ft³/min\n" in text
    assert "in proportion to the area: assumed\n" in text
    assert "± 0.3 m3/min assumed: contraction\n" in text and "m3/min measured: gauge\n" in text
    short = replace(port, buys=(Buys("W1", 5.0, 0.254),))
    inch = term_kit_pages.about_passage(short, 60, Style("in")).plain
    assert " in², as drawn " in inch and " in² for 1 in\n" in inch and "mm²" not in inch and " mm " not in inch
    assert "W1: +127.0 % for 1 in on the casting; +0.0100 in alone brings it back\n" in inch
    assert "W1: +5.0 % for 1 mm on the casting; +0.25 mm alone" in term_kit_pages.about_passage(short, 60).plain
    plain = term_kit_pages.about_passage(slot, 60).plain
    assert "that is" not in plain and "mm assumed: contraction\n" in plain
