"""``python -m cofire`` is the command line."""

from cofire.cli.main import main

main()
