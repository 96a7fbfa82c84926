"""The words of printed sheets, the same for HTML and PDF."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from numpy import interp

from cofire.answers.batch.records import Bucket, Load, Need, Pack, Sheet, Water
from cofire.answers.batch.scale import Units
from cofire.answers.batch.scale import shown_words as shown_words
from cofire.answers.batch.water import measure_ml, most_ml
from cofire.answers.firing import OPEN_C, FiringAnswer, firing_answer
from cofire.files.library import Library
from cofire.findings import SEVERITIES
from cofire.model.conditions import Conditions
from cofire.model.cooling import smoke_words
from cofire.read.units import fahrenheit, show_temperature
from cofire.records import SIGNS, Caution
from cofire.show.amounts import bulk, money
from cofire.show.drawing import Axis, Picture
from cofire.show.pictures.firing import temperature_chart
from cofire.show.sheets.pictograms import ACT_SIGNS, SIGN_WORDS, in_order
from cofire.show.terminal import clock
from cofire.words import counted
from cofire.words import volume as volume  # both sheets ask for words here

#: What a batch takes for granted, by the codes of the findings that say so.
_ASSUMED = ("buckets-assumed", "scale-carries")
SDS = "The supplier's safety data sheet, local codes and your school's rules come before this page."
NOT_FOR_FOOD = "NOT FOR FOOD OR DRINK"
#: Labels for one glaze's tiles if not given how many people there are: two rows; our choice.
TILES = 8
_TILES_MOST = 24


def weight(gram: Decimal, sheet: Sheet) -> str:
    """A weight as this sheet's scale shows it, with its unit."""
    return f"{shown_words([gram], sheet.units, sheet.scale_g)[1][0]} {sheet.shown_unit}".rstrip()


def weights(sheet: Sheet, bucket: Bucket) -> tuple[list[str], list[str]]:
    """What to weigh into a bucket, and what the scale then shows, line by line."""
    return sheet.shown(bucket)


def parts(bucket: Bucket) -> tuple[tuple[int, str], ...]:
    """Rows before which something else begins, and what."""
    lines, said = bucket.weighings, dict[int, str]()
    for k in range(1, len(lines)):
        if lines[k].bowl != lines[k - 1].bowl:
            said[k] = "empty it into the bucket, scale to zero"
    if (first := bucket.additions_from) is not None:
        said[first] = "; ".join(filter(None, (said.get(first), "additions, after all of the base")))
    return tuple(said.items())


def about(sheet: Sheet) -> str:
    """The line under the name."""
    n = len(sheet.buckets)
    buckets = "" if n == 1 else f"{n} buckets, "
    dry = f"{weight(sheet.dry_g, sheet)} dry in all"
    return f"{sheet.recipe.surface}: {sheet.asked}; {buckets}{dry}"


def waters(sheet: Sheet) -> list[tuple[Water, tuple[str, ...], tuple[str, ...]]]:
    """For each way to apply: its density and note, then water and slurry for each bucket, or once
    where buckets are alike."""
    most = most_ml(sheet.buckets)
    rows = [
        (
            water,
            tuple(volume(b.waters[k].water_ml, most) for b in sheet.buckets),
            tuple(volume(b.waters[k].slurry_ml, most) for b in sheet.buckets),
        )
        for k, water in enumerate(sheet.buckets[0].waters)
    ]
    # a jug does not tell what a step of the scale more or less asks for
    alike = all(len(set(amounts)) == len(set(made)) == 1 for _, amounts, made in rows)
    return [(w, a[:1], m[:1]) for w, a, m in rows] if alike else rows


def measure(sheet: Sheet) -> str:
    """What of the slurry is weighed: “a litre weighs”, or “100 ml weigh” of a small batch."""
    return "a litre weighs" if measure_ml(sheet.buckets) == 1000.0 else "100 ml weigh"


def measured(sheet: Sheet, water: Water) -> str:
    """“1450 g (1.45)”: what the measure of slurry weighs, and its density."""
    grams = measure_ml(sheet.buckets) * water.density_g_per_ml
    return f"{grams:.0f} g ({water.density_g_per_ml:.2f})"


def not_for_food(sheet: Sheet) -> bool:
    """Whether a caution of the glaze speaks against using it for food; a request for a test does
    not."""
    return any("using" in c.act and c.severity != "note" for c, _ in sheet.cautions)


def sheet_cautions(pack: Pack, sheet: Sheet) -> list[tuple[Caution, tuple[str, ...]]]:
    """Those of the glaze; where there is no cover and no firing card, those of the process too."""
    cautions = glaze_cautions(pack, sheet)
    if not has_cover(pack):
        known = {c.code for c, _ in [*cautions, *firing_cautions(pack)]}
        cautions += [(c, ()) for c in pack.cautions if c.code not in known]
    return _gravest_first(cautions)


def glaze_cautions(pack: Pack, sheet: Sheet) -> list[tuple[Caution, tuple[str, ...]]]:
    """Those of the glaze: at the bucket only, where a firing card tells of the kiln."""
    if pack.firing is None:
        return [(replace(c, text=c.whole), by) for c, by in sheet.cautions]
    return [(c, by) for c, by in sheet.cautions if not c.only_at_kiln]


def cover_cautions(pack: Pack) -> list[Caution]:
    """Those of the day's work that no other page has, and who may be at the kiln."""
    here = [c for c in pack.cautions if c.code == "trained-adults" or not c.only_at_kiln]
    return here if pack.firing else list(pack.cautions)


def firing_cautions(pack: Pack) -> list[tuple[Caution, tuple[str, ...]]]:
    """What the firing card warns of, with the materials that bring it; nothing where no firing is
    named."""
    if pack.firing is None:
        return []
    found: dict[str, tuple[Caution, tuple[str, ...]]]
    found = {c.code: (c, ()) for c in pack.cautions if c.happens_at_kiln}
    bearers: dict[str, dict[str, None]] = {}
    for sheet in pack.sheets:
        for caution, by in sheet.cautions:
            if caution.happens_at_kiln:
                names = bearers.setdefault(caution.code, {})
                names.update(dict.fromkeys(by))
                text = caution.at_kiln or caution.text
                at_kiln = replace(caution, text=text, ghs=(), signs=())
                found[caution.code] = (at_kiln, tuple(names))
    return _gravest_first(found.values())


def _gravest_first(
    cautions: Iterable[tuple[Caution, tuple[str, ...]]],
) -> list[tuple[Caution, tuple[str, ...]]]:
    return sorted(cautions, key=lambda pair: SEVERITIES.index(pair[0].severity))


def diamonds(cautions: Iterable[Caution]) -> list[str]:
    """Pictograms of all of them, each once, gravest first."""
    return in_order({name for caution in cautions for name in caution.ghs})


def signs(cautions: Iterable[Caution]) -> list[str]:
    """Acts, and what to wear, in plain words, each once."""
    cautions = list(cautions)
    codes = [c for c in cautions if c.code in ACT_SIGNS]
    worn = {sign for c in cautions for sign in c.signs}
    words = [SIGN_WORDS[sign] for sign in SIGNS if sign in worn]
    return list(dict.fromkeys([*(ACT_SIGNS[c.code] for c in codes), *words]))


def in_short(cautions: Iterable[Caution]) -> str:
    """Cautions for a label, a word or two each."""
    words = [c.called for c in cautions if c.severity != "note"]
    return " · ".join(w for w in dict.fromkeys(words) if w != "not for food")


def remarks(sheet: Sheet) -> list[str]:
    """What to know before weighing: rounding where it matters, and what is grave."""
    lines = [sheet.rounding.advice] if sheet.rounding.matters and sheet.rounding.advice else []
    return lines + _doubts(sheet, ("danger", "warning"))


def doubts(sheet: Sheet) -> list[str]:
    """What else the answer doubts; for the person who prepares the class."""
    assumed = [f.message for f in sheet.findings if f.code in _ASSUMED]
    return [*assumed, *_doubts(sheet, ("caution",))]


def _doubts(sheet: Sheet, severities: tuple[str, ...]) -> list[str]:
    known = {c.code for c, _ in sheet.cautions}
    parts = []
    for finding in sheet.findings:
        if finding.severity in severities and finding.code not in known:
            named = finding.subject and finding.subject != sheet.recipe.name
            parts.append(f"{finding.subject}: " * bool(named) + finding.message)
    return list(dict.fromkeys(parts))


def costs(sheet: Sheet) -> str:
    """What it costs, or nothing where prices are missing."""
    if sheet.cost is None:
        return ""
    parts = [f"costs {money(sheet.cost, sheet.currency)}"]
    if sheet.cost_per_100_g is not None:
        parts.append(f"{money(sheet.cost_per_100_g, sheet.currency)} per 100 g")
    if sheet.cost_per_piece is not None:
        parts.append(f"{money(sheet.cost_per_piece, sheet.currency)} a {sheet.piece or 'piece'}")
    return ", ".join(parts)


def price(sheet: Sheet) -> str:
    """What a glaze costs, for a table."""
    return "–" if sheet.cost is None else money(sheet.cost, sheet.currency)


def has_cover(pack: Pack) -> bool:
    """Whether the pack has a cover: one glaze for one person has none."""
    return len(pack.sheets) > 1 or bool(pack.assignments) or bool(pack.people)


def pack_line(pack: Pack) -> str:
    """The line under the title of the cover."""
    n = len(pack.sheets)
    parts = [pack.date] if pack.date else []
    parts += [f"{pack.people} people"] if pack.people else []
    parts.append(f"{n} glaze{'s' * (n != 1)}")
    if pack.audience == "school":
        parts.append("for a school: the teacher handles what is marked")
    return " · ".join(parts)


def shopping(pack: Pack) -> list[tuple[str, str, str, str, str, str]]:
    """Material, need, have, buy, price of a kilogram, cost; room to write if not given."""
    units = pack.sheets[0].units if pack.sheets else "g"
    return [
        (
            need.part.material.name,
            bulk(need.need_g, units),
            bulk(need.have_g, units, on_shelf=True),
            _buy(need, units),
            "" if need.price_per_kg is None else f"{need.price_per_kg:.2f}",
            "" if need.cost is None else f"{need.cost:.2f}",
        )
        for need in pack.needs
    ]


def _buy(need: Need, units: Units) -> str:
    if need.buy_g is None:
        return ""
    return bulk(need.buy_g, units) if need.buy_g > 0.0 else "enough"


def short_of(pack: Pack) -> str:
    """Where there is no cover: what to buy first."""
    units = pack.sheets[0].units
    wanted = [n for n in pack.needs if n.buy_g is not None and n.buy_g > 0.0]
    listed = ", ".join(f"{n.part.material.name} {bulk(n.buy_g, units)}" for n in wanted)
    return f"not enough on the shelf, buy: {listed}" if listed else ""


def total_cost(pack: Pack) -> str:
    """What the list costs, which prices it lacks, and what all that is used costs; the same on a
    screen and on paper."""
    short = [n for n in pack.needs if n.buy_g]
    parts = []
    if short:
        known = [n.cost for n in short if n.cost is not None]
        text = f"To buy: {len(short)} material{'s' * (len(short) != 1)}"
        if known:
            text += f", {money(sum(known, Decimal(0)), pack.currency)}"
        if len(known) < len(short):
            missing = [n.part.material.name for n in short if n.cost is None]
            listed = ", ".join(missing) if len(missing) <= 3 else f"{len(missing)} materials"
            text += f" and no price for {listed}" if known else ", without prices"
        parts.append(text)
        if unknown := sum(n.have_g is None for n in short):
            parts.append(f"{unknown} of them with no stock given, so taken as not there")
    if pack.cost is not None:
        parts.append(f"what is used, all together {money(pack.cost, pack.currency)}")
    return "; ".join(parts)


def tile_count(pack: Pack) -> int:
    """Tile labels for each glaze: whole rows of four."""
    return min(_TILES_MOST, -(-(pack.people or TILES) // 4) * 4)


def firing_of(pack: Pack, load: Load | None = None) -> FiringAnswer | None:
    """The firing, or that of one load, without glazes: ``cofire firing`` shows those."""
    firing = load.firing if load else pack.firing
    return None if firing is None else firing_answer(Library(None), [], Conditions(firing=firing))


def firings_of(pack: Pack) -> Iterable[tuple[FiringAnswer, Load | None]]:
    """Each firing of the pots, or the one where none are counted."""
    for load in pack.ware.loads if pack.ware else (None,):
        if answer := firing_of(pack, load):
            yield answer, load


def firing_name(pack: Pack, answer: FiringAnswer, load: Load | None) -> str:
    """The firing, and which of several it is."""
    if pack.ware is None or load is None or pack.ware.firings == 1:
        return answer.firing.name
    number = pack.ware.loads.index(load) + 1
    return f"{answer.firing.name}, firing {number} of {pack.ware.firings}"


def firing_line(answer: FiringAnswer) -> str:
    """The line under the name of a firing."""
    load = f"load {answer.firing.load_kg:g} kg · " if answer.firing.load_kg else ""
    return f"{answer.firing.kiln.name} · {load}{clock(answer.total_min)} (h:mm) in all"


def loads_of(pack: Pack) -> str:
    """How the pots are shared by firings; nothing where no pots are counted."""
    ware = pack.ware
    if ware is None:
        return ""
    firings = f"{ware.firings} firings of up to {ware.each}" if ware.firings > 1 else "one firing"
    hands = f"{ware.hands} pairs of hands" if ware.hands > 1 else "one pair of hands"
    warm = " Times are from a cold kiln: one that is still warm is quicker." * (ware.firings > 1)
    return (
        f"{counted(ware.pots, 'pot')}: {firings}, a load of about {ware.load_kg:g} kg by the size "
        f"of the pots, into {counted(ware.bins, 'bin')}, by {hands}; tiles are not counted.{warm} "
        "Whether your kiln takes them, and a plan of the day: cofire day."
    )


def keyed_in(answer: FiringAnswer) -> list[tuple[str, ...]]:
    """What to key in, a row for each segment, with ``KEYED_HEADS``: on both scales."""
    return [
        (
            str(row.number),
            "full" if row.rate_c_per_h is None else f"{row.rate_c_per_h:.0f} °C/h",
            "" if row.rate_c_per_h is None else f"{1.8 * row.rate_c_per_h:.0f} °F/h",
            f"{row.target_c:.0f} °C",
            f"{fahrenheit(row.target_c):.0f} °F",
            clock(row.hold_min),
            clock(row.ramp_takes_min),
        )
        for row in answer.segments
    ]


KEYED_HEADS = ("segment", "rate", "", "to", "", "hold", "ramp takes")


def pulls(answer: FiringAnswer, load: Load | None) -> list[tuple[str, str, str, str]]:
    """When ware leaves, how hot, and where to: name, h:mm after the start, temperature, bin."""
    told = [str(bin) for bin in load.in_bin] if load else [""] * len(answer.loads)
    return [
        (x.name, clock(x.at_min), show_temperature(x.ware_c), bin)
        for x, bin in zip(answer.loads, told, strict=True)
    ]


PULL_HEADS = ("load", "planned", "ware", "bin", "pulled at", "pot", "came out")
LOG_HEADS = ("h:mm", "pyrometer should show", "shows", "what we saw and did")
_LOG_ROWS = 14


def log_rows(answer: FiringAnswer) -> list[tuple[str, str]]:
    """For a kiln that stays shut: what its pyrometer should show at even intervals."""
    end = answer.total_min
    every = next(s for s in (10, 15, 20, 30, 60, 120, 240, 480, 960) if end / s <= _LOG_ROWS)
    at = [float(every * k) for k in range(1, int(end / every) + 1)]
    air = [float(c) for c in interp([60.0 * m for m in at], answer.time_s, answer.air_c)]
    return [(clock(m), show_temperature(c)) for m, c in zip(at, air, strict=True)]


def after_words(answer: FiringAnswer) -> str:
    """What happens to a pot after the tongs."""
    after = answer.after_the_pull
    if after is None:
        return (
            "The ware cools in the closed kiln. Open it only when it is cold enough to touch: it "
            f"is down to {OPEN_C:.0f} °C about {clock(answer.cold_min)} after the start."
        )
    glows, lights = after.dull_red_after_s, after.no_longer_lights_paper_after_s
    return (
        f"Each pot: {smoke_words(after.smoke)}. In still air it glows for {glows.low:.0f} to "
        f"{glows.high:.0f} s and lights paper for {lights.low:.0f} to {lights.high:.0f} s. Start "
        "the clock when the kiln starts."
    )


def firing_doubts(answer: FiringAnswer) -> list[str]:
    """Sources of the plan, and where it asks too much of the kiln; without cautions."""
    return [f.message for f in answer.findings if f.subject == answer.firing.name]


def firing_chart(answer: FiringAnswer) -> Picture:
    """The temperature of the firing, 180 by 40, with a mark for every opening."""
    top_c = 1.15 * float(answer.air_c.max())
    x, y = Axis(0.0, answer.shown_min, 14.0, 178.0), Axis(0.0, top_c, 34.0, 2.0)
    marks = tuple(temperature_chart(answer, x, y, 3.0))
    return Picture(180.0, 40.0, marks, "temperature of the ware over time, and the pulls")
