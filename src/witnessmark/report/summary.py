"""What a run says in the terminal: the first page in a few lines, then a table per question."""

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.report.model import Paper, Question
from witnessmark.report.words import plural


def print_summary(paper: Paper, console: Console | None = None) -> None:
    """Prints the summary to a console, the standard output by default."""
    (console or Console()).print(summary(paper))


def summary(paper: Paper) -> RenderableType:
    """The summary as something that a console can print."""
    first = paper.first_page
    title = f"{paper.title.process}, {paper.title.plant}"
    parts: list[RenderableType] = [Text(title, style="bold")]
    if paper.failed:
        slugs = ", ".join(test.slug for test in paper.failed)
        parts.append(Text(f"{plural(len(paper.failed), 'test')} did not run to an end: {slugs}."))
    parts += [
        _said("Suspect product that may have left", first.escapes.headline),
        _said("Attended and unattended", first.contrast.sentence),
        _said("A suspicion dropped", first.dropped),
    ]
    if first.asks:
        parts.append(_said("To ask at the next handover", first.asks[0].question))
    parts += [_question(question) for question in paper.questions]
    parts.append(Text("A test result is a question; the auditor decides and writes why."))
    return Group(*parts)


def _said(heading: str, words: str) -> RenderableType:
    return Group(Text(f"\n{heading}", style="bold"), Padding(Text(words), (0, 0, 0, 2)))


def _question(question: Question) -> RenderableType:
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column()
    for test in question.tests:
        result = test.result if test.status == "assessed" else Text(test.result, style="dim")
        mark = "" if test.deciding else " (context)"
        table.add_row(f"{test.slug}{mark}", result)
    heading = Text.assemble(f"\n{question.text} ", (question.answer, "bold"))
    reason = Padding(Text(question.reason), (0, 0, 0, 2))
    return Group(heading, reason, *([Padding(table, (0, 0, 0, 2))] if question.tests else []))
