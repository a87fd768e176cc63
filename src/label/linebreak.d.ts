/** The part of linebreak that is used here; the package carries no types of its own. */
declare module "linebreak" {
  export default class LineBreaker {
    constructor(text: string);
    /** `position`: where a line may end, in UTF-16 units. */
    nextBreak(): { readonly position: number } | null;
  }
}
