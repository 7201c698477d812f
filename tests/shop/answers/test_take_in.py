"""What comes in from the foundry: sand cores with their readings, answers and pictures; once; and out again as a whole."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from inspect_tui.record import kinds
from inspect_tui.record.chain.verify import verify
from inspect_tui.shop.answers import sand_cores, take_in
from inspect_tui.shop.answers.check import AnswerOptions
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.common import find
from inspect_tui.shop.intake.rows import ImportRefused
from tests.shop.answers.conftest import BY, FILLED, as_file, brought, checked, filled, guide, saved
from tests.worlds.kit_jobs import Kit


def held(kit: Kit) -> dict[str, tuple[int, list[str]]]:
    """Sand cores with the number of their readings and what was said of them."""
    return {s.item.serial: (s.readings, [a.what for a in s.said]) for s in sand_cores.listed(kit.record, kit.job)}


def test_nothing_becomes_a_castings_reading(kit: Kit, tmp_path: Path) -> None:
    brought(kit, saved(tmp_path / "a.csv", filled(kit, FILLED)))
    brought(kit, as_file(tmp_path / "b.json", guide(kit)), AnswerOptions(keep=True))
    items = {item.id: item.kind for item in kit.record.items(kit.job.of_id)}
    read = [logged.reading for logged in kit.record.readings()]
    assert read and {items[r.item_id] for r in read if r.item_id} == {"core"} and not [r for r in read if r.tool_id]
    assert kit.record.taken([id_ for id_, kind in items.items() if kind == "casting"]) == []
    assert {logged.setup.on_date for logged in kit.record.readings()} == {"2026-11-18"}
    casting = next(item for item in kit.record.items(kit.job.of_id) if item.serial == "S4-1")
    (first, *_) = (s.item for s in sand_cores.listed(kit.record, kit.job))
    assert first.lot_id == casting.lot_id
    assert verify(kit.record._con).ok


def test_read_twice_it_adds_only_what_is_new(kit: Kit, tmp_path: Path) -> None:
    brought(kit, saved(tmp_path / "a.csv", filled(kit, FILLED)))
    with pytest.raises(ImportRefused, match="is in the record already"):
        brought(kit, tmp_path / "a.csv")
    more = saved(tmp_path / "b.csv", filled(kit, FILLED | {(2, "K2-P"): "40.02", (1, "L"): "60.71"}))
    seen = brought(kit, more)
    assert (len(seen.readings), len(seen.said), seen.already) == (2, 0, 3)
    assert seen.sentence == "2 sizes of 2 sand cores, job TK-1; 3 things are there already"
    assert held(kit) == {"S4-1-C1": (3, ["throat (T-1)", "rubbed, forced, broken?"]), "S4-1-C2": (1, [])}
    again = brought(kit, as_file(tmp_path / "g.json", guide(kit)))
    assert len(again.pictures) == 1
    with pytest.raises(ImportRefused):
        brought(kit, as_file(tmp_path / "g2.json", guide(kit, rev="A ")))


def test_a_size_that_was_read_twice_more_counts_once_more(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, {(1, "W"): "101.0"})
    brought(kit, saved(tmp_path / "a.csv", rows))
    again = brought(kit, saved(tmp_path / "b.csv", [*rows, rows[2]]))
    assert (len(again.readings), again.already) == (1, 1)
    twice = checked(kit, saved(tmp_path / "c.csv", [*rows, rows[2], rows[2] | {"read_mm": "101.1"}]))
    assert [(r.value, r.rep) for r in twice.readings] == [(101.1, 1)]


def test_pictures_stand_at_their_sand_core_and_those_of_the_mould_at_the_job(kit: Kit, tmp_path: Path) -> None:
    document = guide(kit)
    closing = {"pictures": [document["steps"][0]["pictures"][0] | {"caption": ""}]}
    brought(kit, as_file(tmp_path / "g.json", guide(kit, closing=closing)))
    item = next(item for item in kit.record.items(kit.job.of_id) if item.serial == "S4-1-C1")
    shown = kit.record.pictures([item.id, kit.job.of_id])
    assert [(p.use.caption, p.use.about_kind) for p in shown[item.id]] == [("rubbed", kinds.ITEM.number)]
    assert [p.use.caption for p in shown[kit.job.of_id]] == ["S4-1"]
    assert len(kit.record.attachments()) == 1  # the same picture is stored once
    assert held(kit)["S4-1-C2"] == (0, ["core set"])


def test_all_of_it_goes_and_comes_back(kit: Kit, tmp_path: Path) -> None:
    brought(kit, saved(tmp_path / "a.csv", filled(kit, {(1, "W"): "101.0"})))
    before = held(kit)
    brought(kit, as_file(tmp_path / "g.json", guide(kit)))
    with_guide = held(kit)
    person = find.person(kit.record, "TK")
    thing = things.named(kit.record, things.sort_of("import"), "g.json", kit.job)
    assert withdraw.depends(kit.record, thing) == (
        "2 readings: they stay in the record and count no longer",
        "1 casting or sand core that came with it: out too",
        "1 picture that came with it: out too",
        "7 answers that came with it: out too",
    )
    withdraw.withdraw(kit.record, thing, "of another foundry", person)
    assert held(kit) == before
    item = next(item for item in kit.record.items(kit.job.of_id) if item.serial == "S4-1-C1")
    assert kit.record.pictures([item.id]).get(item.id, []) == []
    withdraw.back(kit.record, thing, "ours", person)
    assert held(kit) == with_guide and len(kit.record.pictures([item.id])[item.id]) == 1


def test_the_order_of_lines_and_columns_changes_nothing(kit: Kit, tmp_path: Path) -> None:
    draw = Random(3)
    rows = filled(kit, FILLED)
    wanted = checked(kit, saved(tmp_path / "a.csv", rows))
    for n in range(6):
        heads = draw.sample(list(rows[0]), len(rows[0]))
        mixed = [{head: row[head] for head in heads} for row in draw.sample(rows, len(rows))]
        seen = checked(kit, saved(tmp_path / f"{n}.csv", mixed, draw.choice(",;\t")))
        assert seen.asked == ()
        assert {(r.serial, r.feature.balloon, r.value) for r in seen.readings} == {
            (r.serial, r.feature.balloon, r.value) for r in wanted.readings
        }
        assert {(s, a.what, a.value, a.words) for s, a in seen.said} == {
            (s, a.what, a.value, a.words) for s, a in wanted.said
        }
    take_in.write(kit.record, wanted)
    assert checked(kit, tmp_path / "0.csv", BY).nothing_new
