"""What is said in a lift, in words and in tones: on the page, as WebVTT for a training video, as a WAV call track.

One table of words for all of them, and for the live rehearsal and the call sheet too. WebVTT: W3C, "WebVTT: The Web
Video Text Tracks Format". The track is 16-bit mono.
"""

from __future__ import annotations

import io
import re
import wave
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.record.record import LEADER, Record
from sim.record.what import What

LIFT, HOLD, STOP, CAUGHT = "lift", "hold", "stop", "caught"  # the words of the leader, and the catchers' answer
UP, HANDS_IN, HANDS_OUT, DOWN = "up", "hands in", "hands out", "down"  # the words of the way down

# Tone of each thing said: pairs of pitch [Hz] (0: silence) and length [s]. The page plays the same ones.
TONES: dict[str, tuple[tuple[float, float], ...]] = {
    "call": ((660.0, 0.12), (880.0, 0.22)),  # up
    "hold": ((392.0, 0.45),),  # one, low and long
    "hands": ((523.0, 0.12), (0.0, 0.06), (523.0, 0.12)),  # two alike
    "down": ((880.0, 0.12), (660.0, 0.22)),  # a call turned round
    "stage": ((523.0, 0.3),),
    "stop": ((330.0, 0.15), (0.0, 0.08), (330.0, 0.15), (0.0, 0.08), (330.0, 0.3)),  # three, low
    "end": ((523.0, 0.15), (659.0, 0.15), (784.0, 0.4)),
    "crew": ((1200.0, 0.05),),  # a short tick: a station says caught
}
RATE = 16_000  # samples a second of the call track
LOUD = 0.4  # of full scale
SHOWN = 3.0  # how long a caption stays where nothing follows it [s]
NAMED = 4  # how many names a caption says before it counts the others


@dataclass(frozen=True, slots=True)
class CaptionLine:
    """One thing that is said."""

    text: str  # as a caption
    aloud: str  # as speech
    tone: str  # a key of TONES


def said(what: str, call: int, who: str, station: str, note: str) -> CaptionLine | None:
    """What is said at an event of the record; None where nothing is."""
    return _leader_says(what, call, note) if who == LEADER else _crew_says(what, who, station)


def _leader_says(what: str, call: int, note: str) -> CaptionLine | None:
    names = _some(note)
    match what:
        case What.CALLS:
            return CaptionLine(f"Call {call}: {LIFT}.", f"Call {call}. {LIFT}.", "call")
        case What.LEVELS:
            return CaptionLine(f"Call {call}: {names} only, {LIFT}.", f"Call {call}. {names} only. {LIFT}.", "call")
        case What.CALLS_DOWN:
            text = f"Call {call}: {UP}, clear of what it rests on: {names}."
            return CaptionLine(text, f"Call {call}. {UP}, to free it.", "call")
        case What.ROOM:
            return CaptionLine("Hands in: let the devices down.", f"{HANDS_IN}.", "hands")
        case What.LOWERS:
            return CaptionLine(f"Hands out. {DOWN.capitalize()}: open the valves.", f"{HANDS_OUT}. {DOWN}.", "down")
        case What.STAGE_BEGINS:
            number, _, do = note.partition(" ")
            does = {"raise": "raise", "hold": "stand, on what was captured", "lower": "lower, step by step"}[do]
            return CaptionLine(f"Stage {number}: {does}.", f"Stage {number}. {does}.", "stage")
        case What.RUNS_OUT:
            return CaptionLine(f"Packing out: {names}, run out again.", f"Packing out. {names}.", "hold")
        case What.HOLDS:
            return CaptionLine(f"Hold: waiting for {names}.", f"Hold. {names}.", "hold")
        case What.UNCAPTURABLE:
            text = f"All that can be caught is caught; still over the limit: {names}."
            return CaptionLine(text, f"Still over the limit. {names}.", "hold")
        case What.RE_SETS:
            return CaptionLine(f"Re-set: {names}, packed up for another run.", f"Re-set. {names}.", "hold")
        case What.FREEZES:
            return CaptionLine("Stop: everybody freezes.", f"{STOP}. {STOP}.", "stop")
        case What.PRESSURE_LOST | What.LIFTER_LOST:
            loss = "The pressure is lost" if what == What.PRESSURE_LOST else "The lifter is lost"
            return CaptionLine(f"{loss}; the load comes down, caught by {names}.", f"{STOP}. {loss}.", "stop")
        case What.RAISED | What.LOWERED | What.STOPPED | What.NOT_REACHED | What.DROPPED | What.STUCK:
            outcome = what.replace("-", " ").capitalize()
            return CaptionLine(f"{outcome}: {note}.".replace("..", "."), f"{outcome}.", "end")
    return None


def _crew_says(what: str, who: str, station: str) -> CaptionLine | None:
    match what:
        case What.CAUGHT | What.SAYS_CAUGHT:
            return CaptionLine(f"{station}: {CAUGHT}.", f"{station}, {CAUGHT}.", "crew")
        case What.LET_DOWN if station:
            return CaptionLine(f"{station}: {HANDS_OUT}.", f"{station}, {HANDS_OUT}.", "crew")
        case What.CLEAR:
            return CaptionLine(f"{who}: clear.", f"{who}, clear.", "crew")
        case What.LANDS if not station:
            return CaptionLine(f"{who}: landed.", f"{who}, landed.", "crew")
        case What.MISSES:
            return CaptionLine(f"{who}: the call was missed.", f"{who}, missed.", "crew")
    return None


def _some(note: str) -> str:
    """The names of a note, cut to what can be read before the next call."""
    names = note.split(", ")
    if len(names) <= NAMED:
        return note or "all"
    return f"{', '.join(names[: NAMED - 1])} and {len(names) - NAMED + 1} more"


def webvtt(record: Record) -> str:
    """The calls and holds as a caption file, with its cues numbered."""
    lines = ["WEBVTT", "", f"NOTE {_plain(record.scenario.title)}", ""]
    for number, (start, end, what) in enumerate(cues(record), 1):
        lines += [str(number), f"{_clock(start)} --> {_clock(end)}", _plain(what.text), ""]
    return "\n".join(lines)


def cues(record: Record) -> list[tuple[float, float, CaptionLine]]:
    """What the leader says: from when [s], until when [s], what. None overlaps; at one instant the last counts."""
    spoken = list(leaders_words(record))
    ends = [then for then, _ in spoken[1:]]
    found = []
    for n, (start, what) in enumerate(spoken):
        then = ends[n] if n < len(ends) else np.inf
        end = then if what.tone == "hold" else min(then, start + SHOWN)
        end = start + SHOWN if end == np.inf else end
        if round(end * 1000) > round(start * 1000):
            found.append((start, end, what))
    return found


def leaders_words(record: Record) -> Iterator[tuple[float, CaptionLine]]:
    """When the leader says what."""
    own = record.columns.at(record.columns.who == LEADER)
    columns = (each.tolist() for each in (own.time_s, own.call, own.what, own.note))
    for time, call, what, note in zip(*columns, strict=True):
        spoken = said(what, call, LEADER, "", note)
        if spoken is not None:
            yield time, spoken


def wav(record: Record) -> bytes:
    """The call track: a tone at each call, hold, stop and at the end; as long as the lift and two seconds more."""
    spoken = list(leaders_words(record))
    last = float(record.columns.time_s[-1])
    track = np.zeros(int((last + 2.0) * RATE), dtype=np.int16)
    starts = [time for time, _ in spoken]
    for (start, then), (_, what) in zip(pairwise([*starts, last + 2.0]), spoken, strict=True):
        at = int(start * RATE)
        sound = tone(what.tone)[: max(0, int(then * RATE) - at)]
        track[at : at + len(sound)] = sound[: len(track) - at]
    made = io.BytesIO()
    with wave.open(made, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(track.astype("<i2").tobytes())
    return made.getvalue()


def tone(name: str) -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    """The samples of one tone, each part faded over 8 ms lest it click: shape (n,)."""
    parts = []
    for pitch, seconds in TONES[name]:
        time = np.arange(int(seconds * RATE)) / RATE
        fade = np.clip(np.minimum(time, seconds - time) / 0.008, 0.0, 1.0)
        parts.append(LOUD * fade * np.sin(2 * np.pi * pitch * time))
    return (np.concatenate(parts) * 32767).astype(np.int16)


def _clock(seconds: float) -> str:
    milliseconds = round(seconds * 1000)
    hours, rest = divmod(milliseconds, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    return f"{hours:02}:{minutes:02}:{rest // 1000:02}.{rest % 1000:03}"


def _plain(text: str) -> str:
    """One line of text in which no mark of WebVTT is left."""
    one_line = re.sub(r"\s+", " ", text)
    return one_line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
