"""From weighed explanations to an answer: what is named, what cannot be told apart, contraction averaged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import say_all
from inspect_tui.metrology.faces.observed import Face, Observed, Read
from tests.metrology.causes.test_explain import first  # noqa: F401  a fixture


def test_causes_that_the_features_cannot_tell_apart_are_named(first):
    found = first.named("core 5 z")  # no feature shows core 6 in z
    assert [c.name for c in found.alike] == ["core 5 with core 6 z"]
    assert found.probability > 0.95 > found.own


def test_two_causes_with_one_signature_are_not_named():
    """A wall between two cores, and nothing else of either: which of them moved is anybody's guess."""
    wall = Observed(
        balloon="W",
        axis="y",
        a=Face("core 1", 40, -1),
        b=Face("core 2", 47, 1),
        predicted_mm=7,
        cast_size_mm=7,
        readings={s: Read(7.9, 0.03) for s in "123"},
    )
    overall = Observed(
        balloon="L",
        axis="y",
        a=Face("drag", 0, -1),
        b=Face("drag", 150, 1),
        predicted_mm=150,
        cast_size_mm=150,
        readings={s: Read(150.0, 0.03) for s in "123"},
    )
    answer = explain([wall, overall])
    assert not answer.findings
    unclear = answer.cannot_tell[0]
    assert {"core 1 y", "core 2 y"} <= {unclear.candidate.name, *(c.name for c in unclear.alike)}
    assert unclear.probability > 0.95
    assert {r.names for r in answer.rivals[:2]} == {("core 1 y",), ("core 2 y",)}
    assert all("Do not cut" in t.text for t in say_all(answer) if t.name)


def test_contraction_is_averaged_over_what_else_could_explain_the_sizes():
    """Mean and variance of the mixture over the explanations (law of total variance), each asked by itself."""
    cands = [c for c in all_candidates(heights(0.25)) if c.name in ("contraction z", "parting z")]
    answer = explain(heights(0.25), candidates=cands, learn_noise=False)
    assert not answer.odd
    weights = {frozenset(r.names): r.probability for r in answer.rivals}
    there = [replace(c, prior=1 - 1e-12) for c in cands]
    alone, both = (
        explain(heights(0.25), candidates=some, learn_noise=False).contraction["z"]
        for some in ([c for c in there if c.kind == "contraction"], there)
    )
    parting = sum(p for names, p in weights.items() if "parting z" in names)
    assert 0.2 < parting < 0.8  # neither explanation has won
    mean = (1 - parting) * alone.value + parting * both.value
    square = (1 - parting) * (alone.u**2 + alone.value**2) + parting * (both.u**2 + both.value**2)
    assert answer.contraction["z"].value == pytest.approx(mean, rel=0.01)
    assert answer.contraction["z"].u == pytest.approx((square - mean**2) ** 0.5, rel=0.01)
    assert answer.contraction["z"].u > max(alone.u, both.u)


def heights(up: float) -> list[Observed]:
    """Two heights to the cope and a short one on the drag: contraction and parting are rivals."""
    ends = {
        "H1": (("drag", 0.0), ("cope", 180.0)),
        "H2": (("drag", 20.0), ("cope", 150.0)),
        "H3": (("drag", 0.0), ("drag", 60.0)),
    }
    return [
        Observed(
            balloon=name,
            axis="z",
            a=Face(*a),
            b=Face(*b),
            predicted_mm=b[1] - a[1],
            cast_size_mm=b[1] - a[1],
            contraction=0.01,
            readings={s: Read(b[1] - a[1] + up * (b[0] == "cope"), 0.03) for s in "123"},
        )
        for name, (a, b) in ends.items()
    ]


def test_a_common_cause_is_given_for_each_casting_too(first):
    by_casting = dict(first.named("core 4 y").by_casting)
    assert set(by_casting) == {"1", "2", "3"}
    assert all(e.value == pytest.approx(0.70, abs=4 * e.u) for e in by_casting.values())
