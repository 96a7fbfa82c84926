"""A firing with glazes lying on it like coats on a wall, a pot with its overlap, and the strip of a
glaze: the parts of one picture, each as wide as it is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.firing import Track
from cofire.answers.results.fit import FitAnswer
from cofire.answers.results.pair import InFiring, PairAnswer
from cofire.arrays import Array
from cofire.firing.history import ware as ware_of
from cofire.model.schedule import kiln_history, leavings, planned, ware_c
from cofire.read.units import fahrenheit
from cofire.records import Firing
from cofire.show import drawing as draw
from cofire.show.drawing import GREY, INK, PAPER, RUST, Mark, Path, Words
from cofire.show.pictures.firing import FILL
from cofire.show.pictures.strip import SPAN_MPA, strip_row
from cofire.show.terminal import clock, signed
from cofire.words import percent

_CHART, _COAT, _GAP, _LIFT = 330.0, 40.0, 12.0, 12.0
#: Points of a curve: as many as a screen shows.
_POINTS = 400
#: How wide a bold letter of 14 units is, about.
_LETTER = 7.6
#: Two grips stand at least so far apart: WCAG 2.2, 2.5.8 asks for 24 px, a wet finger for more.
_FINGER = 44.0
#: The pot that is drawn, mm, and how many units a millimetre takes.
_POT_MM, _UNITS = 110.0, 2.2
#: Clay where it is bare.
CLAY = "#e3c4a4"
#: Two glazes on one pot: different in lightness, and the second is dotted by its overlap.
COATS = ("#b9c9c2", "#7f9a96", "#a89fb0", "#c4b48a")


@dataclass(frozen=True)
class Grip:
    """A place of the picture that can be taken hold of: which number of the firing it moves, across
    or up, and by how much for a unit of the picture."""

    path: str
    x: float
    y: float
    stem: float  # how far above it the curve is
    across: bool
    per_unit: float
    value: float
    low: float
    high: float
    unit: str
    says: str


@dataclass(frozen=True)
class Along:
    """A firing that is drawn: where its curve lies."""

    picture: draw.Picture
    grips: tuple[Grip, ...]


def along_firing(answer: PairAnswer, tracks: Sequence[Track], width: float) -> Along:
    """The firing with its glazes, ``width`` units wide."""
    firing = answer.firing
    past = kiln_history(firing)
    ware = ware_c(firing, answer.at.wall_mm)
    narrow = width < 620.0
    left, right = (44.0, width - 22.0) if narrow else (62.0, width - 88.0)
    top = 16.0 + len(tracks) * (_COAT + _GAP) + _LIFT
    top_c = 100.0 * float(np.ceil((max(past.air_c.max(), ware.max()) + 10.0) / 100.0))
    x = draw.Axis(0.0, float(past.time_s[-1] / 60.0), left, right)
    y = draw.Axis(0.0, top_c, top + _CHART, top)
    minutes = past.time_s / 60.0
    at_x, at_y, at_air = x(minutes), y(ware), y(past.air_c)
    kept = _corners(at_x, at_y)
    curve = draw.points(at_x[kept], at_y[kept])
    marks: list[Mark] = [
        Path(draw.polygon([*curve, (right, y.start), (left, y.start)]), fill="#f3e2cf"),
        *draw.beside(
            y, left, [(float(c), f"{c} °C" if not narrow else f"{c}°")
                      for c in range(0, int(top_c) + 1, 200)], 13.0, grid=right, colour=GREY,
        ),
        *_clock(x, y, narrow),
    ]  # fmt: skip
    if not narrow:
        for c in range(0, int(top_c) + 1, 200):
            marks.append(Words(right + 28.0, y(c) + 4.0, f"{fahrenheit(c):.0f} °F", colour=GREY))
    shown = _corners(at_x, at_air)
    air = draw.points(at_x[shown], at_air[shown])
    marks.append(Path(draw.line(air), stroke="#c9a06a", width=1.2))
    openings = leavings(firing, past)
    shut = planned(firing) if firing.pulls else past  # coats lie smooth where the lid goes up
    shut_c = ware_of(shut, answer.at.wall_mm) + firing.kiln.reads_off_c
    smooth = _corners(x(shut.time_s / 60.0), y(shut_c))
    wall = (shut.time_s[smooth] / 60.0, shut_c[smooth])
    for layer, (glaze, along) in enumerate(zip(answer.glazes, tracks, strict=True)):
        lift = _LIFT + layer * (_COAT + _GAP)
        marks += _coat(glaze, along, (x, y), wall, lift, [one.at_min for one in openings])
    marks.append(Path(draw.line(curve), stroke=RUST, width=2.6))
    for opening in openings:
        celsius = float(np.interp(60.0 * opening.at_min, past.time_s, ware))
        said = "; ".join(_then(one, along, opening.at_min)
                         for one, along in zip(answer.glazes, tracks, strict=True))  # fmt: skip
        says = f"{opening.name} at {clock(opening.at_min)}: {said}"
        marks += _pull(x(opening.at_min), y(celsius), y.start, says)
    if openings:
        last = openings[-1]
        marks.append(
            Words(min(x(last.at_min), right - 4.0), y.start - 8.0, f"{len(openings)} pulls"
                  if len(openings) > 1 else "the pull", 13.0, "end", GREY, halo=True)
        )  # fmt: skip
    height = y.start + 62.0
    signs = [(word, draw.swatch(colour, word == "runs")) for word, colour in FILL.items()]
    marks += draw.key(left, height - 10.0, signs, 92.0)
    says = f"{firing.name}: temperature of the ware over time, with {len(tracks)} glazes along it"
    picture = draw.Picture(width, height, tuple(marks), says)
    return Along(picture, _grips(firing, x, y, ware, past.time_s))


def _clock(x: draw.Axis, y: draw.Axis, narrow: bool) -> list[Mark]:
    most = 5 if narrow else 11
    every = next(s for s in (15, 30, 60, 120, 240, 480, 960, 1920, 3840) if x.high / s <= most)
    hours = [(float(m), clock(m)) for m in range(0, int(x.high) + 1, every)]
    return draw.along(x, y.start + 20.0, hours, colour=GREY)


def _coat(
    glaze: InFiring,
    along: Track,
    at: tuple[draw.Axis, draw.Axis],
    ware: tuple[Array, Array],
    lift: float,
    pulls_min: Sequence[float],
) -> list[Mark]:
    """A glaze as a coat on the curve: from the clay outwards how much of it is under, ripe, and
    running; cut where a pot leaves the kiln with what it has by then."""
    x, y = at
    if not len(along.time_min):
        return []
    # corners of the curve have to be corners of the coat
    hot = (ware[0] >= along.time_min[0]) & (ware[0] <= along.time_min[-1])
    minutes = np.union1d(along.time_min, ware[0][hot])
    places = x(minutes)
    foot = y(np.interp(minutes, *ware)) - lift
    marks: list[Mark] = []
    low = np.zeros(len(minutes))
    for word, fill in FILL.items():
        high = low + np.interp(minutes, along.time_min, getattr(along, word))
        lower = draw.points(places, foot - _COAT * low)
        upper = draw.points(places, foot - _COAT * high)
        if float((high - low).max()) > 0.004:
            area = draw.polygon([*lower, *upper[::-1]])
            marks.append(Path(area, fill, hatched=word == "runs", kind=f"coat-{word}"))
        low = high
    outline, over = draw.points(places, foot), draw.points(places, foot - _COAT)
    marks.append(Path(draw.polygon([*outline, *over[::-1]]), stroke=INK, width=0.8))
    for minute in pulls_min:
        low_y = float(y(np.interp(minute, *ware))) - lift
        marks.append(Path(draw.upright(x(minute), low_y, low_y - _COAT), stroke=PAPER, width=1.2,
                          kind="cut"))  # fmt: skip
    middle = float(np.interp(0.5 * (minutes[0] + minutes[-1]), minutes, places))
    name, half = glaze.recipe.name, 0.5 * _LETTER * len(glaze.recipe.name)
    along_it = np.interp([middle - half, middle, middle + half], places, foot)
    if np.ptp(along_it) < 0.4 * _COAT:
        spot = Words(middle, float(along_it[1]) - 0.5 * _COAT + 5.0, name, 14.0, "middle")
    else:  # beside its cold end, where the coat is not steep
        room = int((places[0] - x.start - 8.0) / _LETTER)
        name = name if len(name) <= room else f"{name[: max(room - 2, 1)]} …"
        spot = Words(float(places[0]) - 8.0, float(foot[0]) - 0.5 * _COAT + 5.0, name, 14.0, "end")
    return [*marks, replace(spot, bold=True, halo=True)]


def _then(glaze: InFiring, along: Track, at_min: float) -> str:
    """What a glaze is at a moment, in words."""
    shares = (f"{percent(float(np.interp(at_min, along.time_min, getattr(along, word))))} {word}"
              for word in FILL)  # fmt: skip
    return f"{glaze.recipe.name} {', '.join(shares)}" if len(along.time_min) else glaze.recipe.name


def _pull(x: float, y: float, foot: float, says: str) -> list[Mark]:
    """A drop that hangs from the curve, and a line to its time."""
    outline = (
        f"M{x:.1f} {y + 2:.1f}C{x + 1.5:.1f} {y + 8:.1f} {x + 5:.1f} {y + 10:.1f} {x + 5:.1f} "
        f"{y + 14:.1f}C{x + 5:.1f} {y + 20:.1f} {x - 5:.1f} {y + 20:.1f} {x - 5:.1f} {y + 14:.1f}"
        f"C{x - 5:.1f} {y + 10:.1f} {x - 1.5:.1f} {y + 8:.1f} {x:.1f} {y + 2:.1f}Z"
    )
    line = Path(draw.upright(x, y + 20.0, foot), stroke=GREY, width=0.6, dash="2 5")
    return [line, Path(outline, "#1f6f78", INK, 0.6, says=says)]


def _grips(
    firing: Firing, x: draw.Axis, y: draw.Axis, ware: Array, time_s: Array
) -> tuple[Grip, ...]:
    """What can be dragged: the target and hold of each segment, the first and last pull."""
    past = planned(firing)
    per_min = (x.high - x.low) / (x.end - x.start)
    per_c = (y.high - y.low) / (y.start - y.end)
    grips = []
    for k, segment in enumerate(firing.segments):
        ends_min, rests_min = past.ramp_end_s[k] / 60.0, past.hold_end_s[k] / 60.0
        middle = 0.5 * (ends_min + rests_min) if rests_min - ends_min > 30.0 * per_min else ends_min
        path = f"firing.segment.{k}"
        target = segment.target_c
        grips.append(
            Grip(f"{path}.target", x(middle), y(target), 0.0, False, per_c, target, 100.0,
                 firing.kiln.top_c, "°C", f"temperature of step {k + 1}")
        )  # fmt: skip
        if segment.hold_min > 0.0 and not any(p.segment == k + 1 for p in firing.pulls):
            celsius = float(np.interp(60.0 * rests_min, time_s, ware))
            grips.append(
                Grip(f"{path}.hold", x(rests_min), y(celsius), 0.0, True, per_min,
                     segment.hold_min, 0.0, max(240.0, 2.0 * segment.hold_min), "min",
                     f"hold of step {k + 1}")
            )  # fmt: skip
    for k, pull in enumerate(firing.pulls):
        start = past.ramp_end_s[pull.segment - 1] / 60.0 + pull.after_min
        last = start + (pull.count - 1) * pull.every_min
        moves = [("after", start, pull.after_min, 1.0, f"first {pull.name}")]
        if pull.count > 1:
            steps = pull.count - 1.0
            moves.append(("every", last, pull.every_min, steps, f"last {pull.name}: minutes apart"))
        for name, at_min, value, steps, says in moves:
            celsius = float(np.interp(60.0 * at_min, time_s, ware))
            grips.append(
                Grip(f"firing.pull.{k}.{name}", x(at_min), y(celsius) + 40.0, 22.0, True,
                     per_min / steps, value, 0.0, max(120.0, 2.0 * value), "min", says)
            )  # fmt: skip
    return _apart(grips)


def _apart(grips: list[Grip]) -> tuple[Grip, ...]:
    """Grips that a finger can tell apart: of two that are near, the later hangs lower."""
    placed: list[Grip] = []
    for grip in grips:
        y = grip.y
        while any(np.hypot(one.x - grip.x, one.y - y) < _FINGER for one in placed):
            y += 4.0
        placed.append(replace(grip, y=y, stem=grip.stem + y - grip.y))
    return tuple(placed)


def _corners(x: Array, y: Array) -> Array:
    """Which points (T,) of a curve are needed to draw it to less than a unit."""
    some = np.unique(np.linspace(0, len(x) - 1, _POINTS).astype(int))
    at = np.stack([x[some], y[some]], axis=1)
    kept = np.zeros(len(at), bool)
    kept[[0, -1]] = True
    while True:  # between two that are kept, the one furthest off their line is kept as well
        ends = np.flatnonzero(kept)
        piece = np.minimum(np.cumsum(kept) - 1, len(ends) - 2)
        start = at[ends[piece]]
        way, inner = at[ends[piece + 1]] - start, at - start
        across = np.abs(inner[:, 0] * way[:, 1] - inner[:, 1] * way[:, 0])
        off = across / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
        furthest = np.maximum.reduceat(off, ends[:-1])[piece]
        more = (off == furthest) & (furthest > 0.8)
        if not more.any():
            return np.asarray(some[ends])
        kept |= more


def strip_picture(fit: FitAnswer, width: float) -> draw.Picture:
    """The strip of one glaze from shivering to crazing, with words for its zones."""
    x = draw.Axis(-SPAN_MPA, SPAN_MPA, 8.0, width - 8.0)
    marks = strip_row(fit, x, -10.0)
    every = 50 if width > 420.0 else 100
    ticks = [(float(v), signed(v)) for v in range(-150 // every * every, 151, every)]
    marks += draw.along(x, 70.0, [t for t in ticks if abs(t[0]) < SPAN_MPA - 10], 12.0, GREY)
    marks.append(Words(8.0, 92.0, "← shivers", 13.0))
    marks.append(Words(width - 8.0, 92.0, "crazes →", 13.0, "end"))
    words = "stress in the coat, MPa" if width > 330.0 else "MPa"
    marks.append(Words(0.5 * width, 92.0, words, 12.0, "middle", GREY))
    low, high = fit.stress_mpa.low, fit.stress_mpa.high
    says = f"{fit.recipe.name}: stress in the coat {low:.0f} to {high:.0f} MPa, + is tension"
    return draw.Picture(width, 98.0, tuple(marks), says)


def pot_picture(answer: PairAnswer) -> draw.Picture:
    """A pot with the glazes on it, the first on the clay; drips as long as they run at the last
    pull, to the scale of the pot."""
    clear_mm = answer.at.criteria.run_limit_mm
    high = _UNITS * _POT_MM
    left, top = 26.0, 16.0
    foot = top + high
    edge = foot - _UNITS * clear_mm
    body = _profile(left, top, high)
    marks: list[Mark] = [Path(draw.polygon(body), CLAY, INK, 1.4)]
    count = len(answer.glazes)
    for k, glaze in enumerate(answer.glazes):
        upper, lower = (top, edge) if count == 1 else _zone(k, count, top, edge)
        marks.append(Path(draw.polygon(_between(body, upper, lower)), COATS[k % 4], kind="glaze"))
        run = _UNITS * glaze.pulls[-1].run_mm.value
        if lower >= edge - 1.0 or run > 0.5:
            marks += _drips(body, lower, run, COATS[k % 4])
    if count == 2 and answer.overlaps:
        over = answer.overlaps[0]
        upper, lower = top + 0.42 * high, top + 0.58 * high
        both = draw.polygon(_between(body, upper, lower))
        marks.append(Path(both, "#5f6f73", hatched=bool(over.runs.max() > 0.2)))
    wide = left + 2.0 * 0.5 * high
    marks.append(Path(draw.level(left, wide, edge), stroke=RUST, width=1.2, dash="4 3"))
    return draw.Picture(wide + left, foot + 20.0, tuple(marks), _pot_words(answer))


def _pot_words(answer: PairAnswer) -> str:
    said = [
        f"{g.recipe.name} runs {g.pulls[-1].run_mm.value:.1f} mm below its edge at the "
        f"{g.pulls[-1].moment}"
        for g in answer.glazes
    ]
    if answer.overlaps:
        said.append(
            f"where they overlap it runs with {percent(float(answer.overlaps[0].runs.max()))}"
        )
    return f"a pot, {_POT_MM:g} mm high: " + "; ".join(said)


def _zone(k: int, count: int, top: float, edge: float) -> tuple[float, float]:
    """Where a layer lies: the first below, the others above it, each over the one before."""
    high = edge - top
    if count == 2:
        return (top + 0.42 * high, edge) if k == 0 else (top, top + 0.6 * high)
    step = high / count
    return edge - step * (k + 1) - 0.15 * step * (k < count - 1), edge - step * k


def _profile(left: float, top: float, high: float) -> list[tuple[float, float]]:
    """A pot seen from the side."""
    down = np.linspace(0.0, 1.0, 49)
    half = high * np.interp(
        down, (0.0, 0.06, 0.16, 0.42, 0.62, 0.86, 0.95, 1.0),
        (0.30, 0.27, 0.30, 0.46, 0.47, 0.31, 0.26, 0.27),
    )  # fmt: skip
    half = np.convolve(np.pad(half, 3, mode="edge"), np.ones(7) / 7.0, "valid")
    middle = left + 0.5 * high
    y = top + high * down
    right = draw.points(middle + half, y)
    return [*right, *draw.points(middle - half[::-1], y[::-1])]


def _between(
    body: list[tuple[float, float]], upper: float, lower: float
) -> list[tuple[float, float]]:
    """The part of the pot between two heights."""
    at = np.array(body[: len(body) // 2])
    y = np.unique(np.concatenate([[upper, lower], at[(at[:, 1] > upper) & (at[:, 1] < lower), 1]]))
    right = np.interp(y, at[:, 1], at[:, 0])
    middle = 0.5 * (body[0][0] + body[-1][0])
    return [*draw.points(right, y), *draw.points(2.0 * middle - right[::-1], y[::-1])]


def _drips(body: list[tuple[float, float]], lower: float, run: float, colour: str) -> list[Mark]:
    """Glaze that has run below its edge, in uneven tongues."""
    if run <= 0.3:
        return []
    across = _between(body, lower - 1.0, lower)
    start, end = across[-2][0] + 3.0, across[1][0] - 3.0
    marks: list[Mark] = []
    lengths = (0.5, 1.0, 0.3, 0.8, 0.6, 1.0, 0.4)
    step = (end - start) / len(lengths)
    for k, share in enumerate(lengths):
        x, long = start + step * (k + 0.5), share * run
        w = 0.36 * step
        tongue = (
            f"M{x - w:.1f} {lower - 1:.1f}L{x + w:.1f} {lower - 1:.1f}C{x + w:.1f} "
            f"{lower + long:.1f} {x + 0.4 * w:.1f} {lower + long:.1f} {x:.1f} {lower + long:.1f}"
            f"C{x - 0.4 * w:.1f} {lower + long:.1f} {x - w:.1f} {lower + long:.1f} {x - w:.1f} "
            f"{lower - 1:.1f}Z"
        )
        marks.append(Path(tongue, colour, kind="drip"))
    return marks


def glaze_colour(layer: int) -> str:
    """How a layer is drawn on the pot."""
    return COATS[layer % len(COATS)]
