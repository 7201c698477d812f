"""`form`: the narrowest zone from typed readings or a file, its exit status, and bad input in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run


def test_a_line_of_heights(cli: Run) -> None:
    ran = cli("form", "straightness", "0", "0.02", "0.03", "0.02", "0.01", "--every", "100")
    assert ran.status == 0, ran.err
    assert ran.out.startswith("Straightness 0.025 mm")
    assert cli("form", "straightness", "0", "-0.02", "0", "--limit", "0.01").status == 1
    assert cli("form", "straightness", "0", "-0.02", "0", "--limit", "0.02").status == 0


def test_json_has_every_figure(cli: Run) -> None:
    ran = cli("form", "flatness", "0", "0", "0", "1", "--rows", "2", "--every", "2", "--json")
    out = json.loads(ran.out)
    assert out["zone_mm"] == pytest.approx(2**0.5 / 3)
    assert out["figures"]["upright"] == pytest.approx(0.5)
    assert (out["form"], out["limit_mm"], out["inside"]) == ("flatness", None, None)
    bore = json.loads(cli("form", "roundness", "1.1", "0.9", "1.1", "0.9", "--radii", "--limit", "0.1", "--json").out)
    assert bore["inside"] is False
    assert bore["figures"]["circumscribed"] == pytest.approx(1.1)


def test_a_file_takes_the_place_of_readings(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "bore.csv"
    path.write_text("angle,diameter\n0,120.2\n60,120\n120,119.9\n")
    ran = cli("form", "roundness", "--csv", str(path))
    assert "Roundness at least 0.15 mm" in ran.out
    for wrong, words in (
        (("form", "roundness"), "either readings or --csv"),
        (("form", "roundness", "5", "--csv", str(path)), "either readings or --csv"),
        (("form", "roundness", "--csv", str(path), "--radii"), "--radii goes with readings"),
        (("form", "straightness", "1", "2"), "straightness needs three"),
        (("form", "straightness", "1", "2", "wide"), "wide is not a size"),
    ):
        bad = cli(*wrong)
        assert bad.status == 2
        assert words in bad.err
