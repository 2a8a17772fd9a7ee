"""The lessons: each computed from the model, on the scenario that ships or on the writer's own.

    told = LESSONS["between-the-pins"].tell(scenario)
    told.tables["gap"]                                      # a DataFrame, in SI
    questions(LESSONS["between-the-pins"], told, "us", seed=3)

One file a lesson; a new one is a new file here, a line below and a figure in `reports/lesson_figures/`.
"""

from sim.lessons.between_the_pins import LESSON as _between_the_pins
from sim.lessons.lesson import Control, Lesson, Question, Told, questions
from sim.lessons.the_chase import LESSON as _the_chase
from sim.lessons.what_a_gap_costs import LESSON as _what_a_gap_costs

LESSONS: dict[str, Lesson] = {lesson.name: lesson for lesson in (_between_the_pins, _the_chase, _what_a_gap_costs)}

__all__ = ["LESSONS", "Control", "Lesson", "Question", "Told", "questions"]
