/** English, for what belongs to the kitchen and what a batch gave: loaded when it is first opened. */
import type { LoadWarning } from "../../../src/wire/kitchen.ts";

const plural = (count: number, one: string, many: string): string => (count === 1 ? one : many);

export const enKitchen = {
  dryers: {
    title: "Dryers",
    explain: "What a dryer holds is compared with the water of a load; its power gives the cost.",
    none: "No dryer yet: it comes with the first batch.",
    holds: (unit: string) => `Water it may take up in one batch, ${unit}`,
    holdsHint: "what it has dried well in one go; empty for no warning",
    tray: (unit: string) => `Fresh food that one tray may carry, ${unit}`,
    watts: "Mean power, W",
    wattsHint: "of a whole batch, as a meter at the plug shows it",
    price: "Price of a kilowatt-hour",
    currency: "Currency",
    keep: "Keep",
    kept: "Kept.",
    badNumber: "Type plain numbers above 0, or leave them empty.",
  },
  foods: {
    title: "Your own foods and recipes",
    explain: "They are found by a few letters when you plan, like those of the table.",
    none: "None yet.",
    line: (name: string, water: string, solids: string) =>
      `${name}: ${water} water, ${solids} solids`,
    measured: (water: string, batches: number) =>
      `with ${batches === 1 ? "1 of your batches" : `${batches} of your batches`}: ${water} water`,
    own: "your own figure",
    recipe: "from its ingredients",
    retire: "Do not offer any more",
    retireWhich: (name: string) => `Do not offer ${name} any more`,
    add: "Add a food",
    addRecipe: "Add a recipe",
    name: "Name",
    water: "Water, %",
    waterHint: "when it goes into the dryer",
    ingredients: "Ingredients",
    mass: (unit: string) => `Mass, ${unit}`,
    another: "Another ingredient",
    cooked: (unit: string) => `Finished dish, ${unit}`,
    cookedHint: "if water boiled off or was taken up; else empty",
    reckon: "What would it be?",
    would: (water: string, spread: string, solids: string) =>
      `${water} water, ± ${spread}; ${solids} of solids in all.`,
    unknown: (names: string) => `Nothing is known of ${names}: taken for any food at all.`,
    keep: "Keep it",
    kept: (name: string) => `Kept: ${name}`,
    needsName: "Give it a name.",
    needsWater: "Its water must lie between 0 and 100 %.",
    needsMass: "Every ingredient needs a name and a mass above 0.",
  },
  checks: {
    title: "Check weights",
    explain:
      "A weight of known mass shows whether the scale is still right. Out of tolerance, every weighing since the last good check is marked.",
    none: "None yet.",
    name: "Name",
    nameHint: "for example: the kilogram",
    nominal: "Mass, g",
    weightClass: "Class",
    noClass: "none: tolerance of its certificate",
    fromMemory:
      "The tolerance of this class was written down from memory and not held against the published table: compare it with the certificate.",
    fromMemoryAbove:
      "Above 200 g the tolerance of this class was written down from memory and not held against the published table: compare it with the certificate.",
    error: "Its tolerance, g",
    every: "Put it on every … days",
    keep: "Keep this weight",
    kept: "Kept.",
    bad: "Type plain numbers above 0.",
    line: (name: string, mass: string, error: string, days: string) =>
      `${name}: ${mass} ± ${error}, every ${days} days`,
    check: "Check the scale",
    checkWith: (name: string) => `Check the scale with ${name}`,
    retire: "Remove",
    retireWhich: (name: string) => `Remove ${name}`,
    placement: (scale: string, mass: string, repeats: number) =>
      `${scale}: placement ± ${mass} (repeats: ${repeats})`,
    history: "Checks so far",
    done: (at: string, shown: string, nominal: string, off: string) =>
      `${at}: ${shown} for ${nominal}, off by ${off}`,
    good: "good",
    bad2: "out of tolerance",
  },
  two: {
    title: "Two scales",
    explain:
      "One load on both, one after the other, shows how they differ: best near what your trays and bags weigh, and more than once. It counts where a tray or a bag was weighed on both.",
    offset: (more: string, by: string, less: string, at: string, u: string) =>
      `${more} shows ${by} more than ${less} at ${at} (± ${u})`,
    from: (count: number, at: string) =>
      `from ${count} ${count === 1 ? "comparison" : "comparisons"}, last ${at}.`,
    spread: (mass: string) => `Spread ${mass}.`,
    compare: (one: string, other: string) => `Compare ${one} and ${other}`,
    putFirst: (one: string, other: string) =>
      `Put one load on ${one} or ${other}, wait until it rests, and take it off.`,
    putSecond: (first: string, mass: string, second: string) =>
      `${first} shows ${mass}. Now put the same load on ${second}.`,
    why: {
      "zero-not-seen": "The last load was not taken: empty the scale until it shows zero, first.",
      "too-light": "The last load was not taken: it is lighter than 50 divisions.",
      "too-late": "More than 15 minutes lay between the two: this load counts as the first.",
      "still-on-first": "A load still lies on the first scale.",
      "not-one-load": "The last load was not taken: the two figures are too far apart.",
    },
    stop: "Stop comparing",
    history: "Comparisons so far",
    line: (at: string, one: string, shown: string, other: string, otherShown: string) =>
      `${at}: ${one} ${shown}, ${other} ${otherShown}`,
    takeBack: "Take back",
    takeBackWhich: (at: string) => `Take back the comparison of ${at}`,
  },
  asking: {
    question:
      "This scale says nothing by itself. May Stillweight ask it? Sending a letter can make some scales print or tare.",
    request: "What to send (its manual says)",
    every: "Seconds between",
    yes: "Yes, ask it",
    no: "No",
    asked: (request: string, seconds: string) => `It is asked with ${request}, every ${seconds} s.`,
    notAsked: "This scale is not asked.",
    stop: "Ask it no more",
  },
  yields: {
    open: "What it gave",
    none: "It comes with the first weighing after some hours of drying.",
    whole: "all of it",
    columns: {
      what: "What",
      fresh: "Fresh",
      dry: "Dry",
      gone: "Water gone",
      yield: "Yield",
      ratio: "Fresh for 1 g dry",
      moisture: "Water in it",
      moistureDry: "… of dry mass",
      rehydrate: "To add, in all",
      perGram: "… for 1 g dry",
      energy: "Energy",
      cost: "Cost",
      perKg: "Cost of 1 kg dry",
    },
    litres: (grams: string, litres: string) => `${grams} (${litres} L)`,
    about: (text: string) => `about ${text}`,
    grams: (figure: string) => `${figure} g`,
    kwh: (figure: string) => `${figure} kWh`,
    caption: "What each tray gave",
    moistureNote:
      "Water in it: reckoned from what fresh food of its kind holds, which differs from lot to lot. The verdict rests on the weighings.",
    costNote: "Energy: the dryer's mean power times the drying hours, shared by the water removed.",
    noCost: "For energy and cost, give the dryer's power and price in Set up.",
  },
  look: {
    title: "Before you load",
    water: (mass: string) => `About ${mass} of water in all.`,
    waterSoFar: (mass: string) => `About ${mass} of water in the foods that have a goal.`,
    warnings: {
      "dryer-full": ({ water, most, dryer }: WarningParts) =>
        `About ${water} of water, and ${dryer} is set to hold ${most}: it will dry longer than usual, or not to the end.`,
      "tray-full": ({ trays, most }: WarningParts) =>
        `More than ${most} on ${trays}: a thick tray dries last.`,
      "dry-unlike": ({ slow, quick }: WarningParts) =>
        `${slow} may take much longer than ${quick}: the batch is done when its slowest tray is. (Common practice, no source.)`,
    } satisfies Record<LoadWarning["code"], (parts: WarningParts) => string>,
  },
  setup: {
    title: "Set up",
    scales: "Scales",
    noScales: "No scale is set up.",
    listPorts: "List the ports that are there",
    portsWhy: "Opening a port can reset the device behind it. Only the one you pick is opened.",
    noPorts: "No port was found. Plug the scale in, then list again.",
    open: "Open",
    opened: "Opened. It stands in the list of scales.",
    openWhich: (name: string) => `Open ${name}`,
    address: "Or type the scale's address",
    addressHint: "for example tcp://192.168.1.20:4001 or /dev/ttyUSB0",
    addressOpen: "Open this address",
    here: {
      title: "A scale plugged into this device",
      explain:
        "This page reads the scale and hands its bytes over. Keep it open and in front, or the scale counts as unplugged.",
      insecure:
        "Only Chromium and its kin let a page read a scale, and only on the computer that runs the program or over https (--cert, --key).",
      noBrowser:
        "This browser cannot read a scale: it has no Web Serial. Chromium and its kin on a computer have it.",
      name: "Name of this scale",
      nameHint: "small letters, figures and hyphens",
      speed: "Speed of its line (baud)",
      speedHint: "as its manual says; usual: 9600",
      begin: "Choose the scale and read it here",
      reading: "The scale is read here.",
      lost: "The scale does not answer here. Plug it in; it is tried again and again.",
      stop: "Let go of it",
    },
    remove: "Remove",
    removeWhich: (uri: string) => `Remove ${uri}`,
    reads: (form: string, unit: string) => `form of its lines: ${form}, ${unit}`,
    reading: "Units and limits",
    unit: "Show masses in",
    limit: "Water that still counts as dry, % of the dry mass",
    limitHint: "above what a working dryer leaves in the food; usual: 1",
    tooLong: "Tell me when trays are out longer than, minutes",
    lessons: {
      title: "What your batches taught",
      learn: "Let batches that were proved dry count for the next lot of the same food",
      explain:
        "A batch counts when every tray ended stable, every thickest piece was found dry and no figure contradicts another. Practice never counts.",
      none: "No batch has taught anything yet.",
      line: (food: string, water: string, batch: string) =>
        `${food}: ${water} water, from batch ${batch}`,
      leftOut: (why: string) => `does not count: ${why}`,
      why: "Why",
      leaveOut: "Leave it out",
      countAgain: "Let it count again",
      again: "counts again",
    },
    sound: "Sound",
    soundOn: "Sound on all pages",
    soundTest: "Hear each sound",
    soundNames: { taken: "Taken", question: "Question", alert: "Alert" },
    soundBlocked: "This device plays nothing before the first touch.",
    keep: "Keep",
    kept: "Kept.",
    alerts: "Alerts that reach you elsewhere",
    webhook: "Webhook address",
    webhookHint: "an http address that is sent each alert; empty for none",
    tryIt: "Try it",
    tried: "Sent. Look at the other end.",
    language: "Language of this device",
    languageAuto: "as the browser asks",
    mqtt: "Address of the MQTT broker",
    mqttHint: "for example mqtt://192.168.1.20; empty for none",
    mqttPrefix: "Topic prefix",
    mqttPrefixHint: "alerts go to this prefix and /alert",
    mqttUser: "User",
    mqttPassword: "Password",
    mqttPasswordKept: "one is kept and never shown; leave empty to keep it",
    mqttPasswordNone: "leave empty for none",
    mqttForget: "Forget the password",
    mqttWhat:
      "Home Assistant finds the weight and the verdict there by itself, where MQTT discovery is on.",
    channels: { webhook: "Webhook", mqtt: "MQTT" },
    channelSaid: (channel: string, said: string) => `${channel}: ${said}`,
    lastSent: (time: string, late: string | false) =>
      `Last sent ${time}${late === false ? "" : `, ${late} late`}.`,
    failed: (why: string, waits: boolean) =>
      `The last try failed: ${why}${waits ? ". The alert waits and is tried again." : ""}`,
    notify: "Notifications on this device",
    notifyAllow: "Allow notifications",
    notifyOn: "Allowed: alerts show here also when this page is in the background.",
    notifyTry: "Show one now",
    notifyTried:
      "Shown. If you saw nothing, look at the system's notifications and its do-not-disturb.",
    notifyFailed:
      "This browser shows none from an open page. Use the webhook or MQTT, and leave the sound on.",
    install: "On the home screen",
    installHow:
      "This page can be installed like a program: in the browser's menu (iPhone: Share), “Install” or “Add to home screen”.",
    installInsecure: "Only over https or on the same computer. Otherwise keep a bookmark.",
    awake: "Screen stays on while weighing",
    awakeOn: "Yes, while this page is in front.",
    awakeInsecure:
      "Only over https or on the same computer. Set the screen's time-out in the device's settings.",
    awakeNone: "This browser cannot. Set the screen's time-out in the device's settings.",
    awakeRefused:
      "The device refused, perhaps to save its battery. Plug it in, or set the screen's time-out in the device's settings.",
    notifyDenied: "Blocked in this browser. Allow them in the browser's settings for this page.",
    notifyInsecure: "Only over https or on the same computer. Use the webhook or MQTT instead.",
    notifyNone: "This browser has none.",
    devices: "Devices that are let in",
    devicesAlone:
      "Only this computer can open this page. To let others in, start the program with --host 0.0.0.0; it then prints a code.",
    devicesNone: "No device is paired yet.",
    deviceYou: "this device",
    deviceAccess: { full: "full access", "read-only": "may only look" },
    devicePaired: (time: string) => `paired ${time}`,
    deviceSeen: (time: string) => `last seen ${time}`,
    deviceRevoke: "Shut it out",
    deviceRevokeWhich: (name: string) => `Shut out ${name}`,
    deviceCode: "A code for another device",
    deviceCodeLook: "A code for a device that may only look",
    deviceCodeSays: (code: string, time: string) =>
      `Code ${code}: type it on the other device, once, until ${time}.`,
    data: "Data",
    folder: (path: string) => `Everything is kept in ${path}.`,
    backup:
      "For a copy that is whole even while the program runs: stillweight backup FILE. Keep it on another disk.",
    backupNone: "The program makes no copies by itself here.",
    backupEvery: (folder: string, hours: string) =>
      `Every ${hours} h the program copies it into ${folder}, and looks whether the copy is whole. A copy on the same disk does not outlive that disk.`,
    backupNever: "No copy was made yet: the first comes with the first weighings.",
    backupAt: (time: string) => `Newest copy: ${time}.`,
    backupFailed: "The last copy failed.",
    badNumber: (what: string) => `${what}: type a plain number.`,
  },
  plan: {
    dryerHint: "its name, for example: kitchen",
    targetHintPart: "taken by itself when reached",
    anotherFood: "Another food on this tray",
    removeFood: (place: number, name: string) => `Remove food ${place} of ${name}`,
    removeShort: "Remove",
    copy: "Copy the trays of the last batch",
    dryAgain: (code: string, food: string) => `Dry bag ${code} again: ${food}`,
    badTare: (name: string) =>
      `The empty mass of ${name} must be a number above 0, for example 412.5.`,
    badWater: (name: string) => `The water of ${name} must lie between 0 and 100 %.`,
    name: "Name of the batch",
    number: "Batch number",
    trays: "Trays",
    mayStayEmpty: "may stay empty",
    numberHint: (next: number) => `${next} if empty; carry on from your notebook once`,
    badNumber: "The batch number must be a whole number above 0.",
    badTarget: (name: string) =>
      `The goal of a food on ${name} must be a number above 0, for example 500.`,
    startHint: "Next: put each tray on the scale.",
    noTrays: "Add at least one tray.",
    noDryer: "Say which dryer.",
    sameName: (name: string) => `Two trays are called ${name}. Give each its own name.`,
  },
  record: {
    title: "Record",
    none: "No batch has begun yet.",
    open: "not ended",
    bag: (code: string) => `Look at bag ${code}`,
    search: "Find a batch",
    searchHint: "a food, a name, a number, a date as 2026-03, or a bag's label",
    noneFound: "No batch fits that.",
    back: "All batches",
    to: (fresh: string, net: string) => `${fresh} fresh, ${net} when last weighed`,
    bringIn: {
      title: "Bring in a log kept by hand",
      explain:
        "A CSV file with the columns hours and grams, and if known tray, batch, fresh_g, tare_g, resolution_g, food, water_pct, thickness_mm, minutes_out, stretch, unit and at. It is looked at first; then all is brought in, or nothing.",
      file: "File",
      startedAt: "When drying began",
      startedAtHint: "for rows that carry no time of day (at)",
      look: "Look at it",
      missing: "Choose a file and say which dryer.",
      tooLong: "The file is longer than a million letters: bring in its parts.",
      problems: (count: number) =>
        `${count} ${plural(count, "line", "lines")} to put right first; nothing was brought in`,
      line: (line: number) => `Line ${line}:`,
      weighings: (count: number) => `${count} ${plural(count, "weighing", "weighings")} dry`,
      keep: (batches: number) => `Bring in ${batches} ${plural(batches, "batch", "batches")}`,
      kept: (batches: number) =>
        `${batches} ${plural(batches, "batch was", "batches were")} brought in.`,
    },
  },
};

type WarningParts = {
  readonly water: string;
  readonly most: string;
  readonly dryer: string;
  readonly trays: string;
  readonly slow: string;
  readonly quick: string;
};
