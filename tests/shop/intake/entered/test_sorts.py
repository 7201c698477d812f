"""Every table of `import`: what its lines become in the record, and that the same lines are not taken twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import show
from inspect_tui.model.signed import Geometry
from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.shop.gauges import checks
from inspect_tui.shop.intake.entered import sorts
from tests.conftest import SmallShop
from tests.shop.intake.entered.test_table import bring

TABLES = {
    "repairs": "tool;done\nbox 1;lined\n",
    "states": "tool;state;day;why\nbox 1;retired;2026-03-01;split\nbox 1;revived;2026-03-05;mended\n",
    "limits": "tool;feature;lower;upper;why\nbox 1;F2;40;41;agreed\n",
    "weights": "casting;weight;U\nC1;41.35;0.05\ncasting C2;850 g;\n",
    "walls": "wall area;density;why\n1.85;7.2 g/cm3;the model\n",
    "checks": "gauge;day;person;piece;size;U;reading\ncaliper 1;2026-03-01;;block;50;0.001;50.01\n"
    "caliper 1;2026-03-02;AB;block;50;0.001;50.03\ncaliper 1;2026-03-01;AB;block;50;0.001;50.02\n",
    "biases": "gauge;bias;u;from;to;why\ncaliper 1;+0.05;0.01;2026-01-01;2026-01-31;block\n",
    "uses": "gauge;state;since;why\ncaliper 1;out;2026-03-01;bent\ncaliper 1;back;2026-03-03;mended\n",
    "profiles": "gauge;prefix;end;foot\ncaliper 1;01A;tab;f13=log f14=retry\n",
    "notes": "on;feature;note\nstick 1;F1;smooth\nstick 1;;as new\nC1;;porous\njob;;weighted\n",
    "shipments": "day;way;to;what;count;loose pieces;condition;why\n2026-03-01;out;Foundry;box 1;;2;clean;late\n"
    "2026-03-01;out;Foundry;a crate;3;;;late\n2026-03-05;back;Foundry;box 1;;1;wet;\n",
    "cannot": "casting;feature;why\nC1;F2;core in\n;F1;no reach\n",
    "turned": "casting;pivot;slope;u;why\nC1;10;-0.5;0.1;A2 ground\n",
    "dispositions": "feature;casting;decision;until;quantity;why;day\nF1;C2;scrap;;;too wide;2026-03-01\n"
    "F1;;concession;2999-01-01;2;fits;2026-03-02\n",
    "looks": "geometry;casting;accepted;how;day\nG1;C1;yes;square;2026-03-01\nG1;C2;no;square;2026-03-01\n",
}


@pytest.fixture
def furnished(shop: SmallShop) -> SmallShop:
    job = shop.record.job("SV-12")
    put_right.open_round(shop.record, job, "S1", ["C1", "C2"], by=shop.ab.id)
    shop.record.add(Geometry(job_of_id=job.of_id, balloon="G1", name="face", what="perpendicularity", tolerance_mm=0.5))
    casting = shop.bench("casting C2")
    casting.goto("F1")
    casting.take("75.3")
    casting.keep_pending()
    bench = shop.bench("stick 1")
    bench.goto("F1")
    bench.take("59.66")
    bench.keep_pending()
    return shop


@pytest.mark.parametrize("word", TABLES)
def test_each_table_comes_in_once(furnished: SmallShop, tmp_path: Path, word: str) -> None:
    made = bring(furnished, tmp_path, word, TABLES[word], keep=True)
    assert (made.wrong, made.already) == ((), 0) and made.lines == TABLES[word].count("\n") - 1
    before = furnished.record.heads()
    again = bring(furnished, tmp_path, word, TABLES[word])
    assert (again.lines, again.already, again.wrong) == (0, made.lines, ())
    assert furnished.record.heads() == before and furnished.record.verify().ok


def test_there_is_an_example_of_every_table() -> None:
    assert list(TABLES) == [sort.word for sort in sorts.SORTS]
    with pytest.raises(NotFound, match="no table of screws"):
        sorts.sort_of("screws")


def test_lines_become_what_the_forms_write(furnished: SmallShop, tmp_path: Path) -> None:
    record = furnished.record
    job = record.job("SV-12")
    for word, text in TABLES.items():
        assert bring(furnished, tmp_path, word, text, keep=True).wrong == ()
    box = next(tool for tool in record.tools(job.of_id) if tool.label == "box 1")
    one, two = (item for item in record.items(job.of_id) if item.kind == "casting" and item.serial in ("C1", "C2"))
    assert [(state.state, state.why) for state in record.tool_states()[box.of_id]] == [
        ("retired", "split"),
        ("revived", "mended"),
    ]
    (limit,) = record.wear_limits(box.of_id)
    assert (limit.lower, limit.upper) == (40.0, 41.0)
    kept = record.item_weights(job.of_id)
    assert (kept[one.id].weight_kg, kept[one.id].u95_kg, kept[two.id].weight_kg) == (41.35, 0.05, 0.85)
    area = record.wall_area(job.of_id)
    assert area is not None and (area.area_m2, round(area.density), area.why) == (1.85, 7200, "the model")
    checks = record.gauge_checks(furnished.caliper.of_id)
    assert [(c.setup.on_date, c.check.value, c.by) for c in checks] == [
        ("2026-03-01", 50.01, "AB"),
        ("2026-03-01", 50.02, "AB"),
        ("2026-03-02", 50.03, "AB"),
    ]
    assert len({c.setup.session_id for c in checks}) == 2  # a stay a day
    assert [c.at_us for c in checks] == sorted(c.at_us for c in checks) and checks[0].at_us < checks[2].at_us
    (bias,) = record.biases(furnished.caliper.of_id)
    assert (bias.bias_mm, bias.u_mm, bias.from_on, bias.to_on) == (0.05, 0.01, "2026-01-01", "2026-01-31")
    assert [use.state for use in record.instrument_states(furnished.caliper.of_id)] == ["out_of_use", "in_use"]
    assert [(note.about, note.text) for note in record.every_note()] == [
        ("reading", "smooth"),
        ("tool", "as new"),
        ("item", "porous"),
        ("job", "weighted"),
    ]
    (out, sent), (back, came) = record.shipments(job.of_id)
    assert (out.way, out.to_whom, out.why_open, back.out_id) == ("out", "Foundry", "late", out.id)
    assert [(x.what, x.count, x.loose_pieces, x.tool_of_id == box.of_id) for x in sent] == [
        ("box 1", 1, 2, True),
        ("a crate", 3, None, False),
    ]
    assert (came[0].loose_pieces, came[0].condition) == (1, "wet")
    assert {(mark.reason, mark.item_id) for mark in record.not_measurable(job.of_id)} == {
        ("core in", one.id),
        ("no reach", None),
    }
    (turn,) = record.realigned([one.id])[one.id]
    assert (turn.axis, turn.along, turn.pivot_mm, turn.slope, turn.u_slope) == ("z", "x", 10.0, -0.001, 0.0002)


@pytest.mark.parametrize(
    ("word", "text", "why"),
    [
        ("states", "tool;state\nbox 1;revived\n", "only a retired tool is revived"),
        ("weights", "casting;weight\nbox 1;4\n", "no casting 'box 1'"),
        ("weights", "casting;weight;U\nC1;4;5\n", "what the scale may be off by"),
        ("weights", "casting;weight\nC1;heavy\n", "weight: "),
        ("checks", "gauge;size;reading\ncaliper 1;900;900\n", "outside the range"),
        ("checks", "gauge;size;reading\ncaliper 1;50;about\n", "reading: "),
        ("biases", "gauge;bias;from;why\ncaliper 1;0;2026-01-01;x\n", "0 changes nothing"),
        ("biases", "gauge;bias;from;to;why\ncaliper 1;0.1;2026-02-01;2026-01-01;x\n", "cannot end"),
        ("uses", "gauge;state;why\ncaliper 1;gone;x\n", "state: "),
        ("notes", "on;feature;note\nstick 1;F3;x\n", "was not read on stick 1|is not"),
        ("turned", "casting;axis;along;pivot;slope;why\nC1;x;x;0;1;y\n", "another axis"),
    ],
)
def test_what_is_wrong_in_a_line_is_said_as_its_form_says_it(
    furnished: SmallShop, tmp_path: Path, word: str, text: str, why: str
) -> None:
    import re

    (wrong,) = bring(furnished, tmp_path, word, text).wrong
    assert re.search(why, wrong), wrong


def test_a_shipment_has_one_condition_and_each_thing_its_own(furnished: SmallShop, tmp_path: Path) -> None:
    text = "day;to;what;condition;overall\n2026-03-01;Foundry;box 1 with 2 loose pieces;dressed;dry\n2026-03-01;Foundry;sheet;;dry\n"
    bring(furnished, tmp_path, "shipments", text)
    ((sent, (box, sheet)),) = furnished.record.shipments(furnished.record.job("SV-12").of_id)
    assert (sent.condition, box.condition, sheet.condition) == ("dry", "dressed", None)
    assert box.tool_of_id is not None and sheet.tool_of_id is None
    assert bring(furnished, tmp_path, "shipments", text).already == 2


def test_a_second_wall_area_takes_the_place_of_the_first(furnished: SmallShop, tmp_path: Path) -> None:
    bring(furnished, tmp_path, "walls", "area\n1.85\n")
    first = furnished.record.wall_area(furnished.record.job("SV-12").of_id)
    bring(furnished, tmp_path, "walls", "area\n1.95\n")
    second = furnished.record.wall_area(furnished.record.job("SV-12").of_id)
    assert first is not None and second is not None
    assert second == replace(first, id=second.id, replaces_id=first.id, area_m2=1.95)


def test_a_check_that_was_read_here_today_is_not_taken_again_from_a_table(furnished: SmallShop, tmp_path: Path) -> None:
    piece = checks.read_piece(furnished.caliper, "block", "50", "0.001")
    assert isinstance(piece, checks.Piece)
    checks.QuickCheck(furnished.record, furnished.ab, furnished.caliper, piece).take("50.01")
    (logged,) = furnished.record.gauge_checks(furnished.caliper.of_id)
    day = show.day_of(logged.at_us, logged.tz_min)
    text = (
        f"gauge;day;piece;size;U;reading\ncaliper 1;{day};block;50;0.001;50.01\ncaliper 1;{day};block;50;0.001;50.02\n"
    )
    made = bring(furnished, tmp_path, "checks", text, today=day)
    assert (made.lines, made.already) == (1, 1)
