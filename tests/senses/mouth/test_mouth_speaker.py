"""What is heard at the far end of an in-memory cable, with the real voice."""

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from waiting import wait

from assistant.errors import DeviceMissing, VoiceFailed
from assistant.meaning import Tell
from assistant.senses.mouth import Mouth, SilentMouth
from assistant.senses.mouth.clips import PAUSE_S, stand_in, tone
from assistant.senses.mouth.player import BLOCK, FADE_S, MOUTH_RATE, Samples
from assistant.senses.mouth.speaker import Cable
from assistant.session.events import Adjust, Knob, Sound, Tone
from assistant.words.speech import Part, Say

CANNOT_SAY = "Two knocks stand for “{said}”, which the voice cannot say ({why}). Choose another voice."
NOTHING_LEFT = "Two knocks stand for “{said}”, of which the voice left no sound. Is the disk full?"
SHAFTS = [Part(str(shaft), beat=True) for shaft in range(1, 9)]


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("clips")


@pytest.fixture
def mouth(clips: Path) -> Iterator[Cable]:
    mouth = Cable("en-us", volume=0, folder=clips)
    yield mouth
    mouth.close()


def call(*shafts: int) -> Say:
    return Say(tuple(SHAFTS[shaft - 1] for shaft in shafts))


def heard(mouth: Cable, *sounds: Say | Sound) -> Samples:
    mouth.utter(sounds)
    return mouth.rest()


def onsets(samples: Samples) -> list[float]:
    """When each word rises out of 40 ms of quiet to a hundredth of its own peak, in seconds."""
    loudness = np.abs(samples)
    sounding = np.flatnonzero(loudness > 0.002 * loudness.max())
    words = np.split(sounding, np.flatnonzero(np.diff(sounding) > 0.04 * MOUTH_RATE) + 1)
    return [float(word[np.argmax(loudness[word] > 0.01 * loudness[word].max())]) / MOUTH_RATE for word in words]


@pytest.mark.parametrize("shafts", [(1, 2, 3, 4), (4, 1, 3, 2), (2, 2, 1, 3), (3, 4)])
def test_the_shafts_of_a_call_come_at_an_even_beat_the_same_in_every_call(
    mouth: Cable, shafts: tuple[int, ...]
) -> None:
    mouth.prepare(SHAFTS)
    starts = onsets(heard(mouth, call(*shafts)))
    assert len(starts) == len(shafts)
    assert np.diff(starts) == pytest.approx([0.514] * (len(shafts) - 1), abs=0.002)


def test_the_beat_is_set_before_the_first_call_though_nothing_was_rendered_yet(tmp_path: Path) -> None:
    mouth = Cable("en-us", folder=tmp_path)
    mouth.prepare([Part("the longest of all the parts on the beat", beat=True), *SHAFTS])
    first, second = heard(mouth, call(1, 2)), heard(mouth, call(1, 2))
    mouth.close()
    assert len(first) == len(second)
    assert np.diff(onsets(first))[0] > 1.5


def test_every_part_is_equally_loud(mouth: Cable) -> None:
    loudness = [np.sqrt(np.mean(heard(mouth, Say((part,))) ** 2)) for part in (*SHAFTS, Part("group rose is even"))]
    assert 20 * np.log10(max(loudness) / min(loudness)) < 2


def test_a_new_utterance_replaces_the_old_within_a_block(mouth: Cable) -> None:
    long, short = call(1, 2, 3, 4), Sound(Tone.HEARD)
    mouth.utter([long])
    for _ in range(8):
        mouth.pull(BLOCK)
    mouth.utter([short])
    fade = round(FADE_S * MOUTH_RATE)
    rest = mouth.rest()
    assert np.array_equal(rest[fade:][: len(tone(Tone.HEARD))], tone(Tone.HEARD))
    assert not rest[fade + len(tone(Tone.HEARD)) :].any()


def test_an_empty_utterance_falls_silent(mouth: Cable) -> None:
    mouth.utter([call(1, 2, 3, 4)])
    mouth.pull(4096)
    mouth.utter([])
    assert not mouth.pull(4096)[round(FADE_S * MOUTH_RATE) :].any()
    assert not mouth.speaking()


def test_a_replaced_utterance_that_was_still_being_rendered_is_never_heard(mouth: Cable) -> None:
    mouth.utter([Say((Part("this has not been said before"),))])
    assert np.array_equal(heard(mouth, Sound(Tone.OFF))[: len(tone(Tone.OFF))], tone(Tone.OFF))


def test_a_tone_and_words_come_in_order_with_a_pause(mouth: Cable) -> None:
    words = heard(mouth, Say((Part("off by two"),)))
    both = heard(mouth, Sound(Tone.OFF), Say((Part("off by two"),)))
    start = len(tone(Tone.OFF)) + round(PAUSE_S * MOUTH_RATE)
    assert np.array_equal(both[: len(tone(Tone.OFF))], tone(Tone.OFF))
    assert not both[len(tone(Tone.OFF)) : start].any()
    assert np.allclose(both[start:][:MOUTH_RATE], words[: len(both) - start][:MOUTH_RATE], atol=1e-6)


def test_it_speaks_until_the_last_sample(mouth: Cable) -> None:
    assert not mouth.speaking()
    mouth.utter([Sound(Tone.EVEN)])
    blocks = 0
    while mouth.speaking():
        mouth.pull(BLOCK)
        blocks += 1
    assert blocks == -(-len(tone(Tone.EVEN)) // BLOCK)


def test_a_phrase_kept_by_an_earlier_sitting_sounds_the_same(mouth: Cable, clips: Path) -> None:
    first = heard(mouth, call(1, 2, 3, 4))
    later = Cable("en-us", volume=0, folder=clips)
    second = heard(later, call(1, 2, 3, 4))
    later.close()
    assert np.abs(first - second).max() < 1 / 16_000  # 16 bits on disk


def test_a_damaged_clip_is_rendered_anew(tmp_path: Path) -> None:
    for _ in range(2):
        mouth = Cable("en-us", volume=0, folder=tmp_path)
        sound = heard(mouth, Say((Part("seven"),)))
        mouth.close()
        assert np.abs(sound).max() > 0.1
        (clip,) = tmp_path.iterdir()
        damaged = bytearray(clip.read_bytes())
        damaged[len(damaged) // 2] ^= 1
        clip.write_bytes(damaged)


def test_louder_and_softer_go_by_3_db_between_minus_30_and_0(mouth: Cable) -> None:
    loudest = np.abs(heard(mouth, Sound(Tone.EVEN))).max()
    mouth.adjust(Adjust(Knob.VOLUME, 1))
    assert mouth.volume == 0
    mouth.adjust(Adjust(Knob.VOLUME, -2))
    mouth.pull(BLOCK)
    softer = np.abs(heard(mouth, Sound(Tone.EVEN))).max()
    assert 20 * np.log10(softer / loudest) == pytest.approx(-6, abs=0.01)
    mouth.adjust(Adjust(Knob.VOLUME, -100))
    assert mouth.volume == -30


def test_no_louder_than_the_cap_however_often_asked(clips: Path) -> None:
    mouth = Cable("en-us", volume=0, loudest=-18, folder=clips)
    assert mouth.volume == -18
    capped = np.abs(heard(mouth, Sound(Tone.EVEN))).max()
    for _ in range(9):
        mouth.adjust(Adjust(Knob.VOLUME, 1))
    mouth.pull(BLOCK)
    assert np.abs(heard(mouth, Sound(Tone.EVEN))).max() == capped
    assert mouth.volume == -18
    mouth.adjust(Adjust(Knob.VOLUME, -1))
    assert mouth.volume == -21
    mouth.close()


def test_faster_and_slower_go_by_15_words_a_minute_between_100_and_320(mouth: Cable) -> None:
    mouth.prepare(SHAFTS)
    usual = heard(mouth, call(1, 2, 3, 4))
    mouth.adjust(Adjust(Knob.SPEED, 2))
    assert mouth.speed == 205
    faster = heard(mouth, call(1, 2, 3, 4))
    assert len(faster) < 0.95 * len(usual)
    assert np.ptp(np.diff(onsets(faster))) < 0.002
    mouth.adjust(Adjust(Knob.SPEED, 100))
    assert mouth.speed == 320
    mouth.adjust(Adjust(Knob.SPEED, -100))
    assert mouth.speed == 100


def test_prepared_phrases_are_kept_for_the_next_sitting(tmp_path: Path) -> None:
    mouth = Cable("en-us", folder=tmp_path)
    mouth.prepare([Part(f"phrase {n}") for n in range(5)])
    heard(mouth, call(1))
    while len(list(tmp_path.glob("*.flac"))) < 6:
        time.sleep(0.01)
    mouth.close()


def test_a_part_without_words_is_silence(mouth: Cable) -> None:
    assert not heard(mouth, Say((Part(""), Part(" "), Part("( )")))).any()
    assert mouth.trouble is None


class Failing:
    """Renders for real, but fails so many times for each of these texts."""

    def __init__(self, mouth: Cable, monkeypatch: pytest.MonkeyPatch, fails: dict[str, float]):
        self.asked: list[str] = []
        self.fails, self._render = fails, mouth._box.render
        monkeypatch.setattr(mouth._box, "render", self.render)

    def render(self, text: str, voice: str, speed: int) -> Samples:
        self.asked.append(text)
        if self.fails.get(text, 0) > 0:
            self.fails[text] -= 1
            raise VoiceFailed("cannot say {text}", Tell(CANNOT_SAY, said=text, why="no reason"), text=text)
        return self._render(text, voice, speed)


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Cable]:
    """A mouth that has rendered nothing yet."""
    mouth = Cable("en-us", volume=0, folder=tmp_path)
    yield mouth
    mouth.close()


def sounding(samples: Samples) -> Samples:
    """Without the quiet at both ends."""
    heard = np.flatnonzero(np.abs(samples) > 1e-4)
    return samples[heard[0] : heard[-1] + 1] if len(heard) else samples[:0]


def test_a_word_that_fails_once_is_said_all_the_same(bare: Cable, monkeypatch: pytest.MonkeyPatch) -> None:
    failing = Failing(bare, monkeypatch, {"seven": 1})
    first = heard(bare, Say((Part("seven"),)))
    assert np.abs(first).max() > 0.1
    assert len(sounding(first)) != len(sounding(stand_in()))
    assert failing.asked == ["seven", "seven"]
    assert bare.trouble is None


def test_a_word_that_failed_is_tried_again_when_it_is_wanted_again(
    bare: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing = Failing(bare, monkeypatch, {"seven": 2})
    first = heard(bare, Say((Part("seven"),)))
    assert np.allclose(sounding(first), sounding(stand_in()), atol=1e-6), "a failure is heard, by another sound"
    assert bare.trouble == Tell(CANNOT_SAY, said="seven", why="no reason")
    second = heard(bare, Say((Part("seven"),)))
    assert len(sounding(second)) != len(sounding(stand_in()))
    assert np.abs(second).max() > 0.1
    assert bare.trouble is None, "it was said"
    heard(bare, Say((Part("seven"),)))
    assert failing.asked == ["seven"] * 3


def test_a_shaft_that_cannot_be_said_is_stood_in_for_at_its_place_in_the_beat(
    bare: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = onsets(heard(bare, call(1, 2, 3, 4)))
    bare.adjust(Adjust(Knob.SPEED, 1))
    Failing(bare, monkeypatch, {"three": np.inf})
    bare.prepare(SHAFTS)
    said = heard(bare, call(1, 2, 3, 4))
    starts = onsets(said)  # the stand-in is two knocks
    assert len(starts) == len(whole) + 1
    alike = np.correlate(said, stand_in(), "valid")
    assert alike.max() == pytest.approx(np.sum(stand_in() ** 2), rel=0.01)
    assert np.argmax(alike) / MOUTH_RATE == pytest.approx(starts[2], abs=0.01)
    assert np.diff(starts[:3]) == pytest.approx([starts[1] - starts[0]] * 2, abs=0.01)
    assert starts[4] - starts[2] == pytest.approx(starts[1] - starts[0], abs=0.01)


def test_an_engine_that_is_gone_for_good_is_not_asked_without_end(bare: Cable, monkeypatch: pytest.MonkeyPatch) -> None:
    failing = Failing(bare, monkeypatch, {"one": np.inf, "two": np.inf})
    bare.prepare(SHAFTS[:2])
    assert wait(lambda: len(failing.asked) == 4)
    time.sleep(0.3)
    assert failing.asked == ["one", "one", "two", "two"]


def test_a_word_of_which_no_sound_was_left_has_failed(bare: Cable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bare._box, "render", lambda *_: np.zeros(MOUTH_RATE, dtype=np.float32))
    assert np.abs(heard(bare, Say((Part("seven"),)))).max() > 0.1
    assert bare.trouble == Tell(NOTHING_LEFT, said="seven")


def test_when_the_engine_fails_the_tone_is_still_heard_and_the_trouble_named(
    bare: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bare._box._system, "_command", ["false"])
    bare._box._system._end()
    sound = heard(bare, Sound(Tone.OFF), Say((Part("two short"),)))
    assert np.array_equal(sound[: len(tone(Tone.OFF))], tone(Tone.OFF))
    assert np.allclose(sounding(sound[len(tone(Tone.OFF)) :]), sounding(stand_in()), atol=1e-6)
    assert bare.trouble == Tell("Two knocks stand for “{said}”: the voice engine does not answer.", said="two short")


def test_an_unknown_voice_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(DeviceMissing, match="no voice 'nobody'"):
        Cable("nobody", folder=tmp_path)


def test_a_silent_mouth_is_a_mouth_that_never_speaks() -> None:
    mouth: Mouth = SilentMouth()
    mouth.prepare(SHAFTS)
    mouth.utter([Sound(Tone.OFF), call(1, 2)])
    mouth.adjust(Adjust(Knob.VOLUME, 1))
    assert not mouth.speaking()
    mouth.close()
