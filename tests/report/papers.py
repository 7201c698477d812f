"""The words of one of each paper, as plain text: what the tests hold the papers to; a change shows in the diff.

`python -m tests.report.papers` writes them anew into `papers_texts/`. Look at what changed.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Callable
from html import unescape
from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.report.first_article import forms as first_article
from inspect_tui.report.kit import forms as kit
from inspect_tui.report.kit import guide
from inspect_tui.report.kit.phrases import phrases
from inspect_tui.report.measuring import bench
from inspect_tui.report.measuring import forms as measuring
from inspect_tui.report.paper.html import page
from inspect_tui.report.trends import forms as trends
from inspect_tui.report.trends import view
from inspect_tui.shop.common import find
from inspect_tui.shop.kit.paper.capacity_page import capacity_page
from inspect_tui.shop.kit.paper.kit_list import Labels
from inspect_tui.shop.kit.paper.setting_sheet import for_foundry
from inspect_tui.shop.measuring import bench_sheet, sheet
from inspect_tui.shop.measuring.faces import enter
from inspect_tui.shop.measuring.sample import of_sample
from inspect_tui.shop.trends import month_sheet
from tests.shop.kit.paper.test_capacity_page import port
from tests.worlds import kit_samples as samples
from tests.worlds.report_samples import plain
from tests.worlds.sample_faces import named
from tests.worlds.worn_box import WornBox

FOLDER = Path(__file__).with_name("papers_texts")
ENDS = (
    r"</(?:p|div|h[1-6]|tr|li|dt|dd|section|svg|title|text|td|th|label|figcaption|summary|header|footer|button|span)>"
)


def words(content: bytes) -> str:
    """Everything that is to be read on a page of HTML, a line a paragraph, cell or word of a drawing."""
    text = re.sub(r"(?s)<style>.*?</style>|<script.*?</script>", "", content.decode("utf-8"))
    text = unescape(re.sub(r"<[^>]+>", "", re.sub(rf"{ENDS}|<br>|<input[^>]*>", "\n", text)))
    lines = (" ".join(line.split()) for line in text.splitlines())
    return "\n".join(line for line in lines if line) + "\n"


def of_the_port(folder: Path) -> tuple[bytes, bytes]:
    """The capacity page of a small kit, and the bench sheet of one of its boxes."""
    with Record.open(folder / "port.db", create=True, state_dir=folder) as record:
        made = port(record)
        page_ = replace(capacity_page(record, made.job), heads=())
        subject = find.subject(record, made.job, "box 1")
        return kit.make(page_, "html"), bench.make(
            replace(bench_sheet.sheet(record, made.job, subject), heads=()), "html"
        )


def of_the_sample(folder: Path) -> bytes:
    """The measuring sheet of a sample casting."""
    with Record.open(folder / "sample.db", create=True, state_dir=folder) as record:
        job, _ = named(record)
        enter(record, job, of_sample(record, job).to_enter)
        return measuring.make(replace(sheet.sheet(record, job, of_sample(record, job)), heads=()), "html")


def of_the_worn_box(folder: Path) -> tuple[bytes, bytes, bytes]:
    """The month's sheet, the page for the wall and the chart of a box that wears."""
    made = WornBox(folder / "worn.db")
    made.wear(12)
    month = replace(month_sheet.sheet(made.record, "2024-03", today="2024-04-01"), heads=())
    chart = page("trend.html", view.one_chart(month.charts[0], "cores", []))
    made.record.close()
    return trends.make_sheet(month, "html"), trends.make_wall(month, "html"), chart


def papers(folder: Path) -> dict[str, bytes]:
    """One of each paper as HTML; records are made in `folder`."""
    capacity, bench_of_box = of_the_port(folder)
    month, wall, chart = of_the_worn_box(folder)
    setting = samples.setting_sheet(3)
    whole = samples.drawn_guide()
    made: dict[str, Callable[[], bytes]] = {
        "setting_sheet_shop": lambda: kit.make(setting, "html"),
        "setting_sheet_foundry": lambda: kit.make(for_foundry(setting), "html"),
        "kit_list": lambda: kit.make(samples.kit_list(), "html"),
        "labels": lambda: kit.make(Labels(samples.labels()[:3], at="https://files.example/guide.html"), "html"),
        "come_back": lambda: kit.make(samples.come_back(), "html"),
        "capacity": lambda: capacity,
        "capacity_wrong": lambda: kit.make(samples.capacity(), "html"),
        "guide": lambda: guide.html(whole, phrases()),
        "guide_fr": lambda: guide.html(whole, phrases("fr")),
        "bench_sheet": lambda: bench_of_box,
        "measuring_sheet": lambda: of_the_sample(folder),
        "month": lambda: month,
        "wall": lambda: wall,
        "trend": lambda: chart,
        "first_article": lambda: first_article.make(plain(3, 2), "html"),
        "first_article_customer": lambda: first_article.make(plain(3, 2), "html", annex=False),
    }
    return {name: make() for name, make in made.items()}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        os.environ["INSPECT_TUI_STATE"] = os.environ["INSPECT_TUI_CONFIG"] = name
        for paper, content in papers(Path(name)).items():
            (FOLDER / f"{paper}.txt").write_text(words(content), encoding="utf-8")
            print(paper)
