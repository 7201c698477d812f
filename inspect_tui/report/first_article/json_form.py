"""The first article as JSON: the whole result at full precision, in a fixed order, the same bytes every time.

It is the very text that a snapshot in the record is hashed over; `first_article.schema.json` describes it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.shop.first_article.snapshot import canonical_text


def content(plain: Mapping[str, Any]) -> bytes:
    """UTF-8 with one space of indent, keys in the order of the result, no NaN."""
    return canonical_text(dict(plain)).encode("utf-8")
