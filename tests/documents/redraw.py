"""Draws the pictures of the documents anew: ``python tests/documents/redraw.py``."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from cofire.documents import FOLDER


def main() -> None:
    with tempfile.TemporaryDirectory() as studio:
        environment = os.environ | {"COLUMNS": "100"}
        for path in sorted(FOLDER.glob("*.md")):
            for line in re.findall(r"^cofire .*--svg.*$", path.read_text("utf-8"), re.MULTILINE):
                words = shlex.split(line)[1:]
                command = [sys.executable, "-m", "cofire", *words]
                subprocess.run(command, cwd=studio, env=environment, stdout=subprocess.DEVNULL)
                name = words[words.index("--svg") + 1]
                shutil.copy(Path(studio) / name, FOLDER / "pictures" / name)
                print(f"{path.name}: {name}")


if __name__ == "__main__":
    main()
