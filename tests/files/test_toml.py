"""What is written as TOML reads back."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from cofire.files.toml import bare, written


@given(st.text(st.characters(blacklist_categories=("Cs",))))
def test_what_is_written_as_toml_reads_back_to_the_letter(text: str) -> None:
    line = f"{bare(text)} = {written({text: [text, 1.5, True]})}"
    assert tomllib.loads(line) == {text: {text: [text, 1.5, True]}}
