"""Who measured, checked and released a first article, what it states, and what it does not cover."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256

from inspect_tui.metrology.typed.show import count
from inspect_tui.model.signed import ACTS
from inspect_tui.model.words import Id
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.result import (
    DispositionLine,
    FeatureLine,
    GeometryLine,
    SignLine,
)
from inspect_tui.shop.first_article.signed import dispositions


def rests_on(sampling: Sampling, features: Sequence[FeatureLine], geometries: Sequence[GeometryLine]) -> str:
    """SHA-256 over the ids of the rows that the report rests on and over its answers, as hex.

    A reading, a size of the drawing, a decision or a look that comes, changes or goes makes it another, and so does a
    certificate that turns an answer. Figures take no part: machines may differ in their last digits.
    """
    checks = sampling.looks
    ids: list[Id] = [sampling.job.id, sampling.revision.id]
    ids += sorted(reading.id for reading in sampling.all_taken)
    ids += [feature.id for feature in sampling.features]
    ids += [item.id for item in sampling.castings]
    ids += [one.id for one in sampling.geometries] + sorted(check.id for check in checks)
    ids += [said.id for said in dispositions.of_sampling(sampling)]
    answers = [f"{line.balloon}|{line.state}|{c.serial}|{c.answer}" for line in features for c in line.cells]
    answers += [f"{line.balloon}|{line.state}|{c.serial}|{c.answer}" for line in geometries for c in line.cells]
    return sha256("\n".join([*(one.hex() for one in ids), *answers]).encode()).hexdigest()


def sign_lines(sampling: Sampling, hash_now: str) -> tuple[SignLine, ...]:
    """Who checked and who released it; whether the name still stands."""
    signs = sampling.record.article_signs(sampling.job.of_id, sampling.round.lot_id)
    people = {person.of_id: person for person in sampling.people.values()}
    lines = []
    for act in ACTS:
        sign = signs.get(act)
        if sign is None:
            continue
        person = people.get(sign.person_of_id)
        lines.append(
            SignLine(
                act=act,
                initials=person.initials if person else "?",
                name=(person.name if person else None) or "",
                on=sign.on_date,
                words=sign.words or "",
                stands=sign.rests_on == hash_now,
            )
        )
    return tuple(lines)


def names(sampling: Sampling, initials: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """The names of those who measured, where the record knows them."""
    known = {person.initials: person.name for person in sampling.people.values()}
    return tuple((one, known.get(one) or "") for one in initials)


# ------------------------------------------------------------------------------ what the report says
def statement(
    sampling: Sampling,
    features: Sequence[FeatureLine],
    geometries: Sequence[GeometryLine],
    decided: Sequence[DispositionLine],
    signs: Sequence[SignLine],
) -> tuple[str, ...]:
    """What is stated, in sentences: what it is about, how it stands, who released it."""
    measured = sum(1 for line in features if line.n)
    judged = sum(1 for line in geometries if any(c.answer != Standing.TO_MEASURE for c in line.cells))
    castings = count(len(sampling.castings), "casting")
    geometrical = f" and {count(judged, 'geometrical tolerance')}" if judged else ""
    said = [
        f"This report states what was found on {castings} of {sampling.round.label} against drawing "
        f"{sampling.revision.number}, revision {sampling.revision.rev}: {count(measured, 'size')}{geometrical}. "
        "The U beside each reading is the one that decides its answer."
    ]
    if not decided:
        said.append("Everything that was measured and has limits conforms.")
    else:
        words = [(name, sum(_became(line) == key for line in decided)) for key, name in DECIDED.items()]
        told = ", ".join(f"{n} {name}" for name, n in words if n)
        many = count(len(decided), "non-conformity", "non-conformities")
        said.append(f"{many} on single castings: {told}. Each is listed with what was decided about it.")
    released = next((sign for sign in signs if sign.act == "released"), None)
    if released is None:
        said.append("It is not released.")
    elif not released.stands:
        said.append(
            f"It was released by {released.initials} on {released.on}; something changed since: it is not released "
            "as it stands here."
        )
    else:
        said.append(f"It is released by {released.name or released.initials} on {released.on}.")
    return tuple(said)


def _became(line: DispositionLine) -> str:
    """What became of a non-conformity, as `DECIDED` has it."""
    return "closed" if not line.decision and line.closed else line.decision


DECIDED = {
    "": "not decided yet",
    "closed": "settled with another one",
    "rework": "reworked",
    "concession": "under concession",
    "scrap": "scrapped",
    "correct_tool": "waiting for a corrected tool",
}


def not_covered(
    sampling: Sampling, features: Sequence[FeatureLine], geometries: Sequence[GeometryLine]
) -> tuple[str, ...]:
    """What the report says nothing about, in sentences."""
    said = []
    left = [line.balloon for line in features if not line.n and line.state == "raw"]
    if left:
        said.append(f"Sizes without a reading: {', '.join(left)}.")
    free = [line.balloon for line in features if line.n and line.lower is None and line.upper is None]
    if free:
        said.append(f"Sizes without limits, stated and not judged: {', '.join(free)}.")
    unseen = [line.balloon for line in geometries if all(c.answer == Standing.TO_MEASURE for c in line.cells)]
    if unseen:
        said.append(f"Geometrical tolerances that nobody looked at: {', '.join(unseen)}.")
    if any(cell.value is not None for line in geometries for cell in line.cells):
        said.append("Surfaces between the places that were read.")
    lot = sampling.round.lot
    poured = lot.quantity if lot else None
    if poured is not None and poured > len(sampling.castings):
        said.append(f"{count(poured - len(sampling.castings), 'further casting')} of {sampling.round.label}.")
    said.append(
        "Requirements of the drawing that have no number here; material, soundness and what else no size tells."
    )
    return tuple(said)
