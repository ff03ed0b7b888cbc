"""The front door: what is begun, gone on with and set up by choosing, where nothing was typed but the program's name.

- values.py: what is known of a weaver's warps and settings, the leaves she turns to, and what can be chosen there
- leaves.py, setting_up.py: what each leaf offers, each choice with the command lines it stands for; pure
- visit.py: a key, a choice or a text, and where it leads; worded.py: the same in words, for every kind of screen; pure
- known.py: what there is on this computer; running.py: the commands, each in a process of its own
- terminal.py, lines.py, page.py: one screen each
"""
