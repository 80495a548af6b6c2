"""The tables of a report: what was done, the settings, the pictures."""

from collections.abc import Mapping

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.papers.names import of_a_block
from trials.papers.plan_words import gear_told, lots_told
from trials.records.own_units import told
from trials.wording.lists import capital
from trials.wording.numbers import figures

UNDONE = {"minutes": "in minutes", "with work": "with work", "no": "can't be undone"}


def what_was_done(trial: Trial) -> tuple[tuple[str, str], ...]:
    """The plan as lines of name and value."""
    change = trial.change
    measure = measure_named(trial.measure)
    line = trial.typed.get("worth_having") or ("" if trial.worth_having is None else figures(trial.worth_having, 6))
    rows = [
        (
            "Change",
            "nothing was changed"
            if change is None
            else f"{change.variable}: {change.baseline} to {', '.join(change.changed)}",
        ),
        ("Undone between runs", "" if change is None else UNDONE.get(change.reversible or "", "")),
        ("Twin", "" if change is None else change.twin or ""),
        ("Gear", gear_told(trial)),
        ("Dirt", "; ".join(lots_told(trial))),
        ("Main measure", measure.words.axis),
        ("Smallest gain worth having", line or "no line was set"),
        (f"{capital(of_a_block(trial))}s planned", f"{trial.pairs}, spares {trial.spares}"),
        (
            "Early look",
            "none planned" if trial.look_after is None else f"after {trial.look_after} pairs, at 99 %; the end at 96 %",
        ),
        ("Order", f"drawn, seed {trial.seed}" if trial.seed is not None else "seed not recorded"),
        ("Who knew the set-up", trial.knew or "not recorded"),
        ("Plan locked", "date not known" if trial.locked is None else trial.locked.isoformat()),
        ("Tails", _tails_words(trial)),
        ("Scale, one division", _scale_words(trial)),
    ]
    return tuple((name, value) for name, value in rows if value)


def _tails_words(trial: Trial) -> str:
    tails = trial.tails
    parts = [f"caught: {tails.caught}"] if tails.caught else []
    parts += [f"searched by {tails.by}"] if tails.by else []
    parts += [f"which finds {figures(tails.finds_percent)} %"] if tails.finds_percent else []
    return ", ".join(parts)


def _scale_words(trial: Trial) -> str:
    steps = ((what, told(trial, "scales", f"{what}_g")) for what in ("gold", "sand"))
    return ", ".join(f"{what} {step}" for what, step in steps if step is not None)


DIGEST_SHOWN = 12


def picture_rows(trial: Trial, off: Mapping[str, str]) -> tuple[tuple[str, str, str, str, str], ...]:
    """The pictures of a trial: what each shows, of which run, where it lies, how its digest begins, what is wrong.

    >>> from schemas import Gear, Lot, Photo
    >>> photo = Photo(path="pics/bed.jpg", what="bed", tag="HTK", sha256="ab" * 32)
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     photos=(photo,))
    >>> picture_rows(trial, {})
    (('bed', 'HTK', 'pics/bed.jpg', 'abababababab', 'as attached'),)
    """
    return tuple(
        (one.what, one.tag or "", one.path, one.sha256[:DIGEST_SHOWN], off.get(one.path, "as attached"))
        for one in trial.photos
    )
