"""English as those say it who grew up with another language: each sound as near as that language comes to it.

Which sounds speakers take for which is common knowledge of English teachers; no source was followed.
"""

import re
from collections.abc import Callable

import numpy as np

TONGUES = (
    *("de", "fr", "es", "sv", "fi", "it", "pl", "nl", "pt", "ru"),
    *("cs", "da", "nb", "hu", "tr", "el", "hi", "ko", "ro", "hr"),
)
NEAR = {  # English sounds as espeak-ng writes them, and what may be said for each
    "T": ("T", "s", "t", "f"),
    "D": ("D", "d", "z"),
    "w": ("w", "w", "v"),
    "v": ("v", "v", "v", "f"),
    "z": ("z", "z", "s"),
    "dZ": ("dZ", "tS"),
    "h": ("h", "h", "h", "x"),
    "N": ("N", "ng"),
    "V": ("V", "a", "O", "@"),
    "0": ("0", "O", "o"),
    "a": ("a", "a", "E"),
    "aa": ("a", "a:", "E"),
    "a#": ("a", "@"),
    "A:": ("A:", "a:", "a"),
    "A@": ("A@", "A:r", "a:r", "ar"),
    "3:": ("3:", "e:r", "er", "Y:", "or"),
    "3": ("3", "@r", "er", "@", "a"),
    "@": ("@", "@", "e", "a"),
    "@L": ("@l", "el", "l"),
    "@5": ("@", "o"),
    "O:": ("O:", "o:", "O"),
    "O@": ("O@", "O:r", "o:r", "or"),
    "o@": ("o@", "O:r", "o:r", "or"),
    "U@": ("U@", "u:r", "ur"),
    "i@": ("i@", "i:r", "ir", "e:r"),
    "i@3": ("i@", "i:r", "ir"),
    "I@": ("I@", "i:r", "ir"),
    "e@": ("e@", "e:r", "er"),
    "eI": ("eI", "e:", "e", "ej", "aj"),
    "aI": ("aI", "aj", "ai"),
    "aU": ("aU", "au", "aw"),
    "oU": ("oU", "o:", "o", "ou"),
    "OI": ("OI", "oj", "oi"),
    "I": ("I", "i", "i:"),
    "I2": ("I", "i", "e"),
    "I#": ("I", "i", "e"),
    "i": ("i", "I"),
    "i:": ("i:", "i", "I"),
    "U": ("U", "u", "u:"),
    "u:": ("u:", "u"),
    "E": ("E", "e"),
}
_LONGEST_FIRST = sorted(NEAR, key=len, reverse=True)
_SOUNDS = re.compile("|".join([*map(re.escape, _LONGEST_FIRST), "tS", r"."]))


def nearest(sounds: str, has: Callable[[str], bool], chance: np.random.Generator) -> str:
    """English sounds in those of one speaker of a language that `has` some: alike each time that one comes.

    The first choice is the one nearest to English half of the time.
    """
    chosen: dict[str, str] = {}
    for sound in dict.fromkeys(_SOUNDS.findall(sounds)):
        known = [each for each in NEAR.get(sound, (sound,)) if has(each)]
        drawn = 0 if chance.random() < 0.5 else int(chance.integers(len(known) or 1))
        chosen[sound] = known[drawn] if known else ""
    return "".join(chosen[sound] for sound in _SOUNDS.findall(sounds))
