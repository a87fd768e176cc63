/**
 * German names of plain foods that people dry at home. The translations are our own; every figure of these foods is the
 * table's. Number and description as the table has them, then the name that is shown, then others that are found.
 */
export const germanFoods: readonly (readonly [
  number: string,
  description: string,
  name: string,
  ...others: string[],
])[] = [
  ["01009", "Cheese, cheddar", "Cheddar", "Käse"],
  ["01012", "Cheese, cottage, creamed, large or small curd", "Hüttenkäse", "Körniger Frischkäse"],
  ["01026", "Cheese, mozzarella, whole milk", "Mozzarella", "Käse"],
  ["01077", "Milk, whole, 3.25% milkfat, with added vitamin D", "Vollmilch", "Milch"],
  [
    "01085",
    "Milk, nonfat, fluid, with added vitamin A and vitamin D (fat free or skim)",
    "Magermilch",
    "Milch",
  ],
  ["01088", "Milk, buttermilk, fluid, cultured, lowfat", "Buttermilch"],
  ["01116", "Yogurt, plain, whole milk, 8 grams protein per 8 ounce", "Joghurt, natur", "Jogurt"],
  ["01123", "Egg, whole, raw, fresh", "Ei, roh", "Eier, Vollei"],
  ["01124", "Egg, white, raw, fresh", "Eiweiß, roh", "Eiklar"],
  ["01125", "Egg, yolk, raw, fresh", "Eigelb, roh", "Dotter"],
  ["01129", "Egg, whole, cooked, hard-boiled", "Ei, hart gekocht", "Eier"],
  ["01132", "Egg, whole, cooked, scrambled", "Rührei", "Eier, Eierspeise"],
  [
    "05011",
    "Chicken, broilers or fryers, meat only, raw",
    "Hähnchenfleisch, roh",
    "Huhn, Hühnerfleisch, Hendl",
  ],
  [
    "05062",
    "Chicken, broiler or fryers, breast, skinless, boneless, meat only, raw",
    "Hähnchenbrust, roh",
    "Hühnerbrust, Huhn",
  ],
  [
    "05064",
    "Chicken, broilers or fryers, breast, meat only, cooked, roasted",
    "Hähnchenbrust, gebraten",
    "Hühnerbrust, Huhn",
  ],
  [
    "05065",
    "Chicken, broilers or fryers, breast, meat only, cooked, stewed",
    "Hähnchenbrust, geschmort",
    "Hühnerbrust, Huhn",
  ],
  ["09003", "Apples, raw, with skin", "Äpfel, roh, mit Schale", "Apfel"],
  ["09021", "Apricots, raw", "Aprikosen, roh", "Marillen"],
  ["09037", "Avocados, raw, all commercial varieties", "Avocado, roh"],
  ["09040", "Bananas, raw", "Bananen, roh"],
  ["09042", "Blackberries, raw", "Brombeeren, roh"],
  ["09050", "Blueberries, raw", "Heidelbeeren, roh", "Blaubeeren"],
  ["09063", "Cherries, sour, red, raw", "Sauerkirschen, roh", "Weichseln"],
  ["09070", "Cherries, sweet, raw", "Süßkirschen, roh", "Kirschen"],
  ["09078", "Cranberries, raw", "Cranberrys, roh", "Moosbeeren"],
  ["09107", "Gooseberries, raw", "Stachelbeeren, roh"],
  ["09112", "Grapefruit, raw, pink and red, all areas", "Grapefruit, rosa, roh", "Pampelmuse"],
  [
    "09132",
    "Grapes, red or green (European type, such as Thompson seedless), raw",
    "Weintrauben, roh",
    "Trauben",
  ],
  ["09148", "Kiwifruit, green, raw", "Kiwi, roh"],
  ["09150", "Lemons, raw, without peel", "Zitronen, roh, ohne Schale"],
  ["09176", "Mangos, raw", "Mango, roh"],
  ["09181", "Melons, cantaloupe, raw", "Zuckermelone, roh", "Cantaloupe-Melone"],
  ["09184", "Melons, honeydew, raw", "Honigmelone, roh"],
  ["09191", "Nectarines, raw", "Nektarinen, roh"],
  ["09200", "Oranges, raw, all commercial varieties", "Orangen, roh", "Apfelsinen"],
  ["09218", "Tangerines, (mandarin oranges), raw", "Mandarinen, roh"],
  ["09226", "Papayas, raw", "Papaya, roh"],
  ["09236", "Peaches, yellow, raw", "Pfirsiche, roh"],
  ["09252", "Pears, raw", "Birnen, roh"],
  ["09266", "Pineapple, raw, all varieties", "Ananas, roh"],
  ["09279", "Plums, raw", "Pflaumen, roh", "Zwetschgen"],
  ["09296", "Quinces, raw", "Quitten, roh"],
  ["09302", "Raspberries, raw", "Himbeeren, roh"],
  ["09316", "Strawberries, raw", "Erdbeeren, roh"],
  ["09326", "Watermelon, raw", "Wassermelone, roh"],
  [
    "10218",
    "Pork, fresh, loin, tenderloin, separable lean and fat, raw",
    "Schweinefilet, roh",
    "Schweinefleisch",
  ],
  ["11007", "Artichokes, (globe or french), raw", "Artischocken, roh"],
  ["11011", "Asparagus, raw", "Spargel, roh"],
  ["11052", "Beans, snap, green, raw", "Grüne Bohnen, roh", "Fisolen, Buschbohnen"],
  ["11080", "Beets, raw", "Rote Bete, roh", "Rote Rüben, Rande"],
  ["11090", "Broccoli, raw", "Brokkoli, roh"],
  ["11098", "Brussels sprouts, raw", "Rosenkohl, roh", "Kohlsprossen"],
  ["11109", "Cabbage, raw", "Weißkohl, roh", "Weißkraut, Kraut"],
  ["11124", "Carrots, raw", "Möhren, roh", "Karotten, Rüebli, gelbe Rüben"],
  ["11135", "Cauliflower, raw", "Blumenkohl, roh", "Karfiol"],
  ["11143", "Celery, raw", "Stangensellerie, roh", "Staudensellerie"],
  ["11147", "Chard, swiss, raw", "Mangold, roh"],
  ["11156", "Chives, raw", "Schnittlauch, roh"],
  ["11165", "Coriander (cilantro) leaves, raw", "Koriandergrün, roh"],
  ["11167", "Corn, sweet, yellow, raw", "Zuckermais, roh", "Mais, Kukuruz"],
  [
    "11178",
    "Corn, sweet, yellow, frozen, kernels cut off cob, unprepared",
    "Zuckermais, gefroren",
    "Mais",
  ],
  ["11205", "Cucumber, with peel, raw", "Gurke, roh, mit Schale"],
  ["11209", "Eggplant, raw", "Aubergine, roh", "Melanzani"],
  ["11215", "Garlic, raw", "Knoblauch, roh"],
  ["11216", "Ginger root, raw", "Ingwer, roh"],
  ["11233", "Kale, raw", "Grünkohl, roh", "Federkohl"],
  ["11246", "Leeks, (bulb and lower leaf-portion), raw", "Lauch, roh", "Porree"],
  ["11260", "Mushrooms, white, raw", "Champignons, roh", "Pilze"],
  ["11282", "Onions, raw", "Zwiebeln, roh"],
  [
    "11291",
    "Onions, spring or scallions (includes tops and bulb), raw",
    "Frühlingszwiebeln, roh",
    "Lauchzwiebeln",
  ],
  ["11297", "Parsley, fresh", "Petersilie, frisch"],
  ["11298", "Parsnips, raw", "Pastinaken, roh"],
  ["11304", "Peas, green, raw", "Erbsen, roh"],
  ["11312", "Peas, green, frozen, unprepared", "Erbsen, gefroren"],
  ["11333", "Peppers, sweet, green, raw", "Paprika, grün, roh", "Peperoni"],
  ["11821", "Peppers, sweet, red, raw", "Paprika, rot, roh", "Peperoni"],
  ["11352", "Potatoes, flesh and skin, raw", "Kartoffeln, roh, mit Schale", "Erdäpfel"],
  [
    "11365",
    "Potatoes, boiled, cooked in skin, flesh, without salt",
    "Pellkartoffeln",
    "Kartoffeln gekocht, Erdäpfel",
  ],
  ["11422", "Pumpkin, raw", "Kürbis, roh"],
  ["11429", "Radishes, raw", "Radieschen, roh"],
  ["11435", "Rutabagas, raw", "Steckrüben, roh", "Kohlrüben"],
  ["11457", "Spinach, raw", "Spinat, roh"],
  ["11477", "Squash, summer, zucchini, includes skin, raw", "Zucchini, roh", "Zucchetti"],
  ["11485", "Squash, winter, butternut, raw", "Butternusskürbis, roh"],
  ["11507", "Sweet potato, raw, unprepared", "Süßkartoffeln, roh"],
  ["11529", "Tomatoes, red, ripe, raw, year round average", "Tomaten, roh", "Paradeiser"],
  [
    "13364",
    'Beef, composite of trimmed retail cuts, separable lean only, trimmed to 0" fat, all grades, cooked',
    "Rindfleisch, mager, gegart",
    "Rind",
  ],
  ["15015", "Fish, cod, Atlantic, raw", "Kabeljau, roh", "Dorsch, Fisch"],
  ["15076", "Fish, salmon, Atlantic, wild, raw", "Wildlachs, roh", "Lachs, Fisch"],
  ["15236", "Fish, salmon, Atlantic, farmed, raw", "Zuchtlachs, roh", "Lachs, Fisch"],
  [
    "16028",
    "Beans, kidney, all types, mature seeds, cooked, boiled, without salt",
    "Kidneybohnen, gekocht",
    "Bohnen",
  ],
  [
    "16057",
    "Chickpeas (garbanzo beans, bengal gram), mature seeds, cooked, boiled, without salt",
    "Kichererbsen, gekocht",
  ],
  ["16070", "Lentils, mature seeds, cooked, boiled, without salt", "Linsen, gekocht"],
  ["19095", "Ice creams, vanilla", "Vanilleeis", "Eiscreme, Speiseeis"],
  ["20037", "Rice, brown, long-grain, cooked", "Naturreis, gekocht", "Vollkornreis, Reis"],
  [
    "20045",
    "Rice, white, long-grain, regular, enriched, cooked",
    "Reis, weiß, gekocht",
    "Langkornreis",
  ],
  ["20421", "Pasta, cooked, unenriched, without added salt", "Nudeln, gekocht", "Pasta, Teigwaren"],
  [
    "23567",
    "Beef, ground, 85% lean meat / 15% fat, raw",
    "Rinderhackfleisch, 15 % Fett, roh",
    "Faschiertes, Hackfleisch, Rind",
  ],
  [
    "23570",
    "Beef, ground, 85% lean meat / 15% fat, crumbles, cooked, pan-browned",
    "Rinderhackfleisch, gebraten",
    "Faschiertes, Hackfleisch, Rind",
  ],
  [
    "23572",
    "Beef, ground, 80% lean meat / 20% fat, raw",
    "Rinderhackfleisch, 20 % Fett, roh",
    "Faschiertes, Hackfleisch, Rind",
  ],
];

/** What the food is called, by its description in the table; practice's foods with it. */
const germanNames: ReadonlyMap<string, string> = new Map([
  ...germanFoods.map(([, table, name]) => [table, name] as const),
  ["Practice apple slices", "Übung: Apfelscheiben"],
  ["Practice strawberry slices", "Übung: Erdbeerscheiben"],
  ["Practice sweet corn", "Übung: Zuckermais"],
  ["Practice pineapple, thick pieces", "Übung: Ananas, dicke Stücke"],
]);

/** A portion that was in a bag before is named after it (service/redry.ts). */
const redried = /^(.*) \(bag (\S+), dried before\)$/;

/** As it is called in German; any other as the person called it. */
export function germanFood(name: string): string {
  const [, product, bag] = redried.exec(name) ?? [];
  if (product !== undefined)
    return `${germanFood(product)} (Beutel ${bag}, schon einmal getrocknet)`;
  return germanNames.get(name) ?? name;
}

/** Umlauts as they are typed without their keys: ae, or a alone. */
const spelt = (text: string, a: string): string =>
  text
    .toLowerCase()
    .replaceAll("ß", "ss")
    .replace(/[äöü]/g, (letter) => ({ ä: "a", ö: "o", ü: "u" })[letter] + a);

const wordsIn = (text: string): readonly string[] =>
  text.split(/[^a-z0-9%]+/).filter((word) => word !== "");
/** From so many letters on, a word is also found inside a longer one: Kürbis in Butternusskürbis. */
const insideFrom = 4;

/** Numbers of the foods whose German name holds every typed word, the nearer ones first. */
export function germanNumbers(typed: string): readonly string[] {
  const wanted = wordsIn(spelt(typed, "e"));
  if (wanted.length === 0) return [];
  const distanceTo = (name: string): number | null => {
    const words = [...wordsIn(spelt(name, "e")), ...wordsIn(spelt(name, ""))];
    let distance = words.length;
    for (const word of wanted) {
      const begins = words.findIndex((one) => one.startsWith(word));
      const inside = words.findIndex((one) => word.length >= insideFrom && one.includes(word));
      if (begins < 0 && inside < 0) return null;
      distance += begins < 0 ? 20 + inside : begins;
    }
    return distance;
  };
  return germanFoods
    .flatMap(([number, , ...names]) => {
      const distances = names.map(distanceTo).filter((one) => one !== null);
      return distances.length === 0 ? [] : [{ number, distance: Math.min(...distances) }];
    })
    .sort((a, b) => a.distance - b.distance)
    .map(({ number }) => number);
}
