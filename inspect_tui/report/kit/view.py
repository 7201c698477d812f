"""What the papers for the foundry show, as text and drawings: HTML and PDF are two dresses of the same view.

A value that is not known is a line to fill in, never a nought.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.svg import check_svg, fit_svg, sign_svg
from inspect_tui.report.kit.pictures import order_svg, section_svg, step_svg
from inspect_tui.report.paper import table_csv as paper_csv
from inspect_tui.report.paper import table_xlsx
from inspect_tui.report.paper.photos import Photos, not_beside
from inspect_tui.report.words import deep_visible, listed
from inspect_tui.shop.kit.paper.come_back import ComeBack, ComeBackRow
from inspect_tui.shop.kit.paper.kit_list import KitLine, KitList
from inspect_tui.shop.kit.paper.setting_sheet import SHOP, SettingSheet, SheetFit, SheetStep
from inspect_tui.shop.kit.sketch.scene import Scene

LEVELS = {
    FitState.FITS: "good",
    FitState.RUBS: "bad",
    FitState.DOES_NOT_GO: "bad",
    FitState.FLOATS: "doubt",
    FitState.UNDECIDED: "doubt",
    FitState.AS_DRAWN: "doubt",
}
SIGNS = {
    FitState.FITS: "\u2713",
    FitState.RUBS: "\u2717",
    FitState.DOES_NOT_GO: "\u2717",
    FitState.FLOATS: "!",
    FitState.UNDECIDED: "?",
    FitState.AS_DRAWN: "\u00b7",
}
LINE = "\u2007" * 12  # room to write
SHOPS = " · shop's copy: not for the foundry"
PICTURES = (
    "In the pictures of the mould this core is black, cores that are set before it are grey; what is dashed is about, "
    "from its sizes; the double line is the parting. They are no drawings to measure by."
)


def _clean(shown: dict[str, Any], photos: Photos | None = None) -> dict[str, Any]:
    cleaned: dict[str, Any] = deep_visible(shown)
    cleaned["photos_of"] = photos.paths if photos else []
    return cleaned


def _short(job: str, drawing: str | None, rev: str | None) -> str:
    return job + (f" · drawing {drawing} rev. {rev}" if drawing else "")


# ------------------------------------------------------------------------------ setting sheet
def setting_sheet(sheet: SettingSheet, style: Style = PAPER) -> dict[str, Any]:
    """The sheet with every step."""
    photos = Photos(not_beside)
    whole = photos.shown(sheet.photos)
    facts = [
        ("Job", sheet.job),
        ("Part", sheet.name),
        ("Customer's reference", sheet.customer_ref),
        ("Drawing", f"{sheet.drawing}, revision {sheet.rev}" if sheet.drawing else None),
        ("Material", sheet.alloy),
        ("Cores", str(len(sheet.steps))),
        ("Trial in the mould", sheet.proven),
    ]
    steps = [_step(step, photos, style, sheet.scene) for step in sheet.steps]
    return _clean(
        {
            "title": f"Setting sheet {sheet.job}",
            "unit": style.word,
            "kicker": "Setting sheet · one step a core, in this order" + (SHOPS if sheet.edition == SHOP else ""),
            "name": sheet.name,
            "job": sheet.job,
            "short": _short(sheet.job, sheet.drawing, sheet.rev),
            "facts": [[name, value] for name, value in facts if value],
            "sign": sign_svg(),
            "order": order_svg([(str(step.number), step.name) for step in sheet.steps]) if sheet.steps else None,
            "order_sentence": sheet.order_sentence,
            "steps": steps,
            "pictures_say": PICTURES if any(step["section"] for step in steps) else "",
            "photos": whole,
            "colours": [{"mark": mark, "on": on} for mark, on in sheet.colour_key],
            "not_proven": list(sheet.not_proven),
            "cautions": list(sheet.cautions),
            "heads": list(sheet.heads),
        },
        photos,
    )


def _step(step: SheetStep, photos: Photos, style: Style, scene: Scene | None) -> dict[str, Any]:
    core = scene.core(str(step.number)) if scene is not None else None
    section = section_svg(scene, str(step.number), style) if scene is not None else None
    lines = []
    if step.box or step.stick:
        lines.append(("Made in", ", ".join(x for x in (step.box, f"from {step.stick}" if step.stick else None) if x)))
    if step.weight_kg is not None:
        lines.append(("Weight", f"about {style.weight(step.weight_kg)}"))
    if step.chaplets is not None or step.chaplet_note:
        number = show.count(step.chaplets, "chaplet") if step.chaplets is not None else ""
        lines.append(("Chaplets", ", ".join(x for x in (number, step.chaplet_note) if x)))
    if step.vents:
        lines.append(("Vents", step.vents))
    if step.lift_sentence:
        lines.append(("Lift", step.lift_sentence))
    elif step.lift_kgf is not None:
        way = "up" if step.lift_kgf > 0 else "down"
        lines.append(("Lift", f"{style.figure(abs(step.lift_kgf), 1)} kgf {way} once the metal is in"))
    if step.lift_points:
        lines.append(("Lift by", step.lift_points))
    check = None
    if step.check:
        bounded = step.check.lower_mm is not None or step.check.upper_mm is not None
        check = {
            "sentence": step.check.sentence,
            "template": step.check.template or "",
            "svg": check_svg(step.check.lower_mm, step.check.upper_mm, style=style) if bounded else None,
        }
    return {
        "step": step.step,
        "number": str(step.number),
        "name": step.name,
        "only": "only locates other cores" if step.only_locates else "",
        "picture": step_svg(str(step.number), step.name, [(f.name, f.into, f.mark or "") for f in step.fits]),
        "section": section,
        "not_drawn": f"Core {step.number} is not drawn as a body: nothing tells how far it reaches."
        if section and core is not None and not core.body.boxes
        else "",
        "fits": [_fit(fit, style) for fit in step.fits],
        "check": check,
        "lines": [list(line) for line in lines],
        "caution": step.caution or "",
        "remarks": list(step.remarks),
        "photos": photos.shown(step.photos),
    }


def _fit(fit: SheetFit, style: Style) -> dict[str, Any]:
    """A fit; how it stands, and how far it is from its limits, are on the shop's copy alone."""
    shown: dict[str, Any] = {"name": fit.name, "sentence": fit.sentence, "state": "", "level": "plain", "sign": ""}
    shown |= {"measured": "", "svg": None}
    if fit.state is not None:
        shown |= {
            "state": fit.state,
            "level": LEVELS.get(fit.state, "plain"),
            "sign": SIGNS.get(fit.state, ""),
            "measured": "as measured" if fit.measured else "as drawn, not measured",
            "svg": fit_svg(fit.clearance_mm, fit.clear_min_mm, fit.clear_max_mm, style=style),
        }
    return shown


# ------------------------------------------------------------------------------ kit list
def kit_list(kit: KitList, style: Style = PAPER) -> dict[str, Any]:
    """Everything of the kit, counted and weighed, with room to tick it off."""
    photos = Photos(not_beside)
    lines = [_kit_line(number, line, style) for number, line in enumerate(kit.lines, start=1)]
    gallery = [{"label": line.label, "photos": photos.shown(line.photos)} for line in kit.lines if line.photos]
    owners = list(dict.fromkeys(line.owner for line in kit.lines if line.owner))
    said = [show.count(len(kit.lines), "thing"), show.count(kit.loose_pieces, "loose piece")]
    if kit.weight_kg is not None:
        said.append(style.weight(kit.weight_kg) + (" of those weighed" if kit.not_weighed else ""))
    missing = []
    if kit.not_weighed:
        missing.append(f"Not weighed: {listed(kit.not_weighed)}.")
    if kit.not_counted:
        missing.append(f"Loose pieces not counted: {listed(kit.not_counted)}.")
    return _clean(
        {
            "title": f"Kit list {kit.job}",
            "kicker": "Kit list · counted out and counted back",
            "name": kit.name,
            "job": kit.job,
            "short": _short(kit.job, kit.drawing, kit.rev),
            "sign": sign_svg(),
            "facts": [
                [a, b]
                for a, b in (
                    ("Job", kit.job),
                    ("Customer's reference", kit.customer_ref),
                    ("Owner", ", ".join(owners)),
                    ("In all", ", ".join(said)),
                )
                if b
            ],
            "lines": lines,
            "missing": missing,
            "gallery": gallery,
            "cautions": list(kit.cautions),
            "heads": list(kit.heads),
        },
        photos,
    )


def _kit_line(number: int, line: KitLine, style: Style) -> dict[str, str]:
    core = f"core {line.core}" + (f" {line.core_name}" if line.core_name else "") if line.core is not None else ""
    return {
        "number": str(number),
        "kind": line.kind,
        "label": line.label,
        "core": core,
        "count": str(line.count),
        "loose": "" if line.loose_pieces is None else str(line.loose_pieces),
        "dowels": "" if line.dowels is None else str(line.dowels),
        "weight": style.weight(line.weight_kg),
        "mark": line.mark or "",
        "material": line.material,
        "owner": line.owner or "",
        "where": line.where,
        "lift": line.lift_points or "",
        "note": line.note or "",
    }


# ------------------------------------------------------------------------------ come-back sheet
def come_back(sheet: ComeBack, style: Style = PAPER) -> dict[str, Any]:
    """The sheet to fill in by hand, a block for each core."""
    groups: list[dict[str, Any]] = []
    for row in sheet.rows:
        title = f"core {row.core} {row.core_name or ''}".strip() if row.core is not None else "The mould"
        if not groups or groups[-1]["title"] != title:
            groups.append({"title": title, "step": str(row.step) if row.step is not None else "", "rows": []})
        groups[-1]["rows"].append(_come_back_row(row, style))
    return _clean(
        {
            "title": f"Come-back sheet {sheet.job}",
            "unit": style.word,
            "kicker": "Come-back sheet · please fill in and send back",
            "name": sheet.name,
            "job": sheet.job,
            "short": _short(sheet.job, sheet.drawing, sheet.rev),
            "heads": [],
            "sign": sign_svg(),
            "groups": groups,
            "facts": [["Job", sheet.job], ["Heat or lot", LINE], ["Poured on", LINE], ["Filled in by", LINE]],
        }
    )


def _come_back_row(row: ComeBackRow, style: Style) -> dict[str, Any]:
    open_ends = row.lower_mm is None and row.upper_mm is None
    return {
        "kind": row.kind,
        "what": row.what,
        "balloon": row.balloon or "",
        "wanted": style.length(row.wanted_mm, unit=False),
        "limits": "" if open_ends else style.band(row.lower_mm, row.upper_mm, unit=False),
        "remark": row.kind == "remark",
    }


def come_back_csv(sheet: ComeBack) -> bytes:
    """The same as a small table to fill in on a screen: casting, read_mm, by and remark are empty."""
    return paper_csv.table(sheet.columns, _come_back_cells(sheet))


def come_back_workbook(sheet: ComeBack) -> bytes:
    """That table as a workbook with one sheet; numbers are numbers."""
    return table_xlsx.workbook("come-back", sheet.columns, _come_back_cells(sheet))


def _come_back_cells(sheet: ComeBack) -> Iterator[list[object]]:
    edition = sheet.edition
    known: dict[str, Callable[[ComeBackRow], object]] = {
        "job": lambda row: sheet.job,
        "rev": lambda row: sheet.rev,
        "kind": lambda row: row.kind,
        "core": lambda row: row.core,
        "what": lambda row: row.what,
        "balloon": lambda row: row.balloon,
        "wanted_mm": lambda row: row.wanted_mm,
        "lower_mm": lambda row: row.lower_mm,
        "upper_mm": lambda row: row.upper_mm,
        "edition": lambda row: edition,
    }
    for row in sheet.rows:
        yield [known[key](row) if key in known else None for key in sheet.columns]
