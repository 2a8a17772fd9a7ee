"""Who is let in, what is read of what they send, and what the desk says where it cannot open."""

from __future__ import annotations

import os
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from reports.desk.folder import OURS, held, say_where
from reports.desk.server import MOST_BODY
from sim.examples import example
from sim.model.errors import Refused
from tests.commands import run
from tests.reports.desk.asked import HERE, Page


@pytest.fixture
def page(tmp_path: Path) -> Page:
    """The trailer's Plan screen."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    (tmp_path / "secret.txt").write_text("not for you", encoding="utf-8")
    return Page(tmp_path, "trailer.toml")


@pytest.mark.parametrize("path", ["/", "/plan/trailer.toml", "/plan/trailer.toml/state", "/run/trailer.toml"])
def test_nothing_is_shown_without_the_token(page, path):
    """Nor under another name, nor to a page from elsewhere."""
    assert page.get(path).status == 200
    for how in ({"token": None}, {"token": "other"}, {"host": "evil.example"}, {"origin": "http://evil.example"}):
        assert page.get(path, **how).status == 403, how


def test_nothing_is_changed_without_an_origin(page):
    """Only a page of this server may: no Origin is none, two are none."""
    body = f'{{"version": "{page.version}", "field": "need:need:rise", "value": "4 in"}}'.encode()
    for origin in (None, "null", "http://evil.example", "http://127.0.0.1:4748"):
        assert page.ask("POST", "/plan/trailer.toml/answer", body=body, origin=origin).status == 403, origin
    assert page.look()["undo"] == ""
    assert page.ask("POST", "/plan/trailer.toml/answer", body=body, origin=HERE).status == 200
    assert page.ask("GET", "/plan/trailer.toml/answer").status == 405


def test_what_is_sent_is_short_and_an_object(page):
    """A longer body is read no further; a list, a half, a depth are none."""
    for body in (b"x" * (MOST_BODY + 1), b"[]", b"{", b"[" * 5000, b"\xff", b""):
        answer = page.ask("POST", "/plan/trailer.toml/answer", body=body)
        assert answer.status == 400 and "no message" in answer.text
    assert page.send("answer", field=["need"], value={"a": 1}).status == 422


@pytest.mark.parametrize(
    "path",
    ["/plan/secret.txt", "/plan/..%2Ftrailer.toml", "/plan/.liftcadence", "/run/secret.txt", "/secret.txt", "/static/x",
     "/plan//etc/passwd", "/.liftcadence/token"],
)  # fmt: skip
def test_no_path_of_a_page_is_ever_opened(page, path):
    """Only names that the folder lists lead anywhere."""
    answer = page.get(path)
    assert answer.status == 404 and "not for you" not in answer.text


def test_pages_run_nothing_but_what_came_with_them(page):
    """Their policy names each script; they are kept nowhere and framed by nobody."""
    answer = page.get("/plan/trailer.toml")
    assert "default-src 'none'" in answer.text and "connect-src 'self'" in answer.text
    assert answer.headers["x-frame-options"] == "DENY" and answer.headers["cache-control"] == "no-store"
    assert "frame-src 'self'" in page.get("/run/trailer.toml").text


def test_names_in_a_file_are_text_on_the_page(page):
    """Whatever is in them."""
    text = example("trailer").replace("Trailer nose off a kerb block", "<img src=x onerror=alert(1)>")
    (page.desk.folder.path / "trailer.toml").write_text(text.replace("left strut", "<b>left</b>"), encoding="utf-8")
    for path in ("/", "/plan/trailer.toml", "/run/trailer.toml", "/plan/trailer.toml/figures"):
        assert "<img" not in page.get(path).text and "<b>left</b>" not in page.get(path).text


def test_no_word_or_colour_of_the_desk_judges_a_lift(page):
    """Nothing reads safe or OK; no tick."""
    import re

    shown = page.get("/plan/trailer.toml").text + page.figures()["findings"] + page.get("/run/trailer.toml").text
    words = re.sub(r"<style>.*?</style>|<script>.*?</script>", "", shown, flags=re.DOTALL)
    assert not re.search(r"\b(safe|secure|ok|okay|passed|green)\b|[✓✔☑✅]", words, re.IGNORECASE)


def test_a_file_that_is_no_scenario_is_not_listed_and_one_that_is_broken_says_so(tmp_path):
    """The rest of the folder can be worked on."""
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "x"\n', encoding="utf-8")
    (tmp_path / "half.toml").write_text('like = "trailer', encoding="utf-8")
    (tmp_path / "short.toml").write_text('like = "trailer nose"\n', encoding="utf-8")
    page = Page(tmp_path)
    assert "pyproject" not in page.get("/").text
    assert "half.toml: cannot be read" in page.get("/").text
    assert "short.toml: something in it is still to be filled in" in page.get("/").text
    assert "not TOML" in page.get("/plan/half.toml").text
    assert "is missing" in page.get("/plan/short.toml").text
    assert "not a whole plan yet" in page.get("/run/short.toml").text


# --- where it cannot open


def test_a_second_desk_on_the_same_folder_is_told_where_the_first_is(tmp_path):
    """And the folder is free again once that one has gone."""
    with held(tmp_path) as folder:
        say_where(folder, "http://127.0.0.1:4747/?token=x")
        with pytest.raises(Refused, match="another desk is open") as wrong, held(tmp_path):
            pass
        assert "http://127.0.0.1:4747" in str(wrong.value)
    with held(tmp_path):
        pass


def test_the_token_is_the_same_after_a_restart_and_for_its_owner_alone(tmp_path):
    """An open page goes on."""
    with held(tmp_path) as folder:
        token = folder.token()
        assert len(token) >= 16 and folder.token() == token
    assert stat.S_IMODE((tmp_path / OURS / "token").stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / OURS).stat().st_mode) == 0o700


def test_a_folder_that_is_not_there_or_cannot_be_written_is_a_sentence(tmp_path, monkeypatch):
    """Before anything is served."""
    with pytest.raises(Refused, match="no such folder"), held(tmp_path / "nowhere"):
        pass

    def never(_: Path) -> None:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("reports.desk.folder.try_out", never)
    with pytest.raises(Refused, match="nothing can be written there: Read-only"), held(tmp_path):
        pass


def test_a_port_in_use_is_a_sentence(tmp_path):
    """With what to do."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        done = run(tmp_path, "desk", ".", "--no-browser", "--port", port)
    assert done.returncode == 2 and f"port {port} is in use" in done.stderr and "--port" in done.stderr


def test_the_command_serves_until_ctrl_c(tmp_path):
    """It prints where it is, answers there, and leaves with 0."""
    import signal
    import urllib.request

    root = Path(__file__).parents[3]
    command = [sys.executable, str(root / "cli.py"), "desk", str(tmp_path), "--no-browser", "--port", "0"]
    environment = {**os.environ, "PYTHONPATH": str(root)}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment) as desk:
        assert desk.stderr is not None
        line = desk.stderr.readline()
        address = line.split()[-1]
        with urllib.request.urlopen(address, timeout=60) as answer:
            assert "Begin a plan" in answer.read().decode()
        desk.send_signal(signal.SIGINT)
        assert desk.wait(60) == 0
