"""Which paper of the kit goes into which form, and the way to the disk."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.kit import list_table, view
from inspect_tui.report.kit.capacity import capacity
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.report.paper.photos import pictures
from inspect_tui.shop.kit.paper.capacity_page import CapacityPage
from inspect_tui.shop.kit.paper.come_back import ComeBack
from inspect_tui.shop.kit.paper.kit_list import KitList, LabelData
from inspect_tui.shop.kit.paper.setting_sheet import SettingSheet

Paper = SettingSheet | KitList | ComeBack | CapacityPage | tuple[LabelData, ...]

ENDINGS = {
    "setting_sheet": (".html", ".pdf"),
    "kit_list": (".html", ".pdf", ".xlsx", ".csv"),
    "capacity": (".html", ".pdf"),
    "labels": (".html", ".pdf"),
    "come_back": (".csv", ".xlsx", ".html", ".pdf"),
}


def kind_of(paper: Paper) -> str:
    """setting_sheet, kit_list, come_back, capacity or labels."""
    kinds: dict[type, str] = {
        SettingSheet: "setting_sheet",
        KitList: "kit_list",
        ComeBack: "come_back",
        CapacityPage: "capacity",
    }
    return kinds.get(type(paper), "labels")


def make(paper: Paper, form: str, style: Style = PAPER) -> bytes:
    """The paper as bytes; `form` is html, pdf, or for a come-back sheet or kit list csv or xlsx."""
    kind = kind_of(paper)
    if isinstance(paper, ComeBack) and form in ("csv", "xlsx"):
        return view.come_back_csv(paper) if form == "csv" else view.come_back_workbook(paper)
    if isinstance(paper, KitList) and form in ("csv", "xlsx"):
        return list_table.make(paper, form)
    shown: dict[str, Any] = (
        capacity(paper, style) if isinstance(paper, CapacityPage) else getattr(view, kind)(paper, style)
    )
    photos = shown.pop("photos_of", [])
    names, files = pictures(photos, form)
    shown["pictures"] = names
    if form == "html":
        return page(f"{kind}.html", shown, "kit.css")
    return pdf(f"{kind}.typ", shown, files=files)


def write(paper: Paper, path: str | Path, *, force: bool = False, style: Style = PAPER) -> Path:
    """Write one paper, its form chosen by the ending of `path`; returns the path.

    PaperError with a sentence when it cannot be made or written; an existing file stays unless `force`.
    """
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS[kind_of(paper)])
    if kind_of(paper) == "labels" and not paper:
        raise PaperError("There is no tool in this job yet, so there is nothing to label.")
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(paper, form, style), force=force)
