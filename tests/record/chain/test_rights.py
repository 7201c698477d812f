"""Acts that decide are asked of the role and of the PIN, in the one place where things are written."""

from __future__ import annotations

import pytest

from inspect_tui.errors import NotAllowed
from inspect_tui.frozen import replace
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.kit import Shipment
from inspect_tui.model.measuring import Supersede
from inspect_tui.model.trends import WearLimit
from inspect_tui.record import kinds
from inspect_tui.record.chain import rights
from inspect_tui.record.kinds import KINDS
from inspect_tui.record.store import Record
from inspect_tui.todo import Todo

ID = b"\1" * 16


def test_what_decides() -> None:
    void = Supersede(target_id=ID, reason="misread", why="slipped")
    assert rights.decides(kinds.SUPERSEDE, void) == "take a reading out"
    assert rights.decides(kinds.SUPERSEDE, replace(void, replacement_id=ID)) == ""
    gone = Shipment(job_of_id=ID, way="out", to_whom="foundry", done_on="2026-03-01")
    assert rights.decides(kinds.SHIPMENT, gone) == ""
    assert rights.decides(kinds.SHIPMENT, replace(gone, why_open="K7 is tight")) == "ship with open points"
    deciding = {kind.table for kind in KINDS if kind in rights._DECIDES}
    assert deciding == {
        "withdrawal",
        "same_thing",
        "report_snapshot",
        "instrument_bias",
        "wear_limit",
        "disposition",
    }
    assert InstrumentBias and WearLimit  # the classes that they are written by


def test_a_pin_is_kept_so_that_nobody_reads_it_and_fits_alone() -> None:
    kept = rights.pin_hash("4711")
    assert "4711" not in kept and kept.startswith("scrypt$14$") and kept != rights.pin_hash("4711")
    assert rights.fits("4711", kept) and rights.fits(" 4711 ", kept)
    assert not rights.fits("4712", kept) and not rights.fits("", kept)
    for broken in ("", "4711", "scrypt$14$zz$00", "scrypt$99$00$00", kept.replace("scrypt", "plain")):
        assert not rights.fits("4711", broken)
    for wrong in ("123", " 12 ", "x" * 65):
        with pytest.raises(ValueError, match="4 to 64"):
            rights.pin_hash(wrong)


@pytest.mark.parametrize("role", ["guest", "foundry"])
def test_who_only_looks_on_decides_nothing_and_nothing_is_written(bench, role: str) -> None:
    guest = bench.record.add(replace(bench.person, id=b"", of_id=b"", initials="GU", role=role))
    reading = bench.log()
    before = bench.record.counts()
    with pytest.raises(NotAllowed, match=f"GU is here as {role}: .* may take a reading out"):
        bench.record.void(reading.id, "misread", "slipped", guest.id)
    assert bench.record.counts() == before
    bench.record.correct(reading.id, bench.reading(59.9), "misread", "digits", guest.id)  # that only puts right


def test_a_pin_is_asked_for_once_a_stay(bench) -> None:
    person = bench.record.revise(bench.person, bench.person.id, pin_hash=rights.pin_hash("4711"))
    readings = [bench.log() for _ in range(3)]
    with pytest.raises(NotAllowed, match="decides with a PIN, which was not given") as wrong:
        bench.record.void(readings[0].id, "misread", "slipped", bench.person.id)  # by an older version of the person
    assert (wrong.value.todo, wrong.value.about) == (Todo.GIVE_PIN, person.initials)
    asked: list[str] = []
    bench.record.ask_pin = lambda initials: asked.append(initials) or "0815"
    with pytest.raises(NotAllowed, match="and that was another one"):
        bench.record.void(readings[0].id, "misread", "slipped", person.id)
    bench.record.ask_pin = lambda initials: asked.append(initials) or "4711"
    for reading in readings:
        bench.record.void(reading.id, "misread", "slipped", person.id)
    assert asked == [person.initials] * 2 and not bench.record.locked(person)
    with Record.open(bench.record.path) as again:
        assert again.locked(person) and not again.unlock(person, "0815") and again.unlock(person, "4711")


def test_a_withdrawal_is_asked_too(bench) -> None:
    bench.record.revise(bench.person, bench.person.id, pin_hash=rights.pin_hash("4711"))
    gone = Withdrawal(about_kind=kinds.TOOL.number, about_id=bench.tool.of_id, why="scrapped")
    with pytest.raises(NotAllowed):
        bench.record.add(gone, bench.person.id)
    assert bench.record.withdrawn() == {} or not bench.record.withdrawn()
