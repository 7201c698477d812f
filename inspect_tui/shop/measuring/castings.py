"""What to measure next on the castings of a sampling, so that causes that look alike are told apart.

What the causes cannot tell comes first, by how much a reading is expected to tell about which of them it is; then the
fewest further sizes with which every cause of a believable size could be told from every other. After each reading it
is asked anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.faces.plan import CUT_UP_MINUTES, MEANS
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening, look
from inspect_tui.shop.first_article.causes import cause_lines, plan_answer, search
from inspect_tui.shop.first_article.findings import Causes
from inspect_tui.shop.measuring.sample import means_of

MOST_NAMED = 4  # causes in the sentence; all stand in `open_after`
WORTH_BITS = 0.05  # a reading that tells less than this about which cause it is changes nobody's mind: our judgement


@frozen_by_name
class TellLine:
    """One size to take on the castings; `bits` is what it is expected to tell, nought where it is for later causes."""

    number: int
    size: str
    what: str
    means: str
    minutes: float
    bits: float
    castings: tuple[str, ...]  # serials on which it is not read yet
    sentence: str


@frozen_by_name
class RoundPlan:
    """The plan of one sampling. `cannot_tell` has, for each open question, the names of all that look alike.

    `said` are the same questions in words, `on_tools` what is to be measured on which tool to answer them.
    `open_after`: causes that stay open when all lines are taken.
    """

    job: str
    round: str
    lines: tuple[TellLine, ...]
    cannot_tell: tuple[tuple[str, ...], ...]
    said: tuple[str, ...]
    on_tools: tuple[str, ...]
    unseen: tuple[str, ...]
    open_after: tuple[str, ...]
    cut_up: bool
    minutes: float
    sentence: str


def of_round(record: Reader, job: Job, label: str | None = None, style: Style = MM) -> RoundPlan:
    """The plan of a sampling, the newest one without a label. NotFound where there are no castings."""
    sampling = Sampling(record, job, pick_round(record, job, label), style)
    looked = look(sampling)
    if not looked.evidence.features:
        raise NotFound(
            f"No size of {sampling.round.label} is known and lies between faces whose tools are known: there are no "
            "causes to tell apart."
        )
    return plan_of(sampling, looked, _causes(sampling, looked, style), style)


def plan_of(sampling: Sampling, looked: Screening, causes: Causes | None, style: Style = MM) -> RoundPlan:
    """The same where the causes were searched for already; None while nothing counts yet."""
    read = {f.balloon for f in sampling.features if any(sampling.taken(f, item) for item in sampling.castings)}
    usable = {o.balloon for o in looked.evidence.features}
    chosen = [balloon for balloon in read if balloon in usable]
    coming = plan_answer(sampling, looked, sorted(chosen) if chosen else [], max(len(sampling.castings), 1))
    bits = {n.balloon: n.bits for n in causes.measure_next if n.bits >= WORTH_BITS} if causes else {}
    wanted = [*sorted(bits, key=lambda b: -bits[b]), *(b for b in coming.add if b not in bits)]
    lines = tuple(_line(sampling, looked, n, b, bits.get(b, 0.0), style) for n, b in enumerate(wanted, start=1))
    cut = any(line.means == "section" for line in lines) and not sampling.cut_up
    unclear = causes.cannot_tell if causes else ()
    on_tools = tuple(dict.fromkeys(words for line in unclear for words in line.tells))
    minutes = sum(line.minutes * max(len(line.castings), 1) for line in lines) + (CUT_UP_MINUTES if cut else 0.0)
    return RoundPlan(
        job=sampling.job.number,
        round=sampling.round.label,
        lines=lines,
        cannot_tell=tuple(line.names or (line.name, *line.alike) for line in unclear),
        said=tuple(line.words for line in unclear),
        on_tools=on_tools,
        unseen=coming.unseen,
        open_after=coming.open_after,
        cut_up=cut,
        minutes=minutes,
        sentence=sentence(lines, None if causes is None else len(unclear), on_tools, coming.open_after),
    )


def _causes(sampling: Sampling, looked: Screening, style: Style) -> Causes | None:
    """What explains the castings by now; None while nothing counts yet."""
    if not sampling.anything:
        return None
    try:
        return cause_lines(looked, search(looked), style)
    except DataError:
        return None


def _line(sampling: Sampling, looked: Screening, number: int, balloon: str, bits: float, style: Style) -> TellLine:
    feature = sampling.feature(balloon)
    observed = next(o for o in looked.evidence.features if o.balloon == balloon)
    means = means_of(feature, [face.cored for face in observed.faces])
    missing = tuple(item.serial for item in sampling.castings if not sampling.taken(feature, item))
    on = f" on {', '.join(missing)}" if missing else ""
    why = f", tells {style.figures(bits, 2)} bits of which it is" if bits else ", for causes that may come yet"
    return TellLine(
        number=number,
        size=balloon,
        what=feature.name,
        means=means,
        minutes=MEANS[means].minutes,
        bits=bits,
        castings=missing,
        sentence=f"{balloon} {feature.name}{on}, {MEANS[means].words}{why}",
    )


def sentence(
    lines: Sequence[TellLine], open_questions: int | None, on_tools: Sequence[str], open_after: Sequence[str]
) -> str:
    """How the plan stands; `open_questions` is None while nothing counts yet."""
    if open_questions is None and lines:
        return f"Nothing counts yet: {len(lines)} sizes tell every cause from every other that can be told at all."
    if open_questions:
        question = f"{open_questions} question{'s are' if open_questions > 1 else ' is'} open"
        following = lines[0].sentence if lines and lines[0].bits else on_tools[0] if on_tools else ""
        return f"{question}; next: {following}." if following else f"{question}, and no size of the drawing tells."
    if not lines:
        rest = f"; {', '.join(open_after[:MOST_NAMED])} could not be told" if open_after else ""
        return f"Nothing more to take: what the drawing's sizes can tell is told{rest}."
    return f"No question is open; {len(lines)} further sizes would tell causes apart that may come yet."
