"""Yarn: how many ends of each, how long the warp, and how much it takes."""

from collections import Counter
from dataclasses import dataclass

from assistant.errors import PlanError
from assistant.warp import counts
from assistant.warp.model import Warp, Yarn

AGREE = 0.2  # a label and a measured length may differ by this part before it is worth a word
NOT_GIVEN = "yarn not given"


@dataclass(frozen=True, slots=True)
class YarnPlan:
    """One yarn of the warp; metres and grams are None where the length, or the count, is not known."""

    key: str
    name: str
    ends: int
    metres: float | None
    grams: float | None

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        rounded = {name: _rounded(getattr(self, name)) for name in ("metres", "grams")}
        return {"key": self.key, "name": self.name, "ends": self.ends, **rounded}


def metres_per_kg(yarn: Yarn) -> float | None:
    """As given, else from the count on the label. Raises PlanError for what is no yarn."""
    if yarn.metres_per_kg is None:
        return counts.metres_per_kg(yarn.count) if yarn.count else None
    if not counts.LEAST <= yarn.metres_per_kg <= counts.MOST:
        raise PlanError(f"{yarn.name}: metres_per_kg is {yarn.metres_per_kg:g}; look for a wrong number")
    return yarn.metres_per_kg


def warp_length(cloth: float, take_up: float, shrinkage: float, waste: float) -> float:
    """The length to wind for a length of finished cloth.

    `shrinkage` is the part of the woven length lost in washing, `take_up` the part of the warp lost in bending around
    the weft; `waste`, in the unit of `cloth`, is what cannot be woven.
    """
    return cloth / (1 - shrinkage) / (1 - take_up) + waste


def yarn_plans(warp: Warp, metres: float | None) -> tuple[YarnPlan, ...]:
    """Every yarn that is used, for a warp of so many metres, the most used first."""
    used = Counter(end.yarn for end in warp.every_end())
    return tuple(
        _yarn_plan(warp.yarns.get(key, Yarn(key, NOT_GIVEN)), ends, metres) for key, ends in used.most_common()
    )


def label_cautions(warp: Warp) -> tuple[str, ...]:
    """A line for each yarn whose count and metres_per_kg do not agree."""
    both = [yarn for yarn in warp.yarns.values() if yarn.count and yarn.metres_per_kg]
    labels = [(yarn, counts.metres_per_kg(yarn.count)) for yarn in both]
    return tuple(
        f"{yarn.name}: {yarn.count} comes to {label:,.0f} m/kg, the file says {yarn.metres_per_kg:,.0f}; "
        "the file's number is used"
        for yarn, label in labels
        if abs(label / (yarn.metres_per_kg or label) - 1) > AGREE
    )


def _yarn_plan(yarn: Yarn, ends: int, metres: float | None) -> YarnPlan:
    if metres is None:
        return YarnPlan(yarn.key, yarn.name, ends, None, None)
    total, per_kg = ends * metres, metres_per_kg(yarn)
    return YarnPlan(yarn.key, yarn.name, ends, total, total / per_kg * 1000 if per_kg else None)


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, 1)
