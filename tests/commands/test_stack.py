"""`stack`: every wall, one in full, and the exit status of one that does not hold."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.commands.test_kit import two  # noqa: F401


def test_stack_lists_every_wall_and_tells_one_in_full(cli: Run, two: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    got = cli("--record", two, "stack")
    assert got.status == 0
    assert "F1" in got.out and "7.65 to 8.35" in got.out
    got = cli("--record", two, "stack", "f1")
    assert "worst case 7.65 to 8.35, root-sum-square 8.00 ± 0.26" in " ".join(got.out.split())
    assert "drawn at random: 8.00" in got.out
    assert "core 1, core 2" in got.out


def test_stack_as_json_has_its_contributors_and_the_random_draw(cli: Run, two: str) -> None:
    (wall,) = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert wall["path"] == ["core 1", "core 2"]
    assert len(wall["contributors"]) == 3
    assert wall["assemblies"]["n"] == 20000
    assert wall["assemblies"]["sd_mm"] == pytest.approx(wall["u_mm"], rel=0.05)
    again = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert again == [wall]


def test_a_wall_that_does_not_hold_is_1_and_one_that_is_not_there_2(cli: Run, tmp_path: Path, two: str) -> None:
    with Record.open(two) as record:
        made_job = record.jobs()[0]
        from inspect_tui.model.kit import Stack, StackMember
        from inspect_tui.shop.kit import edit

        stack = Stack(job_of_id=made_job.of_id, label="ST9", name="thin wall", lower=7.0, upper=9.0)
        edit.add_stack(
            record, stack, [StackMember(stack_id=b"", ord=0, name="all", size_mm=6.0, plus_mm=0.3, minus_mm=0.3)]
        )
    assert cli("--record", two, "stack", "ST9").status == 1
    assert cli("--record", two, "stack").status == 1
    got = cli("--record", two, "stack", "ST4")
    assert got.status == 2
    assert "no wall 'ST4'" in got.err
    assert cli("--record", two, "stack", "--assemblies", "0").status == 2


def test_the_sigma_ratio_says_how_far_the_limits_are_and_what_is_outside(cli: Run, two: str) -> None:
    (three,) = json.loads(cli("--record", two, "stack", "F1", "--json").out)
    (six,) = json.loads(cli("--record", two, "stack", "F1", "--json", "--sigma-ratio", "6").out)
    assert three["sigma_ratio"] is not None
    assert six["sigma_ratio"] > three["sigma_ratio"]
    assert six["p_out_drawn"] < three["p_out_drawn"]
    assert (six["rss_mm"], six["worst_low_mm"]) == (three["rss_mm"], three["worst_low_mm"])
    told = " ".join(cli("--record", two, "stack", "F1").out.split())
    assert f"the nearer limit lies {three['sigma_ratio']:.1f} standard deviations from the middle" in told
    wrong = cli("--record", two, "stack", "F1", "--sigma-ratio", "0")
    assert wrong.status == 2
    assert "more than 0" in wrong.err
