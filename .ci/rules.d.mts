export declare const config: object;
