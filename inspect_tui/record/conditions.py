"""Conditions that questions share: which version counts, what is withdrawn, when and on what it was measured."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sized

# When a reading was made, microseconds UTC (its entry is `e`, its setup `s`): noon of the day that somebody said it was
# measured on, by the clock of that bench, else when it was logged.
MEASURED_AT = (
    "CASE WHEN s.on_date IS NULL THEN e.at_us "
    "ELSE CAST(strftime('%s', s.on_date) AS INTEGER) * 1000000 + 43200000000 - e.tz_min * 60000000 END"
)


def marks_of(values: Sized) -> str:
    """Question marks for `IN (...)`."""
    return ",".join("?" * len(values))


def raw_only(alias: str = "r") -> str:
    """The condition that a reading was made before its casting was machined; all on tools and sand cores are so."""
    return f"{alias}.setup_id NOT IN (SELECT id FROM setup WHERE state = 'finished')"


# What is withdrawn now: of_ids, ids where there are no versions. The newest word about a thing holds.
_WITHDRAWN = (
    "SELECT w.about_id FROM withdrawal w WHERE w.state = 'withdrawn' "
    "AND NOT EXISTS (SELECT 1 FROM withdrawal l WHERE l.about_id = w.about_id AND l.id > w.id)"
)


def there(*columns: str) -> str:
    """The condition that none of these columns (of_ids, ids where there are no versions) is of a withdrawn thing.

    It is worked out once for a statement, and costs nothing while nothing is withdrawn.
    """
    return " AND ".join(f"coalesce({column}, x'') NOT IN ({_WITHDRAWN})" for column in columns)


def newest(table: str) -> str:
    """The condition that nothing takes the place of a version `t` of a table.

    Of what two benches changed apart there are two until somebody saves one; the one that was said last is shown.
    """
    return (
        f"NOT EXISTS (SELECT 1 FROM {table} r WHERE r.replaces_id = t.id) "
        "AND t.id NOT IN (SELECT a.about_id FROM put_aside a)"
    )
