"""`job export`, `change`, `copy`: out, changed, copied; refusals write nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.commands import job_files
from tests.commands.conftest import Run
from tests.worlds.job_files import example


@pytest.fixture
def record(cli: Run, tmp_path: Path) -> list[str]:
    """Options that name a record with the example in it."""
    (tmp_path / "job.toml").write_text(example(), "utf-8")
    named = ["--record", str(tmp_path / "r.db")]
    assert cli(*named, "job", "add", str(tmp_path / "job.toml")).status == 0
    return named


def test_out_and_in_again_is_the_same_job(cli: Run, record: list[str], tmp_path: Path) -> None:
    out = cli(*record, "job", "export")
    assert out.status == 0 and out.out.startswith("# A job for inspect-tui")
    (tmp_path / "out.toml").write_text(out.out, "utf-8")
    same = cli(*record, "job", "change", str(tmp_path / "out.toml"))
    assert same.status == 0 and "nothing to change" in same.out


def test_a_file_that_is_there_is_only_brought_up_to_date_when_asked(
    cli: Run, record: list[str], tmp_path: Path
) -> None:
    file = tmp_path / "job.toml"
    before = file.read_text("utf-8")
    refused = cli(*record, "job", "export", "--to", str(file))
    assert refused.status == 2 and "--update" in refused.err and file.read_text("utf-8") == before
    assert cli(*record, "job", "export", "--to", str(file), "--update").status == 0
    assert "# the finished size on the drawing" in file.read_text("utf-8")
    assert [p.name for p in tmp_path.glob(".*new")] == []


def test_a_change_is_shown_and_asked_about_before_it_is_written(cli: Run, record: list[str], tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(example().replace("nominal = 62.0", "nominal = 63.0"), "utf-8")
    shown = cli(*record, "job", "change", str(file), "--by", "KT", "--why", "misread")
    assert shown.status == 1 and "feature F1 changed: nominal 62 → 63" in shown.out and "--yes" in shown.err
    nobody = cli(*record, "job", "change", str(file), "--yes", "--why", "misread")
    assert nobody.status == 2
    silent = cli(*record, "job", "change", str(file), "--by", "KT", "--yes")
    assert silent.status == 2 and "--why" in silent.err
    done = cli(*record, "job", "change", str(file), "--by", "KT", "--yes", "--why", "misread")
    assert done.status == 0 and "as corrections of the drawing" in done.out
    again = cli(*record, "job", "change", str(file), "--rev", "B", "--by", "KT", "--yes")
    assert again.status == 0 and "as revision B" in again.out
    assert "misread" in cli(*record, "job", "drawing").out


def test_a_copy_begins_a_variant(cli: Run, record: list[str]) -> None:
    number = example().split('number = "')[1].split('"')[0]
    made = cli(*record, "job", "copy", number, "X-2", "--map", "core 1=core 8")
    assert made.status == 0 and f"job X-2 begun as {number}" in made.out
    assert "core = 8" in cli(*record, "job", "export", "--job", "X-2").out
    twice = cli(*record, "job", "copy", number, "X-2")
    assert twice.status == 2 and "already" in twice.err


def test_what_is_unlikely_is_asked_before_a_job_is_added(cli: Run, tmp_path: Path) -> None:
    file = tmp_path / "odd.toml"
    file.write_text(example().replace('x = "0.9 %"', 'x = "9.5 %"'), "utf-8")
    named = ["--record", str(tmp_path / "n.db"), "job", "add", str(file)]
    asked = cli(*named)
    assert asked.status == 2 and "9.5 %" in asked.err and "--yes" in asked.err
    assert not (tmp_path / "n.db").exists()
    assert cli(*named, "--yes").status == 0


def test_a_file_with_a_mark_or_in_utf_16_is_read(cli: Run, tmp_path: Path) -> None:
    for n, encoding in enumerate(("utf-8-sig", "utf-16")):
        (tmp_path / "job.toml").write_text(example(), encoding)
        assert cli("--record", str(tmp_path / f"{n}.db"), "job", "add", str(tmp_path / "job.toml")).status == 0
    (tmp_path / "job.toml").write_bytes(b'[job]\nname = "\xb1"\n')
    ran = cli("--record", str(tmp_path / "x.db"), "job", "add", str(tmp_path / "job.toml"))
    assert ran.status == 2 and "line 2" in ran.err and "not text in UTF-8" in ran.err


def test_every_mistake_of_a_file_is_told_at_once(cli: Run, tmp_path: Path) -> None:
    text = (
        example()
        .replace("nominal = 62.0 ", "nominl = 62.0 ")
        .replace("set = 1 ", "set = first ")
        .replace("size = 30 ", "size = -3 ")
    )
    (tmp_path / "job.toml").write_text(text, "utf-8")
    ran = cli("--record", str(tmp_path / "x.db"), "job", "add", str(tmp_path / "job.toml"))
    assert ran.status == 2 and "has 3 mistakes" in ran.err
    assert (
        "perhaps 'nominal' is meant" in ran.err and "a text stands in quotes" in ran.err and "-3 is below 0" in ran.err
    )


def test_agreeing_needs_a_terminal_or_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert job_files.agreed([], False) and job_files.agreed(["really"], True)
    assert not job_files.agreed(["really"], False)
    assert "inspect-tui: really: is that right?" in capsys.readouterr().err


@pytest.mark.parametrize("form", ["xlsx", "csv"])
def test_a_job_comes_out_and_goes_in_as_tables(
    cli: Run, record: list[str], tmp_path: Path, form: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    tables = tmp_path / f"out.{form}"
    made = cli("job", "example", "--as", form, "--to", str(tables))
    assert made.status == 0 and tables.exists()
    same = cli(*record, "job", "change", str(tables))
    assert same.status == 0 and "nothing to change" in same.out
    assert cli("--record", str(tmp_path / "new.db"), "job", "add", str(tables)).status == 0
    refused = cli(*record, "job", "export", "--as", form, "--to", str(tables))
    assert refused.status == 2 and "is there already" in refused.err
    monkeypatch.chdir(tmp_path)
    here = cli(*record, "job", "export", "--as", form)
    number = example().split('number = "')[1].split('"')[0]
    assert here.status == 0 and (tmp_path / (f"{number}.xlsx" if form == "xlsx" else number)).exists()


def test_lines_and_tables_are_not_one_job(cli: Run, record: list[str], tmp_path: Path) -> None:
    assert cli("job", "example", "--to", str(tmp_path / "e.toml")).status == 0
    assert (tmp_path / "e.toml").read_text("utf-8") == example()
    ran = cli(*record, "job", "add", str(tmp_path / "e.toml"), str(tmp_path / "job.toml"))
    assert ran.status == 2 and "Name one file of lines" in ran.err
