"""settings.toml as it is read: what is wrong in it stops nothing and is told."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.settings import file
from inspect_tui.shop.settings.choices import Settings

WHOLE = """
[show]
style = "inch"
decimal_mark = ","
theme = "nord"
bell = false
[paper]
size = "Letter"
[people]
B1 = "mm"
[jobs]
"EXM-4" = "fraction"
[keys]
"bench.skip" = "f8,ctrl+k"
kit.kit = "z"
"""


def test_where_it_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert file.path().name == "settings.toml" and file.path().parent.name == "config"
    monkeypatch.delenv("INSPECT_TUI_CONFIG")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    if sys.platform == "linux":
        assert file.path() == tmp_path / "inspect_tui" / "settings.toml"


def test_all_of_it_is_read() -> None:
    read = file.of_text(WHOLE, "settings.toml")
    assert read == Settings(
        style=Style("in", mark=","),
        people={"B1": "mm"},
        jobs={"EXM-4": "fraction"},
        theme="nord",
        bell=False,
        paper="Letter",
        keys={"bench.skip": "f8,ctrl+k", "kit.kit": "z"},
    )


def test_without_a_file_all_is_as_it_comes() -> None:
    assert file.read() == Settings() and Settings().style == Style()


def test_what_is_wrong_is_told_and_the_rest_holds() -> None:
    read = file.of_text('shown = 1\n[show]\nstyle = "inches"\nbell = false\n[colours]\n', "settings.toml")
    assert read.style == Style() and not read.bell
    assert [sentence.partition(";")[0] for sentence in read.wrong] == [
        "settings.toml: shown is no setting: nearest: show.bell",
        "settings.toml: show.style is 'inches': it may be mm, inch, fraction",
        "settings.toml: colours is no setting: known are "
        + ", ".join(file.CHOICES)
        + ", and any name under people, jobs, keys",
    ]


def test_a_file_that_is_no_toml_or_no_text_is_told(tmp_path: Path) -> None:
    (broken := tmp_path / "settings.toml").write_text("[show\n")
    assert "is not understood (Expected ']'" in file.read(broken).wrong[0]
    broken.write_bytes(b"\xff\xfe")
    assert "cannot be read (it is no text)" in file.read(broken).wrong[0]
    assert file.read(tmp_path).wrong[0].startswith(f"{tmp_path} cannot be read (")


def test_nothing_is_imported_for_a_file_that_is_not_there(tmp_path: Path) -> None:
    code = "from inspect_tui.shop.settings import file; file.read(); import sys; print(*sys.modules)"
    ran = subprocess.run(
        [sys.executable, "-c", code],
        env={"INSPECT_TUI_CONFIG": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert not {"tomllib", "tomlkit", "platformdirs", "difflib"} & set(ran.stdout.split())
