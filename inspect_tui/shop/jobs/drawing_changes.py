"""What is to change on a drawing, from words such as `F12 nominal=63 limits=±0.5 F13 note="at x = 5"`."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import JobFileError
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.common.lineage import unchanged
from inspect_tui.shop.jobs import feature_form

NAMES = tuple(key for key, _, _ in feature_form.FIELDS)


def changed(record: Record, job: Job, words: Sequence[str]) -> list[Feature]:
    """The features of the newest edition with what is typed over, each balloon followed by its changes.

    A change is the name of a field of the feature's form, an equals sign and what would be typed there; nothing after
    the sign empties the field. Raises JobFileError or NotFound with the first word that is no change, or the first
    feature that reads so already; nothing is written here.
    """
    revision = find.latest_revision(record, job)
    there = record.features(revision.id)
    typed: dict[str, dict[str, str]] = {}
    balloon: str | None = None
    for word in words:
        name, sign, text = word.partition("=")
        name = name.strip().casefold()
        if not sign:
            balloon = find.feature(there, word, revision.rev).balloon
            typed.setdefault(balloon, {})
        elif balloon is None:
            raise JobFileError(f"Say first which feature {word} is to be changed of, such as F12 {word}.")
        elif name not in NAMES:
            raise JobFileError(f"{balloon} has no '{name}' to change; it has {', '.join(NAMES)}.")
        else:
            typed[balloon][name] = text
    numbers = core_numbers(record, job)
    made = []
    for balloon, changes in typed.items():
        old = next(feature for feature in there if feature.balloon == balloon)
        if not changes:
            raise JobFileError(f"Say what changes of {balloon}, such as {balloon} nominal=63.")
        shown = {key: first for key, _, first in feature_form.fields_of(old, numbers)}
        feature = feature_form.read(record, job, shown | changes, revision.default_band, old)
        if isinstance(feature, str):
            raise JobFileError(f"{balloon}: {feature}")
        if find.balloon_key(feature.balloon) != find.balloon_key(balloon):
            raise JobFileError(f"{balloon}: a feature keeps its balloon; add one of another name instead.")
        if unchanged(feature, old):
            raise JobFileError(f"{balloon} reads so already: nothing of it would change, and nothing was written.")
        made.append(feature)
    return made
