/** The texts of firing plans. */

export const words = {
  nextHeading: "Fired next",
  /** @param {string} plan */
  nextUsual: (plan) => `The next log begins with “${plan}”, the plan of the configuration.`,
  /** @param {string} plan */
  nextChosen: (plan) => `The next log begins with “${plan}”, as chosen here.`,
  useUsual: "Back to the configuration's plan",
  isNext: "fired next",
  own: "Your own plans",
  noneOwn: "None yet. Open a starter below and change a copy of it.",
  starters: "Starters",
  /** @param {string} folder */
  folder: (folder) => `They are files in ${folder}; those that you put there are found too.`,
  all: "All plans",
  kind: { glaze: "Glaze", bisque: "Bisque", other: "Other" },
  atmosphere: { oxidation: "Oxidation", reduction: "Reduction" },
  takes: "Takes",
  peak: "Peak",
  expected: "Cone expected",
  noCone: "no cone",
  surely: "four firings of five give the same",
  /** @param {string} coolest @param {string} hottest */
  between: (coolest, hottest) => `${coolest} to ${hottest} in four firings of five`,
  /** @param {string} hottest */
  upTo: (hottest) => `none to ${hottest} in four firings of five`,
  cautions: "Cautions",
  picture: "The plan drawn",
  explained: "The plan explained",
  choose: "Fire this one next",
  chosen: "This one is fired next. Set the kiln's own controller to it too: spyhole only watches.",
  chosenLater:
    "This one is fired next; the log that is being kept goes on with its own plan. Set the " +
    "kiln's own controller to it too: spyhole only watches.",
  edit: "Change a copy",
  /** @param {string} file */
  saved: (file) => `Saved as ${file}.`,
  /** @param {string} why */
  failed: (why) => `Not done: ${why}`,
  asking: "Working it out…",

  holdHeading: "Hold for a cone",
  holdAsk: "How long at the peak?",
  holdUse: "Use this hold",
  holdUsed: "It stands in the form now.",
  holdMistakes: "Something in the form does not fit yet; mend that first.",

  leaveEditor: "Back to the plan as it is",
  restored: "What you changed here before is still here.",
  startAgain: "Begin again from the original",
  /** @param {string} name */
  copyOf: (name) => `${name}, changed`,
  about: "What it is for",
  name: "Name",
  nameWhy: "It is saved as a new file that is named after it. The original stays as it is.",
  kindLabel: "What is fired",
  atmosphereLabel: "Atmosphere",
  target: "Target cone",
  noTarget: "none",
  steps: "Steps",
  /** @param {number} number */
  step: (number) => `Step ${number}`,
  /** @param {string} unit */
  rate: (unit) => `Rate, °${unit}/h`,
  /** @param {string} unit */
  to: (unit) => `To, °${unit}`,
  hold: "Hold, min",
  note: "Note",
  rateWhy: "Leave a rate empty for as fast as the kiln goes by itself, up or down.",
  addStep: "Add a step at the end",
  act: { up: "Up", down: "Down", add: "Add after", remove: "Remove" },
  /** @param {string} act @param {number} number */
  actOn: (act, number) => `${act}: step ${number}`,
  /** @param {number} number */
  added: (number) => `Step ${number} added.`,
  /** @param {number} number */
  removed: (number) => `Step ${number} removed.`,
  /** @param {number} from @param {number} to */
  moved: (from, to) => `Step ${from} is now step ${to}.`,
  /** @param {string} names */
  bands: (names) => `This plan changes guarded bands (${names}); the copy keeps that.`,
  preview: "What becomes of it",
  past: "What became of it before",
  /** @param {number} count */
  mistakes: (count) => (count === 1 ? "One thing does not fit" : `${count} things do not fit`),
  save: "Save as new",

  /** @type {Record<string, string>} Parts of the explanation by the server's headings. */
  sections: {
    "The plan": "The plan",
    "Heat-work": "Heat-work",
    "What the ware goes through": "What the ware goes through",
    Pace: "Pace",
    "When the plan is over": "When the plan is over",
    Safety: "Safety",
    Cautions: "Cautions",
  },
  /** What is said of a plan, as supervisor/core/phases has it. */
  lines: {
    /** @param {string} pace @param {string} temp @param {string} note */
    climb: (pace, temp, note) => `climb ${pace} to ${temp}${note}`,
    /** @param {string} pace @param {string} temp @param {string} note */
    cool: (pace, temp, note) => `cool ${pace} to ${temp}${note}`,
    /** @param {string} temp @param {string} note */
    "full-power": (temp, note) => `climb at full power to ${temp}${note}`,
    /** @param {string} temp @param {string} note */
    "cool-by-itself": (temp, note) => `cool by itself to ${temp}${note}`,
    /** @param {string} long @param {string} temp @param {string} note */
    hold: (long, temp, note) => `hold ${long} at ${temp}${note}`,
    /** @param {string} long @param {string} start @param {string} peak */
    length: (long, start, peak) => `It takes ${long} from ${start}; the peak is ${peak}.`,
    /** @param {string} pace @param {string} constant */
    estimated: (pace, constant) => `Steps without a rate are estimated: ${pace} up, and cooling with a time constant of ${constant}.`,
    "no-cone": "By calculation no cone goes down; this is calculated from the thermocouple, the witness cones decide.",
    /** @param {string} cone @param {string} at @param {string} when @param {string} next */
    "cone-down": (cone, at, when, next) => `By calculation cone ${cone} goes down at ${at}${when}${next}; this is calculated from the thermocouple, the witness cones decide.`,
    /** @param {string} between @param {string} off */
    "how-sure": (between, off) => `In four firings of five ${between}: a controller's thermocouple of standard type K, its place, the cones and the calculation itself may together be ${off} off.`,
    /** @param {string} long @param {string} temp @param {string} worth @param {string} cone @param {string} share */
    "hold-worth": (long, temp, worth, cone, share) => `The hold of ${long} at ${temp} ${worth} cone ${cone} ${share} of the heat-work that it needs.`,
    /** @param {string} pace @param {string} low @param {string} temp @param {string} cone @param {string} share @param {string} needs */
    "one-cone-low": (pace, low, temp, cone, share, needs) => `A rule of the trade says: fire one cone low and hold 25 minutes. After a climb of ${pace}, a hold as cone ${low} goes down, at ${temp}, gives cone ${cone} ${share} of its heat-work in 25 minutes${needs}.`,
    /** @param {string} long @param {string} temp @param {string} cone */
    "hold-for": (long, temp, cone) => `A hold of ${long} at ${temp}, in place of the plan's own, brings cone ${cone} down.`,
    /** @param {string} cone @param {string} temp */
    "hold-needless": (cone, temp) => `Cone ${cone} goes down without any hold at ${temp}.`,
    /** @param {string} temp @param {string} cone */
    "hold-too-long": (temp, cone) => `No hold of less than 48 h at ${temp} brings cone ${cone} down.`,
    /** @param {string} temp @param {string} cone @param {string} limit */
    "hold-over-limit": (temp, cone, limit) => `No hold at ${temp} is proposed for cone ${cone}: that is above the kiln's limit of ${limit}.`,
    /** @param {string} band @param {string} where @param {string} pace @param {string} why */
    phase: (band, where, pace, why) => `${band}, ${where}${pace}: ${why}.`,
    "kind-unsaid": "The schedule does not say what is fired (kind = \"bisque\" or \"glaze\"), so no rate is looked after.",
    /** @param {string} width @param {string} long @param {string} pace */
    "last-stretch": (width, long, pace) => `The last ${width} to the peak take ${long}, ${pace}.`,
    /** @param {string} from @param {string} to @param {string} pace @param {string} what */
    hurry: (from, to, pace, what) => `It hurries between ${from} and ${to} at ${pace}: ${what}.`,
    /** @param {string} pace @param {string} to @param {string} below */
    late: (pace, to, below) => `It asks for ${pace} down to ${to}, but below about ${below} a shut brick kiln cools slower than that: it will be late there, and that is no fault.`,
    /** @param {string} long @param {string} from @param {string} to @param {string} pace @param {string} could */
    dawdle: (long, from, to, pace, could) => `It spends ${long} between ${from} and ${to}, where nothing needs it; at ${pace} it would take ${could}.`,
    /** @param {string} long @param {string} from @param {string} to @param {string} pace @param {string} could */
    "dawdle-raw": (long, from, to, pace, could) => `It spends ${long} between ${from} and ${to}, where nothing needs it; at ${pace} it would take ${could} (very thick ware may be a reason).`,
    /** @param {string} end @param {string} quartz @param {string} warm @param {string} hours */
    ends: (end, quartz, warm, hours) => `It ends at ${end}, and the kiln cools by itself, shut: a brick kiln${quartz} is below ${warm} about ${hours} later.`,
    /** @param {string} end @param {string} quartz @param {string} warm @param {string} hours */
    "ends-hot": (end, quartz, warm, hours) => `The plan has no cooling: it ends at ${end}, and the kiln cools by itself, shut: a brick kiln${quartz} is below ${warm} about ${hours} later.`,
    opening: "Open when the ware can be held in the hand, and not before the kiln maker allows it.",
    monoxide: "Reduction makes carbon monoxide, which nobody smells: air the room, have an alarm for it there, and go by the kiln maker's instructions and the local codes.",
    /** @param {string} peak @param {string} limit */
    "over-limit": (peak, limit) => `The peak of ${peak} is above the kiln's limit of ${limit}: do not fire it in this kiln; its maker's word counts.`,
    /** @param {string} pace @param {string} band @param {string} where @param {string} fastest @param {string} why */
    "too-fast": (pace, band, where, fastest, why) => `The plan climbs ${pace} through “${band}” (${where}), where up to ${fastest} is advisable: ${why}.`,
    /** @param {string} pace @param {string} band @param {string} where @param {string} fastest @param {string} why */
    "falls-too-fast": (pace, band, where, fastest, why) => `The plan falls ${pace} through “${band}” (${where}), where up to ${fastest} is advisable: ${why}.`,
    /** @param {string} bands */
    "too-fast-raw": (bands) => `The schedule does not say what is fired: for raw clay it is too fast in ${bands}; write kind = "bisque" or kind = "glaze", and the right rates are looked after.`,
    "no-target": "The plan names no target_cone, so nobody can tell whether it suits the glaze: add the cone that the glaze is made for.",
    /** @param {string} cone @param {string} down @param {string} times @param {string} reached */
    overfired: (cone, down, times, reached) => `By calculation cone ${cone} ${down}has ${times} times the heat-work it needs: expect an overfired load, or name the cone that is meant (${reached} by calculation).`,
    /** @param {string} reaches @param {string} ways */
    underfired: (reaches, ways) => `${reaches}: ${ways}.`,
    /** @param {string} reaches @param {string} limit */
    "out-of-reach": (reaches, limit) => `${reaches}: this kiln can't bring that cone down at or below its maker's limit of ${limit} with a hold that anybody would keep, so choose a lower cone, and glazes made for it.`,
    /** @param {string} long @param {string} temp */
    "long-peak-hold": (long, temp) => `The hold of ${long} at ${temp} is very long: a glaze runs and a body slumps in it.`,
    /** @param {string} long @param {string} temp */
    "long-hold": (long, temp) => `The hold of ${long} at ${temp} is very long: look whether it is meant.`,
  },
  bits: {
    /** @param {string} start @param {string} end */
    span: (start, end) => `${start} to ${end}`,
    /** @param {string} note */
    note: (note) => ` (${note})`,
    after: ", after the plan's end, in the first of the kiln's own cooling",
    cooling: ", while it cools",
    /** @param {string} cone @param {string} share */
    next: (cone, share) => `, and cone ${cone} gets ${share} of what it needs`,
    withCooling: ", with the first of the kiln's own cooling",
    /** @param {string} cone */
    same: (cone) => `it is cone ${cone} all the same`,
    /** @param {string} coolest @param {string} hottest */
    between: (coolest, hottest) => `it is cone ${coolest} to ${hottest}`,
    none: "none",
    all: "all",
    gives: "gives",
    worthOne: "is worth 1 cone: it gives",
    /** @param {string} cones */
    worthPart: (cones) => `is worth ${cones} of a cone: it gives`,
    /** @param {string} cones */
    worthMany: (cones) => `is worth ${cones} cones: it gives`,
    /** @param {string} long */
    needs: (long) => `, and ${long} bring it down`,
    /** @param {string} temp */
    at: (temp) => `at ${temp}`,
    /** @param {string} from @param {string} to */
    fromTo: (from, to) => `${from} to ${to}`,
    /** @param {string} pace */
    pace: (pace) => ` at ${pace}`,
    onAverage: " on average",
    /** @param {string} fastest */
    advisable: (fastest) => ` (up to ${fastest} is advisable)`,
    assumed: " (assumed where a step has no rate)",
    /** @param {string} temp @param {string} hours */
    quartz: (temp, hours) => ` comes to ${temp}, where quartz turns back, about ${hours} later, and`,
    /** @param {string} name */
    quoted: (name) => `“${name}”`,
    /** @param {string} first @param {string} last */
    and: (first, last) => `${first} and ${last}`,
    /** @param {string} pace */
    rawAssumed: (pace) => ` (a step without a rate is assumed to climb ${pace})`,
    /** @param {string} long */
    down: (long) => `is down ${long} before the peak is over, and `,
    /** @param {string} times */
    moreThan: (times) => `more than ${times}`,
    /** @param {string} cooling @param {string} share @param {string} cone @param {string} reached */
    reaches: (cooling, share, cone, reached) => `By calculation the plan${cooling} reaches only ${share} of the heat-work of cone ${cone}${reached}`,
    itsCooling: ", with the first of the kiln's own cooling,",
    trace: "a trace",
    /** @param {string} cone */
    bringsDown: (cone) => ` (it brings down cone ${cone})`,
    /** @param {string} long @param {string} temp */
    holdInAll: (long, temp) => `hold ${long} in all at ${temp}`,
    /** @param {string} temp */
    fireTo: (temp) => `fire to about ${temp}`,
    /** @param {string} limit @param {string} hold */
    fireToLimit: (limit, hold) => `fire to the kiln's limit of ${limit}${hold}`,
    /** @param {string} long */
    andHold: (long) => ` and hold ${long} in all`,
    farOff: "that is far off, so look at its temperatures",
    /** @param {string} one @param {string} other */
    or: (one, other) => `${one}, or ${other}`,
  },
  hurts: {
    hard: "few studio kilns can follow, and top and bottom drift apart",
    glaze: "top and bottom drift apart, and the glaze has little time to heal",
    apart: "top and bottom drift apart",
  },
  /** @type {Record<string, string>} Why a band matters; {at} is its temperature. */
  why: {
    drying: "water between the grains turns to steam; thick or damp ware bursts if it is hurried",
    "drying, glazed": "the water of glazing leaves; damp glaze flakes off and crawls if it is hurried",
    "chemical water": "clay minerals give up the water that they are built with, and the ware is at its weakest",
    "quartz turns": "quartz grows suddenly at {at}, in the outside of the ware before the inside",
    "burning out": "carbon and sulphur leave the clay and need air, and carbonates give off their gas; what stays makes black cores, bloats and pinholes",
    "gases leave": "carbonates and sulphates in body and glaze give off gas while the glaze still lets it through; what comes after it has sealed makes pinholes and blisters",
    "body reduction": "the clay is still open to the smoky flame that colours it",
    melting: "the glaze melts, bubbles and heals, and the cones get nearly all their heat-work",
    levelling: "the glaze flows level and its last bubbles heal; the heat evens out top and bottom",
    "crystals grow": "crystals grow in the glaze, which makes satin and matt surfaces",
    "glaze sets": "the glaze stiffens to glass and from here on pulls at the body",
    "quartz turns back": "quartz shrinks suddenly at {at}; uneven cooling cracks (dunts) the ware",
    "cristobalite turns back": "cristobalite, where the body has formed any, shrinks by up to 2.4 % in volume near {at}",
    opening: "hot ware in cold air crazes and cracks, and burns the hand",
    asked: "the schedule asks for care here",
  },
  /** @param {number} n */
  hours: (n) => (n === 1 ? "1 hour" : `${n} hours`),
  /** @param {string} kind @param {string} atmosphere @param {string} target */
  summary: (kind, atmosphere, target) => `${kind} in ${atmosphere}${target}.`,
  fires: { glaze: "Glaze firing", bisque: "Bisque firing", other: "A firing" },
  airs: { oxidation: "oxidation", reduction: "reduction" },
  /** @param {string} cone */
  forCone: (cone) => `, for cone ${cone}`,

  /** @type {Record<string, string>} The notes of their steps. */
  starterNotes: {
    "dry: below boiling until no mirror mists over the spyhole": "dry: below boiling until no mirror mists over the spyhole",
    "the last of the water between the grains": "the last of the water between the grains",
    "chemical water leaves, quartz turns": "chemical water leaves, quartz turns",
    "carbon and sulphur burn out: leave air": "carbon and sulphur burn out: leave air",
    "freshly glazed ware: let it dry": "freshly glazed ware: let it dry",
    "body reduction: damper in, watch the flame at the spyhole": "body reduction: damper in, watch the flame at the spyhole",
    "clear the smoke at the end, even out top and bottom": "clear the smoke at the end, even out top and bottom",
    "let the glaze settle": "let the glaze settle",
    "level and heal the glaze": "level and heal the glaze",
    "drop to where crystals grow": "drop to where crystals grow",
    "grow them": "grow them",
    "let it cool by itself, lid shut": "let it cool by itself, lid shut",
  },
};
