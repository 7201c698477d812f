"""A note goes to the newest reading of a size, or to the tool or casting; what cannot be meant is said."""

from __future__ import annotations

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.record import kinds
from inspect_tui.shop.feature import notes
from tests.conftest import SmallShop


def test_a_note_finds_what_it_is_about(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    bench = shop.bench("stick 1")
    balloon = bench.task.feature.balloon if bench.task else ""
    for text in ("59.66", "59.70"):
        bench.goto(balloon)
        bench.take(text)
        bench.keep_pending()
    newest = record.readings()[-1].reading
    made = notes.read(record, job, {"on": "stick 1", "feature": balloon, "text": " smooth "})
    assert (made.about_kind, made.about_id, made.text) == (kinds.READING.number, newest.id, "smooth")
    about = notes.read(record, job, {"on": "box 1", "text": "x"})
    box = next(tool for tool in record.tools(job.of_id) if tool.label == "box 1")
    assert (about.about_kind, about.about_id) == (kinds.TOOL.number, box.of_id)
    for values, why in (
        ({"on": "stick 1", "text": ""}, "say what is to be known"),
        ({"on": "stick 1", "text": "x" * 4001}, "at most 4000"),
        ({"on": "stick 9", "text": "x"}, "stick 9"),
        ({"on": "box 1", "feature": balloon, "text": "x"}, "was not read on box 1"),
    ):
        with pytest.raises(InspectError, match=why):
            notes.read(record, job, values)
