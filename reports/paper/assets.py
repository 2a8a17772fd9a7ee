"""What the pages are made of and ships with the package: style sheets, scripts, the drawing library.

Everything is read through importlib.resources, so that it is found wherever the package was installed.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import zlib
from functools import cache
from importlib.resources import files

PLOTLY = "plotly-cartesian.min.js.gz"
PLOTLY_VERSION = "4.1.1"  # of plotly.js: the one that the plotly package of .ci/lock.txt carries, kept equal by a test


@cache
def text(name: str) -> str:
    """A text among the assets, its lines ended as a browser reads them."""
    read = (files("reports") / "assets" / name).read_text(encoding="utf-8")
    return read.replace("\r\n", "\n")


@cache
def plotly_packed() -> str:
    """plotly.js as the page carries it: gzip, then base64."""
    return base64.b64encode((files("reports") / "assets" / PLOTLY).read_bytes()).decode("ascii")


@cache
def plotly_source() -> str:
    """plotly.js as it runs."""
    return gzip.decompress((files("reports") / "assets" / PLOTLY).read_bytes()).decode("utf-8")


@cache
def plotly_digest() -> str:
    """What the content security policy knows plotly.js by."""
    return digest(plotly_source())


def digest(source: str) -> str:
    """The hash of an inline script or style sheet, as a content security policy writes it."""
    return "'sha256-" + base64.b64encode(hashlib.sha256(source.encode("utf-8")).digest()).decode("ascii") + "'"


def packed(source: str) -> str:
    """A text as the page carries it: gzip (no date in it, so that the same text gives the same page), then base64."""
    squeeze = zlib.compressobj(level=9, wbits=31, memLevel=5)  # columns of numbers: short blocks
    return base64.b64encode(squeeze.compress(source.encode("utf-8")) + squeeze.flush()).decode("ascii")
