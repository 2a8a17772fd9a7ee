"""Long work of the desk: begun, watched, stopped, gone on with; its results lie in runs/ like any."""

from __future__ import annotations

import json
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from reports.desk.job import work
from reports.desk.jobs import Jobs
from sim.examples import example
from sim.model.errors import Refused, ScenarioError
from sim.stored.store import stored
from tests.reports.desk.asked import Page

LONG = 300.0  # [s]; a state is waited for, however busy the machine is


def until(there: Callable[[], Any]) -> Any:
    """Wait until something is there."""
    end = time.monotonic() + LONG
    while not (found := there()):
        assert time.monotonic() < end, "it never came"
        time.sleep(0.05)
    return found


@pytest.fixture
def page(tmp_path: Path) -> Any:
    """The trailer at a desk whose studies are short."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page = Page(tmp_path, "trailer.toml")
    page.desk.jobs.lifts = 20
    yield page
    page.desk.jobs.close()


def now(page: Page, screen: str = "sure") -> Any:
    """How far it is."""
    return page.get(f"/{screen}/trailer.toml/now").data


def test_a_study_goes_on_in_the_background_and_is_stored_like_any(page, tmp_path):
    """One at a time; its sentence, its page; once the plan is changed it is of another plan, and none of this one."""
    assert now(page)["state"] == "none"
    assert page.ask("POST", "/sure/trailer.toml/begin", body=b"{}").status == 200
    assert page.ask("POST", "/pace/trailer.toml/begin", body=b"{}").status == 422
    until(lambda: now(page)["state"] == "finished")
    (run,) = [each for each in stored(tmp_path / "runs")]
    assert run.summary is not None and run.summary["outcome"] == "study"
    assert now(page)["said"][0].startswith("20 lifts: ")
    shown = page.get("/sure/trailer.toml/page")
    assert shown.status == 200 and shown.headers["x-frame-options"] == "SAMEORIGIN" and "20 lifts" in shown.text
    page.answer("need:need:rise", "4 in")
    assert now(page) == {"state": "none", "said": []}
    page.send("undo")
    assert now(page)["state"] == "finished"


def test_what_is_stopped_says_so_and_can_be_gone_on_with(page):
    """At whatever moment."""
    page.desk.jobs.lifts = 10**6
    page.ask("POST", "/sure/trailer.toml/begin", body=b"{}")
    assert now(page)["state"] == "running"
    page.ask("POST", "/sure/trailer.toml/stop", body=b"{}")
    until(lambda: now(page)["state"] == "stopped")
    assert page.ask("POST", "/sure/trailer.toml/begin", body=b"{}").status == 200


def test_work_of_a_desk_that_runs_in_the_background_can_be_stopped_too(page):
    """Ctrl-C is not for such a desk, and what it begins inherits that."""
    page.desk.jobs.lifts = 10**6
    was = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        page.ask("POST", "/sure/trailer.toml/begin", body=b"{}")
    finally:
        signal.signal(signal.SIGINT, was)
    (job,) = page.desk.jobs.begun.values()
    until(lambda: job.process.poll() is not None or now(page).get("done"))
    page.ask("POST", "/sure/trailer.toml/stop", body=b"{}")
    until(lambda: now(page)["state"] == "stopped")


def test_closing_the_desk_ends_its_work(page):
    """Nothing is left running."""
    page.desk.jobs.lifts = 10**6
    page.ask("POST", "/sure/trailer.toml/begin", body=b"{}")
    page.desk.jobs.close()
    assert all(job.process.poll() is not None for job in page.desk.jobs.begun.values())


def test_work_that_cannot_be_done_says_why(tmp_path):
    """In the sentence of the command."""
    jobs = Jobs(tmp_path / "runs")
    jobs.begin("bad.toml", "study", 'like = "trailer nose"')
    until(lambda: jobs.look("bad.toml", "study", 'like = "trailer nose"')["state"] == "trouble")
    assert "is missing" in jobs.look("bad.toml", "study", 'like = "trailer nose"')["trouble"]
    with pytest.raises(Refused, match="no result"):
        jobs.page("study", "x")


@pytest.mark.slow
def test_the_work_itself_says_how_far_it_is_and_where_it_lies(tmp_path):
    """The fastest pace that this crew can keep."""
    said: list[dict[str, Any]] = []
    work("cadence", tmp_path, "trailer.toml", example("trailer"), said.append, 20)
    done = [each for each in said if "done" in each]
    assert done[-1]["done"] == done[-1]["of"] > 0
    folder = tmp_path / said[-1]["folder"]
    assert json.loads((folder / "summary.json").read_text())["outcome"] == "cadence"
    assert (folder / "cadence.html").is_file()


def test_work_on_what_is_no_plan_is_refused(tmp_path):
    """As by any command."""
    with pytest.raises(ScenarioError):
        work("study", tmp_path, "x", "like = 3", print)


def test_a_plan_that_is_not_whole_has_no_long_work(tmp_path):
    """A sentence instead."""
    (tmp_path / "short.toml").write_text('like = "trailer nose"\n', encoding="utf-8")
    page = Page(tmp_path, "short.toml")
    for screen in ("sure", "pace"):
        assert "not a whole plan yet" in page.get(f"/{screen}/short.toml").text
        assert page.ask("POST", f"/{screen}/short.toml/begin", body=b"{}").status == 422
