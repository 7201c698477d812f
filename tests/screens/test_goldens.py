"""What the screen looks like, as plain text: a change shows in the diff.

`python -m tests.screens.test_goldens` writes it anew.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

from inspect_tui.commands.demo import START, demo_file
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.tui.app import InspectApp

HERE = Path(__file__).parent
TODAY = "2025-12-03"  # the day on which the demo's story stands

SCREENS = {
    "bench_80x24": ((80, 24), START["subject"], ["52.55"]),
    "bench_160x48": ((160, 48), START["subject"], ["52.51 52.53 52.50"]),
    "casting_80x24": ((80, 24), "casting S1-1", []),
    "slip_80x24": ((80, 24), START["subject"], ["25.42"]),
}


def picture(name: str, folder: Path) -> str:
    """The screen after the lines were typed, one text line a row."""
    size, subject, lines = SCREENS[name]
    path = folder / "demo.db"
    shutil.copyfile(demo_file(), path)
    record = Record.open(path)
    job = find.job(record, START["job"])
    bench = Bench(
        record,
        job,
        find.subject(record, job, subject),
        find.person(record, START["person"]),
        find.instrument(record, START["instrument"]),
        today=TODAY,
    )

    async def go() -> str:
        app = InspectApp(record, bench)
        async with app.run_test(size=size) as pilot:
            for line in lines:
                await pilot.press(*line.replace(" ", "~"), "enter") if " " not in line else None
                if " " in line:
                    await pilot.press(*[{" ": "space"}.get(c, c) for c in line], "enter")
            await pilot.pause()
            while size[0] >= 120 and app.screen._drawn[1:2] != (bench.task.feature.id,):
                await pilot.pause(0.05)  # the sketch is drawn once the hand rests
            rows = ["".join(segment.text for segment in strip) for strip in app.screen._compositor.render_strips()]
        return "\n".join(row.rstrip() for row in rows) + "\n"

    try:
        return asyncio.run(go())
    finally:
        record.close()


@pytest.mark.parametrize("name", SCREENS)
def test_the_screen_is_as_it_was(name: str, tmp_path: Path) -> None:
    assert picture(name, tmp_path) == (HERE / f"{name}.txt").read_text("utf-8")


if __name__ == "__main__":
    for wanted in sys.argv[1:] or SCREENS:
        with tempfile.TemporaryDirectory() as temporary:
            os.environ["INSPECT_TUI_STATE"] = temporary
            (HERE / f"{wanted}.txt").write_text(picture(wanted, Path(temporary)), "utf-8")
