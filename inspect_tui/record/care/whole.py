"""Checks a record against everything that is known of it: its chains, this machine's memory, heads on papers, files.

The chains alone cannot show that a tail was cut off. What this machine remembers to have written, and what was
printed on a paper or stands in a backup, can.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from inspect_tui.frozen import frozen
from inspect_tui.record.attachments import folder_of, stored_at
from inspect_tui.record.chain.verify import verify
from inspect_tui.record.file import guard
from inspect_tui.record.file.state import Remembered, all_remembered
from inspect_tui.record.text import clean

_MOST = 20  # files named one by one
_HEAD = re.compile(r"([0-9a-f]{32})\W+(\d+)\W+([0-9a-f]{16})")

_SUMMARY_MISFITS = """
WITH counted AS (SELECT subject_id, feature_id, id, value FROM reading_that_counts),
  made AS (SELECT subject_id, feature_id, count(*) AS n, avg(value) AS mean, min(value) AS lo, max(value) AS hi,
    max(id) AS last_id FROM counted GROUP BY subject_id, feature_id)
SELECT count(*) FROM (
  SELECT 1 FROM made m LEFT JOIN cache_summary c USING (subject_id, feature_id)
    WHERE c.n IS NOT m.n OR c.last_id IS NOT m.last_id OR c.min IS NOT m.lo OR c.max IS NOT m.hi
      OR abs(c.mean - m.mean) > 1e-9 * (1 + abs(m.mean))
  UNION ALL
  SELECT 1 FROM cache_summary c LEFT JOIN made m USING (subject_id, feature_id) WHERE m.n IS NULL)"""


@frozen
class Whole:
    """`problems` and `notes` are sentences: what is wrong, and what is to be known; `summaries_off` are cached rows."""

    problems: tuple[str, ...]
    notes: tuple[str, ...]
    heads: tuple[str, ...]
    counts: dict[str, int]
    summaries_off: int

    @property
    def ok(self) -> bool:
        """Whether nothing recorded is wrong; a summary that is off is made again and is no loss."""
        return not self.problems


def check(
    con: sqlite3.Connection,
    path: Path,
    state: Path,
    printed: Sequence[str] = (),
    watch: Callable[[int, int], None] | None = None,
    since: Mapping[bytes, int] | None = None,
) -> Whole:
    """Check the record that `con` sees at `path`; `state`: where this machine remembers, `printed`: heads of papers.

    With `since` (device -> number) what is older was found whole before and is not read again.
    """
    chains = verify(con, since, watch, pages=not since)
    problems = list(chains.problems)
    notes: list[str] = []
    with suppress(sqlite3.DatabaseError):
        if wrong := guard.misfit(con):
            problems.append(wrong)
    with suppress(sqlite3.DatabaseError):  # damage was said above
        for sentence, is_wrong in against_memory(con, all_remembered(state, path)):
            (problems if is_wrong else notes).append(sentence)
    problems.extend(against_heads(con, printed))
    with suppress(sqlite3.DatabaseError):
        problems.extend(against_files(con, path, since))
    off = 0
    with suppress(sqlite3.DatabaseError):
        off = 0 if since else con.execute(_SUMMARY_MISFITS).fetchone()[0]
    return Whole(tuple(problems), tuple(notes), chains.heads, chains.counts, off)


def against_memory(con: sqlite3.Connection, remembered: Iterable[tuple[bytes, Remembered]]) -> list[tuple[str, bool]]:
    """What this machine remembers to have written here and the file does not hold, and whether that is a fault.

    It is none where a later device says that the file was restored from there.
    """
    told: list[tuple[str, bool]] = []
    for device, known in remembered:
        name = device.hex()[:8]
        row = con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, known.seq)).fetchone()
        if row is not None and row[0] == known.head:
            continue
        (last,) = con.execute("SELECT max(seq) FROM entry WHERE device_id = ?", (device,)).fetchone()
        child = con.execute("SELECT parent_seq FROM device WHERE parent_id = ? ORDER BY id", (device,)).fetchone()
        if row is not None:
            told.append((f"Entry {known.seq} of device {name} is not the one that this machine wrote.", True))
        elif last is None:
            told.append(
                (f"This machine wrote {known.seq} entries of device {name} here; the file holds none of them.", True)
            )
        elif child is not None:
            told.append(
                (
                    f"The file was restored as it stood at entry {child[0]} of device {name}: this machine had written "
                    f"up to {known.seq}, so {known.seq - last} entries are not in it.",
                    False,
                )
            )
        else:
            told.append(
                (
                    f"This machine wrote up to entry {known.seq} of device {name}; the file ends at {last}: "
                    f"{known.seq - last} entries are missing (cut off, or an older copy was put in its place).",
                    True,
                )
            )
    return told


def against_heads(con: sqlite3.Connection, printed: Sequence[str]) -> list[str]:
    """Problems of heads as they stand on papers: `device·number·first 16 hex` in a text, other words around them."""
    problems: list[str] = []
    for device, seq, begins in heads_on(printed, problems):
        with suppress(sqlite3.DatabaseError):
            row = con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, seq)).fetchone()
            if row is None:
                problems.append(f"The paper knows entry {seq} of device {device.hex()[:8]}; the file does not hold it.")
            elif not row[0].hex().startswith(begins):
                problems.append(
                    f"Entry {seq} of device {device.hex()[:8]} is not the one that the paper was made from."
                )
    return problems


def heads_on(printed: Iterable[str], problems: list[str]) -> Iterator[tuple[bytes, int, str]]:
    """Device, number and first 16 hex digits of each head in these texts; a text without any is a problem."""
    for text in printed:
        heads = _HEAD.findall(text.lower())
        if not heads:
            problems.append(
                f"“{clean(text)[:60]}” is no head: it is 32 hex digits of the device, the number and 16 hex digits."
            )
        for device, seq, begins in heads:
            yield bytes.fromhex(device), int(seq), begins


def against_files(con: sqlite3.Connection, path: Path, since: Mapping[bytes, int] | None = None) -> list[str]:
    """Problems of the pictures beside the record: missing, or with another content; with `since` newer ones."""
    problems = []
    pictures = {
        (digest, name)
        for digest, name, device, seq in con.execute(
            "SELECT a.sha256, a.shown_name, e.device_id, e.seq FROM attachment a LEFT JOIN entry e ON e.id = a.id"
        )
        if seq is None or seq > (since or {}).get(device, 0)
    }
    for digest, name in sorted(pictures, key=lambda picture: picture[1]):
        text = digest if isinstance(digest, str) else digest.hex()
        file = stored_at(path, text)
        try:
            content = file.read_bytes()
        except OSError:
            problems.append(f"The picture {name} is missing: {file.relative_to(folder_of(path).parent)}.")
            continue
        if sha256(content).hexdigest() != text:
            problems.append(f"The picture {name} is not what was kept: {file.relative_to(folder_of(path).parent)}.")
    if len(problems) > _MOST:
        problems[_MOST:] = [f"... and {len(problems) - _MOST} more pictures."]
    return problems
