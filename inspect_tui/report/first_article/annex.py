"""The annex for the pattern shop: what explains the castings, what to cut or add on which tool, what was promised.

Sign rule: cut, add and move always speak of the tool, metal on and metal off always of the casting.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.report.words import chance, figure, share, signed

Plain = Mapping[str, Any]


def annex(plain: Plain) -> dict[str, Any] | None:
    """The annex, None when there is nothing for it."""
    shown = {
        "causes": _causes(plain["causes"]) if plain["causes"] else None,
        "cuts": _cuts(plain["cuts"]) if plain["cuts"] else None,
        "promises": [_promise(one) for one in plain["promises"]],
        **_predictions([line for line in plain["features"] if line["predicted"] is not None]),
    }
    return shown if any(shown.values()) else None


def _causes(causes: Plain) -> dict[str, Any]:
    return {
        "sentences": list(causes["sentences"]),
        "found": [_cause(one) for one in (*causes["found"], *causes["cannot_tell"])],
        "rivals": [
            {"causes": ", ".join(one["causes"]) or "nothing but scatter", "p": chance(one["probability"])}
            for one in causes["rivals"]
        ],
        "contraction": [
            {"axis": one["axis"], "plan": share(one["plan"]), "found": share(one["found"]), "u": share(one["u"])}
            for one in causes["contraction"]
        ],
        "next": [f"{one['balloon']} ({one['bits']:.2f} bit)" for one in causes["measure_next"] if one["bits"] >= 0.01],
        "unseen": list(causes["unseen"]),
        "left_out": list(causes["left_out"]),
        "odd": [one["sentence"] for one in causes["odd"]],
        "how": f"{causes['explanations']} explanations compared"
        + (", all of them" if causes["exact"] else "")
        + f"; cores seat within {figure(causes['seat_mm'])} mm (standard deviation).",
    }


def _amount(one: Plain, key: str) -> str:
    """mm, or percent of the casting where the cause is a contraction."""
    return share(one[key]) if one["unit"] == "1" else f"{signed(one[key])} {one['unit']}"


def _cause(one: Plain) -> dict[str, Any]:
    return {
        "name": one["name"],
        "status": one["status"],
        "p": chance(one["probability"]),
        "size": _amount(one, "size"),
        "from_to": f"{_amount(one, 'low')} to {_amount(one, 'high')}",
        "words": one["words"],
        "for": ", ".join(one["speaks_for"]),
        "against": ", ".join(one["against"]),
        "alike": ", ".join(one["alike"]),
        "tool": one["tool"],
        "serial": one["serial"] or "",
    }


def _cuts(cuts: Plain) -> dict[str, Any]:
    return {
        "cuts": [_cut(one) for one in cuts["cuts"]],
        "tools": ", ".join(cuts["tools"]),
        "checks": list(cuts["checks"]),
        "leave_alone": list(cuts["leave_alone"]),
        "predicted": [
            {
                "balloon": one["balloon"],
                "before": figure(one["before"]),
                "after": figure(one["after"]),
                "u": figure(2.0 * one["u"]),
                "p_before": chance(one["p_before"]),
                "p_after": chance(one["p_after"]),
            }
            for one in cuts["predicted"]
            if one["moves"]
        ],
    }


def _cut(one: Plain) -> dict[str, Any]:
    return {
        "number": one["number"],
        "tool": one["tool"],
        "part": one["part"],
        "cause": one["cause"],
        "axis": one["axis"],
        "change": f"{signed(one['change_mm'])} mm",
        "from_to": f"{signed(one['low'])} to {signed(one['high'])} mm",
        "words": one["words"],
        "casting_words": one["casting_words"],
        "needed": one["needed"],
        "sure": one["sure"],
        "accepted": one["accepted"],
        "moves": ", ".join(one["moves"]),
        "faces": [
            {
                "axis": f["axis"],
                "place": figure(f["place_mm"], 1),
                "move": signed(f["move_mm"]),
                "from_to": f"{signed(f['low'])} to {signed(f['high'])}",
                "word": f["word"],
                "metal": f["metal"],
                "balloons": ", ".join(f["balloons"]),
            }
            for f in one["faces"]
        ],
    }


def _promise(one: Plain) -> dict[str, str]:
    got = f"{figure(one['got'])} ± {figure(2.0 * (one['u_got'] or 0.0))}" if one["got"] is not None else ""
    return {
        "balloon": one["balloon"],
        "round": one["round"],
        "before": figure(one["before"]),
        "promised": f"{figure(one['promised'])} ± {figure(2.0 * one['u_promised'])}",
        "got": got,
        "word": one["word"],
    }


OFTEN = 4  # features from which a common reason is said once, below the table


def _predictions(lines: list[Plain]) -> dict[str, Any]:
    """What the tools promised, feature by feature; where many have one reason, the reason once with all of them."""
    reasons: dict[str, list[str]] = {}
    for line in lines:
        reasons.setdefault(line["predicted_from"], []).append(line["balloon"])
    common = {reason: balloons for reason, balloons in reasons.items() if len(balloons) >= OFTEN}
    return {
        "predicted": [_prediction(line) for line in lines if line["predicted_from"] not in common],
        "not_predicted": [f"{reason}: {', '.join(balloons)}" for reason, balloons in common.items()],
    }


def _prediction(line: Plain) -> dict[str, str]:
    return {
        "balloon": line["balloon"],
        "predicted": figure(line["predicted"]),
        "u": figure(2.0 * (line["u_predicted"] or 0.0)),
        "from": line["predicted_from"],
        "mean": figure(line["mean"]),
        "difference": signed(line["mean"] - line["predicted"]) if line["mean"] is not None else "",
    }
