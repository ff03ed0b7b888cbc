"""What goes on paper, or is printed as lines: cards for the bench, the record of a warp to keep, call sheet and log.

- plan.py, cards.py: a plan -> lines to read, and cards to work by
- story.py: what is told of one job; retold.py: a record's events, replayed -> that
- report.py, charts.py: stories to print, as one HTML file; table.py: for a spreadsheet
- log.py: records, and what comes next -> lines; sheet.py: the call sheet; spot.py: where an end is
- writing.py: documents from the layouts, and into files
"""

CARDS = ("heddles", "thread", "sley")  # the jobs that have a card
