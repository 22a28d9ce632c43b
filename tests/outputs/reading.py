"""Read a page back with the standard library, as a browser would find its pieces."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

VOID = {"meta", "input", "br", "link", "img"}


@dataclass
class Element:
    """One element with its text and children."""

    tag: str
    attributes: dict[str, str]
    children: list[Element] = field(default_factory=list)
    text: str = ""

    def all(self, tag: str = "", **attributes: str) -> list[Element]:
        found = []
        for child in self.children:
            # "class_" asks for one class among several.
            classes = child.attributes.get("class", "").split()
            wanted = {name: value for name, value in attributes.items() if name != "class_"}
            if (
                (not tag or child.tag == tag)
                and all(child.attributes.get(name) == value for name, value in wanted.items())
                and ("class_" not in attributes or attributes["class_"] in classes)
            ):
                found.append(child)
            found += child.all(tag, **attributes)
        return found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {})
        self.stack = [self.root]
        self.problems: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) != len(names):
            self.problems.append(f"<{tag}> has an attribute twice")
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.stack[-1].children.append(element)
        if tag not in VOID:
            self.stack.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.stack[-1].children.append(Element(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if self.stack[-1].tag != tag:
            self.problems.append(f"</{tag}> closes <{self.stack[-1].tag}>")
        else:
            self.stack.pop()

    def handle_data(self, data: str) -> None:
        for element in self.stack:
            element.text += data


@dataclass
class PageRead:
    """A page taken apart."""

    root: Element
    problems: list[str]

    @property
    def data(self) -> dict[str, Any]:
        read: dict[str, Any] = json.loads(self.root.all("script", id="data")[0].text)
        return read


def read_page(html: str) -> PageRead:
    """Take a page apart; ``problems`` lists elements that do not close in order."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    if len(reader.stack) > 1:
        reader.problems.append(f"<{reader.stack[-1].tag}> never closes")
    return PageRead(reader.root, reader.problems)
