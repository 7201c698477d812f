"""What a reading was made with: instrument, certificate and study as they stood then, in those hands."""

from __future__ import annotations

from inspect_tui.shop.common import find
from tests.conftest import SmallShop
from tests.shop.common.test_study_feed import line_of, measured


def test_the_hands_make_the_difference(shop: SmallShop) -> None:
    measured(shop, None)
    other = find.person(shop.record, "IN")
    ab, inspector = shop.bench(), shop.bench()
    inspector.set_person(other)
    u_ab = line_of(ab, "F1", "59.60").judged.budget.u
    u_in = line_of(inspector, "F1", "59.60").judged.budget.u
    assert u_in > u_ab + 0.01
