"""Voices: the offline one in its own process, one that the user has, and what befalls a process."""

from __future__ import annotations

import ast
import shlex
import sys
from pathlib import Path

import numpy as np
import pytest

from noonwall.errors import NoonwallError
from noonwall.outputs import voice as voices
from noonwall.outputs.spoken import (
    BEAT_AFTER_SOUND_MS,
    HIGHEST_RATE,
    MOST_BEFORE_VOWEL_MS,
    SPOKEN_LUFS,
    USUAL_RATE,
    Speaker,
    squeezed,
)
from noonwall.outputs.voice import CALLER, CommandVoice, ProcessVoice, levels, offline_voice
from noonwall.pipeline.practising import speaks
from tests.outputs.practice_kit import AND, NUMBERS, ToneVoice, loudness_by_ffmpeg

RATE_HZ = 44_100


@pytest.fixture(scope="module")
def offline():
    voice = offline_voice()
    yield voice
    voice.close()


# --- the offline voice -------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", ["en", "fr", "fr-CA", "fr-CH", "en-GB"])
def test_it_speaks_both_languages_and_their_regions(offline: ProcessVoice, language: str) -> None:
    said = offline.say("huit" if language.startswith("fr") else "eight", language, USUAL_RATE)
    assert 0.1 < said.samples.size / said.rate_hz < 1.0
    assert 0.05 < np.abs(said.samples).max() <= 1.0
    assert said.onset_seconds < 0.1


def test_who_calls_has_another_voice_than_who_counts(offline: ProcessVoice) -> None:
    caller = offline_voice(CALLER)
    for language in ("en", "fr"):
        pitches = []
        for voice in (offline, caller):
            said = voice.say("aaah", language, USUAL_RATE)
            middle = said.samples[said.samples.size // 4 : said.samples.size // 4 + 2048].astype(float)
            likeness = np.correlate(middle, middle, "full")[middle.size :]
            shortest = said.rate_hz // 400
            pitches.append(said.rate_hz / (shortest + 1 + int(np.argmax(likeness[shortest:600]))))
        assert pitches[1] > 1.2 * pitches[0], "a higher voice is heard"
    caller.close()


def test_one_process_speaks_many_texts(offline: ProcessVoice) -> None:
    before = offline.starts
    for number in range(40):
        offline.say(f"wall {number}", "en", USUAL_RATE)
    assert offline.starts <= max(1, before)


def test_a_higher_rate_is_shorter(offline: ProcessVoice) -> None:
    slow, fast = (offline.say("rock recover coaster step", "en", rate) for rate in (USUAL_RATE, HIGHEST_RATE))
    assert fast.samples.size < 0.75 * slow.samples.size


def test_a_language_it_does_not_speak_is_refused_in_one_sentence(offline: ProcessVoice) -> None:
    with pytest.raises(NoonwallError, match="does not speak de; it speaks en"):
        offline.say("eins", "de", USUAL_RATE)


def test_letters_of_any_script_do_no_harm(offline: ProcessVoice) -> None:
    for text in ("قمر", "🌊 wave", "<b>step</b>", "a" * 2000, "Ça tourne à l'œil"):
        assert offline.say(text, "fr", USUAL_RATE).samples.size > 0


def test_nothing_of_noonwall_is_in_the_process_of_the_voice() -> None:
    source = (Path(voices.__file__).parent / "voice_process.py").read_text("utf-8")
    imported = {
        name.name if isinstance(node, ast.Import) else str(node.module)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in node.names
    }
    assert "espeakng_loader" in imported and not [name for name in imported if name.startswith("noonwall")]
    others = [
        path for path in Path(voices.__file__).parents[1].rglob("*.py") if path.name != "voice_process.py"
    ]
    assert not [path.name for path in others if "import espeakng_loader" in path.read_text("utf-8")]


# --- what befalls a process --------------------------------------------------------------------------------

ANSWER = "import sys, json\nfor line in sys.stdin:\n text = json.loads(line)['text']\n"
GOOD = (
    " sys.stdout.write(json.dumps({'rate_hz': 22050, 'bytes': 4000}) + chr(10)); sys.stdout.flush()\n"
    " sys.stdout.buffer.write((b'\\x00\\x10\\x00\\xf0') * 1000); sys.stdout.flush()\n"
)


def _fake(body: str, patience_seconds: float = 10.0) -> ProcessVoice:
    return ProcessVoice([sys.executable, "-c", ANSWER + body], {"en": "x"}, "fake", patience_seconds)


def test_a_crash_at_one_text_costs_one_sentence_and_the_next_is_said() -> None:
    voice = _fake(" if text == 'crash': sys.exit(3)\n" + GOOD)
    assert voice.say("one", "en", 170).samples.size == 2000
    with pytest.raises(NoonwallError, match='The voice stopped at "crash"'):
        voice.say("crash", "en", 170)
    assert voice.say("two", "en", 170).samples.size == 2000
    assert voice.starts == 3  # at first, once more for the text that crashes it, and for the one after
    voice.close()


def test_a_process_that_was_killed_between_two_texts_is_not_noticed() -> None:
    voice = _fake(GOOD)
    voice.say("one", "en", 170)
    assert voice._process is not None
    voice._process.kill()
    voice._process.wait()
    assert voice.say("two", "en", 170).samples.size == 2000
    voice.close()


def test_a_hang_is_ended() -> None:
    voice = _fake(" import time; time.sleep(60)\n", patience_seconds=0.3)
    with pytest.raises(NoonwallError, match="took too long"):
        voice.say("one", "en", 170)
    assert voice._process is None
    voice.close()


@pytest.mark.parametrize("body", [" print('hello', flush=True)\n", " print('[1]', flush=True)\n"])
def test_an_answer_that_is_none_is_a_crash(body: str) -> None:
    voice = _fake(body)
    with pytest.raises(NoonwallError, match="The voice stopped"):
        voice.say("one", "en", 170)
    voice.close()


def test_a_program_that_is_not_there_is_a_sentence() -> None:
    voice = ProcessVoice(["no-such-voice-program"], {"en": "x"}, "none")
    with pytest.raises(NoonwallError, match="The voice stopped"):
        voice.say("one", "en", 170)


# --- a voice that the user has -----------------------------------------------------------------------------

SPEAKS = """
import io, math, struct, sys, wave
text = sys.stdin.read()
held = io.BytesIO()
with wave.open(held, 'wb') as out:
    out.setnchannels(1); out.setsampwidth(2); out.setframerate(16000)
    out.writeframes(b''.join(struct.pack('<h', int(9000 * math.sin(n / 5))) for n in range(1600 * len(text))))
sys.stdout.buffer.write(held.getvalue())
"""


def _command(code: str, *words: str) -> str:
    return shlex.join([sys.executable, "-c", code, *words])


def test_a_command_speaks(tmp_path: Path) -> None:
    said = CommandVoice(_command(SPEAKS)).say("abc", "fr", 170)
    assert said.rate_hz == 16000
    assert said.samples.size == 4800
    assert np.abs(said.samples).max() == pytest.approx(9000 / 32768, abs=0.01)


def test_a_command_is_told_language_and_rate_and_sees_no_shell(tmp_path: Path) -> None:
    told = tmp_path / "told.txt"
    code = "import os, sys\n"
    code += f"open({str(told)!r}, 'w').write(repr(sys.argv[1:] + [os.environ['NOONWALL_RATE']]))\n"
    voice = CommandVoice(_command(code + SPEAKS, "{language}", "rate={rate}", "$HOME; ls"))
    voice.say("a", "fr-CA", 210)
    assert told.read_text() == "['fr-CA', 'rate=210', '$HOME; ls', '210']"


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        ("no-such-voice-program --fast", "no-such-voice-program cannot be started"),
        ("", "is not a command"),
        ("say 'unfinished", "is not a command"),
        (_command("print('no sound')"), "wrote no sound"),
        (_command("pass"), "wrote no sound"),
        (_command("raise SystemExit(1)"), "The voice stopped"),
    ],
)
def test_a_command_that_does_not_speak_is_one_sentence(command: str, sentence: str) -> None:
    with pytest.raises(NoonwallError, match=sentence) as caught:
        CommandVoice(command).say("one", "en", 170)
    assert "\n" not in str(caught.value)


# --- ready for a beat --------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [USUAL_RATE, HIGHEST_RATE])
@pytest.mark.parametrize("language", ["en", "fr"])
def test_first_sound_and_vowel_of_every_count_are_near_its_onset(
    offline: ProcessVoice, language: str, rate: int
) -> None:
    speaker = Speaker(offline)
    for word in (*NUMBERS[language], AND[language]):
        spoken = speaker.speak(word, language, rate, on_beat=True)
        level = levels(spoken.samples, RATE_HZ)
        onset_ms = spoken.onset * 1000 / RATE_HZ
        for below_db in (-40, -30, -20, -14, -10):
            rise_ms = int(np.argmax(level >= level.max() * 10 ** (below_db / 20)))
            assert -25 <= rise_ms - onset_ms <= 25, (word, below_db)
        assert onset_ms <= BEAT_AFTER_SOUND_MS + 0.1
        assert spoken.samples[0] == 0 and abs(spoken.samples[-1]) < 1e-4, "it begins or ends with a click"


@pytest.mark.parametrize("language", ["en", "fr"])
def test_texts_are_equally_loud_by_a_meter_that_is_not_ours(offline: ProcessVoice, language: str) -> None:
    # each word repeated until the standard's 0.4 s blocks are full; both channels alike
    speaker = Speaker(offline)
    for word in NUMBERS[language]:
        samples = speaker.speak(word, language).samples
        whole = np.tile(samples, 1 + 3 * RATE_HZ // samples.size)
        lufs, _ = loudness_by_ffmpeg(np.stack((whole, whole), axis=1))
        assert lufs == pytest.approx(SPOKEN_LUFS, abs=1.0), word


def test_a_text_is_spoken_once_and_then_remembered(tmp_path: Path) -> None:
    voice = ToneVoice()
    first = Speaker(voice, tmp_path).speak("one", "en")
    again = Speaker(voice, tmp_path).speak("one", "en")
    assert voice.asked == 1
    assert np.array_equal(first.samples, again.samples) and first.onset == again.onset
    Speaker(voice, tmp_path).speak("one", "fr")
    Speaker(voice, tmp_path).speak("one", "en", 210)
    Speaker(voice, tmp_path).speak("two", "en")
    assert voice.asked == 4


def test_a_spoilt_memory_is_spoken_again(tmp_path: Path) -> None:
    voice = ToneVoice()
    Speaker(voice, tmp_path).speak("one", "en")
    for path in tmp_path.iterdir():
        path.write_bytes(b"spoilt")
    assert Speaker(voice, tmp_path).speak("one", "en").samples.size > 1000
    assert voice.asked == 2


def test_a_memory_that_cannot_be_written_costs_nothing_but_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert Speaker(ToneVoice(), tmp_path / "file" / "folder").speak("one", "en").samples.size > 1000


def test_a_text_is_said_faster_to_fit_and_not_at_all_if_it_cannot() -> None:
    speaker = Speaker(ToneVoice(seconds=0.3))
    at_leisure, hurried = speaker.fit("and", "en", 0.4), speaker.fit("and", "en", 0.2)
    assert at_leisure is not None and at_leisure.rate == USUAL_RATE
    assert hurried is not None and hurried.rate > USUAL_RATE
    assert hurried.seconds_after_onset <= 0.2
    assert speaker.fit("and", "en", 0.1) is None


def test_silence_from_a_voice_is_silence() -> None:
    spoken = Speaker(ToneVoice(seconds=0.0)).speak("one", "en", on_beat=True)
    assert not spoken.samples.any()


@pytest.mark.parametrize("size_ms", [44, 60, 95, 160])
def test_what_comes_before_the_vowel_is_squeezed_to_its_size_without_clicks(size_ms: int) -> None:
    count = size_ms * RATE_HZ // 1000
    noise = np.random.default_rng(5).standard_normal(count).astype(np.float32) * 0.1
    tone = (0.1 * np.sin(np.arange(count) / 7)).astype(np.float32)
    wanted = MOST_BEFORE_VOWEL_MS * RATE_HZ // 1000
    assert squeezed(noise, wanted).size == wanted
    made = squeezed(tone, wanted)
    assert np.abs(np.diff(made)).max() < 0.06, "a jump that the tone does not have"


def test_it_tells_how_long_a_text_takes() -> None:
    seconds, close = speaks()
    try:
        assert seconds("en", "one") < seconds("en", "vine to the right with a touch")
        assert 0.6 < seconds("fr", "pas chassé à droite, rock arrière") < 4.0
    finally:
        close()
