"""What other people say in the hearing benchmark: everyday sentences and remarks, our own, put together by chance."""

from collections.abc import Iterator

import numpy as np


def remarks(chance: np.random.Generator, further: bool = False) -> Iterator[str]:
    """Sentences and remarks without end; `further`: as `sentence` has it."""
    while True:
        yield sentence(chance, further)


def sentence(chance: np.random.Generator, further: bool = False) -> str:
    """One of many that can be made of these parts; some are a word or two. `further`: of more than in tuning."""
    if chance.random() < 0.15:
        return str(chance.choice(_parts(CALLED_OUT + "|" + FURTHER if further else CALLED_OUT)))
    return " ".join(str(chance.choice(_parts(part))) for part in (OPENINGS, PEOPLE, DOINGS, ENDINGS))


def _parts(text: str) -> list[str]:
    return [" ".join(part.split()) for part in text.split("|")]


CALLED_OUT = """
    Yes. | No. | Right. | Stop it! | Well then. | Look! | Thank you. | Wait. | Not today. | Goodbye. | What? | Of
    course. | Perhaps. | Good morning. | Nonsense. | Careful! | One moment. | Listen. | Indeed. | Heaven! | Certainly
    not. | Oh dear. | Enough. | Tomorrow. | Never. | Really? | Sit down. | Exactly. | Silence!
"""
FURTHER = """
    Hello? | Next week. | Nice to see you. | Come back! | Back to the studio. | My back hurts. | Text me. | Exit.
    | Respect. | Neat. | Defeat! | Replied who? | Pack it in. | Black. | Bake it. | Reheat it. | Presents! | Paws
    off. | Finnish. | Furnish it. | Mister Lake. | I settled it. | Shorts. | Sure. | Sort it out. | Start again. |
    Stark. | Sixty-four. | Too late. | Nearly. | Who is it? | Just a second. | Coming! | Not now. | Why not? |
    Yesterday. | Excuse me. | Of course not. | Absolutely. | It's raining. | All right. | Good night. | Hurry up!
    | Slowly. | Turn it up. | Speak up. | Cheers. | Sorry? | No idea. | That's enough. | Water. | Bread and
    butter. | A position. | Over there. | The kettle. | Resume what? | Perfect. | Magic.
"""
OPENINGS = """
    In the spring | The next morning | After a short pause | Before the war | And now, as we hear from the town
    hall, | As everybody knows, | At half past seven | To repeat what was said on Sunday, | When the rain had
    stopped, | It was an honest mistake, but | From this position by the window | In his previous book | For the
    third time | Between eight and five | Once the report was finished, | On the far shore | Not for the first time
"""
PEOPLE = """
    the old fisherman | my grandmother | a man in a long coat | the mayor and her four sisters | nobody in the
    village | our correspondent | the boy with the dog | six of the players | the head of the museum | a young
    engineer | the orchestra | her neighbour across the road | the minister for transport | one of the two brothers
"""
DOINGS = """
    put the kettle on | walked over to the harbour | would continue to ask for more | kept a tin full of buttons |
    served twice into the net | sold the surplus at the market | was not sure what to think of it | restarted the
    engine | had seen a summer like it | bought a loaf of bread | said nothing at all | turned left at the church |
    read the letter aloud | lost three games in a row | settled down to wait
"""
ENDINGS = """
    until the last train had left. | with a light wind from the west. | and looked out at the lake. | while the
    price of wool fell by six per cent. | because there was no other way. | for the rest of the evening. | and that,
    I think, is worth remembering. | without so much as a goodbye. | before anyone could answer. | as if it were the
    most natural thing in the world. | somewhere between the bridge and the station.
"""
