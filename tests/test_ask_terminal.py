"""The nine questions, as a person answers them: in a pseudo-terminal, by options, through a pipe."""

import re
import sys
import time
from pathlib import Path

import pytest

from sim.ask.questions import PARTS
from sim.written.reading import read
from tests.commands import run

pexpect = pytest.importorskip("pexpect")
if sys.platform == "win32":
    pytest.skip("pseudo-terminals are not of this system", allow_module_level=True)

COMMAND = [sys.executable, str(Path(__file__).parents[1] / "cli.py"), "ask"]
PROMPT = r"\[[^\]\r\n]+\] $"
ASKED = len(PARTS) - 1  # with one device a side nobody has to be shared out
LONG = 60  # s: a machine that does many things at once


class Person:
    """Somebody at a terminal."""

    def __init__(self, folder, *options):
        command, *rest = COMMAND
        self.screen = pexpect.spawn(
            command,
            [*rest, "lift.toml", *options],
            cwd=str(folder),
            encoding="utf-8",
            timeout=LONG,
            dimensions=(50, 110),
        )
        self.file = folder / "lift.toml"
        self.kept = folder / ".lift.toml.answers"

    def sees(self, words):
        """Waits for these words (a pattern)."""
        self.screen.expect(words)
        return self.screen.after

    def asked(self):
        """Waits for a prompt; what stood above it."""
        self.screen.expect(PROMPT)
        return self.screen.before

    def says(self, *answers):
        """Each at a prompt; what was on the screen above the last one."""
        for answer in answers:
            seen = self.asked()
            self.screen.sendline(answer)
        return seen

    def leaves(self):
        """The exit code, once it has ended."""
        rest = self.screen.read()
        self.screen.close()
        return self.screen.exitstatus, rest


def enters(folder, *options):
    """Enter at every question."""
    person = Person(folder, *options)
    person.says(*[""] * ASKED)
    return person


def test_enter_all_the_way(tmp_path):
    """Nine questions, numbered; a newcomer needs less than three minutes.

    All that is asked, read slowly (200 words a minute), and 4 s to type each answer (ours); the machine aside.
    """
    began, asked, person = time.monotonic(), "", Person(tmp_path)
    for _ in range(ASKED):
        asked += person.asked()
        person.screen.sendline("")
    seen = person.sees(r"(?s)lift.toml written.*Run it now\? \[yes\] ")
    assert time.monotonic() - began < LONG
    person.screen.sendline("no")
    code, _ = person.leaves()
    assert code == 0
    assert re.findall(r"(?m)^([1-9])  [A-Z]", asked) == list("123456789")
    assert len(asked.split()) / 200 * 60 + 4 * ASKED < 170
    for words in ("strokes ", "39 at each lifter", "people ", "largest gap", "What is assumed:", "is an estimate"):
        assert words in seen, words
    assert len(person.file.read_text(encoding="utf-8").splitlines()) <= 25
    assert read(person.file).title == "Trailer nose, up 5 in"
    assert not person.kept.exists()


def test_wrong_answers_lose_nothing(tmp_path):
    person = Person(tmp_path)
    person.says("van reer")
    person.sees('did you mean "van rear"')
    person.says("van rear", "maybe")
    person.sees("neither yes nor no")
    person.says("yes", "chocked both ways", "3810 lb")
    person.sees("at the end")
    person.says("3810 lb whole", "papers", "80")
    person.sees("has no unit")
    person.says("80 in", "97 in", "6 lb")
    person.sees("a length is wanted")
    person.says("6 in", "maybe")
    person.sees("neither yes nor no")
    person.says("after 5 min", "2", "56 in", "7", "", "", "", "3")
    person.sees("too few")
    person.says("5", "", "", "no")
    assert person.leaves()[0] == 0
    text = person.file.read_text(encoding="utf-8")
    for line in (
        'like = "van rear"',
        'weight = "3810 lb"',
        'hinge_to_lifters = "80 in"',
        'rise = "6 in"',
        'hold = "5 min"',
        "down_again = true",
        "people = 5",
    ):
        assert line in text


def test_a_question_mark_says_how_to_measure_and_back_goes_back(tmp_path):
    person = Person(tmp_path)
    person.says("back")
    person.sees("This is the first question")
    person.says("", "", "", "?")
    person.sees("scale or load cell")
    person.says("2000 lb at the end", "scale", "back")
    assert "How is that known" in person.asked()
    person.screen.sendline("back")
    person.sees(r"\[2000 lb at the end\] ")
    person.screen.sendline("2100 lb at the end")
    person.says(*[""] * (ASKED - 4), "no")
    assert person.leaves()[0] == 0
    text = person.file.read_text(encoding="utf-8")
    assert 'end_weight = "2100 lb"' in text and 'weight_from = "scale"' in text


@pytest.mark.parametrize("how", ["ctrl-c", "ctrl-d"])
def test_stopping_loses_nothing_that_was_answered(tmp_path, how):
    person = Person(tmp_path)
    person.says("", "", "", "2222 lb at the end", "")
    person.asked()
    person.screen.sendcontrol(how[-1])
    code, rest = person.leaves()
    assert code == 130 and "kept in" in rest and "Traceback" not in rest
    assert person.kept.exists() and not person.file.exists()
    again = Person(tmp_path)
    again.sees("5 answers are there from last time")
    assert "From the hinge line to the lifters" in again.asked()
    again.screen.sendline("")
    again.says(*[""] * (ASKED - 6), "no")
    assert again.leaves()[0] == 0
    assert 'end_weight = "2222 lb"' in again.file.read_text(encoding="utf-8")
    assert not again.kept.exists()


def test_it_offers_to_run(tmp_path):
    person = enters(tmp_path)
    person.sees(r"Run it now\? \[yes\] ")
    person.screen.sendline("")
    code, rest = person.leaves()
    assert code == 0 and "Raised" in rest
    assert len([run for run in (tmp_path / "runs").iterdir() if run.is_dir()]) == 1


def test_options_are_not_asked(tmp_path):
    person = Person(tmp_path, "--like", "slab edge", "--rise", "3 in", "--lifters", "1", "--with", "cribbing")
    seen = "".join(person.says(*[""] * 1) for _ in range(ASKED - 5))
    for words in ("What is raised", "How far has", "How many lifters", "How far apart", "What follows"):
        assert words not in seen
    person.sees(r"Run it now\? \[yes\] ")
    person.screen.close()
    assert 'rise = "3 in"' in person.file.read_text(encoding="utf-8")


def test_a_wrong_option_is_asked_for_where_somebody_is_there(tmp_path):
    person = Person(tmp_path, "--rise", "3")
    person.sees(r"--rise:\s+\"3\" has no unit")
    person.says(*[""] * ASKED)
    person.sees(r"Run it now\?")
    person.screen.close()


# --- scripts


def piped(folder, *options, said=""):
    """Nobody there: answers come through a pipe."""
    return run(folder, "ask", "lift.toml", *options, said=said)


ANSWERS = {
    "like": "van rear", "far-end": "yes", "pivot-held": "brakes only",
    "weight": "1730 kg whole", "weight-from": "papers",
    "hinge-to-lifters": "2.05 m", "hinge-to-point": "2.472 m", "rise": "150 mm", "down-again": "after 10 min",
    "lifters": "2", "apart": "1.44 m",
    "strokes-per-inch": "8", "with": "pinned strut and cribbing", "also": "cribbing",
    "hinge-to-struts": "1.8 m, 1.5 m", "catchers": "one a place", "people": "6", "strokes": "2", "gap": "10 mm",
}  # fmt: skip


def test_every_question_has_its_option(tmp_path):
    assert {key.replace("-", "_") for key in ANSWERS} == {part.key for part in PARTS}
    options = [word for key, said in ANSWERS.items() for word in (f"--{key}", said)]
    done = piped(tmp_path, *options, "--units", "si", "--no-run")
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "lift.toml").read_text(encoding="utf-8")
    for said in ('"1730 kg"', '"2.472 m"', "strokes_per_25_mm = 8", "people = 6", 'hold = "10 min"', 'gap = "10 mm"'):
        assert said in text
    follows = ["left strut", "right strut", "left crib", "right crib"]
    assert [station.name for station in read(tmp_path / "lift.toml").stations] == follows
    assert "7: the leader, 2 at the pumps, 4 following the load; 6 are there" in done.stdout
    assert "largest gap" in done.stdout and "largest gap" not in done.stderr


def test_enter_option_asks_nothing(tmp_path):
    done = piped(tmp_path, "--enter", "--rise", "4 in")
    assert done.returncode == 0 and "What is raised" not in done.stderr
    assert 'rise = "4 in"' in (tmp_path / "lift.toml").read_text(encoding="utf-8")
    wrong = piped(tmp_path, "--enter", "--rise", "4", "--force")
    assert wrong.returncode == 2 and '--rise: "4" has no unit' in wrong.stderr


def test_answers_through_a_pipe(tmp_path):
    done = piped(tmp_path, said="\n\n\nwhat\n2500 lb at the end\n" + "\n" * 14 + "no\n")
    assert done.returncode == 0, done.stderr
    assert "does not end in" in done.stderr
    assert 'end_weight = "2500 lb"' in (tmp_path / "lift.toml").read_text(encoding="utf-8")


def test_a_pipe_that_ends_early_is_no_scenario(tmp_path):
    done = piped(tmp_path, said="\n\n\n\n\n")
    assert done.returncode == 2 and "before question 4 was answered" in done.stderr
    assert not (tmp_path / "lift.toml").exists() and (tmp_path / ".lift.toml.answers").exists()
    rest = piped(tmp_path, said="\n" * 13)
    assert rest.returncode == 0 and "5 answers are there" in rest.stderr


def test_damaged_answers_are_passed_over(tmp_path):
    (tmp_path / ".lift.toml.answers").write_bytes(b"\xff\x00 [typed\n")
    assert piped(tmp_path, said="\n" * 19).returncode == 0


def test_a_file_that_is_there_is_not_written_over(tmp_path):
    (tmp_path / "lift.toml").write_text("mine", encoding="utf-8")
    done = piped(tmp_path, "--enter")
    assert done.returncode == 2 and "is there already" in done.stderr
    assert (tmp_path / "lift.toml").read_text(encoding="utf-8") == "mine"


def test_check_prints_the_full_form(tmp_path):
    assert piped(tmp_path, "--enter").returncode == 0
    full = run(tmp_path, "check", "lift.toml", "--expand")
    assert full.returncode == 0
    (tmp_path / "full.toml").write_text(full.stdout, encoding="utf-8")
    assert read(tmp_path / "full.toml").lifters == read(tmp_path / "lift.toml").lifters
