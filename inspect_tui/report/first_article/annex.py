"""The annex for the pattern shop: what explains the castings, what to cut or add on which tool, what was promised.

Sign rule: cut, add and move always speak of the tool, metal on and metal off always of the casting.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style

Plain = Mapping[str, Any]


def annex(plain: Plain, style: Style = PAPER) -> dict[str, Any] | None:
    """The annex, None when there is nothing for it."""
    shown = {
        "causes": _causes(plain["causes"], style) if plain["causes"] else None,
        "cuts": _cuts(plain["cuts"], style) if plain["cuts"] else None,
        "promises": [_promise(promise, style) for promise in plain["promises"]],
        **_predictions([line for line in plain["features"] if line["predicted"] is not None], style),
    }
    return shown if any(shown.values()) else None


def _causes(causes: Plain, style: Style) -> dict[str, Any]:
    return {
        "sentences": list(causes["sentences"]),
        "found": [_cause(line, style) for line in (*causes["found"], *causes["cannot_tell"])],
        "rivals": [
            {"causes": ", ".join(line["causes"]) or "nothing but scatter", "p": style.chance(line["probability"])}
            for line in causes["rivals"]
        ],
        "contraction": [
            {"axis": line["axis"]} | {key: style.percent(line[key], 2) for key in ("plan", "found", "u")}
            for line in causes["contraction"]
        ],
        "next": [
            f"{line['balloon']} ({style.figure(line['bits'])} bit)"
            for line in causes["measure_next"]
            if line["bits"] >= 0.01
        ],
        "unseen": list(causes["unseen"]),
        "left_out": list(causes["left_out"]),
        "odd": [line["sentence"] for line in causes["odd"]],
        "how": f"{causes['explanations']} explanations compared"
        + (", all of them" if causes["exact"] else "")
        + f"; cores seat within {style.uncertainty(causes['seat_mm'])} (standard deviation).",
    }


def _amount(cause: Plain, key: str, style: Style) -> str:
    """A length, or percent of the casting where the cause is a contraction."""
    return style.percent(cause[key], 2) if cause["unit"] == "1" else style.signed(cause[key])


def _cause(cause: Plain, style: Style) -> dict[str, Any]:
    return {
        "name": cause["name"],
        "status": cause["status"],
        "p": style.chance(cause["probability"]),
        "size": _amount(cause, "size", style),
        "from_to": f"{_amount(cause, 'low', style)} to {_amount(cause, 'high', style)}",
        "words": cause["words"],
        "for": ", ".join(cause["speaks_for"]),
        "against": ", ".join(cause["against"]),
        "alike": ", ".join(cause["alike"]),
        "tool": cause["tool"],
        "serial": cause["serial"] or "",
    }


def _cuts(cuts: Plain, style: Style) -> dict[str, Any]:
    return {
        "cuts": [_cut(line, style) for line in cuts["cuts"]],
        "tools": ", ".join(cuts["tools"]),
        "checks": list(cuts["checks"]),
        "leave_alone": list(cuts["leave_alone"]),
        "predicted": [
            {
                "balloon": line["balloon"],
                "before": style.length(line["before"], unit=False),
                "after": style.length(line["after"], unit=False),
                "u": style.uncertainty(2.0 * line["u"], unit=False),
                "p_before": style.chance(line["p_before"]),
                "p_after": style.chance(line["p_after"]),
            }
            for line in cuts["predicted"]
            if line["moves"]
        ],
    }


def _cut(cut: Plain, style: Style) -> dict[str, Any]:
    return {
        "number": cut["number"],
        "tool": cut["tool"],
        "part": cut["part"],
        "cause": cut["cause"],
        "axis": cut["axis"],
        "change": style.signed(cut["change_mm"]),
        "from_to": f"{style.signed(cut['low'], unit=False)} to {style.signed(cut['high'])}",
        "words": cut["words"],
        "casting_words": cut["casting_words"],
        "needed": cut["needed"],
        "sure": cut["sure"],
        "accepted": cut["accepted"],
        "moves": ", ".join(cut["moves"]),
        "faces": [
            {
                "axis": f["axis"],
                "place": style.length(f["place_mm"], 1, unit=False),
                "move": style.signed(f["move_mm"], unit=False),
                "from_to": f"{style.signed(f['low'], unit=False)} to {style.signed(f['high'], unit=False)}",
                "word": f["word"],
                "metal": f["metal"],
                "balloons": ", ".join(f["balloons"]),
            }
            for f in cut["faces"]
        ],
    }


def _promise(promise: Plain, style: Style) -> dict[str, str]:
    got = (
        "" if promise["got"] is None else style.plus_minus(promise["got"], 2.0 * (promise["u_got"] or 0.0), unit=False)
    )
    return {
        "balloon": promise["balloon"],
        "round": promise["round"],
        "before": style.length(promise["before"], unit=False),
        "promised": style.plus_minus(promise["promised"], 2.0 * promise["u_promised"], unit=False),
        "got": got,
        "word": promise["word"],
    }


OFTEN = 4  # features from which a common reason is said once, below the table


def _predictions(lines: list[Plain], style: Style) -> dict[str, Any]:
    """What the tools promised, feature by feature; where many have one reason, the reason once with all of them."""
    reasons: dict[str, list[str]] = {}
    for line in lines:
        reasons.setdefault(line["predicted_from"], []).append(line["balloon"])
    common = {reason: balloons for reason, balloons in reasons.items() if len(balloons) >= OFTEN}
    return {
        "predicted": [
            _prediction(line, style.of(line["unit"])) for line in lines if line["predicted_from"] not in common
        ],
        "not_predicted": [f"{reason}: {', '.join(balloons)}" for reason, balloons in common.items()],
    }


def _prediction(line: Plain, style: Style) -> dict[str, str]:
    return {
        "balloon": line["balloon"],
        "predicted": style.length(line["predicted"], unit=False),
        "u": style.uncertainty(2.0 * (line["u_predicted"] or 0.0), unit=False),
        "from": line["predicted_from"],
        "mean": style.length(line["mean"], unit=False),
        "difference": "" if line["mean"] is None else style.signed(line["mean"] - line["predicted"], unit=False),
    }
