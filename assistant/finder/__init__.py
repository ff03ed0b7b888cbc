"""A count is off: where is the mistake? Pure: values in, values out.

mistakes    every single mistake, how often it is made, and what it leaves on the loom
repair      from what lies on the loom to what sets it right
choices     the ways to set it right, with what each costs, the cheapest first
questions   what the weaver can be asked, what answering takes, how many bits it is expected to give
hypotheses  what was observed, and the mistakes that explain it, or something else
search      which question comes next; when one repair stands out
looking     a search with the way back through its answers, as a session and a keyboard go through it
sleying, reed, reed_look  the same three for the reed: its mistakes, the search, and the way back

search = Search.of(GroupToSearch(expected, call_starts, shafts), Observation(over=1))
while (verdict := search.verdict()) is None:
    question = search.question()
    search = search.answer(question, ...)
"""

from assistant.finder.choices import Choice, choices
from assistant.finder.hypotheses import Hypothesis, Observation
from assistant.finder.looking import NOT_A_SHAFT, Look
from assistant.finder.mistakes import GroupToSearch, LeftBehind, Mistake, MistakeKind, left_by, mistakes
from assistant.finder.questions import NO, NO_END, NO_EYE, YES, Answer, Ask, Landmark, Question, Reason, Side, answered
from assistant.finder.repair import Repair, Way
from assistant.finder.search import Outcome, Search, Verdict

__all__ = [
    "NO",
    "NOT_A_SHAFT",
    "NO_END",
    "NO_EYE",
    "YES",
    "Answer",
    "Ask",
    "Choice",
    "GroupToSearch",
    "Hypothesis",
    "Landmark",
    "LeftBehind",
    "Look",
    "Mistake",
    "MistakeKind",
    "Observation",
    "Outcome",
    "Question",
    "Reason",
    "Repair",
    "Search",
    "Side",
    "Verdict",
    "Way",
    "answered",
    "choices",
    "left_by",
    "mistakes",
]
