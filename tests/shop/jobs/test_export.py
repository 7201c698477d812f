"""The rows of an export say what the Bench and First article say of the same readings, and leave nothing out."""

from __future__ import annotations

import shutil
import tracemalloc
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Note, Reading, Supersede
from inspect_tui.model.work import Item, Lot
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.read import Reader
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import rounds
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import export, jobs
from inspect_tui.shop.jobs.export_columns import COLUMNS, NAMES
from tests.conftest import SmallShop
from tests.worlds.worn_box import WornBox


def exported(path: Path) -> list[dict[str, Any]]:
    """Every row by column name."""
    with Reader.of(path) as reader, reader.one_state():
        return [dict(zip(NAMES, row, strict=True)) for row in export.rows(reader)]


def logged(bench: Bench, text: str, on: str = "F1") -> Logged:
    """What the Bench says to one line; a question about a slip is answered with what was typed."""
    bench.goto(on)
    outcome = bench.take(text)
    outcome = outcome if isinstance(outcome, Logged) else bench.keep_pending()
    assert isinstance(outcome, Logged)
    return outcome


def test_every_column_is_named_once_and_explained() -> None:
    assert len(set(NAMES)) == len(NAMES)
    assert all(column.meaning and column.meaning.rstrip(". ") for column in COLUMNS)
    assert {column.kind for column in COLUMNS} <= {"text", "integer", "number", "yes/no", "day", "time"}


def test_a_reading_on_a_warm_tool_is_corrected_and_judged_as_at_the_bench(shop: SmallShop) -> None:
    (box,) = (t for t in shop.record.tools(find.job(shop.record, "SV-12").of_id) if t.label == "box 1")
    shop.record.add(replace(box, id=b"", replaces_id=box.id, expansion_per_c=22e-6), by=shop.ab.id)
    bench = shop.bench("box 1")
    bench.set_conditions(31.0, instrument_c=24.0)
    told = logged(bench, "59.78").judged
    (row,) = exported(shop.path)
    assert told.value != told.values[0]
    assert row["as_read"] == 59.78
    assert row["corrected"] == pytest.approx(told.value, abs=1e-12)
    assert row["u"] == pytest.approx(told.budget.u, rel=1e-12)
    assert row["line_u95"] == pytest.approx(told.budget.U, rel=1e-12)
    assert (row["verdict"], row["p_conform"]) == (told.verdict.answer.value, pytest.approx(told.verdict.p_conform))
    assert (row["target"], row["lower"], row["upper"]) == (
        told.sizes.target,
        told.sizes.band.lower,
        told.sizes.band.upper,
    )
    assert row["deviation"] == pytest.approx(told.value - told.sizes.target)
    assert (row["work_c"], row["gauge_c"]) == (31.0, 24.0)
    assert "to 20 °C" in row["correction"]


def test_repeats_of_a_line_share_its_verdict_and_keep_their_own_uncertainty(shop: SmallShop) -> None:
    told = logged(shop.bench(), "59.60 59.64 59.55").judged
    rows = exported(shop.path)
    assert [row["repeat"] for row in rows] == [1, 2, 3]
    assert {row["line"] for row in rows} == {rows[0]["id"]}
    assert [row["corrected"] for row in rows] == [59.60, 59.64, 59.55]
    for row in rows:
        assert row["line_mean"] == pytest.approx(told.value)
        assert row["line_u"] == pytest.approx(told.budget.u)
        assert row["verdict"] == told.verdict.answer.value
        assert row["line_n"] == 3
        assert row["u"] != pytest.approx(told.budget.u, rel=1e-6)


def test_one_line_after_another_is_another_line(shop: SmallShop) -> None:
    bench = shop.bench()
    logged(bench, "59.60 59.64")
    logged(bench, "59.61")
    assert [row["line_n"] for row in exported(shop.path)] == [2, 2, 1]


def test_what_was_struck_stands_there_with_who_and_why_and_no_verdict(shop: SmallShop) -> None:
    bench = shop.bench()
    first, second = logged(bench, "59.60 59.90").readings
    shop.record.add(Supersede(target_id=second.id, reason="misread", why="the jaw stood on a burr"), by=shop.ab.id)
    shop.record.add(
        Note(about_kind=kind_of(Reading).number, about_id=second.id, text="=burr, seen by AB"), by=shop.ab.id
    )
    kept, struck = exported(shop.path)
    assert (kept["counts"], kept["state"], kept["line_n"], kept["line_mean"]) == (True, "counts", 1, 59.60)
    assert kept["verdict"] == "conforms"
    assert (struck["counts"], struck["state"], struck["verdict"]) == (False, "struck", None)
    assert (struck["struck_reason"], struck["struck_why"], struck["struck_by"]) == (
        "misread",
        "the jaw stood on a burr",
        "AB",
    )
    assert struck["as_read"] == 59.90 and struck["u"] > 0
    assert struck["note"] == "=burr, seen by AB"
    assert first.id.hex() == kept["id"].replace("-", "")


def test_a_typing_error_that_was_put_right_is_what_a_row_is_judged_by(shop: SmallShop) -> None:
    logged(shop.bench(), "214.12", "F3")
    logged(shop.bench(), "40.45", "F2")
    job = find.job(shop.record, None)
    f3 = next(t.feature for t in shop.bench().tasks if t.feature.balloon == "F3")
    before = exported(shop.path)
    assert [row["verdict"] for row in before] == ["does not conform", "conforms"]
    jobs.correct(shop.record, job, [replace(f3, nominal=212.0, lower=211.2, upper=212.8)], "212 read as 210")
    right, other = exported(shop.path)
    assert (right["verdict"], right["revision"], right["nominal"]) == ("conforms", "A", 212.0)
    assert right["target"] == pytest.approx(212.0 * 1.01) and right["deviation"] == pytest.approx(0.0, abs=1e-9)
    assert other == before[1]
    jobs.revise(shop.record, job, "B", [replace(f3, nominal=213.0, lower=212.2, upper=213.8)])
    assert exported(shop.path) == [right, other]  # a changed drawing leaves verdicts on the old one


def test_stock_that_was_typed_wrong_moves_the_target_of_a_row(shop: SmallShop) -> None:
    logged(shop.bench("drag pattern"), "246.44", "F4")
    job = find.job(shop.record, None)
    (before,) = exported(shop.path)
    f4 = next(t.feature for t in shop.bench("drag pattern").tasks if t.feature.balloon == "F4")
    ends = tuple(replace(end, stock_mm=end.stock_mm and end.stock_mm + 1.0) for end in f4.ends)
    jobs.correct(shop.record, job, [replace(f4, ends=ends)], "4 mm of stock, not 3")
    (right,) = exported(shop.path)
    now = next(t for t in shop.bench("drag pattern").tasks if t.feature.balloon == "F4")
    assert right["target"] == pytest.approx(now.sizes.target) and now.state == right["verdict"]
    assert abs(right["target"] - before["target"]) > 0.9


def test_a_sand_core_is_judged_at_tooling_scale_whatever_edition_it_was_read_on(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    core = shop.record.cores(job.of_id)[0]
    shop.record.add(Item(job_of_id=job.of_id, kind="core", serial="K1", core_id=core.id))
    logged(shop.bench("core K1"), "40.45", "F2")
    (before,) = exported(shop.path)
    assert before["target"] == pytest.approx(40.0 * 1.01)
    jobs.revise(shop.record, job, "B", [])
    assert exported(shop.path) == [before]


def test_a_reading_typed_again_names_the_one_it_took_the_place_of(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("95.59")
    bench.take("59.59")
    old, new = exported(shop.path)
    assert (old["state"], old["asked"], old["replaced_by"]) == ("struck", "asked_retyped", new["id"])
    assert (new["state"], new["replaces"]) == ("counts", old["id"])


def test_answers_of_two_benches_that_differ_are_contested(shop: SmallShop) -> None:
    bench = shop.bench()
    old, mine, theirs = (logged(bench, text).readings[0] for text in ("59.66", "59.60", "59.63"))
    shop.record.supersede(old.id, "misread", "mine", mine.id, shop.ab.id)

    def put(tx: Any) -> Any:  # as it comes in from a bench that did not know of the other answer
        tx._settled = lambda supersede: None
        return tx.put(Supersede(target_id=old.id, replacement_id=theirs.id, reason="misread", why="theirs"), shop.ab.id)

    shop.record._write(put, ())
    rows = exported(shop.path)
    assert [(row["counts"], row["state"], row["verdict"]) for row in rows] == [(False, "contested", None)] * 3


def test_a_known_bias_is_stated_widens_u_and_is_not_taken_off(shop: SmallShop) -> None:
    logged(shop.bench(), "59.60")
    (before,) = exported(shop.path)
    shop.record.add(
        InstrumentBias(
            instrument_of_id=shop.caliper.of_id,
            bias_mm=0.06,
            u_mm=0.01,
            from_on="2020-01-01",
            found_from="a check",
            why="checked",
        ),
        by=shop.ab.id,
    )
    (row,) = exported(shop.path)
    assert before["known_bias"] is None and row["known_bias"] == 0.06
    assert row["as_read"] == 59.60
    assert row["corrected"] == pytest.approx(59.54)  # it reads 0.06 high: 59.60 - 0.06
    assert row["u"] == pytest.approx((before["u"] ** 2 + 0.01**2) ** 0.5)


def test_the_count_is_what_trends_counts(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    lots = [
        shop.record.add(Lot(job_of_id=job.of_id, label=label, poured_on=day, quantity=40, heat=f"H{label}"))
        for label, day in (("L1", "2026-01-10"), ("L2", "2026-01-10"))  # one day: which lot is told apart
    ]
    for lot in lots:
        shop.record.add(Item(job_of_id=job.of_id, kind="casting", serial=f"{lot.label}-1", lot_id=lot.id))
    for serial in ("L1-1", "L2-1"):
        logged(shop.bench(f"casting {serial}"), "62.1")
    rows = exported(shop.path)
    assert [(row["serial"], row["lot"], row["heat"], row["poured_on"]) for row in rows] == [
        ("L1-1", "L1", "HL1", "2026-01-10"),
        ("L2-1", "L2", "HL2", "2026-01-10"),
    ]
    assert [(row["count"], row["count_of"]) for row in rows] == [(40, "castings"), (80, "castings")]
    assert {row["measured_on"] for row in rows} == {"casting"}


def test_counts_on_tools_and_sand_cores_are_those_of_the_trend(tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "worn.db")
    worn.wear(6)
    worn.lot("L1", worn.go("2024-02-01"))
    for value in (80.9, 80.8):
        worn.item(value, "W", "core", "L1")
    trend = worn.trend()
    tracks = [trend.main, *trend.others]
    counted = {uuid_text(i): c for t in tracks for i, c in zip(t.ids, t.count, strict=True)}
    worn.record.close()
    rows = exported(tmp_path / "worn.db")
    assert {row["measured_on"] for row in rows} == {"tool", "sand core"}
    assert {row["id"]: row["count"] for row in rows} == pytest.approx(counted)
    assert {row["count_of"] for row in rows} == {"cores of box 1"}


def test_a_sand_core_is_judged_by_its_box(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    (core,) = shop.record.cores(job.of_id)
    shop.record.add(Item(job_of_id=job.of_id, kind="core", serial="K1", core_id=core.id))
    told = logged(shop.bench("core K1"), "59.60").judged
    (row,) = exported(shop.path)
    assert (row["measured_on"], row["serial"], row["core"], row["tool"]) == ("sand core", "K1", 1, None)
    assert (row["target"], row["verdict"]) == (told.sizes.target, told.verdict.answer.value)
    assert row["target"] == pytest.approx(59.59)  # 59 as cast at 1 %: not the casting's own 59


def test_castings_are_judged_and_doubted_as_at_first_article(sampled: Path) -> None:
    rows = exported(sampled)
    on_castings = {(row["job"], row["serial"], row["feature"]): row for row in rows if row["measured_on"] == "casting"}
    doubted = 0
    with Reader.of(sampled) as reader:
        for job in reader.jobs():
            for round_ in rounds(reader, job):
                sampling = Sampling(reader, job, round_)
                for item in sampling.castings:
                    for feature in sampling.features:
                        taken = sampling.taken(feature, item)
                        if len(taken) != 1:
                            continue
                        cell = sampling.cell(feature, item)
                        row = on_castings[job.number, item.serial, feature.balloon]
                        assert (row["verdict"], row["line_mean"], row["line_u"]) == (cell.answer, cell.value, cell.u)
                        assert row["in_question"] == cell.question
                        doubted += cell.question is not None
    assert doubted > 3


def test_every_reading_of_the_record_is_there_once(sampled: Path) -> None:
    rows = exported(sampled)
    with Reader.of(sampled) as reader:
        assert len(rows) == reader.counts()["reading"]
    ids = [row["id"] for row in rows]
    assert ids == sorted(set(ids))


def test_pages_do_not_part_a_line(shop: SmallShop) -> None:
    logged(shop.bench(), "59.60 59.64 59.55 59.61")
    with Reader.of(shop.path) as reader:
        flat = [one for page in reader.every_reading(page=3) for one in page]
        assert [len(line) for line in export.lines(flat)] == [4]
        assert [len(page) for page in reader.every_reading(page=3)] == [3, 1]


def test_a_long_record_is_not_held_in_memory(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Six times the readings take no more memory: pages are let go."""
    monkeypatch.setattr("inspect_tui.record.ask.export.PAGE", 50)
    bench = shop.bench()
    logged(bench, " ".join(["59.60"] * 12))
    first = logged(bench, "59.61").readings[0]

    def grow(n: int) -> None:
        shop.record.add_all(
            [
                Reading(
                    setup_id=first.setup_id,
                    feature_id=first.feature_id,
                    tool_id=first.tool_id,
                    tool_feature_id=first.tool_feature_id,
                    value=59.6,
                    typed="59.6",
                )
                for _ in range(n)
            ],
            by=shop.ab.id,
        )

    def peak() -> int:
        with Reader.of(shop.path) as reader, reader.one_state():
            next(export.rows(reader))
            tracemalloc.start()
            sum(1 for _ in export.rows(reader))
            peak_bytes = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
        return peak_bytes

    grow(250)
    short = peak()
    grow(1250)
    assert peak() < 2.0 * short  # what is held of 1250 readings would be a megabyte


def test_repeats_that_disagree_are_in_question_in_every_row_until_somebody_kept_them(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60 59.95")
    bench.keep_pending()
    rows = exported(shop.path)
    assert {row["verdict"] for row in rows} == {"in question"}
    assert {row["p_conform"] for row in rows} == {None}
    assert all("59.60 and 59.95 lie 0.35 mm apart" in row["in_question"] for row in rows)
    bench.goto("F1")
    bench.take("59.60 59.95")
    bench.take("")
    assert {row["in_question"] for row in exported(shop.path)[2:]} == {None}


def test_a_machined_casting_has_rows_judged_by_the_drawing(shop: SmallShop) -> None:
    jobs.add_casting(shop.record, find.job(shop.record, "SV-12"), "C1")
    bench = shop.bench("casting C1")
    raw = logged(bench, "59.00").judged
    bench.set_state("finished")
    done = logged(bench, "62.10").judged
    bench = shop.bench()
    logged(bench, "59.60")
    asked = ("serial", "casting_state", "nominal", "target", "lower", "upper", "deviation", "verdict", "u")
    assert [tuple(row[name] for name in asked) for row in exported(shop.path)] == [
        (
            "C1",
            "raw",
            62.0,
            59.0,
            pytest.approx(58.2),
            pytest.approx(59.8),
            0.0,
            "conforms",
            pytest.approx(raw.budget.u),
        ),
        ("C1", "finished", 62.0, 62.0, 61.2, 62.8, pytest.approx(0.1), "conforms", pytest.approx(done.budget.u)),
        (
            None,
            None,
            62.0,
            *(pytest.approx(x) for x in (59.59, 59.59 - 0.8 / 3 * 1.01, 59.59 + 0.8 / 3 * 1.01, 0.01)),
            "conforms",
            pytest.approx(exported(shop.path)[2]["u"]),
        ),
    ]


def test_what_all_lots_of_a_job_share_is_read_once(
    sampled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[str] = []
    monkeypatch.setattr(Sampling, "_read_job", lambda one, real=Sampling._read_job: (read.append("job"), real(one)))
    shutil.copy(sampled, tmp_path / "copy.db")
    lots = {row["lot"] for row in exported(tmp_path / "copy.db")}
    assert len(lots - {None}) >= 3 and read == ["job"]
