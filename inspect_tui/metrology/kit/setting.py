"""Setting order: who sits in whom, in what order the cores can be set, what blocks a seat, what is not held.

A core sits in another core, in the drag or in the cope. Whatever it sits in has to be there before it, and whatever
would stand in its way in has to come after it; the cope closes last. An order exists exactly when nobody waits for
himself round a ring, and a ring is named core by core.

Source: own derivation.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Sequence
from itertools import pairwise

from inspect_tui.frozen import frozen, frozen_by_name

MOULD = ("drag", "cope")
DIRECTIONS = ("x-", "x+", "y-", "y+", "z-", "z+")
TURNS = ("rx", "ry", "rz")
TRANSLATION_WORDS = {"x": "along x", "y": "along y", "z": "up or down"}


@frozen_by_name
class Sits:
    """One print or key of `core` in a seat of `into` (another core, "drag" or "cope").

    `holds` says what it stops: "x", "y", "z" both ways; "x+" one way (against moving toward +x); "rx", "ry", "rz"
    turning about that axis. `at` is its place (mm), from which turning is worked out when given. `way_in` is the
    direction in which the core goes into the seat; `blocked_by` are the cores that stand in that way once they are set.
    """

    core: str
    into: str
    seat: str
    holds: tuple[str, ...] = ()
    at: tuple[float, float, float] | None = None
    way_in: str = "z-"
    blocked_by: tuple[str, ...] = ()


@frozen
class Before:
    """`first` has to be set before `then`, and why."""

    first: str
    then: str
    why: str


@frozen
class SettingOrder:
    """The computed order, or the rings that forbid one.

    `sequence` is empty when there is a ring. `free` are the pairs that stand next to each other in the order but may
    change places; with none, there is no other order.
    """

    sequence: tuple[str, ...]
    rings: tuple[tuple[str, ...], ...]
    free: tuple[tuple[str, str], ...]
    sentences: tuple[str, ...]

    @property
    def only_one(self) -> bool:
        """True when the cores can be set in this order and no other."""
        return bool(self.sequence) and not self.free


@frozen
class Trouble:
    """Something that does not hold about the kit: `kind` for sorting, `cores` concerned, a sentence.

    `fit` names the fit, wall, passage or tool that it is about.
    """

    kind: str
    cores: tuple[str, ...]
    sentence: str
    fit: str = ""


def problems(cores: Sequence[str], sits: Iterable[Sits]) -> list[Trouble]:
    """What is wrong with the facts themselves: sits in itself, number used twice, no such seat, seat claimed twice."""
    sits = list(sits)
    troubles = [
        Trouble("twice", (core,), f"two cores have the number {core}: give one of them another")
        for core in dict.fromkeys(cores)
        if list(cores).count(core) > 1
    ]
    known = set(cores)
    claimed: dict[tuple[str, str], str] = {}
    for s in sits:
        if s.core == s.into:
            troubles.append(
                Trouble("itself", (s.core,), f"core {s.core} sits in itself ({s.seat}): say what it sits in")
            )
        if s.core not in known:
            troubles.append(Trouble("unknown", (s.core,), f"{s.seat}: there is no core {s.core} in this kit"))
        if not s.into or not s.seat:
            troubles.append(
                Trouble("no seat", (s.core,), f"a print of core {s.core} has no seat: say what it goes into")
            )
        elif s.into not in known and s.into not in MOULD:
            text = f"core {s.core} sits in {s.into} ({s.seat}), which is not in this kit"
            troubles.append(Trouble("no seat", (s.core,), text))
        other = claimed.setdefault((s.into, s.seat), s.core)
        if s.into and s.seat and other != s.core:
            text = f"seat {s.seat} of {s.into} is claimed by core {other} and core {s.core}"
            troubles.append(Trouble("claimed twice", (other, s.core), text))
        troubles += [
            Trouble("hold", (s.core,), f"{s.seat}: '{word}' is no direction; use x, y+, z-, rx and so on")
            for word in s.holds
            if word not in (*DIRECTIONS, *TURNS, "x", "y", "z")
        ]
    housed = {s.core for s in sits}
    return troubles + [
        Trouble("no print", (core,), f"core {core} sits in nothing: it has no print and no key")
        for core in dict.fromkeys(cores)
        if core not in housed
    ]


def demands(cores: Sequence[str], sits: Iterable[Sits], bodies: Iterable[Before] = ()) -> list[Before]:
    """Every "has to be set before" that follows from seats and from ways in; mould halves are not cores.

    `bodies`: what follows from the room that cores take on their way in.
    """
    known, out = set(cores), []
    for s in sits:
        if s.core not in known:
            continue
        if s.into in known:
            out.append(Before(s.into, s.core, f"core {s.core} sits in core {s.into} ({s.seat})"))
        out += [
            Before(s.core, blocker, f"core {blocker} would stand in the way of core {s.core} into {s.seat}")
            for blocker in s.blocked_by
            if blocker in known
        ]
    return out + [rule for rule in bodies if rule.first in known and rule.then in known]


def setting_order(cores: Sequence[str], sits: Iterable[Sits], bodies: Iterable[Before] = ()) -> SettingOrder:
    """Topological order of the cores; where the facts leave a choice, the order in which `cores` names them.

    Kahn's method with the list order as priority, so the answer is stable. O(cores log cores + seats).
    """
    cores = list(dict.fromkeys(cores))
    rules = demands(cores, sits, bodies)
    place = {core: i for i, core in enumerate(cores)}
    after: dict[str, set[str]] = {core: set() for core in cores}
    waits = dict.fromkeys(cores, 0)
    for rule in rules:
        if rule.then not in after[rule.first]:
            after[rule.first].add(rule.then)
            waits[rule.then] += 1
    ready, sequence = [i for core, i in place.items() if not waits[core]], []
    while ready:
        core = cores[ready.pop(0)]
        sequence.append(core)
        for then in after[core]:
            waits[then] -= 1
            if not waits[then]:
                insort(ready, place[then])
    if len(sequence) < len(cores):
        rings = tuple(_rings(cores, after))
        return SettingOrder((), rings, (), tuple(_ring_sentence(ring, rules) for ring in rings))
    # only neighbours without a demand between them can change places; where there are none, the order is the only one
    free = tuple((a, b) for a, b in pairwise(sequence) if b not in after[a])
    text = "set in the order " + ", ".join(sequence)
    if free:
        text += "; may change places: " + ", ".join(f"{a} and {b}" for a, b in free)
    elif sequence:
        text += ": there is no other"
    return SettingOrder(tuple(sequence), (), free, (text,) if sequence else ())


def _rings(cores: Sequence[str], after: dict[str, set[str]]) -> list[tuple[str, ...]]:
    """One shortest ring from each knot (strongly connected set) of cores, starting at its first-named core."""
    rings, done = [], set()
    for start in cores:
        if start in done:
            continue
        came: dict[str, str] = {}
        front = [start]
        while front and start not in came:
            following = []
            for core in front:
                for then in sorted(after[core], key=cores.index):
                    if then not in came:
                        came[then] = core
                        following.append(then)
            front = following
        if start in came:
            ring, core = [start], came[start]
            while core != start:
                ring.append(core)
                core = came[core]
            ring.append(start)
            ring.reverse()
            rings.append(tuple(ring[:-1]))
            done.update(ring)
    return rings


def _ring_sentence(ring: tuple[str, ...], rules: Sequence[Before]) -> str:
    steps = []
    for first, then in zip(ring, (*ring[1:], ring[0]), strict=True):
        steps.append(next(rule.why for rule in rules if rule.first == first and rule.then == then))
    return f"no setting order: {' -> '.join((*ring, ring[0]))}: " + "; ".join(steps)


def check_order(
    order: Sequence[str], cores: Sequence[str], sits: Iterable[Sits], bodies: Iterable[Before] = ()
) -> list[Trouble]:
    """What a given (edited) order gets wrong, step by step; an empty list means that it can be set so."""
    sits, bodies, known = list(sits), list(bodies), set(cores)
    troubles: list[Trouble] = []
    there: set[str] = set()
    for core in order:
        if core not in known:
            troubles.append(Trouble("unknown", (core,), f"there is no core {core} in this kit"))
            continue
        if core in there:
            troubles.append(Trouble("twice", (core,), f"core {core} is set twice"))
            continue
        for s in sits:
            if s.core != core:
                continue
            if s.into in known and s.into not in there:
                text = f"core {core} cannot be set: core {s.into}, which it sits in ({s.seat}), is not there yet"
                troubles.append(Trouble("not there", (core, s.into), text))
            for b in s.blocked_by:
                if b in there:
                    text = f"core {core} cannot go into {s.seat} ({s.way_in}): core {b} is already in the way"
                    troubles.append(Trouble("blocked", (core, b), text))
        troubles += [Trouble("blocked", (core, b.then), b.why) for b in bodies if b.first == core and b.then in there]
        there.add(core)
    missing = [core for core in cores if core not in there]
    if missing:
        troubles.append(
            Trouble("missing", tuple(missing), "not in the order: " + ", ".join(f"core {c}" for c in missing))
        )
    return troubles


def not_held(core: str, sits: Iterable[Sits], lifts: bool = True) -> list[str]:
    """Directions and turns in which nothing holds the core: "x+", "ry" and so on; empty when it is held.

    Weight holds a core down onto what it sits in, so "z-" needs a seat below and "z+" something above when the core
    `lifts` (buoyant in metal); a heavy core is held down by its weight. A turn is stopped by a fit that says so or by
    two fits that hold different points across the arm between them.
    """
    mine = [s for s in sits if s.core == core]
    held = {h for s in mine for h in s.holds}
    for axis in "xyz":
        if axis in held:
            held |= {f"{axis}-", f"{axis}+"}
    if any(s.into != "cope" and s.way_in == "z-" for s in mine):
        held.add("z-")  # it rests on what it was lowered into
    if not lifts and "z-" in held:
        held.add("z+")
    free = [d for d in DIRECTIONS if d not in held]
    return free + [turn for turn in TURNS if turn not in held and not _turn_stopped(turn, mine)]


def _turn_stopped(turn: str, mine: Sequence[Sits]) -> bool:
    """Two fits hold the same direction at points apart across it: they form a couple about the turning axis."""
    about = turn[1]
    for direction in (d for d in "xyz" if d != about):
        arm = next(i for i, axis in enumerate("xyz") if axis not in (about, direction))
        holds = {direction, f"{direction}-", f"{direction}+"}
        if direction == "z":
            points = [s.at[arm] for s in mine if s.at is not None and (holds & set(s.holds) or s.way_in == "z-")]
        else:
            points = [s.at[arm] for s in mine if s.at is not None and holds & set(s.holds)]
        if len(points) > 1 and max(points) - min(points) > 1.0:
            return True
    return False


def held_sentence(core: str, free: Sequence[str]) -> str:
    """One sentence for a core that is not held, "" when it is."""
    if not free:
        return ""
    parts = []
    for axis in "xyz":
        ways = [d for d in (f"{axis}-", f"{axis}+") if d in free]
        if len(ways) == 2:
            parts.append(f"free {TRANSLATION_WORDS[axis]}")
        elif ways:
            words = {"z+": "can rise", "z-": "can sink"}
            parts.append(words.get(ways[0], f"can move toward {'+' if ways[0][1] == '+' else '-'}{axis}"))
    parts += [f"free to turn about {turn[1]}" for turn in TURNS if turn in free]
    return f"core {core}: " + ", ".join(parts)
