"""Dresses the setting guide: one HTML file for a telephone (no network, a paper without scripts), and a PDF."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import EXPLODED, PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch_svg import view_svg
from inspect_tui.report.draw.svg import check_svg, sign_svg
from inspect_tui.report.kit.forms import pictures
from inspect_tui.report.kit.phrases import Phrases
from inspect_tui.report.kit.pictures import qr_svg
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf as set_pdf
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.kit.paper.guide import Guide, GuideKey, GuideStep
from inspect_tui.shop.kit.paper.papers import SheetPhoto
from inspect_tui.shop.settings.choices import PAPERS

VIEW_WIDTH = 360.0
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
CLOSING = (
    "Every core of the list stands in its place",
    "Vents are open and chaplets stand firm",
    "No loose sand lies in the mould",
    "Close slowly and stop where it does not go",
)


def data_of(guide: Guide) -> dict[str, Any]:
    """What a program reads in the guide: order, directions, places, keys with their marks, and what is asked for."""
    return {
        "job": guide.job,
        "rev": guide.rev or "",
        "edition": guide.edition,
        "unit": "mm",
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
    photos = _Photos()
    steps = [_step(guide, step, phrases, photos, style) for step in guide.steps]
    whole = photos.shown(guide.photos)
    shown: dict[str, Any] = deep_visible(
        {
            "title": f"Setting guide {guide.job}",
            "language": phrases.language,
            "note": phrases.note,
            "name": guide.name,
            "short": guide.job + (f" · rev. {guide.rev}" if guide.rev else ""),
            "edition": guide.edition,
            "ask": guide.ask,
            "cautions": list(guide.cautions),
            "colours": [list(pair) for pair in guide.colours],
            "alike": [{"core": a.core, "other": a.other, "apart": a.apart} for a in guide.alike],
            "steps": steps,
            "photos": whole,
            "closing": list(CLOSING),
            "heads": list(guide.heads),
            "back": phrases("Back"),
            "next": phrases("Next"),
            "data": data_of(guide),
        }
    )
    shown["pictures"], _ = pictures(photos.paths, "html")
    shown["t"] = phrases
    return page("guide.html", shown, "guide.css", alone=True, script="guide.js")


def pdf(guide: Guide, phrases: Phrases, style: Style = PAPER, *, sheet: str | None = None, at: str = "") -> bytes:
    """The guide on paper, a page a core. `sheet`: A4 or Letter; `at`: where the guide lies, for a code on each page."""
    photos = _Photos()
    steps = [_on_paper(_step(guide, step, phrases, photos, style), phrases, at) for step in guide.steps]
    shown: dict[str, Any] = deep_visible(
        {
            "title": f"Setting guide {guide.job}",
            "kicker": f"{phrases('Setting guide')} · {phrases('one core at a time, in this order')}",
            "name": guide.name,
            "short": guide.job + (f" · rev. {guide.rev}" if guide.rev else "") + f" · {guide.edition}",
            "sign": sign_svg(),
            "note": phrases.note,
            "cautions": [*guide.cautions, phrases("Keep clear of hanging loads")],
            "colours": [list(pair) for pair in guide.colours],
            "alike": [
                {
                    "core": f"{phrases('Core')} {a.core}",
                    "other": f"{phrases('Core')} {a.other}",
                    "apart": f"{phrases('told apart by')}: {a.apart}"
                    if a.apart
                    else phrases("They carry no marks: compare them with the pictures"),
                }
                for a in guide.alike
            ],
            "steps": steps,
            "exploded": _exploded(guide, style),
            "closing": [phrases(line) for line in CLOSING],
            "ask": guide.ask,
            "heads": list(guide.heads),
            "words": {name: phrases(phrase) for name, phrase in _ON_PAPER.items()},
        }
    )
    if sheet is not None:
        shown["sheet"] = PAPERS[sheet]
    names, files = pictures(photos.paths, "pdf")
    return set_pdf("guide.typ", {**shown, "pictures": names}, files=files)


_ON_PAPER = {
    "all": "All cores laid out",
    "count": "Count them before you begin",
    "marks": "Marks of this kit (they mean nothing elsewhere)",
    "wrong": "What can go wrong here",
    "nothing": "No two cores of this kit go into each other's seats",
    "taken": "could be taken for",
    "prints": "Prints and keys",
    "force": "do not force it",
    "reads": "reads",
    "set": "It is set",
    "remark": "Remark",
    "closing": "Closing the mould",
    "ask": "Who to ask",
    "doubt": "When in doubt, stop and ask",
    "missing": "The picture is missing",
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
        "code": qr_svg(f"{at}#step-{step['step']}", 80.0) if at else "",
        "only": phrases("only locates other cores: it makes no surface of the casting") if step["only"] else "",
        "way": f"{phrases('goes in')}: {phrases(step['way'])}" if step["way"] else phrases(no_way),
        "prints": [
            {
                "name": key["name"] + (f" × {key['count']}" if key["count"] > 1 else ""),
                "into": f"{phrases('into')} {key['into']}",
                "mark": key["mark"],
                "gentle": f"{phrases(key['gentle'])} ({key['clearance']})",
            }
            for key in step["prints"]
        ],
        "ends": [f"{end['name']} {phrases('lies')} {phrases(end['toward'])}" for end in step["ends"]],
        "lines": [
            [phrases("It rests in"), step["rests"]],
            [phrases("Comes into it later"), step["later"] or phrases("nothing")],
            *([phrases(name), value] for name, value in step["lines"]),
        ],
        "alike": f"{phrases('could be taken for')} {phrases('Core')} {step['alike']}" if step["alike"] else "",
        "caution": f"{phrases('Caution')}: {step['caution']}" if step["caution"] else "",
        "check": check,
        "limits": f"{phrases('goes at')} {step['limits']}" if step["limits"] else "",
        "not_drawn": phrases("This core cannot be drawn: nobody said where it stands") if step["not_drawn"] else "",
    }


def _exploded(guide: Guide, style: Style) -> str:
    if guide.scene is None:
        return ""
    views = sketch(guide.scene, Wanted(views=(EXPLODED,), so_far=False), style).views
    return view_svg(views[0], VIEW_WIDTH) if views else ""


class _Photos:
    """The pictures of the guide in order; it refers to them by number."""

    def __init__(self) -> None:
        self.paths: list[Any] = []

    def shown(self, photos: tuple[SheetPhoto, ...]) -> list[dict[str, Any]]:
        out = []
        for photo in photos:
            out.append({"at": len(self.paths), "caption": photo.caption, "missing": photo.shown_name})
            self.paths.append(photo.path)
        return out


def _step(guide: Guide, step: GuideStep, phrases: Phrases, photos: _Photos, style: Style) -> dict[str, Any]:
    lines = [
        ("Weight", f"{phrases('about')} {style.weight(step.weight_kg)}" if step.weight_kg is not None else None),
        ("Lift once the metal is in", step.lift),
        ("Lift it by", step.lift_points),
        ("Chaplets", step.chaplets),
        ("Vents", step.vents),
    ]
    views = _views(guide, step, style)
    bounded = step.lower_mm is not None or step.upper_mm is not None
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
        "alike": ", ".join(step.alike),
        "caution": step.caution or "",
        "lines": [[name, value] for name, value in lines if value],
        "views": views,
        "not_drawn": not step.boxes,
        "photos": photos.shown(step.photos),
        "check": step.check or "",
        "template": step.template or "",
        "limits": _limits(step.lower_mm, step.upper_mm, phrases, style),
        "check_svg": check_svg(step.lower_mm, step.upper_mm, style=style) if bounded else "",
        "sizes": [
            {
                "balloon": size.balloon,
                "name": size.name,
                "limits": _limits(size.lower_mm, size.upper_mm, phrases, style),
            }
            for size in step.sizes
        ],
    }


def _key(key: GuideKey, phrases: Phrases, style: Style) -> dict[str, Any]:
    return {
        "name": key.name,
        "count": key.count,
        "into": part(key.into, phrases),
        "mark": key.mark or "",
        "gentle": key.gentle,
        "clearance": style.length(key.clearance_mm),
    }


def part(into: str, phrases: Phrases) -> str:
    """The drag, the cope or a core in the words of the guide."""
    if into in ("drag", "cope"):
        return phrases(f"the {into}")
    return f"{phrases('Core')} {into.removeprefix('core ')}" if into.startswith("core ") else into


def _limits(lower: float | None, upper: float | None, phrases: Phrases, style: Style) -> str:
    if lower is None and upper is None:
        return ""
    ends = [style.length(limit, 2, unit=False) if limit is not None else "…" for limit in (lower, upper)]
    return f"{ends[0]} {phrases('to')} {ends[1]} {style.word}"


def _views(guide: Guide, step: GuideStep, style: Style) -> list[str]:
    """Plan and section with this core black and the ones before it grey; nothing where nothing has a place."""
    if guide.scene is None:
        return []
    drawn = sketch(guide.scene, Wanted(hand=str(step.number), views=(PLAN, SECTION)), style)
    return [view_svg(view, VIEW_WIDTH) for view in drawn.views]
