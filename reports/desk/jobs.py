"""Long work that goes on while the desk is used: begun, watched, stopped; its results lie in runs/ like any."""

from __future__ import annotations

import contextlib
import hashlib
import json
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from sim.model.errors import Refused, StoreError
from sim.stored.store import stored

Kind = Literal["study", "cadence"]
KINDS: dict[str, Kind] = {"sure": "study", "pace": "cadence"}  # screens, and what they are of
PAGES: dict[Kind, str] = {"study": "study.html", "cadence": "cadence.html"}
MOST_SEARCHED = 200  # runs looked through for one of a plan
GONE = 10.0  # how long a process that is stopped may take to leave [s]


@dataclass
class Job:
    """One piece of long work."""

    kind: Kind
    text: str  # the plan that it is of
    process: subprocess.Popen[str]
    done: int = 0
    of: int = 0
    state: Literal["running", "finished", "stopped", "trouble"] = "running"
    trouble: str = ""
    told_to_stop: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def listen(self) -> None:
        """Hear what it says until it has gone."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._hear(line)
        self.process.wait()
        with self.lock:
            if self.state == "running" and self.told_to_stop:
                self.state = "stopped"
            elif self.state == "running":
                self.state, self.trouble = "trouble", "it ended without a word; begin it again"

    def _hear(self, line: str) -> None:
        try:
            said = json.loads(line)
        except ValueError:
            return
        with self.lock:
            if "done" in said:
                self.done, self.of = said["done"], said["of"]
            elif "folder" in said:
                self.state = "finished"
            elif "stopped" in said:
                self.state = "stopped"
            elif "trouble" in said:
                self.state, self.trouble = "trouble", str(said["trouble"])

    def stop(self) -> None:
        """Let it keep what is finished, and leave."""
        self.told_to_stop = True
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)


@dataclass
class Jobs:
    """The long work of a desk, one piece at a time."""

    runs: Path
    lifts: int = 0  # of each; 0: a usual number
    begun: dict[tuple[str, Kind], Job] = field(default_factory=dict)  # by plan

    def begin(self, name: str, kind: Kind, text: str) -> None:
        """Begin, or go on with what was stopped.

        Raises
        ------
        Refused
            Something else is under way.
        """
        other = next((job for job in self.begun.values() if job.state == "running"), None)
        if other is not None:
            raise Refused("other long work is under way", "wait for it, or stop it")
        command = [sys.executable, "-m", "reports.desk.job", kind, str(self.runs.resolve()), name, str(self.lifts)]
        here = str(Path(__file__).parents[2])
        process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            cwd=here,
            start_new_session=True,  # Ctrl-C is the desk's to heed
        )
        assert process.stdin is not None
        with contextlib.suppress(OSError):
            process.stdin.write(text)
            process.stdin.close()
        job = self.begun[name, kind] = Job(kind, text, process)
        threading.Thread(target=job.listen, daemon=True).start()

    def stop(self, name: str, kind: Kind) -> None:
        """Stop it, if it is under way."""
        job = self.begun.get((name, kind))
        if job is not None:
            job.stop()

    def close(self) -> None:
        """The desk closes: nothing goes on without it, and what is finished is kept."""
        for job in self.begun.values():
            job.stop()
            with contextlib.suppress(subprocess.TimeoutExpired):
                job.process.wait(GONE)
            if job.process.poll() is None:
                job.process.kill()
                job.process.wait()

    def look(self, name: str, kind: Kind, text: str) -> dict[str, Any]:
        """How far it is, and what it came to for the plan as it is now."""
        job = self.begun.get((name, kind))
        found = self.result(kind, text)
        now: dict[str, Any] = {"state": "none" if found is None else "finished", "said": found[1] if found else []}
        if job is not None and (job.state == "running" or (job.text == text and job.state != "finished")):
            with job.lock:
                now |= {"state": job.state, "done": job.done, "of": job.of, "trouble": job.trouble}
        if job is not None and job.text != text and job.state == "running":
            now["older"] = True
        return now

    def result(self, kind: Kind, text: str) -> tuple[Path, list[str]] | None:
        """The newest result of exactly this plan, and what it says."""
        print_of = hashlib.sha256(text.encode()).hexdigest()
        try:
            for n, run in enumerate(stored(self.runs)):
                summary = run.summary or {}
                same = summary.get("provenance", {}).get("scenario_sha256") == print_of
                if same and summary.get("outcome") == kind and (run.path / PAGES[kind]).is_file():
                    return run.path / PAGES[kind], [str(each) for each in summary.get("said", [])]
                if n >= MOST_SEARCHED:
                    break
        except StoreError:
            pass
        return None

    def page(self, kind: Kind, text: str) -> str:
        """The page of that result.

        Raises
        ------
        Refused
            There is none.
        """
        found = self.result(kind, text)
        if found is None:
            raise Refused("there is no result for the plan as it is now", "begin it")
        return found[0].read_text(encoding="utf-8")
