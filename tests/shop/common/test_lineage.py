"""Which rows of older drawings ask for the same size; who entered an edition, when, what it changed and why."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.work import ChainStep, DrawingRevision, End, Feature, ToolFeature
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.jobs.jobs import correct, revise
from tests.conftest import SmallShop

DAY_US = 86_400_000_000
ENDS = (End(which="A", half="drag", facing=-1, coord_mm=0.0), End(which="B", half="drag", facing=1, coord_mm=62.0))
PLAIN = Feature(revision_id=b"r", balloon="F1", name="bore", nominal=62.0, lower=61.2, upper=62.8, ends=ENDS)


@pytest.mark.parametrize(
    "changes",
    [
        {"nominal": 62.5},
        {"lower": 61.0},
        {"upper": None},
        {"raw_lower": 61.0},
        {"raw_upper": 66.0},
        {"axis": "y"},
        {"quantity": "width"},
        {"machined": True},
        {"draft_deg": 1.0},
        {"draft_h_mm": 30.0},
        {"dir_x": 0.6},
        {"dir_y": 0.6},
        {"dir_z": 0.6},
        {"scale": "tool"},
        {"ends": (ENDS[0], replace(ENDS[1], coat_mm=0.3))},
        {"ends": (ENDS[0], replace(ENDS[1], facing=-1))},
        {"a": 0.01},
        {"ends": (ENDS[0], replace(ENDS[1], stock_mm=1.5))},
        {"ends": (ENDS[0], replace(ENDS[1], coord_mm=63.0))},
        {"ends": (ENDS[0], replace(ENDS[1], half="cope"))},
        {"ends": ENDS[:1]},
    ],
)
def test_what_changes_a_size(changes: dict[str, object]) -> None:
    assert not lineage.same_size(replace(PLAIN, **changes), PLAIN)


@pytest.mark.parametrize(
    "changes", [{"name": "bore of the inlet"}, {"balloon": "F10"}, {"note": "at x = 5"}, {"ord": 9}]
)
def test_what_leaves_a_size_as_it_is(changes: dict[str, object]) -> None:
    assert lineage.same_size(replace(PLAIN, **changes), PLAIN)


@pytest.mark.parametrize(
    ("changes", "same"),
    [({"lower": 61.0}, True), ({"upper": None}, True), ({"raw_lower": 61.0}, True), ({"nominal": 62.5}, False)],
)
def test_other_limits_leave_what_was_measured_of_the_same_size(changes: dict[str, object], same: bool) -> None:
    assert lineage.same_size(replace(PLAIN, **changes), PLAIN, limits=False) is same


def test_another_version_of_the_same_core_is_the_same_end() -> None:
    core = replace(PLAIN, ends=(replace(ENDS[0], half=None, core_id=b"1"), ENDS[1]))
    later = replace(PLAIN, ends=(replace(ENDS[0], half=None, core_id=b"2"), ENDS[1]))
    assert not lineage.same_size(later, core)
    assert lineage.same_size(later, core, core_of=lambda core_id: b"1")


def test_a_line_ends_where_the_size_changed_even_if_it_was_changed_back(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    first = {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}
    f2 = first["F2"]
    revise(shop.record, job, "Y", [replace(f2, nominal=f2.nominal + 0.5)])
    revise(shop.record, job, "Z", [f2])
    now = shop.record.features(find.latest_revision(shop.record, job).id)
    lines = {f.balloon: lineage.same_rows(shop.record, job, now)[f.id] for f in now}
    assert len(lines["F1"]) == 3 and lines["F1"][-1] == first["F1"].id
    assert len(lines["F2"]) == 1


def test_what_was_read_under_a_typing_error_is_of_the_size_as_it_was_put_right(shop: SmallShop) -> None:
    """A 40, B 40.5 by mistake, put right to 40 again, C 40: all four ask for the same; a changed size does not."""
    job = find.job(shop.record, "SV-12")

    def rows() -> dict[str, Feature]:
        return {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}

    a = rows()
    revise(shop.record, job, "B", [replace(a["F2"], nominal=40.5), replace(a["F3"], nominal=211.0)])
    b = rows()
    assert lineage.same_rows(shop.record, job, list(b.values()))[b["F2"].id] == (b["F2"].id,)
    correct(shop.record, job, [replace(b["F2"], nominal=40.0)], "40 read as 40.5")
    put_right = rows()
    revise(shop.record, job, "C", [])
    c = rows()
    ids = {balloon: [edition[balloon].id for edition in (c, put_right, b, a)] for balloon in a}
    lines = lineage.same_rows(shop.record, job, list(c.values()))
    assert list(lines[c["F1"].id]) == ids["F1"] and list(lines[c["F2"].id]) == ids["F2"]
    assert list(lines[c["F3"].id]) == ids["F3"][:3]
    known = lineage.of_job(shop.record, job)
    assert known.put_right(b["F2"].id) == put_right["F2"].id and known.put_right(a["F2"].id) == a["F2"].id
    assert {known.first(row) for row in ids["F2"]} == {a["F2"].id}
    assert known.first(a["F3"].id) != known.first(c["F3"].id) == b["F3"].id


def test_an_error_that_was_carried_over_was_one_before_too(shop: SmallShop) -> None:
    """Wrong on A and B alike, found on B: readings of A count on; a size that B changed was right on A."""
    job = find.job(shop.record, "SV-12")

    def rows() -> dict[str, Feature]:
        return {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}

    a = rows()
    revise(shop.record, job, "B", [replace(a["F3"], nominal=211.0)])
    b = rows()
    correct(shop.record, job, [replace(b["F2"], nominal=41.0), replace(b["F3"], nominal=212.0)], "both misread")
    first = rows()
    correct(shop.record, job, [replace(first["F2"], nominal=42.0)], "and misread again")
    now = rows()
    known = lineage.of_job(shop.record, job)
    assert {known.put_right(edition["F2"].id) for edition in (a, b, first, now)} == {now["F2"].id}
    assert known.line(now["F2"].id)[-1] == a["F2"].id
    assert known.put_right(a["F3"].id) == a["F3"].id and known.put_right(b["F3"].id) == now["F3"].id
    assert known.line(now["F3"].id)[-1] == b["F3"].id


def test_steps_of_a_size_that_was_put_right_keep_what_was_changed_at_the_tool() -> None:
    stock = ChainStep(ord=1, kind="stock", offset_mm=-3.0)
    right = replace(stock, offset_mm=-4.0)
    cut = ChainStep(ord=2, kind="correction", offset_mm=0.3)
    before = ToolFeature(id=b"1", of_id=b"1", tool_id=b"t", feature_id=b"f", sense="metal", steps=(stock,))
    after_cut = replace(before, id=b"2", replaces_id=b"1", steps=(stock, cut))
    corrected = replace(before, id=b"3", replaces_id=b"2", feature_id=b"g", lower=1.0, steps=(right, cut))
    wrong = replace(PLAIN, id=b"f", revision_id=b"A")
    lines = lineage.Lines(
        [wrong, replace(PLAIN, id=b"g", revision_id=b"A2", same_as_id=b"f", nominal=63.0)],
        [DrawingRevision(id=b"A2", job_of_id=b"j", number="1", rev="A", corrects_id=b"A")],
        {},
    )
    made = lines.versions([before, after_cut, corrected])
    assert [made[key].steps for key in (b"1", b"2", b"3")] == [(right,), (right, cut), (right, cut)]
    assert {version.feature_id for version in made.values()} == {b"g"} and made[b"1"].lower == 1.0


def test_every_edition_says_when_by_whom_what_and_why(shop: SmallShop) -> None:
    job = find.job(shop.record, None)

    def now() -> dict[str, Feature]:
        return {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}

    day = 1_790_000_000_000_000  # 2026-09-21
    shop.record._clock = lambda: (day, 60)
    correct(shop.record, job, [replace(now()["F3"], nominal=212.0)], "212 read as 210", shop.ab)
    shop.record._clock = lambda: (day + DAY_US, 60)
    correct(shop.record, job, [replace(now()["F2"], note="at x = 5"), replace(now()["F3"], upper=213.0)], "more")
    made = lineage.editions(shop.record, job, shop.record.job_features(job.of_id))
    assert [edition.revision.rev for edition in made] == ["A", "A", "A"]
    assert [edition.correction for edition in made] == [False, True, True]
    assert [edition.changed for edition in made] == [(), ("F3",), ("F2", "F3")]
    assert made[1].words == "corrected 2026-09-21 by AB: 212 read as 210"
    assert made[2].words == "corrected 2026-09-22: more"
    assert made[0].words.startswith("entered ")
    newest = find.latest_revision(shop.record, job)
    assert [edition.revision.id for edition in lineage.corrections(shop.record, job, newest)] == [
        made[2].revision.id,
        made[1].revision.id,
    ]
    revise(shop.record, job, "B", [])
    assert lineage.corrections(shop.record, job, find.latest_revision(shop.record, job)) == []


def test_the_first_row_of_a_size_and_of_what_was_asked_of_it_are_told_apart(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    before = find.feature(shop.record.features(find.latest_revision(shop.record, job).id), "F2")
    revise(shop.record, job, "B", [replace(before, upper=40.5)])
    now = find.feature(shop.record.features(find.latest_revision(shop.record, job).id), "F2")
    lines = lineage.of_job(shop.record, job)
    for _ in range(2):
        assert (lines.first(now.id), lines.first(now.id, limits=False)) == (now.id, before.id)
