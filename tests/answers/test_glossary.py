"""Every noun that a screen prints is explained, in words that need no explaining."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
import rich.rule
import rich.table
import rich.text

from cofire.answers.glossary import explain, glossary
from cofire.errors import UnknownNameError
from cofire.names import plain
from cofire.studio import Studio
from cofire.words import plain_digits

#: Main commands; the slower ones in a small form.
ASKED = """
pair clear-crackle copper-lustre --firing raku-workshop --body raku
fit white-crackle --body raku --firing raku-workshop --cooling "1 min air, 20 min bin, water"
fit clear-crackle frit-gloss --body raku --coat "3 brushed"
formula white-crackle --more
firing raku-workshop clear-crackle
lustre copper-lustre --firing raku-workshop
tile "clear-crackle, 3 brushed, crazed 4 mm" --body raku
adjust clear-crackle --want "expansion 7.2"
swap white-crackle "natural borate"
compose "0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"
blend clear-crackle frit-gloss --steps 3 --cup "500 g"
map frit-gloss --across "silica 0-40"
levers clear-crackle --want "black crackle 15 mm" --body raku --firing raku-one-load
shake frit-gloss --batch "200 g"
batch clear-crackle turquoise-crackle --pieces "14 students x 5 tiles and 2 pots" --school
day raku-one-load --pots 18 --pot "12 x 15 cm" --chamber "60 x 50 cm" --bins 6
card
materials
materials show talc
recipes
bodies
firings
kilns
""".strip().splitlines()
#: Words that everybody knows.
EVERYDAY = set(Path(__file__).with_name("everyday_words.txt").read_text("utf-8").split())


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Fills with what stands on screens as headings, heads of columns and labels of rows."""
    found: list[str] = []
    table, rule = rich.table.Table, rich.rule.Rule
    add_column, add_row, init = table.add_column, table.add_row, rule.__init__

    def said(text: object) -> None:
        if isinstance(text, str | rich.text.Text):
            found.append(str(text))

    def column(self, header="", *rest, **how):  # type: ignore[no-untyped-def]
        said(header)
        add_column(self, header, *rest, **how)

    def row(self, *cells, **how):  # type: ignore[no-untyped-def]
        if cells and not any(str(column.header) for column in self.columns):
            said(cells[0])
        add_row(self, *cells, **how)

    def heading(self, title="", **how):  # type: ignore[no-untyped-def]
        said(title)
        init(self, title, **how)

    monkeypatch.setattr(table, "add_column", column)
    monkeypatch.setattr(table, "add_row", row)
    monkeypatch.setattr(rule, "__init__", heading)
    return found


def called() -> list[str]:
    """Names of what a studio holds: they are no nouns to explain."""
    studio = Studio()
    shelves = (studio.recipes(), studio.bodies(), studio.firings(), studio.kilns())
    names = [name for shelf in shelves for one in shelf.items for name in (one.id, one.name)]
    materials = studio.materials().materials
    return [*names, *(name for one in materials for name in (one.id, *one.names))]


def test_every_noun_on_a_screen_is_explained(cofire, printed: list[str]) -> None:  # type: ignore[no-untyped-def]
    for line in ASKED:
        run = cofire(*shlex.split(line))
        assert run.code in (0, 1), (line, run.err)
    assert len(printed) > 300
    explained = [name for word in glossary().words for name in word.names]
    names = sorted({plain(name) for name in (*called(), *explained)}, key=len, reverse=True)
    named = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, names))})(?!\w)")
    unknown = {}
    for text in set(printed):
        if re.search(r" (18|19|20)\d\d", text):  # a publication
            continue
        text = re.sub(r"version \w+|“cofire[^”]*”|e-6/K", "", text)
        rest = named.sub(" ", plain(plain_digits(text)))
        words = set(re.findall(r"[^\W\d_]+", rest)) - EVERYDAY
        unknown.update(dict.fromkeys(words, text))
    assert not unknown, "\n".join(f"{word}: {text}" for word, text in unknown.items())


def test_a_word_is_found_by_each_of_its_names() -> None:
    found = [plain(name) for word in glossary().words for name in word.names]
    assert sorted(found) == sorted(set(found)), "a name of two words"
    for word in glossary().words:
        assert {explain(name).words[0].means for name in word.names} == {word.means}
        assert word.means.endswith(".") and word.source
    assert explain("SiO₂").words[0].names[0] == "SiO2"


def test_an_unknown_word_gets_the_nearest_or_where_to_look(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("explain", "shivring")
    assert run.code == 2
    assert "“shivering”" in run.err
    assert cofire("explain", "").code == 2  # a word, though an empty one
    with pytest.raises(UnknownNameError, match="cofire explain"):
        explain("zzzzzz")


def test_the_screen_gives_word_meaning_and_source(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("explain", "unity", "formula")
    assert run.code == 0
    assert "fluxes together set to 1" in " ".join(run.out.split())
    assert "Source: any handbook." in run.out
    words = cofire("explain").out
    assert all(word.names[0] in words for word in glossary().words)
