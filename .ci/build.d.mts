export function newestIn(root: string): number;
export function build(root: string): void;
export function builtIn(root: string): string;
