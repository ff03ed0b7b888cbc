"""The record of a warp, to keep: what was done, how long it took, where it went wrong.

- story.py: what is told of one job; telling.py: its events, replayed -> that; heard.py: the words heard, an estimate
- charts.py, render.py: to print, as one HTML file; table.py: for a spreadsheet
- write.py: into files
"""
