"""The documents: all that they tell people to type works as it stands, and they hang together."""

from __future__ import annotations

import json
import re
import shlex
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urldefrag

import pytest

from cofire import documents
from cofire.cli import reference
from cofire.cli.main import COMMANDS
from cofire.documents import FOLDER, ORDER, Page, as_html, pages

ROOT = Path(__file__).parents[2]
WRITTEN = sorted(path.stem for path in FOLDER.glob("*.md"))
#: A block of code, with a line before it that is only a file's name: it is that file.
BLOCK = re.compile(r"(?:^`([^`\n]+)`\n\n)?^```(\w*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
#: Languages of blocks that are neither files nor run.
SHOWN = {"bibtex"}


def all_pages() -> list[Page]:
    return pages(reference.made())


def blocks(name: str) -> list[tuple[str, str, str]]:
    return BLOCK.findall((FOLDER / f"{name}.md").read_text("utf-8"))


@pytest.mark.parametrize("name", [n for n in WRITTEN if blocks(n)])
def test_every_block_works(cofire, monkeypatch, name: str) -> None:  # type: ignore[no-untyped-def]
    """A page is followed from top to bottom in one studio; pictures come out as they are shown."""
    for variable in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(variable, str(cofire.folder))
    for file, language, text in blocks(name):
        if file:
            cofire.write(file, text)
        elif language == "sh":
            for line in text.splitlines():
                assert line.startswith("cofire "), f"{name}.md: {line}"
                run = cofire(*shlex.split(line)[1:])
                assert run.code in (0, 1), f"{name}.md: {line}\n{run.err}"
                assert run.out, line
        elif language == "python":
            exec(text, {})
        else:
            assert language in SHOWN, f"{name}.md: what is this block?\n{text}"
    for shown in pictures(name):
        drawn = (cofire.folder / shown.name).read_text("utf-8")
        assert words_of(drawn) == words_of(shown.read_text("utf-8")), "tests/documents/redraw.py"


def pictures(name: str) -> list[Path]:
    text = (FOLDER / f"{name}.md").read_text("utf-8")
    return [FOLDER / shown for shown in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", text)]


def words_of(svg: str) -> set[str]:
    """The words of a picture; its numbers may move with the models."""
    return set(re.findall(r"[^\W\d_]{3,}", re.sub(r"<[^>]*>|<!--.*?-->", " ", svg)))


def test_every_written_page_is_in_the_contents_and_every_picture_shown() -> None:
    named = {name for part in ORDER.values() for name in part}
    assert named == {*WRITTEN, *reference.made()}
    shown = {path for name in WRITTEN for path in pictures(name)}
    assert shown == set(FOLDER.glob("pictures/*"))
    assert all(page.text.startswith("# ") for page in all_pages())


def test_links_lead_somewhere() -> None:
    names = {page.name for page in all_pages()}
    for page in all_pages():
        for link in re.findall(r"(?<!!)\[[^\]]+\]\(([^)\s]+)\)", page.text):
            assert urldefrag(link).url.removesuffix(".md") in names, (page.name, link)


class Tags(HTMLParser):
    """Collects ids, inner links, and whatever a browser would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.links: set[str] = set()
        self.fetched: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        about = dict(attrs)
        self.ids.add(about.get("id") or "")
        if tag == "a" and (about.get("href") or "").startswith("#"):
            self.links.add((about["href"] or "")[1:])
        if tag in ("script", "link", "img", "iframe") or about.get("src"):
            self.fetched.append(tag)


def test_one_page_holds_all_and_fetches_nothing(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("docs", "--save", "all.html")
    assert run.code == 0 and "all.html" in run.out
    page = (cofire.folder / "all.html").read_text("utf-8")
    tags = Tags()
    tags.feed(page)
    assert tags.fetched == []
    assert tags.links <= tags.ids and {*WRITTEN, "commands", "words"} <= tags.links
    assert page.count("<svg") == len(list(FOLDER.glob("pictures/*")))
    assert cofire("docs", "--save", "all.html").code == 0  # its own page it may replace


def test_docs_without_a_file_write_one_and_open_no_browser_in_a_pipe(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("TMPDIR", str(cofire.folder))
    monkeypatch.setattr("tempfile.tempdir", None)
    monkeypatch.setattr("webbrowser.open", lambda *_: pytest.fail("a browser"))
    run = cofire("docs")
    (path,) = cofire.folder.glob("cofire-*/cofire.html")
    assert str(path) in run.out.replace("\n", "")


def test_json_gives_the_markdown(cofire) -> None:  # type: ignore[no-untyped-def]
    found = json.loads(cofire("docs", "--json").out)["pages"]
    assert [one["name"] for one in found] == [page.name for page in all_pages()]
    assert cofire("docs", "--json", "--save", "x.html").code == 2


def test_every_command_and_option_is_in_the_reference_and_the_manual() -> None:
    page, manual = reference.commands_page(), reference.man_page()
    for words, command, context in reference.commands():
        assert f"\n## {words}\n" in page
        assert f".SH {words.upper()}".replace("-", r"\-") in manual
        for param in command.get_params(context):
            for option in param.opts if param.param_type_name == "option" else ():
                assert option in page
    assert {words.split()[1] for words, *_ in reference.commands() if " " in words} == set(COMMANDS)


def test_json_and_python_are_described_whole() -> None:
    import cofire
    from cofire.record import Record

    page = reference.json_page()
    for name in ("pair", "fit", "formula", "materials.show", "explain", "day"):
        assert f"\n## cofire.{name}\n" in page
    assert "| `stress_mpa` |" in page or "stress_mpa" in page
    assert issubclass(cofire.PairAnswer, Record)
    api = reference.python_page()
    methods = [name for name in dir(cofire.Studio) if not name.startswith("_")]
    assert [name for name in methods if f"\n## studio.{name}\n" not in api] == []


def test_html_is_what_markdown_says() -> None:
    made = {name: f"# {name}\n" for part in ORDER.values() for name in part}
    made["index"] = "# Begin <here>\n\nSee [it](potter.md#x) and `a<b`.\n"
    page = as_html([Page(name, text) for name, text in made.items()], "1.2.3")
    assert '<a href="#potter">it</a>' in page and "<code>a&lt;b</code>" in page
    assert '<a href="#index">Begin &lt;here&gt;</a>' in page and "cofire 1.2.3" in page
    assert documents.Page("a", "# A b\n\nc").title == "A b"


def test_the_site_builds_without_a_warning(tmp_path: Path) -> None:
    build = pytest.importorskip("mkdocs.commands.build")
    from mkdocs.config import load_config

    config = ROOT / ".ci" / "mkdocs.yml"
    if not config.is_file():
        pytest.skip("the site is built from the repository")
    with config.open() as file:
        made = load_config(file, site_dir=str(tmp_path), strict=True)
    build.build(made)
    site = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.html")}
    assert {"index.html", "potter/index.html", "commands/index.html"} <= site
    text = (tmp_path / "potter" / "index.html").read_text("utf-8")
    assert not re.findall(r"""<(?:script|link|img)[^>]*(?:src|href)=["'](?:https?:)?//""", text)
