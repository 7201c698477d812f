"""Readings of several shops as Parquet in folders by shop and year, with questions for duckdb to begin with."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from inspect_tui.report.export import folder, parquet_file
from inspect_tui.report.paper.file import PaperError
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    from inspect_tui.shop.jobs.export_columns import ExportColumn

FOLDER, README = "readings", "README.md"

# name -> what it answers, and the question; {readings} stands for the folder
QUERIES: dict[str, tuple[str, str]] = {
    "wear": (
        "How fast tools wear, by alloy of the castings and material of the tool: mm for 1000 cores or moulds, over the "
        "sizes that were measured at three counts or more.",
        """WITH line AS (
  SELECT DISTINCT shop, job, tool, feature, alloy, tool_material, line, line_mean - target AS away, count
  FROM read_parquet('{readings}/**/*.parquet', hive_partitioning = true)
  WHERE counts AND measured_on = 'tool' AND count IS NOT NULL AND line_mean IS NOT NULL AND unit = 'mm'
), size AS (
  SELECT shop, job, tool, feature, alloy, tool_material, 1000 * regr_slope(away, count) AS wear
  FROM line GROUP BY ALL HAVING count(DISTINCT count) >= 3
)
SELECT alloy, tool_material, count(*) AS sizes, median(wear) AS mm_per_1000, quantile_cont(wear, 0.9) AS high
FROM size GROUP BY ALL ORDER BY alloy, tool_material""",
    ),
    "contraction": (
        "What contraction castings had, by alloy, foundry and size: tool over casting less one, of the sizes that were "
        "measured on both and are not machined.",
        """WITH r AS (
  SELECT * FROM read_parquet('{readings}/**/*.parquet', hive_partitioning = true)
  WHERE counts AND unit = 'mm' AND nominal > 0 AND corrected > 0
), tool AS (
  SELECT shop, job, feature, avg(corrected) AS on_tool FROM r
  WHERE tool_kind IN ('core_box', 'pattern_cope', 'pattern_drag', 'production_pattern') GROUP BY ALL
), casting AS (
  SELECT shop, job, feature, alloy, foundry, nominal, serial, avg(corrected) AS on_casting FROM r
  WHERE measured_on = 'casting' AND casting_state = 'raw' GROUP BY ALL
)
SELECT alloy, foundry,
  CASE WHEN nominal < 50 THEN 'to 50' WHEN nominal < 250 THEN '50 to 250' ELSE 'from 250' END AS mm,
  count(*) AS pairs, 100 * avg(on_tool / on_casting - 1) AS percent, 100 * stddev(on_tool / on_casting - 1) AS scatter
FROM casting JOIN tool USING (shop, job, feature) GROUP BY ALL ORDER BY alloy, foundry, mm""",
    ),
    "gauges": (
        "Which gauges drift: for each year how far its readings lie from those of all gauges on the same size of the "
        "same piece.",
        """WITH r AS (
  SELECT *, coalesce(tool, serial) AS piece
  FROM read_parquet('{readings}/**/*.parquet', hive_partitioning = true) WHERE counts AND unit = 'mm'
), size AS (
  SELECT shop, job, piece, feature, avg(corrected) AS mean FROM r GROUP BY ALL HAVING count(DISTINCT gauge) >= 2
)
SELECT shop, gauge, year, count(*) AS readings, avg(corrected - mean) AS off_mm,
  stddev(corrected - mean) / sqrt(count(*)) AS u_mm
FROM r JOIN size USING (shop, job, piece, feature) GROUP BY ALL ORDER BY shop, gauge, year""",
    ),
}


def place(to: str | Path, *, force: bool = False) -> Path:
    """The folder, made where there is none. PaperError where it holds an export already, or duckdb is missing."""
    if not parquet_file.there():
        raise PaperError("Parquet needs the library duckdb: install the program with its extra 'analysis'.")
    target = folder.place(to, force=force)
    if (target / FOLDER).exists():
        if not force:
            raise PaperError(f"{target / FOLDER} is there already and stays as it is.", todo=Todo.OVERWRITE)
        shutil.rmtree(target / FOLDER)
    target.mkdir(parents=True, exist_ok=True)
    return target


def add(
    target: Path,
    shop: str,
    columns: Sequence[ExportColumn],
    rows: Iterable[Sequence[Any]],
    notes: Iterable[Sequence[Any]],
    heads: Sequence[str],
) -> int:
    """Write the readings of one shop under `readings/shop=NAME/year=YYYY`; how many they were."""
    import duckdb

    with TemporaryDirectory(prefix="inspect-tui-export-", dir=target) as draft:
        written = folder.write(Path(draft) / "one", columns, rows, notes, heads=heads)
        with duckdb.connect(config={"autoinstall_known_extensions": "false"}) as con:
            con.execute(
                "COPY (SELECT *, $shop AS shop, year(day) AS year FROM read_parquet($source)) TO "
                f"'{str(target / FOLDER).replace(chr(39), chr(39) * 2)}' "
                "(FORMAT parquet, COMPRESSION zstd, PARTITION_BY (shop, year), OVERWRITE_OR_IGNORE)",
                {"shop": shop, "source": str(Path(draft) / "one" / folder.PARQUET)},
            )
    return written.readings


def finish(target: Path, columns: Sequence[ExportColumn]) -> list[Path]:
    """Write what the columns mean and the questions to begin with; every file that lies there."""
    lines = ["# Readings of all shops", "", f"Parquet in `{FOLDER}/shop=NAME/year=YYYY`. Questions for duckdb:", ""]
    for name, (answers, query) in QUERIES.items():
        lines += [f"## {name}", "", answers, "", "```sql", query.replace("{readings}", FOLDER), "```", ""]
    lines += ["## Columns", "", "| name | kind | unit | meaning |", "|---|---|---|---|"]
    lines += [f"| {c.name} | {c.kind} | {c.unit} | {c.meaning} |" for c in columns]
    (target / README).write_text("\n".join(lines) + "\n", "utf-8")
    return [target / README, *sorted((target / FOLDER).rglob("*.parquet"))]
