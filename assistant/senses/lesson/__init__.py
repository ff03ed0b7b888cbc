"""A weaver teaches the ear her words.

- teach.py: which words; teaching them from recordings
- lesson.py: a lesson at the microphone, its words and its turns; pure
- screen.py: shows it; live.py: joins it to mouth, microphone and keys
"""
