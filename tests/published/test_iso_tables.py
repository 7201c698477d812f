"""The shipped ISO tables, cell by cell, against their figures typed here as the standards print them: from memory.

Rows are ranges of size ("over ... up to and including", mm), columns grades; a dash is a dash. So that one wrong cell
anywhere is noticed, every row of a table has to be here and every figure here has to be in the table.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from inspect_tui.errors import TableError
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.sizes.tolerance import iso286, iso2768_1, iso8062_3, machining_allowance


def printed(text: str) -> dict[tuple[str, str, str], float]:
    """A table as it is printed -> (column, over, up to) -> figure; dashes are left out. `+` is an open end."""
    header, *lines = [line.split() for line in text.strip().splitlines()]
    cells = {}
    for over, up_to, *figures in lines:
        for column, figure in zip(header, figures, strict=True):
            if figure != "-":
                cells[column, over, up_to.replace("+", "")] = float(figure)
    return cells


def shipped(name: str, column: str, figure: str, **where: str) -> dict[tuple[str, str, str], float]:
    """The rows of a table that are used, in the same form; a cell that stands there twice would be lost, so none may."""
    rows = [row for row in tables.rows(name) if all(row[cell] == value for cell, value in where.items())]
    cells = {(row[column], row["over_mm"], row["up_to_mm"]): float(row[figure]) for row in rows}
    assert len(cells) == len(rows), "a cell stands there twice"
    return cells


# ISO 286-1:2010 Table 1, standard tolerance grades in micrometres. IT01 and IT0 end at 500 mm.
ISO_286_IT = """
          01   0    1    2    3    4    5    6    7    8    9    10   11   12   13   14   15   16   17    18
0    3    0.3  0.5  0.8  1.2  2    3    4    6    10   14   25   40   60   100  140  250  400  600  1000  1400
3    6    0.4  0.6  1    1.5  2.5  4    5    8    12   18   30   48   75   120  180  300  480  750  1200  1800
6    10   0.4  0.6  1    1.5  2.5  4    6    9    15   22   36   58   90   150  220  360  580  900  1500  2200
10   18   0.5  0.8  1.2  2    3    5    8    11   18   27   43   70   110  180  270  430  700  1100 1800  2700
18   30   0.6  1    1.5  2.5  4    6    9    13   21   33   52   84   130  210  330  520  840  1300 2100  3300
30   50   0.6  1    1.5  2.5  4    7    11   16   25   39   62   100  160  250  390  620  1000 1600 2500  3900
50   80   0.8  1.2  2    3    5    8    13   19   30   46   74   120  190  300  460  740  1200 1900 3000  4600
80   120  1    1.5  2.5  4    6    10   15   22   35   54   87   140  220  350  540  870  1400 2200 3500  5400
120  180  1.2  2    3.5  5    8    12   18   25   40   63   100  160  250  400  630  1000 1600 2500 4000  6300
180  250  2    3    4.5  7    10   14   20   29   46   72   115  185  290  460  720  1150 1850 2900 4600  7200
250  315  2.5  4    6    8    12   16   23   32   52   81   130  210  320  520  810  1300 2100 3200 5200  8100
315  400  3    5    7    9    13   18   25   36   57   89   140  230  360  570  890  1400 2300 3600 5700  8900
400  500  4    6    8    10   15   20   27   40   63   97   155  250  400  630  970  1550 2500 4000 6300  9700
500  630  -    -    9    11   16   22   32   44   70   110  175  280  440  700  1100 1750 2800 4400 7000  11000
630  800  -    -    10   13   18   25   36   50   80   125  200  320  500  800  1250 2000 3200 5000 8000  12500
800  1000 -    -    11   15   21   28   40   56   90   140  230  360  560  900  1400 2300 3600 5600 9000  14000
1000 1250 -    -    13   18   24   33   47   66   105  165  260  420  660  1050 1650 2600 4200 6600 10500 16500
1250 1600 -    -    15   21   29   39   55   78   125  195  310  500  780  1250 1950 3100 5000 7800 12500 19500
1600 2000 -    -    18   25   35   46   65   92   150  230  370  600  920  1500 2300 3700 6000 9200 15000 23000
2000 2500 -    -    22   30   41   55   78   110  175  280  440  700  1100 1750 2800 4400 7000 11000 17500 28000
2500 3150 -    -    26   36   50   68   96   135  210  330  540  860  1350 2100 3300 5400 8600 13500 21000 33000
"""

# ISO 286-1:2010 Tables 4 and 5, fundamental deviations of shafts in micrometres: es of d to h, ei of k (IT4 to IT7) to s.
ISO_286_SHAFTS = """
         d    e    f   g   h  k  m  n  p  r   s
0   3    -20  -14  -6  -2  0  0  2  4  6  10  14
3   6    -30  -20  -10 -4  0  1  4  8  12 15  19
6   10   -40  -25  -13 -5  0  1  6  10 15 19  23
10  14   -50  -32  -16 -6  0  1  7  12 18 23  28
14  18   -50  -32  -16 -6  0  1  7  12 18 23  28
18  24   -65  -40  -20 -7  0  2  8  15 22 28  35
24  30   -65  -40  -20 -7  0  2  8  15 22 28  35
30  40   -80  -50  -25 -9  0  2  9  17 26 34  43
40  50   -80  -50  -25 -9  0  2  9  17 26 34  43
50  65   -100 -60  -30 -10 0  2  11 20 32 41  53
65  80   -100 -60  -30 -10 0  2  11 20 32 43  59
80  100  -120 -72  -36 -12 0  3  13 23 37 51  71
100 120  -120 -72  -36 -12 0  3  13 23 37 54  79
120 140  -145 -85  -43 -14 0  3  15 27 43 63  92
140 160  -145 -85  -43 -14 0  3  15 27 43 65  100
160 180  -145 -85  -43 -14 0  3  15 27 43 68  108
180 200  -170 -100 -50 -15 0  4  17 31 50 77  122
200 225  -170 -100 -50 -15 0  4  17 31 50 80  130
225 250  -170 -100 -50 -15 0  4  17 31 50 84  140
250 280  -190 -110 -56 -17 0  4  20 34 56 94  158
280 315  -190 -110 -56 -17 0  4  20 34 56 98  170
315 355  -210 -125 -62 -18 0  4  21 37 62 108 190
355 400  -210 -125 -62 -18 0  4  21 37 62 114 208
400 450  -230 -135 -68 -20 0  5  23 40 68 126 232
450 500  -230 -135 -68 -20 0  5  23 40 68 132 252
"""

# ISO 286-1:2010 Table 2, fundamental deviations EI of holes in micrometres.
ISO_286_HOLES = """
         F  G  H
0   3    6  2  0
3   6    10 4  0
6   10   13 5  0
10  14   16 6  0
14  18   16 6  0
18  24   20 7  0
24  30   20 7  0
30  40   25 9  0
40  50   25 9  0
50  65   30 10 0
65  80   30 10 0
80  100  36 12 0
100 120  36 12 0
120 140  43 14 0
140 160  43 14 0
160 180  43 14 0
180 200  50 15 0
200 225  50 15 0
225 250  50 15 0
250 280  56 17 0
280 315  56 17 0
315 355  62 18 0
355 400  62 18 0
400 450  68 20 0
450 500  68 20 0
"""

# ISO 8062-3:2007 Table 2, total linear tolerance in mm by DCTG. Finer grades than printed at a size do not exist there.
ISO_8062_DCTG = """
           1    2    3    4    5    6    7    8   9   10  11  12  13 14 15 16
0    10    0.09 0.13 0.18 0.26 0.36 0.52 0.74 1   1.5 2   2.8 4.2 -  -  -  -
10   16    0.1  0.14 0.2  0.28 0.38 0.54 0.78 1.1 1.6 2.2 3   4.4 -  -  -  -
16   25    0.11 0.15 0.22 0.3  0.42 0.58 0.82 1.2 1.7 2.4 3.2 4.6 6  8  10 12
25   40    0.12 0.17 0.24 0.32 0.46 0.64 0.9  1.3 1.8 2.6 3.6 5   7  9  11 14
40   63    0.13 0.18 0.26 0.36 0.5  0.7  1    1.4 2   2.8 4   5.6 8  10 12 16
63   100   0.14 0.2  0.28 0.4  0.56 0.78 1.1  1.6 2.2 3.2 4.4 6   9  11 14 18
100  160   0.15 0.22 0.3  0.44 0.62 0.88 1.2  1.8 2.5 3.6 5   7   10 12 16 20
160  250   -    0.24 0.34 0.5  0.7  1    1.4  2   2.8 4   5.6 8   11 14 18 22
250  400   -    -    0.4  0.56 0.78 1.1  1.6  2.2 3.2 4.4 6.2 9   12 16 20 25
400  630   -    -    -    0.64 0.9  1.2  1.8  2.6 3.6 5   7   10  14 18 22 28
630  1000  -    -    -    -    1    1.4  2    2.8 4   6   8   11  16 20 25 32
1000 1600  -    -    -    -    -    1.6  2.2  3.2 4.6 7   9   13  18 23 29 37
1600 2500  -    -    -    -    -    -    2.6  3.8 5.4 8   10  15  21 26 33 42
2500 4000  -    -    -    -    -    -    -    4.4 6.2 9   12  17  24 30 38 49
4000 6300  -    -    -    -    -    -    -    -   7   10  14  20  28 35 44 56
6300 10000 -    -    -    -    -    -    -    -   -   11  16  23  32 40 50 64
"""

# ISO 8062-3:2007, required machining allowance in mm by the largest overall size of the part.
ISO_8062_RMAG = """
           A   B   C   D   E   F   G   H   J   K
0    40    0.1 0.1 0.2 0.3 0.4 0.5 0.5 0.7 1   1.4
40   63    0.1 0.2 0.3 0.3 0.4 0.5 0.7 1   1.4 2
63   100   0.2 0.3 0.4 0.5 0.7 1   1.4 2   2.8 4
100  160   0.3 0.4 0.5 0.8 1.1 1.5 2.2 3   4   6
160  250   0.3 0.5 0.7 1   1.4 2   2.8 4   5.5 8
250  400   0.4 0.7 0.9 1.3 1.8 2.5 3.5 5   7   10
400  630   0.5 0.8 1.1 1.5 2.2 3   4   6   9   12
630  1000  0.6 0.9 1.2 1.8 2.5 3.5 5   7   10  14
1000 1600  0.7 1   1.4 2   2.8 4   5.5 8   11  16
1600 2500  0.8 1.1 1.6 2.2 3.2 4.5 6   9   13  18
2500 4000  0.9 1.3 1.8 2.5 3.5 5   7   10  14  20
4000 6300  1   1.4 2   2.8 4   5.5 8   11  16  22
6300 10000 1.1 1.5 2.2 3   4.5 6   9   12  17  24
"""

# ISO 2768-1:1989 Tables 1 (linear), 2 (external radii and chamfers), both mm, and 3 (angles by the shorter leg, minutes).
ISO_2768 = {
    "linear": """
          f    m   c   v
0.5  3    0.05 0.1 0.2 -
3    6    0.05 0.1 0.3 0.5
6    30   0.1  0.2 0.5 1
30   120  0.15 0.3 0.8 1.5
120  400  0.2  0.5 1.2 2.5
400  1000 0.3  0.8 2   4
1000 2000 0.5  1.2 3   6
2000 4000 -    2   4   8
""",
    "radius_chamfer": """
      f   m   c   v
0.5 3 0.2 0.2 0.4 0.4
3   6 0.5 0.5 1   1
6   + 1   1   2   2
""",
    "angle": """
        f  m  c  v
0   10  60 60 90 180
10  50  30 30 60 120
50  120 20 20 30 60
120 400 10 10 15 30
400 +   5  5  10 20
""",
}


@pytest.mark.parametrize(
    ("name", "column", "figure", "parts"),
    [
        ("iso286_it", "grade", "tolerance_um", [ISO_286_IT]),
        ("iso286_deviation", "letter", "deviation_um", [ISO_286_SHAFTS, ISO_286_HOLES]),
        ("iso8062_3_dctg", "grade", "total_mm", [ISO_8062_DCTG]),
        ("iso8062_3_rmag", "grade", "allowance_mm", [ISO_8062_RMAG]),
    ],
)
def test_every_cell_is_as_the_standard_prints_it(name, column, figure, parts):
    expected = {key: value for part in parts for key, value in printed(part).items()}
    assert shipped(name, column, figure) == expected


@pytest.mark.parametrize("kind", ISO_2768)
def test_every_cell_of_iso_2768_is_as_the_standard_prints_it(kind):
    assert shipped("iso2768_1", "grade", "plus_minus", kind=kind) == printed(ISO_2768[kind])
    units = {row["unit"] for row in tables.rows("iso2768_1") if row["kind"] == kind}
    assert units == {"arcmin" if kind == "angle" else "mm"}


def test_a_deviation_says_which_end_it_is_and_for_which_grades():
    for row in tables.rows("iso286_deviation"):
        letter = row["letter"]
        assert row["which"] == ("EI" if letter in "FGH" else "es" if letter in "defgh" else "ei")
        assert (row["grade_min"], row["grade_max"]) == (("4", "7") if letter == "k" else ("1", "18"))


@pytest.mark.parametrize("letter", "FGH")
def test_a_hole_is_the_mirror_of_the_shaft_of_its_letter(letter):
    """ISO 286-1: EI of a hole F to H is -es of the shaft, in every range and grade."""
    for over, up_to in pairwise([0, 3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250]):
        _mirrored(letter, (over + up_to) / 2)
        _mirrored(letter, up_to)
    for size in (265, 280, 300, 315, 340, 355, 380, 400, 430, 450, 470, 500):
        _mirrored(letter, size)


def _mirrored(letter: str, size: float) -> None:
    for grade in range(1, 14):
        hole, shaft = iso286(size, f"{letter}{grade}"), iso286(size, f"{letter.lower()}{grade}")
        assert hole.lower - size == pytest.approx(size - shaft.upper, abs=1e-9), (size, grade)
        assert hole.upper - size == pytest.approx(size - shaft.lower, abs=1e-9), (size, grade)


def test_g_over_3_to_6_mm_is_4_micrometres():
    band = iso286(4.0, "G7")  # ISO 286-2: G7 over 3 up to 6 is +16/+4 (from memory)
    assert (band.lower, band.upper) == pytest.approx((4.004, 4.016), abs=1e-9)


def test_what_is_looked_up_is_what_is_printed():
    """The functions people's sizes go through, cell by cell, in the middle and at the upper end of every range."""
    for (grade, over, up_to), um in printed(ISO_286_IT).items():
        for size in ((float(over) + float(up_to)) / 2, float(up_to)):
            if grade != "01" and not (size <= 1.0 and int(grade) >= 14):
                assert 1000 * iso286(size, f"H{grade}").width == pytest.approx(um, abs=1e-5)
    for (grade, over, up_to), total in printed(ISO_8062_DCTG).items():
        for size in ((float(over) + float(up_to)) / 2, float(up_to)):
            if grade != "16":
                assert iso8062_3(size, grade).width == pytest.approx(total, abs=1e-9)
            if grade != "1":
                assert iso8062_3(size, int(grade) - 1, wall=True).width == pytest.approx(total, abs=1e-9)
    for (grade, _, up_to), allowance in printed(ISO_8062_RMAG).items():
        assert machining_allowance(float(up_to), grade) == allowance
    for (grade, over, up_to), figure in printed(ISO_2768["angle"]).items():
        leg = float(up_to or 1000)
        assert 60 * (iso2768_1(90.0, grade, "angle", leg).upper - 90.0) == pytest.approx(figure, abs=1e-6), over


def test_a_dash_stays_a_dash():
    held = printed(ISO_8062_DCTG)
    ranges = {(over, up_to) for _, over, up_to in held}
    for over, up_to in ranges:
        for grade in range(1, 16):
            if (str(grade), over, up_to) not in held:
                with pytest.raises(TableError, match="no value"):
                    iso8062_3(float(up_to), grade)
