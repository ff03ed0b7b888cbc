"""What the YAML reader stumbles over, said in a weaver's words."""

import re

from yaml.error import MarkedYAMLError

_NO_COLON = "could not find expected ':'"
_OPEN_QUOTE = "unexpected end of stream|unexpected document separator"
_AT_ITS_BEGINNING = (_NO_COLON, _OPEN_QUOTE)  # the mistake is where the reader began, not where it stopped

# What the reader says, what is wrong, what to do: the first that fits, in PyYAML 6.0's words.
_PLAIN = (
    (r"'\\t' that cannot start", "a tab stands here", "indent with spaces"),
    (r"character '(.)' that cannot start", "text cannot begin with {0}", "put the text in quotes"),
    (
        "values are not allowed",
        "a colon where none can stand",
        "put text with a colon in quotes, and begin the keys of one level in the same column",
    ),
    ("entries are not allowed", "a - where none can stand", "begin it on a line of its own"),
    ("keys are not allowed", "a ? where none can stand", "put the text in quotes"),
    (_NO_COLON, "a key without its colon", "write key: value, with a space after the colon"),
    (
        "expected <block end>",
        "this does not line up with the lines above",
        "begin the lines of one level in the same column",
    ),
    (
        "expected ',' or '}'",
        "this does not fit inside {{ }}",
        "put commas between, close with }}, quote texts with : in them",
    ),
    (r"expected ',' or '\]'", "this does not fit inside [ ]", "put commas between, and close with ]"),
    ("expected the node content", "a value is missing here", "write it, or put the text in quotes"),
    (_OPEN_QUOTE, "a quote is opened and never closed", "close it at the end of the text"),
    ("unknown escape character '(.)'", "\\{0} means nothing inside double quotes", "use single quotes"),
    ("hexadecimal numbers", "an unfinished \\x or \\u inside double quotes", "use single quotes"),
    ("found another document", "a second document begins here", "take the --- out: one file holds one warp"),
)

# In a { }, a colour without quotes begins a comment and swallows the rest of its line.
_BARE_COLOUR = re.compile(r"\{[^{}]*:[ \t]+(#[0-9A-Fa-f]{3,8})\b[^{}\n]*")
# A key whose value touches the colon is no key; only the next line shows it.
_NO_SPACE = re.compile(r"^[ \t]*(?:- +)?(\w+:)[^\s/].*\n+[^\n]*\Z", re.MULTILINE)


def plain(error: MarkedYAMLError, text: str) -> tuple[str, str, int]:
    """What is wrong, what to do, and the offset in the text."""
    begin, place = error.context_mark, error.problem_mark or error.context_mark
    at = place.index if place else 0
    if colour := _BARE_COLOUR.search(text, 0, at):
        return *bare_colour(colour[1]), colour.start(1)
    problem = error.problem or ""
    if "values are not allowed" in problem and (key := _NO_SPACE.search(text, 0, at)):
        return f"a space is missing after {key[1]}", "write key: value, with a space after the colon", key.start(1)
    for words, what, todo in _PLAIN:
        if found := re.search(words, problem):
            said = found.groups()
            return what.format(*said), todo.format(*said), begin.index if begin and words in _AT_ITS_BEGINNING else at
    return "this cannot be read as YAML", "put texts with signs in quotes, and line up the keys of one level", at


def bare_colour(colour: str) -> tuple[str, str]:
    """What is wrong and what to do about a colour without quotes."""
    return f"without quotes {colour} is taken for a comment", f'write "{colour}"'
