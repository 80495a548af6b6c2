"""What a year of work is reckoned with: how much gold there is, what it fetches, what an hour is worth."""

from datetime import date
from typing import Annotated

from pydantic import Field, StringConstraints

from schemas.base import Word
from schemas.frozen import FrozenTexts, Texts

Currency = Annotated[str, StringConstraints(pattern=r"^([A-Z]{3})?$")]


class WorthBase(Word):
    """One person's year, as typed: nothing of it is measured, and nothing is fetched."""

    cleanups: float | None = Field(None, gt=0, le=100_000, description="clean-ups a year")
    gold_g: float | None = Field(None, gt=0, le=100_000, description="gold that a clean-up gives now")
    charge_kg: float | None = Field(None, gt=0, le=1e7, description="dirt fed from one clean-up to the next")
    feed_kg: float | None = Field(None, gt=0, le=1e10, description="dirt fed a year")
    grade_mg_kg: float | None = Field(None, gt=0, le=1e6, description="gold in that dirt")
    tails_gold_g: float | None = Field(None, gt=0, le=1e7, description="gold lost to the tails a year")
    price: float = Field(gt=0, le=1e12, description="of a troy ounce of pure gold, in the currency")
    price_date: date = Field(description="the day of that price")
    fineness: float = Field(ge=1, le=1000, description="parts of gold in a thousand of what is sold")
    payout_percent: float = Field(gt=0, le=100, description="what the buyer pays of its gold")
    currency: Currency = Field("", description="its code of three letters, as EUR; blank: not told")
    wage_h: float = Field(ge=0, le=1e9, description="what an hour of work is worth")
    run_wage_h: float | None = Field(None, ge=0, le=1e9, description="an hour of running, where that is worth less")
    sand_kg: float | None = Field(None, ge=0, le=1e9, description="what a kg more of black sand costs")
    sand_minutes_kg: float | None = Field(None, ge=0, le=1e6, description="minutes that a kg more of black sand costs")
    typed: Texts = Field(default_factory=FrozenTexts, description="what was typed, by its key")

    @property
    def dirt_kg(self) -> float | None:
        """Dirt fed a year: as typed, or clean-ups times what is fed to each; None where neither is known."""
        if self.feed_kg is not None:
            return self.feed_kg
        return None if self.cleanups is None or self.charge_kg is None else self.cleanups * self.charge_kg

    @property
    def gold_kept_g(self) -> float | None:
        """Gold kept a year as it is now; None where clean-ups and their gold were not typed."""
        return None if self.cleanups is None or self.gold_g is None else self.cleanups * self.gold_g

    @property
    def gold_fed_g(self) -> float | None:
        """Gold in the dirt of a year; None where dirt and grade were not typed."""
        return None if self.dirt_kg is None or self.grade_mg_kg is None else self.dirt_kg * self.grade_mg_kg / 1000.0
