"""Who may ask the page for anything, and what a page may load."""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import threading
import time
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

Role = Literal["owner", "writer", "guest"]

#: Letters of a code that nobody mistakes for each other, and how many of them a code has: 24**8
#: codes, far more than can be tried. Our choice, as the numbers below.
_LETTERS, _LENGTH = "ABCDEFGHJKLMNPQRTUVWXYZ234679"[:24], 8
#: A code may be used once and within so many seconds.
_CODE_LASTS_S = 900.0
#: Wrong codes that are heard in a minute from one address, and from all of them together before
#: every open code is withdrawn.
_WRONG_A_MINUTE, _WRONG_IN_ALL = 6, 20
#: Sessions at once.
_MOST_SESSIONS = 200

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: Sheets bring their own style and need nothing else.
SHEET_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'; sandbox allow-modals"
)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}


@dataclass
class Session:
    """Somebody who came in: with what right, when (clock of the system), and from where."""

    id: str
    role: Role
    since: float
    address: str

    @property
    def short(self) -> str:
        """By which it can be named on a page without giving it away."""
        return hashlib.sha256(self.id.encode()).hexdigest()[:10]


@dataclass
class Code:
    """A code that lets one phone in."""

    text: str
    role: Role
    until: float


@dataclass
class Guard:
    """The door: ``key`` is the secret of this studio, ``hosts`` the names the page has."""

    key: bytes
    hosts: frozenset[str]
    sessions: dict[str, Session] = field(default_factory=dict)
    codes: dict[str, Code] = field(default_factory=dict)
    _wrong: deque[tuple[float, str]] = field(default_factory=deque)
    _wrong_in_all: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        self.owner = self._signed("owner")
        self.sessions[self.owner] = Session(self.owner, "owner", time.time(), "this computer")

    def _signed(self, text: str) -> str:
        return hmac.new(self.key, text.encode(), hashlib.sha256).hexdigest()

    @property
    def way_in(self) -> str:
        """What the owner's own browser shows, once for each browser."""
        return self._signed("way in")[:32]

    def token(self, session: Session) -> str:
        """What every form and request of a page that changes something has to carry."""
        return self._signed(f"token {session.id}")

    def is_token(self, session: Session, given: str) -> bool:
        return hmac.compare_digest(self.token(session).encode(), given.encode("utf-8", "replace"))

    def session(self, id: str | None) -> Session | None:
        return self.sessions.get(id or "")

    def is_host(self, host: str) -> bool:
        return host.lower() in self.hosts

    def is_own_origin(self, origin: str, host: str) -> bool:
        return origin.lower() == f"http://{host.lower()}" and self.is_host(host)

    def new_code(self, role: Role) -> Code:
        """A code for one phone."""
        text = "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))
        code = Code(text, role, time.monotonic() + _CODE_LASTS_S)
        with self._lock:
            self.codes[text] = code
            self._wrong_in_all = 0
        return code

    def withdraw(self, codes: Iterable[str] | None = None) -> None:
        """Close codes that nobody has used: these, or all."""
        with self._lock:
            for text in list(self.codes) if codes is None else list(codes):
                self.codes.pop(text, None)

    def may_try(self, given: str, address: str) -> bool:
        """Whether a code from an address is heard now; that of the owner, which nobody can guess,
        always is."""
        if self._is_way_in(given):
            return True
        now = time.monotonic()
        with self._lock:
            while self._wrong and now - self._wrong[0][0] > 60.0:
                self._wrong.popleft()
            return sum(one == address for _, one in self._wrong) < _WRONG_A_MINUTE

    def _is_way_in(self, given: str) -> bool:
        return hmac.compare_digest(self.way_in.encode(), given.encode("utf-8", "replace"))

    def enter(self, given: str, address: str) -> Session | None:
        """A session for a right code; None for a wrong one, which counts."""
        if self._is_way_in(given):
            return self.sessions[self.owner]
        text = re.sub(r"[^A-Z0-9]", "", given.upper())[:64]
        with self._lock:
            code = self.codes.get(text)
            if code is None or time.monotonic() > code.until:
                self._wrong.append((time.monotonic(), address))
                self._wrong_in_all += 1
                if self._wrong_in_all >= _WRONG_IN_ALL:
                    self.codes.clear()
                return None
            del self.codes[text]
            if len(self.sessions) >= _MOST_SESSIONS:
                return None
            session = Session(secrets.token_hex(32), code.role, time.time(), address)
            self.sessions[session.id] = session
            return session

    def revoke(self, short: str) -> bool:
        """End the session of this short name; the owner's stays."""
        with self._lock:
            for id, session in list(self.sessions.items()):
                if session.short == short and session.role != "owner":
                    del self.sessions[id]
                    return True
        return False

    def revoke_all(self) -> None:
        """End every session but the owner's, and every open code."""
        self.withdraw()
        with self._lock:
            for id, session in list(self.sessions.items()):
                if session.role != "owner":
                    del self.sessions[id]
