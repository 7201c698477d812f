"""The words of every paper are what they were; who changes them looks at what changed and writes them anew."""

from __future__ import annotations

from difflib import unified_diff
from pathlib import Path

from tests.report.papers import FOLDER, papers, words


def test_the_words_of_every_paper_are_what_they_were(tmp_path: Path) -> None:
    made = {name: words(content) for name, content in papers(tmp_path).items()}
    kept = {path.stem: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.txt")}
    assert made.keys() == kept.keys()
    changed = [
        line
        for name, text in made.items()
        for line in unified_diff(kept[name].splitlines(), text.splitlines(), name, f"{name} now", lineterm="", n=0)
    ]
    assert not changed, "\n".join(changed)  # meant? python -m tests.report.papers, and look at what changed
