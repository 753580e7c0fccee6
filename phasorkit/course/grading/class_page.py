"""The class report: one page that needs nothing else, to read on a screen or on paper."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from itertools import groupby
from pathlib import Path

from phasorkit.course.grading.figures import checks_figure, scores_figure
from phasorkit.course.grading.insight import CheckFacts, check_facts, read_work, shown_points, slip_words, summary
from phasorkit.course.grading.questions import TOPICS, Question, questions
from phasorkit.course.grading.records import ClassResult, Record
from phasorkit.course.handout_look import page
from phasorkit.course.model import Task, tasks
from phasorkit.draw.picture import Picture

_LOOK = """
<style>
.numbers td, .numbers th { text-align: right; } .numbers .name { text-align: left; white-space: nowrap; }
.wide { overflow-x: auto; } caption { text-align: left; font-weight: 700; padding: .2rem 0; }
.look { border-left: 4px solid #c77700; padding-left: .7rem; margin: .8rem 0; }
.small { font-size: .85rem; color: #414a56; } nav ul { padding-left: 1.2rem; }
figcaption { font-size: .85rem; color: #414a56; } .look ul { margin: .3rem 0; }
@media print { .look, figure { break-inside: avoid; } h2 { break-before: auto; } nav { display: none; } }
</style>
"""
_SIGNS = "→ follows from an earlier answer · – not answered · ✎ set by hand · ? there is something to look at"


def class_page(result: ClassResult, *, root: Path) -> str:
    """The report as HTML; the same result gives the same bytes.

    Everything a learner or a file name brought in is escaped; the page holds no script and fetches nothing.
    """
    asked = questions(result, root=root)
    exercises = [name for name in tasks() if any(record.exercise == name for record in result.records)]
    body = [_LOOK, "<h1>Class report</h1>", _opening(result, asked, exercises)]
    for name in exercises:
        body.append(_exercise(result.marks.task(name), [r for r in result.records if r.exercise == name], asked))
    body += [_questions(asked), _not_graded(result), _how_to_read()]
    return page("\n".join(body), title="Class report")


def _opening(result: ClassResult, asked: Sequence[Question], exercises: Sequence[str]) -> str:
    links = [f'<li><a href="#{name}">{escape(tasks()[name].title)}</a></li>' for name in exercises]
    links.append(f'<li><a href="#look">For a person to look at: {len(asked)}</a></li>')
    links.append(f'<li><a href="#not-graded">Not graded: {len(result.problems)}</a></li>')
    return f'<nav aria-label="Contents"><ul>{"".join(links)}</ul></nav>'


def _exercise(exercise: Task, records: Sequence[Record], asked: Sequence[Question]) -> str:
    name, work = exercise.name, read_work(records)
    facts = check_facts(exercise, work)
    unread = len(records) - len(work)
    left_out = f" {unread} more could not be read; they are left out here." if unread else ""
    parts = [f'<h2 id="{name}">{escape(exercise.title)}</h2>', f"<p>{summary(work)}{left_out}</p>"]
    if work:
        parts += [_figure(scores_figure(work)), _figure(checks_figure(facts)), _slips(facts), _table_of_checks(facts)]
    parts.append(_scores(name, records, {(q.learner, q.exercise) for q in asked}))
    return "\n".join(parts)


def _figure(picture: Picture) -> str:
    return f"<figure>{picture.svg}<figcaption>{escape(picture.title)}. {escape(picture.text)}</figcaption></figure>"


def _slips(facts: Sequence[CheckFacts]) -> str:
    """What to take up with the class: the slips that came most often, over all checks."""
    all_slips = sorted(((n, f, name) for f in facts for name, n in f.slips), key=lambda s: (-s[0], s[1].name, s[2]))
    if not all_slips:
        return "<h3>Commonest slips</h3><p>No known slip was recognised.</p>"
    items = [
        f"<li><strong>{count} of {check.learners}</strong>: {escape(name)} (<em>{escape(check.name)}</em>)</li>"
        for count, check, name in all_slips[:5]
    ]
    return f"<h3>Commonest slips</h3><ol>{''.join(items)}</ol>"


def _table_of_checks(facts: Sequence[CheckFacts]) -> str:
    rows = []
    for check in facts:
        tells = "" if check.discrimination is None else f"{check.discrimination:.2f}"
        followed = f" ({check.followed} of them follow from an earlier answer)" if check.followed else ""
        right = f"{check.counts[0]} of {check.learners}{followed}"
        slips = "<br>".join(escape(words) for words in slip_words(check)) or "none recognised"
        remark = f"<br><strong>? {escape(check.remark)}</strong>" if check.remark else ""
        rows.append(
            f'<tr><th scope="row">{escape(check.name)}</th><td>{escape(check.says)}{remark}</td><td>{right}</td>'
            f"<td>{slips}</td><td>{tells}</td></tr>"
        )
    head = "".join(f'<th scope="col">{h}</th>' for h in ("check", "what it checks", "right", "slips", "tells apart"))
    return (
        f'<div class="wide"><table><caption>Check by check</caption><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def _scores(name: str, records: Sequence[Record], asked: set[tuple[str, str]]) -> str:
    checks = [row.check for row in records[0].rows]
    maxima = [f"{row.maximum:g}" for row in records[0].rows]
    columns = [f"{escape(c)}<br>/{m}" for c, m in zip(checks, maxima, strict=True)]
    head = "".join(f'<th scope="col">{h}</th>' for h in [*columns, f"sum<br>/{records[0].maximum:g}", "%"])
    lines = []
    for record in records:
        sign = " ?" if (record.learner, name) in asked else ""
        percent = f"{100 * record.counted / record.maximum:.0f}" if record.maximum else ""
        late = f" (late: −{record.late_penalty:g})" if record.late_penalty else ""
        cells = [*map(shown_points, record.rows), f"<strong>{record.counted:g}</strong>{late}", percent]
        row = "".join(f"<td>{cell}</td>" for cell in cells)
        lines.append(f'<tr><th scope="row" class="name">{escape(record.learner)}{sign}</th>{row}</tr>')
    top = f'<thead><tr><th scope="col" class="name">learner</th>{head}</tr></thead>'
    table = f'<table class="numbers"><caption>Scores</caption>{top}<tbody>{"".join(lines)}</tbody></table>'
    return f'<div class="wide">{table}</div><p class="small">{_SIGNS}</p>'


def _questions(asked: Sequence[Question]) -> str:
    parts = ['<h2 id="look">For a person to look at</h2>']
    parts.append(
        "<p>A program cannot know why something looks the way it does. Each of these is a question to ask, and none a "
        "finding against anybody. What could be marked was marked, whatever is asked here.</p>"
    )
    if not asked:
        parts.append("<p>Nothing.</p>")
    for topic, found in groupby(asked, key=lambda q: q.topic):
        lines = [
            f"<li><strong>{escape(q.learner)}</strong> ({escape(q.exercise)}): {escape(q.text)}</li>" for q in found
        ]
        about = TOPICS[topic]
        parts.append(
            f'<section class="look"><h3>{escape(about.title)}: {len(lines)}</h3>'
            f'<p class="small">{escape(about.may_be)}</p>'
            f"<ul>{''.join(lines)}</ul></section>"
        )
    return "\n".join(parts)


def _not_graded(result: ClassResult) -> str:
    lines = [f"<li><strong>{escape(p.file)}</strong>: {escape(p.reason)}</li>" for p in result.problems]
    return f'<h2 id="not-graded">Not graded</h2>{f"<ul>{chr(10).join(lines)}</ul>" if lines else "<p>Nothing.</p>"}'


def _how_to_read() -> str:
    return (
        "<h2>How to read this</h2><p><strong>Right</strong> is full marks, also for an answer that follows rightly "
        "from an earlier wrong one of the same learner. A <strong>slip</strong> is a known mistake that explains the "
        "number that was answered. <strong>Tells apart</strong> is how far the marks of a check go with the marks of "
        "all the others (their correlation, from -1 to 1; 0.3 and more is good). It is given from ten learners on, and "
        "in a small class chance moves it much: a check is pointed out only where chance alone would hardly do.</p>"
    )
