"""The further sections of a first-article paper: what looks odd, what was not measured, passages, stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees
from typing import Any

from inspect_tui.report.draw.svg import stock_svg
from inspect_tui.report.words import chance, figure, listed, signed, spread

Plain = Mapping[str, Any]


def sections(plain: Plain) -> dict[str, Any]:
    """Each section as rows of text; an empty list means that there is nothing to say."""
    return {
        "questions": [_question(one) for one in plain["questions"]],
        "realigned": [_realigned(one) for one in plain["realigned"]],
        "loops": [_loop(one) for one in plain["loops"]],
        "not_measured": _not_measured(plain["not_measured"]),
        "passages": [_passage(one) for one in plain["passages"]],
        "caveats": list(dict.fromkeys(one["caveat"] for one in plain["passages"] if one["caveat"])),
        "stock": _stock(plain["stock"]),
    }


def _question(one: Plain) -> dict[str, str]:
    return {"where": one["serial"], "what": one["kind"], "on": ", ".join(one["balloons"]), "words": one["sentence"]}


def _realigned(one: Plain) -> str:
    size = figure(1000.0 * one["slope"], 3)
    return (
        f"{one['serial']}: sizes along {one['axis']} turned back by {size} mm per metre along {one['along']} "
        f"(about {figure(one['pivot_mm'], 0)} mm): {one['why']}"
    )


def _loop(one: Plain) -> dict[str, Any]:
    words = one["sentence"] or ("does not close" if one["open"] else "closes")
    return {
        "name": one["name"],
        "serial": one["serial"],
        "gap": signed(one["gap"]),
        "u": figure(one["u"]),
        "open": one["open"],
        "words": words,
    }


def _not_measured(lines: Sequence[Plain]) -> list[dict[str, str]]:
    """One line a reason and casting: what is missing for the same reason stands together."""
    together: dict[tuple[str, str], list[str]] = {}
    for line in lines:
        together.setdefault((line["why"], line["serial"] or "every casting"), []).append(line["balloon"])
    return [
        {"balloons": ", ".join(balloons), "count": str(len(balloons)), "on": on, "why": why}
        for (why, on), balloons in together.items()
    ]


def _passage(one: Plain) -> dict[str, str]:
    unit = one["unit"]
    out = {
        "name": one["name"],
        "on": one["serial"] or "mean of the castings",
        "formula": one["formula"],
        "value": f"{spread(one['value'], 2.0 * one['u'])} {unit}",
        "drawn": f"{figure(one['drawn'], 1)} {unit}",
        "share": "",
        "capacity": "",
        "rated": "",
        "p": "",
        "level": one["level"] or "",
        "words": one["sentence"],
    }
    if one["drawn"]:
        out["share"] = f"{signed(100.0 * (one['value'] / one['drawn'] - 1.0), 1)} %"
    if one["capacity"] is not None:
        out["capacity"] = f"{spread(one['capacity'], 2.0 * (one['u_capacity'] or 0.0))} {one['capacity_unit']}"
    if one["rated"] is not None:
        least = f", at least {figure(one['minimum'], 1)}" if one["minimum"] is not None else ""
        out["rated"] = f"{figure(one['rated'], 1)}{least} {one['capacity_unit']}"
        out["p"] = chance(one["p_meets"])
    return out


def _stock(stock: Plain) -> dict[str, Any] | None:
    castings = [_stock_line(one) for one in stock["castings"]]
    if not castings and not stock["not_told"]:
        return None
    return {"castings": castings, "not_told": list(stock["not_told"])}


def _stock_line(one: Plain) -> dict[str, Any]:
    shift = [f"{axis} {signed(x)} mm" for axis, x in zip("xyz", one["shift_mm"], strict=True) if abs(x) >= 0.005]
    turn = [
        f"about {axis} {signed(degrees(x), 3)}°"
        for axis, x in zip("xyz", one["turn_rad"], strict=True)
        if abs(degrees(x)) >= 0.0005
    ]
    if turn and one.get("targets"):
        # its targets tell what to do; the shift of the drawing's zero that goes with a turn would only mislead
        setting = f"Turned {', '.join(turn)}."
    else:
        if turn and shift:
            shift[0] = f"the drawing's zero {shift[0]}"
        setting = "Set up: " + (", ".join([*shift, *turn]) or "as it stands") + "."
    most = max((max(f["before"], f["after"], f["required"]) for f in one["faces"]), default=1.0)
    return {
        "serial": one["serial"],
        "cleans_up": one["cleans_up"],
        "sentence": one["sentence"],
        "spare": f"{figure(one['spare'])} ± {figure(2.0 * one['u'])} mm to spare set up, "
        f"{figure(one['spare_as_it_stands'])} mm as it stands; probability to clean up {chance(one['p_cleans_up'])}",
        "binding": f"Held by {listed(one['binding'])}." if one["binding"] else "",
        "targets": _targets(one.get("targets") or ()),
        "setting": setting,
        "faces": [
            {
                "name": f["name"],
                "before": figure(f["before"]),
                "after": figure(f["after"]),
                "required": figure(f["required"]),
                "share": f"{100.0 * f['share']:.0f} %" if f["share"] > 0.005 else "",
                "svg": stock_svg(f["required"], f["before"], f["after"], 2.0 * f["u"], most),
            }
            for f in one["faces"]
        ],
    }


def _targets(targets: Sequence[Sequence[Any]]) -> str:
    """By how much each datum target is raised; nothing where all stay, or in a report of before this was told."""
    if not any(abs(mm) >= 0.005 for _, mm in targets):
        return ""
    raised = [f"{name} {signed(mm)}" if abs(mm) >= 0.005 else f"{name} stays" for name, mm in targets]
    return f"Datum targets, mm raised: {', '.join(raised)}."
