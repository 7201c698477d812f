"""Hints of the feature form: what the handbooks print for what is left open, and nothing where it is not."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.work import End, Feature, Job
from inspect_tui.shop.jobs.feature_form import LINES, follows
from inspect_tui.shop.jobs.hints import hints

JOB = Job(number="1", name="a job", alloy="ductile iron", a_x=0.01, a_y=0.01, a_z=0.01)


def feature(nominal: float = 62.0, facing: tuple[int, int] = (-1, 1), stock: float = 0.0, **more: object) -> Feature:
    ends = tuple(
        End(which=which, half="drag", facing=side, stock_mm=stock) for which, side in zip("AB", facing, strict=True)
    )
    given = {"quantity": "length", "axis": "x", "machined": stock > 0.0, "ends": ends, **more}
    return Feature(balloon="F1", name="a size", nominal=nominal, **given)  # type: ignore[arg-type]


def test_what_is_open_gets_a_hint_each() -> None:
    # AFS 3/32 in and P. N. Rao 3 mm; cope side 5.5 mm; DCTG by process; ISO 8062-3 half of 1.4 and of 12; Rao's draft
    assert hints(JOB, feature(axis="z")) == [
        "handbook: stock 2.4 to 3.0 mm a machined face, 5.5 mm where cast uppermost",
        "handbook: DCTG 8 to 12 machine, 11 to 15 hand moulded: ±0.7 to ±6 mm",
        "handbook: draft at this height 1° outside, 1.5° inside (wooden pattern)",
    ]


def test_a_bore_asks_for_more_and_has_no_upper_face() -> None:
    bore = feature(400.0, (1, -1), quantity="diameter", lower=399.0, upper=401.0)
    assert hints(JOB, bore) == ["handbook: stock 4.8 to 5.0 mm a machined face"]  # 3/16 in and 5 mm
    outside = feature(400.0, (-1, 1), quantity="diameter", lower=399.0, upper=401.0)
    assert hints(JOB, outside)[0].startswith("handbook: stock 3.2 to 4.0 mm a machined face")
    passage = feature(400.0, (1, -1), quantity="width", lower=399.0, upper=401.0)
    assert hints(JOB, passage) == hints(JOB, outside)


def test_what_is_given_gets_none() -> None:
    assert not any("stock" in line for line in hints(JOB, feature(stock=3.0)))
    assert not any("DCTG" in line for line in hints(JOB, feature(lower=61.0)))
    assert not any("DCTG" in line for line in hints(JOB, feature(upper=63.0)))
    assert not any("draft" in line for line in hints(JOB, feature(axis="z", draft_deg=1.0)))


@pytest.mark.parametrize(
    "other",
    [{"quantity": "angle"}, {"quantity": "flatness"}, {"scale": "tool"}, {"scale": "layout"}, {"nominal": 0.0}],
)
def test_what_is_no_size_of_a_casting_gets_none(other: dict[str, object]) -> None:
    assert hints(JOB, feature(**other)) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("alloy", [None, "", "unobtainium", "iron"])
def test_an_alloy_that_is_not_known_gets_none(alloy: str | None) -> None:
    assert hints(Job(number="1", name="a job", alloy=alloy), feature()) == []


def test_a_hint_goes_by_the_size_as_cast_and_by_the_unit_of_who_asks() -> None:
    # ISO 8062-3: half of DCTG 8 and 15 is 1.1 and 10 up to 400 mm, 1.3 and 11 over it; 398 with 2 mm a side is 402
    assert hints(JOB, feature(398.0, stock=2.0))[0].endswith("±1.3 to ±11 mm")
    assert hints(JOB, feature(398.0))[1].endswith("±1.1 to ±10 mm")
    assert hints(JOB, feature(299.0))[0] != hints(JOB, feature(301.0))[0]  # up to 300 and over it
    assert hints(JOB, feature(), Style("in")) == [
        "handbook: stock 0.094 to 0.118 in a machined face, 0.217 in where cast uppermost",
        "handbook: DCTG 8 to 12 machine, 11 to 15 hand moulded: ±0.0276 to ±0.2362 in",
    ]


def test_weak_sources_give_no_hint_and_a_dash_no_figure() -> None:
    assert hints(JOB, feature(9000.0)) == ["handbook: DCTG 8 to 12 machine, 11 to 15 hand moulded"]
    assert hints(Job(number="1", name="a job", alloy="zinc"), feature(3000.0)) == []


def test_a_hint_fits_its_line_and_all_of_them_their_place() -> None:
    for alloy in ("ductile iron", "aluminium", "steel", "tin bronze", "malleable iron", "zinc"):
        for nominal in (8.0, 62.0, 300.0, 1234.5):
            for line in hints(Job(number="1", name="a job", alloy=alloy), feature(nominal, axis="z")):
                assert len(line) <= 75, line
    shown = follows(JOB, feature(axis="z"), []).splitlines()
    assert shown[0].startswith("outside of the casting") and shown[1].startswith("as cast 62") and len(shown) <= LINES
    assert shown[-3:] == hints(JOB, feature(axis="z"))
