"""What other people say in Korean in the hearing benchmark: our own remarks, many of them with a command's word in."""

from collections.abc import Iterator

import numpy as np


def remarks(chance: np.random.Generator) -> Iterator[str]:
    """Sentences and remarks without end."""
    while True:
        yield sentence(chance)


def sentence(chance: np.random.Generator) -> str:
    """One of many that can be made of these parts; some are a word or two."""
    if chance.random() < 0.15:
        return str(chance.choice(CALLED_OUT))
    return " ".join(str(chance.choice(part)) for part in (OPENINGS, PEOPLE, DOINGS, ENDINGS))


def _parts(text: str) -> list[str]:
    return [" ".join(part.split()) for part in text.split("|")]


CALLED_OUT = _parts("""
    네. | 아니요. | 잠깐만요. | 정말요? | 조심하세요! | 안녕히 계세요. | 고맙습니다. | 그럼요. | 어디
    가세요? | 다음에 봐요. | 뒤로 물러서세요. | 다시 말해 줘. | 빨리 와! | 크게 웃지 마. | 천천히 먹어. |
    이제 그만. | 글쎄요. | 물론이지. | 여보세요? | 내일 보자. | 일이 많아. | 오이 있어요? | 칠판을 봐. |
    사과 하나. | 괜찮아요. | 비가 온다. | 문 닫아. | 누구세요?
""")
OPENINGS = _parts("""
    어제 저녁에 | 비가 그친 다음에 | 다음 주 월요일에 | 학교에서 돌아온 뒤로 | 일곱 시 반쯤에 | 전쟁이 나기
    이전에 | 그 일이 있고 나서 | 점심을 먹고 | 아침 뉴스에 따르면 | 이 위치에서 보면 | 모두가 알다시피 |
    처음부터 | 날씨가 맑은 날에는
""")
PEOPLE = _parts("""
    우리 할머니가 | 옆집 아저씨가 | 키가 큰 남자가 | 시장님과 네 누이가 | 마을 사람들이 | 개를 데리고 온
    아이가 | 여섯 명의 선수가 | 젊은 기술자가 | 박물관 관장이 | 두 형제 가운데 하나가 | 우체국 직원이
""")
DOINGS = _parts("""
    시장에서 생선을 사서 | 창밖을 보다가 | 다시 전화를 걸어서 | 책장을 넘겨 보다가 | 노래를 크게 부르면서 |
    천천히 길을 건너서 | 편지를 소리 내어 읽고 | 남아 있던 빵을 나누어서 | 세 번이나 지고도 | 물이 모자라
    걱정하면서 | 계속 기다리다가
""")
ENDINGS = _parts("""
    집으로 돌아갔습니다. | 아무 말도 하지 않았습니다. | 크게 웃었습니다. | 기차를 놓쳤습니다. | 항구까지
    걸어갔습니다. | 문을 닫고 나갔습니다. | 그 이야기를 반복했습니다. | 자리에 앉아서 쉬었습니다. | 아주
    좋은 생각이라고 했습니다. | 계획을 다 완료했다고 합니다.
""")
