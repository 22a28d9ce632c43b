"""The long job: stopped and taken up again, damaged, out of room, forbidden, asked for the impossible."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
import time
from collections import namedtuple
from dataclasses import replace
from pathlib import Path
from textwrap import dedent

import av
import pytest

from noonwall.errors import NoonwallError
from noonwall.outputs import clip, clip_video
from noonwall.outputs.clip import make_clip
from noonwall.outputs.clip_data import ClipMade, ClipOrder
from noonwall.outputs.clip_video import STALE_SECONDS, folder_of, pieces_of
from tests.outputs.clip_kit import SMALL, click_map, danced, write_click

TINY = replace(SMALL, short_side=90)
COUNTS, PICTURES, PIECES = 16, 252, 5


@pytest.fixture(autouse=True)
def short_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clip_video, "PIECE_SECONDS", 2)


class Stopped(Exception):
    """What a user's Ctrl-C is to the work."""


@pytest.fixture
def song(tmp_path: Path) -> Path:
    return write_click(tmp_path / "click.wav", click_map(counts=COUNTS))


def make(
    tmp_path: Path, song: Path, order: ClipOrder = TINY, progress: clip_video.Progress | None = None
) -> ClipMade:
    data, out = danced(counts=COUNTS), tmp_path / "clip.mp4"
    return make_clip(data, order, song, out, tmp_path / "cache", workers=1, progress=progress)


def stop_after(pictures: int) -> clip_video.Progress:
    def tell(done: int, _total: int) -> None:
        if done >= pictures:
            raise Stopped

    return tell


def left_over(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def packets(path: Path) -> list[bytes]:
    with av.open(str(path)) as box:
        return [bytes(packet) for packet in box.demux(box.streams.video[0]) if packet.size]


def test_stopped_work_goes_on_and_gives_the_same_film(tmp_path: Path, song: Path) -> None:
    whole = packets(make(tmp_path, song).path)
    (tmp_path / "clip.mp4").unlink()
    with pytest.raises(Stopped):
        make(tmp_path, song, progress=stop_after(100))
    # two of five pieces are kept, nothing else is left, and the clip is not there
    assert [name[-17:] for name in left_over(tmp_path / "cache")] == [
        "000000-000060.mp4",
        "000060-000120.mp4",
    ]
    assert not (tmp_path / "clip.mp4").exists()
    told: list[tuple[int, int]] = []
    made = make(tmp_path, song, progress=lambda done, total: told.append((done, total)))
    assert (made.reused, made.pieces) == (2, PIECES)
    assert told == [(done, PICTURES) for done in (120, 180, 240, PICTURES)]
    assert packets(made.path) == whole
    assert left_over(tmp_path / "cache") == []


def test_another_order_shares_no_piece(tmp_path: Path, song: Path) -> None:
    with pytest.raises(Stopped):
        make(tmp_path, song, progress=stop_after(100))
    assert make(tmp_path, song, replace(TINY, view="follow")).reused == 0


def test_processes_give_the_same_film(tmp_path: Path, song: Path) -> None:
    made = make_clip(danced(counts=COUNTS), TINY, song, tmp_path / "two.mp4", tmp_path / "cache", workers=2)
    assert made.frames == PICTURES
    with av.open(str(made.path)) as box:
        assert sum(1 for _ in box.decode(video=0)) == PICTURES


def test_a_piece_that_was_cut_off_is_filmed_again(tmp_path: Path, song: Path) -> None:
    with pytest.raises(Stopped):
        make(tmp_path, song, progress=stop_after(100))
    first = pieces_of(PICTURES, TINY, folder_of(danced(counts=COUNTS), TINY, tmp_path / "cache"))[0].path
    first.write_bytes(first.read_bytes()[:-1500])
    made = make(tmp_path, song)
    with av.open(str(made.path)) as box:
        assert sum(1 for _ in box.decode(video=0)) == PICTURES


def test_what_stood_there_stays_until_the_clip_is_whole(tmp_path: Path, song: Path) -> None:
    (tmp_path / "clip.mp4").write_bytes(b"old")
    with pytest.raises(Stopped):
        make(tmp_path, song, progress=stop_after(100))
    assert (tmp_path / "clip.mp4").read_bytes() == b"old"
    make(tmp_path, song)
    assert (tmp_path / "clip.mp4").stat().st_size > 5_000


def test_pieces_nobody_went_on_with_are_thrown_away(tmp_path: Path, song: Path) -> None:
    old = tmp_path / "cache" / "given-up"
    old.mkdir(parents=True)
    (old / "000000-000060.mp4").write_bytes(b"x")
    long_ago = time.time() - STALE_SECONDS - 60
    os.utime(old, (long_ago, long_ago))
    make(tmp_path, song)
    assert not old.exists()


def test_too_little_room_is_said_before_anything_is_made(
    tmp_path: Path, song: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage(10**9, 10**9, 1000))
    with pytest.raises(NoonwallError, match=r"disk is full\): make room for about \d+ MB and give the same"):
        make(tmp_path, song)
    assert left_over(tmp_path / "cache") == [] and not (tmp_path / "clip.mp4").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="limits of file sizes are POSIX")
def test_a_disk_that_fills_on_the_way_ends_in_one_sentence_and_no_rest(tmp_path: Path, song: Path) -> None:
    """The system itself refuses to let a file grow, as a full disk does."""
    script = f"""
        import resource
        from pathlib import Path
        from noonwall.errors import NoonwallError
        from tests.outputs.test_clip_work import make
        resource.setrlimit(resource.RLIMIT_FSIZE, (5_000, 5_000))
        try:
            make(Path({str(tmp_path)!r}), Path({str(song)!r}))
        except NoonwallError as error:
            print(error)
        """
    done = subprocess.run([sys.executable, "-c", dedent(script)], capture_output=True, text=True, check=False)
    sentence = done.stdout.strip()
    assert "disk is full" in sentence and sentence.count("\n") == 0, done.stderr
    assert not (tmp_path / "clip.mp4").exists()
    assert not [name for name in left_over(tmp_path) if name.endswith(".part")]


def test_a_folder_that_is_not_there_or_a_file_that_is_one(tmp_path: Path, song: Path) -> None:
    for path in (tmp_path / "nowhere" / "clip.mp4", tmp_path):
        with pytest.raises(NoonwallError, match="could not be written"):
            make_clip(danced(counts=COUNTS), TINY, song, path, tmp_path / "cache", workers=1)


def test_an_unwritable_folder_is_said_at_once(
    tmp_path: Path, song: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # the superuser may write anywhere: ask as the system would answer anyone else
    monkeypatch.setattr(clip.os, "access", lambda path, mode: Path(path) != tmp_path)
    reason = os.strerror(errno.EACCES).lower()
    with pytest.raises(NoonwallError, match=rf"could not be written \({reason}\); choose another place\.$"):
        make(tmp_path, song)


def test_a_cache_that_cannot_be_made_is_said(tmp_path: Path, song: Path) -> None:
    (tmp_path / "cache").write_text("a file")
    with pytest.raises(NoonwallError, match=r"half-made clips cannot be used .*NOONWALL_CACHE"):
        make(tmp_path, song)


def test_a_song_that_ends_in_its_intro_is_said(tmp_path: Path, song: Path) -> None:
    data = replace(danced(counts=COUNTS), seconds=3.0)
    with pytest.raises(NoonwallError, match=r"^The song is over after 3 seconds, before the first count"):
        make_clip(data, TINY, song, tmp_path / "clip.mp4", tmp_path / "cache", workers=1)


@pytest.mark.parametrize(
    ("order", "sentence"),
    [
        (replace(TINY, overlay="transparent"), "cannot be a mp4 file; choose mov, webm"),
        (replace(TINY, overlay="green", ending="mov"), "cannot be a mov file; choose mp4"),
        (replace(TINY, ending="avi"), "cannot be a avi file; choose mp4"),
        (replace(TINY, speed=0.1), "A speed of 10% cannot be made; choose from 40 to 150"),
        (replace(TINY, overlay="green", ending="mov", languages=("fr",)), "choisissez mp4"),
    ],
)
def test_what_cannot_be_made_is_said(order: ClipOrder, sentence: str, tmp_path: Path, song: Path) -> None:
    with pytest.raises(NoonwallError, match=sentence):
        make(tmp_path, song, order)


def test_a_missing_encoder_is_said(tmp_path: Path, song: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clip, "has_encoder", lambda name: name != "libx264")
    with pytest.raises(NoonwallError, match="no libx264 encoder, so a mp4 file cannot be made"):
        make(tmp_path, song)


def test_a_lost_process_is_said(tmp_path: Path, song: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def lose(*_: object) -> None:
        raise clip.BrokenExecutor

    monkeypatch.setattr(clip_video, "_filmed", lose)
    with pytest.raises(NoonwallError, match="--workers 1"):
        make(tmp_path, song)
