"""Whether a gauge may be measured with: its newest check, what was certified since, and that it is out of use."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.model.gauges import GaugeCheck, InstrumentBias, InstrumentState
from inspect_tui.model.measuring import Calibration, Instrument, Setup
from inspect_tui.record.ask.gauges import CheckRead
from inspect_tui.shop.bench.outcomes import Logged, Refused
from inspect_tui.shop.common import find, trusted
from inspect_tui.shop.common.gauges_then import GaugesThen
from inspect_tui.shop.common.trusted import History, Piece
from inspect_tui.shop.gauges.checks import QuickCheck
from inspect_tui.shop.gauges.instruments import gauge_setup
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop

CALIPER = Instrument(label="caliper 1")
DAY_US = 86_400_000_000
FIRST = 20_000  # a day number; 2024-10-04


def day(n: int) -> str:
    return (date(1970, 1, 1) + timedelta(days=FIRST + n)).isoformat()


def logged(n: int, value: float, second: float = 0.0, piece: str = "block 25") -> CheckRead:
    """A check on the n-th day, read as `value` on a piece of 25."""
    at = (FIRST + n) * DAY_US + 36_000_000_000 + round(second * 1_000_000)
    return CheckRead(
        id=at.to_bytes(16, "big"),
        reference=piece,
        reference_mm=25.0,
        u95_mm=0.0,
        value=value,
        at_us=at,
        tz_min=0,
    )


def certificate(n: int, result: str = "pass", error: float | None = None) -> Calibration:
    at = (FIRST + n) * DAY_US
    return Calibration(
        id=at.to_bytes(16, "big"),
        instrument_of_id=b"",
        done_on=day(n),
        result=result,
        u95_mm=0.04,
        error_mm=error,
    )


def test_a_check_is_judged_less_the_bias_that_is_known_of_its_day() -> None:
    known = InstrumentBias(
        instrument_of_id=b"", bias_mm=0.06, u_mm=0.0, found_from="stated", from_on=day(5), why="block"
    )
    certified = [certificate(0)]
    for n, value, good in ((3, 25.0, True), (3, 25.06, False), (6, 25.06, True), (6, 25.0, False)):
        failed = History(CALIPER, certified, [logged(n, value)], biases=[known]).failed(day(9))
        assert (failed is None) is good, (n, value)
    assert failed is not None and ": -0.060 less its known bias of +0.06, 0.040 is allowed" in failed


@given(st.floats(-0.2, 0.2), st.integers(0, 3))
def test_the_newest_check_is_what_counts(error: float, before: int) -> None:
    """U 0.04 of the certificate and 0.0058 for the step: 0.0404 is allowed."""
    read = [logged(n, 25.5) for n in range(before)]
    history = History(CALIPER, [certificate(-9)], [*read, logged(9, 25.0 + error)])
    assert (history.failed(day(9)) is not None) == (abs(error) > (0.04**2 + 0.01**2 / 3.0) ** 0.5)
    assert (history.failed(day(8)) is not None) == bool(before)
    assert history.failed(day(-1)) is None


def test_it_says_what_is_wrong() -> None:
    history = History(CALIPER, [certificate(-9)], [logged(0, 25.09)])
    assert history.failed(day(5)) == f"failed its check of {day(0)} on block 25: +0.090, 0.040 is allowed"
    means = history.means(day(5))
    assert means.bad == means.failed
    assert (means.remark() or "").startswith("✗ caliper 1 failed its check of")


def test_it_is_trusted_again_when_it_passes_or_is_certified_again() -> None:
    bad = logged(0, 25.09)
    assert History(CALIPER, [certificate(-9)], [bad, logged(3, 25.01)]).failed(day(3)) is None
    for result in ("pass", "adjusted"):
        again = History(CALIPER, [certificate(-9), certificate(2, result)], [bad])
        assert again.failed(day(1)) is not None and again.failed(day(2)) is None
    failed = History(CALIPER, [certificate(-9), certificate(2, "fail")], [bad])
    assert failed.failed(day(4)) is not None
    assert "failed its" in (failed.means(day(4)).bad or "")


def test_a_certificate_of_the_day_counts_when_it_was_entered_after_the_check() -> None:
    bad = logged(0, 25.09)
    assert History(CALIPER, [certificate(0)], [bad]).failed(day(0)) is not None  # entered in the morning
    later = certificate(0)
    late = Calibration(id=b"\xff" * 16, instrument_of_id=b"", done_on=later.done_on, u95_mm=0.04)
    assert History(CALIPER, [late], [bad]).failed(day(0)) is None


def test_pieces_of_one_day_are_looked_at_each_by_its_newest_reading() -> None:
    ok, bad = 25.0, 25.09
    both = [logged(0, bad, 0), logged(0, ok, 60, "block 50")]
    assert History(CALIPER, [certificate(-9)], both).failed(day(0)) is not None
    again = [*both, logged(0, ok, 90)]
    assert History(CALIPER, [certificate(-9)], again).failed(day(0)) is None


def test_repeats_of_one_look_are_judged_by_their_mean() -> None:
    one_look = [logged(0, 25.08, 0), logged(0, 24.96, 0.0005)]
    assert History(CALIPER, [certificate(-9)], one_look).failed(day(0)) is None
    two = [logged(0, 24.96, 0), logged(0, 25.08, 0.01)]
    assert History(CALIPER, [certificate(-9)], two).failed(day(0)) is not None


def test_what_the_certificate_stated_is_allowed_for() -> None:
    stated = [certificate(-9, error=0.08)]
    assert History(CALIPER, stated, [logged(0, 25.09)]).failed(day(0)) is None
    assert trusted.checked(History(CALIPER, stated, []).means(day(0)), Piece("block", 25.0), [25.09]).stated == 0.08


@pytest.mark.parametrize("states, out", [(["out_of_use"], True), (["out_of_use", "in_use"], False), ([], False)])
def test_out_of_use_until_it_is_taken_back(states: list[str], out: bool) -> None:
    rows = [
        InstrumentState(instrument_of_id=b"", state=state, since_on=day(n), why="jaws bent")
        for n, state in enumerate(states)
    ]
    history = History(CALIPER, [certificate(-9)], [], rows)
    said = history.means(day(9)).bad
    assert (said == f"is out of use since {day(0)}: jaws bent") == out and bool(said) == out
    assert history.out_of_use(day(-1)) is None


# ------------------------------------------------------------------------------ on the record
def failing_check(shop: SmallShop) -> None:
    desk = QuickCheck(shop.record, shop.ab, shop.caliper, Piece("block 25", 25.0))
    desk.take("25.09")
    desk.keep_pending()


def today() -> str:
    return date.today().isoformat()


def test_the_bench_says_so_beside_what_is_read_with_it(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    good = bench.take("59.60")
    assert isinstance(good, Logged) and not any("✗" in remark for remark in good.judged.remarks)
    failing_check(shop)
    bench.today = today()
    bench.forget_gauges()
    bench.goto("F2")
    outcome = bench.take("40.40")
    assert isinstance(outcome, Logged)
    assert any(remark.startswith("✗ caliper 1 failed its check of") for remark in outcome.judged.remarks)
    assert bench.task is not None
    task = next(task for task in bench.tasks if task.feature.balloon == "F2")
    assert bench.read_with_bad_gauge(bench.readings_of(task)) == {reading.id for reading in outcome.readings}


def test_what_is_out_of_use_is_not_measured_with(shop: SmallShop) -> None:
    record = shop.record
    record.add(InstrumentState(instrument_of_id=shop.caliper.of_id, state="out_of_use", since_on=TODAY, why="dropped"))
    bench = shop.bench()
    bench.goto("F1")
    refused = bench.take("59.60")
    assert isinstance(refused, Refused)
    assert refused.sentence == f"caliper 1 is out of use since {TODAY}: dropped."
    assert (refused.text, refused.todo) == ("59.60", Todo.TAKE_ANOTHER_INSTRUMENT)
    assert record.readings() == []
    assert "caliper 1" not in [one.label for one in find.instruments_in_use(record)]
    assert [state.why for state in record.out_of_use(today())] == ["dropped"]
    record.add(InstrumentState(instrument_of_id=shop.caliper.of_id, state="in_use", since_on=TODAY, why="new jaws"))
    assert "caliper 1" in [one.label for one in find.instruments_in_use(record)]
    again = shop.bench()
    again.goto("F1")
    assert isinstance(again.take("59.60"), Logged)


def test_what_is_read_of_all_instruments_at_once_is_what_is_read_of_each(shop: SmallShop) -> None:
    record = shop.record
    for instrument in record.instruments()[:2]:
        setup = gauge_setup(record, shop.ab, instrument, "check")
        for value in (50.0, 50.2):
            record.add(GaugeCheck(setup_id=setup, reference="b", reference_mm=50.0, value=value, typed="x"), shop.ab.id)
        record.add(InstrumentState(instrument_of_id=instrument.of_id, state="out_of_use", since_on="2026-02-01"))
        bias = InstrumentBias(
            instrument_of_id=instrument.of_id, from_on="2026-01-01", bias_mm=0.1, u_mm=0.0, why="w", found_from="f"
        )
        record.add(bias, shop.ab.id)
    known = {i.of_id: record.biases(i.of_id) for i in record.instruments()}
    past = trusted.Past(record, record.calibrations_by_id().values(), known)
    for instrument in record.instruments():
        one, same = trusted.history(record, instrument), past.of(instrument)
        for name in ("instrument", "calibrations", "checks", "states", "biases"):
            assert list_of(getattr(one, name)) == list_of(getattr(same, name)), name
    before = trusted.Past(record, (), known, until_us=0)
    assert not any(before.of(instrument).checks for instrument in record.instruments())
    assert GaugesThen(record).biased(Setup(instrument_id=record.instruments()[0].id, session_id=b"", person_id=b""))


def list_of(value: object) -> object:
    return list(value) if isinstance(value, (list, tuple)) else value
