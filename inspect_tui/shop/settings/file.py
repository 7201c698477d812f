"""Reads `settings.toml` in the person's config folder; where it is not there nothing is imported for it."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from inspect_tui.shop.settings.choices import CHOICES, NAMED, Settings, looked_at, made

_asked_paper = [""]  # by this call of the command line, instead of the setting
KEPT = "the rest of the settings holds, and for this one what the program comes with."


def path() -> Path:
    """The file: in the folder INSPECT_TUI_CONFIG, else in the person's config folder."""
    named = os.environ.get("INSPECT_TUI_CONFIG")
    if named:
        return Path(named) / "settings.toml"
    if sys.platform == "linux":  # what platformdirs says there; importing it would cost 5 ms of every `log`
        config = os.environ.get("XDG_CONFIG_HOME", "").strip()
        return (Path(config) if config else Path.home() / ".config") / "inspect_tui" / "settings.toml"
    from platformdirs import user_config_path

    return user_config_path("inspect_tui") / "settings.toml"


def ask_paper(name: str = "") -> None:
    """Papers of this call are set on this sheet, A4 or Letter; nothing: on that of the settings."""
    _asked_paper[0] = name


def paper() -> str:
    """The sheet that papers are set on: A4 or Letter."""
    return _asked_paper[0] or read().paper


def read(file: Path | None = None) -> Settings:
    """What is set. A file that is wrong stops nothing: what is not understood is told, and the defaults hold for it."""
    file = file or path()
    try:
        text = file.read_text("utf-8")
    except FileNotFoundError:
        return Settings()
    except (OSError, ValueError) as problem:
        why = getattr(problem, "strerror", None) or "it is no text"
        return Settings(wrong=(f"{file} cannot be read ({why}): what the program comes with holds.",))
    return of_text(text, str(file))


def of_text(text: str, name: str) -> Settings:
    """The settings in a text of TOML; `name` is what the file is called in what is told."""
    if not text.strip():
        return Settings()
    import tomllib

    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        return Settings(wrong=(f"{name} is not understood ({problem}): what the program comes with holds.",))
    said: dict[str, str] = {}
    wrong: list[str] = []
    for key, value in _flat(tables):
        shown, why = looked_at(key, value)
        if why:
            wrong.append(f"{name}: {why}; {KEPT}")
        else:
            said[key] = shown
    return made(said, tuple(wrong))


def _flat(tables: dict[str, object]) -> list[tuple[str, object]]:
    """Every value under its whole name; ids of keys have dots in them, quoted or not."""
    flat: list[tuple[str, object]] = []

    def walk(before: str, value: object) -> None:
        if isinstance(value, dict):
            if not value and before not in NAMED and not any(key.startswith(f"{before}.") for key in CHOICES):
                flat.append((before, ""))
            for name, inner in value.items():
                walk(f"{before}.{name}" if before else name, inner)
        else:
            flat.append((before, value))

    walk("", tables)
    return flat
