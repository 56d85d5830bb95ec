"""What a picture of a plan tells, in German. Knows no geometry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from supervisor.core.phases import PlannedPhase
from supervisor.core.schedule import Atmosphere, FiringKind, PlannedStep, starter, starter_names
from supervisor.core.schedule.model import BandName, Way
from supervisor.core.units import show_temp
from supervisor.core.watch.wording import show_duration, show_share
from supervisor.picture.lettering import harmless
from supervisor.picture.plan import Plan, rate_figure

PHASES: Mapping[str, str] = MappingProxyType(
    {
        BandName.DRYING: "Trocknen",
        BandName.CHEMICAL_WATER: "gebundenes Wasser",
        BandName.QUARTZ_TURNS: "Quarzsprung",
        BandName.BURNING_OUT: "Ausbrennen",
        BandName.GASES_LEAVE: "Entgasen",
        BandName.BODY_REDUCTION: "Scherbenreduktion",
        BandName.MELTING: "Schmelzen",
        BandName.LEVELLING: "Ausfließen",
        BandName.CRYSTALS_GROW: "Kristalle wachsen",
        BandName.GLAZE_SETS: "Glasur erstarrt",
        BandName.QUARTZ_TURNS_BACK: "Quarzsprung abwärts",
        BandName.CRISTOBALITE_TURNS_BACK: "Cristobalitsprung abwärts",
        BandName.OPENING: "Öffnen",
    }
)
"""The bands' names, as the page has them."""
STARTERS: Mapping[str, str] = MappingProxyType(
    {
        "bisque": "Schrühbrand, Kegel 06, dicke und dünne Ware zusammen",
        "highfire-reduction": "Hochbrand in Reduktion, Kegel 10",
        "lowfire-glaze": "Niedrigbrand-Glasur, Kegel 05",
        "midfire-glaze": "Steinzeugglasur, Kegel 6, mit Haltezeit unter der Kegeltemperatur",
        "midfire-slow-cool": "Steinzeugglasur, Kegel 6, langsam gekühlt für seidenmatte "
        "Oberflächen",
    }
)
_KINDS = {FiringKind.BISQUE: "Schrühbrand", FiringKind.GLAZE: "Glasurbrand"}
_AIRS = {Atmosphere.OXIDATION: "Oxidation", Atmosphere.REDUCTION: "Reduktion"}


@cache
def _starters() -> Mapping[str, str]:
    """The starters' names in German by those in their files."""
    return {starter(name).name: STARTERS[name] for name in starter_names()}


def _german(number: str) -> str:
    """A number as German readers write it."""
    return number.translate({ord(","): ".", ord("."): ","})


def _long(seconds: float) -> str:
    said = show_duration(seconds).replace("less than a minute", "unter 1 min")
    return said.replace("minutes", "min").replace("minute", "min")


@dataclass(frozen=True, slots=True)
class GermanPlan(Plan):
    """Everything that the picture shows, said in German."""

    @property
    def title(self) -> str:
        name = self.schedule.name
        return _starters().get(name) or harmless(name) or "Eine Brennkurve"

    @property
    def hours(self) -> str:
        return "Stunden"

    @property
    def strip(self) -> str:
        return "Was die Ware durchmacht"

    def number(self, value: float) -> str:
        return _german(f"{value:,.0f}")

    def temp(self, temp_c: float) -> str:
        return _german(self.words.temp(temp_c))

    def both(self, temp_c: float) -> str:
        return f"{self.temp(temp_c)} ({_german(show_temp(temp_c, self.other_unit))})"

    def facts(self) -> str:
        schedule = self.schedule
        cone = f", für Kegel {schedule.target_cone}" if schedule.target_cone else ""
        return (
            f"{_KINDS.get(schedule.kind, 'Brand')} in {_AIRS[schedule.atmosphere]}{cone}. "
            f"Dauert {_long(self.timeline.total_s)} ab {self.temp(self.timeline.start_c)}; "
            f"der höchste Punkt ist {self.both(schedule.peak_c)}."
        )

    def rate(self, step: PlannedStep) -> str:
        if step.rate_c_per_h is None:
            return "volle Leistung" if step.climbs else "von selbst"
        figure = _german(rate_figure(step.rate_c_per_h, self.words.unit))
        return f"{figure} °{self.words.unit.value}/h"

    def phase(self, phase: PlannedPhase, *, briefly: bool) -> str:
        band = phase.band
        name = PHASES.get(band.name) or harmless(band.name)
        if briefly:
            return name
        if band.way is Way.HOLDING:
            return f"{name}, bei {self.temp(band.to_c)}"
        return f"{name}, {self.temp(band.from_c)} bis {self.temp(band.to_c)}"

    def cone_names(self, cones: Sequence[tuple[str, float]]) -> tuple[list[str], ...]:
        return (
            [self.cone(*cone) for cone in cones],
            [f"Kegel {cone}, {_long(at_s)}" for cone, at_s in cones],
            [f"Kegel {cone}" for cone, _ in cones],
        )

    def cone(self, cone: str, at_s: float) -> str:
        target = " (Ziel)" if cone == self.schedule.target_cone else ""
        return f"Kegel {cone}{target} fällt nach {_long(at_s)}"

    def hold(self, step: PlannedStep) -> str:
        minutes = round(step.hold_s / 60.0)
        if minutes < 1:
            return "unter 1 min halten"
        hours, left = divmod(minutes, 60)
        if hours == 0:
            return f"{minutes} min halten"
        return f"{hours} h {left} min halten" if left else f"{hours} h halten"

    def peak(self, step: PlannedStep, *, is_held: bool) -> str:
        held = f", {self.hold(step)}" if is_held else ""
        return f"max. {self.temp(step.to_c)}{held}"

    def footnotes(self) -> list[str]:
        said = []
        target, down_at_s = self.schedule.target_cone, self.progress.down_at_s
        if target is not None and target not in down_at_s:
            share = show_share(self.progress.work.get(target, 0.0)).replace("%", " %")
            said.append(
                f"Nach der Berechnung bleibt Kegel {target} stehen: er bekommt {share} dessen, "
                f"was er braucht."
            )
        elif not down_at_s:
            said.append("Nach der Berechnung fällt kein Kegel.")
        said.append("Kegel sind aus dieser Brennkurve berechnet; die Kegel im Ofen entscheiden.")
        if self.cooling():
            said.append("Gestrichelt ist der Beginn des eigenen Abkühlens, eine Schätzung.")
        if any(step.rate_c_per_h is None for step in self.timeline.steps):
            said.append(
                "„Von selbst“ und „volle Leistung“ haben keine Steigrate: ihre Länge ist geschätzt."
            )
        return said

    def description(self) -> str:
        count = len(self.timeline.steps)
        said = [f"Temperatur über Stunden in {count} Schritt{'' if count == 1 else 'en'}."]
        said.append(self.facts())
        cones = [self.cone(*cone) for cone in self.cones()]
        if cones:
            said.append(f"Markiert: {'; '.join(cones)}.")
        if self.phases:
            names = "; ".join(self.phase(phase, briefly=False) for phase in self.phases)
            said.append(f"Was die Ware durchmacht: {names}.")
        return " ".join([*said, *self.footnotes()])
