"""All readings as Parquet, made by duckdb from the CSV beside it: the same cells, with types instead of text."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inspect_tui.shop.jobs.export_columns import ExportColumn

MISSING = (
    "readings.parquet was not written: Parquet needs the library duckdb, which is not installed here. "
    "Install the program with its extra 'analysis' for it; the other files hold the same."
)
MEMORY = "512MB"
CASTS = {
    "text": "regexp_replace({0}, '^''([=+\\-@\\t\\r''＝＋－＠])', '\\1')",  # the guard of the CSV comes off again
    "integer": "CAST({0} AS BIGINT)",
    "number": "CAST({0} AS DOUBLE)",
    "yes/no": "{0} = 'yes'",
    "day": "CAST({0} AS DATE)",
    "time": "CAST(rtrim({0}, 'Z') AS TIMESTAMP)",
}


def there() -> bool:
    """Whether duckdb is installed."""
    return find_spec("duckdb") is not None


def write(path: Path, from_csv: Path, columns: Sequence[ExportColumn]) -> None:
    """Write the file at `path` from the CSV; types by column. Raises duckdb.Error."""
    import duckdb

    wanted = ", ".join(
        f"{CASTS[column.kind].format(_quoted(column.name))} AS {_quoted(column.name)}" for column in columns
    )
    types = ", ".join(f"{_text(column.name)}: 'VARCHAR'" for column in columns)
    with duckdb.connect(config={"autoinstall_known_extensions": "false", "memory_limit": MEMORY}) as con:
        con.execute(f"SET temp_directory = {_text(str(path.parent))}")
        con.execute(
            f"COPY (SELECT {wanted} FROM read_csv({_text(str(from_csv))}, columns = {{{types}}}, header = true, "
            f"delim = ',', quote = '\"', escape = '\"', nullstr = '', auto_detect = false, new_line = '\\r\\n')) "
            f"TO {_text(str(path))} (FORMAT parquet, COMPRESSION zstd)"
        )


def _text(words: str) -> str:
    return "'" + words.replace("'", "''") + "'"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
