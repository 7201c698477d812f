"""What is kept when the program has to end under what was typed."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.bench import apart, memory
from inspect_tui.shop.settings import file, write
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.program import Program
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled
from tests.tui.test_place import (
    Walls,
    run,
    walls,  # noqa: F401  a fixture
)


def waits(shop: SmallShop) -> list[str]:
    bench = shop.bench()
    apart.attend(bench)
    return [line.text for line in bench.waiting]


def test_a_fault_in_an_action_ends_the_program_which_keeps_what_was_typed(
    shop: SmallShop, capsys: pytest.CaptureFixture[str]
) -> None:
    codes: list[int | None] = []

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.go("bench")
        await settled(pilot)
        burst(app, "212.")
        await settled(pilot)
        app.screen.action_goto = lambda: 1 / 0  # type: ignore[attr-defined]
        burst(app, "ctrl+g")
        await settled(pilot)
        codes.append(app.return_code)

    with pytest.raises(ZeroDivisionError):
        run(shop, script)
    assert codes == [1]
    assert waits(shop) == ["212."]
    assert "action_goto" in memory.trouble_file().read_text("utf-8") or "1 / 0" in memory.trouble_file().read_text(
        "utf-8"
    )
    said = " ".join(capsys.readouterr().err.split())
    assert "what was typed and not logged is kept" in said and "Traceback" not in said


def test_what_was_typed_is_kept_even_when_leaving_fails_too(shop: SmallShop) -> None:
    def fail() -> None:
        raise OSError("no room")

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.go("bench")
        await settled(pilot)
        app.screen.query_one(Entry).value = "212.1"
        app.screen.leave = fail  # type: ignore[attr-defined]
        app.screen.action_goto = lambda: 1 / 0  # type: ignore[attr-defined]
        burst(app, "ctrl+g")
        await settled(pilot)

    with pytest.raises(ZeroDivisionError):
        run(shop, script)
    assert waits(shop) == ["212.1"]


def test_the_unit_of_lengths_is_that_of_the_person_and_switched_by_a_key(shop: SmallShop) -> None:
    write.put(f"people.{shop.ab.initials}", "fraction")

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        assert app.bench and app.written == app.bench.style == Style("fraction")
        await pilot.press("ctrl+k")
        assert app.written.unit == "mm" and "written in mm" in str(place.query_one("#say", Static).render())
        await pilot.press("ctrl+k")
        assert app.bench and app.written == app.bench.style == Style("in")
        app.keep_unit()
        assert file.read().people == {shop.ab.initials: "inch"}

    run(shop, script)


def test_the_bell_is_kept_and_a_file_that_takes_nothing_stops_nothing(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = Program(shop.record, None)
    app.bell_on = False
    assert not file.read().bell and not Program(shop.record, None).bell_on
    file.path().write_text("[show\n", "utf-8")
    said = []
    monkeypatch.setattr(app, "notify", lambda sentence, **_: said.append(sentence))
    app.bell_on = True
    assert app.bell_on and "put it right first" in said[0]


def test_a_program_that_cannot_leave_ends_with_its_terminal() -> None:
    """Its main thread waits for ever, as the library's writer does when the terminal takes nothing more."""
    master, slave = os.openpty()
    code = (
        "import sys, threading; from inspect_tui.tui.program import end_with_terminal\n"
        "end_with_terminal(patience_s=0.2); print('up', flush=True); threading.Event().wait()"
    )
    held = subprocess.Popen([sys.executable, "-c", code], stdin=slave, stdout=subprocess.PIPE, start_new_session=True)
    os.close(slave)
    assert held.stdout is not None and held.stdout.readline() == b"up\n" and held.poll() is None
    os.close(master)
    assert held.wait(timeout=30) == 1
