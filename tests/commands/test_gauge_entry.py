"""`gauge add`, `change`, `certificate`: as the forms take them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def gauge(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("gauge", *words, "--by", "AB", "--record", str(shop.record.path))


def test_a_gauge_comes_in_is_changed_and_certified(gauge: Callable[..., Ran], shop: SmallShop) -> None:
    added = gauge("add", "tape 9", "kind=tape", "range=0 to 3000", "resolution=0.5", "serial=T-9")
    assert added.out == "tape 9 added: tape, reads 0.5 mm\n"
    assert gauge("change", "tape 9", "label=tape 10", "range=0 to 5000", "resolution=1").status == 0
    told = gauge("certificate", "tape 10", "done=2026-03-01", "due=2027-03-01", "u95=0.4", "reference=c 10")
    assert told.out.startswith("Certificate of 2026-03-01 added: U 0.4")
    (made,) = [i for i in shop.record.instruments() if i.label == "tape 10"]
    assert (made.kind, made.serial, made.range_hi, made.resolution) == ("tape", "T-9", 5000.0, 1.0)
    (certificate,) = shop.record.calibrations(made.of_id)
    assert (certificate.u95_mm, certificate.k, certificate.due_on) == (0.4, 2.0, "2027-03-01")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("add", "Caliper 1"), "is there already, in use or withdrawn"),
        (("add", "tape 9", "kind=string"), "Kind: "),
        (("add", "tape 9", "range=long"), "Range: "),
        (("change", "caliper 1", "label=tape 1"), "is there already, in use or withdrawn"),
        (("change", "caliper 1", "resolution=0"), "Step: "),
        (("change", "caliper 1", "label="), "Give it a name"),
        (("certificate", "caliper 1", "u95=0.04"), "done on: "),
        (("certificate", "caliper 1", "done=2026-03-01", "u95=0"), "U"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(
    gauge: Callable[..., Ran], shop: SmallShop, words: tuple[str, ...], why: str
) -> None:
    assert gauge("add", "tape 1", "kind=tape").status == 0
    before = shop.record.heads()
    ran = gauge(*words)
    assert ran.status == 2 and why in ran.err and shop.record.heads() == before
