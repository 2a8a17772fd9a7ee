"""A desk that is asked without a socket: what a page sends, and what it gets."""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from reports.desk.folder import OURS, Folder
from reports.desk.server import Desk

HERE = "http://127.0.0.1:4747"


@dataclass
class Answer:
    """What came back."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    text: str = ""

    @property
    def data(self) -> Any:
        """As JSON."""
        return json.loads(self.text)


class Page:
    """One page of a desk on a folder, with the version of the plan that it shows."""

    def __init__(self, folder: Path, name: str = "") -> None:
        (folder / OURS).mkdir(exist_ok=True)
        self.desk = Desk(Folder(folder), "word")
        self.app = self.desk.app("127.0.0.1")
        self.name, self.version = name, ""
        if name:
            self.look()

    def get(self, path: str, **how: Any) -> Answer:
        """Look at something."""
        return self.ask("GET", path, **how)

    def look(self) -> Any:
        """The plan as it is; its version is what this page shows from now on."""
        made = self.get(f"/plan/{quote(self.name)}/state").data
        self.version = made["version"]
        return made

    def figures(self) -> Any:
        """What is always in sight, and the findings."""
        return self.get(f"/plan/{quote(self.name)}/figures").data

    def send(self, what: str, /, **values: Any) -> Answer:
        """Change something, on the version that this page shows; what comes back is what it shows then."""
        sent = json.dumps({"version": self.version, **values})
        answer = self.ask("POST", f"/plan/{quote(self.name)}/{what}", body=sent.encode())
        if answer.status == 200:
            self.version = answer.data["version"]
        return answer

    def answer(self, field: str, value: str) -> Any:
        """Fill in a field."""
        answer = self.send("answer", field=field, value=value)
        assert answer.status == 200, answer.text
        return answer.data

    def ask(
        self, method: str, path: str, body: bytes = b"", token: str | None = "word", origin: str | None = HERE,
        host: str = "127.0.0.1:4747", **query: str | list[str],
    ) -> Answer:  # fmt: skip
        """One request, as the server gets it."""
        headers = [(b"host", host.encode())] + ([(b"origin", origin.encode())] if origin is not None else [])
        asked: dict[str, Any] = query | ({"token": token} if token is not None else {})
        scope = {
            "type": "http", "method": method, "path": path, "raw_path": path.encode(), "headers": headers,
            "query_string": urlencode(asked, doseq=True).encode(), "scheme": "http", "root_path": "",
            "server": ("127.0.0.1", 4747), "client": ("127.0.0.1", 5), "http_version": "1.1",
        }  # fmt: skip
        parts = [body[at : at + 1000] for at in range(0, len(body), 1000)] or [b""]
        answer = Answer()

        async def receive() -> Any:
            part = parts.pop(0) if parts else b""
            return {"type": "http.request", "body": part, "more_body": bool(parts)}

        async def send(message: Any) -> None:
            if message["type"] == "http.response.start":
                answer.status = message["status"]
                answer.headers = {name.decode(): value.decode() for name, value in message["headers"]}
            else:
                answer.text += message.get("body", b"").decode()

        asyncio.run(self.app(scope, receive, send))
        return answer
