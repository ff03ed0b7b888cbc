"""From the microphone to commands: words, or rows of numbers, said on their own.

In the order in which sound goes through them, each knowing only those before it:

- engine.py: what recognises a word or a row; the words it listens for
- utterance.py: what was said on its own, and how long that may last
- embedding.py: what speech sounds like to a general network, whose weights lie in weights/ with their licence
- features.py: sound as energies in mel bands, by which words are found
- word_finder.py: where a word begins and ends, by what stands out of the room; row.py: where one in a row does
- clip.py: a word with the sound around it; words.py: which words a trained network takes it for, and where it lies
- likeness.py: how like it is to words that were taught; judging.py: what examples of them are worth beside each other
- believed.py: was what was not understood the word that was said next, and so one more example of it?
- taught.py: how they are kept; earlier.py: as earlier versions kept them
- neural_engine.py: which word it is, or none; believing.py: has it learn in a sitting
- vosk_engine.py: the engine to be had instead; opening.py: which engine it is
- own_voice.py: is it only the mouth that was heard? echo.py: how long a room goes on sounding
- room.py: how loud room and voice are, and what is wrong with them
- listener.py: all of it, from samples to what was said; microphone.py: the device
- glance.py: the room at a glance; hear.py: `heddlecall hear`
"""

from assistant.senses.ear.listener import Heard, Listener

__all__ = ["Heard", "Listener"]
