"""Recognisers' models: which there are, which are here, and how one is brought."""
