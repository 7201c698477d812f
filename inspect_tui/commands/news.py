"""`inspect-tui news`: what changed for the people who work with the program, newest first."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Nothing to choose: the newest stands first."""


def run(args: Namespace) -> int:
    """0; the page as it was shipped with this version."""
    from importlib.resources import files

    print(files("inspect_tui").joinpath("NEWS.md").read_text("utf-8"), end="")
    return 0
