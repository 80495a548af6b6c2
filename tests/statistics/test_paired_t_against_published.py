"""The paired t gives the numbers that were printed for data sets anyone can look up."""

import numpy as np
import pytest
from scipy.stats import t as t_table
from scipy.stats import ttest_1samp

from trials.statistics.limits import critical_t
from trials.statistics.paired_t import paired_t, t_limits

# Invented differences; their answers are own calculations, not published, that scipy.stats gives too.
V1 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6]
V2 = [*V1, 0.9, 1.7]


def _column(rows, name, **where):
    return np.array([float(r[name]) for r in rows if all(r[k] == v for k, v in where.items())])


def test_students_sleep_data(printed):
    """Student's own ten patients give the t, p and limits that R prints for them."""
    # Student, The probable error of a mean, Biometrika 6 (1908); output of R t.test(paired = TRUE), seen in print.
    drug1 = np.array([0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0])
    drug2 = np.array([1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4])
    fit = paired_t(drug1 - drug2)
    assert (fit.t, fit.df, fit.p) == (printed("-4.0621"), 9, printed("0.002833"))
    assert (fit.low, fit.high) == (printed("-2.4598858"), printed("-0.7001142"))
    # His table in the text (value from memory) divides by n, not n - 1, and his z is mean / SD.
    sd_n = fit.sd * np.sqrt(9 / 10)
    assert (-fit.mean, sd_n, -fit.mean / sd_n) == (printed("1.58"), printed("1.17"), printed("1.35"))


def test_darwins_maize(published_rows, printed):
    """Darwin's 15 pairs of maize give the t, p and limits of Fisher's analysis, in inches."""
    # Darwin 1876; Fisher, The Design of Experiments (1935) ch. III; example output of R agridat darwin.maize, seen.
    fit = paired_t(_column(published_rows("A_darwin_zeamays.csv"), "diff"))
    assert (fit.t, fit.df, fit.p) == (printed("2.148"), 14, printed("0.0497"))
    assert (fit.low, fit.high) == (printed("0.003899165"), printed("5.229434169"))


def test_boys_shoes(printed):
    """Ten boys with one sole of each stuff give the textbook's mean, t and p."""
    # Box, Hunter & Hunter, Statistics for Experimenters (1978) p. 97-101; values from memory, data seen.
    a = np.array([13.2, 8.2, 10.9, 14.3, 10.7, 6.6, 9.5, 10.8, 8.8, 13.3])
    b = np.array([14.0, 8.8, 11.2, 14.2, 11.8, 6.4, 9.8, 11.3, 9.3, 13.6])
    fit = paired_t(b - a)
    assert (fit.mean, fit.t, fit.p) == (printed("0.41"), printed("3.35"), printed("0.0085"))


def test_battery_pairs_show_nothing(printed):
    """A data set with nothing in it, and pairs that differ by 0, gives a plain no."""
    # NBS Handbook 91 p. 3-32 (data seen); answers: library consensus.
    m1 = np.array([146, 141, 135, 142, 140, 143, 138, 137, 142, 136])
    m2 = np.array([141, 143, 139, 139, 140, 141, 138, 140, 142, 138])
    fit = paired_t(m1 - m2)
    assert (fit.mean, fit.t, fit.p) == (printed("-0.1"), printed("-0.112667"), printed("0.912767"))


def test_particle_counts_on_wafers(printed):
    """One sample against a set mean is the same arithmetic."""
    # NIST/SEMATECH e-Handbook 7.2.2, hypothesis mean 50; values from memory.
    counts = np.array([50, 48, 44, 56, 61, 52, 53, 55, 67, 51])
    fit = paired_t(counts - 50)
    assert (fit.mean + 50, fit.sd, fit.t) == (printed("53.7"), printed("6.567"), printed("1.782"))
    assert critical_t(9, 0.90) == printed("1.833")


def test_two_flow_meters(printed):
    """Mean difference and scatter of two peak-flow meters are those of the paper."""
    # Bland & Altman, Lancet i (1986) 307-310: 17 people; pairs and answers from memory. The printed limits -79.7 and
    # 75.5 use the rounded mean and SD; the exact ones are below.
    w = np.array([494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427])
    m = np.array([512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451])
    fit = paired_t(w - m)
    assert (fit.mean, fit.sd) == (printed("-2.1"), printed("38.8"))
    assert (fit.mean - 2 * fit.sd, fit.mean + 2 * fit.sd) == (printed("-79.65"), printed("75.41"))


def test_two_assays(published_rows, printed):
    """Thirty pairs of assays give the consensus mean, SD and limits of agreement."""
    # Giavarina, Biochemia Medica 25 (2015) 141-151 (data seen); answers: library consensus.
    rows = published_rows("A_giavarina2015_bland.csv")
    fit = paired_t(_column(rows, "A") - _column(rows, "B"))
    assert (fit.pairs, fit.mean, fit.sd) == (30, printed("-27.1667"), printed("34.8059"))
    assert fit.mean - 1.96 * fit.sd == printed("-95.3863")
    assert fit.mean + 1.96 * fit.sd == printed("41.053")


def test_interval_of_an_equivalence_example(published_rows, printed):
    """A 90 % interval is the one an equivalence program draws."""
    # R package equivalence, tost(); output kept in statsmodels test_tost.py, seen.
    values = _column(published_rows("B_clinic.csv"), "var1")
    fit = paired_t(values[:15] - values[15:], level=0.90)
    assert (fit.mean, fit.standard_error) == (printed("0.1646667"), printed("0.1357514"))
    assert (fit.low, fit.high) == (printed("-0.0744337"), printed("0.4037670"))


def test_ratio_of_geometric_means(printed):
    """On log ratios the interval is that of a ratio."""
    # Wellek, Testing Statistical Hypotheses of Equivalence (2003) p. 212, as in SAS/STAT TTEST (data seen); answers:
    # library consensus.
    one = [103.4, 59.92, 68.17, 94.54, 69.48, 72.17, 74.37, 84.44, 96.74, 94.26, 48.52, 95.68]
    other = [90.11, 77.71, 77.71, 97.51, 58.21, 101.3, 79.84, 96.06, 89.30, 97.22, 61.62, 85.80]
    logs = np.log(one) - np.log(other)
    fit, narrow = paired_t(logs), paired_t(logs, level=0.90)
    assert np.exp([fit.mean, fit.low, fit.high]).tolist() == [
        printed("0.941199"),
        printed("0.846728"),
        printed("1.04621"),
    ]
    assert np.exp([narrow.low, narrow.high]).tolist() == [printed("0.863374"), printed("1.02604")]


def test_limits_from_mean_and_sd_alone(printed):
    """Mean, SD and number of pairs are enough for the interval."""
    # R package TOSTER, its tests for one sample: diff .04, sd 1.2, n 100, 90 % interval; seen.
    limits = t_limits(0.04, 1.2, 100, level=0.90)
    assert (limits.low, limits.high) == (printed("-0.1592469"), printed("0.2392469"))


@pytest.mark.parametrize(
    ("sheet", "mean", "moment"),
    [
        ("A", "0.6825", "0.8117"),
        ("B", "1.3225", "1.2835"),
        ("C", "1.80", "1.96"),
        ("D", "4.68", "4.46"),
    ],
)
def test_students_yeast_cells(published_rows, printed, sheet, mean, moment):
    """Mean and scatter of 400 squares of yeast cells are Student's."""
    # Student, On the error of counting with a haemacytometer, Biometrika 5 (1907); data seen, answers from memory.
    # The second moment divides by n.
    rows = [r for r in published_rows("D_student1907_yeast.csv") if r["sample"] == sheet]
    counts = np.repeat([float(r["count"]) for r in rows], [int(r["freq"]) for r in rows])
    fit = paired_t(counts)
    assert fit.pairs == 400
    assert (fit.mean, fit.sd**2 * 399 / 400) == (printed(mean), printed(moment))


def test_ratios_taken_set_by_set(printed):
    """A ratio of readings that swing together is taken reading by reading, as metrologists do."""
    # JCGM 100:2008 (GUM) H.2, second approach: results seen in the GTC documents, the five sets from memory.
    volts = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
    amperes = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) / 1000
    phase = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])
    z = volts / amperes
    fit = paired_t(np.stack([z * np.cos(phase), z * np.sin(phase), z]))
    assert fit.mean.tolist() == [printed("127.732"), printed("219.847"), printed("254.260")]
    assert fit.standard_error.tolist() == [printed("0.071"), printed("0.295"), printed("0.236")]


def test_lamp_wire_welds(published_rows, printed):
    """Twelve blocks of an old and a new weld give the consensus t, p and limits."""
    # Sheesley, in Snee, Hare & Trout, Experiments in Industry (1985) p. 54-57 (data seen); answers: library consensus.
    rows = published_rows("J_sheesley_weld.csv")
    old, new = _column(rows, "defects_per_hour", weld="1"), _column(rows, "defects_per_hour", weld="2")
    fit = paired_t(old - new)
    assert (fit.pairs, fit.mean, fit.t) == (12, printed("7.06667"), printed("3.09992"))
    assert (fit.p, fit.low, fit.high) == (printed("0.0101056"), printed("2.04923"), printed("12.0841"))


def test_machines_by_workers(published_rows, printed):
    """Six workers on three machines: means as printed, t and p by consensus."""
    # Milliken & Johnson (1992), R nlme Machines (data seen); means from memory (52.356, +7.967, +13.917), t and p:
    # library consensus.
    rows = published_rows("J_machines.csv")
    a, b, c = (np.array([_column(rows, "score", Machine=m, Worker=w).mean() for w in "123456"]) for m in "ABC")
    assert (a.mean(), b.mean() - a.mean(), c.mean() - a.mean()) == (
        printed("52.356"),
        printed("7.967"),
        printed("13.917"),
    )
    fit = paired_t([b - a, c - b])
    assert fit.t.tolist() == [printed("3.29085"), printed("2.43207")]
    assert fit.p.tolist() == [printed("0.0216931"), printed("0.0592294")]


def test_twins_and_tracer_particles(published_rows, printed):
    """Seven pairs of twins clearing tracer particles give the consensus mean, t and p."""
    # Camner & Philipson (1973), R Stat2Data TwinsLungs (data seen); answers: library consensus.
    rows = published_rows("J_twinslungs.csv")
    fit = paired_t(_column(rows, "Percent", Environ="Urban") - _column(rows, "Percent", Environ="Rural"))
    assert (fit.pairs, fit.mean, fit.t, fit.p) == (
        7,
        printed("4.02857"),
        printed("1.04972"),
        printed("0.334278"),
    )


def test_gun_crews(published_rows, printed):
    """Nine crews with two ways of loading give the consensus mean, t and p."""
    # Hicks, Fundamental Concepts in the Design of Experiments, R nlme Gun (data seen); answers: library consensus.
    rows = published_rows("J_gun.csv")
    teams = sorted({r["Team"] for r in rows})
    one, other = (np.array([_column(rows, "rounds", Method=m, Team=t).mean() for t in teams]) for m in ("M1", "M2"))
    fit = paired_t(one - other)
    assert (fit.pairs, fit.mean, fit.t, fit.p) == (
        9,
        printed("8.51111"),
        printed("20.9275"),
        printed("2.85218e-08"),
    )


def test_weights_before_and_after(published_rows, printed):
    """Seventeen girls weighed before and after give the handbook's mean gain, t and p."""
    # Hand et al., A Handbook of Small Data Sets (1994), family therapy; data seen, answers from memory.
    rows = published_rows("J_anorexia.csv")
    fit = paired_t(_column(rows, "Postwt", Treat="FT") - _column(rows, "Prewt", Treat="FT"))
    assert (fit.pairs, fit.mean, fit.t, fit.p) == (17, printed("7.26"), printed("4.18"), printed("0.0007"))


def test_worked_differences(printed):
    """Invented differences give what scipy.stats.ttest_1samp gives, and what was reckoned apart."""
    one, two = paired_t(V1), paired_t(V2)
    assert [fit.p for fit in (one, two)] == pytest.approx([ttest_1samp(d, 0.0).pvalue for d in (V1, V2)], rel=1e-9)
    assert (one.mean, one.sd, one.t, one.p) == (
        printed("1.4667"),
        printed("1.3501"),
        printed("2.6611"),
        printed(".0448"),
    )
    assert (one.low, one.high) == (printed(".0499"), printed("2.8835"))
    narrow = paired_t(V1, level=0.90)
    assert (narrow.low, narrow.high) == (printed(".3561"), printed("2.5773"))
    assert (two.mean, two.sd, two.p) == (printed("1.4250"), printed("1.1634"), printed(".0105"))
    assert (two.low, two.high) == (printed(".4523"), printed("2.3977"))


def test_worked_gold_masses(printed):
    """Gold of equal halves, as a ratio."""
    # Invented mg per half; own calculation, not published, as scipy.stats.ttest_1samp on the logs has it.
    baseline, changed = np.array([42.0, 55, 38, 61]), np.array([51.0, 58, 49, 66])
    fit = paired_t(np.log(changed / baseline))
    assert np.exp([fit.mean, fit.low, fit.high]).tolist() == [
        printed("1.1561"),
        printed(".9936"),
        printed("1.3452"),
    ]
    assert fit.p == printed(".0555")
    assert changed.sum() / baseline.sum() == printed("1.1429")


def test_worked_grain_counts(printed):
    """Grain counts with a half added, as a ratio."""
    # Invented counts; own calculation, not published, as scipy.stats.ttest_1samp on the logs has it.
    baseline, changed = np.array([12, 0, 7, 15, 9]), np.array([15, 2, 11, 14, 13])
    fit = paired_t(np.log((changed + 0.5) / (baseline + 0.5)))
    assert np.exp([fit.mean, fit.low, fit.high]).tolist() == [
        printed("1.6609"),
        printed(".7463"),
        printed("3.6961"),
    ]
    assert fit.p == printed(".1531")


def test_worked_tracers(printed):
    """Tracers kept of a hundred, in points."""
    # Invented numbers kept of 100; own calculation, not published, as scipy.stats.ttest_1samp has it.
    fit = paired_t(np.array([93, 92, 91, 94, 95]) - np.array([88, 91, 85, 93, 90]))
    assert (fit.mean, fit.low, fit.high, fit.p) == (
        printed("3.6"),
        printed(".6097"),
        printed("6.5903"),
        printed(".0288"),
    )


@pytest.mark.parametrize(
    ("pairs", "half_width"),
    [
        (3, "2.484"),
        (4, "1.591"),
        (5, "1.242"),
        (6, "1.049"),
        (7, ".925"),
        (8, ".836"),
        (10, ".715"),
        (12, ".635"),
    ],
)
def test_half_width_table(printed, pairs, half_width):
    """The interval reaches as far as the planning table says."""
    # t(.975, k - 1) / sqrt k, as scipy.stats.t gives it; own calculation, not published.
    assert t_table.ppf(0.975, pairs - 1) / pairs**0.5 == printed(half_width)
    limits = t_limits(0.0, 1.0, pairs)
    assert (-limits.low, limits.high) == (printed(half_width), printed(half_width))


@pytest.mark.parametrize(
    ("pairs", "at_99", "at_96"),
    [
        (4, "5.841", "3.482"),
        (5, "4.604", "2.999"),
        (6, "4.032", "2.757"),
        (8, "3.499", "2.517"),
        (10, "3.250", "2.398"),
        (12, "3.106", "2.328"),
    ],
)
def test_critical_t_of_the_two_looks(printed, pairs, at_99, at_96):
    """The early look and the final one ask for the t values of the tables."""
    # The 99 % column stands in every t table (Fisher & Yates 1938, table III; from memory); both as scipy.stats.t has them.
    assert (t_table.ppf(0.995, pairs - 1), t_table.ppf(0.98, pairs - 1)) == (printed(at_99), printed(at_96))
    assert (critical_t(pairs - 1, 0.99), critical_t(pairs - 1, 0.96)) == (printed(at_99), printed(at_96))
