"""The first article as one HTML file that prints well and opens without a network."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.report.first_article.view import view
from inspect_tui.report.paper.html import page


def content(plain: Mapping[str, Any]) -> bytes:
    """The page as UTF-8."""
    return page("first_article.html", view(plain), "first_article.css")
