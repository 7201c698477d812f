"""Fills an HTML template: everything escaped, everything in one file, nothing fetched from anywhere."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.settings import file as settings

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parents[1] / "templates"


def need(module: str) -> Any:
    """A library of the papers, or a sentence that says how to get it."""
    from importlib import import_module

    try:
        return import_module(module)
    except ImportError:
        raise PaperError(
            f"Papers need the library {module}, which is not installed: pip install 'inspect-tui[report]'."
        ) from None


@cache
def _environment() -> Environment:
    jinja2 = need("jinja2")
    made: Environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters["drawing"] = drawing
    return made


def drawing(svg: str) -> Any:
    """One of our own drawings (every text in it escaped when it was drawn) as markup."""
    return need("markupsafe").Markup(svg)


def page(
    template: str,
    shown: Mapping[str, Any],
    *sheets: str,
    alone: bool = False,
    script: str | None = None,
    size: str | None = None,
) -> bytes:
    """The page as UTF-8. Its policy lets nothing load but its own style, named by hash, and pictures inside it.

    `alone`: without the common style of the papers. `script`: a script of our own, named by hash too; what it asks for
    stays inside the page. `size`: A4 or Letter, left out: as it is set.
    """
    names = sheets if alone else ("paper.css", *sheets)
    css = "\n".join((TEMPLATES / sheet).read_text(encoding="utf-8") for sheet in names)
    css = css.replace("@page { size: A4;", f"@page {{ size: {size or settings.paper()};", 1)
    code = (TEMPLATES / script).read_text(encoding="utf-8") if script else ""
    policy = f"default-src 'none'; style-src {_hash(css)}; img-src data:; base-uri 'none'; form-action 'none'"
    if script:
        policy += f"; script-src {_hash(code)}"
    made = _environment().get_template(template).render(v=shown, css=drawing(css), policy=policy, script=drawing(code))
    return made.encode("utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def picture(content: bytes, media: str) -> str:
    """A picture as a data address, so that the page stays one file."""
    return f"data:{media};base64,{b64encode(content).decode('ascii')}"
