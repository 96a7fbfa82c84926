"""Starting the page: where it listens, who is told, and the browser."""

from __future__ import annotations

import contextlib
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path
from threading import Timer

from cofire.errors import refusal
from cofire.page.app import MAX_BODY, bench_app
from cofire.studio import Studio

#: The port that is tried first, and how many after it; our choice.
PORT, _TRIED = 8463, 20
#: Threads that answer, open connections, and seconds that a slow one is waited for.
_THREADS, _CONNECTIONS, _PATIENCE_S = 12, 400, 30
#: Connections that wait to be accepted; our choice.
_WAITING = 1024
_MAX_HEADERS = 32_768


def studio_folder(studio: Studio) -> Path:
    """The studio's own folder; an empty folder becomes one. Raises CofireError."""
    if studio.library.studio is not None:
        return studio.library.studio
    here = Path.cwd()
    if any(here.iterdir()):
        raise refusal("bench-not-empty", folder=here.name)
    Studio.init(here)
    return here


def lan_address() -> str | None:
    """This computer's address in its own network; None without one. Nothing is sent."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # an address of documentation (RFC 5737)
        return str(probe.getsockname()[0])
    return None


def listening(port: int | None, host: str) -> socket.socket:
    """A socket that listens at the port, or at the first free one. Raises DataFileError where the
    port that was asked for is taken."""
    for one in [port] if port is not None else range(PORT, PORT + _TRIED):
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind((host, one))
            found.listen(_WAITING)  # until then another program may bind it, too
            return found
        except OSError:
            found.close()
    taken = PORT if port is None else port
    raise refusal("bench-port-taken", port=taken, next=taken + _TRIED)


def serve(
    folder: Path, *, port: int | None, lan: bool, open_page: bool, say: Callable[[str], None]
) -> None:
    """Answer until it is stopped with Ctrl+C."""
    from waitress.server import create_server

    address = lan_address() if lan else None
    door = listening(port, "0.0.0.0" if address else "127.0.0.1")
    at = door.getsockname()[1]
    names = ["127.0.0.1", "localhost", *([address] if address else [])]
    app = bench_app(
        folder, frozenset(f"{name}:{at}" for name in names), f"{address}:{at}" if address else None
    )
    server = create_server(
        app, sockets=[door], threads=_THREADS, connection_limit=_CONNECTIONS,
        channel_timeout=_PATIENCE_S, max_request_body_size=MAX_BODY + 4096,
        max_request_header_size=_MAX_HEADERS, ident=None, clear_untrusted_proxy_headers=True,
    )  # fmt: skip
    guard = app.extensions["guard"]
    link = f"http://127.0.0.1:{at}/in?code={guard.way_in}"
    say(f"The bench of “{folder.name}” is open at\n\n  {link}\n")
    if not lan:
        say("Only this computer can open it.")
    say("Stop it with Ctrl+C; whatever lies on it stays.")
    if lan:
        if address:
            _invite(guard.new_code("writer").text, f"{address}:{at}", say)
        else:
            say("This computer is in no network: there is nothing for a phone to open.")
    if open_page:
        opener = Timer(0.3, webbrowser.open, [link])
        opener.daemon = True  # a browser in this terminal keeps nothing waiting
        opener.start()
    try:
        server.run()
    except KeyboardInterrupt:
        say("The bench is closed.")
    finally:
        server.close()


def _invite(code: str, where: str, say: Callable[[str], None]) -> None:
    """A code for one phone, to be photographed off the screen."""
    import io

    import segno

    out = io.StringIO()
    link = f"http://{where}/in?code={code}"
    segno.make(link, error="m", micro=False).terminal(out, compact=True)
    say("\nOne phone in this network may come in with this picture, once, within 15 minutes:\n")
    say(out.getvalue())
    say(f"or at  http://{where}/in  with the code  {code[:4]} {code[4:]}")
    say("What phones send is not encrypted: use --lan only in a network that you trust.")
