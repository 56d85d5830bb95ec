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

  /** @type {Record<string, string>} Causes in the firing by their rules, as supervisor/core/defects has them. */
  causes: {
    "quartz-down": "it cooled too fast where quartz shrinks",
    "cristobalite-down": "it cooled too fast where cristobalite shrinks",
    "opened-hot": "cold air came in while it was hot",
    "long-hot": "it was long so hot that a stoneware body forms cristobalite",
    "quartz-up": "it climbed too fast where quartz grows",
    "clay-water": "the clay's own water was driven out in a hurry",
    "dried-fast": "it was heated too fast while there was still water to dry",
    "burnt-out-fast": "carbon and sulphur had too little time to burn out",
    "gases-fast": "gases had too little time to leave before the glaze sealed",
    "no-soak": "the glaze had little time at the top to heal",
    "dropped-fast": "it fell so fast from the top that bubbles froze in",
    underfired: "it got less heat-work than its cone",
    overfired: "it got more heat-work than its cone",
    "broken-off": "the firing did not come to its end",
    "top-low": "it stood below its planned top",
    "top-high": "it went above its planned top",
    "hold-short": "the hold at the top was cut short",
    "hold-long": "the hold at the top went on for longer than planned",
    "last-climb-fast": "the last climb was faster than planned, which leaves less heat-work",
    "last-climb-slow": "the last climb was slower than planned, which adds heat-work",
    "cool-corner": "one place of the kiln was cooler",
    "hot-corner": "one place of the kiln was hotter",
    uneven: "the kiln was uneven",
    "crystals-no-time": "it fell too fast where the crystals of matt glazes grow",
    "crystals-time": "it lingered where crystals grow",
    "reduced-late": "reduction began when body and glaze had sealed",
    "reduced-briefly": "the body was reduced for a short time only",
    "reduced-early": "reduction began so early that carbon settled in the ware",
    "shelf-heated-fast": "cold shelves were heated in a hurry",
  },
  /** @type {Record<string, string>} What to do next time, by the same names. */
  nextTime: {
    "quartz-down": "keep it shut through those degrees; in a light kiln, cool it with some heat on",
    "cristobalite-down": "leave lid, damper and peeps shut until it is well below",
    "opened-hot": "open later, and by and by, when the kiln maker allows it and the ware can be held",
    "long-hot": "spend less time up there: climb a little faster, or hold shorter and a little hotter",
    "quartz-up": "climb more slowly through those degrees",
    "clay-water": "climb more slowly through those degrees, vents open",
    "dried-fast": "dry it longer below boiling, until a mirror at the spyhole stays clear",
    "burnt-out-fast": "climb more slowly through those degrees, with air",
    "gases-fast": "climb more slowly through those degrees",
    "no-soak": "add a hold at the top, and take some degrees off it for the heat-work",
    "dropped-fast": "keep it shut, and let it fall more slowly from the top",
    underfired: "hold longer or go a little hotter, by what is suggested for the next firing",
    overfired: "hold shorter or stay a little cooler, by what is suggested for the next firing",
    "broken-off": "find what stopped the heat before the next firing",
    "top-low": "see whether the kiln's thermocouple or ours is off: the witness cones tell",
    "top-high": "see why: a relay that sticks, a controller that overshoots, a thermocouple that is off",
    "hold-short": "hold as long as planned",
    "hold-long": "be there when the cone is due, and let go by the witness cones",
    "last-climb-fast": "make the last climb as slow as planned",
    "last-climb-slow": "shorten the hold by what the slow climb has added, or see why the kiln is tired",
    "cool-corner": "pack and fire for it: ware that wants less heat there, a longer hold, a mended element",
    "hot-corner": "pack and fire for it: ware that bears more heat there, a slower climb before the top",
    uneven: "make the last climb slower, pack more evenly, look at elements or damper",
    "crystals-no-time": "cool it slowly there, with heat on: the starter midfire-slow-cool shows how",
    "crystals-time": "let it fall faster from the top down to there, shut",
    "reduced-late": "begin earlier, about cone 012 to 010, with a carbon monoxide alarm and air in the room",
    "reduced-briefly": "reduce the body for longer, with a carbon monoxide alarm and air in the room",
    "reduced-early": "keep air in it until about cone 012",
    "shelf-heated-fast": "warm the kiln up more slowly",
  },
  /** @type {Record<string, string>} Causes outside the firing. */
  outside: {
    "glaze-squeezes": "a glaze that squeezes the body too hard, most of all inside",
    "uneven-shape": "thick and thin walls, sharp corners, glaze pooled inside",
    "free-silica": "a body with much free silica, or over-fired before",
    "cold-place": "ware close to a wall, a spyhole or a cold shelf edge",
    "dry-cracks": "cracks from drying or handling that only opened in the kiln",
    "uneven-walls": "uneven walls, joints of leather-hard and wet clay",
    "leaning-ware": "ware that leans on its neighbours or bears too much weight",
    "damp-inside": "thick walls or closed hollows that were not dry inside",
    "plaster-or-air": "plaster, lime or air with damp clay behind it",
    "glaze-shrinks-more": "a glaze that shrinks more than the body: its recipe",
    "thick-glaze-crazes": "glaze too thick",
    "body-swells": "a porous body that takes up moisture and swells, days later",
    "glaze-shrinks-less": "a glaze that shrinks less than the body: its recipe",
    "slip-misfit": "a slip or engobe that does not fit",
    "dirty-bisque": "dust, grease or wax on the bisque",
    "cracked-coat": "glaze too thick, or cracked as it dried",
    "stiff-recipe": "a glaze with much clay, zinc or magnesium that shrinks or is stiff",
    "bisque-gassed": "a bisque fired too low or too fast, so that the body gassed now",
    "coarse-body": "a coarse or porous body, dust in its pores",
    "second-coat": "glaze too thick, or put on in a second coat over a dry one",
    "stiff-melt": "a glaze that is stiff when it melts",
    "late-gas": "glaze far too thick, or materials that give off gas late",
    "weak-bisque": "a bisque fired too low or too fast",
    "salts-or-sulphur": "soluble salts, or sulphur in clay or fuel",
    "body-too-soft": "a body fired above what it is made for, or with impurities",
    "carbon-left": "carbon that a fast or airless bisque left in the body",
    "little-air": "too little air: vents shut, dense packing, closed saggars",
    "dark-clay": "a dark clay with much carbon, or thick walls",
    "thin-glaze": "glaze put on too thin",
    "harder-cone-meant": "a glaze or body made for a harder cone, or mixed wrongly",
    "softer-cone-meant": "a glaze or body made for a softer cone, or mixed wrongly",
    "thick-foot": "glaze too thick near the foot",
    overlap: "two glazes that flux each other where they lie on one another",
    "clay-remembers": "uneven thickness, uneven drying, clay that remembers",
    "shelves-not-level": "shelves that are not level, ware badly propped",
    "thin-matt": "a glaze that is matt only where it is thick, put on thinly",
    "little-alumina": "a recipe with too little alumina, or too much silica or boron",
    "crystal-recipe": "a recipe with much lime, zinc, titania or magnesia",
    "thin-or-fumes": "glaze too thin, or fumes and kiln dirt on it",
    "uneven-coat": "glaze thicker here than there, badly stirred",
    "flame-and-packing": "flame, draught and packing: where the air and the smoke went",
    "neighbour-fumes": "fumes of chrome, copper or salt from a neighbour",
    "stain-burns-out": "stains that do not bear this cone or this glaze",
    "little-early-air": "too little ventilation early on, for reds that want air",
    "flame-unseen": "the flame itself: damper, gas and air, which spyhole does not see",
    "air-leaks": "air leaking in, dense or loose packing",
    "soda-seals": "soda in a glaze that seals early",
    "smoky-flame": "a flame that smoked more than was meant",
    "damp-shelf": "damp or freshly washed shelves",
    "worn-shelf": "age, a knock, props not above one another, too much weight",
  },
  /** @type {Record<string, string>} Who describes a cause, by the server's words. */
  sources: {
    "Hamer and Hamer, The Potter's Dictionary of Materials and Techniques (from memory)": "Hamer and Hamer, The Potter's Dictionary of Materials and Techniques (from memory)",
    "Rhodes, Clay and Glazes for the Potter (from memory)": "Rhodes, Clay and Glazes for the Potter (from memory)",
    "Fraser, Ceramic Faults and Their Remedies (from memory)": "Fraser, Ceramic Faults and Their Remedies (from memory)",
    "Cardew, Pioneer Pottery (from memory)": "Cardew, Pioneer Pottery (from memory)",
    "Parmelee, Ceramic Glazes (from memory)": "Parmelee, Ceramic Glazes (from memory)",
    "Orton, text of the chart of temperature equivalents, 2016": "Orton, text of the chart of temperature equivalents, 2016",
    "common practice, no source": "common practice, no source",
  },
  /** What a cause in the firing is said by, as supervisor/core/defects/conditions has it. */
  sayings: {
    "not-passed": "The record does not show the kiln going through those temperatures.",
    /** @param {string} from @param {string} to @param {string} mean @param {string} fastest */
    "pace-free": (from, to, mean, fastest) => `From ${from} to ${to} it went ${mean} on average and ${fastest} at its fastest; this plan says nothing of how fast it may go there.`,
    /** @param {string} from @param {string} to @param {string} mean @param {string} fastest @param {string} allowed */
    pace: (from, to, mean, fastest, allowed) => `From ${from} to ${to} it went ${mean} on average and ${fastest} at its fastest; more than ${allowed} is hurried.`,
    "burns-in-bisque": "They burn out in the bisque, which is another firing: `spyhole unload` that one.",
    "not-warmed": "The record does not show the kiln warming up.",
    /** @param {string} below @param {string} fastest */
    warmed: (below, fastest) => `Below ${below} it climbed ${fastest} at its fastest.`,
    "log-ends-hot": "The log ends before the kiln had cooled.",
    /** @param {string} temp @param {string} pace */
    opened: (temp, pace) => `At ${temp} it suddenly fell ${pace}: lid, door, damper or vents were opened there.`,
    /** @param {string} end */
    shut: (end) => `It cooled like a shut kiln down to ${end}.`,
    /** @param {string} end */
    "shut-so-far": (end) => `It cooled like a shut kiln down to ${end}, where the log ends.`,
    /** @param {string} first @param {string} pace */
    "first-fall": (first, pace) => `Its first ${first} from the top it fell ${pace}.`,
    "no-firing": "The record shows no firing.",
    /** @param {string} long */
    stood: (long) => `It stood ${long} at its top.`,
    /** @param {string} from @param {string} to */
    "not-fallen": (from, to) => `The record does not show it falling from ${from} to ${to}.`,
    /** @param {string} from @param {string} to @param {string} mean @param {string} fastest */
    fell: (from, to, mean, fastest) => `From ${from} to ${to} it went ${mean} on average and ${fastest} at its fastest.`,
    /** @param {string} above @param {string} long */
    "hot-for": (above, long) => `It was above ${above} for ${long}.`,
    "no-cone": "The plan names no cone to hold the firing against.",
    /** @param {string} target */
    "no-cone-down": (target) => `By calculation not even cone 022 went down; the plan wants cone ${target}.`,
    /** @param {string} cone @param {string} target */
    calculated: (cone, target) => `By calculation the firing was a cone ${cone}, and the plan wants cone ${target}.`,
    /** @param {string} cone @param {string} target @param {string} coolest @param {string} hottest */
    "calculated-surely": (cone, target, coolest, hottest) => `By calculation the firing was a cone ${cone}, and the plan wants cone ${target}; with what is unsure it may be anything from cone ${coolest} to ${hottest}.`,
    /** @param {string} cone @param {string} target @param {string} coolest @param {string} hottest */
    "calculated-unsure": (cone, target, coolest, hottest) => `By calculation the firing was a cone ${cone}, and the plan wants cone ${target}; but by a thermocouple alone it may be anything from cone ${coolest} to ${hottest}. What the witness cones did would tell: note it with \`spyhole witness\`.`,
    /** @param {string} shown @param {string} target */
    "real-cones": (shown, target) => `The real cones show ${shown}; the plan wants cone ${target}.`,
    /** @param {string} channel @param {string} shown @param {string} target */
    "real-cones-beside": (channel, shown, target) => `The real cones beside “${channel}” show ${shown}; the plan wants cone ${target}.`,
    "one-channel": "One thermocouple can't tell how even the kiln was.",
    /** @param {string} apart @param {string} cones */
    uneven: (apart, cones) => `At the peak the channels were ${apart} apart, which made ${cones} cones between them.`,
    /** @param {string} apart @param {string} cones @param {string} where */
    "uneven-coolest": (apart, cones, where) => `At the peak the channels were ${apart} apart, which made ${cones} cones between them. The coolest was “${where}”.`,
    /** @param {string} apart @param {string} cones @param {string} where */
    "uneven-hottest": (apart, cones, where) => `At the peak the channels were ${apart} apart, which made ${cones} cones between them. The hottest was “${where}”.`,
    "no-plan": "The firing is kept without its plan.",
    /** @param {string} top */
    "top-done": (top) => `The plan's top, ${top}, was fired to its end.`,
    /** @param {string} top */
    "top-not-done": (top) => `The firing did not complete its top, ${top}.`,
    /** @param {string} top @param {string} at */
    "top-not-done-stalled": (top, at) => `The firing did not complete its top, ${top} (the climb stalled${at}).`,
    /** @param {string} top @param {string} at */
    "top-not-done-lost": (top, at) => `The firing did not complete its top, ${top} (heat was lost${at}).`,
    "no-last-climb": "The kiln did not come to the plan's last climb, or has no plan.",
    /** @param {string} off @param {string} top */
    "top-above": (off, top) => `By this thermocouple it was ${off} above the plan's ${top}.`,
    /** @param {string} off @param {string} top */
    "top-below": (off, top) => `By this thermocouple it was ${off} below the plan's ${top}.`,
    "no-hold-fired": "The kiln did not come to the plan's hold, or has no plan.",
    "no-hold-planned": "The plan asks for no hold at the top.",
    /** @param {string} long @param {string} planned */
    held: (long, planned) => `It held ${long} at the top, planned were ${planned}.`,
    "no-planned-rate": "There is no planned rate, or no such climb, to hold this against.",
    /** @param {string} pace @param {string} planned */
    "last-climb": (pace, planned) => `The last climb went ${pace}, planned was ${planned}.`,
    "no-reduction": "Neither the plan nor a note speaks of reduction.",
    "nothing-noted": "Nothing is noted of reduction.",
    "begin-not-noted": "No note says when reduction began: write “reduction begun” and “reduction ended” on the page while firing.",
    /** @param {string} temp */
    begun: (temp) => `By the notes reduction began at ${temp}.`,
    "times-not-noted": "No notes say from when to when it was reduced: write “reduction begun” and “reduction ended” on the page while firing.",
    /** @param {string} long */
    "reduced-for": (long) => `By the notes it was reduced for ${long}.`,
  },
  shown: {
    /** @param {string} cone */
    less: (cone) => `less than cone ${cone}`,
    /** @param {string} cone */
    more: (cone) => `cone ${cone} or more`,
    /** @param {string} cone */
    one: (cone) => `cone ${cone}`,
    /** @param {string} low @param {string} high */
    between: (low, high) => `cone ${low} up to cone ${high}`,
    none: "none",
    /** @param {string} cone */
    below: (cone) => `below ${cone}`,
    /** @param {string} temp */
    at: (temp) => ` at ${temp}`,
  },
  /** Why something is to be changed, as supervisor/core/refit has it. */
  reasons: {
    /** @param {string} cone @param {string} target */
    "by-real-cones": (cone, target) => `The firing was cone ${cone} by the real cones; the plan wants cone ${target}.`,
    /** @param {string} cone @param {string} target */
    "by-calculation": (cone, target) => `The firing was cone ${cone} by calculation from the thermocouple; the plan wants cone ${target}.`,
    /** @param {string} reason */
    "broken-off": (reason) => `${reason} It did not complete that plan.`,
    /** @param {string} fastest @param {string} from @param {string} to */
    "climb-slower": (fastest, from, to) => `It went up to ${fastest} from ${from} to ${to}.`,
    /** @param {string} temp */
    "open-later": (temp) => `It was opened at ${temp}.`,
    /** @param {string} long */
    soak: (long) => `It stood ${long} at its top.`,
    "shorter-and-hotter": "The body was hot for long.",
    /** @param {string} apart */
    "last-climb": (apart) => `At the top the channels were ${apart} apart.`,
    /** @param {string} from @param {string} to @param {string} pace */
    "grow-crystals": (from, to, pace) => `From ${from} to ${to} it fell ${pace}.`,
    /** @param {string} long @param {string} from @param {string} to */
    "no-crystals": (long, from, to) => `It took ${long} from ${from} to ${to}.`,
    /** @param {string} pace */
    "fall-slower": (pace) => `From the top it fell ${pace} at first.`,
    "warm-slower": "Cold shelves were heated in a hurry.",
    /** @param {string} temp */
    "reduce-then": (temp) => `By the notes reduction began at ${temp}.`,
  },
  /** What is to be changed. */
  changes: {
    /** @param {string} by @param {string} top @param {string} long */
    "hold-longer": (by, top, long) => `hold ${by} longer at ${top} (${long} in all)`,
    /** @param {string} by @param {string} top @param {string} long */
    "hold-shorter": (by, top, long) => `hold ${by} shorter at ${top} (${long} in all)`,
    /** @param {string} by @param {string} top */
    hotter: (by, top) => `go ${by} hotter, to ${top}, with the same hold`,
    /** @param {string} by @param {string} top */
    cooler: (by, top) => `go ${by} cooler, to ${top}, with the same hold`,
    /** @param {string} one @param {string} other */
    or: (one, other) => `${one}, or ${other}`,
    "broken-off": "Find what stopped the heat before you change anything: `spyhole trends` tells whether elements or burner are tired.",
    "too-far": "No hold of four hours and no top near this one gives that: another plan does.",
    /** @param {string} pace @param {string} from @param {string} to @param {string} more */
    "climb-slower": (pace, from, to, more) => `Climb no faster than ${pace} from ${from} to ${to}: ${more} more.`,
    /** @param {string} pace @param {string} from @param {string} to @param {string} more */
    "cool-slower": (pace, from, to, more) => `Cool no faster than ${pace} from ${from} to ${to}: ${more} more.`,
    /** @param {string} temp @param {string} later */
    "open-later": (temp, later) => `Leave it shut down to ${temp}: about ${later} later, shut as it was; and never open it before the kiln maker allows it.`,
    /** @param {string} temp */
    "open-some-time": (temp) => `Leave it shut down to ${temp}; and never open it before the kiln maker allows it.`,
    /** @param {string} long @param {string} by @param {string} top */
    soak: (long, by, top) => `Hold ${long} there, ${by} cooler, at ${top}: the heat-work stays.`,
    /** @param {string} long @param {string} before @param {string} by @param {string} top */
    "shorter-and-hotter": (long, before, by, top) => `Hold ${long} in place of ${before}, and ${by} hotter, at ${top}: the heat-work stays.`,
    /** @param {string} pace @param {string} before @param {string} by */
    "last-climb-shorter-hold": (pace, before, by) => `Make the last climb ${pace} in place of ${before} and hold ${by} shorter: the heat-work stays.`,
    /** @param {string} pace @param {string} before @param {string} by @param {string} top */
    "last-climb-less-far": (pace, before, by, top) => `Make the last climb ${pace} in place of ${before} and go ${by} less far, to ${top}: the heat-work stays.`,
    /** @param {string} pace @param {string} from @param {string} to @param {string} more */
    "grow-crystals": (pace, from, to, more) => `Cool it with heat on, ${pace}, from ${from} to ${to}: ${more} more.`,
    /** @param {string} to */
    "no-crystals": (to) => `Let it fall by itself, shut, from the top to ${to}: leave out the steps that hold it back there.`,
    /** @param {string} pace @param {string} first @param {string} more */
    "fall-slower": (pace, first, more) => `Let it fall no faster than ${pace} for the first ${first}, shut: ${more} more.`,
    /** @param {string} pace @param {string} below */
    "warm-slower": (pace, below) => `Climb no faster than ${pace} below ${below}.`,
    /** @param {string} temp */
    "reduce-then": (temp) => `Begin it at about ${temp}. Smoke is carbon monoxide: air the room, have an alarm for it, and go by the kiln maker and the local codes.`,
  },
  /** How well a plan repeats the firing. */
  fit: {
    /** @param {string} off @param {string} at */
    follows: (off, at) => `Up to the end of its peak it follows the record within ${off} (farthest off at ${at}).`,
    /** @param {string} by */
    swings: (by) => `It passes over dips and swings of up to ${by}.`,
    noCone: "The firing brought no cone down, so there is no heat-work to compare.",
    /** @param {string} fired @param {string} cone @param {string} apart */
    agrees: (fired, cone, apart) => `Heat-work up to there: firing cone ${fired}, plan cone ${cone}; ${apart} of a cone apart, within a tenth.`,
    /** @param {string} fired @param {string} cone @param {string} apart */
    differs: (fired, cone, apart) => `Heat-work up to there: firing cone ${fired}, plan cone ${cone}; ${apart} of a cone apart, NOT within a tenth.`,
    /** @param {string} temp @param {string} since @param {string} long */
    heatLost: (temp, since, long) => `Left out: heat was lost at ${temp}, ${since} after the beginning, for ${long}.`,
    /** @param {string} temp @param {string} since @param {string} long */
    stall: (temp, since, long) => `Left out: the climb stalled at ${temp}, ${since} after the beginning, for ${long}.`,
    /** @param {string} cone */
    byCones: (cone) => `By the real cones of this firing the plan comes to cone ${cone}. What else is said of its cones is by calculation from the thermocouple alone.`,
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
    /** @param {string} firing @param {string} what */
    like: (firing, what) => `As firing ${firing}, ${what}`,
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
    glazes: "Glazes",
    result: "How it came out",
    save: "Save for the record",
    nothing: "There is nothing new to save.",
  },
};
