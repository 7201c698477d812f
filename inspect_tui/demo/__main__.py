"""`python -m inspect_tui.demo [FILE]` writes demo.db at the top of the checkout, or FILE."""

from __future__ import annotations

import sys
from pathlib import Path

from inspect_tui.demo.write import write
from inspect_tui.errors import InspectError

TOP = Path(__file__).resolve().parents[2]


def main(arguments: list[str]) -> int:
    """Write the demo record and say what is in it; exit code 2 when told nothing usable."""
    if len(arguments) > 1 or (not arguments and not (TOP / "pyproject.toml").is_file()):
        print("Say which file to write: python -m inspect_tui.demo FILE", file=sys.stderr)
        return 2
    path = Path(arguments[0]) if arguments else TOP / "demo.db"
    try:
        counts = write(path)
    except (OSError, InspectError) as error:
        print(f"{path} was not written: {error}", file=sys.stderr)
        return 2
    rows = ", ".join(f"{n} {table}" for table, n in counts.items() if n)
    print(f"{path}: {path.stat().st_size / 1e6:.1f} MB, {rows}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
