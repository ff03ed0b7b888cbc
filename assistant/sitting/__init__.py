"""One sitting at the loom.

- run.py: opens the journal and the senses, runs the loop, closes them again
- prepare.py: the record, found and locked before anything is compared, changed or done
- gear.py: how to speak, to hear and to show; the mouth, ears, switches, page and screen that come of it
- loop.py: joins the senses to a session
"""
