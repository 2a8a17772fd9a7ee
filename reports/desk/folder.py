"""The folder that a desk works in: its plans, by names that only lead to files found there; one desk at a time.

What the desk keeps for itself (histories, its token) lies in a hidden folder beside them.
"""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from reports.desk.plan import DeskPlan
from reports.desk.texts import read_text
from sim.ask.asking import Asking
from sim.model.errors import Refused, ScenarioError
from sim.model.units import Units
from sim.stored.store import slug
from sim.stored.whole import locked_elsewhere, try_out, write_whole
from sim.written.keys.syntax import toml
from sim.written.short.presets import kinds
from sim.written.short.table import is_short

OURS = ".liftcadence"
MOST_PLANS = 500


@dataclass
class Folder:
    """The folder and its plans."""

    path: Path
    plans: dict[str, DeskPlan] = field(default_factory=dict)

    @property
    def ours(self) -> Path:
        """What the desk keeps for itself."""
        return self.path / OURS

    def listed(self) -> dict[str, DeskPlan]:
        """The plans that are there now, by the name that leads to each."""
        names = sorted(each for each in self.path.glob("*.toml") if each.is_file() and not each.name.startswith("."))
        for file in names[:MOST_PLANS]:
            if _is_a_scenario(file):
                self.plans.setdefault(file.name, DeskPlan(file, self.ours / f"{file.name}.json"))
        there = {file.name for file in names}
        return {name: plan for name, plan in self.plans.items() if name in there}

    def plan(self, name: str) -> DeskPlan:
        """One of them; only names that are listed lead anywhere.

        Raises
        ------
        Refused
            There is none of that name.
        """
        found = self.plans.get(name) if name in self.plans and self.plans[name].file.is_file() else None
        found = found or self.listed().get(name)
        if found is None:
            raise Refused("there is no such plan in this folder", "go back to the list")
        return found

    def new(self, like: str, units: Units) -> str:
        """A plan made of what is offered for a load; its name.

        Raises
        ------
        Refused
            No load of that name is known, or nothing can be written here.
        """
        if like not in kinds("load"):
            raise Refused("no load of that name is known", "choose one of the loads")
        asking = Asking(units=units, given={"like": like})
        while asking.part is not None:
            if asking.take(""):
                raise Refused("no plan can be made of that", "choose one of the loads")
        text = asking.text().replace("made by liftcadence ask", "made at the desk")
        for n in range(1, 1000):
            file = self.path / f"{slug(like)}{'' if n == 1 else f'-{n}'}.toml"
            try:
                write_whole(file, text, over=False)
            except FileExistsError:
                continue
            except OSError as error:
                raise Refused(f"{file.name}: cannot be written: {error.strerror or error}", "make room there") from None
            return file.name
        raise Refused("there are too many plans of that name here", "take some away")

    def token(self) -> str:
        """The word that lets a page in: the same as long as the folder is, so that an open page outlives a restart."""
        file = self.ours / "token"
        with contextlib.suppress(OSError):
            found = file.read_text(encoding="ascii").strip()
            if len(found) >= 16:
                return found
        fresh = secrets.token_urlsafe(16)
        file.touch(mode=0o600)
        write_whole(file, fresh)
        return fresh


def _is_a_scenario(file: Path) -> bool:
    """Whether it looks like one, good or not; what cannot be read at all is listed too, with its trouble."""
    try:
        raw = toml(read_text(file), file.name)
    except (Refused, ScenarioError):
        return True
    return is_short(raw) or "load" in raw or "lifter" in raw


@contextlib.contextmanager
def held(path: Path) -> Iterator[Folder]:
    """The folder, for one desk alone.

    Raises
    ------
    Refused
        It is no folder, cannot be written in, or another desk is open on it.
    """
    if not path.is_dir():
        raise Refused(f"{path}: there is no such folder", "make it first, or name another")
    try:
        try_out(path)
        (path / OURS).mkdir(mode=0o700, exist_ok=True)
        lock = (path / OURS / "open").open("a+", encoding="utf-8")
    except OSError as error:
        what = f"{path}: nothing can be written there: {error.strerror or error}"
        raise Refused(what, "name a folder that you may write to") from None
    with lock:
        if locked_elsewhere(lock.fileno()):  # where nothing can be locked, the port is one
            lock.seek(0)
            where = lock.read(200).strip()
            hint = f"it is at {where}" if where else "close that one first"
            raise Refused(f"{path}: another desk is open on this folder", hint)
        yield Folder(path)
        lock.truncate(0)


def say_where(folder: Folder, address: str) -> None:
    """For a second desk on the same folder to say."""
    with (folder.ours / "open").open("r+", encoding="utf-8") as lock:
        lock.truncate(0)
        lock.write(address)
