"""Where the program starts. Nothing is imported before Ctrl-C ends it without a word."""

import os
import signal


def run() -> None:
    """Run the command line as a program."""
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    from cofire.cli.main import run

    run()
