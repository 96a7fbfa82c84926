"""Files that nobody wrote by hand are refused before they are read."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files import toml
from cofire.files.certificates import read_certificate
from cofire.files.long_tables import long_table

POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes and devices with names")
HERE = Path("x.toml")
#: A run that hangs is ended at last.
GUARD = "import signal\nsignal.alarm(300)\n" if os.name == "posix" else ""
READ = "import sys\nfrom pathlib import Path\nfrom cofire.files import toml\n"


def refused_in_time(code: str, path: Path) -> str:
    """What reading it says, in a process of its own, because it may hang."""
    done = subprocess.run(
        [sys.executable, "-c", GUARD + code, path], capture_output=True, text=True
    )
    assert done.returncode == 1 and "DataFileError" in done.stderr, done.stderr
    return done.stderr


@POSIX
def test_pipes_devices_and_sockets_are_no_files(tmp_path: Path) -> None:
    pipe, sock = tmp_path / "pipe.toml", tmp_path / "s"
    os.mkfifo(pipe)
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(sock))
        for path in (pipe, sock, Path("/dev/zero"), Path("/dev/null")):
            assert str(path) in refused_in_time(f"{READ}toml.read_bytes(Path(sys.argv[1]))", path)
    with pytest.raises(CofireError, match="folder"):
        toml.read_bytes(tmp_path)


@POSIX
def test_a_pipe_in_the_studio_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").touch()
    (tmp_path / "recipes").mkdir()
    os.mkfifo(tmp_path / "recipes" / "pipe.toml")
    done = subprocess.run(
        [sys.executable, "-c", f"{GUARD}from cofire.cli.start import run; run()", "recipes"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0 and "cannot be read" in done.stdout
    assert "clear-crackle" in done.stdout


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("\na" + ".a" * 9000 + " = 1\n", 2, "dots"),
        ("[" + "a." * 3000 + "a]\n", 1, "dots"),
        ("x = { " + "a." * 3000 + "a = 1 }\n", 1, "dots"),
        ("a = " + "[" * 3000, 1, "brackets"),
        ("a = [\n" + "[\n" * 3000, 21, "brackets"),
        ("a = " + "9" * 5000, 1, "word or number"),
        ("a = 0x" + "f" * 5000, 1, "word or number"),
        ("a = " + " " * 30_000 + "1e5", 1, "letters in a line"),
        ("a = '''" + "\n" * 200_000 + "'''", 100_001, "lines"),
    ],
)
def test_what_nobody_writes_by_hand_never_reaches_the_parser(
    monkeypatch: pytest.MonkeyPatch, text: str, line: int, word: str
) -> None:
    monkeypatch.setattr("tomllib.loads", lambda _: pytest.fail("it was parsed"))
    with pytest.raises(CofireError, match=word) as caught:
        toml.parse(text, HERE)
    assert caught.value.place and caught.value.place.line == line


def test_brackets_and_dots_in_texts_and_comments_are_no_matter() -> None:
    many = "[{" * 50 + "." * 50
    text = f'a = "{many}" # {many}\nb = """\n{many}\n"""\nc = \'\'\'{many}\'\'\'\n'
    text += "[t]\nx = [1.5, 2.5]\n"
    assert toml.parse(text, HERE).data["t"] == {"x": [1.5, 2.5]}
    assert toml.parse(text, HERE).lines["t", "x"] == 7


SLOW = {
    "heading": "x = [\n" + ("[" + " " * 15_000 + "\n") * 15 + "\n]\n",
    "blanks": (" " * 19_000 + "x\n") * 150,
    "quotes": ('a = "' + '\\"' * 9000 + "\n") * 150,
}


@pytest.mark.parametrize("name", SLOW)
def test_lines_are_found_in_a_time_that_grows_with_the_text(tmp_path: Path, name: str) -> None:
    path = tmp_path / "x.toml"
    path.write_text(SLOW[name])
    read = "text = toml.read_text(Path(sys.argv[1]))\n"
    refused_in_time(f"{READ}{read}toml._locate(text)\ntoml.parse(text, Path())", path)


@pytest.mark.parametrize("value", ["5" + " " * 60_000 + "x", "1" * 140_000, "= " * 9000])
def test_a_long_line_of_a_certificate_is_refused(tmp_path: Path, value: str) -> None:
    path = tmp_path / "c.csv"
    path.write_text(f"SiO2,{value}\nAl2O3,3\n")
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from cofire.files.certificates import read_certificate\n"
        "read_certificate(Path(sys.argv[1]).read_text(), Path())"
    )
    refused_in_time(code, path)


def test_a_line_that_is_only_drawn_is_no_oxide() -> None:
    text = "SiO2 60\n=====\n:\n=\nAl2O3 40\n"
    assert set(read_certificate(text, HERE).oxides_wt_percent) == {"SiO2", "Al2O3"}


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("name,SiO2\n" + "a" * 140_000 + ",70\n", "a cell has more"),
        ("name,SiO2\na,70\n" + "7" * 1_200_000 + "\n", "line has more"),
        ('name,SiO2\n"a,70\n' + "7,7\n" * 100_000, "a cell has more"),
    ],
)
def test_a_table_of_endless_cells_is_refused(tmp_path: Path, text: str, word: str) -> None:
    path = tmp_path / "t.csv"
    path.write_text(text)
    with pytest.raises(CofireError, match=word), long_table(path) as table:
        list(table.rows())


def test_an_endless_pipe_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cofire.files.long_tables._LONGEST_PIPE", 1 << 20)

    class Endless:
        def read(self, size: int) -> bytes:
            return (b"y\n" * size)[:size]

    with pytest.raises(CofireError, match="piped in"), long_table(HERE, Endless()):  # type: ignore[arg-type]
        pass
    with pytest.raises(CofireError, match="more than 4 MB"):
        toml.read_stream(Endless(), HERE)  # type: ignore[arg-type]


def test_keys_written_with_dots_are_found_by_line() -> None:
    text = 'base.kaolin = 5\n[a."b.c"]\nd = 1\nbase . "x\\u0061" = 2\n[[e]]\n[[e]]\nf = 1'
    lines = toml.Document(HERE, {}, text).lines
    assert lines["base", "kaolin"] == 1 and lines["a", "b.c", "d"] == 3
    assert lines["a", "b.c", "base", "xa"] == 4 and lines["e", "1", "f"] == 7
