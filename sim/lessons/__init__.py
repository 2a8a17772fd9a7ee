"""The lessons: each computed from the model, on the scenario that ships or on the writer's own.

    computed = LESSONS["between-the-pins"].compute(scenario)
    computed.tables["gap"]                                      # a DataFrame, in SI
    questions(LESSONS["between-the-pins"], computed, "us", seed=3)

One file a lesson in `taught/`; a new one is a new file there, a line below and a file that draws it in
`reports/lessons/drawn/`.
"""

from sim.lessons.lesson import Computed, Control, Lesson, Question, questions
from sim.lessons.taught import (
    an_inch_at_a_time,
    between_the_pins,
    both_sides_level,
    coming_down,
    only_what_you_need,
    slack_and_stretch,
    steep_or_flat,
    the_chase,
    what_a_gap_costs,
    what_wants_to_slide,
)

LESSONS: dict[str, Lesson] = {
    file.LESSON.name: file.LESSON
    for file in (
        between_the_pins,
        the_chase,
        what_a_gap_costs,
        both_sides_level,
        slack_and_stretch,
        only_what_you_need,
        steep_or_flat,
        coming_down,
        what_wants_to_slide,
        an_inch_at_a_time,
    )
}

__all__ = ["LESSONS", "Computed", "Control", "Lesson", "Question", "questions"]
