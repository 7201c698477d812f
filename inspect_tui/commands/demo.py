"""`inspect-tui demo`: the Bench on a working copy of the demo record, so that playing harms nothing."""

from __future__ import annotations

import shutil
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

TODAY = "2025-12-05"  # when the story of the demo ends: what wears is forecast from there
START = {"job": "EXM-4", "subject": "stick 3", "person": "B1", "instrument": "caliper 1 (CAL1)"}


def arguments(parser: ArgumentParser) -> None:
    """--copy-to keeps the working copy somewhere else; --no-screen only makes it."""
    parser.add_argument("--copy-to", metavar="FILE", help="put the working copy here and keep it (must not exist)")
    parser.add_argument("--no-screen", action="store_true", help="only make the copy of --copy-to, with its pictures")


def demo_file() -> Path:
    """demo.db of the checkout, or the one inside an installed wheel."""
    inside = files("inspect_tui.demo").joinpath("demo.db")
    if inside.is_file():
        return Path(str(inside))
    return Path(str(files("inspect_tui"))).parent / "demo.db"


def _copy(target: Path) -> None:
    """The record, and beside it the pictures that it names."""
    from inspect_tui.demo import pictures

    shutil.copyfile(demo_file(), target)
    pictures.put_beside(target)


def run(args: Namespace) -> int:
    """Copy, open, and (unless --copy-to) forget the copy afterwards."""
    from inspect_tui.commands import screen

    if args.no_screen and not args.copy_to:
        talk("inspect-tui: --no-screen makes a copy and nothing else: say where with --copy-to FILE")
        return 2
    if not args.no_screen:
        screen.need_terminal()
    if args.copy_to:
        target = Path(args.copy_to)
        if target.exists():
            talk(f"inspect-tui: {target} is there already and stays as it is; choose another name")
            return 2
        _copy(target)
        if args.no_screen:
            return 0
        args.record = str(target)
        return screen.run(args, START, TODAY)
    with tempfile.TemporaryDirectory(prefix="inspect-tui-demo-") as folder:
        target = Path(folder) / "demo.db"
        _copy(target)
        args.record = str(target)
        status = screen.run(args, START, TODAY)
    talk("That was a working copy of the demo record; it is gone now. Keep one with: inspect-tui demo --copy-to FILE")
    return status
