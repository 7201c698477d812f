"""What a study gives the budget: the study's own figures, the right hands, and nothing of numpy on the way."""

from __future__ import annotations

import random
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.gauges.study import crossed_study
from inspect_tui.model.gauges import GaugePart, GaugePerson, GaugeStudy, GaugeTrial
from inspect_tui.model.measuring import Person
from inspect_tui.record.ask.gauges import StudyCell
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.common import study_feed as gauge_feed
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.jobs.jobs import revise
from tests.conftest import TODAY, SmallShop

STUDY = GaugeStudy(instrument_of_id=b"i" * 16, title="G1", trials=3, seed=1)


def table(parts: int, people: int, trials: int, seed: int, wide: float = 0.0, apart: float = 1.0):
    """Readings as cells of a study and as rows of the analysis; `apart` multiplies the first person's scatter."""
    draw = random.Random(seed)
    cells, rows = [], []
    names = {bytes([n]) * 16: f"P{n}" for n in range(1, people + 1)}
    for part in range(1, parts + 1):
        true = 52.0 + draw.gauss(0, 0.2)
        for number, who in enumerate(names):
            offset = draw.gauss(0, wide)
            for trial in range(trials):
                value = round(true + offset + draw.gauss(0, 0.03 * (apart if number == 0 else 1.0)), 3)
                cells.append(StudyCell(b"s" * 16, part, who, value))
                rows.append((part, who, trial, value))
    return names, cells, rows


@given(
    st.integers(1, 6), st.integers(1, 4), st.integers(2, 4), st.integers(0, 10_000), st.sampled_from([0.0, 0.02, 0.2])
)
@settings(max_examples=60, deadline=None)
def test_the_repeatability_is_that_of_the_analysis_of_variance(
    parts: int, people: int, trials: int, seed: int, wide: float
) -> None:
    names, cells, rows = table(parts, people, trials, seed, wide)
    study = GaugeStudy(instrument_of_id=b"i" * 16, title="G1", trials=trials, seed=1)
    feed = gauge_feed.feed_of(study, cells, parts, names)
    expected = crossed_study(rows).anova.repeatability
    assert feed is not None
    assert feed.s == pytest.approx(expected.value, rel=1e-9, abs=1e-12)
    if expected.dof is None:  # where all trials read the same the analysis gives none
        assert expected.value == 0.0
    else:
        assert feed.dof == pytest.approx(expected.dof)


def test_who_repeats_unlike_the_others_is_set_apart_as_the_study_does() -> None:
    names, cells, rows = table(10, 3, 3, seed=3, apart=4.0)
    feed = gauge_feed.feed_of(STUDY, cells, 10, names)
    spreads = {s.person: s for s in crossed_study([(a, names[b], t, v) for a, b, t, v in rows]).spreads}
    assert feed is not None
    (who,) = feed.apart
    assert names[who] == "P1" and spreads["P1"].stands_out
    assert feed.apart[who][0] == pytest.approx(spreads["P1"].s)
    own, other, stranger = feed.repeatability(who), feed.repeatability(b"\x02" * 16), feed.repeatability(b"z" * 16)
    assert own.s > 3 * other.s
    assert other.s < stranger.s < own.s  # who was not in the study may be like any of them
    assert (own.dof, other.dof) == (20, 40)
    assert "P1 alone" in own.label and "without P1" in other.label and stranger.label == "gauge study G1"


def test_people_alike_are_not_set_apart() -> None:
    alone = [gauge_feed.feed_of(STUDY, table(10, 3, 3, seed)[1], 10, table(10, 3, 3, seed)[0]) for seed in range(40)]
    assert sum(bool(feed and feed.apart) for feed in alone) <= 6  # 5 % of studies by design


@pytest.mark.parametrize("left_out", [1, 5])
def test_a_study_that_is_not_complete_says_nothing_yet(left_out: int) -> None:
    names, cells, _ = table(3, 2, 3, seed=1)
    assert gauge_feed.feed_of(STUDY, cells, 3, names) is not None
    assert gauge_feed.feed_of(STUDY, cells[:-left_out], 3, names) is None
    assert gauge_feed.feed_of(STUDY, cells, 4, names) is None  # a piece that nobody has read yet


def test_readings_that_never_differ_give_a_repeatability_of_zero() -> None:
    names = {b"\x01" * 16: "P1", b"\x02" * 16: "P2"}
    cells = [StudyCell(b"s" * 16, p, w, 52.0 + p) for p in (1, 2) for w in names for _ in range(3)]
    feed = gauge_feed.feed_of(STUDY, cells, 2, names)
    assert feed is not None and feed.s == 0.0 and not feed.apart


# ------------------------------------------------------------------------------ in the record and at the Bench
def measured(
    shop: SmallShop, quantity: str | None, people: tuple[Person, ...] = (), title: str = "G1", **of: bytes
) -> GaugeStudy:
    """A complete study of the caliper in the record: scatter 0.03, of AB 0.008."""
    people = people or (shop.ab, shop.record.people()[-1])
    study = GaugeStudy(
        id=shop.record.new_id(),
        instrument_of_id=shop.caliper.of_id,
        title=title,
        quantity=quantity,
        trials=3,
        seed=1,
        **of,  # type: ignore[arg-type]
    )
    parts = [GaugePart(id=shop.record.new_id(), study_id=study.id, number=n, label=str(n)) for n in range(1, 11)]
    who = [GaugePerson(study_id=study.id, number=n, person_of_id=p.of_id) for n, p in enumerate(people, 1)]
    shop.record.add_all([study, *parts, *who], shop.ab.id)
    draw = random.Random(5)
    trials = []
    for person in people:
        setup = gauges.gauge_setup(shop.record, person, shop.caliper, "study")
        scatter = 0.008 if person is shop.ab else 0.03
        trials += [
            GaugeTrial(study_id=study.id, setup_id=setup, part_id=part.id, trial=t, value=round(v, 3), typed=f"{v:.3f}")
            for part in parts
            for t in (1, 2, 3)
            for v in [52.0 + part.number / 10 + draw.gauss(0, scatter)]
        ]
    shop.record.add_all(trials, shop.ab.id)
    return study


def line_of(bench: Bench, balloon: str, text: str) -> Logged:
    bench.goto(balloon)
    outcome = bench.take(text)
    assert isinstance(outcome, Logged), outcome
    return outcome


def test_a_study_feeds_the_budget_of_its_instrument_on_its_kind_of_feature(shop: SmallShop) -> None:
    before = line_of(shop.bench(), "F1", "59.60").judged.budget
    measured(shop, "width")
    bench = shop.bench()
    width, length = line_of(bench, "F1", "59.60").judged.budget, line_of(bench, "F2", "40.40").judged.budget
    assert "repeatability" not in [line.name for line in before.lines]
    line = next(line for line in width.lines if line.name == "repeatability")
    assert line.kind == "A" and line.dof == 20 and "gauge study G1, without IN" in line.how
    assert 0.005 < line.u < 0.012
    assert "repeatability" not in [one.name for one in length.lines]  # another kind of feature
    assert width.u == pytest.approx((before.u**2 - before.lines[-1].u ** 2 + line.u**2) ** 0.5)


def test_the_newest_study_of_the_kind_counts_and_that_of_the_feature_before_it(shop: SmallShop) -> None:
    measured(shop, "width", title="old")
    measured(shop, "width", title="new")
    feeds = gauge_feed.feeds(shop.record, shop.caliper)
    task = shop.bench().tasks[1]
    means = gauges.line(shop.record, shop.caliper, TODAY).means
    assert [f.study.title for f in feeds] == ["new", "old"]
    assert "new" in gauge_feed.fed(means, feeds, task.feature, None).study.label


def test_a_study_of_a_feature_speaks_for_it_in_every_later_edition_of_the_drawing(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    feature = next(task.feature for task in shop.bench().tasks if task.feature.balloon == "F1")
    of_f1 = measured(shop, "width", title="of F1", feature_id=feature.id)
    measured(shop, "width", title="newer, of its kind")
    for rev in "BCD":
        revise(shop.record, job, rev, [])
    task = next(task for task in shop.bench().tasks if task.feature.balloon == "F1")
    assert task.feature.id != feature.id != task.feature.same_as_id
    feeds = gauge_feed.feeds(shop.record, shop.caliper)
    means = gauges.line(shop.record, shop.caliper, TODAY).means
    assert of_f1.title in gauge_feed.fed(means, feeds, task.feature, None).study.label


def test_a_study_taken_at_the_gauges_is_known_at_the_open_bench_once_it_forgets(shop: SmallShop) -> None:
    bench = shop.bench()
    line_of(bench, "F1", "59.60")
    measured(shop, "width")
    bench.forget_gauges()
    assert "repeatability" in [line.name for line in line_of(bench, "F1", "59.61").judged.budget.lines]


def test_neither_numpy_nor_scipy_is_loaded_between_enter_and_the_verdict(shop: SmallShop) -> None:
    measured(shop, "width")
    shop.record.checkpoint()
    code = (
        "import sys\nfrom inspect_tui.record.store import Record\nfrom inspect_tui.shop.common import find\n"
        "from inspect_tui.shop.bench.line import Bench\n"
        f"record = Record.open({str(shop.path)!r}, read_only=True)\n"
        "job = find.job(record, 'SV-12')\n"
        "bench = Bench(record, job, find.subject(record, job, 'stick 1'), find.person(record, 'AB'),\n"
        f"              find.instrument(record, 'caliper 1'), today={TODAY!r})\n"
        "bench.goto('F1')\n"
        "print(bench.judge_values(bench.task, [59.6]).budget.lines[-1].name)\n"
        "print([name for name in ('numpy', 'scipy', 'pint') if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split("\n")[:2] == ["repeatability", "[]"]
