"""Cores with bodies and details, and tools with what each was made from, of a job file."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.shop.jobs.file.plan import PLAN_U, RESIN_U
from tests.worlds.job_files import HEAD, SIZE, plan

TOOLS = '[[tool]]\nlabel = "stick 1"\nkind = "core stick"\ncore = "core 1"\n[[tool]]\nlabel = "box 1"\ncore = 1\n'


def core(lines: str) -> str:
    return HEAD.replace("number = 2\n", f"number = 2\n{lines}\n") + SIZE


def test_what_is_said_of_a_core_is_kept_in_its_places() -> None:
    made = plan(
        core(
            'name = "pocket"\nonly_locates = true\nset = 3\nvolume_dm3 = "2400 cm3"\nin_metal_dm3 = 0\ntolerance = "±0.15"\n'
            'ends = { y = ["inlet", "outlet"] }\nlift = "hooks"\ncheck = "f01"\ncheck_limits = [5, 7]\n'
            "body = [{ x = [0, 1], y = [0, 2], z = [0, 3] }, { x = [1, 2], y = [0, 2], z = [0, 3] }]"
        )
    )
    locator = made.cores[1]
    assert (locator.makes_surface, locator.set_order, locator.volume_dm3) == (False, 3, 2.4)
    (said,) = made.core_details
    assert (said.low_end, said.high_end, said.ends_axis, said.tol_mm) == ("inlet", "outlet", "y", 0.15)
    assert (said.check_feature_id, said.check_lower, said.lift_points) == (made.features[0].id, 5.0, "hooks")
    assert said.in_metal_dm3 == 0.0
    assert [(body.ord, body.x1) for body in made.bodies] == [(1, 1.0), (2, 2.0)]
    assert {body.core_of_id for body in made.bodies} == {locator.of_id}


def test_a_tool_knows_what_it_was_made_from() -> None:
    more = 'made_from = "STICK 1"\nresin = "0.1 %"\nsecond_contraction = "1.3 %"\nweight_kg = "2 lb"\ngrain = "X"\ndowels = 2\n'
    made = plan(HEAD + TOOLS + more + SIZE)
    stick, box = made.tools
    assert (stick.kind, stick.core_id, box.made_from_id) == ("core_stick", made.cores[0].id, stick.id)
    assert (box.resin_r, box.resin_u, box.second_a, box.second_u) == (0.001, RESIN_U, 0.013, PLAN_U)
    (said,) = made.tool_details
    assert (said.tool_of_id, said.dowels, said.grain, said.weight_kg) == (box.of_id, 2, "x", pytest.approx(0.90718474))
    assert len(made.tool_features) == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (core("makes_surface = true\nonly_locates = true"), "makes_surface says the opposite"),
        (core('ends = ["a", "b"]'), 'its ends are written as { x = ["inlet", "outlet"] }'),
        (core('check = "F9"'), "core 2 check: there is no feature F9"),
        (core("body = { x = [0, 0], y = [0, 1], z = [0, 1] }"), "it has no extent along x"),
        (core("volume_dm3 = -1"), "core 2 volume_dm3"),
        (core("set = 0"), "core 2 set: 0 does not lie between 1 and 999"),
        (HEAD.replace("number = 2", "number = 1") + SIZE, "there are two of core '1'"),
        (HEAD.replace("number = 2", "name = 'x'") + SIZE, "[[core]] needs a number"),
        (HEAD + TOOLS.replace("core = 1", "core = 7") + SIZE, "there is no [[core]] with number 7"),
        (HEAD + TOOLS.replace('label = "box 1"', 'made_from = "x"') + SIZE, "[[tool]] needs a label"),
        (
            HEAD + TOOLS + 'made_from = "stick 9"\n' + SIZE,
            "tool 'box 1' made_from: it names 'stick 9', which is not above it",
        ),
        (HEAD + TOOLS + 'weight_kg = "heavy"\n' + SIZE, "tool 'box 1' weight_kg"),
    ],
)
def test_what_is_wrong_is_told(text: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(text)
    assert said in str(told.value)


def test_what_hangs_on_a_mistake_is_no_mistake_of_its_own() -> None:
    with pytest.raises(JobFileError) as told:
        plan((HEAD + TOOLS + SIZE).replace("number = 1\n", "number = 1\nset = 0\n", 1))
    assert "mistakes" not in str(told.value) and "core 1 set" in str(told.value)
