"""What is said: on the page, in a caption file, on a call track."""

from __future__ import annotations

import io
import re
import wave
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from reports.views.captions import RATE, TONES, cues, said, tone, wav, webvtt
from sim.record.measures import measure
from sim.record.record import LEADER
from sim.record.what import CALLS
from tests.reports.shapes import SHAPES, shape

CUE = re.compile(r"(\d+)\n(\d\d+):(\d\d):(\d\d)\.(\d{3}) --> (\d\d+):(\d\d):(\d\d)\.(\d{3})\n([^\n]+)\n")


def read_cues(text: str) -> list[tuple[float, float, str]]:
    """A caption file, read back."""
    seconds = lambda h, m, s, ms: int(h) * 3600 + int(m) * 60 + int(s) + int(ms) / 1000  # noqa: E731
    return [
        (seconds(*c[2:6]), seconds(*c[6:10]), c[10]) for c in map(lambda m: [None, *m.groups()], CUE.finditer(text))
    ]


@pytest.mark.parametrize("name", SHAPES)
def test_captions_hold_every_call_and_hold_at_its_time(name):
    """As many cues as calls and holds, each as it starts; in order, none before the last has ended."""
    record = shape(name)
    text, summary = webvtt(record), measure(record)
    read = read_cues(text)
    assert text.startswith("WEBVTT\n\n")
    assert len([c for c in read if c[2].startswith("Call ")]) == summary["calls"]
    assert [c[0] for c in read] == sorted(c[0] for c in read)
    assert all(start < end for start, end, _ in read)
    assert all(end <= then + 1e-9 for (_, end, _), (then, _, _) in pairwise(read))
    leader = record.events[record.events["who"] == LEADER]
    called = leader.loc[leader["what"].isin(CALLS), "time_s"].to_numpy()
    assert np.allclose([c[0] for c in read if c[2].startswith("Call ")], called, atol=5e-4)


def test_a_hold_is_captioned_until_the_next_call():
    """The caption of a hold stands as long as the hold; that of the last wait, which is no hold, until the end."""
    record = shape("pinned with cribbing")
    spoken = cues(record)
    before_a_call = [(now, then) for now, then in pairwise(spoken) if then[2].tone == "call"]
    holds = [(start, end) for (start, end, what), _ in before_a_call if what.tone == "hold"]
    assert sum(end - start for start, end in holds) == pytest.approx(measure(record)["hold_time_s"])


def test_markup_and_arrows_in_names_are_text():
    """A name or a title cannot end a cue, start one, or be markup."""
    record = shape("twelve stations")
    record = replace(record, scenario=replace(record.scenario, title="a --> b\n\n1\n00:00.000 --> 00:01.000\n<b>x</b>"))
    text = webvtt(record)
    assert text.count("-->") == len(read_cues(text))
    assert "<" not in text
    assert "\n\n1\n" in text and text.count("\n\n1\n") == 1


def test_a_long_list_of_names_is_counted():
    """More names than can be read before the next call are counted, not read out."""
    simulated = said("holds", 3, LEADER, "", ", ".join(f"station {n}" for n in range(12)))
    assert simulated is not None and simulated.text == "Hold: waiting for station 0, station 1, station 2 and 9 more."


def test_the_call_track_sounds_at_each_call_and_is_silent_between():
    """16-bit mono, as long as the lift and two seconds; a tone within 10 ms of each call, nothing just before it."""
    record = shape("trailer")
    with wave.open(io.BytesIO(wav(record))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        track = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    assert len(track) == int((record.events["time_s"].iloc[-1] + 2) * RATE)
    leader = record.events[record.events["who"] == LEADER]
    for call in leader.loc[leader["what"] == "calls", "time_s"]:
        at = int(call * RATE)
        assert np.abs(track[at : at + RATE // 100]).max() > 1000
        assert np.abs(track[at - RATE // 10 : at]).max() == 0
    assert np.abs(track).max() < 32767 * 0.5


def test_the_tone_of_a_call_has_the_pitches_it_says():
    """The first part of a call's tone is at 660 Hz (ours)."""
    pitch, seconds = TONES["call"][0]
    part = tone("call")[: int(seconds * RATE)].astype(float)
    spectrum = np.abs(np.fft.rfft(part, 1 << 16))
    assert spectrum.argmax() * RATE / (1 << 16) == pytest.approx(pitch, abs=2.0)


def test_every_end_of_a_lift_is_said():
    """Raised, stopped, not reached, dropped: each has its words, and none of them is one of approval."""
    for what in ("raised", "stopped", "not-reached", "dropped"):
        simulated = said(what, 5, LEADER, "", "why")
        assert simulated is not None and simulated.tone == "end" and simulated.text.endswith("why.")
