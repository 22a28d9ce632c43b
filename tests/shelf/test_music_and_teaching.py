"""Songs by their content, runs, lessons, classes and settings."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from noonwall.shelf import Shelf, ShelfError
from noonwall.shelf.songs import content_of
from tests.shelf.kit import add

HEARD = {"format": 1, "bpm": 120.5, "beats": [0.5, 1.0], "corrections": []}


def song_file(folder: Path, name: str = "ferry.wav", content: bytes = b"sound") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_bytes(content)
    return path


def test_content_is_the_published_hash(tmp_path: Path) -> None:
    # NIST, FIPS 180-4 example: SHA-256 of "abc"
    told = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert content_of(song_file(tmp_path, content=b"abc")) == (told, 3)


def test_the_same_content_is_the_same_song(shelf: Shelf, tmp_path: Path) -> None:
    first = shelf.add_song(song_file(tmp_path / "a"), title="Ferry", artist="The Quay Band", heard=HEARD)
    again = shelf.add_song(song_file(tmp_path / "b", "copy.wav"))
    assert first == again
    song = shelf.song(first)
    assert (song.title, song.artist, song.bpm, song.map) == ("Ferry", "The Quay Band", 120.5, HEARD)
    assert {Path(place).name for place in song.places} == {"ferry.wav", "copy.wav"}
    assert shelf.song_by_content(hashlib.sha256(b"sound").hexdigest()) == song
    assert shelf.song_by_content("0" * 64) is None
    assert shelf.add_song(song_file(tmp_path, content=b"other")) != first


def test_a_moved_song_is_found_again(shelf: Shelf, tmp_path: Path) -> None:
    old = song_file(tmp_path / "old")
    song = shelf.add_song(old)
    assert shelf.song_file(song) == old
    (tmp_path / "new").mkdir()
    new = old.rename(tmp_path / "new" / "renamed.wav")
    song_file(tmp_path / "new", "a.wav", b"SOUND")  # as long, and another song
    assert shelf.song_file(song) is None
    assert shelf.song_file(song, [tmp_path]) == new
    assert shelf.song_file(song) == new
    new.write_bytes(b"sounD")  # another content in its place
    assert shelf.song_file(song, [tmp_path]) is None


def test_a_song_renamed_in_its_folder_is_found_without_being_told_where(shelf: Shelf, tmp_path: Path) -> None:
    old = song_file(tmp_path / "songs")
    song = shelf.add_song(old)
    new = old.rename(old.with_name("other.wav"))
    assert shelf.song_file(song) == new


def test_corrections_outlive_a_new_hearing(shelf: Shelf, tmp_path: Path) -> None:
    song = shelf.add_song(song_file(tmp_path), heard=HEARD, edition="1")
    shelf.set_corrections(song, [{"kind": "tap_one", "seconds": 12.5, "counts": 0}])
    shelf.set_heard(song, {**HEARD, "bpm": 121.0}, "2")
    kept = shelf.song(song)
    assert kept.corrections == ({"kind": "tap_one", "seconds": 12.5, "counts": 0},)
    assert (kept.bpm, kept.edition) == (121.0, "2")


def test_songs_are_found_by_words_and_tempo(shelf: Shelf, tmp_path: Path) -> None:
    for name, bpm in (("Été", 100.0), ("Ferry", 120.0), ("Slipway", None)):
        heard = None if bpm is None else {"bpm": bpm}
        shelf.add_song(song_file(tmp_path, name, name.encode()), title=name, heard=heard)
    assert [song.title for song in shelf.find_songs("ete").rows] == ["Été"]
    assert [song.title for song in shelf.find_songs(bpm_from=110).rows] == ["Ferry"]
    assert [song.title for song in shelf.find_songs(per_page=2, page=2).rows] == ["Slipway"]
    assert shelf.find_songs().total == 3
    shelf.rename_song(1, "Hiver", "Quay")
    assert [song.title for song in shelf.find_songs("hiver quay").rows] == ["Hiver"]
    shelf.remove("song", 1)
    assert shelf.find_songs("hiver").total == 0
    shelf.add_song(tmp_path / "Été")  # added again, it is back
    assert shelf.find_songs("hiver").total == 1


def test_a_song_that_cannot_be_read_is_told(shelf: Shelf, tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match="no such file"):
        shelf.add_song(tmp_path / "none.wav")


def test_runs_and_lessons_are_kept_with_what_they_stand_on(shelf: Shelf, tmp_path: Path) -> None:
    dance, song = add(shelf, "One"), shelf.add_song(song_file(tmp_path))
    run = shelf.add_run(dance, 1, song, {"walls": [1, 2]})
    assert shelf.run(run).run == {"walls": [1, 2]}
    assert [one.id for one in shelf.runs(dance_id=dance)] == [run]
    assert [one.id for one in shelf.runs(dance_id=dance, song_id=song)] == [run]
    assert shelf.runs(song_id=99) == ()
    who = shelf.add_class("Tuesday", 18)
    lesson = shelf.add_lesson(dance, 1, {"pieces": []}, title="First", run_id=run, class_id=who)
    shelf.change_lesson(lesson, {"pieces": [1]})
    kept = shelf.lesson(lesson)
    assert (kept.plan, kept.title, kept.run_id, kept.class_id) == ({"pieces": [1]}, "First", run, who)
    assert [one.id for one in shelf.lessons(class_id=who)] == [lesson]
    shelf.remove("lesson", lesson)
    assert shelf.lessons() == ()
    shelf.remove("run", run)
    assert shelf.runs() == ()
    assert {one.kind for one in shelf.removed()} == {"lesson", "run"}


def test_what_stands_on_nothing_is_refused(shelf: Shelf, tmp_path: Path) -> None:
    dance = add(shelf, "One")
    song = shelf.add_song(song_file(tmp_path))
    for act, sentence in (
        (lambda: shelf.add_run(9, 1, song, {}), "There is no dance 9"),
        (lambda: shelf.add_run(dance, 9, song, {}), "has no version 9"),
        (lambda: shelf.add_run(dance, 1, 9, {}), "There is no song 9"),
        (lambda: shelf.add_lesson(dance, 1, {}, class_id=9), "There is no class 9"),
        (lambda: shelf.change_lesson(9, {}), "There is no lesson 9"),
        (lambda: shelf.change_class(9, name="x"), "There is no class 9"),
        (lambda: shelf.class_named("nobody"), "There is no class nobody"),
        (lambda: shelf.song(9), "There is no song 9"),
        (lambda: shelf.set_heard(9, {}), "There is no song 9"),
    ):
        with pytest.raises(ShelfError) as caught:
            act()
        assert sentence in str(caught.value)
    assert (shelf.runs(), shelf.lessons(), shelf.classes()) == ((), (), ())


def test_classes_know_what_they_were_taught_and_when(shelf: Shelf) -> None:
    who = shelf.add_class("Les débutants", notes="salle B")
    dance = add(shelf, "One", figures=["vine"])
    shelf.save_version(dance, "two", {"title": "One", "figures": ["vine", "weave"]}, based_on=1)
    shelf.teach(who, dance, "2026-11-03", version=1, notes="slow")
    shelf.teach(who, dance, "2026-10-06")
    kept = shelf.class_named("les DEBUTANTS")
    assert (kept.id, kept.members, kept.notes) == (who, None, "salle B")
    assert [(one.day, one.version, one.notes) for one in kept.taught] == [
        ("2026-10-06", 2, ""), ("2026-11-03", 1, "slow"),
    ]  # fmt: skip
    assert kept.taught[0].figures == ("vine", "weave")
    shelf.change_class(who, name="Mardi", members=12, knows={"figures": {"vine": 0.75}})
    kept = shelf.class_(who)
    assert (kept.name, kept.members, kept.notes, kept.knows) == (
        "Mardi", 12, "salle B", {"figures": {"vine": 0.75}},
    )  # fmt: skip
    for day, version, sentence in (("soon", None, "soon is not a date"), ("2026-11-03", 9, "no version 9")):
        with pytest.raises(ShelfError) as caught:
            shelf.teach(who, dance, day, version=version)
        assert sentence in str(caught.value)


def test_settings_are_plain_data_by_name(shelf: Shelf) -> None:
    shelf.set_setting("language", "fr")
    shelf.set_setting("speeds", [0.75, 1.0])
    assert shelf.settings() == {"language": "fr", "speeds": [0.75, 1.0]}
    shelf.set_setting("language", None)
    assert shelf.setting("language", "en") == "en"
