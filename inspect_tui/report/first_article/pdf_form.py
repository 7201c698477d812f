"""The first article as a PDF: the same view as the HTML page, set for A4."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.report.first_article.view import view
from inspect_tui.report.paper.pdf import pdf


def content(plain: Mapping[str, Any]) -> bytes:
    """The PDF; dated by the newest reading, so that the same result is the same file."""
    return pdf("first_article.typ", view(plain), day=plain["identity"]["measured_to"])
