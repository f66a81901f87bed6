"""The hands-busy session: words in, findings, commands and drafts out, sound on disk before it is heard.

    capture   sound to disk, in a process of its own; follow() reads it back as it grows
    session   the state machine, without input or output: Utterance → Events
    listen    the way from sound to log: capture → listener → log → session → screen
    recover   what a session that was cut off has left
"""
