"""What the guide tells a stranger: where each core goes, how, what comes later, and nothing of the shop's doubts."""

from __future__ import annotations

from inspect_tui.metrology.kit.lookalikes import LookAlike
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.paper import guide as module
from inspect_tui.shop.kit.paper.come_back import come_back
from inspect_tui.shop.kit.paper.guide import guide
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit


def test_each_core_in_order_with_what_it_rests_in_and_what_comes_later(made: Kit) -> None:
    edit.change_fit(made.record, made.job, made.fit["K2"], mark="red")
    told = guide(made.record, made.job, ask="the shop")
    assert [(s.step, s.number) for s in told.steps] == [(1, 1), (2, 2)] and told.ask == "the shop"
    first, second = told.steps
    assert (first.later, second.rests_in, second.later) == (("2",), ("core 1",), ())
    (key,) = second.keys
    assert (key.name, key.kind, key.into, key.mark, key.way) == ("K2", "print", "core 1", "red", "z-")
    assert second.way == "z-"
    assert told.edition == come_back(made.record, made.job).edition  # what comes back is known by it
    assert told.colours == (("red", "K2 (core 2 into core 1)"),)


def test_ends_checks_and_sizes(made: Kit) -> None:
    edit.set_core_detail(
        made.record, made.job, made.core[2], template="T-1", check_name="throat", check_lower=7.5, check_upper=8.5,
        low_end="inlet", high_end="outlet", ends_axis="x",
    )  # fmt: skip
    step = guide(made.record, made.job).steps[1]
    assert [(end.name, end.toward) for end in step.ends] == [("inlet", "x low"), ("outlet", "x high")]
    assert (step.check, step.template, step.lower_mm, step.upper_mm) == ("throat", "T-1", 7.5, 8.5)
    wanted = [r.balloon for r in come_back(made.record, made.job).rows if r.kind == "core size" and r.core == 2]
    assert [size.balloon for size in step.sizes] == wanted


def test_real_look_alikes_are_told_once_with_the_marks_that_part_them(made: Kit, monkeypatch) -> None:
    edit.change_fit(made.record, made.job, made.fit["K2"], mark="red")
    real = kit.check

    def with_alike(*given: object, **more: object):
        from inspect_tui.frozen import replace

        pairs = [
            LookAlike(
                core=a,
                seats_of=b,
                turned="",
                p=0.9,
                pairs=pairs,
                remedy=None,
                sentence="",
                harm=harm,
                mirrored=mirrored,
            )
            for a, b, pairs, harm, mirrored in (
                ("2", "1", (), None, False),
                ("1", "2", (), None, False),
                ("1", "1", (("K1", "K1"), ("K2", "K2")), 0.5, False),
                ("2", "2", (("K2", "K2"),), None, False),  # one print: what its shape says is not known
                ("2", "2", (("K2", "K2"), ("K3", "K3")), 0.0, False),  # stands as it should
                ("2", "2", (("K2", "K2"), ("K3", "K3")), 0.5, True),  # only where it is made the wrong hand
            )
        ]
        return replace(real(*given, **more), look_alikes=tuple(pairs))

    monkeypatch.setattr(module.kit, "check", with_alike)
    told = guide(made.record, made.job)
    alike, turned = told.alike
    assert (alike.core, alike.other, alike.apart) == ("1", "2", (("2", "K2 red"),))
    assert (turned.core, turned.other, turned.apart) == ("1", "1", ())
    assert [(step.alike, step.turned) for step in told.steps] == [(("2",), True), (("1",), False)]
