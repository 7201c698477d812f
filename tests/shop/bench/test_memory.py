"""What is remembered outside the record: it brings people back, and losing or spoiling it never stops work."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.record.file.state import state_dir
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def test_work_goes_on_where_it_stood(shop: SmallShop) -> None:
    bench = shop.bench("box 1")
    bench.set_person(find.person(shop.record, "IN"))
    bench.set_instrument(find.instrument(shop.record, "inch caliper"))
    memory.remember(shop.record, bench)
    back = memory.last_bench(shop.record)
    assert back and back.person and back.means
    assert (back.subject.label, back.person.initials, back.means.instrument.label) == ("box 1", "IN", "inch caliper")


def test_of_several_people_nobody_is_taken_for_granted(shop: SmallShop) -> None:
    back = memory.last_bench(shop.record)
    assert back and back.person is None and back.means is None
    assert back.job.number == "SV-12" and back.subject.label == find.subjects(shop.record, back.job)[0].label
    named = memory.last_bench(shop.record, {"job": "SV-12", "subject": "drag pattern", "person": "AB"})
    assert named and named.person and (named.subject.label, named.person.initials) == ("drag pattern", "AB")


def test_a_record_without_jobs_has_no_bench(tmp_path: Path) -> None:
    with Record.open(tmp_path / "empty.db", create=True) as record:
        assert memory.last_bench(record) is None


@pytest.mark.parametrize("content", [b"", b"{", b"[1, 2]", b"\xff\xfe", b'{"x": {"file": "1"}}'])
def test_a_spoiled_memory_is_an_empty_one(shop: SmallShop, content: bytes) -> None:
    state_dir().mkdir(parents=True, exist_ok=True)
    (state_dir() / "bench.json").write_bytes(content)
    assert memory.last_file(shop.record) == ""
    assert memory.last_bench(shop.record)
    memory.remember_file(shop.record, "~/lot 4.csv")
    assert memory.last_file(shop.record) == "~/lot 4.csv"


def test_forms_and_files_are_kept_side_by_side(shop: SmallShop) -> None:
    memory.remember_form(shop.record, "New fit", {"label": "K7"})
    memory.remember_form(shop.record, "New tool", {"label": "box 9"})
    memory.remember_file(shop.record, "~/lot 4.csv")
    memory.remember(shop.record, shop.bench())  # takes nothing away
    assert memory.last_file(shop.record) == "~/lot 4.csv"
    memory.drop_form(shop.record, "New fit")
    memory.drop_form(shop.record, "never there")
    assert memory.kept_form(shop.record, "New fit") == {}
    assert memory.kept_form(shop.record, "New tool") == {"label": "box 9"}


def test_one_record_knows_nothing_of_another(shop: SmallShop, tmp_path: Path) -> None:
    memory.remember_file(shop.record, "~/lot 4.csv")
    with Record.open(tmp_path / "other.db", create=True) as other:
        assert memory.last_file(other) == ""


def test_where_nothing_can_be_written_work_goes_on(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = shop.path.with_name("a file")
    blocked.write_text("")
    monkeypatch.setenv("INSPECT_TUI_STATE", str(blocked / "below"))
    memory.remember(shop.record, shop.bench())
    memory.note_trouble(ValueError("x"))
    assert memory.last_file(shop.record) == ""


def test_the_last_trouble_is_written_down_with_its_place() -> None:
    for words in ("first", "second"):
        try:
            raise ValueError(words)
        except ValueError as error:
            memory.note_trouble(error)
    told = memory.trouble_file().read_text("utf-8")
    assert "ValueError: second" in told and "first" not in told and "test_memory" in told
