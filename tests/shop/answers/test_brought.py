"""File and stay of what a foundry sent back: which comes first, and what they are called."""

from __future__ import annotations

from inspect_tui.shop.answers.brought import brought
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def test_the_file_names_the_stay_that_ends_it(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    file, session = brought(shop.record, "x" * 200, "ab" * 32, job.of_id, 3, b"r" * 16)
    assert (file.session_id, file.job_of_id, file.readings, file.sha256) == (session.id, job.of_id, 3, "ab" * 32)
    assert (session.kind, session.job_of_id, session.revision_id) == ("core", job.of_id, b"r" * 16)
    assert len(file.shown_name) == 120 and session.title == ("taken in from " + "x" * 200)[:120]
    nameless, _ = brought(shop.record, "", "ab" * 32, job.of_id)
    assert nameless.shown_name == "unnamed" and nameless.readings == 0
