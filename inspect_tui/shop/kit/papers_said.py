"""What the papers for the foundry say, as plain results: setting sheet, kit list, labels, come-back sheet.

Nothing here draws: `report` and the commands make HTML, PDF and labels from these. Sizes of fits and checks are mm in
the mould (tooling scale: sand does not contract); weights kg, lifts kgf. A field that is None is not known: print a
line to fill in, or leave it out, never a nought.
"""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.kit.fits import FitState


@frozen_by_name
class SheetPhoto:
    """A picture: `path` is where its bytes lie, None when they are not beside the record."""

    sha256: str
    media: str  # image/jpeg or image/png
    path: Path | None
    width_px: int
    height_px: int
    caption: str
    shown_name: str


@frozen_by_name
class SheetFit:
    """One print or key of the core and the seat that takes it. `clearance_mm` is as measured, else as drawn."""

    name: str  # K6-3
    kind: str  # print, key
    into: str  # core 1, drag, cope
    mark: str | None  # paint or number on both
    count: int
    axis: str
    clearance_mm: float
    clear_min_mm: float
    clear_max_mm: float
    measured: bool
    state: FitState
    sentence: str  # "key K5 into core 3: do not force, 0.30 mm clearance (0.20 to 0.50)"


@frozen
class SheetCheck:
    """What the setter can prove: go and no-go sizes in the mould, with the template that carries them."""

    what: str
    template: str | None
    lower_mm: float | None  # no-go below
    upper_mm: float | None  # no-go above
    sentence: str


@frozen_by_name
class SheetStep:
    """One core going in."""

    step: int  # 1, 2, 3 ...
    number: int  # of the core
    name: str
    only_locates: bool
    box: str | None
    stick: str | None
    fits: tuple[SheetFit, ...]
    check: SheetCheck | None
    chaplets: int | None
    chaplet_note: str | None
    vents: str | None
    weight_kg: float | None  # of the sand core
    lift_kgf: float | None  # net push of the liquid metal, its own weight taken off
    lift_sentence: str | None
    lift_points: str | None
    caution: str | None
    photos: tuple[SheetPhoto, ...]
    remarks: tuple[str, ...]


@frozen_by_name
class SettingSheet:
    """The sheet that a stranger sets the cores by, one step a core."""

    job: str
    name: str
    customer_ref: str | None
    drawing: str | None
    rev: str | None
    alloy: str | None
    order_sentence: str
    steps: tuple[SheetStep, ...]
    colour_key: tuple[tuple[str, str], ...]  # mark, what carries it; printed on the sheet, never assumed
    photos: tuple[SheetPhoto, ...]  # of the whole job
    not_proven: tuple[str, ...]  # what stands against setting by this sheet as it is; empty: nothing known
    cautions: tuple[str, ...]
    heads: tuple[str, ...]  # ends of the record's chains, for the foot of the paper


@frozen_by_name
class KitLine:
    """One thing of the kit."""

    kind: str  # pattern, box, stick, template ...
    label: str
    core: int | None
    core_name: str | None
    count: int
    loose_pieces: int | None
    dowels: int | None
    weight_kg: float | None
    mark: str | None
    material: str
    owner: str | None
    lift_points: str | None
    note: str | None
    where: str  # "here", or "at NAME since DATE"
    photos: tuple[SheetPhoto, ...]


@frozen_by_name
class KitList:
    """Everything that belongs to the kit, counted and weighed."""

    job: str
    name: str
    customer_ref: str | None
    drawing: str | None
    rev: str | None
    lines: tuple[KitLine, ...]
    loose_pieces: int  # of the lines that say
    weight_kg: float | None  # of the lines that say; None when none does
    not_weighed: tuple[str, ...]
    not_counted: tuple[str, ...]
    cautions: tuple[str, ...]
    heads: tuple[str, ...]


@frozen_by_name
class LabelData:
    """A label for one tool. `code` goes into the QR mark: plain text that names job, tool and the record's id."""

    job: str
    name: str
    label: str
    kind: str
    core: int | None
    core_name: str | None
    mark: str | None
    loose_pieces: int | None
    weight_kg: float | None
    owner: str | None
    rev: str | None
    code: str


@frozen_by_name
class ComeBackRow:
    """One line for the foundry to fill in: a core size, a check in the mould, or a remark."""

    kind: str  # core size, check, remark
    step: int | None
    core: int | None
    core_name: str | None
    what: str
    balloon: str | None
    wanted_mm: float | None
    lower_mm: float | None
    upper_mm: float | None


@frozen_by_name
class ComeBack:
    """What comes back from the foundry, by hand or as a small CSV with these columns."""

    job: str
    name: str
    drawing: str | None
    rev: str | None
    rows: tuple[ComeBackRow, ...]
    columns: tuple[str, ...] = (
        "job",
        "rev",
        "kind",
        "core",
        "what",
        "balloon",
        "wanted_mm",
        "lower_mm",
        "upper_mm",
        "casting",
        "read_mm",
        "by",
        "remark",
    )
