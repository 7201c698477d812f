"""Sets a PDF from a template: data goes in as JSON and is only ever text, fonts come with the library, no network.

The same data gives the same bytes: the document's date is the one of the data, or none, never of the clock.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.html import TEMPLATES, need
from inspect_tui.shop.settings import file as settings
from inspect_tui.shop.settings.choices import PAPERS


def pages(made: bytes) -> int:
    """How many pages a PDF of ours has: its page tree lies open in it."""
    return len(re.findall(rb"/Type\s*/Page\b", made))


def pdf(
    template: str,
    shown: Mapping[str, Any],
    *,
    day: str | None = None,
    files: Mapping[str, bytes] | None = None,
    size: str | None = None,
    folder: str = "",
) -> bytes:
    """The PDF. `day` is the ISO date of the data; `files` are pictures by the names (our own) that the data has.

    `size`: A4 or Letter, left out: as it is set. `folder`: of the templates, where papers of before have theirs.
    """
    typst = need("typst")
    sheet = PAPERS[size or settings.paper()]
    told = json.dumps({"sheet": sheet, **shown, "day": (day or "")[:10]}, ensure_ascii=False)
    try:
        with TemporaryDirectory(prefix="inspect-tui-") as made_in:
            place = Path(made_in)
            for name in (template, "paper.typ"):
                (place / name).write_bytes((TEMPLATES / folder / name).read_bytes())
            for name, content in (files or {}).items():
                (place / name).write_bytes(content)
            made = typst.compile(
                str(place / template), root=made_in, format="pdf", ignore_system_fonts=True, sys_inputs={"data": told}
            )
    except (OSError, typst.TypstError) as problem:
        raise PaperError(
            f"The PDF could not be set: {problem}. The HTML form does not depend on this step."
        ) from problem
    assert isinstance(made, bytes)
    return made
