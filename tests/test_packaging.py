"""The package is whole: what it declares, what is in it, and that it works where nothing else of ours is."""

from __future__ import annotations

import ast
import json
import os
import re
import signal
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SETUPTOOLS = PROJECT["tool"]["setuptools"]
CAME_WITH = {"markupsafe": "jinja2", "pydantic_core": "pydantic", "choreographer": "kaleido"}  # what one of ours needs
NAMED = {"markdown_it": "markdown-it-py", "docx": "python-docx"}  # imported by another name than it is installed by
UNSEEN = {"pyarrow", "plotly", "websockets"}  # pandas writes parquet, kaleido draws and uvicorn talks with them
BUILD = "import sys; from setuptools import build_meta; print(getattr(build_meta, sys.argv[1])(sys.argv[2]))"


def shipped(*folders: str) -> Iterator[Path]:
    """Every file of ours in these folders."""
    for folder in folders:
        for path in sorted((ROOT / folder).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts and ".ipynb_checkpoints" not in path.parts:
                yield path.relative_to(ROOT)


# --- what is declared


def test_every_package_is_declared_and_every_declared_package_is_there() -> None:
    """`[tool.setuptools] packages` names each folder with Python in it, and no other."""
    there = {".".join(path.parent.parts) for path in shipped("sim", "reports") if path.suffix == ".py"}
    assert set(SETUPTOOLS["packages"]) == there


def test_the_package_data_cover_every_file_that_is_not_python() -> None:
    """Each data file, template, asset and example is matched by a pattern; each pattern matches something."""
    declared = {
        f"{package}: {pattern}": {path.relative_to(ROOT) for path in ROOT.joinpath(*package.split(".")).glob(pattern)}
        for package, patterns in SETUPTOOLS["package-data"].items()
        for pattern in patterns
    }
    assert [pattern for pattern, matched in declared.items() if not matched] == []
    assert {path for path in shipped("sim", "reports") if path.suffix != ".py"} == set().union(*declared.values())


def test_what_is_imported_is_declared_and_what_is_declared_is_needed() -> None:
    """Each library that the program imports is a dependency, or comes with one; no dependency is idle."""

    def names(requirements: list[str]) -> set[str]:
        return {re.split(r"[^\w-]", line)[0] for line in requirements}

    imported: set[str] = set()
    for path in [*shipped("sim", "reports"), Path("cli.py")]:
        if path.suffix == ".py":
            for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    imported |= {alias.name.split(".")[0] for alias in node.names}
                elif isinstance(node, ast.ImportFrom) and node.module:
                    imported.add(node.module.split(".")[0])
    theirs = {
        (CAME_WITH | NAMED).get(name, name) for name in imported - sys.stdlib_module_names - {"sim", "reports", "cli"}
    }
    project = PROJECT["project"]
    assert theirs | UNSEEN == names(project["dependencies"]) | names(project["optional-dependencies"]["cluster"])


def test_the_python_that_is_asked_for_is_the_one_that_is_checked() -> None:
    """requires-python, the classifiers, ruff, mypy and the make recipe name the same oldest Python."""
    oldest = PROJECT["project"]["requires-python"].removeprefix(">=")
    listed = re.findall(r"Python :: (3\.\d+)", " ".join(PROJECT["project"]["classifiers"]))
    assert listed[0] == oldest == PROJECT["tool"]["mypy"]["python_version"]
    assert PROJECT["tool"]["ruff"]["target-version"] == "py" + oldest.replace(".", "")
    assert f"Python {oldest} or newer is needed" in (ROOT / "Makefile").read_text(encoding="utf-8")


# --- what is built, and that it works elsewhere


def built(source: Path, kind: str, into: Path) -> Path:
    """A wheel or an sdist of a folder, made by setuptools as `python -m build` does."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", BUILD, f"build_{kind}", str(into)],
        cwd=source, capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "would be ignored" not in done.stdout + done.stderr
    return into / done.stdout.splitlines()[-1]


@pytest.fixture(scope="module")
def archives(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Wheel and sdist, made from a copy of what git knows, so that the tree stays as it is."""
    if not (ROOT / ".git").exists():
        pytest.skip("not a clone")
    copy = tmp_path_factory.mktemp("copy")
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    for name in subprocess.run(listed, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\0"):
        if (ROOT / name).is_file():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes((ROOT / name).read_bytes())
    made = tmp_path_factory.mktemp("made")
    return built(copy, "wheel", made), built(copy, "sdist", made)


@pytest.mark.slow
def test_the_wheel_has_all_that_is_ours_and_nothing_else(archives: tuple[Path, Path]) -> None:
    """Each file under sim/ and reports/, cli.py, the licence; no tests, no runs."""
    names = set(zipfile.ZipFile(archives[0]).namelist())
    ours = {name for name in names if ".dist-info/" not in name}
    assert ours == {path.as_posix() for path in shipped("sim", "reports")} | {"cli.py"}
    assert any(name.endswith(".dist-info/licenses/LICENSE") for name in names)


@pytest.mark.slow
def test_the_sdist_makes_the_same_wheel(archives: tuple[Path, Path], tmp_path: Path) -> None:
    """Unpacked and built again it gives the same files byte for byte; nothing of tests/ or runs/ is in it."""
    wheel, sdist = archives
    with tarfile.open(sdist) as tar:
        tar.extractall(tmp_path, filter="data")
    (source,) = tmp_path.iterdir()
    tops = {path.name for path in source.iterdir()}
    assert tops >= {"LICENSE", "README.md", "CHANGELOG.md", "cli.py", "sim", "reports"}
    assert not tops & {"tests", "runs", ".hypothesis", ".venv"}
    again = built(source, "wheel", tmp_path)
    first, second = zipfile.ZipFile(wheel), zipfile.ZipFile(again)
    assert set(first.namelist()) == set(second.namelist())
    assert [n for n in first.namelist() if "dist-info/" not in n and first.read(n) != second.read(n)] == []


class Elsewhere:
    """A fresh home, and a folder with a space in its name that knows the wheel and its dependencies, and not the tree.

    The dependencies are those of this Python, by a path at the end, so that nothing is fetched.
    """

    def __init__(self, wheel: Path, place: Path) -> None:
        self.folder, self.home, own = place / "a folder", place / "home", place / "its own"
        self.folder.mkdir()
        self.home.mkdir()
        venv.create(own, with_pip=True)
        python = str(own / "bin" / "python")
        install = [python, "-m", "pip", "install", "--quiet", "--no-index", "--no-deps", str(wheel)]
        subprocess.run(install, check=True, capture_output=True, timeout=300)
        say = "import sysconfig; print(sysconfig.get_path('purelib'))"
        self.packages = Path(subprocess.run([python, "-c", say], capture_output=True, text=True).stdout.strip())
        (self.packages / "zz.pth").write_text(sysconfig.get_path("purelib"))
        self.env = {"HOME": str(self.home), "PATH": f"{own / 'bin'}:/usr/bin:/bin"}

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """A command there, with nothing to type on."""
        return subprocess.run(
            words, cwd=self.folder, env=self.env, capture_output=True, text=True, timeout=300,
            stdin=subprocess.DEVNULL,
        )  # fmt: skip


@pytest.fixture(scope="module")
def elsewhere(archives: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Elsewhere:
    """The wheel, installed where nothing else of ours is."""
    return Elsewhere(archives[0], tmp_path_factory.mktemp("elsewhere"))


@pytest.mark.slow
def test_every_command_works_where_only_the_wheel_is(elsewhere: Elsewhere) -> None:
    """From the demo to the debrief, each leaves with 0 and what it writes is there; the modules are the wheel's."""
    say = "import cli, sim, reports; print(cli.__file__, sim.__file__, reports.__path__)"
    where = elsewhere.run("python", "-c", say)
    assert where.stdout.count(str(elsewhere.packages)) == 3 and str(ROOT) not in where.stdout
    for words in (
        "--help",
        "demo",
        "new my-lift.toml",
        "check my-lift.toml --page sheet.html",
        "run my-lift.toml --captions calls.vtt --audio calls.wav",
        "runs sheet last --page pocket.html",
        "compare my-lift.toml -n 20",
        "study my-lift.toml -n 200",
        "cadence my-lift.toml",
        "ask short.toml --enter",
        "lesson between-the-pins --answers --docx --notebook",
        "debrief --timer my-lift.toml",
    ):
        done = elsewhere.run("liftcadence", *words.split())
        assert done.returncode == 0, f"{words}: {done.stderr}"
    assert len(json.loads(elsewhere.run("liftcadence", "runs", "--json").stdout)) == 6
    written = {path.name for path in elsewhere.folder.iterdir()}
    assert written >= {
        "sheet.html",
        "pocket.html",
        "calls.vtt",
        "calls.wav",
        "short.toml",
        "lessons",
        "my-lift-timer.html",
    }
    assert list(elsewhere.home.iterdir()) == []


@pytest.mark.slow
def test_what_the_demo_names_is_there(elsewhere: Elsewhere) -> None:
    """The pages to open, and the other scenario that ships, wherever the program was installed."""
    said = elsewhere.run("liftcadence", "demo").stderr
    pages = re.findall(r"open (\S+\.html)", said)
    assert len(pages) == 2 and all((elsewhere.folder / page).is_file() for page in pages)
    (command,) = re.findall(r"liftcadence run .+", said)
    assert elsewhere.run("bash", "-c", command).returncode == 0


@pytest.mark.slow
def test_a_rehearsal_is_served_where_only_the_wheel_is(elsewhere: Elsewhere) -> None:
    """It starts, its page is sent, Ctrl-C ends it."""
    elsewhere.run("liftcadence", "new", "rehearsed.toml")
    command = ["liftcadence", "rehearse", "rehearsed.toml", "--no-browser"]
    process = subprocess.Popen(
        command, cwd=elsewhere.folder, env={**os.environ, **elsewhere.env}, stderr=subprocess.PIPE, text=True
    )
    try:
        assert process.stderr is not None
        line = process.stderr.readline()
        found = re.search(r"http://\S+", line)
        assert found, line + process.stderr.read()
        process.stderr.readline()
        process.stderr.readline()
        with urlopen(found[0], timeout=30) as page:
            assert page.status == 200 and b"</html>" in page.read()
        process.send_signal(signal.SIGINT)
        assert "nothing is stored" in process.communicate(timeout=30)[1] and process.returncode == 130
    finally:
        process.kill()
