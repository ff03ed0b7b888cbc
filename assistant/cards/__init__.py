"""Cards for the loom bench: a page a job, as HTML or PDF from one layout."""

JOBS = ("heddles", "thread", "sley")
