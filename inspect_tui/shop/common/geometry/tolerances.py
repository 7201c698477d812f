"""What a geometrical tolerance may say: the words for each, the sizes it is computed from, what cannot stand so."""

from __future__ import annotations

from inspect_tui.model.signed import Geometry

WORDS = {
    "position": "position",
    "line_profile": "profile of a line",
    "surface_profile": "profile of a surface",
    "straightness": "straightness",
    "flatness": "flatness",
    "roundness": "roundness",
    "parallelism": "parallelism",
    "perpendicularity": "perpendicularity",
}
LEAST = {  # sizes that each is computed from, at least and at most
    "position": (1, 3),
    "line_profile": (1, 400),
    "surface_profile": (1, 400),
    "straightness": (3, 400),
    "flatness": (4, 400),
    "parallelism": (2, 400),
    "perpendicularity": (2, 400),
}


def balloons(text: str | None) -> list[str]:
    """The balloons of a list such as F07 F08."""
    return (text or "").replace(",", " ").replace(";", " ").split()


def wrong(asked: Geometry) -> str | None:
    """What is wrong with a geometrical tolerance as it was typed, and what to do; None where it can stand so."""
    sizes, datum = balloons(asked.sizes), balloons(asked.datum_sizes)
    word = WORDS[asked.what]
    if sizes and asked.what not in LEAST:
        return f"{word} is not computed from sizes: leave them out, and say for each casting how it was looked at"
    if sizes:
        least, most = LEAST[asked.what]
        if not least <= len(sizes) <= most:
            count = f"{least} to {most}" if most < 400 else f"at least {least}"
            return f"{word} is computed from {count} sizes, not from {len(sizes)}"
    if datum and asked.what not in ("parallelism", "perpendicularity"):
        return f"sizes of a datum go with parallelism and perpendicularity, not with {word}"
    if datum and len(datum) < 3:
        return "the plane of a datum needs three sizes or more that do not lie on one line"
    if asked.round and asked.what not in ("position", "straightness", "parallelism", "perpendicularity"):
        return f"the zone of a {word} is no diameter"
    if len(sizes) > 1 and asked.what == "position" and not asked.round:
        return "position from two coordinates has a round zone: say that its tolerance is a diameter"
    if asked.round and sizes and asked.what != "position":
        return f"a round zone of {word} is not computed from sizes: leave them out, and say how it was looked at"
    if asked.datums is None and asked.what in ("parallelism", "perpendicularity"):
        return f"{word} is about a datum: say its letter, such as A"
    return None
