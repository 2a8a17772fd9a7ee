"""Every kind of device has words for people, and every step of its work a block on the timeline."""

from __future__ import annotations

import pytest

from reports.lift import timeline
from reports.words import work as work_words
from sim.model.devices import Device
from tests.builders import MM, ONE_OF_EACH


@pytest.mark.parametrize("device", ONE_OF_EACH, ids=lambda device: device.kind)
def test_what_is_done_at_a_device_is_said_and_shown(device: Device) -> None:
    """The call sheet says what to do at it; the timeline and the drawing show each of its steps."""
    assert work_words.KINDS[device.kind]
    steps = {step.doing for step in device.steps(device.at_start(0.0), 100 * MM)}
    assert steps if device.chases is None else {"turns", "seats"} <= work_words.STEPS.keys()
    for step in steps:
        assert work_words.STEPS[step].block in timeline.KINDS
