"""`fit`: a print goes in by the fields of its form, is changed in what is given alone, and listed."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from inspect_tui.commands.fit import FIELDS
from inspect_tui.model.work import Core
from inspect_tui.shop.kit import edit
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def fit(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("fit", *words, "--record", str(shop.record.path))


def test_a_fit_is_added_changed_and_listed(fit: Callable[..., Ran], shop: SmallShop) -> None:
    assert tuple(key for key, _, _ in edit.FIT_FIELDS) == FIELDS
    added = fit("add", "K1-2", "inner=core 1", "outer=drag", "axis=y", "clearance=0.30 0.70", "mark=red", "--by", "AB")
    assert added.status == 0 and added.out.startswith("K1-2 added: ")
    assert fit("change", "K1-2", "clearance=0.20 0.50", "--by", "AB").out == "K1-2 changed\n"
    (made,) = shop.record.fits(shop.record.job("SV-12").of_id)
    assert (made.clear_min_mm, made.clear_max_mm, made.axis, made.mark) == (0.2, 0.5, "y", "red")
    (row,) = json.loads(fit("list", "--json").out)
    assert row["fit"] == "K1-2" and row["kind"] == "print" and row["stands"]
    assert "K1-2" in fit("list").out


def test_lengths_are_in_the_unit_that_they_are_shown_in(fit: Callable[..., Ran], shop: SmallShop) -> None:
    words = ("inner=core 1", "outer=drag", "axis=y", "clearance=0.02 1/32", "lift=3 mm", "mark=5", "--by", "AB")
    assert fit("add", "K1-2", *words, "--show", "in").status == 0
    (made,) = shop.record.fits(shop.record.job("SV-12").of_id)
    assert (made.clear_min_mm, made.clear_max_mm) == pytest.approx((0.508, 0.79375))
    assert (made.lift_mm, made.mark) == (3.0, "5")


def test_what_is_wrong_is_said_and_nothing_written(fit: Callable[..., Ran], shop: SmallShop) -> None:
    before = shop.record.heads()
    for words, why in (
        (("add", "K2", "--by", "AB"), "say which core goes in"),
        (("add", "K2", "inner=core 9", "--by", "AB"), "core 9"),
        (("change", "K2", "axis=y", "--by", "AB"), "There is no fit"),
        (("add", "K2", "iner=core 1", "--by", "AB"), "nearest: inner"),
    ):
        ran = fit(*words)
        assert ran.status == 2 and why in ran.err
    assert shop.record.heads() == before and "has no fits yet" in fit("list").err


def test_fits_that_go_in_a_ring_are_asked_about_when_they_are_said(fit: Callable[..., Ran], shop: SmallShop) -> None:
    of_id = shop.record.new_id()
    shop.record.add(Core(id=of_id, of_id=of_id, job_of_id=shop.record.job("SV-12").of_id, number=2, name="port"))
    given = ("axis=x", "clearance=0.20 0.50", "--by", "AB")
    fit("add", "K1", "inner=core 1", "outer=drag", *given)
    assert "ring" not in fit("add", "K2", "inner=core 2", "outer=core 1", *given).out
    asked = (
        "; the fits go in a ring: core 1 in core 2, core 2 in core 1. One of them cannot be: say which sits in which"
    )
    assert fit("add", "K3", "inner=core 1", "outer=core 2", *given).out.endswith(f"{asked}\n")
    assert fit("change", "K3", "clearance=0.30 0.50", "--by", "AB").out == f"K3 changed{asked}\n"
    assert fit("change", "K3", "outer=drag", "--by", "AB").out == "K3 changed\n"
