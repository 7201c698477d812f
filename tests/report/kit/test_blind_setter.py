"""A blind setter sets random kits by the guide alone: every core of a kit that passes ends where it belongs.

The setter reads nothing but the data in the file: order, directions, names and marks of keys with their places. It
holds a core by its first key, brings every key to the seat of its name, and moves in along the way that is said.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from random import Random
from typing import Any

import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.kit.guide import html
from inspect_tui.report.kit.phrases import phrases
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.paper.guide import guide
from tests.amounts import some
from tests.worlds.kit_jobs import Kit
from tests.worlds.kit_random import right

FAR = 10_000.0
Boxes = list[list[float]]


def read_by_a_stranger(content: bytes) -> dict[str, Any]:
    found = re.search(r'id="guide-data">(.*?)</script>', content.decode(), re.S)
    assert found is not None
    return dict(json.loads(found[1]))


def meets(a: list[float], b: list[float]) -> bool:
    return all(min(a[2 * k + 1], b[2 * k + 1]) - max(a[2 * k], b[2 * k]) > 0.01 for k in range(3))


def path_of(box: list[float], way: str) -> list[float]:
    """The room that a box sweeps as it comes in from far away."""
    axis, swept = "xyz".index(way[0]), list(box)
    swept[2 * axis + (1 if way[1] == "-" else 0)] += FAR if way[1] == "-" else -FAR
    return swept


def set_blindly(data: dict[str, Any], seats: dict[tuple[str, str], tuple[float, ...]]) -> dict[int, Boxes]:
    """Where each core ends; `seats` are the places of the seats in the mould, by name and what they are in."""
    stands: dict[int, Boxes] = {}
    for step in data["steps"]:
        keys = [key for key in step["keys"] if None not in key["at"]]
        assert step["way"] and keys, f"nothing says how core {step['number']} goes in"
        hold = keys[0]["at"]
        own = [[edge - hold[k // 2] for k, edge in enumerate(box)] for box in step["boxes"]]
        moves = []
        for key in keys:
            assert key["into"] in ("drag", "cope") or int(key["into"].split()[1]) in stands, "its seat is not there yet"
            seat, at = seats[key["name"], key["into"]], [a - h for a, h in zip(key["at"], hold, strict=True)]
            moves.append([s - a for s, a in zip(seat, at, strict=True)])
        assert all(abs(a - b) < 0.01 for move in moves for a, b in zip(move, moves[0], strict=True)), "keys disagree"
        there = [[edge + moves[0][k // 2] for k, edge in enumerate(box)] for box in own]
        way = [path_of(box, step["way"]) for box in there]
        assert not any(meets(box, other) for box in way for others in stands.values() for other in others), "in the way"
        stands[step["number"]] = there
    return stands


def truth(made: Kit) -> tuple[dict[tuple[str, str], tuple[float, ...]], dict[int, Boxes]]:
    facts = kit.check(made.record, made.job).facts
    seats = {
        (fit.name, kit_part(made, fit)): (fit.at_x, fit.at_y, fit.at_z) for fit in facts.fits if fit.at_x is not None
    }
    con = made.record.connection
    bodies: dict[int, Boxes] = {}
    for number, *box in con.execute(
        "SELECT c.number, b.x0, b.x1, b.y0, b.y1, b.z0, b.z1 FROM core_body b JOIN core c ON c.id = b.core_of_id"
    ):
        bodies.setdefault(number, []).append(box)
    return seats, bodies  # type: ignore[return-value]


def kit_part(made: Kit, fit: Any) -> str:
    return str(kit.check(made.record, made.job).part(fit, "outer")) if fit.outer_core_id else str(fit.outer_half)


@pytest.mark.parametrize("seed", range(some(2, 100)))
def test_every_core_of_a_kit_that_passes_ends_where_it_belongs(tmp_path: Path, seed: int) -> None:
    random = Random(seed)
    with Record.open(tmp_path / "kit.db", create=True) as record:
        made, _ = right(record, random, cores=random.randint(2, 5))
        assert not kit.check(made.record, made.job).found
        data = read_by_a_stranger(html(guide(made.record, made.job), phrases()))
        seats, bodies = truth(made)
        stands = set_blindly(data, seats)
        assert stands.keys() == bodies.keys()
        for number, boxes in stands.items():
            assert sorted(boxes) == [pytest.approx(box, abs=0.01) for box in sorted(bodies[number])]


def test_the_setter_is_blind_to_everything_but_the_guide(tmp_path: Path) -> None:
    """What the guide says wrongly he does wrongly: a wrong place, order or way is noticed."""
    with Record.open(tmp_path / "kit.db", create=True) as record:
        made, _ = right(record, Random(3), cores=2)
        data = read_by_a_stranger(html(guide(made.record, made.job), phrases()))
        seats, bodies = truth(made)
        wrong = json.loads(json.dumps(data))
        wrong["steps"][0]["keys"][1]["at"][0] += 1.0
        with pytest.raises(AssertionError, match="keys disagree"):
            set_blindly(wrong, seats)
        wrong = json.loads(json.dumps(data))
        wrong["steps"][0]["boxes"][0][0] += 5.0
        assert set_blindly(wrong, seats) != bodies
        wrong = json.loads(json.dumps(data))
        wrong["steps"][1]["way"] = "x-" if wrong["steps"][1]["number"] < wrong["steps"][0]["number"] else "x+"
        with pytest.raises(AssertionError, match="in the way"):
            set_blindly(wrong, seats)
