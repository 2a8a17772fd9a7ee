"""Pages: a template filled in, in one file that needs nothing from outside.

A template extends `base.html` and may use
    {{ value|quantity("length") }}      a figure in the scenario's units; the switch on the page turns it
    {{ value|quantity_up("length") }}   the same, rounded up: for gaps and drops
    {{ length|limit }}                  a limit as it was set, never rounded up
    {{ gap|gap_cell }}                  the same as a <td> of a long table
    {{ sentence|in_both_units }}                 a sentence with amounts in it (`sim.model.sentences`)
    {{ either(us_text, si_text) }}      a text that holds figures
    {{ style("style.css") }}  {{ script("charts.js") }}  {{ plotly() }}    what stands in reports/assets
    {{ data("charts", value) }}         a value for the scripts, as JSON
    {{ packed("charts", value) }}       a large one, compressed
Only what came in through `style`, `script` and `plotly` may run: the content security policy of the page names the
hash of each and allows nothing else, and no request at all.
"""

from __future__ import annotations

import json
import math
import secrets
from collections.abc import Callable, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape

from reports.paper import assets, palette
from reports.words.drops import how_far, if_it_does_not, if_it_holds
from reports.words.plain import NOT_KNOWN, clock, count, limit
from reports.words.sheet_sides import Said
from reports.words.stops import do_not
from sim.model.cautions import CAUTION
from sim.model.sentences import Sentence, words
from sim.model.units import Units, show, show_up
from sim.model.visible import visible
from sim.stored.store import versions


def render(
    template: str,
    *,
    units: Units = "us",
    connect: str = "",
    frames: str = "",
    stops: Sequence[Said] = (),
    **values: Any,
) -> str:
    """A whole page.

    Parameters
    ----------
    template : str
        A file in reports/templates.
    units : "us" or "si"
        What the figures are in until the reader switches.
    connect : str
        Where the page may connect to: "" nowhere, or "'self'" for a page of the live rehearsal.
    frames : str
        What the page may show in a frame: "" nothing, or "'self'" for another page of the same server.
    stops : sequence of Said
        What stops the lift that the page is of: it begins with them.
    **values
        What the template asks for; one that it asks for and that is missing is an error.

    Returns
    -------
    str
        HTML.
    """
    allowed = Allowed()
    mark = f"policy-{secrets.token_hex(16)}"
    html = (
        _environment()
        .get_template(template)
        .render(
            units=units,
            stops=stops,
            policy=mark,
            style=allowed.style,
            script=allowed.script,
            plotly=allowed.plotly,
            data=data,
            packed=packed,
            either=_either,
            palette_css=allowed.palette,
            caution=CAUTION,
            versions=versions(),
            **values,
        )
    )
    return html.replace(mark, allowed.policy(connect, frames), 1)


def fragment(template: str, *, units: Units = "us", **values: Any) -> str:
    """A part of a page that a server sends to it later: markup alone, nothing that runs."""
    return _environment().get_template(template).render(units=units, data=data, either=_either, **values)


class Allowed:
    """What may run on one page: each inline script and style sheet that it was given, by hash."""

    def __init__(self) -> None:
        self.scripts: list[str] = []
        self.styles: list[str] = []

    def style(self, name: str) -> Markup:
        """A style sheet of the assets, inline."""
        return self._style(assets.text(name))

    def palette(self) -> Markup:
        """The colours, inline."""
        return self._style(palette.css())

    def _style(self, source: str) -> Markup:
        self.styles.append(assets.digest(source))
        return Markup(f"<style>{source}</style>")

    def script(self, name: str) -> Markup:
        """A script of the assets, inline.

        Raises
        ------
        ValueError
            It would end its own element.
        """
        source = assets.text(name)
        if "</script" in source.lower():
            raise ValueError(f"{name} would end its own script element")
        self.scripts.append(assets.digest(source))
        return Markup(f"<script>{source}</script>")

    def plotly(self) -> Markup:
        """plotly.js, compressed, with its licence; `charts.js` unpacks it."""
        self.scripts.append(assets.plotly_digest())
        self.styles.append(assets.digest(""))  # it adds empty style sheets and fills them through the CSSOM
        return Markup(
            f"<!-- plotly.js {assets.PLOTLY_VERSION}, cartesian bundle\n{assets.text('plotly-LICENSE.txt')}-->"
            f'<script type="text/plain" id="plotly-js">{assets.plotly_packed()}</script>'
        )

    def policy(self, connect: str = "", frames: str = "") -> str:
        """The content security policy."""
        parts = [
            "default-src 'none'",
            f"script-src {' '.join(self.scripts) or chr(39) + 'none' + chr(39)}",
            f"style-src-elem {' '.join(self.styles)}",
            "style-src-attr 'unsafe-inline'",  # a place in a drawing; what it could fetch, img-src forbids
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        ]
        if connect:
            parts.append(f"connect-src {connect}")
        if frames:
            parts.append(f"frame-src {frames}")
        return "; ".join(parts)


def data(name: str, value: Any) -> Markup:
    """A value for the scripts of a page, as JSON that cannot end its element."""
    written = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    for mark in "<>&\u2028\u2029":
        written = written.replace(mark, f"\\u{ord(mark):04x}")
    return Markup(f'<script type="application/json" id="{escape(name)}">{written}</script>')


def packed(name: str, value: Any) -> Markup:
    """A large value for the scripts of a page: JSON, compressed."""
    written = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return Markup(f'<script type="text/plain" id="{escape(name)}">{assets.packed(written)}</script>')


@cache
def _environment() -> Environment:
    def template(name: str) -> str:
        return (files("reports") / "templates" / name).read_text(encoding="utf-8")

    environment = Environment(
        loader=FunctionLoader(template),
        autoescape=True,
        finalize=_visible,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["quantity"] = _quantity
    environment.filters["quantity_up"] = _quantity_up
    environment.filters["limit"] = _limit
    environment.filters["count"] = count
    environment.filters["in_both_units"] = _in_both_units
    environment.filters["gap_cell"] = _gap_cell
    environment.filters["clock"] = clock
    environment.globals.update(how_far=how_far, if_it_does_not=if_it_does_not, if_it_holds=if_it_holds, do_not=do_not)
    return environment


def _visible(value: Any) -> Any:
    """Whatever a template shows, with what cannot be seen in it written out."""
    return visible(value, keep="\t\r\n") if type(value) is str else value


@pass_context
def _quantity(context: Context, value: float | None, dimension: str) -> Markup:
    return figure(value, dimension, context["units"])


@pass_context
def _quantity_up(context: Context, value: float | None, dimension: str) -> Markup:
    return figure(value, dimension, context["units"], up=True)


@pass_context
def _limit(context: Context, length: float) -> Markup:
    return either(limit(length, "us"), limit(length, "si"), context["units"])


@pass_context
def _gap_cell(context: Context, gap: float, more: str = "") -> Markup:
    """A gap as the cell of a long table, without a word too many: there may be thousands on a page."""
    if gap < 1e-9:
        return Markup("<td>0{}").format(more)
    us, si = (show_up(gap, "length", "us") + more, show_up(gap, "length", "si") + more)
    return Markup('<td data-us="{}" data-si="{}">{}').format(us, si, si if context["units"] == "si" else us)


@pass_context
def _either(context: Context, us: str, si: str) -> Markup:
    return either(us, si, context["units"])


@pass_context
def _in_both_units(context: Context, said: Sentence | str) -> Markup:
    return either(words(said, "us"), words(said, "si"), context["units"])


def figure(value: float | None, dimension: str, units: Units, up: bool = False) -> Markup:
    """A figure that the switch on the page turns into the other units; one that is missing is "not known"."""
    if value is None or math.isnan(value):
        return Markup(NOT_KNOWN)
    shows = show_up if up else show
    return either(shows(value, dimension, "us"), shows(value, dimension, "si"), units)


def in_both(said: Callable[[Units], str], units: Units) -> Markup:
    """What is said in the one units or the other."""
    return either(said("us"), said("si"), units)


def either(us: str, si: str, units: Units) -> Markup:
    """A text in the one units or the other."""
    us, si = _visible(us), _visible(si)
    shown = si if units == "si" else us
    return Markup('<span data-us="{}" data-si="{}">{}</span>').format(us, si, shown)
