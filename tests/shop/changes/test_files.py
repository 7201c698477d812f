"""A file of readings taken back as a whole: what counts then, what goes along, and that it comes back the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.record import kinds
from inspect_tui.record.ask import series, trends
from inspect_tui.record.chain.verify import verify
from inspect_tui.shop.changes import changed, files, things, withdraw
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.intake import take_in as taking
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.intake.take_in import take_in
from inspect_tui.shop.intake.tool_take_in import check_tools, write_tools
from tests.conftest import TODAY, SmallShop

BY = Options(by="AB", instrument="caliper 1")
SORT = things.sort_of("import")


def bring(shop: SmallShop, folder: Path, text: str, name: str, label: str = "S1") -> None:
    (folder / name).write_text(text, "utf-8")
    take_in(shop.record, find.job(shop.record, "SV-12"), folder / name, label, BY, TODAY)


def out(shop: SmallShop, name: str, why: str = "the castings of another shop") -> things.Thing:
    job = find.job(shop.record, "SV-12")
    thing = things.named(shop.record, SORT, name, job)
    withdraw.withdraw(shop.record, thing, why, find.person(shop.record, "AB"))
    return thing


def values_of(shop: SmallShop) -> dict[str, list[float]]:
    """The readings that count by casting, by the lists; the summaries have to say the same."""
    job = find.job(shop.record, "SV-12")
    castings = {item.id: item.serial for item in shop.record.items(job.of_id)}
    counted: dict[str, list[float]] = {}
    for row in shop.record.taken(castings):
        counted.setdefault(castings[row.item_id], []).append(row.value)
    summed = {castings[i]: sum(k.n for k in shop.record.summaries(item_id=i).values()) for i in castings}
    assert {serial: n for serial, n in summed.items() if n} == {serial: len(rows) for serial, rows in counted.items()}
    return counted


def test_all_of_a_file_goes_and_comes_back(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ["C1"])
    bring(shop, tmp_path, "Casting,F2,F3\nC1,40.1,210.2\n", "good.csv")
    bring(shop, tmp_path, "Casting,F2,F3\nC1,41.5,211.1\nX8,41.6,211.2\nX9,41.7,211.3\n", "wrong.csv")
    before = values_of(shop)
    thing = things.named(shop.record, SORT, "wrong.csv", job)
    told = withdraw.depends(shop.record, thing)
    assert told == (
        "6 readings: they stay in the record and count no longer",
        "2 castings or sand cores that came with it: out too",
    )
    out(shop, "wrong.csv")
    assert values_of(shop) == {"C1": [40.1, 210.2]}
    assert [item.serial for item in shop.record.items(job.of_id)] == ["C1"]  # it was there before, X8 and X9 were not
    struck = [row for row in shop.record.readings() if row.out]
    assert len(struck) == 6 and {row.supersede.why for row in struck if row.supersede} == {
        "the castings of another shop"
    }
    assert shop.record.reading(struck[0].id).superseded_by == "AB"  # type: ignore[union-attr]
    feature = struck[0].reading.feature_id
    which = series.Which(job_of_id=job.of_id, feature_ids=(feature,), item_id=struck[0].reading.item_id)
    assert series.out_of_count(shop.record, which) == {struck[0].id}
    listed = {file.name: (file.readings, file.gone) for file in files.listed(shop.record, job)}
    assert listed == {"good.csv": (2, None), "wrong.csv": (6, "the castings of another shop")}

    withdraw.back(shop.record, thing, "they were ours after all", find.person(shop.record, "AB"))
    assert values_of(shop) == before and not [row for row in shop.record.readings() if row.out]
    assert [file.gone for file in files.listed(shop.record, job)] == [None, None]
    assert verify(shop.record._con).ok


def test_a_casting_that_was_measured_by_hand_meanwhile_stays(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    bring(shop, tmp_path, "Casting,F2\nX8,41.6\nX9,41.7\n", "wrong.csv", "S7")
    bring(shop, tmp_path, "Casting,F3\nX8,210.1\n", "more.csv", "S7")
    assert withdraw.depends(shop.record, things.named(shop.record, SORT, "wrong.csv", job))[1:] == (
        "1 casting or sand core that came with it: out too",
    )
    out(shop, "wrong.csv")
    assert [item.serial for item in shop.record.items(job.of_id)] == ["X8"]
    assert [lot.label for lot in shop.record.lots(job.of_id)] == ["S7"]  # its casting is still there
    out(shop, "more.csv", "twice")
    assert [item.serial for item in shop.record.items(job.of_id)] == ["X8"]  # it came with the first file


def test_the_same_file_comes_in_again_once_it_was_taken_back(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    text = "Casting,F2,F3\nX8,41.6,211.2\nX9,41.7,211.3\n"
    bring(shop, tmp_path, text, "wrong.csv", "S7")
    with pytest.raises(DataError, match="taken in already"):
        bring(shop, tmp_path, text, "wrong.csv", "S7")
    thing = out(shop, "wrong.csv")
    assert shop.record.lots(job.of_id) == []
    bring(shop, tmp_path, text, "wrong.csv", "S7")
    assert values_of(shop) == {"X8": [41.6, 211.2], "X9": [41.7, 211.3]}
    with pytest.raises(DataError, match="taken in again meanwhile"):
        withdraw.back(shop.record, thing, "why not", find.person(shop.record, "AB"))
    again = out(shop, "wrong.csv", "once more")
    withdraw.back(shop.record, again, "why not", find.person(shop.record, "AB"))
    open_round(shop.record, job, "S9", ["c1"])
    assert [kept.gone for kept in files.listed(shop.record, job)] == ["the castings of another shop", None]
    assert {n for n, _ in files.names(shop.record.with_withdrawn(), job)} != {"wrong.csv"}  # told apart by their moment


def test_a_casting_made_anew_meanwhile_is_in_the_way(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    bring(shop, tmp_path, "Casting,F2\nX8,41.6\nX9,41.7\n", "wrong.csv", "S7")
    thing = out(shop, "wrong.csv")
    open_round(shop.record, job, "S9", ["x8"])
    with pytest.raises(DataError, match="another X8 by now"):
        withdraw.back(shop.record, thing, "ours", find.person(shop.record, "AB"))
    with pytest.raises(NotFound):
        things.named(shop.record, SORT, "wrong.csv", job)


def test_what_was_withdrawn_for_another_reason_stays_out(shop: SmallShop, tmp_path: Path) -> None:
    job, person = find.job(shop.record, "SV-12"), find.person(shop.record, "AB")
    bring(shop, tmp_path, "Casting,F2\nX8,41.6\nX9,41.7\n", "wrong.csv", "S7")
    withdraw.withdraw(shop.record, things.named(shop.record, things.sort_of("casting"), "X8", job), "broken up", person)
    thing = out(shop, "wrong.csv")
    withdraw.back(shop.record, thing, "ours", person)
    assert [item.serial for item in shop.record.items(job.of_id)] == ["X9"]


def test_tool_readings_and_their_counts_go_together(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    tool = next(tool for tool in shop.record.tools(job.of_id) if shop.record.tool_features(tool.of_id))
    on = shop.record.tool_features(tool.of_id)[0]
    balloon = shop.record.feature(on.feature_id).balloon
    rows = "".join(f"{tool.label},2026-01-{day:02},{100 * day},{balloon},60.{day:02}\n" for day in (5, 6, 7))
    (tmp_path / "years.csv").write_text(f"tool,day,count,feature,value\n{rows}", "utf-8")
    grid = taking.read(shop.record, tmp_path / "years.csv")
    options = Options(by="AB", instrument="caliper 1", keep=True, unit="mm")
    write_tools(shop.record, job, check_tools(shop.record, job, grid, options, "2026-02-01"))
    assert len(shop.record.tool_counts(tool.of_id)) == 3
    out(shop, "years.csv")
    assert shop.record.tool_counts(tool.of_id) == [] and shop.record.summaries(tool.of_id) == {}
    assert not shop.record.tool_readings(job.of_id) and not shop.record.taken_on_tools(job.of_id)
    assert not len(trends.on_tool(shop.record, tool.of_id, [on.feature_id]))
    assert series._counts(shop.record) != ""
    # as things stood before, for a paper of that day
    now_us = max(at for at, _ in shop.record.entry_times(row.id for row in shop.record.readings()).values())
    assert len(shop.record.tool_readings(job.of_id, now_us)) == 3
    again = check_tools(shop.record, job, grid, options, "2026-02-01")
    assert (len(again.readings), again.already, len(again.counts)) == (3, 0, 3)
    said = [change.what for change in changed.changes(shop.record)]
    assert any("years.csv" in what for what in said), said
    assert kinds.IMPORT_FILE.number in {row.about_kind for row in shop.record.withdrawals().values()}
