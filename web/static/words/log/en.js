/** The texts of past firings: listed, opened, compared, followed. */

export const words = {
  looking: "Looking…",
  /** @param {string} why */
  failed: (why) => `That could not be shown: ${why}`,
  all: "All firings",
  undated: "no date",
  goesOn: "still going on",
  /** @param {string} id */
  id: (id) => `Firing ${id}`,
  halves: { label: "Past firings", firings: "Firings", trends: "Trends" },
  mode: { live: "real kiln", simulation: "simulated", replay: "a log taken in" },
  counts: {
    /** @param {number} n */
    notes: (n) => (n === 1 ? "1 note" : `${n} notes`),
    /** @param {number} n */
    looks: (n) => (n === 1 ? "1 look at a cone" : `${n} looks at cones`),
    /** @param {number} n */
    findings: (n) => (n === 1 ? "1 finding" : `${n} findings`),
    /** @param {number} n */
    photos: (n) => (n === 1 ? "1 photo" : `${n} photos`),
  },
  alerts: {
    /** @param {number} n */
    warning: (n) => (n === 1 ? "1 warning" : `${n} warnings`),
    /** @param {number} n */
    critical: (n) => (n === 1 ? "1 critical warning" : `${n} critical warnings`),
  },

  list: {
    heading: "Firings of the record",
    none: "No firing is in the record yet.",
    noneFound: "No firing matches. Fewer words find more.",
    /** @param {number} n */
    firings: (n) => (n === 1 ? "1 firing" : `${n} firings`),
    /** @param {string} shown @param {string} all */
    some: (shown, all) => `The latest ${shown} of ${all} firings`,
    more: "Earlier firings",
    /** @param {string} which */
    tick: (which) => `Compare ${which}`,
  },
  search: {
    words: "Search names, plans, notes, glazes, findings",
    closer: "Kiln, cone, dates, kind",
    any: "any",
    kiln: "Kiln",
    cone: "Cone that is down",
    mode: "Kind",
    since: "Begun on or after",
    until: "and until",
  },

  figures: {
    heading: "In short",
    none: "There is not enough in its log to say what it was.",
    peak: "Hottest",
    held: "Stood at the peak",
    /** @param {string} level */
    heldAt: (level) => `at ${level}`,
    cone: "Cone by calculation",
    /** @param {string} cone */
    target: (cone) => `target: ${cone}`,
    calculated: "no target",
    took: "The plan took",
    asPlanned: "as planned",
    /** @param {string} long */
    longer: (long) => `${long} longer than planned`,
    /** @param {string} long */
    shorter: (long) => `${long} less than planned`,
    unfinished: "not to its end",
    /** @param {string} long */
    planned: (long) => `planned: ${long}`,
    /** @param {string} degrees */
    last: (degrees) => `Last ${degrees} of the climb`,
    even: "Apart at the peak",
    /** @param {string} hottest @param {string} coolest */
    hottest: (hottest, coolest) => `hottest ${hottest}, coolest ${coolest}`,
    cooling: "First cooling",
    opened: "Opened at",
    closed: "Last reading",
    energy: "Energy, as noted",
    blind: "Not seen for",
    decide: "Cones are calculated from a thermocouple; the witness cones decide.",
  },
  chart: {
    heading: "The firing",
    /** @param {string} name */
    label: (name) => `Temperatures of every channel over the plan, by time: ${name}`,
    legend: "Shaded: what the ware went through. Marks at the foot: what happened; a ring is news, a triangle a warning, a filled square critical.",
  },
  steps: {
    heading: "Steps, planned and fired",
    /** @param {string} number @param {string} to */
    up: (number, to) => `Step ${number}, up to ${to}`,
    /** @param {string} number @param {string} to */
    down: (number, to) => `Step ${number}, down to ${to}`,
    /** @param {string} what */
    planned: (what) => `Planned: ${what}`,
    /** @param {string} what */
    fired: (what) => `Fired: ${what}`,
    asItGoes: "as the kiln goes",
    /** @param {string} long */
    hold: (long) => `hold ${long}`,
    /** @param {string} long */
    held: (long) => `held ${long}`,
    /** @param {string} temp */
    cameTo: (temp) => `came to ${temp}`,
    notReached: "not reached",
    brokenOff: "broken off",
    /** @param {string} long */
    late: (long) => `${long} late at its end`,
    /** @param {string} long */
    early: (long) => `${long} early at its end`,
  },
  cones: {
    heading: "Cones",
    calculated: "By calculation",
    seen: "As they were seen",
    none: "no cone down",
    /** @param {string} cone */
    shortOf: (cone) => `short of ${cone}`,
    /** @param {string} share @param {string} cone */
    toward: (share, cone) => `and ${share} of the way to ${cone}`,
    /** @param {string} coolest @param {string} hottest */
    between: (coolest, hottest) => `${coolest} to ${hottest} in four firings of five`,
    /** @param {string} by */
    corrected: (by) => `corrected by ${by} from your witness cones`,
    noneSeen: "Nobody has entered what the real cones showed.",
    /** @param {string} tip */
    byCalculation: (tip) => `by calculation then: ${tip}`,
    countsNot: "That can't be, so it is not gone by.",
  },
  ware: {
    heading: "What the ware went through",
    /** @param {string} rate */
    mean: (rate) => `${rate} on average`,
    /** @param {string} rate @param {string} allowed */
    tooFast: (rate, allowed) => `Faster than advisable: ${rate} at the fastest, where ${allowed} is the most.`,
    /** @param {string} allowed */
    within: (allowed) => `within the advisable ${allowed}`,
    above: "How long it was hotter than …",
    /** @param {string} temp */
    hotterThan: (temp) => `hotter than ${temp}`,
  },
  happened: {
    heading: "What spyhole warned of",
    none: "Nothing was warned of.",
    untold: "Nobody was told: the log was taken in afterwards. The watch would have warned of this:",
    everything: "All that was said",
    /** @param {number} n */
    events: (n) => (n === 1 ? "1 event" : `${n} events`),
    /** @param {string} what */
    over: (what) => `Over: ${what}`,
    /** @param {number} n */
    reminded: (n) => (n === 1 ? "Told once more." : `Told again ${n} times.`),
    /** @param {string} at */
    escalated: (at) => `Told to others too at ${at}.`,
    unseen: "Nobody acknowledged it.",
    /** @param {string} at */
    seen: (at) => `Acknowledged at ${at}.`,
    /** @param {string} at @param {string} by */
    seenBy: (at, by) => `Acknowledged at ${at} by ${by}.`,
    /** @param {string} at */
    cleared: (at) => `Over at ${at}.`,
    notCleared: "It stood to the end.",
  },
  written: {
    notes: "Notes",
    addNote: "Add a note",
    note: "What is to be kept of this firing?",
    noteAt: "When, in hours after its beginning (left out: its end)",
    addLook: "Add what a real cone showed",
    whichCone: "Which cone?",
    lookAt: "When it was seen so, in hours after the beginning (left out: as it came out of the kiln)",
    noMoment: "Write the time as hours and minutes, such as 7:30, or leave it out.",
  },
  unloaded: {
    heading: "Load and result",
    /** @type {Record<string, string>} */
    topics: { load: "What was in the load", glazes: "Glazes", result: "How it came out", traced: "What the defects were traced to" },
    found: "Found at unloading",
    photo: "Photo of this firing",
    nothing: "Nobody has written down what was in it and how it came out.",
    go: "What came out of the kiln",
  },
  take: {
    heading: "Go on with it",
    again: "Play it once more",
    plan: "Hold it against its plan",
    unload: "Trace defects",
    report: "Report",
    binder: "Everything, to read and print",
    wall: "One sheet for the wall",
    binderPdf: "Everything as a PDF",
    wallPdf: "For the wall as a PDF",
    data: "For other programs",
    /** @param {string} unit */
    csv: (unit) => `Log in ${unit} (CSV)`,
    json: "Everything (JSON)",
  },

  compare: {
    heading: "Compared",
    go: "Compare",
    clear: "None of them",
    oneMore: "Tick one more to compare.",
    /** @param {string} n */
    chosen: (n) => `${n} chosen; the first is the one that the others are held against.`,
    /** @param {string} most */
    full: (most) => `At most ${most} can be compared at once.`,
    align: "Laid over each other",
    by: { time: "By time", temperature: "By temperature", peak: "From the peak" },
    withPlan: "Hold them against the plan of the first",
    thePlan: "the plan",
    lines: "The lines",
    /** @param {string} plan */
    planOf: (plan) => `plan “${plan}”`,
    upper: { time: "Temperature, by hours since they began to climb", temperature: "Rate of climb, by temperature", peak: "Temperature, by hours before and after the peak" },
    /** @param {string} reference */
    hotter: (reference) => `How much hotter than ${reference}`,
    /** @param {string} reference */
    later: (reference) => `How much later than ${reference} each temperature was come to`,
    /** @param {string} other @param {string} reference */
    against: (other, reference) => `${other} against ${reference}`,
    /** @param {string} at @param {string} values */
    at: (at, values) => `${at}: ${values}`,
    /** @param {string} hours */
    hours: (hours) => `${hours} h`,
    whole: "All of it",
    closer: "Pinch or drag across to look closer.",
  },
  /** As supervisor/core/compare/words.py has it. */
  soFar: {
    /** @param {string} who */
    cold: (who) => `${who} still goes on, and has not begun to climb.`,
    /** @param {string} who @param {string} after @param {string} temp @param {string} beside */
    here: (who, after, temp, beside) => `${who} still goes on: after ${after} it is at ${temp}${beside}`,
    /** @param {string} other */
    longer: (other) => `; so long ${other} did not last.`,
    /** @param {string} other */
    same: (other) => `, as ${other} was at the same hour.`,
    /** @param {string} by @param {string} other @param {string} otherTemp */
    hotter: (by, other, otherTemp) => `, ${by} hotter than ${other} was at the same hour (${otherTemp}).`,
    /** @param {string} by @param {string} other @param {string} otherTemp */
    cooler: (by, other, otherTemp) => `, ${by} cooler than ${other} was at the same hour (${otherTemp}).`,
    /** @param {string} who @param {string} temp @param {string} long @param {string} other */
    later: (who, temp, long, other) => `${who} first came to ${temp} ${long} later than ${other}.`,
    /** @param {string} who @param {string} temp @param {string} long @param {string} other */
    earlier: (who, temp, long, other) => `${who} first came to ${temp} ${long} earlier than ${other}.`,
    /** @param {string} who @param {string} temp @param {string} other */
    together: (who, temp, other) => `${who} first came to ${temp} when ${other} did.`,
    /** @param {string} who */
    peaked: (who) => `The peak of ${who} is behind it; its cooling is told as far as it has gone.`,
    /** @param {string} who */
    notPeaked: (who) => `${who} is not past its peak yet, so nothing is said of peak, hold and cooling.`,
    noPeak: "So there is no peak yet from which they could be laid over each other.",
  },
  parted: {
    /** @param {string} one @param {string} two */
    noCommon: (one, two) => `${one} and ${two} have no temperatures in common.`,
    /** @param {string} within @param {string} until */
    not: (within, until) => `They did not part: no difference that lasts is beyond ${within}${until}.`,
    /** @param {string} long */
    both: (long) => `, for the ${long} that both have`,
    /** @param {string} temp @param {string} who @param {string} until @param {string} long @param {string} worst */
    behind: (temp, who, until, long, worst) =>
      `They parted at ${temp} on the way up: from there ${who} fell behind${until}, and was ${long} later at ${worst}.`,
    /** @param {string} temp @param {string} who @param {string} until @param {string} long @param {string} worst */
    ahead: (temp, who, until, long, worst) =>
      `They parted at ${temp} on the way up: from there ${who} got ahead${until}, and was ${long} earlier at ${worst}.`,
    /** @param {string} at within a sentence */
    until: (at) => `, until ${at}`,
    /** @param {string} at at its end */
    untilEnd: (at) => `, until ${at}`,
    /** @param {string} hours */
    hours: (hours) => `${hours} h`,
    /** @param {string} after @param {string} where @param {string} who @param {string} by @param {string} until */
    hotter: (after, where, who, by, until) =>
      `They parted after ${after}, at ${where}: from there ${who} was hotter, by up to ${by}${until}.`,
    /** @param {string} after @param {string} where @param {string} who @param {string} by @param {string} until */
    cooler: (after, where, who, by, until) =>
      `They parted after ${after}, at ${where}: from there ${who} was cooler, by up to ${by}${until}.`,
    /** @param {string} before @param {string} where @param {string} who @param {string} by */
    beforePeakHotter: (before, where, who, by) =>
      `Before the peak they agree from ${before} before it on, at ${where}; earlier ${who} was up to ${by} hotter.`,
    /** @param {string} before @param {string} where @param {string} who @param {string} by */
    beforePeakCooler: (before, where, who, by) =>
      `Before the peak they agree from ${before} before it on, at ${where}; earlier ${who} was up to ${by} cooler.`,
    /** @param {string} after @param {string} where @param {string} who @param {string} by @param {string} until */
    afterPeakHotter: (after, where, who, by, until) =>
      `After the peak they parted ${after} after it began, at ${where}: from there ${who} was up to ${by} hotter${until}.`,
    /** @param {string} after @param {string} where @param {string} who @param {string} by @param {string} until */
    afterPeakCooler: (after, where, who, by, until) =>
      `After the peak they parted ${after} after it began, at ${where}: from there ${who} was up to ${by} cooler${until}.`,
    /** @param {string} by */
    butForPeaks: (by) => ` (but for the ${by} between their peaks)`,
    /** @param {string} temp @param {string} number */
    inHold: (temp, number) => `, in the hold at ${temp} (step ${number})`,
    /** @param {string} temp @param {string} number */
    onClimb: (temp, number) => `, on the climb to ${temp} (step ${number})`,
    /** @param {string} temp @param {string} number */
    onWayDown: (temp, number) => `, on the way down to ${temp} (step ${number})`,
    /** @param {string} temp @param {string} who @param {string} long */
    farthestLater: (temp, who, long) => `Farthest apart they were at ${temp}: ${who} was ${long} later.`,
    /** @param {string} temp @param {string} who @param {string} long */
    farthestEarlier: (temp, who, long) => `Farthest apart they were at ${temp}: ${who} was ${long} earlier.`,
    /** @param {string} after @param {string} who @param {string} by */
    farthestHotter: (after, who, by) => `On the climb they were farthest apart after ${after}: ${who} was ${by} hotter.`,
    /** @param {string} after @param {string} who @param {string} by */
    farthestCooler: (after, who, by) => `On the climb they were farthest apart after ${after}: ${who} was ${by} cooler.`,
  },
  differs: {
    /** @param {string} what */
    quoted: (what) => `“${what}”`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    peakHotter: (who, by, other, reference) => `${who} stood ${by} hotter at the peak: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    peakCooler: (who, by, other, reference) => `${who} stood ${by} cooler at the peak: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    heldLonger: (who, by, other, reference) => `${who} held the peak ${by} longer: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    heldLess: (who, by, other, reference) => `${who} held the peak ${by} less long: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    tookLonger: (who, by, other, reference) => `${who} took ${by} longer for the climb to the hold: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    tookLess: (who, by, other, reference) => `${who} took ${by} less for the climb to the hold: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    dweltLonger: (who, by, other, reference) => `${who} held ${by} longer on the way down: ${other} against ${reference}.`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    dweltLess: (who, by, other, reference) => `${who} held ${by} less long on the way down: ${other} against ${reference}.`,
    none: "none",
    /** @param {string} who @param {string} other @param {string} reference */
    lessEven: (who, other, reference) => `${who} was less even at the peak: its channels were ${other} apart, against ${reference}.`,
    /** @param {string} who @param {string} other @param {string} reference */
    moreEven: (who, other, reference) => `${who} was more even at the peak: its channels were ${other} apart, against ${reference}.`,
    /** @param {string} who @param {string} degrees @param {string} other @param {string} reference */
    lastFaster: (who, degrees, other, reference) => `${who} climbed the last ${degrees} faster: ${other} against ${reference}.`,
    /** @param {string} who @param {string} degrees @param {string} other @param {string} reference */
    lastSlower: (who, degrees, other, reference) => `${who} climbed the last ${degrees} more slowly: ${other} against ${reference}.`,
    /** @param {string} who @param {string} range @param {string} other @param {string} reference */
    cooledFaster: (who, range, other, reference) => `${who} cooled faster where ${range}: ${other} against ${reference}.`,
    /** @param {string} who @param {string} range @param {string} other @param {string} reference */
    cooledSlower: (who, range, other, reference) => `${who} cooled more slowly where ${range}: ${other} against ${reference}.`,
    /** @type {Record<string, string>} */
    where: {
      "crystals grow": "crystals grow",
      "glaze sets": "the glaze sets",
      "quartz turns back": "quartz turns back",
      "cristobalite turns back": "cristobalite turns back",
    },
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    coneMore: (who, by, other, reference) =>
      `${who} had ${by} more heat-work: cone ${other} against ${reference} (calculated; the witness cones decide).`,
    /** @param {string} who @param {string} by @param {string} other @param {string} reference */
    coneLess: (who, by, other, reference) =>
      `${who} had ${by} less heat-work: cone ${other} against ${reference} (calculated; the witness cones decide).`,
    /** @param {string} n */
    ofACone: (n) => `${n} of a cone`,
    /** @param {string} n */
    cones: (n) => `${n} cones`,
    /** @type {Record<string, string>} */
    part: { climb: "its climb", hold: "its hold", cooling: "its cooling" },
    /** @param {string} part @param {string} by */
    gaveMore: (part, by) => `${part} gave ${by} more`,
    /** @param {string} part @param {string} by */
    gaveLess: (part, by) => `${part} gave ${by} less`,
    /** @param {string} who @param {string} temp @param {string} other */
    openedOne: (who, temp, other) => `${who} was opened at ${temp}; ${other} was not, as far as its log goes.`,
    /** @param {string} who @param {string} temp @param {string} other @param {string} otherTemp */
    opened: (who, temp, other, otherTemp) => `${who} was opened at ${temp}, ${other} at ${otherTemp}.`,
    /** @param {string} who @param {string} other @param {string} things */
    warned: (who, other, things) => `${who} had a warning that ${other} had not: ${things}.`,
    /** @param {string} what */
    alike: (what) => `Alike: ${what}.`,
    /** @type {Record<string, string>} what is alike, and is else called as it is */
    things: {
      "cones": "cones", "peak": "peak", "hold": "hold", "climb": "length of the climb", "last 100 °C": "rate before the peak",
      "evenness": "evenness", "opened": "opening", "holds on the way down": "holds on the way down",
      "crystals grow": "crystals grow", "glaze sets": "glaze sets", "quartz turns back": "quartz turns back",
      "cristobalite turns back": "cristobalite turns back",
    },
  },

  trends: {
    heading: "From firing to firing",
    about: "What changes in a kiln before it costs a load. A trend is told from five firings on, and only where it is more than chance.",
    kiln: "Kiln",
    since: "Only from this firing on, such as the first with new elements",
    fromAll: "all that are looked at",
    /** @param {string} firings */
    of: (firings) => `Looked at: ${firings}.`,
    /** @param {number} n */
    waiting: (n) => (n === 1 ? "1 more is still being summed up." : `${n} more are still being summed up.`),
    nothing: "There is nothing to tell yet.",
    warning: "Worth seeing to",
    figures: "The figures",
    /** @param {string} value */
    atLeast: (value) => `at least ${value}`,
    /** @param {string} name @param {string} of */
    named: (name, of) => `${name}: ${of}`,
    kind: {
      climb: "Climb at high temperature", drift: "Thermocouple against the cones", evenness: "Evenness",
      late: "Length of the plan", energy: "Energy", losses: "Stalls and losses of heat",
    },
    /** @param {string} title @param {string} first @param {string} last */
    plot: (title, first, last) => `${title}, firing by firing, from ${first} to ${last}`,
    limit: "needed for the plan",
    bound: "at least so much: it kept its plan, and need not do all it could",
    /** @param {number} n */
    firings: (n) => (n === 1 ? "1 firing" : `${n} firings`),
    /** @param {string} n */
    kwh: (n) => `${n}\u202fkWh`,
    /** @param {string} n */
    min: (n) => `${n}\u202fmin`,
  },
  /** As supervisor/core/trends/wording.py has it. */
  follows: {
    /** @param {string} firings @param {string} at @param {string} rate */
    neverBehind: (firings, at, rate) =>
      `In none of ${firings} did the kiln fall behind its plan, so how much it could climb is not seen: at ${at} at least ${rate}.`,
    /** @param {string} rate */
    enough: (rate) => `That is enough for the plan's last climb of ${rate}.`,
    /** @param {string} rate @param {string} at @param {string} firing @param {string} firings */
    climbs: (rate, at, firing, firings) =>
      `At full power (seen where it was behind its plan) the kiln climbs ${rate} at ${at} with a usual load (firing ${firing}; seen in ${firings}).`,
    /** @param {string} rate @param {string} need */
    wants: (rate, need) => `The plan's last climb of ${rate} wants ${need} there.`,
    short:
      "It can no longer be kept: the top comes late and in the end not at all. Have elements or burner looked at " +
      "before the next long firing.",
    /** @param {string} about @param {string} soonest @param {string} end */
    forecast: (about, soonest, end) =>
      `If it goes on so, that can no longer be kept ${about} (nine in ten: ${soonest}${end} firings). Plan for new ` +
      "elements, or a burner looked at, before that.",
    now: "now",
    /** @param {string} firings */
    fromNow: (firings) => `about ${firings} from now`,
    farMore: " or far more",
    /** @param {string} n */
    to: (n) => ` to ${n}`,
    /** @param {string} channel @param {string} by @param {string} firing @param {string} firings */
    needs: (channel, by, firing, firings) => `“${channel}” needs ${by} for the real cones (firing ${firing}; seen in ${firings}).`,
    readsLess:
      "It reads less and less than the ware gets: an ageing thermocouple, or one that has moved. Look at it, accept " +
      "the cones' offset (`spyhole witness`), or exchange it.",
    readsMore:
      "It reads more and more than the ware gets: an ageing thermocouple, or one that has moved. Look at it, accept " +
      "the cones' offset (`spyhole witness`), or exchange it.",
    /** @param {string} by @param {string} firing */
    apart: (by, firing) => `At the peak the channels are ${by} apart (firing ${firing}).`,
    uneven:
      "The kiln grows uneven: look for an element, a relay or a burner port that gives less than the others, and for a draught.",
    /** @param {string} plan @param {string} firing */
    tookAsPlanned: (plan, firing) => `“${plan}” took as long as planned (firing ${firing}).`,
    /** @param {string} plan @param {string} long @param {string} firing */
    tookLonger: (plan, long, firing) => `“${plan}” took ${long} longer than planned (firing ${firing}).`,
    /** @param {string} plan @param {string} long @param {string} firing */
    tookShorter: (plan, long, firing) => `“${plan}” took ${long} shorter than planned (firing ${firing}).`,
    longerAndLonger: "It takes longer and longer: see what is said of the climb.",
    /** @param {string} plan @param {string} energy @param {string} firing */
    energy: (plan, energy, firing) => `“${plan}” took ${energy} by the notes (firing ${firing}).`,
    moreEnergy: "It takes more and more: look at seals, lid, lining and draught.",
    /** @param {string} some @param {string} firings @param {string} last @param {string} lately */
    losses: (some, firings, last, lately) =>
      `In ${some} of ${firings} the climb stalled or heat was lost; of the last ${last} in ${lately}.`,
    moreLosses: "It comes more often than it did: look at power, contacts, relays or gas.",
    /** @param {string} n */
    tooFew: (n) => `Whether it changes can be told from ${n} firings on.`,
    /** @param {string} what @param {string} low @param {string} high */
    noTrend: (what, low, high) => `No trend can be told: ${what} changes by ${low} to ${high} with each firing.`,
    /** @param {string} what @param {string} by @param {string} low @param {string} high */
    grows: (what, by, low, high) =>
      `It is more than chance: ${what} grows by ${by} with each firing (nine in ten: ${low} to ${high}).`,
    /** @param {string} what @param {string} by @param {string} low @param {string} high */
    falls: (what, by, low, high) =>
      `It is more than chance: ${what} falls by ${by} with each firing (nine in ten: ${low} to ${high}).`,
    /** @type {Record<string, string>} */
    what: {
      climb: "what it climbs", drift: "what has to be added", evenness: "how far they are apart", late: "that", energy: "that",
    },
  },
};
