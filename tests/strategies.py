"""Any valid record, drawn: trials of every kind with runs, voids, classes, corrections and amendments."""

from datetime import date, datetime
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
    | st.sampled_from(GUARDED)
)
MASS = st.just(0.0) | st.floats(1e-6, 5000) | st.integers(0, 500).map(float)
SETTING = st.floats(1, 20, allow_nan=False)
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))
MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2030, 12, 31)).map(lambda moment: moment.replace(microsecond=0))
CLASSES = ("+20", "20/30", "30/50", "-50")


def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A value, or none recorded."""
    return st.none() | values


def prices() -> st.SearchStrategy[Price]:
    """What minutes and sand weigh against gold."""
    worth = maybe(st.floats(0.001, 50))
    return st.builds(Price, minute=worth, black_sand_g=worth)


def guesses() -> st.SearchStrategy[Guess]:
    """What a plan was reckoned with."""
    return st.builds(
        Guess,
        gold_mg_kg=maybe(st.floats(0.001, 1e6)),
        sizes=maybe(st.sampled_from(["coarse", "fine"])),
        care=maybe(st.sampled_from(["careful", "hurried"])),
        keeps_percent=maybe(st.floats(1, 99)),
        scatter_points=maybe(st.floats(0.1, 99)),
        scatter_percent=maybe(st.floats(0.1, 1000)),
        scatter_from=maybe(st.just("T0")),
        run_minutes=maybe(st.floats(0.2, 1440)),
        cleanup_minutes=maybe(st.just(0.0) | st.floats(0.1, 1440)),
        time_minutes=maybe(st.floats(1, 100_000)),
    )


def photos() -> st.SearchStrategy[Photo]:
    """Pictures by path and digest."""
    return st.builds(
        Photo,
        path=st.sampled_from(["sheets/one.jpg", "=bed.png", "gold ü.jpg"]),
        what=st.sampled_from(["sheet", "bed"]),
        tag=maybe(st.just("HTK")),
        sha256=st.sampled_from(["0" * 64, "0123456789abcdef" * 4]),
    )


@st.composite
def trials(draw: st.DrawFn) -> Trial:
    """A valid plan of any kind."""
    kind = draw(st.sampled_from(["pairs", "repeat", "graded", "audit"]))
    change = None
    if kind in ("pairs", "graded"):
        levels = draw(
            st.lists(
                WORDS | st.sampled_from(GUARDED),
                min_size=2 if kind == "pairs" else 3,
                max_size=2 if kind == "pairs" else 5,
                unique=True,
            )
        )
        change = Change(
            variable=draw(st.sampled_from(["mat", "texture", "other"])),
            baseline=levels[0],
            changed=tuple(levels[1:]),
            reversible=draw(maybe(st.sampled_from(["minutes", "with work"]))),
            twin=draw(maybe(WORDS)),
        )
    names = draw(st.lists(st.sampled_from(["lot", "north", "south"]), min_size=1, max_size=3, unique=True))
    lots = tuple(
        Lot(
            name=name,
            kind=draw(st.sampled_from(["natural", "table tailings"])),
            mass_g=draw(maybe(st.floats(50, 5e6, allow_nan=False))),
            size=draw(maybe(st.sampled_from(["-30", "30/100"]))),
            mixing=draw(maybe(st.sampled_from(["tarp", "none"]))),
            splitting=draw(maybe(st.just("riffle splitter"))),
            pickers_over_mm=draw(maybe(st.floats(0.5, 50, allow_nan=False))),
            place_label=draw(maybe(st.sampled_from(["Ossel Creek, second bend", "=bank"]))),
        )
        for name in names
    )
    pairs = draw(st.integers(1, 12))
    return Trial(
        name=draw(st.sampled_from(["mat", "rough-bed", "T1"])),
        question=draw(st.just("") | TEXT),
        measure=draw(st.sampled_from(["recovery", "gold_mass", "tracers", "grain_counts", "tails_gold"])),
        worth_having=draw(maybe(st.floats(1e-6, 99, allow_nan=False))),
        pairs=pairs,
        spares=draw(st.integers(0, 5)),
        seed=draw(maybe(st.integers(0, 2**40))),
        look_after=draw(maybe(st.integers(4, pairs - 1))) if pairs > 4 else None,
        knew=draw(maybe(st.sampled_from(["nobody", "both"]))),
        locked=draw(maybe(DAYS)),
        audit=kind == "audit",
        lots=lots,
        gear=Gear(
            kind=draw(st.sampled_from(["sluice", "wheel"])), width_mm=draw(maybe(st.floats(50, 5000, allow_nan=False)))
        ),
        change=change,
        held=Held(
            pitch_deg=draw(maybe(SETTING)),
            water_l_min=draw(maybe(SETTING)),
            rpm=draw(maybe(SETTING)),
            wetting_drops_10l=draw(maybe(SETTING)),
            temp_c=draw(maybe(SETTING)),
        ),
        limits=draw(
            maybe(
                st.builds(Limits, black_sand=st.floats(1, 10), minutes=st.floats(1, 10), water=maybe(st.floats(1, 10)))
            )
        ),
        price=draw(prices()) if kind == "graded" else Price(),
        tails=Tails(
            caught=draw(maybe(st.sampled_from(["all", "grab"]))),
            by=draw(maybe(WORDS)),
            finds_percent=draw(maybe(st.floats(1, 100))),
        ),
        grains=Grains(
            stuff=draw(st.sampled_from(["gold", "lead"])),
            seeded=draw(maybe(st.integers(0, 5000))),
            size=draw(maybe(st.just("50/100"))),
        ),
        scales=Scales(gold_g=draw(maybe(st.sampled_from([0.01, 0.001]))), sand_g=draw(maybe(st.just(0.1)))),
        sizes=Sizes(series="ASTM"),
        guess=draw(guesses()),
        set_aside=draw(maybe(TEXT)),
        photos=tuple(draw(st.lists(photos(), max_size=2))),
        amended=tuple(
            draw(
                st.lists(
                    st.builds(Amendment, when=DAYS, what=st.just("pairs"), was=TEXT, now=TEXT, why=TEXT), max_size=2
                )
            )
        ),
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
    chosen = draw(st.lists(st.sampled_from(keys), unique=True, max_size=8))
    runs = []
    for turn, (pair, arm) in enumerate(chosen, start=1):
        seeded = draw(maybe(st.integers(0, 200)))
        weighed = draw(maybe(st.tuples(st.integers(0, 10**6), st.integers(0, 10**6))))
        void = draw(maybe(TEXT))
        labels = draw(st.lists(st.sampled_from(CLASSES), unique=True))
        parts = tuple(
            SizeCatch(label=label, grains=draw(st.integers(0, 9)), tails_gold_mg=draw(maybe(st.floats(0.001, 9))))
            for label in CLASSES
            if label in labels
        )
        runs.append(
            Run(
                pair=pair,
                arm=arm,
                turn=draw(maybe(st.just(turn))),
                tag=draw(maybe(st.just(f"T{turn}"))),
                session=draw(maybe(TEXT)),
                minutes=draw(maybe(st.floats(0.2, 1440))),
                fed_g=draw(maybe(st.floats(1, 1e6))),
                fed_lot=draw(maybe(st.sampled_from([lot.name for lot in trial.lots]))),
                **gross_and_tare(weighed),
                gold_mg=draw(maybe(MASS)) if weighed is None else float(weighed[0]),
                tails_gold_mg=100.0 if parts else draw(maybe(MASS)),
                grains=100 if parts else draw(maybe(st.integers(0, 100_000))),
                seeded=seeded,
                kept=draw(maybe(st.integers(0, seeded))) if seeded is not None else None,
                black_sand_g=draw(maybe(MASS)),
                temp_c=draw(maybe(SETTING)),
                stripped=draw(maybe(st.booleans())),
                panner=draw(maybe(st.sampled_from("ABCDEF"))),
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
    corrections = st.builds(
        Correction,
        when=MOMENTS,
        pair=maybe(st.integers(1, 9)),
        arm=maybe(WORDS),
        field=st.just("gold_mg"),
        old=maybe(TEXT),
        new=maybe(TEXT),
        why=TEXT,
    )
    return Record(trial=trial, runs=draw(runs_of(trial)), corrections=tuple(draw(st.lists(corrections, max_size=2))))
