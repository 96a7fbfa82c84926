"""History grows and never loses; a change of one amount touches one line and nothing else."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import threading
import tomllib
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.answers.history import keep
from cofire.errors import CofireError
from cofire.files.edits import locked, rewrite, with_amount
from cofire.files.library import Library
from cofire.files.recipe_history import add_version, history_file, read_history

WHEN = datetime(2026, 5, 1, 14, 30)
#: What people write into files: comments everywhere, odd spacing, long strings, headers in them.
ODD = '''\
  # Saltgrass Yard, the blue book
name   =  "Odd tide" # ours
surface = 'crackle'
notes = """
[base] is not a table here,
[[version]] neither # nor is this a comment
"""
undissolved = { "tin oxide" = 80 }

  [ base ]   # parts
"soda-borosilicate frit, 3110 type" = 60.0   # from the tall bin
  "calcium borate frit, 3134 type"=28
# kaolin = 20, before the winter
kaolin = 12# new sack

[additions] # per 100
"tin oxide" = 5.50

# end
'''
LIBRARY = Library(None)


def recipe(folder: Path, text: str = ODD, name: str = "odd.toml") -> Path:
    path = folder / "recipes" / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text.encode())
    return path


def test_a_version_is_the_very_text_and_the_file_only_grows(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    before = b""
    texts = [ODD, ODD.replace("= 12#", "= 11#"), ODD.replace("tin oxide", "zircon").strip()]
    texts = [t for t in texts if "zircon" not in t] + [ODD.replace("28", "27.25") + "\n\n\n"]
    for k, text in enumerate(texts):
        path.write_text(text)
        kept = keep(LIBRARY, path, f'reason “{k}” \\ "x"\n two', WHEN)
        assert kept.new and kept.version.number == k + 1
        now = history_file(path).read_bytes()
        assert now.startswith(before) and len(now) > len(before)
        before = now
        assert not keep(LIBRARY, path, "again", WHEN).new
        assert history_file(path).read_bytes() == before
    versions = read_history(history_file(path)).versions
    assert [v.text for v in versions] == texts
    assert [v.why for v in versions] == [f'reason “{k}” \\ "x" two' for k in range(3)]
    assert all(v.when == WHEN for v in versions)
    assert len({v.code for v in versions}) == 3


def test_other_programs_can_read_it(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    keep(LIBRARY, path, "first", WHEN)
    item = tomllib.loads(history_file(path).read_text())["version"][0]
    data = tomllib.loads(ODD)
    assert {k: item.pop(k) for k in ("when", "why")} == {"when": WHEN, "why": "first"}
    assert len(item.pop("code")) == 6
    assert item == data


def test_a_changed_comment_is_no_new_version(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    keep(LIBRARY, path, "", WHEN)
    path.write_text(ODD.replace("tall bin", "small bin"))
    assert not keep(LIBRARY, path, "", WHEN).new
    path.write_text(ODD.replace("= 12#", "= 12.5#"))
    assert keep(LIBRARY, path, "", WHEN).new


COMMENT = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), max_size=12).filter(
    str.isprintable
)


@given(st.lists(COMMENT, min_size=3, max_size=3), st.sampled_from(["'''", '"""']), st.booleans())
def test_any_text_comes_back_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, words: list[str], mark: str, blank: bool
) -> None:
    inside = words[2].replace(mark[0], "").replace("\\", "")
    text = (
        f"# {words[0]}\nsurface = 'gloss' # {words[1]}\nnotes = {mark}\n[x]\n[[version]]\n{inside}"
        f"{mark}\n[base]\nkaolin = 3 # [base] {words[0]}\n" + "\n" * blank
    )
    path = tmp_path_factory.mktemp("h") / "x.toml"
    for number in range(3):
        why = " ".join(words[1].split())
        add_version(read_history(path), text, why, "ABCDEF", WHEN)
        versions = read_history(path).versions
        assert len(versions) == number + 1
        for version in versions:
            assert tomllib.loads(version.text) == tomllib.loads(text)
        if not any(m in w for m in ("'''", '"""') for w in words):
            assert [v.text for v in versions] == [text] * (number + 1)


def test_a_damaged_history_is_left_alone(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    keep(LIBRARY, path, "", WHEN)
    file = history_file(path)
    for damage in ("<<<<<<< mine\n", "[other]\n", 'version = "3"\n'):
        broken = damage + file.read_text() if damage[0] != "[" else file.read_text() + damage
        file.write_text(broken)
        path.write_text(ODD.replace("28", "26"))
        with pytest.raises(CofireError, match=r"odd\.toml"):
            keep(LIBRARY, path, "", WHEN)
        assert file.read_text() == broken
        file.unlink()
        path.write_text(ODD)
        keep(LIBRARY, path, "", WHEN)


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = recipe(tmp_path)
    keep(LIBRARY, path, "", WHEN)
    before = history_file(path).read_bytes()
    path.write_text(ODD.replace("28", "26"))

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CofireError, match="No space left"):
        keep(LIBRARY, path, "", WHEN)
    assert history_file(path).read_bytes() == before
    assert [p.name for p in history_file(path).parent.iterdir()] == ["odd.toml"]


def test_a_rename_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = recipe(tmp_path)

    def broken(*_: object) -> None:
        raise OSError(errno.EIO, "broken")

    monkeypatch.setattr(Path, "replace", broken)
    with pytest.raises(CofireError, match="broken"):
        rewrite(path, ODD, "other")
    assert path.read_text() == ODD


KILLED = """
import os, signal, sys
from datetime import datetime
from pathlib import Path
from cofire.answers.history import keep
from cofire.files.library import Library
real = {name}
def killed(*args, **more):
    os.kill(os.getpid(), signal.SIGKILL)
{name} = killed
keep(Library(None), Path(sys.argv[1]), "killed", datetime(2026, 6, 1))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
@pytest.mark.parametrize("name", ["os.fsync", "Path.replace", "Path.chmod"])
def test_killed_in_the_middle_nothing_is_lost_or_half_written(tmp_path: Path, name: str) -> None:
    path = recipe(tmp_path)
    keep(LIBRARY, path, "", WHEN)
    before = history_file(path).read_bytes()
    path.write_text(ODD.replace("28", "26"))
    done = subprocess.run([sys.executable, "-c", KILLED.format(name=name), str(path)], check=False)
    assert done.returncode == -9
    assert history_file(path).read_bytes() == before
    assert len(read_history(history_file(path)).versions) == 1
    assert keep(LIBRARY, path, "now", WHEN).version.number == 2  # no lock stays behind


def test_who_writes_at_the_same_moment_is_not_overwritten(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    path.write_text("theirs")
    with pytest.raises(CofireError, match="another program changed"):
        rewrite(path, ODD, "ours")
    assert path.read_text() == "theirs"
    with pytest.raises(CofireError, match="another program changed"):
        rewrite(path, None, "ours")
    path.unlink()
    with pytest.raises(CofireError, match="another program changed"):
        rewrite(path, ODD, "ours")
    assert not path.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="locks of folders")
def test_twenty_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    code = (
        "import sys\nfrom datetime import datetime\nfrom pathlib import Path\n"
        "from cofire.files.edits import locked\n"
        "from cofire.files.recipe_history import add_version, history_file, read_history\n"
        "path = Path(sys.argv[1])\n"
        "for k in range(5):\n"
        "    with locked(path.parent):\n"
        "        add_version(read_history(history_file(path)), path.read_text(),\n"
        "                    sys.argv[2] + str(k), 'ABCDEF', datetime(2026, 5, 1))\n"
    )
    running = [subprocess.Popen([sys.executable, "-c", code, str(path), name]) for name in "abcd"]
    assert [p.wait() for p in running] == [0] * 4
    said = [v.why for v in read_history(history_file(path)).versions]
    assert sorted(said) == sorted(f"{name}{k}" for name in "abcd" for k in range(5))


@pytest.mark.skipif(sys.platform == "win32", reason="locks of folders")
def test_who_waits_too_long_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cofire.files.edits._PATIENCE_S", 0.1)
    held, done = threading.Event(), threading.Event()

    def hold() -> None:
        with locked(tmp_path):
            held.set()
            done.wait(5)

    other = threading.Thread(target=hold)
    other.start()
    held.wait(5)
    with pytest.raises(CofireError, match="another cofire is writing"), locked(tmp_path):
        pass
    done.set()
    other.join()
    with locked(tmp_path):
        pass


def lines_changed(old: str, new: str) -> tuple[list[str], list[str]]:
    a, b = old.splitlines(keepends=True), new.splitlines(keepends=True)
    return [x for x in a if x not in b], [x for x in b if x not in a]


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize(
    ("section", "key", "amount", "old", "new"),
    [
        ("base", "kaolin", "10", ["kaolin = 12# new sack"], ["kaolin = 10# new sack"]),
        (
            "base",
            "calcium borate frit, 3134 type",
            "27.50",
            ['  "calcium borate frit, 3134 type"=28'],
            ['  "calcium borate frit, 3134 type"=27.50'],
        ),
        ("base", "silica", "4", [], ["silica = 4"]),
        ("additions", "copper carbonate", "2.5", [], ['"copper carbonate" = 2.5']),
        ("additions", "tin oxide", None, ['"tin oxide" = 5.50'], []),
        ("base", "kaolin", None, ["kaolin = 12# new sack"], []),
    ],
)
def test_one_line_changes_and_no_other_byte(
    end: str, mark: str, section: str, key: str, amount: str | None, old: list[str], new: list[str]
) -> None:
    text = mark + ODD.replace("\n", end)
    edited = with_amount(text, Path("odd.toml"), section, key, amount)
    assert lines_changed(text, edited) == ([x + end for x in old], [x + end for x in new])
    assert edited.startswith(mark) and edited.count("\ufeff") == len(mark)
    kept = [x for x in text.splitlines(keepends=True) if x not in [o + end for o in old]]
    assert [x for x in edited.splitlines(keepends=True) if x not in [n + end for n in new]] == kept


def test_a_section_of_additions_is_begun_and_a_last_line_completed() -> None:
    text = "surface = 'gloss'\n[base]\nkaolin = 3"
    edited = with_amount(text, Path("x.toml"), "additions", "tin oxide", "5")
    assert edited == text + '\n\n[additions] # on top, in the same parts\n"tin oxide" = 5\n'


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_new_line_stands_below_the_last_amount(end: str) -> None:
    """Comments below a table belong to the next one, or to nothing."""
    text = (
        "surface = 'gloss'\n[base]\n  kaolin = 15 # sack\n\n# about additions\n[additions]\n"
        "bentonite = 1 # one\u2028line\n# tin = 2\n\n# end\n"
    ).replace("\n", end)
    edited = with_amount(text, Path("x.toml"), "base", "silica", "3")
    assert edited == text.replace(f"sack{end}", f"sack{end}  silica = 3{end}")
    edited = with_amount(text, Path("x.toml"), "additions", "zircon", "3")
    assert edited == text.replace(f"line{end}", f"line{end}zircon = 3{end}")
    emptied = text.replace(f"bentonite = 1 # one\u2028line{end}", "")
    edited = with_amount(emptied, Path("x.toml"), "additions", "zircon", "3")
    assert edited == emptied.replace(f"[additions]{end}", f"[additions]{end}zircon = 3{end}")


@pytest.mark.parametrize("additions", ["additions = {}", "additions = { tin = 1 }"])
def test_a_table_in_one_line_takes_a_new_amount(additions: str) -> None:
    text = f"surface = 'gloss'\n{additions} # on top\n[base]\nkaolin = 3\n"
    edited = with_amount(text, Path("x.toml"), "additions", "zircon", "5")
    assert tomllib.loads(edited)["additions"]["zircon"] == 5
    assert edited.splitlines()[2:] == text.splitlines()[2:] and "# on top" in edited


@pytest.mark.skipif(sys.platform == "win32", reason="links")
def test_a_link_has_the_history_of_its_file(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    link = path.with_name("link.toml")
    link.symlink_to(path.name)
    assert history_file(link) == history_file(path) == path.parent / "history" / "odd.toml"
    keep(LIBRARY, link, "", WHEN)
    assert not keep(LIBRARY, path, "", WHEN).new


def test_a_file_in_the_way_of_the_history_is_named(tmp_path: Path) -> None:
    path = recipe(tmp_path)
    (path.parent / "history").write_text("mine")
    with pytest.raises(CofireError, match=r"history: a file .* Move or rename"):
        keep(LIBRARY, path, "", WHEN)
    assert (path.parent / "history").read_text() == "mine"


def test_a_layout_that_cannot_be_kept_is_refused_or_kept() -> None:
    text = "surface = 'gloss'\nbase = { kaolin = 3, silica = 4 } # tight\n"
    edited = with_amount(text, Path("x.toml"), "base", "kaolin", "5")
    assert edited == text.replace("kaolin = 3", "kaolin = 5")
