"""The drawing as pictures for slides: the SVG needs no browser; Chromium makes PNG and PDF of it."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from reports.views.still import svg, time_to_show
from sim.model.errors import Refused
from sim.record.measured import Measured
from sim.record.record import Record
from sim.stored.whole import write_whole

HEADLESS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--no-pdf-header-footer",
)  # fmt: skip


class PictureError(Refused):
    """A picture that cannot be made: why, and what to do."""


def write_drawing(
    record: Record, folder: Path, width: int, height: int, formats: Sequence[str], browser: str
) -> list[Path]:
    """The drawing at the instant that shows the lift best.

    Parameters
    ----------
    record : Record
        The lift.
    folder : Path
        Where the pictures go; it is there.
    width, height : int
        Of each picture [px]; a PDF has as many points.
    formats : sequence of str
        Of png, svg and pdf.
    browser : str
        Chrome or Chromium; "" leaves PNG and PDF out.

    Returns
    -------
    list of Path
        What was written, a CSV of where everything stood included.

    Raises
    ------
    PictureError
        The browser could not draw.
    """
    time = time_to_show(record)
    drawn = folder / "drawing.svg"
    picture = svg(record, time, width, height)
    written = []
    if "svg" in formats:
        write_whole(drawn, picture)
        written.append(drawn)
    for form in [f for f in formats if f != "svg"] if browser else []:
        written.append(folder / f"drawing.{form}")
        _print(picture, written[-1], width, height, browser)
    written.append(folder / "drawing.csv")
    write_whole(written[-1], standing(record, time))
    return written


def standing(record: Record, time: float) -> str:
    """Where every place stood at an instant, as CSV."""
    import numpy as np

    rows = ["time_s,station,demand_m,captured_m,gap_m"]
    for name, place in Measured(record).places.items():
        at = np.array([time])
        demand, captured = float(place.demand.just_after(at)[0]), float(place.captured.just_after(at)[0])
        quoted = '"' + name.replace('"', '""') + '"'
        rows.append(f"{time!r},{quoted},{demand!r},{captured!r},{demand - captured!r}")
    return "\n".join(rows) + "\n"


def _print(picture: str, target: Path, width: int, height: int, browser: str) -> None:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        page, drawn = Path(folder) / "drawing.html", Path(folder) / f"drawn{target.suffix}"
        page.write_text(
            f"<!doctype html><meta charset=utf-8><style>@page{{size:{width}px {height}px;margin:0}}"
            f"html,body{{margin:0}}svg{{display:block;width:{width}px;height:{height}px}}</style>{picture}",
            encoding="utf-8",
        )
        how = f"--screenshot={drawn}" if target.suffix == ".png" else f"--print-to-pdf={drawn}"
        place = [f"--user-data-dir={folder}/profile", f"--window-size={width},{height}"]
        try:
            subprocess.run([browser, *HEADLESS, *place, how, page.as_uri()], capture_output=True, timeout=60)
            bytes_drawn = drawn.read_bytes()
        except subprocess.TimeoutExpired:
            raise could_not_draw(browser, "it took longer than a minute") from None
        except OSError:
            raise could_not_draw(browser, "no picture came") from None
    write_whole(target, bytes_drawn)


def could_not_draw(browser: str, why: str) -> PictureError:
    """A browser that is there, and gave no picture."""
    return PictureError(
        f"{browser}: could not draw: {why}",
        "see that it starts, and that there is room for its temporary files; BROWSER_PATH names another one",
    )
