"""A finished clip, read back by FFmpeg (through PyAV): what it is, what it shows on each beat, and its sound.

Nothing of what painted the pictures is trusted here: numbers are read from decoded pixels, clicks from
decoded sound.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from noonwall.outputs.clip import make_clip
from noonwall.outputs.clip_data import ClipMade, ClipOrder
from tests.outputs.clip_kit import (
    SMALL,
    WRONG_SHEET,
    CountReader,
    boxes_of,
    click_map,
    danced,
    onsets_of,
    pictures,
    sound_of,
    stream_facts,
    write_click,
)

SHORT = 16
"""Counts of a song that is long enough for what does not concern the whole run."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("clip")


@pytest.fixture(scope="module")
def song(folder: Path) -> Path:
    return write_click(folder / "click.wav", click_map())


@pytest.fixture(scope="module")
def clip(folder: Path, song: Path) -> ClipMade:
    return make_clip(danced(), SMALL, song, folder / "clip.mp4", folder / "cache", workers=1)


@pytest.fixture(scope="module")
def short_song(folder: Path) -> Path:
    return write_click(folder / "short.wav", click_map(counts=SHORT))


def made(folder: Path, song: Path, order: ClipOrder, name: str) -> Path:
    data = danced(counts=SHORT)
    return make_clip(data, order, song, folder / name, folder / "cache", workers=1).path


def test_file_is_what_players_and_phones_take(clip: ClipMade) -> None:
    facts = stream_facts(clip.path)
    assert (facts["video"], facts["pixels"], facts["audio"]) == ("h264", "yuv420p", "aac")
    assert (facts["size"], facts["fps"], facts["colours"]) == ((320, 180), 30.0, (1, 1))
    # the index before the data, so that it plays while it loads (ISO/IEC 14496-12)
    names = boxes_of(clip.path)
    assert names[0] == "ftyp" and names.index("moov") < names.index("mdat")


def test_duration_is_that_of_the_song_within_a_picture(clip: ClipMade) -> None:
    facts, seconds = stream_facts(clip.path), click_map().audio_end
    assert facts["frames"] == clip.frames == round(seconds * 30)
    for name in ("seconds", "video_seconds", "audio_seconds"):
        assert facts[name] == pytest.approx(seconds, abs=1 / 30), name


def test_pictures_stand_evenly_over_the_joints_of_pieces(clip: ClipMade) -> None:
    with av.open(str(clip.path)) as box:
        times = [frame.time for frame in box.decode(video=0)]
    assert clip.pieces == 3
    assert times == pytest.approx([number / 30 for number in range(clip.frames)], abs=1e-6)


def test_every_beat_shows_its_number_from_its_picture_on(clip: ClipMade) -> None:
    reader = CountReader(SMALL, danced())
    shown = [reader.read(picture) for picture in pictures(clip.path)]
    counted_in = {beat: 8 + beat + 1 for beat in range(-4, 0)}
    checked = 0
    for beat in danced().cues.beats:
        expected = beat.said or counted_in.get(beat.count, 0)
        frame = round(beat.seconds * 30)
        assert shown[frame] == expected, beat
        before = shown[frame - 1]
        assert before != expected or expected == 0, beat
        checked += expected > 0
    assert checked == 4 + 20


def test_number_changes_with_the_click_within_a_picture(clip: ClipMade) -> None:
    reader = CountReader(SMALL, danced())
    shown = [reader.read(picture) for picture in pictures(clip.path)]
    changes = [n / 30 for n in range(1, len(shown)) if shown[n] != shown[n - 1] and shown[n]]
    clicks = onsets_of(*sound_of(clip.path))
    assert len(clicks) == 28 and len(changes) == 24
    for change in changes:
        assert min(abs(change - click) for click in clicks) <= 1 / 30


@pytest.mark.parametrize(
    "order",
    [
        replace(SMALL, shape="portrait", fps=60, view="follow", languages=("fr", "en")),
        replace(SMALL, view="turned-to-front", captions="none"),
    ],
    ids=["portrait 60", "turned, no calls"],
)
def test_other_shapes_show_the_same_numbers(order: ClipOrder, folder: Path, short_song: Path) -> None:
    data = danced(counts=SHORT, languages=("en", "fr"))
    path = make_clip(data, order, short_song, folder / "other.mp4", folder / "cache", workers=1).path
    facts, reader = stream_facts(path), CountReader(order, data)
    assert (facts["size"], facts["fps"]) == (order.size, order.fps)
    shown = [reader.read(picture) for picture in pictures(path)]
    for beat in data.cues.beats:
        if beat.said:
            assert shown[round(beat.seconds * order.fps)] == beat.said, beat


def test_slower_clip_keeps_sound_and_number_together(folder: Path, short_song: Path) -> None:
    order = replace(SMALL, speed=0.75)
    path = made(folder, short_song, order, "slow.mp4")
    assert stream_facts(path)["seconds"] == pytest.approx(
        click_map(counts=SHORT).audio_end / 0.75, abs=1 / 30
    )
    reader, clicks = CountReader(order, danced(counts=SHORT)), onsets_of(*sound_of(path))
    shown = [reader.read(picture) for picture in pictures(path)]
    changes = [n / 30 for n in range(1, len(shown)) if shown[n] != shown[n - 1] and shown[n]]
    assert len(changes) == 4 + 8
    assert max(min(abs(change - click) for click in clicks) for change in changes) <= 1 / 30


def test_green_overlay_has_only_its_ground_around_it(folder: Path, short_song: Path) -> None:
    path = made(folder, short_song, replace(SMALL, overlay="green", view="follow"), "green.mp4")
    middle = np.asarray(list(pictures(path))[200])[60:90, 140:170].reshape(-1, 3)
    # H.264 in 4:2:0 is not exact; a key takes what is near
    assert np.abs(middle.astype(int) - (0, 177, 64)).max() <= 6


@pytest.mark.parametrize(
    ("ending", "video", "audio", "decoder"),
    [("mov", "prores", "pcm_s16le", "prores"), ("webm", "vp9", "opus", "libvpx-vp9")],
)
def test_transparent_overlay_has_alpha(
    ending: str, video: str, audio: str, decoder: str, folder: Path, short_song: Path
) -> None:
    order = replace(SMALL, overlay="transparent", view="follow", ending=ending)
    path = made(folder, short_song, order, f"clear.{ending}")
    with av.open(str(path)) as box:
        stream = box.streams.video[0]
        names = (stream.codec_context.name, box.streams.audio[0].codec_context.name)
        assert names[0].startswith(video) and names[1] == audio
        coder = av.CodecContext.create(decoder, "r")
        coder.extradata = stream.codec_context.extradata
        coder.width, coder.height = stream.width, stream.height
        if ending == "mov":
            coder.codec_tag = stream.codec_context.codec_tag
        frames = [frame for packet in box.demux(stream) if packet.size for frame in coder.decode(packet)]
    assert len(frames) == 252
    alpha = frames[200].reformat(format="rgba").to_ndarray()[:, :, 3]
    assert alpha[75, 155] == 0 and alpha[150, 50] > 250
    assert 0.2 < (alpha < 5).mean() < 0.9


def test_unproved_dance_bears_its_mark_in_every_picture(folder: Path, short_song: Path) -> None:
    data = danced(counts=SHORT, sheet=WRONG_SHEET)
    assert data.marks
    path = make_clip(data, SMALL, short_song, folder / "marked.mp4", folder / "cache", workers=1).path
    seen = 0
    for picture in pictures(path):
        strip = np.asarray(picture)[5:12, 8:160].astype(int)
        assert ((strip[:, :, 0] > 140) & (strip[:, :, 1] < 90)).mean() > 0.4
        seen += 1
    assert seen == 252


def test_proved_dance_bears_none(clip: ClipMade) -> None:
    assert not danced().marks
    strip = np.asarray(next(pictures(clip.path)))[5:12, 8:60].astype(int)
    assert not ((strip[:, :, 0] > 140) & (strip[:, :, 1] < 90)).any()
