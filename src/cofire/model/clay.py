"""A clay as a potter makes it up: silica or grog added, another bisque."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cofire.records import Body

# Rules of the trade turned into numbers, all from memory: directions are sure, sizes are not.

#: What free quartz adds to a mean expansion to 500 °C, 1e-6/K per unit of it: 18.8 for grains, of
#: which a body takes up between these.
_QUARTZ_1E6_PER_K = (8.4, 15.9)
#: Grog was fired hotter than the bisque: this much of its quartz has dissolved, and it is this much
#: less soft and takes up this much less moisture than the clay around it.
_GROG_SPENT = 0.5
#: Degrees of hotter bisque that make moisture expansion and pores smaller, and a body stiffer, by a
#: factor of e.
_MOISTURE_C, _PORES_C, _STIFF_C = 150.0, 300.0, 300.0
#: From here on quartz dissolves, and some of it becomes cristobalite: shares of it for each degree.
_SILICA_CHANGES_C, _DISSOLVES, _BECOMES_CRISTOBALITE = 1100.0, 1.0 / 400.0, 1.0 / 600.0


def as_made(body: Body) -> Body:
    """The body with its additions and bisque worked into its ranges.

    What was measured stays: a dilatometer's curve and measured steps are of the clay as it is.
    """
    silica, grog = body.silica_added_percent, body.grog_added_percent
    hotter = 0.0 if body.bisque_c is None else body.bisque_c - body.kind_bisque_c
    if not (silica or grog or hotter):
        return body
    changed = body
    if silica:
        changed = _with_silica(changed, silica / (100.0 + silica))
    if grog:
        changed = _with_grog(changed, grog / (100.0 + grog))
    if hotter:
        changed = _bisqued(changed, body.kind_bisque_c, hotter)
    return replace(
        changed, silica_added_percent=0.0, grog_added_percent=0.0, kind_bisque_c=body.bisque_c
        if body.bisque_c is not None else body.kind_bisque_c, bisque_c=None,
    )  # fmt: skip


def fired_to(body: Body, peak_c: float) -> Body:
    """The clay once it has been at ``peak_c``: a firing hotter than a soft bisque makes up for it,
    up to the usual bisque of its kind, whose ranges are those of ware that was glazed since; our
    choice."""
    made_up_c = min(peak_c, body.kind_bisque_c)
    if body.bisque_c is None or body.bisque_c >= made_up_c:
        return body
    return replace(body, bisque_c=made_up_c)


def _times(pair: tuple[float, float], factor: float) -> tuple[float, float]:
    return pair[0] * factor, pair[1] * factor


def _with_silica(body: Body, share: float) -> Body:
    low, high = _times(body.alpha_1e6_per_k, 1.0 - share)
    quartz = _times(body.free_quartz_percent, 1.0 - share)
    return replace(
        body,
        alpha_1e6_per_k=(low + share * _QUARTZ_1E6_PER_K[0], high + share * _QUARTZ_1E6_PER_K[1]),
        free_quartz_percent=(quartz[0] + 100.0 * share, quartz[1] + 100.0 * share),
    )


def _with_grog(body: Body, share: float) -> Body:
    less = 1.0 - _GROG_SPENT * share
    moisture = body.moisture_expansion_percent
    return replace(
        body,
        free_quartz_percent=_times(body.free_quartz_percent, less),
        youngs_modulus_gpa=_times(body.youngs_modulus_gpa, less),
        moisture_expansion_percent=moisture and _times(moisture, less),
        work_ratio=_times(body.work_ratio, 1.0 + 2.0 * share),
    )


def _bisqued(body: Body, usual_c: float, hotter: float) -> Body:
    def over(c: float) -> float:
        return max(c - _SILICA_CHANGES_C, 0.0)

    pores, moisture = body.open_porosity_percent, body.moisture_expansion_percent
    changes = over(usual_c + hotter) - over(usual_c)
    low, high = body.free_quartz_percent
    turned = float(np.clip(changes * _BECOMES_CRISTOBALITE, 0.0, 0.5))
    left = float(np.clip(1.0 - changes * _DISSOLVES, 0.1, 1.5)) - turned
    old = body.free_cristobalite_percent
    return replace(
        body,
        free_quartz_percent=(low * max(left, 0.0), high * max(left, 0.0)),
        free_cristobalite_percent=(old[0], old[1] + turned * high),
        moisture_expansion_percent=moisture
        and _times(moisture, float(np.exp(-hotter / _MOISTURE_C))),
        open_porosity_percent=pores and _times(pores, float(np.exp(-hotter / _PORES_C))),
        youngs_modulus_gpa=_times(body.youngs_modulus_gpa, float(np.exp(hotter / _STIFF_C))),
    )
