"""The papers of a trial, made before the first run: creek sheet, panner sheet, tags and key. No verdicts."""
