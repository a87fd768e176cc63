const isNumber = (name: string): boolean => /^\d+$/.test(name.trim());

/** A tray in a sentence: one that is named by a bare number is "tray 3", any other name stands as it is. */
export const trayCalled = (name: string): string => (isNumber(name) ? `tray ${name.trim()}` : name);
