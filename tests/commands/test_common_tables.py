"""Tables and texts of the command line: whole in a pipe, whole columns left out where it is narrow, and which is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.commands import common
from inspect_tui.commands.common import columns_said, output_width, painted, print_table
from inspect_tui.errors import DataError
from tests.commands.conftest import Run

DEMO = Path(__file__).parents[2] / "demo.db"
COMMANDS = (
    ("show",),
    ("show", "--readings", "--on", "stick 3"),
    ("stack",),
    ("kit", "check"),
    ("gauge", "list"),
    ("gauge", "good", "caliper 1 (CAL1)"),
    ("first-article", "--round", "S1"),
    ("stock", "--round", "S1"),
    ("cuts", "--history"),
    ("count", "list"),
    ("stats", "F29", "--on", "stick 3"),
    ("budget", "F29", "--on", "stick 3", "--with", "caliper 1 (CAL1)"),
    ("wear",),
)
HEADS = ["wall", "name", "low", "so it"]
ROWS = [
    ["F1", "between jacket and log", "7.25", "holds by a good margin in every assembly"],
    ["F2", "鋳物 Ω", "-1", "–"],
]


@pytest.fixture
def demo(cli: Run, tmp_path: Path) -> Run:
    """The command line on a copy of the demo record."""
    copy = tmp_path / "demo.db"
    copy.write_bytes(DEMO.read_bytes())

    def run(*argv: str, stdin: str = "") -> object:
        return cli("--record", str(copy), *argv, stdin=stdin)

    return run  # type: ignore[return-value]


@pytest.mark.parametrize("argv", COMMANDS, ids=" ".join)
def test_nothing_is_cut_in_a_pipe(demo: Run, argv: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    ran = demo(*argv)
    assert ran.status in (0, 1) and len(ran.out) > 100, ran.err
    assert "…" not in ran.out
    assert "left out" not in ran.err


def test_at_80_columns_walls_lose_whole_columns_and_it_is_said_which(
    demo: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    whole = demo("stack").out
    monkeypatch.setenv("COLUMNS", "80")
    ran = demo("stack")
    head, *rows = ran.out.splitlines()
    assert max(map(len, ran.out.splitlines())) <= 80
    assert head.split() == ["wall", "nominal", "now", "95", "%", "holds", "answer"]
    assert "left out at 80 columns: most from, worst case, likely, name;" in ran.err
    for row in rows[:3]:  # wall, nominal and now stand in the whole table too
        wall, nominal, now = row.split()[:3]
        assert any(line.split()[:1] == [wall] and {nominal, now} <= set(line.split()) for line in whole.splitlines())


def table(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], columns: str) -> tuple[list[str], str]:
    monkeypatch.setenv("COLUMNS", columns)
    print_table(HEADS, ROWS, right=("low",), spare=("name", "low"), wraps="so it")
    got = capsys.readouterr()
    return got.out.splitlines(), got.err


def test_figures_stand_to_the_right_and_wide_letters_count_twice(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines, err = table(monkeypatch, capsys, "0")
    assert lines == [
        "wall  name                     low  so it",
        "F1    between jacket and log  7.25  holds by a good margin in every assembly",
        "F2    鋳物 Ω                    -1  –",
    ]
    assert err == ""


def test_a_sentence_goes_on_in_a_further_line_before_a_column_goes(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines, err = table(monkeypatch, capsys, "62")
    assert lines[1:3] == [
        "F1    between jacket and log  7.25  holds by a good margin in",
        "                                    every assembly",
    ]
    assert err == ""


def test_the_least_needed_column_goes_first(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines, err = table(monkeypatch, capsys, "50")
    assert lines[0] == "wall   low  so it"
    assert "left out at 50 columns: name;" in err
    lines, err = table(monkeypatch, capsys, "32")
    assert lines[0] == "wall  so it"
    assert "name, low;" in err
    assert all(len(line) <= 32 for line in lines)


def test_a_text_that_shortens_names_is_painted_wider_in_a_pipe_unless_a_width_was_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from rich.text import Text

    name = "n" * 130

    def paint(width: int) -> Text:
        return Text((name if width >= 140 else name[: width - 1] + "…") + "\n")

    monkeypatch.setenv("COLUMNS", "80")
    painted(paint)
    assert capsys.readouterr().out == f"{name}\n"
    painted(paint, asked=60)
    assert capsys.readouterr().out == "n" * 59 + "…\n"


def test_the_width_is_what_the_environment_says_else_the_terminals(monkeypatch: pytest.MonkeyPatch) -> None:
    for said, width in (("80", 80), ("0", None), ("", None), (" 132 ", 132)):
        monkeypatch.setenv("COLUMNS", said)
        assert columns_said() == output_width() == width
    for nonsense in ("abc", "-80", "8e1", "80.0", "1" * 40):
        monkeypatch.setenv("COLUMNS", nonsense)
        with pytest.raises(DataError, match="no number of columns"):
            columns_said()
    monkeypatch.delenv("COLUMNS")
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setattr(common.sys.stdout, "fileno", lambda: 1, raising=False)
    monkeypatch.setattr("os.get_terminal_size", lambda fd: __import__("os").terminal_size((93, 24)))
    assert output_width() == 93
