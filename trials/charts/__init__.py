"""One chart a file: verdicts and runs in, Altair charts out, and the files they leave as.

Altair is slow to import, so nothing here is imported by `trials` until a chart is asked for.
"""
