"""The shelf against a plain dict: adding, saving, restoring, removing, searching, moving, in any order."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import hypothesis.strategies as st
from hypothesis import HealthCheck, settings
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from noonwall.shelf import Conflict, Filters, Saved, open_shelf
from tests.shelf.conftest import postgres_place
from tests.shelf.kit import facts

WORDS = st.sampled_from(["harbour", "été", "Ete", "lantern", "slipway", "cœur"])
TITLES = st.lists(WORDS, min_size=1, max_size=2).map(" ".join)
FIGURES = st.lists(st.sampled_from(["vine", "shuffle", "weave"]), max_size=2, unique=True)
FOLDED = {"été": "ete", "Ete": "ete", "cœur": "coeur"}


@dataclass
class Model:
    """What a dance must be: its versions, which is current, whether it is there, how often it was taught."""

    versions: list[tuple[str, str, tuple[str, ...]]]
    current: int = 1
    is_removed: bool = False
    taught: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        return self.versions[self.current - 1][1]

    @property
    def figures(self) -> tuple[str, ...]:
        return self.versions[self.current - 1][2]

    def holds(self, word: str) -> bool:
        text, title, _ = self.versions[self.current - 1]
        return any(
            FOLDED.get(one, one).startswith(FOLDED.get(word, word)) for one in f"{title} {text}".split()
        )


class ShelfAgainstDict(RuleBasedStateMachine):
    """Every rule does a thing to both; the invariant compares all that can be asked."""

    dances = Bundle("dances")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.drop = lambda: None
        self.model: dict[int, Model] = {}
        self.moves = 0

    def new_place(self) -> Path | str:
        self.moves += 1
        return self.folder / f"{self.moves}.sqlite"

    @initialize()
    def open(self) -> None:
        self.place = self.new_place()
        self.shelf = open_shelf(self.place, backups=self.folder / "backups")
        self.who = self.shelf.add_class("Tuesday")

    @rule(target=dances, text=TITLES, title=TITLES, figures=FIGURES)
    def add(self, text: str, title: str, figures: list[str]) -> int:
        number = self.shelf.add_dance(text, facts(title, figures=figures))
        assert number not in self.model
        self.model[number] = Model([(text, title, tuple(figures))])
        return number

    @rule(number=dances, text=TITLES, title=TITLES, figures=FIGURES, back=st.integers(0, 3))
    def save(self, number: int, text: str, title: str, figures: list[str], back: int) -> None:
        model = self.model[number]
        based_on = max(1, model.current - back)
        told = self.shelf.save_version(number, text, facts(title, figures=figures), based_on=based_on)
        last = len(model.versions)
        is_same = text == model.versions[model.current - 1][0]
        is_untyped = based_on != model.current and text == model.versions[based_on - 1][0]
        if is_same or is_untyped:
            assert told == Saved(number, model.current, is_new=False)
            return
        model.versions.append((text, title, tuple(figures)))
        if based_on != model.current:
            assert told == Conflict(number, last + 1, model.current, based_on)
        else:
            assert told == Saved(number, last + 1)
            model.current = last + 1

    @rule(number=dances, which=st.integers(0, 20))
    def restore(self, number: int, which: int) -> None:
        model = self.model[number]
        version = which % len(model.versions) + 1
        told = self.shelf.restore(number, version)
        if model.versions[version - 1][0] == model.versions[model.current - 1][0]:
            assert told == Saved(number, model.current, is_new=False)
            return
        model.versions.append(model.versions[version - 1])
        model.current = len(model.versions)
        assert told == Saved(number, model.current)

    @rule(number=dances)
    def remove(self, number: int) -> None:
        self.shelf.remove("dance", number)
        self.model[number].is_removed = True

    @rule(number=dances)
    def put_back(self, number: int) -> None:
        self.shelf.put_back("dance", number)
        self.model[number].is_removed = False

    @rule(number=dances, day=st.dates())
    def teach(self, number: int, day: object) -> None:
        self.shelf.teach(self.who, number, str(day))
        self.model[number].taught.append(str(day))

    @rule()
    def close_and_open(self) -> None:
        self.shelf.close()
        self.shelf = open_shelf(self.place, backups=self.folder / "backups")

    @rule()
    def back_up_and_restore(self) -> None:
        self.shelf.put_in_place(self.shelf.backup())

    @rule()
    def move_house(self) -> None:
        out = self.folder / f"out{self.moves}"
        self.shelf.export_to(out)
        self.shelf.close()
        self.place = self.new_place()
        self.shelf = open_shelf(self.place, backups=self.folder / "backups")
        self.shelf.import_from(out)

    @rule(word=WORDS, figure=st.sampled_from(["", "vine", "weave"]))
    def search(self, word: str, figure: str) -> None:
        filters = Filters(figures=(figure,) if figure else ())
        found = {row.id for row in self.shelf.find(word, filters).rows}
        assert found == {
            number
            for number, model in self.model.items()
            if not model.is_removed and model.holds(word) and (not figure or figure in model.figures)
        }

    @invariant()
    def all_is_as_it_should_be(self) -> None:
        there = {number for number, model in self.model.items() if not model.is_removed}
        rows = self.shelf.find(per_page=1000).rows
        assert {row.id for row in rows} == there
        for row in rows:
            model = self.model[row.id]
            assert (row.title, row.figures, row.version) == (model.title, model.figures, model.current)
            assert (row.times_taught, row.last_taught) == (len(model.taught), max(model.taught, default=""))
        assert {one.id for one in self.shelf.removed()} == set(self.model) - there
        for number, model in self.model.items():
            told = [(one.text, one.facts.title, one.facts.figures) for one in self.shelf.versions(number)]
            assert told == model.versions

    def teardown(self) -> None:
        if hasattr(self, "shelf"):
            self.shelf.close()
        shutil.rmtree(self.folder)
        self.drop()


class SchoolShelfAgainstDict(ShelfAgainstDict):
    """The same, moving between schemas of PostgreSQL."""

    def new_place(self) -> str:
        self.moves += 1
        url, drop = postgres_place()
        before = self.drop

        def drop_all() -> None:
            drop()
            before()

        self.drop = drop_all
        return url


TestShelf = ShelfAgainstDict.TestCase
TestShelf.settings = settings(
    max_examples=10, stateful_step_count=20, deadline=None, suppress_health_check=list(HealthCheck)
)
TestSchoolShelf = SchoolShelfAgainstDict.TestCase
TestSchoolShelf.settings = settings(
    max_examples=3, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
)
