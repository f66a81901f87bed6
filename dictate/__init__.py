"""Say what you see on the bird in your hands; get a checked record of it, offline.

The way of one sentence: `dictate.speech` yields Utterances, `dictate.extraction` makes a Draft of
them, `dictate.log` keeps it, `dictate.review` asks what is not sure, and what is confirmed answers
questions in `dictate.care` and `dictate.flock`. The rooms are imported one by one; this file imports
nothing, so that the command line starts quickly.
"""
