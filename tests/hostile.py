"""A lift whose writer put markup, formulas, templates and escapes into every name and text that there is."""

from __future__ import annotations

import html.parser
import json
import re
from dataclasses import replace
from typing import Any

from sim.examples import example
from sim.model.scenario import Scenario
from sim.written.reading import parse

# What the reader takes: each is a name of one line of letters that can be seen. `pwned` is what none may come to set.
NAMES = {
    "title": "</script><script>window.pwned=1</script>{{7*7}}",
    "left lifter": '=1+1"><img src=x onerror=window.pwned=2>',
    "right lifter": "'-2+2'><svg onload=window.pwned=3>",
    "left strut": "<b>bold</b> %{x} {{7*7}} ${7*7}",
    "right strut": '<a href="javascript:window.pwned=4">a</a>',
    "left hand": "@SUM(A1)&lt;i&gt;&amp;<br>[red]r[/red]:fire:",
    "right hand": "+3;=cmd|' /C calc'!A0 [link=https://x.invalid]l[/link]",
    "threaded": "$ink<!--<script>",
    "pinned": "__proto__",
    "cribbing": "--><iframe srcdoc=x>",
    "ram-collar": "]]><style>*{display:none}</style>",
    "steady": "constructor<script>",
    "no holds": "\\u003cscript\\u003e{% raw %}",
}
OVER = (
    "\u2028\u202e\x1b]0;pwned\x07\r"  # what the reader refuses, and a program that uses the library may still hand on
)


def text() -> str:
    """The trailer's file with these names."""
    text = example("trailer")
    text = re.sub("title = .*", lambda _: f"title = {json.dumps(NAMES['title'])}", text)
    for side in ("left", "right"):
        hand = json.dumps(NAMES[f"{side} hand"])
        text = text.replace(f'name = "{side} strut"', f'name = "{side} strut"\ncatcher = {hand}')
    for old, new in NAMES.items():
        text = re.sub(
            rf"^\[(operator|device)\.{re.escape(old)}\]",
            lambda m, new=new: f"[{m[1]}.{json.dumps(new)}]",
            text,
            flags=re.M,
        )
        text = re.sub(rf"(?<=replace = {{){re.escape(old)} =", lambda _, new=new: f"{json.dumps(new)} =", text)
        text = text.replace(json.dumps(old), json.dumps(new))
    return text


def scenario(variant: str = "") -> Scenario:
    """As it is read."""
    return parse(text(), "<img src=x onerror=window.pwned=5>.toml", NAMES.get(variant, variant))


def overdone(found: Scenario) -> Scenario:
    """The same with characters that cannot be seen in title, names and file, as no file can have them."""
    lifters = tuple(replace(x, name=f"{x.name}{OVER}") for x in found.lifters)
    stations = tuple(replace(x, name=f"{x.name}{OVER}") for x in found.stations)
    assumed = (*found.assumed, f"assumed{OVER}")
    return replace(found, title=found.title + OVER, lifters=lifters, stations=stations, assumed=assumed)


class Page(html.parser.HTMLParser):
    """A page as a browser takes it apart."""

    VOID = {"meta", "link", "img", "br", "wbr", "input", "hr"}

    def __init__(self, written: str) -> None:
        super().__init__(convert_charrefs=True)
        self.scripts: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.raw = ""
        self.feed(written)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {key: value or "" for key, value in attrs}))
        self.raw = tag if tag in ("script", "style") else self.raw
        if tag == "script":
            self.scripts.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == self.raw:
            self.raw = ""

    def handle_data(self, data: str) -> None:
        if self.raw == "script":
            self.scripts[-1] += data
        elif not self.raw:
            self.words.append(data)

    @property
    def text(self) -> str:
        """Everything that a reader may see, in attributes and for scripts too."""
        attributes = " ".join(value for _, attrs in self.tags for value in attrs.values())
        return " ".join(self.words) + attributes


PSEUDO = re.compile(r"</?b>|<br>|<extra></extra>|<extra>[^<>]*</extra>|</?i>|</?span[^<>]*>|</?su[bp]>")
FILLED = re.compile(r"%\{(x|y|z|text|customdata(\[[0-9]+\])?)(:[^{}]*)?\}")


def faults(value: Any, key: str = "") -> list[str]:
    """Texts of a plotly figure in which a tag or a placeholder stands that no function of ours writes."""
    if isinstance(value, dict):
        return [fault for name, each in value.items() for fault in faults(each, name)]
    if isinstance(value, list):
        return [fault for each in value for fault in faults(each, key)]
    if not isinstance(value, str) or key in ("station",):
        return []
    rest = FILLED.sub("", PSEUDO.sub("", value))
    whole = any(name in value for name in NAMES.values() if re.search(r"<|%\{", name))
    return [value] if whole or "<" in rest or "%{" in rest else []
