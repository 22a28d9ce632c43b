"""The pairing code as a QR code, and the address of this computer in the local network."""

from __future__ import annotations

import io
import socket

import segno

UNROUTED = ("192.0.2.1", 9)
"""An address of TEST-NET-1 (RFC 5737): asking for the way there sends nothing, and tells our own address."""


def code_drawing(address: str, name: str) -> str:
    """Return an address as a QR code (ISO/IEC 18004), an SVG with ``name`` for those who do not see it."""
    out = io.BytesIO()
    code = segno.make(address, error="m", micro=False)
    code.save(
        out,
        kind="svg",
        xmldecl=False,
        svgns=True,
        title=name,
        border=3,
        omitsize=True,
        svgclass="qr",
        lineclass=None,
    )
    return out.getvalue().decode("utf-8").strip()


def local_address() -> str:
    """Return this computer's address in the local network, "" if it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(UNROUTED)
            found = str(asking.getsockname()[0])
        except OSError:
            return ""
    return "" if found.startswith(("127.", "0.")) else found
