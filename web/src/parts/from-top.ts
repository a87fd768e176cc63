import { useLayoutEffect } from "preact/hooks";

/**
 * A screen that took the place of another on the same page begins at its top, as a page does; and who had the focus on
 * what is gone is put at its start.
 */
export function useFromTop(key: string): void {
  useLayoutEffect(() => {
    window.scrollTo(0, 0);
    if (document.activeElement?.matches("body, #main :is(h1, h2, h3)"))
      document.getElementById("main")?.focus({ preventScroll: true });
  }, [key]);
}
