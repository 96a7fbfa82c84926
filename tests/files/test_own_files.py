"""No file of a person is replaced unseen, whoever writes at the same moment."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from datetime import datetime
from pathlib import Path

import pytest

from cofire.answers.history import keep
from cofire.errors import CofireError
from cofire.files import atomic_write
from cofire.files.atomic_write import write_answer, writing
from cofire.files.edits import rewrite
from cofire.files.library import Library
from cofire.files.recipe_history import history_file, read_history

WHEN = datetime(2026, 5, 1, 14, 30)
TEXT = 'surface = "gloss"\n[base]\n"frit-3134-type" = 80\nkaolin = 20\n'
LIBRARY = Library(None)


def hidden(folder: Path) -> list[str]:
    return [p.name for p in folder.rglob(".*")]


# --- new files ------------------------------------------------------------------------------------

WRITER = """
import sys
from pathlib import Path
from cofire.errors import CofireError
from cofire.files.atomic_write import writing
for k in range(30):
    try:
        with writing(Path(sys.argv[1]) / str(k), new=True) as out:
            out.write(sys.argv[2])
            out.flush()
            Path(sys.argv[1], f"ready {k} {sys.argv[2]}").touch()
            while len(list(Path(sys.argv[1]).glob(f"ready {k} *"))) < 2:
                pass
    except CofireError as error:
        assert "already exists" in str(error), error
        continue
    print(k)
"""


def test_of_two_writers_of_a_new_file_one_wins_and_the_other_is_told(tmp_path: Path) -> None:
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, tmp_path, name], stdout=subprocess.PIPE, text=True
        )
        for name in "ab"
    ]
    won = [writer.communicate()[0].split() for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    assert sorted(map(int, won[0] + won[1])) == list(range(30))
    for name, numbers in zip("ab", won, strict=True):
        assert {(tmp_path / number).read_text() for number in numbers} <= {name}
    assert hidden(tmp_path) == []


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_came_meanwhile_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    path = tmp_path / "new.toml"
    if not links:  # as on some disks

        def refused(*_: object) -> None:
            raise PermissionError(1, "Operation not permitted")

        monkeypatch.setattr(os, "link", refused)
    with writing(path, new=True) as out:
        out.write("first")
    assert path.read_text() == "first"
    path.unlink()
    with pytest.raises(CofireError, match="already exists"), writing(path, new=True) as out:
        out.write("ours")
        path.write_text("theirs")
    assert path.read_text() == "theirs" and hidden(tmp_path) == []


# --- answers --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["a.svg", "a.html", "a.pdf"])
def test_an_answer_is_replaced_until_somebody_edits_it(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    kind = {"svg": "picture", "html": "page", "pdf": "PDF"}[path.suffix[1:]]
    for made in ("one\n", "two\nlines\n"):
        write_answer(path, kind, made)  # type: ignore[arg-type]
        assert path.read_text().startswith(made)
    edited = path.read_text().replace("two", "mine")
    path.write_text(edited)
    with pytest.raises(CofireError, match="somebody has edited it"):
        write_answer(path, kind, "three\n")  # type: ignore[arg-type]
    path.write_text(f"<p>around</p>\n{edited}")
    with pytest.raises(CofireError, match="already exists"):
        write_answer(path, kind, "three\n")  # type: ignore[arg-type]


# --- temporary files, links, modes ----------------------------------------------------------------


def test_what_killed_runs_left_is_swept_and_nothing_else(tmp_path: Path) -> None:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    mine = atomic_write._temporary_name(os.getpid())
    old = f".cofire-00000000-{os.getpid()}-aaaaaaaa"
    names = {
        atomic_write._temporary_name(gone.pid) + "aaaaaaaa": False,
        old: False,
        mine + "aaaaaaaa": True,
        f".cofire-00000000-{gone.pid}-bbbbbbbb": True,  # of another machine
        ".cofire-notes": True,
        ".x.toml.k3b9": True,
    }
    for name in names:
        (tmp_path / name).touch()
    os.utime(tmp_path / old, (0, 0))
    with writing(tmp_path / "x"):
        pass
    assert {p.name for p in tmp_path.iterdir()} == {n for n, kept in names.items() if kept} | {"x"}


def test_links_stay_links_and_hard_links_are_not_parted(tmp_path: Path) -> None:
    path, link, other = (tmp_path / name for name in ("x.toml", "link.toml", "other.toml"))
    path.write_text("old")
    link.symlink_to(path)
    rewrite(link, "old", "new")
    assert link.is_symlink() and path.read_text() == "new"
    os.link(path, other)
    with pytest.raises(CofireError, match="2 names"):
        rewrite(path, "new", "newer")
    assert path.read_text() == other.read_text() == "new" and hidden(tmp_path) == []


def test_a_link_in_a_circle_is_no_bug(tmp_path: Path) -> None:
    path = tmp_path / "x.svg"
    path.symlink_to(path)
    with pytest.raises(CofireError, match=r"x\.svg"):
        write_answer(path, "picture", "one")
    with pytest.raises(CofireError, match=r"x\.svg"):
        keep(LIBRARY, path, "", WHEN)
    assert path.is_symlink()


@pytest.mark.skipif(os.name != "posix", reason="modes and owners")
def test_a_history_is_open_to_no_more_people_than_its_recipe(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    for k, mode in enumerate((0o600, 0o640, 0o600)):
        path.write_text(TEXT.replace("20", str(20 + k)))
        path.chmod(mode)
        if os.getuid() == 0:
            os.chown(path, 1234, 1234)
        keep(LIBRARY, path, "", WHEN)
        found = history_file(path).stat()
        assert stat.S_IMODE(found.st_mode) == 0o600
        assert found.st_uid == path.stat().st_uid
    rewrite(path, path.read_text(), TEXT)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert found.st_uid == path.stat().st_uid


@pytest.mark.parametrize("moment", ["fsync", "chmod"])
def test_what_an_editor_saves_while_we_write_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    path = tmp_path / "x.toml"
    path.write_text(TEXT)
    owner = os if moment == "fsync" else Path
    real = getattr(owner, moment)

    def saved_meanwhile(*given: object) -> None:
        path.write_text("theirs")
        real(*given)

    monkeypatch.setattr(owner, moment, saved_meanwhile)
    with pytest.raises(CofireError, match="another program changed"):
        rewrite(path, TEXT, "ours")
    assert path.read_text() == "theirs" and hidden(tmp_path) == []


# --- histories ------------------------------------------------------------------------------------

ODD = [
    '# a """ quote\n' + TEXT,
    TEXT.replace("kaolin", "# sieve ''' twice \"\"\"\nkaolin"),
    TEXT.replace("[base]", '[base] # """'),
    "notes = '''a\n[x]\n[[version]]\n''''\n" + TEXT,
    'notes = "a \\""\n' + TEXT + "# '\n",
    'notes = """a \\""" [x]\n[y]"""\n' + TEXT,
    TEXT.replace("80", "80 # [ {").replace("[base]", "[ base ] # ]"),
]


@pytest.mark.parametrize("text", ODD)
def test_a_history_reads_back_whatever_stands_in_comments(tmp_path: Path, text: str) -> None:
    path = tmp_path / "x.toml"
    texts = [text.replace("= 20", f"= {k}") for k in range(11, 15)]
    for one in texts:
        path.write_text(one)
        assert keep(LIBRARY, path, "", WHEN).new
    assert [v.text for v in read_history(history_file(path)).versions] == texts


def test_a_history_grows_beyond_what_a_recipe_may_have(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    comments = "# a long note of Saltgrass Yard\n" * 45_000  # 1.4 MB
    for k in range(4):
        path.write_text(comments + TEXT.replace("20", str(20 + k)))
        keep(LIBRARY, path, "", WHEN)
    assert history_file(path).stat().st_size > 5_000_000
    assert len(read_history(history_file(path)).versions) == 4


def test_a_full_history_says_so_and_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "x.toml"
    path.write_text(TEXT)
    keep(LIBRARY, path, "", WHEN)
    before = history_file(path).read_bytes()
    monkeypatch.setattr("cofire.files.recipe_history.MAX_BYTES", len(before) + 10)
    path.write_text(TEXT.replace("20", "21"))
    with pytest.raises(CofireError, match="Move it to another name"):
        keep(LIBRARY, path, "", WHEN)
    assert history_file(path).read_bytes() == before


KILLED = """
import os, sys
from pathlib import Path
import cofire
count = 0
def counted(real):
    def moved(*words):
        global count
        count += 1
        if count == int(sys.argv[1]):
            os._exit(9)
        return real(*words)
    return moved
Path.replace, os.link = counted(Path.replace), counted(os.link)
cofire.Studio(".").set("x", "kaolin = 21", why="it crawled")
"""


@pytest.mark.parametrize("moment", [1, 2])
def test_a_reason_outlives_a_kill_between_history_and_recipe(tmp_path: Path, moment: int) -> None:
    (tmp_path / "studio.toml").touch()
    path = tmp_path / "recipes" / "x.toml"
    path.parent.mkdir()
    path.write_text(TEXT)
    words = [sys.executable, "-c", KILLED]
    assert subprocess.run([*words, str(moment)], cwd=tmp_path).returncode == 9
    assert path.read_text() == TEXT
    said = [v.why for v in read_history(history_file(path)).versions]
    assert said == (["as it was before the next change", "it crawled"] if moment == 2 else [])
    assert subprocess.run([*words, "9"], cwd=tmp_path).returncode == 0
    assert path.read_text() == TEXT.replace("20", "21")
    versions = read_history(history_file(path)).versions
    assert [v.why for v in versions] == ["as it was before the next change", "it crawled"]
    assert hidden(tmp_path) == []
