"""Glazes on one clay between shivering and crazing, as SVG: a strip with a marker for each."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.answers.results.fit import FitAnswer
from cofire.show import drawing as draw
from cofire.show.drawing import GREY, INK, PALE, PAPER, RUST, Mark, Path, Words
from cofire.show.pictures.crackle import NET_HEIGHT, net_panel
from cofire.show.pictures.panels import (
    CRACKLE_HEIGHT,
    WAY_HEIGHT,
    WIDTH,
    cooling_panel,
    crackle_panels,
)
from cofire.show.terminal import signed

_LEFT, _TOP, _ROW = 40.0, 66.0, 78.0
SPAN_MPA = 180.0
_X = draw.Axis(-SPAN_MPA, SPAN_MPA, _LEFT, WIDTH - _LEFT)
ZONES = (
    ("edges could shiver", "#b48ead"),
    ("sits", PALE),
    ("crazes by the horizon", "#b9d7d9"),
    ("crazes at once", "#6fa8ad"),
)


def strip_svg(answers: Sequence[FitAnswer]) -> str:
    """One row for each glaze; the axis is stress in the coat, tension to the right."""
    marks = draw.head(
        _LEFT, 28, f"On {answers[0].body.name}",
        "stress in the coat, MPa, + is tension; bar: 90 % of what is likely; ticks: published "
        "expansions, and nets by mm; uncalibrated",
    )  # fmt: skip
    for k, answer in enumerate(answers):
        name = Words(
            _LEFT, _TOP + _ROW * k + 12.0, f"{answer.recipe.name}, {answer.recipe.surface}"
        )
        marks += [name, *strip_row(answer, _X, _TOP + _ROW * k)]
    base = _TOP + _ROW * len(answers) + 14.0
    marks += draw.along(_X, base, [(v, signed(v)) for v in range(-150, 151, 50)], colour=GREY)
    marks += draw.key(
        _LEFT, base + 33.0, ((words, draw.swatch(colour)) for words, colour in ZONES), 195
    )
    height, one = base + 70.0, answers[0]
    if len(answers) == 1 and (net := net_panel(one, height)):
        marks += net
        height += NET_HEIGHT
    if len(answers) == 1 and one.way_down is not None and len(one.way_down.temperature_c) > 3:
        marks += cooling_panel(one.way_down, one.strip_mpa, height)
        height += WAY_HEIGHT
    if len(answers) == 1 and one.air_and_smoke is not None:
        marks += crackle_panels(one.air_and_smoke, height)
        height += CRACKLE_HEIGHT
    return draw.svg_file(
        draw.Picture(WIDTH, height, tuple(marks), "glazes between shivering and crazing")
    )


def strip_row(answer: FitAnswer, at: draw.Axis, top: float) -> list[Mark]:
    """The strip of one glaze along an axis of MPa: zones, nets, published tables, and where it
    lies."""
    strip, stress = answer.strip_mpa, answer.stress_mpa
    starts = (strip.crazes_by_horizon_from, strip.crazes_at_once_from)
    edges = [at.low, strip.shivers_below, *starts, at.high]
    marks: list[Mark] = [
        Path(draw.box(at(low), top + 20.0, max(at(high) - at(low), 0.0), 26.0), fill=colour)
        for (_, colour), low, high in zip(ZONES, edges[:-1], edges[1:], strict=True)
    ]
    room = 0.0
    for mm, mpa in strip.cracks_apart_mm:
        x = at(mpa)
        if mpa < at.high and x >= room:
            room = x + 40.0
            marks.append(Words(x, top + 60.0, f"{mm:g} mm", 11.0, "middle"))
            marks.append(Path(draw.upright(x, top + 40.0, top + 48.0), stroke=INK, width=1.5))
    for name, mpa in strip.published_tables.items():
        tick = draw.upright(at(mpa), top + 20.0, top + 27.0)
        marks.append(Path(tick, stroke=INK, width=1.5, says=name))
    bar, y = draw.level(at(stress.low), at(stress.high), top + 34.0), top + 34.0
    marks.append(Path(bar, stroke=RUST, width=7.0))
    middle = draw.ellipse(at(stress.value), y, 6.0)
    marks.append(Path(middle, PAPER, RUST, 3.0, kind="middle"))
    for beyond, x, way in (
        (stress.low < at.low, at.start, -1.0),
        (stress.high > at.high, at.end, 1.0),
    ):
        if beyond:  # an arrow: it goes on beyond the scale
            tip = ((x, y - 9.0), (x + 14.0 * way, y), (x, y + 9.0))
            marks.append(Path(draw.polygon(tip), RUST, kind="off", says="goes on beyond the scale"))
    return marks
