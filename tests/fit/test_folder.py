"""A folder of music: heard once by content, in processes or on a cluster, and nothing brings it down."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from noonwall.errors import BrokenFile, NoonwallError
from noonwall.fit import FolderMatch, match_folder
from noonwall.fit import cluster as cluster_module
from tests.fit.builders import dance, walk
from tests.fit.listeners import hear

LINE = dance(walk(32, {32: -2}), bpm=120.0)


@pytest.fixture
def music(tmp_path: Path) -> Path:
    folder = tmp_path / "music"
    (folder / "old").mkdir(parents=True)
    for name, text in {
        "near.wav": "118",
        "far.mp3": "150",
        "old/near again.flac": "118",
        "talk.ogg": "speech",
        "notes.txt": "120",
    }.items():
        (folder / name).write_text(text, "utf-8")
    return folder


def heard(folder: Path) -> list[str]:
    return sorted(line for log in folder.rglob("heard.log") for line in log.read_text().split("\n") if line)


def run(folder: Path, **how: object) -> FolderMatch:
    return match_folder(LINE, folder, hear, folder.parent / "cache", **how)  # type: ignore[arg-type]


@pytest.mark.parametrize("workers", [1, 2])
def test_a_folder_is_ranked_with_what_could_not_be_heard(music: Path, workers: int) -> None:
    told: list[tuple[int, int]] = []
    result = run(music, workers=workers, progress=lambda done, total, name: told.append((done, total)))
    assert [match.name for match in result.matches] == [
        "near.wav",
        str(Path("old/near again.flac")),
        "far.mp3",
    ]
    assert result.unheard == (("talk.ogg", "talk.ogg holds no music; choose another file."),)
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_a_song_is_heard_once_by_its_content(music: Path) -> None:
    first = run(music, workers=1)
    assert (first.heard, first.cached) == (2, 1)
    assert heard(music) == ["far.mp3", "near.wav", "talk.ogg"]
    (music / "far.mp3").rename(music / "moved.mp3")
    second = run(music, workers=1)
    assert (second.heard, second.cached) == (0, 3)
    assert len(heard(music)) == 3
    assert second.unheard == first.unheard


def test_changed_content_or_another_edition_is_heard_afresh(music: Path) -> None:
    run(music, workers=1, edition="1")
    (music / "far.mp3").write_text("121", "utf-8")
    assert run(music, workers=1, edition="1").matches[0].name == "far.mp3"
    assert run(music, workers=1, edition="2").heard == 2


def test_a_damaged_cache_entry_is_heard_again(music: Path) -> None:
    first = run(music, workers=1)
    for entry in (music.parent / "cache").glob("*.json"):
        entry.write_text(entry.read_text("utf-8")[:20], "utf-8")
    again = run(music, workers=1)
    assert again.matches == first.matches and again.heard == 2
    kept = [json.loads(entry.read_text("utf-8")) for entry in (music.parent / "cache").glob("*.json")]
    assert len(kept) == 3 and not list((music.parent / "cache").glob("*.part"))


def test_a_song_that_stops_its_process_is_set_aside(music: Path) -> None:
    (music / "broken.wav").write_text("crash", "utf-8")
    result = run(music, workers=2)
    assert {name for name, _ in result.unheard} == {"broken.wav", "talk.ogg"}
    assert "stopped the program" in dict(result.unheard)["broken.wav"]
    assert len(result.matches) == 3


def test_a_folder_that_is_none_and_a_cache_that_cannot_be(music: Path, tmp_path: Path) -> None:
    with pytest.raises(BrokenFile, match="is not a folder"):
        run(tmp_path / "nowhere")
    blocked = tmp_path / "blocked"
    blocked.write_text("a file")
    with pytest.raises(BrokenFile, match="cannot be made"):
        match_folder(LINE, music, hear, blocked / "cache")


def test_an_empty_folder_has_no_matches(tmp_path: Path) -> None:
    assert match_folder(LINE, tmp_path, hear, tmp_path / "cache").matches == ()


def test_a_cluster_without_dask_is_refused_in_one_sentence(
    music: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(cluster_module.importlib, "import_module", missing)
    with pytest.raises(NoonwallError, match="needs Dask, which is not installed"):
        run(music, cluster="tcp://harbour-hall:8786")


def test_a_cluster_gives_the_same_ranks(music: Path) -> None:
    distributed = pytest.importorskip("distributed")
    expected = run(music, workers=1)
    for entry in (music.parent / "cache").glob("*.json"):
        entry.unlink()
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
    ) as scheduler:
        result = run(music, cluster=scheduler.scheduler_address)
    assert result.matches == expected.matches
    assert result.unheard == expected.unheard


def test_a_cluster_that_does_not_answer_is_said(music: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(cluster_module, "CONNECT_SECONDS", 1)
    with pytest.raises(NoonwallError, match=r"No cluster answers at tcp://127\.0\.0\.1:9"):
        run(music, cluster="tcp://127.0.0.1:9")
