"""What the foundry leaves open in the sizes of the next casting: how parts sit, sand, held back insides, all together.

Out of the network of the job's faces: a core that carries another takes it along, faces that two sizes share move both,
and the sand between two faces grows with how far they are apart. The contraction that was planned and the tools have
doubts of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.doubts import Doubt
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.shop.common.geometry.job import of_features

KIND = "sand and seating of one casting"
LEAST_MM = 1e-6  # of a doubt: below this it is nothing
NOTHING_MM = 1e-9  # a prior that is told elsewhere


def doubts_of(
    job: Job, features: Sequence[Feature], number_of: Mapping[Id, int], fits: Sequence[Fit], parting_axis: str = "z"
) -> dict[str, tuple[Doubt, ...]]:
    """For each size, by balloon, the errors of the next casting in it, with signs; the same key is the same error.

    Sizes that are no distance of two faces are left out, and all of them where the faces contradict each other.
    `number_of`: core numbers by the id of any version. mm.
    """
    import numpy as np

    from inspect_tui.metrology.faces.adjust import Priors, adjust

    priors = Priors(tool_face=NOTHING_MM, contraction=NOTHING_MM, growth=NOTHING_MM)
    try:
        network = of_features(job, features, number_of, fits, parting_axis).cast
        if network is None:
            return {}
        whole = adjust(network, (), priors)
    except DataError:
        return {}
    cov = whole.covariance([face.name for face in network.faces], "the next casting")
    values, vectors = np.linalg.eigh(cov)
    loads = network.incidence() @ (vectors * np.sqrt(np.maximum(values, 0.0)))
    return {
        size.name: tuple(Doubt(f"casting {k}", KIND, float(u)) for k, u in enumerate(row) if abs(float(u)) > LEAST_MM)
        for size, row in zip(network.sizes, loads, strict=True)
    }
