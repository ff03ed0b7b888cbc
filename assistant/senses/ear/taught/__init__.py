"""Words as this weaver says them, in any language and accent: taught by a few examples, heard without a model.

- features.py: samples -> mel energies -> cepstra; warping.py: how unlike two sounds are, whatever their pace
- templates.py: the examples side by side; comparing.py: a sound beside them, made as noisy as the room; glimpses.py:
  where they stand out of that; judging.py: which examples are of no use
- finder.py: where a word stands out of the noise; pieces.py: the numbers of a row
- engine.py: what is near enough to what was taught; store.py: what was taught, kept; teach.py: from recordings
- lesson.py: a lesson at the microphone; turn.py: one word of it; curriculum.py: which words
- lesson_words.py: what is said in it; pupil.py: listens; lesson_screen.py: shows it; live.py: joins them
"""
