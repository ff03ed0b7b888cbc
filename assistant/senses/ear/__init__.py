"""From the microphone to commands: words, or rows of numbers, said on their own, recognised by one of two engines.

- segmenter.py: a stream of samples -> words or rows said on their own
- engine.py: what recognises a word or a row; the words it listens for
- pocketsphinx_engine.py, vosk_engine.py: the two engines; models.py: which one, with which model
- gate.py: closed while the mouth speaks; own_voice.py: is it only the mouth that was heard?
- listener.py: what microphone, sound files and a cable in memory share
- microphone.py: the device; live.py: the device without a session
- room.py, faults.py: how loud room and voice are, and what is wrong; metered.py: a listener that measures the room
- hear.py: print what is heard; trial.py, glance.py: show it, and the room, in a terminal
"""

from assistant.senses.ear.listener import Heard, Listener

__all__ = ["Heard", "Listener"]
