"""One sitting at the loom.

- run.py: opens the journal and the senses, runs the loop, closes them again
- loop.py: joins the senses to a session
"""
