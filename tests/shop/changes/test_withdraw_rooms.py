"""A withdrawal goes through the rooms: export, kept trends, certificates, names of people, columns of castings."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

from inspect_tui.frozen import replace
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.measuring import Calibration
from inspect_tui.model.words import Id
from inspect_tui.record import kinds
from inspect_tui.record.ask import pooled, series, trends
from inspect_tui.record.ask.series import Which
from inspect_tui.record.chain.rights import MAY_NOT
from inspect_tui.record.kinds import Kind
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, study_feed
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.shop.gauges import results
from inspect_tui.shop.gauges.desk import StudyDesk
from inspect_tui.shop.trends import kept as trend_kept
from tests.conftest import SmallShop
from tests.shop.changes.test_things import DEMO
from tests.shop.jobs.test_export import exported, logged
from tests.shop.trends.test_fleet import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import WornBox


def _say(shop: SmallShop, kind: Kind, of_id: Id, state: str = "withdrawn") -> None:
    shop.record.add(Withdrawal(about_kind=kind.number, about_id=of_id, state=state, why="never made"), shop.ab.id)


def test_an_export_gives_what_was_read_on_a_withdrawn_tool_and_says_so(shop: SmallShop) -> None:
    first = logged(shop.bench("box 1"), "59.78").readings[0]
    (before,) = exported(shop.path)
    assert (before["counts"], before["state"]) == (True, "counts") and before["verdict"]
    tool = find.subject(shop.record, find.job(shop.record, None), "box 1").key
    _say(shop, kinds.TOOL, tool)
    (row,) = exported(shop.path)
    assert (row["counts"], row["state"], row["verdict"]) == (False, "withdrawn", None)
    assert (row["struck_why"], row["struck_by"], row["as_read"]) == ("never made", "AB", first.value)
    _say(shop, kinds.TOOL, tool, "back")
    assert exported(shop.path) == [before]
    _say(shop, kinds.JOB, find.job(shop.record, None).of_id)
    (row,) = exported(shop.path)
    assert (row["counts"], row["state"]) == (False, "withdrawn")


def test_the_kept_list_of_trends_is_made_anew(worn: WornBox) -> None:
    worn.wear(6)
    trend_kept.refresh(worn.record, worn.record.path)
    assert worn.record.kept_trends()
    box = worn.box.of_id
    worn.record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=box, why="never made"), worn.ab.id)
    assert trend_kept.stale(worn.record) is None
    trend_kept.refresh(worn.record, worn.record.path)
    assert all(row.tool_of_id != box for row in worn.record.kept_trends())


def test_a_reading_under_a_withdrawn_certificate_is_judged_without_one(shop: SmallShop) -> None:
    certificate = shop.record.add(
        Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-01-10", u95_mm=0.02, reference="c 7")
    )
    bench = shop.bench("box 1")
    setup = logged(bench, "59.78").readings[0].setup_id
    assert shop.record.setups_by_id([setup])[setup].calibration_id == certificate.id
    _say(shop, kinds.CALIBRATION, certificate.id)
    evidence = Evidence(shop.record)
    said = evidence.setups([setup])[setup]
    assert evidence.gauges.means(said, "2026-03-10").calibration is None
    assert evidence.gauges.knows(said) and not evidence.gauges.knows(replace(said, calibration_id=b"x" * 16))
    assert [row.u95_mm for row in shop.record.tool_readings(find.job(shop.record, None).of_id)] == [None]


def test_a_study_goes_on_naming_who_is_withdrawn(tmp_path: Path) -> None:
    copyfile(DEMO, tmp_path / "shop.db")
    with Record.open(tmp_path / "shop.db") as record:
        gauge, (study,) = find.instrument(record, "caliper 1 (CAL1)"), record.gauge_studies()
        fed, rows = study_feed.feeds(record, gauge), results.rows(record, study)
        desk = StudyDesk(record, study)
        lead = next(person for person in record.people() if person.role not in MAY_NOT)
        for person in record.people():
            record.add(Withdrawal(about_kind=kinds.PERSON.number, about_id=person.of_id, why="left"), lead.id)
        assert record.people() == [] and fed
        assert study_feed.feeds(record, gauge) == fed and results.rows(record, study) == rows
        assert StudyDesk(record, study).people == desk.people


def test_columns_and_offsets_leave_out_withdrawn_castings_and_tools(shop: SmallShop) -> None:
    record = shop.record
    job = find.job(record, None)
    put_right.open_round(record, job, "S1", ["C1", "C2"], poured_on="2026-03-01")
    for on, text in (("casting C1", "62.1"), ("casting C2", "62.2"), ("box 1", "59.78")):
        logged(shop.bench(on), text)
    first, second = record.items(job.of_id)
    feature = next(f for f in record.features(record.revisions(job.of_id)[-1].id) if f.balloon == "F1")
    which = Which(job_of_id=job.of_id, feature_ids=(feature.id,))

    def seen() -> tuple[int, int, int, int, int]:
        return (
            len(series.values(record, which).value),
            len(trends.on_items(record, job.of_id, "casting", [feature.id])),
            sum(len(points) for points in trends.all_on_items(record, job.of_id, "casting").values()),
            len(pooled.readings(record, 100)),
            len(record.readings_with(shop.caliper.of_id)),
        )

    assert seen() == (2, 2, 2, 3, 3)
    _say(shop, kinds.ITEM, second.id)
    assert seen() == (1, 1, 1, 2, 2)
    _say(shop, kinds.TOOL, find.subject(record, job, "box 1").key)
    assert seen() == (1, 1, 1, 1, 1)
    assert record.features_on(job.of_id, "casting") == {feature.id}
    assert first.lot_id is not None
    _say(shop, kinds.LOT, first.lot_id)
    assert seen() == (0, 0, 0, 0, 0)
    assert record.features_on(job.of_id, "casting") == set() and record.lots_measured(job.of_id) == set()
    assert isinstance(find.subjects(record, job)[0], Subject)
