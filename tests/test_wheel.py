"""An installed wheel works from any folder: built here, put into a fresh environment, run from an empty folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest

from inspect_tui import __version__

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    out = tmp_path_factory.mktemp("dist")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)]
    done = subprocess.run(build, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(out.glob("*.whl"))


def test_the_wheel_carries_schema_tables_and_demo(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for needed in (
        "inspect_tui/schema/001_first.sql",
        "inspect_tui/demo/demo.db",
        "inspect_tui/NEWS.md",
        "inspect_tui/py.typed",
        "inspect_tui/metrology/sizes/tables/contraction.csv",
        "inspect_tui/shop/jobs/job_example.toml",
    ):
        assert needed in names


def test_the_wheel_says_what_it_is(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        (name,) = (name for name in archive.namelist() if name.endswith(".dist-info/METADATA"))
        told = Parser().parsestr(archive.read(name).decode("utf-8"))
    assert told["Version"] == __version__
    assert told["Summary"] and told["Keywords"] and told["License-Expression"] == "MIT"
    pythons = {line.rpartition(" ")[2] for line in told.get_all("Classifier") or () if "Python :: 3." in line}
    assert pythons == {"3.11", "3.12", "3.13", "3.14"}
    assert "Typing :: Typed" in (told.get_all("Classifier") or ())
    assert set(told.get_all("Provides-Extra") or ()) >= {"hub", "report", "analysis", "pictures", "test"}


def test_the_wheel_works_from_an_empty_folder(wheel: Path, tmp_path: Path) -> None:
    home = tmp_path / "env"
    venv.create(home, with_pip=False, symlinks=True)
    python = home / "bin" / "python"
    site = next((home / "lib").glob("python*/site-packages"))
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)  # a pure wheel: this is what installing does, without the network
    here = Path(os.__file__).parent / "site-packages"
    libraries = next(Path(p) for p in sys.path if p.endswith("site-packages"))
    (site / "libraries.pth").write_text(f"{libraries}\n{here}\n")
    empty = tmp_path / "empty"
    empty.mkdir()
    environment = {**os.environ, "INSPECT_TUI_STATE": str(tmp_path / "state"), "PYTHONPATH": ""}

    def run(*argv: str, stdin: str = "") -> str:
        code = (
            "import sys, inspect_tui as i; assert 'env' in i.__file__; import inspect_tui.cli as c; sys.exit(c.main())"
        )
        done = subprocess.run(
            [python, "-c", code, *argv], cwd=empty, env=environment, input=stdin, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    (empty / "job.toml").write_text(run("job", "example"), "utf-8")
    assert "added" in run("--record", "shop.db", "job", "add", "job.toml")
    assert len(json.loads(run("--record", "shop.db", "show", "--json"))) > 3
    assert json.loads(run("--record", "shop.db", "verify", "--json"))["ok"]
    code = "from inspect_tui.commands.demo import demo_file; print(demo_file())"
    ran = subprocess.run([python, "-c", code], cwd=empty, env=environment, capture_output=True, text=True, check=True)
    assert str(site) in ran.stdout
