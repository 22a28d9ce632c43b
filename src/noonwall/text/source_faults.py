"""What can be wrong with a file, and the one sentence that says so.

The sentences are kept by code: the same codes and facts can be worded in another language.
"""

from __future__ import annotations

from noonwall.errors import BrokenFile
from noonwall.findings import Finding, Severity

SHOWN_NAME_LENGTH = 80

FAULTS: dict[str, str] = {
    "source.missing": "There is no file {name}; check its name and folder.",
    "source.folder": "{name} is a folder, not a sheet; name one file in it.",
    "source.not-a-folder": "{name} is not a folder; name the folder that holds your sheets.",
    "source.permission": (
        "You may not read {name}; change its permissions, or copy it to a folder of your own."
    ),
    "source.link-loop": "{name} is a link that leads back to itself; open the real file instead.",
    "source.not-a-file": "{name} is a device or a pipe, not a file; use - as the name to read a pipe.",
    "source.bad-name": (
        "{name} cannot be the name of a file; rename the file with plain letters and try again."
    ),
    "source.unreadable": (
        "The system could not read {name} ({reason}); copy it to this computer and try again."
    ),
    "source.too-large": (
        "{name} is larger than {limit_megabytes} MB, far more than a step sheet; is it the right file?"
    ),
    "source.empty": "{name} is empty; save the sheet again, or open another copy.",
    "source.no-text": "{name} holds no words, only pictures or formatting; type the steps into a text file.",
    "source.binary": "{name} is not text; save the sheet as .txt, .docx, .pdf, .html or .md.",
    "source.other-format": (
        "{name} is {format}, which cannot be read here; save it as .docx, .pdf or .txt and open that."
    ),
    "source.tangled": (
        "{name} is so tangled that reading it takes too long; save it as plain text and open that."
    ),
    "source.docx-broken": "{name} is a damaged Word document; open it in a word processor and save it again.",
    "source.docx-bomb": (
        "{name} unpacks to far more than a step sheet can hold; copy its words into a new document."
    ),
    "source.docx-locked": "{name} is protected by a password; save a copy without one and open that.",
    "source.pdf-broken": (
        "{name} is a damaged PDF; open it in a PDF viewer and print it to a new PDF, or save it as text."
    ),
    "source.pdf-locked": "{name} is protected by a password; save a copy without one and open that.",
    "source.pdf-no-text": (
        "{name} is a PDF of pictures with no text in it; run it through text recognition, or type the steps."
    ),
    "source.pdf-pages": (
        "{name} has {pages} pages (at most {limit_pages} are read); save the pages of one dance as "
        "a PDF of their own."
    ),
}


def shown_name(name: str) -> str:
    """Return a file name fit for a sentence: printable, on one line, and not too long."""
    cleaned = "".join(letter if letter.isprintable() else "?" for letter in name)
    if len(cleaned) > SHOWN_NAME_LENGTH:
        # The end of a path tells more than its beginning.
        cleaned = "…" + cleaned[-SHOWN_NAME_LENGTH:]
    return cleaned or "(no name)"


def fault(code: str, name: str, **facts: object) -> BrokenFile:
    """Return the exception for a fault of the file ``name``.

    Args:
        code: a key of ``FAULTS``.
        name: the file as the user named it; made printable here.
        facts: the other blanks of the sentence.
    """
    filled = {"name": shown_name(name), **facts}
    return BrokenFile(FAULTS[code].format(**filled), code=code, facts=filled)


def note(code: str, **facts: object) -> Finding:
    """Return a remark on how the file was read; it is worded like any other finding."""
    return Finding(code=code, severity=Severity.ADVICE, facts=dict(facts))
