/** Warum etwas abgelehnt wird oder nicht zählt. */

/** @type {typeof import("./en.js").words} */
export const words = {
  kept: "Im Arbeitsspeicher; gesichert wird es, sobald der Speicher es annimmt.",
  line: (file, line) => `${file}, Zeile ${line}`,

  fields: {
    text: "Der Text",
    note: "Die Notiz",
    by: "Der Name",
    name: "Der Name",
    pin: "Die PIN",
    cone: "Der Kegel",
    clock: "Die Stellung der Spitze",
    channel: "Das Thermoelement",
    shelf: "Die Platte",
    place: "Die Stelle",
    minutes_ago: "Die Minuten",
    caption: "Die Bildunterschrift",
    steps: "Die Liste der Schritte",
    other: "Diese Angabe",
  },

  reasons: {
    missing: "{field} fehlt.",
    empty: "{field} ist leer.",
    "too-long": "{field} darf höchstens {most} Zeichen haben.",
    "no-number": "{field}: das ist keine Zahl.",
    "at-least": "{field}: mindestens {least}.",
    "at-most": "{field}: höchstens {most}.",
    unprintable: "{field} enthält Zeichen, die man nicht sieht; eine Zeile einfachen Text angeben.",
    unfit: "{field} passt so nicht.",
    "body-too-large": "Das ist mehr als die {most_kb} kB, die auf einmal angenommen werden.",
    "sign-in-to-read": "Zum Lesen mit der PIN anmelden.",
    "sign-in-to-write": "Zum Schreiben mit der PIN anmelden.",
    "wrong-pin": "Das ist nicht die PIN.",
    "too-many-pins": "Zu viele falsche PINs: Die nächste wird in {seconds} Sekunden angesehen.",
    "no-pin":
      "Solange keine PIN gesetzt ist, darf das nur der Rechner am Ofen selbst (unter 127.0.0.1): dort eine setzen mit „{how}“.",
    "no-pin-to-sign-in": "Es ist keine PIN gesetzt, also gibt es nichts zum Anmelden.",
    "pin-unreadable":
      "Die PIN ist am Rechner beim Ofen nicht zu lesen, darum wird niemand eingelassen: sie dort neu setzen mit „{how}“.",
    "readings-over": "Es kommen keine Messwerte mehr: Keine Aufzeichnung kann beginnen.",
    "log-kept": "Es wird schon aufgezeichnet: erst diese Aufzeichnung beenden, dann eine neue beginnen.",
    "log-not-begun": "Die Aufzeichnung hat noch nicht begonnen, also gibt es keine zu beenden.",
    "other-log": "Inzwischen wird ein anderer Brand aufgezeichnet: noch einmal nachsehen.",
    "no-log-can-begin":
      "Keine Aufzeichnung kann beginnen: Der Speicher nimmt gerade nichts an. Platz schaffen oder ihn in Ordnung bringen.",
    "no-plan-can-be-chosen":
      "Keine Brennkurve kann gewählt werden: Der Speicher nimmt gerade nichts an. Platz schaffen oder ihn in Ordnung bringen.",
    "disk-refuses":
      "Die Aufzeichnung lässt sich gerade nicht lesen oder schreiben; warum, steht im Protokoll von spyhole.",
    "no-cone": "„{text}“ ist kein Kegel; es gibt „022“ bis „14“, halbe als „05.5“ und „5.5“.",
    "no-tip":
      "„{text}“ ist keine Stellung der Spitze: als Uhrzeiger angeben, von 12 (aufrecht) bis 6 (liegt auf), etwa 3 oder 3:30; nach links gebogen wie im Spiegel.",
    "no-channel": "Dieser Brand hat keinen Kanal „{channel}“; er hat {channels}.",
    "no-look": "In diesem Brand gibt es keinen Kegel-Eintrag mit der Nummer {number}.",
    "before-firing": "Vor {minutes_ago} Minuten lief dieser Brand noch nicht; er läuft seit {minutes} Minuten.",
    "after-firing": "Nach {at_s} war dieser Brand vorbei; er dauerte {lasted_s}.",
    "stood-up":
      "Kegel {cone} ist notiert mit „{first_tip}“ ({first_at}) und später mit „{second_tip}“ ({second_at}), aber kein Kegel richtet sich wieder auf: Keiner der beiden Einträge zählt, bis der falsche zurückgenommen ist oder, wenn es zwei Kegel waren, jeder mit seiner Platte notiert ist.",
    "too-cold-for-look":
      "Kegel {cone} kann nicht „{tip}“ gewesen sein, denn dieses Thermoelement war bis dahin viel zu kalt: Der Eintrag bleibt, zählt aber nicht; Kegel, Zeit und Thermoelement prüfen.",
    "too-hot-for-look":
      "Kegel {cone} kann nicht „{tip}“ gewesen sein, denn dieses Thermoelement war bis dahin viel zu heiß: Der Eintrag bleibt, zählt aber nicht; Kegel, Zeit und Thermoelement prüfen.",
    "nothing-to-accept": "Es gibt nichts anzunehmen: Noch sagt kein Kegel etwas über den Kanal „{channel}“.",
    "offset-changed":
      "Was die Kegel über den Kanal „{channel}“ sagen, hat sich inzwischen geändert: erst die neue Zahl ansehen.",
    "nothing-to-correct":
      "Noch ist nichts zu korrigieren: Was die Kegel über den Kanal „{channel}“ sagen, liegt nicht weiter von 0, als es unsicher ist.",
    "only-simulated":
      "„{kiln}“ hat wirkliche Brände, und dies ist eine Simulation: Eine Abweichung wird in einem wirklichen Brand angenommen.",
    "no-alert": "Diese Warnung gibt es in diesem Brand nicht.",
    "no-note": "Dieser Brand hat keine Notiz mit der Nummer {number}.",
    "no-firing": "Einen Brand „{firing}“ gibt es nicht.",
    "no-firing-yet": "Noch ist kein Brand aufgezeichnet.",
    "no-scenario": "Einen simulierten Brand „{scenario}“ gibt es nicht.",
    "no-plan": "Eine Brennkurve „{plan}“ gibt es nicht.",
    "no-kiln": "Ein Ofen „{kiln}“ kommt in der Aufzeichnung nicht vor.",
    "nothing-here": "Unter dieser Adresse gibt es nichts.",
    "no-photo": "Der Brand hat kein Foto {number}.",
    "no-image": "Das ist kein Foto, das aufgehoben werden kann: JPEG, PNG oder WebP senden.",
    "photo-cut-short": "Die Datei des Fotos ist abgeschnitten: noch einmal senden.",
    "photo-unsound": "Die Datei des Fotos ist kein heiles {format}: noch einmal senden.",
    "photo-has-too-many-pixels":
      "Das Foto hat {width} × {height} Bildpunkte: Höchstens {most} im Ganzen können aufgehoben werden.",
    "photo-too-large": "Das Foto ist größer als die {most_mb} MB, die angenommen werden.",
    "photos-busy": "Gerade werden andere Fotos angenommen: dieses gleich noch einmal senden.",
    "photo-not-kept": "Das Foto ist nicht aufzuheben: Der Speicher nimmt es nicht an.",
    "photo-unreadable": "Das Foto ist vom Speicher nicht zu lesen.",
    "photo-spoilt": "Das Foto ist verdorben: aus einer Sicherung zurückholen.",
    "no-step": "Eine Brennkurve braucht mindestens einen Schritt.",
    "too-many-steps": "Eine Brennkurve hat höchstens {most} Schritte.",
    "no-name": "Der Brennkurve einen Namen geben.",
    "text-length": "1 bis {most} Zeichen angeben.",
    "no-to": "Die Temperatur angeben, zu der es geht.",
    "temp-not-allowed": "{value} geht nicht; {low} bis {high} {unit} angeben.",
    "rate-not-allowed":
      "{value} geht nicht; Grad je Stunde ohne Vorzeichen angeben, {slowest} bis {fastest} (ob auf oder ab, folgt aus dem Ziel; leer lassen für so schnell, wie der Ofen kann).",
    "hold-not-allowed": "{value} geht nicht; 0 bis {most} Minuten angeben.",
    "not-among": "{value} geht nicht; eines davon angeben: {allowed}.",
    "unknown-key": "Unbekannter Schlüssel {key}; es gibt {allowed}.",
    "no-toml": "Das ist kein fehlerfreies TOML.",
    "file-unreadable": "Diese Datei ist nicht zu lesen.",
    "file-too-large": "Diese Datei ist zu groß für eine Brennkurve (höchstens 1 MB).",
    "no-text": "Das ist kein Text in UTF-8.",
    "starter-has-name": "So heißt die mitgelieferte Kurve „{name}“; der eigenen einen anderen Namen geben.",
    "plan-is-there":
      "In {file} steht schon eine Brennkurve, und keine wird je ersetzt; dieser einen anderen Namen geben.",
    "plans-unreadable": "Die Brennkurven in {folder} sind nicht zu lesen.",
    "plan-not-kept": "{file}: Die Brennkurve ist hier nicht zu sichern.",
    "too-many-ask": "Es wird zu viel auf einmal gefragt; in einer Minute noch einmal versuchen.",
    "film-impossible": "Dieser Brand lässt sich nicht abspielen; Näheres steht im Protokoll von spyhole.",
    "nothing-to-play":
      "Dieser Brand ist ohne Brennkurve oder ohne Messwerte aufgezeichnet, darum lässt er sich nicht abspielen.",
    "named-twice": "Ein Brand ist zweimal genannt: jeden nur einmal nennen.",
    "only-one":
      "Ein Brand allein lässt sich nicht vergleichen: zwei nennen oder nach seiner Brennkurve fragen.",
    "no-plan-known": "Vom Brand {firing} ist keine Brennkurve bekannt.",
    "never-hot": "{firing} ist kein Brand zum Wiederholen: Der Ofen war darin nie heiß.",
    "change-gone": "Diese Änderung wird nicht mehr vorgeschlagen; die Vorschläge noch einmal ansehen.",
    "report-late":
      "Der Bericht wurde nicht rechtzeitig fertig; noch einmal versuchen, wenn der Rechner weniger zu tun hat.",
    "report-failed": "Der Bericht war nicht zu machen; warum, steht im Protokoll von spyhole.",
    bug: "In spyhole ist etwas schiefgegangen; Näheres steht in seinem Protokoll.",
  },
};
