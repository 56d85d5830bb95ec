/** The page's texts in plain English for potters. */

export const words = {
  title: "spyhole",
  /** What the navigation calls a view, by its name. */
  views: { watch: "Watch", plans: "Plans", replay: "Replay" },
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
  lastKnown: /** @param {string} sentence */ (sentence) => `Last known: ${sentence}`,
  lost: /** @param {string} age */ (age) =>
    `${age} Is this phone on the kiln's network, and has the machine at the kiln power? ` +
    "Until the link is back, look at the kiln yourself.",
  lostAge: /** @param {string} age */ (age) => `What you see is ${age} old.`,
  lostNever: "Nothing has arrived yet.",
  stopped: "It was ended on purpose. Nobody watches the kiln until it is started again.",
  stale: /** @param {string} age */ (age) =>
    `Nothing from the thermocouples for ${age}, though spyhole itself answers. ` +
    "Look at the kiln, then at the converter and its wiring.",
  staleNever: "spyhole answers, but no reading has come yet. Look at the converter and its wiring.",

  age: /** @param {string} age */ (age) => `last reading ${age} ago`,
  ageNone: "no reading yet",
  notLive: {
    /** @param {string} speed */
    simulation: (speed) => `Simulation${speed}: no real kiln`,
    /** @param {string} speed */
    replay: (speed) => `Replay${speed}: not happening now`,
    /** @param {number} speed */
    speed: (speed) => (speed === 1 ? "" : ` at ${Number(speed.toFixed(1)).toLocaleString("en-GB")}×`),
  },
  noFiring: "No firing is being watched.",
  notRecording: "Not recording: this firing is closed",

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
    firing_finished: "The plan is complete",
  },
  otherKind: "Something to look at",
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
    climbing: (rate) => `climbing ${rate} an hour`,
    /** @param {string} rate */
    falling: (rate) => `falling ${rate} an hour`,
    steady: "steady",
  },

  chart: {
    heading: "The firing so far",
    plan: "plan",
    whole: "Whole firing",
    closer: "Pinch or drag sideways to look closer",
    missing: "The chart's library is not installed; everything else on this page works.",
    failed: "The chart could not be fetched; trying again.",
    /** @param {string} when @param {string} values */
    at: (when, values) => `${when}: ${values}`,
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
    name: (cone) => `Cone ${cone}`,
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

  notes: {
    heading: "Notes",
    label: "What did you see or do?",
    save: "Save note",
    saving: "Saving…",
    /** @param {number} left */
    left: (left) => `${left.toLocaleString("en-GB")} characters left`,
    empty: "Write something first.",
    /** @param {string} why */
    failed: (why) => `Not saved: ${why}`,
    saved: "Saved.",
    none: "No notes yet.",
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

  plans: {
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
    act: {
      up: "Up", down: "Down", add: "Add after", remove: "Remove",
      upLong: "Move up", downLong: "Move down", addLong: "Add a step after", removeLong: "Remove",
    },
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
  },

  replay: {
    firings: "Play a firing once more",
    about: "It runs through the watch again, as fast as you like: see what it says, and when.",
    none: "No firing is in the record yet.",
    goesOn: "still going on",
    simulated: "simulated",
    scenarios: "Simulated firings",
    aboutScenarios: "No real kiln: practice for what may happen to one.",
    all: "All that can be played",
    strip: "Replay: not happening now",
    notNow: "Replay, not now",
    /** @param {number} percent */
    winding: (percent) => `The firing is run through the watch: ${percent}\u202f%. The kiln of now goes first.`,
    /** @param {number} count */
    waiting: (count) => (count === 1 ? "One other is made ready first." : `${count} others are made ready first.`),
    verdict: "The watch at this time",
    said: "What the watch has said so far",
    keys: "Playing",
    scrub: "Time of the firing",
    play: "Play",
    pause: "Pause",
    previous: "Back",
    previousLong: "Back to the event before",
    next: "Next",
    nextLong: "Next event",
    speed: "Speed",
    /** @param {number} speed */
    times: (speed) => `${speed.toLocaleString("en-GB")}×`,
    /** @param {string} time @param {string} elapsed */
    atClock: (time, elapsed) => `${time}, after ${elapsed}`,
    note: "A note",
    /** @param {string} what */
    over: (what) => `Over: ${what}`,
  },

  footer: {
    units: "Show temperatures in",
    C: "°C",
    F: "°F",
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
