"""Every check value for levels and audits that a function of this room answers; sources stand in the file itself.

No published answer of Dunnett's limits in randomised blocks was found: those of blocks are held against a reference
library (R multcomp), as the file says row by row.
"""

import math
import re
import time

import numpy as np
import pytest
from scipy import stats

from tests.sizes import scaled
from trials.statistics.best_level import short_of_best
from trials.statistics.block_fit import fit_blocks
from trials.statistics.blocks_needed import block_power, blocks_needed, smallest_findable_in_blocks
from trials.statistics.dunnett import dunnett_p, dunnett_value
from trials.statistics.exact_limits import proportion_limits
from trials.statistics.holm import holm
from trials.statistics.level_trend import level_trend
from trials.statistics.seeded_share import seeded_share
from trials.statistics.size_trend import size_trend
from trials.verdicts.outcome import OUTCOMES, outcome

GRITS = "81 84 86 87 87 / 78 83 85 84 88 / 84 85 88 90 89 / 80 84 84 87 86"
COTTON = "7.46 7.17 7.76 8.14 7.63 / 7.68 7.57 7.73 8.15 8 / 7.21 7.8 7.74 7.87 7.93"
PENICILLIN = "89 88 97 94 / 84 77 92 79 / 81 87 87 85 / 87 92 89 84 / 79 81 80 88"
CATALYST = "73 - 73 75 / 74 75 75 - / - 67 68 72 / 71 72 - 75"
A_RUN_MISSING = GRITS.replace("78 83 85", "78 83 -")
TOLD_ELSEWHERE = {"N15", "N16", "N17", "N22", "N23", "N24", "N36"}
"""Of whole verdicts: `tests/commands/test_published_levels.py` and `tests/verdicts/test_classes.py` hold them."""


def blocks(text: str) -> np.ndarray:
    """Rows of blocks; a dash is a missing run."""
    return np.array([[np.nan if y == "-" else float(y) for y in row.split()] for row in text.split("/")])


def of_blocks(text: str, names: str, line: float) -> dict[str, object]:
    """All that the file asks of one trial in blocks, by its words there."""
    fit = fit_blocks(blocks(text))
    levels = names.split("/")
    p, base = len(levels) - 1, levels[0]
    c, c1 = dunnett_value(p, fit.df), dunnett_value(p, fit.df, sides=1)
    trend, short = level_trend(fit), short_of_best(fit)
    pooled = float(fit.sd) * fit.factor[0, 1]
    found: dict[str, object] = {
        "residual variance s2": fit.sd**2,
        "s2": fit.sd**2,
        "residual variance": fit.sd**2,
        "df": fit.df,
        "c two-sided": c,
        "c two-sided (rho .5)": c,
        "c1 one-sided": c1,
        "pooled SE of a difference": pooled,
        "SE of each": pooled,
        "trend: slope a step": trend.slope,
        "trend: t, larger scatter": trend.t,
        "trend: t, pooled": trend.t,  # in these trials the pooled scatter is the larger
        "trend: p, larger scatter": trend.p,
    }
    for j, name in enumerate(levels):
        found[f"{name}: short of the best by at most"] = short.atmost[j]
        found[f"{name}: short of the best by at least (over 0: not the best)"] = short.atleast[j]
        if j == 0:
            continue
        mean, error = fit.differences[j, 0], fit.errors[j, 0]
        low, high = mean - c * error, mean + c * error
        plain = float(fit.sd) * fit.factor[j, 0]
        found |= {f"{name} - {base}: estimate": mean, f"{name}: estimate": mean, f"{name} - {base}": mean}
        found[f"{name}: own run SD against baseline (SD of d / sqrt 2)"] = fit.own_sd(0)[j]
        found[f"{name}: pooled Dunnett low (multcomp)"] = mean - c * plain
        found[f"{name}: pooled Dunnett high (multcomp)"] = mean + c * plain
        found[f"{name}: single-step p (multcomp)"] = dunnett_p(mean / plain, p, fit.df)
        found |= {f"{name}: low (larger scatter)": low, f"{name}: high (larger scatter)": high}
        found |= {f"{name}: low": low, f"{name}: high": high, f"{name}: SE factor sqrt(V_jj)": fit.factor[j, 0]}
        found[f"{name}: code, line {line:g}"] = OUTCOMES[int(outcome(low, high, low, high, line))]
    return found


def of_audit(kept: list[list[int]], names: str) -> dict[str, object]:
    """All that the file asks of one audit with 25 grains a run and class."""
    seeded = np.full(np.shape(kept), 25)
    seen, trend = seeded_share(kept, seeded), size_trend(kept, seeded)
    assert trend is not None
    found: dict[str, object] = {
        "run variance sigma^2 (logit scale)": seen.run_variance,
        "trend z (Mantel)": trend.plain_z,
        "trend psi": trend.scatter,
        "trend z used": trend.z,
    }
    for j, name in enumerate(names.split()):
        found |= {f"{name}: share": seen.share[j], f"{name}: design factor": seen.design[j]}
        found[f"{name}: low high %"] = (100 * seen.low[j], 100 * seen.high[j])
    return found


OF_A_TRIAL = {
    "N7": of_blocks(GRITS, "painted/320/220/120/80", 3),
    "N8": of_blocks(COTTON, "144 lb/108/72/54/36", 0.5),
    "N9": of_blocks(PENICILLIN, "A/B/C/D", 5),
    "N11": of_blocks(CATALYST, "1/2/3/4", 1),
    "N18": of_blocks(A_RUN_MISSING, "painted/320/220/120/80", 3),
    "N32": of_audit([[25, 23, 25, 16], [24, 24, 22, 15], [25, 24, 23, 20], [24, 23, 23, 17]], "+20 20/30 30/50 50/100"),
    "N33": of_audit([[24, 22, 14], [25, 17, 6], [23, 21, 16]], "30/50 50/100 -100"),
}


def asked(row: dict[str, str]) -> object:  # noqa: PLR0911 - a line for each kind of row
    """What our functions say to one row."""
    family, *parts = row["id"].split("-")
    match family:
        case "N1" | "N2" | "N3":
            return dunnett_value(int(parts[0]), int(parts[1]), sides=2 if family == "N2" else 1)
        case "N4":
            loads = tuple(math.sqrt(n / (n + 20)) for n in (3, 3, 15))
            return dunnett_value(3, 37, sides=1, loadings=loads)
        case "N5" | "N6":
            return dunnett_p(float(parts[0]), *((5, 66) if family == "N5" else (2, 12)))
        case "N12":
            return block_power(float(row["quantity"].rpartition("=")[2]), int(parts[0]), int(parts[1]))
        case "N13":
            return blocks_needed(float(parts[1]), int(parts[0]))
        case "N14":
            return smallest_findable_in_blocks(int(parts[1]), int(parts[0]))
        case "N20":
            return holm([0.004, 0.03, 0.011, 0.20, 0.048])
        case "N21":
            t = np.array([-2.1333 / 1.6038, -7.4667 / 1.6038, -1.6667 / 0.8848])
            return holm(stats.t.cdf(t, 37))
        case "N30":
            limits = proportion_limits(int(parts[0]), int(parts[1]))
            return (100 * limits.low, 100 * limits.high)
        case "N31":
            limits = proportion_limits(*(int(number) for number in row["quantity"].split(" of ")))
            return (limits.low, limits.high)
        case "N35":
            trend = size_trend([[83, 90, 129, 70]], [[86, 93, 136, 82]])
            assert trend is not None
            n = 86 + 93 + 136 + 82  # the program's own form has n - 1 where the printed one has n
            return trend.plain_z**2 * (n / (n - 1) if "N form" in row["quantity"] else 1)
        case _:
            return OF_A_TRIAL[family][row["quantity"]]


def test_every_check_value_is_ours(published_rows):
    """Every value of levels, Holm's p and audits, each to the tolerance of its row; other tests hold those left out."""
    rows = [row for row in published_rows("levels_sizes_audit.csv") if row["id"].split("-")[0] not in TOLD_ELSEWHERE]
    wrong = []
    for row in rows:
        ours = asked(row)
        if isinstance(ours, str):
            fits = ours == row["value"]
        else:
            theirs = [float(number) for number in re.split(r"\s+", row["value"].strip())]
            tolerance = float(row["tol"]) + 1e-12
            fits = np.ravel(np.asarray(ours, dtype=float)) == pytest.approx(theirs, rel=0, abs=tolerance)
        if not fits:
            wrong.append((row["id"], row["quantity"], row["value"], ours))
    assert wrong == []
    assert len(rows) > 300


def test_dunnett_is_that_of_the_reference_library():
    """Adjusted p of a one-way layout, within the library's own Monte Carlo error."""
    rng = np.random.default_rng(7)
    for p, n in ((2, 5), (4, 6)):
        groups = [rng.normal(0.4 * j, 1, n) for j in range(p + 1)]
        theirs = stats.dunnett(*groups[1:], control=groups[0], random_state=np.random.default_rng(1))
        ours = [dunnett_p(float(t), p, (p + 1) * (n - 1)) for t in theirs.statistic]
        assert ours == pytest.approx(theirs.pvalue, abs=2e-3)


def test_a_value_takes_under_10_ms():
    """The best of some, each a value not asked for before."""
    took = []
    for df in range(301, 306):
        start = time.perf_counter()
        dunnett_value(4, df)
        took.append(time.perf_counter() - start)
    assert min(took) < 0.010


def test_many_trials_are_fitted_as_one_is():
    """Row by row the same numbers; equal values scatter by nothing at all."""
    rng = np.random.default_rng(3)
    many = rng.normal(size=(scaled(40), 4, 5))
    fits = fit_blocks(many)
    for at, values in enumerate(many):
        one = fit_blocks(values)
        assert fits.errors[at] == pytest.approx(one.errors)
        assert level_trend(fits).slope[at] == pytest.approx(level_trend(one).slope)
    flat = fit_blocks(np.tile([0.1, 0.3, 0.7], (3, 1)) + np.array([[0.1], [0.2], [0.3]]))
    assert flat.larger_sd(0)[1] == 0 and math.isnan(level_trend(flat).t)


@pytest.mark.parametrize(
    "values", [[[1, 2]], [[1], [2]], [[1, np.nan], [2, 3], [3, 4]], [[1, 2, np.nan], [1, np.nan, 2]]]
)
def test_too_little_to_fit_is_refused(values):
    """One block, one level, or no run left to tell scatter by."""
    with pytest.raises(ValueError, match="runs"):
        fit_blocks(values)
