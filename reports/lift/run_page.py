"""The page of one lift: from the answer in one sentence down to where every figure came from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from reports.lift.gaps import gap_figure, most, open_stretches
from reports.lift.key import gap_key, kinds_in, timeline_key
from reports.lift.lanes import Lanes, lanes_of
from reports.lift.pressed import pressed
from reports.lift.tables import call_rows
from reports.lift.timeline import timeline_figure
from reports.paper.page import either, render
from reports.views import drawing, from_above
from reports.views.stands import pressed_time
from reports.words import answer
from reports.words.plain import clock, count, together
from reports.words.stages import HEADS, hands_alone, kind_of_largest, rows
from reports.words.stops import stops_of
from sim.model.units import Units
from sim.record.measured import Measured
from sim.record.record import Record

if TYPE_CHECKING:
    from reports.words.sheet_sides import Said
    from sim.check.findings import Finding


def write_run_page(
    record: Record,
    summary: dict[str, Any],
    findings: Sequence[Finding | Said] | None = None,
    drawing_html: str | None = None,
    beside: dict[str, Any] | None = None,
) -> str:
    """The page of one lift.

    Parameters
    ----------
    record : Record
        The lift.
    summary : dict
        Its measures, as summary.json holds them.
    findings : sequence, optional
        What the checks found, each or gathered; None: no checks were made.
    drawing_html : str, optional
        The drawing in motion, a whole <section>, trusted as it is; None: it is made here, "": there is none.

    beside : dict, optional
        Of a rehearsal: how it went beside the rule, as `reports.live.afterwards.said` has it.

    Returns
    -------
    str
        HTML, one file, that needs nothing from outside.
    """
    scenario = record.scenario
    lanes = lanes_of(record)
    drawn = drawing.section(record, summary) if drawing_html is None else drawing_html
    places, time = Measured(record).places, pressed_time(record)
    return render(
        "run.html",
        units=scenario.units,
        title=scenario.title,
        scenario=scenario,
        stops=stops_of(scenario),
        summary=summary,
        record=record,
        answers=[together(answer.answer(summary, scenario, units)) for units in ("us", "si")],
        why=answer.why(summary),
        drawing_html=drawn,
        drawing_style=drawing.STYLE,
        above=from_above.picture(record) if drawn else None,
        drawing_scripts=drawing.SCRIPTS,
        figures={
            "timeline": pressed(timeline_figure(record, lanes), time),
            "gaps": pressed(gap_figure(record), time),
        },
        time_cut=time.said(),
        timeline_alt=timeline_alt(lanes, summary),
        gap_alt=gap_alt(summary),
        timeline_key=timeline_key(kinds_in(lanes)),
        gap_key=gap_key(
            any(open_stretches(place) for place in places.values()),
            len(places) > 1,
            peak=summary["largest_gap"]["station"] is not None,
            made=summary["largest_made_gap"]["station"] is not None,
        ),
        chosen=most(record),
        kind=kind_of_largest(summary),
        hands_alone=hands_alone(summary),
        stage_heads=HEADS,
        stages=_stages(summary),
        rows=call_rows(record),
        places={where.name: where for where in scenario.places},
        findings=findings,
        beside=beside,
    )


def _stages(summary: dict[str, Any]) -> list[list[Markup]]:
    """A row a stage, each cell in both units; none of a lift without stages."""
    units: Units = summary["units"]
    both = zip(rows(summary, "us"), rows(summary, "si"), strict=True)
    return [[either(together(a), together(b), units) for a, b in zip(us, si, strict=True)] for us, si in both]


def timeline_alt(lanes: Lanes, summary: dict[str, Any]) -> str:
    """The timeline in words."""
    held = (
        f"{count(len(lanes.holds), 'hold')}, {clock(sum(h.end - h.start for h in lanes.holds))} in all"
        if lanes.holds
        else "no hold"
    )
    staged = f", in {count(len(lanes.stages), 'stage')}" if lanes.stages else ""
    return (
        f"Timeline of the lift, {clock(lanes.end)} long{staged}: {count(summary['calls'], 'call')}, {held}, "
        f"and one lane each for {', '.join(lane.name for lane in lanes.lanes)}. The table below has it call by call."
    )


def gap_alt(summary: dict[str, Any]) -> str:
    """The gap chart in words."""
    gap, kind = summary["largest_gap"], kind_of_largest(summary)
    made = ", made on the way down," if kind == "made" else ""
    where = (
        f"The largest{made} was at the {gap['station']}, {gap['time_s']:.1f} s from the start."
        if gap["station"]
        else "There was none."
    )
    chart = "Demand, captured and gap against time for the station chosen."
    return f"{chart} {where} The table below has the largest of each call."
