"""`python -m inspect_tui.demo [FILE]` writes demo.db at the top of the checkout, or FILE."""

from __future__ import annotations

import sys
from pathlib import Path

from inspect_tui.demo.write import write


def main(arguments: list[str]) -> int:
    """Write the demo record and say what is in it."""
    path = Path(arguments[0]) if arguments else Path(__file__).resolve().parents[2] / "demo.db"
    counts = write(path)
    rows = ", ".join(f"{n} {table}" for table, n in counts.items() if n)
    print(f"{path}: {path.stat().st_size / 1e6:.1f} MB, {rows}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
