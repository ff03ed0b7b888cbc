"""What goes on paper: cards for the bench before threading, and the record of a warp to keep.

- cards.py: a plan -> cards to work by
- story.py: what is told of one job; telling.py: a record's events, replayed -> that
- report.py, charts.py: stories to print, as one HTML file; table.py: for a spreadsheet
- writing.py: documents from the layouts, and into files
"""

CARDS = ("heddles", "thread", "sley")  # the jobs that have a card
