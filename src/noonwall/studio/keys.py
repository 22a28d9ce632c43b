"""Who may come in: the browser that the command opened, and devices paired by a code shown on its screen."""

from __future__ import annotations

import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256

CODE_DIGITS = 6
CODE_SECONDS = 300.0
"""How long a pairing code is good for: long enough to walk to the tablet."""

MOST_WRONG_CODES = 5
"""Wrong codes after which a code is void: one row of guesses in 200,000 gets in (SP 800-63B allows 100)."""

MOST_DEVICES = 32
SESSION_SECONDS = 30 * 24 * 3600.0


@dataclass(frozen=True, slots=True)
class Session:
    """One browser that may come in; ``token`` is its cookie, ``id`` its name in the list of devices."""

    id: str
    token: str
    name: str
    is_paired: bool
    since: float


@dataclass(frozen=True, slots=True)
class Code:
    """A pairing code and the moment (of the clock of :class:`Keys`) at which it ends."""

    digits: str
    ends: float


@dataclass
class Keys:
    """Opening key, sessions and the pairing code of one run of the studio; nothing of it outlives the run."""

    clock: Callable[[], float] = time.monotonic
    opening: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    sessions: dict[str, Session] = field(default_factory=dict)
    code: Code | None = None
    wrong_codes: int = 0

    def open(self, key: str) -> Session | None:
        """Return a new session for the key that the command printed, None for a wrong one."""
        if not hmac.compare_digest(key.encode(), self.opening.encode()):
            return None
        return self._begin("", is_paired=False)

    def session(self, token: str) -> Session | None:
        """Return the session of a cookie, None if it is unknown, revoked or too old."""
        found = self.sessions.get(token)
        if found is not None and self.clock() - found.since > SESSION_SECONDS:
            del self.sessions[token]
            return None
        return found

    def form_token(self, session: Session) -> str:
        """Return what every change sent by this session must carry beside its cookie."""
        return hmac.new(self.secret, session.token.encode(), sha256).hexdigest()

    def is_form_token(self, session: Session, given: str) -> bool:
        """True if ``given`` is the token of this session; takes the same time for all wrong ones."""
        return hmac.compare_digest(self.form_token(session).encode(), given.encode())

    def new_code(self) -> Code:
        """Return a fresh pairing code; an older one is void from now on."""
        digits = "".join(secrets.choice("0123456789") for _ in range(CODE_DIGITS))
        self.code, self.wrong_codes = Code(digits, self.clock() + CODE_SECONDS), 0
        return self.code

    def pair(self, digits: str, name: str) -> Session | None:
        """Return a session for a device that shows the pairing code; None for a wrong, void or used one."""
        code = self.code
        if code is None or self.clock() >= code.ends or len(self.devices) >= MOST_DEVICES:
            return None
        if not hmac.compare_digest(digits.encode(), code.digits.encode()):
            self.wrong_codes += 1
            if self.wrong_codes >= MOST_WRONG_CODES:
                self.code = None
            return None
        self.code = None
        return self._begin(name, is_paired=True)

    @property
    def devices(self) -> list[Session]:
        """All paired devices, the oldest first."""
        return [session for session in self.sessions.values() if session.is_paired]

    def revoke(self, known: str) -> bool:
        """Shut a paired device out from now on; False if there is none of that id."""
        for token, session in list(self.sessions.items()):
            if session.id == known and session.is_paired:
                del self.sessions[token]
                return True
        return False

    def _begin(self, name: str, *, is_paired: bool) -> Session:
        token = secrets.token_urlsafe(32)
        session = Session(secrets.token_hex(4), token, name[:40], is_paired, self.clock())
        self.sessions[token] = session
        return session
