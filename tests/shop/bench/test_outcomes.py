"""A line of the list is open until it is measured, and again when somebody asks for it."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.shop.common.standing import Standing
from tests.conftest import SmallShop


@pytest.mark.parametrize("state", list(Standing))
def test_only_what_is_to_measure_is_open_and_what_is_wanted_again(shop: SmallShop, state: Standing) -> None:
    task = replace(shop.bench().tasks[0], state=state)
    assert task.open == (state is Standing.TO_MEASURE)
    assert replace(task, mark="again").open
    assert replace(task, mark="skipped").open == task.open  # passed over is neither done nor asked for
    assert task.feature is task.sizes.feature
