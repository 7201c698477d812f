"""The cut list of a sampling: what the planted faults ask for, and the trap that is not walked into."""

from __future__ import annotations

from tests.shop.first_article.test_article import contraction


def test_the_corrections_after_the_first_sampling_are_those_the_planted_faults_ask_for(articles) -> None:
    cuts = articles["S1"].cuts
    by_cause = {}
    for line in cuts.cuts:
        by_cause.setdefault(line.cause, []).append(line)
    relaid = by_cause["contraction x"]
    assert all("0.80 %" in line.words or "0.79 %" in line.words for line in relaid)
    ports = next(line for line in relaid if line.tool == "box 3")
    port_4 = next(face for face in ports.faces if abs(face.place_mm - 510.0) < 1e-6)
    assert abs(port_4.move_mm + 1.02) < 0.15  # 510 times 0.002 at the tool
    (seat,) = by_cause["core 4 y"]
    assert seat.tool == "box 2"
    assert "+Y side" in seat.words
    (box_4,) = by_cause["size F55"]
    assert abs(box_4.change_mm - 2.60) < 0.20
    assert box_4.casting_words == "metal off"
    assert len(box_4.faces) == 2
    (keys,) = by_cause["core 5 z"]
    assert "core 5 bears" in keys.words
    assert abs(keys.change_mm + 0.61) < 0.35
    assert any("weights, clamps and closing flash" in check for check in cuts.checks)
    assert not any(line.axis == "y" and line.tool == "box 4" for line in cuts.cuts)
    assert not any(line.tool == "box 7" and line.axis == "y" for line in cuts.cuts)
    chance = {line.balloon: (line.p_before, line.p_after) for line in cuts.predicted}
    for balloon in ("F55", "F07", "F38"):
        assert chance[balloon][0] < 0.5 and chance[balloon][1] > 0.95


def test_the_trap_is_not_walked_into(articles) -> None:
    # a plain fit of contraction and shifts over z gives 2.2 % and two false shifts of more than 2 mm (scenario)
    assert abs(100 * contraction(articles["S1"], "z") - 1.0) < 0.25
    assert all(abs(one.size) < 1.0 for one in articles["S1"].causes.found if one.axis == "z" and one.kind != "size")
