"""Templates filled for one request: its language, its token, and everything escaped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from noonwall.pipeline.studio_words import LANGUAGES, PageWords, studio_language, studio_words
from noonwall.studio.assets import Asset
from noonwall.studio.keys import Keys, Session

LANGUAGE_COOKIE = "noonwall_language"
A_YEAR_SECONDS = 31_536_000


def usual_environment() -> Environment:
    """Return the templates of the studio: every value is escaped, a name that is not there is an error."""
    return Environment(
        loader=PackageLoader("noonwall.studio", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@dataclass(frozen=True, slots=True)
class Pages:
    """What every page needs to be made."""

    environment: Environment
    assets: Mapping[str, Asset]
    keys: Keys
    language: str | None = None

    def language_of(self, request: Request) -> str:
        """Return the language of a request: of its address, chosen before, of the command, or usual."""
        asked = request.query_params.get("lang", "")
        chosen = request.cookies.get(LANGUAGE_COOKIE, "")
        for tag in (asked, chosen, self.language or ""):
            if tag in LANGUAGES:
                return tag
        return studio_language(request.headers.get("accept-language", ""))

    def words_of(self, request: Request) -> PageWords:
        """Return the words in the language of a request."""
        return studio_words(self.language_of(request))

    def page(self, request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
        """Return a template filled as the answer to a request; a language asked for is remembered."""
        session: Session | None = request.scope.get("state", {}).get("session")
        words = self.words_of(request)
        common = {
            "token": self.keys.form_token(session) if session else "",
            "is_device": bool(session and session.is_paired),
            "is_known": session is not None,
            "path": request.url.path,
        }
        answer = HTMLResponse(self.fill(template, words, **common, **values), status)
        if request.query_params.get("lang", "") in LANGUAGES:
            answer.set_cookie(
                LANGUAGE_COOKIE, words.language, max_age=A_YEAR_SECONDS, httponly=True, samesite="strict"
            )
        return answer

    def fill(self, template: str, words: PageWords, **values: Any) -> str:
        """Return a template filled with the words of a language and ``values``."""
        other = next(tag for tag in LANGUAGES if tag != words.language)
        return self.environment.get_template(template).render(
            t=words.say,
            n=words.number,
            words=words,
            language=words.language,
            other=other,
            asset=self.address,
            **values,
        )

    def address(self, name: str) -> str:
        """Return the address of an asset, which changes with its content."""
        return f"/static/{name}?v={self.assets[name].mark}"
