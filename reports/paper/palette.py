"""The colours of every page and picture, light and dark, in one place.

A colour says only which thing is which, and the same thing wherever the lift is shown (`MEANS`); no colour means good
or bad, and none says anything alone: a hatch, a dash, a symbol or a word always goes with it. The sides of the load
have no colour: they are told apart by form (left solid, right hollow). A chart of something else (the cases of a
lesson, the ends of a doubt) takes the letters, each with a dash or a symbol. The hues are of the colour-blind-safe set
of Okabe and Ito ("Color Universal Design", 2008), darkened or lightened until a line stands 3:1, and text 4.5:1,
against what lies behind it.
"""

from __future__ import annotations

MEANS = {  # blue lifts, orange follows, purple is what is open between them; a name of the palette stands for one thing
    "lifts": ("stroke", "recover", "demand"),
    "follows": ("work", "seat", "captured"),
    "gap": ("gap", "gapfill"),
}
LIGHT = {
    "ground": "#edf0f2",  # behind everything
    "paper": "#ffffff",  # what one reads on
    "ink": "#13202b",
    "soft": "#4a5863",  # second words
    "rule": "#cfd6db",  # hairlines
    "edge": "#7b8894",  # outlines of controls
    "accent": "#0a4f80",  # links and what can be pressed
    "band": "#e3e7ea",  # a hold, through all lanes
    "stripe": "#f5f7f8",  # every other lane
    "call": "#13202b",
    "react": "#6c7985",
    "stroke": "#0072b2",
    "recover": "#a5cfe8",
    "work": "#c97b00",
    "seat": "#8a5200",
    "open": "#13202b",
    "caught": "#4a5863",
    "demand": "#0072b2",
    "captured": "#c97b00",
    "gap": "#a0468a",
    "gapfill": "#a0468a38",
    "limit": "#13202b",
    "others": "#8d99a3",
    "a": "#0072b2",
    "b": "#c97b00",
    "c": "#a0468a",
    "d": "#3d4a55",
    "e": "#3794c7",
    "f": "#806600",
}
DARK = {
    "ground": "#0c1319",
    "paper": "#151f28",
    "ink": "#eaf0f4",
    "soft": "#aab7c2",
    "rule": "#33414d",
    "edge": "#7f8d99",
    "accent": "#86c5ee",
    "band": "#26323d",
    "stripe": "#19242e",
    "call": "#eaf0f4",
    "react": "#8d9ba7",
    "stroke": "#4ba9e0",
    "recover": "#28536f",
    "work": "#eba52f",
    "seat": "#fbd28b",
    "open": "#eaf0f4",
    "caught": "#aab7c2",
    "demand": "#56b4e9",
    "captured": "#eba52f",
    "gap": "#d98cc3",
    "gapfill": "#d98cc33d",
    "limit": "#eaf0f4",
    "others": "#6f7d89",
    "a": "#56b4e9",
    "b": "#eba52f",
    "c": "#d98cc3",
    "d": "#c3ced6",
    "e": "#9fd2f2",
    "f": "#d9c66a",
}


def css() -> str:
    """Both palettes as custom properties (`--ink`): by what the system prefers, or by the switch (`data-theme`)."""
    light, dark = (";".join(f"--{name}:{hue}" for name, hue in hues.items()) for hues in (LIGHT, DARK))
    return (
        f":root{{color-scheme:light;{light}}}"
        f"@media (prefers-color-scheme:dark){{:root{{color-scheme:dark;{dark}}}}}"
        f":root[data-theme=light]{{color-scheme:light;{light}}}"
        f":root[data-theme=dark]{{color-scheme:dark;{dark}}}"
        f"@media print{{:root,:root[data-theme]{{color-scheme:light;{light}}}}}"
    )
