"""A threading taken down from paper, one row of the draft at a time.

- slip.py: what stands written: rows, groups, colours, a key of blocks; rows.py: a row as it is typed or said
- moves.py: what can be done; keys and words for it: typing.py
- rules.py: what each move makes of the slip, and what is told; again.py: what stands repeated or mirrored
- telling.py: how a row is told; view.py: what a screen shows
- sequence_file.py: the sequence file of a slip
- kept.py: the moves, each on the disk before it is answered
"""
