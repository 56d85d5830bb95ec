/**
 * Die Texte der Seite auf Deutsch. Gleiche Schlüssel und gleiche Platzhalter wie in en.js; was der
 * Server auf Englisch sagt und hier nicht aus Zahlen neu gesagt werden kann, bleibt englisch.
 */

const GAS =
  "Riecht es nach Gas: Gas abstellen, lüften, keinen Schalter berühren; neu zünden nur so, wie der Ofenbauer es vorschreibt";
const LIVE = "was hinter einer Abdeckung liegt, ist Sache einer Elektrofachkraft";

/** Was mitgeliefert ist, heißt hier anders als in seiner Datei. @type {Record<string, string>} */
const SHIPPED = {
  "Bisque, cone 06, thick and thin ware together": "Schrühbrand, Kegel 06, dicke und dünne Ware zusammen",
  "High-fire reduction, cone 10": "Hochbrand in Reduktion, Kegel 10",
  "Low-fire glaze, cone 05": "Niedrigbrand-Glasur, Kegel 05",
  "Mid-fire glaze, cone 6, by a hold below its peak": "Steinzeugglasur, Kegel 6, mit Haltezeit unter der Kegeltemperatur",
  "Mid-fire glaze, cone 6, cooled slowly for satin surfaces": "Steinzeugglasur, Kegel 6, langsam gekühlt für seidenmatte Oberflächen",
};

/** @type {typeof import("./en.js").words} */
export const words = {
  title: "spyhole",
  views: { watch: "Brand", log: "Archiv", plans: "Kurven", replay: "Wiedergabe", unload: "Ausräumen" },
  navigation: "Ansichten",
  notLoaded: {
    text: "Dieser Teil der Seite war nicht zu holen. Ist dieses Telefon noch im Netz des Ofens?",
    again: "Noch einmal versuchen",
  },
  looking: { title: "Moment…", sentence: "spyhole wird gefragt, wie es dem Ofen geht." },

  verdict: {
    fine: "Nichts Auffälliges",
    seen: "Bekannte Störung",
    look: "Nachsehen",
    go: "Sofort zum Ofen",
    waiting: "Wartet auf den Ofen",
    cooling: "Brennkurve zu Ende",
    finished: "Brennkurve zu Ende",
    closed: "Dieser Brand ist abgeschlossen",
    lost: "Keine Verbindung zu spyhole",
    stopped: "spyhole wurde beendet",
    signedOut: "Abgemeldet",
    stale: "Keine frischen Messwerte",
  },
  anHour: (degrees) => `${degrees} je Stunde`,
  time: {
    underAMinute: "weniger als eine Minute",
    minutes: (n) => (n === 1 ? "1\u00a0Minute" : `${n}\u00a0Minuten`),
    hoursMinutes: (h, min) => `${h}\u00a0h\u00a0${min}\u00a0min`,
    hours: (h) => `${h}\u00a0h`,
  },
  sentence: {
    blind:
      "spyhole sieht den Ofen nicht: kein Thermoelement gibt einen brauchbaren Wert. " +
      "Den Ofen selbst ansehen.",
    whole: (doing, late) => `${doing}${late ? `, ${late}` : ""}.`,
    keepShut: "Geschlossen halten, bis er kalt ist.",
    waiting: (here) => `Wartet, dass der Ofen steigt; ${here}`,
    waitingCooling: (here) => `Wartet, dass der Ofen steigt; ${here}, kühlt ab`,
    complete: (here) => `Die Brennkurve ist zu Ende; ${here}`,
    completeCooling: (here, pace) => `Die Brennkurve ist zu Ende; ${here}, kühlt um ${pace} ab`,
    holding: (here, target, left) => `Hält bei ${here}${target}, ${left}`,
    holdingFor: (target) => ` (geplant ${target})`,
    toGo: (long) => `noch ${long}`,
    holdOver: "die geplante Haltezeit ist um",
    standing: (here, where) => `Steht bei ${here}${where}`,
    climbing: (pace, here, where) => `Steigt um ${pace}, ${here}${where}`,
    cooling: (pace, here, where) => `Kühlt um ${pace} ab, ${here}${where}`,
    towards: (target) => ` auf dem Weg zu ${target}`,
    away: (target) => `, während die Brennkurve zu ${target} führt`,
    onPlan: "im Plan",
    behind: (long) => `${long} hinter dem Plan`,
    ahead: (long) => `${long} vor dem Plan`,
    byCalculation: "nach Berechnung",
    byCorrected: "nach korrigierter Berechnung",
    lookAtCones: ": nach den Kegeln sehen",
    coneNeeds: (cone, long, here, by, look) => `${cone} braucht noch ${long} bei ${here}, ${by}${look}.`,
    aboutAt: (at) => `gegen ${at}`,
    within: (long) => `in ${long}`,
    farOff: (at, long) => `gegen ${at}, in ${long}`,
    between: (from, to) => `, zwischen ${from} und ${to}`,
    cone: (cone, when, between, by, look) => `${cone} ${when}${between}, ${by}${look}.`,
  },
  lastKnown: (sentence) => `Zuletzt bekannt: ${sentence}`,
  lost: (age) =>
    `${age} Ist dieses Telefon im Netz des Ofens, und hat der Rechner am Ofen Strom? ` +
    "Bis die Verbindung wieder steht, selbst nach dem Ofen sehen.",
  lostAge: (age, when) => `Was hier steht, ist ${age} alt, von ${when}.`,
  lostNever: "Es ist noch nichts angekommen.",
  stopped: "Es wurde mit Absicht beendet. Niemand beobachtet den Ofen, bis es wieder gestartet wird.",
  stale: (age) =>
    `Seit ${age} kommt nichts von den Thermoelementen, obwohl spyhole selbst antwortet. ` +
    "Erst nach dem Ofen sehen, dann nach dem Wandler und seiner Verdrahtung.",
  staleNever:
    "spyhole antwortet, aber es ist noch kein Messwert gekommen. Nach dem Wandler und seiner Verdrahtung sehen.",

  age: (age) => `letzter Wert vor ${age}`,
  ageNone: "noch kein Wert",
  notLive: {
    simulation: (speed) => `Simulation${speed}: kein echter Ofen`,
    replay: (speed) => `Wiedergabe${speed}: geschieht nicht jetzt`,
    speed: (speed) => ` (${speed}×)`,
  },
  called: (name) => SHIPPED[name] ?? name,
  noFiring: "Es wird kein Brand beobachtet.",
  notRecording: "Keine Aufzeichnung: dieser Brand ist abgeschlossen",
  notWritten: "ES WIRD NICHTS AUFGEZEICHNET: nach dem Speicher des Rechners sehen",
  roomEnds: (hours) => `Der Speicher ist fast voll: Platz für ${hours}\u202fh Brand. Auf dem Rechner am Ofen Platz schaffen.`,

  severity: { info: "Zur Kenntnis", warning: "Warnung", critical: "Dringend" },
  kind: {
    stall: "Der Ofen steigt nicht mehr",
    lagging: "Steigt, aber zu spät",
    overshoot: "Heißer als der Plan",
    heat_lost: "Der Ofen verliert Hitze",
    heat_stuck_on: "Heizt, wo er nicht soll",
    over_limit: "Über der Grenze des Ofens",
    fast_heating: "Heizt hier zu schnell",
    fast_cooling: "Kühlt hier zu schnell",
    uneven: "Der Ofen ist ungleichmäßig",
    sensor_fault: "Thermoelement gestört",
    no_readings: "Keine Messwerte",
    cone_near: "Ein Kegel ist nah",
    cone_down: "Ein Kegel sollte gefallen sein",
    step_begun: "Ein neuer Schritt",
    hold_done: "Die Haltezeit ist um",
    phase_begun: "Ein neuer Abschnitt",
    cool_to_open: "Kalt genug zum Öffnen",
    trend: "Der Ofen verändert sich",
    firing_finished: "Brennkurve zu Ende",
  },
  otherKind: "Etwas zum Nachsehen",
  kindOfCone: {
    cone_near: (cone) => `${cone} fällt bald`,
    cone_down: (cone) => `${cone} sollte gefallen sein`,
  },
  kindOf: (title, which) => `${title} (${which})`,
  says: {
    stall: (temp, pace, to) =>
      `Der Ofen steigt bei ${temp} so gut wie nicht mehr, während der Plan ${pace} auf ${to} steigt.`,
    lagging: (late, pace, planned) =>
      `Der Ofen ist ${late} hinter seinem Plan, und es wird mehr: er steigt um ${pace}, geplant sind ${planned}. ` +
      "Das allein schadet nicht.",
    dying: (temp, ends, to) =>
      `Der Anstieg erlahmt: jetzt ${temp}, und bei etwa ${ends} wird Schluss sein, unter den ${to} des Plans. ` +
      "Haltezeit und Kegel sind dann vielleicht nicht zu erreichen. Nachsehen, wie geheizt wird, und nach den Kegeln im Ofen.",
    heatLost: (temp, pace) =>
      `Der Ofen verliert Hitze: ${temp}, und er fällt um ${pace}, während der Plan steigt oder hält.`,
    stuckClimbing: (pace, temp) =>
      `Der Ofen steigt um ${pace} und ist bei ${temp}, wo er es nach Plan nicht soll: vielleicht lässt sich die Heizung nicht abschalten.`,
    stuckStanding: (temp) =>
      `Der Ofen steht bei ${temp} und kühlt nicht ab, obwohl er es nach Plan soll: vielleicht lässt sich die Heizung nicht abschalten.`,
    overLimit: (temp, limit) =>
      `Der Ofen ist bei ${temp}, über den ${limit}, für die er gebaut ist: am Hauptschalter abschalten oder das Gas ` +
      "abstellen, wenn das gefahrlos geht, und den Anweisungen des Ofenbauers folgen.",
    overshoot: (temp, above, top) =>
      `Der Ofen ist bei ${temp}, ${above} über den ${top} seines Plans: nachsehen, ob die Heizung gedrosselt oder ` +
      "aus ist oder der Plan der falsche, und nach den Kegeln im Ofen.",
    uneven: (hot, cold, apart, allowed) =>
      `Der Ofen ist ungleichmäßig: „${hot}“ ist ${apart} heißer als „${cold}“, zulässig sind ${allowed}. ` +
      "Nachsehen, ob ein Fühler verrutscht ist oder etwas berührt, und auf der kalten Seite",
    leftBehind: (cold, left) =>
      `„${cold}“ steigt kaum noch, während der übrige Ofen weiter steigt, und ist um ${left} zurück. ` +
      "Nachsehen, ob der Fühler verrutscht ist oder etwas berührt, und dort",
    sensor: (channel, fault) => `Thermoelement „${channel}“ ${fault}.`,
    beforeTouching:
      "Vor jedem Griff an Fühler oder Leitung den Ofen am Hauptschalter abschalten und auf die Hitze achten.",
    noReadings: (long) =>
      `Seit ${long} hat kein Thermoelement einen Wert gegeben: spyhole sieht den Ofen nicht. ` +
      "Erst nach dem Ofen selbst sehen, dann nach Strom und Verdrahtung der Messung.",
    fastHeating: (pace, band, fastest) =>
      `Der Ofen steigt um ${pace} durch „${band}“, ratsam sind höchstens ${fastest}. ` +
      "Zurückdrehen und nachsehen, ob der richtige Plan gefahren wird.",
    fastCooling: (pace, band, fastest) =>
      `Der Ofen fällt um ${pace} durch „${band}“, ratsam sind höchstens ${fastest}.`,
    fallsFast: (pace, temp) => `Der Ofen fällt bei ${temp} um ${pace}, viel schneller als er sollte.`,
    draught: (look) => `${look}; heiße Ware reißt im Zug, und ein heißer Ofen wird nie geöffnet.`,
    coneNear: (cone, when) => `${cone} sollte ${when} fallen: nach den Kegeln sehen.`,
    coneDown: (cone) => `${cone} sollte gefallen sein: nachsehen.`,
    calculated: "Das ist aus dem Thermoelement berechnet, die Kegel im Ofen entscheiden.",
    corrected: (by) =>
      `Das ist aus dem Thermoelement berechnet und um ${by} korrigiert, die Kegel im Ofen entscheiden.`,
    holdDone: (at) => `Die geplante Haltezeit bei ${at} ist um.`,
    peakHoldDone: "Nach den Kegeln im Ofen sehen, bevor es weitergeht.",
    planDone: (at) =>
      `Die Brennkurve ist bei ${at} zu Ende: prüfen, ob die Heizung wirklich aus ist, und den Ofen geschlossen halten, bis er kalt ist.`,
    ifNobodyLetGo: "Hat ihn niemand abgestellt, nach Strom oder Flamme sehen und nach den Kegeln im Ofen.",
    coolToOpen: (below) =>
      `Jeder glaubwürdige Kanal ist unter ${below}: kalt genug zum Öffnen, aber vor dem Hineingreifen nach Hitze ` +
      "fühlen; die Ware in der Mitte ist wärmer als die Luft.",
    trend: (what) => `Von Brand zu Brand ${what}. Die Zahlen nennt „spyhole trends“.`,
    trends: {
      short: "steigt der Ofen heiß langsamer, und die Brennkurve ist nicht mehr zu halten",
      climb: "steigt der Ofen heiß langsamer",
      drift: "liest das Thermoelement weiter neben den echten Kegeln",
      evenness: "wird der Ofen ungleichmäßiger",
      late: "dauert die Brennkurve länger",
      energy: "braucht er mehr Energie",
      losses: "stockt das Steigen öfter, oder Hitze geht verloren",
    },
    byItself: "von selbst",
  },
  advice: {
    stall: {
      other: `Nachsehen, ob jedes Heizelement und jeder Brenner noch heizt, nach Sicherung, Gasflasche und Regler, Schieber und Tür; ${LIVE}. ${GAS}.`,
      electric: `Nach Sicherung, Schaltern und Tür sehen, und ob jedes Heizelement noch glüht; oft ist ein Element, ein Schütz oder eine Phase ausgefallen, und ${LIVE}.`,
      gas: `Nach Flamme, Gasflasche (eine vereisende gibt immer weniger), Regler, Schieber und Tür sehen. ${GAS}.`,
      wood: "Nach Feuer, Glut und Rost, Schieber und Tür sehen: es fehlt Holz oder Luft, oder das Glutbett muss geräumt werden.",
    },
    heatLost: {
      other: `Nach Strom und Sicherung, Brennern, Tür und Deckel sehen: meist ist der Strom, die Flamme oder der Regler ausgefallen. ${GAS}.`,
      electric: `Nach Strom, Sicherung, Tür und Deckel sehen: meist ist das Netz oder ein Schütz ausgefallen, oder der Regler steht; ${LIVE}.`,
      gas: `Nach den Brennern sehen: meist ist die Flamme aus, oder ihre Sicherung hat das Gas abgestellt. ${GAS}. Auch nach Flasche, Regler und Tür sehen.`,
      wood: "Nach Feuer, Schieber und Tür sehen: meist ist es heruntergebrannt, oder kalte Luft kommt herein.",
    },
    stuckOn: {
      other: "Sofort nachsehen: ein Schütz kann verschweißt sein oder ein Gasventil offen stehen. Den Ofen am Hauptschalter abschalten oder das Gas abstellen, wie der Ofenbauer es vorschreibt, geschlossen halten und nicht wieder brennen, bevor eine Elektro- oder Gasfachkraft nachgesehen hat.",
      electric: "Sofort nachsehen: ein Schütz kann verschweißt sein. Den Ofen am Hauptschalter oder an der Sicherung abschalten, geschlossen halten und nicht wieder brennen, bevor eine Elektrofachkraft nachgesehen hat.",
      gas: `Sofort nachsehen, ob das Gas wirklich gedrosselt oder aus ist, und es an der Flasche oder am Haupthahn abstellen, wie der Ofenbauer es vorschreibt. ${GAS}.`,
      wood: "Sofort nachsehen: nicht mehr schüren, und Luftklappen und Schieber so schließen, wie dieser Ofen geschlossen wird.",
    },
    coolingFast: {
      other: "Nachsehen, ob Deckel oder Tür zu ist, Schieber, Brenneröffnungen und Klappen geschlossen und die Schaulöcher verstopft sind",
      electric: "Nachsehen, ob Deckel oder Tür zu ist und Klappen und Schaulöcher geschlossen sind",
      gas: "Nachsehen, ob die Tür zu ist, Schieber und Brenneröffnungen geschlossen und die Schaulöcher verstopft sind",
      wood: "Nachsehen, ob Tür, Feuerung und Luftklappen zu sind, der Schieber drin ist und die Schaulöcher verstopft sind",
    },
    uneven: {
      other: `nach einem Heizelement sehen, das nicht mehr glüht, nach einem erloschenen Brenner oder Zugluft, nach Schieber und Schüren; ${LIVE}.`,
      electric: `durchs Schauloch nach Heizelementen sehen, die nicht mehr glühen, und nach Zugluft; oft ist ein Element, ein Schütz oder eine Phase ausgefallen, und ${LIVE}.`,
      gas: `nach einem erloschenen Brenner oder Zugluft sehen und nach den Schiebern. ${GAS}.`,
      wood: "nach Feuer und Glut, Schüren, Schiebern und Zugluft sehen.",
    },
    late: {
      other: "Gealterte Heizelemente, eine niedrige Netzspannung, ein niedriger Gasdruck oder ein voller Ofen machen ihn langsam.",
      electric: "Gealterte Heizelemente, eine niedrige Netzspannung oder ein voller Ofen machen ihn langsam.",
      gas: "Eine vereisende Flasche, ein niedrig eingestellter Regler oder ein Schieber zu weit draußen oder drin machen ihn langsam.",
      wood: "Feuchtes Holz, ein verstopfter Rost oder ein Schieber zu weit draußen oder drin machen ihn langsam.",
    },
  },
  fault: {
    open: "gibt keinen brauchbaren Wert: nach einem gebrochenen Fühler, einer losen oder verbrannten Klemme oder einer abgegangenen Leitung sehen",
    short: "misst eine Temperatur außerhalb des Ofens: nachsehen, wo seine Leitungen einander oder Metall berühren, ob eine Klemme nass und ob der Fühler herausgerutscht ist",
    voltage: "sieht eine Spannung, die kein Thermoelement gibt: der Fühler berührt vielleicht ein Heizelement oder anderes unter Spannung, also nichts anfassen, den Ofen am Hauptschalter abschalten und eine Elektrofachkraft rufen",
    range: "liegt außerhalb des Bereichs seines Typs: den Typ in der Konfiguration und die Polung der Leitungen prüfen",
    cold_junction: "hängt an Klemmen, die zu heiß oder zu kalt sind: den Kasten vom Ofen wegrücken",
    bus: "hat einen Wandler, der nicht antwortet: die Stromversorgung der Platine und ihr Kabel prüfen",
    frozen: "steht länger auf einem Wert, als ein wirkliches Signal es tut: Wandler und Aufzeichnung prüfen",
    jump: "ist gesprungen oder hat die anderen verlassen, wie kein Ofen es tut: nachsehen, ob er herausgerutscht oder gerissen ist, und nach einer losen Klemme",
    reversed: "fällt, während der Ofen heizt: seine Leitungen sind vertauscht, also Plus und Minus wechseln",
    type: "misst, wie es ein Thermoelement anderen Typs täte: den Buchstaben auf Fühler und Leitung mit dem Typ in der Konfiguration vergleichen",
  },
  phase: {
    "drying": "Trocknen",
    "chemical water": "gebundenes Wasser",
    "quartz turns": "Quarzsprung",
    "burning out": "Ausbrennen",
    "gases leave": "Entgasen",
    "body reduction": "Scherbenreduktion",
    "melting": "Schmelzen",
    "levelling": "Ausfließen",
    "crystals grow": "Kristalle wachsen",
    "glaze sets": "Glasur erstarrt",
    "quartz turns back": "Quarzsprung abwärts",
    "cristobalite turns back": "Cristobalitsprung abwärts",
    "opening": "Öffnen",
  },
  alerts: {
    heading: "Offene Meldungen",
    acknowledge: "Gesehen",
    sending: "Wird notiert…",
    since: (when) => `seit ${when}`,
    lasting: (long) => `seit ${long}`,
    seen: (when) => `Gesehen ${when}`,
    seenNoTime: "Gesehen",
    reminded: (times, last) =>
      `${times === 1 ? "Einmal" : `${times}-mal`} erinnert${last ? `, zuletzt um ${last}` : ""}.`,
    escalated: (when) => `Niemand hat geantwortet${when ? `, bis ${when}` : ""}: auch anderen gesagt.`,
    failed: (why) => `Nicht notiert: ${why}`,
    earlier: "Früher in diesem Brand",
    span: (from, to) => `${from} bis ${to}`,
  },

  temps: {
    heading: "Temperaturen",
    none: "kein Wert",
    faulty: "Nicht glaubwürdig",
    silent: "Gibt keinen Wert",
    leads: "führt",
    leadsLong: "Plan und Kegel folgen diesem Kanal.",
    spread: "Zwischen heiß und kalt",
    climbing: (rate) => `steigt ${rate}`,
    falling: (rate) => `fällt ${rate}`,
    steady: "steht",
  },

  chart: {
    heading: "Der Brand bis jetzt",
    plan: "Plan",
    ahead: "erwartet",
    whole: "Ganzer Brand",
    closer: "Mit zwei Fingern näher, mit einem verschieben",
    closerByMouse: "Zum Vergrößern ziehen, danach zum Verschieben",
    legend:
      "Gepunktet: erwartet, mit dem Band, in dem vier von fünf liegen. Schattiert: was die Ware durchläuft. Zeichen: was geschah.",
    missing: "Die Bibliothek für das Diagramm ist nicht installiert; alles andere auf dieser Seite geht.",
    failed: "Das Diagramm war nicht zu holen; es wird noch einmal versucht.",
    at: (when, values) => `${when}: ${values}.`,
    event: (when, title) => `${when}: ${title}.`,
    label: "Temperaturen aller Kanäle über der Brennkurve, nach der Zeit",
  },

  plan: {
    heading: "Der Plan",
    none: "Es gibt keine Brennkurve zum Vergleichen.",
    step: (step, steps) => `Schritt ${step} von ${steps}`,
    activity: {
      waiting: "wartet auf den Beginn",
      climbing: "steigt",
      holding: "hält",
      cooling: "kühlt ab",
      finished: "die Brennkurve ist zu Ende",
    },
    towards: (activity, target) => `${activity} auf ${target}`,
    at: (activity, target) => `${activity} bei ${target}`,
    onTime: "Im Plan",
    late: (long) => `${long} hinter dem Plan`,
    early: (long) => `${long} vor dem Plan`,
    ends: (long) => `Endet in ${long}`,
    endsAt: (at, long) => `Endet gegen ${at}, in ${long}`,
  },

  cones: {
    heading: "Kegel",
    uncorrected: "Aus dem Thermoelement berechnet, nicht korrigiert \u2013 die Kegel im Ofen entscheiden.",
    corrected: (by) =>
      `Aus dem Thermoelement berechnet, nach den Kegeln im Ofen um ${by} korrigiert \u2013 die Kegel im Ofen entscheiden.`,
    role: { guide: "Vorkegel", target: "Zielkegel", guard: "Nachkegel" },
    name: (cone) => `Kegel\u00a0${cone}`,
    work: (percent) => `${percent}\u202f%`,
    down: "liegt",
    downAt: (when) => `um ${when}`,
    tip: (tip) => `Spitze ${tip}`,
    expectedAt: (at, long) => `gegen ${at}, in ${long}`,
    expectedHeld: (at, held) => `gegen ${at}: ${held}`,
    likely: (from, to) => `wohl ${from} bis ${to}`,
    likelyFrom: (from) => `ab ${from} oder gar nicht`,
    ifHeld: (long, temp) => `noch ${long} bei ${temp}`,
    notIfPlan: "nicht, wenn es nach Plan geht",
    hardlyIfPlan: "wohl nicht, wenn es nach Plan geht",
    otherwise: "Wenn der Ofen anders weitermacht",
    ifPlan: (cone, when) => `${cone}, jede geplante Steigung eingehalten: ${when}`,
    ifRate: (cone, when) => `${cone}, bei gleicher Steigung weiter: ${when}`,
    never: "fällt nicht",
    expected: (long) => `in etwa ${long}`,
    unknown: "noch keine Zeit",
    notExpected: "nicht erwartet",
  },

  witness: {
    heading: "Die Kegel im Ofen",
    question: "Was zeigen die wirklichen Kegel?",
    cone: "Kegel",
    otherCone: "Ein anderer Kegel",
    tipAsk: "Seine Spitze als Uhrzeiger (nach links gebogen: wie im Spiegel)",
    tipDrag: "Spitze ziehen oder dorthin tippen",
    channel: "Er steht neben",
    noChannel: "keinem davon",
    minutes: "Vor wie vielen Minuten (0: jetzt)",
    shelf: "Platte (wenn gewünscht)",
    save: "Beobachtung sichern",
    noCone: "Erst den Kegel wählen.",
    noTip: "Wählen, wie seine Spitze steht.",
    whichChannel: "Das Thermoelement wählen, neben dem er steht.",
    noMinutes: "Die Minuten als ganze Zahl angeben, 0 für jetzt.",
    tip: (tip) =>
      ({ upright: "aufrecht", "just touching": "berührt gerade", touching: "liegt auf" })[tip] ?? `auf ${tip} Uhr`,
    tipChoice: (tip) =>
      ({ upright: "12, aufrecht", "just touching": "6, berührt", touching: "6, liegt auf" })[tip] ?? tip,
    seen: (cone, tip) => `${cone} ${tip}`,
    takeBack: "Zurücknehmen",
    takeBackOf: (what) => `Zurücknehmen: ${what}`,
    beside: (channel) => `Neben ${channel}: `,
    inForce: (figure) => `${figure} gilt.`,
    from: (looks, firings) =>
      `aus ${looks === 1 ? "1 Beobachtung" : `${looks} Beobachtungen`} in ` +
      (firings === 1 ? "1 Brand" : `${firings} Bränden`),
    figure: (offset, sigma, from) => `${offset}\u00a0\u00b1\u00a0${sigma}, ${from}`,
    estimate: (figure) => `Die Kegel sagen ${figure}.`,
    nothingYet: (figure) => `Die Kegel sagen ${figure}: noch nichts zu korrigieren.`,
    tooFar:
      "Das ist mehr, als ein gesundes Thermoelement an seinem Platz abweicht: erst nach dem Fühler, " +
      "seinem Platz und der Eingabe sehen.",
    use: (figure) => `Ab jetzt ${figure} verwenden`,
    useInstead: (figure) => `Stattdessen ${figure} verwenden`,
    useNoMore: (figure) => `${figure} nicht mehr verwenden`,
    forChannel: (text, channel) => `${text}, neben ${channel}`,
    explained:
      "Es wird nur für die Kegel zur Temperatur gezählt, nie zu den Messwerten. Bei Plus fallen die " +
      "wirklichen Kegel früher, als die Berechnung sagt.",
    failed: (why) => `Nicht geschehen: ${why}`,
  },

  ware: "Besatz, Glasuren, Fotos",

  notes: {
    heading: "Notizen",
    label: "Was war zu sehen oder zu tun?",
    save: "Notiz sichern",
    saving: "Wird gesichert…",
    left: (left) => `noch ${left} Zeichen`,
    empty: "Erst etwas schreiben.",
    failed: (why) => `Nicht gesichert: ${why}`,
    saved: "Gesichert.",
    none: "Noch keine Notizen.",
    quickly: "Mit einem Tippen notiert",
    quick: {
      damperOut: "Schieber weiter heraus",
      damperIn: "Schieber weiter hinein",
      burnerUp: "Brenner höher",
      burnerDown: "Brenner kleiner",
      plugOut: "Schauloch offen",
      plugIn: "Schauloch zu",
      reductionBegun: "Scherbenreduktion begonnen",
      reductionEnded: "Scherbenreduktion beendet",
      switchesLow: "Schalter auf klein",
      switchesMedium: "Schalter auf mittel",
      switchesHigh: "Schalter auf groß",
      lidPropped: "Deckel angelehnt",
      lidShut: "Deckel zu",
      stoked: "Geschürt",
    },
    noted: (text) => `Notiert: ${text}`,
  },

  blind: {
    known: (from, to, long) =>
      `spyhole war von ${from} bis ${to} blind (${long}): aus dieser Zeit wurde nichts gemessen oder beobachtet.`,
    unknown: (from) =>
      `spyhole war ab ${from} blind. Wie lange, ist nicht zu sagen: die Uhr seines Rechners ging falsch, ` +
      "als er wiederkam.",
    sometime: "unbekannter Zeit",
  },

  log: {
    heading: "Die Aufzeichnung",
    armed: (plan) =>
      `Noch wird nichts aufgezeichnet. Es beginnt von selbst, wenn der Ofen steigt, mit der Brennkurve „${plan}“.`,
    open: "Alles wird aufgezeichnet. Es endet von selbst, wenn der Ofen kalt genug zum Öffnen ist.",
    closed: (plan) =>
      `Diese Aufzeichnung ist abgeschlossen. Die nächste beginnt von selbst, wenn der Ofen steigt, mit der Brennkurve „${plan}“.`,
    chosen: (plan) => `Die danach beginnt mit „${plan}“, wie unter Brennkurven gewählt.`,
    asChosen: "Sie wurde unter Brennkurven gewählt.",
    choose: "Für die nächste Aufzeichnung eine andere Brennkurve wählen",
    unload: "Ausräumen: was herauskam, und der nächste Brand",
    begin: "Aufzeichnung jetzt beginnen",
    beginAsk: (plan) => `Jetzt eine Aufzeichnung beginnen, mit der Brennkurve „${plan}“?`,
    beginYes: "Ja, beginnen",
    end: "Aufzeichnung jetzt beenden",
    endAsk:
      "Diese Aufzeichnung jetzt beenden? Was danach kommt, wird nicht festgehalten. Der Ofen selbst macht " +
      "weiter, und die nächste beginnt, wenn er nicht mehr gestiegen ist und wieder steigt.",
    endYes: "Ja, beenden",
    no: "Nein, so lassen",
    failed: (why) => `Nicht geschehen: ${why}`,
  },

  footer: {
    phone: "Dieses Telefon",
    units: "Temperaturen",
    C: "°C",
    F: "°F",
    clock: "Uhr",
    clock24: "24 h",
    clock12: "12 h",
    language: "Sprache",
    sound: "Alarmton",
    screen: "Bildschirm bleibt an",
    on: "An",
    off: "Aus",
    soundNote:
      "Der Alarm tönt, bis jemand „Gesehen“ tippt, auch wenn die Verbindung fehlt; nur solange diese Seite offen, " +
      "das Telefon wach und nicht stumm ist.",
    soundAsleep: "Irgendwo tippen: nach dem Laden tönt dieses Telefon erst, wenn es berührt wurde.",
    silence: "Dieses Telefon still",
    screenNot: "Dieser Browser kann hier den Bildschirm nicht anlassen: er will die Seite über https.",
    screenRefused: "Das Telefon will seinen Bildschirm gerade nicht anlassen, vielleicht um den Akku zu schonen.",
    mqtt: {
      connected: "MQTT: verbunden",
      away: "MQTT: der Broker ist weg, Meldungen warten auf ihn",
      off: "MQTT: aus",
    },
    notify: (who) => `Nachrichten: NICHT ANGENOMMEN von ${who}; es wird weiter versucht`,
    record: {
      ok: "Aufzeichnung: wird geschrieben",
      failing: "Aufzeichnung: NICHT ZU SCHREIBEN, nach dem Speicher sehen",
    },
    room: (hours) => `Ihr Speicher füllt sich: Platz für etwa ${hours}\u202fh Brand. Platz schaffen, bevor er voll ist.`,
    caution:
      "spyhole liest nur. Es ist keine Sicherheitseinrichtung: es kann den Ofen nicht abschalten. " +
      "Die Anweisungen des Ofenbauers gelten.",
  },
  signIn: {
    heading: "Anmelden",
    toWrite: "Zum Schreiben braucht es die PIN. Was geschrieben wird, trägt den Namen.",
    toRead: "Diese Seite sieht, wer die PIN kennt.",
    name: "Name",
    pin: "PIN",
    enter: "Anmelden",
    leave: "Jetzt nicht",
    wrong: "Das ist nicht die PIN.",
    wait: (seconds) => `Zu viele falsche PINs. Die nächste wird in ${seconds} s angesehen.`,
    again: "Jetzt noch einmal versuchen.",
    signedIn: (name, long) => `Angemeldet als ${name}, noch ${long}`,
    signedOut: "Zum Schreiben braucht es die PIN.",
    here: "Das ist der Rechner selbst: hier braucht es zum Schreiben keine PIN, da keine gesetzt ist.",
    noPin: (command) => `Es ist keine PIN gesetzt, also schreibt nur der Rechner am Ofen. Dort setzen: ${command}`,
    unreadable: (command) => `Die PIN ist nicht zu lesen, also kann niemand schreiben. Am Rechner am Ofen neu setzen: ${command}`,
    out: "Abmelden",
    outEverywhere: "Auf allen Telefonen abmelden",
    notOut: (why) => `Nicht abgemeldet: ${why}`,
  },
  noAnswer: "spyhole antwortet nicht. Noch einmal versuchen, wenn die Verbindung wieder steht.",
};
