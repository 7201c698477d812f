"""The README and the contributor's guide say what is there: their commands run and their paths exist."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
BIN = Path(sys.executable).parent


def blocks(text: str) -> list[str]:
    """The fenced blocks of a page, as they stand."""
    return re.findall(r"^```\n(.*?)^```$", text, flags=re.M | re.S)


def test_the_shell_block_runs_from_top_to_bottom_word_for_word(tmp_path: Path) -> None:
    shutil.copy(ROOT / "demo.db", tmp_path)
    (shell,) = (b for b in blocks(README) if "inspect-tui show" in b)
    assert shell.count("inspect-tui ") >= 15
    lines = [line for line in shell.splitlines() if line.strip()]
    script = "\n".join(f"{line}\nsay $? {shlex.quote(line)}" for line in lines)
    head = 'say() { test "$1" -eq 0 || { echo "status $1: $2" >&2; exit 9; }; }\n'
    home = {"HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path / "data"), "XDG_STATE_HOME": str(tmp_path / "state")}
    done = subprocess.run(
        ["bash", "-c", head + script],
        cwd=tmp_path,
        env=os.environ | home | {"PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    for made in ("shop.db", "setting.pdf", "report.pdf", "readings", "job.toml"):
        assert (tmp_path / made).exists()


def test_two_commands_do_all_setting_up() -> None:
    (two,) = (b for b in blocks(README) if "pip install" in b)
    first, second = two.splitlines()
    assert first.endswith("inspect-tui demo") and second.endswith("-m pytest")
    ci = (ROOT / ".ci" / "run").read_text("utf-8")
    assert second in ci.splitlines(), "what a clean machine runs is the line of the README"


def words_in_backticks(text: str) -> list[str]:
    return re.findall(r"`([^`\n]+)`", text)


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_path_that_is_named_exists(page: str) -> None:
    text = (ROOT / page).read_text("utf-8")
    named = set(re.findall(r"\]\(([^)#]+)\)", text))
    for words in words_in_backticks(text):
        named |= {w for w in words.split() if re.fullmatch(r"[\w./*-]*[a-z_]{2}[\w./*-]*", w) and "/" in w}
    missing = []
    for path in named:
        if path.startswith(("/", ".venv", "http", "att/")) or path == "in/ft":
            continue
        places = (ROOT, ROOT / "inspect_tui")
        if not any((place / path).exists() or list(place.glob(path)) for place in places):
            missing.append(path)
    assert not missing


def test_the_commands_of_the_guide_are_there() -> None:
    lines = [line.split("  #")[0].strip() for b in blocks(DEVELOPERS) for line in b.splitlines()]
    commands = [
        part.strip() for line in lines if ".venv/bin/" in line or line.startswith("bash") for part in line.split("&&")
    ]
    assert len(commands) >= 6
    for command in commands:
        program, *arguments = shlex.split(command)
        if program.startswith(".venv/bin/"):
            assert (BIN / Path(program).name).exists(), command
        for argument in arguments:
            if "/" in argument and not argument.startswith("-"):
                assert (ROOT / argument).exists() or (BIN / Path(argument).name).exists(), command
    for module in re.findall(r"python -m ([\w.]+)", DEVELOPERS):
        assert find_spec(module), module


def test_every_command_that_the_pages_show_is_a_command() -> None:
    from inspect_tui.cli import COMMANDS

    for text in (README, DEVELOPERS):
        for command in re.findall(r"inspect-tui ([a-z][a-z-]+)", text):
            assert command in COMMANDS, command
