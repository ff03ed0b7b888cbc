"""What other people say in the hearing benchmark: everyday sentences and remarks, our own, put together by chance.

Some of the English ones are made to sound like commands; many of the Korean ones have a command's word in them.
"""

from collections.abc import Iterator, Sequence

import numpy as np


def remarks(chance: np.random.Generator, further: bool = False) -> Iterator[str]:
    """English sentences and remarks without end; `further`: of more than were used in tuning."""
    while True:
        yield _put_together(chance, CALLED_OUT + FURTHER if further else CALLED_OUT, SENTENCES)


def korean_remarks(chance: np.random.Generator) -> Iterator[str]:
    """Korean sentences and remarks without end."""
    while True:
        yield _put_together(chance, KOREAN_CALLED_OUT, KOREAN_SENTENCES)


def _put_together(chance: np.random.Generator, called_out: Sequence[str], sentences: Sequence[Sequence[str]]) -> str:
    """One of many that can be made of these parts; some are a word or two."""
    if chance.random() < 0.15:
        return str(chance.choice(called_out))
    return " ".join(str(chance.choice(part)) for part in sentences)


def _parts(text: str) -> list[str]:
    return [" ".join(part.split()) for part in text.split("|")]


CALLED_OUT = _parts("""
    Yes. | No. | Right. | Stop it! | Well then. | Look! | Thank you. | Wait. | Not today. | Goodbye. | What? | Of
    course. | Perhaps. | Good morning. | Nonsense. | Careful! | One moment. | Listen. | Indeed. | Heaven! | Certainly
    not. | Oh dear. | Enough. | Tomorrow. | Never. | Really? | Sit down. | Exactly. | Silence!
""")
FURTHER = _parts("""
    Hello? | Next week. | Nice to see you. | Come back! | Back to the studio. | My back hurts. | Text me. | Exit.
    | Respect. | Neat. | Defeat! | Replied who? | Pack it in. | Black. | Bake it. | Reheat it. | Presents! | Paws
    off. | Finnish. | Furnish it. | Mister Lake. | I settled it. | Shorts. | Sure. | Sort it out. | Start again. |
    Stark. | Sixty-four. | Too late. | Nearly. | Who is it? | Just a second. | Coming! | Not now. | Why not? |
    Yesterday. | Excuse me. | Of course not. | Absolutely. | It's raining. | All right. | Good night. | Hurry up!
    | Slowly. | Turn it up. | Speak up. | Cheers. | Sorry? | No idea. | That's enough. | Water. | Bread and
    butter. | A position. | Over there. | The kettle. | Resume what? | Perfect. | Magic.
""")
OPENINGS = _parts("""
    In the spring | The next morning | After a short pause | Before the war | And now, as we hear from the town
    hall, | As everybody knows, | At half past seven | To repeat what was said on Sunday, | When the rain had
    stopped, | It was an honest mistake, but | From this position by the window | In his previous book | For the
    third time | Between eight and five | Once the report was finished, | On the far shore | Not for the first time
""")
PEOPLE = _parts("""
    the old fisherman | my grandmother | a man in a long coat | the mayor and her four sisters | nobody in the
    village | our correspondent | the boy with the dog | six of the players | the head of the museum | a young
    engineer | the orchestra | her neighbour across the road | the minister for transport | one of the two brothers
""")
DOINGS = _parts("""
    put the kettle on | walked over to the harbour | would continue to ask for more | kept a tin full of buttons |
    served twice into the net | sold the surplus at the market | was not sure what to think of it | restarted the
    engine | had seen a summer like it | bought a loaf of bread | said nothing at all | turned left at the church |
    read the letter aloud | lost three games in a row | settled down to wait
""")
ENDINGS = _parts("""
    until the last train had left. | with a light wind from the west. | and looked out at the lake. | while the
    price of wool fell by six per cent. | because there was no other way. | for the rest of the evening. | and that,
    I think, is worth remembering. | without so much as a goodbye. | before anyone could answer. | as if it were the
    most natural thing in the world. | somewhere between the bridge and the station.
""")
SENTENCES = (OPENINGS, PEOPLE, DOINGS, ENDINGS)

KOREAN_CALLED_OUT = _parts("""
    네. | 아니요. | 잠깐만요. | 정말요? | 조심하세요! | 안녕히 계세요. | 고맙습니다. | 그럼요. | 어디
    가세요? | 다음에 봐요. | 뒤로 물러서세요. | 다시 말해 줘. | 빨리 와! | 크게 웃지 마. | 천천히 먹어. |
    이제 그만. | 글쎄요. | 물론이지. | 여보세요? | 내일 보자. | 일이 많아. | 오이 있어요? | 칠판을 봐. |
    사과 하나. | 괜찮아요. | 비가 온다. | 문 닫아. | 누구세요?
""")
KOREAN_OPENINGS = _parts("""
    어제 저녁에 | 비가 그친 다음에 | 다음 주 월요일에 | 학교에서 돌아온 뒤로 | 일곱 시 반쯤에 | 전쟁이 나기
    이전에 | 그 일이 있고 나서 | 점심을 먹고 | 아침 뉴스에 따르면 | 이 위치에서 보면 | 모두가 알다시피 |
    처음부터 | 날씨가 맑은 날에는
""")
KOREAN_PEOPLE = _parts("""
    우리 할머니가 | 옆집 아저씨가 | 키가 큰 남자가 | 시장님과 네 누이가 | 마을 사람들이 | 개를 데리고 온
    아이가 | 여섯 명의 선수가 | 젊은 기술자가 | 박물관 관장이 | 두 형제 가운데 하나가 | 우체국 직원이
""")
KOREAN_DOINGS = _parts("""
    시장에서 생선을 사서 | 창밖을 보다가 | 다시 전화를 걸어서 | 책장을 넘겨 보다가 | 노래를 크게 부르면서 |
    천천히 길을 건너서 | 편지를 소리 내어 읽고 | 남아 있던 빵을 나누어서 | 세 번이나 지고도 | 물이 모자라
    걱정하면서 | 계속 기다리다가
""")
KOREAN_ENDINGS = _parts("""
    집으로 돌아갔습니다. | 아무 말도 하지 않았습니다. | 크게 웃었습니다. | 기차를 놓쳤습니다. | 항구까지
    걸어갔습니다. | 문을 닫고 나갔습니다. | 그 이야기를 반복했습니다. | 자리에 앉아서 쉬었습니다. | 아주
    좋은 생각이라고 했습니다. | 계획을 다 완료했다고 합니다.
""")
KOREAN_SENTENCES = (KOREAN_OPENINGS, KOREAN_PEOPLE, KOREAN_DOINGS, KOREAN_ENDINGS)
