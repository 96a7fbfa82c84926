"""Which points of a blend to fire when only some can be: those that tell most about the rest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal

#: What a tile leaves open, of the typical doubt (sd) there is before it: another coat, another
#: place in the kiln, another eye; our choice.
TILE_NOISE = 0.25
#: Times that every tile may make room for a better one; it settles in two or three.
_PASSES = 5


@dataclass(frozen=True, eq=False)
class Tiles:
    """Points to fire, the most telling first, and the share of all doubt (variance, summed over
    the points) that is left after each."""

    chosen: tuple[int, ...]
    doubt_left: tuple[float, ...]


def covariance_of(margins: Sequence[Array]) -> Array:
    """Covariance (K, P, K, P) of K margins, each drawn n times at P points (P, n), each in units of
    its typical (median) sd, so that all count alike. A margin without doubt does not count."""
    scaled = []
    for margin in margins:
        away = margin - margin.mean(axis=1, keepdims=True)
        typical = float(np.median(away.std(axis=1)))
        scaled.append(away / typical if typical > 0.0 else np.zeros_like(away))
    x = np.stack(scaled)
    return np.asarray(np.einsum("kpn,lqn->kplq", x, x, optimize=True) / x.shape[-1])


def choose(covariance: Array, count: int, noise: float = TILE_NOISE) -> Tiles:
    """``count`` of P points whose tiles together leave the least summed variance of all margins
    (K, P, K, P). A tile shows all K margins of its point, each with ``noise`` (sd).

    Greedy: the next tile is the one that lowers it most; then each is exchanged while that helps;
    the order comes from a second greedy choice among them. Raises QuantityError for fewer than one
    or more than all.
    """
    size = covariance.shape[1]
    if not 1 <= count <= size:
        raise refusal("impossible-tiles", count=count, size=size)
    doubt = _Doubt(covariance, noise)
    before = doubt.left
    chosen: list[int] = []
    for _ in range(count):
        chosen.append(doubt.take(range(size), chosen))
    for _ in range(_PASSES):
        tried = list(chosen)
        for k in range(count):
            doubt.forget(tried[k])
            tried[k] = doubt.take(range(size), tried[:k] + tried[k + 1 :])
        if tried == chosen:
            break
        chosen = tried
    doubt = _Doubt(covariance, noise)
    order: list[int] = []
    left: list[float] = []
    for _ in range(count):
        order.append(doubt.take(chosen, order))
        left.append(doubt.left / before if before > 0.0 else 0.0)
    return Tiles(tuple(order), tuple(left))


class _Doubt:
    """What is still open at all points while tiles are taken and given back."""

    def __init__(self, covariance: Array, noise: float) -> None:
        self._kinds, size = covariance.shape[:2]
        self._flat = covariance.reshape(self._kinds * size, self._kinds * size).copy()
        self._rows = np.arange(self._kinds) * size + np.arange(size)[:, None]  # (P, K)
        self._noise = noise**2 * np.eye(self._kinds)

    @property
    def left(self) -> float:
        """Variance summed over all margins of all points."""
        return float(np.trace(self._flat))

    def take(self, among: Iterable[int], taken: Sequence[int]) -> int:
        """Fire the most telling point of some that is not taken, and learn from it."""
        rows = self._rows
        seen = self._flat[rows[:, :, None], rows[:, None, :]] + self._noise
        moves = self._flat[rows]  # (P, K, all)
        gained = np.einsum("pij,pji->p", np.linalg.inv(seen), moves @ moves.transpose(0, 2, 1))
        best = max((p for p in among if p not in taken), key=lambda p: float(gained[p]))
        self._flat -= moves[best].T @ np.linalg.solve(seen[best], moves[best])
        return int(best)

    def forget(self, point: int) -> None:
        """Remove a tile: condition on it again with negative noise."""
        rows = self._rows[point]
        moves = self._flat[rows]
        seen = self._flat[np.ix_(rows, rows)] - self._noise
        self._flat -= moves.T @ np.linalg.solve(seen, moves)
