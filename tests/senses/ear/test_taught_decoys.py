"""The decoys that stand for words not taught."""

import numpy as np

from assistant.senses.ear.features import BANDS, Example, decoys
from assistant.senses.ear.utterance import MARGIN


def test_decoys_are_as_many_as_asked_for_each_with_the_same_frames_in_another_order() -> None:
    chance = np.random.default_rng(2)
    examples = [Example(word, chance.random((2 * MARGIN + 31, BANDS)).astype(np.float32)) for word in "aabb"]
    made = decoys(examples, 5)
    assert len({decoy.word for decoy in made}) == 5
    assert not {decoy.word for decoy in made} & {"a", "b"}
    assert decoys(examples, 0) == []
    for decoy, example in zip(made, [*examples[:2], *examples[2:]], strict=False):
        assert sorted(map(tuple, decoy.energies)) == sorted(map(tuple, example.energies))
        assert not np.array_equal(decoy.energies, example.energies)
