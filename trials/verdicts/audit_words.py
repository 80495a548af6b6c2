"""The sentences of an audit."""

from collections.abc import Mapping, Sequence

from schemas import AuditAnswer, SizeKept, Trial, Verdict
from trials.measures.audited import Audited
from trials.verdicts.spoken import but_clause
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures, plain

NEEDED_FOR_TREND = 0.05
TRY_FIRST: Mapping[str, str] = {
    "sluice": "slower and steadier feed, then a finer mat, then less water or a flatter pitch",
    "cleanup sluice": "slower and steadier feed, then a finer mat, then less water or a flatter pitch",
    "finishing table": "slower feed in narrower size bands, then less water or a flatter pitch, then a rougher bed",
    "shaking table": "slower feed in narrower size bands, then a shorter and faster stroke, then less wash water",
    "spinning bowl": "slower feed, then a cleanup after less dirt, then less water",
    "vortex bowl": "slower feed, then a cleanup after less dirt, then less water",
    "wheel": "less feed at a time, then a flatter tilt, then less spray",
    "jig": "slower feed, then less hutch water, then a shorter stroke",
}
TRY_ANYWHERE = "slower feed, then less water, then a flatter pitch or a rougher surface"


def audit_sentence(found: AuditAnswer, weak_in: Sequence[str] = ()) -> str:
    """Write in one sentence where losses start, if they do, and what weakens that."""
    return f"{_where_losses_start(found)}{but_clause(weak_in)}."


def _where_losses_start(found: AuditAnswer) -> str:
    lost, kept = _of_line(found)
    start = next((size for size in found.sizes if size.label == found.losses_start), None)
    losing = [size for size in found.sizes if size.state == "loses"]
    if start is not None and start is found.sizes[0] and len(found.sizes) > 1:
        return f"Over {lost} is lost at every size: of {found.sizes[-1].label}, {_keeps(found.sizes[-1])}"
    if start is not None and start.label:
        return f"Losses of over {lost} start at {start.label}, where {_keeps(start)}"
    if start is not None:
        return f"Over {lost} is lost: {_keeps(start)}"
    if losing:
        which = and_list([size.label for size in losing])
        return f"Over {lost} is lost of {which}, and finer sizes are not shown to lose it"
    if all(size.state == "holds" for size in found.sizes):
        held = "Every size holds" if len(found.sizes) > 1 else "The gear holds"
        return f"{held} over {kept}: no loss of {lost} or more"
    return f"No size loses over {lost} beyond luck"


def _of_line(found: AuditAnswer) -> tuple[str, str]:
    """The line as a share lost and as a share kept."""
    line = found.loss_line
    if line == 10:
        return "1 grain in 10", "9 in 10"
    return f"{figures(line)} grains in 100", f"{figures(100 - line)} in 100"


def _keeps(size: SizeKept) -> str:
    low, high = _limits(size)
    lost = 1 - size.share
    about = "" if not 0.02 <= lost <= 0.5 else f", so about 1 in {round(1 / lost)} is not"
    return f"{size.kept} of {size.seeded} grains are kept ({low} to {high} %){about}"


def _limits(size: SizeKept) -> tuple[str, str]:
    return plain(100 * size.interval.low, 0), plain(100 * size.interval.high, 0)


def audit_more(found: AuditAnswer, trial: Trial, left_out: tuple[str, ...]) -> list[str]:
    """What else an audit says: what holds, the trend, what is missing, whose line it is, and what to try first."""
    return [
        *_holding(found),
        *_trend(found),
        *_missing(found),
        *_not_judged(found, left_out),
        *(
            ["One run: luck from run to run is not known, and the limits are of counting alone."]
            if found.runs == 1
            else []
        ),
        "Of the grains seeded, not of your gold: without the sizes of your gold this is no gold weight.",
        *(
            [f"The line of {_of_line(found)[0]} is our default; set worth_having for your own."]
            if found.loss_line_is_ours
            else []
        ),
        *_try_first(found, trial),
    ]


def _holding(found: AuditAnswer) -> list[str]:
    _, kept = _of_line(found)
    open_ = [size.label for size in found.sizes if size.state == "not settled" and size.label]
    holds = [size.label for size in found.sizes if size.state == "holds"]
    lines = []
    if found.holds_down_to and len(holds) < len(found.sizes):
        lines.append(f"It holds over {kept} down to {found.holds_down_to}.")
    if open_:
        lines.append(f"Not settled: {and_list(open_)}.")
    return lines


def _trend(found: AuditAnswer) -> list[str]:
    if found.p is None or found.trend_z is None:
        return []
    if found.p >= NEEDED_FOR_TREND:
        return ["No straight trend over the sizes is shown."]
    return ["The finer, the more is lost." if found.trend_z < 0 else "The coarser, the more is lost."]


def _missing(found: AuditAnswer) -> list[str]:
    if any(size.missing is None for size in found.sizes):
        return ["The tails were not searched in every run, so what is missing can't be told from what is lost."]
    missing, seeded = sum(size.missing or 0 for size in found.sizes), sum(size.seeded for size in found.sizes)
    if not missing:
        return []
    are = "is" if missing == 1 else "are"
    return [
        f"{missing} of {count_of(seeded, 'grain')} {are} missing, neither kept nor in the tails; counted as not kept."
    ]


def _not_judged(found: AuditAnswer, left_out: tuple[str, ...]) -> list[str]:
    few = [f"{size.label or 'all'} ({size.seeded})" for size in found.sizes if size.state == "not judged"]
    lines = [f"Too few grains to judge: {and_list(few)}; seed 20 of a size or more."] if few else []
    return [*lines, *([f"Not counted in every run, so left out: {and_list(left_out)}."] if left_out else [])]


def _try_first(found: AuditAnswer, trial: Trial) -> list[str]:
    if found.losses_start is None:
        return []
    where = f" at {found.losses_start}" if found.losses_start else ""
    first = TRY_FIRST.get(trial.gear.kind, TRY_ANYWHERE)
    return [
        f"What to try first{where} (common practice, no source): {first}. One change at a time, as a trial of pairs."
    ]


def unfinished_audit(trial: Trial, seen: Audited) -> str:
    """Say how many runs are in."""
    return f"Not finished: {seen.standing} of {count_of(trial.pairs, 'planned run')}. The answer waits for the rest."


def size_rows(verdict: Verdict, found: AuditAnswer) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of sizes, coarse to fine."""
    rows: list[tuple[str, ...]] = []
    for size in found.sizes:
        low, high = _limits(size)
        counts = (
            "" if value is None else str(value) for value in (size.seeded, size.kept, size.in_tails, size.missing)
        )
        rows.append(
            (
                size.label or verdict.grain_sizes or "all",
                *counts,
                f"{plain(100 * size.share, 0)} %",
                f"{low} to {high} %",
                size.state,
            )
        )
    return ("size", "seeded", "kept", "in tails", "missing", "share kept", "95 % limits", ""), rows
