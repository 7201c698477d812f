"""`job set`: another contraction is asked about, for the tools are laid out anew; another alloy is not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def job_set(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("job", "set", *words, "--by", "AB", "--record", str(shop.record.path))


def test_alloy_and_contraction_are_put_right(job_set: Callable[..., Ran], shop: SmallShop) -> None:
    asked = job_set("contraction=1.2 %", "--why", "misread")
    assert asked.status == 1 and "3 tools get other sizes" in asked.err and "with --yes it is" in asked.err
    assert shop.record.jobs()[0].a_x == 0.01
    assert job_set("alloy=ductile iron", "--why", "misread").out.endswith(": alloy put right\n")
    assert job_set("contraction=1.2 %", "--why", "misread", "--yes").out.endswith(": contraction put right\n")
    job = shop.record.jobs()[0]
    assert (job.alloy, job.a_x, job.a_z) == ("ductile iron", 0.012, 0.012)


def test_what_is_wrong_is_said_and_nothing_written(job_set: Callable[..., Ran], shop: SmallShop) -> None:
    before = shop.record.heads()
    for words, why in (
        (("contraction=much", "--why", "x"), "contraction: "),
        (("aloy=steel", "--why", "x"), "nearest: alloy"),
        (("alloy=grey iron", "--why", "x"), "Nothing is another than it was"),
        (("alloy=steel", "--why", " "), "Say why"),
    ):
        ran = job_set(*words)
        assert ran.status == 2 and why in ran.err
    assert shop.record.heads() == before


def test_a_contraction_far_from_the_handbooks_is_asked_about_first(job_set: Callable[..., Ran]) -> None:
    asked = job_set("contraction=9.5 %", "--why", "misread")
    assert asked.status == 1 and "a contraction of 9.5 % beside the handbook's" in asked.err
    assert "beside the handbook's" not in job_set("contraction=1.2 %", "--why", "misread").err
