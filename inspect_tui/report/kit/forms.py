"""Which paper of the kit goes into which form, and the way to the disk."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.kit import labels as box_labels
from inspect_tui.report.kit import list_table, view
from inspect_tui.report.kit.capacity import capacity
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.report.paper.photos import pictures
from inspect_tui.shop.kit.paper.capacity_page import CapacityPage
from inspect_tui.shop.kit.paper.come_back import ComeBack
from inspect_tui.shop.kit.paper.kit_list import KitList, Labels
from inspect_tui.shop.kit.paper.setting_sheet import SettingSheet

Paper = SettingSheet | KitList | ComeBack | CapacityPage | Labels

ENDINGS = {
    "setting_sheet": (".html", ".pdf"),
    "kit_list": (".html", ".pdf", ".xlsx", ".csv"),
    "capacity": (".html", ".pdf"),
    "labels": (".html", ".pdf", ".xlsx", ".csv"),
    "come_back": (".csv", ".xlsx", ".html", ".pdf"),
    "guide": (".html", ".pdf"),
}


def kind_of(paper: Paper) -> str:
    """setting_sheet, kit_list, come_back, capacity or labels."""
    kinds: dict[type, str] = {
        SettingSheet: "setting_sheet",
        KitList: "kit_list",
        ComeBack: "come_back",
        CapacityPage: "capacity",
        Labels: "labels",
    }
    return kinds[type(paper)]


def make(paper: Paper, form: str, style: Style = PAPER) -> bytes:
    """The paper as bytes; `form` is html, pdf, or for a come-back sheet, a kit list or labels csv or xlsx."""
    kind = kind_of(paper)
    if isinstance(paper, ComeBack) and form in ("csv", "xlsx"):
        return view.come_back_csv(paper) if form == "csv" else view.come_back_workbook(paper)
    if isinstance(paper, KitList) and form in ("csv", "xlsx"):
        return list_table.make(paper, form)
    if isinstance(paper, Labels):
        return _labels(paper, form, style)
    shown: dict[str, Any] = (
        capacity(paper, style) if isinstance(paper, CapacityPage) else getattr(view, kind)(paper, style)
    )
    photos = shown.pop("photos_of", [])
    names, files = pictures(photos, form)
    shown["pictures"] = names
    if form == "html":
        return page(f"{kind}.html", shown, "kit.css")
    return pdf(f"{kind}.typ", shown, files=files)


def _labels(labels: Labels, form: str, style: Style) -> bytes:
    if form in ("csv", "xlsx"):
        return box_labels.table(labels, form)
    if form == "pdf":
        return pdf("labels.typ", box_labels.view(labels, style))
    if labels.size != box_labels.SHEET:
        raise PaperError(f"Labels of {labels.size} are set one a page as PDF: name a file that ends in .pdf.")
    return page("labels.html", box_labels.view(labels, style), "kit.css")


def write(paper: Paper, path: str | Path, *, force: bool = False, style: Style = PAPER) -> Path:
    """Write one paper, its form chosen by the ending of `path`; returns the path.

    PaperError with a sentence when it cannot be made or written; an existing file stays unless `force`.
    """
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS[kind_of(paper)])
    if isinstance(paper, Labels) and not paper.tools:
        raise PaperError("There is no tool in this job yet, so there is nothing to label.")
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(paper, form, style), force=force)
