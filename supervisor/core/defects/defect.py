"""What a potter may find wrong on unloading. Knows names and looks, no causes in the firing.

``outside`` names causes that no thermocouple can see, with where they are described. "From
memory" means that the book was not at hand; what is cited is said there in general terms.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from supervisor.core.errors import InputError

HAMER = "Hamer and Hamer, The Potter's Dictionary of Materials and Techniques (from memory)"
RHODES = "Rhodes, Clay and Glazes for the Potter (from memory)"
FRASER = "Fraser, Ceramic Faults and Their Remedies (from memory)"
CARDEW = "Cardew, Pioneer Pottery (from memory)"
PARMELEE = "Parmelee, Ceramic Glazes (from memory)"
ORTON = "Orton, text of the chart of temperature equivalents, 2016"
PRACTICE = "common practice, no source"


class DefectKind(StrEnum):
    """The defects by the names that commands and the record use."""

    DUNTING = "dunting"
    HEATING_CRACKS = "heating-cracks"
    BLOWN_WARE = "blown-ware"
    CRAZING = "crazing"
    SHIVERING = "shivering"
    CRAWLING = "crawling"
    PINHOLES = "pinholes"
    BLISTERS = "blisters"
    BLOATING = "bloating"
    BLACK_CORE = "black-core"
    UNDERFIRED = "underfired"
    OVERFIRED = "overfired"
    RUNNING = "running"
    WARPING = "warping"
    TOO_GLOSSY = "too-glossy"
    TOO_DULL = "too-dull"
    UNEVEN_COLOUR = "uneven-colour"
    FADED_COLOUR = "faded-colour"
    WEAK_REDUCTION = "weak-reduction"
    CARBON_TRAPPED = "carbon-trapped"
    CRACKED_SHELF = "cracked-shelf"


@dataclass(frozen=True, slots=True)
class Outside:
    """A cause that lies outside what a thermocouple sees, and where it is described.

    ``key`` is its name for programs, its own among all of them.
    """

    key: str
    cause: str
    source: str


@dataclass(frozen=True, slots=True)
class Defect:
    """One defect: its name for people, what it looks like, and its causes outside the record."""

    kind: DefectKind
    title: str
    looks: str
    outside: tuple[Outside, ...]


DEFECTS: Mapping[DefectKind, Defect] = MappingProxyType(
    {
        one.kind: one
        for one in (
            Defect(
                DefectKind.DUNTING,
                "dunting",
                "the pot is cracked through; edges of glaze on the crack are sharp if it cracked "
                "in cooling, rounded if it cracked before the glaze melted",
                (
                    Outside(
                        "glaze-squeezes",
                        "a glaze that squeezes the body too hard, most of all inside",
                        FRASER,
                    ),
                    Outside(
                        "uneven-shape",
                        "thick and thin walls, sharp corners, glaze pooled inside",
                        HAMER,
                    ),
                    Outside(
                        "free-silica", "a body with much free silica, or over-fired before", HAMER
                    ),
                    Outside(
                        "cold-place",
                        "ware close to a wall, a spyhole or a cold shelf edge",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.HEATING_CRACKS,
                "cracks from heating up",
                "cracks from a rim or a foot that were there before the glaze melted",
                (
                    Outside(
                        "dry-cracks",
                        "cracks from drying or handling that only opened in the kiln",
                        HAMER,
                    ),
                    Outside(
                        "uneven-walls", "uneven walls, joints of leather-hard and wet clay", HAMER
                    ),
                    Outside(
                        "leaning-ware",
                        "ware that leans on its neighbours or bears too much weight",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.BLOWN_WARE,
                "blown ware",
                "pieces have burst, with shards about",
                (
                    Outside(
                        "damp-inside",
                        "thick walls or closed hollows that were not dry inside",
                        HAMER,
                    ),
                    Outside(
                        "plaster-or-air", "plaster, lime or air with damp clay behind it", FRASER
                    ),
                ),
            ),
            Defect(
                DefectKind.CRAZING,
                "crazing",
                "a net of fine cracks in the glaze, perhaps days later",
                (
                    Outside(
                        "glaze-shrinks-more",
                        "a glaze that shrinks more than the body: its recipe",
                        HAMER,
                    ),
                    Outside("thick-glaze-crazes", "glaze too thick", FRASER),
                    Outside(
                        "body-swells",
                        "a porous body that takes up moisture and swells, days later",
                        HAMER,
                    ),
                ),
            ),
            Defect(
                DefectKind.SHIVERING,
                "shivering (peeling)",
                "slivers of glaze flake off, mostly at rims and handles",
                (
                    Outside(
                        "glaze-shrinks-less",
                        "a glaze that shrinks less than the body: its recipe",
                        HAMER,
                    ),
                    Outside("slip-misfit", "a slip or engobe that does not fit", FRASER),
                ),
            ),
            Defect(
                DefectKind.CRAWLING,
                "crawling",
                "the glaze has drawn back into beads and left bare patches",
                (
                    Outside("dirty-bisque", "dust, grease or wax on the bisque", RHODES),
                    Outside("cracked-coat", "glaze too thick, or cracked as it dried", RHODES),
                    Outside(
                        "stiff-recipe",
                        "a glaze with much clay, zinc or magnesium that shrinks or is stiff",
                        FRASER,
                    ),
                ),
            ),
            Defect(
                DefectKind.PINHOLES,
                "pinholes",
                "small holes through the glaze down to the body",
                (
                    Outside(
                        "bisque-gassed",
                        "a bisque fired too low or too fast, so that the body gassed now",
                        FRASER,
                    ),
                    Outside("coarse-body", "a coarse or porous body, dust in its pores", RHODES),
                    Outside(
                        "second-coat",
                        "glaze too thick, or put on in a second coat over a dry one",
                        HAMER,
                    ),
                    Outside("stiff-melt", "a glaze that is stiff when it melts", RHODES),
                ),
            ),
            Defect(
                DefectKind.BLISTERS,
                "blisters",
                "bubbles or craters in the glaze",
                (
                    Outside(
                        "late-gas",
                        "glaze far too thick, or materials that give off gas late",
                        FRASER,
                    ),
                    Outside("weak-bisque", "a bisque fired too low or too fast", FRASER),
                    Outside("salts-or-sulphur", "soluble salts, or sulphur in clay or fuel", HAMER),
                ),
            ),
            Defect(
                DefectKind.BLOATING,
                "bloating",
                "swellings in the body itself, hollow inside",
                (
                    Outside(
                        "body-too-soft",
                        "a body fired above what it is made for, or with impurities",
                        HAMER,
                    ),
                    Outside(
                        "carbon-left",
                        "carbon that a fast or airless bisque left in the body",
                        RHODES,
                    ),
                ),
            ),
            Defect(
                DefectKind.BLACK_CORE,
                "black core",
                "the middle of the wall is dark in a break",
                (
                    Outside(
                        "little-air",
                        "too little air: vents shut, dense packing, closed saggars",
                        HAMER,
                    ),
                    Outside("dark-clay", "a dark clay with much carbon, or thick walls", HAMER),
                ),
            ),
            Defect(
                DefectKind.UNDERFIRED,
                "underfired",
                "dry, rough or milky glaze, a soft or thirsty body",
                (
                    Outside("thin-glaze", "glaze put on too thin", FRASER),
                    Outside(
                        "harder-cone-meant",
                        "a glaze or body made for a harder cone, or mixed wrongly",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.OVERFIRED,
                "overfired",
                "glassy, thin or boiled glaze, a brittle or slumped body",
                (
                    Outside(
                        "softer-cone-meant",
                        "a glaze or body made for a softer cone, or mixed wrongly",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.RUNNING,
                "glaze has run",
                "glaze has run down, perhaps on to the shelf",
                (
                    Outside("thick-foot", "glaze too thick near the foot", RHODES),
                    Outside(
                        "overlap",
                        "two glazes that flux each other where they lie on one another",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.WARPING,
                "warping",
                "rims out of round, slumped or leaning pieces",
                (
                    Outside(
                        "clay-remembers",
                        "uneven thickness, uneven drying, clay that remembers",
                        HAMER,
                    ),
                    Outside(
                        "shelves-not-level",
                        "shelves that are not level, ware badly propped",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.TOO_GLOSSY,
                "a matt or satin glaze came out glossy",
                "shine where it should be matt or satin",
                (
                    Outside(
                        "thin-matt",
                        "a glaze that is matt only where it is thick, put on thinly",
                        PRACTICE,
                    ),
                    Outside(
                        "little-alumina",
                        "a recipe with too little alumina, or too much silica or boron",
                        PARMELEE,
                    ),
                ),
            ),
            Defect(
                DefectKind.TOO_DULL,
                "a glossy glaze came out dull",
                "a dull, sugary or crystalline surface",
                (
                    Outside(
                        "crystal-recipe",
                        "a recipe with much lime, zinc, titania or magnesia",
                        PARMELEE,
                    ),
                    Outside(
                        "thin-or-fumes", "glaze too thin, or fumes and kiln dirt on it", PRACTICE
                    ),
                ),
            ),
            Defect(
                DefectKind.UNEVEN_COLOUR,
                "uneven colour",
                "ware from one place of the kiln differs from the rest, or is patchy",
                (
                    Outside(
                        "uneven-coat", "glaze thicker here than there, badly stirred", PRACTICE
                    ),
                    Outside(
                        "flame-and-packing",
                        "flame, draught and packing: where the air and the smoke went",
                        RHODES,
                    ),
                    Outside(
                        "neighbour-fumes", "fumes of chrome, copper or salt from a neighbour", HAMER
                    ),
                ),
            ),
            Defect(
                DefectKind.FADED_COLOUR,
                "colours faded or burnt out",
                "reds, pinks or lustres are weak or gone",
                (
                    Outside(
                        "stain-burns-out",
                        "stains that do not bear this cone or this glaze",
                        PRACTICE,
                    ),
                    Outside(
                        "little-early-air",
                        "too little ventilation early on, for reds that want air",
                        PRACTICE,
                    ),
                ),
            ),
            Defect(
                DefectKind.WEAK_REDUCTION,
                "reduction weak or uneven",
                "pale body, green copper, brown where it should be celadon or red",
                (
                    Outside(
                        "flame-unseen",
                        "the flame itself: damper, gas and air, which spyhole does not see",
                        RHODES,
                    ),
                    Outside("air-leaks", "air leaking in, dense or loose packing", PRACTICE),
                ),
            ),
            Defect(
                DefectKind.CARBON_TRAPPED,
                "carbon trapped",
                "grey or black smoky patches under or in the glaze",
                (
                    Outside("soda-seals", "soda in a glaze that seals early", PRACTICE),
                    Outside("smoky-flame", "a flame that smoked more than was meant", RHODES),
                ),
            ),
            Defect(
                DefectKind.CRACKED_SHELF,
                "cracked shelf",
                "a shelf or prop has cracked",
                (
                    Outside("damp-shelf", "damp or freshly washed shelves", PRACTICE),
                    Outside(
                        "worn-shelf",
                        "age, a knock, props not above one another, too much weight",
                        PRACTICE,
                    ),
                ),
            ),
        )
    }
)


def defect_of(text: str) -> Defect:
    """The defect that ``text`` names; spaces, capitals and underscores do not matter.

    Raises InputError with the names there are.

    >>> defect_of("Black core").kind.value
    'black-core'
    """
    plain = "-".join(text.strip().lower().replace("_", "-").split())
    for kind, defect in DEFECTS.items():
        if plain in (kind.value, "-".join(defect.title.split())):
            return defect
    raise InputError(
        f'"{text[:40]}" is no defect that spyhole knows; there are {", ".join(DefectKind)}'
    )
