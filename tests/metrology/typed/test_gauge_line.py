"""What gauges send is read as people would type it, and never where a part of it was lost.

The lines are of the sorts that gauges with a data output send: identifier, sign, zeros, figure, letter of the unit
(common practice, no source).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.gauge_line import LOST, Learnt, Speech, heard, learn, pattern_of, spoiled

PLAIN = Speech()
GAUGE = Speech(prefix="01A", units={"M": "mm", "I": "in"}, mark=".")


@pytest.mark.parametrize(
    ("sent", "speech", "read"),
    [
        ("01A+00059.66", GAUGE, "59.66 mm"),
        ("01A-00000.02", GAUGE, "-0.02 mm"),
        ("01A+0002.3488I\r", GAUGE, "2.3488 in"),
        ("01A + 59.66 M", GAUGE, "59.66 mm"),
        ("59,66 mm;", Speech(suffix=";", mark=","), "59.66 mm"),
        ("  59.66mm", PLAIN, "59.66 mm"),
        ("D: 12.5 deg #", Speech(pattern=r"D: ([0-9.]+) (\w+) #", unit="deg"), "12.5 deg"),
        (".5in", PLAIN, "0.5 in"),
    ],
)
def test_what_a_gauge_sends_is_read(sent: str, speech: Speech, read: str) -> None:
    assert heard(sent, speech) == read


@pytest.mark.parametrize("typed", ["59.66", "12 3/16 in", "1' 2-5/8\"", "59.66 59.68", "=", "", "F29 82.80", "59,66"])
def test_what_somebody_typed_is_left_alone(typed: str) -> None:
    assert heard(typed, GAUGE) == typed == heard(typed, PLAIN)


def test_over_a_line_of_its_own_every_figure_is_the_gauges() -> None:
    assert heard("59.66", PLAIN, surely=True) == "59.66 mm"
    assert heard("2.3488", Speech(unit="in"), surely=True) == "2.3488 in"
    assert isinstance(heard("Err 3", PLAIN, surely=True), Wrong)


@pytest.mark.parametrize(
    ("sent", "speech", "why"),
    [
        ("01A+000\x0059.66", GAUGE, "a part of what the gauge sent was lost"),
        (f"59{LOST}66", PLAIN, "a part of what the gauge sent was lost"),
        ("01A", GAUGE, "no figure stands behind"),
        ("01A59.66 59.67", GAUGE, "is more than one figure"),
        ("01A59,66", GAUGE, "is more than one figure"),
        ("01A59.66X", GAUGE, "no unit is called so"),
        ("01A59.6", Speech(prefix="01A", suffix="#"), "the end of what the gauge sent was lost"),
        ("01A59.6", Speech(prefix="01A", pattern=r"01A([0-9]+\.[0-9]{2})"), "is not all that the gauge sends"),
        ("x1", Speech(prefix="x", pattern="x(a)|x1"), "the first group of the pattern is no figure"),
    ],
)
def test_a_spoiled_line_is_said_and_gives_no_figure(sent: str, speech: Speech, why: str) -> None:
    got = heard(sent, speech)
    assert isinstance(got, Wrong) and why in got.what


@pytest.mark.parametrize(
    ("example", "reads", "learnt"),
    [
        ("01A+00059.66", "", Learnt("01A", "", "", ".", 2)),
        ("ID 1 59,663 mm #", "", Learnt("ID 1", "#", "mm", ",", 3)),
        ("59.66", "", Learnt("", "", "", ".", 2)),
        ("A1 25", "25", Learnt("A1", "", "", "", 0)),
        ("T20.5 L59.66", "59.66", Learnt("T20.5 L", "", "", ".", 2)),
    ],
)
def test_one_reading_tells_how_a_gauge_speaks(example: str, reads: str, learnt: Learnt) -> None:
    assert learn(example, reads) == learnt
    speech = Speech(prefix=learnt.prefix.strip(), suffix=learnt.suffix, mark=learnt.mark, pattern=pattern_of(learnt))
    got = heard(example, speech)
    assert isinstance(got, str) and got.endswith(" mm")


@pytest.mark.parametrize(
    ("example", "reads", "why"),
    [
        ("", "", "nothing came"),
        ("Err", "", "holds no figure"),
        ("T20.5 L59.66", "", "holds 2 figures"),
        ("59.66", "60", "60 does not stand in"),
        ("59.66", "abc", "is no figure"),
        ("5\x009", "", "was lost"),
    ],
)
def test_an_example_that_tells_nothing_is_said(example: str, reads: str, why: str) -> None:
    got = learn(example, reads)
    assert isinstance(got, Wrong) and why in got.what


@given(
    st.decimals(-9999, 9999, places=2),
    st.sampled_from(["01A", "ID1 ", ""]),
    st.sampled_from(["", " mm", "#"]),
    st.data(),
)
def test_a_learnt_gauge_is_read_and_a_line_with_a_hole_never_is(figure, prefix, suffix, data) -> None:  # type: ignore[no-untyped-def]
    sent = f"{prefix}{figure:+09.2f}{suffix}"
    learnt = learn(sent, f"{figure}")
    if isinstance(learnt, Wrong):  # the figure stands in the prefix, too
        return
    speech = Speech(prefix=learnt.prefix.strip(), suffix=learnt.suffix, mark=".", pattern=pattern_of(learnt))
    got = heard(sent, speech)
    assert isinstance(got, str) and float(got.split()[0]) == float(figure)
    at = data.draw(st.integers(0, len(sent) - 1))
    assert spoiled(f"x{sent[:at]}\x00{sent[at + 1 :]}x") and isinstance(
        heard(f"x{sent[:at]}\x00{sent[at + 1 :]}x", speech), Wrong
    )
    point = sent.index(".")
    got = heard(sent[: point + 2] + sent[point + 3 :], speech, surely=True)  # a decimal was dropped on the way
    assert isinstance(got, Wrong) or suffix == ""


def test_an_m_that_nobody_explained_is_no_metre() -> None:
    assert heard("59.66 M", PLAIN) == "59.66 M" and heard("59.66 m", PLAIN) == "59.66 m"
    assert isinstance(heard("59.66 M", PLAIN, surely=True), Wrong)
    assert heard("59.66 MM", PLAIN) == "59.66 mm"
