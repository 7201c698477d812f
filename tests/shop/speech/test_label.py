"""What stands on a label names a tool or core, whoever reads it."""

from __future__ import annotations

from uuid import UUID

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.shop.common import find
from inspect_tui.shop.speech.label import Label, read, subject
from tests.conftest import SmallShop


def test_a_label_is_three_parts_and_an_id() -> None:
    code = UUID(int=5)
    assert read(f"4711 | box 3 | {code}\r") == Label("4711", "box 3", code.bytes)
    assert read("4711 | box 3 | 12") == Label("4711", "box 3", b"")
    assert read("59.66") is read("59.66 | 59.68") is read("| |") is None


def test_tool_and_core_are_opened_and_others_said(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    tool = next(tool for tool in shop.record.tools(job.of_id) if tool.label == "box 1")
    (core,) = shop.record.cores(job.of_id)
    assert subject(shop.record, Label("", "", tool.of_id))[1].label == "box 1"
    assert subject(shop.record, Label("", "", core.of_id))[1].label in ("stick 1", "box 1")
    with pytest.raises(NotFound, match="does not hold box 9 of job 4711"):
        subject(shop.record, Label("4711", "box 9", b"x" * 16))
    with pytest.raises(NotFound, match="was not read whole"):
        subject(shop.record, Label("4711", "box 9", b""))
