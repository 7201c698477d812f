"""Which cores are proven together, what the trials speak against, and where they contradict the sizes."""

from __future__ import annotations

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.together.proven import NOT_PROVEN, best
from tests.shop.kit.test_check import checked, proven, record  # noqa: F401  a fixture
from tests.shop.kit.tried.test_trials import repair
from tests.worlds.kit_jobs import Kit
from tests.worlds.trials import mould, tried


@pytest.fixture
def made(record: Record) -> Kit:
    return proven(record)


def said(check: KitCheck, kind: str) -> list[tuple[bool, tuple[str, ...], str]]:
    """What the trials say in a check: (against, cores, sentence)."""
    both = ((True, check.found), (False, check.open))
    return [
        (against, t.cores, t.sentence)
        for against, of in both
        for t in of
        if t.kind == kind and "ing in of" in t.sentence
    ]


def test_a_kit_that_nobody_tried_is_not_proven(made: Kit) -> None:
    check = checked(made)
    assert check.proven_sentence == NOT_PROVEN and check.proven == ()
    assert not said(check, "fit") and not said(check, "missing")


def test_all_cores_of_one_trial_are_proven_together(made: Kit) -> None:
    mould(made)
    tried(made, {"K1": "+", "K2": "tight"}, mould="mould 1", day="2026-11-02")
    check = checked(made)
    assert check.proven_sentence == "proven together on 2026-11-02 (trying in), sticks of cores 1 and 2 in mould 1"
    assert check.proven[0].cores == ("1", "2") and check.proven[0].without == ()


def test_what_was_changed_falls_back_to_not_proven(made: Kit) -> None:
    made.add_core(3, set_order=3)
    made.add_tool("stick 3", "core_stick", 3)
    tried(made, day="2026-11-02")
    repair(made, "stick 3")
    each = checked(made).proven[0]
    assert each.cores == ("1", "2")
    assert each.sentence == (
        "proven together on 2026-11-02 (trying in), sticks of cores 1 and 2; not proven: core 3 (since then stick 3 was "
        "repaired on 2031-01-01: seat eased)"
    )
    repair(made, "drag pattern", what="new insert")
    assert checked(made).proven_sentence == (
        "not proven since the trying in of sticks of cores 1 to 3 on 2026-11-02: drag pattern was repaired on 2031-01-01: "
        "new insert"
    )


def test_one_core_alone_is_together_with_nobody(made: Kit) -> None:
    tried(made, cores="1", day="2026-11-02")
    check = checked(made)
    assert check.proven[0].cores == ()
    assert (
        check.proven_sentence == "not proven: of the trying in of sticks of core 1 on 2026-11-02, core 2 was not in it"
    )


def test_the_trial_that_proves_most_speaks_and_of_two_the_newer(made: Kit) -> None:
    tried(made, day="2026-11-02")
    tried(made, cores="1", day="2026-11-03")
    each = best(checked(made).proven)
    assert each is not None and each.trial.proving.on_date == "2026-11-02"
    tried(made, day="2026-11-04")
    each = best(checked(made).proven)
    assert each is not None and each.trial.proving.on_date == "2026-11-04"
    assert best(()) is None


def test_what_rubs_is_a_doubt_of_its_fit_and_cores(made: Kit) -> None:
    tried(made, {"K2": "rubs, at the neck"}, day="2026-11-02")
    check = checked(made)
    assert said(check, "fit") == [
        (False, ("2", "1"), "K2, core 2 in core 1: trying in of 2026-11-02: rubs, at the neck")
    ]
    assert next(t for t in check.open if t.fit == "K2").kind == "fit"
    assert check.proven_sentence == (
        "not proven: of the trying in of sticks of cores 1 and 2 on 2026-11-02, core 2 rubbed at K2"
    )


def test_what_does_not_go_in_speaks_against_the_kit(made: Kit) -> None:
    tried(made, {"K2": "stops"})
    assert not checked(made).holds and said(checked(made), "fit")[0][0] is True
    tried(made, {"K2": "goes"})
    assert checked(made).holds  # tried again, it goes
    tried(made, {"core 1": "stops, too long"})
    check = checked(made)
    assert not check.holds and said(check, "fit")[0][1:] == (
        ("1",),
        f"trying in of {check.proven[-1].trial.proving.on_date}: core 1 does not go, too long",
    )


def test_a_mould_that_does_not_close_speaks_against_the_kit(made: Kit) -> None:
    tried(made, {"closing": "0.1 feeler"})
    assert checked(made).holds  # twice the feeler's 0.05 is not passed
    tried(made, {"closing": "0.11 feeler"})
    check = checked(made)
    assert not check.holds and "the mould does not close, 0.11 mm by feeler" in check.against[0]
    tried(made, {"closing": "+"})
    assert checked(made).holds
    tried(made, {"closing": "s"})
    assert not checked(made).holds
    repair(made, "stick 1")
    assert checked(made).holds  # it was changed since: nobody knows


def test_sizes_and_trial_that_contradict_each_other_are_a_doubt(made: Kit) -> None:
    tried(made, {"K2": "goes 1.2 feeler", "F1": "9.9 ±0.2"})
    check = checked(made)
    fit = [text for _, _, text in said(check, "fit")]
    assert len([text for text in fit if "which is not what its sizes give: one of the two is wrong" in text]) == 1
    (wall,) = said(check, "wall")
    assert wall[:2] == (False, ("1", "2")) and "is not what its loop gives" in wall[2]


def test_what_went_in_though_its_sizes_say_that_it_rubs_is_a_doubt(made: Kit) -> None:
    made.read("box 2", {"K2-P": 40.6})
    tried(made, {"K2": "goes"})
    texts = [text for _, _, text in said(checked(made), "fit")]
    assert any("where its sizes say that it does not go: one of the two is wrong" in text for text in texts)
