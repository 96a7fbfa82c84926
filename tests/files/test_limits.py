"""Limits of numbers in files: their ends are held from both sides."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.library import Library

KILN = {
    "name": '"x"', "source": '"test"', "heating_cold": '"900 C/h"', "heating_at_top": '"200 C/h"',
    "top": '"1100 C"', "cooling_half_time": '"90 min"', "lid_drop": '"90 C"',
    "lid_drop_after": '"10 s"', "lid_recovery": '"60 s"', "top_to_bottom": '"16 C"',
}  # fmt: skip


def kiln(folder: Path, **changed: str):  # type: ignore[no-untyped-def]
    path = folder / "kiln.toml"
    path.write_text("".join(f"{k} = {v}\n" for k, v in (KILN | changed).items()), "utf-8")
    return Library().kiln(path)


@pytest.mark.parametrize(
    ("key", "refused", "read"),
    [
        ("heating_cold", ('"0 C/h"', '"-5 C/h"'), ('"201 C/h"',)),
        ("cooling_half_time", ('"0 min"',), ('"1 min"',)),
        ("lid_drop", ('"601 C"', '"-1 C"'), ('"600 C"', '"0 C"')),
        ("lid_recovery", ('"0 s"',), ('"1 s"',)),
    ],
)
def test_ends_of_what_a_kiln_may_be(
    tmp_path: Path, key: str, refused: tuple[str, ...], read: tuple[str, ...]
) -> None:
    for value in refused:
        with pytest.raises(CofireError) as wrong:
            kiln(tmp_path, **{key: value})
        assert wrong.value.place is not None and wrong.value.place.line is not None
        line = (tmp_path / "kiln.toml").read_text("utf-8").splitlines()[wrong.value.place.line - 1]
        assert line.startswith(key)
    for value in read:
        kiln(tmp_path, **{key: value})
