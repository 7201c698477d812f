"""Makes the picture of the Bench that stands in the README, from the program itself: python -m tests.screens.make."""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import tempfile
from pathlib import Path

from inspect_tui.commands.demo import START, demo_file
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui.app import InspectApp

HERE = Path(__file__).parent


async def bench(folder: Path) -> str:
    """The demo's Bench after one reading, as SVG."""
    path = folder / "demo.db"
    shutil.copyfile(demo_file(), path)
    record = Record.open(path)
    app = InspectApp(record, memory.last_bench(record, START))
    async with app.run_test(size=(100, 28)) as pilot:
        for line in ("52.51",):
            await pilot.press(*line, "enter")
        await pilot.pause()
        picture = app.export_screenshot(title="inspect-tui demo")
        picture = re.sub(r"@font-face \{.*?\}", "", picture, flags=re.DOTALL)  # no fonts from elsewhere
    record.close()
    return picture


def main() -> None:
    """Write the pictures beside this file."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["INSPECT_TUI_STATE"] = folder
        (HERE / "bench.svg").write_text(asyncio.run(bench(Path(folder))), "utf-8")


if __name__ == "__main__":
    main()
