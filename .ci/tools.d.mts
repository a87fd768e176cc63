export function toolIn(root: string, name: string): string;
export function isStarted(file: string): boolean;
