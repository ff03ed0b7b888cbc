"""A loom that is not there: how a group hangs, and what hands do wrong. It knows no finder and no session.

harness     heddles on shafts, ends in eyes, between heddles, two in an eye or crossed, a bundle in the hand
slips       each kind of mistake, made in a group about to be threaded
"""
