"""The offline voice as a program of its own: text in over a pipe, sound out.

Started by file, never imported: eSpeak NG is under the GPL, so nothing else of noonwall is in this process.

In, a line of JSON for each text: ``{"text", "voice", "rate"}`` (rate in words per minute). Out, a line of
JSON ``{"rate_hz", "bytes"}`` and then that many bytes of 16-bit mono sound; or ``{"error"}``.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
from typing import Any

import espeakng_loader

# Numbers of eSpeak NG's public interface (speak_lib.h).
_SYNCHRONOUS = 2
_DONT_EXIT = 0x8000
_CHARS_UTF8 = 1
_CHARACTERS = 1
_RATE = 1

_CALLBACK = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)


class _Engine:
    """The library, opened once; its sound is gathered by a callback."""

    def __init__(self) -> None:
        self.library = ctypes.CDLL(espeakng_loader.get_library_path())
        where = espeakng_loader.get_data_path().encode()
        self.rate_hz = self.library.espeak_Initialize(_SYNCHRONOUS, 0, where, _DONT_EXIT)
        self.gathered: list[bytes] = []
        self._callback = _CALLBACK(self._gather)  # kept, or it would be collected while the library calls it
        self.library.espeak_SetSynthCallback(self._callback)

    def _gather(self, samples: Any, count: int, _events: Any) -> int:
        if samples and count > 0:
            self.gathered.append(ctypes.string_at(samples, 2 * count))
        return 0

    def say(self, text: str, voice: str, rate: int) -> bytes:
        self.gathered.clear()
        if self.library.espeak_SetVoiceByName(voice.encode()):
            raise ValueError(f"no voice {voice}")
        self.library.espeak_SetParameter(_RATE, rate, 0)
        spoken = text.encode() + b"\0"
        size = ctypes.c_size_t(len(spoken))
        if self.library.espeak_Synth(spoken, size, 0, _CHARACTERS, 0, _CHARS_UTF8, None, None):
            raise ValueError("the text was refused")
        self.library.espeak_Synchronize()
        return b"".join(self.gathered)


def main() -> None:
    """Speak until the pipe is closed."""
    # What the library may print must not land between the sounds: it goes to standard error instead.
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    engine = _Engine()
    if engine.rate_hz <= 0:
        raise SystemExit("eSpeak NG could not be opened")
    for line in sys.stdin.buffer:
        asked = json.loads(line)
        try:
            sound = engine.say(asked["text"], asked["voice"], int(asked["rate"]))
            told: dict[str, object] = {"rate_hz": engine.rate_hz, "bytes": len(sound)}
        except ValueError as error:
            sound, told = b"", {"error": str(error)}
        out.write(json.dumps(told).encode() + b"\n" + sound)
        out.flush()


if __name__ == "__main__":
    main()
