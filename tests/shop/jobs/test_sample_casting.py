"""Sizes taken off sample castings: repeats, several samples, marks, proposals, and the drawing made of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs, sample_casting
from tests.worlds.kit_jobs import Kit, begin, with_patterns


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "sample.db", create=True) as record:
        kit = with_patterns(begin(record))
        kit.add_core(1)
        kit.add_tool("box 1", "core_box", 1)
        for balloon, axis, nominal in (("A", "x", 240.0), ("B", "y", 82.0), ("C", "z", 30.0)):
            kit.add_feature(balloon, axis, nominal, ("drag", -1, 0.0), ("drag", 1, nominal), ())
        kit.add_feature("D", "x", 50.0, (1, 1, 0.0), (1, -1, 50.0), ())
        yield kit


def two_samples(made: Kit) -> None:
    for serial, off in (("1", 0.15), ("2", -0.10)):
        made.read(made.casting(f"sample {serial}"), {"A": 240.1 + off, "B": 82.0 + off, "C": 30.0, "D": 50.1 + off})


def test_repeats_and_several_samples_make_one_proposal_with_its_evidence(made: Kit) -> None:
    two_samples(made)
    made.read(made.record.items(made.job.of_id)[0], {"A": 240.3})
    sample = sample_casting.sizes(made.record, made.job)
    assert sample.system == "mm"
    size = next(s for s in sample.sizes if s.feature.balloon == "A")
    assert (size.n, size.castings) == (3, 2)
    assert size.proposal.best.text == "240 mm"
    assert size.finished == 240.0
    assert "3 readings on 2 castings" in size.sentence
    in_inches = next(
        s for s in sample_casting.sizes(made.record, made.job, style=Style("in")).sizes if s.mean == size.mean
    )
    assert f"{size.mean / 25.4:.4f} ± {2 * size.u / 25.4:.4f} from 3 readings" in in_inches.sentence


def test_a_drawing_in_inches_is_found_out_by_its_sizes(tmp_path: Path) -> None:
    with Record.open(tmp_path / "inch.db", create=True) as record:
        kit = with_patterns(begin(record))
        inches = {"A": 9.5, "B": 3.25, "C": 1.1875, "D": 6.0, "E": 4.125}
        for balloon, size in inches.items():
            kit.add_feature(balloon, "x", size * 25.4, ("drag", -1, None), ("drag", 1, None), ())
        for serial in ("1", "2", "3"):
            kit.read(kit.casting(serial), {b: size * 25.4 + 0.05 for b, size in inches.items()})
        sample = sample_casting.sizes(record, kit.job)
        assert sample.system == "in"
        assert {s.feature.balloon: s.proposal.best.text for s in sample.sizes} == {
            "A": "9 1/2 in",
            "B": "3 1/4 in",
            "C": "1 3/16 in",
            "D": "6 in",
            "E": "4 1/8 in",
        }
        assert sample_casting.sizes(record, kit.job, "mm").system == "mm"


def test_machined_faces_scatter_less_and_worn_ones_are_only_a_bound(made: Kit) -> None:
    two_samples(made)
    by = {f.balloon: f for f in made.record.features(made.revision.id)}
    plain = next(s for s in sample_casting.sizes(made.record, made.job).sizes if s.feature.balloon == "B")
    sample_casting.mark(made.record, by["B"], "machined", "turned face")
    machined = next(s for s in sample_casting.sizes(made.record, made.job).sizes if s.feature.balloon == "B")
    assert machined.mark == "machined"
    assert machined.proposal.u < plain.proposal.u
    sample_casting.mark(made.record, by["B"], "worn")
    worn = next(s for s in sample_casting.sizes(made.record, made.job).sizes if s.feature.balloon == "B")
    assert not worn.sure
    assert "only a bound" in worn.sentence
    sample_casting.mark(made.record, by["B"], "as cast")
    assert sample_casting.mark_of(made.record, by["B"]) == "as cast"
    with pytest.raises(JobFileError, match="as cast, machined, worn"):
        sample_casting.mark(made.record, by["B"], "rusty")


def test_wear_moves_the_proposal_to_the_side_that_is_gone(made: Kit) -> None:
    made.read(made.casting("1"), {"A": 239.2, "D": 50.8})
    by = {f.balloon: f for f in made.record.features(made.revision.id)}
    for balloon in ("A", "D"):
        sample_casting.mark(made.record, by[balloon], "worn")
    sample = {s.feature.balloon: s for s in sample_casting.sizes(made.record, made.job, "mm").sizes}
    assert sample["A"].proposal.best.mm >= 239.2  # a body wears smaller: it was larger
    assert sample["D"].proposal.best.mm <= 50.8  # an opening of a core wears larger: it was smaller


def test_stock_of_a_raw_face_is_taken_off_for_the_drawing(made: Kit) -> None:
    made.add_feature("S", "x", 100.0, ("drag", -1, None), ("drag", 1, None), ())
    stocked = replace(
        made.feature["S"],
        id=b"",
        balloon="T",
        ends=tuple(replace(e, id=b"", feature_id=b"", stock_mm=3.0) for e in made.feature["S"].ends),
        ord=99,
    )
    made.feature["T"] = made.record.add(stocked)
    made.read(made.casting("1"), {"T": 106.05})
    size = next(s for s in sample_casting.sizes(made.record, made.job, "mm").sizes if s.feature.balloon == "T")
    assert size.proposal.best.mm == 106.0
    assert size.finished == pytest.approx(100.0)
    assert "finished 100.00 with its stock off" in size.sentence


def test_the_sample_becomes_a_drawing_mixed_with_sizes_of_one_that_exists(made: Kit) -> None:
    two_samples(made)
    stated = replace(made.feature["C"], nominal=28.5, lower=28.4, upper=28.6, band_source="drawing", machined=True)
    revision = sample_casting.adopt(
        made.record, made.job, "N-17", "A1", {"A": 240.0, "D": 50.0}, [stated], general="ISO 8062-3 DCTG 9"
    )
    new = {f.balloon: f for f in made.record.features(revision.id)}
    assert (new["A"].nominal, new["D"].nominal) == (240.0, 50.0)
    assert new["A"].lower < 240.0 < new["A"].upper
    assert "8062" in new["A"].band_source
    assert (new["C"].nominal, new["C"].lower, new["C"].band_source) == (28.5, 28.4, "drawing")
    assert new["B"].nominal == 82.0
    assert new["A"].same_as_id == made.feature["A"].id
    box = made.record.tool_features(made.tool["box 1"].of_id)
    assert {on.feature_id for on in box} == {new["D"].id}
    # what was read on the sample keeps naming the edition it was read on
    assert {r.reading.feature_id for r in made.record.readings()} <= {f.id for f in made.feature.values()}


def test_what_cannot_be_adopted_is_a_sentence_and_nothing_is_written(made: Kit) -> None:
    two_samples(made)
    before = made.record.counts()
    for args, words in (
        (("N", "A", {"A": 240.0}), "Edition A is there already"),
        (("N", "B", {"Q": 1.0}), "Q is not among the sizes"),
    ):
        with pytest.raises(JobFileError, match=words):
            sample_casting.adopt(made.record, made.job, *args)
    with pytest.raises(JobFileError, match="A:"):
        sample_casting.adopt(made.record, made.job, "N", "B", {"A": 240.0}, general="ISO 8062-3 DCTG 99")
    assert made.record.counts() == before


def test_a_job_without_a_drawing_gets_an_edition_for_its_sample(tmp_path: Path) -> None:
    with Record.open(tmp_path / "new.db", create=True) as record:
        job = jobs.new_job(record, "S-1", "old bracket", "grey iron", None, None, "", "")
        assert sample_casting.begin(record, job).rev == "A"  # a job opened on the Jobs screen has one already
        with pytest.raises(NotFound):
            sample_casting.sizes(record, replace(job, of_id=b"x" * 16))
        assert sample_casting.sizes(record, job).sizes == ()


def test_a_new_edition_of_the_same_sizes_keeps_what_was_read_on_the_sample_and_said_of_it(made: Kit) -> None:
    two_samples(made)
    sample_casting.mark(made.record, made.feature["B"], "worn", "inside")
    before = {s.feature.balloon: (s.n, s.mean) for s in sample_casting.sizes(made.record, made.job).sizes}
    jobs.revise(made.record, made.job, "B", [])
    now = {f.balloon: f for f in made.record.features(find.latest_revision(made.record, made.job).id)}
    assert sample_casting.mark_of(made.record, now["B"]) == "worn"
    assert {s.feature.balloon: (s.n, s.mean) for s in sample_casting.sizes(made.record, made.job).sizes} == before
    sample_casting.mark(made.record, now["B"], "as cast")
    assert sample_casting.mark_of(made.record, now["B"]) == "as cast"
    jobs.correct(made.record, made.job, [replace(now["A"], nominal=240.2)], "240.2 read as 240")
    jobs.revise(made.record, made.job, "C", [replace(now["C"], nominal=31.0)])
    left = {s.feature.balloon: (s.n, s.mean) for s in sample_casting.sizes(made.record, made.job).sizes}
    assert left == {balloon: read for balloon, read in before.items() if balloon != "C"}
