"""The sentences of the setting guide in the foundry's language, English always beside them.

The shipped table (`phrases.csv`: English, French, Spanish, German) was not yet read by a native speaker, and says so.
A shop adds its own: a CSV with the columns `en` and the language, which holds before the shipped one. Names stay as
typed.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from inspect_tui.report.paper.file import PaperError

SHIPPED = Path(__file__).with_name("phrases.csv")
ENGLISH = "en"
NOT_READ = {
    "fr": "Traduction pas encore relue par un francophone",
    "es": "Traducción aún no revisada por un hispanohablante",
    "de": "Übersetzung noch nicht von einem Muttersprachler gelesen",
}


class Phrases:
    """Says a phrase of the guide: in the foreign language first where there is one, then in English."""

    def __init__(self, language: str, table: Mapping[str, str], note: str) -> None:
        self.language, self._table, self.note = language, dict(table), note

    def __call__(self, english: str) -> str:
        """`Noyau / Core`; English alone where the table has nothing."""
        foreign = self._table.get(english)
        return f"{foreign} / {english}" if foreign and foreign != english else english

    def missing(self, used: list[str]) -> list[str]:
        """Those of the phrases that stay English only."""
        return [] if self.language == ENGLISH else [phrase for phrase in used if phrase not in self._table]


def every() -> list[str]:
    """All phrases, in English."""
    return [row[ENGLISH] for row in _rows(SHIPPED)]


def phrases(language: str = ENGLISH, own: str | Path | None = None) -> Phrases:
    """The phrases in a language; `own` is a shop's table. PaperError for a language that no table has."""
    language = language.strip().casefold() or ENGLISH
    if language == ENGLISH:
        return Phrases(ENGLISH, {}, "")
    table: dict[str, str] = {}
    known = [ENGLISH]
    note = ""
    for file in (SHIPPED, *([Path(own)] if own else [])):
        rows = _rows(file)
        languages = list(rows[0]) if rows else []
        known += [name for name in languages if name not in known]
        if language in languages:
            table |= {row[ENGLISH]: row[language].strip() for row in rows if row[language].strip()}
            note = NOT_READ.get(language, "") if file == SHIPPED else ""
    if not table:
        raise PaperError(
            f"The guide has no phrases in {language}: there are {', '.join(known)}. Add a table of your own (a CSV "
            f"with the columns en and {language})."
        )
    return Phrases(language, table, note)


def _rows(file: Path) -> list[dict[str, str]]:
    try:
        with file.open(newline="", encoding="utf-8-sig") as opened:
            rows = [
                {(key or "").strip().casefold(): value or "" for key, value in row.items()}
                for row in csv.DictReader(opened)
            ]
    except (OSError, UnicodeDecodeError, csv.Error, AttributeError) as problem:
        raise PaperError(f"The table of phrases {file} cannot be read ({problem}).") from problem
    if not rows or ENGLISH not in rows[0]:
        raise PaperError(f"The table of phrases {file} has no column en: its first line names the columns.")
    return rows
