"""Markdown put into a Word document: headings, paragraphs, lists and tables in the styles of the document.

What Markdown can do that a lesson does not (pictures, raw HTML) stands there as text; a link's address stands behind
its words, so that it is there on paper too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from markdown_it.tree import SyntaxTreeNode

from reports.paper.lesson_prose import reader
from sim.model.visible import visible

if TYPE_CHECKING:
    from docx.document import Document
    from docx.text.paragraph import Paragraph

DEEPEST = 3  # levels of lists that have a style of their own
TOP_HEADING = 2  # a heading in a text stands below that of its passage


@dataclass(frozen=True)
class Writer:
    """A document that Markdown is written to."""

    document: Document

    def write(self, markdown: str, style: str = "") -> None:
        """A text at the end of the document, its paragraphs in this style."""
        for node in SyntaxTreeNode(reader().parse(markdown)).children:
            self._block(node, style or "Normal", 0)

    def _block(self, node: SyntaxTreeNode, style: str, depth: int) -> None:
        """One block; `depth` is how many lists it stands in."""
        if node.type in ("bullet_list", "ordered_list"):
            self._list(node, depth)
        elif node.type == "table":
            self._table(node)
        elif node.type == "heading":
            self._words(node, f"Heading {min(TOP_HEADING + int(node.tag[1:]) - 1, 9)}")
        elif node.type == "blockquote":
            for each in node.children:
                self._block(each, "Quote", depth)
        elif node.type in ("fence", "code_block"):
            for line in node.content.splitlines():
                self.document.add_paragraph(visible(line, keep="\t"), style)
        elif node.type == "paragraph":
            self._words(node, style)

    def _words(self, node: SyntaxTreeNode, style: str) -> Paragraph:
        """A paragraph or a heading."""
        paragraph = self.document.add_paragraph(style=style)
        for inline in node.children:
            put_words(paragraph, inline)
        return paragraph

    def _list(self, node: SyntaxTreeNode, depth: int) -> None:
        """Its items; further blocks of an item stand under it, set in as far."""
        kind = "List Number" if node.type == "ordered_list" else "List Bullet"
        level = f" {depth + 1}" if 0 < depth < DEEPEST else f" {DEEPEST}" if depth else ""
        number = self._new_numbers(kind + level, int(node.attrs.get("start", 1))) if kind == "List Number" else None
        for item in node.children:
            first = True
            for block in item.children:
                if not first or block.type != "paragraph":
                    self._block(block, f"List Continue{level}", depth + 1)
                    continue
                paragraph = self._words(block, kind + level)
                if number is not None:
                    numbered = paragraph._p.get_or_add_pPr().get_or_add_numPr()
                    numbered.get_or_add_ilvl().val, numbered.get_or_add_numId().val = 0, number
                first = False

    def _new_numbers(self, style: str, start: int) -> int:
        """Numbers of its own for a list: without them each would go on from the one before."""
        numbering = self.document.part.numbering_part.element
        like: Any = self.document.styles[style].element
        kind = numbering.num_having_numId(like.pPr.numPr.numId.val).abstractNumId.val
        number = numbering.add_num(kind)
        number.add_lvlOverride(ilvl=0).add_startOverride(start)
        return int(number.numId)

    def _table(self, node: SyntaxTreeNode) -> None:
        """Its first row is repeated where the table goes on on another page, and no row is torn apart."""
        from docx.oxml import OxmlElement
        from docx.shared import Pt

        rows = [row for part in node.children for row in part.children]
        table = self.document.add_table(len(rows), len(rows[0].children), "Table Grid")
        for at, (row, cells) in enumerate(zip(table.rows, rows, strict=True)):
            about = row._tr.get_or_add_trPr()
            about.append(OxmlElement("w:cantSplit"))
            if at == 0:
                about.append(OxmlElement("w:tblHeader"))
            for cell, words in zip(row.cells, cells.children, strict=True):
                for inline in words.children:
                    put_words(cell.paragraphs[0], inline, bold=at == 0)
                cell.paragraphs[0].paragraph_format.space_after = Pt(2)
                for run in cell.paragraphs[0].runs:
                    run.font.size = Pt(9)
        self.document.add_paragraph().paragraph_format.space_after = Pt(0)


def put_words(paragraph: Paragraph, node: SyntaxTreeNode, bold: bool = False, italic: bool = False) -> None:
    """The words of a paragraph or a cell, each run as it is set."""
    if node.type in ("text", "code_inline", "html_inline"):
        _put(paragraph, visible(node.content), bold, italic)
    elif node.type == "softbreak":
        _put(paragraph, " ", bold, italic)
    elif node.type == "hardbreak":
        paragraph.add_run().add_break()
    else:
        for each in node.children:
            put_words(paragraph, each, bold or node.type == "strong", italic or node.type == "em")
        address = str(node.attrs.get("href", ""))
        if address and address != "".join(each.content for each in node.children):
            _put(paragraph, f" ({visible(address)})", bold, italic)


def _put(paragraph: Paragraph, words: str, bold: bool, italic: bool) -> None:
    """Words at the end of a paragraph: in the run there if it is set alike, so that they are easily edited."""
    if not words:
        return
    last = paragraph.runs[-1] if paragraph.runs else None
    if last is not None and (last.bold, last.italic) == (bold or None, italic or None):
        last.add_text(words)
        return
    run = paragraph.add_run(words)
    run.bold, run.italic = bold or None, italic or None
