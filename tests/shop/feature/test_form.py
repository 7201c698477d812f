"""Form of a surface as typed or from a table: figures in words, limits, and what cannot be worked with."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.feature import form


def test_heights_along_a_line_and_over_a_face() -> None:
    line = form.typed("straightness", ["0", "0.02", "0.03", "0.02", "0.01"], every=100.0, limit=0.05)
    assert line.width == pytest.approx(0.025, rel=1e-6)
    assert line.inside is True
    assert line.sentences[0].startswith("straightness 0.025 mm (narrowest zone, of 5 readings; rests on 1, 3, 5)")
    assert line.sentences[1] == "about the least-squares line it would be 0.026 mm"
    assert "inside 0.05 mm" in line.sentences[-1]
    assert form.NO_U in line.sentences[-1]
    face = form.typed("flatness", ["0", "0", "0", "1"], rows=2, every=2.0, limit=0.4)
    assert face.width == pytest.approx(2**0.5 / 3)
    assert face.inside is False
    assert "over 0.4 mm" in face.sentences[-1]
    assert "rests on 1, 2, 3, 4)" in face.sentences[0]
    inch = form.typed("straightness", ["0", "0.001 in", "0"], every=50.0)
    assert inch.width == pytest.approx(0.0254, rel=1e-6)
    assert inch.inside is None


def test_a_bore_in_several_directions() -> None:
    bore = form.typed("roundness", ["120.2", "120", "119.8", "120"], limit=0.3)
    assert bore.width == pytest.approx(0.2)
    assert bore.inside is None  # three lobes may hide
    assert "diameter 120.200 mm at 0°" in bore.sentences[0]
    assert "119.800 mm at 90°" in bore.sentences[0]
    assert "cannot tell" in bore.sentences[-1]
    assert form.typed("roundness", ["120.2", "119.8"], limit=0.1).inside is False
    radii = form.typed("roundness", ["1.1", "0.9", "1.1", "0.9"], radii=True)
    assert radii.width == pytest.approx(0.2)
    assert "largest circle inside: radius 0.918 mm; smallest around: radius 1.100 mm" in radii.sentences


@pytest.mark.parametrize(
    ("kind", "text", "width"),
    [
        ("straightness", "along [cm],height\n0,0\n10,0.02\n20,0\n", 0.02),
        ("straightness", "along,height [in]\n0,0\n100,0.001\n200,0\n", 0.0254),
        ("flatness", "y,x,height [mm]\n0,0,0\n0,2,0\n2,0,0\n2,2,1\n", 2**0.5 / 3),
        ("roundness", "angle,diameter\n0,50.2\n90,50\n", 0.1),
        ("roundness", "angle,radius\n0,1.1\n90,0.9\n180,1.1\n270,0.9\n", 0.2),
        ("roundness", "x,y\n1.1,0\n0,0.9\n-1.1,0\n0,-0.9\n", 0.2),
    ],
)
def test_a_table_gives_places_and_heights(tmp_path: Path, kind: str, text: str, width: float) -> None:
    path = tmp_path / "face.csv"
    path.write_text(text)
    assert form.from_table(kind, path).width == pytest.approx(width, rel=1e-5)


def test_what_cannot_be_worked_with_says_why(tmp_path: Path) -> None:
    for rows in (None, 1, 4):
        with pytest.raises(DataError, match="say how many rows"):
            form.typed("flatness", ["0", "0", "0", "1", "0", "0"], rows=rows)
    with pytest.raises(DataError, match="more than 0"):
        form.typed("straightness", ["0", "1", "0"], every=0.0)
    with pytest.raises(DataError, match="high"):
        form.typed("straightness", ["0", "high", "0"])
    with pytest.raises(DataError):
        form.typed("roundness", ["-5", "5"])
    path = tmp_path / "face.csv"
    path.write_text("x,height\n0,1\n")
    with pytest.raises(DataError, match=r"no column y\. Its columns are: x, height"):
        form.from_table("flatness", path)
    path.write_text("along,height\n0,1\n1,\n2,3\n")
    with pytest.raises(DataError, match=r"line 3 of face\.csv lacks one of along, height"):
        form.from_table("straightness", path)
