"""Lines of files of tool readings: each that is wrong is said once, with its line."""

from __future__ import annotations

import pytest

from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.file import of_text
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.intake.tool_columns import ToolColumns
from inspect_tui.shop.intake.tool_rows import ToolLineReader, ToolReading
from tests.conftest import TODAY, SmallShop


def lines(shop: SmallShop, text: str, **options: object) -> tuple[list[ToolReading], ToolLineReader]:
    job = find.job(shop.record, "SV-12")
    grid, tools = of_text(text), shop.record.tools(job.of_id)
    features = {f.id: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}
    on_tools = {
        tool.of_id: {
            features[on.feature_id].balloon: (features[on.feature_id], on)
            for on in shop.record.tool_features(tool.of_id)
        }
        for tool in tools
    }
    layout = ToolColumns(grid, list(features.values()), {}, None, "tool" in options).layout()
    reader = ToolLineReader(grid, layout, Options(**options), tools, on_tools, TODAY)
    return reader.readings(), reader


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (",2025-01-05,,F2,40,,", "line 2: no tool in column tool"),
        ("box 1,,,F2,40,,", "line 2: no day in column day"),
        ("box 1,2025-02-30,,F2,40,,", "line 2, day: 2025-02-30 is no day that there is"),
        ("box 1,2025-01-05,,,40,,", "line 2: no feature in column feature"),
        ("box 1,2025-01-05,,F2,40,1/2,", "line 2, count: 1/2 is no whole number"),
        ("box 1,2025-01-05,,F2,40,,warm", "line 2: "),
        ("box 1,2025-01-05,0,F2,40,,", "line 2: 0 is no number of a repeat"),
    ],
)
def test_a_line_that_is_wrong_is_said(shop: SmallShop, line: str, said: str) -> None:
    _, reader = lines(shop, "tool,day,repeat,feature,value,count,temperature\n" + line + "\n")
    assert len(reader.wrong) == 1 and reader.wrong[0].startswith(said), reader.wrong


def test_what_a_line_holds(shop: SmallShop) -> None:
    (reading,), reader = lines(shop, "day;F2;temp;repeat;count\n5.1.2025;40,1;23;2;\n6.1.2025;;;;900\n", tool="box 1")
    assert (reading.day, reading.feature.balloon, reading.typed, reading.rep) == ("2025-01-05", "F2", "40,1", 2)
    assert (reading.value, reading.work_c, reading.stated) == (40.1, 23.0, False)
    assert [(c.line, c.day, c.count, c.tool.label) for c in reader.counts] == [(3, "2025-01-06", 900, "box 1")]


def test_everything_that_is_wrong_in_a_line_is_told(shop: SmallShop) -> None:
    text = "tool,day,feature,value,by,gauge\nbox 7,2025-02-30,F2,wide,XX,laser\nbox 1,2025-01-05,F2,40,AB,caliper 1\n"
    _, reader = lines(shop, text)
    assert [line.partition(":")[0] for line in reader.wrong] == ["line 2", "line 2, day", "line 2, value"]
    assert reader.people == {"XX": 2, "AB": 3} and reader.gauges == {"laser": 2, "caliper 1": 3}


def test_a_wrong_tool_feature_and_day_are_told_once(shop: SmallShop) -> None:
    text = "tool,day,feature,value\n" + "box 7,2025-01-05,F2,40\n" * 3 + "box 1,2025-01-05,F77,40\n" * 3
    text += "box 1,2025-02-30,F2,40\n" * 3
    _, reader = lines(shop, text)
    assert len(reader.wrong) == 3 and reader.unknown == ["box 7"]
