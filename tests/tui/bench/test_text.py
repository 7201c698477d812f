"""What the Bench says, as text, within the width it has: header, list, feature, last line, earlier readings, budget."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.text import Text

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.measuring import Instrument, Note
from inspect_tui.model.words import Band
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import listing
from inspect_tui.tui.bench import text
from inspect_tui.tui.bench.big_digits import big_digits
from tests.conftest import TODAY, SmallShop
from tests.worlds.sample_faces import named

WIDTHS = pytest.mark.parametrize("width", [40, 80, 160])


def fits(shown: object, width: int) -> list[str]:
    lines = str(shown).splitlines()
    assert lines and max(len(line) for line in lines) <= width, lines
    return lines


def whole(lines: list[Text]) -> Text:
    return Text("\n").join(lines)


def logged(bench: Bench, typed: str, balloon: str = "F1") -> Logged:
    bench.goto(balloon)
    done = bench.take(typed)
    assert isinstance(done, Logged)
    return done


@WIDTHS
def test_the_header_is_as_wide_as_the_screen_with_who_and_what_on_the_right(shop: SmallShop, width: int) -> None:
    bench = shop.bench()
    (line,) = fits(text.header(bench, width), width)
    assert line.startswith(" SV-12 · rev A · stick 1") and len(line) == width
    if width >= 80:
        assert line.endswith("AB · caliper 1  U 0.04 mm ")
        bench.set_conditions(24.0, None, 21.5)
        assert str(text.header(bench, width)).endswith("24 °C, gauge 21.5 ")
        shop.record.stop_writing("The file is damaged.")
        assert "READ ONLY" in str(text.header(bench, width))


def test_the_header_says_the_day_while_it_is_not_today(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.set_day("2026-03-01", bench.opened_on)
    assert str(text.header(bench, 80)).startswith(" SV-12 · rev A · stick 1  DAY 2026-03-01 ")
    bench.set_day(None, bench.opened_on)
    assert "DAY" not in str(text.header(bench, 80))


def test_the_header_asks_for_who_and_with_what(shop: SmallShop) -> None:
    known = shop.bench()
    bench = Bench(shop.record, known.job, known.subject, today=TODAY)
    assert str(text.header(bench, 80)).endswith("who? F3 · instrument? F4 ")


@WIDTHS
def test_the_list_marks_the_current_line_and_what_is_measured(shop: SmallShop, width: int) -> None:
    bench = shop.bench()
    logged(bench, "59.75")
    bench.goto("F2")
    lines = fits(whole(text.worklist(bench, width, 10)), width)
    assert lines[0] == "1 of 4 measured"
    marks = {line[2:].split()[1 if line[1] == " " else 0]: line[:2] for line in lines[1:]}
    assert marks["F1"] == " ✓" and marks["F2"] == "▶·"
    assert next(line for line in lines if "F1" in line).rstrip().endswith("59.75")
    blind = "\n".join(fits(whole(text.worklist(bench, width, 10, blind=True)), width))
    assert "✓" not in blind and "59.75" not in blind and "•" in blind
    assert len(fits(whole(text.worklist(bench, width, 3)), width)) == 3 and "▶" in str(
        whole(text.worklist(bench, width, 3))
    )


@pytest.mark.parametrize("width", [80, 160])
def test_the_feature_to_measure_shows_its_size_only_where_it_may(shop: SmallShop, width: int) -> None:
    bench = shop.bench()
    bench.goto("F1")
    lines = fits(text.now(bench, width, False, []), width)
    assert lines[0].startswith("F1  passage width, along Y") and lines[0].endswith("of 4")
    assert lines[1].startswith("the size wanted stays hidden") and "59.59" not in "".join(lines)
    shown = str(text.now(bench, width, True, [59.7]))
    assert "59.59" in shown and "┬" in shown and max(map(len, shown.splitlines()[2:])) <= width


@pytest.mark.parametrize("width", [80, 160])
def test_the_last_line_stands_big_with_its_verdict_and_the_cut(shop: SmallShop, width: int) -> None:
    done = logged(shop.bench(), "59.75")
    lines = fits(text.last(done, width), width)
    assert lines[0] == "last: F1 passage width"
    assert [line[: len(row)] for line, row in zip(lines[1:4], big_digits("59.75"), strict=True)] == big_digits("59.75")
    assert "✓ CONFORMS" in lines[1] and "within limits: " in lines[2] and " mm (k " in lines[3]
    assert any(line.startswith("cut 0.16") for line in lines)
    assert any(line.startswith("the casting will be 59.16 ± ") for line in lines)
    taken_back = fits(text.last(done, width, voided=True), width)
    assert "taken back" in taken_back[1] and len(taken_back) == 4 and "CONFORMS" not in "".join(taken_back)


@pytest.mark.parametrize("style", [Style(), Style("in"), Style("fraction")], ids=lambda style: style.unit)
@pytest.mark.parametrize("typed, said", [("59.66", "✓ CONFORMS"), ("141.12", "✗ DOES NOT CONFORM")])
def test_the_verdict_is_whole_beside_the_size_however_narrow(
    shop: SmallShop, typed: str, said: str, style: Style
) -> None:
    bench = shop.bench()
    bench.goto("F1")
    done = bench.take(typed)
    done = done if isinstance(done, Logged) else bench.keep_pending()
    assert done is not None
    for width in range(37, 90):
        beside = str(text.last(done.in_style(style), width, style=style)).splitlines()[1:4]
        assert said in beside[0] and max(map(len, beside)) <= width, beside


@pytest.mark.parametrize("width", [80, 160])
def test_earlier_readings_are_the_newest_first_and_a_struck_one_says_so(shop: SmallShop, width: int) -> None:
    bench = shop.bench()
    task = bench.tasks[0]
    assert str(text.recent([], task, width, 5, TODAY)) == "not measured on this yet\n"
    for typed in ("59.70", "59.71", "59.72"):
        done = logged(bench, typed)
    bench.void_last()
    key = bench.subject.key
    rows = list(shop.record.readings(tool_of_id=key, newest_first=True))
    lines = fits(text.recent(rows, done.task, width, 2, TODAY), width)
    assert [line.split()[0] for line in lines] == ["59.72", "59.71"]
    assert "void: " in lines[0] and "void" not in lines[1] and "AB  caliper 1" in lines[1]


@pytest.mark.parametrize("width", [40, 80, 160])
def test_the_shares_of_the_budget_make_the_whole(shop: SmallShop, width: int) -> None:
    head, *lines = fits(text.budget_table(logged(shop.bench(), "59.75"), width), width)
    assert head == "where U comes from" and len(lines) > 1
    if width >= 80:
        shares = [float(line.split(" %")[0].split()[-1]) for line in lines]
        assert sum(shares) == pytest.approx(100.0, abs=0.5 * len(shares))


def test_a_gauge_that_is_not_to_be_used_is_marked_in_the_head_and_beside_what_it_read(shop: SmallShop) -> None:
    bench = shop.bench()
    done = logged(bench, "59.60")
    assert bench.means is not None
    bench.means = replace(bench.means, failed="failed its check of 2026-03-09")
    assert "✗ caliper 1  U 0.04 mm FAILED" in str(text.header(bench, 120))
    bench.means = replace(bench.means, out_of_use="is out of use since 2026-03-09")
    assert "✗ caliper 1  U 0.04 mm OUT OF USE" in str(text.header(bench, 120))
    readings = bench.readings_of(done.task)
    marked = str(text.recent(readings, done.task, 80, 8, TODAY, bad={readings[0].id}))
    assert "AB ✗caliper 1" in marked and "✗" not in str(text.recent(readings, done.task, 80, 8, TODAY))


def test_a_protractor_says_its_u_in_degrees(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.set_instrument(shop.record.add(Instrument(label="protractor", unit="deg", kind="other")))
    assert str(text.header(bench, 120)).endswith("protractor  U 0.1 deg ")


def test_no_limits_and_repeats_in_question_are_said_so(shop: SmallShop) -> None:
    bench = shop.bench()
    free = replace(bench.tasks[0].sizes, band=Band(None, None, "none stated"))
    bench.tasks[0] = replace(bench.tasks[0], sizes=free)
    done = logged(bench, f"{free.target:.2f}", free.feature.balloon)
    said = str(text.last(done, 80))
    assert "○ NO LIMITS" in said and "nothing to judge it by" in said and "within limits" not in said
    assert "○" in str(whole(text.worklist(bench, 40, 10)))
    bench.goto("F3")
    bench.take("212.10 212.35")
    kept = bench.keep_pending()
    assert kept is not None
    said = str(text.last(kept, 80))
    assert "! IN QUESTION" in said and "measure it again" in said and " U " not in said
    assert "◆" not in said and "·" in said and "casting" not in said  # each reading in the band, and no mean


def test_earlier_readings_say_what_was_asked_and_the_newest_note(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F3")
    bench.take("212.10 212.35")
    kept = bench.take("")
    assert isinstance(kept, Logged)
    for words in ("burr on the edge", "burr ground off"):
        shop.record.add(Note(about_kind=kinds.READING.number, about_id=kept.readings[-1].id, text=words), shop.ab.id)
    last, first = str(text.recent(bench.readings_of(kept.task), kept.task, 100, 8, TODAY)).splitlines()
    assert last.endswith("  asked, kept  burr ground off") and "212.35" in last
    assert first.endswith("  asked, kept") and "212.10" in first
    plain = logged(bench, "59.70", "F1")
    assert "asked" not in str(text.recent(bench.readings_of(plain.task), plain.task, 100, 8, TODAY))


def test_a_size_that_nobody_knows_is_shown_as_read_and_against_nothing(tmp_path: Path) -> None:
    with Record.open(tmp_path / "s.db", create=True) as record:
        job, _ = named(record)
        subject = find.subject(record, job, "casting 17")
        bench = Bench(record, job, subject, record.people()[0], record.instruments()[0], today=TODAY)
        bench.goto("S2")
        shown = str(text.now(bench, 80, True, []))
        assert "nobody knows this size yet: it is what you read" in shown and "0.00" not in shown
        done = bench.take("620.4")
        assert isinstance(done, Logged)
        said = str(text.last(done, 80))
        assert "○ NO LIMITS" in said and "┬" not in said
        (row,) = [r for r in listing.rows(record, job, subject) if r["feature"] == "S2"]
        assert (row["nominal"], row["as_cast"], row["target"], row["last"]) == (None, None, None, 620.4)
