"""What a first-article paper shows, once, as text and drawings: HTML and PDF are two dresses of the same view.

The view is made of plain dictionaries, lists and strings; every string is already rounded for reading and free of
steering characters. Nothing is decided here: answers, probabilities and sentences come from the result.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import degrees
from types import MappingProxyType
from typing import Any

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.svg import band_svg, overview_svg, sign_svg, stock_svg
from inspect_tui.report.first_article import places, requirements, signed
from inspect_tui.report.first_article.annex import annex
from inspect_tui.report.words import (
    LEVELS,
    SIGNS,
    deep_visible,
    listed,
)
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.spoken import said

Plain = Mapping[str, Any]

LANE = 10.4  # height of a line of readings, points: the same in both dresses
MANY = 8  # castings up to which each has its own lane
COUNT_WORDS = {
    Standing.CONFORMS: ("conforms", "conform"),
    Standing.DOES_NOT_CONFORM: ("does not conform", "do not conform"),
    Standing.UNDECIDED: ("is undecided", "are undecided"),
    Standing.IN_QUESTION: ("stands in question", "stand in question"),
    Standing.NO_LIMITS: ("has no limits", "have no limits"),
    Standing.TO_MEASURE: ("is still to measure", "are still to measure"),
    Standing.NOT_MEASURABLE: ("cannot be measured", "cannot be measured"),
}
OPEN = (Standing.DOES_NOT_CONFORM, Standing.UNDECIDED, Standing.IN_QUESTION)  # what somebody has to look at
SIGNERS = (
    ("Measured", "inspector"),
    ("Checked", "second person at the shop"),
    ("Decision under the order", "who the order names"),
)


def view(plain: Plain, style: Style = PAPER, files: places.Files = MappingProxyType({})) -> dict[str, Any]:
    """Everything that a paper shows; the annex is there when the result has something for it.

    `files`: where the bytes of pictures lie, by their SHA-256.
    """
    plain = said(plain, style)
    who = plain["identity"]
    lines = requirements.named(plain["features"])
    marks = _marks(lines)
    shown: dict[str, Any] = {
        "title": f"First article {who['round']}",
        "job": who["job"],
        "name": who["name"],
        "short": f"{who['job']} · {who['round']} · drawing {who['drawing']} rev. {who['revision']}",
        "facts": _facts(who),
        "castings": f"Castings: {', '.join(who['serials'])}",
        "answer": signed.answer(plain["answer"]),
        "counts": _counts(plain),
        "signs": [f"{sign} {word}" for word, sign in SIGNS.items()],
        "overview": overview(lines),
        "outside": [_outside(line, style) for line in lines if line["answer"] in OPEN],
        "rule": [["Decision rule", plain["rule"]["words"]], ["Uncertainty", plain["rule"]["coverage"]]],
        "instruments": [_instrument(gauge, style) for gauge in plain["instruments"]],
        "marks": marks,
        "features": [_feature(line, marks, style) for line in lines if line["n"]],
        "signers": [{"what": what, "who": role} for what, role in SIGNERS],
        "cautions": list(plain["cautions"]),
        "heads": list(who["heads"]),
        "snapshot": who["snapshot"],
        "program": who["program"],
        "annex": annex(plain, style),
        "unit": style.word,
        "sign": sign_svg(),
    }
    shown.update(_sections(plain, style))
    if not signed.is_first(plain):
        shown.update(signed.view(plain, style))
        shown["counts_geometry"] = _counted(plain["counts_geometry"])
    if "places" in plain:
        shown.update(places.view(plain, files, style))
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned


def _facts(who: Plain) -> list[list[str]]:
    poured = show.day(who["poured_on"])
    measured = " to ".join(
        dict.fromkeys(x for x in (show.day(who["measured_from"]), show.day(who["measured_to"])) if x)
    )
    issued = f", issued {show.day(who['issued_on'])}" if who["issued_on"] else ""
    facts = [
        ("Job", who["job"]),
        ("Part", who["name"]),
        ("Customer's reference", who["customer_ref"]),
        *signed.order(who),
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


def _counts(plain: Plain) -> str:
    castings = len(plain["identity"]["serials"])
    raw = sum(requirements.state(line) != requirements.FINISHED for line in plain["features"])
    said = f"{show.count(raw, 'feature')} on {show.count(castings, 'casting')}: {_counted(plain['counts'])}."
    finished = plain.get("counts_finished", ())
    return f"{said} Finished by machining: {_counted(finished)}." if finished else said


def _counted(counts: Sequence[Any]) -> str:
    return ", ".join(f"{n} {COUNT_WORDS[word][n != 1]}" for word, n in counts if word in COUNT_WORDS)


def worst(line: Plain) -> Plain | None:
    """The cell that decides a feature: measured, not in question, with the least room to a limit."""
    cells = [cell for cell in line["cells"] if cell["value"] is not None]
    cells = [cell for cell in cells if not cell["question"]] or cells
    if not cells:
        return None
    decides: Plain = min(cells, key=lambda c: (c["margin"] if c["margin"] is not None else 0.0, c["serial"]))
    return decides


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


def _outside(line: Plain, style: Style) -> dict[str, Any]:
    cell = worst(line)
    bad = [c["serial"] for c in line["cells"] if c["answer"] == line["answer"]]
    words = _against(line, cell, style) if cell is not None and cell["margin"] is not None else ""
    if line["answer"] == Standing.IN_QUESTION:
        words = next((c["question"] for c in line["cells"] if c["question"]), "")
    elif cell is not None and words and len(line["cells"]) > 1:
        words = f"{cell['serial']}: {words}"
    return {
        "balloon": line["balloon"],
        "name": line["name"],
        "answer": signed.answer(line["answer"]),
        "words": words,
        "on": "every casting" if len(bad) == len(line["cells"]) > 1 else listed(bad),
        "mean": style.of(line["unit"]).signed(line["deviation"], unit=False),
        "p": style.chance(line["p_conform"]),
    }


def _against(line: Plain, cell: Plain, style: Style) -> str:
    """How far outside, or how close inside, the nearest limit."""
    over = -cell["margin"]
    if over < 0.005:
        near = f"less than {_size(0.01, line, style)}" if over > -0.005 else _size(-over, line, style)
        return f"{near} inside the limit"
    below = line["lower"] is not None and cell["value"] < line["lower"]
    return f"{_size(over, line, style)} {'below the lower' if below else 'above the upper'} limit"


def _size(value: float, line: Plain, style: Style) -> str:
    """82.00 mm, 75.00°."""
    return style.angle(value, 2) if line["unit"] in ("deg", "°") else style.length(value)


def _instrument(gauge: Plain, style: Style) -> dict[str, str]:
    if gauge["calibrated_on"]:
        state = f"{gauge['result'] or 'calibrated'} on {show.day(gauge['calibrated_on'])}"
        state += f", due {show.day(gauge['due_on'])}" if gauge["due_on"] else ""
    else:
        state = "no calibration on record"
    return {
        "label": gauge["label"],
        "kind": gauge["kind"].replace("_", " "),
        "serial": gauge["serial"] or "",
        "resolution": style.given(gauge["resolution_mm"], unit=False),
        "u95": style.uncertainty(gauge["u95_mm"], 3, unit=False),
        "k": style.figures(gauge["k"]),
        "state": state,
        "reference": gauge["reference"] or "",
        "readings": str(gauge["readings"]),
        "remark": gauge["remark"] or "",
    }


# ------------------------------------------------------------------------------ features
def _feature(line: Plain, marks: list[str], style: Style) -> dict[str, Any]:
    own = style.of(line["unit"])
    cells = [cell for cell in line["cells"] if cell["value"] is not None]
    notes = _Notes()
    few = len(cells) <= MANY
    if few:
        lanes = [Lane(c["value"], c["U"] or 0.0, c["answer"] == Standing.DOES_NOT_CONFORM) for c in cells]
        rows = [_row(cell, notes, marks, own) for cell in cells]
    else:
        cell = worst(line) or cells[0]
        rest = tuple(c["value"] for c in cells if c is not cell)
        lanes = [Lane(cell["value"], cell["U"] or 0.0, cell["answer"] == Standing.DOES_NOT_CONFORM, rest)]
        rows = [{**_row(cell, notes, marks, own), "serial": f"worst of {len(cells)}: {cell['serial']}"}]
    finished, nominal = "", requirements.size(line)
    if requirements.state(line) == requirements.FINISHED:
        finished = f"as cast {own.length(line['as_cast'], unit=False)}, machined"
    elif line["machined"] or abs(line["finished"] - line["as_cast"]) > 1e-9:
        ends = own.band(line["finished_lower"], line["finished_upper"], unit=False)
        finished = f"finished {own.length(line['finished'], unit=False)} ({ends}), machined"
    source = line["band_source"] if line["lower"] is not None or line["upper"] is not None else ""
    made = [source, line["ends"], f"along {line['axis']}" if line["axis"] in ("x", "y", "z") else ""]
    made += ["on the casting cut up" if line["sectioned"] else ""]
    made += [f"at {style.length(line['station_mm'], 0)}" if line["station_mm"] is not None else ""]
    made += [signed.place_of(line)]
    return {
        "balloon": line["balloon"],
        "name": line["name"],
        "size": f"{_size(nominal, line, style)}, {own.band(line['lower'], line['upper'], unit=False)}",
        "finished": finished,
        "made": ", ".join(word for word in made if word),
        "answer": signed.answer(line["answer"]),
        "mean": own.signed(line["deviation"], unit=False),
        "spread": own.length(line["spread"], unit=False),
        "svg": band_svg(band(line["lower"], line["upper"], nominal, lanes), lane_height=LANE, head=LANE, style=own),
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


COMMON: tuple[
    tuple[Callable[[str], bool], str], ...
] = (  # what is said of many readings has one small number for the whole paper; details are in CSV and JSON
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


def _row(cell: Plain, notes: _Notes, marks: list[str], style: Style) -> dict[str, Any]:
    shown = [str(marks.index(word) + 1) if word in marks else notes.letter(word) for word in _said(cell)]
    if cell["question"]:
        shown.append(notes.letter(f"{cell['serial']}: {cell['question']}"))
    shown += [notes.letter(f"{cell['serial']}: {note}") for note in cell["notes"]]
    return {
        "serial": cell["serial"],
        "value": style.length(cell["value"], unit=False),
        "u": style.uncertainty(cell["U"], unit=False),
        "deviation": style.signed(cell["deviation"], unit=False),
        "p": style.chance(cell["p_conform"]),
        "answer": signed.answer(cell["answer"]),
        "marks": ",".join(dict.fromkeys(shown)),
        "n": cell["n"],
    }


# ------------------------------------------------------------------------------ the further sections
def _sections(plain: Plain, style: Style) -> dict[str, Any]:
    """Each section as rows of text; an empty list means that there is nothing to say."""
    return {
        "questions": [_question(line) for line in plain["questions"]],
        "realigned": [_realigned(line, style) for line in plain["realigned"]],
        "loops": [_loop(line, style) for line in plain["loops"]],
        "not_measured": _not_measured(plain["not_measured"]),
        "passages": [_passage(line, style) for line in plain["passages"]],
        "caveats": list(dict.fromkeys(line["caveat"] for line in plain["passages"] if line["caveat"])),
        "stock": _stock(plain["stock"], style),
    }


def _question(question: Plain) -> dict[str, str]:
    return {
        "where": question["serial"],
        "what": question["kind"],
        "on": ", ".join(question["balloons"]),
        "words": question["sentence"],
    }


def _realigned(turned: Plain, style: Style) -> str:
    size = style.length(1000.0 * turned["slope"], 3)
    return (
        f"{turned['serial']}: sizes along {turned['axis']} turned back by {size} per metre along {turned['along']} "
        f"(about {style.length(turned['pivot_mm'], 0)}): {turned['why']}"
    )


def _loop(loop: Plain, style: Style) -> dict[str, Any]:
    words = loop["sentence"] or ("does not close" if loop["open"] else "closes")
    return {
        "name": loop["name"],
        "serial": loop["serial"],
        "gap": style.signed(loop["gap"], unit=False),
        "u": style.uncertainty(loop["u"], unit=False),
        "open": loop["open"],
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


def _passage(passage: Plain, style: Style) -> dict[str, str]:
    unit = passage["unit"]
    out = {
        "name": passage["name"],
        "on": passage["serial"] or "mean of the castings",
        "formula": passage["formula"],
        "value": f"{style.spread(passage['value'], 2.0 * passage['u'])} {unit}",
        "drawn": f"{style.figure(passage['drawn'], 1)} {unit}",
        "share": "",
        "capacity": "",
        "parts": "",
        "rated": "",
        "p": "",
        "level": passage["level"] or "",
        "words": passage["sentence"],
    }
    if passage["drawn"]:
        out["share"] = f"{style.figure(100.0 * (passage['value'] / passage['drawn'] - 1.0), 1, signed=True)} %"
    if passage["capacity"] is not None:
        out["capacity"] = (
            f"{style.spread(passage['capacity'], 2.0 * (passage['u_capacity'] or 0.0))} {passage['capacity_unit']}"
        )
        parts = [(passage.get("u_measured"), "measured"), (passage.get("u_assumed"), "assumed")]  # older reports: none
        told = [(2.0 * u, word) for u, word in parts if u is not None]
        out["parts"] = ", ".join(f"± {style.figure(u, 1 if u >= 0.05 else 2)} {word}" for u, word in told)
    if passage["rated"] is not None:
        least = f", at least {style.figure(passage['minimum'], 1)}" if passage["minimum"] is not None else ""
        out["rated"] = f"{style.figure(passage['rated'], 1)}{least} {passage['capacity_unit']}"
        out["p"] = style.chance(passage["p_meets"])
    return out


def _stock(stock: Plain, style: Style) -> dict[str, Any] | None:
    castings = [_stock_line(casting, style) for casting in stock["castings"]]
    if not castings and not stock["not_told"]:
        return None
    return {"castings": castings, "not_told": list(stock["not_told"])}


def _stock_line(casting: Plain, style: Style) -> dict[str, Any]:
    shift = [f"{axis} {style.signed(x)}" for axis, x in zip("xyz", casting["shift_mm"], strict=True) if abs(x) >= 0.005]
    turn = [
        f"about {axis} {style.angle(degrees(x), 3, signed=True)}"
        for axis, x in zip("xyz", casting["turn_rad"], strict=True)
        if abs(degrees(x)) >= 0.0005
    ]
    if turn and casting.get("targets"):
        # its targets tell what to do; the shift of the drawing's zero that goes with a turn would only mislead
        setting = f"Turned {', '.join(turn)}."
    else:
        if turn and shift:
            shift[0] = f"the drawing's zero {shift[0]}"
        setting = "Set up: " + (", ".join([*shift, *turn]) or "as it stands") + "."
    most = max((max(f["before"], f["after"], f["required"]) for f in casting["faces"]), default=1.0)
    return {
        "serial": casting["serial"],
        "cleans_up": casting["cleans_up"],
        "sentence": casting["sentence"],
        "spare": f"{style.plus_minus(casting['spare'], 2.0 * casting['u'])} to spare set up, "
        f"{style.length(casting['spare_as_it_stands'])} as it stands; "
        f"probability to clean up {style.chance(casting['p_cleans_up'])}",
        "binding": f"Held by {listed(casting['binding'])}." if casting["binding"] else "",
        "targets": _targets(casting.get("targets") or (), style),
        "setting": setting,
        "faces": [
            {
                "name": f["name"],
                "before": style.length(f["before"], unit=False),
                "after": style.length(f["after"], unit=False),
                "required": style.length(f["required"], unit=False),
                "share": f"{style.figure(100.0 * f['share'], 0)} %" if f["share"] > 0.005 else "",
                "svg": stock_svg(f["required"], f["before"], f["after"], 2.0 * f["u"], most, style=style),
            }
            for f in casting["faces"]
        ],
    }


def _targets(targets: Sequence[Sequence[Any]], style: Style) -> str:
    """By how much each datum target is raised; nothing where all stay, or in a report of before this was told."""
    if not any(abs(mm) >= 0.005 for _, mm in targets):
        return ""
    raised = [f"{name} {style.signed(mm, unit=False)}" if abs(mm) >= 0.005 else f"{name} stays" for name, mm in targets]
    return f"Datum targets, {style.word} raised: {', '.join(raised)}."
