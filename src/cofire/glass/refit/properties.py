"""Properties that are one number per glass: their rows, kin and fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.errors import refusal
from cofire.glass.estimate import unsure
from cofire.glass.refit.grounds import Grounds
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.landmarks import Landmarks
from cofire.glass.refit.measured import Measured, Rows
from cofire.glass.refit.solve import FOLDS, Design, Unseen, calibrate, fold_of, low_rank

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
#: Fewer rows than this, or publications than folds, fit nothing.
_LEAST = 100
#: Model unit: what makes the spread of each property a few units, so that one penalty serves all.
MODEL_UNIT = {
    "expansion": 1.0, "glass_transition": 100.0, "strain": 100.0, "annealing": 100.0,
    "littleton": 100.0, "dilatometric": 100.0, "youngs": 10.0, "density": 0.3, "liquidus": 100.0,
}  # fmt: skip


def range_terms(x: Array, about_c: Array) -> Array:
    """How a mean expansion moves with the middle of its range: (N, 24), zero at 160 °C."""
    t = (about_c - 160.0)[:, None] / 100.0
    return np.concatenate([t, t**2, 3.0 * t * x], axis=1)


def own_rows(target: Target, measured: Measured) -> Rows:
    """The property's own rows. Raises CofireError if they are too few."""
    data = measured.rows(target.file, target.column, kind=target.kind, extra=target.extra)
    refuse_too_few(target.name, data.group)
    return data


def refuse_too_few(name: str, group: Any) -> None:
    """Raise CofireError if the rows of publications ``group`` (N,) are too few to fit."""
    publications = len(set(group.tolist()))
    if len(group) < _LEAST or publications < FOLDS:
        raise refusal(
            "too-few-rows", rows=len(group), publications=publications, name=name, least=_LEAST,
            folds=FOLDS,
        )  # fmt: skip


def design_of(target: Target, grounds: Grounds, landmarks: Landmarks | None = None) -> Design:
    """Columns of the property's own rows, then those of its kin with their differences; with the
    landmarks of all glasses unless others are given."""
    landmarks = landmarks or grounds.all
    data = own_rows(target, grounds.measured)
    unit = MODEL_UNIT[target.name]
    blocks = [landmarks.columns(data.x)]
    if target.extra:
        blocks.append(range_terms(data.x, data.extra))
    own = np.concatenate(blocks, axis=1)
    n_own, n_difference = own.shape[1], 1 + len(MODELLED)
    n_all = n_own + n_difference * len(target.kin)
    columns = [np.pad(own, ((0, 0), (0, n_all - n_own)))]
    y, group, worth = [(target.scale * data.y + target.shift) / unit], [data.group], []
    worth.append(np.ones(len(data.y)))
    known = {(g, *np.round(v, 4)) for g, v in zip(data.group, data.x, strict=True)}
    penalty = landmarks.penalty(n_all)
    for k, kin in enumerate(target.kin):
        more = grounds.measured.rows(kin.file, kin.column, kind=kin.kind)
        if kin is _ANY_RANGE:  # that file holds the rows of the better one again
            new = [
                (g, *np.round(v, 4)) not in known for g, v in zip(more.group, more.x, strict=True)
            ]
            more = more.only(np.array(new, bool))
        at = n_own + n_difference * k
        block = np.zeros((len(more.y), n_all))
        shared = landmarks.columns(more.x)
        block[:, : shared.shape[1]] = shared
        block[:, at : at + n_difference] = np.column_stack([np.ones(len(more.y)), more.x])
        penalty[at : at + n_difference] = KIN_PENALTY
        penalty[at] = 1e-6
        columns.append(block)
        y.append((kin.scale * more.y + kin.shift) / unit)
        group.append(more.group)
        worth.append(np.full(len(more.y), kin.worth))
    return Design(
        np.concatenate(columns),
        np.concatenate(y),
        np.concatenate(group),
        np.concatenate(worth),
        penalty,
        len(data.y),
    )


def predict_unseen(target: Target, data: Rows, grounds: Grounds) -> Unseen:
    """Predict the property's own rows, each from landmarks and a fit that saw nothing of its
    publication; in model units."""
    out = Unseen.none(len(data.y))
    fold = fold_of(data.group)
    for k, landmarks in enumerate(grounds.of_fold):
        left = np.flatnonzero(fold == k)
        if not len(left):
            continue
        design = design_of(target, grounds, landmarks)
        coefficients, covariance = design.fit(fold_of(design.group) != k)
        b = design.columns[left]
        out.value[left] = b @ coefficients
        out.variance[left] = ((b @ covariance) * b).sum(1)
        out.apart[left] = landmarks.apart(data.x[left])
    return out


def fit_target(target: Target, grounds: Grounds) -> tuple[dict[str, Array], list[Judged]]:
    """Coefficients and calibrated doubt of one property as arrays to be stored, and how its
    unseen rows came out."""
    data = own_rows(target, grounds.measured)
    unit = MODEL_UNIT[target.name]
    design = design_of(target, grounds)
    fitted, covariance = design.fit()
    unseen = predict_unseen(target, data, grounds)
    y = design.y[: design.n]
    n_basis = grounds.sample.shape[1]
    n_kept = n_basis + (2 + len(MODELLED) if target.extra else 0)
    factor, missed = low_rank(covariance[:n_basis, :n_basis], grounds.sample)
    out = {
        "weights": unit * grounds.all.weights(fitted[:n_kept]),
        "factor": unit * grounds.all.weights(factor),
        "missed": np.array([unit**2 * missed]),
    }
    parts = {"": np.ones(len(y), bool)}
    if target.extra:
        parts = {"": np.abs(data.extra - 160.0) < 1.0, "_20_400": np.abs(data.extra - 210.0) < 1.0}
    judged = []
    for suffix, part in parts.items():
        refuse_too_few(target.name + suffix, data.group[part])
        terms = unsure(data.x[part], unseen.apart[part])
        width = calibrate((y - unseen.value)[part], unseen.variance[part], data.group[part], terms)
        out[f"width{suffix}"] = width.stored(unit)
        judged.append(
            Judged(
                target.name + suffix,
                data.x[part],
                unit * y[part],
                unit * unseen.value[part],
                unit * width.scale(unseen.variance[part], terms),
                width.q,
                data.group[part],
                data.core[part],
                unseen.apart[part],
            )
        )
        print(judged[-1].line(), flush=True)
    return out, judged
