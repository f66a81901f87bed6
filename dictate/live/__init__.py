"""The hands-busy session: words in, findings, commands, questions and drafts out, sound on disk before it is heard.

    capture       sound to disk, in a process of its own; follow() reads it back as it grows
    session       the state machine, without input or output: Utterance → Events
      hand, past    the bird in hand with what was answered about her; every step, to be taken back
      commands      phrases that steer, told from dictation
      asking        which questions matter, and what counts as an answer
      differences   what one understanding says that the one before did not
      coverage      what was not looked at
      view          how things stand, for a screen
    answering     what is said back and when; mouth makes it heard, own_voice keeps it from being dictation
    keep          from the session into the log; clocks notices when the machine slept
    listen        the way from sound to log: capture → listener → log → session → screen
    recover       what a session that was cut off has left
"""
