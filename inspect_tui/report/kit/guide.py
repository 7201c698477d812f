"""Dresses the setting guide: one HTML file for a telephone (no network, a paper without scripts), and a PDF."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import EXPLODED, PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch import View
from inspect_tui.report.draw.sketch_svg import paint_svg, view_svg
from inspect_tui.report.draw.svg import check_svg, sign_svg
from inspect_tui.report.kit.phrases import Phrases
from inspect_tui.report.kit.pictures import qr_svg
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf as set_pdf
from inspect_tui.report.paper.photos import Photos, pictures
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.kit.paper.guide import Guide, GuideAlike, GuideKey, GuideStep

VIEW_WIDTH = 250.0  # points: on a telephone of 360 px its letters are as large as the text
WAYS = {
    "z-": "from above",
    "z+": "from below",
    "x-": "toward the low end of x (to the left in the plan)",
    "x+": "toward the high end of x (to the right in the plan)",
    "y-": "toward the low end of y (downward in the plan)",
    "y+": "toward the high end of y (upward in the plan)",
}
TOWARD = {
    "x low": WAYS["x-"],
    "x high": WAYS["x+"],
    "y low": WAYS["y-"],
    "y high": WAYS["y+"],
    "z low": "toward the low end of z (down)",
    "z high": "toward the high end of z (up)",
}
VIEWS = {
    ("x", "y"): "plan, from above",
    ("x", "z"): "section along x, the up side on top",
    ("y", "z"): "section along y, the up side on top",
}
CLOSING = (
    "Every core of the list stands in its place",
    "Vents are open and chaplets stand firm",
    "No loose sand lies in the mould",
    "Close slowly and stop where it does not go",
)
HANGING = "Keep clear of hanging loads"
PLACES = 2  # decimals of the limits of a check


def data_of(guide: Guide, style: Style = PAPER) -> dict[str, Any]:
    """What a program reads in the guide: order, directions, places, keys with their marks, and what is asked for.

    Places and limits are in mm, what is typed is in `unit`.
    """
    return {
        "job": guide.job,
        "rev": guide.rev or "",
        "edition": guide.edition,
        "unit": style.word,
        "closing": list(CLOSING),
        "steps": [
            {
                "step": step.step,
                "number": step.number,
                "name": step.name,
                "way": step.way,
                "boxes": [list(box) for box in step.boxes],
                "keys": [
                    {"name": k.name, "into": k.into, "mark": k.mark, "way": k.way, "at": list(k.at)} for k in step.keys
                ],
                "check": step.check,
                "template": step.template,
                "lower": step.lower_mm,
                "upper": step.upper_mm,
                "sizes": [size.balloon for size in step.sizes],
            }
            for step in guide.steps
        ],
    }


def html(guide: Guide, phrases: Phrases, style: Style = PAPER) -> bytes:
    """The guide as UTF-8: one file, its own script and style named by hash, nothing fetched and nothing sent."""
    photos = _photos(phrases)
    shown = _shown(guide, phrases, photos, style)
    shown |= {"language": phrases.language, "data": data_of(guide, style), "unit": style.word}
    shown["pictures"], _ = pictures(photos.paths, "html", small=True)
    shown["small"] = len(photos.paths)
    shown["t"] = phrases
    return page("guide.html", shown, "guide.css", alone=True, script="guide.js")


def pdf(guide: Guide, phrases: Phrases, style: Style = PAPER, *, at: str = "") -> bytes:
    """The guide on paper, a page a core. `at`: where the guide lies, for a code on each page."""
    photos = _photos(phrases)
    shown = _shown(guide, phrases, photos, style)
    shown["steps"] = [_on_paper(step, phrases, at) for step in shown["steps"]]
    shown |= {
        "kicker": f"{phrases('Setting guide')} · {phrases('one core at a time, in this order')}",
        "short": f"{shown['short']} · {guide.edition}",
        "sign": sign_svg(),
        "exploded": _exploded(guide, phrases, style),
        "cautions": [phrases(caution) for caution in shown["cautions"]],
        "closing": [phrases(line) for line in CLOSING],
        "words": {name: phrases(phrase) for name, phrase in _ON_PAPER.items()},
    }
    names, files = pictures(photos.paths, "pdf", small=True)
    return set_pdf("guide.typ", {**shown, "pictures": names, "small": len(photos.paths)}, files=files)


def _photos(phrases: Phrases) -> Photos:
    return Photos(lambda name: f"{phrases('The picture is missing')}: {name}")


def _shown(guide: Guide, phrases: Phrases, photos: Photos, style: Style) -> dict[str, Any]:
    """What both dresses show: texts and drawings, pictures by number."""
    steps = [_step(guide, step, phrases, photos, style) for step in guide.steps]
    shown: dict[str, Any] = deep_visible(
        {
            "title": f"Setting guide {guide.job}",
            "note": phrases.note,
            "name": guide.name,
            "short": guide.job + (f" · rev. {guide.rev}" if guide.rev else ""),
            "edition": guide.edition,
            "ask": guide.ask,
            "cautions": [*guide.cautions, HANGING],
            "colours": [{"mark": mark, "on": on, "paint": paint_svg(mark)} for mark, on in guide.colours],
            "alike": [_alike(alike, phrases) for alike in guide.alike],
            "steps": steps,
            "photos": photos.shown(guide.photos),
            "closing": list(CLOSING),
            "heads": list(guide.heads),
        }
    )
    return shown


def _alike(alike: GuideAlike, phrases: Phrases) -> dict[str, str]:
    core, other = (f"{phrases('Core')} {number}" for number in (alike.core, alike.other))
    told = ", ".join(f"{phrases('Core')} {number}: {marks}" for number, marks in alike.apart)
    if alike.core == alike.other:
        apart = f"{phrases('look at')}: {told}" if told else phrases("Look at the sketch: what lies where, and up")
        return {"core": core, "said": phrases("also goes into its seat turned round"), "other": "", "apart": apart}
    apart = (
        f"{phrases('told apart by')}: {told}"
        if told
        else phrases("They carry no marks: compare them with the pictures")
    )
    return {"core": core, "said": phrases("could be taken for"), "other": other, "apart": apart}


_ON_PAPER = {
    "all": "All cores laid out",
    "count": "Count them before you begin",
    "marks": "Marks of this kit (they mean nothing elsewhere)",
    "wrong": "What can go wrong here",
    "nothing": "No two cores of this kit go into each other's seats",
    "prints": "Prints and keys",
    "force": "do not force it",
    "reads": "reads",
    "set": "It is set",
    "rubbed": "It rubbed or was forced here",
    "remark": "Remark",
    "closing": "Closing the mould",
    "ask": "Who to ask",
    "doubt": "When in doubt, stop and ask",
    "note": "not yet read by a native speaker",
}


def _on_paper(step: dict[str, Any], phrases: Phrases, at: str) -> dict[str, Any]:
    """A step with its sentences made whole, as the page of a PDF has them."""
    no_way = "nothing is said of the way in: look at its prints"
    check = f"{phrases('Check')}: {step['check']}" if step["check"] else ""
    if check and step["template"]:
        check += f", {phrases('with template')} {step['template']}"
    return {
        **step,
        "of": f"{phrases('step')} {step['step']}",
        "code": qr_svg(f"{at}#core-{step['number']}", 80.0) if at else "",
        "only": phrases("only locates other cores: it makes no surface of the casting") if step["only"] else "",
        "way": f"{phrases('goes in')}: {phrases(step['way'])}" if step["way"] else phrases(no_way),
        "prints": [
            {
                **key,
                "name": key["name"] + (f" × {key['count']}" if key["count"] > 1 else ""),
                "into": f"{phrases('into')} {key['into']}",
                "gentle": phrases(key["gentle"]) + (f" ({key['clearance']})" if key["clearance"] else ""),
            }
            for key in step["prints"]
        ],
        "ends": [f"{end['name']} {phrases('lies')} {phrases(end['toward'])}" for end in step["ends"]],
        "lines": [
            [phrases("It rests in"), step["rests"]],
            [phrases("Comes into it later"), step["later"] or phrases("nothing")],
            *([phrases(name), value] for name, value in step["lines"]),
        ],
        "alike": step["alike"] and f"{phrases('could be taken for')} {step['alike']}",
        "turned": phrases("also goes into its seat turned round") if step["turned"] else "",
        "caution": f"{phrases('Caution')}: {step['caution']}" if step["caution"] else "",
        "check": check,
        "gauge": f"{phrases('Put the gauge here')}: {step['gauge']}" if step["gauge"] else "",
        "limits": f"{phrases('goes at')} {step['limits']}" if step["limits"] else "",
        "stops": f"{phrases('no-go')}: {step['stops']}" if step["stops"] else "",
        "absent": f"{phrases('Not in the sketch')}: {step['absent']}" if step["absent"] else "",
        "not_drawn": phrases("This core cannot be drawn: nobody said where it stands") if step["not_drawn"] else "",
    }


# ------------------------------------------------------------------------------ drawings
def _exploded(guide: Guide, phrases: Phrases, style: Style) -> str:
    if guide.scene is None:
        return ""
    views = sketch(guide.scene, Wanted(views=(EXPLODED,), so_far=False), style).views
    title = phrases("one above the other, in setting order")
    return view_svg(replace(_by_number(views[0]), title=title), 1.5 * VIEW_WIDTH, missing=False) if views else ""


def _views(guide: Guide, step: GuideStep, phrases: Phrases, style: Style) -> list[str]:
    """Plan and section with this core black and the ones before it grey; nothing where nothing has a place."""
    if guide.scene is None:
        return []
    drawn = sketch(guide.scene, Wanted(hand=str(step.number), views=(PLAN, SECTION), size=step.gauge), style)
    out = []
    for view in drawn.views:
        title = phrases(VIEWS[view.across, view.up]) + (f" · {view.cut}" if view.cut else "")
        out.append(view_svg(replace(_by_number(view), title=title, extent=""), VIEW_WIDTH, title=8.0, missing=False))
    return out


def _absent(guide: Guide, step: GuideStep) -> list[str]:
    """Cores that are set before this one and of which the sketch shows nothing: nobody said where they stand."""
    before = {other.number for other in guide.steps if other.step < step.step}
    cores = guide.scene.cores if guide.scene is not None else ()
    return [c.number for c in cores if int(c.number) in before and not (c.body.boxes or c.body.known)]


_LEGEND: tuple[tuple[Callable[[GuideStep, list[str]], bool], str], ...] = (
    (lambda step, views: bool(views), "black: this core; grey: set before; dashed: about; double line: parting"),
    (lambda step, views: bool(views) and bool(step.keys), "diamond: a print or key, in its colour"),
    (lambda step, views: bool(views) and step.gauge is not None, "red arrow: the gauge goes here"),
    (lambda step, views: bool(views), "no drawing to measure by"),
)


def _by_number(view: View) -> View:
    """The same with cores called by their numbers alone, which every language has."""
    return replace(view, areas=tuple(replace(area, names=area.names[-1:]) for area in view.areas))


# ------------------------------------------------------------------------------ one step
def _step(guide: Guide, step: GuideStep, phrases: Phrases, photos: Photos, style: Style) -> dict[str, Any]:
    lines = [
        ("Weight", f"{phrases('about')} {style.weight(step.weight_kg)}" if step.weight_kg is not None else None),
        ("Lift once the metal is in", _lift(step, phrases, style)),
        ("Lift it by", step.lift_points),
        ("Chaplets", step.chaplets),
        ("Vents", step.vents),
    ]
    there_first = sorted(step.photos, key=lambda photo: photo.path is None)
    goes_at = f"{phrases('goes at')} {_limits(step.lower_mm, step.upper_mm, phrases, style)}"
    bounded = step.lower_mm is not None or step.upper_mm is not None
    views = _views(guide, step, phrases, style)
    return {
        "step": step.step,
        "number": str(step.number),
        "name": step.name,
        "only": step.only_locates,
        "way": WAYS.get(step.way or "", ""),
        "prints": [_key(key, phrases, style) for key in step.keys],
        "rests": ", ".join(part(into, phrases) for into in step.rests_in) or phrases("nothing"),
        "later": ", ".join(f"{phrases('Core')} {number}" for number in step.later),
        "ends": [{"name": end.name, "toward": TOWARD[end.toward]} for end in step.ends],
        "alike": ", ".join(f"{phrases('Core')} {number}" for number in step.alike),
        "turned": step.turned,
        "caution": step.caution or "",
        "lines": [[name, value] for name, value in lines if value],
        "views": views,
        "legend": [phrases(words) for shown, words in _LEGEND if shown(step, views)],
        "not_drawn": not step.boxes,
        "absent": ", ".join(f"{phrases('Core')} {number}" for number in _absent(guide, step)),
        "photos": photos.shown(there_first),
        "check": step.check or "",
        "template": step.template or "",
        "gauge": _gauge(step, phrases),
        "limits": _limits(step.lower_mm, step.upper_mm, phrases, style),
        "stops": _stops(step.lower_mm, step.upper_mm, style),
        "check_svg": check_svg(step.lower_mm, step.upper_mm, style=style, said=goes_at) if bounded else "",
        "sizes": [
            {
                "balloon": size.balloon,
                "name": size.name,
                "limits": _limits(size.lower_mm, size.upper_mm, phrases, style),
            }
            for size in step.sizes
        ],
    }


def _lift(step: GuideStep, phrases: Phrases, style: Style) -> str | None:
    """The push of the metal and what takes it; a shop's doubt whether that bears it is not the foundry's."""
    if step.lift_kgf is None:
        return None
    held = [f"{phrases('Core')} {by}" if by.isdigit() else _said_part(by, phrases) for by in step.held_by]
    said = f"{phrases('about')} {style.figure(step.lift_kgf, 1)} kgf"
    return f"{said}, {phrases('held by')} {', '.join(held)}" if held else said


def _said_part(by: str, phrases: Phrases) -> str:
    if by.endswith(" chaplets"):
        return f"{phrases('Chaplets')} × {by.removesuffix(' chaplets')}"
    return phrases(by) if by == "the cope" else by


def _gauge(step: GuideStep, phrases: Phrases) -> str:
    """Where to put the gauge: between the two that make the ends of the size."""
    if step.gauge is None:
        return ""
    first, last = (part(maker, phrases) for maker in step.gauge.makers)
    if first == last or not (first and last):
        return f"{phrases('across')} {first or last}, {phrases('along')} {step.gauge.axis}"
    return f"{phrases('between')} {first} {phrases('and')} {last}, {phrases('along')} {step.gauge.axis}"


def _key(key: GuideKey, phrases: Phrases, style: Style) -> dict[str, Any]:
    return {
        "name": key.name,
        "count": key.count,
        "into": part(key.into, phrases),
        "mark": key.mark or "",
        "paint": paint_svg(key.mark or ""),
        "gentle": key.gentle,
        "clearance": style.length(key.clearance_mm) if key.clearance_mm > 0 else "",
    }


def part(into: str, phrases: Phrases) -> str:
    """The drag, the cope or a core in the words of the guide."""
    if into in ("drag", "cope"):
        return phrases(f"the {into}")
    return f"{phrases('Core')} {into.removeprefix('core ')}" if into.startswith("core ") else phrases(into)


def _limits(lower: float | None, upper: float | None, phrases: Phrases, style: Style) -> str:
    if lower is None and upper is None:
        return ""
    each, tail = style.apart
    ends = [style.length(limit, PLACES, each) if limit is not None else "…" for limit in (lower, upper)]
    return f"{ends[0]} {phrases('to')} {ends[1]}{tail}"


def _stops(lower: float | None, upper: float | None, style: Style) -> str:
    """The sizes at which the gauge must not go: under the lower and over the upper limit."""
    each, tail = style.apart
    ends = (("<", lower), (">", upper))
    said = [f"{sign} {style.length(limit, PLACES, each)}" for sign, limit in ends if limit is not None]
    return f"{', '.join(said)}{tail}" if said else ""
