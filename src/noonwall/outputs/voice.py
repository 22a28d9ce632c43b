"""Voices: one small interface, an offline engine in a process of its own, and any engine the user has."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import shlex
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import IO, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from noonwall.errors import NoonwallError
from noonwall.outputs.faults import fault
from noonwall.outputs.sound_file import sound_from_bytes

Samples = NDArray[np.float32]

ESPEAK_VOICES: Mapping[str, str] = MappingProxyType(
    {
        "en": "en-us",
        "en-GB": "en-gb-x-rp",
        "en-US": "en-us",
        "fr": "fr",
        "fr-BE": "fr-be",
        "fr-CA": "fr",
        "fr-CH": "fr-ch",
    }
)
"""Language tags and what eSpeak NG calls them. It has no voice of Québec: the French one stands in."""

PATIENCE_SECONDS = 20.0
"""How long one text may take. eSpeak NG needs milliseconds; the first start on a cold disk is the slowest."""

OWN_ENGINE_PATIENCE_SECONDS = 120.0
"""The same for the user's own engine, which may load a large model for each text."""


@dataclass(frozen=True, slots=True)
class Saying:
    """A text as it was spoken.

    Attributes:
        samples: mono, float32 in -1 .. 1.
        rate_hz: samples a second.
        onset_seconds: where in ``samples`` the text is heard to begin; what lies before is quiet.
    """

    samples: Samples
    rate_hz: int
    onset_seconds: float


class Voice(Protocol):
    """What can speak."""

    @property
    def name(self) -> str:
        """Which engine and settings: texts of one name sound alike, so that they may be kept."""

    @property
    def languages(self) -> tuple[str, ...]:
        """BCP 47 tags that it speaks; empty if it takes any."""

    def say(self, text: str, language: str, rate: int) -> Saying:
        """Speak a text at a rate in words per minute; see :class:`Saying`.

        Raises:
            NoonwallError: the voice does not speak that language, or failed.
        """

    def close(self) -> None:
        """Let go of what it holds; it may be asked again and then begins anew."""


def first_sound_seconds(samples: Samples, rate_hz: int, below_db: float = -40.0) -> float:
    """Return where sound begins, seconds: the first level within ``below_db`` of the loudest."""
    level = levels(samples, rate_hz)
    if not level.size or level.max() <= 0.0:
        return 0.0
    return float(np.argmax(level >= level.max() * 10.0 ** (below_db / 20.0))) / 1000.0


def levels(samples: Samples, rate_hz: int) -> NDArray[np.float64]:
    """Return the level (RMS) of every millisecond, over that and the four after it, shape (milliseconds,)."""
    power = np.concatenate(([0.0], np.cumsum(samples.astype(np.float64) ** 2)))
    edges = np.arange(int(samples.size * 1000 / rate_hz) + 1)
    starts = np.minimum(edges * rate_hz // 1000, samples.size)
    ends = np.minimum((edges + 5) * rate_hz // 1000, samples.size)
    energy = np.maximum(power[ends] - power[starts], 0.0)
    return np.asarray(np.sqrt(energy / max(1, 5 * rate_hz // 1000)))


class ProcessVoice:
    """A voice behind a pipe that stays open: a crash or a hang costs one restart, then one sentence.

    Args:
        program: what is started; it speaks as ``voice_process.py`` does.
        voices: language tags and what the program calls them.
        name: of the engine.
        patience_seconds: how long one text may take.
    """

    def __init__(
        self,
        program: Sequence[str],
        voices: Mapping[str, str],
        name: str,
        patience_seconds: float = PATIENCE_SECONDS,
    ) -> None:
        self.name = name
        self.languages = tuple(voices)
        self.starts = 0
        self._program, self._voices, self._patience = tuple(program), voices, patience_seconds
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: queue.Queue[tuple[dict[str, Any], bytes]] = queue.Queue()
        self._lock = threading.Lock()

    def say(self, text: str, language: str, rate: int) -> Saying:
        """Speak a text; see :class:`Voice`.

        Raises:
            NoonwallError: no voice for that language, or the program failed twice at this text.
        """
        asked = {"text": text, "voice": self._voice_of(language), "rate": rate}
        with self._lock:
            answer = self._ask(asked) or self._ask(asked)
        if answer is None:
            raise fault(NoonwallError, "voice.failed", text=text)
        told, sound = answer
        if "error" in told or not sound:
            raise fault(NoonwallError, "voice.refused", text=text)
        samples = np.frombuffer(sound, "<i2").astype(np.float32) / np.float32(32768.0)
        return Saying(samples, told["rate_hz"], first_sound_seconds(samples, told["rate_hz"]))

    def close(self) -> None:
        """End the program; the next text starts it again."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe:
                _close(pipe)

    def _voice_of(self, language: str) -> str:
        region = language.replace("_", "-")
        voice = self._voices.get(region) or self._voices.get(region.split("-")[0].lower())
        if voice is None:
            raise fault(NoonwallError, "voice.language", language=language, languages=", ".join(self._voices))
        return voice

    def _ask(self, asked: Mapping[str, object]) -> tuple[dict[str, Any], bytes] | None:
        """Return the answer, or None if the program died or hung; then it is ended."""
        try:
            process = self._running()
            assert process.stdin is not None
            process.stdin.write(json.dumps(asked).encode() + b"\n")
            process.stdin.flush()
            told, sound = self._answers.get(timeout=self._patience)
        except (OSError, queue.Empty):
            self.close()
            return None
        if "died" in told:
            self.close()
            return None
        return told, sound

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self.close()
            self._answers = queue.Queue()
            self._process = subprocess.Popen(
                self._program, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )
            self.starts += 1
            assert self._process.stdout is not None
            # A pipe cannot be read with a time limit on every system, a queue can.
            threading.Thread(
                target=_read_answers, args=(self._process.stdout, self._answers), daemon=True
            ).start()
        return self._process


def _read_answers(pipe: IO[bytes], answers: queue.Queue[tuple[dict[str, Any], bytes]]) -> None:
    """Hand on every answer; when the pipe ends or holds anything else, say that the program died."""
    try:
        while line := pipe.readline():
            told = json.loads(line)
            sound = pipe.read(int(told.get("bytes", 0)))
            if len(sound) < int(told.get("bytes", 0)):
                break
            answers.put((told, sound))
    except (ValueError, OSError, AttributeError, TypeError):
        pass
    answers.put(({"died": True}, b""))


def _close(pipe: IO[bytes]) -> None:
    # what was still to be written has no reader any more
    with contextlib.suppress(OSError):
        pipe.close()


CALLER = "f3"
"""eSpeak NG's name of a higher voice: who calls is told apart from who counts where both speak."""


def offline_voice(variant: str = "") -> ProcessVoice:
    """Return the voice that works without a network: eSpeak NG in a process of its own.

    Args:
        variant: "" for its plain voices, or one of its variants such as :data:`CALLER`.
    """
    program = [sys.executable, "-P", str(Path(__file__).with_name("voice_process.py"))]
    ending = f"+{variant}" if variant else ""
    voices = {language: voice + ending for language, voice in ESPEAK_VOICES.items()}
    return ProcessVoice(program, voices, f"espeak-ng{ending}")


class CommandVoice:
    """The user's own engine: a command that reads a text and writes a sound file (wav or any other).

    ``{language}`` and ``{rate}`` in the command are filled in; both are also in its environment as
    ``NOONWALL_LANGUAGE`` and ``NOONWALL_RATE``. It is started once for each text, and not through a shell.
    """

    languages: tuple[str, ...] = ()

    def __init__(self, command: str, patience_seconds: float = OWN_ENGINE_PATIENCE_SECONDS) -> None:
        try:
            self._words = shlex.split(command, posix=os.name == "posix")
        except ValueError as error:
            raise fault(NoonwallError, "voice.command", command=command) from error
        if not self._words:
            raise fault(NoonwallError, "voice.command", command=command)
        self.name = f"command {command}"
        self._patience = patience_seconds

    def say(self, text: str, language: str, rate: int) -> Saying:
        """Speak a text; see :class:`Voice`.

        Raises:
            NoonwallError: the command cannot be started, fails, takes too long, or writes no sound.
        """
        filled = [word.replace("{language}", language).replace("{rate}", str(rate)) for word in self._words]
        told = {**os.environ, "NOONWALL_LANGUAGE": language, "NOONWALL_RATE": str(rate)}
        try:
            done = subprocess.run(
                filled, input=text.encode(), capture_output=True, timeout=self._patience, env=told, check=True
            )
        except OSError as error:
            raise fault(NoonwallError, "voice.missing", program=filled[0]) from error
        except (subprocess.CalledProcessError, subprocess.TimeoutExpired) as error:
            raise fault(NoonwallError, "voice.failed", text=text) from error
        heard = sound_from_bytes(done.stdout)
        if heard is None:
            raise fault(NoonwallError, "voice.no-sound", text=text)
        samples, rate_hz = heard
        return Saying(samples, rate_hz, first_sound_seconds(samples, rate_hz))

    def close(self) -> None:
        """Nothing is held between two texts."""
