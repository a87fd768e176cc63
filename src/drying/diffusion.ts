/** Gas constant in J/(mol·K), exact since 2019. */
const gasConstant = 8.314462618;

/**
 * Rate constant, 1/h, of the slowest term of diffusion out of a slab: k = π²D/4L², D in m²/s, L half the thickness in
 * m (Crank, The Mathematics of Diffusion, from memory).
 */
export const slabRatePerHour = (diffusivity: number, halfThickness: number): number =>
  ((Math.PI ** 2 * diffusivity) / (4 * halfThickness ** 2)) * 3600;

/**
 * Activation energy in J/mol from diffusivities at two temperatures in °C, by Arrhenius. The judgment knows no shelf
 * temperature and uses none of it; published diffusivities are checked by it.
 */
export const activationEnergy = (
  [coldCelsius, coldDiffusivity]: readonly [number, number],
  [warmCelsius, warmDiffusivity]: readonly [number, number],
): number =>
  (gasConstant * Math.log(warmDiffusivity / coldDiffusivity)) /
  (1 / (coldCelsius + 273.15) - 1 / (warmCelsius + 273.15));
