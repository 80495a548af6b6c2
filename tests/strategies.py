"""Any valid record, drawn: trials of every kind with runs, voids, classes, corrections and amendments."""

from datetime import date, datetime
from functools import cache
from typing import Any

from hypothesis import strategies as st

from schemas import (
    Amendment,
    Change,
    Correction,
    Gear,
    Grains,
    Guess,
    Held,
    Limits,
    Lot,
    Photo,
    Record,
    Run,
    Scales,
    SizeCatch,
    Sizes,
    Tails,
    Trial,
)
from schemas.trial import Price

GUARDED = ["=1+1", "+x", "-5", "@sum", "'tis", "''", "=cmd|' /C calc'!A0", "1E5", "007"]
ALPHABET = st.characters(exclude_categories=("Cc", "Cs", "Zs", "Zl", "Zp"))
WORDS = st.text(ALPHABET, min_size=1, max_size=12)
TEXT = (
    st.builds(
        "".join,
        st.lists(
            st.sampled_from(
                ["=", "+", "-", "@", "'", "lost", "a", "jar", "1-2", "1E5", '"', ",", ";", "µ", "½", "💰", "\n", " "]
            ),
            min_size=1,
            max_size=5,
        ),
    )
    .map(str.strip)
    .filter(bool)
    | WORDS
    | st.sampled_from([*GUARDED, "NaN", "null"])
)
MASS = st.just(0.0) | st.floats(1e-6, 5000) | st.integers(0, 500).map(float)
SETTING = st.floats(1, 20, allow_nan=False)
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))
MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2030, 12, 31)).map(lambda moment: moment.replace(microsecond=0))
CLASSES = ("+20", "20/30", "30/50", "-50")


@cache  # what is made once is looked through by hypothesis once, not with each trial that is drawn
def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A value, or none recorded."""
    return st.none() | values


@cache
def one_of(*values: Any) -> st.SearchStrategy[Any]:
    """One of these."""
    return st.sampled_from(values)


@cache
def just(value: object) -> st.SearchStrategy[Any]:
    """No other than this value."""
    return st.just(value)


@cache
def prices() -> st.SearchStrategy[Price]:
    """What minutes and sand weigh against gold."""
    worth = maybe(st.floats(0.001, 50))
    return st.builds(Price, minute=worth, black_sand_g=worth)


@cache
def guesses() -> st.SearchStrategy[Guess]:
    """What a plan was reckoned with."""
    return st.builds(
        Guess,
        gold_mg_kg=maybe(st.floats(0.001, 1e6)),
        sizes=maybe(one_of("coarse", "fine")),
        care=maybe(one_of("careful", "hurried")),
        keeps_percent=maybe(st.floats(1, 99)),
        scatter_points=maybe(st.floats(0.1, 99)),
        scatter_percent=maybe(st.floats(0.1, 1000)),
        scatter_from=maybe(just("T0")),
        run_minutes=maybe(st.floats(0.2, 1440)),
        cleanup_minutes=maybe(just(0.0) | st.floats(0.1, 1440)),
        time_minutes=maybe(st.floats(1, 100_000)),
    )


@cache
def photos() -> st.SearchStrategy[Photo]:
    """Pictures by path and digest."""
    return st.builds(
        Photo,
        path=one_of("sheets/one.jpg", "=bed.png", "gold ü.jpg"),
        what=one_of("sheet", "bed"),
        tag=maybe(just("HTK")),
        sha256=one_of("0" * 64, "0123456789abcdef" * 4),
    )


@cache
def levels_of(fewest: int, most: int) -> st.SearchStrategy[list[str]]:
    """Names of so many set-ups, the baseline's first."""
    return st.lists(WORDS | one_of(*GUARDED), min_size=fewest, max_size=most, unique=True)


QUESTION = just("") | TEXT
LOT_NAMES = st.lists(one_of("lot", "north", "south"), min_size=1, max_size=3, unique=True)
LIMITS = maybe(st.builds(Limits, black_sand=st.floats(1, 10), minutes=st.floats(1, 10), water=maybe(st.floats(1, 10))))
PHOTOS = st.lists(photos(), max_size=2)
AMENDED = st.lists(st.builds(Amendment, when=DAYS, what=just("pairs"), was=TEXT, now=TEXT, why=TEXT), max_size=2)
LABELS = st.lists(one_of(*CLASSES), unique=True)
WEIGHED = maybe(st.tuples(st.integers(0, 10**6), st.integers(0, 10**6)))
CORRECTIONS = st.lists(
    st.builds(
        Correction,
        when=MOMENTS,
        pair=maybe(st.integers(1, 9)),
        arm=maybe(WORDS),
        field=just("gold_mg"),
        old=maybe(TEXT),
        new=maybe(TEXT),
        why=TEXT,
    ),
    max_size=2,
)


@st.composite
def trials(draw: st.DrawFn) -> Trial:
    """A valid plan of any kind."""
    kind = draw(one_of("pairs", "repeat", "graded", "audit"))
    change = None
    if kind in ("pairs", "graded"):
        levels = draw(levels_of(2, 2) if kind == "pairs" else levels_of(3, 5))
        change = Change(
            variable=draw(one_of("mat", "texture", "other")),
            baseline=levels[0],
            changed=tuple(levels[1:]),
            reversible=draw(maybe(one_of("minutes", "with work"))),
            twin=draw(maybe(WORDS)),
        )
    names = draw(LOT_NAMES)
    lots = tuple(
        Lot(
            name=name,
            kind=draw(one_of("natural", "table tailings")),
            mass_g=draw(maybe(st.floats(50, 5e6, allow_nan=False))),
            size=draw(maybe(one_of("-30", "30/100"))),
            mixing=draw(maybe(one_of("tarp", "none"))),
            splitting=draw(maybe(just("riffle splitter"))),
            pickers_over_mm=draw(maybe(st.floats(0.5, 50, allow_nan=False))),
            place_label=draw(maybe(one_of("Ossel Creek, second bend", "=bank"))),
        )
        for name in names
    )
    pairs = draw(st.integers(1, 12))
    return Trial(
        name=draw(one_of("mat", "rough-bed", "T1")),
        question=draw(QUESTION),
        measure=draw(one_of("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")),
        worth_having=draw(maybe(st.floats(1e-6, 99, allow_nan=False))),
        pairs=pairs,
        spares=draw(st.integers(0, 5)),
        seed=draw(maybe(st.integers(0, 2**40))),
        look_after=draw(maybe(st.integers(4, pairs - 1))) if pairs > 4 else None,
        knew=draw(maybe(one_of("nobody", "both"))),
        locked=draw(maybe(DAYS)),
        audit=kind == "audit",
        lots=lots,
        gear=Gear(kind=draw(one_of("sluice", "wheel")), width_mm=draw(maybe(st.floats(50, 5000, allow_nan=False)))),
        change=change,
        held=Held(
            pitch_deg=draw(maybe(SETTING)),
            water_l_min=draw(maybe(SETTING)),
            rpm=draw(maybe(SETTING)),
            wetting_drops_10l=draw(maybe(SETTING)),
            temp_c=draw(maybe(SETTING)),
        ),
        limits=draw(LIMITS),
        price=draw(prices()) if kind == "graded" else Price(),
        tails=Tails(
            caught=draw(maybe(one_of("all", "grab"))),
            by=draw(maybe(WORDS)),
            finds_percent=draw(maybe(st.floats(1, 100))),
        ),
        grains=Grains(
            stuff=draw(one_of("gold", "lead")),
            seeded=draw(maybe(st.integers(0, 5000))),
            size=draw(maybe(just("50/100"))),
        ),
        scales=Scales(gold_g=draw(maybe(one_of(0.01, 0.001))), sand_g=draw(maybe(just(0.1)))),
        sizes=Sizes(series="ASTM"),
        guess=draw(guesses()),
        set_aside=draw(maybe(TEXT)),
        photos=tuple(draw(PHOTOS)),
        amended=tuple(draw(AMENDED)),
    )


def gross_and_tare(weighed: tuple[int, int] | None) -> dict[str, Any]:
    """Gold of so many mg in a container of so many, as both were read off a scale in g."""
    if weighed is None:
        return {}
    gold, tare = weighed
    return {"gold_gross_g": (gold + tare) / 1000, "gold_tare_g": tare / 1000}


@st.composite
def runs_of(draw: st.DrawFn, trial: Trial) -> tuple[Run, ...]:
    """Valid runs of a plan, each at most once."""
    keys = [(pair, arm) for pair in range(1, trial.pairs + 1) for arm in trial.arms]
    chosen = draw(st.lists(one_of(*keys), unique=True, max_size=8))
    runs = []
    for turn, (pair, arm) in enumerate(chosen, start=1):
        seeded = draw(maybe(st.integers(0, 200)))
        weighed = draw(WEIGHED)
        void = draw(maybe(TEXT))
        labels = draw(LABELS)
        parts = tuple(
            SizeCatch(label=label, grains=draw(st.integers(0, 9)), tails_gold_mg=draw(maybe(st.floats(0.001, 9))))
            for label in CLASSES
            if label in labels
        )
        runs.append(
            Run(
                pair=pair,
                arm=arm,
                turn=draw(maybe(just(turn))),
                tag=draw(maybe(just(f"T{turn}"))),
                session=draw(maybe(TEXT)),
                minutes=draw(maybe(st.floats(0.2, 1440))),
                fed_g=draw(maybe(st.floats(1, 1e6))),
                fed_lot=draw(maybe(one_of(*(lot.name for lot in trial.lots)))),
                **gross_and_tare(weighed),
                gold_mg=draw(maybe(MASS)) if weighed is None else float(weighed[0]),
                tails_gold_mg=100.0 if parts else draw(maybe(MASS)),
                grains=100 if parts else draw(maybe(st.integers(0, 100_000))),
                seeded=seeded,
                kept=draw(maybe(st.integers(0, seeded))) if seeded is not None else None,
                black_sand_g=draw(maybe(MASS)),
                temp_c=draw(maybe(SETTING)),
                stripped=draw(maybe(st.booleans())),
                panner=draw(maybe(one_of(*"ABCDEF"))),
                void=void,
                void_gold_known=draw(maybe(st.booleans())) if void else None,
                note=draw(maybe(TEXT)),
                classes=parts,
            )
        )
    return tuple(sorted(runs, key=lambda run: run.key))


@st.composite
def records(draw: st.DrawFn) -> Record:
    """A valid record."""
    trial = draw(trials())
    return Record(trial=trial, runs=draw(runs_of(trial)), corrections=tuple(draw(CORRECTIONS)))
