"""Safe pieces of HTML: text, data and the page's symbols."""

from __future__ import annotations

import json
import re
from html import escape

from noonwall.dance.turns import EIGHTHS, clock
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.soles import CONTACTS, sole

# Controls and lone surrogates cannot stand in HTML; they are shown as the replacement character.
_NOT_FOR_HTML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_PLACEHOLDER = re.compile(r"\{\{(\w+)\}\}")
_FOR_SCRIPT = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}

ICONS = {
    "wrong": '<path d="M5 1h6l4 4v6l-4 4H5l-4-4V5z"/><path class="hole" d="M5 5l6 6M11 5l-6 6"/>',
    "doubtful": '<path d="M8 1l7.5 14H.5z"/><path class="hole" d="M8 6v4.2M8 12.2v.9"/>',
    "advice": '<circle cx="8" cy="8" r="7.3"/><path class="hole" d="M8 7.2v5M8 3.7v1"/>',
    "gap": '<path class="open" d="M5 2H2v12h3M11 2h3v12h-3" /><path class="open" d="M6.5 8h3"/>',
    "play": '<path d="M4 2l10 6-10 6z"/>',
    "pause": '<path d="M3 2h4v12H3zM9 2h4v12H9z"/>',
    "back": '<path d="M11 2v12L3 8z"/><path d="M12 2h2v12h-2z"/>',
    "next": '<path d="M5 2v12l8-6z"/><path d="M2 2h2v12H2z"/>',
    "start": '<path d="M14 2v12L8.5 8zM8 2v12L2.5 8zM1 2h1.5v12H1z"/>',
    "loop": '<path class="open" d="M4 11.5A5 5 0 0 1 4 4h7M8.5 1.5 11.5 4l-3 2.5M12 4.5A5 5 0 0 1 12 12H8"/>',
    "front": '<path d="M1 1h14v3H1z"/><path class="open" d="M8 15V7.5M4.5 10.5L8 7l3.5 3.5"/>',
    "mirror": '<path class="open" d="M8 1v14"/><path d="M6 4v8L1 12zM10 4v8l5 0z"/>',
}


def text(value: object) -> str:
    """Return ``value`` escaped for HTML text and quoted attributes."""
    return escape(_NOT_FOR_HTML.sub("\ufffd", str(value)), quote=True)


def data_script(value: object) -> str:
    """Return ``value`` as JSON that is safe inside a script element.

    No "<", ">" or "&" remains, so neither ``</script>`` nor ``<!--`` can end or bend the element; ASCII only,
    so U+2028 and lone surrogates stay escapes.
    """
    plain = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return re.sub("[<>&]", lambda match: _FOR_SCRIPT[match[0]], plain)


def fill(template: str, values: dict[str, str]) -> str:
    """Fill {{name}} in one pass: a value that holds {{braces}} itself is left as it is.

    Raises:
        KeyError: the template names a value that is not there.
    """
    return _PLACEHOLDER.sub(lambda match: values[match[1]], template)


def icon(name: str) -> str:
    """Return a reference to an icon of :data:`ICONS`, hidden from screen readers."""
    return f'<svg class="icon i-{name}" aria-hidden="true"><use href="#i-{name}"/></svg>'


def dial(facing: int) -> str:
    """Return a small dial pointing to a facing in eighths."""
    return f'<svg class="dial" aria-hidden="true"><use href="#dial-{facing % EIGHTHS}"/></svg>'


def symbols(words: PageWords) -> str:
    """Return the page's symbols: soles with and without their letters, dials and icons."""
    pieces = []
    for foot in "LR":
        letter = text(words.say("feet", f"letter_{foot}"))
        for has_weight in (True, False):
            state = "weight" if has_weight else "free"
            for contact in CONTACTS:
                shape = sole(foot, contact, has_weight)
                known = f"{foot}-{state}-{contact}"
                pieces.append(f'<g id="{known}">{shape}</g>')
                filled = has_weight and contact in ("flat", "ball")
                name = f'<text class="letter{" on" if filled else ""} {foot}" y="-4">{letter}</text>'
                box = 'viewBox="-10 -21.5 20 41"'
                pieces.append(f'<symbol id="cell-{known}" {box}><use href="#{known}"/>{name}</symbol>')
    for facing in range(EIGHTHS):
        pieces.append(
            f'<symbol id="dial-{facing}" viewBox="-12 -12 24 24"><circle class="rim" r="10.5"/>'
            f'<path class="tick" d="M-5-9.2H5"/><path class="hand" transform="rotate({facing * 45})" '
            f'd="M0 6V-5M-3.6-2.2L0-6.2 3.6-2.2"/><title>{clock(facing)}</title></symbol>'
        )
    pieces.append('<symbol id="still" viewBox="-10 -21.5 20 41"><path class="rest" d="M-6 0H6"/></symbol>')
    pieces += [f'<symbol id="i-{name}" viewBox="0 0 16 16">{shape}</symbol>' for name, shape in ICONS.items()]
    return (
        f'<svg class="symbols" aria-hidden="true" width="0" height="0"><defs>{"".join(pieces)}</defs></svg>'
    )
