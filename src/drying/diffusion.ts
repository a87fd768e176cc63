/**
 * Rate constant, 1/h, of the slowest term of diffusion out of a slab: k = π²D/4L², D in m²/s, L half the thickness in
 * m (Crank, The Mathematics of Diffusion, from memory).
 */
export const slabRatePerHour = (diffusivity: number, halfThickness: number): number =>
  ((Math.PI ** 2 * diffusivity) / (4 * halfThickness ** 2)) * 3600;
