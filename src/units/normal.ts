/** Below so many standard deviations above its mean lie 95 % of a normal distribution. */
export const z95 = 1.6448536269514722;
