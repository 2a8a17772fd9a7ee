"""The server of the desk: pages, and what is asked of them. It opens no file that the browser names.

Only who has the token is let in, only pages of this server may change anything (Origin), and what they send is short.
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import Scope

from reports.desk import changes, compare, options, pages
from reports.desk.folder import Folder
from reports.desk.jobs import KINDS, Jobs, Kind
from reports.desk.look.drawing import Pull
from reports.desk.plan import DeskPlan, Stale
from reports.live.gate import Gate
from sim.model.errors import Refused, ScenarioError
from sim.model.units import Units
from sim.model.visible import visible
from sim.stored.store import RUNS

MOST_BODY = 16_384  # bytes of what a page sends
Asked = dict[str, Any]
READS = ("GET", "HEAD")


class DeskGate(Gate):
    """The gate of a rehearsal, and no change without an Origin."""

    def lets_in(self, scope: Scope) -> bool:
        """Whether name, origin and token are all as they should be."""
        if scope["type"] == "http" and scope["method"] not in READS:
            names = [name.lower() for name, _ in scope["headers"]]
            if names.count(b"origin") != 1:
                return False
        return super().lets_in(scope)


@dataclass
class Desk:
    """A folder being worked on in a browser."""

    folder: Folder
    token: str
    jobs: Jobs = field(init=False)

    def __post_init__(self) -> None:
        self.jobs = Jobs(self.folder.path / RUNS)

    def app(self, host: str) -> Gate:
        """The application, behind its gate."""
        work = {
            "answer": self._answer, "guess": self._guess, "move": self._move, "add": self._add, "undo": self._undo,
            "redo": self._redo, "take-out": self._take_out, "write-out": self._write_out, "option": self._option,
            "drop-option": self._drop_option,
        }  # fmt: skip
        routes = [
            Route("/", self._page(lambda _: pages.folder_page(self.folder, self.token)), methods=["GET"]),
            Route("/new", self._changing(self._new), methods=["POST"]),
            Route("/plan/{name}", self._page(self._plan_page), methods=["GET"]),
            Route("/plan/{name}/state", self._data(self._state), methods=["GET"]),
            Route("/plan/{name}/figures", self._data(self._figures), methods=["GET"]),
            Route("/run/{name}", self._page(self._run_page), methods=["GET"]),
            Route("/run/{name}/figures", self._data(self._tried), methods=["GET"]),
            Route("/run/{name}/lift", self._page(self._lift, framed=True), methods=["GET"]),
            Route("/compare/{name}", self._page(self._compare_page), methods=["GET"]),
            Route("/compare/{name}/page", self._page(self._compared, framed=True), methods=["GET"]),
            Route("/compare/{name}/sheet", self._page(self._council), methods=["GET"]),
            *(Route(f"/plan/{{name}}/{what}", self._changing(how), methods=["POST"]) for what, how in work.items()),
        ]
        routes += [Route(f"/plan/{{name}}/{each}", self._paper(each), methods=["GET"]) for each in compare.PAPERS]
        for screen, kind in KINDS.items():
            routes += self._long(screen, kind)
        app = Starlette(routes=routes)
        app.router.redirect_slashes = False
        return DeskGate(app, host, self.token)

    def _long(self, screen: str, kind: Kind) -> list[Route]:
        """The screen of long work, how far it is, its result; begun and stopped."""
        jobs = self.jobs

        def text(request: Request) -> tuple[str, str]:
            plan = self._plan(request)
            return plan.file.name, plan.state().whole(plan.file.name).text

        def shown(request: Request) -> str:
            plan = self._plan(request)
            return pages.job_page(plan.file.name, plan.state(), screen, self.token)

        def begun(request: Request, _: Asked) -> Asked:
            name, whole = text(request)
            jobs.begin(name, kind, whole)
            return {}

        def stopped(request: Request, _: Asked) -> Asked:
            jobs.stop(text(request)[0], kind)
            return {}

        at = f"/{screen}/{{name}}"
        return [
            Route(at, self._page(shown), methods=["GET"]),
            Route(f"{at}/now", self._data(lambda r: jobs.look(text(r)[0], kind, text(r)[1])), methods=["GET"]),
            Route(f"{at}/page", self._page(lambda r: jobs.page(kind, text(r)[1]), framed=True), methods=["GET"]),
            Route(f"{at}/begin", self._changing(begun), methods=["POST"]),
            Route(f"{at}/stop", self._changing(stopped), methods=["POST"]),
        ]

    # --- what is shown

    def _plan_page(self, request: Request) -> str:
        plan = self._plan(request)
        return pages.plan_page(plan.file.name, plan.state(), self.token)

    def _state(self, request: Request) -> Asked:
        plan = self._plan(request)
        return pages.parts(plan.file.name, plan.state(), request.query_params.get("shape", ""))

    def _figures(self, request: Request) -> Asked:
        plan = self._plan(request)
        return pages.figures(plan.file.name, plan.state())

    def _run_page(self, request: Request) -> str:
        plan = self._plan(request)
        return pages.run_page(plan.file.name, plan.state(), self.token)

    def _lift(self, request: Request) -> str:
        plan = self._plan(request)
        return options.lift_page(plan.file.name, plan.state(), dict(request.query_params))

    def _tried(self, request: Request) -> Asked:
        plan = self._plan(request)
        return pages.tried(plan.file.name, plan.state(), dict(request.query_params))

    def _compare_page(self, request: Request) -> str:
        plan = self._plan(request)
        return pages.compare_page(plan.file.name, plan.state(), self.token)

    def _compared(self, request: Request) -> str:
        plan = self._plan(request)
        return compare.compare_page(plan.file.name, plan.state(), request.query_params.getlist("way"))

    def _council(self, request: Request) -> str:
        plan = self._plan(request)
        return compare.council_page(plan.file.name, plan.state(), request.query_params.getlist("way"))

    def _paper(self, paper: str) -> Callable[[Request], Awaitable[Response]]:
        def shown(request: Request) -> str:
            plan = self._plan(request)
            return compare.paper_page(plan.file.name, plan.state(), paper, request.query_params.get("way", ""))

        return self._page(shown)

    # --- what is changed

    def _new(self, request: Request, asked: Asked) -> Asked:
        units: Units = "si" if asked.get("units") == "si" else "us"
        return {"go": f"/plan/{self.folder.new(_text(asked, 'like'), units)}"}

    def _answer(self, request: Request, asked: Asked) -> Asked:
        plan = self._plan(request)
        state = plan.answer(_text(asked, "version"), _text(asked, "field"), _text(asked, "value"))
        return pages.parts(plan.file.name, state, _text(asked, "shape"))

    def _guess(self, request: Request, asked: Asked) -> Asked:
        plan = self._plan(request)
        version, name = _text(asked, "version"), _text(asked, "field")
        state = plan.guess(version, name, _text(asked, "low"), _text(asked, "high"))
        return pages.parts(plan.file.name, state, _text(asked, "shape"))

    def _move(self, request: Request, asked: Asked) -> Asked:
        place, end, view = (_text(asked, key) for key in ("place", "end", "view"))
        fine = asked.get("fine") is True
        pull = Pull(place, end, view, _number(asked, "right"), _number(asked, "up"), fine)
        done: list[str] = []

        def how(text: str, file: str) -> str:
            moved, said = changes.move(text, file, pull)
            done.append(said)
            return moved

        return self._changed(request, asked, lambda: done[0], how)

    def _add(self, request: Request, asked: Asked) -> Asked:
        what = _text(asked, "what")
        return self._changed(
            request,
            asked,
            lambda: f"{'stage: ' if what in changes.STAGES else ''}{what} added",
            lambda text, file: changes.add(text, file, what),
        )

    def _take_out(self, request: Request, asked: Asked) -> Asked:
        group = _text(asked, "group")
        kind, _, named = group.partition(":")
        said = f"stage {int(named) + 1} taken out" if kind == "stage" and named.isdecimal() else f"{named} taken out"
        return self._changed(request, asked, lambda: said, lambda text, _: changes.take_out(text, group)[0])

    def _write_out(self, request: Request, asked: Asked) -> Asked:
        return self._changed(request, asked, lambda: "written out in full", changes.write_out)

    def _changed(
        self, request: Request, asked: Asked, said: Callable[[], str], how: Callable[[str, str], str]
    ) -> Asked:
        """Change the plan's text, given with its file's name; `said` names the change once it is made."""
        plan = self._plan(request)
        state = plan.change(_text(asked, "version"), said, lambda text: how(text, plan.file.name))
        return pages.parts(plan.file.name, state, _text(asked, "shape"))

    def _option(self, request: Request, asked: Asked) -> Asked:
        plan, title = self._plan(request), _text(asked, "title")
        values = asked.get("values")
        given = {str(k): str(v) for k, v in values.items()} if isinstance(values, dict) else {}
        how = lambda text: options.keep(text, plan.file.name, title, given)  # noqa: E731
        plan.change(_text(asked, "version"), lambda: f'option "{title}" kept', how)
        return {"version": plan.state().version, "kept": title}

    def _drop_option(self, request: Request, asked: Asked) -> Asked:
        plan, option = self._plan(request), _text(asked, "option")
        how = lambda text: compare.without(text, plan.file.name, option)  # noqa: E731
        return {"version": plan.change(_text(asked, "version"), lambda: f"option {option} taken out", how).version}

    def _undo(self, request: Request, asked: Asked) -> Asked:
        return self._gone(request, asked, -1)

    def _redo(self, request: Request, asked: Asked) -> Asked:
        return self._gone(request, asked, 1)

    def _gone(self, request: Request, asked: Asked, by: int) -> Asked:
        plan = self._plan(request)
        return pages.parts(plan.file.name, plan.go(_text(asked, "version"), by), _text(asked, "shape"))

    # --- how it is asked and answered

    def _plan(self, request: Request) -> DeskPlan:
        return self.folder.plan(request.path_params["name"])

    def _page(self, made: Callable[[Request], str], framed: bool = False) -> Callable[[Request], Awaitable[Response]]:
        headers = {"x-frame-options": "SAMEORIGIN"} if framed else {}

        async def answer(request: Request) -> Response:
            try:
                return HTMLResponse(await run_in_threadpool(made, request), headers=headers)
            except (Refused, ScenarioError) as wrong:
                page = await run_in_threadpool(pages.trouble_page, str(wrong), self.token)
                return HTMLResponse(page, 404, headers=headers)

        return answer

    def _data(self, made: Callable[[Request], Asked]) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            return await self._answered(request, lambda: made(request))

        return answer

    def _changing(self, made: Callable[[Request, Asked], Asked]) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            asked = await read_body(request)
            if asked is None:
                return JSONResponse({"refused": "that is no message of this page"}, 400)
            return await self._answered(request, lambda: made(request, asked))

        return answer

    async def _answered(self, request: Request, made: Callable[[], Asked]) -> Response:
        try:
            return JSONResponse(await run_in_threadpool(made))
        except Stale:
            plan = self._plan(request)
            now = await run_in_threadpool(lambda: pages.parts(plan.file.name, plan.state(), ""))
            return JSONResponse({"stale": now}, 409)
        except Refused as wrong:
            return JSONResponse({"refused": f"{visible(wrong.args[0])}: {visible(wrong.args[1])}"}, 422)
        except ScenarioError as wrong:
            first = wrong.problems[0]
            return JSONResponse({"refused": visible(f"{first.place}: {first.what}. {first.hint}")}, 422)
        except Exception as error:  # the desk stays open
            what = f"a bug of ours: {type(error).__name__}: {error}; what was saved stays as it is"
            return JSONResponse({"refused": visible(what)}, 500)


async def read_body(request: Request) -> Asked | None:
    """What a page sent, if it is an object and short; it is read no further than it may be long."""
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > MOST_BODY:
            return None
    try:
        asked = json.loads(body)
    except (ValueError, RecursionError):
        return None
    return asked if isinstance(asked, dict) else None


def _text(asked: Asked, key: str) -> str:
    found = asked.get(key, "")
    return found if isinstance(found, str) else ""


def _number(asked: Asked, key: str) -> float:
    found = asked.get(key, 0.0)
    if isinstance(found, bool) or not isinstance(found, int | float) or not abs(found) <= 1e4:
        raise Refused("that is no distance", "move it again")
    return float(found)
