"""The rooms for assembly and wear open without numpy; the common name offers what it says."""

from __future__ import annotations

import subprocess
import sys

MODULES = [
    "assembly",
    "buoyancy",
    "change",
    "change_causes",
    "change_null",
    "change_steps",
    "fits",
    "life",
    "life_resin",
    "life_scale",
    "passage",
    "passage_capacity",
    "setting",
    "setting_float",
    "setting_lookalike",
    "stacks",
    "stacks_mc",
    "wear",
    "wear_curve",
    "wear_fleet",
    "wear_left",
    "wear_line",
]


def test_nothing_heavy_is_imported_before_it_is_needed() -> None:
    imports = "; ".join(f"import inspect_tui.metrology.{m}" for m in MODULES)
    heavy = "{'numpy', 'scipy', 'textual', 'rich', 'sqlite3', 'pint'}"
    code = f"import sys; {imports}; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_fits_order_lifts_stacks_of_one_piece_and_a_passage_need_no_numpy() -> None:
    code = """
import sys
from inspect_tui.metrology.assembly import *
from inspect_tui.model import Band, Estimate
judge_kit([Fit('K1', '1', 'drag', 'y', 60.0, 60.6, Band(0.4, 0.8, ''))])
setting_order(['1'], [Sits('1', 'drag', 'K1')])
stack('w', find_loop([Link('l', 'a', 'b', 7.0, 0.1, 0.1)], 'a', 'b'))
derive(parse('F1 * F2', {'F1': 1, 'F2': 1}), {'F1': Estimate(1, .1), 'F2': Estimate(2, .1)})
capacity(Estimate(1.0, 0.1), 1.0, 1.0)
lift(1, 1)
print('numpy' in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_the_common_name_offers_what_it_says() -> None:
    from inspect_tui.metrology import assembly

    assert all(hasattr(assembly, name) for name in assembly.__all__)
    assert len(set(assembly.__all__)) == len(assembly.__all__)
