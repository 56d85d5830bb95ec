/** The unload view's texts in plain English for potters. */

export const words = {
  title: "Unloading",
  /** @param {string} plan @param {string} when */
  of: (plan, when) => `${plan}, ${when}`,
  undated: "without a date",
  /** @param {string} cone */
  cone: (cone) => `cone ${cone} by calculation`,
  /** @param {string} cone @param {string} percent @param {string} next */
  coneAnd: (cone, percent, next) => `cone ${cone} by calculation, ${percent} of cone ${next}`,
  goesOn: "This firing is not over yet: what stands here is so far.",
  jump: "Go to",
  working: "Looking through the firing…",
  again: "Try again",
  saving: "Saving…",
  saved: "Saved.",
  /** @param {string} why */
  failed: (why) => `Not saved: ${why}`,
  /** @param {string} why */
  notDone: (why) => `Not done: ${why}`,
  inEnglish: "Causes and changes are told in English.",

  care: {
    heading: "Before you reach in",
    /** @param {string} temp */
    hot: (temp) => `The kiln still reads ${temp}. Keep it shut until its maker says it may be opened.`,
    cool: "Open it only when it is as cool as its maker says; shelves and props stay hot longest.",
    sharp: "Broken glaze and drips cut like glass: wear gloves, and goggles when you chip or grind.",
    dust: "Dust of clay, kiln wash and fibre harms the lungs: wipe it up wet, never blow or sweep it, and wear a mask that fits.",
  },

  ware: {
    heading: "What is wrong with the ware",
    short: "Ware",
    hint: "Tap what you see. Nothing wrong? Then go on to the cones.",
    groups: { glaze: "Glaze", colour: "Colour and smoke", heat: "Heat and shape", broken: "Cracked or burst" },
    ticked: "How much, and where",
    whole: "the whole load",
    level: { 1: "a little", 2: "some", 3: "much" },
    /** @param {string} defect @param {string} place */
    levelOf: (defect, place) => `${defect}, ${place}: how much`,
    /** @param {string} defect */
    whereOf: (defect) => `${defect}: where`,
    where: "Where",
    other: "another place, such as shelf 3",
    add: "Add",
    /** @param {string} defect */
    addTo: (defect) => `Add this place to ${defect}`,
    remove: "Not here",
    /** @param {string} defect @param {string} place */
    removeOf: (defect, place) => `${defect} is not at ${place}`,
    /** @param {string} looks */
    looks: (looks) => `${looks[0].toUpperCase()}${looks.slice(1)}.`,
    unknown: "also found",
    /** @param {number} count */
    causes: (count) => (count === 0 ? "No cause in the firing: see" : count === 1 ? "The firing speaks for 1 cause: see" : `The firing speaks for ${count} causes: see`),
  },
  /** @type {Record<string, string>} What they are called, as in supervisor/core/defects. */
  defects: {
    dunting: "dunting",
    "heating-cracks": "cracks from heating up",
    "blown-ware": "blown ware",
    crazing: "crazing",
    shivering: "shivering (peeling)",
    crawling: "crawling",
    pinholes: "pinholes",
    blisters: "blisters",
    bloating: "bloating",
    "black-core": "black core",
    underfired: "underfired",
    overfired: "overfired",
    running: "glaze has run",
    warping: "warping",
    "too-glossy": "a matt or satin glaze came out glossy",
    "too-dull": "a glossy glaze came out dull",
    "uneven-colour": "uneven colour",
    "faded-colour": "colours faded or burnt out",
    "weak-reduction": "reduction weak or uneven",
    "carbon-trapped": "carbon trapped",
    "cracked-shelf": "cracked shelf",
  },
  /** @type {Record<string, string>} As supervisor/core/defects has it. */
  looks: {
    dunting: "the pot is cracked through; edges of glaze on the crack are sharp if it cracked in cooling, rounded if it cracked before the glaze melted",
    "heating-cracks": "cracks from a rim or a foot that were there before the glaze melted",
    "blown-ware": "pieces have burst, with shards about",
    crazing: "a net of fine cracks in the glaze, perhaps days later",
    shivering: "slivers of glaze flake off, mostly at rims and handles",
    crawling: "the glaze has drawn back into beads and left bare patches",
    pinholes: "small holes through the glaze down to the body",
    blisters: "bubbles or craters in the glaze",
    bloating: "swellings in the body itself, hollow inside",
    "black-core": "the middle of the wall is dark in a break",
    underfired: "dry, rough or milky glaze, a soft or thirsty body",
    overfired: "glassy, thin or boiled glaze, a brittle or slumped body",
    running: "glaze has run down, perhaps on to the shelf",
    warping: "rims out of round, slumped or leaning pieces",
    "too-glossy": "shine where it should be matt or satin",
    "too-dull": "a dull, sugary or crystalline surface",
    "uneven-colour": "ware from one place of the kiln differs from the rest, or is patchy",
    "faded-colour": "reds, pinks or lustres are weak or gone",
    "weak-reduction": "pale body, green copper, brown where it should be celadon or red",
    "carbon-trapped": "grey or black smoky patches under or in the glaze",
    "cracked-shelf": "a shelf or prop has cracked",
  },
  /** @type {Record<string, string>} What stands on the button, where that is shorter. */
  chips: {
    "heating-cracks": "heating cracks",
    shivering: "shivering",
    "too-glossy": "glossy, not matt",
    "too-dull": "dull, not glossy",
    "faded-colour": "colours faded",
    "weak-reduction": "weak reduction",
  },

  photos: {
    heading: "Photos",
    take: "Take a photo",
    choose: "Choose photos",
    caption: "What it shows",
    /** @param {number} number */
    captionOf: (number) => `What photo ${number} shows`,
    /** @param {number} count */
    send: (count) => (count === 1 ? "Send this photo" : `Send these ${count} photos`),
    leave: "Leave it out",
    /** @param {number} number */
    leaveOf: (number) => `Leave photo ${number} out`,
    /** @param {string} percent */
    sending: (percent) => `Sending, ${percent}`,
    waiting: "Waits for its turn",
    noLink: "No link: it is sent as soon as the link is back. Keep this page open.",
    shrinking: "Making it smaller…",
    unreadable: "This file is no picture that the phone can read.",
    kept: "Kept with the firing. Place, person and camera are not kept.",
    /** @param {number} number */
    number: (number) => `Photo ${number}`,
    takeBack: "Take back",
    /** @param {string} what */
    takeBackOf: (what) => `Take back: ${what}`,
    really: "Delete it for good",
    progress: "Sending",
  },

  cones: {
    heading: "Your witness cones",
    short: "Cones",
    hint: "Tap where the tip points, as the hand of a clock. Two cones tell most: the last that is down, and the next, as far as it has bent. From them comes the size of a change.",
    beside: "The pack stood beside",
    noChannel: "none of them",
    noChannelWhy: "Then they are kept, but can't be held against a thermocouple.",
    /** @param {string} cone */
    one: (cone) => `Cone ${cone}`,
    other: "another cone",
    shelf: "Shelf or place (if you like)",
    save: "Save the cones",
    none: "Choose how at least one cone stands.",
    where: "Choose beside which thermocouple they stood.",
    /** @type {Record<string, string>} */
    tips: { upright: "stands", "just touching": "6", touching: "lies" },
    /** @type {Record<string, string>} */
    tipsLong: { upright: "upright", "just touching": "6 o'clock, just touching", touching: "lying on the shelf" },
    /** @param {string} hour */
    hour: (hour) => `${hour} o'clock`,
    /** @param {string} cone @param {string} tip @param {string} where */
    seen: (cone, tip, where) => `Cone ${cone}, ${tip}${where}`,
    /** @param {string} where */
    at: (where) => ` (${where})`,
    follows: "What follows for the next firing",
    takeBack: "Take back",
    /** @param {string} what */
    takeBackOf: (what) => `Take back: ${what}`,
  },

  traced: {
    heading: "What the firing says about it",
    short: "Causes",
    nothing: "Nothing is ticked, so there is nothing to look for.",
    cold: "The kiln never was hot in this firing, so its record says nothing about the ware.",
    supported: "The firing speaks for",
    unknown: "Can't be told",
    ruledOut: "The firing speaks against",
    outside: "Outside the firing, not known to spyhole",
    noneSupported: "Nothing in the firing's record speaks for a cause: look outside it.",
    nextTime: "Next time: ",
    /** @param {number} count */
    more: (count) => (count === 1 ? "1 cause" : `${count} causes`),
    proof: "This is what the record shows at its thermocouples, and no proof: the ware and its maker have the last word.",
  },

  next: {
    heading: "The next firing",
    short: "Next firing",
    one: "Change one thing at a time: only then you see what it did.",
    choose: "What the plan is to be",
    asFired: "As it was fired",
    asFiredWhy: "What the kiln did this time, as a plan; stalls, dips and natural cooling are left out.",
    byHand: "For you to do at the kiln",
    none: "As far as record and cones tell, there is nothing to change.",
    noCones: "Enter the witness cones, and spyhole says how much hold or how many degrees are missing.",
    /** @param {string} cone @param {string} target */
    byCones: (cone, target) => `By the real cones the firing was cone ${cone}; the plan wants cone ${target}.`,
    leftOpen: "The cones that are entered leave open how far it went: enter the last that is down and the next.",
    make: "Make a plan of it",
    making: "Making the plan…",
    name: "Name of the plan",
    nameWhy: "It becomes a new file; no other plan is changed.",
    steps: "Its steps, for the kiln's own controller",
    /** @param {string} rate @param {string} to */
    step: (rate, to) => `${rate} to ${to}`,
    /** @param {string} degrees */
    rate: (degrees) => `${degrees}/h`,
    freely: "as fast as the kiln goes",
    /** @param {string} long */
    hold: (long) => `, hold ${long}`,
    picture: "The plan drawn",
    fits: "How well it repeats the firing",
    cautions: "Cautions",
    save: "Save the plan",
    saveAndFire: "Save it and fire it next",
    /** @param {string} file */
    saved: (file) => `Saved as ${file}.`,
    fire: "Fire it next",
    fired: "It is fired next. Set the kiln's own controller to it too: spyhole only watches.",
    open: "Open the plan",
    nothingYet: "Nothing is saved yet.",
  },

  told: {
    heading: "For the record",
    short: "Notes",
    load: "What was in the load",
    glazes: "Which glazes",
    result: "How it came out",
    save: "Save for the record",
    nothing: "There is nothing new to save.",
  },
};
