"""A count is off: where is the mistake? Pure: values in, values out.

group       the ends as they should lie
mistakes    every single mistake, and how often it is made
effects     what mistakes leave on the loom, of the bundle and of the heddles
closing     what was observed
parts       what two mistakes show together
repair      from what lies on the loom to what sets it right
hypotheses  the mistakes that explain what was observed
questions   what the weaver can be asked, and what answering takes
table       what each hypothesis answers, as numbers
information how many bits an answer is expected to give
search      which question comes next; when one repair stands out
pairs       two mistakes at once

search = Search.of(Group(expected, call_starts, shafts), Observation(over=1))
while (verdict := search.verdict()) is None:
    question = search.question()
    search = search.answer(question, ...)
"""

from assistant.session.finder.closing import Observation
from assistant.session.finder.group import Group
from assistant.session.finder.hypotheses import Hypothesis
from assistant.session.finder.mistakes import Fault, Mistake
from assistant.session.finder.pairs import two_mistakes
from assistant.session.finder.questions import NO_END, Answer, Ask, Landmark, Question, Side
from assistant.session.finder.repair import Repair, Way
from assistant.session.finder.search import Outcome, Search, Verdict

__all__ = [
    "NO_END",
    "Answer",
    "Ask",
    "Fault",
    "Group",
    "Hypothesis",
    "Landmark",
    "Mistake",
    "Observation",
    "Outcome",
    "Question",
    "Repair",
    "Search",
    "Side",
    "Verdict",
    "Way",
    "two_mistakes",
]
