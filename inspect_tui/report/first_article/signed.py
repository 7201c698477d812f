"""What the customer signs for, as text: the order, geometrical tolerances, decisions, names, what is not covered.

Reports of the first format have none of it, and their papers are made as they were given out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.words import LEVELS, SIGNS
from inspect_tui.shop.common.geometry.tolerances import WORDS
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.result import number_of
from inspect_tui.shop.first_article.signed.dispositions import decision_words, requirement

Plain = Mapping[str, Any]
MANY = 8  # castings up to which a paper names each


def is_first(plain: Plain) -> bool:
    """Whether a report is of the first format."""
    return number_of(plain["format"]) == 1


def order(who: Plain) -> list[tuple[str, str | None]]:
    """What the customer calls the part and the order; nothing of it in reports of the first format."""
    ordered = who.get("order_quantity")
    return [
        ("Customer", who.get("customer")),
        ("Part number", who.get("part_no")),
        ("Order", who.get("order_no")),
        ("Ordered", show.number(ordered) if ordered is not None else None),
        ("Foundry", who.get("foundry")),
    ]


def view(plain: Plain, style: Style = PAPER) -> dict[str, Any]:
    """Further keys of the view of a report."""
    geometries = [_geometry(line, style) for line in plain["geometry"]]
    return {
        "statement": list(plain["statement"]),
        "geometry": geometries,
        "decisions": _decisions(plain["dispositions"], style),
        "not_covered": list(plain["not_covered"]),
        "names": _names(plain),
        "legend": _legend(plain, style),
    }


def place_of(line: Plain) -> str:
    """Where on the drawing a requirement stands: sheet 1, zone B4, characteristic 12."""
    words = (("sheet", line.get("sheet")), ("zone", line.get("zone")), ("characteristic", line.get("characteristic")))
    return ", ".join(f"{word} {value}" for word, value in words if value)


def answer(word: str) -> dict[str, str]:
    """An answer with its sign and how loud it stands."""
    stands = Standing(word)
    return {"word": stands.value, "sign": SIGNS[stands], "level": LEVELS.get(stands, "plain")}


def _geometry(line: Plain, style: Style) -> dict[str, Any]:
    sign = "\u2300 " if line["round"] else ""
    about = f", about {line['datums']}" if line["datums"] else ""
    state = ", finished" if line["state"] == "finished" else ", as cast"
    return {
        "balloon": line["balloon"],
        "name": line["name"],
        "what": f"{WORDS[line['what']]} {sign}{style.length(line['tolerance'])}{about}{state}",
        "how": line["how"],
        "place": place_of(line),
        "answer": answer(line["answer"]),
        "rows": _geometry_rows(line, style),
    }


def _geometry_rows(line: Plain, style: Style) -> list[dict[str, Any]]:
    """A row a casting; of many those that tell most: what does not conform first, then the least sure."""
    cells = list(line["cells"])
    if len(cells) <= MANY:
        return [_geometry_row(cell, style, line["round"]) for cell in cells]
    order = list(Standing)
    cells.sort(key=lambda cell: (order.index(Standing(cell["answer"])), cell["p_conform"] or 0.0, cell["serial"]))
    rest: dict[str, Any] = {"serial": f"and {len(cells) - MANY} more", "said": "all of them in XLSX and JSON"}
    rest |= dict.fromkeys(("value", "u", "p"), "") | {"answer": {"word": "", "sign": "", "level": "plain"}}
    return [*(_geometry_row(cell, style, line["round"]) for cell in cells[:MANY]), rest]


def _geometry_row(cell: Plain, style: Style, diameter: bool) -> dict[str, Any]:
    off = ", ".join(f"{balloon} {style.signed(mm, unit=False)}" for balloon, mm in cell["off"])
    said = cell["method"] or cell["reason"] or off
    if cell["method"] and cell["by"]:
        said = f"{said} ({cell['by']}, {show.day(cell['at'])})"
    value = style.length(cell["value"], unit=False)
    return {
        "serial": cell["serial"],
        "value": f"\u2300 {value}" if diameter and value else value,
        "u": style.uncertainty(cell["U"], unit=False),
        "p": style.chance(cell["p_conform"]),
        "said": said,
        "answer": answer(cell["answer"]),
    }


def _decisions(lines: Sequence[Plain], style: Style) -> list[dict[str, Any]]:
    """A row for each requirement and decision; castings that share both stand together."""
    rows: dict[tuple[Any, ...], dict[str, Any]] = {}
    for line in lines:
        balloon = requirement(line["balloon"], line["state"])
        told = [decision_words(line["decision"], line["quantity"], show.day(line["until_on"]), line["closed"])]
        told += [f"number {line['reference']}"] if line["reference"] else []
        told += [f"agreed by {line['agreed_by']}"] if line["agreed_by"] else []
        who = f"{line['by']}, {show.day(line['on'])}" if line["by"] else ""
        key = (balloon, *told, line["why"], who, line["closed"])
        row = rows.setdefault(
            key,
            {
                "balloon": balloon,
                "what": ", ".join(told),
                "why": line["why"],
                "who": who,
                "open": not line["closed"],
                "found": [],
                "again": [],
            },
        )
        row["found"].append(_on(line, "found", style))
        if line["again"]:
            by = f" ({line['again_by']}, {show.day((line['again_at'] or '')[:10] or None)})" if line["again_by"] else ""
            row["again"].append(_on(line, "again", style) + by)
        elif line["decision"] == "rework":
            row["again"].append(f"{line['serial']} not yet")
    for row in rows.values():
        for part in ("found", "again"):
            left = len(row[part]) - MANY
            if left > 0:
                row[part] = [*row[part][:MANY], f"and {left} more, all of them in XLSX and JSON"]
    return list(rows.values())


def _on(line: Plain, what: str, style: Style) -> str:
    """`S1-1 ✗ 511.21 ± 0.08`: what was found on a casting, by its sign."""
    sign, own = SIGNS[Standing(line[what])], style.of(line["unit"])
    if line[f"{what}_value"] is not None:
        return f"{line['serial']} {sign} {own.plus_minus(line[f'{what}_value'], line[f'{what}_u95'], unit=False)}"
    looked = f" {line['looked']}" if what == "found" and line["looked"] else ""
    return f"{line['serial']} {sign}{looked}"


def _names(plain: Plain) -> list[dict[str, str]]:
    """Who measured, checked and released it: the names of the record, and room for a hand."""
    who = plain["identity"]
    measured = ", ".join(f"{name} ({one})" if name else one for one, name in who["named"])
    days = " to ".join(dict.fromkeys(show.day(who[key]) for key in ("measured_from", "measured_to") if who[key]))
    made = [{"what": "Measured", "name": measured, "day": days, "note": ""}]
    signs = {sign["act"]: sign for sign in plain["signs"]}
    for act, what in (("checked", "Checked"), ("released", "Released")):
        sign = signs.get(act)
        name = day = note = ""
        if sign is not None and sign["stands"]:
            name = f"{sign['name']} ({sign['initials']})" if sign["name"] else sign["initials"]
            day, note = show.day(sign["on"]), sign["words"]
            if act == "checked" and list(who["people"]) == [sign["initials"]]:
                note = "by the one who measured" + (f"; {note}" if note else "")
        elif sign is not None:
            note = f"{sign['initials']}, {show.day(sign['on'])}: before something changed, does not stand"
        made.append({"what": what, "name": name, "day": day, "note": note})
    made.append({"what": "Decision under the order", "name": "", "day": "", "note": "who the order names"})
    return made


def _legend(plain: Plain, style: Style) -> list[list[str]]:
    """Every sign on the paper and what it stands for."""
    made = [[sign, word.value] for word, sign in SIGNS.items()]
    made += [
        ["| ▽ ◆", "band: strokes are the limits, the triangle is the nominal, the diamond the reading"],
        ["—", "bar through a reading: its expanded uncertainty U"],
        ["± U", "expanded uncertainty, about 95 %: the one that decides the answer"],
        ["Dev.", "reading less nominal"],
        ["P conform", "probability that the true size lies within the limits"],
        ["k", "U over the standard uncertainty of the instrument's certificate"],
        ["s", "standard deviation over the castings"],
    ]
    if any(line["round"] for line in plain["geometry"]):
        made.append(["\u2300", "diameter: of the zone, and of what is needed of it"])
    if any(cell["notes"] or cell["corrected"] for line in plain["features"] for cell in line["cells"]):
        made.append(["a b c, 1 2 3", "beside a reading: the remark under it, or the one above the table"])
    made.append(["No.", "number of the requirement, as it stands in the balloon on the drawing"])
    made.append([style.word, "unit of lengths, unless a sign says degrees"])
    return made
