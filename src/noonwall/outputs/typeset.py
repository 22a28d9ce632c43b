"""Typeset a template of ``print_assets`` with typst: data go in as JSON, never as markup."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

import typst

from noonwall.errors import NoonwallError
from noonwall.outputs.faults import fault

FONTS = ("Source Sans Pro", "DejaVu Sans Mono")
"""The face of all print, and the one that stands in for letters it lacks (Arabic, Hebrew, some symbols)."""

STAND_IN = "□"
"""Printed for a character that neither face has."""

CAP_HEIGHT = 0.66
"""Height of a capital of Source Sans Pro as a share of the type size (its OS/2 table: 660 of 1000 units)."""

_NOT_FOR_PRINT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_MISSING = re.compile(r'the text `"(.+?)"` could not be displayed')
_ESCAPE = re.compile(r"\\u\{([0-9a-f]+)\}")


@dataclass(frozen=True, slots=True)
class Typeset:
    """A finished document: its bytes, its number of pages, the characters that no face could show, and how
    many pages its text fills (0 where the template does not tell)."""

    document: bytes
    pages: int
    not_shown: tuple[str, ...] = ()
    filled: float = 0.0


def typeset(template: str, data: Mapping[str, Any]) -> Typeset:
    """Return a template filled with ``data`` as a tagged PDF (PDF/UA-1, the same bytes for the same data).

    A character that no face has is printed as :data:`STAND_IN` and told in ``not_shown``; ``data`` reaches
    the template with ``not_shown`` added, so that the page can say so.

    Args:
        template: name of a file of ``print_assets``; it marks its last page with the label <pages>.
        data: plain values.

    Raises:
        NoonwallError: the template cannot be set, a fault of the program.
    """
    plain = cleaned(data)
    missing: tuple[str, ...] = ()
    compiler = _compiler(template)
    try:
        document = _pdf(compiler, plain, missing)
    except typst.TypstError as error:
        # every character that is missing is told at once, so a second run is enough
        missing = _missing(error)
        if not missing:
            raise _fault(template, error) from error
        plain = _without(plain, missing)
        try:
            document = _pdf(compiler, plain, missing)
        except typst.TypstError as again:
            raise _fault(template, again) from again
    pages = int(compiler.query("<pages>", field="value", one=True))
    filled = json.loads(compiler.query("<filled>", field="value"))
    return Typeset(document, pages, missing, float(filled[0]) if filled else 0.0)


def typeset_svg(template: str, data: Mapping[str, Any], not_shown: tuple[str, ...] = ()) -> str:
    """Return the one page of a template as SVG; ``not_shown`` is what :func:`typeset` told of the data."""
    plain = _without(cleaned(data), not_shown)
    return _compile(_compiler(template), "svg", plain, not_shown)[0].decode()


def typeset_pictures(template: str, data: Mapping[str, Any], dots_per_inch: float) -> list[bytes]:
    """Return every page of a template as a PNG picture."""
    return _compile(_compiler(template), "png", cleaned(data), (), dots_per_inch)


def cleaned(value: Any) -> Any:
    """Return plain values without the control characters and lone surrogates that no page can hold."""
    if isinstance(value, str):
        return _NOT_FOR_PRINT.sub("\ufffd", value)
    if isinstance(value, Mapping):
        return {key: cleaned(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [cleaned(each) for each in value]
    return value


def font_folder() -> Path:
    """Return the folder of the font files."""
    return Path(str(resources.files("font_source_sans_pro"))) / "files"


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])


@lru_cache(maxsize=8)
def _compiler(template: str) -> typst.Compiler:
    path = Path(str(resources.files("noonwall.outputs"))) / "print_assets" / template
    return typst.Compiler(str(path), root=str(path.parent), font_paths=_fonts(), ignore_system_fonts=True)


def _pdf(compiler: typst.Compiler, plain: Any, missing: tuple[str, ...]) -> bytes:
    made = compiler.compile(
        format="pdf", pdf_standards=["ua-1"], timestamp=0, sys_inputs=_inputs(plain, missing)
    )
    assert isinstance(made, bytes)
    return made


def _compile(
    compiler: typst.Compiler, kind: Any, plain: Any, missing: tuple[str, ...], ppi: float | None = None
) -> list[bytes]:
    made = compiler.compile(format=kind, sys_inputs=_inputs(plain, missing), ppi=ppi)
    assert made is not None
    return made if isinstance(made, list) else [made]


def _inputs(plain: Any, missing: tuple[str, ...]) -> dict[str, str]:
    codes = [" ".join(f"U+{ord(char):04X}" for char in text) for text in missing]
    return {"data": json.dumps({**plain, "fonts": FONTS, "not_shown": codes})}


def _missing(error: typst.TypstError) -> tuple[str, ...]:
    told = [
        _ESCAPE.sub(lambda code: chr(int(code[1], 16)), text) for text in _MISSING.findall(error.diagnostic)
    ]
    return tuple(dict.fromkeys(told))


def _without(value: Any, missing: tuple[str, ...]) -> Any:
    if isinstance(value, str):
        for text in missing:
            # joiners and variation selectors have no shape of their own: nothing stands in for them
            value = value.replace(text, STAND_IN if text.isprintable() and not _is_joint(text) else "")
        return value
    if isinstance(value, Mapping):
        return {key: _without(each, missing) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_without(each, missing) for each in value]
    return value


def _is_joint(text: str) -> bool:
    return all(char in "\u200b\u200c\u200d\u2060\ufeff" or "\ufe00" <= char <= "\ufe0f" for char in text)


def _fault(template: str, error: typst.TypstError) -> NoonwallError:
    return fault(NoonwallError, "print.not-typeset", template=template, reason=error.message)
