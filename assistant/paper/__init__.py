"""What goes on paper, or is printed as lines: cards for the bench, the record of a warp to keep, call sheet and log.

- plan.py: a plan -> lines to read
- blocks.py, cards.py: a plan -> cards to work by; fitting.py: how large their figures come out
- story.py: what is told of one job; retold.py: a record's events, replayed -> that
- hanging.py: the warp as it hangs; gathered.py: groups that are alike
- report.py, charts.py: stories, with these, to print, as one HTML file; table.py: for a spreadsheet
- sizes.py: sizes of paper, and the one that is usual
- log.py: records, and what comes next -> lines; sheet.py: the call sheet; spot.py: where an end is
- writing.py: documents from the layouts, and into files
"""

CARDS = ("heddles", "thread", "sley")  # the jobs that have a card
