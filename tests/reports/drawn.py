"""The drawing of a lift alone on a page, opened in a real browser."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

from reports.paper import assets, palette
from reports.views import drawing
from sim.record.record import Record


def harness(record: Record) -> str:
    """A bare page that holds nothing but the drawing."""
    styles = "".join(
        f"<style>{css}</style>" for css in (palette.css(), assets.text("style.css"), assets.text(drawing.STYLE))
    )
    scripts = "".join(f"<script>{assets.text(name)}</script>" for name in drawing.SCRIPTS)
    head = '<meta charset="utf-8"><meta name="viewport" content="width=device-width">'
    head += f"<title>{escape(record.scenario.title)}</title>{styles}"
    body = f"<main>{drawing.section(record)}</main>{scripts}"
    return f'<!doctype html><html lang="en"><head>{head}</head><body>{body}</body></html>'


class Opened:
    """The drawing of a lift, open in a browser."""

    def __init__(self, browser: Any, record: Record, folder: Path, **settings: Any) -> None:
        self.page = browser.new_page(**({"viewport": {"width": 1024, "height": 768}} | settings))
        self.complaints: list[str] = []
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda r: r.url.startswith("file:") or self.complaints.append(r.url))
        (folder / "page.html").write_text(harness(record), encoding="utf-8")
        self.page.goto((folder / "page.html").as_uri())
        self.page.wait_for_selector(".lift-drawing[data-ready]", timeout=10_000)

    def seek(self, time: float) -> None:
        """Show one instant."""
        self.page.evaluate(f"document.querySelector('.lift-drawing').liftDrawing.seek({time!r})")

    def read(self, name: str) -> float:
        """A number that the drawing says of itself."""
        return float(self.page.evaluate(f"document.querySelector('.lift-drawing').dataset.{name}"))
