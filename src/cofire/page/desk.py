"""What lies on the bench as plain data, and the answers to it, quick and sharp.

A state is what recipe and firing files would say, with the file each came from:

``glazes``  each with ``of`` (its id), ``hash`` (of the file's text when it was opened) and ``data``
``firing``  the same
``body``    an id
``asked``   conditions as people write them: coat, wall, odds, horizon_years, shape, cooling
"""

from __future__ import annotations

import copy
import hashlib
import json
import math
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar, cast

from cofire.answers.catalogue import ShelfItem
from cofire.answers.firing import firing_answer
from cofire.answers.pair import pair
from cofire.answers.quick_pair import Look, QuickPair
from cofire.errors import CofireError, refusal
from cofire.files import toml
from cofire.files.library import BOUGHT, STUDIO_MARK, looks_like_path
from cofire.model.conditions import Conditions
from cofire.model.standard_draws import N
from cofire.most import at_most
from cofire.records import SURFACES, Firing, Recipe
from cofire.studio import Studio

#: Answers that are kept: a class looks at one page. Our choice.
_KEPT = 32
#: Letters of anything typed into a field of the bench; our choice.
_LONGEST = 300
#: Where the files of a kind lie in a studio.
FOLDERS = {
    "recipes": ("recipes", ""),
    "firings": ("recipes", "firings"),
    "kilns": ("recipes", "kilns"),
    "bodies": ("materials", "bodies"),
    "materials": ("materials", ""),
    "bought": ("recipes", BOUGHT),
}

State = dict[str, Any]
T = TypeVar("T")


class Desk:
    """A studio that many pages ask at once. Quick answers are given one at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.quick_lock, self.sharp_lock = threading.Lock(), threading.Lock()
        self._studio, self._stamp = Studio(folder), self._files()
        self._quick = QuickPair()
        self._kept: dict[str, OrderedDict[str, Any]] = {}

    @property
    def studio(self) -> Studio:
        """The studio with its materials as they are on the disk now."""
        self._read_again()
        return self._studio

    def _read_again(self) -> None:
        """Forget every answer if a file was written since."""
        if (now := self._files()) != self._stamp:
            self._studio, self._stamp = Studio(self.folder), now
            self._quick = QuickPair()
            self._kept = {}

    def _files(self) -> tuple[tuple[str, int, int], ...]:
        """What there is and when it was written."""
        found = []
        for folder in ("materials", "materials/bodies", "materials/cautions", "recipes",
                       "recipes/kilns", "recipes/firings", "recipes/bought", "recipes/fired",
                       "recipes/bought/fired", "."):  # fmt: skip
            try:
                entries = sorted((self.folder / folder).iterdir())
            except OSError:
                continue
            for path in entries:
                if path.suffix in (".toml", ".csv"):
                    try:
                        stat = path.stat()
                    except OSError:
                        continue
                    found.append((str(path), stat.st_mtime_ns, stat.st_size))
        return tuple(found)

    @property
    def name(self) -> str:
        """How the studio is called."""
        try:
            called = toml.read(self.folder / STUDIO_MARK).data.get("name")
        except CofireError:
            called = None
        return called if isinstance(called, str) and called else self.folder.name

    # files

    def file(self, kind: str, id: str) -> Path:
        """The file of a thing by its id alone, own before shipped; KeyError where there is none.

        Only files that are listed can be named, so no path leads out of the studio.
        """
        root, inner = FOLDERS[kind]
        for path, own in self.studio.library.files(root, inner):
            if path.stem == id and (not own or self.is_inside(path)):
                return path
        raise KeyError(id)

    def glaze_file(self, id: str) -> Path:
        """The file of a recipe, or of a glaze bought ready-made; KeyError where there is none."""
        try:
            return self.file("recipes", id)
        except KeyError:
            return self.file("bought", id)

    def lying(self, kind: str, id: str) -> Path:
        """The file of what lies on the bench: a glaze among the recipes may be a bought one."""
        return self.glaze_file(id) if kind == "recipes" else self.file(kind, id)

    def is_own(self, path: Path) -> bool:
        """Whether a file is the person's, and really lies in the studio."""
        return self.is_inside(path) and self.folder in path.parents

    def is_inside(self, path: Path) -> bool:
        """Whether a file lies in the studio once links are followed."""
        try:
            return path.resolve().is_relative_to(self.folder.resolve())
        except (OSError, RuntimeError):
            return False

    def opened(self, kind: str, id: str) -> dict[str, Any]:
        """A thing as it lies on the bench. Raises CofireError for a file that is wrong."""
        path = self.lying(kind, id)
        return {"of": id, "hash": digest(toml.read_text(path)), "data": toml.read(path).data}

    def glazes(self) -> tuple[ShelfItem, ...]:
        """All that can lie on a pot: recipes, and glazes bought ready-made."""
        self._read_again()
        return self._keep("glazes", "all", lambda: self.studio.recipes().items)

    def mixed(self) -> tuple[ShelfItem, ...]:
        """The glazes of which somebody knows what is in them."""
        return tuple(one for one in self.glazes() if not is_bought(one))

    def shelves(self) -> dict[str, Any]:
        """What can be chosen on the bench; read again when a file has changed."""
        studio = self.studio
        return self._keep(
            "shelves", "all",
            lambda: {
                "recipes": self.glazes(),
                "firings_shelf": studio.firings().items,
                "bodies_shelf": studio.bodies().items,
                "names": sorted(m.name for m in studio.library.materials.values() if not m.rare),
            },
        )  # fmt: skip

    # states

    def begin(self, glazes: Sequence[str], firing: str, body: str) -> State:
        """A state of things by their ids."""
        at_most("glazes in one firing", len(glazes))
        return {
            "glazes": [self.opened("recipes", id) for id in glazes],
            "firing": self.opened("firings", firing),
            "body": body,
            "asked": {"coat": "", "wall": "", "odds": 0.8, "horizon_years": 1.0, "shape": "pot",
                      "cooling": ""},
        }  # fmt: skip

    def changed(self, state: State, changes: Sequence[Sequence[Any]]) -> State:
        """A state with (path, value) applied. Raises CofireError for what cannot be."""
        made = copy.deepcopy(state)
        for change in changes:
            try:
                path, value = change
                self._change(made, str(path).split("."), value)
            except CofireError:  # some of them are also errors of Python's kinds
                raise
            except (KeyError, IndexError, TypeError, ValueError, AttributeError):
                raise refusal("bench-no-such-change", said=json.dumps(change)[:80]) from None
        return made

    def _change(self, state: State, path: list[str], value: Any) -> None:
        match path:
            case ["glazes", k, ("base" | "additions") as section, place]:
                amounts = state["glazes"][_at(k)]["data"][section]
                name = list(amounts)[_at(place)]
                if value is None:
                    del amounts[name]
                else:
                    amounts[name] = _number(value)
            case ["glazes", k, "add", ("base" | "additions") as section]:
                amounts = state["glazes"][_at(k)]["data"].setdefault(section, {})
                name = _text(value)
                self.studio.library.material(name)
                amounts.setdefault(name, 1.0)
            case ["glazes", k, "surface"]:
                if value not in SURFACES:
                    raise ValueError(value)
                state["glazes"][_at(k)]["data"]["surface"] = value
            case ["glazes", k, "data"]:
                glaze = state["glazes"][_at(k)]
                refuse_paths(value)
                self.studio.recipe(value)
                glaze["data"] = dict(value)
            case ["glazes", k, "of"]:
                state["glazes"][_at(k)] = self.opened("recipes", _text(value))
            case ["glazes", "more"]:
                at_most("glazes in one firing", len(state["glazes"]) + 1)
                state["glazes"].append(self.opened("recipes", _text(value)))
            case ["glazes", k, "gone"]:
                del state["glazes"][_at(k)]
            case ["glazes", "turn"]:
                state["glazes"].reverse()
            case ["firing", "of"]:
                state["firing"] = self.opened("firings", _text(value))
            case ["firing", "segment", k, ("target" | "hold") as key]:
                unit = "C" if key == "target" else "min"
                state["firing"]["data"]["segment"][_at(k)][key] = _quantity(value, unit)
            case ["firing", "pull", k, ("after" | "every") as key]:
                state["firing"]["data"]["pull"][_at(k)][key] = _quantity(value, "min")
            case ["firing", "pull", k, "count"]:
                state["firing"]["data"]["pull"][_at(k)]["count"] = int(_number(value))
            case ["firing", "smoke", ("air" | "bin" | "then") as key]:
                smoke = state["firing"]["data"].setdefault("smoke", {})
                unit = "s" if key == "air" else "min"
                smoke[key] = _text(value) if key == "then" else _quantity(value, unit)
            case ["body"]:
                self.file("bodies", _text(value))
                state["body"] = value
            case ["asked", ("odds" | "horizon_years") as key]:
                state["asked"][key] = _number(value)
            case ["asked", ("coat" | "wall" | "cooling" | "shape") as key]:
                state["asked"][key] = _text(value, empty=True)
            case _:
                raise KeyError(path)

    def conditions(self, state: State) -> Conditions:
        """The conditions of a state, the same object for the same ones."""
        said = {key: state[key] for key in ("body", "asked")}
        first = self._keep("conditions", said, lambda: self._read(state))
        data = state["firing"]["data"]
        return self._keep("firings", [said, data], lambda: self._in_firing(first, data))

    def _read(self, state: State) -> Conditions:
        asked = {key: value for key, value in state["asked"].items() if value != ""}
        return self.studio.conditions(body=state["body"], firing=state["firing"]["data"], **asked)

    def _in_firing(self, at: Conditions, data: Mapping[str, Any]) -> Conditions:
        _ = at.body_draws
        return at.in_firing(self.firing(data))

    def firing(self, data: Mapping[str, Any]) -> Firing:
        """A firing out of what its file would say."""
        return self.studio.library.firing(data)

    def recipes(self, state: State) -> list[Recipe]:
        """The glazes of a state, the first on the clay."""
        return [self.glaze(glaze) for glaze in state["glazes"]]

    def glaze(self, glaze: Mapping[str, Any]) -> Recipe:
        """One glaze of a state; of one bought ready-made with what came out of it since."""
        data = glaze["data"]
        if "base" in data or "ripe" not in data:
            return self._keep("recipes", data, lambda: self.studio.recipe(data))
        doc = toml.Document(self.glaze_file(glaze["of"]), data, "")
        return self._keep(
            "bought", [glaze["of"], data], lambda: self.studio.library.read_bought(doc)
        )

    # answers

    def quick(self, state: State) -> Look:
        """By the first draws, within a blink. Raises CofireError."""
        with self.quick_lock:
            self._read_again()
            key = _key(state)
            return self._keep("quick", key, lambda: self._quick.look(*self._question(state)))

    def sharp(self, state: State) -> Look:
        """By all draws, the numbers of ``pair`` and ``firing``. Raises CofireError."""
        with self.sharp_lock:
            self._read_again()
            return self._keep("sharp", _key(state), lambda: self._all_draws(state))

    def _all_draws(self, state: State) -> Look:
        recipes, at = self._question(state)
        answer = pair(self.studio.library, recipes, at, change=False)
        coats = {"coat": state["asked"]["coat"]} if state["asked"]["coat"] else {}
        wall = {"wall": state["asked"]["wall"]} if state["asked"]["wall"] else {}
        along = firing_answer(
            self.studio.library, recipes, self.studio.conditions(
                firing=state["firing"]["data"], **coats, **wall
            ),
        )  # fmt: skip
        return Look(answer, along.glazes, N)

    def _question(self, state: State) -> tuple[list[Recipe], Conditions]:
        if not state["glazes"]:
            raise refusal("no-recipe-named")
        return self.recipes(state), self.conditions(state)

    def nearest_change(self, state: State) -> tuple[str, list[list[Any]]]:
        """The smallest change of the firing that makes a yes, in words, and as changes of a state;
        none where nothing was found."""
        with self.sharp_lock:
            self._read_again()
            answer = self._keep("change", _key(state), lambda: self._with_change(state))
        if answer.yes or answer.change is None:
            return answer.change_words or answer.sentence, []
        return answer.change_words, firing_changes(answer.firing, answer.change.firing)

    def _with_change(self, state: State) -> Any:
        recipes, at = self._question(state)
        return pair(self.studio.library, recipes, at)

    def asked(self, state: State, *, firing: bool = True) -> dict[str, Any]:
        """Conditions of a state as keywords of ``Studio``."""
        found = {key: value for key, value in state["asked"].items() if value != ""}
        found["body"] = state["body"]
        if firing:
            found["firing"] = state["firing"]["data"]
        return found

    def _keep(self, kind: str, key: Any, make: Callable[[], T]) -> T:
        kept = self._kept.setdefault(kind, OrderedDict())
        text = key if isinstance(key, str) else json.dumps(key, sort_keys=True, default=str)
        found: T | None = kept.get(text)  # another thread may let it go at any moment
        if found is None:
            found = kept[text] = make()
            while len(kept) > _KEPT:
                kept.popitem(last=False)
        return found


def firing_changes(now: Firing, wanted: Firing) -> list[list[Any]]:
    """What to change in a firing to make it another one of as many steps and pulls."""

    def numbers(firing: Firing) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for k, step in enumerate(firing.segments):
            found[f"firing.segment.{k}.target"] = step.target_c
            found[f"firing.segment.{k}.hold"] = step.hold_min
        for k, pull in enumerate(firing.pulls):
            found[f"firing.pull.{k}.after"] = pull.after_min
            found[f"firing.pull.{k}.count"] = pull.count
        smoke = firing.smoke
        return found | {"firing.smoke.air": smoke.air_s, "firing.smoke.bin": smoke.bin_min,
                        "firing.smoke.then": smoke.then}  # fmt: skip

    before = numbers(now)
    return [[path, value] for path, value in numbers(wanted).items() if before[path] != value]


def _quantity(value: object, unit: str) -> str:
    """“943.3 C”; never three decimals, which could be thousands."""
    text = f"{_number(value):.4f}".rstrip("0").rstrip(".")
    ambiguous = len(text.partition(".")[2]) == 3
    return f"{text}{'0' * ambiguous} {unit}"


def refuse_paths(data: Mapping[str, Any]) -> None:
    """Raises QuantityError for what names a file by its path: through the page nothing outside the
    studio can be named."""
    named = [data.get(key) for key in ("kiln", "like")]
    expansion = data.get("expansion")
    if isinstance(expansion, Mapping):
        named.append(expansion.get("curve"))
    for section in ("base", "additions"):
        amounts = data.get(section)
        named += amounts if isinstance(amounts, Mapping) else ()
    for name in named:
        text = name if isinstance(name, str) else ""
        if looks_like_path(text) or "/" in text or "\\" in text:
            raise refusal("bench-path", said=text[:80])


def is_bought(one: ShelfItem) -> bool:
    """Whether nobody knows what is in a glaze of the shelf."""
    return one.said is not None and not cast(Recipe, one.said).known


def digest(text: str) -> str:
    """By which a text is known again."""
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _key(state: State) -> str:
    """All that an answer depends on."""
    glazes = [glaze["data"] for glaze in state["glazes"]]
    return json.dumps([glazes, state["firing"]["data"], state["body"], state["asked"]],
                      sort_keys=True, default=str)  # fmt: skip


def _at(text: str) -> int:
    if not text.isdigit() or len(text) > 4:
        raise IndexError(text)
    return int(text)


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(value)
    return float(value)


def _text(value: object, *, empty: bool = False) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST or not (value or empty):
        raise ValueError(value)
    return value
