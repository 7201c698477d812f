"""What a first-article paper shows, once, as text and drawings: HTML and PDF are two dresses of the same view.

The view is made of plain dictionaries, lists and strings; every string is already rounded for reading and free of
steering characters. Nothing is decided here: answers, probabilities and sentences come from the result.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees
from typing import Any

from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.svg import band_svg, overview_svg, sign_svg, stock_svg
from inspect_tui.report.first_article.annex import annex
from inspect_tui.report.words import (
    LEVELS,
    SIGNS,
    chance,
    date,
    deep_visible,
    figure,
    limits,
    listed,
    many,
    signed,
    spread,
)

Plain = Mapping[str, Any]

LANE = 10.4  # height of a line of readings, points: the same in both dresses
MANY = 8  # castings up to which each has its own lane
COUNT_WORDS = {
    "conforms": ("conforms", "conform"),
    "does not conform": ("does not conform", "do not conform"),
    "undecided": ("is undecided", "are undecided"),
    "in question": ("stands in question", "stand in question"),
    "not judged": ("has no limits", "have no limits"),
    "to measure": ("is still to measure", "are still to measure"),
    "not measurable": ("cannot be measured", "cannot be measured"),
}
OPEN = ("does not conform", "undecided", "in question")  # what somebody has to look at
SIGNERS = (
    ("Measured", "inspector"),
    ("Checked", "second person at the shop"),
    ("Decision under the order", "who the order names"),
)


def view(plain: Plain) -> dict[str, Any]:
    """Everything that a paper shows; the annex is there when the result has something for it."""
    who = plain["identity"]
    lines = plain["features"]
    marks = _marks(lines)
    shown: dict[str, Any] = {
        "title": f"First article {who['round']}",
        "job": who["job"],
        "name": who["name"],
        "short": f"{who['job']} · {who['round']} · drawing {who['drawing']} rev. {who['revision']}",
        "facts": _facts(who),
        "castings": f"Castings: {', '.join(who['serials'])}",
        "answer": _answer(plain["answer"]),
        "counts": _counts(plain),
        "signs": [f"{sign} {word}" for word, sign in SIGNS.items()],
        "overview": overview(lines),
        "outside": [_outside(line) for line in lines if line["answer"] in OPEN],
        "rule": [["Decision rule", plain["rule"]["words"]], ["Uncertainty", plain["rule"]["coverage"]]],
        "instruments": [_instrument(gauge) for gauge in plain["instruments"]],
        "marks": marks,
        "features": [_feature(line, marks) for line in lines if line["n"]],
        "signers": [{"what": what, "who": role} for what, role in SIGNERS],
        "cautions": list(plain["cautions"]),
        "heads": list(who["heads"]),
        "snapshot": who["snapshot"],
        "program": who["program"],
        "annex": annex(plain),
        "sign": sign_svg(),
    }
    shown.update(_sections(plain))
    cleaned = deep_visible(shown)
    assert isinstance(cleaned, dict)
    return cleaned


def _facts(who: Plain) -> list[list[str]]:
    poured = date(who["poured_on"])
    measured = " to ".join(dict.fromkeys(x for x in (date(who["measured_from"]), date(who["measured_to"])) if x))
    issued = f", issued {date(who['issued_on'])}" if who["issued_on"] else ""
    facts = [
        ("Job", who["job"]),
        ("Part", who["name"]),
        ("Customer's reference", who["customer_ref"]),
        ("Drawing", f"{who['drawing']}, revision {who['revision']}{issued}"),
        ("Material", who["alloy"]),
        ("Sampling", who["round"]),
        ("Castings measured", str(len(who["serials"]))),
        ("Castings in the lot", str(who["quantity"]) if who["quantity"] is not None else None),
        ("Heat", who["heat"]),
        ("Poured", poured),
        ("Measured", measured),
        ("Measured by", ", ".join(who["people"])),
    ]
    return [[name, value] for name, value in facts if value]


def _answer(answer: str) -> dict[str, str]:
    return {"word": answer, "sign": SIGNS.get(answer, ""), "level": LEVELS.get(answer, "plain")}


def _counts(plain: Plain) -> str:
    castings = len(plain["identity"]["serials"])
    parts = [f"{n} {COUNT_WORDS[word][n != 1]}" for word, n in plain["counts"] if word in COUNT_WORDS]
    return f"{many(len(plain['features']), 'feature')} on {many(castings, 'casting')}: {', '.join(parts)}."


def worst(line: Plain) -> Plain | None:
    """The cell that decides a feature: measured, not in question, with the least room to a limit."""
    cells = [cell for cell in line["cells"] if cell["value"] is not None]
    cells = [cell for cell in cells if not cell["question"]] or cells
    if not cells:
        return None
    return min(cells, key=lambda c: (c["margin"] if c["margin"] is not None else 0.0, c["serial"]))


def overview(lines: Sequence[Plain]) -> str | None:
    """All judged features on one band, each by its worst casting, as a share of half its band."""
    points = []
    for line in lines:
        cell = worst(line)
        if cell is None or line["lower"] is None or line["upper"] is None or line["upper"] <= line["lower"]:
            continue
        half = (line["upper"] - line["lower"]) / 2.0
        middle = (line["upper"] + line["lower"]) / 2.0
        points.append((line["balloon"], (cell["value"] - middle) / half, LEVELS.get(line["answer"], "plain")))
    return overview_svg(points) if points else None


def _outside(line: Plain) -> dict[str, Any]:
    cell = worst(line)
    bad = [c["serial"] for c in line["cells"] if c["answer"] == line["answer"]]
    words = _against(line, cell) if cell is not None and cell["margin"] is not None else ""
    if line["answer"] == "in question":
        words = next((c["question"] for c in line["cells"] if c["question"]), "")
    elif cell is not None and words and len(line["cells"]) > 1:
        words = f"{cell['serial']}: {words}"
    return {
        "balloon": line["balloon"],
        "name": line["name"],
        "answer": _answer(line["answer"]),
        "words": words,
        "on": "every casting" if len(bad) == len(line["cells"]) > 1 else listed(bad),
        "mean": signed(line["deviation"]),
        "p": chance(line["p_conform"]),
    }


def _against(line: Plain, cell: Plain) -> str:
    """How far outside, or how close inside, the nearest limit."""
    over = -cell["margin"]
    if over < 0.005:
        return f"{with_unit('less than 0.01' if over > -0.005 else figure(-over), line)} inside the limit"
    below = line["lower"] is not None and cell["value"] < line["lower"]
    return f"{with_unit(figure(over), line)} {'below the lower' if below else 'above the upper'} limit"


def with_unit(text: str, line: Plain) -> str:
    """82.00 mm, 75.00°."""
    return f"{text}°" if line["unit"] in ("deg", "°") else f"{text} {line['unit']}"


def _instrument(gauge: Plain) -> dict[str, str]:
    if gauge["calibrated_on"]:
        state = f"{gauge['result'] or 'calibrated'} on {date(gauge['calibrated_on'])}"
        state += f", due {date(gauge['due_on'])}" if gauge["due_on"] else ""
    else:
        state = "no calibration on record"
    return {
        "label": gauge["label"],
        "kind": gauge["kind"].replace("_", " "),
        "serial": gauge["serial"] or "",
        "resolution": f"{gauge['resolution_mm']:g}",
        "u95": figure(gauge["u95_mm"], 3),
        "k": f"{gauge['k']:g}",
        "state": state,
        "reference": gauge["reference"] or "",
        "readings": str(gauge["readings"]),
        "remark": gauge["remark"] or "",
    }


# ------------------------------------------------------------------------------ features
def _feature(line: Plain, marks: list[str]) -> dict[str, Any]:
    cells = [cell for cell in line["cells"] if cell["value"] is not None]
    notes = _Notes()
    few = len(cells) <= MANY
    if few:
        lanes = [Lane(c["value"], c["U"] or 0.0, c["answer"] == "does not conform") for c in cells]
        rows = [_row(cell, notes, marks) for cell in cells]
    else:
        cell = worst(line) or cells[0]
        rest = tuple(c["value"] for c in cells if c is not cell)
        lanes = [Lane(cell["value"], cell["U"] or 0.0, cell["answer"] == "does not conform", rest)]
        rows = [{**_row(cell, notes, marks), "serial": f"worst of {len(cells)}: {cell['serial']}"}]
    finished = ""
    if line["machined"] or abs(line["finished"] - line["as_cast"]) > 1e-9:
        ends = limits(line["finished_lower"], line["finished_upper"])
        finished = f"finished {figure(line['finished'])} ({ends}), machined"
    source = line["band_source"] if line["lower"] is not None or line["upper"] is not None else ""
    made = [source, line["ends"], f"along {line['axis']}" if line["axis"] in ("x", "y", "z") else ""]
    made += ["on the casting cut up" if line["sectioned"] else ""]
    made += [f"at {figure(line['station_mm'], 0)} mm" if line["station_mm"] is not None else ""]
    return {
        "balloon": line["balloon"],
        "name": line["name"],
        "size": f"{with_unit(figure(line['as_cast']), line)}, {limits(line['lower'], line['upper'])}",
        "finished": finished,
        "made": ", ".join(word for word in made if word),
        "answer": _answer(line["answer"]),
        "mean": signed(line["deviation"]),
        "spread": figure(line["spread"]),
        "svg": band_svg(band(line["lower"], line["upper"], line["as_cast"], lanes), lane_height=LANE, head=LANE),
        "lanes": len(rows),
        "rows": rows,
        "notes": notes.said,
    }


class _Notes:
    """Small letters beside readings and what they stand for, under the feature."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def letter(self, words: str) -> str:
        """The letter of a remark; the same words have the same letter."""
        if words not in self.said:
            self.said.append(words)
        return chr(ord("a") + min(self.said.index(words), 25))


COMMON = (  # what is said of many readings has one small number for the whole paper; details are in CSV and JSON
    (lambda words: words.startswith("read at "), "read warm or cold, corrected to 20 °C"),
    (lambda words: words.startswith("re-aligned"), "turned back level, see What was looked at twice"),
    (lambda words: words == SECTION, "read on the casting cut up"),
)
SECTION = "section"


def _said(cell: Plain) -> list[str]:
    """Everything that was done to a reading, common things by their common words."""
    out = []
    for words in [*cell["corrected"], *([SECTION] if cell["section"] else [])]:
        out.append(next((common for fits, common in COMMON if fits(words)), words))
    return list(dict.fromkeys(out))


def _marks(lines: Sequence[Plain]) -> list[str]:
    """The common remarks that this paper needs, in a fixed order."""
    used = {words for line in lines for cell in line["cells"] for words in _said(cell)}
    return [common for _, common in COMMON if common in used]


def _row(cell: Plain, notes: _Notes, marks: list[str]) -> dict[str, Any]:
    shown = [str(marks.index(word) + 1) if word in marks else notes.letter(word) for word in _said(cell)]
    if cell["question"]:
        shown.append(notes.letter(f"{cell['serial']}: {cell['question']}"))
    shown += [notes.letter(f"{cell['serial']}: {note}") for note in cell["notes"]]
    return {
        "serial": cell["serial"],
        "value": figure(cell["value"]),
        "u": figure(cell["U"]),
        "deviation": signed(cell["deviation"]),
        "p": chance(cell["p_conform"]),
        "answer": _answer(cell["answer"]),
        "marks": ",".join(dict.fromkeys(shown)),
        "n": cell["n"],
    }


# ------------------------------------------------------------------------------ the further sections
def _sections(plain: Plain) -> dict[str, Any]:
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
