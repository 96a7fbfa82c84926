"""The documents: pages of plain markdown, which read as they stand, and one HTML page of all."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

FOLDER = Path(__file__).parent
#: Pages in reading order, under their heads; those that are not here are made by the program.
ORDER = {
    "Begin": ("index", "potter", "teacher", "artist"),
    "How to": ("recipes", "materials", "change", "firings", "clay", "programs"),
    "Look up": ("words", "commands", "files", "json", "python"),
    "Trust": ("science", "how-well", "cite"),
}


@dataclass(frozen=True)
class Page:
    """A document: its name, which is that of its file, and its markdown, with the title on top."""

    name: str
    text: str
    json_also: ClassVar = ("title",)

    @property
    def title(self) -> str:
        return self.text.partition("\n")[0].removeprefix("# ")


def pages(made: dict[str, str]) -> list[Page]:
    """All pages in reading order; ``made`` are those that the program writes, by name."""
    names = [name for part in ORDER.values() for name in part]
    return [
        Page(name, made.get(name) or (FOLDER / f"{name}.md").read_text("utf-8")) for name in names
    ]


def as_html(pages: list[Page], version: str) -> str:
    """One HTML page that needs nothing else: every document, with its pictures."""
    from markdown_it import MarkdownIt  # only for whoever reads them in a browser

    markdown = MarkdownIt("commonmark").enable("table")
    markdown.add_render_rule("image", _picture)
    by_name = {page.name: page for page in pages}
    heads, bodies = [], []
    for part, names in ORDER.items():
        links = "".join(
            f'<li><a href="#{n}">{html.escape(by_name[n].title)}</a></li>' for n in names
        )
        heads.append(f"<h2>{part}</h2><ul>{links}</ul>")
    for page in pages:
        body = markdown.render(page.text)
        body = re.sub(r'href="([a-z-]+)\.md(#[^"]*)?"', r'href="#\1"', body)
        bodies.append(f'<section id="{page.name}">{body}</section>')
    frame = (FOLDER / "frame.html").read_text("utf-8")
    for key, value in {
        "version": version, "contents": "".join(heads), "pages": "\n".join(bodies)
    }.items():  # fmt: skip
        frame = frame.replace(f"<!--{key}-->", value)
    return frame


def _picture(_: Any, tokens: Any, at: int, *__: Any) -> str:
    """A picture inside the page, said in words for whoever cannot see it."""
    svg = (FOLDER / tokens[at].attrs["src"]).read_text("utf-8")
    words = html.escape(tokens[at].content)
    return f'<figure role="img" aria-label="{words}">{svg}<figcaption>{words}</figcaption></figure>'
