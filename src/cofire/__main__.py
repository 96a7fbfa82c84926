"""``python -m cofire`` is the command line."""

from cofire.cli.start import run

run()
