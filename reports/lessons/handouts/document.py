"""Lessons as documents to edit: headings as styles, tables as tables, the picture in its place.

    pictures, why = drawn_pictures([given])
    file = document(given, pictures.get("between-the-pins"), why)

The pictures are drawn by a browser; where there is none, a sentence says what would stand there.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from reports.lessons.handouts.handout import Handout
from reports.lessons.handouts.paragraphs import Writer
from reports.lessons.page import on_paper
from reports.slides.drawing import PictureError
from reports.slides.pictures import write_charts
from sim.model.cautions import CAUTION
from sim.model.visible import visible

if TYPE_CHECKING:
    from docx.document import Document

PAPER_IN = {"us": (8.5, 11.0), "si": (8.27, 11.69)}  # Letter, A4
PICTURE_PX = (690, 470)  # as the page prints it, so that its type is as large
TEXT_IN = PICTURE_PX[0] / 96
DOTS_A_PX = 3
MARGIN_IN, POINTS = 0.7, 11  # above and below
LANGUAGE = {"us": "en-US", "si": "en-GB"}


def drawn_pictures(given: Sequence[Handout]) -> tuple[dict[str, bytes], str]:
    """The picture of each lesson as PNG, by its name; or none, and why."""
    charts = {each.lesson.name: on_paper(each.board) for each in given}
    with TemporaryDirectory() as folder:
        try:
            paths = write_charts(charts, {}, Path(folder), given[0].units, *PICTURE_PX, ("png",), DOTS_A_PX)
        except PictureError as trouble:
            return {}, trouble.args[0]
        return {path.stem: path.read_bytes() for path in paths}, ""


def document(given: Handout, picture: bytes | None, why: str = "") -> bytes:
    """A lesson as a Word document.

    Parameters
    ----------
    given : Handout
        The lesson.
    picture : bytes, optional
        Its picture as PNG.
    why : str
        Why there is none.

    Returns
    -------
    bytes
        The file.
    """
    import docx

    made = docx.Document()
    _set_up(made, given)
    writer = Writer(made)
    made.add_heading(given.title, 0)
    made.add_paragraph(given.what, "Subtitle")
    for passage in given.passages:
        if passage.heading:
            heading = made.add_heading(passage.heading, 1)
            heading.paragraph_format.page_break_before = passage.name == "answers" or None
        if passage.name == "picture":
            _place_picture(made, given, picture, why)
        style = {"picture": "Caption", "aim": "Intense Quote"}.get(passage.name, "")
        writer.write(passage.markdown, style)
    file = BytesIO()
    made.save(file)
    return file.getvalue()


def _set_up(made: Document, given: Handout) -> None:
    """Paper, type and colours; who reads it in which language; the caution at the foot of each page."""
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.oxml.ns import qn
    from docx.shared import Inches, Pt, RGBColor

    section = made.sections[0]
    section.page_width, section.page_height = map(Inches, PAPER_IN[given.units])
    section.left_margin = section.right_margin = Inches((PAPER_IN[given.units][0] - TEXT_IN) / 2)
    section.top_margin = section.bottom_margin = Inches(MARGIN_IN)
    foot = section.footer.paragraphs[0]
    foot.text, foot.alignment = CAUTION, WD_ALIGN_PARAGRAPH.CENTER
    foot.runs[0].font.size = Pt(8)
    normal = made.styles["Normal"]
    normal.font.size, normal.font.name = Pt(POINTS), "Calibri"
    for name in ("Title", "Subtitle", "Heading 1", "Heading 2", "Heading 3", "Caption", "Intense Quote"):
        made.styles[name].font.color.rgb = RGBColor(0x20, 0x20, 0x20)
    made.styles["Caption"].font.bold, made.styles["Caption"].font.size = False, Pt(9)
    for language in made.styles.element.iter(qn("w:lang")):
        language.set(qn("w:val"), LANGUAGE[given.units])
    about = made.core_properties
    about.title, about.subject, about.language = given.title, given.what, LANGUAGE[given.units]
    about.author, about.last_modified_by, about.comments, about.keywords = "", "", CAUTION, "lesson"
    about.created = about.modified = datetime.now(UTC).replace(tzinfo=None, microsecond=0)


def _place_picture(made: Document, given: Handout, picture: bytes | None, why: str) -> None:
    """The picture as wide as the text, with words for who cannot see it; or what would stand here."""
    from docx.shared import Inches

    name = visible(given.picture.title)
    if picture is None:
        made.add_paragraph(
            f'The picture "{name}" would stand here ({why}): install Chrome or Chromium, or set BROWSER_PATH to it, '
            "and write the document again."
        )
        return
    about = made.add_picture(BytesIO(picture), width=Inches(TEXT_IN))._inline.docPr
    about.set("descr", visible(given.picture.alt))
    about.set("title", name)
    made.paragraphs[-1].paragraph_format.keep_with_next = True
