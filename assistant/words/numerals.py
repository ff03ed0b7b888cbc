"""Numbers as one language writes them to be read. Imports nothing of words."""

from dataclasses import dataclass

from assistant.meaning import Runs


@dataclass(frozen=True, slots=True)
class Numerals:
    """The signs between thousands, where there are so many digits, and before decimals; and how a run is said."""

    thousands: str
    grouped_from: int  # digits before the decimals
    decimal: str
    run: str  # "{first} to {last}"

    def plain(self, number: float, places: int = 2) -> str:
        """The number to so many decimals, without a tail of zeros: "12.6", "1,224"."""
        text = self.fixed(number, places)
        return text.rstrip("0").removesuffix(self.decimal) if self.decimal in text else text

    def fixed(self, number: float, places: int) -> str:
        """The number with so many decimals, zeros too: "5.0"."""
        whole, _, decimals = f"{number:,.{places}f}".partition(".")
        digits = whole.lstrip("-").replace(",", "")
        whole = whole.replace(",", self.thousands if len(digits) >= self.grouped_from else "")
        return f"{whole}{self.decimal}{decimals}" if decimals else whole

    def runs(self, numbers: Runs) -> str:
        """Three or more that follow on as a run, others one by one: "3 to 5, 7, 8"; "…" where some were left out."""
        told = [each for first, last in numbers.spans for each in self._span(first, last)]
        return ", ".join([*told, "…"] if numbers.more else told)

    def _span(self, first: int, last: int) -> list[str]:
        ends = [self.plain(number, 0) for number in dict.fromkeys((first, last))]
        return ends if last - first < 2 else [self.run.format(first=ends[0], last=ends[1])]


AS_SPOKEN = Numerals("", 4, ".", "{first}–{last}")  # digits as a voice reads them, in any language
