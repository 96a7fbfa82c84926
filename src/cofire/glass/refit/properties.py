"""Properties that are one number per glass: their rows, kin and fits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import basis
from cofire.glass.estimate import low_fire
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.landmarks import penalty
from cofire.glass.refit.measured import Rows, rows
from cofire.glass.refit.solve import Design, calibrate, cross_validate, low_rank

#: Penalty on how a kindred property differs from the one that is fitted; by cross-validation.
KIN_PENALTY = 0.05


@dataclass(frozen=True, eq=False)
class Kin:
    """A property that moves with another one, apart from a difference linear in composition."""

    file: str
    column: str
    scale: float
    worth: float  # of a row beside one of the property itself; by cross-validation
    shift: float = 0.0
    kind: str = ""


@dataclass(frozen=True, eq=False)
class Target:
    """A property with a model of its own: where its rows are and how they are scaled."""

    name: str
    file: str
    column: str
    scale: float  # engine unit = scale × measured unit + shift
    shift: float = 0.0
    kind: str = ""
    extra: str = ""
    kin: tuple[Kin, ...] = ()


_ANY_RANGE = Kin("expansion_any_range", "cte_1e6_per_K", 1.0, 0.3)
_STRAIN = Kin("fixed_points", "t_c", 1.0, 0.7, kind="strain")
_ANNEALING = Kin("fixed_points", "t_c", 1.0, 0.7, kind="annealing")
_CALORIMETER = Kin("tg", "Tg_K", 1.0, 0.3, shift=-273.15)

TARGETS = (
    Target("expansion", "expansion", "alpha_1e7_per_K", 0.1, extra="about_c", kin=(_ANY_RANGE,)),
    Target("glass_transition", "tg", "Tg_K", 1.0, -273.15),
    Target("strain", "fixed_points", "t_c", 1.0, kind="strain", kin=(_ANNEALING, _CALORIMETER)),
    Target("annealing", "fixed_points", "t_c", 1.0, kind="annealing", kin=(_STRAIN, _CALORIMETER)),
    Target("littleton", "fixed_points", "t_c", 1.0, kind="littleton_softening"),
    Target(
        "dilatometric",
        "fixed_points",
        "t_c",
        1.0,
        kind="dilatometric_softening",
        kin=(_ANNEALING, _CALORIMETER),
    ),
    Target("youngs", "young", "E_GPa", 1.0),
    Target("density", "density", "g_per_cm3", 1.0),
    Target("liquidus", "liquidus", "t_c", 1.0),
)
#: Model unit: what makes the spread of each property a few units, so that one penalty serves all.
MODEL_UNIT = {
    "expansion": 1.0, "glass_transition": 100.0, "strain": 100.0, "annealing": 100.0,
    "littleton": 100.0, "dilatometric": 100.0, "youngs": 10.0, "density": 0.3, "liquidus": 100.0,
}  # fmt: skip


def range_terms(x: Array, about_c: Array) -> Array:
    """How a mean expansion moves with the middle of its range: (N, 24), zero at 160 °C."""
    t = (about_c - 160.0)[:, None] / 100.0
    return np.concatenate([t, t**2, 3.0 * t * x], axis=1)


def design_of(target: Target, data: Rows, landmarks: Array, every: int) -> Design:
    """Columns of the property's own rows, then those of its kin with their differences."""
    unit = MODEL_UNIT[target.name]
    blocks = [basis(data.x, landmarks)]
    if target.extra:
        blocks.append(range_terms(data.x, data.extra))
    own = np.concatenate(blocks, axis=1)
    n_own, n_difference = own.shape[1], 1 + len(MODELLED)
    n_all = n_own + n_difference * len(target.kin)
    columns = [np.pad(own, ((0, 0), (0, n_all - n_own)))]
    y, group, worth = [(target.scale * data.y + target.shift) / unit], [data.group], []
    worth.append(np.ones(len(data.y)))
    known = {(g, *np.round(v, 4)) for g, v in zip(data.group, data.x, strict=True)}
    for k, kin in enumerate(target.kin):
        more = rows(kin.file, kin.column, kind=kin.kind, every=every)
        if kin is _ANY_RANGE:  # that file holds the rows of the better one again
            new = [
                (g, *np.round(v, 4)) not in known for g, v in zip(more.group, more.x, strict=True)
            ]
            more = Rows(more.x[new], more.y[new], more.group[new], more.core[new], more.extra[new])
        block = np.zeros((len(more.y), n_all))
        shared = basis(more.x, landmarks)
        block[:, : shared.shape[1]] = shared
        at = n_own + n_difference * k
        block[:, at : at + n_difference] = np.column_stack([np.ones(len(more.y)), more.x])
        columns.append(block)
        y.append((kin.scale * more.y + kin.shift) / unit)
        group.append(more.group)
        worth.append(np.full(len(more.y), kin.worth))
    ridge = penalty(landmarks, n_all - len(penalty(landmarks)))
    for k in range(len(target.kin)):
        at = n_own + n_difference * k
        inner = slice(at, at + n_difference)
        ridge[inner, inner] = KIN_PENALTY * np.eye(n_difference)
        ridge[at, at] = 1e-6
    return Design(
        np.concatenate(columns),
        np.concatenate(y),
        np.concatenate(group),
        np.concatenate(worth),
        ridge,
        len(data.y),
    )


def fit_target(
    target: Target, landmarks: Array, sample: Array, every: int = 1
) -> tuple[dict[str, Array], list[Judged]]:
    """Coefficients and calibrated doubt of one property as arrays to be stored, and how its
    unseen rows came out."""
    data = rows(target.file, target.column, kind=target.kind, extra=target.extra, every=every)
    unit = MODEL_UNIT[target.name]
    design = design_of(target, data, landmarks, every)
    coefficients, covariance = design.fit()
    unseen = cross_validate(design)
    y = design.y[: design.n]
    n_basis = sample.shape[1]
    n_kept = n_basis + (2 + len(MODELLED) if target.extra else 0)
    factor, missed = low_rank(covariance[:n_basis, :n_basis], sample)
    out = {
        "weights": unit * coefficients[:n_kept],
        "factor": unit * factor,
        "missed": np.array([unit**2 * missed]),
    }
    parts = {"": np.ones(len(y), bool)}
    if target.extra:
        parts = {"": np.abs(data.extra - 160.0) < 1.0, "_20_400": np.abs(data.extra - 210.0) < 1.0}
    judged = []
    for suffix, part in parts.items():
        low = low_fire(data.x[part])
        width = calibrate((y - unseen.value)[part], unseen.variance[part], data.group[part], low)
        out[f"width{suffix}"] = width.stored(unit)
        judged.append(
            Judged(
                target.name + suffix,
                data.x[part],
                unit * y[part],
                unit * unseen.value[part],
                unit * width.scale(unseen.variance[part], low),
                width.q,
                data.group[part],
                data.core[part],
            )
        )
        print(judged[-1].line(), flush=True)
    return out, judged
