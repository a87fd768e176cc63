/** A food as a person finds it in a table: water and its spread between lots, both in g per g. */
export type TableFood = { readonly name: string; readonly water: number; readonly waterSd: number };

/**
 * Water in 100 g and its standard deviation (standard error times the root of the number of samples):
 * USDA National Nutrient Database for Standard Reference, release 28, nutrient 255, by NDB number.
 */
const sr28: readonly (readonly [ndb: string, name: string, water: number, sd: number])[] = [
  ["01123", "egg, whole, raw", 76.15, 0.42],
  ["05064", "chicken breast, roasted", 65.26, 1.34],
  ["05065", "chicken breast, stewed", 68.27, 1.24],
  ["09003", "apples, with skin", 85.56, 1.49],
  ["09040", "bananas", 74.91, 1.28],
  ["09042", "blackberries", 88.15, 1.74],
  ["09050", "blueberries", 84.21, 2.33],
  ["09070", "cherries, sweet", 82.25, 1.89],
  ["09132", "grapes, European type", 80.54, 1.16],
  ["09148", "kiwifruit", 83.07, 4.42],
  ["09176", "mangos", 83.46, 8.27],
  ["09236", "peaches", 88.87, 1.77],
  ["09252", "pears", 83.96, 0.63],
  ["09266", "pineapple", 86.0, 2.32],
  ["09302", "raspberries", 85.75, 3.7],
  ["09316", "strawberries", 90.95, 1.03],
  ["11090", "broccoli", 89.3, 7.25],
  ["11124", "carrots", 88.29, 2.46],
  ["11143", "celery", 95.43, 0.53],
  ["11178", "sweet corn, frozen kernels", 75.0, 7.45],
  ["11233", "kale", 84.04, 1.09],
  ["11260", "mushrooms, white", 92.45, 1.78],
  ["11282", "onions", 89.11, 1.45],
  ["11312", "peas, green, frozen", 79.98, 2.46],
  ["11333", "peppers, green", 93.89, 0.91],
  ["11352", "potatoes", 79.25, 1.24],
  ["11507", "sweet potato", 77.28, 1.72],
  ["11529", "tomatoes", 94.52, 0.87],
  ["15076", "salmon, Atlantic, raw", 68.5, 5.25],
  ["20045", "rice, white, cooked", 68.44, 1.91],
  ["20421", "pasta, cooked", 62.13, 2.97],
  ["23570", "ground beef crumbles, browned", 55.9, 2.98],
];

export const foods: readonly TableFood[] = sr28.map(([ndb, name, water, sd]) => ({
  name: `${name} (SR28 ${ndb})`,
  water: water / 100,
  waterSd: sd / 100,
}));
