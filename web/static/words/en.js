/** The page's texts in plain English for potters. */

const GAS =
  "Where you smell gas, shut it off, air the room and touch no switch; relight only as the kiln maker says";
const LIVE = "what is behind a cover is a licensed electrician's";

export const words = {
  title: "spyhole",
  /** What the navigation calls a view, by its name. */
  views: { watch: "Watch", log: "Log", plans: "Plans", replay: "Replay", unload: "Unloading" },
  navigation: "Views",
  notLoaded: {
    text: "This part of the page could not be fetched. Is this phone still on the kiln's network?",
    again: "Try again",
  },
  looking: { title: "Looking…", sentence: "Asking spyhole how the kiln is." },

  verdict: {
    fine: "No trouble seen",
    seen: "Trouble you know of",
    look: "Go and look",
    go: "Go to the kiln now",
    waiting: "Waiting for the kiln",
    cooling: "The plan is complete",
    finished: "The plan is complete",
    closed: "This firing is closed",
    lost: "No link to spyhole",
    stopped: "spyhole has been stopped",
    signedOut: "You are signed out",
    stale: "No fresh readings",
  },
  /** @param {string} degrees */
  anHour: (degrees) => `${degrees} an hour`,
  time: {
    underAMinute: "less than a minute",
    /** @param {number} n */
    minutes: (n) => (n === 1 ? "1\u00a0minute" : `${n}\u00a0minutes`),
    /** @param {number} h @param {number} min */
    hoursMinutes: (h, min) => `${h}\u00a0h\u00a0${min}\u00a0min`,
    /** @param {number} h */
    hours: (h) => `${h}\u00a0h`,
  },
  /** As supervisor/core/watch/sentence.py has it. */
  sentence: {
    blind:
      "spyhole can't see the kiln: no thermocouple gives a usable reading. " +
      "Go and look at the kiln itself.",
    /** @param {string} doing @param {string} late */
    whole: (doing, late) => `${doing}${late ? `, ${late}` : ""}.`,
    keepShut: "Keep it shut until it is cool.",
    /** @param {string} here */
    waiting: (here) => `Waiting for the kiln to climb; ${here}`,
    /** @param {string} here */
    waitingCooling: (here) => `Waiting for the kiln to climb; ${here} and cooling`,
    /** @param {string} here */
    complete: (here) => `The plan is complete; ${here}`,
    /** @param {string} here @param {string} pace */
    completeCooling: (here, pace) => `The plan is complete; ${here}, cooling ${pace}`,
    /** @param {string} here @param {string} target @param {string} left */
    holding: (here, target, left) => `Holding at ${here}${target}, ${left}`,
    /** @param {string} target */
    holdingFor: (target) => ` for ${target}`,
    /** @param {string} long */
    toGo: (long) => `${long} to go`,
    holdOver: "the planned hold is over",
    /** @param {string} here @param {string} where */
    standing: (here, where) => `Standing at ${here}${where}`,
    /** @param {string} pace @param {string} here @param {string} where */
    climbing: (pace, here, where) => `Climbing ${pace}, ${here}${where}`,
    /** @param {string} pace @param {string} here @param {string} where */
    cooling: (pace, here, where) => `Cooling ${pace}, ${here}${where}`,
    /** @param {string} target */
    towards: (target) => ` towards ${target}`,
    /** @param {string} target */
    away: (target) => ` where the plan goes to ${target}`,
    onPlan: "on plan",
    /** @param {string} long */
    behind: (long) => `${long} behind plan`,
    /** @param {string} long */
    ahead: (long) => `${long} ahead of plan`,
    byCalculation: "by calculation",
    byCorrected: "by corrected calculation",
    lookAtCones: ": go and look at the cones",
    /** @param {string} cone @param {string} long @param {string} here @param {string} by @param {string} look */
    coneNeeds: (cone, long, here, by, look) => `${cone} needs another ${long} at ${here}, ${by}${look}.`,
    /** @param {string} at */
    aboutAt: (at) => `about ${at}`,
    /** @param {string} long */
    within: (long) => `in ${long}`,
    /** @param {string} at @param {string} long */
    farOff: (at, long) => `about ${at}, in ${long}`,
    /** @param {string} from @param {string} to */
    between: (from, to) => `, between ${from} and ${to}`,
    /** @param {string} cone @param {string} when @param {string} between @param {string} by @param {string} look */
    cone: (cone, when, between, by, look) => `${cone} ${when}${between}, ${by}${look}.`,
  },
  lastKnown: /** @param {string} sentence */ (sentence) => `Last known: ${sentence}`,
  lost: /** @param {string} age */ (age) =>
    `${age} Is this phone on the kiln's network, and has the machine at the kiln power? ` +
    "Until the link is back, look at the kiln yourself.",
  /** @param {string} age @param {string} when */
  lostAge: (age, when) => `What you see is ${age} old, of ${when}.`,
  lostNever: "Nothing has arrived yet.",
  stopped: "It was ended on purpose. Nobody watches the kiln until it is started again.",
  stale: /** @param {string} age */ (age) =>
    `Nothing from the thermocouples for ${age}, though spyhole itself answers. ` +
    "Look at the kiln, then at the converter and its wiring.",
  staleNever: "spyhole answers, but no reading has come yet. Look at the converter and its wiring.",

  age: /** @param {string} age */ (age) => `last reading ${age}\u00a0ago`,
  ageNone: "no reading yet",
  notLive: {
    /** @param {string} speed */
    simulation: (speed) => `Simulation${speed}: no real kiln`,
    /** @param {string} speed */
    replay: (speed) => `Replay${speed}: not happening now`,
    /** @param {string} speed */
    speed: (speed) => ` at ${speed}×`,
  },
  /** A firing or plan by its name: what came with spyhole has one in each language. @param {string} name */
  called: (name) => name,
  noFiring: "No firing is being watched.",
  notRecording: "Not recording: this firing is closed",
  notWritten: "NOTHING IS BEING WRITTEN: look at the disk of spyhole's machine",
  /** @param {string} hours */
  roomEnds: (hours) => `The disk is nearly full: room for ${hours}\u202fh of a firing. Make room on spyhole's machine.`,

  severity: { info: "For information", warning: "Warning", critical: "Critical" },
  /** @type {Record<string, string>} */
  kind: {
    stall: "The kiln has stopped climbing",
    lagging: "Climbing, but late",
    overshoot: "Hotter than the plan's top",
    heat_lost: "The kiln is losing heat",
    heat_stuck_on: "Heating when it should not",
    over_limit: "Above the kiln's limit",
    fast_heating: "Heating too fast here",
    fast_cooling: "Cooling too fast here",
    uneven: "The kiln is uneven",
    sensor_fault: "Thermocouple trouble",
    no_readings: "No readings",
    cone_near: "A cone is near",
    cone_down: "A cone should be down",
    step_begun: "A new step",
    hold_done: "The hold is done",
    phase_begun: "A new phase",
    cool_to_open: "Cool enough to open",
    trend: "The kiln is changing",
    firing_finished: "The plan is complete",
  },
  otherKind: "Something to look at",
  /** @type {Record<string, (cone: string) => string>} */
  kindOfCone: {
    cone_near: (cone) => `${cone} is near`,
    cone_down: (cone) => `${cone} should be down`,
  },
  /** @param {string} title @param {string} which */
  kindOf: (title, which) => `${title} (${which})`,
  /** What an alert says, worded from its figures; what to look at follows it. */
  says: {
    /** @param {string} temp @param {string} pace @param {string} to */
    stall: (temp, pace, to) =>
      `The kiln has all but stopped climbing at ${temp}, where the plan climbs ${pace} to ${to}.`,
    /** @param {string} late @param {string} pace @param {string} planned */
    lagging: (late, pace, planned) =>
      `The kiln is ${late} behind its plan and gets later: it climbs ${pace} where ${planned} is planned. ` +
      "That does no harm by itself.",
    /** @param {string} temp @param {string} ends @param {string} to */
    dying: (temp, ends, to) =>
      `The climb dies away: at ${temp} now, the kiln looks like ending near ${ends}, short of the ${to} ` +
      "of its plan, so hold and cone may be out of reach. Go and look how it is heated, and at the witness cones.",
    /** @param {string} temp @param {string} pace */
    heatLost: (temp, pace) =>
      `The kiln is losing heat: ${temp} and falling ${pace}, where the plan climbs or holds.`,
    /** @param {string} pace @param {string} temp */
    stuckClimbing: (pace, temp) =>
      `The kiln climbs ${pace}, now ${temp}, where it should not by its plan: the heat may be stuck on.`,
    /** @param {string} temp */
    stuckStanding: (temp) =>
      `The kiln stands at ${temp} and does not cool, though it should by its plan: the heat may be stuck on.`,
    /** @param {string} temp @param {string} limit */
    overLimit: (temp, limit) =>
      `The kiln is at ${temp}, above the ${limit} that it is made for: switch it off at its isolator or ` +
      "shut off the gas, if that can be done safely, and follow the kiln maker's instructions.",
    /** @param {string} temp @param {string} above @param {string} top */
    overshoot: (temp, above, top) =>
      `The kiln is at ${temp}, ${above} above the ${top} of its plan: go and look whether the heat is ` +
      "turned down or off, or the plan is the wrong one, and at the witness cones.",
    /** @param {string} hot @param {string} cold @param {string} apart @param {string} allowed */
    uneven: (hot, cold, apart, allowed) =>
      `The kiln is uneven: “${hot}” is ${apart} hotter than “${cold}”, where ${allowed} are allowed. ` +
      "See whether either probe has slipped or touches something, and at the cold side look",
    /** @param {string} cold @param {string} left */
    leftBehind: (cold, left) =>
      `“${cold}” has all but stopped climbing while the rest of the kiln climbs on, and is ${left} behind. ` +
      "See whether its probe has slipped or touches something, and there look",
    /** @param {string} channel @param {string} fault */
    sensor: (channel, fault) => `Thermocouple “${channel}” ${fault}.`,
    beforeTouching:
      "Before you touch a probe or its leads, switch the kiln off at its isolator and mind the heat.",
    /** @param {string} long */
    noReadings: (long) =>
      `No thermocouple has given a usable value for ${long}: spyhole can't see the kiln. ` +
      "Go and look at the kiln itself, then at the rig's power and wiring.",
    /** @param {string} pace @param {string} band @param {string} fastest */
    fastHeating: (pace, band, fastest) =>
      `The kiln climbs ${pace} through “${band}”, where up to ${fastest} is advisable. ` +
      "Turn down, and look whether the kiln fires the right plan.",
    /** @param {string} pace @param {string} band @param {string} fastest */
    fastCooling: (pace, band, fastest) =>
      `The kiln falls ${pace} through “${band}”, where up to ${fastest} is advisable.`,
    /** @param {string} pace @param {string} temp */
    fallsFast: (pace, temp) => `The kiln falls ${pace} at ${temp}, much faster than it should.`,
    /** @param {string} look */
    draught: (look) => `${look}; hot ware cracks in a draught, and a hot kiln is never opened.`,
    /** @param {string} cone @param {string} when */
    coneNear: (cone, when) => `${cone} should go down ${when}: go and look at the cones.`,
    /** @param {string} cone */
    coneDown: (cone) => `${cone} should be down: go and look.`,
    calculated: "This is calculated from the thermocouple, the witness cones decide.",
    /** @param {string} by */
    corrected: (by) =>
      `This is calculated from the thermocouple and corrected by ${by}, the witness cones decide.`,
    /** @param {string} at */
    holdDone: (at) => `The planned hold at ${at} is complete.`,
    peakHoldDone: "Look at the witness cones before the kiln is let go on.",
    /** @param {string} at */
    planDone: (at) =>
      `The plan is complete at ${at}: check that the heat is really off, and keep the kiln shut until it is cool.`,
    ifNobodyLetGo: "If nobody has let it go, look at power or flame, and at the witness cones.",
    /** @param {string} below */
    coolToOpen: (below) =>
      `Every channel that can be believed is below ${below}: cool enough to open, but feel for heat ` +
      "before you reach in; the ware in the middle is warmer than the air.",
    /** @param {string} what */
    trend: (what) => `From firing to firing ${what}. “spyhole trends” has the figures.`,
    trends: /** @type {Record<string, string>} */ ({
      short: "the kiln climbs less when it is hot, and the plan can no longer be kept",
      climb: "the kiln climbs less when it is hot",
      drift: "the thermocouple reads farther from the real cones",
      evenness: "the kiln grows uneven",
      late: "the plan takes longer",
      energy: "it takes more energy",
      losses: "the climb stalls, or heat is lost, more often",
    }),
    byItself: "by itself",
  },
  /**
   * Where to look, by how the kiln is heated; as supervisor/core/watch/detectors/advice.py.
   * @type {Record<string, Record<string, string>>}
   */
  advice: {
    stall: {
      other: `Go and look whether every element or burner still heats, at breaker, gas bottle and regulator, damper and door; ${LIVE}. ${GAS}.`,
      electric: `Go and look at breaker, switches and door, and whether every element still glows; often an element, a relay or one phase has gone, and ${LIVE}.`,
      gas: `Go and look at flame, gas bottle (one that ices up gives less and less), regulator, damper and door. ${GAS}.`,
      wood: "Go and look at the fire, embers and grate, damper and door: it wants stoking, air, or a bed of embers raked down.",
    },
    heatLost: {
      other: `Go and look at power and breaker, burners, door and lid: usually the power, the flame or the controller has gone. ${GAS}.`,
      electric: `Go and look at power, breaker, door and lid: usually the mains or a relay has gone, or the controller has stopped; ${LIVE}.`,
      gas: `Go and look at the burners: usually the flame is out or its safety has shut the gas off. ${GAS}. Look at bottle, regulator and door as well.`,
      wood: "Go and look at the fire, the damper and the door: usually it has burnt down, or cold air comes in.",
    },
    stuckOn: {
      other: "Go and look now: a relay may have welded itself shut, or a gas valve stand open. Switch the kiln off at its isolator or shut off the gas as its maker says, keep it shut, and do not fire again before a licensed electrician or gas fitter has looked.",
      electric: "Go and look now: a relay may have welded itself shut. Switch the kiln off at its isolator or breaker, keep it shut, and do not fire again before a licensed electrician has looked.",
      gas: `Go and look now whether the gas is really turned down or off, and shut it off at the bottle or main valve as the kiln maker says. ${GAS}.`,
      wood: "Go and look now: stop stoking, and close air inlets and damper as this kiln is used to be closed.",
    },
    coolingFast: {
      other: "Go and look that lid or door is shut, damper, ports and vents are closed and the spyholes plugged",
      electric: "Go and look that lid or door is shut, and the vents and spyholes are plugged",
      gas: "Go and look that the door is shut, damper and burner ports are closed and the spyholes plugged",
      wood: "Go and look that door, firebox and air inlets are shut, the damper is in and the spyholes are plugged",
    },
    uneven: {
      other: `for an element that no longer glows, a burner that is out or a draught, at dampers and stoking; ${LIVE}.`,
      electric: `through the spyhole for elements that no longer glow, and for a draught; often an element, a relay or one phase has gone, and ${LIVE}.`,
      gas: `for a burner that is out or a draught, and at the dampers. ${GAS}.`,
      wood: "at fire and embers, stoking, dampers, and for a draught.",
    },
    late: {
      other: "Worn elements, a low mains voltage or gas pressure or a full kiln make it slow.",
      electric: "Worn elements, a low mains voltage or a full kiln make it slow.",
      gas: "An icing bottle, a low regulator or a damper too far out or in make it slow.",
      wood: "Damp wood, a choked grate or a damper too far out or in make it slow.",
    },
  },
  /**
   * What a thermocouple does and what to check; as supervisor/core/sensor_checks.py.
   * @type {Record<string, string>}
   */
  fault: {
    open: "gives no usable value: look for a broken probe, a loose or burnt terminal, or a lead that has come off",
    short: "reads a temperature from outside the kiln: look where its leads touch each other or metal, for a wet terminal, and whether the probe has slipped out",
    voltage: "sees a voltage that no thermocouple gives: the probe may touch an element or another live part, so touch nothing, switch the kiln off at its isolator and call a licensed electrician to look",
    range: "is outside the range of its thermocouple type: check the type in the configuration and the leads' polarity",
    cold_junction: "sits on terminals that are too hot or too cold: move the box away from the kiln",
    bus: "has a converter that does not answer: check the board's power and the cable to it",
    frozen: "has stood at one value for longer than any real signal does: check the converter and the logger",
    jump: "has jumped, or left the others, as no kiln moves: look whether it has slipped out or cracked, and for a loose terminal",
    reversed: "falls as the kiln heats: its leads are swapped, so exchange plus and minus",
    type: "reads as a thermocouple of another type would: check the letter on the probe and on its lead against the type in the configuration",
  },
  /**
   * What the ware goes through; a schedule's own names stay as they are.
   * @type {Record<string, string>}
   */
  phase: {
    "drying": "drying",
    "chemical water": "chemical water",
    "quartz turns": "quartz turns",
    "burning out": "burning out",
    "gases leave": "gases leave",
    "body reduction": "body reduction",
    "melting": "melting",
    "levelling": "levelling",
    "crystals grow": "crystals grow",
    "glaze sets": "glaze sets",
    "quartz turns back": "quartz turns back",
    "cristobalite turns back": "cristobalite turns back",
    "opening": "opening",
  },
  alerts: {
    heading: "Open alerts",
    acknowledge: "Acknowledge",
    sending: "Writing it down…",
    /** @param {string} when */
    since: (when) => `since ${when}`,
    /** @param {string} long */
    lasting: (long) => `for ${long}`,
    /** @param {string} when */
    seen: (when) => `Acknowledged ${when}`,
    seenNoTime: "Acknowledged",
    /** @param {number} times @param {string | null} last */
    reminded: (times, last) =>
      `Reminded ${times === 1 ? "once" : `${times} times`}${last ? `, last at ${last}` : ""}.`,
    /** @param {string | null} when */
    escalated: (when) => `Nobody had answered${when ? ` by ${when}` : ""}: told to others too.`,
    /** @param {string} why */
    failed: (why) => `Not acknowledged: ${why}`,
    earlier: "Earlier in this firing",
    /** @param {string} from @param {string} to */
    span: (from, to) => `${from} to ${to}`,
  },

  temps: {
    heading: "Temperatures",
    none: "no value",
    faulty: "Can't be trusted",
    silent: "Gives no value",
    leads: "leads",
    leadsLong: "The plan and the cones follow this channel.",
    spread: "Between hottest and coldest",
    /** @param {string} rate */
    climbing: (rate) => `climbing ${rate}`,
    /** @param {string} rate */
    falling: (rate) => `falling ${rate}`,
    steady: "steady",
  },

  chart: {
    heading: "The firing so far",
    plan: "plan",
    ahead: "expected",
    whole: "Whole firing",
    closer: "Pinch to look closer, drag to move",
    closerByMouse: "Drag across to look closer, then drag to move",
    legend: "Line dotted: expected, with the band that holds four of five. Shaded: what the ware goes through. Marks: what happened.",
    missing: "The chart's library is not installed; everything else on this page works.",
    failed: "The chart could not be fetched; trying again.",
    /** @param {string} when @param {string} values */
    at: (when, values) => `${when}: ${values}.`,
    /** @param {string} when @param {string} title */
    event: (when, title) => `${when}: ${title}.`,
    label: "Temperatures of every channel over the plan, by time",
  },

  plan: {
    heading: "The plan",
    none: "There is no plan to compare with.",
    /** @param {number} step @param {number} steps */
    step: (step, steps) => `Step ${step} of ${steps}`,
    activity: {
      waiting: "waiting to begin",
      climbing: "climbing",
      holding: "holding",
      cooling: "cooling",
      finished: "the plan is complete",
    },
    /** @param {string} activity @param {string} target */
    towards: (activity, target) => `${activity} to ${target}`,
    /** @param {string} activity @param {string} target */
    at: (activity, target) => `${activity} at ${target}`,
    onTime: "On time",
    /** @param {string} long */
    late: (long) => `${long} behind plan`,
    /** @param {string} long */
    early: (long) => `${long} ahead of plan`,
    /** @param {string} long */
    ends: (long) => `Ends in ${long}`,
    /** @param {string} at @param {string} long */
    endsAt: (at, long) => `Ends about ${at}, in ${long}`,
  },

  cones: {
    heading: "Cones",
    uncorrected: "Calculated from the thermocouple, uncorrected \u2013 the witness cones decide.",
    /** @param {string} by */
    corrected: (by) =>
      `Calculated from the thermocouple, corrected by ${by} from your witness cones \u2013 the witness cones decide.`,
    role: { guide: "guide", target: "target", guard: "guard" },
    /** @param {string} cone */
    name: (cone) => `Cone\u00a0${cone}`,
    /** @param {number} percent */
    work: (percent) => `${percent}\u202f%`,
    down: "down",
    /** @param {string} when */
    downAt: (when) => `at ${when}`,
    /** @param {string} tip */
    tip: (tip) => `tip ${tip}`,
    /** @param {string} at @param {string} long */
    expectedAt: (at, long) => `about ${at}, in ${long}`,
    /** @param {string} at @param {string} held */
    expectedHeld: (at, held) => `about ${at}: ${held}`,
    /** @param {string} from @param {string} to */
    likely: (from, to) => `likely ${from} to ${to}`,
    /** @param {string} from */
    likelyFrom: (from) => `from ${from} on, or not at all`,
    /** @param {string} long @param {string} temp */
    ifHeld: (long, temp) => `another ${long} at ${temp}`,
    notIfPlan: "not if the plan is kept",
    hardlyIfPlan: "probably not if the plan is kept",
    otherwise: "If the kiln goes on otherwise",
    /** @param {string} cone @param {string} when */
    ifPlan: (cone, when) => `${cone}, every planned rate kept: ${when}`,
    /** @param {string} cone @param {string} when */
    ifRate: (cone, when) => `${cone}, climbing on at this rate: ${when}`,
    never: "not down",
    /** @param {string} long */
    expected: (long) => `in about ${long}`,
    unknown: "no time yet",
    notExpected: "not expected",
  },

  witness: {
    heading: "Your witness cones",
    question: "What do the real cones show?",
    cone: "Cone",
    otherCone: "Another cone",
    tipAsk: "Its tip, as the hand of a clock (bent to the left: as in a mirror)",
    tipDrag: "Drag the tip, or tap where it is",
    channel: "It stands beside",
    noChannel: "none of them",
    minutes: "Minutes ago (0: now)",
    shelf: "Shelf (if you like)",
    save: "Save what I saw",
    noCone: "Choose the cone first.",
    noTip: "Choose how its tip stands.",
    whichChannel: "Choose the thermocouple that it stands beside.",
    noMinutes: "Give the minutes as a whole number, 0 for now.",
    /** @param {string} tip as the server spells it */
    tip: (tip) => (/^\d+$/.test(tip) ? `at ${tip} o'clock` : /^\d/.test(tip) ? `at ${tip}` : tip),
    /** @param {string} tip */
    tipChoice: (tip) =>
      ({ upright: "12, upright", "just touching": "6, just touched", touching: "6, touching" })[tip] ?? tip,
    /** @param {string} cone @param {string} tip */
    seen: (cone, tip) => `${cone} ${tip}`,
    takeBack: "Take back",
    /** @param {string} what */
    takeBackOf: (what) => `Take back: ${what}`,
    /** @param {string} channel */
    beside: (channel) => `Beside ${channel}: `,
    /** @param {string} figure */
    inForce: (figure) => `${figure} is in use.`,
    /** @param {number} looks @param {number} firings */
    from: (looks, firings) =>
      `from ${looks === 1 ? "1 look at a cone" : `${looks} looks at cones`} in ` +
      (firings === 1 ? "1 firing" : `${firings} firings`),
    /** @param {string} offset @param {string} sigma @param {string} from */
    figure: (offset, sigma, from) => `${offset}\u00a0\u00b1\u00a0${sigma}, ${from}`,
    /** @param {string} figure */
    estimate: (figure) => `Your cones say ${figure}.`,
    /** @param {string} figure */
    nothingYet: (figure) => `Your cones say ${figure}: nothing to correct yet.`,
    tooFar:
      "That is more than a sound thermocouple in its place is off: look at the probe, its place " +
      "and what you entered first.",
    /** @param {string} figure */
    use: (figure) => `Use ${figure} from now on`,
    /** @param {string} figure */
    useInstead: (figure) => `Use ${figure} instead`,
    /** @param {string} figure */
    useNoMore: (figure) => `Stop using ${figure}`,
    /** @param {string} text @param {string} channel */
    forChannel: (text, channel) => `${text}, beside ${channel}`,
    explained:
      "It is added to the temperature for the cones only, never to the readings. With a plus the " +
      "real cones bend before the calculation says so.",
    /** @param {string} why */
    failed: (why) => `Not done: ${why}`,
  },

  ware: "Load, glazes, photos",

  notes: {
    heading: "Notes",
    label: "What did you see or do?",
    save: "Save note",
    saving: "Saving…",
    /** @param {string} left */
    left: (left) => `${left} characters left`,
    empty: "Write something first.",
    /** @param {string} why */
    failed: (why) => `Not saved: ${why}`,
    saved: "Saved.",
    none: "No notes yet.",
    quickly: "Noted with one tap",
    /** Texts of notes that are written with one tap. */
    quick: {
      damperOut: "Damper further out",
      damperIn: "Damper further in",
      burnerUp: "Burner up",
      burnerDown: "Burner down",
      plugOut: "Plug out",
      plugIn: "Plug in",
      reductionBegun: "Body reduction begun",
      reductionEnded: "Body reduction ended",
      switchesLow: "Switches on low",
      switchesMedium: "Switches on medium",
      switchesHigh: "Switches on high",
      lidPropped: "Lid propped open",
      lidShut: "Lid shut",
      stoked: "Stoked",
    },
    /** @param {string} text */
    noted: (text) => `Noted: ${text}`,
  },

  blind: {
    /** @param {string} from @param {string} to @param {string} long */
    known: (from, to, long) =>
      `spyhole was blind from ${from} to ${to} (${long}): nothing of that time was read or watched.`,
    /** @param {string} from */
    unknown: (from) =>
      `spyhole was blind from ${from} on. For how long can't be told: its machine's clock was not ` +
      "right when it came back.",
    sometime: "some time",
  },

  log: {
    heading: "The log",
    /** @param {string} plan */
    armed: (plan) =>
      `No log is being kept yet. It begins by itself when the kiln climbs, with the plan “${plan}”.`,
    open: "Everything is being kept. The log ends by itself when the kiln is cool enough to open.",
    /** @param {string} plan */
    closed: (plan) =>
      `This log is closed. The next one begins by itself when the kiln climbs, with the plan “${plan}”.`,
    /** @param {string} plan */
    chosen: (plan) => `The one after it begins with “${plan}”, as chosen under Plans.`,
    asChosen: "It was chosen under Plans.",
    choose: "Choose another plan for the next log",
    unload: "Unload it: what came out, and the next firing",
    begin: "Begin the log now",
    /** @param {string} plan */
    beginAsk: (plan) => `Begin a log now, with the plan “${plan}”?`,
    beginYes: "Yes, begin it",
    end: "End the log now",
    endAsk:
      "End this log now? What comes after is not kept. The kiln itself goes on as it is, and the " +
      "next log begins when it has stopped climbing and climbs again.",
    endYes: "Yes, end it",
    no: "No, leave it",
    /** @param {string} why */
    failed: (why) => `Not done: ${why}`,
  },

  footer: {
    phone: "This phone",
    units: "Temperatures",
    C: "°C",
    F: "°F",
    clock: "Clock",
    clock24: "24 h",
    clock12: "12 h",
    language: "Language",
    sound: "Alarm sound",
    screen: "Screen stays on",
    on: "On",
    off: "Off",
    soundNote:
      "The alarm sounds until somebody acknowledges, also when the link is gone; only while this page is open " +
      "and the phone awake and not muted.",
    soundAsleep: "Tap anywhere: after loading, this phone sounds no alarm before it is touched.",
    silence: "Silence this phone",
    screenNot: "This browser can't keep the screen on here: it wants the page by https.",
    screenRefused: "The phone refuses to keep its screen on just now, perhaps to spare its battery.",
    mqtt: {
      connected: "MQTT: connected",
      away: "MQTT: the broker is away, alerts wait for it",
      off: "MQTT: off",
    },
    /** @param {string} who */
    notify: (who) => `Messages: NOT TAKEN by ${who}; they are tried again`,
    record: {
      ok: "Record: being written",
      failing: "Record: CAN'T BE WRITTEN, look at the disk",
    },
    /** @param {string} hours */
    room: (hours) => `Its disk is filling: room for about ${hours}\u202fh of a firing. Make room before it is full.`,
    caution:
      "spyhole only reads. It is no safety device: it can't switch the kiln off. " +
      "Stay within the kiln maker's instructions.",
  },
  signIn: {
    heading: "Sign in",
    toWrite: "Writing here needs the PIN. What you write is signed with your name.",
    toRead: "This page is shown to those who know the PIN.",
    name: "Your name",
    pin: "PIN",
    enter: "Sign in",
    leave: "Not now",
    wrong: "That is not the PIN.",
    /** @param {number} seconds */
    wait: (seconds) => `Too many wrong PINs. The next one is looked at in ${seconds} s.`,
    again: "Try again now.",
    /** @param {string} name @param {string} long */
    signedIn: (name, long) => `Signed in as ${name}, for ${long}`,
    signedOut: "Writing here needs the PIN.",
    here: "This is the machine itself: writing here needs no PIN, as none is set.",
    /** @param {string} command */
    noPin: (command) => `No PIN is set, so only the machine at the kiln can write. Set one there: ${command}`,
    /** @param {string} command */
    unreadable: (command) => `The PIN can't be read, so nobody can write. Set it anew on the machine at the kiln: ${command}`,
    out: "Sign out",
    outEverywhere: "Sign out on all phones",
    /** @param {string} why */
    notOut: (why) => `Not signed out: ${why}`,
  },
  noAnswer: "spyhole does not answer. Try again when the link is back.",
};
