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


def page(template: str, shown: Mapping[str, Any], *sheets: str) -> bytes:
    """The page as UTF-8. Its policy lets nothing load but its own style, named by hash, and pictures inside it."""
    css = "\n".join((TEMPLATES / sheet).read_text(encoding="utf-8") for sheet in ("paper.css", *sheets))
    css = css.replace("@page { size: A4;", f"@page {{ size: {settings.read().paper};", 1)
    digest = b64encode(sha256(css.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'"
    made = _environment().get_template(template).render(v=shown, css=drawing(css), policy=policy)
    return made.encode("utf-8")


def picture(content: bytes, media: str) -> str:
    """A picture as a data address, so that the page stays one file."""
    return f"data:{media};base64,{b64encode(content).decode('ascii')}"
