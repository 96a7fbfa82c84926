"""A class, a day and a kiln: what to weigh, when to pull, what tiles and logs tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar, Unpack

from cofire.answers.batch.order import AskedOfBatch, AskedOfGroup
from cofire.errors import QuantityError, refusal
from cofire.model.conditions import MOST_LOAD_KG, TileOptions
from cofire.most import at_most, some
from cofire.studio.arguments import checked
from cofire.studio.opened import BodyLike, FiringLike, KilnLike, Opened, RecipeLike, file_of

if TYPE_CHECKING:
    from cofire.answers.batch.records import Pack
    from cofire.answers.day.plan import DayPlan
    from cofire.answers.fired import FiredAnswer
    from cofire.answers.kiln_log import KilnLogAnswer
    from cofire.answers.tile import TileAnswer
    from cofire.show.sheets.pages import Booklet

T = TypeVar("T")


class AskedOfPack(AskedOfBatch, AskedOfGroup, total=False):
    """A batch and who mixes it."""


class Workshop(Opened):
    """Sheets, days, tiles and kilns."""

    @checked
    def batch(
        self,
        recipes: RecipeLike | Sequence[RecipeLike],
        *,
        body: BodyLike | None = None,
        coat: str | None = None,
        wall: str | None = None,
        firing: FiringLike | None = None,
        **asked: Unpack[AskedOfPack],
    ) -> Pack:
        """What to weigh and mix for a bucket or a class; weights are exact decimals in grams.

        How much is one of ``dry`` (“2 kg”, or ``dry_g``), ``bucket`` (“10 l”, or ``bucket_l``) and
        ``pieces`` (“14 students x 5 tiles and 2 pots”; sizes in ``tile``, ``mug``, ``pot``;
        ``shared`` by the glazes). ``methods`` of “dip”, “pour”, “brush”, “spray”, with
        ``density``; ``scale`` (or ``scale_g``) and ``units`` of the scale, and what it carries
        (``scale_carries``); ``buckets`` or ``bucket_size``. Who mixes: ``school``, ``even_with``,
        ``people``, ``teams``, ``title``, ``date``, ``bins`` and ``hands`` at the kiln. Stock and
        prices come from stock.toml. Raises CofireError, also for what a school should not mix.

        >>> pack = studio.batch("clear-crackle", dry_g=1000)
        >>> sum(line.weigh_g for line in pack.sheets[0].buckets[0].weighings) >= 1000
        True
        """
        from cofire.answers.batch.order import read_group, read_order
        from cofire.answers.batch.pack import batch
        from cofire.files.stock import read_stock

        at = self.conditions(body=body, coat=coat, wall=wall)
        return batch(
            self.library,
            self._recipes(recipes, things="glazes in one batch"),
            read_order(asked, at),
            stock=read_stock(self.library),
            firing=self.library.firing(firing) if firing is not None else None,
            group=read_group(self.library, asked),
        )

    @checked
    def sheets(
        self,
        pack: object,
        file: str | Path,
        *,
        paper: Literal["A4", "Letter"] = "A4",
        large: bool = False,
        labels: bool = False,
    ) -> Path:
        """Write the sheets of a ``batch`` to a file that ends in .html or .pdf; returns its path.

        A file that is not an older sheet of ours is never replaced. Raises CofireError.

        >>> studio.sheets(studio.batch("clear-crackle", dry_g=1000), "sheets.html").name
        'sheets.html'
        """
        from cofire.answers.batch.records import Pack

        path = _sheet_file(file)
        made = _of_kind(pack, Pack, "no-pack")
        write = write_page if path.suffix == ".html" else write_pdf
        write(made, path, paper, large, labels)
        return path

    @checked
    def projector(
        self, pack: object, file: str | Path, *, paper: Literal["A4", "Letter"] = "A4"
    ) -> Path:
        """Write weights and steps of a ``batch`` in 40 points, as ``sheets`` does. Raises
        CofireError.

        >>> studio.projector(studio.batch("clear-crackle", dry_g=1000), "steps.pdf").name
        'steps.pdf'
        """
        from cofire.answers.batch.records import Pack
        from cofire.show.sheets.classroom import projector

        return _write_booklet(projector(_of_kind(pack, Pack, "no-pack")), file, paper)

    @checked
    def slips(
        self,
        pack: object,
        file: str | Path,
        *,
        names: str = "",
        paper: Literal["A4", "Letter"] = "A4",
    ) -> Path:
        """Write a checklist for the adults of a ``batch``, a slip for each of the ``names`` (“Ines,
        Tomasz”, which are kept nowhere else) and blank questions, as ``sheets`` does.
        Raises CofireError, also for names whose letters a PDF lacks.

        >>> studio.slips(studio.batch("clear-crackle", people=8), "slips.html", names="Ines").name
        'slips.html'
        """
        from cofire.answers.batch.order import read_names
        from cofire.answers.batch.records import Pack
        from cofire.show.sheets.classroom import slips

        made = slips(_of_kind(pack, Pack, "no-pack"), read_names(names), paper)
        return _write_booklet(made, file, paper)

    @checked
    def phone(self, pack: object, file: str | Path) -> Path:
        """Write a page for phones, to tick what is weighed of a ``batch`` with the running total.
        Raises CofireError.

        >>> studio.phone(studio.batch("clear-crackle", dry_g=1000), "phone.html").name
        'phone.html'
        """
        from cofire.answers.batch.records import Pack
        from cofire.files.atomic_write import write_answer
        from cofire.show.sheets.phone import phone_page

        path = file_of(file)
        write_answer(path, "page", phone_page(_of_kind(pack, Pack, "no-pack")))
        return path

    @checked
    def wall(
        self, plan: object, file: str | Path, *, paper: Literal["A4", "Letter"] = "A4"
    ) -> Path:
        """Write a ``day`` by the clock, to hang up, as ``sheets`` does. Raises CofireError.

        >>> size, chamber = "12 x 15 cm", "40 x 45 cm"
        >>> plan = studio.day("raku-workshop", pots=6, pot=size, chamber=chamber, bins=3)
        >>> studio.wall(plan, "day.pdf").name
        'day.pdf'
        """
        from cofire.answers.day.plan import DayPlan
        from cofire.show.sheets.classroom import wall_sheet

        return _write_booklet(wall_sheet(_of_kind(plan, DayPlan, "no-day")), file, paper)

    @checked
    def cards(
        self, answer: object, file: str | Path, *, paper: Literal["A4", "Letter"] = "A4"
    ) -> Path:
        """Write what to key in for a ``firing``, and a card for each load, or the firings of a
        ``day`` and a card for each pull, as ``sheets`` does. Raises CofireError.

        >>> studio.cards(studio.firing("raku-workshop"), "cards.html").name
        'cards.html'
        """
        from cofire.answers.day.plan import DayPlan
        from cofire.answers.firing import FiringAnswer
        from cofire.show.sheets.cards import day_cards, firing_cards

        if isinstance(answer, DayPlan):
            return _write_booklet(day_cards(answer, paper), file, paper)
        made = firing_cards(_of_kind(answer, FiringAnswer, "no-firing-answer"), paper)
        return _write_booklet(made, file, paper)

    @checked
    def day(
        self,
        firing: FiringLike,
        *,
        pots: int,
        pot: str,
        chamber: str,
        bins: int,
        per_bin: int = 1,
        layers: int = 1,
        kilns: int = 1,
        hands: int = 2,
        days: int = 1,
        weight: str | None = None,
        reload: str | None = None,
        start: str | None = None,
        end: str | None = None,
        breaks: Sequence[str] = (),
        kiln: KilnLike | None = None,
    ) -> DayPlan:
        """How many firings 1 to 2000 ``pots`` take, when each leaves and when bins are free, in
        minutes from the start, and whether people can keep that (``kept``), or what would help.

        ``pot`` and ``chamber`` are diameter and height, “12 x 15 cm”; ``weight`` is a pot's.
        ``reload`` is how far the kiln cools before cold pots go in; ``start`` and ``end`` are times
        of the clock, “9:00”, and ``breaks`` in which nobody works, “12:00-12:45”. Raises
        CofireError.

        >>> size, chamber = "12 x 15 cm", "40 x 45 cm"
        >>> plan = studio.day("raku-workshop", pots=6, pot=size, chamber=chamber, bins=3)
        >>> sum(one.pots for one in plan.firings), plan.kept
        (6, True)
        """
        from cofire.answers.day.asked import RELOAD_C, Day, read_breaks, read_size
        from cofire.answers.day.plan import plan_day
        from cofire.read.units import clock_minutes, grams, temperature_c

        for things, count in (
            ("pots", pots), ("bins", bins), ("pots in a bin", per_bin), ("layers", layers),
            ("kilns", kilns), ("hands", hands), ("days", days),
        ):  # fmt: skip
            some(things, count)
        fired = self.conditions(firing=firing, kiln=kiln).firing
        assert fired is not None
        asked = Day(
            fired,
            pots,
            read_size(pot, "a pot"),
            read_size(chamber, "a chamber"),
            bins,
            per_bin,
            layers,
            kilns,
            hands,
            days,
            None if weight is None else grams(weight) / 1000.0,
            RELOAD_C if reload is None else temperature_c(reload),
            None if start is None else clock_minutes(start),
            None if end is None else clock_minutes(end),
            read_breaks(breaks, start),
        )
        if asked.pot_kg is not None and not 0.01 <= asked.pot_kg <= 50.0:
            raise refusal("impossible-pot-weight", text=weight)
        if not fired.ambient_c + 20.0 <= asked.reload_c <= 1000.0:
            raise refusal("impossible-reload", celsius=asked.reload_c)
        if asked.longest_min <= 0.0:
            raise refusal("ends-before-it-starts", start=start, end=end)
        return plan_day(asked)

    @checked
    def tile(
        self,
        tiles: Sequence[str],
        body: BodyLike,
        *,
        fired: bool = False,
        firing: FiringLike | None = None,
        **asked: Unpack[TileOptions],
    ) -> TileAnswer:
        """A clay's expansion (1e-6/K) from fired tiles with glazes that are known, each as “recipe,
        coat, crazed 4 mm”, “…, black 9 mm”, “…, whole” or “…, shivered”. ``body`` is one near to
        the clay. With ``fired`` also from what was written down of that clay, each tile in its own
        firing. Raises CofireError.

        >>> answer = studio.tile(["clear-crackle, 3 brushed, crazed 4 mm"], "raku")
        >>> answer.alpha_body_from_tiles.low < answer.alpha_body_from_tiles.high
        True
        """
        from cofire.answers.fired import Learned, learn
        from cofire.answers.tile import read_tile, read_tiles

        asked.setdefault("shape", "tile")
        conditions = self.conditions(body=body, firing=firing, **asked)
        learned = Learned((), ())
        if fired:
            learned = learn(self.library, self.library.body(body))
            if not learned.tiles and not tiles:
                raise refusal("nothing-written-of-clay", clay=self.library.body(body).name)
        at_most("tiles", len(tiles) + len(learned.tiles))
        read = [*(read_tile(self.library, text) for text in tiles), *learned.tiles]
        answer = read_tiles(read, conditions)
        return replace(answer, records=len(learned.tiles), left_out=learned.left_out)

    @checked
    def fired(
        self,
        recipe: str | Path,
        *,
        clay: str = "",
        coat: str = "",
        result: str = "",
        firing: str = "",
        pull: str = "",
        cooling: str = "",
        wall: str = "",
        shape: str = "",
        photo: str = "",
        words: str = "",
    ) -> FiredAnswer:
        """Write down what came out of the kiln in plain text beside a recipe or a bought glaze, and
        return all that was written of it; with nothing said, only that. ``result`` is as in
        ``tile``: “crazed 4 mm”, “black 9 mm”, “whole after 2 weeks”, “shivered”. Raises
        CofireError.

        >>> studio.fired("mine", clay="raku", coat="3 brushed", result="crazed 4 mm").new.spacing_mm
        4.0
        """
        from cofire.answers.fired import write_fired

        said = {
            "clay": clay, "coat": coat, "result": result, "firing": firing, "pull": pull,
            "cooling": cooling, "wall": wall, "shape": shape, "photo": photo, "words": words,
        }  # fmt: skip
        return write_fired(self.library, recipe, said, datetime.now())

    @checked
    def kiln_log(
        self,
        logs: str | Path | Sequence[str | Path],
        *,
        like: KilnLike | None = None,
        name: str = "my kiln",
        ambient: str | None = None,
        ambient_c: float | None = None,
        load: str | None = None,
        load_kg: float | None = None,
        save: str | None = None,
    ) -> KilnLogAnswer:
        """What a kiln can do, from CSV files with a time and a temperature column. What no log
        shows is taken from the kiln ``like``; ``load`` was in the kiln; the room has 20 °C
        if not said; ``save`` is the id under which it is written to the studio. Raises CofireError.
        """
        from cofire.answers.kiln_log import KilnLogAnswer, kiln_file, kiln_text, learn_kiln
        from cofire.files.atomic_write import writing
        from cofire.files.kiln_logs import read_kiln_log
        from cofire.files.new_names import checked_name
        from cofire.names import shown
        from cofire.read.number import quantity_text
        from cofire.read.units import grams, temperature_c

        files = [file_of(one) for one in ([logs] if isinstance(logs, str | Path) else logs)]
        if not files:
            raise QuantityError("no log is named.", hint="Name a CSV file.")
        at_most("kiln logs", len(files))
        room = quantity_text({"ambient": ambient, "ambient_c": ambient_c}, "ambient", "C")
        room_c = 20.0 if room is None else temperature_c(room)
        kiln = self.library.kiln(like) if like is not None else None
        weight = quantity_text({"load": load, "load_kg": load_kg}, "load", "kg")
        inside_kg = 0.0 if weight is None else grams(weight) / 1000.0
        if not 0.0 <= inside_kg <= MOST_LOAD_KG:
            raise refusal("load", load_kg=inside_kg)
        read = [read_kiln_log(path) for path in files]
        learnt = learn_kiln(read, kiln, room_c, inside_kg)
        logged = ", ".join(shown(path.name) for path in files)
        text = kiln_text(learnt, checked_name(name), f"logged: {logged}")
        path = None if save is None else kiln_file(self.library, save)
        if path is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
            with writing(path, new=True) as out:
                out.write(text)
        gaps = sum(len(log.gaps) + bool(log.missing) for log in read)
        return KilnLogAnswer(learnt, text, path, gaps)


def _of_kind(answer: object, kind: type[T], why: str) -> T:
    """The answer, if it is one. Raises CofireError."""
    if not isinstance(answer, kind):
        raise refusal(why, kind=type(answer).__name__)
    return answer


def _sheet_file(file: str | Path) -> Path:
    """A path that ends in .html or .pdf. Raises CofireError."""
    path = file_of(file)
    if path.suffix not in (".html", ".pdf"):
        raise refusal("no-sheet-file", file=path)
    return path


def _write_booklet(booklet: Booklet, file: str | Path, paper: Literal["A4", "Letter"]) -> Path:
    """Write it as HTML or PDF, as the file's name ends. Raises CofireError."""
    from io import BytesIO

    from cofire.files.atomic_write import write_answer

    path = _sheet_file(file)
    if path.suffix == ".html":
        from cofire.show.sheets.html import booklet_html

        write_answer(path, "page", booklet_html(booklet, paper))
        return path
    from cofire.show.sheets.pdf import booklet_pdf

    made = BytesIO()
    booklet_pdf(booklet, made, paper=paper)
    write_answer(path, "PDF", made.getvalue())
    return path


def write_page(
    pack: Pack, path: Path, paper: Literal["A4", "Letter"], large: bool, labels: bool
) -> None:
    """Sheets as one HTML page. Raises DataFileError."""
    from cofire.files.atomic_write import write_answer
    from cofire.show.sheets.html import pack_html

    write_answer(path, "page", pack_html(pack, paper=paper, large=large, labels=labels))


def write_pdf(
    pack: Pack, path: Path, paper: Literal["A4", "Letter"], large: bool, labels: bool
) -> None:
    """Sheets as PDF. Raises DataFileError."""
    from io import BytesIO

    from cofire.files.atomic_write import write_answer
    from cofire.show.sheets.pdf import pack_pdf

    made = BytesIO()
    pack_pdf(pack, made, paper=paper, large=large, labels=labels)
    write_answer(path, "PDF", made.getvalue())
